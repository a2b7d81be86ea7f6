package ui

import (
	"fmt"
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
	w                             *Window
	root                          *fyne.Container
	measure, byEye, people, thick *toggle
	along                         [3]*toggle // straight, across, up
	ways                          *fyne.Container
	line                          *fyne.Container // what the measure says
	told                          *tippedCaption
	uses                          *fyne.Container // of a measure that is taken
	eye                           *fyne.Container // what by eye says
	target                        *field
	would                         *tippedCaption
	beds                          *fyne.Container // what the beds say
	lies                          *tippedCaption
	back                          *pressButton
	open                          bool // the stand-ins' controls are shown
	rows                          []*personRow
	crowd                         *fyne.Container
	more                          *pressButton
	shown                         string // what was laid out last
}

func newToolStrip(w *Window) *toolStrip {
	t := &toolStrip{w: w, measure: w.toggle(text.MeasureTool), byEye: w.toggle(text.ByEyeTool), people: w.toggle(text.StandInTool), thick: w.toggle(text.ShowThickness)}
	pick := func(d func(state.View) ways.Direction) func() {
		return func() { w.bench.SetMeasureAlong(d(w.bench.View())) }
	}
	t.along = [3]*toggle{
		newToggle(text.LabelStraight, text.StraightTip, pick(func(state.View) ways.Direction { return ways.Free })),
		newToggle(text.LabelAcross, text.AcrossTip, pick(sheet.Across)),
		newToggle(text.LabelUp, text.UpTip, pick(sheet.Upright)),
	}
	t.ways = container.New(layout.NewCustomPaddedHBoxLayout(0), space(10), t.along[0], t.along[1], t.along[2])
	t.more = w.button(text.AddStandIn)
	row := container.New(padded{6, 2, 6, 2}, container.NewHScroll(container.New(layout.NewCustomPaddedHBoxLayout(0),
		t.measure, t.byEye, t.people, t.thick, t.ways, layout.NewSpacer(), t.more)))

	t.told = newTippedCaption(theme.SizeNameText, theme.ColorNameForeground)
	t.uses = w.measureUses()
	t.line = container.New(padded{10, 0, 10, 2}, container.NewBorder(nil, nil, nil, t.uses, container.New(columns{widths: []float32{0}, height: 32}, t.told)))

	t.target = newField(w, state.InTarget, 76)
	t.target.label.set(text.LabelTargetByEye)
	t.would = newTippedCaption(theme.SizeNameText, theme.ColorNameForeground)
	t.back = w.button(text.PutBack)
	t.eye = container.New(padded{10, 0, 10, 2}, container.New(layout.NewCustomPaddedVBoxLayout(0),
		container.New(columns{widths: []float32{170, 0, 84}, gap: 8, height: 32}, t.target.line, t.would, t.back), t.target.fault))

	t.lies = newTippedCaption(theme.SizeNameText, theme.ColorNameForeground)
	t.beds = container.New(padded{10, 0, 10, 2}, container.New(columns{widths: []float32{0, 120}, gap: 8, height: 32}, t.lies, w.button(text.SaveBeds)))

	t.crowd = container.New(layout.NewCustomPaddedVBoxLayout(0))
	for i := range state.MostStandIns {
		r := newPersonRow(w, i)
		t.rows = append(t.rows, r)
		t.crowd.Add(r.root)
	}
	t.root = container.New(layout.NewCustomPaddedVBoxLayout(0), widget.NewSeparator(), row, t.crowd, t.eye, t.line, t.beds)
	return t
}

// space is a gap of a width in a row.
func space(width float32) fyne.CanvasObject {
	g := canvas.NewRectangle(color.Transparent)
	g.SetMinSize(fyne.NewSize(width, 1))
	return g
}

// fold shows the stand-ins' controls, or hides them.
func (t *toolStrip) fold() {
	t.open = !t.open
	v := t.w.bench.View()
	t.draw(v)
	t.w.drawMenu(v)
}

func (t *toolStrip) draw(v state.View) {
	t.measure.set(v.Measure.On)
	t.byEye.set(v.Sheet.ByEye)
	t.thick.set(v.Sheet.Thickness)
	t.people.set(t.open)
	showIf(v.Measure.On, t.ways, t.line)
	showIf(v.Measure.Known(), t.uses)
	if v.Measure.On {
		for i, d := range []ways.Direction{ways.Free, sheet.Across(v), sheet.Upright(v)} {
			t.along[i].set(v.Measure.Along == d)
		}
		t.says(v)
	}
	showIf(v.Sheet.ByEye, t.eye)
	if v.Sheet.ByEye {
		t.target.draw(v)
		t.would.tell(text.ByEyeSays(v, t.w.bench.Sticks()))
	}
	showIf(v.Sheet.Displaced(), t.back)
	showIf(v.Sheet.Beds, t.beds)
	t.lies.tell(text.BedsSelected(v))
	people := v.Sheet.People()
	showIf(t.open && len(people) < state.MostStandIns, t.more)
	showIf(t.open, t.crowd)
	for i, r := range t.rows {
		showIf(t.open && i < len(people), r.root)
		if t.open && i < len(people) {
			r.draw(v, people[i])
		}
	}
	// The strip is laid out again where something came or went.
	now := fmt.Sprint(v.Measure.On, v.Measure.Known(), v.Sheet.ByEye, v.Sheet.Beds, v.Sheet.Displaced(), t.open, len(people), v.Faults[state.InTarget])
	for _, p := range people {
		now += fmt.Sprint(p.Err != nil)
	}
	if now != t.shown {
		t.shown = now
		t.root.Refresh()
		t.w.sheet.root.Refresh()
	}
}

// says tells what the measure is at.
func (t *toolStrip) says(v state.View) {
	a := t.w.sheet.view.aiming()
	t.told.tell(text.MeasureSays(v, a.Pick, a.On))
}

// showIf shows objects, or hides them.
func showIf(on bool, objects ...fyne.CanvasObject) {
	for _, o := range objects {
		switch {
		case on == o.Visible():
		case on:
			o.Show()
		default:
			o.Hide()
		}
	}
}
