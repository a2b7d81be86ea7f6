package sheet

import (
	"math"

	"scantling/app/text"
	"scantling/engine/gauge"
	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A GaugePlan is a step gauge seen from above, its front at the bottom.
type GaugePlan struct {
	strips []gaugeStrip
	steps  []gauge.Step
}

type gaugeStrip struct {
	kind gauge.Kind
	box  geom.Box
}

// NewGaugePlan is the plan of a gauge.
func NewGaugePlan(g gauge.Gauge) *GaugePlan {
	p := &GaugePlan{steps: g.Steps}
	for _, m := range g.Parts {
		p.strips = append(p.strips, gaugeStrip{gauge.Kind(m.Name), mesh.MeasuresOf(m).Box})
	}
	return p
}

// Sizes of the plan.
const (
	gaugeRim   = 4.0  // around it, device-independent pixels
	gaugeUnder = 15.0 // for what is written under it
	gaugeLabel = 2.5  // from what is tried to the middle of its numeral, mm
	gaugeOfPeg = 4.0  // diameter of the loose pegs, mm
	gaugeRoom  = 6.0  // depth of what is tried, mm
)

// scale is in pixels a millimetre.
func (p *GaugePlan) scale(s Size) float64 {
	all := gauge.Size()
	return min((s.W-2*gaugeRim)/all[0], (s.H-2*gaugeRim-gaugeUnder)/all[1])
}

// at is where a place of the plate stands on paper.
func (p *GaugePlan) at(x, y float64, s Size) Point {
	k := p.scale(s)
	return Point{gaugeRim + x*k, gaugeRim + (gauge.Size()[1]-y)*k}
}

func (p *GaugePlan) rect(x0, y0, x1, y1 float64, s Size) []Point {
	a, b := p.at(x0, y0, s), p.at(x1, y1, s)
	return Rect{Point{a.X, b.Y}, Point{b.X, a.Y}}.corners()
}

// Draw draws the plan: the strips of a kind are marked by a thicker rim, and the sizes that were
// read by a bar under their number.
func (p *GaugePlan) Draw(marked gauge.Kind, read map[gauge.Kind][]float64, s Size) []Mark {
	var marks []Mark
	put := func(m Mark) { marks = append(marks, m) }
	put(Mark{Kind: Area, Ink: Blank, Role: Ground, Points: Rect{Max: Point{s.W, s.H}}.corners()})
	if p.scale(s) <= 0 {
		return marks
	}
	for _, strip := range p.strips {
		b := strip.box
		rim := p.rect(b.Min[0], b.Min[1], b.Max[0], b.Max[1], s)
		ink, width := Thin, penThin
		if strip.kind == marked {
			ink, width = Selects, 2.0
		}
		put(Mark{Kind: Area, Ink: Margin, Role: Ground, Points: rim})
		put(Mark{Kind: Outline, Ink: ink, Role: PartShape, Part: string(strip.kind), Width: width, Points: rim})
		mid := b.Centre()
		switch strip.kind {
		case gauge.Pegs:
			put(Mark{Kind: Outline, Ink: Pen, Role: PartShape, Width: penThin, Points: p.ring(mid[0], mid[1], gaugeOfPeg, s)})
		case gauge.Lengths:
			a := p.at(mid[0], mid[1], s)
			put(Mark{Kind: Writing, Ink: Pen, Role: Width, Size: sizeCaption, Text: text.GaugeSize(b.Size()[1]), At: Point{a.X + sizeCaption/3, a.Y}, Align: Centre, Upwards: true})
		}
	}
	front := p.at(gauge.Size()[0]/2, 0, s)
	put(Mark{Kind: Writing, Ink: Thin, Role: Hint, Size: sizeCaption, Text: text.GaugeFront, At: Point{front.X, front.Y + gaugeUnder - 3}, Align: Centre})
	for _, step := range p.steps {
		p.step(put, step, s)
		label := p.at(step.At[0], step.At[1]-gaugeRoom/2-gaugeLabel, s)
		words := text.GaugeSize(step.MM)
		m := Mark{Kind: Writing, Ink: Pen, Role: Width, Part: string(step.Kind), Size: sizeCaption, Text: words, At: Point{label.X, label.Y + sizeCaption/3}, Align: Centre}
		for _, v := range read[step.Kind] {
			if v == step.MM {
				m.Bold, m.Ink = true, Selects
				half := float64(len(words)) * sizeCaption * 0.3
				put(Mark{Kind: Line, Ink: Selects, Role: Selection, Part: string(step.Kind), Width: 2,
					Points: []Point{{label.X - half, m.At.Y + 2.5}, {label.X + half, m.At.Y + 2.5}}})
			}
		}
		put(m)
	}
	return marks
}

// step draws one step: what stands dark, what is open or sunk as an outline.
func (p *GaugePlan) step(put func(Mark), step gauge.Step, s Size) {
	x, y, half := step.At[0], step.At[1], gaugeRoom/2
	shape := func(kind Kind, points []Point) {
		put(Mark{Kind: kind, Ink: Pen, Role: PartShape, Part: string(step.Kind), Width: penThin, Points: points})
	}
	block := func(kind Kind, x0, x1 float64) { shape(kind, p.rect(x0, y-half, x1, y+half, s)) }
	switch step.Kind {
	case gauge.Walls, gauge.Raised:
		block(Area, x-step.MM/2, x+step.MM/2)
	case gauge.Engraved:
		block(Outline, x-step.MM/2, x+step.MM/2)
	case gauge.Gaps:
		block(Area, x-gaugeOfPeg, x-step.MM/2)
		block(Area, x+step.MM/2, x+gaugeOfPeg)
	case gauge.Pins:
		shape(Area, p.ring(x, y, step.MM, s))
	case gauge.Holes:
		shape(Outline, p.ring(x, y, step.MM, s))
	case gauge.Fits:
		shape(Outline, p.ring(x, y, gaugeOfPeg+step.MM, s))
	case gauge.Steps:
		block(Outline, x-gaugeOfPeg, x+gaugeOfPeg)
	}
}

func (p *GaugePlan) ring(x, y, diameter float64, s Size) []Point {
	ring := make([]Point, 24)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		ring[i] = p.at(x+diameter/2*cos, y+diameter/2*sin, s)
	}
	return ring
}

// Hit is the step at a place of the paper; false for none.
func (p *GaugePlan) Hit(at Point, s Size) (gauge.Step, bool) {
	const half, front, back = 4.5, 7.5, 4 // about a step's middle, its numeral included, mm
	k := p.scale(s)
	if k <= 0 {
		return gauge.Step{}, false
	}
	x, y := (at.X-gaugeRim)/k, gauge.Size()[1]-(at.Y-gaugeRim)/k
	for _, step := range p.steps {
		if math.Abs(x-step.At[0]) <= half && y >= step.At[1]-front && y <= step.At[1]+back {
			return step, true
		}
	}
	return gauge.Step{}, false
}
