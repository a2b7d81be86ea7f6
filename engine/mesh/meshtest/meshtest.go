// Package meshtest builds the solids and the faults that tests all over the engine and
// the formats need, and that have known measures. Lengths are in file units; everything
// is closed and faces outwards unless its name says otherwise. It is for tests: a builder
// that is asked for nonsense panics.
package meshtest

import (
	"math"
	"math/rand/v2"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// build makes a mesh from double precision vertices, rounded to float32.
func build(name string, vertices []geom.Vec, triangles [][3]uint32) *mesh.Mesh {
	rounded := make([][3]float32, len(vertices))
	for i, v := range vertices {
		rounded[i] = [3]float32{float32(v[0]), float32(v[1]), float32(v[2])}
	}
	return Made(name, rounded, triangles)
}

// Made is mesh.New without an origin, for what is known to be right.
func Made(name string, vertices [][3]float32, triangles [][3]uint32) *mesh.Mesh {
	m, err := mesh.New(name, geom.Vec{}, vertices, triangles)
	if err != nil {
		panic(err)
	}
	return m
}

// Cube is a cube from the origin up: 8 vertices, 12 triangles.
func Cube(side float64) *mesh.Mesh { return Box(geom.Vec{}, geom.Vec{side, side, side}) }

// Box is an axis-aligned box between two corners.
func Box(low, high geom.Vec) *mesh.Mesh {
	var vertices []geom.Vec
	for i := range 8 {
		v := low
		for axis := range v {
			if i>>axis&1 != 0 {
				v[axis] = high[axis]
			}
		}
		vertices = append(vertices, v)
	}
	var triangles [][3]uint32
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		triangles = append(triangles, [3]uint32{q[0], q[1], q[2]}, [3]uint32{q[0], q[2], q[3]})
	}
	return build("box", vertices, triangles)
}

// Corner is the corner tetrahedron (0,0,0), (side,0,0), (0,side,0), (0,0,side).
func Corner(side float64) *mesh.Mesh {
	return build("corner", []geom.Vec{{}, {side, 0, 0}, {0, side, 0}, {0, 0, side}},
		[][3]uint32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}})
}

// Tetrahedron is the regular one with this edge, centred on the origin.
func Tetrahedron(edge float64) *mesh.Mesh {
	s := edge / (2 * math.Sqrt2)
	return build("tetrahedron", []geom.Vec{{s, s, s}, {s, -s, -s}, {-s, s, -s}, {-s, -s, s}},
		[][3]uint32{{0, 1, 2}, {0, 3, 1}, {0, 2, 3}, {1, 3, 2}})
}

// Icosahedron is the regular one with this edge, centred on the origin.
func Icosahedron(edge float64) *mesh.Mesh {
	vertices, triangles := icosahedron()
	for i := range vertices {
		vertices[i] = vertices[i].Scale(edge / 2)
	}
	return build("icosahedron", vertices, triangles)
}

// icosahedron has the edge 2.
func icosahedron() ([]geom.Vec, [][3]uint32) {
	g := (1 + math.Sqrt(5)) / 2
	return []geom.Vec{
			{-1, g, 0}, {1, g, 0}, {-1, -g, 0}, {1, -g, 0},
			{0, -1, g}, {0, 1, g}, {0, -1, -g}, {0, 1, -g},
			{g, 0, -1}, {g, 0, 1}, {-g, 0, -1}, {-g, 0, 1},
		}, [][3]uint32{
			{0, 11, 5}, {0, 5, 1}, {0, 1, 7}, {0, 7, 10}, {0, 10, 11},
			{1, 5, 9}, {5, 11, 4}, {11, 10, 2}, {10, 7, 6}, {7, 1, 8},
			{3, 9, 4}, {3, 4, 2}, {3, 2, 6}, {3, 6, 8}, {3, 8, 9},
			{4, 9, 5}, {2, 4, 11}, {6, 2, 10}, {8, 6, 7}, {9, 8, 1},
		}
}

// Sphere is an icosahedron whose edges were cut in n, with all vertices on the sphere of
// this radius about the origin: 20·n² triangles of nearly equal size.
func Sphere(radius float64, n int) *mesh.Mesh {
	corners, faces := icosahedron()
	var vertices []geom.Vec
	known := map[[3]int64]uint32{}
	add := func(p geom.Vec) uint32 {
		p = p.Scale(radius / p.Len())
		// Neighbouring faces reach a shared point by different roundings.
		var key [3]int64
		for i := range p {
			key[i] = int64(math.Round(p[i] / radius * 1e9))
		}
		at, ok := known[key]
		if !ok {
			at = uint32(len(vertices))
			known[key] = at
			vertices = append(vertices, p)
		}
		return at
	}
	var triangles [][3]uint32
	for _, f := range faces {
		a, b, c := corners[f[0]], corners[f[1]], corners[f[2]]
		at := func(i, j int) uint32 {
			u, v := float64(i)/float64(n), float64(j)/float64(n)
			return add(a.Add(b.Sub(a).Scale(u)).Add(c.Sub(a).Scale(v)))
		}
		for i := range n {
			for j := range n - i {
				triangles = append(triangles, [3]uint32{at(i, j), at(i+1, j), at(i, j+1)})
				if i+j < n-1 {
					triangles = append(triangles, [3]uint32{at(i+1, j), at(i+1, j+1), at(i, j+1)})
				}
			}
		}
	}
	return build("sphere", vertices, triangles)
}

