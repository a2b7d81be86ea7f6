package ui

import (
	"image"
	"image/color"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
)

// A printedPage makes a person to print, over the window.
type printedPage struct {
	w           *Window
	panel       *panel // nil while it is closed
	ratio       *tippedEntry
	ratioFault  *widget.Label
	person      *tippedEntry
	people      *pressButton
	personFault *widget.Label
	posture     *selectBox
	base        *checkBox
	seat        *checkBox
	says        *widget.Label
	fault       *widget.Label
	saved       *widget.Label
	lines       map[*widget.Label]fyne.CanvasObject // of notes that may have nothing to say
	making      *fyne.Container                     // how far it is, and what ends it
	bar         *widget.ProgressBar
	cancel      *pressButton
	plan        *printedPlan
	asSTL       *pressButton
	as3MF       *pressButton
	busy        bool
	made        mannequin.Spec // what is being made, or was last
	drawing     bool
}

// showPrinted opens the page.
func (w *Window) showPrinted() {
	if w.person.panel == nil {
		w.person.build()
		w.person.make()
	}
}

func (p *printedPage) build() {
	w := p.w
	press := func(label, tip string, do func()) *pressButton {
		t := newPress(label, do)
		t.SetToolTip(tip)
		t.onEscape = p.leave
		return t
	}
	entry := func(tip string) *tippedEntry {
		e := newEntry()
		e.SetToolTip(tip)
		e.onEscape = p.leave
		e.OnChanged = func(string) { p.make() }
		return e
	}
	p.drawing = true
	p.lines = map[*widget.Label]fyne.CanvasObject{}
	note := func(importance widget.Importance) *widget.Label {
		l := newNote()
		l.Importance = importance
		p.lines[l] = tightNote(l)
		return l
	}
	p.ratio, p.person = entry(text.PrintedAtTip), entry(text.PrintedTip)
	p.person.SetText(text.FirstPerson)
	p.people = press("", text.PeopleTip, nil)
	p.people.Icon = theme.MenuDropDownIcon()
	p.people.OnTapped = func() {
		var items []*fyne.MenuItem
		for _, of := range figure.Populations() {
			items = append(items, fyne.NewMenuItem(text.PopulationChoice(of, w.bench.View().Sheet.Inches), func() { p.person.SetText(string(of)) }))
		}
		widget.ShowPopUpMenuAtRelativePosition(fyne.NewMenu("", items...), w.canvas(), fyne.NewPos(0, p.people.Size().Height), p.people)
	}
	p.ratioFault, p.personFault, p.fault = note(widget.DangerImportance), note(widget.DangerImportance), note(widget.DangerImportance)
	p.says, p.saved = note(widget.MediumImportance), note(widget.MediumImportance)
	var poses []string
	for _, pose := range figure.Poses() {
		poses = append(poses, text.PoseName(pose))
	}
	p.posture = newSelect(poses, func(string) { p.make() })
	p.posture.SetSelectedIndex(max(0, slices.Index(figure.Poses(), figure.Stands)))
	p.base = newCheck(text.LabelBase, func(bool) { p.make() })
	p.base.SetChecked(true)
	p.seat = newCheck(text.LabelSeat, func(bool) { p.make() })
	p.seat.SetChecked(true)
	p.bar = widget.NewProgressBar()
	p.bar.TextFormatter = func() string { return "" }
	p.cancel = press(text.AnswerCancel, text.AnswerCancel, p.stopOrMake)
	p.making = container.New(columns{widths: []float32{0, 90}, gap: 8}, container.New(flat(12), p.bar), p.cancel)
	p.plan = newPrintedPlan(w)
	p.drawing = false

	line := func(label string, o ...fyne.CanvasObject) fyne.CanvasObject {
		widths := []float32{70, 0, 30}[:len(o)+1]
		return container.New(columns{widths: widths, gap: 8}, append([]fyne.CanvasObject{newCaption(label, theme.SizeNameText, theme.ColorNameForeground)}, o...)...)
	}
	intro, care := newNote(), newNote()
	intro.SetText(text.PrintedIntro)
	care.SetText(text.PrintedCare)
	form := container.New(layout.NewCustomPaddedVBoxLayout(5), tightNote(intro),
		line(text.LabelPrintedAt, p.ratio), p.lines[p.ratioFault], line(text.LabelTall, p.person, p.people), p.lines[p.personFault],
		line(text.LabelHolds, p.posture), p.base, p.seat, p.lines[p.fault], p.lines[p.says], p.making, p.lines[p.saved], tightNote(care))
	p.asSTL = press(text.SavePrintedSTL, text.SavePrintTip, func() { p.ask(".stl") })
	p.asSTL.Importance = widget.HighImportance
	p.as3MF = press(text.SavePrinted3MF, text.SavePrintTip, func() { p.ask(".3mf") })
	done := press(text.AnswerClose, text.AnswerClose, p.close)
	left := container.NewStack(space(340), container.NewVScroll(container.New(padded{0, 0, 14, 0}, form)))
	p.panel = w.open(text.PrintedPage, fyne.NewSize(1060, 620), container.NewBorder(nil, nil, left, nil, p.plan), p.ratio, p.as3MF, p.asSTL, done)
	p.panel.leave = p.leave
}

