package sheet

import "scantling/app/text"

// drawThickness lays the patterns of how thick a part is over its silhouette.
func (d *drawing) drawThickness(p *placed, box Rect) {
	thick, f := p.part.Shades[d.view.Sheet.Side], d.view.Result.Factor.Float()
	if !d.view.Sheet.Thickness || thick == nil || !(f > 0) {
		return
	}
	m := Mark{Kind: Thicknesses, Ink: Pen, Role: PartShape, Clipped: true, Part: p.part.ID, Box: box, Thick: thick}
	for i, mm := range d.view.ThicknessBounds() {
		m.Bounds[i] = float32(mm / (f * p.part.Measured.Unit.MM))
	}
	d.put(m)
}

// Sizes of the legend.
const (
	swatchW, swatchH = 26.0, 13.0
	legendLine       = 18.0
	legendPad        = 8.0
)

// thicknessLegend says in the upper left corner what the patterns stand for.
func (d *drawing) thicknessLegend() {
	if !d.view.Sheet.Thickness || len(d.layout.parts) == 0 {
		return
	}
	title, lines := text.ThicknessLegend(d.view)
	f := d.layout.field
	longest := len([]rune(title))
	for _, l := range lines {
		longest = max(longest, len([]rune(l.Text))+5)
	}
	w := min(float64(longest)*sizeCaption*0.6+2*legendPad, f.W()-2*legendPad)
	h := legendLine*float64(len(lines)+1) + legendPad
	box := Rect{Point{f.Min.X + legendPad, f.Min.Y + legendPad}, Point{f.Min.X + legendPad + w, f.Min.Y + legendPad + h}}
	if box.Max.Y > f.Max.Y-blockH {
		return // there is no room
	}
	d.noted = box.Max.Y - f.Min.Y
	d.put(Mark{Kind: Area, Ink: Blank, Role: ThickLegend, Points: box.corners()})
	d.put(Mark{Kind: Outline, Ink: Thin, Role: ThickLegend, Points: box.corners(), Width: penThin})
	y := box.Min.Y + legendLine - 4
	d.write(Mark{Ink: Pen, Role: ThickLegend, Text: shortened(title, w-2*legendPad), Size: sizeLabel, At: Point{box.Min.X + legendPad, y}, Bold: true})
	for _, l := range lines {
		y += legendLine
		x := box.Min.X + legendPad
		if l.Class >= 0 {
			swatch := Rect{Point{x, y - swatchH + 3}, Point{x + swatchW, y + 3}}
			d.put(Mark{Kind: Pattern, Ink: Pen, Role: ThickLegend, Box: swatch, Class: l.Class})
			d.put(Mark{Kind: Outline, Ink: Thin, Role: ThickLegend, Points: swatch.corners(), Width: penThin})
			x += swatchW + legendPad
		}
		d.write(Mark{Ink: Pen, Role: ThickLegend, Text: l.Text, Size: sizeCaption + 1, At: Point{x, y}})
	}
}
