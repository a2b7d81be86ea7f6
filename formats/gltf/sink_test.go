package gltf

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A folderSink puts a copy's files straight in a folder, in the order in which they come.
type folderSink struct {
	folder string
	names  []string
}

func (s *folderSink) Create(name string) (io.WriteCloser, error) {
	s.names = append(s.names, name)
	path := filepath.Join(s.folder, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	return os.Create(path)
}

func (s *folderSink) Carry(name, source string) error {
	b, err := os.ReadFile(source)
	if err != nil {
		return err
	}
	w, err := s.Create(name)
	if err != nil {
		return err
	}
	if _, err := w.Write(b); err != nil {
		return err
	}
	return w.Close()
}

// copyOf rescales f into a folder of its own and gives the copy's path.
func copyOf(t testing.TB, f *File, name string, factor float64) string {
	t.Helper()
	s := &folderSink{folder: t.TempDir()}
	require.NoError(t, f.Rescale(context.Background(), s, name, factor, nil))
	require.Equal(t, name, s.names[len(s.names)-1], "the main file comes last")
	return filepath.Join(s.folder, name)
}

// opened opens a file that must open.
func opened(t testing.TB, path string) *File {
	t.Helper()
	f, err := Open(context.Background(), path, nil)
	require.NoError(t, err)
	return f
}

// files are the contents of a folder, by name.
func files(t testing.TB, folder string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		all[strings.TrimPrefix(path, folder+string(filepath.Separator))] = string(b)
		return err
	})
	require.NoError(t, err)
	return all
}

// A syncSink makes files that are synced when they are closed.
type syncSink struct{ folder string }

func (s *syncSink) Create(name string) (io.WriteCloser, error) {
	f, err := os.Create(filepath.Join(s.folder, name))
	return syncedFile{f}, err
}

func (s *syncSink) Carry(name, source string) error { panic("nothing to carry") }
