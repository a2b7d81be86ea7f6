package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"
)

// A pressButton is a button that Return presses as well as Space, and that Escape leaves.
type pressButton struct {
	ttwidget.Button
	onEscape func()
}

func newPress(label string, tap func()) *pressButton {
	b := &pressButton{}
	b.Text, b.OnTapped = label, tap
	b.ExtendBaseWidget(b)
	return b
}

// Tapped does what it is for. Its tooltip does not stay over what that opens.
func (b *pressButton) Tapped(e *fyne.PointEvent) {
	b.MouseOut()
	b.Button.Tapped(e)
}

func (b *pressButton) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		b.Tapped(nil)
	case fyne.KeyEscape:
		if b.onEscape != nil {
			b.onEscape()
		}
	default:
		b.Button.TypedKey(e)
	}
}

// A tippedEntry is an entry with a tooltip that Escape and Return can leave.
type tippedEntry struct {
	widget.Entry
	ttwidget.ToolTipWidgetExtend
	onEscape func()
	onFocus  func()
	onBlur   func()
}

func newEntry() *tippedEntry {
	e := &tippedEntry{}
	e.ExtendBaseWidget(e)
	return e
}

func (e *tippedEntry) ExtendBaseWidget(w fyne.Widget) {
	e.ExtendToolTipWidget(w)
	e.Entry.ExtendBaseWidget(w)
}

func (e *tippedEntry) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape && e.onEscape != nil {
		e.onEscape()
		return
	}
	e.Entry.TypedKey(k)
}

// AcceptsTab is false in a field of several lines, too: Tab goes on to the next field.
func (e *tippedEntry) AcceptsTab() bool { return false }

func (e *tippedEntry) FocusGained() {
	e.Entry.FocusGained()
	if e.onFocus != nil {
		e.onFocus()
	}
}

func (e *tippedEntry) FocusLost() {
	e.Entry.FocusLost()
	if e.onBlur != nil {
		e.onBlur()
	}
}

func (e *tippedEntry) selectAll() { e.TypedShortcut(&fyne.ShortcutSelectAll{}) }

// show sets the text without telling anybody, unless it is there already.
func (e *tippedEntry) show(s string) {
	if e.Text == s {
		return
	}
	told := e.OnChanged
	e.OnChanged = nil
	e.SetText(s)
	e.OnChanged = told
}

// A toggle is a flat button that is on or off: when on it is bold and carries a bar.
type toggle struct {
	ttwidget.ToolTipWidget
	label            string
	tap              func()
	on, hot, focused bool
}

func newToggle(label, tip string, tap func()) *toggle {
	t := &toggle{label: label, tap: tap}
	t.ExtendBaseWidget(t)
	t.SetToolTip(tip)
	return t
}

func (t *toggle) set(on bool) {
	if t.on != on {
		t.on = on
		t.Refresh()
	}
}

func (t *toggle) Tapped(*fyne.PointEvent) { t.tap() }
func (t *toggle) TypedRune(rune)          {}
func (t *toggle) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		t.tap()
	}
}
func (t *toggle) FocusGained()           { t.focused = true; t.Refresh() }
func (t *toggle) FocusLost()             { t.focused = false; t.Refresh() }
func (t *toggle) Cursor() desktop.Cursor { return desktop.PointerCursor }
func (t *toggle) MouseIn(e *desktop.MouseEvent) {
	t.ToolTipWidget.MouseIn(e)
	t.hot = true
	t.Refresh()
}
func (t *toggle) MouseOut() {
	t.ToolTipWidget.MouseOut()
	t.hot = false
	t.Refresh()
}

func (t *toggle) CreateRenderer() fyne.WidgetRenderer {
	r := &toggleRenderer{t: t, back: canvas.NewRectangle(color.Transparent), bar: canvas.NewRectangle(color.Transparent),
		label: canvas.NewText(t.label, color.Black)}
	r.label.Alignment = fyne.TextAlignCenter
	r.Refresh()
	return r
}

type toggleRenderer struct {
	t         *toggle
	back, bar *canvas.Rectangle
	label     *canvas.Text
}

func (r *toggleRenderer) Layout(s fyne.Size) {
	r.back.Resize(s)
	r.bar.Resize(fyne.NewSize(s.Width, 2.5))
	r.bar.Move(fyne.NewPos(0, s.Height-2.5))
	r.label.Resize(s)
}

func (r *toggleRenderer) MinSize() fyne.Size {
	s := fyne.MeasureText(r.t.label, r.t.Theme().Size(theme.SizeNameText), fyne.TextStyle{Bold: true})
	return fyne.NewSize(s.Width+18, 30)
}

func (r *toggleRenderer) Refresh() {
	c := colours(r.t)
	r.label.Text, r.label.TextSize = r.t.label, r.t.Theme().Size(theme.SizeNameText)
	r.label.Color = c(theme.ColorNameForeground)
	r.label.TextStyle.Bold = r.t.on
	r.bar.FillColor, r.back.FillColor = color.Transparent, color.Transparent
	if r.t.on {
		r.bar.FillColor = c(theme.ColorNamePrimary)
		r.back.FillColor = c(theme.ColorNameSelection)
	} else if r.t.hot {
		r.back.FillColor = c(theme.ColorNameHover)
	}
	if r.t.focused {
		r.back.FillColor = c(theme.ColorNameFocus)
	}
	r.back.Refresh()
	r.bar.Refresh()
	r.label.Refresh()
}

func (r *toggleRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.back, r.bar, r.label}
}
func (r *toggleRenderer) Destroy() {}

