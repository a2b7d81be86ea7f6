package ui

import (
	"image"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/formats"
)

// A bedsPage shows how the parts lie on beds, over the window, and saves them so.
type bedsPage struct {
	w             *Window
	panel         *panel // nil while it is closed
	plan          *bedPlan
	shown         *caption
	before, after *pressButton
	list          *keyedList
	heads         [3]*caption // over it
	says          *widget.Label
	folder        *tippedEntry
	choose        *pressButton
	replace       *ttwidget.Check
	job           *caption
	as3MF, asSTL  *pressButton
	one, done     *pressButton
	beds          *state.BedPlan
	saving        bool
	inches        bool
	drawing       bool
}

// showBeds opens the page.
func (w *Window) showBeds() {
	if w.beds.panel == nil {
		w.bench.LayBeds()
		w.beds.build()
		w.beds.draw(w.bench.View())
	}
}

func (p *bedsPage) build() {
	b := p.w.bench
	press := func(label, tip string, do func()) *pressButton {
		t := newPress(label, do)
		t.SetToolTip(tip)
		t.onEscape = p.close
		return t
	}
	p.plan = newBedPlan(p.w, func(i int) {
		p.list.Select(i)
		p.list.ScrollTo(i)
	})
	p.before = press(text.BedBefore, text.BedBeforeTip, func() { p.turn(-1) })
	p.after = press(text.BedAfter, text.BedAfterTip, func() { p.turn(1) })
	p.shown = newCaption("", theme.SizeNameText, theme.ColorNameForeground)
	p.shown.align = fyne.TextAlignCenter
	p.shown.style.Bold = true
	cells := columns{widths: []float32{30, 0, 92}, gap: 8, height: 22}
	p.list = newList(22, func() int { return len(p.on()) }, func() fyne.CanvasObject {
		return newLineRow(cells, fyne.TextAlignTrailing, fyne.TextAlignLeading, fyne.TextAlignTrailing)
	}, func(i int, o fyne.CanvasObject) {
		if on := p.on(); i < len(on) {
			number, name, takes := text.BedLine(i, on[i], p.inches)
			o.(*lineRow).show(false, name, number, name, takes)
		}
	})
	p.list.choose = p.plan.mark
	p.list.extra = func(k *fyne.KeyEvent, _ int) bool {
		switch k.Name {
		case fyne.KeyEscape:
			p.close()
		case fyne.KeyLeft:
			p.turn(-1)
		case fyne.KeyRight:
			p.turn(1)
		default:
			return false
		}
		return true
	}
	p.says = newNote()
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
	p.replace = ttwidget.NewCheck(text.LabelOverwrite, func(on bool) {
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
	intro.SetText(text.BedsIntro)
	top := container.New(layout.NewCustomPaddedVBoxLayout(2), tightNote(intro), tightNote(p.says))
	head := container.New(columns{widths: []float32{36, 0, 36}, gap: 6}, p.before, p.shown, p.after)
	over := make([]fyne.CanvasObject, len(p.heads))
	for i := range p.heads {
		p.heads[i] = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
		p.heads[i].tight = true
		over[i] = p.heads[i]
	}
	p.heads[0].align, p.heads[2].align = fyne.TextAlignTrailing, fyne.TextAlignTrailing
	right := newFrame(container.New(layout.NewCustomPaddedVBoxLayout(2), head, container.New(padded{10, 0, 10, 0}, container.New(columns{widths: cells.widths, gap: cells.gap, height: 18}, over...))), p.list, container.NewWithoutLayout())
	middle := container.New(padded{0, 6, 0, 6}, container.NewBorder(nil, nil, nil, container.NewStack(space(330), right), p.plan))
	foot := container.New(layout.NewCustomPaddedVBoxLayout(2),
		container.New(columns{widths: []float32{60, 0, 92, 290}, gap: 8},
			newCaption(text.LabelFolder, theme.SizeNameText, theme.ColorNameForeground), p.folder, p.choose, p.replace),
		p.job)
	p.panel = p.w.open(text.BedsPage, fyne.NewSize(980, 680), newFrame(top, middle, foot), p.list, p.one, p.asSTL, p.as3MF, p.done)
	p.panel.leave, p.panel.undoes = p.close, true
}

// on is what lies on the bed that is shown.
func (p *bedsPage) on() []state.BedPiece {
	if p.beds == nil || p.beds.At >= len(p.beds.Beds) {
		return nil
	}
	return p.beds.Beds[p.beds.At]
}

// turn shows the next bed, or the one before.
func (p *bedsPage) turn(by int) {
	if p.beds != nil {
		p.w.bench.ShowBedAt(p.beds.At + by)
	}
}

// saveOne asks where the kit is to be saved as one package.
func (p *bedsPage) saveOne() {
	w, b := p.w, p.w.bench
	name := strings.TrimSuffix(filepath.Base(text.Title(b.View().Title)), ".3mf") + ".3mf"
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Save(w.ctx, a) },
		Ask{Title: text.SaveAsOne, Folder: b.Folder(state.ForCopies), Kind: text.PackagesChosen, Extensions: []string{".3mf"}, Name: name},
		func(got any) {
			path, asked := got.(string), true
			if !strings.EqualFold(filepath.Ext(path), ".3mf") {
				path, asked = path+".3mf", false // nobody was asked whether that may be replaced
			}
			b.SaveTogether(path, asked)
		})
}

