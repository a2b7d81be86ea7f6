package sheet

import (
	"math"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/survey"
	"scantling/engine/ways"
)

// Reach of the pointer, device-independent pixels: what lies within snapReach of it holds it;
// of what lies as near as sameSpot the best kind and the nearest to the eye is taken.
const (
	snapReach = 10.0
	sameSpot  = 2.0
)

// An Aim is what the pointer adds to the sheet while it measures: where a click would set a
// point, and which way the measure would be taken.
type Aim struct {
	On    bool
	Pick  state.MeasurePoint
	Along ways.Direction
}

// An axes is how the kit's axes are seen.
type axes struct{ right, above, eye geom.Vec }

func axesOf(side state.Side, up geom.Axis) axes {
	right, above := side.Look(up)
	return axes{right, above, right.Cross(above)}
}

// where is where a kit point of a part lies on the paper.
func (l *layout) where(a axes, of *placed, p geom.Vec) Point {
	u, v := p.Dot(a.right)*l.factor, p.Dot(a.above)*l.factor
	if of != nil {
		u, v = u+of.du, v+of.dv
	}
	return l.camera.Paper(u, v)
}

func (l *layout) byID(id string) *placed {
	for i := range l.parts {
		if l.parts[i].part.ID == id {
			return &l.parts[i]
		}
	}
	return nil
}

// Pick is what a click at p would measure from or to: the best point that lies within reach,
// or the place itself. It is false outside the field, and where something else is
// shown instead of the kit.
//
// Where the parts are not drawn where they belong, both ends of a measure lie on parts that
// were moved alike, so that it is as long as it looks.
func Pick(v state.View, s Size, p Point) (state.MeasurePoint, bool) {
	l := arrange(v, s)
	if !l.field.Holds(p) || !v.Sheet.ShowsKit() {
		return state.MeasurePoint{}, false
	}
	a := axesOf(v.Sheet.Side, v.PartsUp)
	var from *placed
	begun := v.Measure.Begun
	if begun {
		from = l.byID(v.Measure.Ends[0].Part)
	}
	alike := func(q *placed) bool {
		return !begun || from == nil && q.du == 0 && q.dv == 0 || from != nil && q.du == from.du && q.dv == from.dv
	}
	type candidate struct {
		at     state.MeasurePoint
		off    float64
		hidden bool
		depth  float64 // towards the eye
	}
	var best candidate
	found := false
	better := func(c candidate) bool {
		switch {
		case !found:
			return true
		case c.hidden != best.hidden:
			return best.hidden
		case math.Abs(c.off-best.off) > sameSpot:
			return c.off < best.off
		case begun && (c.at.Part == v.Measure.Ends[0].Part) != (best.at.Part == v.Measure.Ends[0].Part):
			return c.at.Part == v.Measure.Ends[0].Part
		case c.at.Snap != best.at.Snap:
			return c.at.Snap > best.at.Snap // a middle is the rarer find
		case c.off != best.off && math.Abs(c.off-best.off) > 0.01:
			return c.off < best.off
		}
		return c.depth > best.depth
	}
	for i := range l.parts {
		q := &l.parts[i]
		if !l.camera.rect(q.at).grown(snapReach).Holds(p) || !alike(q) {
			continue
		}
		for _, snap := range q.part.Snaps {
			at := q.part.Point(snap.At)
			on := l.where(a, q, at)
			off := math.Hypot(on.X-p.X, on.Y-p.Y)
			if off > snapReach {
				continue
			}
			c := candidate{state.MeasurePoint{At: at, Part: q.part.ID, Snap: snapOf(snap.Kind), SD: snap.SD * q.part.Measured.Unit.MM},
				off, false, at.Dot(a.eye) * l.factor}
			c.hidden = l.hides(v, q, on, c.depth)
			if better(c) {
				best, found = c, true
			}
		}
	}
	if found {
		return best.at, true
	}
	return l.free(v, a, from, p), true
}

// snapOf is the state's word for what a part was found to have.
func snapOf(k survey.SnapKind) state.Snap {
	switch k {
	case survey.SnapCentre:
		return state.OnCentre
	case survey.SnapExtreme:
		return state.OnExtreme
	}
	return state.OnVertex
}

