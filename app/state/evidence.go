package state

import (
	"math"

	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// Evidence is what figures and clues say of ratios, whatever way is in force.
type Evidence struct {
	Figure    ways.FigureRatio // of the figure in hand
	FigureErr error            // why it has no ratio
	FigureIs  Likely           // what its ratio may be

	Clues    ways.Combined // all clues; Each is there whatever CluesErr says
	CluesErr error         // why they give no native ratio
	CluesAre Likely        // what their ratio may be

	Native    ways.Estimate // from where the way in force says; not known where NativeErr is set
	NativeErr error

	Disagree []Disagreement // ways that contradict each other
	Draft    Draft          // the clue that is being made
}

// Likely is what a measured ratio may be among the standard ratios of the kit's field.
type Likely struct {
	List []ways.Candidate
	None float64 // probability that it is none of them
}

// A Disagreement is two ways that contradict each other.
type Disagreement struct {
	A, B   Offer
	Sigmas float64 // how far apart, in standard uncertainties; +Inf for two that count as exact
}

// weigh gathers the evidence of a kit.
func (b *Bench) weigh(k kit.Kit, s ways.Subject, offers []Offer) Evidence {
	e := Evidence{Disagree: disagreements(k.Way.Kind, offers), Draft: b.view.Evidence.Draft}
	likely := func(a ways.Estimate) (l Likely) {
		l.List, l.None = a.Candidates(k.Field)
		return l
	}
	if e.Figure, e.FigureErr = k.Way.Figure.Ratio(); e.FigureErr == nil {
		e.FigureIs = likely(e.Figure.Estimate)
	}
	if e.Clues, e.CluesErr = ways.Combine(k.Way.Clues); e.CluesErr == nil {
		e.CluesAre = likely(e.Clues.Estimate)
	}
	e.Native, e.NativeErr = k.Way.NativeOf(s)
	return e
}

// Two ways disagree where they are more than twice their uncertainty apart, or, where both count
// as exact, by more than what typed numbers are rounded by. Judged, no source.
const (
	apart        = 2.0
	exactlyApart = 0.005
)

// disagreements are the ways whose evidence contradicts each other: with the way in force where
// it rests on evidence, otherwise among all that do. A bed, a wanted length and a factor set by
// hand are wishes and contradict nothing.
func disagreements(inForce ways.Kind, offers []Offer) (out []Disagreement) {
	var told []Offer
	anchored := false
	for _, o := range offers {
		switch o.Kind {
		case ways.ByRatio, ways.ByReal, ways.ByClues, ways.ByFigure:
			if o.Err == nil {
				told = append(told, o)
				anchored = anchored || o.Kind == inForce
			}
		}
	}
	for i, a := range told {
		for _, c := range told[i+1:] {
			if anchored && a.Kind != inForce && c.Kind != inForce {
				continue
			}
			sigmas := ways.Disagreement(a.Result, c.Result)
			off := math.Abs(math.Log(a.Result.Factor.Float() / c.Result.Factor.Float()))
			if sigmas <= apart || math.IsInf(sigmas, 1) && off <= exactlyApart {
				continue
			}
			d := Disagreement{a, c, sigmas}
			if c.Kind == inForce {
				d.A, d.B = c, a
			}
			out = append(out, d)
		}
	}
	return out
}

// FullSizeUnits are the units that files may be drawn full size in.
func FullSizeUnits() []ratio.Unit {
	return []ratio.Unit{ratio.Metre, ratio.Centimetre, ratio.Millimetre, ratio.Foot, ratio.Inch}
}
