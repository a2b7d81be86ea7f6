package survey_test

import (
	"context"
	"math"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

func surveyed(t testing.TB, m *mesh.Mesh) survey.Measurements {
	t.Helper()
	found, err := survey.Of(context.Background(), m, nil)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// sparsely surveys m at a fifth of the samples, which is enough for simple shapes.
func sparsely(t testing.TB, m *mesh.Mesh) survey.Measurements {
	t.Helper()
	found, err := survey.Sparse(context.Background(), m, 2500, nil)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func near(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

// variants are the same solid drawn in other ways: what is measured must not depend on it.
// There is one when there is little time. float32 far from zero is so coarse that a 10000th of thin things may be lost.
func variants(m *mesh.Mesh) map[string]*mesh.Mesh {
	if testing.Short() {
		return map[string]*mesh.Mesh{" tilted, far off": moved(tilted(m), geom.Vec{400, -700, 900})}
	}
	return map[string]*mesh.Mesh{
		"":                  m,
		" tilted, far off":  moved(tilted(m), geom.Vec{400, -700, 900}),
		" about far origin": about(tilted(m), geom.Vec{1e7, -2e6, 5e5}),
		" finer":            finer(tilted(m), 2),
		" inside out":       meshtest.Flip(m),
	}
}

func TestThicknessOfEvenWalls(t *testing.T) {
	hollow := func(outer, wall float64) *mesh.Mesh {
		return meshtest.Joined(meshtest.Cube(outer), meshtest.Flip(meshtest.Box(geom.Vec{wall, wall, wall}, geom.Vec{outer - wall, outer - wall, outer - wall})))
	}
	shell := func(radius, wall float64, n int) *mesh.Mesh {
		return meshtest.Joined(meshtest.Sphere(radius, n), meshtest.Flip(meshtest.Sphere(radius-wall, n)))
	}
	for _, c := range []struct {
		name      string
		solid     *mesh.Mesh
		least     float64
		median    float64
		tolerance float64 // of the least: 1 % and what the facets themselves are off
		pin       bool
		area      float64 // of the place; 0 where the whole is no place
		// sides are how many the round has. Where those are cut further, it is not seen
		// that they stand for a curve, and a third of their tilt against it is lost.
		sides float64
	}{
		{"plate", meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 2}), 2, 2, 0.001, false, 2400, math.Inf(1)},
		{"foil", meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 0.1}), 0.1, 0.1, 0.01, false, 2400, math.Inf(1)},
		{"bar", meshtest.Box(geom.Vec{}, geom.Vec{40, 3, 2}), 2, 2, 0.001, true, 240, math.Inf(1)},
		{"cube", meshtest.Cube(10), 10, 10, 0.001, false, 0, math.Inf(1)},
		{"hollow box", hollow(20, 1), 1, 1, 0.001, false, 0.99 * 4344, math.Inf(1)},
		{"thin hollow box", hollow(20, 0.2), 0.2, 0.2, 0.01, false, 4704, math.Inf(1)},
		{"tube", meshtest.Tube(20, 1, 30), 1, 1, 0.001, false, 2 * math.Pi * 19 * 30, 96},
		{"thin tube", meshtest.Tube(20, 0.2, 30), 0.2, 0.2, 0.01, false, 2 * math.Pi * 19.8 * 30, 96},
		{"spherical shell", shell(10, 1, 16), 1, 1, 0.005, false, 4 * math.Pi * 181, 80},
		{"coarse shell", shell(10, 1, 4), 1, 1, 0.05, false, 0.96 * 4 * math.Pi * 181, 20},
		{"ball", meshtest.Sphere(10, 12), 20, 20, 0.005, false, 0, 60},
		{"ring", meshtest.Torus(20, 3, 90, 48), 6, 6, 0.006, true, 4 * math.Pi * math.Pi * 60, 48},
		{"hollow ring", meshtest.Joined(meshtest.Torus(20, 4, 90, 48), meshtest.Flip(meshtest.Torus(20, 3, 90, 48))), 1, 1, 0.006, false, 4 * math.Pi * math.Pi * 20 * 7, 48},
		{"round pin of 64", meshtest.Prism(0.5, 20, 64), 1, 1, 0.002, true, 20 * math.Pi, 64},
		{"round pin of 12", meshtest.Prism(0.5, 20, 12), math.Cos(math.Pi / 12), 0.968, 0.02, true, 20 * 12 * math.Sin(math.Pi/12), 12},
		{"pin of 8", meshtest.Prism(0.5, 20, 8), math.Cos(math.Pi / 8), 0.9, 0.08, true, 20 * 8 * math.Sin(math.Pi/8), 8},
	} {
		if testing.Short() && c.solid.Len() > 3000 {
			continue
		}
		for how, m := range variants(c.solid) {
			t.Run(c.name+how, func(t *testing.T) {
				f := sparsely(t, m)
				d := &f.Thickness
				if how == " finer" {
					c.tolerance += math.Pi / c.sides / 3
				}
				if !near(d.Least(), c.least, c.tolerance) || !near(d.Quantile(0.01), c.least, c.tolerance) {
					t.Errorf("least %.5f, 1%% %.5f, want %.5f", d.Least(), d.Quantile(0.01), c.least)
				}
				if !near(d.Quantile(0.5), c.median, max(0.01, c.tolerance)) {
					t.Errorf("median %.5f, want %.5f", d.Quantile(0.5), c.median)
				}
				if math.Abs(d.Unmeasured) > 0.005*f.Area {
					t.Errorf("%.2f of %.2f unmeasured", d.Unmeasured, f.Area)
				}
				if !near(d.Area()+d.Unmeasured, f.Area, 0.01) {
					t.Errorf("samples stand for %.2f of %.2f", d.Area()+d.Unmeasured, f.Area)
				}
				switch {
				case c.area == 0 && len(d.Places) > 0:
					t.Errorf("places %+v", d.Places)
				case c.area == 0:
				case len(d.Places) != 1:
					t.Errorf("%d places: %+v", len(d.Places), d.Places)
				default:
					p := d.Places[0]
					if p.Pin != c.pin || !near(p.Area, c.area, 0.04) || p.Least != d.Least() && !near(p.Least, d.Least(), 0.003) || !near(p.Typical, c.median, max(0.01, c.tolerance)) {
						t.Errorf("place %+v, want area %.2f", p, c.area)
					}
					if off := p.Centre.Sub(f.Box.Centre()).Len(); off > 0.02*f.Box.Size().Len() {
						t.Errorf("place is about %v, part about %v", p.Centre, f.Box.Centre())
					}
				}
			})
		}
	}
}

