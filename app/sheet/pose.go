package sheet

import (
	"math"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/judge"
)

// A posed part is shown as it fits the bed, seen from the front and, below that, from above,
// as in first-angle projection (ISO 5456-2; from general knowledge of the standard).
type posed struct {
	part       *state.Part // nil: there is none to show
	fit        *judge.Fit  // nil: not known
	factor     float64     // print mm a drawn mm
	front, top projection
	above      bool // the views lie one above the other, not side by side
}

// A projection is where one view of the plate lies: its whole and what is free, print mm.
type projection struct {
	whole, free, room span
	u, v              float64 // of the middle of the plate, and of its surface in the front view
}

// poseOf is the part whose pose is shown: the selected one, or the one that limits the kit.
func poseOf(v state.View) *state.Part {
	var limits *state.Part
	for i := range v.Parts {
		p := &v.Parts[i]
		if p.State != state.Measured || p.Box.Empty() {
			continue
		}
		if p.ID == v.Selected {
			return p
		}
		if p.Ticked && p.Fit != nil && (limits == nil || p.Fit.Factor < limits.Fit.Factor) {
			limits = p
		}
	}
	return limits
}

// arrangePose places the two views of the bed, as large as the paper lets them be.
func (l *layout) arrangePose(v state.View) {
	p := &posed{part: poseOf(v), factor: l.factor}
	l.posed = p
	size, extent := plate(v.Bed), geom.Vec{}
	if p.part != nil {
		p.fit = p.part.Fit
	}
	if p.fit != nil {
		if !l.scaled && !math.IsInf(p.fit.Factor, 1) {
			p.factor = p.fit.Factor
		}
		extent = p.fit.Size.Scale(p.factor)
	}
	// Pixels that dimensions and captions take beside and under each view.
	const beside, under, notes = dimRoom + 26, dimRoom + nameRoom + 12, 4 * nameRoom
	w := max(size[0], extent[0])
	d, h := max(size[1], extent[1]), max(size[2], extent[2])
	room := Rect{Point{l.field.Min.X + edge, l.field.Min.Y + edge + notes}, Point{l.field.Max.X - edge, l.field.Max.Y - edge - blockH}}
	stacked := fit(room.W()-beside, room.H()-2*under, w, d+h)
	abreast := fit(room.W()-2*beside, room.H()-under, 2*w, max(d, h))
	p.above = stacked >= abreast
	zoom := max(stacked, abreast)
	if math.IsInf(zoom, 0) || zoom <= 0 {
		zoom = plain
	}
	if p.above {
		p.top.v = -(under/zoom + d/2)
	} else {
		p.top.u, p.top.v = w+beside/zoom, d/2
	}
	free := v.Bed
	free.Brim = 0
	lay := func(view *projection, size, free, room geom.Vec, high bool) {
		at := func(s geom.Vec) span {
			if high {
				return span{view.u - s[0]/2, view.v, view.u + s[0]/2, view.v + s[2], 0}
			}
			return span{view.u - s[0]/2, view.v - s[1]/2, view.u + s[0]/2, view.v + s[1]/2, 0}
		}
		view.whole, view.free, view.room = at(size), at(free), at(room)
	}
	lay(&p.front, size, free.Usable(), v.Bed.Usable(), true)
	lay(&p.top, size, free.Usable(), v.Bed.Usable(), false)
	l.kit = span{-w / 2, 0, w / 2, h, 0}
	l.kit.u1 = max(l.kit.u1, p.top.u+w/2)
	l.kit.v0, l.kit.v1 = min(0, p.top.v-d/2), max(h, p.top.v+d/2)
	l.aim(v, room, zoom)
}

