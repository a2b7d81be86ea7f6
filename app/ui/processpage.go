package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/process"
)

// A processPage has all numbers of the process that the kit is printed by, over the window.
type processPage struct {
	w        *Window
	panel    *panel // nil while it is closed
	choice   *processChoice
	was      *pressButton
	forget   *pressButton
	gauge    *pressButton
	says     *widget.Label
	said     fyne.CanvasObject // the line of says
	material *selectBox
	money    *tippedEntry
	// corrected says whether copies are corrected, and shrinkage takes what makes up for it.
	corrected *checkBox
	shrinkage *pressButton
	scroll    *container.Scroll
	fields    []*processField
	shown     process.Process
	drawing   bool
}

// A processField is one number: its entry, where the number comes from, and what is wrong.
type processField struct {
	field process.Field
	entry *tippedEntry
	from  *tippedCaption
	fault *widget.Label
	wrong fyne.CanvasObject // the fault's line
}

// A processChoice chooses among the processes to begin with and the maker's own.
type processChoice struct {
	*selectBox
	all     []process.Process
	filling bool
}

func newProcessChoice(w *Window) *processChoice {
	c := &processChoice{}
	c.selectBox = newSelect(nil, func(string) {
		if i := c.SelectedIndex(); !c.filling && i >= 0 && i < len(c.all) {
			w.bench.SetProcess(c.all[i])
		}
	})
	c.SetToolTip(text.ProcessTip)
	return c
}

// draw fills the choice; a process whose numbers are not those that are kept stands there as
// changed.
func (c *processChoice) draw(v state.View) {
	c.filling = true
	defer func() { c.filling = false }()
	c.all = nil
	for _, p := range process.Presets() {
		c.all = append(c.all, p.Process)
	}
	c.all = append(c.all, v.Processes...)
	now, at := v.Judged.Process, -1
	var names []string
	for i, p := range c.all {
		names = append(names, text.ProcessName(p.Name))
		if p == now {
			at = i
		}
	}
	if at < 0 {
		_, known := v.BaseProcess()
		at = len(c.all)
		c.all, names = append(c.all, now), append(names, text.ProcessShown(now, known))
	}
	choose(c.selectBox, names, at)
}

// showProcess opens the page.
func (w *Window) showProcess() {
	if w.process.panel == nil {
		w.bench.WantProcesses()
		w.process.build()
		w.process.draw(w.bench.View())
	}
}

func (p *processPage) build() {
	w, b := p.w, p.w.bench
	press := func(label, tip string, do func()) *pressButton {
		t := newPress(label, do)
		t.SetToolTip(tip)
		t.onEscape = p.close
		return t
	}
	p.shown = process.Process{}
	p.choice = newProcessChoice(w)
	p.was = press(text.AsItWas, text.AsItWasTip, func() {
		if base, ok := b.View().BaseProcess(); ok {
			b.SetProcess(base.Process)
			w.canvas().Focus(p.fields[0].entry) // the button can no longer be pressed
		}
	})
	save := press(text.SaveProcess, text.SaveProcessTip, func() {
		w.askText(text.SaveProcessName, text.LabelName, "", func(name string) { b.SaveProcess(text.ProcessTyped(name)) })
	})
	p.forget = press(text.ForgetProcess, text.ForgetProcTip, func() {
		b.ForgetProcess(b.View().Judged.Process.Name)
		w.canvas().Focus(p.fields[0].entry)
	})
	p.gauge = press(text.StepGauge.Name(), text.StepGauge.Tip(), w.showGauge)
	p.says = newNote()
	p.said = tightNote(p.says)
	intro := newNote()
	intro.SetText(text.ProcessIntro)
	top := container.New(layout.NewCustomPaddedVBoxLayout(4),
		container.New(columns{widths: []float32{66, 0, 92, 82, 72, 112}, gap: 8},
			newCaption(text.LabelProcess, theme.SizeNameText, theme.ColorNameForeground), p.choice.selectBox, p.was, save, p.forget, p.gauge),
		p.said, tightNote(intro))

	rows := container.New(layout.NewCustomPaddedVBoxLayout(2))
	p.scroll = container.NewVScroll(container.New(padded{0, 0, 14, 0}, rows))
	p.fields = nil
	for _, g := range text.FieldGroups() {
		rows.Add(container.New(padded{0, 8, 0, 0}, heading(g.Title)))
		if g.Fields[0] == process.Skin {
			p.addMaterial(rows)
		}
		for _, f := range g.Fields {
			if f == process.CorrectionX {
				p.addCorrected(rows, press)
			}
			p.add(rows, f)
			if f == process.Price {
				p.money = p.entry(text.MoneyTip)
				p.money.OnChanged = b.TypeMoney
				rows.Add(p.line(text.LabelMoney, "", p.money, newTippedCaption(theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)))
			}
		}
	}

	done := press(text.AnswerClose, text.AnswerClose, p.close)
	p.panel = w.open(text.ProcessPage, fyne.NewSize(900, 600), newFrame(top, p.scroll, container.NewWithoutLayout()), done, done)
	p.panel.leave, p.panel.undoes = p.close, true
	w.canvas().Focus(p.fields[0].entry)
}

// line is a row of the page: a name, its field, a unit, and a remark.
func (p *processPage) line(name, unit string, field, remark fyne.CanvasObject) *fyne.Container {
	return container.New(columns{widths: []float32{170, 90, 60, 0}, gap: 8},
		newCaption(name, theme.SizeNameText, theme.ColorNameForeground), field,
		newCaption(unit, theme.SizeNameText, theme.ColorNamePlaceHolder), remark)
}

