package ui

import (
	"strconv"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
)

// A partsPane is the left pane.
type partsPane struct {
	w        *Window
	root     fyne.CanvasObject
	list     *keyedList
	summary  *caption
	unit     *caption // of the sizes in the rows
	selected *caption
	quantity *tippedEntry
	fewer    *pressButton
	more     *pressButton
	remove   *pressButton
	thumbs   thumbnails
	view     state.View

	pressed   string // id of the part whose row was pressed last
	pressedAt time.Time
}

func newPartsPane(w *Window) *partsPane {
	p := &partsPane{w: w}
	p.summary = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	p.list = newList(rowHeight, func() int { return len(p.view.Parts) },
		func() fyne.CanvasObject { return newPartRow() }, p.fill)
	p.list.choose = func(i int) {
		if i < len(p.view.Parts) {
			w.bench.Select(p.view.Parts[i].ID)
		}
	}
	p.list.extra = p.key
	p.selected = newCaption("", theme.SizeNameText, theme.ColorNameForeground)
	p.selected.tight = true
	p.quantity = newEntry()
	p.quantity.OnChanged = p.typedQuantity
	p.quantity.SetToolTip(text.QuantityTip)
	p.quantity.onBlur = func() { p.showQuantity(true) }
	p.fewer, p.more = w.button(text.OneFewer), w.button(text.OneMore)
	p.fewer.SetText("−")
	p.more.SetText("+")
	p.remove = w.button(text.RemovePart)

	p.unit = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	p.unit.align = fyne.TextAlignTrailing
	head := container.New(padded{10, 8, 10, 2}, container.New(columns{widths: []float32{46, 0, 106}, gap: 6},
		heading(text.PaneParts), p.summary, p.unit))
	ticks := container.New(padded{6, 0, 6, 4}, container.NewGridWithColumns(3,
		w.toggle(text.TickAll), w.toggle(text.TickNone), w.toggle(text.TickInvert)))
	count := container.New(columns{widths: []float32{0, 30, 52, 30}, gap: 4}, p.selected, p.fewer, p.quantity, p.more)
	foot := container.New(padded{10, 6, 10, 8}, container.New(layout.NewCustomPaddedVBoxLayout(6), count,
		container.NewGridWithColumns(2, w.button(text.AddFiles), p.remove)))
	p.root = newFrame(container.NewVBox(head, ticks, widget.NewSeparator()), p.list,
		container.NewVBox(widget.NewSeparator(), foot))
	return p
}

// key handles the keys of the list that act on the part under the mark.
func (p *partsPane) key(k *fyne.KeyEvent, mark int) bool {
	if mark < 0 || mark >= len(p.view.Parts) {
		return false
	}
	part := p.view.Parts[mark]
	switch k.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		p.w.bench.Select(part.ID)
		p.w.showPart()
	case fyne.KeyDelete, fyne.KeyBackspace:
		p.w.bench.Remove([]string{part.ID})
	case fyne.KeyInsert:
		p.w.bench.Tick(part.ID, !part.Ticked)
	case fyne.KeyPlus, fyne.KeyEqual:
		p.w.bench.SetQuantity(part.ID, part.Quantity+1)
	case fyne.KeyMinus:
		p.w.bench.SetQuantity(part.ID, part.Quantity-1)
	default:
		return false
	}
	return true
}

func (p *partsPane) fill(i int, o fyne.CanvasObject) {
	if i >= len(p.view.Parts) {
		return
	}
	part := p.view.Parts[i]
	r := o.(*partRow)
	r.tapped = func() { p.press(i, part.ID) }
	r.show(part, p.view, &p.thumbs, p.w.palette(), func(on bool) { p.w.bench.Tick(part.ID, on) })
}

// press selects a row; pressed twice, it opens the part's page.
func (p *partsPane) press(i int, id string) {
	now := time.Now()
	twice := p.pressed == id && now.Sub(p.pressedAt) <= fyne.CurrentApp().Driver().DoubleTapDelay()
	p.pressed, p.pressedAt = id, now
	p.w.canvas().Focus(p.list)
	p.list.Select(i)
	if twice {
		p.pressed = ""
		p.w.showPart()
	}
}

