package sheet

import (
	"math"
	"strconv"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
)

// Sizes of the plan of a bed.
const (
	planRim   = 10.0 // around it, device-independent pixels
	planUnder = 20.0 // for what is written under it
	planDisc  = 72   // corners of a round plate
)

// A bedPaper says where millimetres of the plate lie on the paper.
type bedPaper struct {
	scale  float64
	corner Point // the plate's front left corner
}

func bedPaperOf(p *state.BedPlan, s Size) bedPaper {
	w, d := p.Bed.Size[0], p.Bed.Size[1]
	k := min((s.W-2*planRim)/w, (s.H-2*planRim-planUnder)/d)
	return bedPaper{k, Point{(s.W - w*k) / 2, (s.H - planUnder + d*k) / 2}}
}

func (b bedPaper) at(p geom.Vec2) Point {
	return Point{b.corner.X + p[0]*b.scale, b.corner.Y - p[1]*b.scale}
}

func (b bedPaper) rect(low, size geom.Vec2) Rect {
	a, c := b.at(low), b.at(geom.Vec2{low[0] + size[0], low[1] + size[1]})
	return Rect{Point{a.X, c.Y}, Point{c.X, a.Y}}
}

// DrawBed draws the shown bed from above, its front at the bottom: the plate, what is kept free
// along its edge, and every piece by its silhouette and the outline of its hull, numbered as in
// the list of what lies there. The piece of number marked, from 0, is marked; -1 marks none.
func DrawBed(p *state.BedPlan, marked int, inches bool, s Size) []Mark {
	var marks []Mark
	put := func(m Mark) { marks = append(marks, m) }
	put(Mark{Kind: Area, Ink: Blank, Role: Ground, Points: Rect{Max: Point{s.W, s.H}}.corners()})
	if p == nil || p.Bed.Check() != nil {
		return marks
	}
	b := bedPaperOf(p, s)
	if !(b.scale > 0) {
		return marks
	}
	room := p.Bed.Usable()
	plate := b.rect(geom.Vec2{}, geom.Vec2{p.Bed.Size[0], p.Bed.Size[1]})
	free := geom.Vec2{(p.Bed.Size[0] - room[0]) / 2, (p.Bed.Size[1] - room[1]) / 2}
	outer, inner := plate.corners(), b.rect(free, geom.Vec2{room[0], room[1]}).corners()
	if p.Bed.Round {
		outer = b.ring(p, min(p.Bed.Size[0], p.Bed.Size[1]))
		inner = b.ring(p, room[0])
	}
	put(Mark{Kind: Area, Ink: Margin, Role: BedShape, Points: outer})
	put(Mark{Kind: Area, Ink: Blank, Role: BedShape, Points: inner})
	put(Mark{Kind: Outline, Ink: BedLine, Role: BedShape, Width: penOutline, Points: outer})
	if free != (geom.Vec2{}) {
		put(Mark{Kind: Outline, Ink: BedLine, Role: BedShape, Width: penThin, Dashed: true, Points: inner})
	}
	if p.At < len(p.Beds) {
		for i := range p.Beds[p.At] {
			b.piece(put, &p.Beds[p.At][i])
		}
		for i := range p.Beds[p.At] { // names over all shapes
			b.name(put, &p.Beds[p.At][i], i, i == marked)
		}
	}
	put(Mark{Kind: Writing, Ink: Thin, Role: Hint, Size: sizeLabel, Text: text.BedPlanFoot(p, inches),
		At: Point{s.W / 2, s.H - 6}, Align: Centre})
	return marks
}

func (b bedPaper) ring(p *state.BedPlan, diameter float64) []Point {
	ring := make([]Point, planDisc)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / planDisc)
		ring[i] = b.at(geom.Vec2{p.Bed.Size[0]/2 + diameter/2*cos, p.Bed.Size[1]/2 + diameter/2*sin})
	}
	return ring
}

// piece draws the shape of a piece.
func (b bedPaper) piece(put func(Mark), one *state.BedPiece) {
	outline := make([]Point, len(one.Outline))
	for i, at := range one.Outline {
		outline[i] = b.at(at)
	}
	if one.Seen != nil {
		put(Mark{Kind: Picture, Ink: Pen, Role: PartShape, Part: one.ID, Box: b.rect(one.At, one.Size), Shades: one.Seen})
	} else {
		put(Mark{Kind: Area, Ink: Figure, Role: PartShape, Part: one.ID, Points: outline})
	}
	put(Mark{Kind: Outline, Ink: Pen, Role: PartShape, Part: one.ID, Width: penThin, Points: outline})
}

// name writes the number of a piece, with its name where there is room.
func (b bedPaper) name(put func(Mark), one *state.BedPiece, i int, marked bool) {
	box := b.rect(one.At, one.Size)
	m := Mark{Kind: Writing, Ink: Pen, Role: PartName, Part: one.ID, Size: sizeCaption, Align: Centre, Halo: true, Text: strconv.Itoa(i + 1)}
	along, across := box.W(), box.H()
	if across > along && along < 60 {
		along, across, m.Upwards = across, along, true
	}
	const perRune = sizeCaption * 0.6
	if full := m.Text + " " + one.Name; float64(len([]rune(full)))*perRune <= along && across > sizeCaption+4 {
		m.Text = full
	} else {
		m.Upwards = false
	}
	m.At = box.Middle()
	switch {
	case m.Upwards:
		m.At.X += sizeCaption / 3
	case max(box.W(), box.H()) < sizeCaption+2: // beside what it would hide
		m.At, m.Align = Point{box.Max.X + 3, m.At.Y + sizeCaption/3}, Start
	default:
		m.At.Y += sizeCaption / 3
	}
	if marked {
		m.Ink, m.Bold = Selects, true
		put(Mark{Kind: Outline, Ink: Selects, Role: Selection, Part: one.ID, Width: penHeavy, Points: box.grown(2).corners()})
	}
	put(m)
}

// HitBed is the number of the piece at a place of the paper; -1 for none.
func HitBed(p *state.BedPlan, at Point, s Size) int {
	if p == nil || p.Bed.Check() != nil || p.At >= len(p.Beds) {
		return -1
	}
	b := bedPaperOf(p, s)
	for i, one := range p.Beds[p.At] {
		if b.rect(one.At, one.Size).grown(1).Holds(at) {
			return i
		}
	}
	return -1
}
