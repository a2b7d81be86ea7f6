package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"scantling/app/text"
	"scantling/engine/figure"
)

// The page makes the figure as it is described, says what is wrong with what was typed, and
// saves it.
func TestThePageOfTheFigureToPrint(t *testing.T) {
	s := loaded(t)
	s.key(text.PrintFigure)
	require.Contains(t, says(s.over()), "choose one in the factor panel", "there is no target yet")
	require.True(t, s.person.save.Disabled())
	s.escape()
	s.at48()
	s.key(text.PrintFigure)
	s.settle()
	require.NotNil(t, s.view().Printed.Made.Mesh)
	require.Contains(t, says(s.over()), "1:48, for ")
	require.NotNil(t, s.person.picture.Image)
	require.False(t, s.person.seat.Visible())
	tall := s.view().Printed.Made.Landmarks[figure.Crown]

	s.fill(s.person.stature, "2 m")
	s.settle()
	require.Greater(t, s.view().Printed.Made.Landmarks[figure.Crown], tall)
	s.fill(s.person.stature, "3 m")
	s.settle()
	require.Error(t, s.view().Printed.Err)
	require.True(t, s.person.save.Disabled())
	require.Nil(t, s.person.picture.Image)
	s.fill(s.person.stature, "1.6 m")
	s.person.posture.SetSelected(text.PoseName(figure.Sits))
	s.settle()
	require.Equal(t, figure.Sits, s.view().Printed.Spec.Pose)
	require.True(t, s.person.seat.Visible())
	s.person.base.SetChecked(false)
	s.settle()
	require.True(t, s.view().Printed.Spec.NoBase)
	require.Contains(t, says(s.over()), "Without a base")

	s.bench.SavePrinted(at("person.3mf"), text.MannequinTag(s.view().Printed.Spec.Ratio), false)
	s.settle()
	require.Equal(t, at("person.3mf"), s.view().Printed.Saved)
	require.Contains(t, says(s.over()), "Saved: ")
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.person.panel)
}
