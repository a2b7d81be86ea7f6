package survey_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// sound is the health of a mesh that nothing is wrong with.
func sound(h survey.Health) bool {
	return h.OpenEdges+h.CrowdedEdges+h.FlippedEdges+len(h.Edges)+h.Degenerate+h.Doubled+h.Crossings+len(h.CrossAt)+
		h.InvertedShells+h.BuriedShells+h.Strays+len(h.StrayAt) == 0 && !h.InsideOut && h.Complete
}

func TestSoundMeshes(t *testing.T) {
	hollow := meshtest.Joined(meshtest.Cube(20), meshtest.Flip(meshtest.Box(geom.Vec{1, 1, 1}, geom.Vec{19, 19, 19})))
	stacked := meshtest.Joined(meshtest.Cube(10), meshtest.Box(geom.Vec{2, 2, 10}, geom.Vec{8, 8, 20})) // they touch
	for name, m := range map[string]*mesh.Mesh{
		"cube": meshtest.Cube(10), "ball": meshtest.Sphere(10, 20), "ring": meshtest.Torus(20, 3, 60, 24), "tube": meshtest.Tube(20, 1, 30),
		"hollow": hollow, "stacked": stacked, "slot": extruded(20, []point{{-15, 0}, {15, 0}, {15, 15}, {1, 15}, {1, 7}, {-1, 7}, {-1, 15}, {-15, 15}}),
	} {
		for how, m := range variants(m) {
			h := health(t, m)
			if how == " inside out" {
				if !h.InsideOut {
					t.Errorf("%s is not inside out", name)
				}
				h.InsideOut = false
			}
			if !sound(h) {
				t.Errorf("%s%s: %+v", name, how, h)
			}
		}
	}
}

func health(t *testing.T, m *mesh.Mesh) survey.Health {
	t.Helper()
	h, err := survey.HealthOf(t.Context(), m)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func TestFaultsAreCounted(t *testing.T) {
	check := func(name string, m *mesh.Mesh, want func(h survey.Health) bool) {
		t.Helper()
		if h := health(t, m); !want(h) || sound(h) {
			t.Errorf("%s: %+v", name, h)
		}
	}
	hole := meshtest.Hole(meshtest.Sphere(10, 10), 100, 101)
	check("hole", hole, func(h survey.Health) bool {
		if h.OpenEdges != 3 || len(h.Edges) != 3 {
			return false
		}
		a, b, c := meshtest.Sphere(10, 10).Triangle(100)
		for _, e := range h.Edges {
			if e.Sub(a.Add(b).Add(c).Scale(1.0/3)).Len() > a.Sub(b).Len() {
				return false
			}
		}
		return h.CrowdedEdges == 0 && h.FlippedEdges == 0
	})
	flipped := meshtest.Soup(meshtest.Sphere(10, 10))
	flipped.Vertices[30], flipped.Vertices[31] = flipped.Vertices[31], flipped.Vertices[30]
	check("flipped", flipped, func(h survey.Health) bool { return h.FlippedEdges == 3 && h.OpenEdges == 0 && !h.InsideOut })

	doubled := meshtest.Cube(10)
	doubled.Triangles = append(doubled.Triangles, doubled.Triangles[3], doubled.Triangles[3], [3]uint32{doubled.Triangles[5][1], doubled.Triangles[5][0], doubled.Triangles[5][2]})
	check("doubled", doubled, func(h survey.Health) bool { return h.Doubled == 3 && h.CrowdedEdges > 0 && h.Crossings == 0 })

	leaf := meshtest.Made("leaf", [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, [][3]uint32{{0, 1, 2}, {2, 1, 0}})
	check("leaf", leaf, func(h survey.Health) bool { return h.Doubled == 1 })

	flat := meshtest.Cube(10)
	flat.Triangles = append(flat.Triangles, [3]uint32{0, 0, 1}, [3]uint32{2, 1, 1})
	check("degenerate", flat, func(h survey.Health) bool { return h.Degenerate == 2 && h.OpenEdges == 0 })

	inner := meshtest.Box(geom.Vec{5, 5, 5}, geom.Vec{9, 9, 9})
	check("buried", meshtest.Joined(meshtest.Cube(20), inner), func(h survey.Health) bool { return h.BuriedShells == 1 && h.InvertedShells == 0 && h.Crossings == 0 })
	beside := moved(meshtest.Flip(meshtest.Cube(5)), geom.Vec{40, 0, 0})
	check("inverted", meshtest.Joined(meshtest.Cube(20), beside), func(h survey.Health) bool { return h.InvertedShells == 1 && h.BuriedShells == 0 && !h.InsideOut })

	crumbs := meshtest.Joined(meshtest.Cube(50), moved(meshtest.Cube(0.1), geom.Vec{60, 1, 1}), moved(meshtest.Cube(0.3), geom.Vec{61, 1, 1}), moved(meshtest.Cube(5), geom.Vec{-10, 1, 1}))
	check("crumbs", crumbs, func(h survey.Health) bool {
		return h.Strays == 2 && len(h.StrayAt) == 2 && h.StrayAt[0].Triangles == 12 && near(h.StrayAt[0].Box.Size()[0], 0.1, 1e-4) && near(h.StrayAt[1].Box.Min[0], 61, 1e-6)
	})
	for largest, step := range map[float64]float64{1: 0x1p-23, 1.5: 0x1p-23, 1000: 0x1p-14, 0.75: 0x1p-24} {
		if h := health(t, meshtest.Cube(largest)); h.Step != step {
			t.Errorf("the step at %g is %g, want %g", largest, h.Step, step)
		}
	}
}

// Needles through a ball: each is a thin prism with three sides, whose long edges pass
// through the ball twice, far from all edges of its facets.
func TestPlantedCrossingsAreCounted(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	ball := meshtest.Sphere(10, 6)
	for range 20 {
		tri := random.IntN(ball.Len())
		a, b, c := ball.Triangle(tri)
		middle := a.Add(b).Add(c).Scale(1.0 / 3)
		out := b.Sub(a).Cross(c.Sub(a))
		out = out.Scale(1 / out.Len())
		u := b.Sub(a).Scale(1 / b.Sub(a).Len())
		v := out.Cross(u)
		needle := meshtest.Moved(meshtest.Prism(0.05, 1, 3), func(p geom.Vec) geom.Vec {
			return middle.Add(u.Scale(p[0])).Add(v.Scale(p[1])).Add(out.Scale(p[2] - 0.5))
		})
		for how, m := range variants(meshtest.Joined(ball, needle)) {
			if how == " finer" {
				continue // which cuts what crosses
			}
			h := health(t, m)
			// Three long edges, each of two facets, and a diagonal in each of three sides:
			// all six side facets pass through the one facet.
			if h.Crossings != 6 || len(h.CrossAt) != 6 || !h.Complete {
				t.Fatalf("%s: %d crossings at %v, want 6", how, h.Crossings, h.CrossAt)
			}
			if how == "" {
				for _, at := range h.CrossAt {
					if at.Sub(middle).Len() > 0.06 {
						t.Fatalf("crossing at %v, want %v", at, middle)
					}
				}
			}
		}
	}
}

// Against every pair, by another test: whether a segment and a triangle have a common point
// in double precision, on triangles where rounding does not decide.
func TestCrossingsAgainstEveryPair(t *testing.T) {
	total := 0
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 77))
		vertices := make([][3]float32, 3*60)
		for i := range vertices {
			for k := range 3 {
				vertices[i][k] = float32(random.NormFloat64())
			}
		}
		m := meshtest.Made("loose", vertices, nil)
		want := 0
		for i := range m.Len() {
			for j := range i {
				if plainlyCross(m, i, j) {
					want++
				}
			}
		}
		h := health(t, m)
		if h.Crossings != want || len(h.CrossAt) != min(want, 64) {
			t.Errorf("seed %d: %d crossings, %d places, want %d", seed, h.Crossings, len(h.CrossAt), want)
		}
		total += want
	}
	if total < 1000 {
		t.Errorf("only %d crossings in all", total)
	}
}

