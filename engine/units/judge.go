package units

import (
	"cmp"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// candidates are the units that files are drawn in, and what speaks for each before anything is
// known, as a natural logarithm beside millimetres. Judged, no source: most printable files are
// in millimetres, some in inches, few in anything else.
func candidates() []candidate {
	return []candidate{
		{"mm", 1, 0}, {"in", 25.4, -1}, {"cm", 10, -1.5}, {"m", 1000, -1.5}, {"ft", 304.8, -2.5},
	}
}

type candidate struct {
	name  string
	mm    float64
	prior float64
}

// How much each piece of evidence weighs, as a natural logarithm of odds. Judged on kits of known
// units, no source.
const (
	declaredWeight = 6    // a format that says its unit is seldom wrong
	sizeSpread     = 1.6  // parts of one kit differ in size by a factor of five either way
	twinWeight     = 6    // a twin in another unit is no coincidence
	speckWeight    = -4   // nobody prints a whole part of half a millimetre
	hugeWeight     = -1   // full-size drawings in millimetres are larger than beds, and common
	inchWeight     = 2.5  // eighths and sixteenths
	roundWeight    = 5    // four numbers do not come out round to the last digit by chance
	beyondWeight   = -2   // parts of an assembly lie together
	least          = 3    // what must speak for another unit before it is suggested: twenty to one
	speckMM        = 0.5  // mm
	hugeBeds       = 30.0 // times the longest side of the bed
)

// Judge says for each part whether it was likelier drawn in another unit than the one it has now.
// The bed's longest side, in millimetres, tells what is huge; 0 where it is not known. Parts that
// have no extent are left alone.
//
// It adds up, as logarithms of odds, what speaks for each unit: what the file declares, the
// size beside the median of the other parts, a twin of the same shape, specks and giants, numbers
// in eighths of inches, and whether the part then lies with the others. A unit is suggested where
// that is twenty times as likely as the present one.
func Judge(parts []Part, bedMM float64) []Suggestion {
	var out []Suggestion
	for i, p := range parts {
		if p.Box.Empty() || !(p.Unit.MM > 0) || !(longest(p.Box) > 0) || !p.Box.Size().Finite() {
			continue
		}
		a := around(parts, i)
		now := weigh(parts, i, p.Unit.MM, bedMM, a)
		best, bestOf := now, candidate{}
		for _, c := range candidates() {
			if math.Abs(c.mm/p.Unit.MM-1) < 1e-9 {
				continue
			}
			if e := weigh(parts, i, c.mm, bedMM, a); e.total() > best.total() {
				best, bestOf = e, c
			}
		}
		odds := best.total() - now.total()
		if bestOf.mm == 0 || odds < least {
			continue
		}
		out = append(out, Suggestion{
			Part: p.ID, Unit: mesh.Unit{Name: bestOf.name, MM: bestOf.mm}, Factor: bestOf.mm / p.Unit.MM,
			Reasons: reasons(now, best), Weight: 1 / (1 + math.Exp(-odds)),
		})
	}
	return out
}

// An evidence is what speaks for and against a unit, by reason.
type evidence struct {
	prior float64
	by    map[Reason]float64
}

func (e evidence) total() float64 {
	sum := e.prior
	for _, r := range Reasons() { // in order, so that the sum has always the same bits
		sum += e.by[r]
	}
	return sum
}

// reasons are what makes the difference between two units, the weightiest first.
func reasons(now, then evidence) []Reason {
	var out []Reason
	gain := func(r Reason) float64 { return then.by[r] - now.by[r] }
	for _, r := range Reasons() {
		if gain(r) > 0.5 {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(a, b Reason) int { return cmp.Compare(gain(b), gain(a)) })
	return out
}

// weigh is what speaks for part i having been drawn in a unit of so many millimetres.
func weigh(parts []Part, i int, mm, bedMM float64, a surroundings) evidence {
	p := parts[i]
	e := evidence{by: map[Reason]float64{}}
	for _, c := range candidates() {
		if math.Abs(c.mm/mm-1) < 1e-9 {
			e.prior = c.prior
		}
	}
	if p.Unit.Declared {
		e.prior = 0 // the format decides, not what is usual
		if math.Abs(mm/p.Unit.MM-1) < 1e-9 {
			e.by[Declared] = declaredWeight
		}
	}
	size := longest(p.Box) * mm
	if size < speckMM {
		e.by[Speck] = speckWeight
	}
	if bedMM > 0 && size > hugeBeds*bedMM {
		e.by[Huge] = hugeWeight
	}
	if a.count > 0 {
		z := math.Log(size/a.median) / sizeSpread
		e.by[Sizes] = -z * z / 2
	}
	if !p.Unit.Declared && inchLike(p.Box) && math.Abs(mm-25.4) < 1e-9 {
		e.by[InchLike] = inchWeight
	}
	if !p.Unit.Declared && mm == 1 && inchLike(p.Box.Scale(1/25.4)) && !tidy(p.Box) {
		e.by[FromInch] = inchWeight
	}
	if !p.Unit.Declared && (mm == 25.4 || mm == 304.8) && len(numbers(p.Box)) >= 4 && tidy(p.Box.Scale(mm)) && !tidy(p.Box) {
		e.by[ToInch] = roundWeight
	}
	if hasTwin(parts, i, mm) {
		e.by[Twin] = twinWeight
	}
	if a.count > 1 && a.beyond(p.Box, mm) {
		e.by[KitBeyond] = beyondWeight
	}
	return e
}

func longest(b geom.Box) float64 {
	s := b.Size()
	return max(s[0], s[1], s[2])
}

// A surroundings is what the other parts are as they are now, in millimetres.
type surroundings struct {
	count  int     // of those that have a size
	median float64 // of their longest extents
	rest   geom.Box
}

// around looks at all parts but one.
func around(parts []Part, i int) surroundings {
	a := surroundings{rest: geom.EmptyBox()}
	sizes := make([]float64, 0, len(parts))
	for j, p := range parts {
		if j == i || p.Box.Empty() || !(p.Unit.MM > 0) {
			continue
		}
		a.rest = a.rest.Union(p.Box.Scale(p.Unit.MM))
		if s := longest(p.Box) * p.Unit.MM; s > 0 && !math.IsInf(s, 1) {
			sizes = append(sizes, s)
		}
	}
	if a.count = len(sizes); a.count > 0 {
		slices.Sort(sizes)
		a.median = sizes[len(sizes)/2]
	}
	return a
}

// beyond reports whether a box of file units, in a unit of so many millimetres, lies far
// outside the others.
func (a surroundings) beyond(b geom.Box, mm float64) bool {
	if a.rest.Empty() {
		return false
	}
	far := a.rest.Size().Len()
	return b.Scale(mm).Centre().Sub(a.rest.Centre()).Len() > 2*far
}

// hasTwin reports whether the part, in that unit, has just the size of another part of the same
// shape that has another unit's size now.
func hasTwin(parts []Part, i int, mm float64) bool {
	a := parts[i].Box.Size().Scale(mm)
	for j, p := range parts {
		if j == i || p.Box.Empty() {
			continue
		}
		b := p.Box.Size().Scale(p.Unit.MM)
		same := true
		for k := range a {
			if !(a[k] > 0) || math.Abs(a[k]/b[k]-1) > 1e-4 {
				same = false
			}
		}
		if same {
			return true
		}
	}
	return false
}

// inchLike reports whether most numbers of a box are whole eighths, sixteenths or thirty-seconds
// and a third of them no whole quarters, which metric drawings have too.
func inchLike(b geom.Box) bool {
	all, dyadic, fine := 0, 0, 0
	for _, x := range numbers(b) {
		all++
		if !whole(x * 32) {
			continue
		}
		dyadic++
		if !whole(x * 4) {
			fine++
		}
	}
	return all >= 3 && dyadic*10 >= all*9 && fine*3 >= all
}

// tidy reports whether most numbers of a box have one decimal at most.
func tidy(b geom.Box) bool {
	all, round := 0, 0
	for _, x := range numbers(b) {
		all++
		if whole(x * 10) {
			round++
		}
	}
	return round*2 > all
}

// whole reports whether x is a whole number as far as a float32 of its size can tell.
func whole(x float64) bool {
	return math.Abs(x-math.Round(x)) <= 1e-5+math.Abs(x)*4e-7
}

// numbers are the corners and extents of a box, those that are not zero, each once.
func numbers(b geom.Box) []float64 {
	var out []float64
	for _, v := range []geom.Vec{b.Size(), b.Min, b.Max} {
		for _, x := range v {
			if x = math.Abs(x); x > 0 && !slices.Contains(out, x) {
				out = append(out, x)
			}
		}
	}
	return out
}
