package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/ways"
)

// oldCopies is a loaded kit with old copies of its parts on the disk.
func oldCopies(t *testing.T, kept ...string) *scene {
	t.Helper()
	s := loaded(t, kept...)
	s.disk.Boxes(at("old/house-1-48.stl"), geom.Box{Min: geom.Vec{49.35, -7.05, 19.74}, Max: geom.Vec{68.15, 7.05, 35.25}})
	s.disk.Boxes(at("old/squeezed.stl"), geom.Box{Min: geom.Vec{49.35, -7.05, 19.74}, Max: geom.Vec{68.15, 7.05, 36.25}})
	s.disk.Box(at("old/anchor.stl"), geom.Vec{5, 9, 4})
	return s
}

func (s *scene) drop(at fyne.Position, name string) {
	s.Dropped(at, []fyne.URI{storage.NewFileURI(name)})
	s.settle()
}

// middle is the middle of an object, in the window.
func middle(o fyne.CanvasObject) fyne.Position {
	return fyne.CurrentApp().Driver().AbsolutePositionForObject(o).AddXY(o.Size().Width/2, o.Size().Height/2)
}

func TestAnOldCopyDroppedOnTheFactor(t *testing.T) {
	s := oldCopies(t)
	s.drop(middle(s.factor.root), at("old/house-1-48.stl"))
	page := says(s.over())
	for _, want := range []string{text.LostPage, "house", "×0.2350", "23.50 %", "From 36 corners"} {
		require.Contains(t, page, want)
	}
	require.Len(t, s.view().Parts, 3, "it is no new part")
	require.Same(t, s.lost.use, s.canvas().Focused())
	s.keys(fyne.KeyReturn)
	require.Nil(t, s.canvas().Overlays().Top())
	require.Equal(t, ways.ByFactor, s.view().Way.Kind)
	require.Equal(t, "0.235", s.view().Result.Factor.Exact())
	require.Contains(t, says(s.factor.root), "old copy house-1-48.stl of house")
	s.key(text.Undo)
	require.False(t, s.view().Result.Factor.Known())
}

func TestADroppedFileIsAskedAbout(t *testing.T) {
	s := oldCopies(t)
	// On the sheet, by its name; the maker may say that it is a part all the same.
	s.drop(middle(s.sheet.root), at("old/house-1-48.stl"))
	require.Contains(t, says(s.over()), "Is house-1-48.stl an old copy of house?")
	require.Len(t, s.view().Parts, 3, "nothing is guessed")
	s.press(text.AddAsPart)
	s.settle()
	require.Len(t, s.view().Parts, 4)
	s.key(text.Undo)

	// On a part's row, whatever its name.
	row := fyne.CurrentApp().Driver().AbsolutePositionForObject(s.parts.list).AddXY(40, 2.5*(rowHeight+4))
	s.drop(row, at("old/anchor.stl"))
	require.Contains(t, says(s.over()), "an old copy of mast?")
	s.press(text.FindFactor)
	s.settle()
	require.Contains(t, says(s.over()), "anchor.stl: the copy is a different model")
	require.NotContains(t, says(s.over()), text.UseLost)
	s.press(text.AnswerClose)
	require.Nil(t, s.view().Lost)
	require.Empty(t, s.panels)

	// Below the rows, or with a name of its own, it is a part.
	s.drop(middle(s.sheet.root), at("old/anchor.stl"))
	require.Len(t, s.view().Parts, 4)
}

func TestAnUnevenCopyIsWarnedOf(t *testing.T) {
	s := oldCopies(t)
	s.bench.Select(s.part("house").ID)
	s.files = []string{at("old/squeezed.stl")}
	s.key(text.FindLost)
	s.settle()
	page := says(s.over())
	require.Contains(t, page, "scaled unevenly")
	require.Contains(t, page, text.UseUneven)
	s.escape()
	require.Nil(t, s.canvas().Overlays().Top())
	require.Nil(t, s.view().Lost)
	require.False(t, s.view().Result.Factor.Known())
}

func TestGoldenLost(t *testing.T) {
	s := oldCopies(t, "look", "light")
	s.at48()
	s.bench.FindLost(s.part("house").ID, at("old/house-1-48.stl"))
	s.settle()
	golden(t, "lost-light", shot(s, s.lost.panel))
	s.bench.SetLook(state.Dark)
	s.bench.FindLost(s.part("house").ID, at("old/squeezed.stl"))
	s.settle()
	golden(t, "lost-dark", shot(s, s.lost.panel))
}

// A part that has the shape of another one is asked about in the drawer.
func TestTheDrawerAsksForCopies(t *testing.T) {
	s := loaded(t)
	v := s.view()
	v.CopyHints = []state.CopyHint{{Part: s.part("mast").ID, Original: s.part("hull").ID, Factor: 0.235}}
	s.drawer.draw(v)
	require.Contains(t, says(s.drawer.root), "Has the shape of hull, about ×0.2350 as large")
	found := s.drawer.found[0]
	row := newFindingRow(s.Window)
	row.Resize(fyne.NewSize(900, 22))
	r := row.Layout.(*findingRow)
	r.fill(row, found)
	require.Contains(t, says(row), text.FindFactor)
	require.Contains(t, says(row), text.KeepPart)
	r.asks[1].Tapped(nil)
	require.Equal(t, state.StepKeepUnit, s.view().Undo)
	s.askFinding(found)
	require.Contains(t, says(s.over()), text.FindFactor)
	s.escape()
	require.Nil(t, s.view().Lost)
}
