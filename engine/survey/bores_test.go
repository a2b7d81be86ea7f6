package survey_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// checkRound compares what was found with a regular polygon of so many sides around a
// circle of this diameter.
func checkRound(t *testing.T, found survey.Round, diameter float64, sides int, depth float64) {
	t.Helper()
	flats := diameter * math.Cos(math.Pi/float64(sides))
	if !near(found.Diameter, diameter, 2e-4) || !near(found.Flats, flats, 5e-4) || found.Sides != sides ||
		!near(found.Depth, depth, 1e-3) || found.Arc != 360 || math.Abs(found.Axis.Len()-1) > 1e-9 {
		t.Errorf("%+v, want %g in %d sides, %g across flats, %g deep", found, diameter, sides, flats, depth)
	}
}

func TestBoresAndPegsOfAllSizes(t *testing.T) {
	diameters, counts := []float64{0.5, 1.2, 3, 8, 50}, []int{8, 9, 12, 16, 24, 48, 96, 128}
	if testing.Short() {
		diameters, counts = []float64{0.5, 50}, []int{8, 24, 128}
	}
	for _, diameter := range diameters {
		for _, sides := range counts {
			r := diameter / 2
			plate := extruded(diameter, rectangle(-diameter, -diameter, diameter, diameter), ngon(0.1*r, 0.2*r, r, sides))
			blind := lathed(sides, point{0, 0}, point{2 * r, 0}, point{2 * r, 3 * r}, point{r, 3 * r}, point{r, r}, point{0, r})
			peg := meshtest.Prism(r, 4*r, sides)
			for how, turned := range map[string]func(m *mesh.Mesh) *mesh.Mesh{
				"": func(m *mesh.Mesh) *mesh.Mesh { return m }, " tilted": tilted, " inside out": meshtest.Flip,
				" far off": func(m *mesh.Mesh) *mesh.Mesh { return about(tilted(m), geom.Vec{1e5, 2e5, -3e5}) },
				" finer":   func(m *mesh.Mesh) *mesh.Mesh { return finer(tilted(m), 2) },
			} {
				t.Run(fmt.Sprintf("%g of %d sides%s", diameter, sides, how), func(t *testing.T) {
					f := rounds(t, turned(plate))
					if len(f.Bores) != 1 || len(f.Pegs) != 0 {
						t.Fatalf("plate: %d bores, %d pegs", len(f.Bores), len(f.Pegs))
					}
					checkRound(t, f.Bores[0], diameter, sides, diameter)
					if !f.Bores[0].Through {
						t.Error("the bore of the plate goes through")
					}
					f = rounds(t, turned(blind))
					if len(f.Bores) != 1 || len(f.Pegs) != 1 {
						t.Fatalf("blind: %d bores, %d pegs", len(f.Bores), len(f.Pegs))
					}
					checkRound(t, f.Bores[0], diameter, sides, 2*r)
					checkRound(t, f.Pegs[0], 2*diameter, sides, 3*r)
					if f.Bores[0].Through {
						t.Error("the blind bore does not go through")
					}
					f = rounds(t, turned(peg))
					if len(f.Bores) != 0 || len(f.Pegs) != 1 {
						t.Fatalf("peg: %d bores, %d pegs", len(f.Bores), len(f.Pegs))
					}
					checkRound(t, f.Pegs[0], diameter, sides, 4*r)
				})
			}
		}
	}
}

// rounds surveys m. What else is measured takes longer, but is not needed to be known.
func rounds(t *testing.T, m *mesh.Mesh) survey.Measurements {
	t.Helper()
	bores, pegs, err := survey.Rounds(t.Context(), m)
	if err != nil {
		t.Fatal(err)
	}
	return survey.Measurements{Bores: bores, Pegs: pegs}
}

func TestWhereABoreIs(t *testing.T) {
	m := moved(extruded(6, rectangle(-10, -10, 10, 10), ngon(3, -4, 1.5, 32)), geom.Vec{0, 0, 2})
	f := surveyed(t, about(m, geom.Vec{100, 200, 300}))
	if len(f.Bores) != 1 {
		t.Fatalf("%+v", f.Bores)
	}
	b := f.Bores[0]
	if b.Centre.Sub(geom.Vec{103, 196, 305}).Len() > 1e-4 || b.Axis.Sub(geom.Vec{0, 0, 1}).Len() > 1e-4 || !b.Through || b.Depth != 6 {
		t.Errorf("%+v", b)
	}
}

