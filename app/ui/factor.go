package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// Widths of the labels beside the fields of a way, and beside two fields in one line.
const (
	labelWidth  = 92
	narrowLabel = 76
)

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

// A wayPart is a way in the panel: its head, and its fields while it is in force.
type wayPart struct {
	kind ways.Kind
	head *wayRow
	body *fyne.Container
}

// A factorPane is the right pane.
type factorPane struct {
	w       *Window
	root    fyne.CanvasObject
	factor  *caption
	rest    *caption
	why     *widget.Label
	rule    *slidingRule
	ways    []wayPart
	fields  map[state.Input][]*field
	first   map[ways.Kind]*field // where typing begins
	along   []*ttwidget.Select
	measure *ttwidget.Select
	ids     []string // part ids of measure's choices; the first is the kit
	trades  *ttwidget.Select
	ladder  *keyedList
	titles  *lineRow
	save    *pressButton
	view    state.View
	drawing bool
}

func newFactorPane(w *Window) *factorPane {
	p := &factorPane{w: w, fields: map[state.Input][]*field{}, first: map[ways.Kind]*field{}}
	p.factor = newCaption(text.None, theme.SizeNameHeadingText, theme.ColorNameForeground)
	p.factor.style.Bold = true
	p.rest = newCaption("", theme.SizeNameSubHeadingText, theme.ColorNameForeground)
	p.why = widget.NewLabel("")
	p.why.Wrapping = fyne.TextWrapWord
	p.why.SizeName = theme.SizeNameCaptionText
	p.rule = newRule(w)

	wayBox := container.New(layout.NewCustomPaddedVBoxLayout(0))
	for _, o := range w.bench.View().Offers {
		part := wayPart{kind: o.Kind, head: newWayRow(o, func() { w.bench.ChooseWay(o.Kind) }), body: p.body(o.Kind)}
		p.ways = append(p.ways, part)
		wayBox.Add(part.head)
		wayBox.Add(part.body)
	}

	p.trades = ttwidget.NewSelect(nil, func(string) {
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
	p.ladder.choose = func(i int) { w.bench.ChooseRung(i) }
	p.save = w.button(text.PlanCopies)
	p.save.Importance = widget.HighImportance

	head := container.New(padded{10, 6, 10, 0}, container.New(layout.NewCustomPaddedVBoxLayout(0), p.factor, p.rest))
	top := container.New(layout.NewCustomPaddedVBoxLayout(0), head,
		container.New(padded{4, 0, 4, 0}, p.why),
		container.New(padded{10, 2, 10, 8}, p.rule), widget.NewSeparator(),
		container.New(padded{0, 4, 0, 6}, wayBox), widget.NewSeparator(),
		container.New(padded{10, 6, 10, 0}, container.New(columns{widths: []float32{72, 0}, gap: 6}, heading(text.PaneLadder), p.trades)),
		p.titles)
	foot := container.NewVBox(widget.NewSeparator(), container.New(padded{10, 4, 10, 8}, p.save))
	p.root = newFrame(top, p.ladder, foot)
	return p
}

// body has the fields of a way.
func (p *factorPane) body(k ways.Kind) *fyne.Container {
	box := container.New(layout.NewCustomPaddedVBoxLayout(4))
	labels := float32(labelWidth)
	add := func(in state.Input) *field {
		f := newField(p.w, in, labels)
		p.fields[in] = append(p.fields[in], f)
		if p.first[k] == nil {
			p.first[k] = f
		}
		return f
	}
	choice := func(label string, s fyne.CanvasObject) {
		box.Add(container.New(columns{widths: []float32{labelWidth, 0}, gap: 6},
			newCaption(label, theme.SizeNameText, theme.ColorNameForeground), s))
	}
	along := func() {
		var s *ttwidget.Select
		s = ttwidget.NewSelect(nil, func(string) {
			if i := s.SelectedIndex(); !p.drawing && i >= 0 {
				p.w.bench.SetAlong(geom.Axis(i))
			}
		})
		s.SetToolTip(text.AlongTip)
		p.along = append(p.along, s)
		choice(text.LabelAlong, s)
	}
	switch k {
	case ways.ByRatio:
		native, target := add(state.InNative), add(state.InTarget)
		p.first[k] = target
		box.Add(native.root)
		box.Add(target.root)
	case ways.ByReal:
		box.Add(add(state.InReal).root)
		along()
		box.Add(add(state.InTarget).root)
	case ways.ByLength:
		box.Add(add(state.InLength).root)
		p.measure = ttwidget.NewSelect(nil, func(string) {
			if i := p.measure.SelectedIndex(); !p.drawing && i >= 0 && i < len(p.ids) {
				p.w.bench.SetLengthPart(p.ids[i])
			}
		})
		p.measure.SetToolTip(text.OfTip)
		choice(text.LabelOf, p.measure)
		along()
	case ways.ByBed:
		labels = narrowLabel
		for _, pair := range [][2]state.Input{{state.InBedX, state.InBedY}, {state.InBedZ, state.InBedMargin}} {
			a, b := add(pair[0]), add(pair[1])
			box.Add(container.NewGridWithColumns(2, a.line, b.line))
			box.Add(a.fault)
			box.Add(b.fault)
		}
	case ways.ByFactor:
		box.Add(add(state.InFactor).root)
	}
	return container.New(padded{24, 2, 10, 6}, box)
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
	o.(*lineRow).show(r.InForce, text.RungTip(r), text.Ratio(r.Standard.Ratio), r.Standard.Name,
		text.Factor(r.Factor), length, text.RungFits(r))
}

func (p *factorPane) draw(v state.View) {
	before := p.view
	p.view = v
	p.drawing = true
	defer func() { p.drawing = false }()
	factor, rest := text.Headline(v.Result.Factor, v.Result.Target)
	p.factor.set(factor)
	if !v.Result.Factor.Known() {
		rest = ""
	}
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
		} else {
			part.body.Hide()
		}
	}
	for _, all := range p.fields {
		for _, f := range all {
			f.draw(v)
		}
	}
	p.drawChoices(v)
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
	enableIf(len(v.Parts) > 0 && v.Result.Factor.Known(), p.save)
	p.root.Refresh()
}

// drawChoices fills what is chosen from.
func (p *factorPane) drawChoices(v state.View) {
	size := v.KitBox.Size()
	p.ids = []string{""}
	names := []string{text.LabelWholeKit}
	at := 0
	for _, part := range v.Parts {
		if !part.Ticked || part.State != state.Measured {
			continue
		}
		p.ids, names = append(p.ids, part.ID), append(names, part.Name)
		if part.ID == v.Way.Part {
			at = len(p.ids) - 1
			if v.Way.Kind == ways.ByLength {
				size = part.Drawn
			}
		}
	}
	var axes []string
	for a := geom.X; a <= geom.Z; a++ {
		axes = append(axes, text.AlongChoice(a, size[a], v.Sheet.Inches))
	}
	for _, s := range p.along {
		choose(s, axes, int(v.Way.Along))
	}
	choose(p.measure, names, at)
	at = slices.Index(v.Fields, v.Field)
	choose(p.trades, fieldNames(v.Fields), at)
}

func fieldNames(fields []ratio.Field) []string {
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = text.FieldName(f)
	}
	return names
}

// choose shows choices and the chosen one. Two choices may read the same, so the index counts.
func choose(s *ttwidget.Select, options []string, at int) {
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
