package sheet

import (
	"math"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/judge"
)

// LadderHeight is how high the picture of the ladder is, device-independent pixels.
const LadderHeight = 48.0

// Rows of the picture: the band of what prints, that of the selected part, the rungs, and the
// writing.
const (
	ladderBand  = 7.0
	ladderUnder = 15.0
	ladderPart  = 19.0
	ladderRungs = 28.0
	ladderWords = 43.0
	rungSize    = 3.4
)

// A RungSpot is where a rung of the view's ladder stands in the picture.
type RungSpot struct {
	Rung int
	X    float64
}

// LadderPlot is the ladder in one picture: on a logarithmic axis, the larger models left, a band
// from the largest to the smallest ratio at which nothing stops the print, a line in it where
// there is nothing to look at either, the rungs by their state, and a pointer at the factor in
// force. A rung that prints is a full dot, one with something to look at a ring, one that is too
// large for the bed a square, and one that something else stops a cross. Where no ratio prints,
// two brackets that face away from each other stand at what the bed takes and what the details
// need. Below the band a line with ends says the same of the selected part alone. It is empty
// while the native ratio is not known.
func LadderPlot(v state.View, s Size) ([]Mark, []RungSpot) {
	j := v.Judged
	g := &ladderPlot{from: math.Inf(1), to: math.Inf(-1), x0: 10, x1: s.W - 10}
	g.put(Mark{Kind: Area, Ink: Blank, Role: Ground, Points: Rect{Max: Point{s.W, s.H}}.corners()})
	for _, r := range j.Ladder {
		if r.Factor.Known() {
			g.take(r.Factor.Float())
		}
	}
	if !(g.from < g.to) || s.W < 120 || !j.Native.Known() {
		return g.marks, nil
	}
	if f := v.Result.Factor.Float(); f > 0 {
		g.take(f)
	}
	margin := (g.to - g.from) * 0.04
	g.from, g.to = g.from-margin, g.to+margin
	g.window(j.Prints, j.Details)
	if own, ok := j.WindowOf(v.Selected, judge.Stops); ok {
		g.partWindow(own)
	}
	spots := g.rungs(j)
	if f := v.Result.Factor.Float(); f > 0 {
		x := g.x(f)
		g.put(Mark{Kind: Area, Ink: Selects, Role: LadderPointer, Points: []Point{{x - 4, 0}, {x + 4, 0}, {x, 6}}})
		g.put(Mark{Kind: Line, Ink: Selects, Role: LadderPointer, Width: 1.4, Points: []Point{{x, 5}, {x, ladderRungs + 6}}})
	}
	return g.marks, spots
}

// A ladderPlot is being drawn; its axis is the logarithm of one by the factor.
type ladderPlot struct {
	marks    []Mark
	from, to float64
	x0, x1   float64
}

func (g *ladderPlot) put(m Mark) { g.marks = append(g.marks, m) }

func (g *ladderPlot) take(f float64) {
	g.from, g.to = min(g.from, -math.Log(f)), max(g.to, -math.Log(f))
}

// x is where a factor stands; what lies beyond the axis stands at its ends.
func (g *ladderPlot) x(f float64) float64 {
	at := min(max(-math.Log(f), g.from), g.to)
	return g.x0 + (at-g.from)/(g.to-g.from)*(g.x1-g.x0)
}

// window is the band of what prints and, in it, of what keeps its details.
func (g *ladderPlot) window(prints, details judge.Window) {
	if prints.Empty() {
		// What the bed takes at most lies right of what the details need at least.
		for _, b := range []struct{ x, towards float64 }{{g.x(prints.Most), 1}, {g.x(prints.Least), -1}} {
			g.put(Mark{Kind: Line, Ink: Pen, Role: LadderBand, Width: 1.4, Points: []Point{
				{b.x + 4*b.towards, ladderBand}, {b.x, ladderBand}, {b.x, ladderUnder}, {b.x + 4*b.towards, ladderUnder}}})
		}
		return
	}
	a, b := g.x(prints.Most), g.x(prints.Least)
	box := Rect{Point{a, ladderBand}, Point{max(b, a+1), ladderUnder}}
	g.put(Mark{Kind: Area, Ink: Figure, Role: LadderBand, Points: box.corners()})
	g.put(Mark{Kind: Outline, Ink: Pen, Role: LadderBand, Width: 1, Points: box.corners()})
	if !details.Empty() {
		y := (ladderBand + ladderUnder) / 2
		g.put(Mark{Kind: Line, Ink: Pen, Role: LadderBand, Width: 2.4, Points: []Point{{g.x(details.Most), y}, {g.x(details.Least), y}}})
	}
}

