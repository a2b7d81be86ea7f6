package sheet

import (
	"scantling/app/state"
	"scantling/engine/geom"
)

// A span is a rectangle in the plane that the sheet looks at: u to the right, v up, print
// millimetres, and how near to the eye it comes.
type span struct {
	u0, v0, u1, v1 float64
	near           float64
}

func (s span) w() float64 { return s.u1 - s.u0 }
func (s span) h() float64 { return s.v1 - s.v0 }

func (s span) moved(du, dv float64) span {
	s.u0, s.u1, s.v0, s.v1 = s.u0+du, s.u1+du, s.v0+dv, s.v1+dv
	return s
}

// seen is what a box covers from a side.
func seen(b geom.Box, side state.Side, up geom.Axis) span {
	right, above := side.Look(up)
	eye := right.Cross(above)
	ends := func(d geom.Vec) (least, most float64) {
		p, q := b.Min.Dot(d), b.Max.Dot(d)
		return min(p, q), max(p, q)
	}
	var s span
	s.u0, s.u1 = ends(right)
	s.v0, s.v1 = ends(above)
	_, s.near = ends(eye)
	return s
}