// hides reports whether a point of a part, so near to the eye, lies behind another part, as
// far as boxes and silhouettes tell. Nothing hides the selected part.
func (l *layout) hides(v state.View, of *placed, on Point, depth float64) bool {
	if of.part.ID == v.Selected {
		return false
	}
	for i := range l.parts {
		q := &l.parts[i]
		if q == of || q.at.near <= of.at.near || q.at.near <= depth {
			continue
		}
		if box := l.camera.rect(q.at); box.Holds(on) && shaded(q.part, v.Sheet.Side, box, on) {
			return true
		}
	}
	return false
}

// free is the point of the kit under a place of the paper: as deep as the measure's other
// end, or as the middle of the part that is there.
func (l *layout) free(v state.View, a axes, from *placed, p Point) state.MeasurePoint {
	of, depth := from, 0.0
	if v.Measure.Begun {
		depth = v.Measure.Ends[0].At.Dot(a.eye)
	} else {
		if !v.KitBox.Empty() {
			depth = v.KitBox.Centre().Dot(a.eye)
		}
		for i := len(l.parts) - 1; i >= 0; i-- {
			q := &l.parts[i]
			if box := l.camera.rect(q.at); box.Holds(p) && (shaded(q.part, v.Sheet.Side, box, p) || q.part.Silhouettes[v.Sheet.Side] == nil) {
				of, depth = q, q.part.Box.Centre().Dot(a.eye)
				break
			}
		}
	}
	u, w := l.camera.Print(p)
	at := state.MeasurePoint{SD: 1 / (l.camera.Zoom * l.factor)} // a pixel
	if of != nil {
		u, w = u-of.du, w-of.dv
		at.Part = of.part.ID
	}
	at.At = a.right.Scale(u / l.factor).Add(a.above.Scale(w / l.factor)).Add(a.eye.Scale(depth))
	return at
}

// Straighten is the direction that a measure from its first point to another takes when it
// is held to an axis: the one along which it is longer, of those that are seen.
func Straighten(v state.View, to state.MeasurePoint) ways.Direction {
	a := axesOf(v.Sheet.Side, v.PartsUp)
	d := to.At.Sub(v.Measure.Ends[0].At)
	if math.Abs(d.Dot(a.right)) >= math.Abs(d.Dot(a.above)) {
		return along(a.right)
	}
	return along(a.above)
}

// Across and Upright are the directions that are seen as level and as upright.
func Across(v state.View) ways.Direction { return along(axesOf(v.Sheet.Side, v.PartsUp).right) }

// Upright is the direction that is seen as upright.
func Upright(v state.View) ways.Direction { return along(axesOf(v.Sheet.Side, v.PartsUp).above) }

func along(d geom.Vec) ways.Direction {
	switch {
	case d[0] != 0:
		return ways.AlongX
	case d[1] != 0:
		return ways.AlongY
	}
	return ways.AlongZ
}

// drawMeasure draws the measure, the first point of one, and what the pointer would set.
func (d *drawing) drawMeasure(aim Aim) {
	m, l := d.view.Measure, d.layout
	if !d.view.Sheet.ShowsKit() {
		return // the kit is not shown
	}
	a := axesOf(d.view.Sheet.Side, d.view.PartsUp)
	on := func(e state.MeasurePoint) Point { return l.where(a, l.byID(e.Part), e.At) }
	if m.Begun && aim.On {
		m = m.To(aim.Pick, aim.Along)
	}
	switch {
	case m.Begun:
		d.snapMark(m.Ends[0].Snap, on(m.Ends[0]), false)
	case m.Points != (ways.Points{}):
		d.measured(a, m, on(m.Ends[0]), on(m.Ends[1]))
		d.snapMark(m.Ends[0].Snap, on(m.Ends[0]), false)
		d.snapMark(m.Ends[1].Snap, on(m.Ends[1]), d.view.Measure.Begun)
	}
	if aim.On && !d.view.Measure.Begun {
		d.snapMark(aim.Pick.Snap, on(aim.Pick), true)
	}
}

