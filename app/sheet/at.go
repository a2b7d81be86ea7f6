package sheet

import "scantling/app/state"

// near is how far off a part a click may land, device-independent pixels.
const near = 4.0

// At is the part under a point of the paper: the foremost one whose silhouette is there, else
// the smallest one whose box is. It is false where there is none, and outside the field.
func At(v state.View, s Size, p Point) (part string, ok bool) {
	l := arrange(v, s)
	if !l.field.Holds(p) {
		return "", false
	}
	if l.beds != nil {
		return l.pieceAt(p)
	}
	for i := len(l.parts) - 1; i >= 0; i-- {
		if box := l.camera.rect(l.parts[i].at); box.Holds(p) && shaded(l.parts[i].part, v.Sheet.Side, box, p) {
			return l.parts[i].part.ID, true
		}
	}
	area := 0.0
	for i := range l.parts {
		box := l.camera.rect(l.parts[i].at)
		if a := (box.W() + near) * (box.H() + near); box.grown(near).Holds(p) && (!ok || a < area) {
			part, area, ok = l.parts[i].part.ID, a, true
		}
	}
	return part, ok
}

// shaded reports whether a part's silhouette, stretched over box, covers p.
func shaded(part *state.Part, side state.Side, box Rect, p Point) bool {
	m := part.Silhouettes[side]
	if m == nil || box.W() <= 0 || box.H() <= 0 {
		return false
	}
	b := m.Bounds()
	x := b.Min.X + int((p.X-box.Min.X)/box.W()*float64(b.Dx()))
	y := b.Min.Y + int((p.Y-box.Min.Y)/box.H()*float64(b.Dy()))
	return m.NRGBAAt(min(x, b.Max.X-1), min(y, b.Max.Y-1)).A > 127
}
