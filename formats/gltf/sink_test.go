package gltf

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/formattest"
)

// A folderSink makes plain files, and knows in which order they came.
type folderSink struct {
	formattest.Folder
	names []string
}

func (s *folderSink) Create(name string) (io.WriteCloser, error) {
	s.names = append(s.names, name)
	return s.Folder.Create(name)
}

// copyOf rescales f into a folder of its own and gives the copy's path.
func copyOf(t testing.TB, f *File, name string, factor float64) string {
	t.Helper()
	folder := t.TempDir()
	s := &folderSink{Folder: formattest.Folder(folder)}
	require.NoError(t, f.Rescale(context.Background(), s, name, deliver.Change{Factor: factor}, nil))
	require.Equal(t, name, s.names[len(s.names)-1], "the main file comes last")
	return filepath.Join(folder, name)
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
