package obj

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/internal/fault"
)

// shelf is a Sink in memory.
type shelf struct {
	files   map[string]*bytes.Buffer
	carried map[string]string
	order   []string
}

func newShelf() *shelf {
	return &shelf{files: map[string]*bytes.Buffer{}, carried: map[string]string{}}
}

type shelved struct{ *bytes.Buffer }

func (shelved) Close() error { return nil }

func (s *shelf) Create(name string) (io.WriteCloser, error) {
	s.files[name] = &bytes.Buffer{}
	s.order = append(s.order, name)
	return shelved{s.files[name]}, nil
}

func (s *shelf) Carry(name, source string) error {
	s.carried[name] = source
	s.order = append(s.order, name)
	return nil
}

// save writes a file into a fresh folder and gives its path.
func save(t testing.TB, name string, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, content, 0o600))
	return path
}

// openText opens a text as a file named part.obj.
func openText(t testing.TB, text string) (*File, error) {
	t.Helper()
	return Open(context.Background(), save(t, "part.obj", []byte(text)), nil)
}

// mustOpen opens a text that must be fine.
func mustOpen(t testing.TB, text string) *File {
	t.Helper()
	f, err := openText(t, text)
	require.NoError(t, err)
	return f
}

// rescaled is the text of f's copy.
func rescaled(t testing.TB, f *File, factor float64) string {
	t.Helper()
	s := newShelf()
	require.NoError(t, f.Rescale(context.Background(), s, "copy.obj", deliver.Change{Factor: factor}, nil))
	return s.files["copy.obj"].String()
}

// codeOf is the code and line of an error.
func codeOf(t testing.TB, err error) (fault.Code, int) {
	t.Helper()
	require.Error(t, err)
	var e *fault.Error
	require.ErrorAs(t, err, &e)
	return e.Code, e.Line
}

const tetra = "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"

func TestTetrahedron(t *testing.T) {
	f := mustOpen(t, tetra)
	require.Len(t, f.Parts(), 1)
	p := f.Parts()[0]
	require.Equal(t, "part", p.Name)
	require.Equal(t, 4, p.Triangles)
	require.InDelta(t, 1.0/6, p.Volume, 1e-15)
	m, err := f.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	require.Equal(t, 4, m.Len())
	require.Equal(t, "v 0 0 0\nv 2.5 0 0\nv 0 2.5 0\nv 0 0 2.5\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n", rescaled(t, f, 2.5))
}
