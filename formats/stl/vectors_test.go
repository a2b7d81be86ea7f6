package stl

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

const vectors = "../../testdata/stl"

func TestVectors(t *testing.T) {
	open := func(ctx context.Context, path string) (formattest.File, error) { return Open(ctx, path, nil) }
	formattest.Run(t, open, vectors, 51, ".stl")
}

func seeds(f *testing.F, encoding string) {
	paths, err := filepath.Glob(filepath.Join(vectors, "*.stl"))
	require.NoError(f, err)
	require.NotEmpty(f, paths)
	for _, path := range paths {
		content, err := os.ReadFile(path)
		require.NoError(f, err)
		if got, _ := Sniff(content, int64(len(content))); got == encoding {
			f.Add(content)
		}
	}
}

// What is accepted is saved at 1 with the same bytes, can be meshed, and survives being
// doubled; what is not is refused with an *fault.Error.
func fuzz(f *testing.F, encoding string) {
	seeds(f, encoding)
	f.Fuzz(func(t *testing.T, content []byte) {
		path := saved(t, content)
		file, err := Open(context.Background(), path, nil)
		if err != nil {
			var e *fault.Error
			require.ErrorAs(t, err, &e)
			return
		}
		require.True(t, bytes.Equal(content, rescaled(t, file, 1)))
		for i, p := range file.Parts() {
			m, err := file.Mesh(context.Background(), i, nil)
			require.NoError(t, err)
			require.Equal(t, p.Triangles, m.Len())
		}
		for _, pose := range []geom.Pose{{}, geom.Upright(geom.Y)} {
			var small memory
			err = file.Rescale(context.Background(), &small, "copy.stl", deliver.Change{Factor: 0.235, Pose: pose}, nil)
			if err == nil {
				require.Len(t, opened(t, small.Bytes()).Parts(), len(file.Parts()))
			} else {
				var e *fault.Error
				require.ErrorAs(t, err, &e)
				require.Equal(t, fault.TooLarge, e.Code)
			}
		}
		var copied memory
		err = file.Rescale(context.Background(), &copied, "copy.stl", deliver.Change{Factor: 2}, nil)
		if e := (*fault.Error)(nil); errors.As(err, &e) && e.Code == fault.TooLarge {
			return
		}
		require.NoError(t, err)
		again := opened(t, copied.Bytes())
		require.Len(t, again.Parts(), len(file.Parts()))
		for i, p := range again.Parts() {
			require.Equal(t, file.Parts()[i].Triangles, p.Triangles)
			if !file.wide {
				require.Equal(t, file.Parts()[i].Box.Scale(2), p.Box)
			}
		}
	})
}

func FuzzOpenBinary(f *testing.F) { fuzz(f, Binary) }
func FuzzOpenText(f *testing.F)   { fuzz(f, ASCII) }
