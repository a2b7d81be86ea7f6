package sheet

import (
	"cmp"
	"math"
	"slices"

	"scantling/app/state"
)

// A Size is that of the paper in device-independent pixels.
type Size struct{ W, H float64 }

// Widths of what surrounds the drawing, device-independent pixels.
const (
	rulerTop   = 26.0
	rulerLeft  = 46.0
	blockW     = 316.0
	blockH     = 74.0
	edge       = 20.0 // kept free inside the field
	dimRoom    = 30.0 // one dimension line with its figures
	nameRoom   = 17.0 // a line of writing
	figureRoom = 96.0 // what is written under the stand-in needs this width
	plain      = 4.0  // zoom where there is nothing to fit
)

// Field is where the drawing lies, inside the rulers.
func Field(s Size) Rect {
	return Rect{Point{rulerLeft, rulerTop}, Point{max(s.W-1, rulerLeft), max(s.H-1, rulerTop)}}
}

// A Camera says where print millimetres lie on the paper.
type Camera struct {
	Zoom       float64 // device-independent pixels a print millimetre
	PanX, PanY float64 // print mm at the middle of the field
	middle     Point
}

// Paper is where the point u, v lies on the paper.
func (c Camera) Paper(u, v float64) Point {
	return Point{c.middle.X + (u-c.PanX)*c.Zoom, c.middle.Y - (v-c.PanY)*c.Zoom}
}

// Print is the point of the drawing that lies at p, in print millimetres.
func (c Camera) Print(p Point) (u, v float64) {
	return c.PanX + (p.X-c.middle.X)/c.Zoom, c.PanY - (p.Y-c.middle.Y)/c.Zoom
}

func (c Camera) rect(s span) Rect {
	a, b := c.Paper(s.u0, s.v1), c.Paper(s.u1, s.v0)
	return Rect{a, b}
}

// CameraOf is the camera through which v is drawn on a paper of size s.
func CameraOf(v state.View, s Size) Camera { return arrange(v, s).camera }

// A placed part lies somewhere in the drawing.
type placed struct {
	part  *state.Part
	at    span // print mm
	du    float64
	dv    float64 // from where it belongs, print mm
	moved bool    // for the eye
	dims  bool    // there is room for its own dimensions
	names bool
	pad   float64 // pixels to its neighbour where the row fits
	cell  float64 // pixels that it has at least
}

// move moves a part from where it belongs.
func (p *placed) move(du, dv float64) {
	p.at = p.at.moved(du, dv)
	p.du, p.dv = p.du+du, p.dv+dv
}

// A layout is where everything lies.
type layout struct {
	size    Size
	field   Rect
	camera  Camera
	factor  float64 // print mm per drawn mm; 1 when there is none
	scaled  bool    // there is a factor
	target  float64 // print over real; 0 when not known
	parts   []placed
	kit     span // all parts together, where they belong; in a row, where they lie
	people  []person
	byEye   bool
	bed     span      // whole bed, without extent when not shown
	inside  span      // bed inside its margin
	room    span      // bed inside margin and brim
	posed   *posed    // a part in its pose is shown instead of all that
	beds    *laidBeds // or the beds with what lies on them
	selects *placed
	spaced  spacing // of a row
	left    room
}

// arrange places everything for a view and a paper. Distances between the things are chosen
// in pixels for the zoom that fits, and then are print millimetres, so that zooming moves
// nothing against anything else.
func arrange(v state.View, s Size) *layout { return arrangeIn(v, s, room{below: blockH}) }

// A room is what a drawing leaves besides its dimensions, device-independent pixels.
type room struct {
	below float64 // at its foot
	right float64 // of each part in a row, for longer figures
}

// arrangeIn is arrange with another room left.
func arrangeIn(v state.View, s Size, left room) *layout {
	l := &layout{size: s, field: Field(s), factor: 1, left: left}
	if f := v.Result.Factor.Float(); f > 0 {
		l.factor, l.scaled = f, true
	}
	l.target = v.Ratio().Float()
	switch {
	case v.Sheet.Pose:
		l.arrangePose(v)
		return l
	case v.Sheet.Beds:
		l.arrangeBeds(v)
		return l
	}
	l.byEye = v.Sheet.ByEye && !v.Sheet.InRow
	l.people = peopleOf(v, l.target)
	for i := range v.Parts {
		p := &v.Parts[i]
		if p.State != state.Measured || p.Box.Empty() || !(p.Ticked || p.ID == v.Selected) {
			continue
		}
		l.parts = append(l.parts, placed{part: p, at: seen(p.Box.Scale(l.factor), v.Sheet.Side, v.PartsUp)})
	}
	room := Rect{
		Point{l.field.Min.X + edge, l.field.Min.Y + edge},
		Point{l.field.Max.X - edge, l.field.Max.Y - edge - left.below},
	}
	var zoom float64
	if v.Sheet.InRow {
		zoom = l.inRows(room, v)
	} else {
		zoom = l.assembled(room, v)
	}
	for i := range l.parts {
		if l.parts[i].part.ID == v.Selected {
			l.selects = &l.parts[i]
		}
	}
	l.layBed(v)
	l.aim(v, room, zoom)
	return l
}

