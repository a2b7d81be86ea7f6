package ui

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
)

// A slidingRule sets the factor by hand: its scale is dragged past a fixed index.
type slidingRule struct {
	ttwidget.ToolTipWidget
	w       *Window
	raster  *canvas.Raster
	rim     *canvas.Rectangle
	painter painter
	factor  float64
	held    float64 // where the drag stands, unrounded; 0 when there is none
	focused bool
}

func newRule(w *Window) *slidingRule {
	r := &slidingRule{w: w, rim: canvas.NewRectangle(color.Transparent)}
	r.raster = canvas.NewRaster(r.picture)
	r.raster.ScaleMode = canvas.ImageScalePixels
	r.ExtendBaseWidget(r)
	r.SetToolTip(text.RuleTip)
	return r
}

// picture paints the few marks at once.
func (r *slidingRule) picture(w, h int) image.Image {
	size := sheet.Size{W: float64(r.Size().Width), H: float64(r.Size().Height)}
	if size.W <= 0 || w <= 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	return r.painter.paint(sheet.Rule(r.factor, size), sheet.Rect{}, w, h, float64(w)/size.W, r.w.palette())
}

func (r *slidingRule) draw(v state.View) {
	if f := v.Result.Factor.Float(); f != r.factor {
		r.factor = f
		r.raster.Refresh()
	}
}

// turn multiplies the factor.
func (r *slidingRule) turn(by float64) {
	from := r.held
	if from == 0 {
		from = r.factor
	}
	if from == 0 {
		from = 1
	}
	r.held = from * by
	r.w.bench.DragFactor(r.held)
}

// Dragged moves the scale: to the right brings smaller factors to the index.
func (r *slidingRule) Dragged(e *fyne.DragEvent) {
	r.turn(math.Pow(10, -float64(e.Dragged.DX)/sheet.RuleDecade))
}

// DragEnd makes the next drag a step of its own.
func (r *slidingRule) DragEnd() {
	r.held = 0
	r.w.bench.EndDrag()
}

// Scrolled turns by a hundredth a notch.
func (r *slidingRule) Scrolled(e *fyne.ScrollEvent) {
	r.turn(math.Pow(1.01, float64(e.Scrolled.DY)/25))
	r.held = 0
}

// Tapped brings the keyboard here.
func (r *slidingRule) Tapped(*fyne.PointEvent) { r.w.canvas().Focus(r) }

// Cursor says that it moves sideways.
func (r *slidingRule) Cursor() desktop.Cursor { return desktop.HResizeCursor }

// TypedRune takes nothing.
func (r *slidingRule) TypedRune(rune) {}

// TypedKey turns by half a hundredth, or by a twentieth.
func (r *slidingRule) TypedKey(k *fyne.KeyEvent) {
	by := map[fyne.KeyName]float64{fyne.KeyLeft: 1 / 1.005, fyne.KeyDown: 1 / 1.005, fyne.KeyRight: 1.005, fyne.KeyUp: 1.005,
		fyne.KeyPageDown: 1 / 1.05, fyne.KeyPageUp: 1.05}[k.Name]
	if by != 0 {
		r.turn(by)
		r.held = 0
	}
}

// FocusGained shows the rim.
func (r *slidingRule) FocusGained() { r.focused = true; r.Refresh() }

// FocusLost ends what the keys began.
func (r *slidingRule) FocusLost() {
	r.focused = false
	r.w.bench.EndDrag()
	r.Refresh()
}

// CreateRenderer shows the scale, and the rim while the keyboard is here.
func (r *slidingRule) CreateRenderer() fyne.WidgetRenderer { return &ruleRenderer{r} }

type ruleRenderer struct{ r *slidingRule }

func (l *ruleRenderer) Layout(s fyne.Size) {
	l.r.raster.Resize(s)
	l.r.rim.Resize(s)
}
func (l *ruleRenderer) MinSize() fyne.Size { return fyne.NewSize(160, 36) }
func (l *ruleRenderer) Refresh() {
	l.r.rim.StrokeWidth = 0
	if l.r.focused {
		l.r.rim.StrokeWidth = 2
		l.r.rim.StrokeColor = colours(l.r)(theme.ColorNamePrimary)
	}
	l.r.rim.Refresh()
	l.r.raster.Refresh()
}
func (l *ruleRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{l.r.raster, l.r.rim}
}
func (l *ruleRenderer) Destroy() {}
