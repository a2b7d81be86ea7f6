package state_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/ways"
)

// savedOnDisk is a kit of a hull and a mast, saved beside its models at 1:12 to 1:48.
func savedOnDisk(t *testing.T) (s *scene, folder, path string) {
	t.Helper()
	s, folder = onDisk(t)
	require.NoError(t, os.Remove(filepath.Join(folder, "rig", "cut.stl")))
	s.Open([]string{folder})
	s.settle()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	path = filepath.Join(folder, "tug.scantling")
	s.SaveKit(path)
	s.settle()
	require.NoError(t, s.View().Notice)
	k, err := kit.Load(path)
	require.NoError(t, err)
	require.Equal(t, kit.Facts{Bytes: 684, Box: geom.Box{Max: geom.Vec{412, 96, 88}}, Triangles: 12, Volume: k.Parts[0].Was.Volume, Surface: kit.Closed}, k.Parts[0].Was)
	require.InDelta(t, 412*96*88, k.Parts[0].Was.Volume, 1e-3)
	s.NewKit()
	return s, folder, path
}

func move(t *testing.T, from, to string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(to), 0o755))
	require.NoError(t, os.Rename(from, to))
}

func TestFilesThatWereMovedAreFoundAgain(t *testing.T) {
	s, folder, path := savedOnDisk(t)
	hull, mast := filepath.Join(folder, "hull.stl"), filepath.Join(folder, "rig", "mast.stl")
	// One was renamed and put away, of the other only one of the same name is there.
	move(t, hull, filepath.Join(folder, "drawn", "old", "rumpf.stl"))
	require.NoError(t, os.Remove(mast))
	other := filepath.Join(folder, "later", "rig", "mast.stl")
	require.NoError(t, os.MkdirAll(filepath.Dir(other), 0o755))
	require.NoError(t, os.WriteFile(other, boxSTL(t, geom.Vec{6, 6, 200}), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "later", "mast.stl"), boxSTL(t, geom.Vec{1, 1, 1}), 0o644))
	s.OpenKit(path)
	s.settle()
	require.Equal(t, state.Failed, s.part("hull").State)
	v := s.View()
	require.True(t, v.Sources.Searched)
	require.False(t, v.Sources.Busy)
	require.Len(t, v.Sources.Missing, 2)
	missing := v.Sources.Missing
	require.Equal(t, hull, missing[0].Path)
	require.Equal(t, []string{"hull"}, missing[0].Parts)
	require.Equal(t, filepath.Join(folder, "drawn", "old", "rumpf.stl"), missing[0].Found)
	require.True(t, missing[0].Same)
	require.Equal(t, other, missing[1].Found, "the one whose folders are most alike")
	require.False(t, missing[1].Same)

	s.UseFound()
	s.settle()
	require.Empty(t, s.View().Sources.Missing)
	require.Equal(t, state.StepFound, s.View().Undo)
	require.Equal(t, 2, s.View().Undoes.Parts)
	require.Equal(t, state.Measured, s.part("hull").State)
	require.False(t, s.part("hull").Differs)
	require.True(t, s.part("mast").Differs, "it is another one")
	require.Equal(t, 200.0, s.part("mast").Drawn[2])
	require.Len(t, s.View().Sources.Changed, 1)
	s.SaveKit("")
	s.settle()
	s.NewKit()
	s.OpenKit(path)
	s.settle()
	require.Empty(t, s.View().Sources.Missing, "the kit remembers the new places")
	require.True(t, s.part("mast").Differs, "and that nobody has said the other is right")
	s.Undo()
}

func TestPointToAMissingFile(t *testing.T) {
	s, folder, path := savedOnDisk(t)
	away := filepath.Join(t.TempDir(), "far", "away")
	move(t, filepath.Join(folder, "hull.stl"), filepath.Join(away, "hull.stl"))
	move(t, filepath.Join(folder, "rig", "mast.stl"), filepath.Join(away, "deep", "mast.stl"))
	s.OpenKit(path)
	s.settle()
	require.Len(t, s.View().Sources.Missing, 2)
	require.Empty(t, s.View().Sources.Missing[0].Found)
	s.PointTo(filepath.Join(folder, "hull.stl"), filepath.Join(away, "hull.stl"))
	s.settle()
	require.Equal(t, state.Measured, s.part("hull").State)
	require.Len(t, s.View().Sources.Missing, 1)
	require.Equal(t, filepath.Join(away, "deep", "mast.stl"), s.View().Sources.Missing[0].Found, "what else is missing is looked for there")
	require.True(t, s.View().Sources.Missing[0].Same)
	s.UseFound(filepath.Join(folder, "rig", "mast.stl"))
	s.settle()
	require.Empty(t, s.View().Sources.Missing)
	s.Undo()
	s.settle()
	require.Len(t, s.View().Sources.Missing, 1)
}

