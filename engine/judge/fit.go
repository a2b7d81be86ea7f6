package judge

import (
	"cmp"
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/survey"
)

// A Fit is the largest factor at which a part fits a bed, and how it then lies.
type Fit struct {
	// Factor is for lengths as drawn, in millimetres: at it and below it the part fits in
	// this pose. It is +Inf for a part without extent and 0 for a bed without room.
	Factor float64
	// AtMost is what no pose of the turning exceeds. It is Factor, but for Free, where the
	// search ends before the last digit, and for Faces where a part of very many corners has
	// more faces than are tried.
	AtMost float64
	Pose   Pose
	Size   geom.Vec  // extent in this pose along the bed's axes, mm as drawn
	Across float64   // on a round plate, the diameter of the smallest circle around the footprint, mm as drawn
	Lies   geom.Vec  // size of the part as it lies, mm as drawn
	Limit  geom.Axis // the bed's axis that limits it; of a round plate x or y, the longer extent
}

// Fit finds the largest factor at which a part fits the bed when it may be turned like
// this. The part is in millimetres (survey.Hull.Scaled). AsItLies and Yaw are exact and take
// no time, Faces tries the faces that the hull has, Free is a bounded search. What
// is returned does fit: all corners are tried, with rounding counted against it. More
// freedom never gives less. The same part and bed give the same pose. The only error is
// that of ctx, which is asked every millisecond or so.
func (b Bed) Fit(ctx context.Context, part survey.Hull, t Turning) (Fit, error) {
	return b.fit(ctx, part, t, looks)
}

// fit is Fit with a bound for the search.
func (b Bed) fit(ctx context.Context, part survey.Hull, t Turning, looks int) (Fit, error) {
	f := newFitting(b, part)
	best := f.asItLies()
	best.Lies = part.Size
	if !(best.Factor > 0) || math.IsInf(best.Factor, 1) || !f.roomy() {
		best.AtMost = best.Factor
		return best, ctx.Err()
	}
	if t >= Yaw && !b.Round {
		need, along := geom.FitTurned(part.Footprint, geom.Vec2{f.room[0], f.room[1]}, 0)
		if 1/need > best.Factor {
			x, y := towards(geom.Vec{0, 0, 1})
			best = f.better(best, f.settle(turnedBy(x, y, geom.Vec{0, 0, 1}, along)))
		}
	}
	atMost := 0.0
	if t >= Faces {
		laid, err := f.onFaces(ctx)
		if err != nil {
			return Fit{}, err
		}
		atMost = laid.AtMost
		best = f.better(best, laid)
	}
	best.AtMost = max(best.Factor, atMost)
	if t >= Free {
		tilted, atMost, err := f.tilted(ctx, best, looks)
		if err != nil {
			return Fit{}, err
		}
		best = f.better(best, tilted)
		best.AtMost = max(best.Factor, atMost)
	}
	return best, ctx.Err()
}

// Narrow is how a part lies on its own underside when it is turned about the vertical so that the
// rectangle around it is least, and up to which factor it fits so. It takes no time.
func (b Bed) Narrow(part survey.Hull) Fit {
	along, _ := geom.LeastRectangle(part.Footprint)
	x, y := towards(geom.Vec{0, 0, 1})
	out := newFitting(b, part).settle(turnedBy(x, y, geom.Vec{0, 0, 1}, along))
	out.Lies, out.AtMost = part.Size, out.Factor
	return out
}

// Span is what stands against the room along the axis that limits the part, in millimetres
// as drawn: its extent there, and on a round plate the circle around it.
func (f Fit) Span(b Bed) float64 {
	if b.Round && f.Limit != geom.Z {
		return f.Across
	}
	return f.Size[f.Limit]
}

// fitting is one part on one bed.
type fitting struct {
	bed    Bed
	room   geom.Vec
	part   survey.Hull
	radius float64     // of the ball about the middle that holds the part
	flat   []geom.Vec2 // scratch
}

func newFitting(b Bed, part survey.Hull) *fitting {
	f := &fitting{bed: b, room: b.Usable(), part: part}
	for _, p := range part.Points {
		f.radius = max(f.radius, p.Len())
	}
	return f
}

// roomy reports whether the bed has room along all axes.
func (f *fitting) roomy() bool { return f.room[0] > 0 && f.room[1] > 0 && f.room[2] > 0 }

func (f *fitting) better(a, b Fit) Fit {
	if b.Factor > a.Factor {
		b.Lies = f.part.Size
		return b
	}
	return a
}

// asItLies is exact on a rectangle: there Bed.Largest says the same of the part's size.
func (f *fitting) asItLies() Fit {
	if f.bed.Round {
		return f.settle(upright())
	}
	factor, limit := f.bed.Largest(f.part.Size)
	return Fit{
		Factor: factor, Limit: limit, Size: f.part.Size,
		Pose: Pose{Turn: upright(), Shift: geom.Vec{0, 0, f.part.Size[2] / 2}},
	}
}

