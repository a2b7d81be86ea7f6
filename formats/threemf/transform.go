package threemf

import "scantling/engine/geom"

// A transform is an affine map as 3MF writes it (core 1.4.0, section 3.3): points are rows,
// so the first three entries are what becomes of x, y and z, the last is the translation.
type transform [4]geom.Vec

func identity() transform { return transform{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 0, 0}} }

// posing is a pose as a transform.
func posing(p geom.Pose) transform {
	t := identity()
	if p.Known() {
		for i, row := range p.Rows {
			for k, x := range row {
				t[k][i] = x
			}
		}
		t[3] = p.Shift
	}
	return t
}

// turn is t without its translation, applied to p.
func (t *transform) turn(p geom.Vec) geom.Vec {
	return geom.Vec{
		p[0]*t[0][0] + p[1]*t[1][0] + p[2]*t[2][0],
		p[0]*t[0][1] + p[1]*t[1][1] + p[2]*t[2][1],
		p[0]*t[0][2] + p[1]*t[1][2] + p[2]*t[2][2],
	}
}

// apply is t applied to the point p.
func (t *transform) apply(p geom.Vec) geom.Vec { return t.turn(p).Add(t[3]) }

// then is t first, and u after it.
func (t transform) then(u transform) transform {
	return transform{u.turn(t[0]), u.turn(t[1]), u.turn(t[2]), u.apply(t[3])}
}

// mirrors reports whether t turns triangles inside out. The shape must not change the sign
// of its volume (core 1.4.0, section 3.3), so their corners are then swapped.
func (t *transform) mirrors() bool { return t[0].Dot(t[1].Cross(t[2])) < 0 }

// shifts reports whether t only moves.
func (t *transform) shifts() bool {
	one := identity()
	return t[0] == one[0] && t[1] == one[1] && t[2] == one[2]
}
