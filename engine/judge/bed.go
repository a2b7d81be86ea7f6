// Package judge says what a factor does to a kit: how parts fit the bed, and which of the
// standard ratios the whole kit survives. Everything here is instant and pure, a function
// of measurements and factor, and is called on every keystroke.
package judge

import (
	"math"

	"scantling/engine/geom"
)

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

// Known is false for the zero value and for any bed that has a side of no extent: there is
// nothing to fit on.
func (b Bed) Known() bool { return b.Size[0] > 0 && b.Size[1] > 0 && b.Size[2] > 0 }

// Largest is the largest factor at which a part of the given size, lying as it is drawn
// with its height along z, fits the bed: at it Fits says yes, at the next float64 above it
// no. The axis is what limits it, the first of those that limit alike. It is +Inf for a
// part without extent and 0 where the margins leave no room.
func (b Bed) Largest(sizeMM geom.Vec) (factor float64, limit geom.Axis) {
	factor = math.Inf(1)
	room := b.Usable()
	for a := geom.X; a <= geom.Z; a++ {
		if sizeMM[a] > 0 {
			if f := largest(sizeMM[a], room[a]); f < factor {
				factor, limit = f, a
			}
		}
	}
	return factor, limit
}

// largest is the largest f with size·f <= room in float64: the quotient, or a neighbour of
// it where rounding has gone the other way.
func largest(size, room float64) float64 {
	f := room / size
	for f > 0 && !(size*f <= room) {
		f = math.Nextafter(f, 0)
	}
	for range 2 { // a quotient is within one rounding, and so is the product
		next := math.Nextafter(f, math.Inf(1))
		if !(size*next <= room) {
			break
		}
		f = next
	}
	return f
}

// Fits reports whether the part fits at the factor, and by how many millimetres it is too
// long along each axis (0 where it fits). A part without extent along an axis fits there.
func (b Bed) Fits(sizeMM geom.Vec, factor float64) (bool, geom.Vec) {
	fits := true
	var excess geom.Vec
	room := b.Usable()
	for a := range sizeMM {
		if !(sizeMM[a] > 0) {
			continue
		}
		// The conversion keeps the product from being fused with the difference, so that
		// every machine finds the same edge.
		if long := float64(sizeMM[a] * factor); !(long <= room[a]) {
			fits = false
			excess[a] = long - room[a]
		}
	}
	return fits, excess
}
