package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats"
)

// A copiesPanel plans and runs a save, and then tells what came of it.
type copiesPanel struct {
	w       *Window
	panel   *panel // nil while it is closed
	folder  *tippedEntry
	pattern *tippedEntry
	format  *selectBox
	own     *selectBox // the format of the marked file alone
	marked  string     // id of the first part of that file
	fields  []*pressButton
	replace *checkBox
	folders *checkBox
	turned  *checkBox
	posed   *checkBox
	correct *checkBox
	means   *caption          // what the correction means
	meant   fyne.CanvasObject // its line
	names   *keyedList
	count   *caption
	fault   *widget.Label
	earlier *widget.Label // copies that were saved at another factor
	says    *caption
	bar     *widget.ProgressBar
	running *fyne.Container
	choose  *pressButton
	cancel  *pressButton
	save    *pressButton
	plan    *state.CopyPlan
	saving  bool
	drawing bool
	saved   []deliver.Outcome // the last run that was told of
}

// formatChoices are the formats that copies can have.
func formatChoices() []formats.Kind {
	return []formats.Kind{"", formats.STL, formats.STLASCII, formats.OBJ, formats.GLB, formats.ThreeMF}
}

func (c *copiesPanel) draw(v state.View) {
	c.saving = false
	for _, j := range v.Jobs {
		if j.ID == state.Saving {
			c.saving = true
			if c.panel != nil {
				c.says.set(text.Job(j))
				c.bar.SetValue(j.Share)
			}
		}
	}
	switch {
	case v.Copies != nil && c.panel == nil:
		c.plan = v.Copies
		c.build()
	case v.Copies == nil && c.panel != nil:
		c.panel.close()
		c.panel = nil
	}
	c.plan = v.Copies
	if c.panel != nil {
		c.fill(v)
	}
	if v.Saved != nil && !sameSlice(v.Saved, c.saved) {
		c.w.showSaved(v)
	}
	c.saved = v.Saved
}

