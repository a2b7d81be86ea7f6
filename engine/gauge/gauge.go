// Package gauge makes a step gauge: a print of known walls, pins, gaps, holes, lines, fits and
// lengths, each with its number beside it. What comes out well on it, and what it measures,
// are the limits and the correction of the maker's own machine.
//
// It is made of strips that lie apart, closed and free of faults.
package gauge

import (
	"slices"
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/process"
)

// Tag is written into the file of a gauge.
const Tag = "step gauge, 1:1, do not scale"

// A Kind is what a strip tries.
type Kind string

// The kinds, in the order of the strips, from the front of the plate to its back.
const (
	Walls    Kind = "walls"    // free, 5 mm high
	Pins     Kind = "pins"     // round, 5 mm high
	Gaps     Kind = "gaps"     // between blocks 3 mm high
	Holes    Kind = "holes"    // round, through 2 mm
	Engraved Kind = "engraved" // lines of this width, as deep as the process's limit
	Raised   Kind = "raised"   // lines of this width, as high as the process's limit
	Fits     Kind = "fits"     // holes wider than the loose pegs by this
	Steps    Kind = "steps"    // heights above the plate's underside
	Lengths  Kind = "lengths"  // a bar along y; the strips are the lengths along x
	Pegs     Kind = "pegs"     // two loose pegs for the fits
)

// A Step is one of the sizes of a strip.
type Step struct {
	Kind Kind
	MM   float64  // as drawn
	At   geom.Vec // the middle of it, on the plate
}

// A Gauge is what is printed, and what stands where. Lengths are millimetres.
type Gauge struct {
	Parts []*mesh.Mesh // in the order of the kinds
	Steps []Step
	// LengthX, LengthY and LengthZ are what to measure for a correction: the strips' length,
	// the bar's, and the highest step.
	LengthX, LengthY, LengthZ float64
}

const (
	places   = 6   // on a strip
	pitch    = 9.0 // of places
	edge     = 1.0 // around what is on a strip
	room     = 6.0 // for what is tried, behind its label
	label    = 5 * stroke
	long     = 2*edge + places*pitch
	deep     = 3*edge + label + room
	between  = 1.2 // strips
	thick    = 2.0
	rise     = 0.6 // of numerals
	tall     = 5.0 // walls and pins
	high     = 10.0
	bar      = 100.0
	barWide  = 6.0
	pegWidth = 4.0
	pegPlate = 7.0
	strips   = 8
)

// Size is how much room the gauge takes, mm, whatever the process: it fits small vats.
func Size() geom.Vec {
	return geom.Vec{long + between + barWide, strips*(deep+between) + pegPlate, high}
}

// A spot is where a step is tried on its strip: lines along x, from the middle of the spot, and
// how deep it is along y.
type spot struct {
	across []float64
	deep   float64
}

// A pattern says how a strip looks.
type pattern struct {
	kind  Kind
	sizes []float64
	spot  func(size float64) spot
	// draw puts one step on the strip, with its middle at x; y0 and y1 bound it.
	draw func(l *lattice, size, x, y0, y1 float64)
}

// Make makes a gauge whose sizes lie about the limits of a process; where it has none, about those
// of the first preset. The error is that of mesh.New.
func Make(p process.Process) (Gauge, error) {
	g := Gauge{LengthX: long, LengthY: bar, LengthZ: high}
	for i, s := range patterns(p) {
		m, err := g.strip(s, float64(i)*(deep+between))
		if err != nil {
			return Gauge{}, err
		}
		g.Parts = append(g.Parts, m)
	}
	b := newLattice(append(strokes("100", (barWide-width("100"))/2), 0, barWide), rows(edge, 0, bar), thick)
	b.write("100", (barWide-width("100"))/2, edge, thick+rise)
	m, err := b.mesh(string(Lengths), geom.Vec{long + between, 0, 0})
	if err != nil {
		return Gauge{}, err
	}
	g.Parts = append(g.Parts, m)
	for k := range 2 {
		b := newLattice([]float64{0, pegPlate}, []float64{0, pegPlate}, thick)
		b.put(0, pegPlate, 0, pegPlate, pegWidth, thick+2*pegWidth-1)
		m, err := b.mesh(string(Pegs), geom.Vec{float64(k) * (pegPlate + between), strips * (deep + between), 0})
		if err != nil {
			return Gauge{}, err
		}
		g.Parts = append(g.Parts, m)
	}
	return g, nil
}

// rows are the lines of a label's rows, from y on, and others.
func rows(y float64, others ...float64) []float64 {
	for k := range 6 {
		others = append(others, y+float64(k)*stroke)
	}
	return others
}

