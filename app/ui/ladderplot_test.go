package ui

import (
	"strings"
	"testing"

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
	require.Contains(t, text.PrintsBetween(s.view()), "mast alone: from ")
	own, ok := s.view().Judged.WindowOf(mast.ID, judge.Stops)
	require.True(t, ok)
	for _, r := range s.view().Judged.Ladder {
		tip := text.PartAtRung(s.view(), r)
		require.Equal(t, own.Holds(r.Factor.Float()), strings.Contains(tip, "nothing stops it"), tip)
	}
	short, long := text.KitSum(s.view())
	require.Contains(t, short, "g, 1")
	require.Contains(t, long, "without supports")
	require.Contains(t, long, "side by side")
	require.Contains(t, says(s.drawer.root), strings.ReplaceAll(short, "\u00a0", " "))
}
