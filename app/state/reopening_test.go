package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/kit"
)

func TestSavingAKitTwiceEndsWithTheLast(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.Rename("Second")
	s.SaveKit("") // there is no path yet: the first save has not ended
	require.ErrorIs(t, s.View().Notice, state.ErrNoKitPath)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	require.False(t, s.View().Unsaved)
	k, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	require.Equal(t, "Second", k.Title)
}

func TestSaveAndReopenAKit(t *testing.T) {
	s := scaled(t)
	s.Rename("Harbour tug")
	s.Tick(s.part("mast").ID, false)
	s.SaveKit("")
	require.ErrorIs(t, s.View().Notice, state.ErrNoKitPath)
	s.SaveKit(at("tug"))
	s.settle()
	require.NoError(t, s.View().Notice)
	require.Equal(t, at("tug.scantling"), s.View().Path)
	require.False(t, s.View().Unsaved)
	s.Undo()
	require.True(t, s.View().Unsaved)
	s.Redo()
	require.False(t, s.View().Unsaved)

	s.NewKit()
	require.Empty(t, s.View().Parts)
	require.Empty(t, s.View().Path)
	require.Empty(t, s.View().Title)
	s.Open([]string{at("tug.scantling")})
	s.settle()
	v := s.View()
	require.NoError(t, v.Notice)
	require.Equal(t, "Harbour tug", v.Title)
	require.Equal(t, []string{"hull", "mast", "bad"}, s.names())
	require.False(t, s.part("mast").Ticked)
	require.Equal(t, "1:48", v.Typed[state.InTarget])
	require.InDelta(t, 0.25, v.Result.Factor.Float(), 0)
	require.False(t, v.Unsaved)
	require.Empty(t, v.Undo)
	require.NotNil(t, s.part("hull").Topology)

	s.OpenKit(at("none.scantling"))
	s.settle()
	require.Error(t, s.View().Notice)
	require.Equal(t, "Harbour tug", s.View().Title, "the open kit stays")
}

func TestAChangedFileIsTold(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	s.disk.Boxes(at("hull.stl"), geom.Box{Max: geom.Vec{400, 96, 88}})
	s.OpenKit(at("tug.scantling"))
	s.settle()
	require.True(t, s.part("hull").Differs)
	require.False(t, s.part("mast").Differs)
	require.ErrorIs(t, s.View().Notice, state.ErrDifferent)
}

func TestWhatIsChangedDuringASaveIsUnsaved(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.Rename("Other")
	s.settle()
	require.True(t, s.View().Unsaved)
}

func TestPreferencesAreKept(t *testing.T) {
	s := open(t)
	require.Equal(t, state.AsSystem, s.View().Look)
	s.SetLook(state.Dark)
	s.SetFolder(state.ForCopies, at("out"))
	again := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys})
	require.Equal(t, state.Dark, again.View().Look)
	require.Equal(t, at("out"), again.Folder(state.ForCopies))
	require.Empty(t, again.Folder(state.ForModels))
}

// A kit that was written without digests keeps what it says of ticks and names.
func TestAKitWithoutDigestsKeepsItsTicks(t *testing.T) {
	s := open(t)
	k := kit.Kit{}.With(kit.Part{File: at("hull.stl"), Name: "the hull"}, kit.Part{File: at("mast.stl"), Name: "mast", Ticked: true})
	require.NoError(t, s.disk.PutKit(at("hand.scantling"), k))
	s.OpenKit(at("hand.scantling"))
	s.settle()
	require.False(t, s.part("the hull").Ticked)
	require.True(t, s.part("mast").Ticked)
	require.False(t, s.View().Unsaved)
	require.Empty(t, s.View().Undo)
}

func TestAPartThatItsFileHasNoLonger(t *testing.T) {
	s := open(t)
	k := kit.Kit{}.With(kit.Part{File: at("hull.stl"), Index: 3, Name: "rudder", Ticked: true})
	require.NoError(t, s.disk.PutKit(at("hand.scantling"), k))
	s.OpenKit(at("hand.scantling"))
	s.settle()
	require.ErrorIs(t, s.part("rudder").Err, state.ErrNoSuchPart)
	require.Equal(t, state.Failed, s.part("rudder").State)
}
