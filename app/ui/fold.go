package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/sheet"
)

// A foldHead is a line with an arrow that shows and hides what lies under it.
type foldHead struct {
	ttwidget.ToolTipWidget
	label        *caption
	arrow        *widget.Icon
	back         *canvas.Rectangle
	open         bool
	hot, focused bool
	tap          func()
}

func newFoldHead(label, tip string, bold bool, tap func()) *foldHead {
	f := &foldHead{label: newCaption(label, theme.SizeNameText, theme.ColorNameForeground), arrow: widget.NewIcon(theme.MenuExpandIcon()),
		back: canvas.NewRectangle(color.Transparent), tap: tap}
	f.label.style.Bold = bold
	f.ExtendBaseWidget(f)
	f.SetToolTip(tip)
	return f
}

func (f *foldHead) show(open bool) {
	if f.open == open {
		return
	}
	f.open = open
	f.arrow.SetResource(theme.MenuExpandIcon())
	if open {
		f.arrow.SetResource(theme.MenuDropDownIcon())
	}
}

func (f *foldHead) Tapped(*fyne.PointEvent) { f.tap() }
func (f *foldHead) TypedRune(rune)          {}
func (f *foldHead) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		f.tap()
	}
}
func (f *foldHead) FocusGained()           { f.focused = true; f.Refresh() }
func (f *foldHead) FocusLost()             { f.focused = false; f.Refresh() }
func (f *foldHead) Cursor() desktop.Cursor { return desktop.PointerCursor }
func (f *foldHead) MouseIn(e *desktop.MouseEvent) {
	f.ToolTipWidget.MouseIn(e)
	f.hot = true
	f.Refresh()
}
func (f *foldHead) MouseOut() {
	f.ToolTipWidget.MouseOut()
	f.hot = false
	f.Refresh()
}

func (f *foldHead) CreateRenderer() fyne.WidgetRenderer { return foldRenderer{f} }

type foldRenderer struct{ f *foldHead }

func (r foldRenderer) MinSize() fyne.Size {
	m := r.f.label.MinSize()
	return fyne.NewSize(m.Width+22, max(m.Height+6, 26))
}

func (r foldRenderer) Layout(s fyne.Size) {
	r.f.back.Resize(s)
	r.f.arrow.Move(fyne.NewPos(0, (s.Height-18)/2))
	r.f.arrow.Resize(fyne.NewSquareSize(18))
	r.f.label.Move(fyne.NewPos(20, 0))
	r.f.label.Resize(fyne.NewSize(s.Width-20, s.Height))
}

func (r foldRenderer) Refresh() {
	c := colours(r.f)
	r.f.back.FillColor = color.Transparent
	switch {
	case r.f.focused:
		r.f.back.FillColor = c(theme.ColorNameFocus)
	case r.f.hot:
		r.f.back.FillColor = c(theme.ColorNameHover)
	}
	r.f.back.Refresh()
	r.f.arrow.Refresh()
	r.f.label.Refresh()
}

func (r foldRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.f.back, r.f.arrow, r.f.label}
}
func (r foldRenderer) Destroy() {}

// A fold is a head and what it shows and hides.
type fold struct {
	root *fyne.Container
	head *foldHead
	body fyne.CanvasObject
	said bool // the maker has opened or closed it
}

// newFold is closed at first; changed is told when the maker opens or closes it.
func newFold(label, tip string, body fyne.CanvasObject, changed func()) *fold {
	f := &fold{body: body}
	f.head = newFoldHead(label, tip, false, func() {
		f.said = true
		f.set(!f.head.open)
		changed()
	})
	body.Hide()
	f.root = container.New(layout.NewCustomPaddedVBoxLayout(2), f.head, body)
	return f
}

func (f *fold) set(open bool) {
	f.head.show(open)
	if open {
		f.body.Show()
	} else {
		f.body.Hide()
	}
}

// A share lays out the fields of a way over the ladder: the fields take what they need as long as
// the ladder keeps a few rows, and otherwise scroll. Where they would scroll the ladder folds by
// itself, unless the maker has said how it is to be.
type share struct {
	fields *container.Scroll
	head   fyne.CanvasObject // of the ladder
	rows   fyne.CanvasObject
	fold   *foldHead
	said   bool // the maker has opened or closed the ladder
	open   bool
}

// leastRows is the least height of the ladder's rows with their titles, and leastFields that of
// the fields.
const (
	leastRows   = 76 + sheet.LadderHeight
	leastFields = 60
)

func (h *share) MinSize([]fyne.CanvasObject) fyne.Size {
	m := h.head.MinSize()
	return fyne.NewSize(max(m.Width, h.fields.Content.MinSize().Width), m.Height+leastFields)
}

func (h *share) Layout(_ []fyne.CanvasObject, s fyne.Size) {
	head := h.head.MinSize().Height
	// Wrapped text knows its height only once it has its width: hence a second round.
	for range 2 {
		wanted := h.fields.Content.MinSize().Height
		if !h.said {
			h.open = wanted+head+leastRows <= s.Height
		}
		at := s.Height - head
		if h.open {
			at = min(wanted, max(s.Height-head-leastRows, leastFields), s.Height-head)
		}
		h.fields.Move(fyne.NewPos(0, 0))
		h.fields.Resize(fyne.NewSize(s.Width, at))
		h.head.Move(fyne.NewPos(0, at))
		h.head.Resize(fyne.NewSize(s.Width, head))
		h.rows.Move(fyne.NewPos(0, at+head))
		h.rows.Resize(fyne.NewSize(s.Width, max(s.Height-at-head, 0)))
	}
	if h.open != h.rows.Visible() {
		if h.open {
			h.rows.Show()
		} else {
			h.rows.Hide()
		}
	}
	h.fold.show(h.open)
}
