package survey_test

import (
	"math"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

func facets(t *testing.T, m *mesh.Mesh) survey.Facets {
	t.Helper()
	f, err := survey.FacetsOf(t.Context(), m)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestChordsOfRounds(t *testing.T) {
	for _, sides := range []int{12, 16, 24, 48, 96, 200} {
		turn := math.Pi / float64(sides)
		sagitta := 5 * (1 - math.Cos(turn))
		for name, m := range map[string]*mesh.Mesh{
			"peg": meshtest.Prism(5, 20, sides), "bore": extruded(7, rectangle(-9, -9, 9, 9), ngon(0, 0, 5, sides)),
			"flat peg": meshtest.Prism(5, 0.1, sides),
		} {
			for how, m := range variants(m) {
				if how == " finer" {
					continue // its corners are not on the circle
				}
				f := facets(t, m)
				// The fourth order, and rounding far off.
				if within := turn*turn/4 + 0.004 + 1e-5/sagitta; !near(f.Worst, sagitta, within) || !near(f.Chords.Quantile(0.5), sagitta, within) {
					t.Errorf("%s of %d sides%s: worst %g, median %g, want %g", name, sides, how, f.Worst, f.Chords.Quantile(0.5), sagitta)
				}
			}
		}
		f := facets(t, meshtest.Prism(5, 20, sides))
		if want := 20 * float64(sides) * 10 * math.Sin(turn); !near(f.Chords.Area(), want, 0.01) {
			t.Errorf("curved area of a peg of %d sides is %g, want %g", sides, f.Chords.Area(), want)
		}
	}
}

func TestChordsOfABall(t *testing.T) {
	for _, n := range []int{4, 8, 16, 32} {
		m := meshtest.Sphere(10, n)
		f := facets(t, m)
		worst := 0.0
		for i := range m.Len() {
			a, b, c := m.Triangle(i)
			normal := b.Sub(a).Cross(c.Sub(a))
			worst = max(worst, 10-a.Dot(normal)/normal.Len())
		}
		// Where five facets meet, their mean is not quite the normal of the ball.
		if !near(f.Worst, worst, 0.01+0.25/float64(n)) {
			t.Errorf("ball cut in %d: worst %g, want %g", n, f.Worst, worst)
		}
		at := f.Where.Len()
		if !near(at, 10-worst, 1e-3) {
			t.Errorf("ball cut in %d: worst at %v", n, f.Where)
		}
	}
}

// The flat faces of a box with round edges are no worse than the edges.
func TestChordsBesideFlats(t *testing.T) {
	var round []point
	for k := range 4 {
		s, c := math.Sincos(math.Pi / 2 * (float64(k) + 0.5))
		round = append(round, arc(40*c, 40*s, 2, math.Pi/2*float64(k), math.Pi/2*float64(k+1), 9)...)
	}
	for how, m := range variants(extruded(50, round)) {
		if how == " finer" {
			continue
		}
		f := facets(t, m)
		if want := 2 * (1 - math.Cos(math.Pi/36)); !near(f.Worst, want, 0.02) {
			t.Errorf("round edges%s: worst %g, want %g", how, f.Worst, want)
		}
	}
	for name, m := range map[string]*mesh.Mesh{
		"cube": meshtest.Cube(9), "finer cube": finer(tilted(meshtest.Cube(9)), 5), "hexagon": meshtest.Prism(4, 9, 6), "octagon": meshtest.Prism(4, 9, 8),
		"wedge": wedge(0.3, 20), "sheet": bad()["sheet"], "nothing": bad()["nothing"], "loose": looseTriangles(100, 4),
	} {
		if f := facets(t, m); f.Worst != 0 || f.Chords.Known() || f.Where != (geom.Vec{}) {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

// Only the coarse one of two balls is bad.
func TestWhereChordsAreWorst(t *testing.T) {
	m := meshtest.Joined(meshtest.Sphere(5, 20), moved(meshtest.Sphere(5, 4), geom.Vec{20, 0, 0}))
	f := facets(t, m)
	if d := f.Where.Sub(geom.Vec{20, 0, 0}).Len(); d > 5 || d < 4 {
		t.Errorf("worst at %v", f.Where)
	}
	if !slices.IsSorted(f.Chords.Widths) || !near(f.Chords.Quantile(1), f.Worst, 0.003) || f.Chords.Quantile(0.25) > f.Worst/10 {
		t.Errorf("%+v", f.Chords)
	}
}
