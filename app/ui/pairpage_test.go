package ui

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/judge"
)

// compared is a loaded kit at 1:48 beside 1:96.
func compared(t *testing.T, kept ...string) *scene {
	s := loaded(t, append([]string{"field", "ships"}, kept...)...)
	s.bench.UseBed(judge.Bed{Size: [3]float64{90, 90, 120}})
	s.at48()
	s.settle()
	s.key(text.Compare)
	s.pick(1, "1:96")
	return s
}

// pick chooses what stands in a column, and waits until it is worked out.
func (s *scene) pick(side int, ratio string) {
	s.t.Helper()
	s.choose(side, ratio)
	s.queue.Until("it is worked out", func() bool { return !s.view().Pair.Waiting })
}

// choose does not wait.
func (s *scene) choose(side int, ratio string) {
	s.t.Helper()
	i := slices.IndexFunc(s.view().Ladder, func(r judge.Rung) bool { return r.Standard.Ratio.String() == ratio })
	require.GreaterOrEqual(s.t, i, 0, "no rung %s", ratio)
	s.pair.choices[side].SetSelected(text.PairRung(s.view().Ladder[i]))
}

// Two targets stand side by side; what differs is named, and either becomes the target.
func TestThePageOfTwoTargets(t *testing.T) {
	s := compared(t)
	page := says(s.over())
	for _, want := range []string{"1:48  ×0.2350", "1:96  ×0.1175", "23.50 %", "hull, 96.8 mm", "hull, 48.4 mm", "2 of 3 parts", "all 3 parts",
		"hull: Does not fit the bed as it lies", "not there", text.PairIsTarget} {
		require.Contains(t, page, want)
	}
	require.True(t, s.pair.take[0].Disabled())
	s.press(text.PairTake)
	require.Equal(t, "1:96", s.view().Way.Target.String())
	require.True(t, s.pair.take[1].Disabled())
	require.False(t, s.pair.take[0].Disabled(), "the pinned one is offered now")
	s.bench.Undo()
	require.Equal(t, "1:48", s.view().Way.Target.String())
	require.NotNil(t, s.pair.panel)

	s.choose(1, "1:48")
	page = says(s.over())
	for _, want := range []string{text.PairWorks, "hull, 48.4 mm"} {
		require.Contains(t, page, want, "what was there stays until the new is known")
	}
	require.NotContains(t, page, text.NothingElse)
	require.NotContains(t, page, "1:96", "it shows at once what is chosen")
	s.pick(1, "1:48")
	require.Contains(t, says(s.over()), text.NothingElse)
	s.canvas().Focus(s.pair.table)
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.pair.panel)
	require.Nil(t, s.view().Pair)
}

// Escape leaves the page although a choice has the keyboard, as it has when the page opens.
func TestEscapeOutOfAChoiceLeavesThePage(t *testing.T) {
	s := compared(t)
	require.Equal(t, fyne.Focusable(s.pair.choices[1]), s.canvas().Focused())
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.pair.panel)
	require.Nil(t, s.view().Pair)

	s.bench.PlanCopies()
	s.canvas().Focus(s.copies.posed)
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.view().Copies)
}

// A kit without a factor has nothing to compare.
func TestNothingToCompare(t *testing.T) {
	s := loaded(t)
	require.True(t, s.menuItems[text.Compare].Disabled)
	s.at48()
	require.False(t, s.menuItems[text.Compare].Disabled)
}

func TestGoldenPair(t *testing.T) {
	s := compared(t, "look", "light")
	golden(t, "pair-light", shot(s, s.pair.panel))
	s.bench.SetLook(state.Dark)
	s.pick(1, "1:200")
	s.bench.TakeCompared(1)
	golden(t, "pair-dark", shot(s, s.pair.panel))
}
