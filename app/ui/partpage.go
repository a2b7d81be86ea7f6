package ui

import (
	"image"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// A partPage is all about the selected part, over the window: its unit, how it stands, and
// its measures before and after the factor.
type partPage struct {
	w        *Window
	panel    *panel // nil while it is closed
	title    *caption
	file     *tippedCaption
	scope    *selectBox
	unit     *selectBox
	other    *tippedEntry // a unit that is typed
	up       *selectBox
	quantity *tippedEntry
	words    *tippedEntry // the maker's own notes
	says     *caption
	hint     *widget.Label
	hinted   *fyne.Container
	back     *pressButton
	prev     *pressButton
	next     *pressButton
	sides    [3]*canvas.Image
	table    *keyedList
	bores    *boreLine
	bore     int // that is chosen in the table, from 1 on; 0: none
	notes    *widget.Label
	rows     []text.MeasureRow
	part     state.Part
	view     state.View
	shown    string // id of the part that the fields were filled for
	thumbs   thumbnails
	drawing  bool
}

// showPart opens the page of the selected part.
func (w *Window) showPart() {
	if _, ok := w.parts.chosen(); ok && w.page.panel == nil {
		w.page.build()
		w.page.draw(w.bench.View())
	}
}

// within is what the page's changes are for.
func (p *partPage) within() text.Scope { return text.Scopes()[max(p.scope.SelectedIndex(), 0)] }

// ids are the parts that the page's changes are for.
func (p *partPage) ids() []string {
	scope := p.within()
	if scope == text.OnePart {
		return []string{p.part.ID}
	}
	var ids []string
	for _, part := range p.view.Parts {
		if part.Ticked || scope == text.WholeKit {
			ids = append(ids, part.ID)
		}
	}
	return ids
}

func (p *partPage) build() {
	w, b := p.w, p.w.bench
	leave := func() { p.close() }
	choice := func(tip string, names []string, chosen func(i int)) *selectBox {
		var s *selectBox
		s = newSelect(names, func(string) {
			if i := s.SelectedIndex(); !p.drawing && i >= 0 {
				chosen(i)
			}
		})
		s.SetToolTip(tip)
		return s
	}
	press := func(label, tip string, do func()) *pressButton {
		t := newPress(label, do)
		t.SetToolTip(tip)
		t.onEscape = leave
		return t
	}
	p.shown = ""
	p.title = heading("")
	p.title.tight = true
	p.file = newTippedCaption(theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	var scopes []string
	for _, s := range text.Scopes() {
		scopes = append(scopes, text.ScopeName(s))
	}
	p.scope = choice(text.ScopeTip, scopes, func(int) { p.fill() })
	p.unit = choice(text.FileUnitTip, nil, p.chooseUnit)
	p.other = newEntry()
	p.other.SetPlaceHolder(text.OtherUnitHint)
	p.other.SetToolTip(text.OtherUnitTip)
	p.other.onEscape = leave
	p.other.OnSubmitted = p.typedUnit
	var ups []string
	for i := range text.Directions() {
		ups = append(ups, text.UpName(i))
	}
	p.up = choice(text.UpAxisTip, ups, func(i int) {
		axis, reversed := text.Directions()[i], i >= len(ups)/2
		if p.within() == text.WholeKit {
			b.SetKitUp(axis, reversed)
		} else {
			b.SetUp(p.ids(), axis, reversed)
		}
	})
	turn := func(label, tip string, about geom.Axis) *pressButton {
		return press(label, tip, func() {
			if p.within() == text.WholeKit {
				b.TurnKit(about)
			} else {
				b.Turn(p.ids(), about)
			}
		})
	}
	p.back = press(text.TurnBack, text.TurnBackTip, func() {
		if p.within() == text.WholeKit {
			b.TurnKitBack()
		} else {
			b.TurnBack(p.ids())
		}
	})
	p.quantity = newEntry()
	p.quantity.SetToolTip(text.QuantityTip)
	p.quantity.onEscape = leave
	p.quantity.OnChanged = func(typed string) {
		if n, err := strconv.Atoi(typed); err == nil && n != p.part.Quantity {
			b.SetQuantity(p.part.ID, n)
		}
	}
	p.quantity.onBlur = func() { p.quantity.show(strconv.Itoa(p.part.Quantity)) }
	p.says = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	p.says.tight = true
	p.hint = widget.NewLabel("")
	p.hint.Wrapping, p.hint.Importance = fyne.TextWrapWord, widget.WarningImportance
	p.hinted = container.New(columns{widths: []float32{0, 100, 100}, gap: 6}, p.hint,
		press(text.CorrectUnit, text.CorrectTip, func() { w.takeHint(p.part.ID) }),
		press(text.KeepUnit, text.KeepTip, func() { b.KeepUnit([]string{p.part.ID}) }))

	p.words = newNotes(text.PartNotesTip, 2, leave)
	p.words.OnChanged = func(typed string) { b.SetPartNotes(p.part.ID, typed) }
	line := func(label string, o ...fyne.CanvasObject) fyne.CanvasObject {
		var right fyne.CanvasObject = container.NewGridWithColumns(len(o), o...)
		if len(o) == 1 {
			right = o[0]
		}
		return container.New(columns{widths: []float32{96, 0}, gap: 8}, newCaption(label, theme.SizeNameText, theme.ColorNameForeground), right)
	}
	form := container.New(layout.NewCustomPaddedVBoxLayout(4),
		line(text.LabelScope, p.scope),
		line(text.LabelFileUnit, container.New(columns{widths: []float32{0, 110}, gap: 6}, p.unit, p.other)),
		line(text.LabelUpAxis, container.New(columns{widths: []float32{0, 130}, gap: 6}, p.up, p.back)),
		line(text.LabelTurn, turn(text.TurnTowards, text.TurnTowardsTip, geom.X), turn(text.TurnRight, text.TurnRightTip, geom.Y), turn(text.TurnRound, text.TurnRoundTip, geom.Z)),
		line(text.LabelQuantity, container.New(columns{widths: []float32{60, 0}, gap: 8}, p.quantity, p.says)),
		line(text.LabelNotes, p.words))
	pictures := container.NewGridWithColumns(3)
	for side := range p.sides {
		p.sides[side] = canvas.NewImageFromImage(nil)
		p.sides[side].FillMode = canvas.ImageFillContain
		p.sides[side].SetMinSize(fyne.NewSize(90, 150))
		name := newCaption(text.Side(state.Side(side)), theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
		name.align = fyne.TextAlignCenter
		pictures.Add(newFrame(container.NewWithoutLayout(), p.sides[side], name))
	}
	cells := columns{widths: []float32{226, 130, 130, 92, 0}, gap: 10, height: 22}
	head := newLineRow(cells)
	titles := text.MeasureHead()
	head.show(false, "", titles[:]...)
	for _, c := range head.cells {
		c.paint(theme.ColorNamePlaceHolder)
	}
	p.table = newList(22, func() int { return len(p.rows) }, func() fyne.CanvasObject { return newLineRow(cells) }, func(i int, o fyne.CanvasObject) {
		if i < len(p.rows) {
			r := p.rows[i]
			row := o.(*lineRow)
			row.show(r.Bore > 0 && r.Bore == p.bore, text.MeasureTip(r), r.Name, r.Drawn, r.Print, r.Power, r.Remark)
			colour := theme.ColorNamePlaceHolder
			if r.Below {
				colour = theme.ColorNameWarning
			}
			row.cells[4].paint(colour)
		}
	})
	p.table.choose = func(i int) {
		if i < len(p.rows) {
			p.bore = p.rows[i].Bore
			p.bores.draw(p.part, p.view, p.bore)
			p.table.Refresh()
			p.panel.pop.Refresh()
		}
	}
	p.table.extra = func(k *fyne.KeyEvent, _ int) bool {
		if k.Name == fyne.KeyEscape {
			leave()
			return true
		}
		return false
	}
	p.bores = newBoreLine(w)
	p.notes = widget.NewLabel("")
	p.notes.Wrapping = fyne.TextWrapWord
	top := container.New(layout.NewCustomPaddedVBoxLayout(6), p.title, p.file,
		container.New(columns{widths: []float32{0, 320}, gap: 16}, form, pictures), p.hinted, head)
	p.prev = press(text.PrevPart, text.PrevPart, func() { p.step(-1) })
	p.next = press(text.NextPart, text.NextPart, func() { p.step(1) })
	done := press(text.AnswerClose, text.AnswerClose, leave)
	bottom := container.New(layout.NewCustomPaddedVBoxLayout(2), p.bores.Container, p.notes)
	p.panel = w.open(text.PartPage, fyne.NewSize(960, 720), newFrame(top, p.table, bottom), p.next, p.prev, p.next, done)
	p.panel.leave, p.panel.undoes = leave, true
	p.drawing = true
	p.scope.SetSelectedIndex(0)
	p.drawing = false
}

func (p *partPage) close() {
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
		p.w.canvas().Focus(p.w.parts.list)
	}
}

// step goes to the part before or after.
func (p *partPage) step(by int) {
	for i, part := range p.view.Parts {
		if j := i + by; part.ID == p.part.ID && j >= 0 && j < len(p.view.Parts) {
			p.w.bench.Select(p.view.Parts[j].ID)
			return
		}
	}
}

// chooseUnit takes the choice of a unit: the file's, a usual one, or one that is typed.
func (p *partPage) chooseUnit(i int) {
	usual := kit.Units()
	if i <= len(usual) && p.w.canvas().Focused() == fyne.Focusable(p.other) {
		p.w.canvas().Focus(p.unit) // the field will be gone
	}
	switch {
	case i == 0:
		p.w.bench.SetUnit(p.ids(), ratio.Length{})
	case i <= len(usual):
		p.w.bench.SetUnit(p.ids(), kit.Length(usual[i-1]))
	default:
		p.other.Show()
		p.w.canvas().Focus(p.other)
	}
}

// typedUnit takes a unit that was typed. One that cannot be read stays, marked as wrong.
func (p *partPage) typedUnit(typed string) {
	l, err := ratio.ParseLength(typed, ratio.Millimetre)
	if err == nil && !kit.UsableUnit(l) {
		err = state.ErrUnit
	}
	if err != nil {
		p.says.set(text.Error(err).String())
		p.says.paint(theme.ColorNameError)
		return
	}
	p.w.bench.SetUnit(p.ids(), l)
}

// takeHint corrects a part's unit as it was suggested.
func (w *Window) takeHint(id string) {
	for _, h := range w.bench.View().UnitHints {
		if h.Part == id {
			w.bench.SetUnit([]string{id}, kit.Length(ratio.Unit(h.Unit.Name)))
			return
		}
	}
}

// askHint asks whether a part's unit is to be corrected.
func (w *Window) askHint(id string) {
	for _, h := range w.bench.View().UnitHints {
		if h.Part != id {
			continue
		}
		question, detail := text.UnitQuestion(w.partName(id), h)
		w.ask(question, detail,
			answer{text.CorrectUnit, true, func() { w.takeHint(id) }},
			answer{text.KeepUnit, false, func() { w.bench.KeepUnit([]string{id}) }},
			answer{text.AnswerCancel, false, func() {}})
		return
	}
}

// askFinding asks what a line of the drawer asks.
func (w *Window) askFinding(f text.Finding) {
	if f.Asks == text.AsksUnit {
		w.askHint(f.Part)
		return
	}
	yes, no := f.Asks.Answers()[0][0], f.Asks.Answers()[1][0]
	w.ask(f.Name, f.Says,
		answer{yes, true, func() { w.answerFinding(f, 0) }},
		answer{no, false, func() { w.answerFinding(f, 1) }},
		answer{text.AnswerCancel, false, func() {}})
}

// answerFinding does what the first or the second button of a line says.
func (w *Window) answerFinding(f text.Finding, button int) {
	if w.answerAdded(f, button) {
		return
	}
	switch {
	case f.Asks == text.AsksUnit && button == 0:
		w.takeHint(f.Part)
	case f.Asks == text.AsksUnit:
		w.bench.KeepUnit([]string{f.Part})
	case button == 1:
		w.bench.KeepPart(f.Part)
	default:
		for _, h := range w.bench.View().CopyHints {
			if h.Part == f.Part {
				w.bench.FindLost(h.Original, w.fileOf(h.Part))
			}
		}
	}
}

// fileOf is the file of a part, by its id.
func (w *Window) fileOf(id string) string {
	for _, p := range w.bench.View().Parts {
		if p.ID == id {
			return p.File
		}
	}
	return ""
}

// partName is the name of a part, by its id.
func (w *Window) partName(id string) string {
	for _, p := range w.bench.View().Parts {
		if p.ID == id {
			return p.Name
		}
	}
	return ""
}

func (p *partPage) draw(v state.View) {
	p.view = v
	if p.panel == nil {
		return
	}
	for _, part := range v.Parts {
		if part.ID == v.Selected {
			p.part = part
			p.fill()
			return
		}
	}
	p.close() // the part is gone
}

// fill shows the part.
func (p *partPage) fill() {
	p.drawing = true
	defer func() { p.drawing = false }()
	part, v := p.part, p.view
	fresh := p.shown != part.ID
	p.shown = part.ID
	p.title.set(part.Name)
	p.file.tell(text.PartTip(part))
	p.fillUnit(fresh)
	upright, whole := kit.Raise(part.Measured.Up, false), p.within() == text.WholeKit
	if part.Turn.Known() {
		upright = part.Turn
	}
	if whole {
		upright = geom.NoTurn().Then(v.KitTurn)
	}
	p.up.SetSelectedIndex(text.UpOf(upright))
	enableIf(part.State == state.Measured, p.unit, p.up)
	enableIf(part.Turn.Known() && !whole || v.KitTurn.Known() && whole || p.within() == text.TickedParts, p.back)
	if fresh || p.w.canvas().Focused() != fyne.Focusable(p.quantity) {
		p.quantity.show(strconv.Itoa(part.Quantity))
	}
	p.words.show(part.Words)
	p.says.set("")
	p.says.paint(theme.ColorNamePlaceHolder)
	if part.State == state.Measured {
		p.says.set(text.UnitSay(part, v))
	}
	p.hinted.Hide()
	for _, h := range v.UnitHints {
		if h.Part == part.ID {
			p.hint.SetText(text.UnitHint(h))
			p.hinted.Show()
		}
	}
	for side, picture := range part.Silhouettes {
		var img image.Image
		if picture != nil {
			img = p.thumbs.of(picture, p.w.palette())
		}
		if p.sides[side].Image != img {
			p.sides[side].Image = img
			p.sides[side].Refresh()
		}
	}
	p.rows = text.Measures(part, v)
	if fresh {
		p.bore = 0
	}
	p.bores.draw(part, v, p.bore)
	p.table.Refresh()
	p.notes.SetText(strings.Join(text.PartNotes(part), " "))
	p.notes.Hidden = p.notes.Text == ""
	at := len(v.Parts)
	for i := range v.Parts {
		if v.Parts[i].ID == part.ID {
			at = i
		}
	}
	enableIf(at > 0, p.prev)
	enableIf(at < len(v.Parts)-1, p.next)
	p.panel.pop.Refresh()
}

// fillUnit shows the unit of the part, with the file's own at the head of the choices.
func (p *partPage) fillUnit(fresh bool) {
	names := []string{text.FileUnit(p.part.FileUnit)}
	at := 0
	if p.part.Unit.Known() {
		at = len(kit.Units()) + 1
	}
	for i, u := range kit.Units() {
		names = append(names, text.UnitChoice(u))
		if p.part.Unit.Equal(kit.Length(u)) {
			at = i + 1
		}
	}
	names = append(names, text.OtherUnit)
	p.unit.SetOptions(names)
	p.unit.SetSelectedIndex(at)
	typed := at > len(kit.Units())
	if typed && (fresh || p.w.canvas().Focused() != fyne.Focusable(p.other)) {
		p.other.show(p.part.Unit.Exact())
	}
	if typed || p.w.canvas().Focused() == fyne.Focusable(p.other) && !fresh {
		p.other.Show()
	} else {
		p.other.Hide()
	}
}
