package text

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/survey"
)

func TestSurveyWords(t *testing.T) {
	d := survey.Distribution{Widths: []float64{0.8, 2, 30}, Areas: []float64{10, 90, 100}}
	for want, got := range map[string]string{
		"0.80 mm at least, half of the surface up to 2.00 mm": Widths(d, 1),
		"20.3 mm at least, half of the surface up to 50.8 mm": Widths(d, 25.4),
		"not measured: nothing lies behind the surface":       Widths(survey.Distribution{}, 1),
		"wall of 1.00 mm, 400 mm²":                            Thin(survey.Thin{Typical: 1, Least: 0.999, Area: 400}, 1),
		"raised line of 0.60 mm, 90.0 mm², 0.40 mm high":      Thin(survey.Thin{Typical: 0.6, Least: 0.6, Free: true, Area: 90, Height: 0.4}, 1),
		"free wall of 1.00 mm, 400 mm²":                       Thin(survey.Thin{Typical: 1, Least: 1, Free: true, Area: 400}, 1),
		"⌀ 3.00 mm, 2.97 mm across 24 flats, 6.00 mm deep, through, countersunk to ⌀ 6.00 mm at 90°": Bore(survey.Round{
			Diameter: 3, Flats: 2.974, Sides: 24, Depth: 6, Through: true, Arc: 360, Sinks: []survey.Sink{{Diameter: 6, Angle: 89.99}}}, 1),
		"mast in socket: 0.40 mm of room across, 15.0 mm deep":                    StandsIn(survey.Fit{Clearance: 0.4, Length: 15}, "mast", "socket"),
		"key in slot: 0.050 mm too thick":                                         StandsIn(survey.Fit{Clearance: -0.05}, "key", "slot"),
		"hull and rail, 0.75 mm apart":                                            Neighbours(survey.Neighbours{Relation: survey.Apart, Distance: 0.75, Complete: true}, "hull", "rail"),
		"hull and deck":                                                           Neighbours(survey.Neighbours{Relation: survey.Touching, Complete: true}, "hull", "deck"),
		"hull and deck (the search was cut short)":                                Neighbours(survey.Neighbours{Relation: survey.Overlapping}, "hull", "deck"),
		"pin of 0.50 mm (least 0.45 mm), 20.0 mm²":                                Thin(survey.Thin{Pin: true, Typical: 0.5, Least: 0.45, Area: 20}, 1),
		"slot of 0.40 mm, 6.00 mm deep":                                           Gap(survey.Gap{Typical: 0.4, Least: 0.4, Depth: 6}, 1),
		"hole of 3.00 mm, closed in":                                              Gap(survey.Gap{Hole: true, Typical: 3, Least: 3}, 1),
		"⌀ 3.00 mm, 2.97 mm across 24 flats, 6.00 mm deep, through":               Bore(survey.Round{Diameter: 3, Flats: 2.974, Sides: 24, Depth: 6, Through: true, Arc: 360}, 1),
		"⌀ 3.00 mm, 2.97 mm across 24 flats, 270° around, 6.00 mm deep, blind":    Bore(survey.Round{Diameter: 3, Flats: 2.974, Sides: 24, Depth: 6, Arc: 270}, 1),
		"⌀ 30.0 mm, 29.7 mm across 24 flats, 60.0 mm long":                        Peg(survey.Round{Diameter: 3, Flats: 2.974, Sides: 24, Depth: 6, Arc: 360}, 10),
		"up to 0.031 mm from the curve, half of the curved surface up to 2.00 mm": Chords(survey.Facets{Worst: 0.031, Chords: d}, 1),
		"and 12 more": More(12),
	} {
		if got = strings.ReplaceAll(got, nbsp, " "); got != strings.ReplaceAll(want, nbsp, " ") {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Every fault is told, each in other words, and a sound mesh has none.
func TestHealthWords(t *testing.T) {
	if faults := Health(survey.Health{Complete: true, Step: 1e-6}); len(faults) > 0 {
		t.Errorf("a sound mesh: %q", faults)
	}
	all := survey.Health{OpenEdges: 1, CrowdedEdges: 1, FlippedEdges: 1, InsideOut: true, Degenerate: 1, Doubled: 1, Crossings: 1, InvertedShells: 1, BuriedShells: 1, Strays: 1}
	faults := Health(all)
	seen := map[string]bool{}
	for _, f := range faults {
		if seen[f] {
			t.Errorf("%q is said twice", f)
		}
		seen[f] = true
	}
	if len(faults) != 10 {
		t.Errorf("%d faults told of 10: %q", len(faults), faults)
	}
	if s := strings.Join(faults, "\n"); !strings.Contains(s, "cut short") {
		t.Errorf("a search that was not complete is told as %q", s)
	}
}

// A middle that is 0 but for rounding is told as 0, and one that is near it is not.
func TestSettled(t *testing.T) {
	require.Equal(t, geom.Vec{102, 0, -0.001}, settled(geom.Vec{102, -4.5e-8, -0.001}, 30))
}
