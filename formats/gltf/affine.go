package gltf

import "scantling/engine/geom"

// An affine transform: three columns, then the translation. In glTF's 4×4 matrices the
// last row is always 0 0 0 1.
type affine [4]geom.Vec

func identity() affine { return affine{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 0, 0}} }

// affineOf takes a column-major 4×4 matrix.
func affineOf(m [16]float64) affine {
	return affine{{m[0], m[1], m[2]}, {m[4], m[5], m[6]}, {m[8], m[9], m[10]}, {m[12], m[13], m[14]}}
}

// compose is translation × rotation × scale, the rotation a unit quaternion x y z w.
func compose(t [3]float64, q [4]float64, s [3]float64) affine {
	x, y, z, w := q[0], q[1], q[2], q[3]
	return affine{
		geom.Vec{1 - 2*(y*y+z*z), 2 * (x*y + w*z), 2 * (x*z - w*y)}.Scale(s[0]),
		geom.Vec{2 * (x*y - w*z), 1 - 2*(x*x+z*z), 2 * (y*z + w*x)}.Scale(s[1]),
		geom.Vec{2 * (x*z + w*y), 2 * (y*z - w*x), 1 - 2*(x*x+y*y)}.Scale(s[2]),
		t,
	}
}

// turn is a without its translation, applied to p.
func (a *affine) turn(p geom.Vec) geom.Vec {
	return geom.Vec{
		a[0][0]*p[0] + a[1][0]*p[1] + a[2][0]*p[2],
		a[0][1]*p[0] + a[1][1]*p[1] + a[2][1]*p[2],
		a[0][2]*p[0] + a[1][2]*p[1] + a[2][2]*p[2],
	}
}

// apply is a applied to the point p.
func (a *affine) apply(p geom.Vec) geom.Vec { return a.turn(p).Add(a[3]) }

// times is b first, then a.
func (a affine) times(b affine) affine {
	return affine{a.turn(b[0]), a.turn(b[1]), a.turn(b[2]), a.apply(b[3])}
}

// mirrors reports whether a turns triangles inside out.
func (a affine) mirrors() bool { return a[0].Dot(a[1].Cross(a[2])) < 0 }

// turnsNothing reports whether a only moves.
func (a affine) turnsNothing() bool {
	one := identity()
	return a[0] == one[0] && a[1] == one[1] && a[2] == one[2]
}
