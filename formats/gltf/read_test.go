package gltf

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
)

func TestCube(t *testing.T) {
	s := newSketch()
	m := s.cubeMesh(1, 2, 3)
	s.node(object{"name": "hull", "mesh": m, "translation": []float64{10, 0, 0}})
	s.node(object{"mesh": m, "scale": []float64{-1, 1, 2}})
	for name, content := range map[string][]byte{"a.glb": s.glb()} {
		f, err := open(t, name, content)
		require.NoError(t, err)
		p := f.Parts()
		require.Len(t, p, 2)
		require.Equal(t, "hull", p[0].Name)
		require.Equal(t, "a 2", p[1].Name)
		require.Equal(t, geom.Box{Min: geom.Vec{10, 0, 0}, Max: geom.Vec{11, 2, 3}}, p[0].Box)
		require.InDelta(t, 6, p[0].Volume, 1e-12)
		require.InDelta(t, 12, p[1].Volume, 1e-12)
		require.InDelta(t, 22, p[0].Area, 1e-12)
		mesh, err := f.Mesh(context.Background(), 0, nil)
		require.NoError(t, err)
		require.Equal(t, 12, mesh.Len())
		require.False(t, math.IsNaN(p[0].Centroid[0]))
	}
}
