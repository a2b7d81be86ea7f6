package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// A keyedList is a list whose selection follows the keys, with those for pages and ends, and
// maybe keys of its own.
type keyedList struct {
	widget.List
	row    float32                               // height of a row
	mark   int                                   // where the toolkit's list has its keyboard mark
	quiet  bool                                  // the selection changes because the bench said so
	choose func(i int)                           // the maker has selected a row
	extra  func(k *fyne.KeyEvent, mark int) bool // reports whether it took the key
}

func newList(row float32, length func() int, create func() fyne.CanvasObject, update func(int, fyne.CanvasObject)) *keyedList {
	l := &keyedList{row: row}
	l.Length, l.CreateItem, l.UpdateItem = length, create, update
	l.HideSeparators = true
	l.OnSelected = func(i int) {
		if l.quiet {
			return
		}
		l.mark = i // by a click, which has moved the mark, too
		if l.choose != nil {
			l.choose(i)
		}
	}
	l.ExtendBaseWidget(l)
	return l
}

// move brings the keyboard's mark to a row.
func (l *keyedList) move(i int) {
	key := fyne.KeyDown
	if i < l.mark {
		key = fyne.KeyUp
	}
	for n := max(i-l.mark, l.mark-i); n > 0; n-- {
		l.List.TypedKey(&fyne.KeyEvent{Name: key})
	}
	l.mark = i
}

// show selects a row, or none for -1, and tells nobody.
func (l *keyedList) show(i int) {
	l.quiet = true
	defer func() { l.quiet = false }()
	if i < 0 {
		l.UnselectAll()
		l.move(min(l.mark, max(l.Length()-1, 0)))
		return
	}
	l.move(i)
	l.Select(i)
}

func (l *keyedList) TypedKey(k *fyne.KeyEvent) {
	n := l.Length()
	if n == 0 || l.extra != nil && l.extra(k, l.mark) {
		return
	}
	page := max(int(l.Size().Height/l.row)-1, 1)
	to := l.mark
	switch k.Name {
	case fyne.KeyDown:
		to++
	case fyne.KeyUp:
		to--
	case fyne.KeyPageDown:
		to += page
	case fyne.KeyPageUp:
		to -= page
	case fyne.KeyHome:
		to = 0
	case fyne.KeyEnd:
		to = n - 1
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
	default:
		return
	}
	to = min(max(to, 0), n-1)
	l.move(to)
	l.Select(to)
}
