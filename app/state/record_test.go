package state_test

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/ways"
)

// page is a recorder that writes a few words.
func page(words string) state.Recorder {
	return func(_ context.Context, _ state.Recorded, w io.Writer, _ func(float64)) error {
		_, err := io.WriteString(w, words)
		return err
	}
}

// A record has the digests of the files as they are, is there whole or not at all, never over
// another file unasked, and leaves nothing behind when it fails.
func TestSaveRecord(t *testing.T) {
	s, folder := onDisk(t)
	path := filepath.Join(folder, "out", "tug.html")
	s.SaveRecord(path, false, page("too early"))
	require.ErrorIs(t, s.View().Notice, state.ErrNoneTicked)
	s.Open([]string{folder})
	s.settle()
	s.SaveRecord(path, false, page("too early"))
	require.ErrorIs(t, s.View().Notice, state.ErrNoFactor)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")

	var got state.Recorded
	s.SaveRecord(path, false, func(_ context.Context, r state.Recorded, w io.Writer, report func(float64)) error {
		got = r
		report(0.5)
		_, err := io.WriteString(w, "a page")
		return err
	})
	s.settle()
	require.NoError(t, s.View().Notice)
	require.Equal(t, path, s.View().Recorded)
	saved, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "a page", string(saved))
	require.Len(t, got.Files, 2, "two could be read")
	for _, f := range got.Files {
		require.NoError(t, f.Err)
		require.False(t, f.Changed())
		require.Len(t, f.Sum.SHA256, 64)
	}
	require.NotNil(t, got.View.Judged.Beds)
	require.Equal(t, 1, got.View.Judged.Beds.Beds)

	s.SaveRecord(path, false, page("another"))
	s.settle()
	var fault *deliver.Error
	require.ErrorAs(t, s.View().Notice, &fault)
	require.Equal(t, deliver.Exists, fault.Code)
	require.Empty(t, s.View().Recorded)
	s.SaveRecord(path, true, page("another"))
	s.settle()
	require.NoError(t, s.View().Notice)
	saved, err = os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "another", string(saved))

	broken := errors.New("no ink")
	s.SaveRecord(path, true, func(context.Context, state.Recorded, io.Writer, func(float64)) error { return broken })
	s.settle()
	require.ErrorIs(t, s.View().Notice, broken)
	s.SaveRecord(path, true, func(context.Context, state.Recorded, io.Writer, func(float64)) error { panic("torn paper") })
	s.settle()
	var panicked *state.PanicError
	require.ErrorAs(t, s.View().Notice, &panicked)
	saved, err = os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "another", string(saved))

	// A source that was changed is told of.
	hull := filepath.Join(folder, "hull.stl")
	raw, err := os.ReadFile(hull)
	require.NoError(t, err)
	raw[0] ^= 1
	require.NoError(t, os.WriteFile(hull, raw, 0o644))
	s.SaveRecord(path, true, func(_ context.Context, r state.Recorded, _ io.Writer, _ func(float64)) error {
		got = r
		return nil
	})
	s.settle()
	require.True(t, got.Files[0].Changed())
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, entries, 1, "no leftovers")
}

// Cancelling ends the recorder and leaves nothing.
func TestCancelARecord(t *testing.T) {
	s, folder := onDisk(t)
	s.Open([]string{folder})
	s.settle()
	s.Type(state.InFactor, "0.25")
	s.ChooseWay(ways.ByFactor)
	began, ended := make(chan bool), make(chan error, 1)
	path := filepath.Join(folder, "tug.pdf")
	s.SaveRecord(path, false, func(ctx context.Context, _ state.Recorded, _ io.Writer, _ func(float64)) error {
		close(began)
		<-ctx.Done()
		ended <- ctx.Err()
		return ctx.Err()
	})
	<-began
	require.Equal(t, state.Recording, s.View().Jobs[0].ID)
	s.Cancel(state.Recording)
	require.ErrorIs(t, <-ended, context.Canceled)
	require.Empty(t, s.View().Jobs)
	require.NoFileExists(t, path)
}
