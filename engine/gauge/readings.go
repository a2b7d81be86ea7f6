package gauge

import (
	"errors"
	"math"
	"slices"

	"scantling/engine/process"
)

// A Field is one thing to be read on a printed gauge.
type Field string

// The fields: sizes written beside the least that came out well, and lengths by calipers.
const (
	Wall         Field = "wall"     // the thinnest wall that stands
	Pin          Field = "pin"      // the thinnest pin that stands
	Gap          Field = "gap"      // the narrowest gap that is open
	Hole         Field = "hole"     // the smallest hole that is open
	EngravedLine Field = "engraved" // the narrowest sunk line that shows
	RaisedLine   Field = "raised"   // the narrowest raised line that is whole
	Tight        Field = "tight"    // the least play at which the peg goes in with force
	Loose        Field = "loose"    // the least play at which it slides
	LengthX      Field = "x"        // of a strip
	LengthY      Field = "y"        // of the bar
	LengthZ      Field = "z"        // of the highest step
)

// Fields are all fields, in the order of the strips.
func Fields() []Field {
	return []Field{Wall, Pin, Gap, Hole, EngravedLine, RaisedLine, Tight, Loose, LengthX, LengthY, LengthZ}
}

// Strip is where a field is read.
func (f Field) Strip() Kind {
	switch f {
	case Wall, LengthX: // all strips are as long
		return Walls
	case Pin:
		return Pins
	case Gap:
		return Gaps
	case Hole:
		return Holes
	case EngravedLine:
		return Engraved
	case RaisedLine:
		return Raised
	case Tight, Loose:
		return Fits
	case LengthZ:
		return Steps
	}
	return Lengths
}

// Sets are the numbers of a process that a reading of the field may change, what it stands for
// first. Both fits may change with either: an easy one is never less than a tight one.
func (f Field) Sets() []process.Field {
	switch f {
	case Wall:
		return []process.Field{process.WallFree, process.WallSupported}
	case Pin:
		return []process.Field{process.Pin}
	case Gap:
		return []process.Field{process.Gap}
	case Hole:
		return []process.Field{process.Hole}
	case EngravedLine:
		return []process.Field{process.EngravedWidth}
	case RaisedLine:
		return []process.Field{process.RaisedWidth}
	case Tight:
		return []process.Field{process.Tight}
	case Loose:
		return []process.Field{process.Loose}
	case LengthX:
		return []process.Field{process.CorrectionX}
	case LengthY:
		return []process.Field{process.CorrectionY}
	case LengthZ:
		return []process.Field{process.CorrectionZ}
	}
	return nil
}

// Drawn is how long a length is on the gauge, mm; 0 for a field that is no length.
func (f Field) Drawn() float64 {
	switch f {
	case LengthX:
		return long
	case LengthY:
		return bar
	case LengthZ:
		return high
	}
	return 0
}

// Readings are what a maker sees on a printed gauge, and measures, in mm by field; what is not
// there, or 0, was not read.
type Readings map[Field]float64

// ErrReading is what Apply refuses with where a size is not written on any gauge.
var ErrReading = errors.New("must be zero, or one of the sizes of the gauge")

// A ReadingError says which reading cannot be.
type ReadingError struct {
	Field Field
	Err   error // ErrReading, or process.ErrCorrection for a length
}

func (e *ReadingError) Error() string { return string(e.Field) + ": " + e.Err.Error() }

// Unwrap is what is wrong.
func (e *ReadingError) Unwrap() error { return e.Err }

// Check says what is wrong with one reading, nil for nothing. The error is a *ReadingError. A
// size must be one that is written on a gauge, whatever limits that one was made about.
func (r Readings) Check(f Field) error {
	v, drawn := r[f], f.Drawn()
	switch {
	case v == 0:
	case drawn == 0 && !slices.Contains(series(), v):
		return &ReadingError{f, ErrReading}
	case drawn > 0:
		if _, err := process.Measured([3]process.Length{{Meant: drawn, Measured: v}}, process.Correction{}); err != nil || !(v > 0) || math.IsInf(v, 1) {
			return &ReadingError{f, process.ErrCorrection}
		}
	}
	return nil
}

// Apply is the process with the limits and the correction that the readings tell; what was not
// read stays as it is. A wall that stands free stands held too: the limit of held walls is never
// above it. A gauge is printed as it was made, without a correction, so that what it measures is
// the whole correction; an axis that was not measured and has none takes the mean of the others.
// The correction is not turned on where it was off. The errors are *ReadingError and those of the
// process's Check.
func (r Readings) Apply(p process.Process) (process.Process, error) {
	var lengths [3]process.Length
	measured := false
	for _, f := range Fields() {
		if err := r.Check(f); err != nil {
			return p, err
		}
		v := r[f]
		if v == 0 {
			continue
		}
		if a := slices.Index([]Field{LengthX, LengthY, LengthZ}, f); a >= 0 {
			lengths[a], measured = process.Length{Meant: f.Drawn(), Measured: v}, true
		} else {
			*p.Number(f.Sets()[0]) = v
		}
	}
	if r[Wall] > 0 {
		p.Limits.WallSupported = min(p.Limits.WallSupported, r[Wall])
	}
	switch { // one of them was read, and goes beyond the other
	case p.Limits.Loose < p.Limits.Tight && r[Loose] > 0:
		p.Limits.Tight = p.Limits.Loose
	case p.Limits.Loose < p.Limits.Tight && r[Tight] > 0:
		p.Limits.Loose = p.Limits.Tight
	}
	if measured {
		c, err := process.Measured(lengths, process.Correction{})
		if err != nil {
			return p, err
		}
		for a, l := range lengths {
			if known := p.Correction.Scale[a]; l.Measured == 0 && known != 0 {
				c.Scale[a] = known
			}
		}
		c.On = p.Correction.On && c.Corrects()
		p.Correction = c
	}
	return p, p.Check()
}
