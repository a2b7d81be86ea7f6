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
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/process"
)

// laid is a loaded kit at 1:48 on beds that take two hulls each.
func laid(t *testing.T, kept ...string) *scene {
	s := loaded(t, append([]string{"field", "ships"}, kept...)...)
	s.bench.UseBed(judge.Bed{Size: [3]float64{110, 70, 120}, Margin: 5})
	s.at48()
	s.bench.SetQuantity(s.part("hull").ID, 3)
	s.settle()
	s.key(text.ShowBeds)
	s.settle() // no closer layout is looked for any more
	return s
}

// sheetSays is all writing on the sheet.
func (s *scene) sheetSays() string {
	all := ""
	for _, m := range sheet.Draw(s.view(), s.sheet.view.size()) {
		all += m.Text + "\n"
	}
	return all
}

// The beds take the kit's place on the sheet and go again, by the menu, its key, a letter and the
// switches; a click on a piece selects its part, and no step of undo comes of it.
func TestBedsOnTheSheet(t *testing.T) {
	s := laid(t)
	before := s.view()
	require.True(t, s.view().Sheet.Beds)
	require.True(t, s.sheet.ways[2].on)
	require.False(t, s.sheet.ways[0].on || s.sheet.sides[0].on)
	for _, want := range []string{"Bed 1 of 2", "Bed 2 of 2", "2\u00a0beds", "2.00\u00a0mm between parts", "hull", "110"} {
		require.Contains(t, s.sheetSays(), want)
	}
	require.Contains(t, says(s.sheet.tools.root), "Press a part to select it.")

	// Each piece by a click.
	size := s.sheet.view.size()
	seen := map[string]bool{}
	for y := 0.0; y < size.H; y += 4 {
		for x := 0.0; x < size.W; x += 4 {
			id, ok := sheet.At(s.view(), size, sheet.Point{X: x, Y: y})
			if !ok || seen[id] {
				continue
			}
			seen[id] = true
			s.sheet.view.Tapped(&fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))})
			require.Equal(t, id, s.view().Selected)
		}
	}
	require.Len(t, seen, 3)
	s.bench.Select(s.part("hull").ID)
	require.Contains(t, says(s.sheet.tools.root), "hull: 96.8 × 22.6 mm, 3 pieces on bed 1, 2")
	require.Contains(t, s.sheetSays(), "hull  3 of 3")
	s.keys(fyne.KeyEscape)
	require.Empty(t, s.view().Selected)

	// The wheel zooms, and the bed follows the factor.
	s.sheet.view.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 25)})
	require.False(t, s.view().Sheet.Fit)
	require.Equal(t, before.Undo, s.view().Undo)
	require.Equal(t, before.Redo, s.view().Redo)
	s.key(text.ShowBeds)
	require.False(t, s.view().Sheet.Beds)
	require.False(t, s.sheet.tools.beds.Visible())
	s.canvas().Focus(s.sheet.view)
	s.sheet.view.TypedRune('b')
	require.True(t, s.view().Sheet.Beds)
	require.True(t, s.sheet.tools.beds.Visible())
	s.key(text.LookTop)
	require.False(t, s.view().Sheet.Beds)
	require.Equal(t, before.Undo, s.view().Undo)
}

// What fits no bed is named with the reason, and without a factor the sheet says what is missing.
func TestBedsSayWhatDoesNotFit(t *testing.T) {
	s := loaded(t, "field", "ships")
	s.bench.UseBed(judge.Bed{Size: [3]float64{97.2, 90, 120}})
	s.key(text.ShowBeds)
	require.Contains(t, s.sheetSays(), "factor")
	s.at48()
	s.settle()
	require.NotContains(t, s.sheetSays(), "Too large")
	p := s.view().Judged.Process
	p.Correction = process.Correction{On: true, Scale: geom.Vec{1.005, 1.005, 1.005}}
	s.bench.SetProcess(p)
	s.settle()
	require.Contains(t, s.sheetSays(), "Too large for any bed once corrected for the printer: hull.")
	require.Contains(t, s.sheetSays(), "Laid as large as copies are")
	s.bench.UseBed(judge.Bed{Size: [3]float64{90, 90, 120}})
	s.settle()
	require.Contains(t, s.sheetSays(), "Too large for any bed: hull.")
	s.key(text.SaveBeds)
	s.settle()
	require.False(t, s.beds.as3MF.Disabled(), "the rest can be saved")
}

// The panel saves a file of each bed and the kit as one package, and leaves the beds on the sheet.
func TestSavingBeds(t *testing.T) {
	s := laid(t)
	s.key(text.ShowBeds)
	s.key(text.SaveBeds)
	s.settle()
	require.True(t, s.view().Sheet.Beds, "what is saved is shown")
	require.Contains(t, says(s.over()), "2 files: ")
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

	s.canvas().Focus(s.beds.folder)
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.beds.panel)
	require.True(t, s.view().Sheet.Beds)
}

func TestGoldenBeds(t *testing.T) {
	s := laid(t, "look", "light")
	s.bench.Select(s.part("hull").ID)
	s.canvas().Unfocus()
	golden(t, "beds-light", s.canvas().Capture())
	s.key(text.LookDark)
	s.bench.UseBed(judge.Bed{Size: [3]float64{120, 120, 120}, Margin: 4, Brim: 3, Round: true})
	s.settle()
	s.bench.Select("")
	golden(t, "beds-dark", s.canvas().Capture())
	s.key(text.SaveBeds)
	s.canvas().Unfocus()
	golden(t, "save-beds-dark", s.canvas().Capture())
}

// A picture that is turned by quarters has the pixels of the picture, and any turn and its reverse
// give it back but for its edges.
func TestTurnedLevels(t *testing.T) {
	l := level{w: 3, h: 2, grey: []uint8{1, 2, 3, 4, 5, 6}, cover: []uint8{255, 255, 255, 255, 255, 255}}
	got := l.turned(1.5707963267948966)
	require.Equal(t, level{w: 2, h: 3, grey: []uint8{3, 6, 2, 5, 1, 4}, cover: l.cover}, got)
	require.Equal(t, []uint8{6, 5, 4, 3, 2, 1}, l.turned(3.141592653589793).grey)
	big := level{w: 60, h: 40, grey: make([]uint8, 2400), cover: make([]uint8, 2400)}
	for i := range big.cover {
		big.cover[i], big.grey[i] = 255, uint8(2*(i%60)+2*(i/60))
	}
	back := big.turned(0.7).turned(-0.7)
	dx, dy := (back.w-big.w)/2, (back.h-big.h)/2
	for y := 4; y < 36; y++ {
		for x := 4; x < 56; x++ {
			require.InDelta(t, 255, float64(back.cover[(y+dy)*back.w+x+dx]), 1)
			require.InDelta(t, float64(big.grey[y*60+x]), float64(back.grey[(y+dy)*back.w+x+dx]), 4)
		}
	}
}
