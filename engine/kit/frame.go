package kit

import (
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/ways"
)

// A Frame is the axes that the parts of a kit share. Where all parts have the same axis up,
// the kit's axes are the files' own. Where they differ, z is up and the others are turned:
// a part with y up by (x, y, z) → (x, −z, y), one with x up by (x, y, z) → (−z, y, x). Both
// are turns without reflection, so nothing is mirrored.
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
	for _, p := range parts[1:] {
		if p.Up != up {
			return Frame{Up: geom.Z, mixed: true}
		}
	}
	return Frame{Up: up}
}

// Point is a point of the part's file in kit axes, in millimetres as drawn.
func (f Frame) Point(p mesh.Part, v geom.Vec) geom.Vec {
	v = v.Scale(p.Unit.MM)
	if !f.mixed {
		return v
	}
	switch p.Up {
	case geom.X:
		return geom.Vec{0 - v[2], v[1], v[0]}
	case geom.Y:
		return geom.Vec{v[0], 0 - v[2], v[1]} // 0-z: never a negative zero
	}
	return v
}

// Box is the part's box in kit axes, in millimetres as drawn. It is empty for a part
// without triangles.
func (f Frame) Box(p mesh.Part) geom.Box {
	if p.Box.Empty() {
		return geom.EmptyBox()
	}
	// A turned corner may be the least along one axis and the most along another.
	return geom.EmptyBox().Add(f.Point(p, p.Box.Min)).Add(f.Point(p, p.Box.Max))
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
// along its own up axis stands in z, and nothing else is turned.
func Lies(p mesh.Part) geom.Vec {
	s := p.Box.Size().Scale(p.Unit.MM)
	switch p.Up {
	case geom.X:
		return geom.Vec{s[2], s[1], s[0]}
	case geom.Y:
		return geom.Vec{s[0], s[2], s[1]}
	}
	return s
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
	f := FrameOf(parts)
	s := ways.Subject{Kit: f.KitBox(parts).Size()}
	for i, b := range bodies {
		box := f.Box(b.Part)
		s.Parts = append(s.Parts, ways.SubjectPart{
			ID: b.ID, Name: b.Name, Size: box.Size(), Box: box, Lies: Lies(b.Part),
		})
		if mm := b.Part.Unit.MM; i == 0 || mm == s.UnitMM {
			s.UnitMM = mm
		} else {
			s.UnitMM = 0
		}
	}
	return s
}
