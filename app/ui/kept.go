package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/kit"
)

// A keeper asks what concerns the kit's file: unsaved changes of windows that ended, a file that
// somebody else has saved, and the recent kits.
type keeper struct {
	w      *Window
	asked  map[string]bool // sessions whose changes were offered
	recent []state.Recent  // as the menu has them
	shows  bool            // the question about an overtaken file is open
}

func (k *keeper) draw(v state.View) {
	if !sameSlice(k.recent, v.Recent) {
		k.recent = v.Recent
		k.fillRecent(v)
	}
	if v.Overtaken != "" && !k.shows {
		k.shows = true
		k.askOvertaken(v.Overtaken)
	}
	for _, l := range v.Left {
		if !k.asked[l.ID] && len(k.w.panels) == 0 && !k.w.leaving {
			k.askLeft(l)
			return
		}
	}
}

// askLeft offers what a window has left that ended without closing.
func (k *keeper) askLeft(l kit.Left) {
	b := k.w.bench
	k.asked[l.ID] = true
	question, detail := text.RecoverQuestion(l)
	k.w.ask(question, detail,
		answer{text.TakeUp, true, func() { k.w.whenSafe(func() { b.Recover(l.ID) }) }},
		answer{text.ThrowAway, false, func() { b.ForgetLeft(l.ID) }},
		answer{text.NotNow, false, func() { k.draw(b.View()) }})
}

// recover offers again what was left.
func (k *keeper) recover() {
	if left := k.w.bench.View().Left; len(left) > 0 {
		k.askLeft(left[0])
	}
}

// askOvertaken asks what to do where somebody else has saved the kit.
func (k *keeper) askOvertaken(path string) {
	w, b := k.w, k.w.bench
	then := w.afterSave // what waits for the kit to be saved goes on once it is
	w.afterSave = nil
	question, detail := text.OvertakenQuestion(path)
	done := func(do func()) func() {
		return func() {
			k.shows = false
			do()
		}
	}
	w.ask(question, detail,
		answer{text.SaveElse, true, done(func() {
			b.LeaveOvertaken()
			w.saveKit(true, then)
		})},
		answer{text.SaveOver, false, done(func() {
			w.afterSave = then
			b.SaveKitOver()
		})},
		answer{text.OpenTheirs, false, done(func() { b.OpenKit(path) })},
		answer{text.AnswerCancel, false, done(b.LeaveOvertaken)})
}

// fillRecent fills the menu of recent kits; those that cannot be opened are there with the
// reason, and cannot be chosen.
func (k *keeper) fillRecent(v state.View) {
	item := k.w.menuItems[text.RecentKits]
	if item == nil {
		return
	}
	var items []*fyne.MenuItem
	for _, r := range v.Recent {
		one := fyne.NewMenuItem(text.RecentName(r), func() {
			if len(k.w.panels) == 0 {
				k.w.whenSafe(func() { k.w.bench.OpenKit(r.Path) })
			}
		})
		one.Disabled = r.Err != nil
		items = append(items, one)
	}
	if len(items) == 0 {
		none := fyne.NewMenuItem(text.RecentEmpty, nil)
		none.Disabled = true
		items = append(items, none)
	}
	item.ChildMenu = fyne.NewMenu("", items...)
	k.w.menu.Refresh()
}

// duplicate begins a new kit with all that the open one has.
func (w *Window) duplicate() {
	ask := func() {
		w.askText(text.DuplicateAs, text.LabelTitle, w.bench.View().Title, w.bench.Duplicate)
	}
	if w.bench.View().Path == "" {
		ask() // there is no file that could stay behind
		return
	}
	w.whenSafe(ask)
}

// answerAdded does what a button says of a file that is missing or was changed, of a part that
// lies or stands unlike the rest, or of a factor that parts have changed; false where the line asks something else.
func (w *Window) answerAdded(f text.Finding, button int) bool {
	b := w.bench
	switch f.Asks {
	case text.AsksMissing, text.AsksFound, text.AsksChanged:
		switch {
		case button == 0:
			w.showSources()
		case f.Asks == text.AsksMissing:
			w.pointTo(w.fileOf(f.Part))
		case f.Asks == text.AsksFound:
			b.UseFound(w.fileOf(f.Part))
		default:
			b.AcceptChanged(f.Part)
		}
	case text.AsksPlace:
		if button == 0 {
			b.Select(f.Part)
			w.showPart()
			return true
		}
		b.KeepPlace(f.Part)
	case text.AsksUp:
		if button == 0 {
			b.TurnStray(f.Part)
			return true
		}
		b.KeepPlace(f.Part)
	case text.AsksShift:
		if button == 0 {
			b.KeepFactor()
			return true
		}
		b.TakeShift()
	default:
		return false
	}
	return true
}

// A kitPage is what the kit's file keeps besides parts and ways, over the window.
type kitPage struct {
	w      *Window
	panel  *panel // nil while it is closed
	title  *tippedEntry
	notes  *tippedEntry
	file   *tippedCaption
	factor *tippedCaption
	files  *tippedCaption
}

// newNotes is a field for several lines, which Tab leaves.
func newNotes(tip string, rows int, leave func()) *tippedEntry {
	e := newEntry()
	e.MultiLine, e.Wrapping = true, fyne.TextWrapWord
	e.SetMinRowsVisible(rows)
	e.SetToolTip(tip)
	e.onEscape = leave
	return e
}

func (w *Window) showKit() {
	if w.kit.panel == nil {
		w.kit.build()
		w.kit.draw(w.bench.View())
	}
}

func (p *kitPage) build() {
	w := p.w
	leave := func() { p.close() }
	p.title = newEntry()
	p.title.SetToolTip(text.RenameKit.Tip())
	p.title.onEscape = leave
	p.title.OnChanged = w.bench.Rename
	p.notes = newNotes(text.NotesTip, 9, leave)
	p.notes.OnChanged = w.bench.SetKitNotes
	line := func(label string, o fyne.CanvasObject) fyne.CanvasObject {
		return container.New(columns{widths: []float32{labelWidth, 0}, gap: 8}, newCaption(label, theme.SizeNameText, theme.ColorNameForeground), o)
	}
	said := func() *tippedCaption { return newTippedCaption(theme.SizeNameText, theme.ColorNameForeground) }
	p.file, p.factor, p.files = said(), said(), said()
	files := newPress(text.ShowSources.Name(), func() {
		p.close()
		w.showSources()
	})
	files.SetToolTip(text.ShowSources.Tip())
	done := newPress(text.AnswerClose, leave)
	files.onEscape, done.onEscape = leave, leave
	top := container.New(layout.NewCustomPaddedVBoxLayout(6), line(text.LabelTitle, p.title), line(text.LabelKitFile, p.file),
		line(text.LabelInForce, p.factor), line(text.LabelFiles, p.files), heading(text.LabelNotes))
	p.panel = w.open(text.KitPage, fyne.NewSize(680, 460), newFrame(top, p.notes, container.NewWithoutLayout()), p.title, files, done)
	p.panel.leave, p.panel.undoes = leave, true
}

func (p *kitPage) close() {
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
	}
}

func (p *kitPage) draw(v state.View) {
	if p.panel == nil {
		return
	}
	p.title.show(v.Title)
	p.notes.show(v.Notes)
	p.file.tell(text.KitFile(v))
	p.factor.tell(text.InForce(v))
	files := text.SourcesLine(v.Sources)
	if files == "" {
		files = text.Parts(len(v.Parts))
	}
	p.files.tell(files)
}
