// Package judge says what a factor does to a kit: how parts fit the bed, and which of the
// standard ratios the whole kit survives. Everything here is instant and pure, a function
// of measurements and factor, and is called on every keystroke.
package judge

import (
	"math"

	"scantling/engine/geom"
)

// A Bed is the printer's volume in millimetres. The margin is kept free along the edge of
// the plate and the brim around the part; the height is used whole.
type Bed struct {
	Size   geom.Vec `json:"size"`            // width (x), depth (y), height (z), mm; of a round plate both sides are the diameter
	Margin float64  `json:"margin"`          // mm, at each side of the plate
	Brim   float64  `json:"brim,omitempty"`  // mm on the plate around the part, for a brim or skirt
	Round  bool     `json:"round,omitempty"` // the plate is a disc; where the sides differ, the smaller counts
}

// Usable is the room that is left inside margin and brim: of a round plate the square around
// the disc that is left. A side is 0 when the margins meet.
func (b Bed) Usable() geom.Vec {
	taken := 2*b.Margin + 2*b.Brim
	room := geom.Vec{
		max(0, b.Size[0]-taken),
		max(0, b.Size[1]-taken),
		max(0, b.Size[2]),
	}
	if b.Round {
		room[0] = min(room[0], room[1])
		room[1] = room[0]
	}
	return room
}

// Plate is the area of the usable room, seen from above, in square millimetres.
func (b Bed) Plate() float64 {
	room := b.Usable()
	if b.Round {
		return math.Pi / 4 * room[0] * room[0]
	}
	return room[0] * room[1]
}

// Known is false for the zero value and for any bed that has a side of no extent: there is
// nothing to fit on.
func (b Bed) Known() bool { return b.Size[0] > 0 && b.Size[1] > 0 && b.Size[2] > 0 }

// Largest is the largest factor at which a part of the given size, lying as it is drawn
// with its height along z, fits the bed: at it Fits says yes, at the next float64 above it
// no. The axis is what limits it, the first of those that limit alike. It is +Inf for a
// part without extent and 0 where the margins leave no room. On a round plate a size is
// taken to fill its rectangle, and the longer side of that is named as the limit; Lies
// knows the part's footprint.
func (b Bed) Largest(sizeMM geom.Vec) (factor float64, limit geom.Axis) {
	factor = math.Inf(1)
	room := b.Usable()
	spans, long := b.spans(sizeMM)
	for a := geom.X; a <= geom.Z; a++ {
		if spans[a] > 0 {
			if f := largest(spans[a], room[a]); f < factor {
				factor, limit = f, a
			}
		}
	}
	if b.Round && limit == geom.X {
		limit = long
	}
	return factor, limit
}

// spans are what a size takes along each axis of the room: on a round plate the diagonal
// once, as x, and nothing as y. long is the longer of the size's sides on the plate.
func (b Bed) spans(size geom.Vec) (spans geom.Vec, long geom.Axis) {
	if size[1] > size[0] {
		long = geom.Y
	}
	if b.Round {
		return geom.Vec{math.Hypot(size[0], size[1]), 0, size[2]}, long
	}
	return size, long
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
// On a round plate the diagonal counts, and what it has too much is told of the longer side.
func (b Bed) Fits(sizeMM geom.Vec, factor float64) (bool, geom.Vec) {
	fits := true
	var excess geom.Vec
	room := b.Usable()
	spans, longer := b.spans(sizeMM)
	for a, span := range spans {
		if !(span > 0) {
			continue
		}
		// The conversion keeps the product from being fused with the difference, so that
		// every machine finds the same edge.
		if long := float64(span * factor); !(long <= room[a]) {
			fits = false
			if b.Round && a == int(geom.X) {
				a = int(longer)
			}
			excess[a] = long - room[a]
		}
	}
	return fits, excess
}
