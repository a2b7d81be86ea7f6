package survey_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// placed is m, with its rounds, drawn in a unit of its own: what the kit sees is as large
// and stands where m does.
func placed(t *testing.T, m *mesh.Mesh, unit float64) survey.Placed {
	t.Helper()
	drawn := meshtest.Scaled(m, 1/unit)
	drawn.Origin = m.Origin.Scale(1 / unit)
	f := rounds(t, drawn)
	for _, list := range [][]survey.Round{f.Bores, f.Pegs} {
		for i := range list {
			list[i].Centre = list[i].Centre.Add(drawn.Origin)
		}
	}
	return survey.Placed{
		Box: mesh.MeasuresOf(drawn).Box, Bores: f.Bores, Pegs: f.Pegs,
		Place: func(v geom.Vec) geom.Vec { return v.Scale(unit) },
		Mesh:  func(context.Context) (*mesh.Mesh, error) { return drawn, nil },
	}
}

func between(t *testing.T, parts ...survey.Placed) survey.Assembly {
	t.Helper()
	last := 0.0
	a, err := survey.Between(t.Context(), parts, func(done float64) {
		if done < last {
			t.Errorf("%g after %g", done, last)
		}
		last = done
	})
	if err != nil || last != 1 || !a.Complete {
		t.Fatalf("%v, ends at %g, complete %t", err, last, a.Complete)
	}
	return a
}

// turnedUp is y up in the file, z up in the kit.
func turnedUp(p survey.Placed) survey.Placed {
	mesh0, place := p.Mesh, p.Place
	lie := func(v geom.Vec) geom.Vec { return geom.Vec{v[0], v[2], -v[1]} }
	box := geom.EmptyBox().Add(lie(p.Box.Min)).Add(lie(p.Box.Max))
	out := survey.Placed{
		Box: box, Place: func(v geom.Vec) geom.Vec { return place(geom.Vec{v[0], -v[2], v[1]}) },
		Mesh: func(ctx context.Context) (*mesh.Mesh, error) {
			m, err := mesh0(ctx)
			if err != nil {
				return nil, err
			}
			turned := *m
			turned.Origin = lie(m.Origin)
			turned.Vertices = make([][3]float32, len(m.Vertices))
			for i, v := range m.Vertices {
				turned.Vertices[i] = [3]float32{v[0], v[2], -v[1]}
			}
			return &turned, nil
		},
	}
	for _, r := range p.Bores {
		r.Axis, r.Centre = lie(r.Axis), lie(r.Centre)
		out.Bores = append(out.Bores, r)
	}
	for _, r := range p.Pegs {
		r.Axis, r.Centre = lie(r.Axis), lie(r.Centre)
		out.Pegs = append(out.Pegs, r)
	}
	return out
}

func TestPegsInBores(t *testing.T) {
	const sides = 32
	for _, c := range []struct{ bore, peg, unit float64 }{{3, 2.8, 1}, {3, 3, 1}, {3, 3.05, 25.4}, {8, 7.5, 1000}, {1, 0.99, 0.001}} {
		plate := extruded(6, rectangle(-20, -15, 20, 15), ngon(4, 5, c.bore/2, sides))
		peg := moved(meshtest.Prism(c.peg/2, 10, sides), geom.Vec{4, 5, 2})
		for how, turn := range map[string]func(m *mesh.Mesh) *mesh.Mesh{
			"": func(m *mesh.Mesh) *mesh.Mesh { return m }, " tilted": tilted, " far off": func(m *mesh.Mesh) *mesh.Mesh { return about(m, geom.Vec{1e5, 2e5, 3e5}) },
		} {
			for _, up := range []bool{false, true} {
				one, other := placed(t, turn(plate), 1), placed(t, turn(peg), c.unit)
				if up {
					other = turnedUp(other)
				}
				a := between(t, one, other)
				if len(a.Fits) != 1 || len(a.Neighbours) != 1 {
					t.Fatalf("%+v%s: %+v", c, how, a)
				}
				f, clearance := a.Fits[0], c.bore-c.peg
				flats := c.bore*math.Cos(math.Pi/sides) - c.peg
				if f.Inner != 1 || f.Outer != 0 || f.Peg != 0 || f.Bore != 0 ||
					math.Abs(f.Clearance-clearance) > 4e-6*c.bore || math.Abs(f.Flats-flats) > 4e-6*c.bore || math.Abs(f.Length-4) > 1e-4 {
					t.Errorf("%+v%s: %+v, want %g and %g", c, how, f, clearance, flats)
				}
				switch n := a.Neighbours[0]; {
				case n.One != 0 || n.Other != 1 || !n.Complete:
					t.Errorf("%+v%s: %+v", c, how, n)
				case flats < -1e-5 && n.Relation != survey.Overlapping:
					t.Errorf("%+v%s: %+v, want overlapping", c, how, n)
				case flats > 1e-5 && (n.Relation != survey.Apart || n.Distance > clearance/2+1e-5 || n.Distance < flats/2-1e-5):
					t.Errorf("%+v%s: %+v, want apart by %g to %g", c, how, n, flats/2, clearance/2)
				}
			}
		}
	}
}

