package judge

import (
	"errors"
	"math"

	"scantling/engine/geom"
)

// A Printer is a bed under the name that its owner gave it.
type Printer struct {
	Name string `json:"name"`
	Bed  Bed    `json:"bed"`
}

// What Check refuses.
var (
	ErrBedSize   = errors.New("a bed's sides must be longer than zero")
	ErrBedMargin = errors.New("margin and brim cannot be negative")
	ErrBedTaken  = errors.New("margin and brim leave no room on the bed")
)

// Check says what is wrong with a bed, nil when parts can lie on it.
func (b Bed) Check() error {
	for _, side := range b.Size {
		if !(side > 0 && side <= math.MaxFloat64) {
			return ErrBedSize
		}
	}
	if !(b.Margin >= 0 && b.Margin <= math.MaxFloat64 && b.Brim >= 0 && b.Brim <= math.MaxFloat64) {
		return ErrBedMargin
	}
	if room := b.Usable(); !(room[0] > 0 && room[1] > 0) {
		return ErrBedTaken
	}
	return nil
}

// UsualBeds are sizes to begin with, by volume: common practice, no source. Machines of a
// nominal size differ by some millimetres, so the maker's own measure should replace them.
func UsualBeds() []Bed {
	const margin = 5 // common practice, no source: edges of plates are uneven
	box := func(width, depth, height, margin float64) Bed {
		return Bed{Size: geom.Vec{width, depth, height}, Margin: margin}
	}
	disc := func(diameter, height float64) Bed {
		return Bed{Size: geom.Vec{diameter, diameter, height}, Margin: margin, Round: true}
	}
	return []Bed{
		// Vats of resin: a thin margin for supports.
		box(120, 70, 150, 2), box(140, 80, 160, 2), box(190, 120, 200, 2), box(220, 120, 220, 2), box(300, 160, 300, 2),
		// Plates for filament.
		box(120, 120, 120, margin), box(150, 150, 150, margin), box(180, 180, 180, margin),
		disc(180, 300), box(220, 220, 250, margin), box(250, 210, 210, margin), box(250, 250, 250, margin),
		disc(260, 400), box(300, 300, 300, margin), box(300, 300, 400, margin), box(350, 350, 350, margin),
		box(400, 400, 400, margin), box(500, 500, 500, margin),
	}
}
