package mesh

import (
	"math"

	"scantling/engine/geom"
)

// Measures are what one pass over the triangles gives, in file units.
type Measures struct {
	Triangles  int
	Degenerate int // triangles without area
	Box        geom.Box
	Area       float64
	// Volume is signed: positive when the triangles face outward, and meaningless
	// unless the mesh is closed.
	Volume float64
	// Centroid is that of the volume, or of the surface where there is no volume.
	Centroid geom.Vec
}

// An Accumulator measures triangles as they stream past, without keeping them. Several can
// work on pieces of one mesh and be merged in a fixed order; all must be made with the
// same reference point.
//
// Method: signed tetrahedra against a reference point (Zhang and Chen, ICIP 2001), which
// should lie near the part so that one drawn far from the origin loses nothing.
type Accumulator struct {
	about      geom.Vec
	triangles  int
	degenerate int
	box        geom.Box
	area       geom.Sum    // twice the area
	volume     geom.Sum    // six times the volume
	surface    [3]geom.Sum // twice the area times three times the centroid, about the reference
	solid      [3]geom.Sum // six times the volume times four times the centroid, about the reference
}

// NewAccumulator measures about a reference point, best some vertex of the part.
func NewAccumulator(about geom.Vec) *Accumulator {
	return &Accumulator{about: about, box: geom.EmptyBox()}
}

// Add measures one triangle. Its corners must be finite.
func (m *Accumulator) Add(a, b, c geom.Vec) {
	m.triangles++
	m.box = m.box.Add(a).Add(b).Add(c)
	a, b, c = a.Sub(m.about), b.Sub(m.about), c.Sub(m.about)
	n := b.Sub(a).Cross(c.Sub(a))
	twice := n.Len()
	if twice == 0 {
		m.degenerate++
		return
	}
	m.area.Add(twice)
	six := a.Dot(n) // a·((b-a)×(c-a)) is a·(b×c)
	m.volume.Add(six)
	for i := range a {
		s := a[i] + b[i] + c[i]
		m.surface[i].Add(twice * s)
		m.solid[i].Add(six * s)
	}
}

// Merge adds what o has measured about the same reference point.
func (m *Accumulator) Merge(o *Accumulator) {
	m.triangles += o.triangles
	m.degenerate += o.degenerate
	m.box = m.box.Union(o.box)
	m.area.Merge(o.area)
	m.volume.Merge(o.volume)
	for i := range m.surface {
		m.surface[i].Merge(o.surface[i])
		m.solid[i].Merge(o.solid[i])
	}
}

// Measures is the result so far. The box is empty when no triangle was added.
func (m *Accumulator) Measures() Measures {
	r := Measures{
		Triangles:  m.triangles,
		Degenerate: m.degenerate,
		Box:        m.box,
		Area:       m.area.Value() / 2,
		Volume:     m.volume.Value() / 6,
	}
	// A sheet's volume is rounding noise: its centroid is that of its surface.
	if size := r.Box.Size(); math.Abs(r.Volume) > 1e-9*size[0]*size[1]*size[2] {
		for i := range r.Centroid {
			r.Centroid[i] = m.about[i] + m.solid[i].Value()/(4*m.volume.Value())
		}
	} else if r.Area > 0 {
		for i := range r.Centroid {
			r.Centroid[i] = m.about[i] + m.surface[i].Value()/(3*m.area.Value())
		}
	} else if r.Triangles > 0 {
		r.Centroid = r.Box.Centre()
	}
	return r
}

// MeasuresOf measures a whole mesh.
func MeasuresOf(m *Mesh) Measures {
	if m.Len() == 0 {
		return Measures{Box: geom.EmptyBox()}
	}
	first, _, _ := m.Triangle(0)
	acc := NewAccumulator(first)
	for i := range m.Len() {
		acc.Add(m.Triangle(i))
	}
	return acc.Measures()
}