// Boxes at known distances: face to face, edge to edge, corner to corner.
func TestDistancesOfBoxes(t *testing.T) {
	block := func(x, y, z float64) *mesh.Mesh {
		return meshtest.Box(geom.Vec{x, y, z}, geom.Vec{x + 10, y + 10, z + 10})
	}
	far := meshtest.Box(geom.Vec{-300, 0, 0}, geom.Vec{-290, 5, 5}) // so that the kit is large
	gap := 0.75
	for _, c := range []struct {
		name     string
		at       [3]float64
		relation survey.Relation
		distance float64
	}{
		{"beside", [3]float64{10 + gap, 1, 2}, survey.Apart, gap},
		{"edge to edge", [3]float64{10 + gap, 2, 10 + gap}, survey.Apart, gap * math.Sqrt2},
		{"corner to corner", [3]float64{10 + gap, 10 + gap, 10 + gap}, survey.Apart, gap * math.Sqrt(3)},
		{"on it", [3]float64{3, 2, 10}, survey.Touching, 0},
		{"along an edge", [3]float64{10, 2, 10}, survey.Touching, 0},
		{"into it", [3]float64{3, 2, 9.5}, survey.Overlapping, 0},
		{"the same", [3]float64{0, 0, 0}, survey.Overlapping, 0},
		{"half of it", [3]float64{5, 0, 0}, survey.Overlapping, 0},
	} {
		for how, turn := range map[string]func(m *mesh.Mesh) *mesh.Mesh{
			"": func(m *mesh.Mesh) *mesh.Mesh { return m }, " tilted": tilted,
			" finer":   func(m *mesh.Mesh) *mesh.Mesh { return finer(m, 5) },
			" far off": func(m *mesh.Mesh) *mesh.Mesh { return about(m, geom.Vec{1e5, 2e5, 3e5}) },
		} {
			a := between(t, placed(t, turn(block(0, 0, 0)), 1), placed(t, turn(far), 1), placed(t, turn(block(c.at[0], c.at[1], c.at[2])), 25.4))
			if len(a.Neighbours) != 1 || a.Neighbours[0].One != 0 || a.Neighbours[0].Other != 2 {
				t.Errorf("%s%s: %+v", c.name, how, a)
				continue
			}
			n := a.Neighbours[0]
			if n.Relation != c.relation || math.Abs(n.Distance-c.distance) > 2e-6*10 || !n.Complete {
				t.Errorf("%s%s: %+v, want %s, %g", c.name, how, n, c.relation, c.distance)
			}
			if c.name == "into it" && !near(n.Depth, 0.5, 1e-4) || n.Relation != survey.Overlapping && n.Depth != 0 {
				t.Errorf("%s%s: %g deep", c.name, how, n.Depth)
			}
			if d := n.At.Sub(n.OtherAt).Len(); n.Relation == survey.Apart && math.Abs(d-n.Distance) > 1e-9 {
				t.Errorf("%s%s: from %v to %v are %g, not %g", c.name, how, n.At, n.OtherAt, d, n.Distance)
			}
		}
	}
	if a := between(t, placed(t, block(0, 0, 0), 1), placed(t, far, 1)); len(a.Neighbours) != 0 {
		t.Errorf("far apart: %+v", a)
	}
}

