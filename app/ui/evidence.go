package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/ways"
)

func hasMeasure(v state.View) bool { return v.Measure.Known() }

// measureUses are buttons for what a measure on the sheet can be used for.
func (w *Window) measureUses() *fyne.Container {
	return container.New(layout.NewCustomPaddedHBoxLayout(4), space(10), w.button(text.ClueOfMeasure), w.button(text.LengthOfMeasure))
}

// measureAsClue takes what is measured for a clue, and asks what it is in reality.
func (p *factorPane) measureAsClue() {
	p.w.bench.ChooseWay(ways.ByClues)
	p.w.bench.ClueFromMeasure()
	p.askReal()
}

// partAsClue takes the height of a part for a clue, and asks what it is in reality.
func (p *factorPane) partAsClue(id string) {
	p.w.bench.ChooseWay(ways.ByClues)
	p.w.bench.ClueFromPart(id)
	p.askReal()
}

// askReal brings the keyboard to what a clue is in reality.
func (p *factorPane) askReal() { p.w.canvas().Focus(p.fields[state.InIsReal][0].entry) }

// measureAsLength lets what is measured become a given length.
func (p *factorPane) measureAsLength() {
	p.w.bench.ChooseWay(ways.ByLength)
	p.w.bench.SetLengthPoints(p.view.Measure.Points)
	p.typing()
}

// reveal scrolls the fields of the way in force so that one of them is seen.
func (p *factorPane) reveal(o fyne.CanvasObject) {
	d, scroll := fyne.CurrentApp().Driver(), p.share.fields
	top := d.AbsolutePositionForObject(o).Y - d.AbsolutePositionForObject(scroll.Content).Y
	const air = 6
	low, high := top-air, top+o.Size().Height+air-scroll.Size().Height
	at := min(max(scroll.Offset.Y, high), low)
	if at != scroll.Offset.Y {
		scroll.ScrollToOffset(fyne.NewPos(0, max(at, 0)))
	}
}
