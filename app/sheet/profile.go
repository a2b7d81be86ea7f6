package sheet

import (
	"scantling/app/state"
	"scantling/app/text"
)

// Profile is a drawing for a record: the parts as the view's sheet has them, assembled or in a
// row, with their dimensions in print and as drawn, the stand-ins, and a scale bar. Nothing in it
// hangs on what the window shows besides: not on zoom, selection, bed or what is measured. Its
// marks lie in Field of the paper.
func Profile(v state.View, s Size) []Mark {
	v.Selected, v.Pointed = "", state.Pointed{}
	v.Sheet = state.Sheet{Side: v.Sheet.Side, InRow: v.Sheet.InRow, Inches: v.Sheet.Inches, StandIns: v.Sheet.StandIns, Fit: true}
	if v.Sheet.InRow {
		v.Sheet.StandIns = []state.StandIn{} // once is enough, beside the whole kit
	}
	d := &drawing{view: v, layout: arrangeIn(v, s, room{below: barRoom, right: bracketRoom}), both: true}
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
	d.drawPeople(state.OverAll, "")
	d.scaleBar()
	return d.marks
}

// figure is a dimension's: in print, and in brackets as drawn where both are asked for.
func (d *drawing) figure(mm float64) string {
	s := text.Bare(mm, d.view.Sheet.Inches)
	if d.both && d.layout.scaled {
		s += " (" + text.Bare(mm/d.layout.factor, d.view.Sheet.Inches) + ")"
	}
	return s
}

// Of the scale bar, device-independent pixels.
const (
	barFar  = 230.0 // it is no longer than this
	barHigh = 5.0
	barRoom = 30.0 // at the foot of the drawing
	// bracketRoom is how much wider a dimension is with what was drawn in brackets.
	bracketRoom = 46.0
)

// scaleBar is a bar of a round length of the print, in four pieces by turns full and empty, and
// what it is in reality, at the lower left.
func (d *drawing) scaleBar() {
	l := d.layout
	if len(l.parts) == 0 {
		return
	}
	inches := d.view.Sheet.Inches
	unit := 1.0
	if inches {
		unit = mmPerInch
	}
	long, _ := divide(barFar/2.5/(l.camera.Zoom*unit), inches) // the next round length is 2.5 times as long at most
	px := long * unit * l.camera.Zoom
	at := Point{l.field.Min.X + edge, l.field.Max.Y - 2*nameRoom}
	for i := range 4 {
		piece := Rect{Point{at.X + px*float64(i)/4, at.Y}, Point{at.X + px*float64(i+1)/4, at.Y + barHigh}}
		if i%2 == 0 {
			d.put(Mark{Kind: Area, Ink: Pen, Role: PrintRuler, Points: piece.corners()})
		}
		d.put(Mark{Kind: Outline, Ink: Pen, Role: PrintRuler, Points: piece.corners(), Width: penThin})
	}
	d.write(Mark{Ink: Pen, Role: PrintRuler, Text: "0", Size: sizeCaption, At: Point{at.X, at.Y - 4}, Align: Centre})
	d.write(Mark{Ink: Pen, Role: PrintRuler, Text: text.ScaleBar(long*unit, l.target, inches), Size: sizeCaption,
		At: Point{at.X + px, at.Y - 4}, Align: Start})
}