// build makes the panel and opens it.
func (c *copiesPanel) build() {
	b := c.w.bench
	leave := func() {
		if c.saving {
			b.Cancel(state.Saving)
			return
		}
		b.CloseCopies()
	}
	entry := func(tip string, changed func(string)) *tippedEntry {
		e := newEntry()
		e.OnChanged = changed
		e.onEscape = leave
		e.OnSubmitted = func(string) { c.press() }
		e.SetToolTip(tip)
		return e
	}
	c.folder = entry(text.FolderTip, b.SetCopyFolder)
	c.pattern = entry(text.PatternTip, b.SetCopyPattern)
	kinds := formatChoices()
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = text.FormatName(k)
	}
	c.format = newSelect(names, func(string) {
		if i := c.format.SelectedIndex(); !c.drawing && i >= 0 {
			b.SetCopyFormat(kinds[i])
		}
	})
	c.format.SetToolTip(text.FormatTip)
	own := make([]string, len(kinds))
	for i, k := range kinds {
		own[i] = text.OwnFormat(k)
	}
	c.own = newSelect(own, func(string) {
		if i := c.own.SelectedIndex(); !c.drawing && i >= 0 {
			b.SetPartFormat(c.marked, kinds[i])
		}
	})
	c.own.SetToolTip(text.OwnFormatTip)
	c.marked, c.fields = "", nil
	chips := container.New(layout.NewCustomPaddedHBoxLayout(4))
	for _, f := range c.plan.Fields {
		label, tip := text.NameField(f)
		chip := newPress(label, func() { c.insert(label) })
		chip.SetToolTip(tip)
		chip.onEscape = leave
		c.fields = append(c.fields, chip)
		chips.Add(chip)
	}
	c.folders = newCheck(text.LabelFolders, func(on bool) {
		if !c.drawing {
			b.SetFolders(on)
		}
	})
	c.folders.SetToolTip(text.FoldersTip)
	c.replace = newCheck(text.LabelOverwrite, func(on bool) {
		if !c.drawing {
			b.SetOverwrite(on)
		}
	})
	c.turned = newCheck(text.LabelTurned, func(on bool) {
		if !c.drawing {
			b.SetTurned(on)
		}
	})
	c.turned.SetToolTip(text.TurnedTip)
	c.posed = newCheck(text.LabelPosed, func(on bool) {
		if !c.drawing {
			b.SetPosed(on)
		}
	})
	c.posed.SetToolTip(text.PosedTip)
	c.correct = newCheck("", func(on bool) {
		if !c.drawing {
			b.CorrectCopies(on)
		}
	})
	c.means = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	c.means.tight = true
	c.choose = newPress(text.LabelChoose, func() {
		c.w.choose(func(ask Ask) (any, error) { return c.w.env.Chooser.Folder(c.w.ctx, ask) },
			Ask{Title: text.LabelFolder, Folder: c.plan.Folder}, func(got any) { b.SetCopyFolder(got.(string)) })
	})
	c.choose.onEscape = leave
	cells := columns{widths: []float32{180, 16, 0, 190}, gap: 8, height: 22}
	c.names = newList(22, func() int {
		if c.plan == nil {
			return 0
		}
		return len(c.plan.Names)
	}, func() fyne.CanvasObject { return newLineRow(cells) }, func(i int, o fyne.CanvasObject) {
		if c.plan == nil || i >= len(c.plan.Names) {
			return
		}
		n := c.plan.Names[i]
		says := text.Planned(n, c.plan.Overwrite)
		r := o.(*lineRow)
		r.show(false, says, n.Part, text.Becomes, n.Name, says)
		r.cells[0].paint(theme.ColorNamePlaceHolder)
		colour := theme.ColorNamePlaceHolder
		if n.Err != nil {
			colour = theme.ColorNameError
		} else if n.Exists && !n.Unchanged || n.Over != (geom.Vec{}) || n.Long > 0 {
			colour = theme.ColorNameWarning
		}
		r.cells[3].paint(colour)
	})
	c.names.choose = func(i int) {
		if c.plan != nil && i < len(c.plan.Names) {
			c.marked = c.plan.Names[i].ID
			c.fillOwn()
		}
	}
	c.names.extra = func(k *fyne.KeyEvent, _ int) bool {
		if k.Name == fyne.KeyEscape {
			leave()
			return true
		}
		return false
	}
	c.count = newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	c.earlier = newNote()
	c.earlier.Importance = widget.WarningImportance
	c.fault = widget.NewLabel("")
	c.fault.Importance, c.fault.Wrapping = widget.DangerImportance, fyne.TextWrapWord
	c.says = newCaption("", theme.SizeNameCaptionText, theme.ColorNameForeground)
	c.says.tight = true
	c.bar = widget.NewProgressBar()
	c.running = container.New(columns{widths: []float32{0, 240}, gap: 8}, c.says, c.bar)
	line := func(label string, o fyne.CanvasObject) fyne.CanvasObject {
		return container.New(columns{widths: []float32{labelWidth, 0}, gap: 8},
			newCaption(label, theme.SizeNameText, theme.ColorNameForeground), o)
	}
	c.meant = container.New(padded{30, 0, 0, 0}, line("", c.means))
	top := container.New(layout.NewCustomPaddedVBoxLayout(6),
		line(text.LabelFolder, container.New(columns{widths: []float32{0, 92}, gap: 6}, c.folder, c.choose)),
		container.New(layout.NewCustomPaddedVBoxLayout(2), line(text.LabelPattern, c.pattern), line("", chips)),
		line(text.LabelFormat, container.NewGridWithColumns(2, c.format, c.own)), line("", container.NewGridWithColumns(2, c.replace, c.folders)),
		line("", c.posed), container.New(layout.NewCustomPaddedVBoxLayout(0), line("", c.correct), c.meant), c.whereTurned(line("", c.turned)),
		container.New(columns{widths: []float32{130, 0}, gap: 8}, heading(text.LabelNames), c.count))
	c.cancel = newPress(text.AnswerCancel, leave)
	c.cancel.onEscape = leave
	c.save = newPress(text.SaveCopies.Name(), c.press)
	c.save.SetToolTip(text.SaveCopies.Tip())
	c.save.Importance = widget.HighImportance
	c.save.onEscape = leave
	body := newFrame(top, c.names, container.New(layout.NewCustomPaddedVBoxLayout(2), c.earlier, c.fault, c.running))
	c.panel = c.w.open(text.SaveCopies.Name(), fyne.NewSize(720, 580), body, c.save, c.cancel, c.save)
	c.panel.leave = leave
}

// whereTurned shows a line only where a part was turned.
func (c *copiesPanel) whereTurned(line fyne.CanvasObject) fyne.CanvasObject {
	line.Hide()
	for _, p := range c.w.bench.View().Parts {
		if p.Measured.Turn.Known() {
			line.Show()
		}
	}
	return line
}

