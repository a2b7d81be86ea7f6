package ui

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/sheet"
	"scantling/app/text"
)

// A plotView shows measured ratios as bars on an axis of ratios.
type plotView struct {
	ttwidget.ToolTipWidget
	w       *Window
	raster  *canvas.Raster
	rim     *canvas.Rectangle
	painter painter
	shown   sheet.Plotted
	focused bool
}

func newPlot(w *Window) *plotView {
	p := &plotView{}
	p.begin(w)
	p.ExtendBaseWidget(p)
	return p
}

func (p *plotView) begin(w *Window) {
	p.w, p.rim = w, canvas.NewRectangle(color.Transparent)
	p.raster = canvas.NewRaster(p.picture)
	p.raster.ScaleMode = canvas.ImageScalePixels
}

// A plotButton is a plot that is shown larger when it is pressed.
type plotButton struct {
	plotView
	tap func() // shows it larger
}

func newPlotButton(w *Window, tap func()) *plotButton {
	p := &plotButton{tap: tap}
	p.begin(w)
	p.ExtendBaseWidget(p)
	p.SetToolTip(text.PlotTip)
	return p
}

// Tapped shows it larger.
func (p *plotButton) Tapped(*fyne.PointEvent) { p.tap() }

// Cursor says that it can be clicked.
func (p *plotButton) Cursor() desktop.Cursor { return desktop.PointerCursor }

// TypedRune takes nothing.
func (p *plotButton) TypedRune(rune) {}

// TypedKey shows it larger, too.
func (p *plotButton) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		p.tap()
	}
}

// FocusGained shows the rim.
func (p *plotButton) FocusGained() { p.focused = true; p.Refresh() }

// FocusLost takes it away.
func (p *plotButton) FocusLost() { p.focused = false; p.Refresh() }

// picture paints the few marks at once.
func (p *plotView) picture(w, h int) image.Image {
	size := sheet.Size{W: float64(p.Size().Width), H: float64(p.Size().Height)}
	if size.W <= 0 || size.H <= 0 || w <= 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	return p.painter.paint(sheet.Plot(p.shown, size), sheet.Rect{}, w, h, float64(w)/size.W, p.w.palette())
}

func (p *plotView) draw(what sheet.Plotted) {
	p.shown = what
	p.Refresh()
}

// CreateRenderer shows the picture.
func (p *plotView) CreateRenderer() fyne.WidgetRenderer { return &plotRenderer{p} }

type plotRenderer struct{ p *plotView }

func (l *plotRenderer) Layout(s fyne.Size) {
	l.p.raster.Resize(s)
	l.p.rim.Resize(s)
}
func (l *plotRenderer) MinSize() fyne.Size {
	return fyne.NewSize(160, float32(sheet.PlotHeight(l.p.shown)))
}
func (l *plotRenderer) Refresh() {
	l.p.rim.StrokeWidth, l.p.rim.StrokeColor = 1, colours(l.p)(theme.ColorNameInputBorder)
	if l.p.focused {
		l.p.rim.StrokeWidth, l.p.rim.StrokeColor = 2, colours(l.p)(theme.ColorNamePrimary)
	}
	l.p.rim.Refresh()
	l.p.raster.Refresh()
}
func (l *plotRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{l.p.raster, l.p.rim}
}
func (l *plotRenderer) Destroy() {}
