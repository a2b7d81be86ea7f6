package state

// SetSide chooses where the sheet looks from.
func (b *Bench) SetSide(s Side) {
	b.showKit()
	b.view.Sheet.Side = s
	b.view.Sheet.Fit = true
	b.change()
	b.nextSurvey()
}

// SetInRow shows the parts in a row, or assembled.
func (b *Bench) SetInRow(on bool) {
	b.showKit()
	b.view.Sheet.InRow = on
	b.view.Sheet.Fit = true
	b.change()
}

// FitAll lets the zoom follow the kit.
func (b *Bench) FitAll() {
	b.view.Sheet.Fit = true
	b.change()
}

// Fitted tells the bench where the sheet stands while it fits the kit by itself, so that
// ZoomAt and Pan can start from there. Nobody is told of it.
func (b *Bench) Fitted(zoom, panX, panY float64) {
	if zoom > 0 {
		b.fitted.Zoom, b.fitted.PanX, b.fitted.PanY = zoom, panX, panY
	}
}

// Zooms beyond these show nothing: a kit of a kilometre, a hair of a micrometre.
const (
	leastZoom = 1e-4
	mostZoom  = 1e5
)

// ZoomAt multiplies the zoom by by, with the point x, y of the sheet (print mm) staying where
// it is.
func (b *Bench) ZoomAt(x, y, by float64) {
	s := b.unfit()
	zoom := min(max(s.Zoom*by, leastZoom), mostZoom)
	if !(zoom > 0) {
		return
	}
	keep := s.Zoom / zoom
	s.PanX = x + (s.PanX-x)*keep
	s.PanY = y + (s.PanY-y)*keep
	s.Zoom = zoom
	b.change()
}

// Pan moves the middle of the sheet by print millimetres.
func (b *Bench) Pan(dx, dy float64) {
	s := b.unfit()
	s.PanX += dx
	s.PanY += dy
	b.change()
}

// unfit is the sheet, standing where it was while it fitted itself.
func (b *Bench) unfit() *Sheet {
	s := &b.view.Sheet
	if s.Fit {
		s.Fit = false
		s.Zoom, s.PanX, s.PanY = b.fitted.Zoom, b.fitted.PanX, b.fitted.PanY
	}
	return s
}

// ToggleInches switches between metric and inches. Lengths that were typed without a unit
// are written with theirs from then on.
func (b *Bench) ToggleInches() {
	s := &b.view.Sheet
	s.Inches = !s.Inches
	value := ""
	if s.Inches {
		value = "yes"
	}
	b.config.Preferences.SetString(keyInches, value)
	b.nameUnits()
	b.change()
}

// ToggleBed shows or hides the bed's outline.
func (b *Bench) ToggleBed() {
	b.view.Sheet.Bed = !b.view.Sheet.Bed
	b.change()
}

// TogglePose shows how a part lies on the bed, or the kit again.
func (b *Bench) TogglePose() {
	on := !b.view.Sheet.Pose
	b.showKit()
	b.view.Sheet.Pose, b.view.Sheet.Fit = on, true
	b.change()
}
