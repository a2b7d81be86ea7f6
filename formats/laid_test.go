package formats

import (
	"bytes"
	"context"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats/threemf"
)

// Several pieces of parts in different formats and units are put where they are told to, at their
// size, and read back so.
func TestLay(t *testing.T) {
	ctx := context.Background()
	obj, err := Open(ctx, saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	metres := converted(t, obj, GLB, 1)
	sin, cos := math.Sincos(math.Pi / 6)
	askew := geom.Pose{Rows: [3]geom.Vec{{cos, -sin, 0}, {sin, cos, 0}, {0, 0, 1}}, Shift: geom.Vec{100, 20, 0}}
	at := func(x, y float64) geom.Pose { p := geom.Upright(geom.Z); p.Shift = geom.Vec{x, y, 0}; return p }
	layings := func() []Laying {
		return []Laying{
			{File: obj, Factor: 12, Closed: true, Poses: []geom.Pose{at(5, 5), askew, geom.Quarter(geom.Z).Pose()}},
			{File: metres, Factor: 6000, Closed: true, Poses: []geom.Pose{geom.Upright(geom.Y)}},
		}
	}
	for _, k := range []Kind{STL, ThreeMF} {
		l := Lay(threemf.About{Title: "Harbour tug", Factor: 12, Ratio: "1:48"}, k, layings())
		require.Equal(t, []string{obj.Path(), metres.Path()}, l.Sources())
		require.Len(t, l.Parts(), 4)
		c := deliver.Copy{Source: l, Name: "bed-1" + l.Extension(), Factor: 1, PerUnit: 1, Tag: "Scantling tug 1:48"}
		o := deliver.Options{Folder: t.TempDir(), Verify: OpenLaid(func(string) *Laid { return l })}
		done, err := deliver.Run(ctx, []deliver.Copy{c}, o, nil)
		require.NoError(t, err)
		require.NoError(t, done[0].Err)
		require.True(t, done[0].Verified)
		back, err := Open(ctx, done[0].Path, nil)
		require.NoError(t, err)
		all, volume := geom.EmptyBox(), 0.0
		for _, p := range back.Parts() {
			all = all.Union(p.Box)
			volume += p.Volume
		}
		require.InDelta(t, 3*12*12*12/6.+6*6*6/6., volume, 1e-3)
		if k == STL {
			require.Len(t, back.Parts(), 1)
			require.Equal(t, 4*4, back.Parts()[0].Triangles)
		} else {
			require.Len(t, back.Parts(), 4)
			for i, want := range []geom.Box{
				{Min: geom.Vec{5, 5, 0}, Max: geom.Vec{17, 17, 12}},
				{Min: geom.Vec{100 - 12*sin, 20, 0}, Max: geom.Vec{100 + 12*cos, 20 + 12*cos, 12}},
				{Min: geom.Vec{-12, 0, 0}, Max: geom.Vec{0, 12, 12}},
				{Max: geom.Vec{6, 6, 6}},
			} {
				for a := range 3 {
					require.InDelta(t, want.Min[a], back.Parts()[i].Box.Min[a], 1e-4, "%d", i)
					require.InDelta(t, want.Max[a], back.Parts()[i].Box.Max[a], 1e-4, "%d", i)
				}
			}
			again, err := os.ReadFile(done[0].Path)
			require.NoError(t, err)
			require.Less(t, len(again), 4000, "one object for three pieces")
		}
		require.InDelta(t, -12, all.Min[0], 1e-4)

		// A copy that lacks something is noticed.
		l.volume *= 1.001
		var d *deliver.Difference
		require.ErrorAs(t, l.Check(back), &d)
		require.Equal(t, deliver.Volume, d.Kind)
	}
}

// A part that was drawn far from zero is put on the bed as exactly as any.
func TestLayFromAfar(t *testing.T) {
	ctx := context.Background()
	obj, err := Open(ctx, saved(t, "far.obj", []byte(strings.ReplaceAll(tetrahedronOBJ, "v ", "v 12345"))), nil)
	require.NoError(t, err)
	size := obj.Parts()[0].Box.Size()
	for _, k := range []Kind{STL, ThreeMF} {
		pose := geom.Quarter(geom.Z).Pose()
		pose.Shift = pose.Turn(obj.Parts()[0].Box.Min.Scale(0.1)).Scale(-1)
		l := Lay(threemf.About{}, k, []Laying{{File: obj, Factor: 0.1, Poses: []geom.Pose{pose}}})
		done, err := deliver.Run(ctx, []deliver.Copy{{Source: l, Name: "bed" + l.Extension(), Factor: 1, PerUnit: 1}},
			deliver.Options{Folder: t.TempDir(), Verify: OpenLaid(func(string) *Laid { return l })}, nil)
		require.NoError(t, err)
		require.NoError(t, done[0].Err)
		back, err := Open(ctx, done[0].Path, nil)
		require.NoError(t, err)
		require.InDelta(t, size[0]*0.1, back.Parts()[0].Box.Size()[1], 1e-6)
		require.InDelta(t, size[1]*0.1, back.Parts()[0].Box.Size()[0], 1e-6)
	}
}

// A file that is no longer what was opened, and a cancelled run, leave nothing behind.
func TestLayRefuses(t *testing.T) {
	path := saved(t, "hull.obj", []byte(tetrahedronOBJ))
	obj, err := Open(context.Background(), path, nil)
	require.NoError(t, err)
	for _, k := range []Kind{STL, ThreeMF} {
		l := Lay(threemf.About{}, k, []Laying{{File: obj, Factor: 1, Poses: []geom.Pose{geom.Upright(geom.Z)}}})
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		folder := t.TempDir()
		_, err := deliver.Run(ctx, []deliver.Copy{{Source: l, Name: "a", Factor: 1, PerUnit: 1}}, deliver.Options{Folder: folder}, nil)
		require.ErrorIs(t, err, context.Canceled)
		require.NoError(t, os.WriteFile(path, bytes.Replace([]byte(tetrahedronOBJ), []byte("1"), []byte("2"), 1), 0o600))
		done, err := deliver.Run(context.Background(), []deliver.Copy{{Source: l, Name: "a", Factor: 1, PerUnit: 1}}, deliver.Options{Folder: folder}, nil)
		require.NoError(t, err)
		require.Error(t, done[0].Err)
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Empty(t, left)
		require.NoError(t, os.WriteFile(path, []byte(tetrahedronOBJ), 0o600))
	}
}
