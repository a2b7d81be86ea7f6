package sheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
)

// The ring stands around the place from every side, with what was found beside it and inside
// the field.
func TestAFindingHasItsPlace(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	place := geom.Vec{250, 0, 240} // in the mast
	v.Pointed = state.Pointed{Part: "2", At: place, Finding: judge.Finding{Code: judge.PinThin, Value: 1.41, Limit: 2}}
	for _, side := range []state.Side{state.Front, state.FromSide, state.Top} {
		v.Sheet.Side = side
		marks := Draw(v, someSize)
		want := onPaper(v, place)
		rings := 0
		for _, m := range marks {
			if m.Role != FoundPlace || m.Kind != Outline {
				continue
			}
			rings++
			sum := Point{}
			for _, p := range m.Points {
				sum.X, sum.Y = sum.X+p.X, sum.Y+p.Y
			}
			require.InDelta(t, want.X, sum.X/float64(len(m.Points)), 1e-6)
			require.InDelta(t, want.Y, sum.Y/float64(len(m.Points)), 1e-6)
		}
		require.Equal(t, 1, rings)
		says := written(marks, FoundPlace)
		require.Len(t, says, 1)
		require.Equal(t, "Pin too thin: 1.41 mm", strings.ReplaceAll(says[0], "\u00a0", " "))
	}
	v.Pointed = state.Pointed{}
	require.Empty(t, written(Draw(v, someSize), FoundPlace))
}