// entry is a field that is scrolled to when the keyboard comes to it.
func (p *processPage) entry(tip string) *tippedEntry {
	e := newEntry()
	e.SetToolTip(tip)
	e.onEscape = p.close
	e.onFocus = func() { reveal(p.scroll, e) }
	return e
}

// reveal scrolls as little as shows an object.
func reveal(scroll *container.Scroll, o fyne.CanvasObject) {
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	const around = 30 // the line under it, too
	y, room := place(o).Y-place(scroll).Y, scroll.Size().Height
	offset := scroll.Offset
	switch {
	case y < around:
		offset.Y += y - around
	case y+o.Size().Height > room-around:
		offset.Y += y + o.Size().Height - room + around
	default:
		return
	}
	scroll.ScrollToOffset(offset)
}

func (p *processPage) add(rows *fyne.Container, f process.Field) {
	name, hint, unit := text.LimitName(f)
	r := &processField{field: f, from: newTippedCaption(theme.SizeNameCaptionText, theme.ColorNamePlaceHolder), fault: newNote()}
	r.entry = p.entry(hint)
	r.fault.Importance = widget.DangerImportance
	r.wrong = container.New(padded{178, 0, 0, 2}, tightNote(r.fault))
	r.wrong.Hide()
	r.entry.OnChanged = func(typed string) { p.say(r, p.w.bench.TypeProcess(f, typed)) }
	r.entry.onBlur = func() { p.settle(r) }
	p.fields = append(p.fields, r)
	rows.Add(p.line(name, unit, r.entry, r.from))
	rows.Add(r.wrong)
}

// say shows what is wrong with a number, nil for nothing.
func (p *processPage) say(r *processField, err error) {
	r.fault.SetText("")
	if err != nil {
		r.fault.SetText(text.Error(err).String())
	}
	if r.wrong.Visible() != (err != nil) {
		showIf(err != nil, r.wrong)
		p.scroll.Content.Refresh()
		p.scroll.Refresh()
	}
}

// settle writes a number as it is in force once the keyboard has left it; one that is wrong
// stays, with what is wrong.
func (p *processPage) settle(r *processField) {
	if !r.wrong.Visible() {
		r.entry.show(text.ProcessNumber(r.field, *p.shown.Number(r.field)))
	}
}

func (p *processPage) addMaterial(rows *fyne.Container) {
	p.material = newSelect(nil, func(string) {
		if all := process.Materials(); !p.drawing && p.material.SelectedIndex() >= 0 && p.material.SelectedIndex() < len(all) {
			p.w.bench.SetMaterial(all[p.material.SelectedIndex()].Material)
		}
	})
	p.material.SetToolTip(text.MaterialTip)
	rows.Add(container.New(columns{widths: []float32{170, 0}, gap: 8},
		newCaption(text.LabelMaterial, theme.SizeNameText, theme.ColorNameForeground), p.material))
}

// addCorrected puts the choice of correcting copies above its numbers.
func (p *processPage) addCorrected(rows *fyne.Container, press func(label, tip string, do func()) *pressButton) {
	p.corrected = newCheck(text.LabelCorrected, func(on bool) {
		if !p.drawing {
			p.w.bench.CorrectCopies(on)
		}
	})
	p.corrected.SetToolTip(text.CorrectedTip)
	p.shrinkage = press(text.FromShrinkage, text.FromShrinkTip, p.w.bench.CorrectShrinkage)
	rows.Add(container.New(columns{widths: []float32{0, 150}, gap: 8}, p.corrected, p.shrinkage))
}

func (p *processPage) close() {
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
		p.w.canvas().Focus(p.w.drawer.process)
	}
}

func (p *processPage) draw(v state.View) {
	if p.panel == nil {
		return
	}
	p.drawing = true
	defer func() { p.drawing = false }()
	now := v.Judged.Process
	p.choice.draw(v)
	base, known := v.BaseProcess()
	enableIf(known && base.Process != now, p.was)
	own := false
	for _, q := range v.Processes {
		own = own || q.Name == now.Name
	}
	enableIf(own, p.forget)
	p.says.SetText("")
	if v.Notice != nil {
		p.says.SetText(text.Error(v.Notice).String())
	}
	showIf(v.Notice != nil, p.said)
	news := now != p.shown
	p.shown = now
	for _, r := range p.fields {
		n := *now.Number(r.field)
		if typed, err := state.ProcessNumber(r.field, r.entry.Text); news && (err != nil || typed != n || r.entry.Text == "" && p.w.canvas().Focused() != r.entry) {
			r.entry.show(text.ProcessNumber(r.field, n))
			p.say(r, nil)
		}
		source := base.Sources[r.field]
		if r.field == process.Density {
			for _, m := range process.Materials() {
				if m.Material.Name == now.Material.Name && m.Material.Density == n {
					source, base.Process.Material.Density = m.Sources[r.field], n
				}
			}
		}
		r.from.tell(text.NumberFrom(r.field, now, base.Process, source, known))
	}
	p.money.show(now.Material.Money)
	p.corrected.SetChecked(now.Correction.On)
	enableIf(now.Correction.Corrects(), p.corrected)
	enableIf(process.ForShrinkage(now.Material).Whole() != now.Correction.Whole(), p.shrinkage)
	var names []string
	at := -1
	for i, m := range process.Materials() {
		names = append(names, text.MaterialName(m.Material.Name))
		if m.Material.Name == now.Material.Name {
			at = i
		}
	}
	choose(p.material, names, at)
	p.panel.pop.Refresh()
}
