package stl

import (
	"context"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
)

// alikeBack fails where reading a binary file back tells anything else than opening it does, and
// gives how many triangles it has, 0 where it cannot be read.
func alikeBack(t *testing.T, path string) int {
	t.Helper()
	ctx := context.Background()
	f, err := Open(ctx, path, nil)
	back, backErr := ReadBack(ctx, path)
	if err != nil {
		require.Equal(t, err, backErr, path)
		return 0
	}
	require.NoError(t, backErr, path)
	require.Equal(t, f.Digest(), back.Digest(), path)
	want, got := f.Parts(), back.Parts()
	require.Len(t, got, len(want))
	require.Equal(t, want[0].Triangles, got[0].Triangles, path)
	require.Equal(t, want[0].Box, got[0].Box, path)
	require.Equal(t, []any{want[0].Name, want[0].Unit, want[0].Up, want[0].Surface}, []any{got[0].Name, got[0].Unit, got[0].Up, got[0].Surface})
	require.True(t, math.IsNaN(got[0].Volume) && math.IsNaN(got[0].Area) && math.IsNaN(got[0].Centroid.Len()), "it is not measured")
	m, err := f.Mesh(ctx, 0, nil)
	require.NoError(t, err)
	closed, err := mesh.Closes(ctx, m)
	require.NoError(t, err)
	is, err := back.Closed(ctx, 0)
	require.NoError(t, err)
	require.Equal(t, closed, is, path)
	is, err = f.Closed(ctx, 0)
	require.NoError(t, err)
	require.Equal(t, closed, is, path)
	again, err := back.Mesh(ctx, 0, nil)
	require.NoError(t, err)
	require.Equal(t, m.Vertices, again.Vertices)
	return want[0].Triangles
}

// Whatever binary file there is, reading it back says what opening it says, good or bad.
func TestReadBackIsOpen(t *testing.T) {
	names, err := filepath.Glob("../../testdata/stl/binary-*.stl")
	require.NoError(t, err)
	require.Greater(t, len(names), 12)
	good, bad := 0, 0
	for _, name := range names {
		if alikeBack(t, name) > 0 {
			good++
		} else {
			bad++
		}
	}
	require.Greater(t, good, 5)
	require.Greater(t, bad, 3)
}

// The same of files of many facets, whole and with bits turned over: some of them make numbers
// that are none, some more or fewer facets than there are.
func TestReadBackOfNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	path := filepath.Join(t.TempDir(), "noise.stl")
	refused := 0
	for n := range 60 {
		facets := 1 + r.IntN(3*backFacets)
		data := make([]byte, headerBytes, headerBytes+facets*facetBytes)
		binary.LittleEndian.PutUint32(data[80:], uint32(facets))
		for range facets {
			for range 12 {
				data = binary.LittleEndian.AppendUint32(data, math.Float32bits(float32(r.IntN(5)-2)))
			}
			data = append(data, 0, 0)
		}
		if n%3 > 0 {
			for range 1 + r.IntN(4) {
				data[80+r.IntN(len(data)-80)] ^= 1 << r.IntN(8)
			}
		}
		if n%7 == 6 {
			data = data[:r.IntN(len(data))]
		}
		require.NoError(t, os.WriteFile(path, data, 0o600))
		if alikeBack(t, path) == 0 {
			refused++
		}
	}
	require.Greater(t, refused, 5)
	require.Less(t, refused, 55)
}

func TestReadBackStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := ReadBack(ctx, "../../testdata/stl/binary-box.stl")
	require.ErrorIs(t, err, context.Canceled)
}

// A file that was rescaled knows whether it closes, whatever the change was, without its mesh.
func TestClosedIsGatheredWhileRescaling(t *testing.T) {
	ctx := context.Background()
	for name, want := range map[string]bool{"binary-box": true, "binary-open": false} {
		for _, c := range []deliver.Change{{Factor: 1, Proved: true}, {Factor: 0.1, Proved: true}, {Factor: 3, Pose: geom.Upright(geom.Y), Proved: true}} {
			path := filepath.Join(t.TempDir(), "source.stl")
			content, err := os.ReadFile("../../testdata/stl/" + name + ".stl")
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(path, content, 0o600))
			f, err := Open(ctx, path, nil)
			require.NoError(t, err)
			require.NoError(t, f.Rescale(ctx, formattest.Folder(t.TempDir()), "copy.stl", c, nil))
			require.NoError(t, os.Remove(path))
			is, err := f.Closed(ctx, 0)
			require.NoError(t, err)
			require.Equal(t, want, is, name)
		}
	}
}
