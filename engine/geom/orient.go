package geom

import (
	"math"
	"math/big"
)

// A Vec2 is a point or a direction in a plane.
type Vec2 [2]float64

// Sub is a - b.
func (a Vec2) Sub(b Vec2) Vec2 { return Vec2{a[0] - b[0], a[1] - b[1]} }

// Dot is the scalar product.
func (a Vec2) Dot(b Vec2) float64 { return a[0]*b[0] + a[1]*b[1] }

// Cross is the z component of the vector product: positive when b is counter-clockwise
// from a.
func (a Vec2) Cross(b Vec2) float64 { return a[0]*b[1] - a[1]*b[0] }

// Finite reports whether no component is NaN or infinite.
func (a Vec2) Finite() bool { return (a[0]-a[0])+(a[1]-a[1]) == 0 }

// How far a plain determinant can be off, as a share of the sum of its terms' magnitudes:
// a little above the (3 + 16u)u and (7 + 56u)u, u = 2^-53, that Shewchuk proves (Adaptive
// precision floating-point arithmetic and fast robust geometric predicates, 1997). They
// hold while nothing underflows, which the least magnitude sees to.
const (
	unsure2 = 4e-16
	unsure3 = 1e-15
	tiny    = 1e-280
)

// Orient2 is 1 when a, b and c turn counter-clockwise, -1 when clockwise and 0 when they
// lie on one line. It is exact: no rounding changes it. The points must be finite.
func Orient2(a, b, c Vec2) int {
	left := (b[0] - a[0]) * (c[1] - a[1])
	right := (b[1] - a[1]) * (c[0] - a[0])
	det := left - right
	if bound := unsure2*(math.Abs(left)+math.Abs(right)) + tiny; det > bound {
		return 1
	} else if det < -bound {
		return -1
	}
	if a == b || b == c || a == c {
		return 0
	}
	var e exact
	p, q := e.minus(b[0], a[0]), e.minus(c[1], a[1])
	r, s := e.minus(b[1], a[1]), e.minus(c[0], a[0])
	if e.failed {
		return orient2Big(a, b, c)
	}
	e.product2(p, q, 1)
	e.product2(r, s, -1)
	return e.sign()
}

func orient2Big(a, b, c Vec2) int {
	minus := func(p, q float64) *big.Rat {
		r := new(big.Rat).SetFloat64(p)
		return r.Sub(r, new(big.Rat).SetFloat64(q))
	}
	left := minus(b[0], a[0])
	left.Mul(left, minus(c[1], a[1]))
	right := minus(b[1], a[1])
	right.Mul(right, minus(c[0], a[0]))
	return left.Cmp(right)
}

// Orient3 is 1 when d lies on the side of the plane through a, b and c from which they are
// seen counter-clockwise, -1 when on the other side and 0 when in the plane. It is exact:
// no rounding changes it. The points must be finite.
func Orient3(a, b, c, d Vec) int {
	u, v, w := b.Sub(a), c.Sub(a), d.Sub(a)
	det, size := 0.0, 0.0
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		p, q := u[j]*v[k], u[k]*v[j]
		det += (p - q) * w[i]
		size += (math.Abs(p) + math.Abs(q)) * math.Abs(w[i])
	}
	if bound := unsure3*size + tiny; det > bound {
		return 1
	} else if det < -bound {
		return -1
	}
	return orient3Exact(a, b, c, d)
}

// orient3Exact is Orient3 where rounding could decide.
func orient3Exact(a, b, c, d Vec) int {
	if d == a || d == b || d == c || a == b || b == c || c == a {
		return 0
	}
	var e exact
	var u, v, w Vec
	for i := range a {
		u[i], v[i], w[i] = e.minus(b[i], a[i]), e.minus(c[i], a[i]), e.minus(d[i], a[i])
	}
	if e.failed {
		return orient3Big(a, b, c, d)
	}
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		e.product3(u[j], v[k], w[i], 1)
		e.product3(u[k], v[j], w[i], -1)
	}
	return e.sign()
}

func orient3Big(a, b, c, d Vec) int {
	rats := func(p Vec) (r [3]*big.Rat) {
		for i := range p {
			r[i] = new(big.Rat).SetFloat64(p[i])
			r[i].Sub(r[i], new(big.Rat).SetFloat64(a[i]))
		}
		return r
	}
	u, v, w := rats(b), rats(c), rats(d)
	sum, p := new(big.Rat), new(big.Rat)
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		sum.Add(sum, p.Mul(p.Mul(u[j], v[k]), w[i]))
		sum.Sub(sum, p.Mul(p.Mul(u[k], v[j]), w[i]))
	}
	return sum.Sign()
}

// An exact sum of products of differences, as an expansion: components that do not
// overlap, least first (Shewchuk 1997). It fails where a difference is no float64 or is so
// large or small that a product's rounding would be lost; then rational numbers must do.
type exact struct {
	parts  [24]float64
	n      int
	failed bool
}

// minus is a - b if that is exact.
func (e *exact) minus(a, b float64) float64 {
	x := a - b
	back := a - x
	if (a-(x+back))+(back-b) != 0 {
		e.failed = true
	}
	e.failed = e.failed || !inRange(x)
	return x
}

// inRange reports whether the product of three such numbers loses nothing but by rounding.
func inRange(x float64) bool {
	m := math.Abs(x)
	return m == 0 || m > 0x1p-250 && m < 0x1p250
}

// add adds one number.
func (e *exact) add(x float64) {
	if x == 0 {
		return
	}
	n := 0
	for _, p := range e.parts[:e.n] {
		sum := x + p
		of := sum - x
		if lost := (x - (sum - of)) + (p - of); lost != 0 {
			e.parts[n] = lost
			n++
		}
		x = sum
	}
	e.parts[n] = x
	e.n = n + 1
}

func (e *exact) product2(a, b, sign float64) {
	p := a * b
	e.add(sign * math.FMA(a, b, -p))
	e.add(sign * p)
}

func (e *exact) product3(a, b, c, sign float64) {
	p := a * b
	e.product2(math.FMA(a, b, -p), c, sign)
	e.product2(p, c, sign)
}

// sign is that of the greatest component, which outweighs all others.
func (e *exact) sign() int {
	for i := e.n - 1; i >= 0; i-- {
		switch {
		case e.parts[i] > 0:
			return 1
		case e.parts[i] < 0:
			return -1
		}
	}
	return 0
}