// drawPose is the sheet with one part in its pose.
func (d *drawing) drawPose() []Mark {
	l, p := d.layout, d.layout.posed
	if d.view.Bed.Check() == nil {
		d.poseView(&p.front, text.PoseFront, false, func(at geom.Vec) geom.Vec2 { return geom.Vec2{at[0], at[2]} })
		d.poseView(&p.top, text.PoseTop, true, func(at geom.Vec) geom.Vec2 { return geom.Vec2{at[0], at[1]} })
	}
	y := l.field.Min.Y + 20
	for i, s := range text.PoseNotes(d.view, p.part) {
		m := Mark{Ink: Thin, Role: Hint, Text: shortened(s, l.field.W()-2*edge), Size: sizeLabel, At: Point{l.field.Min.X + 12, y}, Halo: true}
		if i == 0 {
			m.Ink, m.Bold = Pen, true
		}
		d.write(m)
		y += nameRoom
	}
	d.titleBlock()
	d.put(Mark{Kind: Outline, Ink: Pen, Role: Ground, Points: l.field.corners(), Width: 1})
	return d.marks
}

// poseView draws the bed and the part's outline on it; flat takes a point on the bed to the view.
func (d *drawing) poseView(view *projection, caption string, fromAbove bool, flat func(geom.Vec) geom.Vec2) {
	l, p := d.layout, d.layout.posed
	d.bedOutlines(view.whole, view.free, view.room, d.view.Bed.Round && fromAbove)
	box := l.camera.rect(view.whole)
	d.write(Mark{Ink: BedLine, Role: BedShape, Clipped: true, Text: caption + "  ·  " + text.BedLabel(d.view.Bed, d.view.Sheet.Inches),
		Size: sizeLabel, At: Point{box.Min.X, box.Min.Y - 6}, Halo: true})
	if !fromAbove { // the plate
		a, b := l.camera.Paper(view.whole.u0, view.v), l.camera.Paper(view.whole.u1, view.v)
		d.line(BedLine, BedShape, penHeavy, a, b)
	}
	if p.fit == nil || p.part.Hull == nil {
		return
	}
	hull := p.part.Hull.Scaled(p.part.Measured.Unit.MM)
	seen := make([]geom.Vec2, len(hull.Points))
	for i, at := range hull.Points {
		seen[i] = flat(p.fit.Pose.Apply(at).Scale(p.factor))
	}
	outline := geom.Hull2(seen)
	if len(outline) == 0 {
		return
	}
	paper := func(outline []geom.Vec2) ([]Point, Rect) {
		points := make([]Point, len(outline))
		bounds := Rect{Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}}
		for i, q := range outline {
			points[i] = l.camera.Paper(view.u+q[0], view.v+q[1])
			bounds.Min = Point{min(bounds.Min.X, points[i].X), min(bounds.Min.Y, points[i].Y)}
			bounds.Max = Point{max(bounds.Max.X, points[i].X), max(bounds.Max.Y, points[i].Y)}
		}
		return points, bounds
	}
	if brim := d.view.Bed.Brim; brim > 0 && fromAbove {
		points, _ := paper(around(outline, brim))
		d.put(Mark{Kind: Outline, Ink: Thin, Role: PartShape, Clipped: true, Part: p.part.ID, Points: points, Width: penThin, Dashed: true})
	}
	points, bounds := paper(outline)
	d.put(Mark{Kind: Area, Ink: Figure, Role: PartShape, Clipped: true, Part: p.part.ID, Points: points})
	d.put(Mark{Kind: Outline, Ink: Pen, Role: PartShape, Clipped: true, Part: p.part.ID, Points: points, Width: penOutline})
	size := flat(p.fit.Size.Scale(p.factor))
	d.width(p.part.ID, bounds, size[0], box.Max.Y, Thin)
	d.height(p.part.ID, bounds, size[1], box.Max.X, Thin)
}

// around is a convex outline with as much around it on all sides.
func around(outline []geom.Vec2, by float64) []geom.Vec2 {
	const sides = 24
	grown := make([]geom.Vec2, 0, sides*len(outline))
	for i := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		for _, p := range outline {
			grown = append(grown, geom.Vec2{p[0] + by*cos, p[1] + by*sin})
		}
	}
	return geom.Hull2(grown)
}
