package survey_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// shaded surveys m and looks at it.
func shaded(t *testing.T, m *mesh.Mesh, look survey.Look, box geom.Box, pixels int) survey.Shading {
	t.Helper()
	s, err := survey.Shade(t.Context(), m, sparsely(t, m).Field, look, box, pixels)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Thickness) != s.Width*s.Height {
		t.Fatalf("%d pixels of %d × %d", len(s.Thickness), s.Width, s.Height)
	}
	return s
}

// at is the thickness where the picture shows a point of the box, as shares of it.
func at(s survey.Shading, x, y float64) float64 {
	return float64(s.Thickness[int(y*float64(s.Height))*s.Width+int(x*float64(s.Width))])
}

// Stairs of 1, 2, 4 and 8, seen from above, below and in front; behind the treads is a
// hollow that is not seen.
func TestShadingOfStairs(t *testing.T) {
	stairs := extruded(20, []point{{0, 0}, {40, 0}, {40, 8}, {30, 8}, {30, 4}, {20, 4}, {20, 2}, {10, 2}, {10, 1}, {0, 1}})
	stairs = meshtest.Moved(stairs, func(p geom.Vec) geom.Vec { return geom.Vec{p[0], -p[2], p[1]} })
	for how, m := range map[string]*mesh.Mesh{
		"": stairs, " far off": about(stairs, geom.Vec{1e7, -2e6, 5e5}), " inside out": meshtest.Flip(stairs),
	} {
		box := mesh.MeasuresOf(m).Box
		for name, look := range map[string]survey.Look{"above": above, "below": {Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, -1, 0}}} {
			s := shaded(t, m, look, box, 160)
			for x, want := range map[float64]float64{0.1: 1, 0.4: 2, 0.6: 4, 0.9: 8} {
				for _, y := range []float64{0.2, 0.5, 0.8} {
					if got := at(s, x, y); !near(got, want, 0.01) {
						t.Errorf("%s%s: %g at %g, %g, want %g", name, how, got, x, y, want)
					}
				}
			}
		}
		s := shaded(t, m, side, box, 160)
		if got := at(s, 0.1, 0.1); !math.IsNaN(got) {
			t.Errorf("side%s: %g where nothing is", how, got)
		}
		if got := at(s, 0.9, 0.5); !near(got, 20, 0.01) {
			t.Errorf("side%s: %g, want 20", how, got)
		}
	}
}

// From a shell without a lid, the outside is seen, and the inside from behind nothing.
func TestShadingOfWhatIsOpen(t *testing.T) {
	sheet := meshtest.Hole(meshtest.Cube(10), 0, 10) // one side of a cube
	box := mesh.MeasuresOf(sheet).Box
	for i, look := range []survey.Look{above, side, front} {
		for _, width := range shaded(t, sheet, look, box, 20).Thickness {
			if width == width {
				t.Fatalf("look %d: a sheet is %g thick", i, width)
			}
		}
	}
	open := meshtest.Hole(meshtest.Cube(10), 10, 12)
	if s := shaded(t, open, above, mesh.MeasuresOf(open).Box, 20); len(s.Thickness) != 400 {
		t.Errorf("%d pixels", len(s.Thickness))
	}
}

// Where the silhouette shows something, and only there, stands a thickness.
func TestShadingLiesOnTheSilhouette(t *testing.T) {
	m := tilted(meshtest.Torus(20, 3, 60, 24))
	box := grown(mesh.MeasuresOf(m).Box, 2)
	for _, look := range []survey.Look{above, side, front} {
		s := shaded(t, m, look, box, 150)
		picture := silhouette(t, m, look, box, 150)
		if s.Width != picture.Rect.Dx() || s.Height != picture.Rect.Dy() {
			t.Fatalf("%d × %d, the silhouette %v", s.Width, s.Height, picture.Rect)
		}
		for y := range s.Height {
			for x := range s.Width {
				width := float64(s.Thickness[y*s.Width+x])
				switch alpha := picture.NRGBAAt(x, y).A; {
				case alpha == 0 && !math.IsNaN(width), alpha > 0 && !near(width, 6, 0.03):
					t.Fatalf("%g at %d, %d, alpha %d", width, x, y, alpha)
				}
			}
		}
	}
}

func TestShadeRefusesAndStops(t *testing.T) {
	m := meshtest.Cube(10)
	field := sparsely(t, m).Field
	box := mesh.MeasuresOf(m).Box
	if _, err := survey.Shade(t.Context(), m, field, survey.Look{}, box, 20); !errors.Is(err, survey.ErrLook) {
		t.Errorf("no look: %v", err)
	}
	if _, err := survey.Shade(t.Context(), m, field, above, box, 0); !errors.Is(err, survey.ErrPixels) {
		t.Errorf("no pixels: %v", err)
	}
	s, err := survey.Shade(t.Context(), m, survey.Field{}, above, box, 20)
	if err != nil || !math.IsNaN(at(s, 0.5, 0.5)) {
		t.Errorf("without a field: %v, %v", s, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := survey.Shade(ctx, m, field, above, box, 20); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// The first answer says the same as the last, roughly.
func TestTheFirstAnswer(t *testing.T) {
	m := tilted(meshtest.Joined(meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 2}), moved(meshtest.Prism(0.5, 20.5, 24), geom.Vec{30, 20, 1.5})))
	var first survey.Measurements
	calls := 0
	last, err := survey.InSteps(t.Context(), m, func(f survey.Measurements) { first = f; calls++ }, nil)
	if err != nil || calls != 1 || !first.Coarse || last.Coarse {
		t.Fatalf("%d answers, coarse %t and %t, %v", calls, first.Coarse, last.Coarse, err)
	}
	if first.Volume != last.Volume || first.Area != last.Area || first.Box != last.Box || first.Closed != last.Closed || first.Shells != 2 {
		t.Errorf("first %+v, last %+v", first, last)
	}
	if a, b := first.Thickness.Quantile(0.5), last.Thickness.Quantile(0.5); !near(a, 2, 0.01) || !near(b, 2, 0.01) {
		t.Errorf("thickness %g, then %g", a, b)
	}
	if a, b := first.Thickness.Least(), last.Thickness.Least(); !near(a, b, 0.05) || !near(b, 1, 0.02) {
		t.Errorf("least %g, then %g", a, b)
	}
	if first.Field.Len() < 1000 || last.Field.Len() < 10000 {
		t.Errorf("fields of %d and %d points", first.Field.Len(), last.Field.Len())
	}
}
