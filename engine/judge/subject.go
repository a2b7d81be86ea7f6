package judge

import (
	"context"

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
	// Narrow is up to which factor it fits as Bed.Narrow lays it, and NarrowSize its size there; 0
	// where that is not known or saves nothing.
	Narrow     float64
	NarrowSize geom.Vec
	// Goes is the largest factor at which it goes into the small-parts cylinder, see Cylinder;
	// 0 where that is not known.
	Goes float64
	Unit *units.Suggestion // of another unit; nil for none
}

func (p *Part) longest() float64 { return max(p.Size[0], p.Size[1], p.Size[2]) }

// pieces is how often it is printed.
func (p *Part) pieces() int { return max(1, p.Quantity) }

// Fit finds how the part fits a bed, with all turnings up to this one, and those that take no
// time, and whether it goes into the small-parts cylinder. The hull is in millimetres as drawn.
// The only error is that of ctx.
func (p *Part) Fit(ctx context.Context, b Bed, hull survey.Hull, most Turning) (err error) {
	for t := AsItLies; t <= max(most, Faces); t++ {
		if b.Check() != nil {
			break
		}
		f, err := b.Fit(ctx, hull, t)
		if err != nil {
			return err
		}
		p.Fits[t], p.Posed[t] = f.Factor, f.Size
	}
	if b.Check() == nil {
		p.Narrow, p.NarrowSize = b.Narrower(hull)
	}
	p.Goes, err = Cylinder(ctx, hull)
	return err
}

// worthTurning is what share of its rectangle a part must save to be turned for that.
const worthTurning = 0.02

// Narrower are Part.Narrow and Part.NarrowSize for a hull.
func (b Bed) Narrower(hull survey.Hull) (factor float64, size geom.Vec) {
	f := b.Narrow(hull)
	if f.Size[0]*f.Size[1] > hull.Size[0]*hull.Size[1]*(1-worthTurning) {
		return 0, geom.Vec{}
	}
	return f.Factor, f.Size
}
