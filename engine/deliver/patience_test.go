package deliver

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestTriedAgain(t *testing.T) {
	busy, final := errors.New("busy"), errors.New("final")
	held := func(err error) bool { return err == busy }
	for _, c := range []struct {
		answers []error
		want    error
		tries   int
	}{
		{[]error{nil}, nil, 1},
		{[]error{final}, final, 1},
		{[]error{busy, nil}, nil, 2},
		{[]error{busy, busy, final}, final, 3},
		{[]error{busy, busy, busy, busy, busy, busy, busy, busy}, busy, 7},
	} {
		tries, waited := 0, time.Duration(0)
		err := again(func() error {
			tries++
			return c.answers[tries-1]
		}, held, func(d time.Duration) { waited += d })
		require.Equal(t, c.want, err)
		require.Equal(t, c.tries, tries)
		require.Less(t, waited, 700*time.Millisecond)
	}
}

// The numbers of Windows have codes, those that Go knows by itself go its way.
func TestCodesOnWindows(t *testing.T) {
	for number, want := range map[syscall.Errno]Code{
		2: "", 5: "", 15: NoFolder, 19: NoRights, 21: NoFolder, 32: InUse, 33: InUse, 39: DiskFull, 64: NoFolder,
		67: NoFolder, 112: DiskFull, 123: BadName, 206: BadName, 267: NoFolder,
	} {
		require.Equal(t, want, codeOnWindows(number), "%d", number)
	}
}

// While another program has a file open it stays as it is on Windows, and the maker is told why;
// elsewhere it is replaced all the same. Nothing is left over.
func TestFilesThatAreOpenElsewhere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "tug.scantling")
	require.NoError(t, WriteFile(path, []byte("one")))
	hull := newModel(t, filepath.Join(dir, "in", "hull.cube"), 8)
	out := filepath.Join(dir, "out")
	saved, err := Run(t.Context(), []Copy{hull.copy("hull.cube", 2)}, Options{Folder: out}, nil)
	require.NoError(t, err)
	require.NoError(t, saved[0].Err)

	for _, held := range []string{path, filepath.Join(out, "hull.cube")} {
		f, err := os.Open(held)
		require.NoError(t, err)
		before, err := os.ReadFile(held)
		require.NoError(t, err)
		replace := func() error {
			if held == path {
				return WriteFile(path, []byte("two"))
			}
			saved, err := Run(t.Context(), []Copy{hull.copy("hull.cube", 4)}, Options{Folder: out, Overwrite: true}, nil)
			require.NoError(t, err)
			return saved[0].Err
		}
		if err := replace(); runtime.GOOS == "windows" {
			wantCode(t, err, InUse)
			after, err := os.ReadFile(held)
			require.NoError(t, err)
			require.Equal(t, before, after)
		} else {
			require.NoError(t, err)
		}
		require.NoError(t, f.Close())
		require.NoError(t, replace())
		after, err := os.ReadFile(held)
		require.NoError(t, err)
		require.NotEqual(t, before, after)
		there, err := os.ReadDir(filepath.Dir(held))
		require.NoError(t, err)
		for _, e := range there {
			_, ours := owner(e.Name())
			require.False(t, ours, e.Name())
		}
	}
}

// A file that may not be written is no file that is in use.
func TestReadOnlyFiles(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "tug.scantling")
	require.NoError(t, os.WriteFile(path, []byte("one"), 0o444))
	err := inUse(path, &fs.PathError{Op: "rename", Path: path, Err: accessDenied})
	require.ErrorIs(t, err, accessDenied)
}
