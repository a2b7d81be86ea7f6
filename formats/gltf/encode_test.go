package gltf

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

// box is a box as a soup.
func box(t testing.TB, name string, origin geom.Vec, x, y, z float64) *mesh.Mesh {
	corners, triangles := cube(x, y, z)
	var soup [][3]float32
	for _, k := range triangles {
		i := 3 * int(k)
		soup = append(soup, [3]float32{float32(corners[i]), float32(corners[i+1]), float32(corners[i+2])})
	}
	m, err := mesh.New(name, origin, soup, nil)
	require.NoError(t, err)
	return m
}

func TestEncode(t *testing.T) {
	hull := box(t, "hull \"1\" é", geom.Vec{}, 100, 200, 300)
	hull.Vertices[0][0] = float32(math.Copysign(0, -1)) // equals 0, and is welded to it
	mast := box(t, "", geom.Vec{1e7, 0, 0.5}, 1, 1, 1)
	one, err := mesh.New("one", geom.Vec{}, [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {9, 9, 9}}, [][3]uint32{{0, 1, 2}})
	require.NoError(t, err)
	empty := &mesh.Mesh{Name: "empty"}
	list := []*mesh.Mesh{hull, empty, mast, one}

	var w bytes.Buffer
	last := 0.0
	require.NoError(t, EncodeGLB(context.Background(), &w, "", list, 0.001, geom.Pose{}, func(x float64) {
		require.GreaterOrEqual(t, x, last)
		last = x
	}))
	require.Equal(t, 1.0, last)
	f, err := open(t, "tug.glb", w.Bytes())
	require.NoError(t, err)
	require.Empty(t, f.Notes())
	p := f.Parts()
	require.Len(t, p, 3)
	require.Equal(t, "hull \"1\" é", p[0].Name)
	require.Equal(t, "one", p[2].Name)
	for i, m := range []*mesh.Mesh{hull, mast, one} {
		want := mesh.MeasuresOf(m)
		require.Equal(t, want.Triangles, p[i].Triangles)
		for axis := range 3 {
			require.InEpsilon(t, 1+want.Box.Max[axis]/1000, 1+p[i].Box.Max[axis], 1e-7)
			require.InEpsilon(t, 1+want.Box.Min[axis]/1000, 1+p[i].Box.Min[axis], 1e-7)
		}
		require.InEpsilon(t, 1+want.Volume/1e9, 1+p[i].Volume, 1e-6)
	}
	require.InDelta(t, 0.001, p[1].Box.Size()[0], 1e-10, "far from the origin, and as exact")

	var doc struct {
		Asset     struct{ Generator string }
		Accessors []struct {
			Count    int
			Min, Max []float64
		}
	}
	require.NoError(t, json.Unmarshal(f.doc.json.text, &doc))
	require.Equal(t, "Scantling", doc.Asset.Generator)
	require.Equal(t, 8, doc.Accessors[0].Count, "welded")
	require.Equal(t, []float64{0.1, 0.2, 0.3}, doc.Accessors[0].Max)
	require.Equal(t, 4, doc.Accessors[4].Count, "vertices of a mesh that is none of a soup stay")
	m, err := f.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	top, err := mesh.TopologyOf(context.Background(), m, nil)
	require.NoError(t, err)
	require.True(t, top.Closed)

	require.Equal(t, fault.NoTriangles, code(t, EncodeGLB(context.Background(), &w, "", []*mesh.Mesh{empty}, 1, geom.Pose{}, nil)))
	for _, factor := range []float64{1e38, math.Inf(1), math.NaN()} {
		require.Equal(t, fault.TooLarge, code(t, EncodeGLB(context.Background(), &w, "", list, factor, geom.Pose{}, nil)))
	}
	require.ErrorIs(t, EncodeGLB(context.Background(), &fullSink{100}, "", list, 1, geom.Pose{}, nil), errFull)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	require.Equal(t, context.Canceled, EncodeGLB(ctx, &w, "", list, 1, geom.Pose{}, nil))
}

// Indices of two bytes end where the next type begins.
func TestEncodeLargeIndices(t *testing.T) {
	for _, n := range []int{3, 65535, 65536, 65538} {
		vertices := make([][3]float32, n)
		for i := range vertices {
			vertices[i] = [3]float32{float32(i), float32(i % 7), 1}
		}
		last := uint32(n - 1)
		m, err := mesh.New("long", geom.Vec{}, vertices, [][3]uint32{{0, 1, last}})
		require.NoError(t, err)
		var w bytes.Buffer
		require.NoError(t, EncodeGLB(context.Background(), &w, "", []*mesh.Mesh{m}, 1, geom.Pose{}, nil))
		f, err := open(t, "a.glb", w.Bytes())
		require.NoError(t, err)
		got, err := f.Mesh(context.Background(), 0, nil)
		require.NoError(t, err)
		require.Equal(t, [][3]uint32{{0, 1, last}}, got.Triangles)
		require.Equal(t, vertices, got.Vertices)
	}
}
