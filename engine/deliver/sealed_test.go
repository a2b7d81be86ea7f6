package deliver

import (
	"context"
	"testing"

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