// snapMark shows what a point lies on by a form of its own: a square for a corner, a triangle
// for an outermost point, a circle for a middle, a cross for none. What the pointer would
// set is larger.
func (d *drawing) snapMark(s state.Snap, at Point, live bool) {
	r, pen := 4.0, 1.4
	if live {
		r, pen = 6.5, 1.8
	}
	put := func(kind Kind, points ...Point) {
		for i := range points {
			points[i] = Point{at.X + r*points[i].X, at.Y + r*points[i].Y}
		}
		d.put(Mark{Kind: kind, Ink: Selects, Role: Measuring, Clipped: true, Points: points, Width: pen})
	}
	switch s {
	case state.OnVertex:
		put(Outline, Point{-1, -1}, Point{1, -1}, Point{1, 1}, Point{-1, 1})
	case state.OnExtreme:
		put(Outline, Point{0, -1.3}, Point{1.2, 0.8}, Point{-1.2, 0.8})
	case state.OnCentre:
		ring := make([]Point, 20)
		for i := range ring {
			ring[i].Y, ring[i].X = math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		}
		put(Outline, ring...)
		put(Line, Point{-0.35, 0}, Point{0.35, 0})
		put(Line, Point{0, -0.35}, Point{0, 0.35})
	default:
		put(Line, Point{-1, 0}, Point{1, 0})
		put(Line, Point{0, -1}, Point{0, 1})
	}
}

// measured is the dimension between two points: straight, or level or upright beside them.
func (d *drawing) measured(x axes, m state.Measure, p, q Point) {
	put := func(a, b Point) { d.dimLine(Selects, Measuring, "", a, b) }
	a, b := p, q
	switch m.Points.Along {
	case ways.Free:
	case along(x.right):
		y := max(p.Y, q.Y) + dimOff
		a, b = Point{p.X, y}, Point{q.X, y}
		put(Point{p.X, p.Y + dimGap}, Point{p.X, y + dimPast})
		put(Point{q.X, q.Y + dimGap}, Point{q.X, y + dimPast})
	case along(x.above):
		w := max(p.X, q.X) + dimOff
		a, b = Point{w, p.Y}, Point{w, q.Y}
		put(Point{p.X + dimGap, p.Y}, Point{w + dimPast, p.Y})
		put(Point{q.X + dimGap, q.Y}, Point{w + dimPast, q.Y})
	default: // into the depth: both ends are seen, the length is not
	}
	put(a, b)
	if l := math.Hypot(b.X-a.X, b.Y-a.Y); l > 0 {
		dx, dy := (b.X-a.X)/l, (b.Y-a.Y)/l
		if l < 2*arrowLen+4 { // too short for heads inside
			dx, dy = -dx, -dy
			put(Point{a.X + dx*(arrowLen+6), a.Y + dy*(arrowLen+6)}, a)
			put(Point{b.X - dx*(arrowLen+6), b.Y - dy*(arrowLen+6)}, b)
		}
		d.arrow(Selects, Measuring, "", a, dx, dy)
		d.arrow(Selects, Measuring, "", b, -dx, -dy)
	}
	// The figures stand beside the middle of the line, on its upper right.
	const line = 14.0
	words := text.MeasureLines(d.view, m)
	at := Point{(a.X+b.X)/2 + 10, (a.Y+b.Y)/2 - 8 - line*float64(len(words)-1)}
	short := math.Hypot(b.X-a.X, b.Y-a.Y) < 100
	if short { // beside both ends, so that it covers neither
		at.X = max(a.X, b.X) + 14
	}
	if short || math.Abs(b.Y-a.Y) > math.Abs(b.X-a.X) {
		at.Y = (a.Y+b.Y)/2 + 4 - line*float64(len(words)-1)/2
	}
	// They stay within the field.
	f := d.layout.field
	at.X = max(min(at.X, f.Max.X-130), f.Min.X+6)
	at.Y = max(min(at.Y, f.Max.Y-8-line*float64(len(words)-1)), f.Min.Y+16)
	for i, s := range words {
		size, ink := sizeLabel, Selects
		if i == 0 {
			size = sizeLabel + 1.5
		}
		d.write(Mark{Ink: ink, Role: Measuring, Clipped: true, Text: s, Size: size, Bold: i == 0, Halo: true,
			At: Point{at.X, at.Y + line*float64(i)}})
	}
}
