package deliver

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A disk that is really full in the middle of a run: what was saved before is whole, nothing is
// left of the rest, and once there is room the next run saves what is missing and nothing else.
func TestReallyFullDisk(t *testing.T) {
	dir := t.TempDir()
	small := filepath.Join(dir, "small")
	require.NoError(t, os.Mkdir(small, 0o777))
	if err := syscall.Mount("tmpfs", small, "tmpfs", 0, "size=1m"); err != nil {
		t.Skip("a small disk cannot be mounted: ", err)
	}
	defer func() { require.NoError(t, syscall.Unmount(small, 0)) }()
	out := filepath.Join(small, "out")
	edges := make([]float64, 400<<10/8) // 400 kB
	for i := range edges {
		edges[i] = float64(1 + i)
	}
	var copies []Copy
	for _, name := range []string{"hull.cube", "mast.cube", "deck.cube"} {
		copies = append(copies, newKnown(t, filepath.Join(dir, name), edges...).copy(name, 2))
	}
	ballast := filepath.Join(small, "ballast")
	require.NoError(t, os.WriteFile(ballast, make([]byte, 300<<10), 0o666))
	got, err := Run(t.Context(), copies, Options{Folder: out, Verify: openModel}, nil)
	require.NoError(t, err)
	require.NoError(t, got[0].Err)
	require.True(t, got[0].Verified)
	for _, o := range got[1:] {
		wantCode(t, o.Err, DiskFull)
		require.ErrorIs(t, o.Err, syscall.ENOSPC)
		require.Empty(t, o.Path)
	}
	entries, err := os.ReadDir(out)
	require.NoError(t, err)
	require.Len(t, entries, 2, "the copy, and the list by which the next run goes on")

	require.NoError(t, os.Remove(ballast))
	got, err = Run(t.Context(), copies[:2], Options{Folder: out, Verify: openModel}, nil)
	require.NoError(t, err)
	require.True(t, got[0].Unchanged)
	require.NoError(t, got[1].Err)
	require.True(t, got[1].Verified)
	entries, err = os.ReadDir(out)
	require.NoError(t, err)
	require.Len(t, entries, 2, "two copies and no list")
}

// Long paths are saved under as far as the system has them, and refused with a reason beyond.
func TestLongPaths(t *testing.T) {
	dir := t.TempDir()
	m := newKnown(t, filepath.Join(dir, "hull.cube"), 8)
	for _, c := range []struct {
		folders int
		code    Code
	}{{6, ""}, {12, ""}, {60, BadName}} {
		out := filepath.Join(dir, strings.Repeat(strings.Repeat("d", 100)+string(filepath.Separator), c.folders))
		got, err := Run(t.Context(), []Copy{m.copy(SafeName(strings.Repeat("h", 300), ".cube"), 2)}, Options{Folder: out, Verify: openModel}, nil)
		if c.code != "" {
			wantCode(t, err, c.code)
			continue
		}
		require.NoError(t, err)
		require.NoError(t, got[0].Err)
		require.True(t, got[0].Verified)
	}
}
