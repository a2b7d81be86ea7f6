package kit

import (
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/ways"
)

// A Frame is the axes that the parts of a kit share. Where all parts have the same axis up,
// the kit's axes are the files' own. Where they differ, or one was turned by the maker, z is
// up and all are turned by what Upright says.
type Frame struct {
	Up    geom.Axis // which axis of the kit points up
	mixed bool
}

// FrameOf is the frame of those parts; z is up when there are none.
func FrameOf(parts []mesh.Part) Frame {
	if len(parts) == 0 {
		return Frame{Up: geom.Z}
	}
	up := parts[0].Up
	for _, p := range parts {
		if p.Up != up || p.Turn.Known() {
			return Frame{Up: geom.Z, mixed: true}
		}
	}
	return Frame{Up: up}
}

// Upright takes a part's file axes to axes with z up: as the maker said, or else a part with
// y up by (x, y, z) → (x, −z, y) and one with x up by (x, y, z) → (−z, y, x). Nothing is
// mirrored.
func Upright(p mesh.Part) geom.Turn {
	if p.Turn.Known() {
		return p.Turn
	}
	return Raise(p.Up, false)
}

// Raise is the turn that lifts an axis, or its opposite, to z.
func Raise(up geom.Axis, reversed bool) geom.Turn {
	switch {
	case up == geom.X && reversed:
		return geom.Turn{3, 2, -1}
	case up == geom.X:
		return geom.Turn{-3, 2, 1}
	case up == geom.Y && reversed:
		return geom.Turn{1, 3, -2}
	case up == geom.Y:
		return geom.Turn{1, -3, 2}
	case reversed:
		return geom.Turn{1, -2, -3}
	}
	return geom.NoTurn()
}

// Upright takes the kit's axes to axes with z up.
func (f Frame) Upright() geom.Turn { return Raise(f.Up, false) }

// Turn takes the part's file axes to the kit's.
func (f Frame) Turn(p mesh.Part) geom.Turn {
	if f.mixed {
		return Upright(p)
	}
	return geom.NoTurn()
}

// Point is a point of the part's file in kit axes, in millimetres as drawn.
func (f Frame) Point(p mesh.Part, v geom.Vec) geom.Vec {
	return f.Turn(p).Apply(v.Scale(p.Unit.MM))
}

// Box is the part's box in kit axes, in millimetres as drawn. It is empty for a part
// without triangles.
func (f Frame) Box(p mesh.Part) geom.Box {
	if p.Box.Empty() {
		return geom.EmptyBox()
	}
	return f.Turn(p).Box(p.Box.Scale(p.Unit.MM))
}

// KitBox is the box of the assembled kit in kit axes, in millimetres as drawn.
func (f Frame) KitBox(parts []mesh.Part) geom.Box {
	all := geom.EmptyBox()
	for _, p := range parts {
		all = all.Union(f.Box(p))
	}
	return all
}

// Lies is the size of a part as it lies on the bed, in millimetres as drawn: its height
// along its own up axis stands in z.
func Lies(p mesh.Part) geom.Vec {
	s := Upright(p).Apply(p.Box.Size().Scale(p.Unit.MM))
	return geom.Vec{math.Abs(s[0]), math.Abs(s[1]), math.Abs(s[2])}
}

// A Body is a measured part of a kit.
type Body struct {
	ID   string
	Name string
	Part mesh.Part
}

// SubjectOf is what a way is applied to: the sizes of those bodies and of all of them
// together, in the frame that they share.
func SubjectOf(bodies []Body) ways.Subject {
	parts := make([]mesh.Part, len(bodies))
	for i, b := range bodies {
		parts[i] = b.Part
	}
	return FrameOf(parts).Subject(bodies)
}

// Subject is SubjectOf in a frame that more bodies share than those that count.
func (f Frame) Subject(bodies []Body) ways.Subject {
	s := ways.Subject{Parts: make([]ways.SubjectPart, 0, len(bodies))}
	all := geom.EmptyBox()
	for i, b := range bodies {
		box := f.Box(b.Part)
		all = all.Union(box)
		s.Parts = append(s.Parts, ways.SubjectPart{
			ID: b.ID, Name: b.Name, Size: box.Size(), Box: box, Lies: Lies(b.Part),
		})
		if mm := b.Part.Unit.MM; i == 0 || mm == s.UnitMM {
			s.UnitMM = mm
		} else {
			s.UnitMM = 0
		}
	}
	s.Kit = all.Size()
	return s
}
