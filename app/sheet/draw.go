package sheet

import (
	"unicode"
	"unicode/utf8"

	"scantling/app/state"
	"scantling/app/text"
)

// Heights of writing and widths of pens, device-independent pixels.
const (
	sizeLabel   = 11.5
	sizeCaption = 9.5
	sizeTitle   = 15.0
	penOutline  = 1.3
	penThin     = 0.8
	penHeavy    = 2.4
	selOff      = 8.0 // from the brackets of the selected part to its upper dimension
)

// A drawing is under way.
type drawing struct {
	view   state.View
	layout *layout
	marks  []Mark
	noted  float64 // how far down the field's upper left corner is taken
	both   bool    // dimensions say how long it was drawn, too
}

// Draw is the sheet for a view, on paper of size s: the marks in the order in which they are
// to be put down.
func Draw(v state.View, s Size) []Mark { return DrawAimed(v, s, Aim{}) }

// DrawAimed is the sheet while the pointer aims at something to measure.
func DrawAimed(v state.View, s Size, aim Aim) []Mark {
	d := &drawing{view: v, layout: arrange(v, s)}
	if d.layout.field.W() < 40 || d.layout.field.H() < 40 {
		return nil
	}
	switch {
	case d.layout.posed != nil:
		return d.drawPose()
	case d.layout.beds != nil:
		return d.drawBeds()
	}
	d.marks = make([]Mark, 0, 256+8*len(d.layout.parts))
	steps := d.rulerSteps()
	d.grid(steps)
	d.drawBed()
	d.groundLine()
	d.drawPeople(state.BehindAll, "")
	for i := range d.layout.parts {
		d.drawPart(&d.layout.parts[i])
		d.drawPeople(state.OverPart, d.layout.parts[i].part.ID)
	}
	if v.Sheet.InRow {
		for i := range d.layout.parts {
			d.noteRow(&d.layout.parts[i])
		}
	} else {
		d.overall()
	}
	d.bedLabel()
	d.drawSelection()
	d.drawPeople(state.OverAll, "")
	d.drawFound()
	d.drawByEye()
	d.drawMeasure(aim)
	d.rulers(steps)
	d.titleBlock()
	d.thicknessLegend()
	d.hints()
	f := d.layout.field
	d.put(Mark{Kind: Outline, Ink: Pen, Role: Ground, Points: f.corners(), Width: 1})
	return d.marks
}

func (d *drawing) put(m Mark) { d.marks = append(d.marks, m) }

func (d *drawing) write(m Mark) {
	m.Kind = Writing
	d.put(m)
}

func (d *drawing) line(ink Ink, role Role, width float64, a, b Point) {
	d.put(Mark{Kind: Line, Ink: ink, Role: role, Clipped: true, Width: width, Points: []Point{a, b}})
}

// groundLine is what the parts and the stand-in stand on, where they are seen standing.
func (d *drawing) groundLine() {
	l := d.layout
	if d.view.Sheet.Side == state.Top || d.view.Sheet.InRow || len(l.parts) == 0 {
		return
	}
	y := l.camera.Paper(0, l.kit.v0).Y
	d.line(Thin, Ground, penThin, Point{l.field.Min.X, y}, Point{l.field.Max.X, y})
}

// drawPart is the part's silhouette or, until it is known, the outline of its box.
func (d *drawing) drawPart(p *placed) {
	box := d.layout.camera.rect(p.at)
	if !box.Meets(d.layout.field) {
		return
	}
	if shades := p.part.Silhouettes[d.view.Sheet.Side]; shades != nil && p.part.Ticked {
		d.put(Mark{Kind: Picture, Ink: Pen, Role: PartShape, Clipped: true, Part: p.part.ID, Box: box, Shades: shades})
		d.drawThickness(p, box)
		return
	}
	d.put(Mark{Kind: Outline, Ink: Pen, Role: PartShape, Clipped: true, Part: p.part.ID,
		Points: box.corners(), Width: penOutline, Dashed: !p.part.Ticked})
}

// noteRow writes a part's name under it and its dimensions beside it.
func (d *drawing) noteRow(p *placed) {
	box := d.layout.camera.rect(p.at)
	if !box.grown(dimRoom + 2*nameRoom).Meets(d.layout.field) {
		return
	}
	if p.dims {
		d.width(p.part.ID, box, p.at.w(), box.Max.Y, Thin)
		d.height(p.part.ID, box, p.at.h(), box.Max.X, Thin)
	}
	// Nothing is written over a neighbour's name: what does not fit its cell is cut.
	if room := max(box.W(), p.cell) + p.pad - 8; p.names && p.part.ID != d.view.Selected && room > 30 {
		name := p.part.Name
		if p.part.Quantity > 1 {
			name += "  " + text.Quantity(p.part.Quantity)
		}
		y := box.Max.Y + nameRoom
		if p.dims {
			y += dimRoom - 4
		}
		d.write(Mark{Ink: Pen, Role: PartName, Clipped: true, Part: p.part.ID, Text: shortened(name, room),
			Size: sizeLabel, At: Point{box.Middle().X, y}, Align: Centre})
	}
}

