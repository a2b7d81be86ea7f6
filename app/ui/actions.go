package ui

import (
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/kit"
	"scantling/formats"
)

// An action is something that a menu, a key or a button does.
type action struct {
	id    text.Action
	key   fyne.KeyName // with the shortcut modifier; empty: none
	shift bool
	do    func()
	on    func(v state.View) bool // whether it can be done; nil: always
	set   func(v state.View) bool // whether it is switched on; nil: no switch
}

// A menu is a title and its actions; empty ones are lines between them.
type menu struct {
	title string
	items []text.Action
}

func menus() []menu {
	return []menu{
		{text.MenuKit, []text.Action{text.NewKit, text.OpenKit, text.RecentKits, text.OpenDemo, text.RecoverKit, "", text.SaveKit, text.SaveKitAs, text.DuplicateKit, text.SaveRecord, "", text.RenameKit, text.AboutKit, text.ShowSources,
			"", text.AddFiles, text.AddFolder, "", text.Quit}},
		{text.MenuEdit, []text.Action{text.Undo, text.Redo, "", text.TickAll, text.TickNone, text.TickInvert,
			"", text.PartDetails, text.TickPart, text.OneMore, text.OneFewer, text.SetQuantity, text.RemovePart, text.ClueOfPart,
			"", text.GoParts, text.GoSheet, text.GoFactor, text.GoLadder, text.GoFindings, "", text.CancelJob, text.Dismiss}},
		{text.MenuSheet, []text.Action{text.LookFront, text.LookSide, text.LookTop, "", text.Assembled, text.InRow,
			"", text.FitAll, text.ZoomIn, text.ZoomOut, "", text.MeasureTool, text.ClueOfMeasure, text.LengthOfMeasure, "", text.ByEyeTool, text.StandInTool, text.AddStandIn, text.PutBack, "", text.ShowBed, text.ShowPose, text.ShowBeds, text.ShowThickness, text.UseInches,
			"", text.LookAsSystem, text.LookLight, text.LookDark}},
		{text.MenuPrint, []text.Action{text.ChooseProcess, text.StepGauge, text.PrintFigure, "", text.FindingsOfPart, text.FindingCure, text.FindingAside, "", text.Compare}},
		{text.MenuCopies, []text.Action{text.PlanCopies, text.SaveBeds, text.ShowSaved, text.ShowMade, text.OpenFolder, "", text.FindLost}},
		{text.MenuHelp, []text.Action{text.ShowHelp, text.ShowKeys, text.ShowCautions, text.ShowAbout}},
	}
}