// press saves, if that can be done.
func (c *copiesPanel) press() {
	if c.plan != nil && c.plan.Err == nil && !c.saving {
		c.w.bench.SaveCopies()
	}
}

func (c *copiesPanel) fill(v state.View) {
	c.drawing = true
	defer func() { c.drawing = false }()
	if c.w.canvas().Focused() != fyne.Focusable(c.folder) || c.folder.Text == "" {
		c.folder.show(c.plan.Folder)
	}
	c.pattern.show(c.plan.Pattern)
	for i, k := range formatChoices() {
		if k == c.plan.As {
			c.format.SetSelectedIndex(i)
		}
	}
	c.fillOwn()
	c.replace.SetChecked(c.plan.Overwrite)
	c.folders.SetChecked(c.plan.Folders)
	c.turned.SetChecked(c.plan.Turned)
	c.posed.SetChecked(c.plan.Posed)
	label, tip := text.CorrectCopies(c.plan.Correction)
	if c.correct.Text != label {
		c.correct.SetText(label)
	}
	c.correct.SetToolTip(tip)
	c.correct.SetChecked(c.plan.Correction.On)
	c.means.set(text.CorrectionMeans(c.plan.Correction))
	showIf(c.plan.Correction.On, c.meant)
	c.count.set(text.PlanCount(c.plan))
	c.names.Refresh()
	c.earlier.SetText(text.EarlierWarning(v.Earlier, v))
	showIf(c.earlier.Text != "", c.earlier)
	if c.plan.Err != nil && !c.saving {
		c.fault.SetText(text.Error(c.plan.Err).String())
		c.fault.Show()
	} else {
		c.fault.Hide()
	}
	if c.saving {
		c.running.Show()
	} else {
		c.running.Hide()
	}
	enableIf(!c.saving, c.folder, c.pattern, c.format, c.replace, c.folders, c.posed, c.choose)
	for _, chip := range c.fields {
		enableIf(!c.saving, chip)
	}
	enableIf(!c.saving && !c.plan.Posed, c.turned)
	enableIf(!c.saving && c.plan.Correction.Corrects(), c.correct)
	enableIf(!c.saving && c.plan.Err == nil, c.save)
	c.panel.pop.Refresh()
}

// insert puts a field into the pattern where its cursor is.
func (c *copiesPanel) insert(field string) {
	typed := []rune(c.pattern.Text)
	at := min(max(c.pattern.CursorColumn, 0), len(typed))
	c.pattern.SetText(string(typed[:at]) + field + string(typed[at:]))
	c.pattern.CursorColumn = at + len([]rune(field))
	c.pattern.Refresh()
}

// fillOwn shows the format of the marked file.
func (c *copiesPanel) fillOwn() {
	drawing := c.drawing
	c.drawing = true
	defer func() { c.drawing = drawing }()
	marked := false
	for _, n := range c.plan.Names {
		if n.ID == "" || n.ID != c.marked {
			continue
		}
		marked = true
		for i, k := range formatChoices() {
			if k == n.Of {
				c.own.SetSelectedIndex(i)
			}
		}
	}
	if !marked {
		c.own.SetSelectedIndex(0)
	}
	enableIf(marked && !c.saving, c.own)
}

// showSaved tells what came of the last save.
func (w *Window) showSaved(v state.View) {
	if v.Saved == nil {
		return
	}
	head := widget.NewLabel(text.Summary(v.Saved))
	head.Wrapping = fyne.TextWrapWord
	head.TextStyle.Bold = true
	// What failed comes first.
	lines := container.New(layout.NewCustomPaddedVBoxLayout(0))
	for _, failed := range []bool{true, false} {
		for _, o := range v.Saved {
			if (o.Err != nil) != failed {
				continue
			}
			l := widget.NewLabel(text.Outcome(o))
			l.Wrapping = fyne.TextWrapWord
			sign := newCaption("", theme.SizeNameSubHeadingText, theme.ColorNameError)
			sign.style.Bold = true
			if failed {
				sign.set(text.Stops.Sign())
			}
			lines.Add(container.New(columns{widths: []float32{14, 0}}, sign, l))
		}
	}
	var p *panel
	done := newPress(text.AnswerClose, func() { p.close() })
	done.onEscape = func() { p.close() }
	folder := w.button(text.OpenFolder)
	folder.onEscape = done.onEscape
	p = w.open(text.ShowSaved.Name(), fyne.NewSize(640, 380),
		newFrame(head, container.NewVScroll(lines), container.NewWithoutLayout()), done, folder, done)
}
