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

// How copies are saved belongs to the kit: it opens with it, undo takes it back, and what cannot be
// kept stays in its field and out of the kit.
func TestSavingIsTheKits(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	s.PlanCopies()
	usual := *s.View().Copies
	s.SetCopyPattern(state.DefaultPattern + "x")
	s.SetCopyPattern("{part")
	require.Equal(t, "{part", s.View().Copies.Pattern)
	require.Error(t, s.View().Copies.Err)
	var shown []string
	s.Watch(func(v state.View) {
		if v.Copies != nil {
			shown = append(shown, v.Copies.Pattern)
		}
	})
	s.SetCopyPattern("{quantity}x {part}")
	require.NotContains(t, shown, state.DefaultPattern+"x", "nothing comes into the field that is being typed in")
	s.SetCopyFormat(formats.OBJ)
	s.SetFolders(true)
	s.SetTurned(true)
	s.SetCopyFolder(at("out"))
	require.True(t, s.View().Unsaved)
	require.Equal(t, state.StepSaving, s.View().Undo)
	chosen := func(p *state.CopyPlan) []any {
		return []any{p.Folder, p.Pattern, p.As, p.Folders, p.Turned, p.Posed}
	}
	want := chosen(s.View().Copies)
	require.Equal(t, []any{at("out"), "{quantity}x {part}", formats.OBJ, true, true, false}, want)
	require.NotEqual(t, chosen(&usual), want)
	name := s.View().Copies.Names[0].Name
	require.Equal(t, "1x hull.obj", name)

	s.Undo()
	require.Equal(t, chosen(&usual), chosen(s.View().Copies), "all of it was one step")
	require.False(t, s.View().Unsaved)
	s.SetCopyPattern("{")
	s.Redo()
	require.Equal(t, want, chosen(s.View().Copies), "what could not be kept makes room")
	require.Equal(t, name, s.View().Copies.Names[0].Name)
	s.SaveKit("")
	s.settle()

	s.NewKit()
	s.PlanCopies()
	require.Equal(t, []any{state.DefaultPattern, formats.Kind(""), false, false, false}, chosen(s.View().Copies)[1:])
	s.OpenKit(at("tug.scantling"))
	s.settle()
	s.PlanCopies()
	require.Equal(t, want, chosen(s.View().Copies))
	require.False(t, s.View().Unsaved, "looking at it changes nothing")
}

// The folder that copies were saved in is the kit's from then on, chosen or not.
func TestFolderOfCopiesIsTheKits(t *testing.T) {
	s := scaled(t)
	s.PlanCopies()
	usual := s.View().Copies.Folder
	s.SaveCopies()
	s.settle()
	s.SetFolder(state.ForCopies, at("elsewhere"))
	s.PlanCopies()
	require.Equal(t, usual, s.View().Copies.Folder)
}
