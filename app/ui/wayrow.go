package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/state"
	"scantling/app/text"
)

// A wayRow is the head of a way: a mark that is filled for the one in force, its name, and
// the factor that it would give.
type wayRow struct {
	ttwidget.ToolTipWidget
	tap              func()
	name, gives      *caption
	on, hot, focused bool
	ring, dot        *canvas.Circle
	back             *canvas.Rectangle
}

func newWayRow(o state.Offer, tap func()) *wayRow {
	r := &wayRow{tap: tap, ring: canvas.NewCircle(color.Transparent), dot: canvas.NewCircle(color.Transparent),
		back:  canvas.NewRectangle(color.Transparent),
		name:  newCaption(text.WayOf(o.Kind), theme.SizeNameText, theme.ColorNameForeground),
		gives: newCaption("", theme.SizeNameText, theme.ColorNameForeground)}
	r.gives.align = fyne.TextAlignTrailing
	r.ring.StrokeWidth = 1.5
	r.ExtendBaseWidget(r)
	return r
}

func (r *wayRow) show(o state.Offer, on bool) {
	r.gives.set(text.Offered(o))
	r.SetToolTip(text.WayTip(o))
	r.name.bold(on)
	r.gives.bold(on)
	if r.on != on {
		r.on = on
		r.Refresh()
	}
}

func (r *wayRow) Tapped(*fyne.PointEvent) { r.tap() }
func (r *wayRow) TypedRune(rune)          {}
func (r *wayRow) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		r.tap()
	}
}
func (r *wayRow) FocusGained()           { r.focused = true; r.Refresh() }
func (r *wayRow) FocusLost()             { r.focused = false; r.Refresh() }
func (r *wayRow) Cursor() desktop.Cursor { return desktop.PointerCursor }
func (r *wayRow) MouseIn(e *desktop.MouseEvent) {
	r.ToolTipWidget.MouseIn(e)
	r.hot = true
	r.Refresh()
}
func (r *wayRow) MouseOut() {
	r.ToolTipWidget.MouseOut()
	r.hot = false
	r.Refresh()
}

func (r *wayRow) CreateRenderer() fyne.WidgetRenderer {
	l := &wayRowRenderer{r}
	l.Refresh()
	return l
}

type wayRowRenderer struct{ r *wayRow }

func (l *wayRowRenderer) MinSize() fyne.Size { return fyne.NewSize(180, 25) }

func (l *wayRowRenderer) Layout(s fyne.Size) {
	r := l.r
	put := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	}
	put(r.back, 0, 0, s.Width, s.Height)
	put(r.ring, 10, s.Height/2-7, 14, 14)
	put(r.dot, 13.5, s.Height/2-3.5, 7, 7)
	const gives = 160
	put(r.name, 34, 0, s.Width-34-gives, s.Height)
	put(r.gives, s.Width-gives-10, 0, gives, s.Height)
}

func (l *wayRowRenderer) Refresh() {
	r := l.r
	c := colours(r)
	r.ring.StrokeColor = c(theme.ColorNameForeground)
	r.dot.FillColor, r.back.FillColor = color.Transparent, color.Transparent
	if r.on {
		r.dot.FillColor = c(theme.ColorNameForeground)
	}
	switch {
	case r.focused:
		r.back.FillColor = c(theme.ColorNameFocus)
	case r.hot:
		r.back.FillColor = c(theme.ColorNameHover)
	}
	r.back.Refresh()
	r.ring.Refresh()
	r.dot.Refresh()
	r.name.Refresh()
	r.gives.Refresh()
}

func (l *wayRowRenderer) Objects() []fyne.CanvasObject {
	r := l.r
	return []fyne.CanvasObject{r.back, r.ring, r.dot, r.name, r.gives}
}
func (l *wayRowRenderer) Destroy() {}