// actions is everything the window can do.
func (w *Window) actions() []action {
	b := w.bench
	part := func(v state.View) bool { return v.Selected != "" }
	parts := func(v state.View) bool { return len(v.Parts) > 0 }
	saved := func(v state.View) bool { return v.Saved != nil }
	withPart := func(do func(state.Part)) func() {
		return func() {
			if p, ok := w.parts.chosen(); ok {
				do(p)
			}
		}
	}
	side := func(s state.Side) func(state.View) bool { return func(v state.View) bool { return v.Sheet.Side == s } }
	looks := func(l state.Look) func(state.View) bool { return func(v state.View) bool { return v.Look == l } }
	return []action{
		{id: text.NewKit, key: fyne.KeyN, do: func() { w.whenSafe(b.NewKit) }},
		{id: text.OpenKit, key: fyne.KeyO, do: w.openKit},
		{id: text.OpenDemo, do: func() { w.whenSafe(b.OpenDemo) }},
		{id: text.SaveKit, key: fyne.KeyS, do: func() { w.saveKit(false, nil) }},
		{id: text.SaveKitAs, key: fyne.KeyS, shift: true, do: func() { w.saveKit(true, nil) }},
		{id: text.RenameKit, key: fyne.KeyT, do: func() {
			w.askText(text.RenameKit.Name(), text.LabelTitle, b.View().Title, b.Rename)
		}},
		{id: text.RecentKits, do: func() {}},
		{id: text.DuplicateKit, key: fyne.KeyN, shift: true, do: w.duplicate, on: parts},
		{id: text.AboutKit, key: fyne.KeyT, shift: true, do: w.showKit},
		{id: text.ShowSources, key: fyne.KeyO, shift: true, do: w.showSources, on: parts},
		{id: text.ShowMade, key: fyne.KeyW, shift: true, do: w.showMade, on: parts},
		{id: text.RecoverKit, do: func() { w.keeper.recover() }, on: func(v state.View) bool { return len(v.Left) > 0 }},
		{id: text.SaveRecord, key: fyne.KeyY, shift: true, do: w.askRecord, on: parts},
		{id: text.AddFiles, key: fyne.KeyI, do: w.addFiles},
		{id: text.AddFolder, key: fyne.KeyI, shift: true, do: w.addFolder},
		{id: text.Quit, key: fyne.KeyQ, do: w.leave},

		{id: text.Undo, key: fyne.KeyZ, do: b.Undo, on: func(v state.View) bool { return v.Undo != "" }},
		{id: text.Redo, key: fyne.KeyY, do: b.Redo, on: func(v state.View) bool { return v.Redo != "" }},
		{id: text.TickAll, key: fyne.KeyK, do: b.TickAll, on: parts},
		{id: text.TickNone, key: fyne.KeyK, shift: true, do: b.TickNone, on: parts},
		{id: text.TickInvert, key: fyne.KeyJ, do: b.TickInvert, on: parts},
		{id: text.TickPart, key: fyne.KeyH, do: withPart(func(p state.Part) { b.Tick(p.ID, !p.Ticked) }), on: part},
		{id: text.OneMore, key: fyne.KeyUp, do: withPart(func(p state.Part) { b.SetQuantity(p.ID, p.Quantity+1) }), on: part},
		{id: text.OneFewer, key: fyne.KeyDown, do: withPart(func(p state.Part) {
			if p.Quantity > 1 {
				b.SetQuantity(p.ID, p.Quantity-1)
			}
		}), on: part},
		{id: text.SetQuantity, key: fyne.KeyU, do: func() {
			w.canvas().Focus(w.parts.quantity)
			w.parts.quantity.selectAll()
		}, on: part},
		{id: text.PartDetails, key: fyne.KeyReturn, do: w.showPart, on: part},
		{id: text.RemovePart, key: fyne.KeyBackspace, do: withPart(func(p state.Part) { b.Remove([]string{p.ID}) }), on: part},
		{id: text.GoParts, key: fyne.KeyP, do: func() { w.canvas().Focus(w.parts.list) }},
		{id: text.GoSheet, key: fyne.KeyD, do: func() { w.canvas().Focus(w.sheet.view) }},
		{id: text.GoFactor, key: fyne.KeyG, do: func() { w.factor.typing() }},
		{id: text.GoLadder, key: fyne.KeyL, do: func() { w.factor.goLadder() }},
		{id: text.GoFindings, key: fyne.KeyV, shift: true, do: func() { w.canvas().Focus(w.drawer.list) }},
		{id: text.Compare, key: fyne.KeyJ, shift: true, do: w.comparePair, on: func(v state.View) bool { return v.Comparable() }},
		{id: text.FindingsOfPart, key: fyne.KeyP, shift: true, do: func() { w.drawer.showOnly() }, on: part, set: func(state.View) bool { return w.drawer != nil && w.drawer.part }},
		{id: text.FindingCure, key: fyne.KeyG, shift: true, do: func() { b.Cure(w.drawer.at) }, on: parts},
		{id: text.FindingAside, key: fyne.KeyA, shift: true, do: func() { w.drawer.setAside() }, on: parts},
		{id: text.ChooseProcess, key: fyne.KeyD, shift: true, do: w.showProcess},
		{id: text.PrintFigure, key: fyne.KeyU, shift: true, do: w.showPrinted},
		{id: text.StepGauge, do: w.showGauge},
		{id: text.CancelJob, key: fyne.KeyPeriod, do: func() {
			if w.status.job != "" {
				b.Cancel(w.status.job)
			}
		}, on: func(v state.View) bool { return len(v.Jobs) > 0 }},
		{id: text.Dismiss, do: b.DismissNotice, on: func(v state.View) bool { return v.Notice != nil }},

		{id: text.LookFront, key: fyne.Key1, do: func() { b.SetSide(state.Front) }, set: side(state.Front)},
		{id: text.LookSide, key: fyne.Key2, do: func() { b.SetSide(state.FromSide) }, set: side(state.FromSide)},
		{id: text.LookTop, key: fyne.Key3, do: func() { b.SetSide(state.Top) }, set: side(state.Top)},
		{id: text.Assembled, key: fyne.Key4, do: func() { b.SetInRow(false) }, set: func(v state.View) bool { return !v.Sheet.InRow }},
		{id: text.InRow, key: fyne.Key5, do: func() { b.SetInRow(true) }, set: func(v state.View) bool { return v.Sheet.InRow }},
		{id: text.FitAll, key: fyne.Key0, do: b.FitAll, set: func(v state.View) bool { return v.Sheet.Fit }},
		{id: text.ZoomIn, key: fyne.KeyEqual, do: func() { w.sheet.view.zoom(notch) }},
		{id: text.ZoomOut, key: fyne.KeyMinus, do: func() { w.sheet.view.zoom(1 / notch) }},
		{id: text.ShowBed, key: fyne.KeyB, do: b.ToggleBed, set: func(v state.View) bool { return v.Sheet.Bed }},
		{id: text.ShowPose, key: fyne.KeyB, shift: true, do: b.TogglePose, on: parts, set: func(v state.View) bool { return v.Sheet.Pose }},
		{id: text.ShowBeds, key: fyne.Key7, do: w.toggleBeds, on: parts, set: func(v state.View) bool { return v.Sheet.Beds }},
		{id: text.ShowThickness, key: fyne.Key6, do: b.ToggleThickness, on: parts, set: func(v state.View) bool { return v.Sheet.Thickness }},
		{id: text.UseInches, key: fyne.KeyM, do: b.ToggleInches, set: func(v state.View) bool { return v.Sheet.Inches }},
		{id: text.MeasureTool, key: fyne.KeyM, shift: true, do: w.measure, on: parts, set: measures},
		{id: text.ClueOfMeasure, key: fyne.KeyC, shift: true, do: func() { w.factor.measureAsClue() }, on: hasMeasure},
		{id: text.LengthOfMeasure, key: fyne.KeyL, shift: true, do: func() { w.factor.measureAsLength() }, on: hasMeasure},
		{id: text.ClueOfPart, key: fyne.KeyH, shift: true, do: withPart(func(p state.Part) { w.factor.partAsClue(p.ID) }), on: part},
		{id: text.ByEyeTool, key: fyne.KeyE, shift: true, do: w.byEye, on: parts, set: byEye},
		{id: text.StandInTool, key: fyne.KeyF, shift: true, do: func() { w.sheet.tools.fold() }, set: func(state.View) bool { return w.sheet != nil && w.sheet.tools.open }},
		{id: text.AddStandIn, do: b.AddStandIn, on: func(v state.View) bool { return len(v.Sheet.People()) < state.MostStandIns }},
		{id: text.PutBack, do: b.PutBack, on: func(v state.View) bool { return v.Sheet.Displaced() }},
		{id: text.LookAsSystem, do: func() { b.SetLook(state.AsSystem) }, set: looks(state.AsSystem)},
		{id: text.LookLight, key: fyne.Key8, do: func() { b.SetLook(state.Light) }, set: looks(state.Light)},
		{id: text.LookDark, key: fyne.Key9, do: func() { b.SetLook(state.Dark) }, set: looks(state.Dark)},

		{id: text.PlanCopies, key: fyne.KeyE, do: b.PlanCopies, on: parts},
		{id: text.SaveBeds, key: fyne.KeyX, shift: true, do: w.saveBeds, on: parts},
		{id: text.ShowSaved, key: fyne.KeyR, do: func() { w.showSaved(b.View()) }, on: saved},
		{id: text.FindLost, key: fyne.KeyF, do: w.chooseCopy, on: parts},
		{id: text.OpenFolder, key: fyne.KeyR, shift: true, do: w.showFolder, on: saved},

		{id: text.ShowHelp, do: func() { w.tell(text.ShowHelp.Name(), text.Help()...) }},
		{id: text.ShowKeys, key: fyne.KeySlash, do: w.showKeys},
		{id: text.ShowCautions, do: func() { w.tell(text.ShowCautions.Name(), text.Cautions()...) }},
		{id: text.ShowAbout, do: func() { w.tell(text.ShowAbout.Name(), text.About(w.env.Version)...) }},
	}
}

