package sheet

import (
	"image"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
)

// Sizes of the drawing of a figure to print, device-independent pixels.
const (
	printedRim   = 12.0
	printedGap   = 26.0 // between two views, dimensions apart
	printedDims  = 30.0 // for an upright dimension beside a view
	printedUnder = 46.0 // for a dimension under the views, and their names
)

// DrawPrinted draws a figure to print as it was made: from the front and from its left with how
// tall it is from soles to crown, how tall it is with its base, and how wide and deep, all of the
// print; and a little from above. All stand on one line at one scale.
func DrawPrinted(p state.Printed, inches bool, s Size) []Mark {
	d := &drawing{layout: &layout{}}
	d.view.Sheet.Inches = inches
	d.put(Mark{Kind: Area, Ink: Blank, Role: Ground, Points: Rect{Max: Point{s.W, s.H}}.corners()})
	v := p.Views
	if v.PerMM == 0 {
		return d.marks
	}
	views := []*image.NRGBA{v.Front, v.Side, v.Above}
	names := text.PrintedViews()
	wide, high := 0.0, 0.0 // mm
	for _, img := range views {
		wide += float64(img.Bounds().Dx()) / v.PerMM
		high = max(high, float64(img.Bounds().Dy())/v.PerMM)
	}
	k := min((s.W-2*printedRim-2*printedDims-2*printedGap)/wide, (s.H-2*printedRim-printedUnder)/high)
	if k <= 0 {
		return d.marks
	}
	left := (s.W-k*wide-2*printedDims-2*printedGap)/2 + printedDims
	ground := (s.H + k*high - printedUnder) / 2
	box := func(img *image.NRGBA) Rect {
		return Rect{Point{left, ground - k*float64(img.Bounds().Dy())/v.PerMM}, Point{left + k*float64(img.Bounds().Dx())/v.PerMM, ground}}
	}
	for i, img := range views {
		at := box(img)
		d.put(Mark{Kind: Picture, Ink: Pen, Role: StandIn, Box: at, Shades: img})
		d.write(Mark{Ink: Thin, Role: Hint, Size: sizeCaption, Align: Centre, Text: names[i], At: Point{(at.Min.X + at.Max.X) / 2, ground + printedUnder - 6}})
		if m := p.Made; m.Mesh != nil {
			switch i {
			case 0:
				sole := ground - k*m.Sole
				tall := m.Landmarks[figure.Crown] * p.Spec.Ratio.Float()
				d.height("", Rect{Point{at.Min.X, sole - k*tall}, Point{at.Max.X, sole}}, tall, at.Min.X, Thin)
				d.width("", at, m.Size[0], ground, Thin)
			case 1:
				d.height("", at, m.Size[2], at.Max.X, Thin)
				d.width("", at, m.Size[1], ground, Thin)
			}
		}
		left = at.Max.X + printedGap
		if i == 1 {
			left += printedDims
		}
	}
	return d.marks
}
