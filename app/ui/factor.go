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
	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// labelWidth is that of the labels beside the fields of a way.
const labelWidth = 92

// A field is a labelled entry for one input, with what is wrong with it under it.
type field struct {
	in    state.Input
	root  *fyne.Container
	line  *fyne.Container // label and entry, without what is wrong
	label *caption
	entry *tippedEntry
	fault *widget.Label
}

func newField(w *Window, in state.Input, labelWidth float32) *field {
	f := &field{in: in, entry: newEntry(), fault: widget.NewLabel("")}
	f.label = newCaption(text.InputName(in), theme.SizeNameText, theme.ColorNameForeground)
	f.entry.SetToolTip(text.InputTip(in))
	f.entry.OnChanged = func(typed string) { w.bench.Type(in, typed) }
	f.entry.OnSubmitted = func(string) { f.entry.selectAll() }
	f.fault.Importance = widget.DangerImportance
	f.fault.SizeName = theme.SizeNameCaptionText
	f.fault.Wrapping = fyne.TextWrapWord
	f.fault.Hide()
	f.line = container.New(columns{widths: []float32{labelWidth, 0}, gap: 6}, f.label, f.entry)
	f.root = container.New(layout.NewCustomPaddedVBoxLayout(0), f.line, f.fault)
	return f
}

// draw shows the field. What is being typed stays as typed, unless the bench has changed it.
func (f *field) draw(v state.View) {
	if example := text.InputHint(f.in, v.Sheet.Inches); f.entry.PlaceHolder != example {
		f.entry.SetPlaceHolder(example)
	}
	f.entry.show(v.Typed[f.in])
	err := v.Faults[f.in]
	if err == nil {
		f.fault.Hide()
		return
	}
	f.fault.SetText(text.Fault(f.in, err).String())
	f.fault.Show()
}

// A wayPart is a way in the panel: its line in the table of ways, and its body while it is in
// force.
type wayPart struct {
	kind ways.Kind
	head *wayRow
	body *fyne.Container
	draw func(state.View) // what the body has besides fields; may be nil
}

// A factorPane is the right pane.
type factorPane struct {
	w        *Window
	root     fyne.CanvasObject
	factor   *caption
	plus     *caption // what the factor may be off by
	rest     *caption
	digits   *pressButton
	why      *widget.Label
	rule     *slidingRule
	ways     []wayPart
	disagree *fyne.Container
	quarrels []*widget.Label
	fields   map[state.Input][]*field
	first    map[ways.Kind]*field // where typing begins
	natives  []*nativeBlock
	along    []*selectBox
	alongOf  *fyne.Container // the axis of the way by length
	measure  *selectBox
	lengths  []lengthOf // measure's choices
	trades   *selectBox
	share    *share
	ladder   *keyedList
	reaches  *ladderPlot // between which ratios the kit prints
	titles   *lineRow
	save     *pressButton
	view     state.View
	drawing  bool
}

