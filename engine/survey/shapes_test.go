package survey_test

import (
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
)

type point = [2]float64

// ngon is a regular polygon with its corners on a circle, counter-clockwise.
func ngon(x, y, radius float64, n int) []point {
	points := make([]point, n)
	for i := range points {
		s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.3) / float64(n))
		points[i] = point{x + radius*c, y + radius*s}
	}
	return points
}

func rectangle(x0, y0, x1, y1 float64) []point {
	return []point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// extruded is a simple polygon, counter-clockwise, with holes in it, from z = 0 up.
func extruded(height float64, outline []point, holes ...[]point) *mesh.Mesh {
	rings := append([][]point{outline}, holes...)
	points := slices.Concat(rings...)
	var vertices [][3]float32
	for _, z := range [2]float64{0, height} {
		for _, p := range points {
			vertices = append(vertices, [3]float32{float32(p[0]), float32(p[1]), float32(z)})
		}
	}
	n := uint32(len(points))
	var triangles [][3]uint32
	first := 0
	var around []int // the outline with a cut to each hole
	for k, ring := range rings {
		at := make([]int, len(ring))
		for i := range at {
			at[i] = first + i
		}
		if k > 0 {
			slices.Reverse(at)
		}
		for i := range at {
			a, b := uint32(at[i]), uint32(at[(i+1)%len(at)])
			triangles = append(triangles, [3]uint32{a, b, b + n}, [3]uint32{a, b + n, a + n})
		}
		if k == 0 {
			around = at
		} else {
			around = cut(points, around, at)
		}
		first += len(ring)
	}
	for _, t := range ears(points, around) {
		triangles = append(triangles, [3]uint32{t[0], t[2], t[1]}, [3]uint32{t[0] + n, t[1] + n, t[2] + n})
	}
	return meshtest.Made("extruded", vertices, triangles)
}

// lathed is a profile of radius and height, the solid on its left, turned about the z axis
// in n steps. It begins and ends on the axis, or closes.
func lathed(n int, profile ...point) *mesh.Mesh {
	var vertices [][3]float32
	var rings [][]uint32 // one vertex on the axis, n elsewhere
	for _, p := range profile {
		ring := []uint32{uint32(len(vertices))}
		if p[0] == 0 {
			vertices = append(vertices, [3]float32{0, 0, float32(p[1])})
		} else {
			ring = ring[:0]
			for i := range n {
				s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
				ring = append(ring, uint32(len(vertices)))
				vertices = append(vertices, [3]float32{float32(p[0] * c), float32(p[0] * s), float32(p[1])})
			}
		}
		rings = append(rings, ring)
	}
	last := len(rings) - 1
	if profile[0][0] != 0 {
		rings = append(rings, rings[0])
		last++
	}
	var triangles [][3]uint32
	for k := range last {
		low, high := rings[k], rings[k+1]
		for i := range n {
			j := (i + 1) % n
			if len(low) > 1 {
				triangles = append(triangles, [3]uint32{low[i], low[j], high[i%len(high)]})
			}
			if len(high) > 1 {
				triangles = append(triangles, [3]uint32{low[j%len(low)], high[j], high[i]})
			}
		}
	}
	return meshtest.Made("lathed", vertices, triangles)
}

// arc has n steps on a circle about (x, y), from one angle to another, both included.
func arc(x, y, radius, from, to float64, n int) []point {
	points := make([]point, n+1)
	for i := range points {
		s, c := math.Sincos(from + (to-from)*float64(i)/float64(n))
		points[i] = point{x + radius*c, y + radius*s}
	}
	return points
}

func turn(a, b, c point) float64 { return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]) }

// cut joins a hole to the ring around it where they can see each other.
func cut(points []point, around, hole []int) []int {
	for j, h := range hole {
		for i, o := range around {
			clear := true
			crosses := func(ring []int) {
				for k := range ring {
					a, b := ring[k], ring[(k+1)%len(ring)]
					if a == h || b == h || a == o || b == o {
						continue
					}
					p, q, r, s := points[h], points[o], points[a], points[b]
					if (turn(p, q, r) > 0) != (turn(p, q, s) > 0) && (turn(r, s, p) > 0) != (turn(r, s, q) > 0) {
						clear = false
					}
				}
			}
			crosses(around)
			crosses(hole)
			// From a corner that is used twice the cut must go into the right side of it.
			prev, next := around[(i+len(around)-1)%len(around)], around[(i+1)%len(around)]
			inner := turn(points[prev], points[o], points[h]) > 0 && turn(points[o], points[next], points[h]) > 0
			if clear && inner {
				joined := slices.Concat(around[:i+1], hole[j:], hole[:j+1], around[i:])
				return joined
			}
		}
	}
	panic("no way to cut")
}

// ears cuts a polygon into triangles.
func ears(points []point, around []int) (triangles [][3]uint32) {
	around = slices.Clone(around)
	for len(around) > 2 {
		n, done := len(around), false
		for i := range around {
			a, b, c := around[(i+n-1)%n], around[i], around[(i+1)%n]
			if turn(points[a], points[b], points[c]) <= 0 {
				continue
			}
			free := true
			for _, o := range around {
				p := points[o]
				if p == points[a] || p == points[b] || p == points[c] {
					continue
				}
				if turn(points[a], points[b], p) >= 0 && turn(points[b], points[c], p) >= 0 && turn(points[c], points[a], p) >= 0 {
					free = false
					break
				}
			}
			if free {
				triangles = append(triangles, [3]uint32{uint32(a), uint32(b), uint32(c)})
				around = slices.Delete(around, i, i+1)
				done = true
				break
			}
		}
		if !done {
			panic("no ear left")
		}
	}
	return triangles
}

// tilted is m turned by a turn that leaves nothing along an axis.
func tilted(m *mesh.Mesh) *mesh.Mesh {
	s, c := math.Sincos(0.7)
	t, d := math.Sincos(1.1)
	return meshtest.Moved(m, func(v geom.Vec) geom.Vec {
		v = geom.Vec{c*v[0] - s*v[1], s*v[0] + c*v[1], v[2]}
		return geom.Vec{v[0], d*v[1] - t*v[2], t*v[1] + d*v[2]}
	})
}

func moved(m *mesh.Mesh, by geom.Vec) *mesh.Mesh {
	return meshtest.Moved(m, func(v geom.Vec) geom.Vec { return v.Add(by) })
}

// about is m drawn about an origin far off.
func about(m *mesh.Mesh, origin geom.Vec) *mesh.Mesh {
	far := *m
	far.Origin = origin
	return &far
}

// cut in n: every triangle of m in n·n.
func finer(m *mesh.Mesh, n int) *mesh.Mesh {
	var vertices [][3]float32
	for i := range m.Len() {
		a, b, c := m.Triangle(i)
		at := func(i, j int) [3]float32 {
			p := a.Add(b.Sub(a).Scale(float64(i) / float64(n))).Add(c.Sub(a).Scale(float64(j) / float64(n)))
			return [3]float32{float32(p[0]), float32(p[1]), float32(p[2])}
		}
		for i := range n {
			for j := range n - i {
				vertices = append(vertices, at(i, j), at(i+1, j), at(i, j+1))
				if i+j < n-1 {
					vertices = append(vertices, at(i+1, j), at(i+1, j+1), at(i, j+1))
				}
			}
		}
	}
	return meshtest.Made("finer", vertices, nil)
}