// assembled leaves every part where it was drawn, the far ones first, but those that were
// moved for viewing.
func (l *layout) assembled(room Rect, v state.View) float64 {
	slices.SortStableFunc(l.parts, func(a, b placed) int { return cmp.Compare(a.at.near, b.at.near) })
	l.kit = l.union()
	if l.byEye {
		l.moveParts(v)
	}
	all := l.union()
	w, h := all.w(), all.h()
	availW, availH := room.W()-dimRoom, room.H()-dimRoom-nameRoom
	if len(l.people) > 0 {
		availW -= edge
	}
	zoom := fit(availW, availH, w, h)
	if _, high := l.crowd(1); l.worthFitting(high) {
		zoom = l.fitCrowd(availW, availH, w, h)
	}
	if bedW, bedH := bedExtent(v); bedW > 0 {
		zoom = min(zoom, fit(availW, availH, bedW, bedH))
	}
	if math.IsInf(zoom, 0) {
		zoom = plain
	}
	ground := l.kit.v0
	if v.Sheet.Side == state.Top {
		ground = (l.kit.v0 + l.kit.v1) / 2
	}
	gap := edge / zoom
	if l.byEye && len(l.people) > 0 {
		gap = l.people[0].tall / 10
	}
	l.stand(v, l.kit.u0-gap, ground, zoom)
	return zoom
}

// worthFitting is false for people who would leave next to nothing of the kit.
func (l *layout) worthFitting(high float64) bool {
	return high > 0 && (len(l.parts) == 0 || high <= 12*max(l.kit.w(), l.kit.h()))
}

// A spacing is what a row leaves around its parts, device-independent pixels.
type spacing struct {
	right, below float64 // between neighbours, and under a line of them
	least        float64 // width that a part takes at least, for its name
	mean         float64 // mean extent of a part that makes this spacing worth while
}

// spacings, from the one with room for names and dimensions to the one with room for nothing.
func spacings() []spacing {
	return []spacing{
		{dimRoom + 32, dimRoom + nameRoom + 14, 40, 16},
		{12, nameRoom + 10, 64, 8},
		{4, 4, 0, 0},
	}
}

// inRows lays the parts side by side, in the order of the list and on as many lines as let
// them be largest, each with room for its name and its dimensions if there is any.
func (l *layout) inRows(room Rect, v state.View) float64 {
	zoom, s := plain, spacings()[0]
	for _, s = range spacings() {
		if s.right > dimRoom {
			s.right += l.left.right
		}
		zoom = l.largest(room, s)
		mean := 0.0
		for _, p := range l.parts {
			mean += max(p.at.w(), p.at.h()) * zoom / float64(len(l.parts))
		}
		if mean >= s.mean {
			break
		}
	}
	l.shelve(room.W(), zoom, s, func(p *placed, u, up float64) {
		if p == nil {
			if w, h := l.crowd(zoom); v.Sheet.Side == state.Top {
				l.stand(v, u+w/2, up+h/2, zoom)
			} else {
				l.stand(v, u+w/2, up, zoom)
			}
			return
		}
		p.move(u-p.at.u0, up-p.at.v0)
		p.dims, p.names, p.pad, p.cell = s.below > dimRoom, s.below > nameRoom, min(s.right, dimRoom+32), s.least
	})
	l.kit, l.spaced = l.union(), s
	return zoom
}

// largest is the zoom at which the parts just fit the room on lines, to a thousandth.
func (l *layout) largest(room Rect, s spacing) float64 {
	most := 0.0
	for i := range l.people {
		most += l.people[i].box.w()
	}
	for _, p := range l.parts {
		most = max(most, p.at.w())
	}
	low, high := 0.0, fit(room.W()-s.right, math.Inf(1), most, 0)
	if math.IsInf(high, 0) {
		return plain // nothing, or nothing with an extent
	}
	for range 40 {
		mid := (low + high) / 2
		if l.shelve(room.W(), mid, s, func(*placed, float64, float64) {}) <= room.H() {
			low = mid
		} else {
			high = mid
		}
		if high-low < high/1000 {
			break
		}
	}
	if low == 0 {
		return high // there is no room at all
	}
	return low
}

