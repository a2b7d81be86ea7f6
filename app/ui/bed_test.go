package ui

import (
	"testing"

	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// byBed puts the way by bed in force, with the kit's native ratio.
func byBed(s *scene, t judge.Turning) {
	s.bench.Type(state.InNative, "1:11.28")
	s.bench.ChooseWay(ways.ByBed)
	s.bench.SetTurning(t)
	s.settle()
}

func TestGoldenBed(t *testing.T) {
	s := loaded(t, "look", "light", "field", string(ratio.Wargame))
	byBed(s, judge.Yaw)
	golden(t, "bed-light", s.pane(900))

	tilted := func(round bool) state.View {
		s.bench.SetRound(round)
		s.bench.Type(state.InBedBrim, "6 mm")
		s.bench.SetTurning(judge.Free)
		s.settle()
		v := s.view()
		v.Sheet.Pose = true
		return v
	}
	golden(t, "pose-dark", paintSheet(tilted(false), 900, 620, 1, blueprint()))
	golden(t, "pose-light", paintSheet(tilted(true), 620, 860, 1, paper()))
}

// The body shows printers, takes one, keeps one and forgets it, and says what limits.
func TestBedBody(t *testing.T) {
	s := loaded(t)
	byBed(s, judge.AsItLies)
	s.queue.Drain()
	body := func() string { return says(s.factor.root) }
	require.Contains(t, body(), "Limit: hull, as it lies.")
	var selects []*selectBox
	for _, w := range s.factor.ways {
		if w.kind == ways.ByBed {
			selects = within[*selectBox](w.body)
		}
	}
	printer, turning := selects[0], selects[1]
	require.Len(t, printer.Options, len(judge.UsualBeds()))
	require.Equal(t, "220 × 220 × 250\u00a0mm", printer.Selected)
	require.Equal(t, "as it lies", turning.Selected)

	turning.SetSelectedIndex(int(judge.Yaw))
	require.Equal(t, judge.Yaw, s.view().Way.Turn)
	require.Contains(t, body(), "Limit: hull, turned by 45.0° ")
	printer.SetSelectedIndex(8)
	require.True(t, s.view().Bed.Round)
	require.Equal(t, geom.Vec{180, 180, 300}, s.view().Bed.Size)
	s.bench.Type(state.InBedX, "171")
	require.Empty(t, printer.Selected, "no printer has this bed")

	name := s.factor.fields[state.InPrinter][0]
	name.entry.OnSubmitted("")
	s.queue.Until("a name is asked for", func() bool { return s.view().Faults[state.InPrinter] != nil })
	require.Contains(t, name.fault.Text, "A printer needs a name; type one")
	test.Type(name.entry, "attic")
	require.True(t, name.fault.Hidden)
	name.entry.OnSubmitted("")
	s.queue.Until("it is kept", func() bool { return len(s.view().Printers) == 1 })
	require.Equal(t, "attic", printer.Selected)
	require.Empty(t, name.entry.Text)
	var forget *pressButton
	for _, b := range within[*pressButton](s.factor.root) {
		if b.ToolTip() == text.ForgetTip {
			forget = b
		}
	}
	require.False(t, forget.Disabled())
	test.Tap(forget)
	s.queue.Until("it is forgotten", func() bool { return len(s.view().Printers) == 0 })
	require.True(t, forget.Disabled())
}

// The pose takes the place of the kit on the sheet, and any choice of view brings the kit back.
func TestPoseOnTheSheet(t *testing.T) {
	s := loaded(t)
	byBed(s, judge.Faces)
	s.key(text.ShowPose)
	require.True(t, s.view().Sheet.Pose)
	shapes := 0
	for _, m := range sheet.Draw(s.view(), sheet.Size{W: 800, H: 600}) {
		if m.Role == sheet.PartShape && m.Kind == sheet.Area {
			require.Equal(t, s.part("hull").ID, m.Part, "the part that limits")
			shapes++
		}
	}
	require.Equal(t, 2, shapes, "from the front and from above")
	s.key(text.LookTop)
	require.False(t, s.view().Sheet.Pose)
}

// A part that does not fit says how it would.
func TestAdviceOnTheBed(t *testing.T) {
	s := loaded(t)
	s.bench.ChooseWay(ways.ByFactor)
	s.bench.Type(state.InFactor, "0.55")
	s.settle()
	found := func() string {
		all := ""
		for _, f := range text.Findings(s.view()) {
			all += f.Name + ": " + f.Says + "\n"
		}
		return all
	}
	require.Contains(t, found(), "hull: 16.6\u00a0mm too wide for the bed; it would fit turned on the plate.")
	s.bench.Type(state.InFactor, "0.6")
	s.settle()
	require.Contains(t, found(), "it would fit laid on a flat side.")
	s.bench.Type(state.InFactor, "0.65")
	s.settle()
	require.Contains(t, found(), "it would fit tilted.")
	s.bench.Type(state.InFactor, "5")
	s.settle()
	require.NotContains(t, found(), "would fit")
}
