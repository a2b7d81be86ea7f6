package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/judge"
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

	waits   *tippedCaption // what is still to be surveyed, or what the kit weighs
	process *processChoice
	only    *toggle // of the selected part
	cure    *pressButton
	aside   *pressButton
	part    bool // only those of the selected part are shown
	at      int  // the marked finding of View.Judged; -1: none
}

func newDrawer(w *Window) *drawer {
	d := &drawer{w: w, at: -1}
	d.count = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	d.count.tight = true
	d.none = newCaption("", theme.SizeNameText, theme.ColorNamePlaceHolder)
	d.list = newList(22, func() int { return len(d.found) }, func() fyne.CanvasObject { return newFindingRow(w) },
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
		if i >= len(d.found) {
			return
		}
		f := d.found[i]
		d.at = f.Index
		if f.Index >= 0 {
			w.bench.PointAt(f.Index)
		} else if f.Part != "" {
			w.bench.PointAt(-1)
			w.bench.Select(f.Part)
		}
		d.offer()
	}
	d.says = newTippedCaption(theme.SizeNameText, theme.ColorNameForeground)
	d.saved = container.New(padded{10, 0, 10, 2}, container.New(columns{widths: []float32{0, 130, 120}, gap: 6},
		d.says, w.button(text.ShowSaved), w.button(text.OpenFolder)))
	d.waits = newTippedCaption(theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	d.process = newProcessChoice(w)
	numbers := newPress("", func() { w.run(w.byID[text.ChooseProcess]) })
	numbers.Icon = theme.SettingsIcon()
	numbers.SetToolTip(w.byID[text.ChooseProcess].tip())
	d.only, d.cure, d.aside = w.toggle(text.FindingsOfPart), w.button(text.FindingCure), w.button(text.FindingAside)
	head := container.New(padded{10, 4, 10, 2}, container.New(columns{widths: []float32{80, 0, 150, 104, 160, 90, 190, 30}, gap: 8, height: 30},
		heading(text.PaneFindings), d.count, d.waits, d.only, d.cure, d.aside, d.process.selectBox, numbers))
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
		sameSlice(before.CopyHints, v.CopyHints) && sameSlice(before.Strays, v.Strays) && before.Shift == v.Shift &&
		before.Result.Factor.Known() == v.Result.Factor.Known() && sameSlice(before.Judged.Findings, v.Judged.Findings) &&
		before.Selected == v.Selected && before.Judged.Process == v.Judged.Process && before.Judged.Weight == v.Judged.Weight && sameBeds(before.Judged.Beds, v.Judged.Beds) && sameSlice(before.Processes, v.Processes) && before.Judged.Waiting == v.Judged.Waiting && d.told {
		return
	}
	d.told = true
	d.w.bench.WantProcesses()
	others := !sameSlice(before.Judged.Findings, v.Judged.Findings)
	if others {
		d.at = again(before.Judged, v.Judged, d.at)
	}
	d.fill()
	if others || d.part && before.Selected != v.Selected {
		d.list.show(d.row())
	}
	d.process.draw(v)
	if waits := text.FindingsState(v.Judged); waits != "" {
		d.waits.tell(waits)
	} else {
		short, long := text.KitSum(v)
		d.waits.tell(short)
		d.waits.SetToolTip(long)
	}
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
	d.offer()
}

// row is the line of the marked finding, which is no longer marked where it has none; -1 for none.
func (d *drawer) row() int {
	row := -1
	if d.at >= 0 {
		row = slices.IndexFunc(d.found, func(f text.Finding) bool { return f.Index == d.at })
	}
	if row < 0 {
		d.at = -1
	}
	return row
}

// again is where finding at of before is among those of now; -1 where it is gone, and where the
// maker has set it aside or taken it back meanwhile, and so is done with it.
func again(before, now state.Judged, at int) int {
	if at < 0 || at >= len(before.Findings) {
		return -1
	}
	id := func(j state.Judged, part int) string {
		if part < 0 || part >= len(j.IDs) {
			return ""
		}
		return j.IDs[part]
	}
	was := before.Findings[at]
	return slices.IndexFunc(now.Findings, func(f judge.Finding) bool {
		return f.Code == was.Code && f.Whole == was.Whole && f.Where == was.Where && f.Aside == was.Aside &&
			id(now, f.Part) == id(before, was.Part) && id(now, f.Other) == id(before, was.Other)
	})
}

func sameBeds(a, b *judge.Layout) bool {
	return a == b || a != nil && b != nil && a.Beds == b.Beds && a.Least == b.Least && a.Nested == b.Nested && len(a.Left) == len(b.Left)
}

// fill lists what was found, of all parts or of the selected one.
func (d *drawer) fill() {
	all := text.Findings(d.view)
	d.count.set(text.FindingsCount(all))
	d.found = all
	if d.part && d.view.Selected != "" {
		d.found = nil
		for _, f := range all {
			if f.Part == d.view.Selected {
				d.found = append(d.found, f)
			}
		}
	}
	d.only.set(d.part)
}

// showOnly lists what was found of the selected part only, or all again.
func (d *drawer) showOnly() {
	d.part = !d.part
	d.fill()
	d.list.show(d.row())
	d.offer()
	d.list.Refresh()
}

// marked is the finding that the buttons are about; false for none.
func (d *drawer) marked() (judge.Finding, bool) {
	all := d.view.Judged.Findings
	if d.at < 0 || d.at >= len(all) {
		return judge.Finding{}, false
	}
	return all[d.at], true
}

// offer says what can be done about the marked finding.
func (d *drawer) offer() {
	f, ok := d.marked()
	enableIf(ok && f.Gone != judge.Never, d.cure)
	enableIf(ok, d.aside)
	d.aside.SetText(text.AsideName(ok && f.Aside != ""))
	rung := ""
	if r := d.w.bench.CureRung(d.at); r >= 0 && r < len(d.view.Ladder) {
		rung = text.Ratio(d.view.Ladder[r].Standard.Ratio)
	}
	d.cure.SetText(text.CureName(rung))
}

// setAside asks for a reason, or takes the marked finding back.
func (d *drawer) setAside() {
	f, ok := d.marked()
	if !ok {
		return
	}
	at := d.at
	if f.Aside != "" {
		d.w.bench.TakeFindingBack(at)
		return
	}
	d.w.askText(text.AsideTitle(f, len(d.view.Judged.Alike(at))), text.LabelReason, "", func(reason string) { d.w.bench.SetFindingAside(at, reason) })
}

// A findingRow lays out a line of the drawer, with two buttons where it asks something.
type findingRow struct {
	line  *lineRow
	asks  [2]*toggle // yes and no
	found text.Finding
	asked text.Asks // what the buttons are for
}

// goneWidth is how broad the column is that says where a finding is gone.
const goneWidth = 224

func newFindingRow(w *Window) *fyne.Container {
	cells := columns{widths: []float32{16, 150, 0, goneWidth}, gap: 8, height: 22}
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
	tip := f.Tip
	if tip == "" {
		tip = f.Says
	}
	r.line.show(false, tip, f.Mark.Sign(), f.Name, f.Says, f.Gone)
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
	line := s
	if r.found.Asks != "" {
		s.Width -= 2 * wide
		line.Width = s.Width + goneWidth // what asks is gone nowhere: the buttons stand in that column
	}
	r.line.Resize(line)
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
