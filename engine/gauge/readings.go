package gauge

import (
	"errors"
	"math"

	"scantling/engine/process"
)

// Readings are what a maker sees on a printed gauge, and measures. Sizes are those written beside
// the least that came out well, mm; 0 where it was not read.
type Readings struct {
	Wall     float64 // the thinnest wall that stands
	Pin      float64 // the thinnest pin that stands
	Gap      float64 // the narrowest gap that is open
	Hole     float64 // the smallest hole that is open
	Engraved float64 // the narrowest sunk line that shows
	Raised   float64 // the narrowest raised line that is whole
	Tight    float64 // the least play at which the peg goes in with force
	Loose    float64 // the least play at which it slides
	// What the strips' length, the bar's and the highest step measure, mm.
	X, Y, Z float64
}

// ErrReading is what Apply refuses with where a reading cannot be.
var ErrReading = errors.New("must be zero, or one of the sizes of the gauge")

// A ReadingError says which reading cannot be; the field is that of the process which it would
// set, empty for a length.
type ReadingError struct {
	Field process.Field
	Err   error
}

func (e *ReadingError) Error() string {
	if e.Field == "" {
		return e.Err.Error()
	}
	return string(e.Field) + ": " + e.Err.Error()
}

// Unwrap is what is wrong.
func (e *ReadingError) Unwrap() error { return e.Err }

// Apply is the process with the limits and the correction that the readings tell; what was not
// read stays as it is. A wall that stands free stands held too: the limit of held walls is never
// above it. The correction is not turned on where it was off. The errors are *ReadingError and
// those of the process's Check.
func (r Readings) Apply(p process.Process) (process.Process, error) {
	for _, s := range []struct {
		field process.Field
		size  float64
	}{
		{process.WallFree, r.Wall}, {process.Pin, r.Pin}, {process.Gap, r.Gap}, {process.Hole, r.Hole},
		{process.EngravedWidth, r.Engraved}, {process.RaisedWidth, r.Raised}, {process.Tight, r.Tight}, {process.Loose, r.Loose},
	} {
		if !(s.size >= 0 && s.size <= most()) {
			return p, &ReadingError{s.field, ErrReading}
		}
		if s.size > 0 {
			*p.Number(s.field) = s.size
		}
	}
	if r.Wall > 0 {
		p.Limits.WallSupported = min(p.Limits.WallSupported, r.Wall)
	}
	switch { // one of them was read, and goes beyond the other
	case p.Limits.Loose < p.Limits.Tight && r.Loose > 0:
		p.Limits.Tight = p.Limits.Loose
	case p.Limits.Loose < p.Limits.Tight:
		p.Limits.Loose = p.Limits.Tight
	}
	var lengths [3]process.Length
	measured := false
	for a, l := range []process.Length{{Meant: long, Measured: r.X}, {Meant: bar, Measured: r.Y}, {Meant: high, Measured: r.Z}} {
		if !(l.Measured >= 0) || math.IsInf(l.Measured, 1) {
			return p, &ReadingError{"", ErrReading}
		}
		lengths[a] = l
		measured = measured || l.Measured > 0
	}
	if measured {
		c, err := process.Measured(lengths, p.Correction)
		if err != nil {
			return p, err
		}
		c.On = p.Correction.On
		p.Correction = c
	}
	return p, p.Check()
}

// most is the largest size on a gauge, mm.
func most() float64 { return about(math.Inf(1))[places-1] }
