package ui

import (
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
)

// A ladderPlot shows between which ratios the kit prints, and takes the rung that is clicked as
// the target.
type ladderPlot struct {
	ttwidget.ToolTipWidget
	w       *Window
	raster  *canvas.Raster
	painter painter
	view    state.View
	over    int // the rung under the pointer; -1: none
}

func newLadderPlot(w *Window) *ladderPlot {
	p := &ladderPlot{w: w, over: -1}
	p.raster = canvas.NewRaster(p.picture)
	p.raster.ScaleMode = canvas.ImageScalePixels
	p.ExtendBaseWidget(p)
	return p
}

func (p *ladderPlot) size() sheet.Size {
	return sheet.Size{W: float64(p.Size().Width), H: float64(p.Size().Height)}
}

func (p *ladderPlot) picture(w, h int) image.Image {
	size := p.size()
	if size.W <= 0 || size.H <= 0 || w <= 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	marks, _ := sheet.LadderPlot(p.view, size)
	return p.painter.paint(marks, sheet.Rect{}, w, h, float64(w)/size.W, p.w.palette())
}

func (p *ladderPlot) draw(v state.View) {
	p.view = v
	p.tell()
	p.Refresh()
}

// tell says what the rung under the pointer is like, or between which ratios the kit prints.
func (p *ladderPlot) tell() {
	j := p.view.Judged
	if p.over >= 0 && p.over < len(j.Ladder) {
		p.SetToolTip(text.StandingTip(j.Ladder[p.over]) + text.PartAtRung(p.view, j.Ladder[p.over]))
		return
	}
	p.SetToolTip(text.PrintsBetween(p.view))
}

// at is the rung near a place; -1 for none.
func (p *ladderPlot) at(x float32) int {
	const reach = 9
	_, spots := sheet.LadderPlot(p.view, p.size())
	best, off := -1, float64(reach)
	for _, s := range spots {
		if d := math.Abs(s.X - float64(x)); d < off {
			best, off = s.Rung, d
		}
	}
	return best
}

// Tapped makes the rung under the pointer the target.
func (p *ladderPlot) Tapped(e *fyne.PointEvent) {
	if i := p.at(e.Position.X); i >= 0 {
		p.w.bench.ChooseRung(i)
	}
}

// MouseIn tells of the rung where the pointer comes in.
func (p *ladderPlot) MouseIn(e *desktop.MouseEvent) {
	p.over = p.at(e.Position.X)
	p.tell()
	p.ToolTipWidget.MouseIn(e)
}

// MouseMoved tells of the rung under the pointer. A tooltip that was asked for keeps its words,
// so that another rung has one of its own.
func (p *ladderPlot) MouseMoved(e *desktop.MouseEvent) {
	if p.at(e.Position.X) == p.over {
		p.ToolTipWidget.MouseMoved(e)
		return
	}
	p.MouseOut()
	p.MouseIn(e)
}

// Cursor says that it can be clicked.
func (p *ladderPlot) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer shows the picture.
func (p *ladderPlot) CreateRenderer() fyne.WidgetRenderer { return &ladderPlotRenderer{p} }

type ladderPlotRenderer struct{ p *ladderPlot }

func (l *ladderPlotRenderer) Layout(s fyne.Size) { l.p.raster.Resize(s) }
func (l *ladderPlotRenderer) MinSize() fyne.Size { return fyne.NewSize(160, sheet.LadderHeight) }
func (l *ladderPlotRenderer) Refresh()           { l.p.raster.Refresh() }
func (l *ladderPlotRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{l.p.raster}
}
func (l *ladderPlotRenderer) Destroy() {}
