package ui

import (
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

// A lengthOf is something that a length may be of: the whole kit, a part, several parts, or what
// lies between two points.
type lengthOf struct {
	part    string
	several bool
	points  ways.Points
}

// measureOf takes what the length is of.
func (p *factorPane) measureOf(i int) {
	if i >= len(p.lengths) {
		return
	}
	switch of := p.lengths[i]; {
	case of.several:
		p.chooseParts()
		p.drawing = true // what is shown stays until parts are chosen
		p.drawLengths(p.view)
		p.drawing = false
	case of.points.Known():
		p.w.bench.SetLengthPoints(of.points)
	default:
		p.w.bench.SetLengthPart(of.part)
	}
}

// drawLengths fills what a length may be of, and gives the size of what it is of.
func (p *factorPane) drawLengths(v state.View) geom.Vec {
	p.lengths = []lengthOf{{}}
	names := []string{text.LabelWholeKit}
	at, size := 0, v.KitBox.Size()
	together := geom.EmptyBox()
	for _, part := range v.Parts {
		if !part.Ticked || part.State != state.Measured {
			continue
		}
		p.lengths, names = append(p.lengths, lengthOf{part: part.ID}), append(names, part.Name)
		if part.ID == v.Way.Part && len(v.Way.Parts) == 0 {
			at, size = len(names)-1, part.Drawn
		}
		for _, id := range v.Way.Parts {
			if id == part.ID {
				together = together.Union(part.Box)
			}
		}
	}
	p.lengths = append(p.lengths, lengthOf{several: true})
	names = append(names, text.LabelSeveral)
	if n := len(v.Way.Parts); n > 0 {
		at = len(names) - 1
		names[at] = text.SeveralParts(n)
		if !together.Empty() {
			size = together.Size()
		}
	}
	if m := v.Measure; m.Known() && m.Points != v.Way.Points {
		p.lengths, names = append(p.lengths, lengthOf{points: m.Points}), append(names, text.MeasureChoice(m.Points, v.Sheet.Inches))
	}
	if v.Way.Points.Known() {
		p.lengths, names = append(p.lengths, lengthOf{points: v.Way.Points}), append(names, text.MeasureChoice(v.Way.Points, v.Sheet.Inches))
		at = len(names) - 1
		p.alongOf.Hide()
	} else {
		p.alongOf.Show()
	}
	choose(p.measure, names, at)
	return size
}

// chooseParts asks which parts are measured together.
func (p *factorPane) chooseParts() {
	v := p.view
	chosen := map[string]bool{}
	for _, id := range v.Way.Parts {
		chosen[id] = true
	}
	if len(v.Way.Parts) == 0 && v.Way.Part != "" {
		chosen[v.Way.Part] = true
	}
	var parts []state.Part
	for _, part := range v.Parts {
		if part.Ticked && part.State == state.Measured {
			parts = append(parts, part)
		}
	}
	count := newCaption("", theme.SizeNameCaptionText, theme.ColorNamePlaceHolder)
	tell := func() {
		n := 0
		for _, part := range parts {
			if chosen[part.ID] {
				n++
			}
		}
		count.set(text.CountChosen(n))
	}
	tell()
	box := container.New(layout.NewCustomPaddedVBoxLayout(0))
	var panel *panel
	var first fyne.Focusable
	for _, part := range parts {
		c := newCheck(part.Name, func(on bool) {
			chosen[part.ID] = on
			tell()
		})
		c.SetChecked(chosen[part.ID])
		if first == nil {
			first = c
		}
		box.Add(c)
	}
	no := newPress(text.AnswerCancel, func() { panel.close() })
	yes := newPress(text.AnswerOK, func() {
		panel.close()
		var ids []string
		for _, part := range parts {
			if chosen[part.ID] {
				ids = append(ids, part.ID)
			}
		}
		p.w.bench.SetLengthParts(ids)
	})
	yes.Importance = widget.HighImportance
	no.onEscape, yes.onEscape = no.OnTapped, no.OnTapped
	if first == nil {
		first = no
	}
	panel = p.w.open(text.LabelParts, fyne.NewSize(420, 420),
		newFrame(count, container.NewVScroll(box), container.NewWithoutLayout()), first, no, yes)
}
