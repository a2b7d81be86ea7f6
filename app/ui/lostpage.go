package ui

import (
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/formats"
)

// A lostPage shows the factor between a part and an old copy of it, over the window.
type lostPage struct {
	w     *Window
	panel *panel // nil while it is closed
	says  *widget.Label
	warns *widget.Label
	rows  *fyne.Container
	no    *pressButton
	use   *pressButton
	shown *state.Lost
}

// chooseCopy asks for an old copy and compares it with its original.
func (w *Window) chooseCopy() {
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Files(w.ctx, a) },
		Ask{Title: text.FindLost.Name(), Folder: w.bench.Folder(state.ForModels), Kind: text.FilesChosen, Extensions: formats.Extensions()},
		func(got any) { w.findLost(got.([]string)[0]) })
}

func (w *Window) findLost(copied string) { w.bench.FindLost(w.bench.Original(copied), copied) }

// droppedCopy reports whether a dropped file is, or may be, no new part but an old copy: one
// that was dropped on the factor, on the row of a part, or that has the name of a copy. Where
// it only may be, it asks.
func (w *Window) droppedCopy(at fyne.Position, path string) bool {
	v := w.bench.View()
	if len(w.panels) > 0 || len(v.Parts) == 0 || !slices.Contains(formats.Extensions(), strings.ToLower(filepath.Ext(path))) {
		return false
	}
	if over(w.factor.root, at) {
		w.findLost(path)
		return true
	}
	id := w.bench.LooksLikeCopy(path)
	if i := w.parts.rowAt(at); i >= 0 && v.Parts[i].State == state.Measured {
		id = v.Parts[i].ID
	}
	if id == "" {
		return false
	}
	question, detail := text.CopyQuestion(path, w.partName(id))
	w.ask(question, detail,
		answer{text.FindFactor, true, func() { w.bench.FindLost(id, path) }},
		answer{text.AddAsPart, false, func() { w.Open([]string{path}) }},
		answer{text.AnswerCancel, false, func() {}})
	return true
}

// over reports whether a place of the window lies on an object.
func over(o fyne.CanvasObject, at fyne.Position) bool {
	p := at.Subtract(fyne.CurrentApp().Driver().AbsolutePositionForObject(o))
	return p.X >= 0 && p.Y >= 0 && p.X < o.Size().Width && p.Y < o.Size().Height
}

// rowAt is the row of the parts' list at a place of the window, or -1.
func (p *partsPane) rowAt(at fyne.Position) int {
	if !over(p.list, at) {
		return -1
	}
	y := at.Y - fyne.CurrentApp().Driver().AbsolutePositionForObject(p.list).Y + p.list.GetScrollOffset()
	// The toolkit's list puts a padding between rows.
	if i := int(y / (rowHeight + p.list.Theme().Size(theme.SizeNamePadding))); i < len(p.view.Parts) {
		return i
	}
	return -1
}

func (p *lostPage) build() {
	w := p.w
	leave := func() { w.bench.DismissLost() }
	p.says, p.warns = widget.NewLabel(""), widget.NewLabel("")
	p.says.Wrapping, p.warns.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord
	p.warns.Importance = widget.WarningImportance
	p.rows = container.New(layout.NewCustomPaddedVBoxLayout(0))
	p.no = newPress(text.AnswerClose, leave)
	p.use = newPress(text.UseLost, func() { w.bench.UseLost() })
	p.use.SetToolTip(text.UseLostTip)
	p.use.Importance = widget.HighImportance
	p.no.onEscape, p.use.onEscape = leave, leave
	body := container.NewVScroll(container.New(layout.NewCustomPaddedVBoxLayout(4), p.says, p.warns, p.rows))
	p.panel = w.open(text.LostPage, fyne.NewSize(640, 400), body, p.no, p.no, p.use)
	p.panel.leave = leave
}

func (p *lostPage) draw(v state.View) {
	l := v.Lost
	switch {
	case l == nil:
		if p.panel != nil {
			p.panel.close()
			p.panel = nil
		}
		p.shown = nil
		return
	case p.panel == nil:
		p.build()
	}
	if l == p.shown {
		return
	}
	p.shown = l
	p.says.SetText("")
	p.warns.SetText("")
	p.rows.RemoveAll()
	p.use.Hide()
	switch {
	case l.Busy:
		p.says.SetText(text.Comparing(*l))
	case l.Err != nil:
		p.says.SetText(text.Error(l.Err).String())
	default:
		for _, r := range text.LostRows(*l, v) {
			name := newCaption(r[0], theme.SizeNameText, theme.ColorNamePlaceHolder)
			value := widget.NewLabel(r[1])
			value.Wrapping = fyne.TextWrapWord
			p.rows.Add(container.New(columns{widths: []float32{120, 0}, gap: 8}, name, value))
		}
		p.warns.SetText(text.RecoveredWarning(l.Found))
		// What is in doubt is taken with intent, not with the next key.
		label, weight, first := text.UseLost, widget.HighImportance, p.use
		if l.Found.Uneven {
			label, weight, first = text.UseUneven, widget.MediumImportance, p.no
		}
		p.use.Importance = weight
		p.use.SetText(label)
		p.use.Show()
		p.w.canvas().Focus(first)
	}
	p.says.Hidden, p.warns.Hidden = p.says.Text == "", p.warns.Text == ""
	p.panel.pop.Refresh()
}