// What lies in the material of another overlaps, what lies in its hollow does not.
func TestOneInAnother(t *testing.T) {
	hollow := meshtest.Joined(meshtest.Cube(100), meshtest.Flip(meshtest.Box(geom.Vec{10, 10, 10}, geom.Vec{90, 90, 90})))
	for _, c := range []struct {
		name     string
		at       float64
		relation survey.Relation
		distance float64
	}{
		{"in the hollow", 12, survey.Apart, 2},
		{"in the wall", 3, survey.Overlapping, 0},
		{"at the wall", 10, survey.Touching, 0},
	} {
		ball := meshtest.Box(geom.Vec{c.at, 40, 40}, geom.Vec{c.at + 4, 44, 44})
		a := between(t, placed(t, ball, 1), placed(t, hollow, 1))
		if len(a.Neighbours) != 1 || a.Neighbours[0].Relation != c.relation || math.Abs(a.Neighbours[0].Distance-c.distance) > 1e-6 {
			t.Errorf("%s: %+v", c.name, a.Neighbours)
		}
	}
	if a := between(t, placed(t, meshtest.Box(geom.Vec{40, 40, 40}, geom.Vec{50, 50, 50}), 1), placed(t, hollow, 1)); len(a.Neighbours) != 0 {
		t.Errorf("in the middle of the hollow: %+v", a.Neighbours)
	}
	if a := between(t, placed(t, meshtest.Box(geom.Vec{40, 40, 40}, geom.Vec{50, 50, 50}), 1), placed(t, meshtest.Cube(100), 1)); len(a.Neighbours) != 1 || a.Neighbours[0].Relation != survey.Overlapping {
		t.Errorf("in the middle of a block: %+v", a.Neighbours)
	}
}

// A square peg in a square hole has the room of both sides together; what stands on
// something, or beside it, is in nothing.
func TestSquareFits(t *testing.T) {
	plate := extruded(8, rectangle(-20, -20, 20, 20), rectangle(-5, -4, 5, 4))
	peg := meshtest.Box(geom.Vec{-4.9, -3.7, 1}, geom.Vec{4.7, 3.8, 30})
	for how, turn := range map[string]func(m *mesh.Mesh) *mesh.Mesh{"": func(m *mesh.Mesh) *mesh.Mesh { return m }, " tilted": tilted} {
		a := between(t, placed(t, turn(plate), 1), placed(t, turn(peg), 25.4))
		if len(a.Fits) != 1 {
			t.Fatalf("%s: %+v", how, a.Fits)
		}
		if f := a.Fits[0]; f.Inner != 1 || f.Outer != 0 || f.Peg != -1 || f.Bore != -1 || math.Abs(f.Clearance-0.4) > 1e-5 {
			t.Errorf("%s: %+v, want a clearance of 0.4", how, f)
		}
		if n := a.Neighbours[0]; n.Relation != survey.Apart || math.Abs(n.Distance-0.1) > 1e-5 {
			t.Errorf("%s: %+v, want 0.1 apart", how, n)
		}
	}
	for name, m := range map[string]*mesh.Mesh{
		"on it": meshtest.Box(geom.Vec{-15, -15, 8}, geom.Vec{-10, -10, 20}), "beside it": meshtest.Box(geom.Vec{20.2, -15, 0}, geom.Vec{30, 15, 8}),
	} {
		if a := between(t, placed(t, plate, 1), placed(t, m, 1)); len(a.Fits) != 0 {
			t.Errorf("%s: %+v", name, a.Fits)
		}
	}
}

// Against every pair of facets, by another way: the distance between two triangles as the
// least over a net of points of both, and whether their edges cross.
func TestDistancesAgainstEveryPair(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	relations := map[survey.Relation]int{}
	tries := 60
	if testing.Short() {
		tries = 12
	}
	for range tries {
		loose := func(x float64) *mesh.Mesh {
			vertices := make([][3]float32, 3*12)
			for i := range vertices {
				vertices[i] = [3]float32{float32(x + random.Float64()), float32(random.Float64()), float32(random.Float64())}
			}
			return meshtest.Made("loose", vertices, nil)
		}
		one, other := loose(0), loose(0.7+0.3*random.Float64())
		a := between(t, placed(t, one, 1), placed(t, other, 1))
		crosses, coarse := false, math.Inf(1)
		for i := range one.Len() {
			for j := range other.Len() {
				crosses = crosses || plainlyCross(meshtest.Joined(one, other), i, one.Len()+j)
				coarse = min(coarse, plainDistance(one, other, i, j))
			}
		}
		switch {
		case len(a.Neighbours) == 0:
			relations["none"]++
			if crosses || coarse < a.Limit {
				t.Errorf("no neighbours at %g, limit %g", coarse, a.Limit)
			}
		case crosses != (a.Neighbours[0].Relation == survey.Overlapping):
			t.Errorf("crosses %t: %+v", crosses, a.Neighbours[0])
		default:
			relations[a.Neighbours[0].Relation]++
			if d := a.Neighbours[0].Distance; !crosses && (d > coarse+1e-12 || d < coarse-0.04) {
				t.Errorf("%g apart, by a net of points %g", d, coarse)
			}
		}
	}
	if !testing.Short() && (relations["none"] < 5 || relations[survey.Apart] < 5 || relations[survey.Overlapping] < 5) {
		t.Errorf("cases %v", relations)
	}
}

