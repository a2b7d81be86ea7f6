package sheet

import (
	"scantling/app/state"
	"scantling/engine/geom"
)

// standing turns a point of the kit so that z points up: kits whose parts have y up (glTF)
// are stood on their feet.
func standing(p geom.Vec, up geom.Axis) geom.Vec {
	switch up {
	case geom.X:
		return geom.Vec{-p[2], p[1], p[0]}
	case geom.Y:
		return geom.Vec{p[0], -p[2], p[1]}
	}
	return p
}

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
	p, q := standing(b.Min, up), standing(b.Max, up)
	for i := range p {
		p[i], q[i] = min(p[i], q[i]), max(p[i], q[i])
	}
	switch side {
	case state.FromSide: // along -x
		return span{p[1], p[2], q[1], q[2], q[0]}
	case state.Top: // down
		return span{p[0], p[1], q[0], q[1], q[2]}
	}
	return span{p[0], p[2], q[0], q[2], -p[1]} // front: along +y
}
