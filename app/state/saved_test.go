package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/formats"
)

// What was saved is in the kit, from what and how; it makes the kit unsaved and no undo takes it
// back.
func TestSavedCopiesAreInTheKit(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	require.False(t, s.View().Unsaved)
	hull := s.part("hull").ID
	s.SetQuantity(hull, 3)
	s.PlanCopies()
	s.SetCopyFolder(at("out"))
	s.SetCopyPattern("{quantity}x {part}")
	require.Equal(t, "3x hull.stl", s.View().Copies.Names[0].Name)
	s.SetPartFormat(hull, formats.OBJ)
	require.Equal(t, "3x hull.obj", s.View().Copies.Names[0].Name)
	require.Equal(t, formats.OBJ, s.View().Copies.Names[0].Of)
	require.Equal(t, state.StepFormat, s.View().Undo)
	s.Undo()
	require.Equal(t, "3x hull.stl", s.View().Copies.Names[0].Name)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	require.False(t, s.View().Unsaved)
	s.SaveCopies()
	s.settle()
	for _, o := range s.View().Saved {
		require.NoError(t, o.Err)
	}
	made := s.View().Made
	require.Len(t, made, len(s.View().Saved))
	require.True(t, s.View().Unsaved)
	s.Undo()
	require.Len(t, s.View().Made, len(made))
	for _, m := range made {
		require.True(t, m.Factor.Equal(s.View().Result.Factor))
		require.Len(t, m.Parts, 1)
		require.NotEmpty(t, m.Source)
	}
	s.SaveKit(at("tug.scantling"))
	s.settle()
	k, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	require.Len(t, k.Copies, len(made))

	// Two parts of one name do not come into each other's way.
	s.PlanCopies()
	s.SetCopyPattern("{kit}")
	names := s.View().Copies.Names
	require.NotEqual(t, names[0].Name, names[1].Name)
	require.Contains(t, names[1].Name, "-2.")
}
