package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"scantling/app/sheet"
	"scantling/app/state"
)

// An aimer is where the pointer, or the keys, aim while the sheet measures.
type aimer struct {
	at sheet.Point
	on bool
}

// modifiers are the keys that are held down besides.
func (s *sheetView) modifiers() fyne.KeyModifier {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		return d.CurrentKeyModifiers()
	}
	return s.pressed
}

// MouseDown notes the keys that are held with the button.
func (s *sheetView) MouseDown(e *desktop.MouseEvent) { s.pressed = e.Modifier }

// MouseUp has nothing to do: what was held counts for the click that follows.
func (s *sheetView) MouseUp(*desktop.MouseEvent) {}

// MouseIn begins to aim.
func (s *sheetView) MouseIn(e *desktop.MouseEvent) { s.MouseMoved(e) }

// MouseMoved aims.
func (s *sheetView) MouseMoved(e *desktop.MouseEvent) { s.aimAt(s.point(e.Position)) }

// MouseOut stops aiming.
func (s *sheetView) MouseOut() {
	if s.aim.on {
		s.aim.on = false
		s.aimed()
	}
}

// aimAt moves the aim.
func (s *sheetView) aimAt(p sheet.Point) {
	if s.view.Measure.On {
		s.aim = aimer{p, true}
		s.aimed()
	}
}

// aimed shows what the aim is on.
func (s *sheetView) aimed() {
	s.redraw()
	s.w.sheet.tools.says(s.view)
}

// aiming is what a click would measure now.
func (s *sheetView) aiming() sheet.Aim {
	if !s.view.Measure.On || !s.aim.on {
		return sheet.Aim{}
	}
	p, ok := sheet.Pick(s.view, s.size(), s.aim.at)
	if !ok {
		return sheet.Aim{}
	}
	a := sheet.Aim{On: true, Pick: p, Along: s.view.Measure.Along}
	if s.view.Measure.Begun && s.modifiers()&fyne.KeyModifierShift != 0 {
		a.Along = sheet.Straighten(s.view, p)
	}
	return a
}

// setPoint sets an end of a measure where the aim is.
func (s *sheetView) setPoint() {
	a := s.aiming()
	switch {
	case !a.On:
	case s.view.Measure.Begun:
		s.w.bench.MeasureTo(a.Pick, a.Along)
	default:
		s.w.bench.MeasureFrom(a.Pick)
	}
}

// measureKey does what a key does while the sheet measures; it is false for other keys.
func (s *sheetView) measureKey(k fyne.KeyName, far float64) bool {
	move := map[fyne.KeyName]sheet.Point{fyne.KeyLeft: {X: -far}, fyne.KeyRight: {X: far}, fyne.KeyUp: {Y: -far}, fyne.KeyDown: {Y: far}}
	switch k {
	case fyne.KeyLeft, fyne.KeyRight, fyne.KeyUp, fyne.KeyDown:
		at, f := s.aim.at, sheet.Field(s.size())
		if !s.aim.on {
			at = f.Middle()
		}
		s.aimAt(sheet.Point{X: min(max(at.X+move[k].X, f.Min.X), f.Max.X), Y: min(max(at.Y+move[k].Y, f.Min.Y), f.Max.Y)})
	case fyne.KeyReturn, fyne.KeyEnter:
		s.setPoint()
	case fyne.KeyEscape:
		if s.view.Measure.Begun {
			s.w.bench.DropMeasure()
		} else {
			s.w.bench.ClearMeasure()
		}
	default:
		return false
	}
	return true
}

// measure begins to measure, or ends it.
func (w *Window) measure() {
	if w.bench.View().Measure.On {
		w.bench.ClearMeasure()
		return
	}
	w.bench.StartMeasure()
	w.canvas().Focus(w.sheet.view)
}

func measures(v state.View) bool { return v.Measure.On }
