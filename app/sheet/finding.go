package sheet

import (
	"math"

	"scantling/app/text"
)

// Radii of the ring around what was found, device-independent pixels, and how far its ticks
// reach beyond.
const (
	foundRing  = 11.0
	foundTicks = 5.0
)

// drawFound rings the place of the marked finding where its part is drawn, and says what it is.
func (d *drawing) drawFound() {
	p := d.view.Pointed
	of := d.layout.byID(p.Part)
	if of == nil {
		return
	}
	at := d.layout.where(axesOf(d.view.Sheet.Side, d.view.PartsUp), of, p.At)
	ring := make([]Point, 32)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		ring[i] = Point{at.X + foundRing*cos, at.Y + foundRing*sin}
	}
	d.put(Mark{Kind: Outline, Ink: Selects, Role: FoundPlace, Clipped: true, Part: p.Part, Points: ring, Width: 1.6})
	for _, t := range []Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		d.line(Selects, FoundPlace, 1.2, Point{at.X + foundRing*t.X, at.Y + foundRing*t.Y},
			Point{at.X + (foundRing+foundTicks)*t.X, at.Y + (foundRing+foundTicks)*t.Y})
	}
	// The words stand on the side where there is more room.
	says := Mark{Ink: Selects, Role: FoundPlace, Clipped: true, Part: p.Part, Text: text.PlaceOf(p.Finding, d.view.Sheet.Inches), Size: sizeLabel, Halo: true}
	says.At, says.Align = Point{at.X + foundRing + foundTicks + 5, at.Y + sizeLabel/3}, Start
	if at.X > d.layout.field.Middle().X {
		says.At.X, says.Align = at.X-foundRing-foundTicks-5, End
	}
	// Paper under them keeps them legible on the drawing; it hides nothing beside them.
	wide := float64(len([]rune(says.Text)))*sizeLabel*0.46 + 3
	under := Rect{Point{says.At.X - 3, says.At.Y - sizeLabel}, Point{says.At.X + wide, says.At.Y + sizeLabel*0.35}}
	if says.Align == End {
		under.Min.X, under.Max.X = says.At.X-wide, says.At.X+3
	}
	d.put(Mark{Kind: Area, Ink: Blank, Role: FoundPlace, Clipped: true, Part: p.Part, Points: under.corners()})
	d.write(says)
}