func TestRoundsOfOddShapes(t *testing.T) {
	drop := slices.Concat(arc(0, 0, 2, math.Pi*3/4, math.Pi*9/4, 36), []point{{0, 2 * math.Sqrt2}})
	shaft := arc(0, 0, 3, math.Pi/4, math.Pi*7/4, 36)
	keyhole := slices.Concat(arc(0, 0, 2, math.Pi/2+0.3, math.Pi*5/2-0.3, 40), []point{{0.591, 6}, {-0.591, 6}})
	for _, c := range []struct {
		name        string
		solid       *mesh.Mesh
		bores, pegs []float64 // diameters
		arc         float64   // of all but full ones
		through     bool
	}{
		{"tube", meshtest.Tube(20, 1, 30), []float64{18}, []float64{20}, 360, true},
		{"counterbore", lathed(24, point{1, 0}, point{5, 0}, point{5, 9}, point{3, 9}, point{3, 6}, point{1, 6}), []float64{2, 6}, []float64{10}, 360, true},
		{"countersink", lathed(24, point{1, 0}, point{5, 0}, point{5, 4}, point{3, 4}, point{1, 2}), []float64{2}, []float64{10}, 360, true},
		{"drilled", lathed(24, point{0, 0}, point{5, 0}, point{5, 9}, point{2, 9}, point{2, 4}, point{0, 2.8}), []float64{4}, []float64{10}, 360, false},
		{"chamfered", lathed(24, point{0, 0}, point{1.5, 0}, point{2, 0.5}, point{2, 8}, point{0, 8}), nil, []float64{4}, 360, false},
		{"capsule", lathed(32, slices.Concat([]point{{0, -2}}, arc(0, 0, 2, -math.Pi/2, 0, 8)[1:], arc(0, 9, 2, 0, math.Pi/2, 8)[:8], []point{{0, 11}})...), nil, []float64{4}, 360, false},
		{"drop", extruded(4, rectangle(-9, -9, 9, 9), drop), []float64{4}, nil, 270, true},
		{"flattened shaft", extruded(9, shaft), nil, []float64{6}, 270, false},
		{"keyhole", extruded(4, rectangle(-9, -9, 9, 9), keyhole), []float64{4}, nil, 360 - 0.6*180/math.Pi, true},
		{"two bores", extruded(4, rectangle(-9, -9, 9, 9), ngon(-4, 0, 1, 24), ngon(4, 0, 2, 24)), []float64{2, 4}, nil, 360, true},
	} {
		for how, m := range map[string]*mesh.Mesh{"": c.solid, " tilted": tilted(c.solid), " soup": meshtest.Soup(c.solid)} {
			f := rounds(t, m)
			for _, pair := range []struct {
				what  string
				found []survey.Round
				want  []float64
			}{{"bores", f.Bores, c.bores}, {"pegs", f.Pegs, c.pegs}} {
				if len(pair.found) != len(pair.want) {
					t.Errorf("%s%s: %d %s: %+v", c.name, how, len(pair.found), pair.what, pair.found)
					continue
				}
				for k, r := range pair.found {
					if !near(r.Diameter, pair.want[k], 1e-3) || math.Abs(r.Arc-c.arc) > 0.1 || pair.what == "bores" && r.Through != c.through {
						t.Errorf("%s%s: %+v, want %g, %g°", c.name, how, r, pair.want[k], c.arc)
					}
				}
			}
		}
	}
}

func TestNoRoundsAreInvented(t *testing.T) {
	ball := func(rings, around int) *mesh.Mesh {
		profile := arc(0, 0, 10, -math.Pi/2, math.Pi/2, rings)
		profile[0][0], profile[rings][0] = 0, 0
		return lathed(around, profile...)
	}
	dome := arc(0, 0, 10, 0, math.Pi/2, 12)
	dome[12][0] = 0
	var filleted, oval, wavy []point
	for k := range 4 {
		s, c := math.Sincos(math.Pi / 2 * (float64(k) + 0.5))
		filleted = append(filleted, arc(10*c, 10*s, 2, math.Pi/2*float64(k), math.Pi/2*float64(k+1), 8)...)
	}
	for i := range 40 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 40)
		oval = append(oval, point{5 * c, 4 * s})
		wavy = append(wavy, point{(5 + 0.3*math.Cos(float64(6*i)*2*math.Pi/40)) * c, (5 + 0.3*math.Cos(float64(6*i)*2*math.Pi/40)) * s})
	}
	slot := slices.Concat(arc(4, 0, 2, -math.Pi/2, math.Pi/2, 12), arc(-4, 0, 2, math.Pi/2, math.Pi*3/2, 12))
	groove := slices.Concat([]point{{-9, -9}, {9, -9}, {9, 0}}, arc(0, 0, 3, 0, -math.Pi, 16), []point{{-9, 0}})
	for name, m := range map[string]*mesh.Mesh{
		"cube": meshtest.Cube(10), "ball": meshtest.Sphere(10, 12), "ball of belts": ball(15, 32), "ball with an equator": ball(16, 32),
		"coarse ball": ball(7, 12), "ring": meshtest.Torus(10, 3, 48, 24), "ring with a belt": meshtest.Moved(meshtest.Torus(10, 3, 48, 25), func(v geom.Vec) geom.Vec { return v }),
		"fat ring": meshtest.Torus(10, 9, 48, 24), "dome": lathed(24, append([]point{{0, 0}}, dome...)...),
		"cone": lathed(24, point{0, 0}, point{5, 0}, point{0, 9}), "blunt cone": lathed(24, point{0, 0}, point{5, 0}, point{3, 9}, point{0, 9}),
		"hexagon": meshtest.Prism(5, 9, 6), "square": meshtest.Prism(5, 9, 4), "filleted": extruded(9, filleted),
		"oval": extruded(9, oval), "wavy": extruded(9, wavy), "slot": extruded(4, rectangle(-9, -9, 9, 9), slot), "groove": extruded(9, groove),
		"rough ball": meshtest.Jitter(meshtest.Sphere(10, 20), 0.05, 1), "icosahedron": meshtest.Icosahedron(9), "wedge": wedge(0.3, 20),
		"loose": looseTriangles(500, 3), "fan": fan(400),
	} {
		for how, m := range map[string]*mesh.Mesh{"": m, " tilted": tilted(m), " inside out": meshtest.Flip(m)} {
			if f := rounds(t, m); len(f.Bores)+len(f.Pegs) > 0 {
				t.Errorf("%s%s: bores %+v, pegs %+v", name, how, f.Bores, f.Pegs)
			}
		}
	}
}
