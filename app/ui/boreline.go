package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/hardware"
)

// A boreLine says what the hole is for that is chosen in a part's table, and lets the maker say
// otherwise.
type boreLine struct {
	*fyne.Container
	w       *Window
	name    *caption
	choice  *selectBox
	like    *checkBox
	part    state.Part
	bore    int // from 0 on
	keys    []string
	drawing bool
}

func newBoreLine(w *Window) *boreLine {
	l := &boreLine{w: w}
	l.name = newCaption("", theme.SizeNameText, theme.ColorNameForeground)
	l.choice = newSelect(nil, func(string) { l.say() })
	l.choice.SetToolTip(text.BoreTip)
	l.like = newCheck("", func(bool) {})
	l.like.SetToolTip(text.BoresLikeTip)
	l.Container = container.New(columns{widths: []float32{150, 0, 190}, gap: 8}, l.name, l.choice, l.like)
	l.Hide()
	return l
}

// say takes what is chosen, for the other holes that are as wide, too, where that is ticked.
func (l *boreLine) say() {
	i := l.choice.SelectedIndex()
	if l.drawing || i < 0 || i >= len(l.keys) {
		return
	}
	bores := []int{l.bore}
	if l.like.Checked {
		bores = l.part.BoresAlike(l.bore)
	}
	if l.keys[i] == "?" {
		l.w.bench.ForgetBores(l.part.ID, bores)
		return
	}
	l.w.bench.NameBores(l.part.ID, bores, l.keys[i])
}

// draw shows a bore of a part, counted from 1, and nothing for 0.
func (l *boreLine) draw(p state.Part, v state.View, bore int) {
	l.drawing = true
	defer func() { l.drawing = false }()
	use, ok := v.Judged.UseOf(p.ID, bore-1)
	showIf(ok, l.Container)
	if !ok {
		return
	}
	l.part, l.bore = p, bore-1
	of := p.Found.Bores
	l.name.set(text.BoreFor(l.bore, len(of)))
	guess, _ := hardware.Guess(of[l.bore].Diameter * p.Measured.Unit.MM)
	if use.Taken {
		guess = hardware.Item{}
	}
	var names []string
	names, l.keys = text.BoreChoices(guess)
	at := 0
	if use.Said {
		at = slices.Index(l.keys, use.Item.Key)
	}
	choose(l.choice, names, at)
	others := len(p.BoresAlike(l.bore)) - 1
	showIf(others > 0, l.like)
	if label := text.BoresLike(others); l.like.Text != label {
		l.like.SetText(label)
	}
}
