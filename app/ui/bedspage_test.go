package ui

import (
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/judge"
)

// laid is a loaded kit at 1:48 on beds that take two hulls each.
func laid(t *testing.T, kept ...string) *scene {
	s := loaded(t, append([]string{"field", "ships"}, kept...)...)
	s.bench.UseBed(judge.Bed{Size: [3]float64{110, 70, 120}, Margin: 5})
	s.at48()
	s.bench.SetQuantity(s.part("hull").ID, 3)
	s.settle()
	s.key(text.ShowBeds)
	return s
}

// The page shows each bed with what lies on it, by keys and by pressing, and saves a file of each.
func TestThePageOfBeds(t *testing.T) {
	s := laid(t)
	page := says(s.over())
	for _, want := range []string{"Bed 1 of 2", "hull  1 of 3", "hull  2 of 3", "2 beds", "mm"} {
		require.Contains(t, page, want)
	}
	require.True(t, s.beds.before.Disabled())
	s.press(text.BedAfter)
	require.Contains(t, says(s.over()), "Bed 2 of 2")
	require.Contains(t, says(s.over()), "hull  3 of 3")
	require.True(t, s.beds.after.Disabled())
	s.canvas().Focus(s.beds.list)
	s.keys(fyne.KeyLeft)
	require.Contains(t, says(s.over()), "Bed 1 of 2")

	// A press on a piece finds it in the list.
	size := s.beds.plan.size()
	for i, one := range s.view().Beds.Beds[0] {
		var at sheet.Point
		for y := 0.0; y < size.H; y += 2 {
			for x := 0.0; x < size.W; x += 2 {
				if sheet.HitBed(s.view().Beds, sheet.Point{X: x, Y: y}, size) == i {
					at = sheet.Point{X: x, Y: y}
				}
			}
		}
		require.NotZero(t, at, one.Name)
		s.beds.plan.Tapped(&fyne.PointEvent{Position: fyne.NewPos(float32(at.X), float32(at.Y))})
		require.Equal(t, i, s.beds.plan.marked)
		require.Equal(t, i, s.beds.list.mark)
	}

	s.fill(s.beds.folder, at("beds"))
	s.press(text.SaveBedsAs3MF)
	s.settle()
	require.Len(t, s.view().Saved, 2)
	require.Contains(t, says(s.over()), text.ShowSaved.Name(), "what came of it")
	for i, o := range s.view().Saved {
		require.NoError(t, o.Err)
		require.Equal(t, filepath.Join(at("beds"), state.BedFile(s.view().Title, i+1)+".3mf"), o.Path)
	}
	s.press(text.AnswerClose)
	s.press(text.SaveBedsAs3MF)
	s.settle()
	var e *deliver.Error
	require.ErrorAs(t, s.view().Saved[0].Err, &e)
	require.Equal(t, deliver.Exists, e.Code)
	s.press(text.AnswerClose)
	s.beds.replace.SetChecked(true)
	s.press(text.SaveBedsAs3MF)
	s.settle()
	require.NoError(t, s.view().Saved[0].Err)
	s.press(text.AnswerClose)

	s.path = at("tug")
	s.press(text.SaveAsOne)
	s.settle()
	require.Equal(t, at("tug.3mf"), s.view().Saved[0].Path)
	s.press(text.AnswerClose)

	s.canvas().Focus(s.beds.list)
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.beds.panel)
	require.Nil(t, s.view().Beds)
}

// What fits no bed is named, and without a factor the page says what is missing.
func TestThePageOfBedsSaysWhatDoesNotFit(t *testing.T) {
	s := loaded(t, "field", "ships")
	s.bench.UseBed(judge.Bed{Size: [3]float64{90, 90, 120}})
	s.key(text.ShowBeds)
	require.Contains(t, says(s.over()), text.Error(state.ErrNoFactor).String())
	require.True(t, s.beds.as3MF.Disabled())
	s.canvas().Focus(s.beds.list)
	s.press(text.AnswerClose)
	s.at48()
	s.settle()
	s.key(text.ShowBeds)
	require.Contains(t, says(s.over()), "Not on any bed: hull.")
	require.False(t, s.beds.as3MF.Disabled(), "the rest can be saved")
}

func TestGoldenBeds(t *testing.T) {
	s := laid(t, "look", "light")
	s.canvas().Unfocus()
	s.beds.plan.mark(1)
	golden(t, "beds-light", s.canvas().Capture())
	s.press(text.AnswerClose)
	s.key(text.LookDark)
	s.key(text.ShowBeds)
	s.bench.ShowBedAt(1)
	s.canvas().Unfocus()
	golden(t, "beds-dark", s.canvas().Capture())
}
