package state_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/formats"
)

func TestOpenTwoFilesAndABadOne(t *testing.T) {
	s := open(t)
	require.Equal(t, 1, s.shown, "told at once")
	s.Open([]string{at("hull.stl"), at("bad.stl"), at("mast.stl")})
	require.Len(t, s.View().Jobs, 1)
	s.settle()
	require.Equal(t, []string{"hull", "bad", "mast"}, s.names())
	hull, bad := s.part("hull"), s.part("bad")
	require.Equal(t, state.Measured, hull.State)
	require.True(t, hull.Ticked)
	require.Equal(t, geom.Vec{412, 96, 88}, hull.Drawn)
	require.Equal(t, 12, hull.Measured.Triangles)
	require.NotNil(t, hull.Topology)
	require.True(t, hull.Topology.Closed)
	for side, picture := range hull.Silhouettes {
		require.NotNil(t, picture, "side %d", side)
	}
	front := hull.Silhouettes[state.Front].Bounds()
	require.InDelta(t, 412.0/88, float64(front.Dx())/float64(front.Dy()), 0.05)
	require.Equal(t, state.Failed, bad.State)
	require.False(t, bad.Ticked, "a bad file does not count")
	var fault *formats.Error
	require.ErrorAs(t, bad.Err, &fault)
	require.True(t, s.View().Unsaved)
	require.Equal(t, state.StepOpen, s.View().Undo)
	require.Equal(t, geom.Vec{412, 96, 180}, s.View().KitBox.Size())

	s.Undo() // one batch is one step
	require.Empty(t, s.View().Parts)
	require.False(t, s.View().Unsaved)
	s.Redo()
	s.settle()
	require.Equal(t, []string{"hull", "bad", "mast"}, s.names())
	require.NotNil(t, s.part("hull").Topology, "what was known is known again")
	require.Equal(t, 1, s.disk.Opened(at("hull.stl")), "and read once")
}

func TestOpenAddsNothingTwiceAndTriesBadFilesAgain(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Open([]string{root()})
	s.settle()
	require.Equal(t, []string{"hull", "mast", "bad"}, s.names())
	require.Equal(t, 1, s.disk.Opened(at("hull.stl")))
	require.Equal(t, 2, s.disk.Opened(at("bad.stl")))

	box := geom.Box{Max: geom.Vec{1, 2, 3}}
	s.disk.Boxes(at("bad.stl"), box, box)
	s.Open([]string{at("bad.stl")})
	s.settle()
	require.Equal(t, []string{"hull", "mast", "bad", "bad 2"}, s.names())
	require.Equal(t, state.Measured, s.part("bad").State)
	require.True(t, s.part("bad").Ticked)
}

func TestPartsAppearAsTheyAreRead(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl"), at("mast.stl")})
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	s.Open([]string{at("bad.stl")}) // adds, and cancels nothing
	s.disk.Gate <- struct{}{}
	s.queue.Until("the hull is read", func() bool { return s.View().Parts[0].State == state.Measured })
	require.NotEqual(t, state.Measured, s.View().Parts[1].State)
	close(s.disk.Gate)
	s.settle()
	require.Equal(t, []string{"hull", "mast", "bad"}, s.names())
}

func TestDroppingTwiceWhileReading(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	for range 3 {
		s.Open([]string{at("hull.stl"), at("mast.stl")})
	}
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	close(s.disk.Gate)
	s.settle()
	require.Equal(t, []string{"hull", "mast"}, s.names())
	require.Equal(t, 1, s.disk.Opened(at("mast.stl")))
	s.Undo()
	require.Empty(t, s.View().Parts)
}

func TestWebLinksAndEmptyFoldersAreRefused(t *testing.T) {
	s := open(t)
	for _, link := range []string{"https://models.test/hull.stl", at("https:/models.test/hull.stl")} {
		s.Open([]string{link})
		require.ErrorIs(t, s.View().Notice, state.ErrWebLink)
	}
	s.DismissNotice()
	require.NoError(t, s.View().Notice)
	s.Open([]string{at("nothing")})
	s.settle()
	require.ErrorIs(t, s.View().Notice, state.ErrNoModels)
	s.Open([]string{at("a.scantling"), at("b.scantling")})
	require.ErrorIs(t, s.View().Notice, state.ErrTwoKits)
	require.Empty(t, s.View().Parts)
}

func TestAPanicOfAReaderIsARow(t *testing.T) {
	s := open(t)
	s.disk.Panics(at("odd.stl"))
	s.Open([]string{at("odd.stl"), at("hull.stl")})
	s.settle()
	var broken *state.PanicError
	require.ErrorAs(t, s.part("odd").Err, &broken)
	require.NotEmpty(t, broken.Stack)
	require.Equal(t, state.Measured, s.part("hull").State)
}

func TestCancelOpening(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl"), at("mast.stl")})
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	require.Equal(t, state.Opening, s.View().Jobs[0].ID)
	s.Cancel(state.Opening)
	s.settle()
	require.Empty(t, s.View().Parts)
	require.Empty(t, s.View().Undo)
	close(s.disk.Gate)
	s.Open([]string{at("mast.stl")})
	s.settle()
	s.queue.Drain()
	require.Equal(t, []string{"mast"}, s.names(), "what was cancelled says nothing more")
}

func TestRemoveWhatIsStillWaiting(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl"), at("mast.stl")})
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	s.Remove([]string{s.View().Parts[1].ID})
	close(s.disk.Gate)
	s.settle()
	require.Equal(t, []string{"hull"}, s.names())
}

func TestOpenDemo(t *testing.T) {
	s := open(t)
	s.OpenDemo()
	require.ErrorIs(t, s.View().Notice, state.ErrNoDemo)
	s.openAll()
	s.Type(state.InTarget, "1:48")
	s.SaveKit(at("demo.scantling"))
	s.settle()
	start := kit.Kit{Title: "Tug"}
	start.Way.Target = s.View().Way.Target
	for _, path := range []string{at("demo.scantling"), root()} {
		b := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys, DemoKit: start,
			Demo: func(context.Context) (string, error) { return path, nil }})
		b.OpenDemo()
		s.queue.Until("the demo is open", func() bool { return len(b.View().Jobs) == 0 })
		v := b.View()
		require.Len(t, v.Parts, 3)
		require.Empty(t, v.Path, "a demo has no place of its own")
		require.False(t, v.Unsaved)
		require.Empty(t, v.Undo)
		require.Equal(t, "1:48", v.Typed[state.InTarget])
		require.True(t, v.Bed.Known())
		b.PlanCopies()
		require.NotContains(t, b.View().Copies.Folder, root())
	}
	failing := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys,
		Demo: func(context.Context) (string, error) { return "", errors.New("no room") }})
	failing.OpenDemo()
	s.queue.Until("it failed", func() bool { return len(failing.View().Jobs) == 0 })
	require.ErrorContains(t, failing.View().Notice, "no room")
}

func TestCancelledLookingWaitsForOtherFiles(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl")})
	s.queue.Until("it waits", func() bool { return len(s.View().Parts) == 1 })
	s.disk.Gate <- struct{}{}
	s.queue.Until("it is looked at", func() bool { return len(s.View().Jobs) == 1 && s.View().Jobs[0].ID == state.Looking })
	s.Cancel(state.Looking)
	s.queue.Drain()
	require.Empty(t, s.View().Jobs)
	require.Nil(t, s.part("hull").Topology)
	close(s.disk.Gate)
	s.Open([]string{at("mast.stl")})
	s.settle()
	require.NotNil(t, s.part("hull").Topology)
}
