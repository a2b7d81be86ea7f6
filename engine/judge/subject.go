package judge

import (
	"cmp"
	"context"
	"math"
	"slices"

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
	// InKit gives where a point of the file is in the axes of the kit, in millimetres as
	// drawn; nil where those are the file's.
	InKit func(geom.Vec) geom.Vec
}

// A Mate is a peg in a bore: parts of a kit that share coordinates, so that one stands in the
// other.
type Mate struct {
	Peg, Bore     int // parts
	PegOf, BoreOf int // index among the part's pegs and bores
	// Clearance is the least difference of diameters as drawn, in millimetres: the bore's
	// across its flats, the peg's across its corners. Below 0 the peg is thicker.
	Clearance float64
}

// What makes a peg and a bore a pair. Judged, no source.
const (
	mateAngle = 1.0 * math.Pi / 180 // between their axes
	mateThin  = 0.6                 // the peg is no thinner than this share of the bore
	mateThick = 1.1                 // and no thicker than this
)

// Mates finds the pegs that stand in bores of other parts, or of their own. It takes time with
// the number of both, asks ctx, and has no other error.
func Mates(ctx context.Context, parts []Part) ([]Mate, error) {
	var pegs, bores []cylinder
	for i, p := range parts {
		if p.Found == nil {
			continue
		}
		for k, r := range p.Found.Pegs {
			pegs = append(pegs, cylinderOf(p, i, k, r, r.Diameter))
		}
		for k, r := range p.Found.Bores {
			bores = append(bores, cylinderOf(p, i, k, r, r.Flats))
		}
	}
	slices.SortStableFunc(bores, func(a, b cylinder) int { return cmp.Compare(a.centre[0], b.centre[0]) })
	longest := 0.0
	for _, b := range bores {
		longest = max(longest, b.half)
	}
	var found []Mate
	for n, p := range pegs {
		if n%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		reach := p.half + longest + p.width
		from, _ := slices.BinarySearchFunc(bores, p.centre[0]-reach, func(b cylinder, x float64) int { return cmp.Compare(b.centre[0], x) })
		best := -1
		for i := from; i < len(bores) && bores[i].centre[0] <= p.centre[0]+reach; i++ {
			if p.standsIn(bores[i]) && (best < 0 || math.Abs(bores[i].width-p.width) < math.Abs(bores[best].width-p.width)) {
				best = i
			}
		}
		if best >= 0 {
			b := bores[best]
			found = append(found, Mate{p.part, b.part, p.index, b.index, b.width - p.width})
		}
	}
	return found, nil
}

// A cylinder is a peg or bore in the axes of the kit, in millimetres as drawn.
type cylinder struct {
	part, index  int
	centre, axis geom.Vec
	width, half  float64
}

func cylinderOf(p Part, part, index int, r survey.Round, width float64) cylinder {
	in := func(v geom.Vec) geom.Vec {
		if p.InKit == nil {
			return v.Scale(p.MM)
		}
		return p.InKit(v)
	}
	centre := in(r.Centre)
	axis := in(r.Centre.Add(r.Axis)).Sub(centre)
	if l := axis.Len(); l > 0 {
		axis = axis.Scale(1 / l)
	}
	return cylinder{part, index, centre, axis, width * p.MM, r.Depth * p.MM / 2}
}

// standsIn reports whether the peg has about the bore's axis and thickness, and is in it.
func (p cylinder) standsIn(b cylinder) bool {
	if !(p.width >= mateThin*b.width && p.width <= mateThick*b.width) || p.part == b.part && p.index == b.index && p.centre == b.centre {
		return false
	}
	if p.axis.Cross(b.axis).Len() > math.Sin(mateAngle) {
		return false
	}
	apart := p.centre.Sub(b.centre)
	along := apart.Dot(b.axis)
	across := apart.Sub(b.axis.Scale(along)).Len()
	return math.Abs(along) < p.half+b.half && across <= max(math.Abs(b.width-p.width)/2, 0.05*b.width)
}

func (p *Part) longest() float64 { return max(p.Size[0], p.Size[1], p.Size[2]) }

// pieces is how often it is printed.
func (p *Part) pieces() int { return max(1, p.Quantity) }
