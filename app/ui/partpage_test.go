package ui

import (
	"image"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// withHatch is a kit with a hatch that was drawn in round millimetres and exported in inches.
func withHatch(t *testing.T, kept ...string) *scene {
	t.Helper()
	s := newScene(t, kept...)
	s.disk.Boxes(at("hatch.stl"), geom.Box{Min: geom.Vec{60, -22.5, 87}, Max: geom.Vec{131, 22.5, 96.2}}.Scale(1/25.4))
	s.Open([]string{at("hull.stl"), at("house.stl"), at("mast.stl"), at("hatch.stl")})
	s.settle()
	return s
}

func TestThePageOfAPart(t *testing.T) {
	s := withHatch(t)
	s.at48()
	s.bench.Select(s.part("house").ID)
	s.key(text.PartDetails)
	page := says(s.over())
	for _, want := range []string{"house", "Width, x", "80.0 mm", "18.8 mm", "Volume", "317 cm³", "4.11 cm³", "factor³", "12", "closed", "fits the bed", text.NextPart} {
		require.Contains(t, page, want)
	}
	require.Same(t, s.page.next, s.canvas().Focused(), "the keyboard is on it")

	// Next and previous go through the kit; Escape closes, and the list has the keyboard.
	s.press(text.NextPart)
	require.Equal(t, s.part("mast").ID, s.view().Selected)
	require.Contains(t, says(s.over()), "180 mm")
	s.press(text.PrevPart)
	s.canvas().Focus(s.page.prev)
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.canvas().Overlays().Top())
	require.Same(t, s.parts.list, s.canvas().Focused())

	// Return in the list and pressing a row twice open it, too.
	s.keys(fyne.KeyDown, fyne.KeyReturn)
	require.NotNil(t, s.page.panel)
	s.escape()
	s.parts.press(0, s.part("hull").ID)
	require.Nil(t, s.page.panel)
	s.parts.press(0, s.part("hull").ID)
	require.NotNil(t, s.page.panel)
	require.Equal(t, s.part("hull").ID, s.view().Selected)
	s.bench.Remove([]string{s.part("hull").ID})
	require.Nil(t, s.page.panel, "its part is gone")
	require.Empty(t, s.panels)
}

func TestThePageCorrectsAUnit(t *testing.T) {
	s := withHatch(t)
	hatch := s.part("hatch")
	s.bench.Select(hatch.ID)
	s.key(text.PartDetails)
	require.Equal(t, text.FileUnit(hatch.FileUnit), s.page.unit.Selected)
	require.Contains(t, says(s.over()), "Likelier drawn in inches")
	s.press(text.CorrectUnit)
	require.InDelta(t, 71, s.part("hatch").Drawn[0], 1e-5)
	require.Equal(t, text.UnitChoice(ratio.Inch), s.page.unit.Selected)
	require.NotContains(t, says(s.over()), "Likelier")
	require.Contains(t, says(s.over()), "Inches, corrected; the file has millimetres")
	s.key(text.Undo)
	require.False(t, s.part("hatch").Unit.Known(), "undone with the page open")
	require.Contains(t, says(s.over()), "Likelier")
	s.press(text.KeepUnit)
	require.Empty(t, s.view().UnitHints)

	s.page.unit.SetSelected(text.UnitChoice(ratio.Centimetre))
	require.Equal(t, "cm", s.part("hatch").Measured.Unit.Name)
	s.page.unit.SetSelected(text.OtherUnit)
	s.fill(s.page.other, "1 furlong")
	s.keys(fyne.KeyReturn)
	require.Contains(t, says(s.over()), "unknown unit")
	require.Equal(t, "cm", s.part("hatch").Measured.Unit.Name)
	s.write("2.54 mm")
	s.keys(fyne.KeyReturn)
	require.InDelta(t, 2.54, s.part("hatch").Measured.Unit.MM, 0)
	require.Equal(t, text.OtherUnit, s.page.unit.Selected)
	s.page.unit.SetSelected(text.FileUnit(hatch.FileUnit))
	require.False(t, s.part("hatch").Unit.Known())

	// For every ticked part at once.
	s.bench.Tick(s.part("mast").ID, false)
	s.page.scope.SetSelected(text.ScopeName(text.TickedParts))
	s.page.unit.SetSelected(text.UnitChoice(ratio.Foot))
	require.True(t, s.part("hull").Unit.Equal(kit.Length(ratio.Foot)))
	require.False(t, s.part("mast").Unit.Known())
	s.key(text.Undo)
	require.False(t, s.part("hull").Unit.Known(), "in one step")
}