func (p *bedsPage) close() {
	if p.saving {
		p.w.bench.Cancel(state.Saving)
		return
	}
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
		p.w.bench.EndBeds()
	}
}

func (p *bedsPage) draw(v state.View) {
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
	turned := p.beds == nil || p.beds.At != v.Beds.At || len(p.on()) == 0
	p.beds, p.inches = v.Beds, v.Sheet.Inches
	p.plan.draw(v.Beds, v.Sheet.Inches)
	if turned {
		p.plan.mark(-1)
		p.list.show(-1)
	}
	p.list.Refresh()
	p.shown.set(text.BedShown(v.Beds))
	number, name, takes := text.BedHeads(p.inches)
	for i, head := range []string{number, name, takes} {
		p.heads[i].set(head)
	}
	enableIf(v.Beds.At > 0, p.before)
	enableIf(v.Beds.At < len(v.Beds.Beds)-1, p.after)
	says, warns := text.BedsSay(v.Beds)
	p.says.Importance = widget.MediumImportance
	if warns {
		p.says.Importance = widget.WarningImportance
	}
	p.says.SetText(says)
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
	ready := !p.saving && v.Beds.Err == nil && v.Beds.Waiting == 0 && len(v.Beds.Beds) > 0
	enableIf(ready && v.Beds.Folder != "", p.as3MF, p.asSTL)
	enableIf(!p.saving && v.Result.Factor.Known(), p.one)
	enableIf(!p.saving, p.folder, p.choose, p.replace)
	p.panel.pop.Refresh()
}

// A bedPlan is a bed from above; a press on a piece finds it in the list.
type bedPlan struct {
	ttwidget.ToolTipWidget
	w       *Window
	raster  *canvas.Raster
	painter painter
	plan    *state.BedPlan
	inches  bool
	marked  int
	tap     func(i int)
}

func newBedPlan(w *Window, tap func(int)) *bedPlan {
	p := &bedPlan{w: w, tap: tap, marked: -1}
	p.raster = canvas.NewRaster(p.picture)
	p.raster.ScaleMode = canvas.ImageScalePixels
	p.ExtendBaseWidget(p)
	p.SetToolTip(text.BedsPlanTip)
	return p
}

func (p *bedPlan) size() sheet.Size {
	return sheet.Size{W: float64(p.Size().Width), H: float64(p.Size().Height)}
}

func (p *bedPlan) picture(w, h int) image.Image {
	size := p.size()
	if size.W <= 0 || size.H <= 0 || w <= 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	all := sheet.Rect{Max: sheet.Point{X: size.W, Y: size.H}}
	return p.painter.paint(sheet.DrawBed(p.plan, p.marked, p.inches, size), all, w, h, float64(w)/size.W, p.w.palette())
}

func (p *bedPlan) draw(plan *state.BedPlan, inches bool) {
	p.plan, p.inches = plan, inches
	p.Refresh()
}

// mark marks a piece; -1 none.
func (p *bedPlan) mark(i int) {
	if p.marked != i {
		p.marked = i
		p.Refresh()
	}
}

// Tapped finds the piece under the pointer.
func (p *bedPlan) Tapped(e *fyne.PointEvent) {
	if i := sheet.HitBed(p.plan, sheet.Point{X: float64(e.Position.X), Y: float64(e.Position.Y)}, p.size()); i >= 0 {
		p.tap(i)
	}
}

// Cursor says that it can be pressed.
func (p *bedPlan) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer shows the picture.
func (p *bedPlan) CreateRenderer() fyne.WidgetRenderer { return &bedPlanRenderer{p} }

type bedPlanRenderer struct{ p *bedPlan }

func (l *bedPlanRenderer) Layout(s fyne.Size) { l.p.raster.Resize(s) }
func (l *bedPlanRenderer) MinSize() fyne.Size { return fyne.NewSize(300, 300) }
func (l *bedPlanRenderer) Refresh()           { l.p.raster.Refresh() }
func (l *bedPlanRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{l.p.raster}
}
func (l *bedPlanRenderer) Destroy() {}
