package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/gauge"
	"scantling/engine/process"
)

// A gaugePage saves the step gauge, and takes what came out of a printed one.
type gaugePage struct {
	w      *Window
	panel  *panel // nil while it is closed
	title  *caption
	says   *widget.Label
	said   fyne.CanvasObject // the line of says
	scroll *container.Scroll
	fields []*gaugeField
	plan   *gaugePlan
	name   *tippedEntry
	keep   *pressButton
	last   gauge.Field     // that had the keyboard last
	of     process.Process // in force
	planOf string          // where the gauge was saved that the plan is of
	since  state.Gauged    // what was done before the page was opened
	read   state.GaugeReading
}

// A gaugeField is one reading: its entry, what it changes, and what is wrong.
type gaugeField struct {
	field gauge.Field
	entry *tippedEntry
	makes *tippedCaption
	fault *widget.Label
	wrong fyne.CanvasObject // the fault's line
}

// gaugePlanWidth is how wide the plan is, device-independent pixels: three to a millimetre.
const gaugePlanWidth = 198

// showGauge opens the page.
func (w *Window) showGauge() {
	if w.gauge.panel == nil {
		w.bench.WantProcesses()
		w.gauge.build()
		w.gauge.draw(w.bench.View())
	}
}

func (p *gaugePage) build() {
	w, b := p.w, p.w.bench
	p.since, p.of, p.last, p.fields = b.View().Gauged, process.Process{}, gauge.Wall, nil
	press := func(label, tip string, do func()) *pressButton {
		t := newPress(label, do)
		t.SetToolTip(tip)
		t.onEscape = p.close
		return t
	}
	p.title = newCaption("", theme.SizeNameText, theme.ColorNameForeground)
	p.title.tight = true
	save := press(text.SaveGauge, text.SaveGaugeTip, p.save)
	p.says = newNote()
	p.said = tightNote(p.says)
	intro := newNote()
	intro.SetText(text.GaugeIntro)
	top := container.New(layout.NewCustomPaddedVBoxLayout(4),
		container.New(columns{widths: []float32{70, 0, 150}, gap: 8},
			newCaption(text.LabelProcess, theme.SizeNameText, theme.ColorNameForeground), p.title, save),
		tightNote(intro), p.said)

	rows := container.New(layout.NewCustomPaddedVBoxLayout(2))
	p.scroll = container.NewVScroll(container.New(padded{0, 0, 14, 0}, rows))
	p.plan = newGaugePlan(w, p.press)
	rows.Add(heading(text.GaugeStrips))
	for _, f := range gauge.Fields() {
		if f == gauge.LengthX {
			rows.Add(container.New(padded{0, 8, 0, 0}, heading(text.GaugeLengths)))
		}
		p.add(rows, f)
	}

	p.name = newEntry()
	p.name.onEscape = p.close
	p.name.SetToolTip(text.KeepAsTip)
	p.name.SetText(text.GaugeName(b.View().Judged.Process))
	p.name.OnChanged = func(string) { p.fill() }
	p.keep = press(text.KeepReadings, text.KeepReadTip, func() {
		b.KeepReadings(p.read.Readings, text.ProcessTyped(p.name.Text))
		w.canvas().Focus(p.fields[0].entry)
	})
	p.keep.Importance = widget.HighImportance
	p.name.OnSubmitted = func(string) {
		if !p.keep.Disabled() {
			p.keep.OnTapped()
		}
	}
	caution := newNote()
	caution.SetText(text.GaugeCaution)
	done := press(text.AnswerClose, text.AnswerClose, p.close)
	keepAs := container.New(columns{widths: []float32{70, 0, 120}, gap: 8},
		newCaption(text.LabelKeepAs, theme.SizeNameText, theme.ColorNameForeground), p.name, p.keep)
	body := newFrame(top, container.NewBorder(nil, nil, nil, p.plan, p.scroll),
		container.New(layout.NewCustomPaddedVBoxLayout(4), keepAs, tightNote(caution)))
	p.panel = w.open(text.GaugePage, fyne.NewSize(800, 690), body, done, done)
	p.panel.leave, p.panel.undoes = p.close, true
	w.canvas().Focus(p.fields[0].entry)
}

