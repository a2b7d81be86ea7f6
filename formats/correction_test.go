package formats

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/threemf"
)

// From every format to every format, what makes up for a printer multiplies lengths along the
// axes of the copy seen with z up, in a pose and in none, and deliver finds it so.
func TestCorrectionsAreDelivered(t *testing.T) {
	ctx := context.Background()
	wedge, err := Open(ctx, saved(t, "wedge.obj", []byte(wedgeOBJ)), nil)
	require.NoError(t, err)
	kinds := []Kind{STL, STLASCII, OBJ, GLB, ThreeMF}
	const factor = 0.235
	by := geom.Vec{1.004, 1.002, 0.991}
	for _, from := range kinds {
		f := wedge
		if from != OBJ {
			f = converted(t, wedge, from, 1)
		}
		for _, to := range kinds {
			for _, pose := range []geom.Pose{{}, geom.Upright(geom.X), leant()} {
				source, perUnit := As(f, to)
				c := deliver.Copy{Source: source, Name: "wedge" + source.Extension(), Factor: factor, PerUnit: perUnit, Pose: pose}
				plain := delivered(t, c)
				c.Correction = by
				corrected := delivered(t, c)
				up := geom.Upright(plain.Parts()[0].Up)
				want := up.Box(plain.Parts()[0].Box)
				got := geom.Upright(corrected.Parts()[0].Up).Box(corrected.Parts()[0].Box)
				for axis := range 3 {
					require.InDelta(t, want.Min[axis]*by[axis], got.Min[axis], 0x1p-20*40*perUnit, "%s to %s, %v", from, to, pose)
					require.InDelta(t, want.Max[axis]*by[axis], got.Max[axis], 0x1p-20*40*perUnit, "%s to %s, %v", from, to, pose)
				}
				within := 1e-5
				if pose.Shift != (geom.Vec{}) { // far from the origin, in metres, float32 rounds more
					within = 1e-2
				}
				require.InEpsilon(t, plain.Parts()[0].Volume*by[0]*by[1]*by[2], corrected.Parts()[0].Volume, within, "%s to %s, %v", from, to, pose)
				m, err := corrected.Mesh(ctx, 0, nil)
				require.NoError(t, err)
				top, err := mesh.TopologyOf(ctx, m, nil)
				require.NoError(t, err)
				require.True(t, top.Closed)
			}
		}
	}
}

// A correction that is the same along all axes is a factor, and one of nothing is none.
func TestEvenCorrection(t *testing.T) {
	ctx := context.Background()
	wedge, err := Open(ctx, saved(t, "wedge.obj", []byte(wedgeOBJ)), nil)
	require.NoError(t, err)
	for _, kind := range []Kind{STL, STLASCII, OBJ, GLB, ThreeMF} {
		source, perUnit := As(wedge, kind)
		c := deliver.Copy{Source: source, Name: "wedge" + source.Extension(), Factor: 0.5, PerUnit: perUnit}
		plain := delivered(t, c)
		c.Correction = geom.Vec{1, 1, 1}
		require.Equal(t, bytesOf(t, plain), bytesOf(t, delivered(t, c)))
		c.Factor, c.Correction = 0.25, geom.Vec{2, 2, 2}
		require.Equal(t, plain.Parts()[0].Box, delivered(t, c).Parts()[0].Box)
	}
}

// Several files in one package are corrected along the axes that they all have there.
func TestCorrectionTogether(t *testing.T) {
	ctx := context.Background()
	wedge, err := Open(ctx, saved(t, "wedge.obj", []byte(wedgeOBJ)), nil)
	require.NoError(t, err)
	files := []File{wedge, converted(t, wedge, GLB, 1), converted(t, wedge, STL, 1)}
	by := geom.Vec{1.004, 1.002, 0.991}
	c := deliver.Copy{Source: Together(threemf.About{}, files), Name: "all.3mf", Factor: 2, PerUnit: 1, Correction: by}
	got := delivered(t, c).Parts()
	require.Len(t, got, len(files))
	for i, p := range got {
		want := geom.Upright(geom.Z).Box(wedge.Parts()[0].Box.Scale(2))
		for axis := range 3 {
			require.InDelta(t, want.Min[axis]*by[axis], p.Box.Min[axis], 1e-4, "file %d", i)
			require.InDelta(t, want.Max[axis]*by[axis], p.Box.Max[axis], 1e-4, "file %d", i)
		}
	}
}

// delivered is the copy, saved, read back and found to be what it should be.
func delivered(t *testing.T, c deliver.Copy) File {
	t.Helper()
	open := ReadBack
	outcomes, err := deliver.Run(context.Background(), []deliver.Copy{c}, deliver.Options{Folder: filepath.Join(t.TempDir(), "copies"), Verify: open}, nil)
	require.NoError(t, err)
	require.NoError(t, outcomes[0].Err)
	require.True(t, outcomes[0].Verified)
	f, err := Open(context.Background(), outcomes[0].Path, nil)
	require.NoError(t, err)
	return f
}

func bytesOf(t *testing.T, f File) []byte {
	t.Helper()
	content, err := os.ReadFile(f.Path())
	require.NoError(t, err)
	return content
}