func newFactorPane(w *Window) *factorPane {
	p := &factorPane{w: w, fields: map[state.Input][]*field{}, first: map[ways.Kind]*field{}}
	p.factor = newCaption(text.None, theme.SizeNameHeadingText, theme.ColorNameForeground)
	p.factor.style.Bold = true
	p.plus = newCaption("", theme.SizeNameSubHeadingText, theme.ColorNameForeground)
	p.rest = newCaption("", theme.SizeNameSubHeadingText, theme.ColorNameForeground)
	p.rest.tight = true
	p.digits = newPress(text.LabelDigits, func() { w.tell(text.LabelDigits, text.Chain(p.view)...) })
	p.digits.Importance = widget.LowImportance
	p.digits.SetToolTip(text.DigitsTip)
	p.why = widget.NewLabel("")
	p.why.Wrapping = fyne.TextWrapWord
	p.why.SizeName = theme.SizeNameCaptionText
	p.rule = newRule(w)

	table, bodies := container.New(layout.NewCustomPaddedVBoxLayout(0)), container.NewStack()
	for _, o := range w.bench.View().Offers {
		part := p.body(o.Kind)
		part.kind, part.head = o.Kind, newWayRow(o, func() { w.bench.ChooseWay(o.Kind) })
		p.ways = append(p.ways, part)
		table.Add(part.head)
		bodies.Add(part.body)
	}
	p.disagree = container.New(layout.NewCustomPaddedVBoxLayout(0))

	p.trades = newSelect(nil, func(string) {
		if i := p.trades.SelectedIndex(); !p.drawing && i >= 0 && i < len(p.view.Fields) {
			w.bench.SetField(p.view.Fields[i])
		}
	})
	p.trades.SetToolTip(text.LadderTip)
	rung := columns{widths: []float32{50, 0, 60, 46, 58}, gap: 5, height: 24}
	ends := []fyne.TextAlign{fyne.TextAlignLeading, fyne.TextAlignLeading, fyne.TextAlignTrailing, fyne.TextAlignTrailing, fyne.TextAlignTrailing}
	p.titles = newLineRow(rung, ends...)
	for _, c := range p.titles.cells {
		c.size, c.colour = theme.SizeNameCaptionText, theme.ColorNamePlaceHolder
	}
	p.ladder = newList(24, func() int { return len(p.view.Ladder) },
		func() fyne.CanvasObject {
			r := newLineRow(rung, ends...)
			r.cells[1].size = theme.SizeNameCaptionText
			return r
		}, p.fillRung)
	p.reaches = newLadderPlot(w)
	p.ladder.choose = func(i int) { w.bench.ChooseRung(i) }
	p.save = w.button(text.PlanCopies)
	p.save.Importance = widget.HighImportance

	head := container.New(padded{10, 6, 10, 0}, container.New(layout.NewCustomPaddedVBoxLayout(0),
		container.New(baseline{gap: 8}, p.factor, p.plus),
		container.New(columns{widths: []float32{0, 86}, gap: 4}, p.rest, p.digits)))
	top := container.New(layout.NewCustomPaddedVBoxLayout(0), head,
		container.New(padded{4, 0, 4, 0}, p.why),
		container.New(padded{10, 0, 10, 6}, p.rule), widget.NewSeparator(),
		container.New(padded{0, 3, 0, 3}, table), container.New(padded{28, 0, 4, 0}, p.disagree), widget.NewSeparator())
	fold := newFoldHead(text.PaneLadder, text.LadderFold, true, func() { p.foldLadder(!p.share.open) })
	p.share = &share{fields: container.NewVScroll(bodies), fold: fold,
		head: container.New(layout.NewCustomPaddedVBoxLayout(0), widget.NewSeparator(),
			container.New(padded{6, 4, 10, 0}, container.New(columns{widths: []float32{82, 0}, gap: 6}, fold, p.trades))),
		rows: newFrame(container.New(layout.NewCustomPaddedVBoxLayout(0), p.reaches, p.titles), p.ladder, container.NewWithoutLayout())}
	foot := container.NewVBox(widget.NewSeparator(), container.New(padded{10, 4, 10, 8}, p.save))
	p.root = newFrame(top, container.New(p.share, p.share.fields, p.share.head, p.share.rows), foot)
	return p
}

// foldLadder opens or closes the ladder, as the maker says.
func (p *factorPane) foldLadder(open bool) {
	p.share.said, p.share.open = true, open
	p.root.Refresh()
}

// goLadder brings the keyboard to the ladder.
func (p *factorPane) goLadder() {
	if !p.share.open {
		p.foldLadder(true)
	}
	p.w.canvas().Focus(p.ladder)
}

// baseline lays a small caption beside a large one, on one line of writing.
type baseline struct{ gap float32 }

func (b baseline) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(0, o[0].MinSize().Height)
}

