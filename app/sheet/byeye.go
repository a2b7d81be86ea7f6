package sheet

import (
	"math"

	"scantling/app/state"
	"scantling/app/text"
)

// A Handle is a corner that scales the kit when it is dragged, and the foot that stays where
// it is meanwhile.
type Handle struct{ At, Foot Point }

// handleReach is how near the pointer must be to a handle, device-independent pixels.
const handleReach = 9.0

// Pulled is what the factor is multiplied by when the handle is dragged to p.
func (h Handle) Pulled(p Point) float64 {
	dx, dy := h.At.X-h.Foot.X, h.At.Y-h.Foot.Y
	by := ((p.X-h.Foot.X)*dx + (p.Y-h.Foot.Y)*dy) / (dx*dx + dy*dy)
	return max(by, 0.01)
}

// HandleAt is the handle under a point of the paper.
func HandleAt(v state.View, s Size, p Point) (Handle, bool) {
	for _, h := range arrange(v, s).handles() {
		if math.Abs(h.At.X-p.X) <= handleReach && math.Abs(h.At.Y-p.Y) <= handleReach {
			return h, true
		}
	}
	return Handle{}, false
}

// handles are the corners of the selected part, or of the kit. They pull about the kit's
// foot, near the stand-ins, or about that of a part that was moved.
func (l *layout) handles() []Handle {
	if !l.byEye || len(l.parts) == 0 {
		return nil
	}
	of, foot := l.kit, l.camera.Paper(l.kit.u0, l.kit.v0)
	if l.selects != nil {
		of = l.selects.at
		if l.selects.moved {
			foot = l.camera.Paper(of.u0, of.v0)
		}
	}
	box := l.camera.rect(of)
	var all []Handle
	for _, p := range []Point{{box.Max.X, box.Min.Y}, box.Min, box.Max} {
		if math.Hypot(p.X-foot.X, p.Y-foot.Y) > 2*handleReach {
			all = append(all, Handle{p, foot})
		}
	}
	return all
}

// moveParts puts the parts that were moved for the eye where they were moved to.
func (l *layout) moveParts(v state.View) {
	if v.KitBox.Empty() {
		return
	}
	a := axesOf(v.Sheet.Side, v.PartsUp)
	foot := state.Foot(v.KitBox, v.PartsUp).Scale(l.factor)
	for i := range l.parts {
		p := &l.parts[i]
		if to, ok := v.Sheet.Moved[p.part.ID]; ok {
			by := foot.Add(to).Sub(state.Foot(p.part.Box, v.PartsUp).Scale(l.factor))
			p.move(by.Dot(a.right), by.Dot(a.above))
			p.moved = true
		}
	}
}

// drawByEye draws the handles, the foot, and what the native ratio would be.
func (d *drawing) drawByEye() {
	all := d.layout.handles()
	if len(all) == 0 {
		return
	}
	put := func(k Kind, ink Ink, width float64, points ...Point) {
		d.put(Mark{Kind: k, Ink: ink, Role: Handles, Clipped: true, Points: points, Width: width})
	}
	f := all[0].Foot
	put(Line, Selects, 1.6, Point{f.X - 7, f.Y}, Point{f.X + 7, f.Y})
	put(Line, Selects, 1.6, Point{f.X, f.Y - 7}, Point{f.X, f.Y + 7})
	for _, h := range all {
		box := Rect{h.At, h.At}.grown(4.5).corners()
		put(Area, Blank, 0, box...)
		put(Outline, Selects, 1.8, box...)
	}
	lines := text.ByEyeLines(d.view)
	for i, s := range lines {
		d.write(Mark{Ink: Selects, Role: Handles, Clipped: true, Text: s, Size: sizeLabel + 1, Bold: i == 0, Halo: true, Align: End,
			At: Point{all[0].At.X + 4, all[0].At.Y - 12 - 15*float64(len(lines)-1-i)}})
	}
}
