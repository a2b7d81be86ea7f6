package state

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A drive that does not answer costs one wait, not one for each file, and holds nothing up.
func TestADriveThatDoesNotAnswer(t *testing.T) {
	silent := make(chan struct{})
	defer close(silent)
	asked := make(chan string, 10)
	d := &realDisk{patience: time.Millisecond, dead: map[string]time.Time{}, stat: func(path string) (fs.FileInfo, error) {
		asked <- path
		<-silent
		return nil, fs.ErrNotExist
	}}
	for i := range 5 {
		_, err := d.Open(t.Context(), filepath.Join("drive", fmt.Sprint(i, ".stl")), nil)
		require.ErrorIs(t, err, ErrNoAnswer)
	}
	require.Len(t, asked, 1)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	d.patience = time.Hour
	_, err := d.Stat(ctx, filepath.Join("other", "a.stl"))
	require.ErrorIs(t, err, context.Canceled)
}

func TestFindStaysWithinBounds(t *testing.T) {
	root := t.TempDir()
	put := func(path, text string) string {
		full := filepath.Join(root, filepath.FromSlash(path))
		require.NoError(t, os.MkdirAll(filepath.Dir(full), 0o755))
		require.NoError(t, os.WriteFile(full, []byte(text), 0o644))
		return full
	}
	near := put("a/hull.stl", "1")
	put("a/b/c/d/e/f/hull.stl", "2")
	put(".hidden/hull.stl", "3")
	put("a/hull.txt", "4")
	require.NoError(t, os.Symlink(root, filepath.Join(root, "a", "round")))
	d := Real().(*realDisk)
	all := d.candidates(t.Context(), []Place{{root, searchDepth}})
	require.Equal(t, []foundFile{{near, 1}}, all)
	found, err := d.Find(t.Context(), []Wanted{{Path: filepath.Join("x", "HULL.stl")}, {Path: filepath.Join("x", "none.stl"), Bytes: 1, Digest: "xxh64:1"}}, []Place{{root, searchDepth}})
	require.NoError(t, err)
	require.Equal(t, []Found{{Path: near}, {}}, found)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = d.Find(ctx, []Wanted{{Path: "x"}}, []Place{{root, 1}})
	require.ErrorIs(t, err, context.Canceled)
}
