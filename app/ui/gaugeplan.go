package ui

import (
	"image"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/sheet"
	"scantling/app/text"
	"scantling/engine/gauge"
)

// A gaugePlan is the step gauge from above; a press on a step reads it.
type gaugePlan struct {
	ttwidget.ToolTipWidget
	w       *Window
	raster  *canvas.Raster
	painter painter
	plan    *sheet.GaugePlan // nil until known
	marked  gauge.Kind
	read    map[gauge.Kind][]float64
	tap     func(gauge.Step)
}

func newGaugePlan(w *Window, tap func(gauge.Step)) *gaugePlan {
	p := &gaugePlan{w: w, tap: tap}
	p.raster = canvas.NewRaster(p.picture)
	p.raster.ScaleMode = canvas.ImageScalePixels
	p.ExtendBaseWidget(p)
	p.SetToolTip(text.GaugePlanTip)
	return p
}

func (p *gaugePlan) size() sheet.Size {
	return sheet.Size{W: float64(p.Size().Width), H: float64(p.Size().Height)}
}

func (p *gaugePlan) picture(w, h int) image.Image {
	size := p.size()
	if size.W <= 0 || size.H <= 0 || w <= 0 || p.plan == nil {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	return p.painter.paint(p.plan.Draw(p.marked, p.read, size), sheet.Rect{}, w, h, float64(w)/size.W, p.w.palette())
}

// draw shows what was read, by strip.
func (p *gaugePlan) draw(read gauge.Readings) {
	p.read = map[gauge.Kind][]float64{}
	for f, v := range read {
		if f.Drawn() == 0 {
			p.read[f.Strip()] = append(p.read[f.Strip()], v)
		}
	}
	for _, sizes := range p.read {
		slices.Sort(sizes)
	}
	p.Refresh()
}

// mark marks the strips of a kind.
func (p *gaugePlan) mark(k gauge.Kind) {
	if p.marked != k {
		p.marked = k
		p.Refresh()
	}
}

// Tapped reads the step under the pointer.
func (p *gaugePlan) Tapped(e *fyne.PointEvent) {
	if p.plan == nil {
		return
	}
	if step, ok := p.plan.Hit(sheet.Point{X: float64(e.Position.X), Y: float64(e.Position.Y)}, p.size()); ok {
		p.tap(step)
	}
}

// Cursor says that it can be pressed.
func (p *gaugePlan) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer shows the picture.
func (p *gaugePlan) CreateRenderer() fyne.WidgetRenderer { return &gaugePlanRenderer{p} }

type gaugePlanRenderer struct{ p *gaugePlan }

func (l *gaugePlanRenderer) Layout(s fyne.Size) { l.p.raster.Resize(s) }
func (l *gaugePlanRenderer) MinSize() fyne.Size { return fyne.NewSize(gaugePlanWidth, 200) }
func (l *gaugePlanRenderer) Refresh()           { l.p.raster.Refresh() }
func (l *gaugePlanRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{l.p.raster}
}
func (l *gaugePlanRenderer) Destroy() {}
