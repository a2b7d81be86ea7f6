package state

import (
	"slices"

	"scantling/engine/figure"
	"scantling/engine/ways"
)

// SetToEyes says whether the figure was measured to the eyes, otherwise to the crown.
func (b *Bench) SetToEyes(on bool) {
	b.edit(StepFigure, func(w *ways.Way) { w.Figure.ToEyes = on })
}

// SetPosture says how the figure stands or sits.
func (b *Bench) SetPosture(p figure.Posture) {
	if p == figure.Standing {
		p = "" // said by leaving it out
	}
	b.edit(StepFigure, func(w *ways.Way) { w.Figure.Posture = p })
}

// SetSegment says whether a piece of a bent figure is among what was measured. The head alone
// and the head with the neck exclude each other.
func (b *Bench) SetSegment(s figure.Segment, on bool) {
	b.edit(StepFigure, func(w *ways.Way) {
		has := map[figure.Segment]bool{s: on}
		for _, t := range Pieces(w.Figure) {
			if t != s {
				has[t] = true
			}
		}
		if on && s == figure.Head {
			delete(has, figure.HeadNeck)
		} else if on && s == figure.HeadNeck {
			delete(has, figure.Head)
		}
		var all []figure.Segment
		for _, t := range figure.Segments() {
			if has[t] {
				all = append(all, t)
			}
		}
		if len(all) > 0 { // at least one was measured
			w.Figure.Segments = all
		}
	})
}

// SetPopulation lets the figure stand for anyone of a population.
func (b *Bench) SetPopulation(p figure.Population) {
	b.edit(StepFigure, func(w *ways.Way) { w.Figure.Person = ways.Person{Population: p} })
}

// Pieces are the pieces of a bent figure that were measured: all four from sole to crown where
// none is named.
func Pieces(f ways.Figure) []figure.Segment {
	if len(f.Segments) == 0 {
		return []figure.Segment{figure.LowerLeg, figure.Thigh, figure.Trunk, figure.HeadNeck}
	}
	return slices.Clone(f.Segments)
}
