package geom

import (
	"errors"
	"strings"
)

// A Turn is a rotation by quarter turns: one of the 24 that lay coordinate directions on
// coordinate directions, without reflection. Entry i says which coordinate becomes
// coordinate i: axis a is a+1, and -(a+1) where it is reversed. The zero value is no turn
// that was given, and leaves everything as it is.
type Turn [3]int8

// NoTurn leaves everything as it is, and says so.
func NoTurn() Turn { return Turn{1, 2, 3} }

// Quarter is a quarter turn about an axis, counter-clockwise for whom the axis points at:
// about z it takes x to y.
func Quarter(about Axis) Turn {
	switch about {
	case X:
		return Turn{1, -3, 2}
	case Y:
		return Turn{3, 2, -1}
	}
	return Turn{-2, 1, 3}
}

// ErrTurn is what ParseTurn refuses with.
var ErrTurn = errors.New("is not a turn: x, y and z, each once, in some order with their signs")

// Known is false for the zero value.
func (t Turn) Known() bool { return t != Turn{} }

// Apply turns a point about the origin.
func (t Turn) Apply(v Vec) Vec {
	if !t.Known() {
		return v
	}
	var out Vec
	for i, e := range t {
		if e > 0 {
			out[i] = v[e-1]
		} else {
			out[i] = 0 - v[-e-1] // never a negative zero
		}
	}
	return out
}

// Box turns a box about the origin; what is empty stays so.
func (t Turn) Box(b Box) Box {
	if b.Empty() {
		return b
	}
	// A turned corner may be the least along one axis and the most along another.
	return EmptyBox().Add(t.Apply(b.Min)).Add(t.Apply(b.Max))
}

// Then is t and after it u.
func (t Turn) Then(u Turn) Turn {
	switch {
	case !t.Known():
		return u
	case !u.Known():
		return t
	}
	var out Turn
	for i, e := range u {
		if e > 0 {
			out[i] = t[e-1]
		} else {
			out[i] = -t[-e-1]
		}
	}
	return out
}

// Inverse undoes t.
func (t Turn) Inverse() Turn {
	var out Turn
	for i, e := range t {
		switch {
		case e > 0:
			out[e-1] = int8(i + 1)
		case e < 0:
			out[-e-1] = -int8(i + 1)
		}
	}
	return out
}

// Axis is where an axis comes to lie, whichever way round.
func (t Turn) Axis(a Axis) Axis {
	for i, e := range t {
		if e == int8(a+1) || e == -int8(a+1) {
			return Axis(i)
		}
	}
	return a
}

// Pose is the turn as a pose; none for the zero value.
func (t Turn) Pose() Pose {
	var p Pose
	for i, e := range t {
		switch {
		case e > 0:
			p.Rows[i][e-1] = 1
		case e < 0:
			p.Rows[i][-e-1] = -1
		}
	}
	return p
}

// String says what becomes x, y and z: "x -z y". It is empty for the zero value.
func (t Turn) String() string {
	if !t.Known() {
		return ""
	}
	words := make([]string, len(t))
	for i, e := range t {
		if e < 0 {
			words[i], e = "-", -e
		}
		words[i] += Axis(e - 1).String()
	}
	return strings.Join(words, " ")
}

// ParseTurn reads what String writes; the empty text is the zero value.
func ParseTurn(text string) (Turn, error) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return Turn{}, nil
	}
	var t Turn
	if len(words) != len(t) {
		return Turn{}, ErrTurn
	}
	for i, w := range words {
		name, reversed := strings.CutPrefix(w, "-")
		a, err := ParseAxis(name)
		if err != nil {
			return Turn{}, ErrTurn
		}
		t[i] = int8(a + 1)
		if reversed {
			t[i] = -t[i]
		}
	}
	// The images of x, y and z are right-handed only where each axis is there once and
	// nothing is mirrored.
	x, y, z := t.Apply(Vec{1, 0, 0}), t.Apply(Vec{0, 1, 0}), t.Apply(Vec{0, 0, 1})
	if x.Cross(y) != z || z.Len() != 1 {
		return Turn{}, ErrTurn
	}
	return t, nil
}

// MarshalText is String.
func (t Turn) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText takes what ParseTurn takes.
func (t *Turn) UnmarshalText(text []byte) error {
	parsed, err := ParseTurn(string(text))
	if err == nil {
		*t = parsed
	}
	return err
}
