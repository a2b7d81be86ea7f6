package state_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// copyOf is the record of a copy of a part.
func copyOf(t *testing.T, part, factor, target, path string, when time.Time) kit.Saved {
	t.Helper()
	f, err := ratio.ParseFactor(factor)
	require.NoError(t, err)
	r, err := ratio.Parse(target)
	require.NoError(t, err)
	return kit.Saved{Parts: []string{part}, When: when, Factor: f, Ratio: r,
		Record: deliver.Record{Files: []deliver.Written{{Path: path}}}}
}

func TestCopiesSavedAtAnotherFactor(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	k, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	hull, mast := s.part("hull").ID, s.part("mast").ID
	year := time.Date(2025, 3, 7, 12, 0, 0, 0, time.UTC)
	k = k.WithSaved(copyOf(t, hull, "0.25", "1:48", at("c/hull-48.stl"), year.AddDate(1, 0, 0))).
		WithSaved(copyOf(t, hull, "0.5", "1:24", at("c/hull-24.stl"), year), copyOf(t, mast, "0.5", "1:24", at("c/mast-24.stl"), year))
	require.NoError(t, s.disk.PutKit(at("tug.scantling"), k))
	s.OpenKit(at("tug.scantling"))
	s.settle()
	made := s.View().Made
	require.Len(t, made, 3)
	require.Equal(t, at("c/hull-48.stl"), made[0].Path(), "the latest first")
	require.Empty(t, s.View().Earlier)
	s.PlanCopies()
	require.Len(t, s.View().Earlier, 1, "of the hull the latest copy has the present factor")
	require.Equal(t, []string{"mast"}, s.View().Earlier[0].Parts)
	require.Equal(t, "1:24", s.View().Earlier[0].Ratio.Exact())
	s.Tick(mast, false)
	require.Empty(t, s.View().Earlier)
	s.Type(state.InTarget, "1:24")
	require.Len(t, s.View().Earlier, 1)
	require.Equal(t, []string{"hull"}, s.View().Earlier[0].Parts)
	s.CloseCopies()
	require.Empty(t, s.View().Earlier)
	s.Duplicate("Another")
	require.Empty(t, s.View().Made, "the copies are the old kit's")
}
