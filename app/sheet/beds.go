package sheet

import (
	"math"
	"strings"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
)

// Distances between beds that lie side by side, device-independent pixels where they fit the paper.
const (
	bedsApart = 24.0
	bedHead   = nameRoom + 3 // over each, for what is written there
	bedFoot   = dimRoom + 14 // under them and right of them, for their dimensions beyond those of a part
)

// laidBeds are the beds that lie on the sheet from above, in the place of the kit.
type laidBeds struct {
	plan    *state.BedPlan
	notes   []string // what is said above them, in lines that fit
	plates  []span   // each, print mm
	size    geom.Vec2
	columns int
	told    bool // a piece of the selected part has its dimensions
}

// arrangeBeds lays the beds side by side on as many lines as let them be largest. Where nothing is
// laid out there is one empty bed, and where no bed is known there is none.
func (l *layout) arrangeBeds(v state.View) {
	b := &laidBeds{plan: v.Beds}
	l.beds = b
	b.notes = wrapped(text.BedsSay(v.Beds, v.Sheet.Inches), l.field.W()-2*edge)
	room := Rect{
		Point{l.field.Min.X + edge, l.field.Min.Y + 10 + float64(len(b.notes))*nameRoom},
		Point{l.field.Max.X - edge, l.field.Max.Y - edge - l.left.below},
	}
	l.camera.middle = l.field.Middle()
	if v.Beds == nil || v.Beds.Bed.Check() != nil {
		l.camera.Zoom = plain
		return
	}
	size := plate(v.Beds.Bed)
	b.size = geom.Vec2{size[0], size[1]}
	n := max(1, len(v.Beds.Beds))
	zoom := 0.0
	for columns := 1; columns <= n; columns++ {
		lines := float64((n + columns - 1) / columns)
		across := room.W() - bedFoot - float64(columns-1)*bedsApart
		down := room.H() - bedFoot - lines*bedHead - (lines-1)*bedsApart/2
		if z := fit(across, down, float64(columns)*b.size[0], lines*b.size[1]); z > zoom {
			zoom, b.columns = z, columns
		}
	}
	step := geom.Vec2{b.size[0] + bedsApart/zoom, b.size[1] + (bedHead+bedsApart/2)/zoom}
	for i := range n {
		u, v := float64(i%b.columns)*step[0], -float64(i/b.columns)*step[1]
		at := span{u, v, u + b.size[0], v + b.size[1], 0}
		if b.plates = append(b.plates, at); i == 0 {
			l.kit = at
		}
		l.kit.u1, l.kit.v0 = max(l.kit.u1, at.u1), min(l.kit.v0, at.v0)
	}
	if !v.Sheet.Fit && v.Sheet.Zoom > 0 {
		l.camera.Zoom, l.camera.PanX, l.camera.PanY = v.Sheet.Zoom, v.Sheet.PanX, v.Sheet.PanY
		return
	}
	l.camera.Zoom = zoom
	l.camera.PanX = (l.kit.u0+l.kit.u1+bedFoot/zoom)/2 - (room.Middle().X-l.camera.middle.X)/zoom
	l.camera.PanY = (l.kit.v0+l.kit.v1+(bedHead-bedFoot)/zoom)/2 + (room.Middle().Y-l.camera.middle.Y)/zoom
}

// wrapped breaks lines between words where they would be wider than room.
func wrapped(lines []string, room float64) []string {
	var out []string
	for _, line := range lines {
		words := strings.Split(line, " ")
		at := words[0]
		for _, word := range words[1:] {
			if longer := at + " " + word; shortened(longer, room) == longer {
				at = longer
				continue
			}
			out, at = append(out, shortened(at, room)), word
		}
		out = append(out, shortened(at, room))
	}
	return out
}

// on is where millimetres of a bed's plate lie on the paper.
func (l *layout) on(bed int, at geom.Vec2) Point {
	p := l.beds.plates[bed]
	return l.camera.Paper(p.u0+at[0], p.v0+at[1])
}

// footprint is where that of a piece lies on the paper.
func (l *layout) footprint(p *state.BedPiece) Rect {
	a, c := l.on(p.Bed, p.Spot.Low), l.on(p.Bed, geom.Vec2{p.Spot.Low[0] + p.Size[0], p.Spot.Low[1] + p.Size[1]})
	return Rect{Point{a.X, c.Y}, Point{c.X, a.Y}}
}

// outline is where points of a bed lie on the paper.
func (l *layout) outline(bed int, points []geom.Vec2) []Point {
	out := make([]Point, len(points))
	for i, at := range points {
		out[i] = l.on(bed, at)
	}
	return out
}

