package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/ways"
)

// A cluesBody has the clues, what they give together, and a place to make another.
type cluesBody struct {
	p      *factorPane
	root   *fyne.Container
	says   *widget.Label
	said   *fyne.Container // says, in line with the fields
	plot   *plotButton
	likely *nearest
	list   *fyne.Container
	rows   []*clueRow
	heads  *fyne.Container
	take   *pressButton // what is measured on the sheet
	part   *selectBox
	parts  []string // ids of part's choices
	draft  *widget.Label
	drafts *fyne.Container // draft, in line with the fields
	drawn  *field
	real   *field
}

func newCluesBody(p *factorPane) *cluesBody {
	c := &cluesBody{p: p}
	b, k := p.w.bench, ways.ByClues
	c.says = newNote()
	c.said = tightNote(c.says)
	c.plot = newPlotButton(p.w, c.larger)
	c.likely = newNearest()
	c.list = container.New(layout.NewCustomPaddedVBoxLayout(0))

	c.drawn = p.field(k, state.InDrawn, labelWidth)
	c.real = p.field(k, state.InIsReal, labelWidth)
	for _, f := range []*field{c.drawn, c.real} {
		f.entry.OnSubmitted = func(string) {
			b.AddClue()
			if len(p.view.Faults) == 0 { // and on to the next
				p.w.canvas().Focus(c.drawn.entry)
				p.reveal(c.drawn.entry)
			}
		}
	}
	c.part = newSelect(nil, func(string) {
		if i := c.part.SelectedIndex(); !p.drawing && i >= 0 && i < len(c.parts) {
			b.ClueFromPart(c.parts[i])
		}
	})
	c.part.PlaceHolder = text.LabelFromPart
	c.part.SetToolTip(text.FromPartTip)
	c.take = newPress(text.LabelMeasure, func() {
		if p.view.Measure.Known() {
			b.ClueFromMeasure()
		} else {
			b.StartMeasure()
		}
	})
	table := newPress(text.LabelTable, func() { p.w.chooseObject(b.ClueObject) })
	table.SetToolTip(text.TableTip)
	c.real.line.Layout = columns{widths: []float32{labelWidth, 0, 70}, gap: 6}
	c.real.line.Add(table)
	add := newPress(text.LabelAddClue, b.AddClue)
	add.SetToolTip(text.AddClueTip)
	c.draft = newNote()
	c.drafts = labelled("", tightNote(c.draft))
	c.heads = container.New(layout.NewCustomPaddedVBoxLayout(4), c.plot, c.likely.root)

	target := p.field(k, state.InTarget, labelWidth)
	p.first[k] = c.drawn
	box := container.New(layout.NewCustomPaddedVBoxLayout(4),
		target.root, c.said, c.heads, c.list, widget.NewSeparator(),
		c.drawn.root, labelled("", c.take), labelled("", c.part), c.real.root, c.drafts, labelled("", add))
	c.root = container.New(padded{14, 4, 10, 8}, box)
	return c
}

func (c *cluesBody) draw(v state.View) {
	e := v.Evidence
	c.says.SetText(text.CluesAre(v))
	c.says.Importance = widget.MediumImportance
	if e.Clues.Inconsistent && e.CluesErr == nil {
		c.says.Importance = widget.WarningImportance
	}
	showIf(len(v.Way.Clues) > 0, c.said)
	showIf(len(v.Way.Clues) > 0, c.heads)
	c.plot.draw(sheet.CluesPlot(v))
	showIf(e.CluesErr == nil, c.likely.root)
	if e.CluesErr == nil {
		c.likely.draw(e.CluesAre, e.Clues.Estimate)
	}
	for len(c.rows) < len(v.Way.Clues) {
		r := newClueRow(c.p)
		c.rows = append(c.rows, r)
		c.list.Add(r.root)
	}
	for i, r := range c.rows {
		showIf(i < len(v.Way.Clues), r.root)
		if i < len(v.Way.Clues) {
			r.draw(v, i)
		}
	}
	label, tip := text.TakeMeasure(v)
	if c.take.Text != label {
		c.take.SetText(label)
		c.take.SetToolTip(tip)
	}
	c.parts = nil
	var names []string
	for _, p := range v.Parts {
		if p.State == state.Measured {
			c.parts, names = append(c.parts, p.ID), append(names, text.PartHeight(p, v))
		}
	}
	if !slices.Equal(c.part.Options, names) {
		c.part.SetOptions(names)
	}
	if c.part.SelectedIndex() >= 0 {
		c.part.ClearSelected()
	}
	enableIf(len(names) > 0, c.part)
	says := text.DraftSays(e.Draft, v.Sheet.Inches)
	c.draft.SetText(says)
	showIf(says != "", c.drafts)
}

// larger shows the plot over the window.
func (c *cluesBody) larger() {
	v := c.p.view
	plot := newPlot(c.p.w)
	plot.draw(sheet.CluesPlot(v))
	head := widget.NewLabel(text.CluesAre(v))
	head.Wrapping = fyne.TextWrapWord
	likely := widget.NewLabel(text.LikelyAre(v.Evidence.CluesAre, v.Field))
	likely.Wrapping = fyne.TextWrapWord
	c.p.w.show(text.LabelClues, fyne.NewSize(760, 460), container.NewVBox(head, plot, likely))
}

