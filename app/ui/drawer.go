package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
)

// A drawer is what is worth knowing, under the three panes.
type drawer struct {
	w     *Window
	root  fyne.CanvasObject
	count *caption
	none  *caption
	list  *keyedList
	found []text.Finding
	saved *fyne.Container // what came of the last save
	says  *tippedCaption
	view  state.View
	told  bool // it has been drawn before
}

func newDrawer(w *Window) *drawer {
	d := &drawer{w: w}
	d.count = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	d.count.tight = true
	d.none = newCaption("", theme.SizeNameText, theme.ColorNamePlaceHolder)
	cells := columns{widths: []float32{16, 150, 0}, gap: 8, height: 22}
	d.list = newList(22, func() int { return len(d.found) }, func() fyne.CanvasObject {
		r := newLineRow(cells, fyne.TextAlignCenter)
		r.cells[0].style.Bold = true
		return r
	}, func(i int, o fyne.CanvasObject) {
		if i < len(d.found) {
			f := d.found[i]
			r := o.(*lineRow)
			r.show(false, f.Says, f.Mark.Sign(), f.Name, f.Says)
			r.cells[0].bold(true)
			r.cells[0].paint(markColour(f.Mark))
		}
	})
	d.list.choose = func(i int) {
		if i < len(d.found) && d.found[i].Part != "" {
			w.bench.Select(d.found[i].Part)
		}
	}
	d.says = newTippedCaption(theme.SizeNameText, theme.ColorNameForeground)
	d.saved = container.New(padded{10, 0, 10, 2}, container.New(columns{widths: []float32{0, 130, 120}, gap: 6},
		d.says, w.button(text.ShowSaved), w.button(text.OpenFolder)))
	head := container.New(padded{10, 6, 10, 2}, container.New(columns{widths: []float32{80, 0}, gap: 8}, heading(text.PaneFindings), d.count))
	d.root = newFrame(container.New(layout.NewCustomPaddedVBoxLayout(0), widget.NewSeparator(), head,
		d.saved),
		container.NewStack(d.list, container.New(padded{10, 2, 10, 2}, container.NewVBox(d.none))), container.NewWithoutLayout())
	d.saved.Hide()
	return d
}

func (d *drawer) draw(v state.View) {
	before := d.view
	d.view = v
	if sameSlice(before.Parts, v.Parts) && before.Sheet.Inches == v.Sheet.Inches && sameSlice(before.Saved, v.Saved) &&
		before.Result.Factor.Known() == v.Result.Factor.Known() && d.told {
		return
	}
	d.told = true
	d.found = text.Findings(v)
	d.count.set(text.FindingsCount(d.found))
	d.none.set("")
	if len(d.found) == 0 {
		d.none.set(text.NothingToTell(v))
	}
	if v.Saved == nil {
		d.saved.Hide()
	} else {
		d.says.tell(text.Summary(v.Saved))
		d.saved.Show()
	}
	d.list.Refresh()
	d.root.Refresh()
}

// A statusLine tells what runs and what went wrong, at the foot of the window.
type statusLine struct {
	w      *Window
	root   fyne.CanvasObject
	says   *caption
	bar    *widget.ProgressBar
	cancel *pressButton
	job    string
	notice *fyne.Container
	wrong  *tippedCaption
}

func newStatusLine(w *Window) *statusLine {
	s := &statusLine{w: w}
	s.says = newCaption("", theme.SizeNameCaptionText, theme.ColorNameForeground)
	s.says.tight = true
	s.bar = widget.NewProgressBar()
	s.bar.TextFormatter = func() string { return "" }
	s.cancel = w.button(text.CancelJob)
	s.cancel.Importance = widget.LowImportance
	s.wrong = newTippedCaption(theme.SizeNameText, theme.ColorNameError)
	sign := newCaption(text.Stops.Sign(), theme.SizeNameSubHeadingText, theme.ColorNameError)
	sign.style.Bold = true
	dismiss := w.button(text.Dismiss)
	s.notice = container.New(columns{widths: []float32{14, 0, 90}, gap: 6}, sign, s.wrong, dismiss)
	s.notice.Hide()
	line := container.New(columns{widths: []float32{0, 180, 74}, gap: 8, height: 26}, s.says, container.New(flat(12), s.bar), s.cancel)
	s.root = container.New(layout.NewCustomPaddedVBoxLayout(0), widget.NewSeparator(),
		container.New(padded{10, 1, 10, 1}, container.New(layout.NewCustomPaddedVBoxLayout(0), s.notice, line)))
	return s
}

func (s *statusLine) draw(v state.View) {
	if v.Notice != nil {
		s.wrong.tell(text.Error(v.Notice).String())
		s.notice.Show()
	} else {
		s.notice.Hide()
	}
	if len(v.Jobs) == 0 {
		s.job = ""
		s.says.set(text.Ready(v))
		s.bar.Hide()
		s.cancel.Hide()
		return
	}
	// What the maker waits for comes first; the bench has its jobs in that order.
	j := v.Jobs[0]
	s.job = j.ID
	s.says.set(text.Job(j))
	s.bar.SetValue(j.Share)
	s.bar.Show()
	s.cancel.Show()
}
