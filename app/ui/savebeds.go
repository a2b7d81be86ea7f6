package ui

import (
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/formats"
)

// A bedsPanel saves the beds that the sheet shows, a file each, or the kit in one.
type bedsPanel struct {
	w            *Window
	panel        *panel // nil while it is closed
	says         *widget.Label
	names        *caption
	folder       *tippedEntry
	choose       *pressButton
	replace      *checkBox
	job          *caption
	as3MF, asSTL *pressButton
	one, done    *pressButton
	beds         *state.BedPlan
	saving       bool
	drawing      bool
}

// toggleBeds lays the beds on the sheet, or shows the kit again.
func (w *Window) toggleBeds() {
	if w.bench.View().Sheet.Beds {
		w.bench.EndBeds()
		return
	}
	w.bench.LayBeds()
	w.canvas().Focus(w.sheet.view)
}

// saveBeds lays the beds on the sheet and opens the panel.
func (w *Window) saveBeds() {
	if w.beds.panel == nil {
		w.bench.LayBeds()
		w.beds.build()
		w.beds.draw(w.bench.View())
	}
}

func (p *bedsPanel) build() {
	b := p.w.bench
	press := func(label, tip string, do func()) *pressButton {
		t := newPress(label, do)
		t.SetToolTip(tip)
		t.onEscape = p.close
		return t
	}
	p.says = newNote()
	p.names = newCaption("", theme.SizeNameText, theme.ColorNameForeground)
	p.folder = newEntry()
	p.folder.onEscape = p.close
	p.folder.SetToolTip(text.FolderTip)
	p.folder.OnChanged = func(typed string) {
		if !p.drawing {
			b.SetBedFolder(typed)
		}
	}
	p.choose = press(text.LabelChoose, text.FolderTip, func() {
		p.w.choose(func(ask Ask) (any, error) { return p.w.env.Chooser.Folder(p.w.ctx, ask) },
			Ask{Title: text.LabelFolder, Folder: p.beds.Folder}, func(got any) {
				b.SetBedFolder(got.(string))
				p.folder.show(p.beds.Folder)
			})
	})
	p.replace = newCheck(text.LabelOverwrite, func(on bool) {
		if !p.drawing {
			b.ReplaceBeds(on)
		}
	})
	p.as3MF = press(text.SaveBedsAs3MF, text.SaveBedsTip, func() { b.SaveBeds(formats.ThreeMF) })
	p.as3MF.Importance = widget.HighImportance
	p.asSTL = press(text.SaveBedsAsSTL, text.SaveBedsTip, func() { b.SaveBeds(formats.STL) })
	p.one = press(text.SaveAsOne, text.SaveAsOneTip, p.saveOne)
	p.done = press(text.AnswerClose, text.AnswerClose, p.close)
	p.job = newCaption("", theme.SizeNameCaptionText, theme.ColorNameForeground)
	p.job.tight = true

	intro := newNote()
	intro.SetText(text.SaveBedsIntro)
	top := container.New(layout.NewCustomPaddedVBoxLayout(6),
		container.New(layout.NewCustomPaddedVBoxLayout(2), tightNote(intro), tightNote(p.says)),
		container.New(columns{widths: []float32{60, 0, 92}, gap: 8}, newCaption(text.LabelFolder, theme.SizeNameText, theme.ColorNameForeground), p.folder, p.choose),
		container.New(columns{widths: []float32{60, 0}, gap: 8}, space(0), p.names),
		container.New(columns{widths: []float32{60, 0}, gap: 8}, space(0), p.replace))
	p.panel = p.w.open(text.SaveBedsPage, fyne.NewSize(660, 292), newFrame(top, space(0), p.job), p.as3MF, p.one, p.asSTL, p.as3MF, p.done)
	p.panel.leave, p.panel.undoes = p.close, true
}

// saveOne asks where the kit is to be saved as one package.
func (p *bedsPanel) saveOne() {
	b := p.w.bench
	name := strings.TrimSuffix(filepath.Base(text.Title(b.View().Title)), ".3mf") + ".3mf"
	p.w.chooseSave(Ask{Title: text.SaveAsOne, Folder: b.Folder(state.ForCopies), Kind: text.PackagesChosen, Extensions: []string{".3mf"}, Name: name}, b.SaveTogether)
}

func (p *bedsPanel) close() {
	if p.saving {
		p.w.bench.Cancel(state.Saving)
		return
	}
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
	}
}

func (p *bedsPanel) draw(v state.View) {
	p.saving = false
	job := ""
	for _, j := range v.Jobs {
		if j.ID == state.Saving {
			p.saving, job = true, text.Job(j)
		}
	}
	if p.panel == nil {
		return
	}
	if v.Beds == nil { // another kit was opened
		p.saving = false
		p.close()
		return
	}
	p.drawing = true
	defer func() { p.drawing = false }()
	p.beds = v.Beds
	p.says.SetText(strings.Join(text.BedsSay(v.Beds, v.Sheet.Inches), "\n"))
	p.names.set(text.SaveBedsSay(v))
	if p.w.canvas().Focused() != fyne.Focusable(p.folder) {
		p.folder.show(v.Beds.Folder)
	}
	p.replace.SetChecked(v.Beds.Replace)
	if v.Notice != nil && job == "" {
		job = text.Error(v.Notice).String()
	}
	p.job.set(job)
	label := text.AnswerClose
	if p.saving {
		label = text.AnswerCancel
	}
	p.done.SetText(label)
	enableIf(!p.saving && v.Beds.Ready() && v.Beds.Folder != "", p.as3MF, p.asSTL)
	enableIf(!p.saving && v.Result.Factor.Known(), p.one)
	enableIf(!p.saving, p.folder, p.choose, p.replace)
	p.panel.pop.Refresh()
}
