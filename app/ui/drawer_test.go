package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/judge"
)

// row is the line of the drawer about a code.
func (s *scene) row(c judge.Code) int {
	s.t.Helper()
	for i, f := range s.drawer.found {
		if f.Index >= 0 && s.view().Judged.Findings[f.Index].Code == c {
			return i
		}
	}
	s.t.Fatalf("no finding %q among %v", c, s.drawer.found)
	return -1
}

// The mast of the little kit is a thin pin at 1:48: the drawer says so, selects it, goes to the
// ratio at which it is gone, and sets it aside for a reason.
func TestTheDrawerJudges(t *testing.T) {
	s := loaded(t)
	s.bench.Type(state.InNative, "1:11.28")
	s.bench.Type(state.InTarget, "1:48")
	pin := s.row(judge.PinThin)
	require.Equal(t, text.Warns, s.drawer.found[pin].Mark)
	require.Contains(t, s.drawer.found[pin].Says, "2.00")
	require.Contains(t, s.drawer.found[pin].Gone, "1:33.84")
	require.True(t, s.drawer.cure.Disabled(), "nothing is marked")

	s.drawer.list.Select(pin)
	require.Equal(t, s.part("mast").ID, s.view().Selected)
	require.Equal(t, s.part("mast").ID, s.view().Pointed.Part)
	require.False(t, s.drawer.cure.Disabled())

	s.key(text.GoFindings)
	require.Equal(t, fyne.Focusable(s.drawer.list), s.canvas().Focused())

	// It stays marked while others come and go, and at another factor.
	s.bench.Type(state.InTarget, "1:50")
	marked, ok := s.drawer.marked()
	require.True(t, ok)
	require.Equal(t, judge.PinThin, marked.Code)
	require.Equal(t, s.part("mast").ID, s.view().Judged.IDs[marked.Part])
	require.False(t, s.drawer.cure.Disabled())
	s.bench.Type(state.InTarget, "1:48")

	all := len(s.drawer.found)
	s.run(s.byID[text.FindingsOfPart])
	require.Less(t, len(s.drawer.found), all)
	for _, f := range s.drawer.found {
		require.Equal(t, s.part("mast").ID, f.Part)
	}
	s.run(s.byID[text.FindingsOfPart])
	require.Len(t, s.drawer.found, all)

	s.drawer.list.Select(s.row(judge.PinThin))
	s.drawer.aside.Tapped(nil)
	entry, ok := s.canvas().Focused().(*tippedEntry)
	require.True(t, ok, "it asks for the reason")
	entry.SetText("a brass rod")
	entry.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	require.Equal(t, state.StepFindingAside, s.view().Undo)
	pin = s.row(judge.PinThin)
	require.True(t, s.drawer.found[pin].Aside)
	require.Contains(t, says(s.drawer.root), "1 set aside")
	s.drawer.list.Select(pin)
	s.drawer.aside.Tapped(nil)
	require.False(t, s.drawer.found[s.row(judge.PinThin)].Aside, "taken back")
}

// Another process is another judgement.
func TestTheDrawerChoosesAProcess(t *testing.T) {
	s := loaded(t)
	before := s.view().Judged.Process.Name
	for _, name := range s.drawer.process.Options {
		s.drawer.process.SetSelected(name)
		require.Equal(t, name, text.ProcessName(s.view().Judged.Process.Name))
	}
	require.NotEqual(t, before, s.view().Judged.Process.Name)
	require.Equal(t, state.StepProcess, s.view().Undo)
}