// In a hollow box, what is nearest to a point of the outside within a wall of the edge is
// the edge of the hollow.
func TestThicknessByTheEdgeOfAHollow(t *testing.T) {
	m := meshtest.Joined(meshtest.Cube(20), meshtest.Flip(meshtest.Box(geom.Vec{2, 2, 2}, geom.Vec{18, 18, 18})))
	d := surveyed(t, m).Thickness
	// On each outer face, ((2-x)² + 2²)/2 at the distance x from the edge: more than 2.5
	// where x < 1. That is 20² - 18² of 400, and besides little in the corners.
	above := d.Area() - d.AreaBelow(2.5)
	if want := 6.0 * (400 - 324); !near(above, want, 0.02) {
		t.Errorf("area above 2.5 is %.2f, want %.2f", above, want)
	}
}

// wedge is as long as long from its edge along each side, 60 broad.
func wedge(angle, long float64) *mesh.Mesh {
	s, c := math.Sincos(angle / 2)
	return extruded(60, []point{{0, 0}, {long * c, -long * s}, {long * c, long * s}})
}

func TestThicknessOfAWedge(t *testing.T) {
	for _, degrees := range []float64{3, 10, 18, 34} {
		angle := degrees * math.Pi / 180
		const long = 30
		for how, m := range variants(wedge(angle, long)) {
			d := surveyed(t, m).Thickness
			sides := 2.0 * long * 60
			ends := long * long * math.Sin(angle) // as thick as the wedge is broad
			for _, share := range []float64{0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.97} {
				want := 2 * share * long * math.Tan(angle/2)
				got := d.Quantile(share * sides / (sides + ends))
				if !near(got, want, 0.01+0.001/share) {
					t.Errorf("%g°%s: %.4f at %g of the way, want %.4f", degrees, how, got, share, want)
				}
			}
			switch {
			case degrees < 20 && (len(d.Places) != 1 || d.Places[0].Pin || !near(d.Places[0].Area, sides, 0.05)):
				t.Errorf("%g°%s: %+v, want one wall", degrees, how, d.Places)
			case degrees > 20 && len(d.Places) != 0:
				t.Errorf("%g°%s: an edge is reported as %+v", degrees, how, d.Places)
			}
		}
	}
}

