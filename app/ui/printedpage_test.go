package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
)

// The page makes the figure as it is described, says what is wrong with what was typed, and
// saves it.
func TestThePageOfTheFigureToPrint(t *testing.T) {
	s := loaded(t)
	p := s.person
	s.key(text.PrintFigure)
	require.Contains(t, says(s.over()), "choose one in the factor panel", "there is no target yet")
	require.True(t, p.asSTL.Disabled())
	s.fill(p.ratio, "1:60")
	s.settle()
	require.Contains(t, says(s.over()), "1:60, for ")
	require.False(t, p.asSTL.Disabled())
	s.fill(p.ratio, "1:wide")
	require.True(t, p.ratioFault.Visible())
	require.True(t, p.asSTL.Disabled())
	s.escape()
	s.at48()
	s.key(text.PrintFigure)
	s.settle()
	made := func() state.Printed { return s.view().Printed }
	require.NotNil(t, made().Made.Mesh)
	require.Contains(t, says(s.over()), "1:48, for ")
	require.Contains(t, says(s.over()), "the whole print is ")
	require.NotNil(t, made().Views.Front)
	require.False(t, p.seat.Visible())
	tall := made().Made.Landmarks[figure.Crown]

	s.fill(p.person, "2 m")
	require.True(t, made().Busy)
	require.True(t, p.bar.Visible())
	require.True(t, p.asSTL.Disabled())
	s.settle()
	require.False(t, p.bar.Visible())
	require.Greater(t, made().Made.Landmarks[figure.Crown], tall)
	s.fill(p.person, "girl of 8")
	s.settle()
	require.Equal(t, 8.0, made().Made.Child)
	s.fill(p.person, "2.5 m")
	s.settle()
	require.Error(t, made().PersonErr)
	require.True(t, p.asSTL.Disabled())
	require.Nil(t, made().Views.Front)
	s.fill(p.person, "nobody")
	require.Contains(t, says(s.over()), "nobody")
	s.fill(p.person, "1.6 m")
	s.fill(p.ratio, "1:5000")
	s.settle()
	require.Error(t, made().RatioErr)
	p.ratio.SetText("")
	p.posture.SetSelected(text.PoseName(figure.Sits))
	s.settle()
	require.Equal(t, figure.Sits, made().Spec.Pose)
	require.True(t, p.seat.Visible())
	p.base.SetChecked(false)
	s.settle()
	require.True(t, made().Spec.NoBase)
	require.Contains(t, says(s.over()), "Without a base")

	s.path = at("person") // the ending is added
	p.as3MF.OnTapped()
	s.settle()
	s.queue.Until("it is saved", func() bool { return made().Saved != "" })
	require.Equal(t, at("person.3mf"), made().Saved)
	require.Contains(t, says(s.over()), "Saved: ")
	p.as3MF.OnTapped()
	s.queue.Until("it is not saved", func() bool { return made().SaveErr != nil })
	require.Contains(t, says(s.over()), "Not saved: ")
	s.keys(fyne.KeyEscape)
	require.Nil(t, p.panel)
}

// What is being made can be stopped on the page itself, and begun again; nothing that was
// stopped is heard of any more.
func TestStopTheFigureToPrint(t *testing.T) {
	s := loaded(t)
	p := s.person
	s.at48()
	s.key(text.PrintFigure)
	require.True(t, s.view().Printed.Busy)
	require.True(t, p.making.Visible())
	p.cancel.OnTapped()
	require.False(t, s.view().Printed.Busy)
	require.Contains(t, says(s.over()), "Stopped: ")
	s.settle()
	require.Nil(t, s.view().Printed.Made.Mesh)
	require.Equal(t, text.PrintedAgain, p.cancel.Text)
	p.cancel.OnTapped()
	require.True(t, s.view().Printed.Busy)
	s.settle()
	require.NotNil(t, s.view().Printed.Made.Mesh)
	require.False(t, p.making.Visible())
	s.fill(p.ratio, "1:50")
	s.keys(fyne.KeyEscape)
	require.False(t, s.view().Printed.Busy, "Escape ends the making first")
	require.NotNil(t, p.panel)
	s.keys(fyne.KeyEscape)
	require.Nil(t, p.panel)
}

func TestGoldenPrinted(t *testing.T) {
	s := loaded(t, "look", "light")
	s.at48()
	s.key(text.PrintFigure)
	s.settle()
	golden(t, "printed-light", shot(s, s.person.panel))
	s.bench.SetLook(state.Dark)
	golden(t, "printed-dark", shot(s, s.person.panel))
}
