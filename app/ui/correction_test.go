package ui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/process"
)

// corrected is a loaded scene at a factor whose process has a correction, off.
func corrected(t *testing.T, kept ...string) *scene {
	t.Helper()
	s := loaded(t, kept...)
	s.at48()
	require.NoError(t, s.bench.TypeProcess(process.CorrectionX, "150/149.5"))
	require.NoError(t, s.bench.TypeProcess(process.CorrectionZ, "1.002"))
	return s
}

// Copies are corrected only where the maker ticks that; then the panel says what it means, and
// what came of the save says it again.
func TestTheCorrectionOfCopies(t *testing.T) {
	s := corrected(t)
	factor := s.view().Result.Factor
	s.key(text.PlanCopies)
	require.False(t, s.copies.correct.Disabled())
	require.False(t, s.copies.correct.Checked, "it is off")
	require.False(t, s.copies.meant.Visible())
	s.copies.correct.SetChecked(true)
	require.Contains(t, says(s.over()), "×1.00334 along x, ×1 along y, ×1.002 along z")
	require.Contains(t, says(s.over()), "for this printer only, printed as they lie. The factor and the sizes shown stay as they are.")
	require.Equal(t, state.StepProcess, s.view().Undo)
	require.True(t, factor.Equal(s.view().Result.Factor))
	s.press(text.SaveCopies.Name())
	s.settle()
	require.Len(t, s.view().Saved, 3)
	for _, o := range s.view().Saved {
		require.NoError(t, o.Err)
		require.Equal(t, geom.Vec{150 / 149.5, 1, 1.002}, o.Copy.Correction)
		require.Contains(t, o.Copy.Tag, "corrected x1.00334")
	}
	require.Contains(t, says(s.over()), "corrected for the printer")
}

// Without a correction there is nothing to tick.
func TestNoCorrectionOfCopies(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.key(text.PlanCopies)
	require.True(t, s.copies.correct.Disabled())
	require.False(t, s.copies.meant.Visible())
}

func TestGoldenCorrection(t *testing.T) {
	s := corrected(t, "look", "light")
	s.key(text.ChooseProcess)
	s.process.corrected.SetChecked(true)
	s.canvas().Focus(s.number(process.CorrectionZ).entry)
	golden(t, "correction-light", shot(s, s.process.panel))
	s.process.close()
	s.bench.SetLook(state.Dark)
	s.key(text.PlanCopies)
	golden(t, "copies-dark", shot(s, s.copies.panel))
}
