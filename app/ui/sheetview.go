package ui

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
)

// A sheetView shows the sheet: one picture that is painted aside, the newest finished one
// always in view. The wheel zooms at the pointer, dragging moves, a click selects.
type sheetView struct {
	widget.BaseWidget
	w       *Window
	raster  *canvas.Raster
	rim     *canvas.Rectangle // shows the keyboard's focus
	view    state.View
	painter painter
	pixels  image.Point // what the screen asked for last
	frame   *image.RGBA // what was painted last
	busy    bool        // a picture is being painted
	again   bool        // and already out of date
	focused bool
	aim     aimer
	grip    grip
	pressed fyne.KeyModifier // with the mouse's button
}

func newSheetView(w *Window) *sheetView {
	s := &sheetView{w: w, rim: canvas.NewRectangle(color.Transparent)}
	if !w.env.Here { // looking through the computer's fonts takes its time, and they differ
		s.painter.letters.lacking = &systemFonts{}
	}
	s.raster = canvas.NewRaster(s.picture)
	s.raster.ScaleMode = canvas.ImageScalePixels
	s.ExtendBaseWidget(s)
	return s
}

// size is the paper in the sheet's units.
func (s *sheetView) size() sheet.Size {
	return sheet.Size{W: float64(s.Size().Width), H: float64(s.Size().Height)}
}

// picture is called while the window is painted, so it only hands out what is finished.
func (s *sheetView) picture(w, h int) image.Image {
	if s.pixels != image.Pt(w, h) {
		s.pixels = image.Pt(w, h)
		s.redraw()
	}
	if s.frame == nil {
		return image.NewUniform(s.w.palette().inks[sheet.Blank])
	}
	return s.frame
}

func (s *sheetView) draw(v state.View) {
	s.view = v
	s.redraw()
}

// redraw paints a new picture; calls while one is being painted melt into one.
func (s *sheetView) redraw() {
	size := s.size()
	if size.W <= 0 || size.H <= 0 {
		return
	}
	if s.view.Sheet.Fit {
		c := sheet.CameraOf(s.view, size)
		s.w.bench.Fitted(c.Zoom, c.PanX, c.PanY)
	}
	if s.pixels.X <= 0 || s.pixels.Y <= 0 {
		return // not on the screen yet
	}
	if s.busy {
		s.again = true
		return
	}
	view, pixels, colours, aim := s.view, s.pixels, s.w.palette(), s.aiming()
	paint := func() *image.RGBA {
		return s.painter.paint(sheet.DrawAimed(view, size, aim), sheet.Field(size), pixels.X, pixels.Y, float64(pixels.X)/size.W, colours)
	}
	if s.w.env.Here {
		s.frame = paint()
		s.raster.Refresh()
		return
	}
	s.busy = true
	go func() {
		img := paint()
		s.w.env.Post(func() {
			s.frame, s.busy = img, false
			s.raster.Refresh()
			if s.again {
				s.again = false
				s.redraw()
			}
		})
	}()
}

// Resize lets the drawing follow.
func (s *sheetView) Resize(size fyne.Size) {
	s.BaseWidget.Resize(size)
	s.redraw()
}

// MinSize is small: the sheet takes what the panes leave.
func (s *sheetView) MinSize() fyne.Size { return fyne.NewSize(240, 180) }

func (s *sheetView) point(p fyne.Position) sheet.Point {
	return sheet.Point{X: float64(p.X), Y: float64(p.Y)}
}

// notch is the zoom of one notch of the wheel or one key.
const notch = 1.2

// Scrolled zooms at the pointer, or turns the factor by eye.
func (s *sheetView) Scrolled(e *fyne.ScrollEvent) {
	const perNotch = 25 // what the toolkit reports for one notch
	notches := float64(e.Scrolled.DY) / perNotch
	if !s.wheelByEye(notches) {
		s.zoomAt(s.point(e.Position), math.Pow(notch, notches))
	}
}

func (s *sheetView) zoomAt(p sheet.Point, by float64) {
	u, v := sheet.CameraOf(s.view, s.size()).Print(p)
	s.w.bench.ZoomAt(u, v, by)
}

// zoom zooms about the middle.
func (s *sheetView) zoom(by float64) { s.zoomAt(sheet.Field(s.size()).Middle(), by) }

// pan moves the drawing by pixels.
func (s *sheetView) pan(dx, dy float32) {
	zoom := sheet.CameraOf(s.view, s.size()).Zoom
	s.w.bench.Pan(-float64(dx)/zoom, float64(dy)/zoom)
}

// Tapped selects what lies under the pointer, or sets an end of a measure there.
func (s *sheetView) Tapped(e *fyne.PointEvent) {
	s.w.canvas().Focus(s)
	if s.view.Measure.On {
		s.aim = aimer{s.point(e.Position), true}
		s.setPoint()
		return
	}
	if s.view.Sheet.Pose {
		return
	}
	id, _ := sheet.At(s.view, s.size(), s.point(e.Position))
	s.w.bench.Select(id)
}

// TappedSecondary shows what can be done with the sheet.
func (s *sheetView) TappedSecondary(e *fyne.PointEvent) {
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", s.w.items(
		text.FitAll, text.ZoomIn, text.ZoomOut, "", text.LookFront, text.LookSide, text.LookTop, "",
		text.Assembled, text.InRow, text.ShowBeds, "", text.UseInches, text.ShowBed, text.ShowThickness, "", text.MeasureTool, text.ByEyeTool, text.StandInTool, text.PutBack)...), s.w.canvas(), e.AbsolutePosition)
}

