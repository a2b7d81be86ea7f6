package obj

import (
	"context"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
)

const vectors = "../../testdata/obj"

func TestVectors(t *testing.T) {
	open := func(ctx context.Context, path string) (formattest.File, error) { return Open(ctx, path, nil) }
	formattest.Run(t, open, vectors, 52, ".obj")
}

// What a part has of its own beside what vectors say.
func TestParts(t *testing.T) {
	f, err := Open(context.Background(), filepath.Join(vectors, "two-objects.obj"), nil)
	require.NoError(t, err)
	parts := f.Parts()
	require.Len(t, parts, 2)
	for i, want := range []struct {
		name         string
		triangles    int
		area, volume float64
	}{{"hull", 12, 600, 1000}, {"funnel top", 4, 13 + math.Sqrt(61), 4}} {
		p := parts[i]
		require.Equal(t, want.name, p.Name)
		require.Equal(t, want.triangles, p.Triangles)
		require.InEpsilon(t, want.area, p.Area, 1e-14)
		require.InEpsilon(t, want.volume, p.Volume, 1e-14)
		require.Equal(t, mesh.Unit{Name: "mm", MM: 1}, p.Unit)
		require.Equal(t, geom.Z, p.Up)
		require.True(t, p.Surface)
	}
	f, err = Open(context.Background(), filepath.Join(vectors, "inches.obj"), nil)
	require.NoError(t, err)
	require.Equal(t, mesh.Unit{Name: "in", MM: 25.4, Declared: true}, f.Parts()[0].Unit)
	f, err = Open(context.Background(), filepath.Join(vectors, "two-units.obj"), nil)
	require.NoError(t, err)
	require.False(t, f.Parts()[0].Unit.Declared)
}

// sameSurface compares what two ways measured, but for the volume: that of an open surface
// depends on where it is measured from.
func sameSurface(t testing.TB, a, b mesh.Measures) {
	t.Helper()
	require.Equal(t, a.Triangles, b.Triangles)
	require.Equal(t, a.Box, b.Box)
	require.InDelta(t, a.Area, b.Area, 1e-12*a.Area)
}
