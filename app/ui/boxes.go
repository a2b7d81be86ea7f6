package ui

import (
	"fyne.io/fyne/v2"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"
)

// A selectBox is a choice of one among several that hands Escape on to the window.
type selectBox struct{ ttwidget.Select }

func newSelect(options []string, changed func(string)) *selectBox {
	s := &selectBox{}
	s.Options, s.OnChanged = options, changed
	s.ExtendBaseWidget(s)
	return s
}

func (s *selectBox) TypedKey(k *fyne.KeyEvent) {
	if !handOn(s, k) {
		s.Select.TypedKey(k)
	}
}

// A checkBox is a tick that hands Escape on to the window.
type checkBox struct{ ttwidget.Check }

func newCheck(label string, changed func(bool)) *checkBox {
	c := &checkBox{}
	c.Text, c.OnChanged = label, changed
	c.ExtendBaseWidget(c)
	return c
}

func (c *checkBox) TypedKey(k *fyne.KeyEvent) {
	if !handOn(c, k) {
		c.Check.TypedKey(k)
	}
}

// handOn gives Escape to the window, which leaves what lies over it, although something has the
// keyboard; other keys it leaves alone.
func handOn(o fyne.CanvasObject, k *fyne.KeyEvent) bool {
	if k.Name != fyne.KeyEscape {
		return false
	}
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil {
		if typed := c.OnTypedKey(); typed != nil {
			typed(k)
		}
	}
	return true
}