// Cursor is a cross, as on a drawing board.
func (s *sheetView) Cursor() desktop.Cursor { return desktop.CrosshairCursor }

// FocusGained and FocusLost show and hide the rim.
func (s *sheetView) FocusGained() { s.focused = true; s.Refresh() }

// FocusLost hides the rim, and ends what the keys began.
func (s *sheetView) FocusLost() {
	s.focused = false
	if s.view.Sheet.ByEye {
		s.w.bench.EndDrag()
	}
	s.Refresh()
}

// TypedRune zooms with + and -, and takes up the tools.
func (s *sheetView) TypedRune(r rune) {
	switch r {
	case 'm', 'M':
		s.w.run(s.w.byID[text.MeasureTool])
	case 'e', 'E':
		s.w.run(s.w.byID[text.ByEyeTool])
	case 'f', 'F':
		s.w.run(s.w.byID[text.StandInTool])
	case 'b', 'B':
		s.w.run(s.w.byID[text.ShowBeds])
	case 't', 'T':
		s.w.run(s.w.byID[text.ShowThickness])
	case '+', '=':
		s.zoom(notch)
	case '-', '−':
		s.zoom(1 / notch)
	}
}

// TypedKey moves with the arrows, steps through the parts and fits.
func (s *sheetView) TypedKey(k *fyne.KeyEvent) {
	const far = 40
	if s.view.Measure.On && s.measureKey(k.Name, far/5) || s.moveKey(k.Name) {
		return
	}
	switch k.Name {
	case fyne.KeyLeft:
		s.pan(far, 0)
	case fyne.KeyRight:
		s.pan(-far, 0)
	case fyne.KeyUp:
		s.pan(0, far)
	case fyne.KeyDown:
		s.pan(0, -far)
	case fyne.KeyHome:
		s.w.bench.FitAll()
	case fyne.KeyPageDown:
		s.step(1)
	case fyne.KeyPageUp:
		s.step(-1)
	case fyne.KeyEscape:
		s.w.bench.Select("")
	}
}

// step selects the next part, or the one before.
func (s *sheetView) step(by int) {
	parts := s.view.Parts
	if len(parts) == 0 {
		return
	}
	at := -1
	for i := range parts {
		if parts[i].ID == s.view.Selected {
			at = i
		}
	}
	if at < 0 && by < 0 {
		at = 0
	}
	s.w.bench.Select(parts[(at+by+len(parts))%len(parts)].ID)
}

// CreateRenderer shows the picture, and the rim while the keyboard is here.
func (s *sheetView) CreateRenderer() fyne.WidgetRenderer {
	r := &sheetRenderer{s}
	r.Refresh()
	return r
}

type sheetRenderer struct{ s *sheetView }

func (r *sheetRenderer) Layout(size fyne.Size) {
	r.s.raster.Resize(size)
	r.s.rim.Resize(size)
}
func (r *sheetRenderer) MinSize() fyne.Size { return r.s.MinSize() }
func (r *sheetRenderer) Refresh() {
	r.s.rim.FillColor = color.Transparent
	r.s.rim.StrokeWidth = 0
	if r.s.focused {
		r.s.rim.StrokeWidth = 2
		r.s.rim.StrokeColor = colours(r.s)(theme.ColorNamePrimary)
	}
	r.s.rim.Refresh()
	r.s.redraw() // the look may be another
	r.s.raster.Refresh()
}
func (r *sheetRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.s.raster, r.s.rim}
}
func (r *sheetRenderer) Destroy() {}

// A sheetPane is the middle pane: the sheet and its switches.
type sheetPane struct {
	root  fyne.CanvasObject
	view  *sheetView
	sides [3]*toggle
	ways  [3]*toggle // assembled, in a row, on beds
	fit   *toggle
	inch  *toggle
	bed   *toggle
	tools *toolStrip
}

func newSheetPane(w *Window) *sheetPane {
	p := &sheetPane{view: newSheetView(w)}
	for i, a := range []text.Action{text.LookFront, text.LookSide, text.LookTop} {
		p.sides[i] = w.toggle(a)
	}
	p.ways = [3]*toggle{w.toggle(text.Assembled), w.toggle(text.InRow), w.toggle(text.ShowBeds)}
	p.fit, p.inch, p.bed = w.toggle(text.FitAll), w.toggle(text.UseInches), w.toggle(text.ShowBed)
	p.inch.label = text.LabelInches
	p.tools = newToolStrip(w)
	gap := func() fyne.CanvasObject { return space(10) }
	bar := container.New(layout.NewCustomPaddedHBoxLayout(0),
		p.sides[0], p.sides[1], p.sides[2], gap(), p.ways[0], p.ways[1], p.ways[2], gap(),
		p.fit, layout.NewSpacer(), p.bed, p.inch)
	p.root = newFrame(container.New(padded{6, 4, 6, 4}, container.NewHScroll(bar)), p.view, p.tools.root)
	return p
}

func (p *sheetPane) draw(v state.View) {
	for i, t := range p.sides {
		t.set(int(v.Sheet.Side) == i && v.Sheet.ShowsKit())
	}
	p.ways[0].set(!v.Sheet.InRow && v.Sheet.ShowsKit())
	p.ways[1].set(v.Sheet.InRow && v.Sheet.ShowsKit())
	p.ways[2].set(v.Sheet.Beds)
	p.fit.set(v.Sheet.Fit)
	p.inch.set(v.Sheet.Inches)
	p.bed.set(v.Sheet.Bed)
	p.view.draw(v)
	p.tools.draw(v)
}