// colours gives a widget's colours by name, in the look of the moment.
func colours(w fyne.Widget) func(fyne.ThemeColorName) color.Color {
	th := theme.CurrentForWidget(w)
	v := fyne.CurrentApp().Settings().ThemeVariant()
	return func(n fyne.ThemeColorName) color.Color { return th.Color(n, v) }
}

// A caption is a line of plain text that is cut with an ellipsis where it does not fit, and
// takes its colour from the look.
type caption struct {
	widget.BaseWidget
	full   string
	colour fyne.ThemeColorName
	size   fyne.ThemeSizeName
	style  fyne.TextStyle
	align  fyne.TextAlign
	tight  bool // asks for no width
}

func newCaption(s string, size fyne.ThemeSizeName, colour fyne.ThemeColorName) *caption {
	c := &caption{full: s, size: size, colour: colour}
	c.ExtendBaseWidget(c)
	return c
}

func (c *caption) set(s string) {
	if c.full != s {
		c.full = s
		c.Refresh()
	}
}

// A tippedCaption is a caption with a tooltip. Only few are: it takes the pointer's hover
// away from the row that it is in.
type tippedCaption struct {
	caption
	ttwidget.ToolTipWidgetExtend
}

func newTippedCaption(size fyne.ThemeSizeName, colour fyne.ThemeColorName) *tippedCaption {
	c := &tippedCaption{caption: caption{size: size, colour: colour, tight: true}}
	c.ExtendBaseWidget(c)
	return c
}

func (c *tippedCaption) ExtendBaseWidget(w fyne.Widget) {
	c.ExtendToolTipWidget(w)
	c.caption.ExtendBaseWidget(w)
}

// tell sets the text, which the tooltip shows in full.
func (c *tippedCaption) tell(s string) {
	c.set(s)
	c.SetToolTip(s)
}

// paint sets the colour.
func (c *caption) paint(n fyne.ThemeColorName) {
	if c.colour != n {
		c.colour = n
		c.Refresh()
	}
}

func (c *caption) bold(on bool) {
	if c.style.Bold != on {
		c.style.Bold = on
		c.Refresh()
	}
}

func (c *caption) CreateRenderer() fyne.WidgetRenderer {
	r := &captionRenderer{c: c, text: canvas.NewText("", color.Black)}
	r.Refresh()
	return r
}

type captionRenderer struct {
	c    *caption
	text *canvas.Text
}

func (r *captionRenderer) Layout(s fyne.Size) {
	r.text.Text = cutShort(r.c.full, s.Width, r.text.TextSize, r.c.style)
	h := r.text.MinSize().Height
	r.text.Move(fyne.NewPos(0, (s.Height-h)/2))
	r.text.Resize(fyne.NewSize(s.Width, h))
}

func (r *captionRenderer) MinSize() fyne.Size {
	s := fyne.MeasureText(r.c.full, r.c.Theme().Size(r.c.size), r.c.style)
	if r.c.tight {
		s.Width = 0
	}
	return s
}

func (r *captionRenderer) Refresh() {
	r.text.TextSize = r.c.Theme().Size(r.c.size)
	r.text.TextStyle, r.text.Alignment = r.c.style, r.c.align
	r.text.Color = colours(r.c)(r.c.colour)
	r.Layout(r.c.Size())
	r.text.Refresh()
}

func (r *captionRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.text} }
func (r *captionRenderer) Destroy()                     {}

// cutShort is s, or as much of its beginning as fits the width, and an ellipsis.
func cutShort(s string, width, size float32, style fyne.TextStyle) string {
	if width <= 0 || fyne.MeasureText(s, size, style).Width <= width+0.5 {
		return s
	}
	r := []rune(s)
	low, high := 0, len(r)
	for low < high {
		mid := (low + high + 1) / 2
		if fyne.MeasureText(string(r[:mid])+"…", size, style).Width <= width {
			low = mid
		} else {
			high = mid - 1
		}
	}
	return string(r[:low]) + "…"
}

// columns lays objects side by side in columns of fixed widths; one column, whose width is
// 0, takes what is left. Objects keep their height and stand in the middle.
type columns struct {
	widths []float32
	gap    float32
	height float32 // least
}

func (c columns) MinSize(objects []fyne.CanvasObject) fyne.Size {
	size := fyne.NewSize(c.gap*float32(len(c.widths)-1), c.height)
	for i, o := range objects {
		m := o.MinSize()
		size.Height = max(size.Height, m.Height)
		if c.widths[i] > 0 {
			size.Width += c.widths[i]
		} else {
			size.Width += min(m.Width, 40)
		}
	}
	return size
}

func (c columns) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	rest := s.Width - c.gap*float32(len(c.widths)-1)
	for _, w := range c.widths {
		rest -= w
	}
	x := float32(0)
	for i, o := range objects {
		w := c.widths[i]
		if w == 0 {
			w = max(rest, 0)
		}
		h := o.MinSize().Height
		o.Move(fyne.NewPos(x, (s.Height-h)/2))
		o.Resize(fyne.NewSize(w, h))
		x += w + c.gap
	}
}

// flat gives one object a fixed height, whatever it asks for.
type flat float32

func (f flat) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(o[0].MinSize().Width, float32(f))
}

func (f flat) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSize(s.Width, float32(f)))
	o[0].Move(fyne.NewPos(0, (s.Height-float32(f))/2))
}

// padded puts space around one object: left, top, right, bottom.
type padded [4]float32

func (p padded) MinSize(o []fyne.CanvasObject) fyne.Size {
	m := o[0].MinSize()
	return fyne.NewSize(m.Width+p[0]+p[2], m.Height+p[1]+p[3])
}

func (p padded) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Move(fyne.NewPos(p[0], p[1]))
	o[0].Resize(fyne.NewSize(s.Width-p[0]-p[2], s.Height-p[1]-p[3]))
}
