package judge

import (
	"math"

	"scantling/engine/geom"
	"scantling/engine/survey"
)

// A Pose is how a part is turned and where it then rests: standing on z = 0, in the middle
// of the plate at x = y = 0. It knows no factor; apply that last.
type Pose struct {
	// Turn has as its rows the directions in the part, as it lies, that come to lie along
	// the bed's x, y and z. They are square to each other and right-handed.
	Turn [3]geom.Vec `json:"turn"`
	// Shift is added after turning, in millimetres as drawn.
	Shift geom.Vec `json:"shift"`
}

// Apply gives where a point goes: p in the coordinates of a survey.Hull in millimetres.
func (p Pose) Apply(at geom.Vec) geom.Vec { return p.turned(at).Add(p.Shift) }

func (p Pose) turned(at geom.Vec) geom.Vec {
	return geom.Vec{p.Turn[0].Dot(at), p.Turn[1].Dot(at), p.Turn[2].Dot(at)}
}

// OfFile is the pose for points of the file that the hull is of, in the hull's unit: turn
// has as its rows the directions in the file that come to lie along the bed's x, y and z,
// and shift is added after turning.
func (p Pose) OfFile(h survey.Hull) (turn [3]geom.Vec, shift geom.Vec) {
	for i, row := range p.Turn {
		turn[i] = h.Unlie(row)
	}
	return turn, p.Apply(h.Lie(geom.Vec{}))
}

// Turned reports whether the pose is another than the part's own.
func (p Pose) Turned() bool { return p.Turn != upright() }

func upright() [3]geom.Vec { return [3]geom.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} }

// towards is a frame with up as its z, a unit vector. For up itself it is the part's own.
func towards(up geom.Vec) (x, y geom.Vec) {
	// The shortest turn that takes z there (Duff and others, Building an orthonormal
	// basis, revisited, 2017), which is exact to rounding all round.
	s := math.Copysign(1, up[2])
	a := -1 / (s + up[2])
	b := up[0] * up[1] * a
	x = geom.Vec{1 + s*up[0]*up[0]*a, s * b, -s * up[0]}
	y = geom.Vec{b, s + up[1]*up[1]*a, -up[1]}
	return x, y
}

// turnedBy is the turn with up as z and, of a frame around it, along as x.
func turnedBy(x, y, up geom.Vec, along geom.Vec2) [3]geom.Vec {
	return [3]geom.Vec{
		x.Scale(along[0]).Add(y.Scale(along[1])),
		y.Scale(along[0]).Sub(x.Scale(along[1])),
		up,
	}
}