// shelve fills lines of a width with the parts and gives the height that they take, both in
// pixels. put is told where each part's lower left corner comes to, in print millimetres;
// the stand-ins, which come first, are the nil part, told by their middle.
func (l *layout) shelve(width, zoom float64, s spacing, put func(p *placed, u, v float64)) float64 {
	type cell struct {
		part *placed // nil for the stand-ins
		x    float64
	}
	var line []cell
	x, y, high := 0.0, 0.0, 0.0
	end := func() {
		y += high
		for _, c := range line {
			put(c.part, c.x/zoom, -y/zoom)
		}
		if len(line) > 0 && line[0].part == nil {
			y += max(s.below, nameRoom+4) // what is written under the stand-in
		} else {
			y += s.below
		}
		line, x, high = line[:0], 0, 0
	}
	if w, h := l.crowd(zoom); h > 0 {
		line = append(line, cell{nil, w * zoom / 2})
		x, high = w*zoom+edge, h*zoom
	}
	for i := range l.parts {
		p := &l.parts[i]
		w := max(p.at.w()*zoom, s.least)
		if len(line) > 0 && x+w+s.right > width {
			end()
		}
		// A part narrower than its cell stands in the cell's middle.
		line = append(line, cell{p, x + (w-p.at.w()*zoom)/2})
		x, high = x+w+s.right, max(high, p.at.h()*zoom)
	}
	end()
	return y
}

func (l *layout) union() span {
	if len(l.parts) == 0 {
		return span{}
	}
	u := l.parts[0].at
	for _, p := range l.parts[1:] {
		u.u0, u.v0 = min(u.u0, p.at.u0), min(u.v0, p.at.v0)
		u.u1, u.v1 = max(u.u1, p.at.u1), max(u.v1, p.at.v1)
	}
	return u
}

// aim points the camera: at everything while it fits, else where the maker has put it.
func (l *layout) aim(v state.View, room Rect, zoom float64) {
	l.camera.middle = l.field.Middle()
	if !v.Sheet.Fit && v.Sheet.Zoom > 0 {
		l.camera.Zoom, l.camera.PanX, l.camera.PanY = v.Sheet.Zoom, v.Sheet.PanX, v.Sheet.PanY
		return
	}
	all := l.union()
	if _, high := l.crowd(zoom); l.worthFitting(high) {
		for i := range l.people {
			at := l.people[i].at()
			if len(l.parts) == 0 && i == 0 {
				all = at
			}
			all.u0, all.v0 = min(all.u0, at.u0), min(all.v0, at.v0)
			all.u1, all.v1 = max(all.u1, at.u1), max(all.v1, at.v1)
			// The writing under it may be wider than the figure.
			all.u0 = min(all.u0, (at.u0+at.u1)/2-figureRoom/2/zoom)
		}
	}
	if l.bed.w() > 0 {
		all.u0, all.v0 = min(all.u0, l.bed.u0), min(all.v0, l.bed.v0)
		all.u1, all.v1 = max(all.u1, l.bed.u1), max(all.v1, l.bed.v1)
		zoom = min(zoom, fit(room.W()-dimRoom, room.H()-dimRoom-nameRoom, all.w(), all.h()))
	}
	// The things' own middle comes to the middle of the room above the title block, with the
	// dimensions under and right of them counted in.
	m := room.Middle()
	right, below := dimRoom, dimRoom+nameRoom
	if v.Sheet.InRow {
		right, below = l.spaced.right, l.spaced.below
	}
	l.camera.Zoom = zoom
	l.camera.PanX = (all.u0+all.u1+right/zoom)/2 - (m.X-l.camera.middle.X)/zoom
	l.camera.PanY = (all.v0+all.v1-below/zoom)/2 + (m.Y-l.camera.middle.Y)/zoom
}

// fit is the zoom at which w by h just fits the room; 1 where there is nothing to fit.
func fit(roomW, roomH, w, h float64) float64 {
	z := math.Inf(1)
	if w > 0 {
		z = max(roomW, 0) / w
	}
	if h > 0 {
		z = min(z, max(roomH, 0)/h)
	}
	if z == 0 {
		return 1e-9
	}
	return z
}
