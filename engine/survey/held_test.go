package survey_test

import (
	"math"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// Walls held at one side stand free, those held at two or more do not.
func TestFreeWalls(t *testing.T) {
	// Seen from the end, 40 long.
	bulwark := extruded(40, []point{{0, 0}, {30, 0}, {30, 8}, {21, 8}, {21, 20}, {20, 20}, {20, 8}, {0, 8}})
	web := extruded(40, []point{{0, 0}, {8, 0}, {8, 10}, {22, 10}, {22, 0}, {30, 0}, {30, 20}, {22, 20}, {22, 11}, {8, 11}, {8, 20}, {0, 20}})
	bent := extruded(40, append(append([]point{{0, 0}, {30, 0}, {30, 8}, {26, 8}}, arc(16, 8, 10, 0, math.Pi*0.8, 40)[1:]...),
		reversed(arc(16, 8, 9, 0, math.Pi*0.8, 40))...))
	hollow := meshtest.Joined(meshtest.Cube(20), meshtest.Flip(meshtest.Box(geom.Vec{1, 1, 1}, geom.Vec{19, 19, 19})))
	shell := meshtest.Joined(meshtest.Sphere(10, 8), meshtest.Flip(meshtest.Sphere(9.3, 8)))
	for name, c := range map[string]struct {
		solid *mesh.Mesh
		width float64
		free  bool
	}{
		"bulwark": {bulwark, 1, true}, "web": {web, 1, false}, "plate": {meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 1}), 1, true},
		"bent bulwark": {bent, 1, true}, "hollow": {hollow, 1, false}, "shell": {shell, 0.7, false},
	} {
		for how, m := range variants(c.solid) {
			if how == " finer" || how == " about far origin" {
				continue
			}
			walls := 0
			for _, p := range sparsely(t, m).Thickness.Places {
				if !p.Pin && near(p.Typical, c.width, 0.05) {
					walls++
					if p.Free != c.free {
						t.Errorf("%s%s: free %t, want %t: %+v", name, how, p.Free, c.free, p)
					}
				}
			}
			if walls == 0 {
				t.Errorf("%s%s: no wall", name, how)
			}
		}
	}
}

func reversed(p []point) []point {
	out := make([]point, len(p))
	for i, q := range p {
		out[len(p)-1-i] = q
	}
	return out
}

func TestCountersinks(t *testing.T) {
	for _, c := range []struct {
		name    string
		sides   int
		profile []point
		bore    float64
		sinks   []survey.Sink // without where
	}{
		{"90°", 24, []point{{1, 0}, {5, 0}, {5, 4}, {3, 4}, {1, 2}}, 2, []survey.Sink{{Diameter: 6, Angle: 90, Depth: 2}}},
		{"90° of 9", 9, []point{{1, 0}, {5, 0}, {5, 4}, {3, 4}, {1, 2}}, 2, []survey.Sink{{Diameter: 6, Angle: 90, Depth: 2}}},
		{"both ends", 48, []point{{1, 1}, {2, 0}, {5, 0}, {5, 6}, {3, 6}, {1, 4.845299461620748}}, 2, []survey.Sink{{Diameter: 4, Angle: 90, Depth: 1}, {Diameter: 6, Angle: 120, Depth: 2 / math.Sqrt(3)}}},
		{"counterbore", 24, []point{{1, 0}, {5, 0}, {5, 9}, {3, 9}, {3, 6}, {1, 6}}, 2, nil},
		{"drilled", 24, []point{{0, 0}, {5, 0}, {5, 9}, {2, 9}, {2, 4}, {0, 2.8}}, 4, nil},
		{"plain", 24, []point{{1, 0}, {5, 0}, {5, 4}, {1, 4}}, 2, nil},
		{"taper", 24, []point{{1, 0}, {5, 0}, {5, 9}, {1.4, 9}, {1, 4}}, 2, nil},
		{"on a cone", 24, []point{{1, 0}, {7, 0}, {5, 4}, {1, 6}}, 2, nil}, // which widens the other way
	} {
		for how, m := range variants(lathed(c.sides, c.profile...)) {
			var found []survey.Round
			for _, b := range rounds(t, m).Bores {
				if near(b.Diameter, c.bore, 1e-3) {
					found = append(found, b)
				}
			}
			if len(found) != 1 || len(found[0].Sinks) != len(c.sinks) {
				t.Errorf("%s%s: %+v, want %+v", c.name, how, found, c.sinks)
				continue
			}
			b := found[0]
			for _, want := range c.sinks {
				matched := false
				for _, got := range b.Sinks {
					off := math.Abs(got.Centre.Sub(b.Centre).Dot(b.Axis)) - b.Depth/2 - got.Depth
					matched = matched || near(got.Diameter, want.Diameter, 1e-3) && near(got.Angle, want.Angle, 1e-3) && near(got.Depth, want.Depth, 1e-3) && math.Abs(off) < 1e-3
				}
				if !matched {
					t.Errorf("%s%s: %+v, want %+v", c.name, how, b.Sinks, want)
				}
			}
		}
	}
}

// A note about a bore finds it again when the part was changed elsewhere, or drawn finer.
func TestTagsFindTheirBores(t *testing.T) {
	hole := func(x, y, radius float64, sides int) *mesh.Mesh {
		return extruded(4, rectangle(x-1.9, y-1.9, x+1.9, y+1.9), ngon(x, y, radius, sides))
	}
	plate := func(sides int, more ...*mesh.Mesh) *mesh.Mesh {
		return meshtest.Joined(append([]*mesh.Mesh{
			hole(-8, 3, 1.5, sides), hole(-4, 3, 1.5, sides), hole(6, -5, 1.7, sides), hole(6, 5, 1.8, sides)}, more...)...)
	}
	one := rounds(t, plate(24)).Bores
	if len(one) != 4 {
		t.Fatalf("%d bores", len(one))
	}
	for name, m := range map[string]*mesh.Mesh{
		"the same": plate(24), "finer": plate(48), "with one more": plate(24, hole(11, 11, 1, 24)), "moved a little": moved(plate(24), geom.Vec{0.2, 0.1, 0}),
	} {
		other := rounds(t, m).Bores
		for i, r := range one {
			found, ok := survey.TagOf(r).Find(other)
			if !ok || other[found].Centre.Sub(r.Centre).Len() > 0.3 || !near(other[found].Diameter, r.Diameter, 0.02) {
				t.Errorf("%s: bore %d, %s, is found as %d, %t", name, i, survey.TagOf(r), found, ok)
			}
		}
	}
	for _, tag := range []survey.Tag{"", "x", "3@1,2", "3@1,2,x", "3@-8,3,2,0", "3@100,3,2", "4@-8,3,2", "NaN@-8,3,2", "0@-8,3,2"} {
		if i, ok := tag.Find(one); ok {
			t.Errorf("%q finds %d", tag, i)
		}
	}
	if got := survey.TagOf(survey.Round{Diameter: 3.4, Centre: geom.Vec{12.5, -3, math.Copysign(0, -1)}}); got != "3.4@12.5,-3,0" {
		t.Errorf("tag %q", got)
	}
}
