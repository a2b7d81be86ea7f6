package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/ways"
)

// A toolStrip is what lies under the sheet: its tools, and the controls of those in use.
type toolStrip struct {
	w       *Window
	root    *fyne.Container
	measure *toggle
	along   [3]*toggle // straight, across, up
	ways    *fyne.Container
	line    *fyne.Container // what the measure says
	told    *tippedCaption
	uses    *fyne.Container // of a measure that is taken
}

func newToolStrip(w *Window) *toolStrip {
	t := &toolStrip{w: w, measure: w.toggle(text.MeasureTool)}
	pick := func(d func(state.View) ways.Direction) func() {
		return func() { w.bench.SetMeasureAlong(d(w.bench.View())) }
	}
	t.along = [3]*toggle{
		newToggle(text.LabelStraight, text.StraightTip, pick(func(state.View) ways.Direction { return ways.Free })),
		newToggle(text.LabelAcross, text.AcrossTip, pick(sheet.Across)),
		newToggle(text.LabelUp, text.UpTip, pick(sheet.Upright)),
	}
	t.ways = container.New(layout.NewCustomPaddedHBoxLayout(0), space(10), t.along[0], t.along[1], t.along[2])
	t.uses = w.measureUses()
	t.told = newTippedCaption(theme.SizeNameText, theme.ColorNameForeground)
	t.line = container.New(padded{10, 0, 10, 0}, container.New(columns{widths: []float32{0}, height: 26}, t.told))
	row := container.New(padded{6, 2, 6, 2}, container.NewHScroll(container.New(layout.NewCustomPaddedHBoxLayout(0), t.measure, t.ways, t.uses)))
	t.root = container.New(layout.NewCustomPaddedVBoxLayout(0), widget.NewSeparator(), row, t.line)
	return t
}

// space is a gap of a width in a row.
func space(width float32) fyne.CanvasObject {
	g := canvas.NewRectangle(color.Transparent)
	g.SetMinSize(fyne.NewSize(width, 1))
	return g
}

func (t *toolStrip) draw(v state.View) {
	on := v.Measure.On
	t.measure.set(on)
	showIf(on, t.ways, t.line)
	showIf(v.Measure.Known(), t.uses)
	if !on {
		return
	}
	for i, d := range []ways.Direction{ways.Free, sheet.Across(v), sheet.Upright(v)} {
		t.along[i].set(v.Measure.Along == d)
	}
	t.says(v)
}

// says tells what the measure is at.
func (t *toolStrip) says(v state.View) {
	a := t.w.sheet.view.aiming()
	t.told.tell(text.MeasureSays(v, a.Pick, a.On))
}

// showIf shows objects, or hides them.
func showIf(on bool, objects ...fyne.CanvasObject) {
	for _, o := range objects {
		if on {
			o.Show()
		} else {
			o.Hide()
		}
	}
}