func (b baseline) Layout(o []fyne.CanvasObject, s fyne.Size) {
	large, small := o[0].MinSize(), o[1].MinSize()
	w := min(large.Width, s.Width)
	o[0].Resize(fyne.NewSize(w, s.Height))
	o[0].Move(fyne.NewPos(0, 0))
	o[1].Resize(fyne.NewSize(max(s.Width-w-b.gap, 0), small.Height))
	o[1].Move(fyne.NewPos(w+b.gap, s.Height-small.Height-4))
}

// field is a new field of a way's body.
func (p *factorPane) field(k ways.Kind, in state.Input, labels float32) *field {
	f := newField(p.w, in, labels)
	f.entry.onFocus = func() { p.reveal(f.entry) }
	p.fields[in] = append(p.fields[in], f)
	if p.first[k] == nil {
		p.first[k] = f
	}
	return f
}

// labelled puts a label before a control, as before a field's entry.
func labelled(label string, o fyne.CanvasObject) *fyne.Container {
	return container.New(columns{widths: []float32{labelWidth, 0}, gap: 6},
		newCaption(label, theme.SizeNameText, theme.ColorNameForeground), o)
}

// choice is a control to choose from a few; taken is told the index of what the maker takes.
func (p *factorPane) choice(tip string, taken func(i int)) *selectBox {
	var s *selectBox
	s = newSelect(nil, func(string) {
		if i := s.SelectedIndex(); !p.drawing && i >= 0 {
			taken(i)
		}
	})
	s.SetToolTip(tip)
	return s
}

// axes is a control to choose the axis of a length.
func (p *factorPane) axes() *selectBox {
	s := p.choice(text.AlongTip, func(i int) { p.w.bench.SetAlong(geom.Axis(i)) })
	p.along = append(p.along, s)
	return s
}

// body is the body of a way.
func (p *factorPane) body(k ways.Kind) wayPart {
	box := container.New(layout.NewCustomPaddedVBoxLayout(4))
	part := wayPart{body: container.New(padded{24, 4, 10, 6}, box)}
	add := func(in state.Input) { box.Add(p.field(k, in, labelWidth).root) }
	switch k {
	case ways.ByRatio:
		n := newNativeBlock(p, k)
		box.Add(n.root)
		p.first[k] = nil
		add(state.InTarget)
	case ways.ByReal:
		add(state.InReal)
		box.Add(labelled(text.LabelAlong, p.axes()))
		add(state.InTarget)
	case ways.ByClues:
		c := newCluesBody(p)
		part.body, part.draw = c.root, c.draw
	case ways.ByFigure:
		f := newFigureBody(p)
		part.body, part.draw = f.root, f.draw
	case ways.ByLength:
		add(state.InLength)
		p.measure = p.choice(text.OfTip, p.measureOf)
		box.Add(labelled(text.LabelOf, p.measure))
		p.alongOf = labelled(text.LabelAlong, p.axes())
		box.Add(p.alongOf)
	case ways.ByBed:
		d := newBedBody(p)
		part.body, part.draw = d.root, d.draw
	case ways.ByFactor:
		add(state.InFactor)
	}
	return part
}

func (p *factorPane) fillRung(i int, o fyne.CanvasObject) {
	if i >= len(p.view.Ladder) {
		return
	}
	r := p.view.Ladder[i]
	longest := max(r.Size[0], r.Size[1], r.Size[2])
	length := text.None
	if r.Factor.Known() && longest > 0 {
		length = text.Bare(longest, p.view.Sheet.Inches)
	}
	o.(*lineRow).show(r.InForce, text.StandingOf(p.view.Judged, i, r), text.Ratio(r.Standard.Ratio), r.Standard.Name,
		text.Factor(r.Factor), length, text.StandingShort(p.view.Judged, i))
}

