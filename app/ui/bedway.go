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
	"scantling/engine/ways"
)

// A bedBody has the printer and its bed, how parts may be turned, and what limits the kit.
type bedBody struct {
	p       *factorPane
	root    *fyne.Container
	printer *selectBox
	own     int // how many of printers are the maker's own
	beds    []judge.Bed
	forget  *pressButton
	round   *checkBox
	turning *selectBox
	pose    *pressButton
	lines   *fyne.Container
	notes   []*widget.Label
}

func newBedBody(p *factorPane) *bedBody {
	d := &bedBody{p: p}
	b, k := p.w.bench, ways.ByBed
	d.printer = p.choice(text.PrinterTip, func(i int) {
		if i < len(d.beds) {
			b.UseBed(d.beds[i])
		}
	})
	d.forget = newPress("", func() {
		if i := d.printer.SelectedIndex(); i >= 0 && i < d.own {
			b.ForgetPrinter(p.view.Printers[i].Name)
		}
	})
	d.forget.Icon = theme.DeleteIcon()
	d.forget.SetToolTip(text.ForgetTip)
	printer := container.New(columns{widths: []float32{labelWidth, 0, 30}, gap: 6},
		newCaption(text.LabelPrinter, theme.SizeNameText, theme.ColorNameForeground), d.printer, d.forget)

	d.turning = p.choice(text.TurningTip, func(i int) { b.SetTurning(judge.Turning(i)) })
	d.pose = newPress("", func() { p.w.run(p.w.byID[text.ShowPose]) })
	d.pose.Icon = theme.VisibilityIcon()
	d.pose.SetToolTip(p.w.byID[text.ShowPose].tip())
	d.lines = container.New(layout.NewCustomPaddedVBoxLayout(0))
	box := container.New(layout.NewCustomPaddedVBoxLayout(4), printer,
		container.New(columns{widths: []float32{labelWidth, 0, 30}, gap: 6},
			newCaption(text.LabelTurning, theme.SizeNameText, theme.ColorNameForeground), d.turning, d.pose),
		d.lines)
	const label = 52
	for _, pair := range [][2]state.Input{{state.InBedX, state.InBedY}, {state.InBedZ, state.InBedMargin}} {
		left, right := p.field(k, pair[0], label), p.field(k, pair[1], label)
		box.Add(container.NewGridWithColumns(2, left.line, right.line))
		box.Add(left.fault)
		box.Add(right.fault)
	}
	p.first[k] = p.fields[state.InBedX][0]
	brim := p.field(k, state.InBedBrim, label)
	d.round = newCheck(text.LabelRound, func(on bool) {
		if !p.drawing {
			b.SetRound(on)
		}
	})
	d.round.SetToolTip(text.RoundTip)
	box.Add(container.NewGridWithColumns(2, brim.line, d.round))
	box.Add(brim.fault)

	name := p.field(k, state.InPrinter, labelWidth)
	name.entry.OnSubmitted = func(string) { b.SavePrinter() }
	keep := newPress(text.LabelKeepPrinter, b.SavePrinter)
	keep.SetToolTip(text.KeepPrinterTip)
	name.line.Layout = columns{widths: []float32{labelWidth, 0, 62}, gap: 6}
	name.line.Add(keep)
	name.label.set(text.LabelSaveAs)
	box.Add(name.root)
	d.root = container.New(padded{14, 4, 10, 8}, box)
	return d
}

func (d *bedBody) draw(v state.View) {
	d.p.w.bench.WantPrinters()
	d.own, d.beds = len(v.Printers), nil
	var names []string
	for _, p := range v.Printers {
		d.beds, names = append(d.beds, p.Bed), append(names, p.Name)
	}
	for _, b := range judge.UsualBeds() {
		d.beds, names = append(d.beds, b), append(names, text.BedSize(b, v.Sheet.Inches))
	}
	at := slices.Index(d.beds, v.Bed)
	d.printer.PlaceHolder = text.LabelOtherBed
	if at < 0 && d.printer.Selected != "" {
		d.printer.ClearSelected()
	}
	choose(d.printer, names, at)
	enableIf(at >= 0 && at < d.own, d.forget)
	if d.round.Checked != v.Bed.Round {
		d.round.SetChecked(v.Bed.Round)
	}
	var turnings []string
	for t := judge.AsItLies; t <= judge.Free; t++ {
		name, _ := text.Turning(t)
		turnings = append(turnings, name)
	}
	choose(d.turning, turnings, int(v.Way.Turn))
	_, hint := text.Turning(v.Way.Turn)
	d.turning.SetToolTip(hint)

	says := text.BedSays(v)
	for len(d.notes) < len(says) {
		l := newNote()
		d.notes = append(d.notes, l)
		d.lines.Add(tightNote(l))
	}
	for i, o := range d.lines.Objects {
		showIf(i < len(says), o)
		if i < len(says) {
			d.notes[i].SetText(says[i])
		}
	}
	enableIf(len(v.Parts) > 0, d.pose)
}
