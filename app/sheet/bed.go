package sheet

import (
	"math"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/judge"
)

// plate is the size of a bed; of a round one both sides are the diameter.
func plate(b judge.Bed) geom.Vec {
	size := b.Size
	if b.Round {
		size[0] = min(size[0], size[1])
		size[1] = size[0]
	}
	return size
}

// bedExtent is how large the bed is seen, 0 while it is not shown: without a factor there is
// nothing to hold against it.
func bedExtent(v state.View) (w, h float64) {
	size := plate(v.Bed)
	if !v.Sheet.Bed || !v.Result.Factor.Known() || size[0] <= 0 || size[1] <= 0 {
		return 0, 0
	}
	switch v.Sheet.Side {
	case state.FromSide:
		return size[1], size[2]
	case state.Top:
		return size[0], size[1]
	}
	return size[0], size[2]
}

// layBed centres the bed about the assembled kit; in a row about the largest part, since it is
// the parts that have to fit it.
func (l *layout) layBed(v state.View) {
	if w, _ := bedExtent(v); w <= 0 || len(l.parts) == 0 {
		return
	}
	about := l.kit
	if v.Sheet.InRow {
		about = l.parts[0].at
		for _, p := range l.parts {
			if p.at.w()*p.at.h() > about.w()*about.h() {
				about = p.at
			}
		}
	}
	lay := func(size geom.Vec) span {
		u := (about.u0 + about.u1) / 2
		switch v.Sheet.Side {
		case state.FromSide:
			return span{u - size[1]/2, about.v0, u + size[1]/2, about.v0 + size[2], 0}
		case state.Top:
			m := (about.v0 + about.v1) / 2
			return span{u - size[0]/2, m - size[1]/2, u + size[0]/2, m + size[1]/2, 0}
		}
		return span{u - size[0]/2, about.v0, u + size[0]/2, about.v0 + size[2], 0}
	}
	free := v.Bed
	free.Brim = 0
	l.bed, l.inside, l.room = lay(plate(v.Bed)), lay(free.Usable()), lay(v.Bed.Usable())
}

// drawBed outlines the bed, and inside it what margin and brim leave.
func (d *drawing) drawBed() {
	l := d.layout
	if l.bed.w() <= 0 {
		return
	}
	d.bedOutlines(l.bed, l.inside, l.room, d.view.Bed.Round && d.view.Sheet.Side == state.Top)
}

// bedLabel says how large the bed is, over the parts, which may be larger.
func (d *drawing) bedLabel() {
	l := d.layout
	if l.bed.w() <= 0 {
		return
	}
	box := l.camera.rect(l.bed)
	label := Mark{Ink: BedLine, Role: BedShape, Clipped: true, Text: text.BedLabel(d.view.Bed, d.view.Sheet.Inches),
		Size: sizeLabel, At: Point{box.Min.X, box.Min.Y - 5}, Halo: true}
	if d.view.Sheet.Thickness { // the left corner is its legend's
		label.At.X, label.Align = box.Max.X, End
	}
	if box.Min.Y >= l.field.Min.Y && label.At.Y-sizeLabel < l.field.Min.Y { // inside, where there is no room above
		label.At.Y = box.Min.Y + sizeLabel + 4
		inward := 5.0
		if label.Align == End {
			inward = -inward
		}
		label.At.X += inward
	}
	d.write(label)
}

// bedOutlines draws a bed, what its margin leaves, and what is left inside a brim. A disc is
// drawn round where it is seen from above.
func (d *drawing) bedOutlines(whole, free, room span, disc bool) {
	spans := []span{whole, free, room}
	for i, s := range spans {
		if i > 0 && (s == spans[i-1] || s.w() <= 0 || s.h() <= 0) {
			continue
		}
		box := d.layout.camera.rect(s)
		points := box.corners()
		if disc {
			points = circle(box)
		}
		d.put(Mark{Kind: Outline, Ink: BedLine, Role: BedShape, Clipped: true, Dashed: i > 0, Points: points, Width: penThin})
	}
}

// circle is the circle in a square.
func circle(box Rect) []Point {
	const sides = 96
	m, r := box.Middle(), box.W()/2
	points := make([]Point, sides)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		points[i] = Point{m.X + r*cos, m.Y - r*sin}
	}
	return points
}
