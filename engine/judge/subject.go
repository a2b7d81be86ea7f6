package judge

import (
	"scantling/engine/geom"
	"scantling/engine/survey"
	"scantling/engine/units"
)

// A Part is a part of a kit as it is judged: all that is known of it whatever the factor.
type Part struct {
	ID       string
	Quantity int
	MM       float64              // how long its unit is
	Size     geom.Vec             // as it lies, in millimetres as drawn
	Found    *survey.Measurements // nil while it was not surveyed: then little more than the bed is judged
	Bulk     Bulk                 // see BulkOf; without it nothing is weighed
	// Fits are the largest factors at which it fits the bed, by Turning, and Posed its size in
	// the pose in which it does; 0 where that is not known, and +Inf for a part without extent.
	// More freedom never gives less.
	Fits  [Free + 1]float64
	Posed [Free + 1]geom.Vec
	// Goes is the largest factor at which it goes into the small-parts cylinder, see Cylinder;
	// 0 where that is not known.
	Goes float64
	Unit *units.Suggestion // of another unit; nil for none
}

func (p *Part) longest() float64 { return max(p.Size[0], p.Size[1], p.Size[2]) }

// pieces is how often it is printed.
func (p *Part) pieces() int { return max(1, p.Quantity) }
