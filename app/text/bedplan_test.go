package text

import (
	"slices"
	"strings"
	"testing"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
)

func TestBedPlanWords(t *testing.T) {
	p := &state.BedPlan{Bed: judge.Bed{Size: geom.Vec{220, 220, 250}}, Correct: geom.Vec{1, 1, 1}, Layout: judge.Layout{Beds: 3, Least: 2}}
	hull := func(piece int) state.BedPiece {
		return state.BedPiece{ID: "1", Name: "hull", Of: 3, Placed: judge.Placed{Piece: piece, Size: geom.Vec2{96.8, 22.6}}}
	}
	p.Beds = []state.LaidBed{{Pieces: []state.BedPiece{hull(0), hull(1)}, Full: 0.734}, {Pieces: []state.BedPiece{hull(2)}, Full: 0.4}}
	says := func() string { return strings.Join(BedsSay(p, false), "|") }
	check(t, says(), "3 beds; 2 at least as rectangles|2.00 mm between parts")
	p.Layout.Nested = true
	p.Bed.Margin, p.Bed.Brim = 5, 3
	check(t, says(), "3 beds; 2 at least by area|2.00 mm between parts  ·  margin 5.00 mm  ·  brim 3.00 mm around each")
	p.Layout.Least = 3
	p.Large, p.Grown = []string{"deck", "mast"}, []string{"keel"}
	p.Correct, p.Closer = geom.Vec{1.01, 1.01, 1.01}, true
	check(t, says(), "3 beds|2.00 mm between parts  ·  margin 5.00 mm  ·  brim 3.00 mm around each|"+
		"Too large for any bed: deck, mast. Turn them more, or print smaller.|Too large for any bed once corrected for the printer: keel.|"+
		"Laid as large as copies are with the correction: "+strings.ReplaceAll(Correction(p.Correct), nbsp, " ")+".|A closer layout is being looked for.")
	p.Large = []string{"a", "b", "c", "d", "e", "f"}
	if !slices.ContainsFunc(BedsSay(p, false), func(s string) bool { return strings.Contains(s, "a, b, c, d and 2 more.") }) {
		t.Error(says())
	}
	check(t, strings.Join(BedsSay(&state.BedPlan{Err: state.ErrNoFactor}, false), "|"), Error(state.ErrNoFactor).String())

	check(t, BedHead(p, 0, false, 99), "Bed 1 of 3  ·  73 % full  ·  2 pieces")
	check(t, BedHead(p, 0, false, 25), "Bed 1 of 3  ·  73 % full")
	check(t, BedHead(p, 1, false, 12), "Bed 2 of 3")
	check(t, BedHead(p, 1, false, 5), "2")
	check(t, BedHead(&state.BedPlan{Bed: judge.Bed{Size: geom.Vec{220, 220, 250}}}, 0, false, 99), "Bed 220 × 220 × 250 mm")

	v := state.View{Title: "tug", Beds: p}
	check(t, BedsSelected(v), "Press a part to select it.")
	check(t, SaveBedsSay(v), "2 files: tug-bed-1 to tug-bed-2")
	v.Selected = "1"
	check(t, BedsSelected(v), "hull: 96.8 × 22.6 mm, 3 pieces on bed 1, 2")
	check(t, PieceName(&p.Beds[1].Pieces[0]), "hull  3 of 3")
	p.Beds = p.Beds[:1]
	check(t, SaveBedsSay(v), "One file: tug-bed-1")
	check(t, BedsSelected(state.View{}), "")
	check(t, SaveBedsSay(state.View{}), "")
}