func TestAChangedFileSaysWhatDiffers(t *testing.T) {
	s, folder, path := savedOnDisk(t)
	hull := filepath.Join(folder, "hull.stl")
	require.NoError(t, os.WriteFile(hull, boxSTL(t, geom.Vec{400, 96, 88}), 0o644))
	s.OpenKit(path)
	s.settle()
	require.ErrorIs(t, s.View().Notice, state.ErrDifferent)
	require.Len(t, s.View().Sources.Changed, 1)
	c := s.View().Sources.Changed[0]
	require.Equal(t, s.part("hull").ID, c.ID)
	require.Equal(t, kit.Change{Size: true, Volume: true}, c.Change)
	require.Equal(t, 412.0, c.Was.Box.Size()[0])
	require.Equal(t, 400.0, c.Now.Box.Size()[0])
	require.Equal(t, kit.Closed, c.Now.Surface)
	require.False(t, s.View().Unsaved)

	t.Run("kept for now", func(t *testing.T) {
		s.KeepOld()
		require.Empty(t, s.View().Sources.Changed)
		require.True(t, s.part("hull").Differs)
		require.False(t, s.View().Unsaved, "the factor is not touched by it")
		s.SaveKit("")
		s.settle()
		s.OpenKit(path)
		s.settle()
		require.Len(t, s.View().Sources.Changed, 1, "it is pointed out the next time")
		require.Equal(t, 412.0, s.View().Sources.Changed[0].Was.Box.Size()[0], "with what it was")
	})
	t.Run("taken", func(t *testing.T) {
		s.AcceptChanged()
		require.Empty(t, s.View().Sources.Changed)
		require.False(t, s.part("hull").Differs)
		require.True(t, s.View().Unsaved)
		require.Equal(t, state.StepAccept, s.View().Undo)
		s.Undo()
		require.Len(t, s.View().Sources.Changed, 1)
		s.Redo()
		s.SaveKit("")
		s.settle()
		s.OpenKit(path)
		s.settle()
		require.Empty(t, s.View().Sources.Changed)
	})
}

// Where the factor comes from what was changed, the old one can stay in force.
func TestAChangedFileAndTheFactor(t *testing.T) {
	s, folder, path := savedOnDisk(t)
	s.OpenKit(path)
	s.settle()
	s.ChooseWay(ways.ByLength)
	s.Type(state.InLength, "103 mm")
	s.SetLengthPart(s.part("hull").ID)
	require.InDelta(t, 0.25, s.View().Result.Factor.Float(), 1e-12)
	s.SaveKit("")
	s.settle()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "hull.stl"), boxSTL(t, geom.Vec{206, 96, 88}), 0o644))
	s.OpenKit(path)
	s.settle()
	require.InDelta(t, 0.5, s.View().Result.Factor.Float(), 1e-12)
	s.KeepOld()
	require.InDelta(t, 0.25, s.View().Result.Factor.Float(), 1e-12)
	require.Equal(t, ways.ByFactor, s.View().Way.Kind)
	require.Equal(t, state.StepKeepFactor, s.View().Undo)
}

// A kit whose file was saved by a program that kept no facts still says that a file changed.
func TestAChangedFileOfAnOlderKit(t *testing.T) {
	s, folder, _ := savedOnDisk(t)
	path := filepath.Join(folder, "old.scantling")
	require.NoError(t, os.WriteFile(path, []byte(`{"scantling": 1, "parts": [{"id": "a", "file": "hull.stl", "name": "hull", "digest": "xxh64:0000000000000000"}]}`), 0o644))
	s.OpenKit(path)
	s.settle()
	require.Len(t, s.View().Sources.Changed, 1)
	require.False(t, s.View().Sources.Changed[0].Was.Known())
	require.False(t, s.View().Sources.Changed[0].Change.Any())
}
