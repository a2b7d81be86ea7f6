package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/state"
	"scantling/app/text"
)

// A pairPage lays two targets side by side, over the window.
type pairPage struct {
	w       *Window
	panel   *panel // nil while it is closed
	choices [2]*selectBox
	rungs   [2][]int // of View.Ladder, by choice; -1: the one that stands there
	take    [2]*pressButton
	table   *keyedList
	says    *widget.Label
	rows    []text.PairRow
	divide  int // the row that is a heading
	drawing bool
}

// pairColumns are the name of a line, and for each side a mark and what is said.
func pairColumns(height float32) columns {
	return columns{widths: []float32{0, 16, 236, 16, 236}, gap: 8, height: height}
}

// comparePair opens the page.
func (w *Window) comparePair() {
	if w.pair.panel == nil {
		w.bench.Compare()
		if w.bench.View().Pair != nil {
			w.pair.build()
			w.pair.draw(w.bench.View())
		}
	}
}

func (p *pairPage) build() {
	b := p.w.bench
	space := func() fyne.CanvasObject { return newCaption("", theme.SizeNameText, theme.ColorNameForeground) }
	heads, feet := []fyne.CanvasObject{space()}, []fyne.CanvasObject{space()}
	for side := range p.choices {
		var s *selectBox
		s = newSelect(nil, func(string) {
			if i := s.SelectedIndex(); !p.drawing && i >= 0 && i < len(p.rungs[side]) {
				b.CompareWith(side, p.rungs[side][i])
			}
		})
		s.SetToolTip(text.PairChoose)
		p.choices[side] = s
		t := newPress(text.PairTake, func() { b.TakeCompared(side) })
		t.onEscape = p.close
		t.SetToolTip(text.PairTakeTip)
		p.take[side] = t
		heads, feet = append(heads, space(), s), append(feet, space(), t)
	}
	p.table = newList(22, func() int { return len(p.rows) }, func() fyne.CanvasObject {
		return newLineRow(pairColumns(22), 0, fyne.TextAlignCenter, 0, fyne.TextAlignCenter)
	}, p.fill)
	p.table.extra = func(k *fyne.KeyEvent, _ int) bool {
		if k.Name == fyne.KeyEscape {
			p.close()
		}
		return k.Name == fyne.KeyEscape
	}
	intro := newNote()
	intro.SetText(text.PairIntro)
	p.says = newNote()
	inset := func(o ...fyne.CanvasObject) fyne.CanvasObject { // in line with the rows of the table
		return container.New(padded{10, 0, 10, 0}, container.New(pairColumns(0), o...))
	}
	top := container.New(padded{0, 0, 0, 6}, container.New(layout.NewCustomPaddedVBoxLayout(6), tightNote(intro), inset(heads...)))
	foot := container.New(layout.NewCustomPaddedVBoxLayout(4), tightNote(p.says), inset(feet...))
	done := newPress(text.AnswerClose, p.close)
	done.onEscape = p.close
	p.panel = p.w.open(text.PairPage, fyne.NewSize(900, 620), newFrame(top, p.table, foot), p.choices[1], done)
	p.panel.leave, p.panel.undoes = p.close, true
}

func (p *pairPage) close() {
	if p.panel != nil {
		p.panel.close()
		p.panel = nil
		p.w.bench.EndCompare()
	}
}

// fill writes a line. A figure that stops the print is told apart by its sign, too.
func (p *pairPage) fill(i int, o fyne.CanvasObject) {
	if i >= len(p.rows) {
		return
	}
	row, line := p.rows[i], o.(*lineRow)
	line.show(false, row.Name, row.Name, row.Mark[0].Sign(), row.At[0], row.Mark[1].Sign(), row.At[1])
	line.cells[0].bold(i == p.divide)
	for side, m := range row.Mark {
		line.cells[1+2*side].paint(markColour(m))
	}
}

func (p *pairPage) draw(v state.View) {
	if p.panel == nil {
		return
	}
	if v.Pair == nil { // the factor is gone
		p.close()
		return
	}
	p.drawing = true
	defer func() { p.drawing = false }()
	said := text.ComparedIn(v)
	p.rows = said.Rows()
	p.divide = len(p.rows)
	differs := said.Differing()
	p.rows = slices.Concat(p.rows, []text.PairRow{{Name: text.HeadDiffer}}, differs)
	p.table.Refresh()
	for side, c := range v.Pair.At {
		var names []string
		p.rungs[side] = nil
		at := 0
		if c.Rung < 0 {
			names, p.rungs[side] = append(names, text.PairChoice(c)), append(p.rungs[side], -1)
		}
		for i, r := range v.Ladder {
			if !r.Factor.Known() {
				continue
			}
			if i == c.Rung {
				at = len(names)
			}
			names, p.rungs[side] = append(names, text.PairRung(r)), append(p.rungs[side], i)
		}
		choose(p.choices[side], names, at)
		label := text.PairTake
		if c.InForce {
			label = text.PairIsTarget
		}
		p.take[side].SetText(label)
		enableIf(!c.InForce, p.take[side])
	}
	says := ""
	switch {
	case v.Pair.Waiting:
		says = text.PairWorks
	case v.Judged.Waiting > 0:
		says = text.PairWaits
	case len(differs) == 0:
		says = text.NothingElse
	}
	p.says.SetText(says)
	p.panel.pop.Refresh()
}
