package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
)

// The parts are shaded once asked for, from the side that is seen, and a change of factor looks
// at nothing again.
func TestThicknessIsShown(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	front := int(state.Front)
	require.Nil(t, s.part("mast").Shades[front], "nobody looks")
	s.ToggleThickness()
	require.NotZero(t, s.View().Unshaded())
	s.settle()
	require.Zero(t, s.View().Unshaded())
	shade := s.part("mast").Shades[front]
	require.NotNil(t, shade)
	seen := 0
	for _, thick := range shade.Thickness {
		if thick == thick {
			seen++
			require.InDelta(t, 6, thick, 0.1)
		}
	}
	require.Greater(t, seen, len(shade.Thickness)/2)
	require.Nil(t, s.part("mast").Shades[int(state.Top)])

	s.Type(state.InTarget, "1:96")
	require.Empty(t, s.View().Jobs, "a factor looks at nothing again")
	require.Same(t, shade, s.part("mast").Shades[front])

	s.SetSide(state.Top)
	s.settle()
	require.NotNil(t, s.part("mast").Shades[int(state.Top)])
	require.Same(t, shade, s.part("mast").Shades[front])
	s.Tick(s.part("mast").ID, false)
	s.ToggleThickness()
	require.False(t, s.View().Sheet.Thickness)
	bounds := s.View().ThicknessBounds()
	require.True(t, bounds[0] <= bounds[1] && bounds[1] <= bounds[2])
}