// Edges are not thin.
func TestSharpEdgesAreNotThin(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"60°": wedge(math.Pi/3, 30), "45°": wedge(math.Pi/4, 30), "tetrahedron": meshtest.Tetrahedron(30),
		"corner": meshtest.Corner(30), "icosahedron": meshtest.Icosahedron(20),
		"chamfered": extruded(20, []point{{2, 0}, {18, 0}, {20, 2}, {20, 18}, {18, 20}, {2, 20}, {0, 18}, {0, 2}}),
	} {
		for how, m := range variants(m) {
			d := sparsely(t, m).Thickness
			if len(d.Places) > 0 || d.Known() && d.Least() < 10 {
				t.Errorf("%s%s: least %g, places %+v", name, how, d.Least(), d.Places)
			}
		}
	}
}

// A fin and a mast on a plate, as shells that stand in each other, are three places.
func TestPlacesOfOnePart(t *testing.T) {
	m := meshtest.Joined(
		meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 2}),
		meshtest.Box(geom.Vec{5, 5, 1.5}, geom.Vec{6, 25, 12}),
		moved(meshtest.Prism(0.25, 20.5, 24), geom.Vec{30, 20, 1.5}))
	for how, m := range variants(m) {
		d := surveyed(t, m).Thickness
		if len(d.Places) != 3 {
			t.Errorf("%d places%s: %+v", len(d.Places), how, d.Places)
			continue
		}
		for k, want := range []survey.Thin{
			{Pin: true, Typical: 0.5, Area: 2 * math.Pi * 0.25 * 20},
			{Typical: 1, Area: 2 * 20 * 10},
			{Typical: 2, Area: 2*40*30 - 21},
		} {
			if p := d.Places[k]; p.Pin != want.Pin || !near(p.Typical, want.Typical, 0.016) || !near(p.Area, want.Area, 0.05) || !near(p.Least, want.Typical, 0.022) {
				t.Errorf("place%s %+v, want %+v", how, p, want)
			}
		}
	}
}

