package judge

import (
	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// A Rung is one standard ratio, judged for the whole kit.
type Rung struct {
	Standard ratio.Standard
	Factor   ratio.Factor // unknown while the native ratio is
	Size     geom.Vec     // of the assembled kit at it, mm, kit axes; zero without a factor
	Fits     bool         // every ticked part fits the bed; false without factor, bed or parts
	TooLong  int          // how many parts do not fit; 0 without factor or bed
	InForce  bool         // it is the target
}

// Ladder judges every standard, in the order given: kit is the size of the assembled kit in
// kit axes, in millimetres as drawn, and largest are the largest factors at which the ticked
// parts fit the bed, none where no bed is known. Where the native ratio, the bed or the
// target is not known, what follows from it stays zero.
func Ladder(standards []ratio.Standard, native, target ratio.Ratio, kit geom.Vec, largest []float64) []Rung {
	rungs := make([]Rung, len(standards))
	for i, s := range standards {
		r := &rungs[i]
		r.Standard = s
		r.InForce = target.Known() && target.Equal(s.Ratio)
		r.Factor = ratio.FactorBetween(native, s.Ratio)
		if !r.Factor.Known() {
			continue
		}
		f := r.Factor.Float()
		r.Size = kit.Scale(f)
		for _, most := range largest {
			if !(f <= most) {
				r.TooLong++
			}
		}
		r.Fits = len(largest) > 0 && r.TooLong == 0
	}
	return rungs
}