// settle puts the part down in a pose and finds the largest factor there, from all corners.
func (f *fitting) settle(turn [3]geom.Vec) Fit {
	out := Fit{Factor: math.Inf(1), Pose: Pose{Turn: turn}}
	box := geom.EmptyBox()
	f.flat = f.flat[:0]
	for _, p := range f.part.Points {
		p = out.Pose.turned(p)
		box = box.Add(p)
		if f.bed.Round {
			f.flat = append(f.flat, geom.Vec2{p[0], p[1]})
		}
	}
	if box.Empty() {
		return out
	}
	out.Size = box.Size()
	middle := box.Centre()
	spans, long := f.bed.spans(out.Size)
	if f.bed.Round {
		centre, radius := geom.SmallestCircle(geom.Hull2(f.flat))
		middle[0], middle[1] = centre[0], centre[1]
		out.Across = 2 * radius
		spans[0] = out.Across
	}
	out.Pose.Shift = geom.Vec{0 - middle[0], 0 - middle[1], 0 - box.Min[2]}
	for a, span := range spans {
		if !(out.Size[a] > 0) || f.bed.Round && a == int(geom.Y) {
			continue
		}
		// A turned coordinate is three products: what they and the shift can be off by
		// counts against the pose.
		if most := largest(span+8e-15*f.radius, f.room[a]); most < out.Factor {
			out.Factor, out.Limit = most, geom.Axis(a)
		}
	}
	if f.bed.Round && out.Limit == geom.X {
		out.Limit = long
	}
	return out
}

// seen is the outline of points seen along up, which is the bed's z, and their extent
// along it. Of very many points those are dropped that lie inside the outline of the few.
func (f *fitting) seen(points []geom.Vec, up geom.Vec) (outline []geom.Vec2, height float64) {
	var inner inside
	if len(points) > 4*len(f.part.Few) {
		few, _ := f.seen(f.part.Few, up)
		inner = insideOf(few)
	}
	x, y := towards(up)
	low, high := math.Inf(1), math.Inf(-1)
	f.flat = f.flat[:0]
	for _, p := range points {
		z := p.Dot(up)
		low, high = min(low, z), max(high, z)
		if q := (geom.Vec2{p.Dot(x), p.Dot(y)}); !inner.has(q) {
			f.flat = append(f.flat, q)
		}
	}
	return geom.Hull2(f.flat), high - low
}

// need is how much larger than the room what is seen is, see geom.FitTurned.
func (f *fitting) need(outline []geom.Vec2, height, slack float64) (need float64, along geom.Vec2) {
	along = geom.Vec2{1, 0}
	if f.bed.Round {
		_, radius := geom.SmallestCircle(outline)
		need = (2*radius - slack) / f.room[0]
	} else {
		need, along = geom.FitTurned(outline, geom.Vec2{f.room[0], f.room[1]}, slack)
	}
	return max(need, (height-slack)/f.room[2]), along
}

// settleTowards puts the part down with up as z, turned about it as is best.
func (f *fitting) settleTowards(up geom.Vec) Fit {
	outline, height := f.seen(f.part.Points, up)
	_, along := f.need(outline, height, 0)
	x, y := towards(up)
	return f.settle(turnedBy(x, y, up, along))
}

// mostSettled is on how many faces a part of more corners than a few is put down in full: the
// faces of a ball are all alike.
const mostSettled = 24

// onFaces tries all faces: first with few points, which never need more than all, and then
// with all as long as that can be the best.
func (f *fitting) onFaces(ctx context.Context) (Fit, error) {
	type face struct {
		up    geom.Vec
		least float64 // that it can need
	}
	faces := make([]face, len(f.part.Faces))
	for i, s := range f.part.Faces {
		if i%16 == 0 && ctx.Err() != nil {
			return Fit{}, ctx.Err()
		}
		up := geom.Vec{0 - s.Outward[0], 0 - s.Outward[1], 0 - s.Outward[2]}
		outline, height := f.seen(f.part.Few, up)
		least, _ := f.need(outline, height, 0)
		faces[i] = face{up, least}
	}
	slices.SortStableFunc(faces, func(a, b face) int { return cmp.Compare(a.least, b.least) })
	var best Fit
	atMost := 0.0
	for i, s := range faces {
		if ctx.Err() != nil {
			return Fit{}, ctx.Err()
		}
		if s.least*best.Factor >= 1 {
			break
		}
		if i == mostSettled && len(f.part.Few) < len(f.part.Points) {
			atMost = 1 / s.least
			break
		}
		best = f.better(best, f.settleTowards(s.up))
	}
	best.AtMost = max(best.Factor, atMost)
	return best, nil
}
