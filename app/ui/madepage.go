package ui

import (
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
)

// A madePage lists the copies that were saved of the kit, over the window.
type madePage struct {
	w     *Window
	panel *panel // nil while it is closed
	says  *widget.Label
	list  *keyedList
	view  state.View
	at    int
}

func (w *Window) showMade() {
	if w.made.panel == nil {
		w.made.build()
		w.made.draw(w.bench.View())
		w.bench.CheckMade()
	}
}

func (p *madePage) build() {
	leave := func() {
		if p.panel != nil {
			p.panel.close()
			p.panel = nil
			p.w.bench.Cancel(state.Checking)
		}
	}
	p.at = 0
	cells := columns{widths: []float32{170, 130, 190, 60, 110, 0}, gap: 10, height: 22}
	head := newLineRow(cells)
	titles := text.MadeHead()
	head.show(false, "", titles[:]...)
	for _, c := range head.cells {
		c.paint(theme.ColorNamePlaceHolder)
	}
	p.list = newList(22, func() int { return len(p.view.Made) }, func() fyne.CanvasObject { return newLineRow(cells) }, func(i int, o fyne.CanvasObject) {
		if i >= len(p.view.Made) {
			return
		}
		s, r := p.view.Made[i], o.(*lineRow)
		row := text.MadeRow(s, p.view)
		r.show(false, row[5], row[:]...)
		colour := theme.ColorNameForeground
		if now := p.view.Result.Factor; now.Known() && !now.Equal(s.Factor) {
			colour = theme.ColorNameWarning
		}
		r.cells[2].paint(colour)
		colour = theme.ColorNamePlaceHolder
		if now := p.view.Lying[s.Path()]; now != "" && now != state.LyingWhole {
			colour = theme.ColorNameWarning
		}
		r.cells[4].paint(colour)
	})
	p.list.choose = func(i int) { p.at = i }
	p.list.extra = func(k *fyne.KeyEvent, _ int) bool {
		if k.Name == fyne.KeyEscape {
			leave()
			return true
		}
		return false
	}
	intro := newNote()
	intro.SetText(text.MadeIntro)
	p.says = newNote()
	folder := newPress(text.OpenFolder.Name(), func() {
		if p.at >= len(p.view.Made) {
			return
		}
		in := filepath.Dir(p.view.Made[p.at].Path())
		if err := p.w.env.Show(in); err != nil {
			p.w.tell(text.OpenFolder.Name(), in, text.Error(err).String())
		}
	})
	done := newPress(text.AnswerClose, leave)
	folder.onEscape, done.onEscape = leave, leave
	top := container.New(layout.NewCustomPaddedVBoxLayout(4), tightNote(intro), tightNote(p.says), head)
	p.panel = p.w.open(text.MadePage, fyne.NewSize(980, 460), newFrame(top, p.list, container.NewWithoutLayout()), done, folder, done)
	p.panel.leave = leave
	enableIf(len(p.w.bench.View().Made) > 0, folder)
}

func (p *madePage) draw(v state.View) {
	p.view = v
	if p.panel == nil {
		return
	}
	p.says.SetText(text.MadeCount(v))
	p.list.Refresh()
	p.panel.pop.Refresh()
}
