package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/ways"
)

// A figureBody has what the way by figure is given, and the figure's ratio.
type figureBody struct {
	p       *factorPane
	root    *fyne.Container
	eyes    *selectBox
	posture *selectBox
	pieces  *fyne.Container
	checks  []*checkBox
	more    *fold
	says    *widget.Label
	result  *fyne.Container // once there is one; what is missing is said above
	plot    *plotView
	nearest *nearest
	sizes   *widget.Label
	budget  *fold
	causes  *widget.Label
}

func newFigureBody(p *factorPane) *figureBody {
	f := &figureBody{p: p}
	b, k := p.w.bench, ways.ByFigure
	again := func() { p.root.Refresh() }
	f.eyes = p.choice(text.ToEyesTip, func(i int) { b.SetToEyes(i == 1) })
	f.posture = p.choice(text.PostureTip, func(i int) { b.SetPosture(figure.Postures()[i]) })
	list := container.New(layout.NewCustomPaddedVBoxLayout(-4))
	for _, s := range figure.Segments() {
		c := newCheck(text.SegmentName(s), func(on bool) {
			if !p.drawing {
				b.SetSegment(s, on)
			}
		})
		c.SetToolTip(text.PieceTip)
		f.checks = append(f.checks, c)
		list.Add(c)
	}
	f.pieces = container.New(padded{labelWidth - 20, -2, 0, 0}, list)

	people := newPress("", nil)
	people.Icon = theme.MenuDropDownIcon()
	people.SetToolTip(text.PeopleTip)
	people.OnTapped = func() {
		var items []*fyne.MenuItem
		for _, of := range figure.Populations() {
			items = append(items, fyne.NewMenuItem(text.PopulationChoice(of, p.view.Sheet.Inches), func() { b.SetPopulation(of) }))
		}
		widget.ShowPopUpMenuAtRelativePosition(fyne.NewMenu("", items...), p.w.canvas(), fyne.NewPos(0, people.Size().Height), people)
	}
	height := p.field(k, state.InReadings, labelWidth)
	person := p.field(k, state.InPerson, labelWidth)
	person.line.Layout = columns{widths: []float32{labelWidth, 0, 30}, gap: 6}
	person.line.Add(people)

	extras := container.New(layout.NewCustomPaddedVBoxLayout(4))
	for _, in := range finer() {
		extras.Add(p.field(k, in, labelWidth).root)
	}
	f.more = newFold(text.LabelMore, text.MoreTip, extras, again)

	f.says = newNote()
	f.plot = newPlot(p.w)
	f.nearest = newNearest()
	f.sizes = newNote()
	f.causes = newNote()
	f.budget = newFold(text.LabelBudget, text.BudgetTip, tightNote(f.causes), again)
	f.result = container.New(layout.NewCustomPaddedVBoxLayout(4), widget.NewSeparator(), tightNote(f.says), f.plot, f.nearest.root, tightNote(f.sizes), f.budget.root)

	box := container.New(layout.NewCustomPaddedVBoxLayout(4),
		height.root, labelled("", f.eyes), labelled(text.LabelPosture, f.posture), f.pieces, person.root, f.more.root,
		newNativeBlock(p, k).root, f.result)
	f.root = container.New(padded{14, 4, 10, 8}, box)
	return f
}

// finer are the inputs that few figures need.
func finer() []state.Input {
	return []state.Input{state.InBase, state.InHeadgear, state.InFootwear, state.InLimit, state.InStep}
}

func (f *figureBody) draw(v state.View) {
	own := v.Way.Figure
	at := 0
	if own.ToEyes {
		at = 1
	}
	choose(f.eyes, []string{text.LabelToCrown, text.LabelToEyes}, at)
	var names []string
	at = 0
	for i, p := range figure.Postures() {
		names = append(names, text.PostureName(p))
		if p == own.Posture {
			at = i
		}
	}
	choose(f.posture, names, at)
	showIf(own.Posture == figure.Bent, f.pieces)
	has := map[figure.Segment]bool{}
	for _, s := range state.Pieces(own) {
		has[s] = true
	}
	for i, s := range figure.Segments() {
		if f.checks[i].Checked != has[s] {
			f.checks[i].SetChecked(has[s])
		}
	}
	for _, in := range finer() {
		if v.Faults[in] != nil || v.Typed[in] != "" && !f.more.said {
			f.more.set(true) // what is given is not hidden
		}
	}
	e := v.Evidence
	showIf(e.FigureErr == nil, f.result)
	if e.FigureErr == nil {
		f.says.SetText(text.FigureResult(v))
		f.plot.draw(sheet.FigurePlot(v))
		f.nearest.draw(e.FigureIs, e.Figure.Estimate)
		f.sizes.SetText(text.FigureSizesNow(v))
		f.causes.SetText(text.Budget(e.Figure))
	}
}

// mostNearest is how many standard ratios are listed.
const mostNearest = 4

// A nearest lists the standard ratios that a measured one may be.
type nearest struct {
	root   *fyne.Container
	titles *lineRow
	rows   []*lineRow // the last one is for none of them
}

func newNearest() *nearest {
	cells := columns{widths: []float32{56, 0, 108, 52}, gap: 5, height: 19}
	ends := []fyne.TextAlign{fyne.TextAlignLeading, fyne.TextAlignLeading, fyne.TextAlignTrailing, fyne.TextAlignTrailing}
	list := container.New(layout.NewCustomPaddedVBoxLayout(0))
	n := &nearest{root: container.New(padded{-10, 0, -10, 0}, list), titles: newLineRow(cells, ends...)}
	for _, c := range n.titles.cells {
		c.colour = theme.ColorNamePlaceHolder
	}
	head := text.CandidateHead()
	n.titles.show(false, "", head[:]...)
	list.Add(n.titles)
	for range mostNearest + 1 {
		r := newLineRow(cells, ends...)
		n.rows = append(n.rows, r)
		list.Add(r)
	}
	for _, r := range append(n.rows, n.titles) {
		for _, c := range r.cells {
			c.size = theme.SizeNameCaptionText
		}
	}
	return n
}

func (n *nearest) draw(l state.Likely, measured ways.Estimate) {
	none := n.rows[mostNearest]
	cells := text.NoCandidate(l.None)
	none.show(l.None > 0.5, "", cells[:]...)
	showIf(l.None >= 0.01, none)
	for i, r := range n.rows[:mostNearest] {
		if i >= len(l.List) {
			r.Hide()
			continue
		}
		cells := text.CandidateCells(l.List[i], measured)
		r.show(i == 0 && l.List[i].Probability > 0.5, l.List[i].Standard.Source, cells[:]...)
		r.Show()
	}
}
