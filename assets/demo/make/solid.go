package main

import (
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A solid is the skin of a body as loose triangles, in millimetres of the real tug.
// Every function that makes one turns it to face outwards.
type solid [][3]geom.Vec

func (s *solid) triangle(a, b, c geom.Vec) { *s = append(*s, [3]geom.Vec{a, b, c}) }

// quad is split along its shorter diagonal, the first where rounding would decide.
func (s *solid) quad(a, b, c, d geom.Vec) {
	if c.Sub(a).Len() <= d.Sub(b).Len()*(1+1e-6) {
		s.triangle(a, b, c)
		s.triangle(a, c, d)
	} else {
		s.triangle(a, b, d)
		s.triangle(b, c, d)
	}
}

// outward turns s inside out if it encloses less than nothing.
func (s solid) outward() solid {
	volume := 0.0
	for _, t := range s {
		volume += t[0].Sub(s[0][0]).Dot(t[1].Sub(s[0][0]).Cross(t[2].Sub(s[0][0])))
	}
	if volume < 0 {
		for i := range s {
			s[i][1], s[i][2] = s[i][2], s[i][1]
		}
	}
	return s
}

// at puts every corner through f, which must not mirror.
func (s solid) at(f func(geom.Vec) geom.Vec) solid {
	moved := make(solid, len(s))
	for i, t := range s {
		moved[i] = [3]geom.Vec{f(t[0]), f(t[1]), f(t[2])}
	}
	return moved
}

func (s solid) by(x, y, z float64) solid {
	return s.at(func(p geom.Vec) geom.Vec { return p.Add(geom.Vec{x, y, z}) })
}

// turned turns s about an axis through the origin, from the axis after it towards the one
// after that (about z: from x to y).
func (s solid) turned(axis geom.Axis, degrees float64) solid {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	u, v := (axis+1)%3, (axis+2)%3
	return s.at(func(p geom.Vec) geom.Vec {
		q := p
		q[u] = cos*p[u] - sin*p[v]
		q[v] = sin*p[u] + cos*p[v]
		return q
	})
}

// step is the grid on which all corners lie, in millimetres of the model: it makes corners
// that are meant to be one the same to the bit on every kind of processor.
const step = 1e-4

// model is s at the native ratio, its corners on the grid and shared. Triangles that the
// grid leaves without two different corners are dropped.
func (s solid) model(name string) *mesh.Mesh {
	var corners [][3]float32
	var triangles [][3]uint32
	known := map[[3]int64]uint32{}
	for _, t := range s {
		var index [3]uint32
		for k, p := range t {
			var key [3]int64
			for i := range p {
				key[i] = int64(math.Round(p[i] / native / step))
			}
			at, ok := known[key]
			if !ok {
				at = uint32(len(corners))
				known[key] = at
				var c [3]float32
				for i := range c {
					c[i] = float32(float64(key[i]) * step)
				}
				corners = append(corners, c)
			}
			index[k] = at
		}
		if index[0] != index[1] && index[1] != index[2] && index[2] != index[0] {
			triangles = append(triangles, index)
		}
	}
	m, err := mesh.New(name, geom.Vec{}, corners, triangles)
	if err != nil {
		panic(err) // the drawing itself is wrong
	}
	return m
}

// joined is several bodies as one solid of several shells.
func joined(parts ...solid) solid { return slices.Concat(parts...) }

// loft joins closed rings of the same number of points, each to the next. An end is closed
// by a fan where cap says so; otherwise its ring must fall together.
func loft(rings [][]geom.Vec, low, high bool) solid {
	var s solid
	for j := range len(rings) - 1 {
		a, b := rings[j], rings[j+1]
		for i := range a {
			k := (i + 1) % len(a)
			s.quad(a[i], a[k], b[k], b[i])
		}
	}
	fan := func(ring []geom.Vec, turned bool) {
		var middle geom.Vec
		for _, p := range ring {
			middle = middle.Add(p)
		}
		middle = middle.Scale(1 / float64(len(ring)))
		for i := range ring {
			a, b := ring[i], ring[(i+1)%len(ring)]
			if turned {
				a, b = b, a
			}
			s.triangle(middle, a, b)
		}
	}
	if low {
		fan(rings[0], true)
	}
	if high {
		fan(rings[len(rings)-1], false)
	}
	return s.outward()
}

// A turning is a point of a lathe's profile: distance from the z axis, and z.
type turning struct{ r, z float64 }

// lathe turns a profile about the z axis in n flats. The profile runs from axis to axis,
// or it is a ring that comes back to where it began.
func lathe(n int, profile ...turning) solid {
	if first, last := profile[0], profile[len(profile)-1]; first != last && (first.r != 0 || last.r != 0) {
		panic("a lathe's profile is open")
	}
	var rings [][]geom.Vec
	for _, p := range profile {
		rings = append(rings, circle(n, p.r, p.r, p.z))
	}
	return loft(rings, false, false)
}

// circle is an ellipse about the z axis.
func circle(n int, rx, ry, z float64) []geom.Vec {
	ring := make([]geom.Vec, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = geom.Vec{rx * cos, ry * sin, z}
	}
	return ring
}

// roundRect is a rectangle about the z axis with corners of radius r, each in n flats.
func roundRect(hx, hy, r, z float64, n int) []geom.Vec {
	var ring []geom.Vec
	for corner := range 4 {
		sx, sy := [4]float64{1, -1, -1, 1}[corner], [4]float64{1, 1, -1, -1}[corner]
		for i := range n + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(corner) + float64(i)/float64(n)))
			ring = append(ring, geom.Vec{sx*(hx-r) + r*cos, sy*(hy-r) + r*sin, z})
		}
	}
	return ring
}