func TestGaps(t *testing.T) {
	for _, c := range []struct{ width, depth float64 }{{2, 8}, {0.4, 6}, {0.3, 0.6}} {
		// A block of 30 with a slot from above.
		w := c.width / 2
		block := extruded(20, []point{{-15, 0}, {15, 0}, {15, 15}, {w, 15}, {w, 15 - c.depth}, {-w, 15 - c.depth}, {-w, 15}, {-15, 15}})
		for how, m := range variants(block) {
			g := surveyed(t, m).Gaps
			if !near(g.Least(), c.width, 0.01) || !near(g.Area(), 2*20*c.depth, 0.1) {
				t.Errorf("slot of %+v%s: least %.4f on %.2f", c, how, g.Least(), g.Area())
			}
			if len(g.Places) != 1 {
				t.Errorf("slot of %+v%s: %d places %+v", c, how, len(g.Places), g.Places)
				continue
			}
			if p := g.Places[0]; p.Hole || !near(p.Typical, c.width, 0.01) || !near(p.Depth, c.depth, 0.01) {
				t.Errorf("slot of %+v%s: %+v", c, how, p)
			}
		}
	}
	// Two plates beside each other, and a void that has no mouth.
	plates := meshtest.Joined(meshtest.Box(geom.Vec{}, geom.Vec{30, 20, 2}), meshtest.Box(geom.Vec{0, 0, 2.5}, geom.Vec{30, 20, 4}))
	for how, m := range variants(plates) {
		g := sparsely(t, m).Gaps
		if len(g.Places) != 1 || !near(g.Places[0].Typical, 0.5, 0.01) || !near(g.Places[0].Depth, 20, 0.01) || !near(g.Places[0].Area, 1200, 0.05) {
			t.Errorf("plates%s: %+v", how, g.Places)
		}
	}
	void := meshtest.Joined(meshtest.Cube(20), meshtest.Flip(meshtest.Box(geom.Vec{5, 5, 9}, geom.Vec{15, 15, 10})))
	for how, m := range variants(void) {
		g := sparsely(t, m).Gaps
		if len(g.Places) != 1 || g.Places[0].Depth != 0 || !near(g.Places[0].Typical, 1, 0.01) {
			t.Errorf("void%s: %+v", how, g.Places)
		}
	}
	// A bore is a hole.
	plate := extruded(6, rectangle(-10, -10, 10, 10), ngon(0, 0, 1.5, 48))
	for how, m := range variants(plate) {
		g := sparsely(t, m).Gaps
		if len(g.Places) != 1 || !g.Places[0].Hole || !near(g.Places[0].Typical, 3, 0.01) || !near(g.Places[0].Depth, 6, 0.02) {
			t.Errorf("bore%s: %+v", how, g.Places)
		}
	}
	for name, m := range map[string]*mesh.Mesh{"box": meshtest.Cube(3), "ball": meshtest.Sphere(3, 9), "pin": meshtest.Prism(1, 9, 20)} {
		if g := sparsely(t, m).Gaps; g.Known() || len(g.Places) > 0 {
			t.Errorf("%s has gaps %+v", name, g)
		}
	}
}

func TestDistribution(t *testing.T) {
	m := meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 2}) // 2400 at 2, 120 at 40, 160 at 30
	d := surveyed(t, m).Thickness.Distribution
	for limit, want := range map[float64]float64{1.9: 0, 2.1: 2400, 29: 2400, 31: 2560, 41: 2680} {
		if got := d.AreaBelow(limit); !near(got, want, 0.001) {
			t.Errorf("%.2f below %g, want %g", got, limit, want)
		}
	}
	for share, want := range map[float64]float64{0: 2, 0.5: 2, 0.89: 2, 0.91: 30, 0.95: 30, 0.96: 40, 1: 40} {
		if got := d.Quantile(share); !near(got, want, 0.003) {
			t.Errorf("%g of the area has %g, want %g", share, got, want)
		}
	}
	var none survey.Distribution
	if none.Known() || none.Least() != 0 || none.Quantile(0.5) != 0 || none.AreaBelow(9) != 0 || none.Area() != 0 {
		t.Errorf("nothing has %+v", none)
	}
}

