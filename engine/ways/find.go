package ways

import (
	"errors"
	"math"
	"math/big"
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// Find works out the factor. It is exact: what was measured counts as the float64 that it
// is. The error is one of the package's, or of judge.Bed.Check.
func (w Way) Find(s Subject) (Result, error) {
	var r Result
	var err error
	switch w.Kind {
	case ByRatio:
		r, err = w.byRatio(s)
	case ByReal:
		r, err = w.byReal(s)
	case ByClues:
		r, err = w.byClues()
	case ByFigure:
		r, err = w.byFigure(s)
	case ByLength:
		r, err = w.byLength(s)
	case ByBed:
		r, err = w.byBed(s)
	case ByFactor:
		r, err = w.byFactor(s)
	default:
		err = ErrNoKind
	}
	if err != nil {
		return Result{}, err
	}
	r.Target = r.Factor.Target(r.Native)
	if !usable(r.Factor.Float()) || r.Native.Known() && !(usable(r.Native.Float()) && usable(r.Target.Float())) {
		return Result{}, ErrAbsurd
	}
	return r, nil
}

// usable reports whether a factor, or a ratio, is within the bounds.
func usable(x float64) bool { return x >= Least && x <= Most }

// byRatio is target ÷ native.
func (w Way) byRatio(s Subject) (Result, error) {
	native, err := w.NativeOf(s)
	switch {
	case err != nil:
		return Result{}, err
	case !w.Target.Known():
		return Result{}, ErrNeedTarget
	}
	return between(native, Estimate{Ratio: w.Target}), nil
}

// between is target ÷ native.
func between(native, target Estimate) Result {
	r := Result{Factor: ratio.FactorBetween(native.Ratio, target.Ratio), SD: math.Hypot(native.SD, target.SD)}
	r.of(native)
	if target.SD > 0 {
		r.TargetSD = target.SD
		r.K = max(target.K, native.K)
	}
	return r
}

// of puts down the native ratio. The ratio of the copies is no surer than it.
func (r *Result) of(native Estimate) {
	r.Native, r.NativeSD, r.TargetSD = native.Ratio, native.SD, native.SD
	if native.SD > 0 {
		r.K = native.coverage()
	}
}

// NativeOf is the native ratio, from where the way says. It is an error where that gives none.
func (w Way) NativeOf(s Subject) (Estimate, error) {
	switch w.NativeFrom {
	case FromReal:
		return w.nativeByReal(s)
	case FromClues:
		c, err := Combine(w.Clues)
		return c.Estimate, err
	case FromFullSize:
		return w.nativeFullSize(s)
	}
	if !w.Native.Known() {
		return Estimate{}, ErrNeedNative
	}
	return Estimate{Ratio: w.Native}, nil
}

// named is the native ratio for ways that only use it to name the ratio of the copies: not
// known where it cannot be found.
func (w Way) named(s Subject) Estimate {
	native, err := w.NativeOf(s)
	if err != nil {
		return Estimate{}
	}
	return native
}

// nativeByReal is drawn ÷ real.
func (w Way) nativeByReal(s Subject) (Estimate, error) {
	switch {
	case !w.Real.Known():
		return Estimate{}, ErrNeedReal
	case w.Real.Rat().Sign() == 0:
		return Estimate{}, ErrZero
	case len(s.Parts) == 0:
		return Estimate{}, ErrNoParts
	}
	drawn, err := extent(s.Kit, w.Along)
	if err != nil {
		return Estimate{}, err
	}
	native, err := ratio.Of(drawn, w.Real.Rat())
	if err != nil {
		return Estimate{}, ErrZero
	}
	return Estimate{Ratio: native}, nil
}

// nativeFullSize is what a file unit was taken for ÷ what it was in reality: files drawn full
// size in metres and read as millimetres are at 1:1000.
func (w Way) nativeFullSize(s Subject) (Estimate, error) {
	one, err := ratio.ParseLength("1", w.FullSize)
	switch {
	case err != nil:
		return Estimate{}, ErrNoFullSize
	case len(s.Parts) == 0:
		return Estimate{}, ErrNoParts
	case !(s.UnitMM > 0):
		return Estimate{}, ErrMixedUnits
	}
	// The shortest decimal of the float64 is what the unit is: 25.4, not its last binary digit.
	unit, ok := new(big.Rat).SetString(strconv.FormatFloat(s.UnitMM, 'g', -1, 64))
	if !ok {
		return Estimate{}, ErrAbsurd
	}
	native, err := ratio.Of(unit, one.Rat())
	return Estimate{Ratio: native}, err
}

// byReal finds the native ratio, drawn ÷ real, and with it the factor.
func (w Way) byReal(s Subject) (Result, error) {
	if !w.Target.Known() {
		return Result{}, ErrNeedTarget
	}
	native, err := w.nativeByReal(s)
	if err != nil {
		return Result{}, err
	}
	r := between(native, Estimate{Ratio: w.Target})
	r.Drawn, r.Along = s.Kit[w.Along], w.Along
	return r, nil
}

// byClues finds the native ratio from clues, and with it the factor.
func (w Way) byClues() (Result, error) {
	native, err := Combine(w.Clues)
	switch {
	case err != nil:
		return Result{}, err
	case !w.Target.Known():
		return Result{}, ErrNeedTarget
	}
	return between(native.Estimate, Estimate{Ratio: w.Target}), nil
}

// byFigure is figure ÷ native.
func (w Way) byFigure(s Subject) (Result, error) {
	f, err := w.Figure.Ratio()
	if err != nil {
		return Result{}, err
	}
	native, err := w.NativeOf(s)
	if err != nil {
		return Result{}, err
	}
	return between(native, f.Estimate), nil
}

// byLength is length ÷ drawn: of a measure between two points, of an assembly of parts, of a
// part, or of the whole kit.
func (w Way) byLength(s Subject) (Result, error) {
	switch {
	case !w.Length.Known():
		return Result{}, ErrNeedLength
	case w.Length.Rat().Sign() == 0:
		return Result{}, ErrZero
	case len(s.Parts) == 0:
		return Result{}, ErrNoParts
	}
	r := Result{Along: w.Along}
	size := s.Kit
	switch {
	case w.Points.Known():
		r.Points, r.Drawn = true, w.Points.Len()
	case len(w.Parts) > 0:
		all := geom.EmptyBox()
		for _, id := range w.Parts {
			part, ok := s.part(id)
			if !ok {
				return Result{}, ErrNoPart
			}
			all = all.Union(part.Box)
			r.Part = part.Name
		}
		if size = all.Size(); len(w.Parts) > 1 {
			r.Count, r.Part = len(w.Parts), ""
		}
	case w.Part != "":
		part, ok := s.part(w.Part)
		if !ok {
			return Result{}, ErrNoPart
		}
		size, r.Part = part.Size, part.Name
	}
	if !r.Points {
		if _, err := extent(size, w.Along); err != nil {
			return Result{}, err
		}
		r.Drawn = size[w.Along]
	}
	if math.IsInf(r.Drawn, 1) {
		return Result{}, ErrNoExtent
	}
	drawn := new(big.Rat).SetFloat64(r.Drawn)
	f, err := ratio.NewFactor(drawn.Quo(w.Length.Rat(), drawn))
	if err != nil {
		return Result{}, ErrZero
	}
	r.Factor = f
	r.of(w.named(s))
	return r, nil
}

// byBed is the least of the largest factors of all parts, each turned as it may be.
func (w Way) byBed(s Subject) (Result, error) {
	switch err := w.Bed.Check(); {
	case !w.Bed.Known():
		return Result{}, ErrNeedBed
	case err != nil:
		return Result{}, err
	case len(s.Parts) == 0:
		return Result{}, ErrNoParts
	}
	least := math.Inf(1)
	var r Result
	r.of(w.named(s))
	for _, p := range s.Parts {
		f, known := w.fit(p)
		if f.Factor < least {
			least, r.Pending = f.Factor, !known // what is not known of the others can only be larger
			r.Part, r.Limits, r.Along, r.Drawn = p.Name, p.ID, f.Limit, f.Span(w.Bed)
		}
	}
	if math.IsInf(least, 1) {
		return Result{}, ErrNoExtent
	}
	r.Limit = w.Bed.Usable()[r.Along]
	f, err := ratio.NewFactor(new(big.Rat).SetFloat64(least))
	if err != nil {
		return Result{}, ErrAbsurd
	}
	r.Factor = f
	return r, nil
}

// fit is how a part fits the bed; while that is not known, how its box does as it lies.
func (w Way) fit(p SubjectPart) (f judge.Fit, known bool) {
	if p.Fit != nil {
		return *p.Fit, true
	}
	f.Factor, f.Limit = w.Bed.Largest(p.Lies)
	f.Size, f.Across = p.Lies, math.Hypot(p.Lies[0], p.Lies[1])
	return f, w.Turn == judge.AsItLies && !w.Bed.Round
}

// byFactor takes the factor as it is.
func (w Way) byFactor(s Subject) (Result, error) {
	if !w.Factor.Known() {
		return Result{}, ErrNeedFactor
	}
	r := Result{Factor: w.Factor}
	r.of(w.named(s))
	return r, nil
}

// part finds a part by its id.
func (s Subject) part(id string) (SubjectPart, bool) {
	for _, p := range s.Parts {
		if p.ID == id {
			return p, true
		}
	}
	return SubjectPart{}, false
}

// extent is the size along the axis, exactly.
func extent(size geom.Vec, along geom.Axis) (*big.Rat, error) {
	if along > geom.Z || !(size[along] > 0) || math.IsInf(size[along], 1) {
		return nil, ErrNoExtent
	}
	return new(big.Rat).SetFloat64(size[along]), nil
}

// SoFar is what is known of the ratios where Find gives no factor yet: that of a figure while
// the native one is missing, and the native one by clues while there is no target. The error is
// that of Find where nothing is known.
func (w Way) SoFar(s Subject, err error) (Result, error) {
	switch {
	case w.Kind == ByFigure && errors.Is(err, ErrNeedNative):
		f, err := w.Figure.Ratio()
		return Result{Target: f.Ratio, TargetSD: f.SD, K: f.K}, err
	case w.Kind == ByClues && errors.Is(err, ErrNeedTarget):
		c, err := Combine(w.Clues)
		return Result{Native: c.Ratio, NativeSD: c.SD, K: c.K}, err
	}
	return Result{}, err
}
