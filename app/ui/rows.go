package ui

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/state"
	"scantling/app/text"
)

// Sizes of a part's row.
const (
	rowHeight = 58
	thumbW    = 48
	thumbH    = 42
)

// Thumbnails are the parts' silhouettes, small.
type thumbnails struct {
	colours *palette
	made    map[*image.NRGBA]*image.RGBA
}

// of is the silhouette in twice the pixels of its place, so that it is crisp on fine screens.
func (t *thumbnails) of(from *image.NRGBA, colours *palette) image.Image {
	if t.made == nil || t.colours != colours {
		t.made, t.colours = map[*image.NRGBA]*image.RGBA{}, colours
	}
	if img := t.made[from]; img != nil {
		return img
	}
	var s shades
	s.read(turnedImage{from: from})
	w, h := float64(s.levels[0].w), float64(s.levels[0].h)
	f := min(2*thumbW/w, 2*thumbH/h)
	size := image.Pt(max(1, int(w*f)), max(1, int(h*f)))
	img := s.scaled(spriteKey{turnedImage{from: from}, size, image.Rectangle{Max: size}, colours})
	t.made[from] = img
	return img
}

// keep forgets the thumbnails of pictures that are no longer shown.
func (t *thumbnails) keep(parts []state.Part) {
	used := map[*image.NRGBA]bool{}
	for i := range parts {
		for _, s := range parts[i].Silhouettes {
			used[s] = true
		}
	}
	for k := range t.made {
		if !used[k] {
			delete(t.made, k)
		}
	}
}

// A partRow shows one part: tick, silhouette, name and quantity, sizes, detail, mark.
type partRow struct {
	ttwidget.ToolTipWidget
	tick                *checkBox
	thumb               *canvas.Image
	name, sizes, detail *caption
	quantity            *caption
	mark                *caption
	shown               *image.NRGBA
	under               *palette
	tapped              func() // the row was pressed, once or twice
}

// Tapped is the row's own, so that a second press on it is told from the first without any
// delay.
func (r *partRow) Tapped(*fyne.PointEvent) {
	if r.tapped != nil {
		r.tapped()
	}
}

func newPartRow() *partRow {
	r := &partRow{
		tick:     newCheck("", nil),
		thumb:    canvas.NewImageFromImage(nil),
		name:     newCaption("", theme.SizeNameText, theme.ColorNameForeground),
		sizes:    newCaption("", theme.SizeNameCaptionText, theme.ColorNameForeground),
		detail:   newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder),
		quantity: newCaption("", theme.SizeNameText, theme.ColorNameForeground),
		mark:     newCaption("", theme.SizeNameSubHeadingText, theme.ColorNameForeground),
	}
	r.tick.SetToolTip(text.TickTip)
	r.thumb.FillMode = canvas.ImageFillContain
	r.name.style.Bold = true
	r.quantity.align = fyne.TextAlignTrailing
	r.mark.align = fyne.TextAlignCenter
	r.mark.style.Bold = true
	r.ExtendBaseWidget(r)
	return r
}

// show fills the row; ticked is told when the maker ticks it.
func (r *partRow) show(p state.Part, v state.View, thumbs *thumbnails, colours *palette, ticked func(bool)) {
	r.tick.OnChanged = nil
	r.tick.SetChecked(p.Ticked)
	r.tick.OnChanged = ticked
	picture := p.Silhouettes[v.Sheet.Side]
	if picture != r.shown || colours != r.under {
		r.shown, r.under = picture, colours
		r.thumb.Image = nil
		if picture != nil {
			r.thumb.Image = thumbs.of(picture, colours)
		}
		r.thumb.Refresh()
	}
	r.name.set(p.Name)
	r.quantity.set(text.Quantity(p.Quantity))
	sizes := ""
	if p.State == state.Measured {
		sizes = text.SizeChangeBare(p.Drawn, p.Print, v.Sheet.Inches)
	}
	r.sizes.set(sizes)
	r.detail.set(text.PartDetail(p))
	r.SetToolTip(text.PartTip(p))
	m := text.MarkOf(p, v)
	r.mark.set(m.Sign())
	r.mark.paint(markColour(m))
	detail := theme.ColorNamePlaceHolder
	if p.State == state.Failed {
		detail = theme.ColorNameError
	}
	r.detail.paint(detail)
	name := theme.ColorNameForeground
	if !p.Ticked {
		name = theme.ColorNamePlaceHolder
	}
	r.name.paint(name)
	r.sizes.paint(name)
}

