// Package mesh has the neutral triangle mesh and what can be measured of it.
//
// A mesh is a measuring view: positions and triangles, nothing else. Normals, textures,
// materials and hierarchy stay in the format's own document, and a copy in the same
// format never passes through here. All lengths are in the part's own file unit.
package mesh

import (
	"errors"
	"fmt"

	"scantling/engine/geom"
)

// A Mesh is a triangle mesh whose indices are in range and whose coordinates are finite:
// New proves it, everything else relies on it.
type Mesh struct {
	Name string
	// Origin is what the float32 vertices are relative to, so that a part drawn far
	// from zero loses nothing. Zero where the file itself holds float32.
	Origin   geom.Vec
	Vertices [][3]float32
	// Triangles index Vertices, counter-clockwise from outside. Nil means a soup:
	// triangle i has the vertices 3i, 3i+1 and 3i+2.
	Triangles [][3]uint32
}

// What New refuses.
var (
	ErrIndex     = errors.New("triangle index past the vertices")
	ErrNotFinite = errors.New("coordinate is not a finite number")
	ErrSoup      = errors.New("vertices of a soup are not three a triangle")
)

// New checks and makes a mesh. It keeps the slices.
func New(name string, origin geom.Vec, vertices [][3]float32, triangles [][3]uint32) (*Mesh, error) {
	if !origin.Finite() {
		return nil, fmt.Errorf("origin: %w", ErrNotFinite)
	}
	for i, v := range vertices {
		if d := (v[0] - v[0]) + (v[1] - v[1]) + (v[2] - v[2]); d != 0 {
			return nil, fmt.Errorf("vertex %d: %w", i, ErrNotFinite)
		}
	}
	if triangles == nil && len(vertices)%3 != 0 {
		return nil, ErrSoup
	}
	n := uint32(len(vertices))
	for i, t := range triangles {
		if t[0] >= n || t[1] >= n || t[2] >= n {
			return nil, fmt.Errorf("triangle %d: %w", i, ErrIndex)
		}
	}
	return &Mesh{Name: name, Origin: origin, Vertices: vertices, Triangles: triangles}, nil
}

// Len counts the triangles.
func (m *Mesh) Len() int {
	if m.Triangles == nil {
		return len(m.Vertices) / 3
	}
	return len(m.Triangles)
}

// Corners are the vertex indices of triangle i.
func (m *Mesh) Corners(i int) [3]uint32 {
	if m.Triangles == nil {
		k := uint32(3 * i)
		return [3]uint32{k, k + 1, k + 2}
	}
	return m.Triangles[i]
}

// Vertex is vertex i in file coordinates.
func (m *Mesh) Vertex(i uint32) geom.Vec {
	v := m.Vertices[i]
	return geom.Vec{
		m.Origin[0] + float64(v[0]),
		m.Origin[1] + float64(v[1]),
		m.Origin[2] + float64(v[2]),
	}
}

// Triangle is triangle i in file coordinates.
func (m *Mesh) Triangle(i int) (a, b, c geom.Vec) {
	t := m.Corners(i)
	return m.Vertex(t[0]), m.Vertex(t[1]), m.Vertex(t[2])
}

// A Unit says how long one file unit is.
type Unit struct {
	Name     string  // "mm", "m", "in"
	MM       float64 // millimetres in one file unit
	Declared bool    // the file or its format says so; otherwise it is assumed
}

// A Part is one printable body as its file gives it: the file itself, or one named object
// in it. Its measures are in file units.
type Part struct {
	Name string
	Measures
	Unit Unit
	Up   geom.Axis
	// Turn takes the file's axes to axes with z up where somebody said how; no format does.
	// Where it is not known, Up tells. The measures are in the file's axes all the same.
	Turn geom.Turn
	// Surface is false where only the size is known because the triangles themselves
	// cannot be read (compressed positions).
	Surface bool
}
