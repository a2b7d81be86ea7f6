package gltf

import (
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

// Whatever the bytes: an answer or an error of ours, and what opens is saved at factor 1 as
// the same bytes and at 2 so that it opens again.
func FuzzOpen(f *testing.F) {
	for _, path := range vectorPaths(append(goodVectors(), badVectors()...)) {
		b, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(b)
	}
	// A few bytes may ask for much work, up to an allowance: less of it here, so that none
	// takes for a hang what is only long.
	little := allowance{1 << 18, 1 << 16, 1 << 14}
	folder, copies := f.TempDir(), f.TempDir()
	path := filepath.Join(folder, "a.glb")
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 1<<16 {
			return
		}
		require.NoError(t, os.WriteFile(path, b, 0o644))
		file, err := openWithin(context.Background(), path, little, nil)
		if err != nil {
			code(t, err)
			return
		}
		for i := range file.Parts() {
			if m, err := file.Mesh(context.Background(), i, nil); err != nil {
				require.Equal(t, fault.NoSurface, code(t, err))
			} else {
				require.Equal(t, file.Parts()[i].Triangles, m.Len())
			}
		}
		sink := formattest.Folder(copies)
		if err := file.Rescale(context.Background(), sink, "a.glb", deliver.Change{Factor: 1}, nil); err == nil {
			same, err := os.ReadFile(filepath.Join(copies, "a.glb"))
			require.NoError(t, err)
			require.True(t, string(same) == string(b), "factor 1 changes bytes")
		} else {
			code(t, err)
		}
		for _, pose := range []geom.Pose{{}, geom.Upright(geom.X)} {
			if err := file.Rescale(context.Background(), sink, "a.glb", deliver.Change{Factor: 2, Pose: pose}, nil); err != nil {
				code(t, err)
				return
			}
			again, err := openWithin(context.Background(), filepath.Join(copies, "a.glb"), little, nil)
			if err != nil {
				var e *fault.Error
				require.True(t, errors.As(err, &e) && e.Code == fault.BadNumber, "the copy does not open: %v", err)
				return
			}
			require.Len(t, again.Parts(), len(file.Parts()))
		}
	})
}
