package state_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
)

// Copies that were saved are looked for when that is asked: those as they were, those that another
// program has changed, longer or not, and those that are gone. Saved again, one is not looked at yet.
func TestCopiesAreLookedFor(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	out := filepath.Join(folder, "out")
	for _, pattern := range []string{"{part}-a", "{part}-b", "{part}-c", "{part}-d"} {
		s.PlanCopies()
		s.SetCopyFolder(out)
		s.SetCopyPattern(pattern)
		s.SaveCopies()
		s.settle()
	}
	require.GreaterOrEqual(t, len(s.View().Made), 4)
	require.Empty(t, s.View().Lying)

	at := func(name string) string { return filepath.Join(out, name) }
	content, err := os.ReadFile(at("hull-b.stl"))
	require.NoError(t, err)
	content[len(content)-3] ^= 1
	require.NoError(t, os.WriteFile(at("hull-b.stl"), content, 0o666))
	require.NoError(t, os.WriteFile(at("hull-c.stl"), content[:90], 0o666))
	require.NoError(t, os.Remove(at("hull-d.stl")))
	s.CheckMade()
	s.settle()
	for name, want := range map[string]state.Lying{
		"hull-a.stl": state.LyingWhole, "hull-b.stl": state.LyingChanged, "hull-c.stl": state.LyingChanged, "hull-d.stl": state.LyingGone,
	} {
		require.Equal(t, want, s.View().Lying[at(name)], name)
	}
	require.Len(t, s.View().Lying, len(s.View().Made))

	s.PlanCopies()
	s.SetCopyPattern("{part}-d")
	s.Type(state.InTarget, "1:50")
	s.SaveCopies()
	s.settle()
	require.Empty(t, s.View().Lying[at("hull-d.stl")], "that is another copy")
	s.CheckMade()
	s.settle()
	require.Equal(t, state.LyingWhole, s.View().Lying[at("hull-d.stl")])
	s.NewKit()
	s.CheckMade()
	require.Empty(t, s.View().Lying)
	require.Empty(t, s.View().Jobs)
}