// chosen is the selected part.
func (p *partsPane) chosen() (state.Part, bool) {
	for _, part := range p.view.Parts {
		if part.ID == p.view.Selected {
			return part, true
		}
	}
	return state.Part{}, false
}

func (p *partsPane) typedQuantity(typed string) {
	if part, ok := p.chosen(); ok && typed != "" {
		n, err := strconv.Atoi(typed)
		if err != nil {
			n = 0 // the bench says what is wrong with it
		}
		if n != part.Quantity {
			p.w.bench.SetQuantity(part.ID, n)
		}
	}
}

// showQuantity writes the selected part's quantity, over what is being typed only if it must.
func (p *partsPane) showQuantity(must bool) {
	part, ok := p.chosen()
	if !ok {
		p.quantity.show("")
	} else if p.w.canvas().Focused() != fyne.Focusable(p.quantity) || must {
		p.quantity.show(strconv.Itoa(part.Quantity))
	}
}

func (p *partsPane) draw(v state.View) {
	before := p.view
	p.view = v
	at := -1
	for i := range v.Parts {
		if v.Parts[i].ID == v.Selected {
			at = i
		}
	}
	p.summary.set(text.PartsCount(v.Parts))
	unit := ""
	if len(v.Parts) > 0 {
		unit = text.SizesIn(v.Result.Factor.Known(), v.Sheet.Inches)
	}
	p.unit.set(unit)
	if !sameSlice(before.Parts, v.Parts) || before.Sheet.Side != v.Sheet.Side || before.Sheet.Inches != v.Sheet.Inches || before.Look != v.Look {
		p.thumbs.keep(v.Parts)
		p.list.Refresh()
	}
	p.list.show(at)
	part, ok := p.chosen()
	if ok {
		p.selected.set(text.QuantityOf(part.Name))
		enable(p.quantity, p.more, p.remove)
		enableIf(part.Quantity > 1, p.fewer)
	} else {
		p.selected.set(text.NoneSelected)
		disable(p.quantity, p.fewer, p.more, p.remove)
	}
	p.showQuantity(before.Selected != v.Selected)
}

// sameSlice reports whether two slices are the same one: the bench never changes one in place.
func sameSlice[T any](a, b []T) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

func enable(all ...fyne.Disableable) {
	for _, o := range all {
		if o.Disabled() {
			o.Enable()
		}
	}
}

func disable(all ...fyne.Disableable) {
	for _, o := range all {
		if !o.Disabled() {
			o.Disable()
		}
	}
}

func enableIf(on bool, all ...fyne.Disableable) {
	if on {
		enable(all...)
	} else {
		disable(all...)
	}
}

// heading is the title of a pane.
func heading(h string) *caption {
	c := newCaption(h, theme.SizeNameText, theme.ColorNameForeground)
	c.style.Bold = true
	return c
}

// frame stacks a top, a middle that takes what is left, and a bottom, in the order in which
// Tab goes through them.
type frame struct{}

func newFrame(top, middle, bottom fyne.CanvasObject) *fyne.Container {
	return container.New(frame{}, top, middle, bottom)
}

func (frame) MinSize(o []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	for _, c := range o {
		m := c.MinSize()
		s.Width, s.Height = max(s.Width, m.Width), s.Height+m.Height
	}
	return s
}

func (frame) Layout(o []fyne.CanvasObject, s fyne.Size) {
	// Wrapped text knows its height only once it has its width: hence a second round.
	for range 2 {
		top, bottom := o[0].MinSize().Height, o[2].MinSize().Height
		middle := max(s.Height-top-bottom, 0)
		for i, y := range []float32{0, top, top + middle} {
			o[i].Move(fyne.NewPos(0, y))
			o[i].Resize(fyne.NewSize(s.Width, []float32{top, middle, bottom}[i]))
		}
	}
}
