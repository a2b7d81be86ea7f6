package deliver

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/cespare/xxhash/v2"
	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// boxMesh is a closed box, as a soup or with shared corners.
func boxMesh(t *testing.T, soup bool) *mesh.Mesh {
	vertices := [][3]float32{{0, 0, 0}, {1, 0, 0}, {1, 2, 0}, {0, 2, 0}, {0, 0, 3}, {1, 0, 3}, {1, 2, 3}, {0, 2, 3}}
	triangles := [][3]uint32{{0, 2, 1}, {0, 3, 2}, {4, 5, 6}, {4, 6, 7}, {0, 1, 5}, {0, 5, 4}, {1, 2, 6}, {1, 6, 5}, {2, 3, 7}, {2, 7, 6}, {3, 0, 4}, {3, 4, 7}}
	if soup {
		var corners [][3]float32
		for _, t := range triangles {
			for _, v := range t {
				corners = append(corners, vertices[v])
			}
		}
		vertices, triangles = corners, nil
	}
	m, err := mesh.New("box", geom.Vec{}, vertices, triangles)
	require.NoError(t, err)
	return m
}

// A copy that has lost a triangle and has as many as before all the same fails its check.
func TestOpenCopyIsFound(t *testing.T) {
	whole, torn := shaped{"hull", boxMesh(t, false)}, shaped{"hull", boxMesh(t, false)}
	require.NoError(t, sealed(t.Context(), whole, torn, "copy"))
	torn.mesh.Triangles[3] = torn.mesh.Triangles[2]
	err := sealed(t.Context(), whole, torn, "copy")
	wantCode(t, err, Verify)
	var d *Difference
	require.ErrorAs(t, err, &d)
	require.Equal(t, Closedness, d.Kind)
	require.Positive(t, d.Got)
	require.NoError(t, sealed(t.Context(), torn, torn, "copy"), "what was open may be")
}

// A shaped is a source that has a mesh.
type shaped struct {
	name string
	mesh *mesh.Mesh
}

func (s shaped) Path() string      { return "" }
func (s shaped) Extension() string { return ".cube" }
func (s shaped) Parts() []mesh.Part {
	return []mesh.Part{{Name: s.name, Surface: true, Measures: mesh.MeasuresOf(s.mesh)}}
}
func (s shaped) Mesh(context.Context, int, func(float64)) (*mesh.Mesh, error) { return s.mesh, nil }
func (s shaped) Rescale(context.Context, Sink, string, Change, func(float64)) error {
	return errNoMain
}

// Where the copy is closed, the source is not asked.
func TestClosedCopyNeedsNoSource(t *testing.T) {
	unasked := seamless{shaped{"hull", boxMesh(t, true)}, t}
	require.NoError(t, sealed(t.Context(), unasked, shaped{"hull", boxMesh(t, false)}, "copy"))
}

// A seamless is a source whose surface nobody may ask for.
type seamless struct {
	shaped
	t *testing.T
}

func (s seamless) Closed(context.Context, int) (bool, error) {
	s.t.Error("asked")
	return false, nil
}

// A file that is not to the byte what was written is told by its name, the main file or one
// beside it, even where all that a reader makes of it is as it should be.
func TestBytesAreCompared(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "tug.bin"), []byte("texture"), 0o666))
	m := newModel(t, filepath.Join(dir, "tug.cube"), 4)
	m.companions = []string{"tug.bin"}
	for name, wrong := range map[string]string{"": "", "tug.cube": "tug.cube", "tug.bin": "tug.bin"} {
		out := t.TempDir()
		open := func(ctx context.Context, path string) (Back, error) {
			if name != "" {
				at := filepath.Join(out, name)
				content, err := os.ReadFile(at)
				require.NoError(t, err)
				content[0] ^= 1 // far below rounding, in a coordinate
				require.NoError(t, os.WriteFile(at, content, 0o666))
			}
			return openModel(ctx, path)
		}
		got, err := Run(t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: out, Verify: open, Keep: true}, nil)
		require.NoError(t, err)
		if wrong == "" {
			require.NoError(t, got[0].Err)
			require.True(t, got[0].Verified)
			continue
		}
		wantCode(t, got[0].Err, Verify)
		var d *Difference
		require.ErrorAs(t, got[0].Err, &d)
		require.Equal(t, Difference{Kind: Content, Part: wrong}, *d)
		require.False(t, got[0].Record.Known())
	}
}

// What a reader says of the bytes that it has read is believed, and they are not read again.
func TestDigestOfTheReader(t *testing.T) {
	m := newModel(t, filepath.Join(t.TempDir(), "tug.cube"), 4)
	for digest, ok := range map[string]bool{digestText(xxhash.Sum64(encode([]float64{4}, 2))): true, "xxh64:0123456789abcdef": false, "": true} {
		open := func(ctx context.Context, path string) (Back, error) {
			b, err := openModel(ctx, path)
			return readBack{b, digest}, err
		}
		got, err := Run(t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: t.TempDir(), Verify: open}, nil)
		require.NoError(t, err)
		require.Equal(t, ok, got[0].Verified, digest)
	}
}

type readBack struct {
	Back
	digest string
}

func (b readBack) Digest() string { return b.digest }
