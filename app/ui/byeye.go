package ui

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/engine/geom"
)

// A grip is what the pointer drags.
type grip struct {
	kind   gripKind
	handle sheet.Handle
	off    sheet.Point // from the pointer to the handle
	factor float64     // when the drag began
	person int
	part   string
}

type gripKind uint8

const (
	gripNone gripKind = iota
	gripPaper
	gripHandle
	gripPerson
	gripPart
)

// grab finds what a drag that begins at p takes hold of.
func (s *sheetView) grab(p sheet.Point) grip {
	v, size := s.view, s.size()
	if h, ok := sheet.HandleAt(v, size, p); ok {
		f := v.Result.Factor.Float()
		if f == 0 {
			f = 1
		}
		return grip{kind: gripHandle, handle: h, off: sheet.Point{X: h.At.X - p.X, Y: h.At.Y - p.Y}, factor: f}
	}
	if i, ok := sheet.PersonAt(v, size, p); ok {
		return grip{kind: gripPerson, person: i}
	}
	if id, ok := sheet.At(v, size, p); ok && v.Sheet.ByEye && !v.Sheet.InRow {
		return grip{kind: gripPart, part: id}
	}
	return grip{kind: gripPaper}
}

// Dragged scales the kit by a handle, moves a stand-in, a part by eye, or the drawing.
func (s *sheetView) Dragged(e *fyne.DragEvent) {
	p := s.point(e.Position)
	if s.grip.kind == gripNone {
		s.grip = s.grab(sheet.Point{X: p.X - float64(e.Dragged.DX), Y: p.Y - float64(e.Dragged.DY)})
		if s.grip.kind != gripPaper {
			s.w.bench.Pan(0, 0) // from here on the sheet stays as it is
		}
	}
	b := s.w.bench
	switch s.grip.kind {
	case gripHandle:
		at := sheet.Point{X: p.X + s.grip.off.X, Y: p.Y + s.grip.off.Y}
		b.ScaleByEye(s.grip.factor*s.grip.handle.Pulled(at), s.modifiers()&fyne.KeyModifierShift == 0)
	case gripPerson:
		if target := s.view.Ratio().Float(); target > 0 {
			b.MoveStandIn(s.grip.person, s.along(e.Dragged).Scale(1/target))
		}
	case gripPart:
		b.MovePart(s.grip.part, s.along(e.Dragged))
	default:
		s.pan(e.Dragged.DX, e.Dragged.DY)
	}
}

// DragEnd lets go.
func (s *sheetView) DragEnd() {
	if s.grip.kind == gripHandle {
		s.w.bench.EndDrag()
	}
	s.grip = grip{}
}

// along is a way on the paper along the kit's axes, in print millimetres.
func (s *sheetView) along(d fyne.Delta) geom.Vec {
	zoom := sheet.CameraOf(s.view, s.size()).Zoom
	right, above := s.view.Sheet.Side.Look(s.view.PartsUp)
	return right.Scale(float64(d.DX) / zoom).Sub(above.Scale(float64(d.DY) / zoom))
}

// scale multiplies the factor by eye.
func (s *sheetView) scale(by float64, stick bool) {
	f := s.view.Result.Factor.Float()
	if f == 0 {
		f = 1
	}
	s.w.bench.ScaleByEye(f*by, stick)
}

// TypedShortcut takes arrows with modifiers: by eye they turn the factor, while measuring
// they aim by single pixels.
func (s *sheetView) TypedShortcut(c fyne.Shortcut) {
	k, ok := c.(*desktop.CustomShortcut)
	if !ok {
		return
	}
	if s.view.Measure.On && k.Modifier == fyne.KeyModifierAlt {
		s.measureKey(k.KeyName, 1)
		return
	}
	step := map[fyne.KeyModifier]float64{
		fyne.KeyModifierAlt:                                     1e-2,
		fyne.KeyModifierAlt | fyne.KeyModifierShift:             1e-3,
		fyne.KeyModifierShortcutDefault | fyne.KeyModifierShift: 1e-4,
	}[k.Modifier]
	if step == 0 || !s.view.Sheet.ByEye {
		return
	}
	switch k.KeyName {
	case fyne.KeyUp, fyne.KeyRight:
		s.scale(1+step, false)
	case fyne.KeyDown, fyne.KeyLeft:
		s.scale(1/(1+step), false)
	}
}

// moveKey moves the selected part for viewing; it is false for other keys.
func (s *sheetView) moveKey(k fyne.KeyName) bool {
	const far = 8
	to := map[fyne.KeyName]fyne.Delta{fyne.KeyLeft: {DX: -far}, fyne.KeyRight: {DX: far}, fyne.KeyUp: {DY: -far}, fyne.KeyDown: {DY: far}}[k]
	if to.IsZero() || !s.view.Sheet.ByEye || s.view.Selected == "" || s.modifiers()&fyne.KeyModifierShift == 0 {
		return false
	}
	s.w.bench.Pan(0, 0)
	s.w.bench.MovePart(s.view.Selected, s.along(to))
	return true
}

// wheelByEye turns the factor with the wheel while Ctrl is held; it is false otherwise.
func (s *sheetView) wheelByEye(notches float64) bool {
	if !s.view.Sheet.ByEye || s.modifiers()&fyne.KeyModifierShortcutDefault == 0 {
		return false
	}
	s.scale(math.Pow(1.01, notches), true)
	return true
}

// byEye begins to scale by eye, or ends it.
func (w *Window) byEye() {
	on := !w.bench.View().Sheet.ByEye
	w.bench.SetByEye(on)
	if on {
		w.canvas().Focus(w.sheet.view)
	}
}

func byEye(v state.View) bool { return v.Sheet.ByEye }