func TestThePageTurns(t *testing.T) {
	s := loaded(t)
	s.bench.Select(s.part("mast").ID)
	s.key(text.PartDetails)
	require.Equal(t, "+z", s.page.up.Selected)
	require.True(t, s.page.back.Disabled())
	s.press(text.TurnRight)
	require.Equal(t, geom.Vec{180, 6, 6}, s.part("mast").Drawn)
	require.Contains(t, says(s.over()), "turned")
	s.settle()
	require.NotNil(t, s.page.sides[state.Front].Image)
	s.page.up.SetSelected("−y")
	require.Equal(t, kit.Raise(geom.Y, true), s.part("mast").Turn)
	s.press(text.TurnBack)
	require.False(t, s.part("mast").Turn.Known())
	require.Equal(t, geom.Vec{6, 6, 180}, s.part("mast").Drawn)

	s.page.scope.SetSelected(text.ScopeName(text.WholeKit))
	s.press(text.TurnRound)
	require.Equal(t, geom.Vec{96, 412, 88}, s.part("hull").Drawn)
	require.Equal(t, geom.Quarter(geom.Z), s.view().KitTurn)
	s.page.up.SetSelected("+x")
	require.Equal(t, geom.Vec{88, 96, 412}, s.part("hull").Drawn)
	s.press(text.TurnBack)
	require.False(t, s.view().KitTurn.Known())
	s.escape()

	// Only where something was turned can copies be turned.
	s.at48()
	s.key(text.PlanCopies)
	require.NotContains(t, says(s.over()), text.LabelTurned)
	s.escape()
	s.bench.Turn([]string{s.part("mast").ID}, geom.X)
	s.key(text.PlanCopies)
	require.Contains(t, says(s.over()), text.LabelTurned)
	test.Tap(s.copies.turned)
	require.True(t, s.view().Copies.Turned)
	require.NotContains(t, says(s.over()), text.Error(state.ErrTurnsDiffer).What)
}

// A suggestion stands in the drawer; its row corrects or sets aside, by button or by key.
func TestTheDrawerAsksForUnits(t *testing.T) {
	s := withHatch(t)
	require.Contains(t, says(s.drawer.root), "Likelier drawn in inches")
	require.Equal(t, "mm", s.part("hatch").Measured.Unit.Name)
	at := -1
	for i, f := range s.drawer.found {
		if f.Asks == text.AsksUnit {
			at = i
		}
	}
	require.GreaterOrEqual(t, at, 0)
	s.canvas().Focus(s.drawer.list)
	for range at {
		s.keys(fyne.KeyDown)
	}
	s.keys(fyne.KeyReturn)
	require.Contains(t, says(s.over()), "Correct the unit of hatch?")
	s.press(text.AnswerCancel)
	require.Equal(t, "mm", s.part("hatch").Measured.Unit.Name)
	s.keys(fyne.KeyReturn)
	s.press(text.CorrectUnit)
	require.Equal(t, "in", s.part("hatch").Measured.Unit.Name)
	require.NotContains(t, says(s.drawer.root), "Likelier")
	s.key(text.Undo)
	row := newFindingRow(s.Window)
	r := row.Layout.(*findingRow)
	row.Resize(fyne.NewSize(800, 22))
	r.fill(row, s.drawer.found[at])
	require.Greater(t, r.asks[0].Position().X, float32(500))
	r.asks[1].Tapped(nil)
	require.Empty(t, s.view().UnitHints)
	require.True(t, s.part("hatch").UnitKept)
	r.fill(row, text.Finding{Says: "no question"})
	require.False(t, r.asks[0].Visible())
}

// shot is a picture of a panel without what lies under it.
func shot(s *scene, p *panel) image.Image {
	whole := s.canvas().Capture().(*image.NRGBA)
	at, size := fyne.CurrentApp().Driver().AbsolutePositionForObject(p.pop.Content), p.pop.Content.Size()
	return whole.SubImage(image.Rect(int(at.X), int(at.Y), int(at.X+size.Width), int(at.Y+size.Height)))
}

// The survey stands in the table, with the limits of the process beside it.
func TestThePageTellsTheSurvey(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.bench.Select(s.part("mast").ID)
	s.key(text.PartDetails)
	rows := map[string]text.MeasureRow{}
	for _, r := range s.page.rows {
		rows[r.Name] = r
	}
	pin := rows["Pin, ⌀"]
	require.Equal(t, "6.00\u00a0mm", pin.Drawn)
	require.Equal(t, "!\u00a0prints from 2.00\u00a0mm", pin.Remark)
	require.True(t, pin.Below)
	require.Equal(t, pin.Print, rows["Thickness, half is below"].Print)
	require.Contains(t, rows["Weight of one piece"].Remark, "1.35\u00a0mm of skin, 15")
	require.Contains(t, rows["Weight of one piece"].Print, "\u00a0g")
	require.Contains(t, rows["Middle of its mass x, y, z"].Drawn, ", ")
	require.False(t, s.page.bores.Visible(), "it has no hole")
}

func TestGoldenPart(t *testing.T) {
	s := withHatch(t, "look", "light", "field", "ships")
	s.at48()
	s.bench.Select(s.part("hatch").ID)
	s.key(text.PartDetails)
	golden(t, "part-light", shot(s, s.page.panel))
	s.press(text.CorrectUnit)
	s.press(text.TurnRight)
	s.settle()
	s.bench.SetLook(state.Dark)
	golden(t, "part-dark", shot(s, s.page.panel))
}
