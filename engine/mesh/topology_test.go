package mesh_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
)

func topologyOf(t *testing.T, m *mesh.Mesh) mesh.Topology {
	t.Helper()
	got, err := mesh.TopologyOf(t.Context(), m, nil)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// band is a closed strip of n quads, its end turned over when twisted (a Möbius band).
func band(n int, twisted bool) *mesh.Mesh {
	var vertices [][3]float32
	for i := range n {
		turn := 2 * math.Pi * float64(i) / float64(n)
		s, c := math.Sincos(turn)
		lean := 0.0
		if twisted {
			lean = turn / 2
		}
		up, out := math.Sincos(math.Pi/2 - lean)
		for _, side := range []float64{-1, 1} {
			r := 5 + side*out
			vertices = append(vertices, [3]float32{float32(r * c), float32(r * s), float32(side * up)})
		}
	}
	var triangles [][3]uint32
	for i := range uint32(n) {
		a, b := 2*i, 2*i+1
		c, d := a+2, b+2
		if i == uint32(n)-1 {
			c, d = 0, 1
			if twisted {
				c, d = 1, 0
			}
		}
		triangles = append(triangles, [3]uint32{a, c, d}, [3]uint32{a, d, b})
	}
	return meshtest.Made("band", vertices, triangles)
}

func TestTopologyOf(t *testing.T) {
	far := meshtest.Box(geom.Vec{5, 5, 5}, geom.Vec{6, 6, 6})
	touching := meshtest.Box(geom.Vec{1, 1, 0}, geom.Vec{2, 2, 1}) // has the edge x = y = 1 in common
	corner := meshtest.Box(geom.Vec{1, 1, 1}, geom.Vec{2, 2, 2})   // has one vertex in common
	cube := meshtest.Cube(1)
	doubled := meshtest.Joined(cube, meshtest.Made("one again", cube.Vertices, cube.Triangles[:1]))
	turned := meshtest.Joined(meshtest.Hole(cube, 0, 1), meshtest.Flip(meshtest.Hole(cube, 1, 12)))

	for _, c := range []struct {
		name string
		mesh *mesh.Mesh
		want mesh.Topology
	}{
		{"nothing", &mesh.Mesh{}, mesh.Topology{}},
		{"one triangle", meshtest.Hole(cube, 1, 12), mesh.Topology{Vertices: 3, Edges: 3, OpenEdges: 3, Shells: 1}},
		{"cube", cube, mesh.Topology{Vertices: 8, Edges: 18, Shells: 1, Closed: true}},
		{"cube inside out", meshtest.Flip(cube), mesh.Topology{Vertices: 8, Edges: 18, Shells: 1, Closed: true}},
		{"tetrahedron", meshtest.Tetrahedron(2), mesh.Topology{Vertices: 4, Edges: 6, Shells: 1, Closed: true}},
		{"icosahedron", meshtest.Icosahedron(2), mesh.Topology{Vertices: 12, Edges: 30, Shells: 1, Closed: true}},
		{"sphere", meshtest.Sphere(5, 6), mesh.Topology{Vertices: 362, Edges: 1080, Shells: 1, Closed: true}},
		{"torus", meshtest.Torus(3, 1, 48, 24), mesh.Topology{Vertices: 1152, Edges: 3456, Shells: 1, Closed: true}},
		{"tube", meshtest.Tube(10, 1, 20), mesh.Topology{Vertices: 384, Edges: 1152, Shells: 1, Closed: true}},
		{"hole", meshtest.Hole(cube, 3, 4), mesh.Topology{Vertices: 8, Edges: 18, OpenEdges: 3, Shells: 1}},
		{"wide hole", meshtest.Hole(cube, 0, 2), mesh.Topology{Vertices: 8, Edges: 17, OpenEdges: 4, Shells: 1}},
		{"one triangle turned", turned, mesh.Topology{Vertices: 8, Edges: 18, FlippedEdges: 3, Shells: 1}},
		{"one triangle twice", doubled, mesh.Topology{Vertices: 8, Edges: 18, CrowdedEdges: 3, Shells: 1}},
		{"two apart", meshtest.Joined(cube, far), mesh.Topology{Vertices: 16, Edges: 36, Shells: 2, Closed: true}},
		{"two on one vertex", meshtest.Joined(cube, corner), mesh.Topology{Vertices: 15, Edges: 36, Shells: 2, Closed: true}},
		{"two on one edge", meshtest.Joined(cube, touching), mesh.Topology{Vertices: 14, Edges: 35, CrowdedEdges: 1, Shells: 1}},
		{"one twice", meshtest.Joined(cube, cube), mesh.Topology{Vertices: 8, Edges: 18, CrowdedEdges: 18, Shells: 1}},
		{"one and its inside out", meshtest.Joined(cube, meshtest.Flip(cube)), mesh.Topology{Vertices: 8, Edges: 18, CrowdedEdges: 18, Shells: 1}},
		{"band", band(12, false), mesh.Topology{Vertices: 24, Edges: 48, OpenEdges: 24, Shells: 1}},
		{"Möbius band", band(12, true), mesh.Topology{Vertices: 24, Edges: 48, OpenEdges: 24, FlippedEdges: 1, Shells: 1}},
		{"two equal corners", meshtest.Made("", [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 0, 0}}, [][3]uint32{{0, 1, 2}, {1, 1, 1}}), mesh.Topology{Degenerate: 2}},
		{"nought and minus nought", meshtest.Made("", [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {float32(math.Copysign(0, -1)), 0, 0}, {0, 0, 1}},
			[][3]uint32{{0, 2, 1}, {3, 1, 4}}), mesh.Topology{Vertices: 4, Edges: 5, OpenEdges: 4, Shells: 1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := topologyOf(t, c.mesh); got != c.want {
				t.Errorf("got  %+v\nwant %+v", got, c.want)
			}
			if got := topologyOf(t, meshtest.Soup(c.mesh)); got != c.want {
				t.Errorf("as a soup\ngot  %+v\nwant %+v", got, c.want)
			}
		})
	}
}

