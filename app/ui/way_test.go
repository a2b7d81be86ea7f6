package ui

import (
	"image"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A figure of 52.3 mm for somebody of 5 ft 9 in, with the kit's native ratio.
func byFigure(s *scene) {
	s.bench.Type(state.InNative, "1:11.28")
	s.bench.ChooseWay(ways.ByFigure)
	s.bench.Type(state.InReadings, "52.3")
	s.bench.Type(state.InPerson, "5 ft 9 in")
}

// Three clues that agree, and one that is set aside.
func byClues(s *scene) {
	s.bench.ChooseWay(ways.ByClues)
	s.bench.Type(state.InTarget, "1:48")
	for _, c := range [][2]string{{"114.51", "door leaf uk"}, {"25.98 ± 0.3", "chair seat"}, {"101.16", "man standing"}, {"21.5", "side scuttle 300"}} {
		s.bench.Type(state.InDrawn, c[0])
		s.bench.Type(state.InIsReal, c[1])
		s.bench.AddClue()
	}
	all := s.view().Way.Clues
	s.bench.SetAside(all[len(all)-1].ID, true)
}

// within are all objects of a kind that a larger one shows or hides.
func within[T any](root fyne.CanvasObject) (found []T) {
	if o, ok := any(root).(T); ok {
		found = append(found, o)
	}
	var inner []fyne.CanvasObject
	switch o := root.(type) {
	case *fyne.Container:
		inner = o.Objects
	case fyne.Widget:
		inner = test.WidgetRenderer(o).Objects()
	}
	for _, o := range inner {
		found = append(found, within[T](o)...)
	}
	return found
}

// pane is a picture of the factor panel alone, in a window as high as that.
func (s *scene) pane(height float32) image.Image {
	s.t.Helper()
	s.canvas().Unfocus()
	s.win.Resize(fyne.NewSize(1280, height))
	all, ok := s.canvas().Capture().(interface {
		SubImage(image.Rectangle) image.Image
	})
	require.True(s.t, ok)
	root := s.factor.root
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(root)
	size := root.Size()
	return all.SubImage(image.Rect(int(at.X), int(at.Y), int(at.X+size.Width), int(at.Y+size.Height)))
}

func TestGoldenWays(t *testing.T) {
	for _, look := range []string{"light", "dark"} {
		s := loaded(t, "look", look, "field", string(ratio.Armour))
		byFigure(s)
		golden(t, "figure-"+look, s.pane(1200))
		byClues(s)
		golden(t, "clues-"+look, s.pane(1340))
	}
	s := loaded(t, "look", "light", "field", string(ratio.Armour))
	byClues(s)
	golden(t, "clues-small", s.pane(800))
}

// Every way has a line in the table with its name, a tip, and a body.
func TestEveryWayHasALineAndABody(t *testing.T) {
	s := loaded(t)
	require.Len(t, s.factor.ways, len(ways.Kinds()))
	for i, k := range ways.Kinds() {
		part := s.factor.ways[i]
		require.Equal(t, k, part.kind, "in the order of the ways")
		require.Equal(t, text.WayOf(k), part.head.name.full)
		require.NotEmpty(t, text.WayTip(s.view().Offers[i]))
		require.NotNil(t, s.factor.first[k], "%s has a field where typing begins", k)
		s.bench.ChooseWay(k)
		require.True(t, part.body.Visible())
		s.key(text.GoFactor)
		require.Same(t, s.factor.first[k].entry, s.canvas().Focused())
	}
}

func TestFigureInThePanel(t *testing.T) {
	s := loaded(t)
	byFigure(s)
	panel := says(s.factor.root)
	for _, want := range []string{"×0.33661", "± 0.00015", "1:33.511 ± 0.015", "The figure is 1:33.511 ± 0.015 (95 %: 1:33.496 to 1:33.525)."} {
		require.Contains(t, panel, want)
	}
	require.NotContains(t, panel, text.SegmentName(figure.Thigh), "pieces are asked for only of bent figures")
	s.bench.SetPosture(figure.Bent)
	require.Contains(t, says(s.factor.root), text.SegmentName(figure.Thigh))
}

func TestCluesInThePanel(t *testing.T) {
	s := loaded(t, "field", string(ratio.Armour))
	s.bench.ChooseWay(ways.ByClues)
	require.Contains(t, strings.ReplaceAll(says(s.factor.root), "\n", " "), text.Error(ways.ErrNeedClue).String(), "it says how to begin")
	s.fill(s.factor.fields[state.InTarget][2].entry, "1:48")
	s.fill(s.factor.fields[state.InDrawn][0].entry, "114.51")
	s.press(text.LabelAddClue)
	fault := s.factor.fields[state.InIsReal][0].fault
	require.True(t, fault.Visible(), "what it is has not been said")
	require.Equal(t, text.Fault(state.InIsReal, ways.ErrClueReal).String(), fault.Text)

	// What it is comes from the table.
	s.press(text.LabelTable)
	table := s.over()
	require.Contains(t, says(table), text.ObjectName("man-standing"))
	require.NotContains(t, says(table), text.ObjectName("door-leaf-uk"), "one group at a time")
	s.escape()
	s.bench.ClueObject("door-leaf-uk")
	require.False(t, fault.Visible())
	require.Contains(t, says(s.factor.root), "Door leaf, height, England and Wales,\n1981 ± 5 mm: 1:17.30 ± 0.09")
	s.press(text.LabelAddClue)
	require.Contains(t, says(s.factor.root), "×0.3604")
	require.Empty(t, s.factor.fields[state.InDrawn][0].entry.Text)

	// A height of a part, and a name of the maker's own.
	byClues(s)
	panel := says(s.factor.root)
	for _, want := range []string{"4 clues agree", "115 mm drawn, 1981 ± 5 mm real", "set aside", "1:16"} {
		require.Contains(t, panel, want)
	}
}

// The table of objects is chosen from with the keyboard alone.
func TestChoosingAnObject(t *testing.T) {
	s := loaded(t)
	got := ""
	s.chooseObject(func(key string) { got = key })
	group, list := within[*selectBox](s.over())[0], within[*keyedList](s.over())[0]
	require.Equal(t, fyne.Focusable(group), s.canvas().Focused())
	seen := 0
	for i := range ways.Groups() {
		group.SetSelectedIndex(i)
		seen += list.Length()
	}
	require.Len(t, ways.Objects(), seen, "every object is in a group")
	group.SetSelectedIndex(1)
	s.canvas().Focus(list)
	s.keys(fyne.KeyDown, fyne.KeyReturn)
	require.Equal(t, "door-leaf-uk", got)
	require.Empty(t, s.panels)
}

// The ladder folds by itself where the fields of a way need its room, and as the maker says.
func TestLadderMakesRoom(t *testing.T) {
	s := loaded(t)
	require.True(t, s.factor.share.rows.Visible())
	byFigure(s)
	require.False(t, s.factor.share.rows.Visible())
	s.key(text.GoLadder)
	require.True(t, s.factor.share.rows.Visible(), "whoever goes there wants to see it")
	require.Equal(t, fyne.Focusable(s.factor.ladder), s.canvas().Focused())
	test.Tap(s.factor.share.fold)
	require.False(t, s.factor.share.rows.Visible())
	s.bench.ChooseWay(ways.ByRatio)
	require.False(t, s.factor.share.rows.Visible(), "it stays as it was said")
}

// The plot is shown larger by a click or by a key.
func TestPlotIsShownLarger(t *testing.T) {
	s := loaded(t, "field", string(ratio.Armour))
	byClues(s)
	plot := within[*plotButton](s.factor.root)[0]
	require.NotZero(t, plot.MinSize().Height)
	test.Tap(plot)
	require.Contains(t, says(s.over()), "3 clues agree")
	s.escape()
	s.canvas().Focus(plot)
	s.keys(fyne.KeyReturn)
	require.Len(t, s.panels, 1)
	require.Contains(t, strings.ReplaceAll(says(s.over()), "\n", " "), text.LikelyAre(s.view().Evidence.CluesAre, ratio.Armour)[:20])
	s.escape()
}

func TestSeveralPartsAreMeasuredTogether(t *testing.T) {
	s := loaded(t)
	s.bench.ChooseWay(ways.ByLength)
	s.fill(s.factor.first[ways.ByLength].entry, "50 mm")
	several := s.factor.measure.Options
	require.Equal(t, text.LabelSeveral, several[len(several)-1])
	s.factor.measure.SetSelectedIndex(len(several) - 1)
	require.Equal(t, text.LabelWholeKit, s.factor.measure.Selected, "until they are chosen")
	checks := within[*checkBox](s.over())
	require.Len(t, checks, 3)
	test.Tap(checks[1])
	test.Tap(checks[2])
	require.Contains(t, says(s.over()), text.CountChosen(2)[:1])
	s.press(text.AnswerOK)
	require.Equal(t, text.SeveralParts(2), s.factor.measure.Selected)
	require.InDelta(t, 50.0/80, s.view().Result.Factor.Float(), 1e-9, "house and mast are 80 mm along x")
	require.Contains(t, s.factor.along[1].Options[2], "246\u00a0mm", "and 84 to 330 up")

	// What is measured on the sheet can be taken instead.
	s.bench.StartMeasure()
	s.bench.MeasureFrom(state.MeasurePoint{At: geom.Vec{0, 0, 0}})
	s.bench.MeasureTo(state.MeasurePoint{At: geom.Vec{100, 0, 0}}, ways.AlongX)
	options := s.factor.measure.Options
	s.factor.measure.SetSelectedIndex(len(options) - 1)
	require.InDelta(t, 0.5, s.view().Result.Factor.Float(), 1e-12)
	require.False(t, s.factor.alongOf.Visible(), "the measure has its own direction")
}

func TestAllDigits(t *testing.T) {
	s := loaded(t)
	byFigure(s)
	s.press(text.LabelDigits)
	all := says(s.over())
	require.Contains(t, all, s.view().Result.Factor.Digits())
	require.Contains(t, all, "the limits of the calipers")
	s.escape()
	byClues(s)
	s.press(text.LabelDigits)
	all = strings.ReplaceAll(says(s.over()), "\n", " ")
	for _, want := range []string{"1:17.3", "weight 0.", "set aside", "Birge ratio"} {
		require.Contains(t, all, want)
	}
}

func TestWaysThatDisagreeAreNamed(t *testing.T) {
	s := loaded(t)
	byFigure(s)
	byClues(s)
	panel := says(s.factor.root)
	require.Contains(t, panel, "! By clues drawn at 1:17.30 ± 0.09, by ratio at 1:11.28.")
	require.Contains(t, panel, "! By clues 1:48, by figure 1:33.511 ± 0.015.")
}

// What is measured on the sheet, or the height of the selected part, becomes a clue with a key.
func TestMeasuresBecomeClues(t *testing.T) {
	s := loaded(t)
	require.True(t, s.menuItems[text.ClueOfMeasure].Disabled, "nothing is measured")
	s.bench.Select(s.part("mast").ID)
	s.key(text.ClueOfPart)
	require.Equal(t, ways.ByClues, s.view().Way.Kind)
	require.Equal(t, "180 mm", s.factor.fields[state.InDrawn][0].entry.Text)
	real := s.factor.fields[state.InIsReal][0].entry
	require.Same(t, real, s.canvas().Focused())
	scroll, d := s.factor.share.fields, fyne.CurrentApp().Driver()
	y := d.AbsolutePositionForObject(real).Y
	top := d.AbsolutePositionForObject(scroll).Y
	require.True(t, y >= top && y+real.Size().Height <= top+scroll.Size().Height, "the field can be seen")
	s.write("man standing")
	s.keys(fyne.KeyReturn)
	require.Len(t, s.view().Way.Clues, 1)
	require.Same(t, s.factor.fields[state.InDrawn][0].entry, s.canvas().Focused(), "ready for the next")

	s.bench.StartMeasure()
	s.bench.MeasureFrom(state.MeasurePoint{At: geom.Vec{0, 0, 0}})
	require.False(t, s.sheet.tools.uses.Visible())
	s.bench.MeasureTo(state.MeasurePoint{At: geom.Vec{100, 0, 0}}, ways.AlongX)
	require.True(t, s.sheet.tools.uses.Visible())
	s.press(text.LengthOfMeasure.Name())
	require.Equal(t, ways.ByLength, s.view().Way.Kind)
	s.write("50")
	require.Contains(t, says(s.factor.root), "×0.5000")
	s.key(text.ClueOfMeasure)
	require.Equal(t, "100 mm", s.factor.fields[state.InDrawn][0].entry.Text)
}
