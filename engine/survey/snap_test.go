package survey_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

func snapsOf(t *testing.T, m *mesh.Mesh, most int) []survey.Snap {
	t.Helper()
	c, err := mesh.Connect(t.Context(), m, nil)
	if err != nil {
		t.Fatal(err)
	}
	snaps, err := survey.SnapsOf(t.Context(), c, most)
	if err != nil {
		t.Fatal(err)
	}
	return snaps
}

func kinds(snaps []survey.Snap) (n [3]int) {
	for _, s := range snaps {
		n[s.Kind]++
	}
	return n
}

// have fails unless there is a snap of a kind within a millionth of a length at a point.
func have(t *testing.T, snaps []survey.Snap, kind survey.SnapKind, at geom.Vec) {
	t.Helper()
	if !slices.ContainsFunc(snaps, func(s survey.Snap) bool { return s.Kind == kind && s.At.Sub(at).Len() < 1e-5 }) {
		t.Errorf("no snap of kind %d at %v among %v", kind, at, snaps)
	}
}

func TestSnapsOfKnownShapes(t *testing.T) {
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want [3]int // vertices, extremes, centres
	}{
		{"cube", meshtest.Cube(10), [3]int{8, 0, 0}},
		{"cube as a soup", meshtest.Soup(meshtest.Cube(10)), [3]int{8, 0, 0}},
		{"finer cube", finer(meshtest.Cube(10), 4), [3]int{8, 0, 0}},
		{"tetrahedron", meshtest.Tetrahedron(5), [3]int{4, 0, 0}},
		{"ball", meshtest.Sphere(4, 24), [3]int{0, 6, 0}},
		{"cylinder", meshtest.Prism(5, 20, 48), [3]int{96, 0, 2}},
		{"octagonal bar", meshtest.Prism(5, 20, 8), [3]int{16, 0, 2}},
		{"hexagonal bar", meshtest.Prism(5, 20, 6), [3]int{12, 0, 0}},
		{"plate with two holes", extruded(3, rectangle(0, 0, 40, 20), ngon(10, 10, 2, 24), ngon(28, 10, 3, 10)), [3]int{8 + 48 + 20, 0, 4}},
		{"nothing", meshtest.Made("", nil, [][3]uint32{}), [3]int{}},
	} {
		if got := kinds(snapsOf(t, c.m, 4000)); got != c.want {
			t.Errorf("%s: %v vertices, extremes and centres, want %v", c.name, got, c.want)
		}
	}
}

func TestSnapsLieWhereTheyShould(t *testing.T) {
	plate := extruded(3, rectangle(0, 0, 40, 20), ngon(10, 10, 2, 24), ngon(28, 10, 3, 10))
	snaps := snapsOf(t, moved(plate, geom.Vec{100, 0, 0}), 4000)
	for _, z := range []float64{0, 3} {
		have(t, snaps, survey.SnapCentre, geom.Vec{110, 10, z})
		have(t, snaps, survey.SnapCentre, geom.Vec{128, 10, z})
		have(t, snaps, survey.SnapVertex, geom.Vec{140, 20, z})
	}
	for _, s := range snaps {
		if !(s.SD > 0 && s.SD < 1e-5) {
			t.Fatalf("a coordinate of some 100 in float32 is known to some millionths, not %g", s.SD)
		}
	}
	ball := snapsOf(t, meshtest.Sphere(4, 24), 4000)
	for axis := range 3 {
		for _, r := range []float64{-4, 4} {
			p := geom.Vec{}
			p[axis] = r
			have(t, ball, survey.SnapExtreme, p)
		}
	}
}

// An opening in what is curved is found as well, if it lies in a plane: a tube's rims, cut
// by an oblique plane, are ellipses and are not.
func TestOnlyRoundEdgesHaveMiddles(t *testing.T) {
	tube := meshtest.Tube(20, 2, 30)
	snaps := snapsOf(t, tube, 4000)
	if got := kinds(snaps)[survey.SnapCentre]; got != 2 {
		t.Errorf("%d middles, want one for each end", got)
	}
	have(t, snaps, survey.SnapCentre, geom.Vec{0, 0, 0})
	have(t, snaps, survey.SnapCentre, geom.Vec{0, 0, 30})
	oval := meshtest.Moved(tube, func(p geom.Vec) geom.Vec { return geom.Vec{p[0], p[1] * 1.1, p[2]} })
	if got := kinds(snapsOf(t, oval, 4000))[survey.SnapCentre]; got != 0 {
		t.Errorf("%d middles of ovals", got)
	}
	if got := kinds(snapsOf(t, tilted(tube), 4000))[survey.SnapCentre]; got != 2 {
		t.Errorf("%d middles of the tube when it is tilted", got)
	}
	open := snapsOf(t, meshtest.Hole(meshtest.Sphere(10, 32), 0, 1), 4000)
	if got := kinds(open)[survey.SnapVertex]; got != 3 {
		t.Errorf("a missing facet has %d corners", got)
	}
}

func TestSnapsAreFew(t *testing.T) {
	m := meshtest.Prism(5, 20, 4000)
	all := snapsOf(t, m, 1e6)
	if got := kinds(all); got != [3]int{0, 0, 2} {
		t.Errorf("%v: a circle of 4000 sides has no corner", got)
	}
	m = meshtest.Prism(5, 20, 300)
	if got := kinds(snapsOf(t, m, 1e6)); got != [3]int{600, 0, 2} {
		t.Errorf("%v", got)
	}
	few := snapsOf(t, m, 100)
	if len(few) != 100 || kinds(few)[survey.SnapCentre] != 2 {
		t.Errorf("%d snaps, %v: the middles come first", len(few), kinds(few))
	}
	if got := len(snapsOf(t, meshtest.Cube(1), 5)); got != 5 {
		t.Errorf("%d snaps of at most 5", got)
	}
}

func TestSnapsStop(t *testing.T) {
	c, err := mesh.Connect(t.Context(), meshtest.Prism(5, 20, 3000), nil)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := survey.SnapsOf(ctx, c, 10); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

func BenchmarkSnaps200k(b *testing.B) {
	c, err := mesh.Connect(b.Context(), meshtest.Sphere(50, 316), nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(c.Mesh.Len()), "facets")
	for b.Loop() {
		if _, err := survey.SnapsOf(b.Context(), c, 4000); err != nil {
			b.Fatal(err)
		}
	}
}