// shortcut is the action's key, nil for none. Keys that entries have, too, go by the
// toolkit's own names.
func (a action) shortcut() fyne.Shortcut {
	switch {
	case a.key == "":
		return nil
	case a.id == text.Undo:
		return &fyne.ShortcutUndo{}
	case a.id == text.Redo:
		return &fyne.ShortcutRedo{}
	}
	m := fyne.KeyModifierShortcutDefault
	if a.shift {
		m |= fyne.KeyModifierShift
	}
	return &desktop.CustomShortcut{KeyName: a.key, Modifier: m}
}

// keyName is how the key is written: "Ctrl+Shift+S".
func (a action) keyName() string {
	if a.key == "" {
		return ""
	}
	key := string(a.key)
	switch a.key {
	case fyne.KeyBackspace:
		key = text.KeyBackspace
	}
	if a.shift {
		return text.KeyShifted(key)
	}
	return text.KeyWith(key)
}

// tip is the action's tooltip with its key.
func (a action) tip() string {
	if k := a.keyName(); k != "" {
		return a.id.Tip() + "  (" + k + ")"
	}
	return a.id.Tip()
}

// run does the action, unless a panel lies over the window or it cannot be done.
func (w *Window) run(a *action) {
	if n := len(w.panels); n > 0 && a.id != text.CancelJob && a.id != text.OpenFolder &&
		!(w.panels[n-1].undoes && (a.id == text.Undo || a.id == text.Redo)) {
		return
	}
	if a.on == nil || a.on(w.bench.View()) {
		a.do()
	}
}