// strip makes one strip at y.
func (g *Gauge) strip(s pattern, y float64) (*mesh.Mesh, error) {
	const back = 2*edge + label + room/2
	xs, ys := []float64{0, long}, rows(edge, 0, deep)
	middle := func(i int) float64 { return edge + (float64(i)+0.5)*pitch }
	for i, size := range s.sizes {
		at := s.spot(size)
		for _, dx := range at.across {
			xs = append(xs, middle(i)+dx)
		}
		ys = append(ys, back-at.deep/2, back+at.deep/2)
		xs = append(xs, strokes(written(size), middle(i)-width(written(size))/2)...)
	}
	l := newLattice(xs, ys, thick)
	for i, size := range s.sizes {
		at := s.spot(size)
		l.write(written(size), middle(i)-width(written(size))/2, edge, thick+rise)
		s.draw(l, size, middle(i), back-at.deep/2, back+at.deep/2)
		g.Steps = append(g.Steps, Step{s.kind, size, geom.Vec{middle(i), y + back, thick}})
	}
	return l.mesh(string(s.kind), geom.Vec{0, y, 0})
}

func patterns(p process.Process) []pattern {
	own, usual := p.Limits, process.Presets()[0].Process.Limits
	or := func(a, b float64) float64 {
		if a > 0 {
			return a
		}
		return b
	}
	depth := min(or(own.EngravedDepth, usual.EngravedDepth), thick/2)
	height := min(or(own.RaisedHeight, usual.RaisedHeight), high-thick)
	line := func(size float64) spot { return spot{[]float64{-size / 2, size / 2}, room} }
	around := func(size float64) spot { return spot{[]float64{-(size + 1) / 2, (size + 1) / 2}, size + 1} }
	whole := func(half float64) func(float64) spot {
		return func(float64) spot { return spot{[]float64{-half, half}, room} }
	}
	standing := func(top float64) func(l *lattice, size, x, y0, y1 float64) {
		return func(l *lattice, size, x, y0, y1 float64) { l.set(x-size/2, x+size/2, y0, y1, top) }
	}
	return []pattern{
		{Walls, about(or(own.WallFree, usual.WallFree)), line, standing(thick + tall)},
		{Pins, about(or(own.Pin, usual.Pin)), around, func(l *lattice, size, x, y0, y1 float64) {
			l.put(x-(size+1)/2, x+(size+1)/2, y0, y1, size, thick+tall)
		}},
		{Gaps, about(or(own.Gap, usual.Gap)), func(size float64) spot {
			return spot{[]float64{-pitch/2 + 0.5, -size / 2, size / 2, pitch/2 - 0.5}, room}
		}, func(l *lattice, size, x, y0, y1 float64) {
			l.set(x-pitch/2+0.5, x-size/2, y0, y1, thick+3)
			l.set(x+size/2, x+pitch/2-0.5, y0, y1, thick+3)
		}},
		{Holes, about(or(own.Hole, usual.Hole)), around, func(l *lattice, size, x, y0, y1 float64) {
			l.put(x-(size+1)/2, x+(size+1)/2, y0, y1, size, 0)
		}},
		{Engraved, about(or(own.EngravedWidth, usual.EngravedWidth)), line, standing(thick - depth)},
		{Raised, about(or(own.RaisedWidth, usual.RaisedWidth)), line, standing(thick + height)},
		{Fits, about(min((or(own.Tight, usual.Tight)+or(own.Loose, usual.Loose))/2, 0.4)), whole(room / 2), func(l *lattice, size, x, y0, y1 float64) {
			l.put(x-room/2, x+room/2, y0, y1, pegWidth+size, 0)
		}},
		{Steps, []float64{3, 4, 5, 6, 8, high}, whole(pitch / 2), func(l *lattice, size, x, y0, y1 float64) {
			l.set(x-pitch/2, x+pitch/2, y0, y1, size)
		}},
	}
}

// about are six sizes about a limit, of those that a gauge has room for.
func about(limit float64) []float64 {
	all := series()
	at, _ := slices.BinarySearch(all, limit)
	from := max(0, min(at-places/2, len(all)-places))
	return all[from : from+places]
}

// series are all sizes that a gauge may have written on it, mm.
func series() []float64 {
	return []float64{0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1, 1.2, 1.5, 2, 2.5, 3, 4, 5}
}

// written is a size as its label has it.
func written(size float64) string { return strconv.FormatFloat(size, 'f', -1, 64) }
