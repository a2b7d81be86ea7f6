package sheet

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A Bar is a measured ratio in a plot.
type Bar struct {
	Name  string
	Of    ways.Estimate
	Aside bool // it does not count
	Off   bool // it disagrees with the others
}

// A Plotted is what a plot shows: measured ratios on a logarithmic axis, what they give together,
// and the standard ratios.
type Plotted struct {
	Bars      []Bar
	Sum       ways.Estimate // not known: there is none
	Standards []ways.Candidate
}

// CluesPlot is the plot of a kit's clues. Those that are no lengths are left out.
func CluesPlot(v state.View) (p Plotted) {
	e := v.Evidence
	for i, w := range e.Clues.Each {
		if i < len(v.Way.Clues) && w.Known() {
			p.Bars = append(p.Bars, Bar{text.ClueName(v.Way.Clues[i], v.Sheet.Inches), w.Estimate, !w.Counts, i == e.Clues.Worst})
		}
	}
	if e.CluesErr == nil {
		p.Sum, p.Standards = e.Clues.Estimate, e.CluesAre.List
	}
	return p
}

// FigurePlot is the plot of the figure in hand.
func FigurePlot(v state.View) (p Plotted) {
	if e := v.Evidence; e.FigureErr == nil {
		p.Sum, p.Standards = e.Figure.Estimate, e.FigureIs.List
	}
	return p
}

// Measures of a plot, device-independent pixels.
const (
	plotHead = 18.0 // names of the standard ratios
	plotRow  = 19.0
	plotFoot = 20.0 // figures of the axis
)

// PlotHeight is how high a plot is.
func PlotHeight(p Plotted) float64 {
	if len(p.Bars) == 0 && !p.Sum.Known() {
		return 0
	}
	return plotHead + plotRow*float64(p.rows()) + plotFoot
}

func (p Plotted) rows() int {
	n := len(p.Bars)
	if p.Sum.Known() {
		n++
	}
	return n
}

// A plot is being drawn. Its axis is the logarithm of the real size of one: larger models stand
// left.
type plot struct {
	Plotted
	size     Size
	from, to float64 // ends of the axis
	x0, x1   float64 // and where they lie
	y0, y1   float64 // above and below the bars
	marks    []Mark
}

// Plot draws bars as wide as 95 % of their uncertainty. A bar that counts is a solid line with a
// dot, one that is set aside is dashed with an open dot, one that disagrees has an exclamation
// mark; what they give together is filled. Bars beyond the axis end in an arrow.
func Plot(p Plotted, s Size) []Mark {
	g := &plot{Plotted: p, size: s}
	g.put(Mark{Kind: Area, Ink: Blank, Role: Ground, Points: Rect{Max: Point{s.W, s.H}}.corners()})
	if p.rows() == 0 || s.W < 120 || s.H < plotHead+plotFoot {
		return g.marks
	}
	g.x0, g.x1 = min(max(s.W*0.38, 70), 250), s.W-14
	if len(p.Bars) == 0 {
		g.x0 = 14 // there is nothing to tell apart
	}
	g.y0, g.y1 = plotHead, s.H-plotFoot
	g.reach()
	row := (g.y1 - g.y0) / float64(p.rows())
	if p.Sum.Known() {
		a, b := g.ends(p.Sum)
		if len(p.Bars) > 0 {
			g.put(Mark{Kind: Area, Ink: Grid, Role: PlotSum, Points: Rect{Point{a, g.y0}, Point{max(b, a+1), g.y1}}.corners()})
		}
	}
	g.axis()
	g.standards()
	for i, b := range p.Bars {
		g.bar(b, g.y0+row*(float64(i)+0.5))
	}
	if p.Sum.Known() {
		g.sum(g.y1 - row/2)
	}
	g.put(Mark{Kind: Outline, Ink: Thin, Role: Ground, Width: 1,
		Points: Rect{Point{g.x0 - 6, g.y0}, Point{g.x1 + 6, g.y1}}.corners()})
	return g.marks
}

func (g *plot) put(m Mark) { g.marks = append(g.marks, m) }

// realOf is where a ratio stands on the axis.
func realOf(a ratio.Ratio) float64 { return -math.Log(a.Float()) }

// reaches is the bar of an estimate on the axis.
func reaches(e ways.Estimate) (low, high float64) {
	a, b := e.Interval()
	return realOf(a), realOf(b)
}

// leastReach is the least that the axis reaches to both sides: 4 %, so that exact ratios do not
// stand on an axis of millionths.
const leastReach = 0.04

// reach chooses the ends of the axis: all that counts, and the nearest standard ratio on each side
// where that leaves the bars legible.
func (g *plot) reach() {
	g.from, g.to = math.Inf(1), math.Inf(-1)
	take := func(e ways.Estimate) {
		a, b := reaches(e)
		g.from, g.to = min(g.from, a), max(g.to, b)
	}
	if g.Sum.Known() {
		take(g.Sum)
	}
	for _, b := range g.Bars {
		if !b.Aside || !g.Sum.Known() {
			take(b.Of)
		}
	}
	middle, half := (g.from+g.to)/2, max((g.to-g.from)/2, leastReach)
	below, above := math.Inf(-1), math.Inf(1)
	for _, c := range g.Standards {
		switch x := realOf(c.Standard.Ratio); {
		case x <= middle:
			below = max(below, x)
		default:
			above = min(above, x)
		}
	}
	widest := max(3*half, 0.2)
	g.from, g.to = middle-half, middle+half
	if middle-below <= widest {
		g.from = min(g.from, below)
	}
	if above-middle <= widest {
		g.to = max(g.to, above)
	}
	margin := (g.to - g.from) * 0.08
	g.from, g.to = g.from-margin, g.to+margin
}

