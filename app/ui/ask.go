package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"scantling/app/text"
)

// A panel lies over the window until it is closed; Escape closes it.
type panel struct {
	w      *Window
	pop    *widget.PopUp
	leave  func() // what Escape does
	asks   bool   // it waits for an answer
	undoes bool   // what it changes can be undone while it is open
	ended  bool
}

// open lays a panel over the window: a title, a body that takes the room, and buttons. The
// focus goes to first. Escape closes the panel, unless its leave is set to something else.
func (w *Window) open(title string, size fyne.Size, body fyne.CanvasObject, first fyne.Focusable, buttons ...fyne.CanvasObject) *panel {
	p := &panel{w: w}
	p.leave = p.close
	head := newCaption(title, theme.SizeNameSubHeadingText, theme.ColorNameForeground)
	head.style.Bold = true
	row := append([]fyne.CanvasObject{layout.NewSpacer()}, buttons...)
	content := newFrame(container.New(padded{0, 0, 0, 8}, head), body,
		container.New(padded{0, 10, 0, 0}, container.NewHBox(row...)))
	ground := canvas.NewRectangle(color.Transparent)
	ground.SetMinSize(size)
	p.pop = widget.NewModalPopUp(container.NewStack(ground, container.New(padded{14, 10, 14, 10}, content)), w.canvas())
	fynetooltip.AddPopUpToolTipLayer(p.pop)
	p.pop.Show()
	w.canvas().Focus(first)
	w.panels = append(w.panels, p)
	return p
}

// close takes the panel away, once.
func (p *panel) close() {
	if p.ended {
		return
	}
	p.ended = true
	p.pop.Hide()
	fynetooltip.DestroyPopUpToolTipLayer(p.pop)
	for i, q := range p.w.panels {
		if q == p {
			p.w.panels = append(p.w.panels[:i], p.w.panels[i+1:]...)
			break
		}
	}
}

// An answer is a button of a question.
type answer struct {
	label  string
	strong bool
	do     func()
}

// ask puts a question; the last answer is what Escape gives, the first one has the focus.
func (w *Window) ask(question, detail string, answers ...answer) {
	body := widget.NewLabel(detail)
	body.Wrapping = fyne.TextWrapWord
	var p *panel
	buttons := make([]fyne.CanvasObject, len(answers))
	var first *pressButton
	leave := func() {
		p.close()
		answers[len(answers)-1].do()
	}
	for i, a := range answers {
		b := newPress(a.label, func() {
			p.close()
			a.do()
		})
		b.onEscape = leave
		if a.strong {
			b.Importance = widget.HighImportance
		}
		if i == 0 {
			first = b
		}
		// The strongest answer stands at the right end.
		buttons[len(answers)-1-i] = b
	}
	size := fyne.NewSize(460, 130)
	body.Resize(fyne.NewSize(size.Width-28, 0)) // as wide as it will be, it knows how high it must be
	size.Height = max(size.Height, body.MinSize().Height+90)
	p = w.open(question, size, body, first, buttons...)
	p.asks, p.leave = true, leave
}

// tell shows paragraphs until they are closed.
func (w *Window) tell(title string, paragraphs ...string) {
	box := container.NewVBox()
	for _, s := range paragraphs {
		l := widget.NewLabel(s)
		l.Wrapping = fyne.TextWrapWord
		box.Add(l)
	}
	w.show(title, fyne.NewSize(560, 360), box)
}

// show shows a body that scrolls, until it is closed.
func (w *Window) show(title string, size fyne.Size, body fyne.CanvasObject) {
	var p *panel
	done := newPress(text.AnswerClose, func() { p.close() })
	done.onEscape = func() { p.close() }
	p = w.open(title, size, container.NewVScroll(body), done, done)
}

// askText asks for one line.
func (w *Window) askText(title, label, old string, done func(string)) {
	entry := newEntry()
	entry.SetText(old)
	var p *panel
	leave := func() { p.close() }
	take := func() {
		p.close()
		done(entry.Text)
	}
	entry.onEscape = leave
	entry.OnSubmitted = func(string) { take() }
	no := newPress(text.AnswerCancel, leave)
	no.onEscape = leave
	yes := newPress(text.AnswerOK, take)
	yes.onEscape = leave
	yes.Importance = widget.HighImportance
	body := container.NewVBox(container.New(columns{widths: []float32{labelWidth, 0}, gap: 6},
		newCaption(label, theme.SizeNameText, theme.ColorNameForeground), entry))
	p = w.open(title, fyne.NewSize(420, 120), body, entry, no, yes)
	entry.selectAll()
}
