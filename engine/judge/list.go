package judge

import (
	"math"

	"scantling/engine/geom"
	"scantling/engine/survey"
)

// Limits that are no matter of a process.
const (
	// handleMM is the least that fingers and tweezers place without losing it: common
	// practice, no source.
	handleMM = 3
	// coarseMM is how coarse the steps between coordinates may be in print: a tenth of a
	// fine layer. Judged, no source.
	coarseMM = 0.005
	// looseTimes is how many times the difference of diameters of an easy fit lets a peg
	// fall out. Common practice, no source.
	looseTimes = 2
	// shallow is up to how many widths deep a slot counts as engraved and not as a gap.
	// Judged, no source.
	shallow = 2
	// lowLine and lowDot are up to how many widths high a wall or a pin counts as raised on a
	// face, and not as something that stands for itself and may break. Judged, no source.
	lowLine = 2
	lowDot  = 0.5
	// leastInside is how many of its diameters a peg is in a bore at least, to stand in it and
	// not before it. Judged, no source.
	leastInside = 0.05
)

// A lister finds what may threaten one part.
type lister struct {
	*docket
	terms *Terms
	part  *Part
	index int
}

func (l *lister) id() string {
	if l.part == nil {
		return ""
	}
	return l.part.ID
}

func (l *lister) diagonal() float64 {
	if l.part == nil || l.part.Found == nil {
		return 0
	}
	return l.part.Found.Box.Size().Len()
}

// add puts a threat on the list, unless it is there at no factor.
func (l *lister) add(t threat) {
	t.Part = l.index
	if t.Code != PegTight && t.Code != PegLoose && t.Code != Overlap {
		t.Other = -1
	}
	for _, a := range l.terms.Asides {
		if a.covers(&t.Finding, l.id(), l.diagonal()) {
			t.Aside = a.Reason
			break
		}
	}
	switch {
	case t.Gone == Never:
		l.never = append(l.never, t)
	case t.Gone == Larger && t.GoneAt > 0:
		l.larger = append(l.larger, t)
	case t.Gone == Smaller && !math.IsInf(t.GoneAt, 1):
		l.smaller = append(l.smaller, t)
	}
}

// below adds what is there while base·f < limit, and stops the print while base·f < stop. A
// limit of 0 is none.
func (l *lister) below(t threat, base, limit, stop float64) {
	if !(limit > 0) || !(base > 0) {
		return
	}
	t.Value, t.Limit, t.power = base, limit, 1
	t.Gone, t.GoneAt = Larger, exactly(base, limit)
	t.stop = exactly(base, min(stop, limit))
	l.add(t)
}

// above adds what is there while base·f > limit; it never stops the print.
func (l *lister) above(t threat, base, limit float64) {
	if !(limit > 0) || !(base > 0) {
		return
	}
	t.Value, t.Limit, t.power = base, limit, 1
	t.Gone, t.GoneAt = Smaller, largest(base, limit)
	t.stop = math.Inf(1)
	l.add(t)
}

// fault adds a fault of the mesh.
func (l *lister) fault(c Code, g Gravity, r Remedy, count int, at ...geom.Vec) {
	if count == 0 {
		return
	}
	t := threat{Finding: Finding{Code: c, Gravity: g, Remedy: r, Value: float64(count), Whole: len(at) == 0}}
	if len(at) > 0 {
		t.Where.Centre = at[0]
	}
	l.add(t)
}

func placeOf(box geom.Box, centre geom.Vec) Place { return Place{Centre: centre, Size: box.Size()} }

// bed: does it fit.
func (l *lister) bed() {
	fits := l.part.Fits
	lies := fits[AsItLies]
	if !(lies > 0) {
		return
	}
	t := threat{Finding: Finding{Code: OffBed, Gravity: Look, Whole: true}, power: 1, fits: &l.part.Fits}
	// What it measures there is told of its longest side: which side limits it depends on
	// how it is turned, and Bed.TooLong says it.
	t.Value = l.part.longest()
	t.Gone, t.GoneAt = Smaller, lies
	t.Limit = t.Value * lies
	t.stop = max(lies, fits[l.terms.Turning])
	l.add(t)
}

