package ui

import (
	"context"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"scantling/app/state"
	"scantling/app/text"
)

// A Window is the bench on the screen.
type Window struct {
	bench *state.Bench
	env   Env
	win   fyne.Window
	ctx   context.Context // ends with the window
	end   context.CancelFunc

	byID      map[text.Action]*action
	menu      *fyne.MainMenu
	menuItems map[text.Action]*fyne.MenuItem

	parts   *partsPane
	sheet   *sheetPane
	factor  *factorPane
	drawer  *drawer
	status  *statusLine
	copies  *copiesPanel
	page    *partPage
	lost    *lostPage
	process *processPage
	gauge   *gaugePage
	person  *printedPage
	keeper  *keeper
	kit     *kitPage
	sources *sourcesPage
	made    *madePage
	pair    *pairPage
	record  *recordKeeper
	beds    *bedsPanel
	left    *container.Split // parts | sheet and factor

	papers    [2]*palette // light and dark
	look      *look
	panels    []*panel
	choosing  bool   // a file dialog is open
	afterSave func() // what waits for the kit to be on the disk
	title     string
	leaving   bool
}

// New fills a window with the bench. The window is not shown yet.
func New(b *state.Bench, env Env, win fyne.Window) *Window {
	w := &Window{bench: b, env: env, win: win, byID: map[text.Action]*action{}, menuItems: map[text.Action]*fyne.MenuItem{}}
	w.ctx, w.end = context.WithCancel(context.Background())
	w.papers = [2]*palette{paper(), blueprint()}
	w.setLook(b.View().Look)
	for _, a := range w.actions() {
		w.byID[a.id] = &a
	}
	w.parts = newPartsPane(w)
	w.sheet = newSheetPane(w)
	w.factor = newFactorPane(w)
	w.drawer = newDrawer(w)
	w.status = newStatusLine(w)
	w.copies = &copiesPanel{w: w}
	w.page = &partPage{w: w}
	w.lost = &lostPage{w: w}
	w.process = &processPage{w: w}
	w.gauge = &gaugePage{w: w}
	w.person = &printedPage{w: w}
	w.keeper = &keeper{w: w, asked: map[string]bool{}}
	w.kit = &kitPage{w: w}
	w.sources = &sourcesPage{w: w}
	w.made = &madePage{w: w}
	w.pair = &pairPage{w: w}
	w.record = &recordKeeper{w: w}
	w.beds = &bedsPanel{w: w}
	right := container.NewHSplit(w.sheet.root, w.factor.root)
	w.left = container.NewHSplit(w.parts.root, container.New(&keep{split: right, end: true, wanted: 346, most: 0.46}, right))
	below := container.NewVSplit(container.New(&keep{split: w.left, wanted: 326, most: 0.28}, w.left), w.drawer.root)
	content := newFrame(container.NewWithoutLayout(), container.New(&keep{split: below, end: true, wanted: 128, grows: 0.16, most: 0.3}, below), w.status.root)
	win.SetContent(fynetooltip.AddWindowToolTipLayer(content, win.Canvas()))
	w.buildMenu()
	win.SetPadded(false)
	win.SetOnDropped(w.Dropped)
	win.SetCloseIntercept(w.leave)
	win.Canvas().SetOnTypedKey(func(k *fyne.KeyEvent) {
		if k.Name == fyne.KeyEscape && len(w.panels) > 0 {
			w.escape()
		}
	})
	win.Canvas().SetOnTypedRune(func(r rune) { // while nothing has the keyboard
		if len(w.panels) == 0 {
			w.sheet.view.TypedRune(r)
		}
	})
	// The system's change between light and dark comes this way.
	fyne.CurrentApp().Settings().AddListener(func(fyne.Settings) {
		env.Post(func() {
			w.parts.list.Refresh()
			w.sheet.view.redraw()
		})
	})
	b.Watch(w.draw)
	return w
}

// keep lays out a split so that one of its two sides keeps its width, or height, when there
// is more room or less: the sheet gets what is won. In a small window that side is smaller.
type keep struct {
	split  *container.Split
	end    bool    // it is the second side that keeps its width
	wanted float32 // what it is to have
	grows  float32 // share of the room that it has in a large window, until it is dragged
	given  float32 // what it has: less in a small window
	most   float32 // share of the room that it may have at most
	last   float32
}

func (k *keep) MinSize(o []fyne.CanvasObject) fyne.Size { return o[0].MinSize() }

func (k *keep) Layout(o []fyne.CanvasObject, s fyne.Size) {
	room := s.Width
	if !k.split.Horizontal {
		room = s.Height
	}
	if room != k.last && room > 0 {
		if now := k.side() * k.last; now-k.given > 1 || k.given-now > 1 {
			k.wanted, k.grows = now, 0 // the maker has dragged it
		}
		k.given = min(max(k.wanted, room*k.grows), room*k.most)
		k.split.Offset = float64(k.given / room)
		if k.end {
			k.split.Offset = 1 - k.split.Offset
		}
		k.last = room
	}
	o[0].Resize(s)
}

