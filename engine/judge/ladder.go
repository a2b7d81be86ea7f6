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
	Fits     bool         // every ticked part fits the bed as it lies; false without factor, bed or parts
	TooLong  int          // how many parts do not fit; 0 without factor or bed
	InForce  bool         // it is the target
}

// Ladder judges every standard, in the order given: kit is the size of the assembled kit in
// kit axes, parts the sizes of the ticked parts as they lie on the bed, all in millimetres
// as drawn. Where the native ratio, the bed or the target is not known, what follows from
// it stays zero.
func Ladder(standards []ratio.Standard, native, target ratio.Ratio, kit geom.Vec, parts []geom.Vec, bed Bed) []Rung {
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
		if !bed.Known() {
			continue
		}
		for _, p := range parts {
			if fits, _ := bed.Fits(p, f); !fits {
				r.TooLong++
			}
		}
		r.Fits = len(parts) > 0 && r.TooLong == 0
	}
	return rungs
}
