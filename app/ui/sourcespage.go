package ui

import (
	"reflect"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/formats"
)

// A sourcesPage shows which files of the kit are missing or were changed, over the window.
type sourcesPage struct {
	w      *Window
	panel  *panel // nil while it is closed
	rows   *fyne.Container
	says   *widget.Label
	found  *pressButton
	take   *pressButton
	done   *pressButton
	shown  state.Sources
	inches bool
	told   int // the kit that was opened when it last opened by itself, as View.Opened counts
}

func (w *Window) showSources() {
	if w.sources.panel == nil && len(w.panels) == 0 {
		w.sources.build()
		w.sources.fill(w.bench.View())
	}
}

func (p *sourcesPage) build() {
	b := p.w.bench
	leave := func() { p.close() }
	press := func(label, tip string, do func()) *pressButton {
		t := newPress(label, do)
		t.SetToolTip(tip)
		t.onEscape = leave
		return t
	}
	p.says = newNote()
	p.rows = container.New(layout.NewCustomPaddedVBoxLayout(4))
	p.found = press(text.UseAllFound, text.UseFoundTip, func() { b.UseFound() })
	p.take = press(text.TakeAll, text.TakeTip, func() { b.AcceptChanged() })
	p.done = press(text.AnswerClose, text.AnswerClose, leave)
	p.panel = p.w.open(text.SourcesPage, fyne.NewSize(860, 520),
		newFrame(tightNote(p.says), container.NewVScroll(container.New(padded{0, 4, 12, 4}, p.rows)), container.NewWithoutLayout()), p.done, p.found, p.take, p.done)
	p.panel.leave, p.panel.undoes = leave, true
}

func (p *sourcesPage) close() {
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
	}
}

// draw keeps the page up to date, and opens it once where a kit was opened whose files are not
// as it has them.
func (p *sourcesPage) draw(v state.View) {
	amiss := len(v.Sources.Missing)+len(v.Sources.Changed) > 0
	busy := v.Sources.Busy
	for _, j := range v.Jobs {
		busy = busy || j.ID == state.Opening
	}
	if amiss && !busy && p.told != v.Opened && len(p.w.panels) == 0 {
		p.told = v.Opened
		p.w.showSources()
		return
	}
	if p.panel != nil && (!reflect.DeepEqual(p.shown, v.Sources) || p.inches != v.Sheet.Inches) {
		p.fill(v)
	}
}

func (p *sourcesPage) fill(v state.View) {
	s := v.Sources
	p.shown, p.inches = s, v.Sheet.Inches
	p.rows.RemoveAll()
	found := 0
	if len(s.Missing) > 0 {
		p.rows.Add(heading(text.HeadMissing))
	}
	for _, m := range s.Missing {
		if m.Found != "" {
			found++
		}
		p.rows.Add(p.missing(m, s))
	}
	if len(s.Changed) > 0 {
		p.rows.Add(heading(text.HeadChanged))
	}
	for _, c := range s.Changed {
		for _, part := range v.Parts {
			if part.ID == c.ID {
				p.rows.Add(p.changed(c, part, v.Sheet.Inches))
			}
		}
	}
	says := text.SourcesLine(s)
	switch {
	case s.Busy:
		says = text.SourcesSearch
	case says == "":
		says = text.SourcesFine
	default:
		says += "."
	}
	p.says.SetText(says)
	showIf(found > 1, p.found)
	showIf(len(s.Changed) > 1, p.take)
	p.panel.pop.Refresh()
	if p.w.canvas().Focused() == nil {
		p.w.canvas().Focus(p.done)
	}
}

// row is what is said of one file, with two buttons.
func (p *sourcesPage) row(name, tip, says string, below fyne.CanvasObject, one, two *pressButton) fyne.CanvasObject {
	head := newTippedCaption(theme.SizeNameText, theme.ColorNameForeground)
	head.tell(name)
	head.SetToolTip(tip)
	note := newNote()
	note.SetText(says)
	words := container.New(layout.NewCustomPaddedVBoxLayout(2), head, tightNote(note))
	if below != nil {
		words.Add(container.New(padded{-10, 0, 0, 0}, below)) // in line with what is said
	}
	var buttons []fyne.CanvasObject
	for _, b := range []*pressButton{one, two} {
		if b != nil {
			b.onEscape = p.close
			buttons = append(buttons, b)
		}
	}
	right := container.NewVBox(container.NewGridWithColumns(2, buttons...))
	return container.New(padded{0, 2, 0, 6}, container.New(columns{widths: []float32{0, 270}, gap: 12}, words, right))
}

func (p *sourcesPage) missing(m state.Missing, s state.Sources) fyne.CanvasObject {
	var use *pressButton
	if m.Found != "" {
		use = newPress(text.UseFound, func() { p.w.bench.UseFound(m.Path) })
		use.SetToolTip(text.UseFoundTip)
		use.Importance = widget.HighImportance
	}
	point := newPress(text.PointTo, func() { p.w.pointTo(m.Path) })
	point.SetToolTip(text.PointToTip)
	return p.row(m.Path, m.Path, text.MissingSays(m, s), nil, use, point)
}

// pointTo asks where a missing file lies now.
func (w *Window) pointTo(path string) {
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Files(w.ctx, a) },
		Ask{Title: text.PointTo, Folder: w.bench.Folder(state.ForModels), Kind: text.FilesChosen, Extensions: formats.Extensions()},
		func(got any) { w.bench.PointTo(path, got.([]string)[0]) })
}

func (p *sourcesPage) changed(c state.Changed, part state.Part, inches bool) fyne.CanvasObject {
	take := newPress(text.TakeChanged, func() { p.w.bench.AcceptChanged(c.ID) })
	take.SetToolTip(text.TakeTip)
	keep := newPress(text.KeepOld, func() { p.w.bench.KeepOld(c.ID) })
	keep.SetToolTip(text.KeepOldTip)
	rows, differs := text.ChangedRows(c, part, inches)
	var table *fyne.Container
	if len(rows) > 0 {
		table = container.New(layout.NewCustomPaddedVBoxLayout(0))
		cells := columns{widths: []float32{190, 170, 0}, gap: 8, height: 20}
		line := func(row [3]string, colour fyne.ThemeColorName, bold bool) {
			r := newLineRow(cells)
			r.show(false, row[0], row[:]...)
			for _, cell := range r.cells {
				cell.paint(colour)
				cell.bold(bold)
			}
			table.Add(r)
		}
		line(text.ChangedHead(), theme.ColorNamePlaceHolder, false)
		for i, row := range rows {
			line(row, theme.ColorNameForeground, differs[i])
		}
		return p.row(part.Name, part.File, text.ChangedSays(c), table, take, keep)
	}
	return p.row(part.Name, part.File, text.ChangedSays(c), nil, take, keep)
}