// A clueRow shows one clue: whether it counts, what it is, what it gives, and how it stands beside
// the others.
type clueRow struct {
	root    *fyne.Container
	tick    *checkBox
	name    *tippedCaption
	gives   *tippedCaption
	lengths *tippedCaption
	id      string
	called  string
}

func newClueRow(p *factorPane) *clueRow {
	r := &clueRow{name: newTippedCaption(theme.SizeNameText, theme.ColorNameForeground),
		gives: newTippedCaption(theme.SizeNameCaptionText, theme.ColorNameForeground), lengths: newTippedCaption(theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)}
	r.name.style.Bold = true
	b := p.w.bench
	r.tick = newCheck("", func(on bool) {
		if !p.drawing {
			b.SetAside(r.id, !on)
		}
	})
	r.tick.SetToolTip(text.AsideTip)
	rename := newPress("", func() {
		p.w.askText(text.LabelRename, text.LabelName, r.called, func(name string) { b.RenameClue(r.id, name) })
	})
	rename.Icon, rename.Importance = theme.DocumentCreateIcon(), widget.LowImportance
	rename.SetToolTip(text.RenameTip)
	remove := newPress("", func() { b.RemoveClue(r.id) })
	remove.Icon, remove.Importance = theme.DeleteIcon(), widget.LowImportance
	remove.SetToolTip(text.RemoveTip)
	lines := container.New(layout.NewCustomPaddedVBoxLayout(0), r.name, r.gives, r.lengths)
	r.root = container.New(padded{-6, 0, 0, 2}, container.New(columns{widths: []float32{26, 0, 28, 28}, gap: 2, height: 50}, r.tick, lines, rename, remove))
	return r
}

func (r *clueRow) draw(v state.View, i int) {
	c, e := v.Way.Clues[i], v.Evidence.Clues
	r.id, r.called = c.ID, c.Name
	if r.tick.Checked == c.SetAside {
		r.tick.SetChecked(!c.SetAside)
	}
	name, colour := text.ClueName(c, v.Sheet.Inches), theme.ColorNameForeground
	if i == e.Worst {
		name, colour = text.Warns.Sign()+" "+name, theme.ColorNameWarning
	}
	r.name.tell(name)
	r.gives.tell(text.ClueGives(e, i))
	r.gives.paint(colour)
	r.lengths.tell(text.ClueLengths(c, v.Sheet.Inches))
}

// chooseObject shows the table of things of known size; chosen is told the key of what is taken.
func (w *Window) chooseObject(chosen func(key string)) {
	inches := w.bench.View().Sheet.Inches
	groups := ways.Groups()
	var shown []ways.Object
	cells := columns{widths: []float32{0, 130}, gap: 8, height: 24}
	var p *panel
	list := newList(24, func() int { return len(shown) }, func() fyne.CanvasObject {
		return newLineRow(cells, fyne.TextAlignLeading, fyne.TextAlignTrailing)
	}, func(i int, o fyne.CanvasObject) {
		if i < len(shown) {
			row := text.ObjectCells(shown[i], inches)
			o.(*lineRow).show(false, text.ObjectTip(shown[i]), row[0], row[1])
		}
	})
	about := newNote()
	mark := -1
	take := func() {
		if mark >= 0 && mark < len(shown) {
			p.close()
			chosen(shown[mark].Key)
		}
	}
	yes := newPress(text.AnswerOK, take)
	yes.Importance = widget.HighImportance
	list.choose = func(i int) {
		mark = i
		about.SetText(text.ObjectTip(shown[i]))
		enable(yes)
	}
	names := make([]string, len(groups))
	for i, g := range groups {
		names[i] = text.GroupName(g)
	}
	var group *selectBox
	fill := func(g ways.Group) {
		shown, mark = nil, -1
		for _, o := range ways.Objects() {
			if o.Group == g {
				shown = append(shown, o)
			}
		}
		about.SetText("")
		disable(yes)
		list.show(-1)
		list.Refresh()
	}
	group = newSelect(names, func(string) {
		if i := group.SelectedIndex(); i >= 0 {
			fill(groups[i])
		}
	})
	group.SetToolTip(text.TableTip)
	no := newPress(text.AnswerCancel, func() { p.close() })
	no.onEscape, yes.onEscape = no.OnTapped, no.OnTapped
	list.extra = func(k *fyne.KeyEvent, _ int) bool {
		switch {
		case k.Name == fyne.KeyEscape:
			p.close()
		case mark >= 0 && (k.Name == fyne.KeyReturn || k.Name == fyne.KeyEnter):
			take()
		default:
			return false
		}
		return true
	}
	p = w.open(text.LabelObjects, fyne.NewSize(560, 480), newFrame(container.New(padded{0, 0, 0, 6}, group), list, about), group, no, yes)
	group.SetSelectedIndex(0)
}
