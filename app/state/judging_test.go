package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/judge"
	"scantling/engine/process"
)

// found is the worst finding of a code about a part; false where there is none.
func (s *scene) found(code judge.Code, part string) (int, judge.Finding, bool) {
	for i, f := range s.View().Judged.Findings {
		if f.Code == code && s.View().Judged.Name(f.Part) == part {
			return i, f, true
		}
	}
	return -1, judge.Finding{}, false
}

// The mast of 6 mm is a pin: what the factor does to it is told at once, and where it is gone.
func TestJudgedAtTheFactor(t *testing.T) {
	s := open(t)
	s.openAll()
	require.Empty(t, s.View().Judged.Findings, "there is no factor yet")
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InTarget, "1:48")
	j := s.View().Judged
	require.Zero(t, j.Waiting)
	at, f, ok := s.found(judge.PinThin, "mast")
	require.True(t, ok)
	require.InDelta(t, 6*0.235, f.Value, 1e-3)
	require.InDelta(t, f.Limit/6, f.GoneAt, 1e-3)
	require.Equal(t, judge.Larger, f.Gone)
	mast := s.part("mast")
	require.Equal(t, f.Gravity, j.Worst[mast.ID])

	s.PointAt(at)
	require.Equal(t, mast.ID, s.View().Selected)
	require.Equal(t, mast.ID, s.View().Pointed.Part)
	require.True(t, mast.Box.Min[2] <= s.View().Pointed.At[2] && s.View().Pointed.At[2] <= mast.Box.Max[2])

	s.Cure(at)
	_, _, ok = s.found(judge.PinThin, "mast")
	require.False(t, ok, "gone at the ratio that was gone to")
	s.Undo()
	_, _, ok = s.found(judge.PinThin, "mast")
	require.True(t, ok)

	s.Tick(mast.ID, false)
	_, _, ok = s.found(judge.PinThin, "mast")
	require.False(t, ok, "what is not printed is not judged")
}

func TestFindingsAreSetAside(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InTarget, "1:48")
	at, f, ok := s.found(judge.PinThin, "mast")
	require.True(t, ok)
	s.SetFindingAside(at, "  ")
	require.Empty(t, s.View().Judged.Findings[at].Aside, "without a reason nothing happens")
	s.SetFindingAside(at, "a brass rod")
	at, f, ok = s.found(judge.PinThin, "mast")
	require.True(t, ok)
	require.Equal(t, "a brass rod", f.Aside)
	require.NotEqual(t, judge.Look, s.View().Judged.Worst[s.part("mast").ID])
	require.Equal(t, state.StepFindingAside, s.View().Undo)
	s.TakeFindingBack(at)
	_, f, _ = s.found(judge.PinThin, "mast")
	require.Empty(t, f.Aside)
	s.Undo()
	_, f, _ = s.found(judge.PinThin, "mast")
	require.Equal(t, "a brass rod", f.Aside)
}

// What one line of the drawer tells is set aside as one.
func TestAlike(t *testing.T) {
	pin := judge.Finding{Code: judge.PinThin, Gravity: judge.Look, Part: 1, Other: -1}
	worse, elsewhere, aside, wall := pin, pin, pin, pin
	worse.Gravity, elsewhere.Part, aside.Aside, wall.Code = judge.Stops, 0, "a rod", judge.WallThin
	j := state.Judged{Findings: []judge.Finding{worse, pin, elsewhere, wall, aside, pin, aside}}
	require.Equal(t, []int{1, 5}, j.Alike(1))
	require.Equal(t, []int{1, 5}, j.Alike(5))
	require.Equal(t, []int{0}, j.Alike(0))
	require.Equal(t, []int{4, 6}, j.Alike(4))
	require.Empty(t, j.Alike(-1))
	require.Empty(t, j.Alike(7))
}

// Another process judges by other limits, and the next kit begins with it.
func TestChoosingAProcess(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InTarget, "1:48")
	_, before, _ := s.found(judge.PinThin, "mast")
	vat := process.Presets()[1].Process
	s.SetProcess(vat)
	require.Equal(t, vat, s.View().Judged.Process)
	_, after, there := s.found(judge.PinThin, "mast")
	require.True(t, !there || after.Limit < before.Limit)
	s.Undo()
	_, again, _ := s.found(judge.PinThin, "mast")
	require.Equal(t, before, again)
	bad := vat
	bad.Kind = "magic"
	s.SetProcess(bad)
	require.NotEqual(t, bad, s.View().Judged.Process)
	s.NewKit()
	require.Equal(t, vat.Name, s.View().Judged.Process.Name)
}