func (p *factorPane) draw(v state.View) {
	before := p.view
	p.view = v
	p.drawing = true
	defer func() { p.drawing = false }()
	factor, plus, rest := text.HeadlineOf(v.Result)
	p.factor.set(factor)
	p.plus.set(plus)
	p.rest.set(rest)
	p.why.SetText(text.WhySentence(v))
	p.rule.draw(v)
	for i, part := range p.ways {
		on := part.kind == v.Way.Kind
		if i < len(v.Offers) {
			part.head.show(v.Offers[i], on)
		}
		if on {
			part.body.Show()
			if part.draw != nil {
				part.draw(v)
			}
		} else {
			part.body.Hide()
		}
	}
	for _, n := range p.natives {
		n.draw(v)
	}
	p.drawDisagreements(v)
	if before.Way.Kind != v.Way.Kind {
		p.share.fields.ScrollToTop()
	}
	for _, all := range p.fields {
		for _, f := range all {
			f.draw(v)
		}
	}
	p.drawChoices(v)
	if !sameSlice(before.Judged.Ladder, v.Judged.Ladder) {
		p.reaches.draw(v)
		for i, s := range v.Judged.Ladder {
			if s.InForce {
				p.ladder.ScrollTo(i)
			}
		}
	}
	if !sameSlice(before.Ladder, v.Ladder) || before.Sheet.Inches != v.Sheet.Inches {
		titles := text.LadderHead(v.Sheet.Inches)
		p.titles.show(false, "", titles[:]...)
		p.ladder.Refresh()
		at := -1
		for i, r := range v.Ladder {
			if r.InForce {
				at = i
			}
		}
		p.ladder.show(at)
	}
	enableIf(v.Result.Factor.Known(), p.digits)
	enableIf(len(v.Parts) > 0 && v.Result.Factor.Known(), p.save)
	p.root.Refresh()
}

// mostQuarrels is how many disagreements are shown.
const mostQuarrels = 3

// drawDisagreements tells which ways contradict each other.
func (p *factorPane) drawDisagreements(v state.View) {
	all := v.Evidence.Disagree
	all = all[:min(len(all), mostQuarrels)]
	for len(p.quarrels) < len(all) {
		l := newNote()
		l.Importance = widget.WarningImportance
		p.quarrels = append(p.quarrels, l)
		p.disagree.Add(tightNote(l))
	}
	for i, o := range p.disagree.Objects {
		if i >= len(all) {
			o.Hide()
			continue
		}
		p.quarrels[i].SetText(text.Warns.Sign() + " " + text.Disagree(all[i]) + ".")
		o.Show()
	}
}

// drawChoices fills what is chosen from.
func (p *factorPane) drawChoices(v state.View) {
	size := p.drawLengths(v)
	for i, s := range p.along {
		of := v.KitBox.Size()
		if i == 1 {
			of = size
		}
		choose(s, axisNames(of, v.Sheet.Inches), int(v.Way.Along))
	}
	choose(p.trades, fieldNames(v.Fields), slices.Index(v.Fields, v.Field))
}

func axisNames(size geom.Vec, inches bool) []string {
	var names []string
	for a := geom.X; a <= geom.Z; a++ {
		names = append(names, text.AlongChoice(a, size[a], inches))
	}
	return names
}

func fieldNames(fields []ratio.Field) []string {
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = text.FieldName(f)
	}
	return names
}

// choose shows choices and the chosen one. Two choices may read the same, so the index counts.
func choose(s *selectBox, options []string, at int) {
	if !slices.Equal(s.Options, options) {
		s.SetOptions(options)
	}
	if s.SelectedIndex() != at {
		s.SetSelectedIndex(at)
	} else if at >= 0 && s.Selected != options[at] {
		s.SetSelectedIndex(at)
	}
}

// typing brings the keyboard to the field of the way in force.
func (p *factorPane) typing() {
	if f := p.first[p.view.Way.Kind]; f != nil {
		p.w.canvas().Focus(f.entry)
		f.entry.selectAll()
	}
}