// drawBeds is the sheet with the beds from above.
func (d *drawing) drawBeds() []Mark {
	l, b := d.layout, d.layout.beds
	steps := d.bedSteps()
	d.grid(steps)
	for i := range b.plates {
		if l.camera.rect(b.plates[i]).grown(bedHead + dimRoom).Meets(l.field) {
			d.bedFromAbove(i)
		}
	}
	if len(b.plates) > 0 {
		last := b.columns - 1
		first := (len(b.plates) - 1) / b.columns * b.columns // of the last line
		box := l.camera.rect(b.plates[first])
		d.width("", box, b.size[0], box.Max.Y+bedFoot-dimRoom, Thin)
		box = l.camera.rect(b.plates[last])
		d.height("", box, b.size[1], box.Max.X+bedFoot-dimRoom, Thin)
	}
	d.rulers(steps)
	y := l.field.Min.Y + 20
	if len(b.notes) > 0 { // paper under them: beds may be moved there
		d.put(Mark{Kind: Area, Ink: Blank, Role: Hint, Points: Rect{l.field.Min, Point{l.field.Max.X, y + float64(len(b.notes)-1)*nameRoom + 7}}.corners()})
	}
	for i, s := range b.notes {
		m := Mark{Ink: Thin, Role: Hint, Text: s, Size: sizeLabel, At: Point{l.field.Min.X + 12, y}}
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

// bedSteps are both rulers in print millimetres from the front left corner of the first bed.
func (d *drawing) bedSteps() [2]step {
	s := step{unit: 1, name: text.RulerName(true, d.view.Sheet.Inches)}
	if d.view.Sheet.Inches {
		s.unit = mmPerInch
	}
	s.major, s.minor = divide(62/(d.layout.camera.Zoom*s.unit), d.view.Sheet.Inches)
	return [2]step{s, s}
}

// bedFromAbove draws a bed, its front at the bottom: the plate, what margin and brim leave of it,
// and every piece.
func (d *drawing) bedFromAbove(i int) {
	l, plan := d.layout, d.layout.beds.plan
	whole := l.beds.plates[i]
	box := l.camera.rect(whole)
	inset := func(room geom.Vec) span {
		u, v := (whole.w()-room[0])/2, (whole.h()-room[1])/2
		return span{whole.u0 + u, whole.v0 + v, whole.u1 - u, whole.v1 - v, 0}
	}
	bed := plan.Bed
	usable := inset(bed.Usable())
	shape := func(s span) []Point {
		if bed.Round {
			return circle(l.camera.rect(s))
		}
		return l.camera.rect(s).corners()
	}
	d.put(Mark{Kind: Area, Ink: Margin, Role: BedShape, Clipped: true, Points: shape(whole)})
	d.put(Mark{Kind: Area, Ink: Blank, Role: BedShape, Clipped: true, Points: shape(usable)})
	bed.Brim = 0
	d.bedOutlines(whole, inset(bed.Usable()), usable, bed.Round)
	if i < len(plan.Beds) {
		on := &plan.Beds[i]
		for k := range on.Pieces {
			d.piece(&on.Pieces[k])
		}
		d.namePieces(on.Pieces, box)
	}
	head := text.BedHead(plan, i, d.view.Sheet.Inches, int((box.W()+bedsApart-8)/(sizeLabel*0.5)))
	d.write(Mark{Ink: BedLine, Role: BedShape, Clipped: true, Text: head, Size: sizeLabel, At: Point{box.Min.X, box.Min.Y - 5}, Halo: true})
}

// piece draws a piece by what is seen of it from above or, where it stands otherwise than in its
// file or that is not known yet, by its hull.
func (d *drawing) piece(one *state.BedPiece) {
	l := d.layout
	outline := l.outline(one.Bed, one.Outline)
	if one.Seen != nil {
		d.put(Mark{Kind: Picture, Ink: Pen, Role: PartShape, Clipped: true, Part: one.ID, Box: boundsOf(l.outline(one.Bed, one.Frame[:])), Turn: one.Yaw, Shades: one.Seen})
	} else {
		d.put(Mark{Kind: Area, Ink: Figure, Role: PartShape, Clipped: true, Part: one.ID, Points: outline})
		d.put(Mark{Kind: Outline, Ink: Pen, Role: PartShape, Clipped: true, Part: one.ID, Width: penOutline, Points: outline})
	}
	if brim := l.beds.plan.Bed.Brim; brim > 0 {
		d.put(Mark{Kind: Outline, Ink: Thin, Role: PartShape, Clipped: true, Part: one.ID, Width: penThin, Dashed: true, Points: l.outline(one.Bed, around(one.Outline, brim))})
	}
}

// boundsOf is the upright rectangle around points.
func boundsOf(points []Point) Rect {
	r := Rect{Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}}
	for _, p := range points {
		r.Min = Point{min(r.Min.X, p.X), min(r.Min.Y, p.Y)}
		r.Max = Point{max(r.Max.X, p.X), max(r.Max.Y, p.Y)}
	}
	return r
}

// mostNamed bounds how many pieces of a bed have their names put where nothing else is.
const mostNamed = 400

// namePieces writes the names of the pieces of a bed: on them or, where they are too small for
// that, beside them where nothing else lies. What finds no room has its name when it is selected,
// or the drawing is larger. The pieces of the selected part are marked, and the
// first of all is dimensioned.
func (d *drawing) namePieces(pieces []state.BedPiece, plate Rect) {
	l := d.layout
	taken := make([]Rect, len(pieces))
	for i := range pieces {
		taken[i] = l.footprint(&pieces[i])
	}
	free := func(r Rect, but int) bool {
		if !(plate.Holds(r.Min) && plate.Holds(r.Max)) || len(pieces) > mostNamed {
			return false
		}
		for i, t := range taken {
			if i != but && r.Meets(t) {
				return false
			}
		}
		return true
	}
	var selected []int
	for i := range pieces {
		one := &pieces[i]
		if one.ID == d.view.Selected && one.ID != "" {
			selected = append(selected, i)
		}
		if !taken[i].Meets(l.field) {
			continue
		}
		m := Mark{Ink: Pen, Role: PartName, Clipped: true, Part: one.ID, Size: sizeCaption, Halo: true, Text: one.Name}
		if where, ok := besides(&m, taken[i], func(r Rect) bool { return free(r, i) }); ok && one.ID != d.view.Selected {
			taken = append(taken, where)
			d.write(m)
		}
	}
	for _, i := range selected {
		one, box := &pieces[i], taken[i]
		d.put(Mark{Kind: Outline, Ink: Selects, Role: Selection, Clipped: true, Part: one.ID, Width: penHeavy,
			Points: l.outline(one.Bed, around(one.Outline, 2/l.camera.Zoom))})
		if !l.beds.told {
			l.beds.told = true
			d.width(one.ID, box, one.Size[0], box.Max.Y, Selects)
			d.height(one.ID, box, one.Size[1], box.Max.X, Selects)
		}
		m := Mark{Ink: Selects, Role: Selection, Clipped: true, Part: one.ID, Size: sizeCaption, Halo: true, Bold: true, Text: text.PieceName(one)}
		if _, ok := besides(&m, box, func(r Rect) bool { return free(r, i) }); !ok {
			m.Upwards, m.Align, m.At = false, Centre, Point{box.Middle().X, box.Min.Y - 5}
		}
		d.write(m)
	}
}

// besides places a name in the box of what it names, along it or upright, or else beside it where
// that is free, and gives the room that it takes. It is false where there is none.
func besides(m *Mark, box Rect, free func(Rect) bool) (Rect, bool) {
	const perRune, high, off = sizeCaption * 0.58, sizeCaption + 2, 3.0
	long := float64(len([]rune(m.Text)))*perRune + 4
	mid := box.Middle()
	m.Align, m.At = Centre, Point{mid.X, mid.Y + sizeCaption/3}
	switch {
	case long <= box.W() && high <= box.H():
		return Rect{}, true
	case long <= box.H() && high <= box.W():
		m.Upwards, m.At = true, Point{mid.X + sizeCaption/3, mid.Y}
		return Rect{}, true
	}
	for _, at := range []struct {
		r     Rect
		align Align
		x, y  float64
	}{
		{Rect{Point{box.Max.X + off, mid.Y - high/2}, Point{box.Max.X + off + long, mid.Y + high/2}}, Start, box.Max.X + off, mid.Y + sizeCaption/3},
		{Rect{Point{box.Min.X - off - long, mid.Y - high/2}, Point{box.Min.X - off, mid.Y + high/2}}, End, box.Min.X - off, mid.Y + sizeCaption/3},
		{Rect{Point{mid.X - long/2, box.Max.Y + off}, Point{mid.X + long/2, box.Max.Y + off + high}}, Centre, mid.X, box.Max.Y + off + sizeCaption},
		{Rect{Point{mid.X - long/2, box.Min.Y - off - high}, Point{mid.X + long/2, box.Min.Y - off}}, Centre, mid.X, box.Min.Y - off - 2},
	} {
		if free(at.r) {
			m.Align, m.At = at.align, Point{at.x, at.y}
			return at.r, true
		}
	}
	return Rect{}, false
}

// pieceAt is the part of which a piece lies at a point of the paper: the one whose outline is there
// or, since small ones are hard to hit, whose rectangle is.
func (l *layout) pieceAt(p Point) (part string, ok bool) {
	for i, plate := range l.beds.plates {
		if i >= len(l.beds.plan.Beds) || !l.camera.rect(plate).Holds(p) {
			continue
		}
		for k := range l.beds.plan.Beds[i].Pieces {
			one := &l.beds.plan.Beds[i].Pieces[k]
			if !l.footprint(one).grown(1).Holds(p) {
				continue
			}
			if inside(l.outline(i, one.Outline), p) {
				return one.ID, true
			}
			if !ok {
				part, ok = one.ID, true
			}
		}
	}
	return part, ok
}

// inside reports whether a point lies in a closed polyline.
func inside(points []Point, p Point) bool {
	in := false
	for i, a := range points {
		b := points[(i+1)%len(points)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}
