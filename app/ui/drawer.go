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
	d.list = newList(22, func() int { return len(d.found) }, func() fyne.CanvasObject { return newFindingRow(w, cells) },
		func(i int, o fyne.CanvasObject) {
			if i < len(d.found) {
				row := o.(*fyne.Container)
				row.Layout.(*findingRow).fill(row, d.found[i])
			}
		})
	d.list.extra = func(k *fyne.KeyEvent, mark int) bool {
		if k.Name != fyne.KeyReturn && k.Name != fyne.KeyEnter || mark >= len(d.found) || d.found[mark].Asks == "" {
			return false
		}
		w.askFinding(d.found[mark])
		return true
	}
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
	if sameSlice(before.Parts, v.Parts) && before.Sheet.Inches == v.Sheet.Inches && sameSlice(before.Saved, v.Saved) && sameSlice(before.UnitHints, v.UnitHints) &&
		sameSlice(before.CopyHints, v.CopyHints) &&
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

// A findingRow lays out a line of the drawer, with two buttons where it asks something.
type findingRow struct {
	line  *lineRow
	asks  [2]*toggle // yes and no
	found text.Finding
	asked text.Asks // what the buttons are for
}

func newFindingRow(w *Window, cells columns) *fyne.Container {
	r := &findingRow{line: newLineRow(cells, fyne.TextAlignCenter)}
	r.line.cells[0].style.Bold = true
	for i := range r.asks {
		r.asks[i] = newToggle("", "", func() { w.answerFinding(r.found, i) })
	}
	r.asks[0].Hide()
	r.asks[1].Hide()
	return container.New(r, r.line, r.asks[0], r.asks[1])
}

func (r *findingRow) fill(row *fyne.Container, f text.Finding) {
	r.found = f
	r.line.show(false, f.Says, f.Mark.Sign(), f.Name, f.Says)
	r.line.cells[0].bold(true)
	r.line.cells[0].paint(markColour(f.Mark))
	if f.Asks == r.asked {
		return
	}
	r.asked = f.Asks
	for i, says := range f.Asks.Answers() {
		a := r.asks[i]
		a.Hidden, a.label = f.Asks == "", says[0]
		a.SetToolTip(says[1])
		a.Refresh()
	}
	row.Refresh()
}

func (r *findingRow) MinSize([]fyne.CanvasObject) fyne.Size { return r.line.MinSize() }

func (r *findingRow) Layout(_ []fyne.CanvasObject, s fyne.Size) {
	const wide = 112
	if r.found.Asks != "" {
		s.Width -= 2 * wide
	}
	r.line.Resize(s)
	for i, a := range r.asks {
		a.Move(fyne.NewPos(s.Width+float32(i)*wide, 0))
		a.Resize(fyne.NewSize(wide, s.Height))
	}
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