// x is where a place of the axis lies; places beyond it lie at its ends.
func (g *plot) x(at float64) float64 {
	at = min(max(at, g.from), g.to)
	return g.x0 + (at-g.from)/(g.to-g.from)*(g.x1-g.x0)
}

func (g *plot) ends(e ways.Estimate) (a, b float64) {
	low, high := reaches(e)
	return g.x(low), g.x(high)
}

// axis are round ratios under the bars.
func (g *plot) axis() {
	low, high := math.Exp(g.from), math.Exp(g.to)
	every, _ := divide((high-low)*52/(g.x1-g.x0), false)
	last := math.Inf(-1)
	for i := math.Ceil(low / every); i*every <= high; i++ {
		n := i * every
		x := g.x(math.Log(n))
		g.put(Mark{Kind: Line, Ink: Thin, Role: PlotTick, Width: penThin, Points: []Point{{x, g.y1}, {x, g.y1 + 4}}})
		if x-last < 46 {
			continue // figures crowd towards the small end of a long axis
		}
		last = x
		label := "1:" + strconv.FormatFloat(n, 'g', 5, 64)
		if n < 1 {
			label = strconv.FormatFloat(1/n, 'g', 3, 64) + ":1"
		}
		g.put(Mark{Kind: Writing, Ink: Thin, Role: PlotTick, Size: sizeCaption, Text: label, At: Point{x, g.y1 + 14}, Align: Centre})
	}
}

// standards are the standard ratios as upright lines through the bars; the likelier ones are named
// first where names would meet.
func (g *plot) standards() {
	list := slices.Clone(g.Standards)
	slices.SortStableFunc(list, func(a, b ways.Candidate) int {
		return cmp.Or(cmp.Compare(b.Probability, a.Probability), cmp.Compare(math.Abs(a.Sigmas), math.Abs(b.Sigmas)))
	})
	type taken struct{ a, b float64 }
	var named []taken
	for i, c := range list {
		at := realOf(c.Standard.Ratio)
		if at < g.from || at > g.to {
			continue
		}
		x := g.x(at)
		likely := i == 0 && c.Probability >= 0.05
		m := Mark{Kind: Line, Ink: BedLine, Role: PlotTick, Width: penThin, Points: []Point{{x, g.y0 - 3}, {x, g.y1}}}
		if likely {
			m.Width = 2
		}
		g.put(m)
		label := text.Ratio(c.Standard.Ratio)
		half := float64(len(label))*sizeCaption*0.3 + 3
		if slices.ContainsFunc(named, func(t taken) bool { return x-half < t.b && x+half > t.a }) {
			continue
		}
		named = append(named, taken{x - half, x + half})
		g.put(Mark{Kind: Writing, Ink: BedLine, Role: PlotTick, Size: sizeCaption, Text: label,
			At: Point{min(max(x, half), g.size.W-half), g.y0 - 6}, Align: Centre, Bold: likely})
	}
}

// bar is one measured ratio with its name.
func (g *plot) bar(b Bar, y float64) {
	a, c := g.ends(b.Of)
	at := g.x(realOf(b.Of.Ratio))
	ink, name := Pen, b.Name
	switch {
	case b.Aside:
		ink = Thin
	case b.Off:
		ink, name = Selects, "! "+b.Name
	}
	g.write(name, ink, y, b.Off)
	g.put(Mark{Kind: Line, Ink: ink, Role: PlotBar, Width: 1.6, Dashed: b.Aside, Points: []Point{{a, y}, {max(c, a+1), y}}})
	low, high := reaches(b.Of)
	for i, x := range []float64{a, c} {
		d := float64(1 - 2*i)
		switch {
		case i == 0 && low < g.from, i == 1 && high > g.to: // it goes on
			g.put(Mark{Kind: Area, Ink: ink, Role: PlotBar, Points: []Point{{x - 5*d, y}, {x + 2*d, y - 4}, {x + 2*d, y + 4}}})
		case high >= g.from && low <= g.to:
			g.put(Mark{Kind: Line, Ink: ink, Role: PlotBar, Width: 1.2, Points: []Point{{x, y - 4}, {x, y + 4}}})
		}
	}
	if r := realOf(b.Of.Ratio); r < g.from || r > g.to {
		return
	}
	dot := Rect{Point{at - 3, y - 3}, Point{at + 3, y + 3}}
	if b.Aside {
		g.put(Mark{Kind: Area, Ink: Blank, Role: PlotBar, Points: dot.corners()})
		g.put(Mark{Kind: Outline, Ink: ink, Role: PlotBar, Width: 1, Points: dot.corners()})
		return
	}
	g.put(Mark{Kind: Area, Ink: ink, Role: PlotBar, Points: dot.corners()})
}

// sum is what the bars give together: a filled bar, cut where the ratio itself stands.
func (g *plot) sum(y float64) {
	a, b := g.ends(g.Sum)
	at := g.x(realOf(g.Sum.Ratio))
	if len(g.Bars) > 0 {
		g.write(text.LabelTogether, Pen, y, true)
	}
	g.put(Mark{Kind: Area, Ink: Pen, Role: PlotSum, Points: Rect{Point{min(a, at-2), y - 5}, Point{max(b, at+2), y + 5}}.corners()})
	g.put(Mark{Kind: Line, Ink: Blank, Role: PlotSum, Width: 1, Points: []Point{{at, y - 5}, {at, y + 5}}})
}

// write puts a name before its bar.
func (g *plot) write(name string, ink Ink, y float64, bold bool) {
	g.put(Mark{Kind: Writing, Ink: ink, Role: PlotBar, Size: sizeLabel - 1, Text: shortened(name, g.x0-10), At: Point{4, y + 4}, Bold: bold})
}
