package process

import "scantling/engine/geom"

// A Correction is what a maker multiplies copies by, besides the factor, so that they come
// out of the machine as long as they are meant to be. It is the only thing that may differ by
// axis, and it is off unless the maker turns it on. The axes are the printer's: x and y of
// the plate, z up.
type Correction struct {
	On    bool     `json:"on"`
	Scale geom.Vec `json:"scale"` // zero stands for 1
}

// mostShrinkage bounds what counts as shrinkage: no material for printing shrinks by a fifth.
const mostShrinkage = 0.2

// The bounds of a correction: what makes up for such a shrinkage, and its reverse.
const leastScale, mostScale = 1 - mostShrinkage, 1 / (1 - mostShrinkage)

func (c Correction) sound() bool {
	for _, s := range c.Scale {
		if s != 0 && !(s >= leastScale && s <= mostScale) {
			return false
		}
	}
	return true
}

// Factors are what lengths along the printer's axes are multiplied by: 1 where it is off.
func (c Correction) Factors() geom.Vec {
	if !c.On {
		return geom.Vec{1, 1, 1}
	}
	return c.Whole()
}

// Whole is what they would be multiplied by if it were on.
func (c Correction) Whole() geom.Vec {
	for a, s := range c.Scale {
		if s == 0 {
			c.Scale[a] = 1
		}
	}
	return c.Scale
}

// Corrects reports whether it would change anything if it were on.
func (c Correction) Corrects() bool { return c.Whole() != geom.Vec{1, 1, 1} }

// Distorts reports whether the correction is not the same along all axes.
func (c Correction) Distorts() bool {
	f := c.Factors()
	return f[0] != f[1] || f[1] != f[2]
}

// Apply gives where a point of a copy goes. The plate's axes must be the point's.
func (c Correction) Apply(v geom.Vec) geom.Vec {
	f := c.Factors()
	return geom.Vec{v[0] * f[0], v[1] * f[1], v[2] * f[2]}
}

// ForShrinkage is the correction for a material, not turned on. What shrinks by the share s
// of its length must be made 1/(1−s) as long; 1+s is too little.
func ForShrinkage(m Material) Correction {
	var c Correction
	for a, s := range m.Shrinkage {
		c.Scale[a] = 1 / (1 - s)
	}
	return c
}

// A Length is a length that was meant and the one that was measured on the print, in mm; the
// zero value was not measured.
type Length struct{ Meant, Measured float64 }

// Measured is the correction that makes printed lengths come out as they were meant, not
// turned on. Where an axis was not measured it has the mean of the others, and the correction
// is that of nothing where none was. before is what the measured print was made with, so that
// a print made with a correction improves it. The error is ErrCorrection for lengths that are
// too far apart to be the same.
func Measured(along [3]Length, before Correction) (Correction, error) {
	scale, sum, n := before.Factors(), 0.0, 0
	for a, l := range along {
		if l.Meant > 0 && l.Measured > 0 {
			scale[a] *= l.Meant / l.Measured
			sum += scale[a]
			n++
		}
	}
	if n == 0 {
		return Correction{}, nil
	}
	for a, l := range along {
		if !(l.Meant > 0 && l.Measured > 0) {
			scale[a] = sum / float64(n)
		}
	}
	c := Correction{Scale: scale}
	if !c.sound() {
		return Correction{}, ErrCorrection
	}
	return c, nil
}