// markColour goes with a mark's sign, which says the same.
func markColour(m text.Mark) fyne.ThemeColorName {
	switch m {
	case text.Stops:
		return theme.ColorNameError
	case text.Warns:
		return theme.ColorNameWarning
	}
	return theme.ColorNamePlaceHolder
}

func (r *partRow) CreateRenderer() fyne.WidgetRenderer {
	return &partRowRenderer{r}
}

type partRowRenderer struct{ r *partRow }

func (l partRowRenderer) MinSize() fyne.Size { return fyne.NewSize(240, rowHeight) }

func (l partRowRenderer) Layout(s fyne.Size) {
	r := l.r
	put := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	}
	check := r.tick.MinSize()
	put(r.tick, 4, (s.Height-check.Height)/2, check.Width, check.Height)
	x := 4 + check.Width + 2
	put(r.thumb, x, (s.Height-thumbH)/2, thumbW, thumbH)
	x += thumbW + 10
	const markW, countW = 22, 44
	right := s.Width - markW - 2
	put(r.name, x, 4, right-countW-x, 18)
	put(r.quantity, right-countW-4, 4, countW, 18)
	put(r.sizes, x, 22, s.Width-x-8, 16)
	put(r.detail, x, 37, right-x, 16)
	put(r.mark, right, 0, markW, 26)
}

func (l partRowRenderer) Refresh() {
	l.r.tick.Refresh()
	for _, c := range []*caption{l.r.name, l.r.sizes, l.r.detail, l.r.quantity, l.r.mark} {
		c.Refresh()
	}
}

func (l partRowRenderer) Objects() []fyne.CanvasObject {
	r := l.r
	return []fyne.CanvasObject{r.tick, r.thumb, r.name, r.quantity, r.sizes, r.detail, r.mark}
}
func (l partRowRenderer) Destroy() {}

// A lineRow is a row of the ladder or of the drawer: captions in columns, with a bar at its
// left end where it is the one in force.
type lineRow struct {
	ttwidget.ToolTipWidget
	cells   []*caption
	bar     *canvas.Rectangle
	inForce bool
	layout  columns
}

func newLineRow(c columns, align ...fyne.TextAlign) *lineRow {
	r := &lineRow{layout: c, bar: canvas.NewRectangle(color.Transparent)}
	for i := range c.widths {
		cell := newCaption("", theme.SizeNameText, theme.ColorNameForeground)
		cell.tight = true
		if i < len(align) {
			cell.align = align[i]
		}
		r.cells = append(r.cells, cell)
	}
	r.ExtendBaseWidget(r)
	return r
}

// show fills the row's cells.
func (r *lineRow) show(inForce bool, tip string, cells ...string) {
	if r.inForce != inForce {
		r.inForce = inForce
		r.Refresh()
	}
	for i, c := range cells {
		r.cells[i].set(c)
		r.cells[i].bold(inForce)
	}
	r.SetToolTip(tip)
}

func (r *lineRow) CreateRenderer() fyne.WidgetRenderer {
	l := &lineRowRenderer{r: r}
	l.Refresh()
	return l
}

type lineRowRenderer struct{ r *lineRow }

func (l *lineRowRenderer) objects() []fyne.CanvasObject {
	out := make([]fyne.CanvasObject, len(l.r.cells))
	for i, c := range l.r.cells {
		out[i] = c
	}
	return out
}

func (l *lineRowRenderer) MinSize() fyne.Size {
	return l.r.layout.MinSize(l.objects()).AddWidthHeight(20, 0)
}

func (l *lineRowRenderer) Layout(s fyne.Size) {
	l.r.bar.Resize(fyne.NewSize(4, s.Height))
	l.r.layout.Layout(l.objects(), fyne.NewSize(s.Width-20, s.Height))
	for _, c := range l.r.cells {
		c.Move(c.Position().AddXY(10, 0))
	}
}

func (l *lineRowRenderer) Refresh() {
	l.r.bar.FillColor = color.Transparent
	if l.r.inForce {
		l.r.bar.FillColor = colours(l.r)(theme.ColorNamePrimary)
	}
	l.r.bar.Refresh()
	for _, c := range l.r.cells {
		c.Refresh()
	}
}

func (l *lineRowRenderer) Objects() []fyne.CanvasObject {
	return append([]fyne.CanvasObject{l.r.bar}, l.objects()...)
}
func (l *lineRowRenderer) Destroy() {}