// Torus is a ring about the z axis, the middle of its tube ring away from it and the tube
// of radius tube, as a grid of around × across facets with its vertices on the torus.
func Torus(ring, tube float64, around, across int) *mesh.Mesh {
	vertices := make([]geom.Vec, 0, around*across)
	for i := range around {
		si, ci := math.Sincos(2 * math.Pi * float64(i) / float64(around))
		for j := range across {
			sj, cj := math.Sincos(2 * math.Pi * float64(j) / float64(across))
			r := ring + tube*cj
			vertices = append(vertices, geom.Vec{r * ci, r * si, tube * sj})
		}
	}
	var triangles [][3]uint32
	for i := range around {
		for j := range across {
			at := func(i, j int) uint32 { return uint32(i%around*across + j%across) }
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			triangles = append(triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
		}
	}
	return build("torus", vertices, triangles)
}

// circle has n points on a circle about the z axis.
func circle(radius, z float64, n int) []geom.Vec {
	points := make([]geom.Vec, n)
	for i := range points {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		points[i] = geom.Vec{radius * c, radius * s, z}
	}
	return points
}

// Prism is a regular n-gon prism about the z axis from z = 0 up, its vertices on the
// cylinder of this radius.
func Prism(radius, height float64, n int) *mesh.Mesh {
	vertices := slices.Concat(circle(radius, 0, n), circle(radius, height, n))
	var triangles [][3]uint32
	for i := range n {
		a, b := uint32(i), uint32((i+1)%n)
		c, d := b+uint32(n), a+uint32(n)
		triangles = append(triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
	}
	for i := 1; i < n-1; i++ {
		a, b := uint32(i), uint32(i+1)
		triangles = append(triangles, [3]uint32{0, b, a}, [3]uint32{uint32(n), uint32(n) + a, uint32(n) + b})
	}
	return build("prism", vertices, triangles)
}

// Tube is a pipe about the z axis from z = 0 up with this outer diameter and wall, round
// by 96 flats.
func Tube(diameter, wall, height float64) *mesh.Mesh {
	const n = 96
	outer, inner := diameter/2, diameter/2-wall
	vertices := slices.Concat(circle(outer, 0, n), circle(outer, height, n), circle(inner, height, n), circle(inner, 0, n))
	var triangles [][3]uint32
	for ring := range uint32(4) {
		for i := range uint32(n) {
			j, next := (i+1)%n, (ring+1)%4*n
			a, b, c, d := ring*n+i, ring*n+j, next+j, next+i
			triangles = append(triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
		}
	}
	return build("tube", vertices, triangles)
}

// Flip is m turned inside out.
func Flip(m *mesh.Mesh) *mesh.Mesh {
	triangles := make([][3]uint32, m.Len())
	for i := range triangles {
		c := m.Corners(i)
		triangles[i] = [3]uint32{c[0], c[2], c[1]}
	}
	return &mesh.Mesh{Name: m.Name, Origin: m.Origin, Vertices: m.Vertices, Triangles: triangles}
}

// Hole is m without its triangles from to to.
func Hole(m *mesh.Mesh, from, to int) *mesh.Mesh {
	triangles := make([][3]uint32, 0, m.Len())
	for i := range m.Len() {
		if i < from || i >= to {
			triangles = append(triangles, m.Corners(i))
		}
	}
	return &mesh.Mesh{Name: m.Name, Origin: m.Origin, Vertices: m.Vertices, Triangles: triangles}
}

// Jitter is m with every vertex moved by up to amount along each axis, always in the
// same way for the same seed. Vertices that were shared stay shared only by index.
func Jitter(m *mesh.Mesh, amount float64, seed uint64) *mesh.Mesh {
	random := rand.New(rand.NewPCG(seed, 0))
	return Moved(m, func(v geom.Vec) geom.Vec {
		for i := range v {
			v[i] += amount * (2*random.Float64() - 1)
		}
		return v
	})
}

// Moved is m with every vertex put through f, once, in order, and rounded to float32.
func Moved(m *mesh.Mesh, f func(geom.Vec) geom.Vec) *mesh.Mesh {
	vertices := make([][3]float32, len(m.Vertices))
	for i, v := range m.Vertices {
		p := f(geom.Vec{float64(v[0]), float64(v[1]), float64(v[2])})
		vertices[i] = [3]float32{float32(p[0]), float32(p[1]), float32(p[2])}
	}
	return &mesh.Mesh{Name: m.Name, Origin: m.Origin, Vertices: vertices, Triangles: m.Triangles}
}

// Scaled is m times f about its origin.
func Scaled(m *mesh.Mesh, f float64) *mesh.Mesh {
	s := Moved(m, func(v geom.Vec) geom.Vec { return v.Scale(f) })
	s.Origin = m.Origin.Scale(f)
	return s
}

// Soup is m with three vertices of its own for every triangle.
func Soup(m *mesh.Mesh) *mesh.Mesh {
	vertices := make([][3]float32, 0, 3*m.Len())
	for i := range m.Len() {
		for _, v := range m.Corners(i) {
			vertices = append(vertices, m.Vertices[v])
		}
	}
	return &mesh.Mesh{Name: m.Name, Origin: m.Origin, Vertices: vertices}
}

// Joined puts meshes with the same origin into one, side by side or through each other.
func Joined(meshes ...*mesh.Mesh) *mesh.Mesh {
	all := &mesh.Mesh{Name: meshes[0].Name, Origin: meshes[0].Origin}
	for _, m := range meshes {
		if m.Origin != all.Origin {
			panic("meshtest: meshes about different origins")
		}
		base := uint32(len(all.Vertices))
		all.Vertices = append(all.Vertices, m.Vertices...)
		for i := range m.Len() {
			c := m.Corners(i)
			all.Triangles = append(all.Triangles, [3]uint32{base + c[0], base + c[1], base + c[2]})
		}
	}
	return all
}