// A turn of the triangles' order or of their corners changes no count.
func TestTopologyKnowsNoOrder(t *testing.T) {
	m := meshtest.Hole(meshtest.Joined(meshtest.Torus(3, 1, 30, 10), meshtest.Torus(8, 1, 30, 10)), 40, 55)
	want := topologyOf(t, m)
	if want.Shells != 2 || want.OpenEdges == 0 {
		t.Fatalf("not the mesh that was meant: %+v", want)
	}
	for seed := range uint64(10) {
		random := rand.New(rand.NewPCG(seed, 1))
		mixed := *m
		mixed.Triangles = slices.Clone(m.Triangles)
		random.Shuffle(len(mixed.Triangles), func(i, j int) {
			mixed.Triangles[i], mixed.Triangles[j] = mixed.Triangles[j], mixed.Triangles[i]
		})
		for i, c := range mixed.Triangles {
			k := random.IntN(3)
			mixed.Triangles[i] = [3]uint32{c[k], c[(k+1)%3], c[(k+2)%3]}
		}
		if got := topologyOf(t, &mixed); got != want {
			t.Errorf("seed %d: got %+v, want %+v", seed, got, want)
		}
	}
}

// The counts agree with plain maps on random triangles, whatever they do to each other.
func TestTopologyAgainstMaps(t *testing.T) {
	for seed := range uint64(300) {
		random := rand.New(rand.NewPCG(seed, 2))
		points := 3 + random.IntN(12)
		var vertices [][3]float32
		for range 3 * random.IntN(60) {
			p := random.IntN(points)
			vertices = append(vertices, [3]float32{float32(p % 3), float32(p / 3), 1})
		}
		m := meshtest.Made("", vertices, nil)
		if got, want := topologyOf(t, m), plainTopology(m); got != want {
			t.Fatalf("seed %d\ngot  %+v\nwant %+v", seed, got, want)
		}
	}
}

func plainTopology(m *mesh.Mesh) mesh.Topology {
	var want mesh.Topology
	type edge [2]geom.Vec
	uses := map[edge][]int{} // triangle numbers from 1, negative when the edge is run backwards
	seen := map[geom.Vec]bool{}
	piece := map[int]int{}
	for i := range m.Len() {
		a, b, c := m.Triangle(i)
		if a == b || b == c || c == a {
			want.Degenerate++
			continue
		}
		piece[i+1] = i + 1
		for _, e := range []edge{{a, b}, {b, c}, {c, a}} {
			seen[e[0]] = true
			if slices.Compare(e[0][:], e[1][:]) > 0 {
				uses[edge{e[1], e[0]}] = append(uses[edge{e[1], e[0]}], -(i + 1))
			} else {
				uses[e] = append(uses[e], i+1)
			}
		}
	}
	want.Vertices, want.Edges = len(seen), len(uses)
	abs := func(i int) int { return max(i, -i) }
	for _, u := range uses {
		switch {
		case len(u) == 1:
			want.OpenEdges++
		case len(u) > 2:
			want.CrowdedEdges++
		case u[0]*u[1] > 0:
			want.FlippedEdges++
		}
		for _, other := range u[1:] {
			from, to := piece[abs(other)], piece[abs(u[0])]
			for i, p := range piece {
				if p == from {
					piece[i] = to
				}
			}
		}
	}
	distinct := map[int]bool{}
	for _, p := range piece {
		distinct[p] = true
	}
	want.Shells = len(distinct)
	want.Closed = want.Edges > 0 && want.OpenEdges+want.CrowdedEdges+want.FlippedEdges == 0
	return want
}

