package state_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/geom"
)

func TestSaveCopies(t *testing.T) {
	s := scaled(t)
	s.PlanCopies()
	plan := s.View().Copies
	require.NoError(t, plan.Err)
	require.Equal(t, root()+"-copies", plan.Folder, "beside the sources")
	require.Len(t, plan.Names, 2)
	require.Equal(t, "hull-1-48.stl", plan.Names[0].Name)
	s.SetCopyPattern("{part")
	require.Error(t, s.View().Copies.Err)
	s.SaveCopies()
	require.Error(t, s.View().Notice)
	s.SetCopyPattern("{part}-{percent}")
	s.SetCopyFolder(at("out"))
	require.NoError(t, s.View().Copies.Err)
	s.SaveCopies()
	s.settle()
	require.Nil(t, s.View().Copies, "the plan closes")
	require.Len(t, s.View().Saved, 2)
	for _, o := range s.View().Saved {
		require.NoError(t, o.Err)
		require.True(t, o.Verified)
	}
	saved := s.disk.Saved()
	require.InDelta(t, 0.25, saved[at("out/hull-25.stl")].Factor, 0)
	require.InDelta(t, 1, saved[at("out/hull-25.stl")].PerUnit, 0)

	s.PlanCopies() // again: the same names
	require.Equal(t, at("out"), s.View().Copies.Folder, "the folder is remembered")
	s.SetCopyPattern("{part}-25")
	s.queue.Until("the folder is looked up", func() bool { return s.View().Copies.Names[0].Exists })
	require.True(t, s.View().Copies.Names[0].Unchanged, "the kit knows what it saved there")
	s.Type(state.InTarget, "1:24")
	s.queue.Until("the folder is looked up again", func() bool { return s.View().Copies.Names[0].Exists })
	require.False(t, s.View().Copies.Names[0].Unchanged)
	s.disk.SaveErr["mast-25.stl"] = &deliver.Error{Code: deliver.DiskFull, Path: at("out")}
	s.SaveCopies()
	s.settle()
	var refused *deliver.Error
	require.ErrorAs(t, s.View().Saved[0].Err, &refused)
	require.Equal(t, deliver.Exists, refused.Code)
	s.PlanCopies()
	require.False(t, s.View().Copies.Overwrite)
	s.SetCopyPattern("{part}-25")
	s.SetOverwrite(true)
	s.SaveCopies()
	s.settle()
	require.NoError(t, s.View().Saved[0].Err)
	require.Error(t, s.View().Saved[1].Err, "one failure stops no other copy")
}

func TestPlanSaysWhyNothingCanBeSaved(t *testing.T) {
	s := open(t)
	s.PlanCopies()
	require.ErrorIs(t, s.View().Copies.Err, state.ErrNoneTicked)
	s.openAll()
	require.ErrorIs(t, s.View().Copies.Err, state.ErrNoFactor)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	s.SetCopyFolder("")
	require.ErrorIs(t, s.View().Copies.Err, state.ErrNoFolder)
	s.SetCopyFolder(at("out"))
	require.NoError(t, s.View().Copies.Err)
	s.CloseCopies()
	require.Nil(t, s.View().Copies)
	s.SetCopyFolder(at("elsewhere"))
	require.Nil(t, s.View().Copies)
}

func TestACopyIsOfTheWholeFile(t *testing.T) {
	s := scaled(t)
	box := geom.Box{Max: geom.Vec{1, 2, 3}}
	s.disk.Boxes(at("pair.stl"), box, box)
	s.Open([]string{at("pair.stl")})
	s.settle()
	s.Tick(s.part("pair 2").ID, false)
	s.Tick(s.part("bad").ID, true)
	s.PlanCopies()
	names := s.View().Copies.Names
	require.Len(t, names, 4)
	require.ErrorIs(t, names[2].Err, state.ErrFailedPart)
	require.Equal(t, "pair-1-48.stl", names[3].Name)
	require.Equal(t, 1, names[3].Along)
	s.SaveCopies()
	s.settle()
	require.Len(t, s.View().Saved, 4)
	require.ErrorIs(t, s.View().Saved[3].Err, state.ErrFailedPart)
	s.Tick(s.part("pair").ID, false)
	s.PlanCopies()
	require.Len(t, s.View().Copies.Names, 3)
}

func TestCancelSavingTellsWhatCameOfIt(t *testing.T) {
	s := scaled(t)
	s.disk.Gate = make(chan struct{})
	s.PlanCopies()
	s.SaveCopies()
	s.disk.Gate <- struct{}{}
	s.queue.Until("the first is saved", func() bool { return len(s.disk.Saved()) == 1 })
	s.SaveCopies()
	require.ErrorIs(t, s.View().Notice, state.ErrStillSaving)
	s.Cancel(state.Saving)
	s.settle()
	require.Len(t, s.View().Saved, 2)
	require.NoError(t, s.View().Saved[0].Err)
	require.ErrorIs(t, s.View().Saved[1].Err, context.Canceled)
}

func TestQuitWhileSaving(t *testing.T) {
	s := scaled(t)
	s.disk.Gate = make(chan struct{})
	s.PlanCopies()
	s.SaveCopies()
	left := 0
	s.Quit(func() { left++ })
	require.Zero(t, left, "the save cleans up first")
	s.queue.Until("the save has cleaned up", func() bool { return left == 1 })
	require.Empty(t, s.disk.Saved())
	s.queue.Drain()
	require.Equal(t, 1, left)
}

func TestQuitAtOnce(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl")})
	left := 0
	s.Quit(func() { left++ })
	require.Equal(t, 1, left, "nothing is being saved")
}
