package formats

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
	"scantling/formats/threemf"
)

// All files of a kit become one package: every part with its name, in millimetres, upright.
func TestTogether(t *testing.T) {
	obj, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	var files []File
	kinds := []Kind{STL, OBJ, GLB, ThreeMF}
	for _, k := range kinds {
		f := obj
		if k != OBJ {
			f = converted(t, obj, k, 1)
		}
		files = append(files, f)
	}
	all := Together(threemf.About{Title: "Harbour tug", Ratio: "1:48"}, files)
	require.Equal(t, files[0].Path(), all.Path())
	require.Len(t, all.Parts(), len(files))
	folder := t.TempDir()
	for _, k := range []string{"tug.3mf", filepath.Base(files[2].Path())} {
		if k != "tug.3mf" {
			folder = filepath.Dir(files[2].Path())
		}
		outcomes, err := deliver.Run(context.Background(), []deliver.Copy{{Source: all, Name: k, Factor: 12, PerUnit: 1}},
			deliver.Options{Folder: folder, Overwrite: true, Verify: ReadBack}, nil)
		require.NoError(t, err)
		if k != "tug.3mf" {
			var e *deliver.Error
			require.ErrorAs(t, outcomes[0].Err, &e)
			require.Equal(t, deliver.IsSource, e.Code, "any of the files is a source")
			continue
		}
		require.NoError(t, outcomes[0].Err)
		require.True(t, outcomes[0].Verified)
		f, err := Open(context.Background(), outcomes[0].Path, nil)
		require.NoError(t, err)
		require.Len(t, f.Parts(), len(files))
		for i, p := range f.Parts() {
			require.Equal(t, files[i].Parts()[0].Name, p.Name)
			for axis := range 3 {
				require.InDelta(t, 0, p.Box.Min[axis], 1e-5, "%s", kinds[i])
				require.InDelta(t, 12, p.Box.Max[axis], 1e-5, "%s", kinds[i])
			}
			require.InDelta(t, 12*12*12/6., p.Volume, 1e-3)
		}
	}
}

func TestTogetherRefuses(t *testing.T) {
	obj, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	all := Together(threemf.About{}, []File{obj})
	sink := formattest.Folder(t.TempDir())
	var e *Error
	require.ErrorAs(t, all.Rescale(context.Background(), sink, "a.3mf", deliver.Change{Factor: 1e300}, nil), &e)
	require.Equal(t, fault.TooLarge, e.Code)
	require.Equal(t, obj.Path(), e.File)
	entries, err := os.ReadDir(string(sink))
	require.NoError(t, err)
	require.Empty(t, entries)
}