func (p *gaugePage) add(rows *fyne.Container, f gauge.Field) {
	name, hint, unit := text.GaugeField(f)
	r := &gaugeField{field: f, entry: newEntry(), makes: newTippedCaption(theme.SizeNameCaptionText, theme.ColorNamePlaceHolder), fault: newNote()}
	r.entry.SetToolTip(hint)
	r.entry.onEscape = p.close
	if f.Drawn() > 0 {
		r.entry.SetPlaceHolder(text.GaugeSize(f.Drawn()))
	}
	r.entry.onFocus = func() {
		p.last = f
		p.plan.mark(f.Strip())
		reveal(p.scroll, r.entry)
	}
	r.fault.Importance = widget.DangerImportance
	r.wrong = container.New(padded{168, 0, 0, 2}, tightNote(r.fault))
	r.wrong.Hide()
	r.entry.OnChanged = func(string) { p.fill() }
	p.fields = append(p.fields, r)
	rows.Add(container.New(columns{widths: []float32{160, 70, 26, 0}, gap: 8},
		newCaption(name, theme.SizeNameText, theme.ColorNameForeground), r.entry,
		newCaption(unit, theme.SizeNameText, theme.ColorNamePlaceHolder), r.makes))
	rows.Add(r.wrong)
}

// press reads the step that was pressed: in the field that has the keyboard, where it is one of
// its strip, and in the first one of the strip otherwise.
func (p *gaugePage) press(step gauge.Step) {
	var into *gaugeField
	for _, r := range p.fields {
		if r.field.Strip() == step.Kind && r.field.Drawn() == 0 && (into == nil || r.field == p.last) {
			into = r
		}
	}
	if into != nil {
		into.entry.SetText(text.GaugeSize(step.MM))
		p.w.canvas().Focus(into.entry)
	}
}

// save asks where the gauge is to be saved.
func (p *gaugePage) save() {
	b := p.w.bench
	p.w.chooseSave(Ask{Title: text.SaveGauge, Folder: b.Folder(state.ForGauges), Kind: text.GaugesChosen, Extensions: []string{".stl"}, Name: text.GaugeFile}, b.SaveGauge)
}

func (p *gaugePage) close() {
	if p.panel == nil {
		return
	}
	p.panel.close()
	p.panel = nil
	if p.w.process.panel != nil {
		p.w.canvas().Focus(p.w.process.gauge)
		return
	}
	p.w.canvas().Focus(p.w.drawer.process)
}

func (p *gaugePage) draw(v state.View) {
	if p.panel == nil {
		return
	}
	now := v.Judged.Process
	base, known := v.BaseProcess()
	p.title.set(text.ProcessShown(now, known && base.Process != now))
	// It is that of the gauge that was printed: readings that change the limits leave it alone.
	if p.plan.plan == nil || p.planOf != v.Gauged.Saved {
		p.planOf = v.Gauged.Saved
		if g, err := gauge.Make(now); err == nil { // a dozen milliseconds
			p.plan.plan = sheet.NewGaugePlan(g)
		}
	}
	p.of = now
	says := text.GaugeDone(p.since, v.Gauged)
	if v.Notice != nil {
		says = text.Error(v.Notice).String()
	}
	p.says.SetText(says)
	showIf(says != "", p.said)
	p.fill()
	p.panel.pop.Refresh()
}

// fill reads all fields anew and says what they change.
func (p *gaugePage) fill() {
	typed := map[gauge.Field]string{}
	for _, r := range p.fields {
		typed[r.field] = r.entry.Text
	}
	p.read = state.ReadGauge(p.of, typed)
	moved := false
	for _, r := range p.fields {
		err := p.read.Faults[r.field]
		r.fault.SetText("")
		if err != nil {
			r.fault.SetText(text.Error(err).String())
		}
		moved = moved || r.wrong.Visible() != (err != nil)
		showIf(err != nil, r.wrong)
		_, read := p.read.Readings[r.field]
		r.makes.tell(text.GaugeChange(r.field, p.of, p.read.After, read))
		if strings.TrimSpace(r.entry.Text) != "" {
			r.makes.paint(theme.ColorNameForeground)
		} else {
			r.makes.paint(theme.ColorNamePlaceHolder)
		}
	}
	if moved {
		p.scroll.Content.Refresh()
		p.scroll.Refresh()
	}
	p.plan.draw(p.read.Readings)
	enableIf(len(p.read.Readings) > 0 && len(p.read.Faults) == 0 && strings.TrimSpace(p.name.Text) != "", p.keep)
}
