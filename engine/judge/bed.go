// Package judge says what a factor does to a kit: how parts fit the bed, and which of the
// standard ratios the whole kit survives. Everything here is instant and pure, a function
// of measurements and factor, and is called on every keystroke.
package judge

import "scantling/engine/geom"

// A Bed is the printer's volume in millimetres. The margin is kept free along all four
// sides of the plate; the height is used whole.
type Bed struct {
	Size   geom.Vec `json:"size"`   // width (x), depth (y), height (z), mm
	Margin float64  `json:"margin"` // mm, at each side of the plate
}

// Usable is the room that is left inside the margins. A side is 0 when the margins meet.
func (b Bed) Usable() geom.Vec {
	return geom.Vec{
		max(0, b.Size[0]-2*b.Margin),
		max(0, b.Size[1]-2*b.Margin),
		max(0, b.Size[2]),
	}
}

// Largest is the largest factor at which a part of the given size, lying as it is drawn
// with its height along z, fits the bed. The axis is what limits it. It is +Inf for a part
// without extent.
func (b Bed) Largest(sizeMM geom.Vec) (factor float64, limit geom.Axis) {
	panic("engine/judge: Largest is being written")
}

// Fits reports whether the part fits at the factor, and by how many millimetres it is too
// long along each axis (0 where it fits).
func (b Bed) Fits(sizeMM geom.Vec, factor float64) (bool, geom.Vec) {
	panic("engine/judge: Fits is being written")
}