// side is the share that the side has now.
func (k *keep) side() float32 {
	if k.end {
		return float32(1 - k.split.Offset)
	}
	return float32(k.split.Offset)
}

// escape leaves the uppermost panel.
func (w *Window) escape() { w.panels[len(w.panels)-1].leave() }

func (w *Window) canvas() fyne.Canvas { return w.win.Canvas() }

// palette has the sheet's colours for the look of the moment.
func (w *Window) palette() *palette {
	if w.look.dark(fyne.CurrentApp().Settings().ThemeVariant()) {
		return w.papers[1]
	}
	return w.papers[0]
}

func (w *Window) setLook(l state.Look) {
	w.look = newLook(l)
	fyne.CurrentApp().Settings().SetTheme(w.look)
}

// draw shows what the bench has.
func (w *Window) draw(v state.View) {
	if v.Look != w.look.chosen {
		w.setLook(v.Look)
	}
	if t := text.WindowTitle(v); t != w.title {
		w.title = t
		w.win.SetTitle(t)
	}
	w.parts.draw(v)
	w.sheet.draw(v)
	w.factor.draw(v)
	w.drawer.draw(v)
	w.status.draw(v)
	w.copies.draw(v)
	w.page.draw(v)
	w.lost.draw(v)
	w.process.draw(v)
	w.gauge.draw(v)
	w.person.draw(v)
	w.kit.draw(v)
	w.made.draw(v)
	w.drawMenu(v)
	w.keeper.draw(v)
	w.sources.draw(v)
	w.pair.draw(v)
	w.record.draw(v)
	w.beds.draw(v)
	if w.afterSave != nil {
		w.saved(v)
	}
}

// saved goes on with what waited for the kit to be on the disk; a save that failed ends the
// waiting.
func (w *Window) saved(v state.View) {
	for _, j := range v.Jobs {
		if j.ID == state.Filing {
			return
		}
	}
	then := w.afterSave
	switch {
	case !v.Unsaved:
		w.afterSave = nil
		then()
	case v.Notice != nil:
		w.afterSave = nil
	}
}

// Dropped takes files and folders that were dropped on the window.
func (w *Window) Dropped(at fyne.Position, uris []fyne.URI) {
	paths := make([]string, len(uris))
	for i, u := range uris {
		paths[i] = filepath.FromSlash(u.Path())
	}
	if len(paths) == 1 && w.droppedCopy(at, paths[0]) {
		return
	}
	w.Open(paths)
}

// Open adds models and folders of them, or opens a kit once it is safe to leave the open one.
func (w *Window) Open(paths []string) {
	if len(paths) == 0 || len(w.panels) > 0 {
		return
	}
	if _, ok := state.KitAmong(paths); ok {
		w.whenSafe(func() { w.bench.Open(paths) })
		return
	}
	w.bench.Open(paths)
}

// whenSafe goes on once no change can be lost: at once, or when the maker has answered.
func (w *Window) whenSafe(then func()) {
	v := w.bench.View()
	if !v.Unsaved || len(v.Parts) == 0 {
		then()
		return
	}
	question, detail := text.UnsavedQuestion(v.Title)
	w.ask(question, detail,
		answer{text.AnswerSave, true, func() { w.saveKit(false, then) }},
		answer{text.AnswerDiscard, false, then},
		answer{text.AnswerCancel, false, func() {}})
}

// leave closes the window once nothing can be lost by it.
func (w *Window) leave() {
	if w.leaving {
		return
	}
	for _, p := range w.panels {
		if p.asks {
			return // its answer comes first
		}
	}
	for _, j := range w.bench.View().Jobs {
		if j.ID == state.Saving {
			question, detail := text.SavingQuestion()
			w.ask(question, detail,
				answer{text.AnswerStop, false, func() { w.whenSafe(w.quit) }},
				answer{text.AnswerGoOn, true, func() {}})
			return
		}
	}
	for len(w.panels) > 0 {
		w.escape()
	}
	w.whenSafe(w.quit)
}

func (w *Window) quit() {
	w.leaving = true
	w.end()
	w.bench.Quit(w.win.Close)
}

// showKeys lists every key.
func (w *Window) showKeys() {
	rows := container.New(layout.NewCustomPaddedVBoxLayout(0))
	add := func(key, says string) {
		k := newCaption(key, theme.SizeNameText, theme.ColorNameForeground)
		k.style.Bold = true
		s := newCaption(says, theme.SizeNameText, theme.ColorNameForeground)
		rows.Add(container.New(columns{widths: []float32{250, 0}, gap: 12, height: 22}, k, s))
	}
	for _, m := range menus() {
		for _, id := range m.items {
			if a := w.byID[id]; a != nil && a.key != "" {
				add(a.keyName(), a.id.Tip())
			}
		}
	}
	for _, k := range text.Keys() {
		add(k[0], k[1])
	}
	w.show(text.ShowKeys.Name(), fyne.NewSize(720, 460), rows)
}
