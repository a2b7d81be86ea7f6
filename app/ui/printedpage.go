package ui

import (
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
	"scantling/engine/mesh"
)

// A printedPage makes a person to print, over the window.
type printedPage struct {
	w       *Window
	panel   *panel // nil while it is closed
	stature *tippedEntry
	posture *ttwidget.Select
	base    *ttwidget.Check
	seat    *ttwidget.Check
	says    *widget.Label
	fault   *widget.Label
	picture *canvas.Image
	save    *pressButton
	shown   *mesh.Mesh // in the picture
	colours *palette   // of the picture
	drawing bool
}

// The picture of the figure, device-independent pixels; it has twice as many of its own.
const printedW, printedH = 260, 420

// showPrinted opens the page.
func (w *Window) showPrinted() {
	if w.person.panel == nil {
		w.person.build()
		w.person.make()
	}
}

func (p *printedPage) build() {
	w := p.w
	p.shown = nil
	p.stature = newEntry()
	p.stature.SetText(text.FirstStature)
	p.stature.SetToolTip(text.PrintedTip)
	p.stature.onEscape = p.close
	p.stature.OnChanged = func(string) { p.make() }
	var poses []string
	for _, pose := range figure.Poses() {
		poses = append(poses, text.PoseName(pose))
	}
	p.drawing = true
	p.posture = ttwidget.NewSelect(poses, func(string) { p.make() })
	p.posture.SetSelectedIndex(max(0, slices.Index(figure.Poses(), figure.Stands)))
	p.base = ttwidget.NewCheck(text.LabelBase, func(bool) { p.make() })
	p.base.SetChecked(true)
	p.seat = ttwidget.NewCheck(text.LabelSeat, func(bool) { p.make() })
	p.seat.SetChecked(true)
	p.drawing = false
	p.says, p.fault = newNote(), newNote()
	p.fault.Importance = widget.DangerImportance
	p.picture = canvas.NewImageFromImage(nil)
	p.picture.FillMode = canvas.ImageFillContain
	p.picture.SetMinSize(fyne.NewSize(printedW, printedH))
	line := func(label string, o fyne.CanvasObject) fyne.CanvasObject {
		return container.New(columns{widths: []float32{80, 170}, gap: 8}, newCaption(label, theme.SizeNameText, theme.ColorNameForeground), o)
	}
	intro, care := newNote(), newNote()
	intro.SetText(text.PrintedIntro)
	care.SetText(text.PrintedCare)
	form := container.New(layout.NewCustomPaddedVBoxLayout(6), tightNote(intro), line(text.LabelTall, p.stature), line(text.LabelHolds, p.posture),
		p.base, p.seat, tightNote(p.fault), tightNote(p.says), tightNote(care))
	p.save = newPress(text.SavePrinted, p.ask)
	p.save.SetToolTip(text.SavePrintTip)
	p.save.Importance = widget.HighImportance
	p.save.onEscape = p.close
	done := newPress(text.AnswerClose, p.close)
	done.onEscape = p.close
	p.panel = w.open(text.PrintedPage, fyne.NewSize(720, 540), container.NewBorder(nil, nil, nil, p.picture, form), p.save, done, p.save)
	p.panel.leave = p.close
	w.canvas().Focus(p.stature)
}

// make asks for the figure as it is described.
func (p *printedPage) make() {
	if p.drawing || p.panel == nil {
		return
	}
	pose := figure.Poses()[max(0, p.posture.SelectedIndex())]
	p.w.bench.FigureToPrint(p.stature.Text, pose, p.base.Checked, p.seat.Checked)
}

// ask asks where the figure is to be saved.
func (p *printedPage) ask() {
	w, b := p.w, p.w.bench
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Save(w.ctx, a) },
		Ask{Title: text.PrintedPage, Folder: b.Folder(state.ForGauges), Kind: text.PrintedChosen, Extensions: []string{".stl", ".3mf"}, Name: text.PrintedFile},
		func(got any) {
			path, asked := got.(string), true
			if ext := strings.ToLower(filepath.Ext(path)); ext != ".stl" && ext != ".3mf" {
				path, asked = path+".stl", false // nobody was asked whether that may be replaced
			}
			b.SavePrinted(path, text.MannequinTag(b.View().Printed.Spec.Ratio), asked)
		})
}

func (p *printedPage) close() {
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
		p.w.canvas().Focus(p.w.sheet.view)
	}
}

func (p *printedPage) draw(v state.View) {
	if p.panel == nil {
		return
	}
	now := v.Printed
	showIf(now.Spec.Pose == figure.Sits, p.seat)
	says := text.PrintedMaking
	if !now.Busy {
		says = text.PrintedSays(now, v)
	}
	if now.Made.Mesh != nil {
		says = strings.Join(append([]string{says}, text.MannequinNotes(now.Made, now.Spec)...), "\n")
		if saved := text.PrintedSaved(now); saved != "" {
			says += "\n" + saved
		}
	}
	p.fault.SetText("")
	switch {
	case now.Err != nil:
		p.fault.SetText(text.Error(now.Err).String())
		says = ""
	case v.Notice != nil:
		p.fault.SetText(text.Error(v.Notice).String())
	}
	p.says.SetText(says)
	if colours := p.w.palette(); now.Made.Mesh != p.shown || colours != p.colours {
		p.shown, p.colours = now.Made.Mesh, colours
		p.picture.Image = nil
		if p.shown != nil {
			p.picture.Image = mannequin.Picture(p.shown, 0.5, 0.2, 2*printedW, 2*printedH, colours.light)
		}
		p.picture.Refresh()
	}
	enableIf(now.Made.Mesh != nil && !now.Busy, p.save)
	p.panel.pop.Refresh()
}