// partWindow is a line where the selected part prints, with an end where it does not go on.
func (g *ladderPlot) partWindow(own judge.Window) {
	a, b := g.x(own.Most), g.x(own.Least)
	if own.Empty() {
		a, b = b, a // from what the details need to what the bed takes: dashed, since nothing prints
	}
	g.put(Mark{Kind: Line, Ink: Selects, Role: LadderPart, Width: 2, Dashed: own.Empty(), Points: []Point{{a, ladderPart}, {b, ladderPart}}})
	for _, end := range []struct{ f, x float64 }{{own.Most, g.x(own.Most)}, {own.Least, g.x(own.Least)}} {
		if end.f > 0 && !math.IsInf(end.f, 1) {
			g.put(Mark{Kind: Line, Ink: Selects, Role: LadderPart, Width: 2, Points: []Point{{end.x, ladderPart - 3}, {end.x, ladderPart + 3}}})
		}
	}
}

// rungs puts down the rungs, and the ratios of as many as have room.
func (g *ladderPlot) rungs(j state.Judged) (spots []RungSpot) {
	g.put(Mark{Kind: Line, Ink: Thin, Role: LadderRung, Width: penThin, Points: []Point{{g.x0, ladderRungs}, {g.x1, ladderRungs}}})
	last := math.Inf(-1)
	for i, r := range j.Ladder {
		if !r.Factor.Known() {
			continue
		}
		x := g.x(r.Factor.Float())
		spots = append(spots, RungSpot{i, x})
		g.rung(x, r.Outcome)
		words := text.Ratio(r.Standard.Ratio)
		half := float64(len(words)) * sizeCaption * 0.3
		if x-half < last+4 && !r.InForce || x+half > g.x1+10 || x-half < 0 {
			continue
		}
		last = x + half
		g.put(Mark{Kind: Writing, Ink: Thin, Role: LadderRung, Size: sizeCaption, Text: words, At: Point{x, ladderWords}, Align: Centre})
	}
	return spots
}

// rung is one rung by its state.
func (g *ladderPlot) rung(x float64, o judge.Outcome) {
	square := Rect{Point{x - rungSize, ladderRungs - rungSize}, Point{x + rungSize, ladderRungs + rungSize}}
	ring := make([]Point, 16)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		ring[i] = Point{x + rungSize*cos, ladderRungs + rungSize*sin}
	}
	ground := func(points []Point) { g.put(Mark{Kind: Area, Ink: Blank, Role: LadderRung, Points: points}) }
	switch {
	case len(o.Stops) == 1 && o.Stops[0] == judge.OffBed:
		ground(square.corners())
		g.put(Mark{Kind: Outline, Ink: Pen, Role: LadderRung, Width: 1.3, Points: square.corners()})
	case !o.Prints:
		for _, d := range []float64{1, -1} {
			g.put(Mark{Kind: Line, Ink: Pen, Role: LadderRung, Width: 1.6, Points: []Point{
				{x - rungSize, ladderRungs - d*rungSize}, {x + rungSize, ladderRungs + d*rungSize}}})
		}
	case o.Looks > 0:
		ground(ring)
		g.put(Mark{Kind: Outline, Ink: Pen, Role: LadderRung, Width: 1.3, Points: ring})
	default:
		g.put(Mark{Kind: Area, Ink: Pen, Role: LadderRung, Points: ring})
	}
}