// suspect: is the unit right.
func (l *lister) suspect() {
	if u := l.part.Unit; u != nil {
		l.add(threat{Finding: Finding{Code: UnitSuspect, Gravity: Look, Remedy: CheckUnit, Whole: true, Value: u.Factor, Limit: 1}})
	}
}

// weight: it grows with the cube.
func (l *lister) weight() {
	l.add(threat{
		Finding: Finding{Code: Heavier, Gravity: Note, Remedy: Reckon, Whole: true, Value: 1, Limit: 1, Gone: Smaller, GoneAt: 1},
		power:   3, stop: math.Inf(1),
	})
}

// list is all that the survey tells. Of a place that tapers it is the typical width that is
// judged, which half of it has or exceeds: an edge that runs out to nothing is no thin wall.
func (l *lister) list(taken map[[2]int]bool) {
	found, mm, limits := l.part.Found, l.part.MM, l.terms.Process.Limits
	for _, p := range found.Thickness.Places {
		t := threat{Finding: Finding{Gravity: Look, Where: placeOf(p.Box, p.Centre)}}
		if Raised(p) && (limits.RaisedWidth > 0 || limits.RaisedHeight > 0) {
			t.Code, t.Remedy = RaisedFades, Thicken
			l.line(t, p.Typical*mm, p.Height*mm, limits.RaisedWidth, limits.RaisedHeight, Heighten)
		} else if p.Pin {
			t.Code, t.Remedy = PinThin, Replace
			l.below(t, p.Typical*mm, limits.Pin, limits.WallSupported)
		} else {
			t.Code, t.Remedy = WallThin, Thicken
			l.below(t, p.Typical*mm, max(limits.WallFree, limits.WallSupported), limits.WallSupported)
		}
	}
	for _, g := range found.Gaps.Places {
		if !g.Hole {
			l.gap(g)
		} else if !g.In(found.Bores) {
			t := threat{Finding: Finding{Code: HoleCloses, Gravity: Look, Remedy: Widen, Where: placeOf(g.Box, g.Centre)}}
			l.below(t, g.Typical*mm, limits.Hole, 0)
		}
	}
	for k := range found.Bores {
		l.bore(k, taken[[2]int{l.index, k}])
	}
	if f := found.Facets; f.Worst > 0 {
		l.above(threat{Finding: Finding{Code: FacetsShow, Gravity: Note, Remedy: Refine, Where: Place{Centre: f.Where}}}, f.Worst*mm, limits.Facet)
	}
	whole := Finding{Gravity: Look, Whole: true}
	small := whole
	small.Code, small.Remedy = TooSmall, PrintMore
	l.below(threat{Finding: small}, l.part.longest(), handleMM, 0)
	if goes := l.part.Goes; goes > 0 && !math.IsInf(goes, 1) { // a point would go in at any factor
		small := whole
		small.Code, small.Gravity, small.Remedy = SmallPart, Note, KeepAway
		small.Value, small.Limit = 1/goes, 1
		small.Gone, small.GoneAt = Larger, math.Nextafter(goes, math.Inf(1))
		l.add(threat{Finding: small, power: 1})
	}
	coarse := whole
	coarse.Code, coarse.Remedy = Coarse, Recentre
	l.above(threat{Finding: coarse}, found.Health.Step*mm, coarseMM)
	l.health(found)
}

// gap is a slot, or engraved where it is shallow.
func (l *lister) gap(g survey.Gap) {
	mm, limits := l.part.MM, l.terms.Process.Limits
	t := threat{Finding: Finding{Code: GapCloses, Gravity: Look, Remedy: Widen, Where: placeOf(g.Box, g.Centre)}}
	if !(g.Depth > 0 && g.Depth <= shallow*g.Typical) {
		l.below(t, g.Typical*mm, limits.Gap, 0)
		return
	}
	t.Code = EngravingFills
	l.line(t, g.Typical*mm, g.Depth*mm, limits.EngravedWidth, limits.EngravedDepth, Deepen)
}

// Raised reports whether a thin place is a line or a dot raised on a face.
func Raised(t survey.Thin) bool {
	low := lowLine * t.Typical
	if t.Pin {
		low = lowDot * t.Typical
	}
	return t.Height > 0 && t.Height <= low
}