func plainlyCross(m *mesh.Mesh, i, j int) bool {
	for range 2 {
		a, b, c := m.Triangle(i)
		p, q, r := m.Triangle(j)
		for _, side := range [3][2]geom.Vec{{p, q}, {q, r}, {r, p}} {
			d := side[1].Sub(side[0])
			e1, e2 := b.Sub(a), c.Sub(a)
			h := d.Cross(e2)
			det := e1.Dot(h)
			s := side[0].Sub(a)
			u := s.Dot(h) / det
			x := s.Cross(e1)
			v, at := d.Dot(x)/det, e2.Dot(x)/det
			if u >= 0 && v >= 0 && u+v <= 1 && at >= 0 && at <= 1 {
				return true
			}
		}
		i, j = j, i
	}
	return false
}

// A tangle in which every triangle meets every other is counted as far as the search goes,
// and says so.
func TestCrossingsAreBounded(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	var vertices [][3]float32
	random := rand.New(rand.NewPCG(5, 5))
	for range 6000 {
		s, c := math.Sincos(2 * math.Pi * random.Float64())
		x, y := float32(s), float32(c)
		vertices = append(vertices, [3]float32{x, y, -1}, [3]float32{-x, -y, random.Float32()}, [3]float32{y, -x, 1})
	}
	h := health(t, meshtest.Made("tangle", vertices, nil))
	if h.Complete || h.Crossings < 10000 || len(h.CrossAt) != 64 {
		t.Errorf("complete %t, %d crossings, %d places", h.Complete, h.Crossings, len(h.CrossAt))
	}
	if slices.ContainsFunc(h.CrossAt, func(v geom.Vec) bool { return v.Len() > 2 }) {
		t.Errorf("crossings at %v", h.CrossAt)
	}
}