// button is a button for an action.
func (w *Window) button(id text.Action) *pressButton {
	a := w.byID[id]
	b := newPress(id.Name(), func() { w.run(a) })
	b.SetToolTip(a.tip())
	return b
}

// toggle is a switch for an action, or a quiet button where it is no switch.
func (w *Window) toggle(id text.Action) *toggle {
	a := w.byID[id]
	return newToggle(id.Name(), a.tip(), func() { w.run(a) })
}

// items are menu items for actions, "" a line between them.
func (w *Window) items(ids ...text.Action) []*fyne.MenuItem {
	v := w.bench.View()
	var out []*fyne.MenuItem
	for _, id := range ids {
		if id == "" {
			out = append(out, fyne.NewMenuItemSeparator())
			continue
		}
		a := w.byID[id]
		item := fyne.NewMenuItem(id.Name(), func() { w.run(a) })
		if a.id == text.Quit {
			item.IsQuit = true
		}
		if s := a.shortcut(); s != nil {
			item.Shortcut = s
			switch s.(type) {
			case *fyne.ShortcutUndo, *fyne.ShortcutRedo:
				// What is typed in the panes is the bench's to undo; a panel's fields undo
				// their own typing.
				item.Action = func() {
					if e, ok := w.canvas().Focused().(*tippedEntry); ok && len(w.panels) > 0 {
						e.TypedShortcut(s)
						return
					}
					w.run(a)
				}
			}
		}
		w.showItem(item, a, v)
		out = append(out, item)
	}
	return out
}

// showItem lets a menu item say how its action stands, and reports whether that is news.
func (w *Window) showItem(item *fyne.MenuItem, a *action, v state.View) bool {
	label, disabled, checked := a.id.Name(), a.on != nil && !a.on(v), a.set != nil && a.set(v)
	switch a.id {
	case text.Undo:
		label = text.UndoName(v.Undo, v.Undoes)
	case text.Redo:
		label = text.RedoName(v.Redo, v.Redoes)
	}
	if item.Label == label && item.Disabled == disabled && item.Checked == checked {
		return false
	}
	item.Label, item.Disabled, item.Checked = label, disabled, checked
	return true
}