// What is measured of a part made larger is what was measured, made larger.
func TestWidthsScale(t *testing.T) {
	m := tilted(meshtest.Joined(
		meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 2}),
		meshtest.Box(geom.Vec{5, 5, 1.5}, geom.Vec{6, 25, 12}),
		moved(meshtest.Prism(0.5, 20.5, 24), geom.Vec{30, 20, 1.5}),
		moved(meshtest.Torus(5, 1, 24, 12), geom.Vec{0, 0, 30})))
	one := surveyed(t, m)
	factors := []float64{0.25, 1 / 48.0, 1e-9, 1024, 0.0231, 3.7, 1e9}
	if testing.Short() {
		factors = factors[:3]
	}
	for _, s := range factors {
		f := surveyed(t, meshtest.Scaled(m, s))
		within := 0.01 // the rounding of coordinates makes another tree, along which samples stand elsewhere
		if s == 0.25 || s == 1024 {
			within = 1e-12 // nothing is rounded
		}
		for _, pair := range [][2]survey.Distribution{{one.Thickness.Distribution, f.Thickness.Distribution}, {one.Gaps.Distribution, f.Gaps.Distribution}} {
			for _, share := range []float64{0, 0.01, 0.1, 0.25, 0.5, 0.75, 0.99} {
				if got, want := pair[1].Quantile(share), s*pair[0].Quantile(share); !near(got, want, within) {
					t.Errorf("×%g: %g of the area has %g, want %g", s, share, got, want)
				}
			}
		}
		if !near(f.Volume, s*s*s*one.Volume, 1e-5) || !near(f.Area, s*s*one.Area, 1e-5) || !near(f.Facets.Worst, s*one.Facets.Worst, 1e-3) || !near(f.Spacing, s*one.Spacing, 1e-5) {
			t.Errorf("×%g: volume %g, area %g, chord %g, spacing %g", s, f.Volume, f.Area, f.Facets.Worst, f.Spacing)
		}
		if len(f.Pegs) != 1 || len(one.Pegs) != 1 || !near(f.Pegs[0].Diameter, s*one.Pegs[0].Diameter, 1e-5) || !near(f.Pegs[0].Depth, s*one.Pegs[0].Depth, 1e-5) {
			t.Errorf("×%g: pegs %+v, want that of %+v", s, f.Pegs, one.Pegs)
		}
		if got, want := f.Health, one.Health; got.Crossings != want.Crossings || got.Strays != want.Strays || got.OpenEdges != want.OpenEdges {
			t.Errorf("×%g: %+v, want %+v", s, got, want)
		}
		if len(f.Thickness.Places) != len(one.Thickness.Places) || len(f.Gaps.Places) != len(one.Gaps.Places) {
			t.Errorf("×%g: %d and %d places, want %d and %d", s, len(f.Thickness.Places), len(f.Gaps.Places), len(one.Thickness.Places), len(one.Gaps.Places))
			continue
		}
		for k, p := range f.Thickness.Places {
			q := one.Thickness.Places[k]
			if p.Pin != q.Pin || !near(p.Least, s*q.Least, within) || !near(p.Typical, s*q.Typical, within) || !near(p.Height, s*q.Height, within) || !near(p.Area, s*s*q.Area, max(within, 0.01)) || p.Centre.Sub(q.Centre.Scale(s)).Len() > max(within, 0.01)*s*40 {
				t.Errorf("×%g: place %+v, want that of %+v", s, p, q)
			}
		}
	}
}

// Lines, dots and fins on a block are as high as they are drawn; a plate stands on nothing.
func TestHeights(t *testing.T) {
	block := meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 20})
	for _, c := range []struct {
		name   string
		on     *mesh.Mesh
		pin    bool
		wide   float64
		height float64
	}{
		{"line", meshtest.Box(geom.Vec{5, 14, 19}, geom.Vec{35, 14.6, 20.4}), false, 0.6, 0.4},
		{"fin", meshtest.Box(geom.Vec{5, 14, 19}, geom.Vec{35, 15, 28}), false, 1, 8},
		{"rod", moved(meshtest.Prism(0.5, 6, 24), geom.Vec{20, 15, 19}), true, 1, 5},
		{"dot", moved(meshtest.Prism(1, 2.5, 24), geom.Vec{20, 15, 19}), true, 2, 1.5},
		{"line of one shell", nil, false, 0.5, 0.7},
	} {
		m := extruded(30, []point{{0, 0}, {30, 0}, {30, 20}, {10.5, 20}, {10.5, 20.7}, {10, 20.7}, {10, 20}, {0, 20}})
		if c.on != nil {
			m = meshtest.Joined(block, c.on)
		}
		for how, m := range variants(m) {
			places := surveyed(t, m).Thickness.Places
			told := 0 // where few samples lie, one line may be two places
			for _, p := range places {
				if p.Typical > 10 {
					continue // the block
				}
				if told++; told > 2 || p.Pin != c.pin || !near(p.Typical, c.wide, 0.02) || !near(p.Height, c.height, 0.01) {
					t.Errorf("%s%s: %+v", c.name, how, p)
				}
			}
			if told == 0 {
				t.Errorf("%s%s: not found", c.name, how)
			}
		}
	}
	for name, m := range map[string]*mesh.Mesh{"plate": meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 2}), "bar": meshtest.Box(geom.Vec{}, geom.Vec{40, 3, 2})} {
		if places := sparsely(t, m).Thickness.Places; len(places) != 1 || places[0].Height != 0 {
			t.Errorf("%s: %+v", name, places)
		}
	}
}
