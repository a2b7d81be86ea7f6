package sheet

import (
	"math"

	"scantling/app/state"
	"scantling/app/text"
	body "scantling/engine/figure"
	"scantling/engine/geom"
)

// A person is a stand-in on the sheet.
type person struct {
	in     state.StandIn
	i      int          // which of the sheet's stand-ins
	tall   float64      // stature, print mm
	shapes []body.Shape // print mm about the body's axis and the ground
	box    span         // of the shapes
	u, v   float64      // where axis and ground lie, print mm
}

// at is where the person is seen.
func (p *person) at() span { return p.box.moved(p.u, p.v) }

// peopleOf are the stand-ins at a ratio, print over real.
func peopleOf(v state.View, target float64) []person {
	if !(target > 0) {
		return nil
	}
	view := map[state.Side]body.View{state.Front: body.FromFront, state.FromSide: body.FromSide, state.Top: body.FromAbove}[v.Sheet.Side]
	var people []person
	for i, s := range v.Sheet.People() {
		p := person{in: s, i: i, tall: s.Stature() * target}
		var err error
		if p.shapes, err = s.Pose.Outline(view, p.tall, s.Of); err != nil {
			continue // nothing of that size can be drawn
		}
		p.box = span{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1), 0}
		for _, shape := range p.shapes {
			for _, points := range [][]geom.Vec2{shape.Points, shape.Edge} {
				for k := range points {
					if s.Left && view == body.FromSide {
						points[k][0] = -points[k][0]
					}
					if s.Left && view == body.FromAbove {
						points[k][1] = -points[k][1]
					}
					q := points[k]
					p.box.u0, p.box.v0 = min(p.box.u0, q[0]), min(p.box.v0, q[1])
					p.box.u1, p.box.v1 = max(p.box.u1, q[0]), max(p.box.v1, q[1])
				}
			}
		}
		people = append(people, p)
	}
	return people
}

// column is how wide the place of a person is, print mm: as wide as what is written under it,
// and by eye, where nothing may hang on the zoom, a little wider than the body.
func (l *layout) column(p *person, zoom float64) float64 {
	if l.byEye {
		return p.box.w() + p.tall/10
	}
	return max(p.box.w(), figureRoom/zoom)
}

// crowd is how wide and how high all people side by side are at a zoom.
func (l *layout) crowd(zoom float64) (w, h float64) {
	for i := range l.people {
		w += l.column(&l.people[i], zoom)
		h = max(h, l.people[i].box.h())
	}
	return w, h
}

// fitCrowd is the zoom at which the people beside w by h print mm just fit the room.
func (l *layout) fitCrowd(roomW, roomH, w, h float64) float64 {
	zoom := math.Inf(1)
	for range 4 { // what is written under them needs the more print mm the smaller all gets
		crowdW, crowdH := l.crowd(max(zoom, 1e-9))
		zoom = fit(roomW, roomH, w+crowdW, max(h, crowdH))
	}
	return zoom
}

// stand places the people side by side to the left of u, the first one rightmost, on the
// ground v; from above about the middle v.
func (l *layout) stand(view state.View, u, v, zoom float64) {
	right, above := view.Sheet.Side.Look(view.PartsUp)
	for i := range l.people {
		p := &l.people[i]
		col := l.column(p, zoom)
		p.u = u - col/2 - (p.box.u0+p.box.u1)/2
		p.v = v
		if view.Sheet.Side == state.Top {
			p.v -= (p.box.v0 + p.box.v1) / 2
		}
		if !view.Sheet.InRow {
			p.u, p.v = p.u+p.in.Place.Dot(right)*l.target, p.v+p.in.Place.Dot(above)*l.target
		}
		u -= col
	}
}

// drawPeople puts the stand-ins of an order on the paper; part is that of OverPart.
func (d *drawing) drawPeople(o state.Order, part string) {
	for i := range d.layout.people {
		p := &d.layout.people[i]
		if d.layout.orderOf(p) == o && (o != state.OverPart || p.in.Over == part) {
			d.drawPerson(p)
		}
	}
}

// orderOf is what a person is drawn over: where the part is not drawn, nothing.
func (l *layout) orderOf(p *person) state.Order {
	if p.in.Order == state.OverPart && l.byID(p.in.Over) == nil {
		return state.BehindAll
	}
	return p.in.Order
}

func (d *drawing) drawPerson(p *person) {
	l := d.layout
	place := func(points []geom.Vec2) []Point {
		out := make([]Point, len(points))
		for i, q := range points {
			out[i] = l.camera.Paper(p.u+q[0], p.v+q[1])
		}
		return out
	}
	// A small figure has a fine line, so that it stays a figure.
	pen := min(max(p.tall*l.camera.Zoom/40, 0.7), 2.2)
	var lines, filled []Mark
	for _, s := range p.shapes {
		points := place(s.Points)
		lines = append(lines, Mark{Kind: Outline, Ink: Pen, Role: StandIn, Clipped: true, Points: points, Width: pen})
		filled = append(filled, Mark{Kind: Area, Ink: Figure, Role: StandIn, Clipped: true, Points: points})
		if len(s.Edge) > 0 {
			filled = append(filled, Mark{Kind: Line, Ink: Pen, Role: StandIn, Clipped: true, Points: place(s.Edge), Width: min(pen/2, 0.8)})
		}
	}
	// The outlines lie under the insides, so that only the outer half of their line is left
	// and body and limbs are one silhouette.
	d.marks = append(append(d.marks, lines...), filled...)
	at := p.at()
	label := l.camera.Paper((at.u0+at.u1)/2, at.v0)
	label.Y += nameRoom
	if l.byEye { // where the kit's dimensions are close; each on a line of its own
		label = l.camera.Paper((at.u0+at.u1)/2, at.v1)
		label.Y -= 6 + 14*float64(p.i)
	}
	d.write(Mark{Ink: Thin, Role: StandIn, Clipped: true, Text: text.StandIn(p.in.Stature(), d.view.Ratio(), d.view.Sheet.Inches), Size: sizeLabel,
		At: label, Align: Centre, Halo: true})
}

// PersonAt is the stand-in under a point of the paper that can be taken hold of: the nearest
// one whose body is there. Nothing can be taken through the kit that hides it.
func PersonAt(v state.View, s Size, p Point) (i int, ok bool) {
	l := arrange(v, s)
	if !l.field.Holds(p) || v.Sheet.InRow {
		return 0, false
	}
	u, w := l.camera.Print(p)
	_, hidden := At(v, s, p)
	for k := len(l.people) - 1; k >= 0; k-- {
		q := &l.people[k]
		if hidden && l.orderOf(q) == state.BehindAll {
			continue
		}
		for _, shape := range q.shapes {
			if within(shape.Points, u-q.u, w-q.v) {
				return q.i, true
			}
		}
	}
	return 0, false
}

// within reports whether a closed curve goes around a point.
func within(curve []geom.Vec2, x, y float64) bool {
	in := false
	for i, b := range curve {
		a := curve[(i+len(curve)-1)%len(curve)]
		if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}