// shortened cuts writing that would be wider than room, as far as its letters tell.
func shortened(s string, room float64) string {
	const mean = sizeLabel * 0.56 // width of a letter in the window's fonts
	wide, keep := 0.0, 0          // of what was seen, and how many bytes of it fit beside the sign
	for i, r := range s {
		if i == 0 || wide+mean <= room {
			keep = i
		}
		if unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul) {
			wide += sizeLabel // they fill a square
		} else {
			wide += mean
		}
	}
	if wide <= room {
		return s
	}
	if _, first := utf8.DecodeRuneInString(s); keep < first {
		keep = first
	}
	return s[:keep] + "…"
}

// overall dimensions the assembled kit.
func (d *drawing) overall() {
	if len(d.layout.parts) == 0 {
		return
	}
	box := d.layout.camera.rect(d.layout.kit)
	d.width("", box, d.layout.kit.w(), box.Max.Y, Thin)
	d.height("", box, d.layout.kit.h(), box.Max.X, Thin)
}

// drawSelection brackets the selected part, names it and dimensions it. Where the parts are
// assembled it is drawn once more over those that hide it.
func (d *drawing) drawSelection() {
	p := d.layout.selects
	if p == nil {
		return
	}
	if !d.view.Sheet.InRow {
		d.drawPart(p)
	}
	box := d.layout.camera.rect(p.at)
	frame := box.grown(5)
	arm := min(14, max(5, min(frame.W(), frame.H())/3))
	for _, c := range []struct{ at, to Point }{
		{frame.Min, Point{1, 1}}, {Point{frame.Max.X, frame.Min.Y}, Point{-1, 1}},
		{frame.Max, Point{-1, -1}}, {Point{frame.Min.X, frame.Max.Y}, Point{1, -1}},
	} {
		d.put(Mark{Kind: Line, Ink: Selects, Role: Selection, Clipped: true, Part: p.part.ID, Width: penHeavy,
			Points: []Point{{c.at.X + arm*c.to.X, c.at.Y}, c.at, {c.at.X, c.at.Y + arm*c.to.Y}}})
	}
	name := p.part.Name
	if p.part.Quantity > 1 {
		name += "  " + text.Quantity(p.part.Quantity)
	}
	// Above the upper dimension, which it may be wider than.
	at := Point{box.Middle().X, frame.Min.Y - selOff - nameRoom}
	if d.view.Sheet.InRow {
		if p.dims {
			at.Y = box.Max.Y + nameRoom + dimRoom - 4
		} else {
			at.Y = frame.Max.Y + nameRoom
		}
	} else {
		// Its dimensions stand on the sides where the kit's do not.
		d.width(p.part.ID, box, p.at.w(), frame.Min.Y-selOff, Selects)
		d.height(p.part.ID, box, p.at.h(), frame.Min.X, Selects)
	}
	d.write(Mark{Ink: Selects, Role: Selection, Clipped: true, Part: p.part.ID, Text: name, Size: sizeLabel,
		At: at, Align: Centre, Bold: true, Halo: true})
}

// hints say what to do on an empty sheet and what a sheet cannot show yet.
func (d *drawing) hints() {
	l := d.layout
	f := l.field
	m := Point{f.Middle().X, f.Min.Y + (f.H()-blockH)/2}
	if len(l.parts) == 0 {
		for i, s := range text.EmptySheet(len(d.view.Parts) > 0) {
			size, ink := 14.0, Thin
			if i == 0 {
				size, ink = 18, Pen
			}
			d.write(Mark{Ink: ink, Role: Hint, Text: s, Size: size, At: Point{m.X, m.Y + float64(i)*24}, Align: Centre})
		}
		return
	}
	y := f.Min.Y + d.noted + 20
	moved := 0
	for i := range l.parts {
		if l.parts[i].moved {
			moved++
		}
	}
	if s := text.MovedNote(moved); s != "" { // at the foot, where nothing else is written
		d.write(Mark{Ink: Selects, Role: Hint, Text: s, Size: sizeLabel, At: Point{f.Min.X + 12, f.Max.Y - 10}, Halo: true})
	}
	for _, s := range text.SheetNotes(l.scaled, l.target > 0) {
		d.write(Mark{Ink: Thin, Role: Hint, Text: shortened(s, f.W()-2*edge), Size: sizeLabel, At: Point{f.Min.X + 12, y}, Halo: true})
		y += nameRoom
	}
}