// line is an engraved or a raised one, which needs a width and a depth. Both shrink, so that one
// of them is the last to suffice whatever the factor; where it is the depth, the remedy is
// deeper.
func (l *lister) line(t threat, wide, deep, leastWide, leastDeep float64, deeper Remedy) {
	if leastDeep*wide > leastWide*deep {
		t.Remedy = deeper
		l.below(t, deep, leastDeep, 0)
		return
	}
	l.below(t, wide, leastWide, 0)
}

// bore is too small or too wide for what belongs into it, or closes.
func (l *lister) bore(k int, taken bool) {
	r, mm, limits := l.part.Found.Bores[k], l.part.MM, l.terms.Process.Limits
	t := threat{Finding: Finding{Gravity: Look, Remedy: DrillOut, Where: Place{Centre: r.Centre, Size: boxOf(r)}}}
	use := useOf(l.part, l.terms, k, taken)
	item := use.Item
	ok := item.Key != ""
	if ok {
		t.Item, t.Guess = item.Key, !use.Said
		small := t
		small.Code, small.Drill = BoreSmall, item.Drill
		l.below(small, r.Flats*mm, item.Least, 0)
		wide := t
		wide.Code, wide.Remedy, wide.Gravity = BoreWide, Bush, Note
		l.above(wide, r.Flats*mm, item.Most)
	}
	if !ok || limits.Hole > item.Least {
		t.Code, t.Item, t.Guess = HoleCloses, "", false
		l.below(t, r.Flats*mm, limits.Hole, 0)
	}
}

// boxOf is the size of the box around a round.
func boxOf(r survey.Round) (size geom.Vec) {
	for a, x := range r.Axis {
		size[a] = r.Depth*math.Abs(x) + r.Diameter*math.Sqrt(max(0, 1-x*x))
	}
	return size
}

// fit is a peg that is told of with its bore, or whatever else stands between two faces.
func (l *lister) fit(m survey.Fit) {
	limits := l.terms.Process.Limits
	t := threat{Finding: Finding{Gravity: Look, Remedy: Offset, Other: m.Outer, Where: Place{Centre: m.Centre, InKit: true}}}
	if m.Peg >= 0 && l.part.Found != nil {
		peg := l.part.Found.Pegs[m.Peg]
		if !(m.Length > leastInside*peg.Diameter*l.part.MM) {
			return // one ends where the other begins
		}
		t.Where = Place{Centre: peg.Centre, Size: boxOf(peg)}
	}
	tight := t
	tight.Code, tight.Offset, tight.grows = PegTight, limits.Loose, -m.Flats
	if m.Flats > 0 {
		l.below(tight, m.Flats, limits.Tight, 0)
		loose := t
		loose.Code, loose.Gravity, loose.Offset, loose.grows = PegLoose, Note, -limits.Loose, m.Flats
		l.above(loose, m.Flats, looseTimes*limits.Loose)
		return
	}
	if limits.Tight > 0 { // as thick as the bore, or thicker: no factor makes room
		tight.Value, tight.Limit, tight.power = m.Flats, limits.Tight, 1
		l.add(tight)
	}
}

// health is what is wrong with the mesh, whatever the factor.
func (l *lister) health(found *survey.Measurements) {
	h := found.Health
	if h.InsideOut {
		l.fault(InsideOut, Look, Mend, 1)
	}
	if !found.Closed && found.Triangles > 0 {
		l.fault(NotClosed, Look, Mend, max(1, h.OpenEdges), h.Edges[:min(1, len(h.Edges))]...)
	}
	l.fault(Tangled, Look, Mend, h.Crossings, h.CrossAt[:min(1, len(h.CrossAt))]...)
	l.fault(Crowded, Look, Mend, h.CrowdedEdges+h.FlippedEdges)
	l.fault(Buried, Note, Mend, h.InvertedShells+h.BuriedShells)
	if len(h.StrayAt) > 0 {
		l.fault(Crumbs, Note, RemoveThem, h.Strays, h.StrayAt[0].Box.Centre())
	} else {
		l.fault(Crumbs, Note, RemoveThem, h.Strays)
	}
	l.fault(Degenerate, Note, Mend, h.Degenerate+h.Doubled)
}