func TestWeld(t *testing.T) {
	m := meshtest.Torus(3, 1, 24, 12)
	m.Origin = geom.Vec{100, 0, 0}
	for name, from := range map[string]*mesh.Mesh{"soup": meshtest.Soup(m), "indexed": m} {
		w := mesh.Weld(from)
		if len(w.Vertices) != 24*12 || w.Len() != m.Len() || w.Name != m.Name || w.Origin != m.Origin {
			t.Fatalf("%s: %d vertices, %d triangles, name %q, origin %v", name, len(w.Vertices), w.Len(), w.Name, w.Origin)
		}
		next := uint32(0)
		for i := range m.Len() {
			for _, v := range w.Triangles[i] {
				if v > next {
					t.Fatalf("%s: triangle %d uses vertex %d before %d", name, i, v, next)
				}
				next = max(next, v+1)
			}
			a, b, c := m.Triangle(i)
			if x, y, z := w.Triangle(i); x != a || y != b || z != c {
				t.Fatalf("%s: triangle %d moved", name, i)
			}
		}
		again := mesh.Weld(w)
		if !slices.Equal(again.Vertices, w.Vertices) || !slices.Equal(again.Triangles, w.Triangles) {
			t.Errorf("%s: welding twice is not welding once", name)
		}
	}
	spare := meshtest.Made("", [][3]float32{{9, 9, 9}, {0, 0, 0}, {1, 0, 0}, {0, 0, 0}}, [][3]uint32{{3, 2, 1}})
	w := mesh.Weld(spare)
	if !slices.Equal(w.Vertices, [][3]float32{{0, 0, 0}, {1, 0, 0}}) || w.Triangles[0] != [3]uint32{0, 1, 0} {
		t.Errorf("welded to %v %v", w.Vertices, w.Triangles)
	}
	if w := mesh.Weld(&mesh.Mesh{}); w.Len() != 0 || len(w.Vertices) != 0 {
		t.Errorf("nothing welded to %v", w)
	}
}

func TestTopologyStops(t *testing.T) {
	m := meshtest.Torus(3, 1, 400, 200)
	for stopAt := range 12 {
		ctx, stop := context.WithCancel(t.Context())
		asked := 0
		last := -1.0
		_, err := mesh.TopologyOf(ctx, m, func(done float64) {
			if done < last || done > 1 {
				t.Errorf("progress went from %v to %v", last, done)
			}
			last = done
			if asked++; asked > stopAt {
				stop()
			}
		})
		stop()
		if !errors.Is(err, context.Canceled) && last != 1 {
			t.Errorf("stopped at report %d: error %v", stopAt, err)
		}
		if err != nil && last == 1 {
			t.Errorf("stopped at report %d: failed with %v after progress 1", stopAt, err)
		}
	}
}

func TestNewRefuses(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(-1))
	three := [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}
	for _, c := range []struct {
		name      string
		origin    geom.Vec
		vertices  [][3]float32
		triangles [][3]uint32
		want      error
	}{
		{"sound", geom.Vec{}, three, [][3]uint32{{0, 1, 2}}, nil},
		{"sound soup", geom.Vec{}, three, nil, nil},
		{"empty", geom.Vec{}, nil, nil, nil},
		{"no triangles", geom.Vec{}, three[:2], [][3]uint32{}, nil},
		{"index", geom.Vec{}, three, [][3]uint32{{0, 1, 2}, {0, 3, 1}}, mesh.ErrIndex},
		{"huge index", geom.Vec{}, three, [][3]uint32{{math.MaxUint32, 1, 2}}, mesh.ErrIndex},
		{"not a number", geom.Vec{}, [][3]float32{{0, 0, 0}, {0, nan, 0}, {0, 0, 0}}, nil, mesh.ErrNotFinite},
		{"infinite", geom.Vec{}, [][3]float32{{0, 0, inf}, {0, 0, 0}, {0, 0, 0}}, nil, mesh.ErrNotFinite},
		{"origin", geom.Vec{0, math.Inf(1), 0}, three, nil, mesh.ErrNotFinite},
		{"soup of four", geom.Vec{}, append(three, three[0]), nil, mesh.ErrSoup},
	} {
		m, err := mesh.New(c.name, c.origin, c.vertices, c.triangles)
		if !errors.Is(err, c.want) || (err == nil) != (m != nil) {
			t.Errorf("%s: %v, %v; want %v", c.name, m, err, c.want)
		}
	}
}

// million is a million triangles as binary STL gives them.
func million() *mesh.Mesh { return meshtest.Soup(meshtest.Torus(30, 10, 1000, 500)) }

func BenchmarkTopologyOf(b *testing.B) {
	m := million()
	shuffled := meshtest.Soup(m)
	rand.New(rand.NewPCG(1, 1)).Shuffle(m.Len(), func(i, j int) {
		for k := range 3 {
			shuffled.Vertices[3*i+k], shuffled.Vertices[3*j+k] = shuffled.Vertices[3*j+k], shuffled.Vertices[3*i+k]
		}
	})
	for name, m := range map[string]*mesh.Mesh{"in order": m, "shuffled": shuffled, "welded": mesh.Weld(m),
		"all apart": meshtest.Jitter(m, 1, 1)} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := mesh.TopologyOf(b.Context(), m, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkMeasuresOf(b *testing.B) {
	m := million()
	for b.Loop() {
		mesh.MeasuresOf(m)
	}
}