// block is a box about the z axis from low to high with rounded upright edges and chamfers.
func block(hx, hy, low, high, r, chamfer float64) solid {
	ring := func(inset, z float64) []geom.Vec { return roundRect(hx-inset, hy-inset, r-inset/2, z, 5) }
	return loft([][]geom.Vec{
		ring(chamfer, low), ring(0, low+chamfer), ring(0, high-chamfer), ring(chamfer, high),
	}, true, true)
}

// rod is a round bar along a path, of n flats; radius is asked at every point.
func rod(path []geom.Vec, n int, radius func(i int) float64) solid {
	closed := path[0] == path[len(path)-1]
	if closed {
		path = path[:len(path)-1]
	}
	last := len(path) - 1
	ahead := func(i int) geom.Vec {
		from, to := max(i-1, 0), min(i+1, last)
		if closed {
			from, to = (i+last)%(last+1), (i+1)%(last+1)
		}
		d := path[to].Sub(path[from])
		return d.Scale(1 / d.Len())
	}
	// The section turns as little as it can from point to point.
	along := ahead(0)
	side := along.Cross(geom.Vec{0, 0, 1})
	if math.Abs(along[2]) > 0.9 {
		side = along.Cross(geom.Vec{1, 0, 0})
	}
	var rings [][]geom.Vec
	for i := range path {
		along = ahead(i)
		side = side.Sub(along.Scale(side.Dot(along)))
		side = side.Scale(1 / side.Len())
		up := along.Cross(side)
		ring := make([]geom.Vec, n)
		for k := range ring {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			ring[k] = path[i].Add(side.Scale(radius(i) * cos)).Add(up.Scale(radius(i) * sin))
		}
		rings = append(rings, ring)
	}
	if closed {
		return loft(append(rings, rings[0]), false, false)
	}
	return loft(rings, true, true)
}

// bar is a straight or bent rod of one radius.
func bar(n int, radius float64, path ...geom.Vec) solid {
	return rod(path, n, func(int) float64 { return radius })
}

// A cell of a plate is whole, open, or has a round hole of a positive radius.
type cell float64

const (
	whole cell = 0
	open  cell = -1
)

// A plate is a sheet between two skins, point for point: rows of points, each row round
// and back to its beginning when ring is set.
type plate struct {
	outer, inner [][]geom.Vec
	ring         bool
	// foldedLow and foldedHigh say that the first or last row runs back along itself, so
	// that the plate has no edge there.
	foldedLow, foldedHigh bool
	cells                 func(row, column int) cell // what lies from row to row+1, column to column+1
}

func (p plate) solid() solid {
	var s solid
	rows, columns := len(p.outer)-1, len(p.outer[0])
	cells := columns
	if !p.ring {
		cells--
	}
	at := func(j, i int) cell {
		if p.ring {
			i = (i + cells) % cells
		}
		switch {
		case j < 0 && p.foldedLow, j >= rows && p.foldedHigh:
			return whole
		case j < 0, j >= rows, i < 0, i >= cells:
			return open
		case p.cells == nil:
			return whole
		}
		return p.cells(j, i)
	}
	for j := range rows {
		for i := range cells {
			k := (i + 1) % columns
			o := [4]geom.Vec{p.outer[j][i], p.outer[j][k], p.outer[j+1][k], p.outer[j+1][i]}
			n := [4]geom.Vec{p.inner[j][i], p.inner[j][k], p.inner[j+1][k], p.inner[j+1][i]}
			c := at(j, i)
			if c == open {
				continue
			}
			if c == whole {
				s.quad(o[0], o[1], o[2], o[3])
				s.quad(n[3], n[2], n[1], n[0])
			} else {
				s.hole(o, n, float64(c))
			}
			for side, beside := range [4]cell{at(j-1, i), at(j, i+1), at(j+1, i), at(j, i-1)} {
				if beside == open {
					next := (side + 1) % 4
					s.quad(o[next], o[side], n[side], n[next])
				}
			}
		}
	}
	return s.outward()
}

// hole is a pair of four-cornered skins with a round hole through the middle of both.
func (s *solid) hole(outer, inner [4]geom.Vec, radius float64) {
	const n = 32
	round := func(c [4]geom.Vec) (ring [n]geom.Vec) {
		middle := c[0].Add(c[1]).Add(c[2]).Add(c[3]).Scale(0.25)
		axis := c[2].Sub(c[0]).Cross(c[3].Sub(c[1]))
		axis = axis.Scale(1 / axis.Len())
		u := c[1].Add(c[2]).Sub(c[0]).Sub(c[3])
		u = u.Sub(axis.Scale(u.Dot(axis)))
		u = u.Scale(1 / u.Len())
		v := axis.Cross(u)
		for k := range ring {
			// From the direction of the first corner on.
			sin, cos := math.Sincos(2*math.Pi*float64(k)/n - 0.75*math.Pi)
			ring[k] = middle.Add(u.Scale(radius * cos)).Add(v.Scale(radius * sin))
		}
		return ring
	}
	ro, ri := round(outer), round(inner)
	for k := range n {
		next := (k + 1) % n
		side := k / (n / 4)
		near := side // the corner nearer to this part of the rim
		if k%(n/4) >= n/8 {
			near = (side + 1) % 4
		}
		s.triangle(ro[next], ro[k], outer[near])
		s.triangle(ri[k], ri[next], inner[near])
		s.quad(ro[k], ro[next], ri[next], ri[k])
		if k%(n/4) == n/8 {
			s.triangle(outer[side], outer[(side+1)%4], ro[k])
			s.triangle(inner[(side+1)%4], inner[side], ri[k])
		}
	}
}
