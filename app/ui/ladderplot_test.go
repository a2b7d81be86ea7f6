package ui

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/require"

	"scantling/app/sheet"
	"scantling/app/text"
	"scantling/engine/judge"
)

// The selected part has its own line in the ladder's picture and its own sentence, of all ratios
// and of a rung.
func TestTheLadderOfAPart(t *testing.T) {
	s := loaded(t)
	s.at48()
	marks := func() (n int) {
		all, _ := sheet.LadderPlot(s.view(), sheet.Size{W: 320, H: sheet.LadderHeight})
		for _, m := range all {
			if m.Role == sheet.LadderPart {
				n++
			}
		}
		return n
	}
	require.Zero(t, marks())
	require.NotContains(t, text.PrintsBetween(s.view()), "alone")
	mast := s.part("mast")
	s.bench.Select(mast.ID)
	require.Positive(t, marks())
	require.Contains(t, text.PrintsBetween(s.view()), "mast alone prints from ")
	own, ok := s.view().Judged.WindowOf(mast.ID, judge.Stops)
	require.True(t, ok)
	for _, r := range s.view().Judged.Ladder {
		tip := text.PartAtRung(s.view(), r)
		require.Equal(t, own.Holds(r.Factor.Float()), strings.Contains(tip, "nothing stops it"), tip)
	}
	// Where the pointer comes in on a rung, and where it goes on to another, that rung is told of.
	plot := s.factor.reaches
	_, spots := sheet.LadderPlot(s.view(), plot.size())
	require.Greater(t, len(spots), 2)
	pointed := func(x float64) *desktop.MouseEvent {
		return &desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(x), 28)}}
	}
	for i, come := range []func(*desktop.MouseEvent){plot.MouseIn, plot.MouseMoved} {
		come(pointed(spots[i].X))
		require.True(t, strings.HasPrefix(plot.ToolTip(), text.StandingTip(s.view().Judged.Ladder[spots[i].Rung])), plot.ToolTip())
	}
	plot.MouseOut()
	short, long := text.KitSum(s.view())
	require.Contains(t, short, "g, 1")
	require.Contains(t, long, "without supports")
	require.Contains(t, long, "side by side")
	require.Contains(t, says(s.drawer.root), strings.ReplaceAll(short, "\u00a0", " "))
}