// plainDistance is the least distance of points of two triangles, 1/20 of a side apart.
func plainDistance(one, other *mesh.Mesh, i, j int) float64 {
	const n = 20
	least := math.Inf(1)
	d, e, f := other.Triangle(j)
	a, b, c := one.Triangle(i)
	for u := range n + 1 {
		for v := range n + 1 - u {
			p := a.Add(b.Sub(a).Scale(float64(u) / n)).Add(c.Sub(a).Scale(float64(v) / n))
			least = min(least, geom.NearestOn(p, d, e, f).Sub(p).Len())
			p = d.Add(e.Sub(d).Scale(float64(u) / n)).Add(f.Sub(d).Scale(float64(v) / n))
			least = min(least, geom.NearestOn(p, a, b, c).Sub(p).Len())
		}
	}
	return least
}

func TestBetweenStopsAndPassesErrorsOn(t *testing.T) {
	one, other := placed(t, meshtest.Cube(10), 1), placed(t, moved(meshtest.Cube(10), geom.Vec{9, 9, 9}), 1)
	broken := errors.New("broken")
	unread := other
	unread.Mesh = func(context.Context) (*mesh.Mesh, error) { return nil, broken }
	if _, err := survey.Between(t.Context(), []survey.Placed{one, unread}, nil); !errors.Is(err, broken) {
		t.Errorf("a part that cannot be read: %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := survey.Between(ctx, []survey.Placed{one, other}, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	nothing := survey.Placed{Box: geom.EmptyBox(), Place: one.Place, Mesh: unread.Mesh}
	if a := between(t, nothing, one, nothing); len(a.Neighbours) != 0 || len(a.Fits) != 0 {
		t.Errorf("nothing is near: %+v", a)
	}
	if a := between(t); len(a.Neighbours) != 0 {
		t.Errorf("no parts: %+v", a)
	}
}

// Parts that were all drawn at one place are too many pairs; not all are looked at.
func TestManyPartsAtOnePlace(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	one := placed(t, meshtest.Prism(1, 4, 8), 1)
	parts := make([]survey.Placed, 100)
	for i := range parts {
		parts[i] = one
	}
	a, err := survey.Between(t.Context(), parts, nil)
	if err != nil || a.Complete || len(a.Neighbours) < 4000 || a.Neighbours[0].Relation != survey.Overlapping {
		t.Errorf("complete %t, %d neighbours, %v", a.Complete, len(a.Neighbours), err)
	}
}

// Two tangles in each other, and two that touch everywhere, are given up, not searched for
// ever.
func TestBetweenIsBounded(t *testing.T) {
	sheet := func(z float32) *mesh.Mesh {
		var vertices [][3]float32
		random := rand.New(rand.NewPCG(3, 3))
		for range 1500 { // long needles in one plane
			s, c := math.Sincos(2 * math.Pi * random.Float64())
			x, y := float32(s), float32(c)
			vertices = append(vertices, [3]float32{x, y, z}, [3]float32{-x, -y, z}, [3]float32{x * 0.99, y * 1.01, z})
		}
		return meshtest.Made("needles", vertices, nil)
	}
	apart := func(m *mesh.Mesh) survey.Placed {
		return survey.Placed{Box: mesh.MeasuresOf(m).Box, Place: func(v geom.Vec) geom.Vec { return v },
			Mesh: func(context.Context) (*mesh.Mesh, error) { return m, nil }}
	}
	a := between(t, apart(sheet(0)), apart(sheet(0.01)))
	if n := a.Neighbours; len(n) != 1 || n[0].Relation != survey.Apart || n[0].Complete || n[0].Distance < 0.0099 || n[0].Distance > 0.0101 {
		t.Errorf("%+v", n)
	}
}
