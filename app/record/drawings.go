package record

import (
	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
)

// The paper of a drawing in device-independent pixels: nearly four of them are a millimetre of a
// page, so that the sheet's writing comes out at 8 points, and two drawings go on a page of either
// size.
const (
	drawingW = 736.0
	drawingH = 408.0
)

// mostBeside is how many parts one drawing shows side by side: more would be too small to read.
const mostBeside = 9

// drawings are the kit from three sides, and its parts side by side.
func (d *draft) drawings() []Block {
	v := d.v
	var drawn []state.Part
	for i, p := range v.Parts {
		p.Name = text.RecordNumbered(i+1, p.Name) // so that one whose name is cut is found in the table
		if p.Ticked && p.State == state.Measured && !p.Box.Empty() {
			drawn = append(drawn, p)
		}
	}
	if len(drawn) == 0 {
		return nil
	}
	var out []Block
	size := v.KitBox.Size()
	for _, side := range []state.Side{state.Front, state.FromSide, state.Top} {
		v.Sheet.Side, v.Sheet.InRow = side, false
		title := text.RecordDrawing(side)
		w, h := extent(size, side, v.PartsUp)
		f := v.Result.Factor.Float()
		out = append(out, d.drawing(v, title, text.RecordDrawn(title, len(drawn), w*f, h*f, f, d.inches)))
	}
	v.Sheet.Side, v.Sheet.InRow = state.Front, true
	for from := 0; from < len(drawn); from += mostBeside {
		to := min(from+mostBeside, len(drawn))
		v.Parts = drawn[from:to]
		title := text.RecordDrawingOf(from+1, to, len(drawn))
		var names []string
		for _, p := range v.Parts {
			names = append(names, p.Name+" "+text.SizeChangeBare(p.Drawn, p.Print, d.inches))
		}
		out = append(out, d.drawing(v, title, text.RecordDrawnRow(title, names)))
	}
	return out
}

func (d *draft) drawing(v state.View, title, says string) Block {
	size := sheet.Size{W: drawingW, H: drawingH}
	return Block{Drawing: &Drawing{title, says, text.RecordBrackets, sheet.Profile(v, size), sheet.Field(size)}}
}

// extent is how wide and how high something is from a side.
func extent(size geom.Vec, side state.Side, up geom.Axis) (w, h float64) {
	right, above := side.Look(up)
	return max(size.Dot(right), -size.Dot(right)), max(size.Dot(above), -size.Dot(above))
}
