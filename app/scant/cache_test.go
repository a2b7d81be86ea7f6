package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestMain keeps what tests find out about parts in a folder of their own.
func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "scant")
	if err == nil {
		for _, name := range []string{"XDG_CACHE_HOME", "LocalAppData", "HOME"} {
			if err == nil {
				err = os.Setenv(name, dir)
			}
		}
	}
	if err != nil {
		panic(err)
	}
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// keptIn are the entries of what is kept.
func keptIn(t *testing.T, dir string) (names []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, d.Name())
		}
		return err
	}))
	return names
}

// A survey is kept and used by every verb; with --no-cache it is neither used nor kept.
func TestSurveysAreKept(t *testing.T) {
	kitFolder(t)
	dir := ""
	fresh := func() {
		dir = t.TempDir()
		for _, name := range []string{"XDG_CACHE_HOME", "LocalAppData", "HOME"} {
			t.Setenv(name, dir)
		}
	}
	fresh()
	call := []string{"check", "--json", "--native", "1:10", "--target", "1:48", "--process", "filament", "kit"}
	plain := scant(append(call, "--no-cache")...)
	require.Empty(t, keptIn(t, dir))
	first := scant(call...)
	entries := keptIn(t, dir)
	require.NotEmpty(t, entries)
	require.Equal(t, plain, first)

	// What is kept is what is told: spoilt entries are made again, and nothing new is needed.
	require.Equal(t, first, scant(call...))
	require.Equal(t, entries, keptIn(t, dir))
	require.Equal(t, allDone, scant("survey", "kit").code)
	require.Equal(t, allDone, scant("ladder", "--native", "1:10", "--process", "resin", "kit").code)
	require.Len(t, keptIn(t, dir), len(entries), "the other verbs ask for the same")
	require.NoError(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			err = os.WriteFile(path, []byte("spoilt"), 0o600)
		}
		return err
	}))
	require.Equal(t, first, scant(call...))

	// The record, which the window's bench makes, takes them from there, too.
	record := []string{"record", "--factor", "0.5", "--overwrite", "--out", filepath.Join(t.TempDir(), "tug.csv"), "kit"}
	surveys := func() (n int) {
		for _, name := range keptIn(t, dir) {
			if strings.HasPrefix(name, "survey") {
				n++
			}
		}
		return n
	}
	before := surveys()
	require.Equal(t, allDone, scant(record...).code)
	require.Equal(t, before, surveys())
	fresh()
	require.Equal(t, allDone, scant(append(record, "--no-cache")...).code)
	require.Zero(t, surveys())
	require.Equal(t, allDone, scant(record...).code)
	require.Equal(t, before, surveys())
	require.Equal(t, wrongUsage, scant("measure", "--no-cache", "kit").code)
}
