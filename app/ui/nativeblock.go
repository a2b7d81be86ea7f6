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
	"scantling/engine/geom"
	"scantling/engine/ways"
)

// A nativeBlock says where the native ratio comes from, and has what that source needs.
type nativeBlock struct {
	p     *factorPane
	root  *fyne.Container
	from  *selectBox
	head  *fyne.Container // of the choice and, for a ratio that is given, its entry
	given *field
	wrong *fyne.Container // with the given ratio
	real  *fyne.Container
	along *selectBox
	full  *fyne.Container
	unit  *selectBox
	says  *widget.Label
	note  *fyne.Container
}

func newNativeBlock(p *factorPane, k ways.Kind) *nativeBlock {
	n := &nativeBlock{p: p}
	b := p.w.bench
	n.from = p.choice(text.NativeTip, func(i int) { b.SetNativeFrom(ways.NativeSources()[i]) })
	n.given = p.field(k, state.InNative, 0)
	n.head = container.New(columns{widths: []float32{labelWidth, 0, 92}, gap: 6}, newCaption(text.LabelNative, theme.SizeNameText, theme.ColorNameForeground), n.from, n.given.entry)
	n.wrong = container.New(padded{}, n.given.fault)
	n.along = p.choice(text.AlongTip, func(i int) { b.SetAlong(geom.Axis(i)) })
	n.real = container.New(layout.NewCustomPaddedVBoxLayout(4), p.field(k, state.InReal, labelWidth).root, labelled(text.LabelAlong, n.along))
	n.unit = p.choice(text.UnitTip, func(i int) { b.SetFullSize(state.FullSizeUnits()[i]) })
	n.full = labelled(text.LabelUnit, n.unit)
	n.says = newNote()
	n.note = container.New(columns{widths: []float32{labelWidth, 0}, gap: 6}, newCaption("", theme.SizeNameText, theme.ColorNameForeground), tightNote(n.says))
	n.root = container.New(layout.NewCustomPaddedVBoxLayout(4), n.head, n.wrong, n.real, n.full, n.note)
	p.natives = append(p.natives, n)
	return n
}

func (n *nativeBlock) draw(v state.View) {
	from := v.Way.NativeFrom
	var names, units []string
	for _, f := range ways.NativeSources() {
		names = append(names, text.NativeFromName(f))
	}
	choose(n.from, names, slices.Index(ways.NativeSources(), from))
	for _, u := range state.FullSizeUnits() {
		units = append(units, text.UnitWord(u))
	}
	choose(n.unit, units, slices.Index(state.FullSizeUnits(), v.Way.FullSize))
	choose(n.along, axisNames(v.KitBox.Size(), v.Sheet.Inches), int(v.Way.Along))
	n.says.SetText(text.NativeNow(v))
	if from == ways.FromGiven {
		n.head.Layout = columns{widths: []float32{labelWidth, 0, 92}, gap: 6}
	} else {
		n.head.Layout = columns{widths: []float32{labelWidth, 0, 1}, gap: 6}
	}
	showIf(from == ways.FromGiven, n.given.entry)
	showIf(from == ways.FromGiven && v.Faults[state.InNative] != nil, n.wrong)
	showIf(from == ways.FromReal, n.real)
	showIf(from == ways.FromFullSize, n.full)
	showIf(from != ways.FromGiven, n.note)
}

// newNote is a small paragraph.
func newNote() *widget.Label {
	l := widget.NewLabel("")
	l.Wrapping = fyne.TextWrapWord
	l.SizeName = theme.SizeNameCaptionText
	return l
}

// tightNote takes away the space that the toolkit puts around a paragraph, so that it stands in
// line with what lies over it.
func tightNote(l *widget.Label) *fyne.Container {
	return container.New(padded{-6, -3, -6, -3}, l)
}
