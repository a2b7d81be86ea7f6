// Package geom has the small geometry that everything else stands on: vectors,
// axis-aligned boxes and sums that do not lose digits. It knows no unit; a caller
// names the unit of what it passes.
package geom

import (
	"errors"
	"math"
)

// A Vec is a point or a direction: x, y, z.
type Vec [3]float64

// Add is a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

// Sub is a - b.
func (a Vec) Sub(b Vec) Vec { return Vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// Scale is a with every component multiplied by f.
func (a Vec) Scale(f float64) Vec { return Vec{a[0] * f, a[1] * f, a[2] * f} }

// Dot is the scalar product.
func (a Vec) Dot(b Vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// Cross is the vector product.
func (a Vec) Cross(b Vec) Vec {
	return Vec{
		a[1]*b[2] - a[2]*b[1],
		a[2]*b[0] - a[0]*b[2],
		a[0]*b[1] - a[1]*b[0],
	}
}

// Len is the length of a.
func (a Vec) Len() float64 { return math.Sqrt(a.Dot(a)) }

// Finite reports whether no component is NaN or infinite.
func (a Vec) Finite() bool {
	// x-x is 0 for every finite x and NaN otherwise.
	d := (a[0] - a[0]) + (a[1] - a[1]) + (a[2] - a[2])
	return d == 0
}

// An Axis is one of the three coordinate directions.
type Axis uint8

// The three axes.
const (
	X Axis = iota
	Y
	Z
)

// String is "x", "y" or "z".
func (a Axis) String() string {
	if a > Z {
		return "?"
	}
	return "xyz"[a : a+1]
}

// ErrAxis is what ParseAxis refuses with.
var ErrAxis = errors.New("is not an axis: x, y or z")

// ParseAxis reads "x", "y" or "z", in either case.
func ParseAxis(name string) (Axis, error) {
	switch name {
	case "x", "X":
		return X, nil
	case "y", "Y":
		return Y, nil
	case "z", "Z":
		return Z, nil
	}
	return X, ErrAxis
}

// MarshalText is String; the error is ErrAxis for what is none of the three.
func (a Axis) MarshalText() ([]byte, error) {
	if a > Z {
		return nil, ErrAxis
	}
	return []byte(a.String()), nil
}

// UnmarshalText takes what ParseAxis takes.
func (a *Axis) UnmarshalText(text []byte) error {
	parsed, err := ParseAxis(string(text))
	if err == nil {
		*a = parsed
	}
	return err
}

// A Box is an axis-aligned box. The zero value is the single point at the origin;
// EmptyBox holds no point at all.
type Box struct{ Min, Max Vec }

// EmptyBox holds no point; adding a point makes it that point.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Vec{inf, inf, inf}, Vec{-inf, -inf, -inf}}
}

// Empty reports whether b holds no point.
func (b Box) Empty() bool { return !(b.Min[0] <= b.Max[0]) }

// Add is the smallest box with b and p in it.
func (b Box) Add(p Vec) Box {
	for i := range p {
		b.Min[i] = min(b.Min[i], p[i])
		b.Max[i] = max(b.Max[i], p[i])
	}
	return b
}

// Union is the smallest box with b and c in it.
func (b Box) Union(c Box) Box {
	for i := range b.Min {
		b.Min[i] = min(b.Min[i], c.Min[i])
		b.Max[i] = max(b.Max[i], c.Max[i])
	}
	return b
}

// Size is the extent along each axis: zero for an empty box.
func (b Box) Size() Vec {
	if b.Empty() {
		return Vec{}
	}
	return b.Max.Sub(b.Min)
}

// Centre is the middle of a box that is not empty.
func (b Box) Centre() Vec { return b.Min.Add(b.Max).Scale(0.5) }

// Scale is b scaled about the origin by f, which must be positive.
func (b Box) Scale(f float64) Box { return Box{b.Min.Scale(f), b.Max.Scale(f)} }

// A Sum adds many numbers with compensation (Neumaier 1974), so that a million small
// terms lose no more than one rounding. The zero value is ready.
type Sum struct{ sum, lost float64 }

// Add adds x.
func (s *Sum) Add(x float64) {
	t := s.sum + x
	if math.Abs(s.sum) >= math.Abs(x) {
		s.lost += (s.sum - t) + x
	} else {
		s.lost += (x - t) + s.sum
	}
	s.sum = t
}

// Merge adds what t has gathered.
func (s *Sum) Merge(t Sum) {
	s.Add(t.sum)
	s.Add(t.lost)
}

// Value is the sum so far.
func (s Sum) Value() float64 { return s.sum + s.lost }