// make asks for the figure as it is described.
func (p *printedPage) make() {
	if p.drawing || p.panel == nil {
		return
	}
	p.w.bench.FigureToPrint(state.PrintedAsked{Ratio: p.ratio.Text, Person: p.person.Text,
		Pose: figure.Poses()[max(0, p.posture.SelectedIndex())], NoBase: !p.base.Checked, NoSeat: !p.seat.Checked})
}

// stopOrMake ends the making, or begins it again.
func (p *printedPage) stopOrMake() {
	if p.busy {
		p.w.bench.Cancel(state.Figuring)
	} else {
		p.make()
	}
}

// ask asks where the figure is to be saved, in the format of an ending.
func (p *printedPage) ask(ending string) {
	b := p.w.bench
	p.w.chooseSave(Ask{Title: text.PrintedPage, Folder: b.Folder(state.ForGauges), Kind: text.PrintedChosen, Extensions: []string{ending}, Name: text.PrintedFile + ending},
		func(path string, asked bool) {
			b.SavePrinted(path, text.MannequinTag(b.View().Printed.Spec.Ratio), asked)
		})
}

// leave ends the making first, and then the page.
func (p *printedPage) leave() {
	if p.busy {
		p.w.bench.Cancel(state.Figuring)
		return
	}
	p.close()
}

func (p *printedPage) close() {
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
		p.w.bench.Cancel(state.Figuring)
		p.w.canvas().Focus(p.w.sheet.view)
	}
}

func (p *printedPage) draw(v state.View) {
	now, was := v.Printed, p.busy
	p.busy = now.Busy
	if p.panel == nil {
		return
	}
	if was && now.Busy && now.Spec == p.made { // it has only come farther
		p.bar.SetValue(now.Share)
		return
	}
	p.made = now.Spec
	tell := func(l *widget.Label, s string) {
		if l.Text != s {
			l.SetText(s)
		}
		showIf(s != "", p.lines[l])
	}
	p.ratio.SetPlaceHolder(text.PrintedAtHint(v))
	showIf(now.Spec.Pose == figure.Sits, p.seat)
	tell(p.ratioFault, text.PrintedFault(now.RatioErr))
	tell(p.personFault, text.PrintedFault(now.PersonErr))
	other := now.Err
	if now.RatioErr != nil || now.PersonErr != nil {
		other = nil
	}
	tell(p.fault, text.PrintedFault(other))
	says := text.PrintedSays(now, v)
	switch {
	case now.Busy:
		says = text.PrintedMaking
	case now.Stopped:
		says = text.PrintedStopped
	case now.Made.Mesh != nil:
		says = strings.Join(append([]string{says}, text.MannequinNotes(now.Made, now.Spec)...), "\n\n")
	}
	tell(p.says, says)
	tell(p.saved, text.PrintedSaved(now))
	p.bar.SetValue(now.Share)
	showIf(now.Busy, p.bar)
	showIf(now.Busy || now.Stopped, p.making)
	label := text.AnswerCancel
	if now.Stopped {
		label = text.PrintedAgain
	}
	p.cancel.SetText(label)
	p.plan.draw(now, v.Sheet.Inches)
	enableIf(now.Made.Mesh != nil && !now.Busy && !now.IsSaving, p.asSTL, p.as3MF)
	p.panel.pop.Refresh()
}

// A printedPlan is the drawing of a figure to print.
type printedPlan struct {
	widget.BaseWidget
	w       *Window
	raster  *canvas.Raster
	painter painter
	printed state.Printed
	inches  bool
}

func newPrintedPlan(w *Window) *printedPlan {
	p := &printedPlan{w: w}
	p.raster = canvas.NewRaster(p.picture)
	p.raster.ScaleMode = canvas.ImageScalePixels
	p.ExtendBaseWidget(p)
	return p
}

func (p *printedPlan) picture(w, h int) image.Image {
	size := sheet.Size{W: float64(p.Size().Width), H: float64(p.Size().Height)}
	if size.W <= 0 || size.H <= 0 || w <= 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	all := sheet.Rect{Max: sheet.Point{X: size.W, Y: size.H}}
	return p.painter.paint(sheet.DrawPrinted(p.printed, p.inches, size), all, w, h, float64(w)/size.W, p.w.palette())
}

// draw shows a figure, where it is not the one that is shown already: while one is made, the
// window says so twenty times a second.
func (p *printedPlan) draw(now state.Printed, inches bool) {
	was := p.printed
	p.printed, p.inches = now, inches
	if was.Views != now.Views || was.Made.Mesh != now.Made.Mesh || !now.Busy {
		p.Refresh()
	}
}

// CreateRenderer shows the drawing.
func (p *printedPlan) CreateRenderer() fyne.WidgetRenderer {
	room := canvas.NewRectangle(color.Transparent)
	room.SetMinSize(fyne.NewSize(480, 440))
	return widget.NewSimpleRenderer(container.NewStack(room, p.raster))
}

// Refresh paints the drawing anew.
func (p *printedPlan) Refresh() { p.raster.Refresh() }