// buildMenu makes the main menu.
func (w *Window) buildMenu() {
	var all []*fyne.Menu
	for _, m := range menus() {
		items := w.items(m.items...)
		for i, id := range m.items {
			if id != "" {
				w.menuItems[id] = items[i]
			}
		}
		all = append(all, fyne.NewMenu(m.title, items...))
	}
	w.menu = fyne.NewMainMenu(all...)
	w.keeper.fillRecent(w.bench.View())
	w.win.SetMainMenu(w.menu)
}

// drawMenu keeps the menu up to date.
func (w *Window) drawMenu(v state.View) {
	news := false
	for id, item := range w.menuItems {
		if w.showItem(item, w.byID[id], v) {
			news = true
		}
	}
	if news {
		w.menu.Refresh()
	}
}

func (w *Window) addFiles() {
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Files(w.ctx, a) },
		Ask{Title: text.AddFiles.Name(), Folder: w.bench.Folder(state.ForModels), Kind: text.FilesChosen, Extensions: formats.Extensions()},
		func(got any) { w.Open(got.([]string)) })
}

func (w *Window) addFolder() {
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Folder(w.ctx, a) },
		Ask{Title: text.AddFolder.Name(), Folder: w.bench.Folder(state.ForModels)},
		func(got any) { w.Open([]string{got.(string)}) })
}

func (w *Window) openKit() {
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Files(w.ctx, a) },
		Ask{Title: text.OpenKit.Name(), Folder: w.bench.Folder(state.ForKits), Kind: text.KitsChosen, Extensions: []string{kit.Extension}},
		func(got any) {
			path := got.([]string)[0]
			w.whenSafe(func() { w.bench.OpenKit(path) })
		})
}

// saveKit saves the kit, asking for a name where it has none or another is wanted. then, if
// there is one, is called once the kit is on the disk.
func (w *Window) saveKit(another bool, then func()) {
	v := w.bench.View()
	save := func(path string) {
		w.afterSave = then
		w.bench.SaveKit(path)
	}
	if v.Path != "" && !another {
		save("")
		return
	}
	name := fileName(text.Title(v.Title)) + kit.Extension
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Save(w.ctx, a) },
		Ask{Title: text.SaveKitAs.Name(), Folder: w.bench.Folder(state.ForKits), Kind: text.KitsChosen, Extensions: []string{kit.Extension}, Name: name},
		func(got any) { save(got.(string)) })
}

// fileName is a proposal for the name of a file, without what a system does not take.
func fileName(title string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, title)
}

// chooseSave asks where something is to be saved as a file with the first of the extensions. asked tells
// done whether the maker was asked if that file may be replaced: not where the extension was added.
func (w *Window) chooseSave(a Ask, done func(path string, asked bool)) {
	w.choose(func(a Ask) (any, error) { return w.env.Chooser.Save(w.ctx, a) }, a, func(got any) {
		path, asked := got.(string), true
		if ext := a.Extensions[0]; !strings.EqualFold(filepath.Ext(path), ext) {
			path, asked = path+ext, false
		}
		done(path, asked)
	})
}

// choose asks for files aside and comes back with the answer, if there is one.
func (w *Window) choose(ask func(Ask) (any, error), a Ask, done func(any)) {
	if w.choosing {
		return
	}
	w.choosing = true
	go func() {
		got, err := ask(a)
		w.env.Post(func() {
			w.choosing = false
			if err != nil {
				w.tell(a.Title, text.Error(err).String())
				return
			}
			switch g := got.(type) {
			case string:
				if g == "" {
					return
				}
			case []string:
				if len(g) == 0 {
					return
				}
			}
			done(got)
		})
	}()
}

// showFolder opens the folder of the last copies.
func (w *Window) showFolder() {
	for _, o := range w.bench.View().Saved {
		if o.Path == "" {
			continue
		}
		if err := w.env.Show(filepath.Dir(o.Path)); err != nil {
			w.tell(text.OpenFolder.Name(), filepath.Dir(o.Path), text.Error(err).String())
		}
		return
	}
}
