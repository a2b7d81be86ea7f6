package ways

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"scantling/engine/ratio"
)

// An Estimate is a ratio that was measured, with its uncertainty. The uncertainty stands on
// the logarithm, where products of what was measured are sums: ln of the ratio is normal
// about its estimate.
type Estimate struct {
	Ratio ratio.Ratio
	SD    float64 // standard uncertainty of ln of the ratio, so relative; 0 for one that is exact
	K     float64 // what the standard uncertainty is multiplied by for 95 %; 0 is taken for 1.96
}

// Known is false for the zero value.
func (e Estimate) Known() bool { return e.Ratio.Known() }

// normal95 covers 95 % of a normal distribution, to both sides.
const normal95 = 1.959963984540054

// Interval is what holds the ratio with 95 % probability. Low and high go by the real size of
// one: low is 1:11.1 and high 1:11.5.
func (e Estimate) Interval() (low, high ratio.Ratio) {
	if !e.Known() || !(e.SD > 0) {
		return e.Ratio, e.Ratio
	}
	up := math.Exp(e.SD * e.coverage())
	return scaled(e.Ratio, up), scaled(e.Ratio, 1/up)
}

// Plus is half the width of the interval as a share of the ratio: 0.02 for ± 2 %.
func (e Estimate) Plus() float64 { return math.Sinh(e.SD * e.coverage()) }

func (e Estimate) coverage() float64 {
	if e.K > 0 {
		return e.K
	}
	return normal95
}

// scaled is the ratio multiplied by a float64; not known where that leaves what a ratio can
// be.
func scaled(a ratio.Ratio, by float64) ratio.Ratio { return ratioOf(a.Float()*by, 1) }

// ratioOf is model:real of two float64; not known where one is no positive number.
func ratioOf(model, real float64) ratio.Ratio {
	if !(model > 0) || !(real > 0) || math.IsInf(model, 1) || math.IsInf(real, 1) {
		return ratio.Ratio{}
	}
	a, err := ratio.Of(new(big.Rat).SetFloat64(model), new(big.Rat).SetFloat64(real))
	if err != nil {
		return ratio.Ratio{}
	}
	return a
}

// A Candidate is a standard ratio that a measured one may be.
type Candidate struct {
	Standard    ratio.Standard
	Probability float64 // that it is this one
	Sigmas      float64 // how many standard uncertainties it is off: less than 0 where it is the smaller scale
}

// otherwise is the probability, before anything is measured, that a model is at none of the
// standard ratios. Judged, no source: makers seldom choose a ratio of their own, and files
// drawn at one are not rare.
const otherwise = 0.1

// leastSD keeps a measure that counts as exact from being surer than any table of ratios:
// 1:87 and 1:87.1 are 0.1 % apart and the same to most makers.
const leastSD = 1e-4

// Candidates are the standard ratios of the fields (of all fields when none is named) with
// the probability that each is the one measured, the likeliest first, and the probability
// that it is none of them.
//
// Method: Bayes' rule. Before the measurement all standard ratios are equally likely, and
// one model in ten is at none of them but somewhere between half the smallest and twice the
// largest, or as far out as the measured ratio is, evenly on the logarithm. The likelihood is
// normal on the logarithm.
func (e Estimate) Candidates(fields ...ratio.Field) (list []Candidate, none float64) {
	if !e.Known() {
		return nil, 0
	}
	rungs := rungsOf(fields)
	if len(rungs) == 0 {
		return nil, 1
	}
	at, sd := math.Log(e.Ratio.Float()), max(e.SD, leastSD)
	list = make([]Candidate, len(rungs))
	prior := (1 - otherwise) / float64(len(rungs))
	least, most := math.Inf(1), math.Inf(-1)
	for i, s := range rungs {
		rung := math.Log(s.Ratio.Float())
		least, most = min(least, rung), max(most, rung)
		z := (rung - at) / sd
		list[i] = Candidate{s, prior * math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi)), z}
	}
	// Where a model is known to lie beyond all of them, the nearest is not therefore meant.
	least, most = min(least, at)-math.Ln2, max(most, at)+math.Ln2
	// The share of the normal curve that lies within the range of any other ratio.
	within := (math.Erf((most-at)/(sd*math.Sqrt2)) - math.Erf((least-at)/(sd*math.Sqrt2))) / 2
	none = otherwise * within / (most - least)
	sum := none
	for _, c := range list {
		sum += c.Probability
	}
	if !(sum > 0) { // so far off that nothing is left of any
		for i := range list {
			list[i].Probability = 0
		}
		sum, none = 1, 1
	}
	for i := range list {
		list[i].Probability /= sum
	}
	none /= sum
	slices.SortStableFunc(list, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(b.Probability, a.Probability), cmp.Compare(math.Abs(a.Sigmas), math.Abs(b.Sigmas)))
	})
	return list, none
}

// rungsOf joins the ladders of several fields: each ratio once, largest scale first.
func rungsOf(fields []ratio.Field) []ratio.Standard {
	if len(fields) == 0 {
		fields = ratio.Fields()
	}
	if len(fields) == 1 {
		return ratio.Ladder(fields[0])
	}
	var out []ratio.Standard
	for _, f := range fields {
		out = append(out, ratio.Ladder(f)...)
	}
	slices.SortStableFunc(out, func(a, b ratio.Standard) int { return b.Ratio.Cmp(a.Ratio) })
	return slices.CompactFunc(out, func(a, b ratio.Standard) bool { return a.Ratio.Equal(b.Ratio) })
}

// coverage95 is what a standard uncertainty with so many degrees of freedom is multiplied by
// for 95 %: Student's t, GUM (JCGM 100:2008) table G.2, from memory. As G.4.1 asks, freedom is
// cut to the next lower row.
func coverage95(freedom float64) float64 {
	rows := []struct{ freedom, t float64 }{
		{1, 12.71}, {2, 4.30}, {3, 3.18}, {4, 2.78}, {5, 2.57}, {6, 2.45}, {7, 2.36}, {8, 2.31}, {9, 2.26}, {10, 2.23},
		{11, 2.20}, {12, 2.18}, {13, 2.16}, {14, 2.14}, {15, 2.13}, {16, 2.12}, {17, 2.11}, {18, 2.10}, {19, 2.09}, {20, 2.09},
		{25, 2.06}, {30, 2.04}, {35, 2.03}, {40, 2.02}, {45, 2.01}, {50, 2.01}, {100, 1.984},
	}
	k := normal95
	if freedom <= 1000 {
		k = rows[0].t
		for _, r := range rows {
			if freedom >= r.freedom {
				k = r.t
			}
		}
	}
	return k
}
