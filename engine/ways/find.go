package ways

import (
	"math"
	"math/big"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// Find works out the factor. It is exact: what was measured counts as the float64 that it
// is. The error is one of the package's.
func (w Way) Find(s Subject) (Result, error) {
	var r Result
	var err error
	switch w.Kind {
	case ByRatio:
		r, err = w.byRatio()
	case ByReal:
		r, err = w.byReal(s)
	case ByLength:
		r, err = w.byLength(s)
	case ByBed:
		r, err = w.byBed(s)
	case ByFactor:
		r, err = w.byFactor()
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
func (w Way) byRatio() (Result, error) {
	switch {
	case !w.Native.Known():
		return Result{}, ErrNeedNative
	case !w.Target.Known():
		return Result{}, ErrNeedTarget
	}
	return Result{Factor: ratio.FactorBetween(w.Native, w.Target), Native: w.Native}, nil
}

// byReal finds the native ratio, drawn ÷ real, and with it the factor.
func (w Way) byReal(s Subject) (Result, error) {
	switch {
	case !w.Target.Known():
		return Result{}, ErrNeedTarget
	case !w.Real.Known():
		return Result{}, ErrNeedReal
	case w.Real.Rat().Sign() == 0:
		return Result{}, ErrZero
	case len(s.Parts) == 0:
		return Result{}, ErrNoParts
	}
	drawn, err := extent(s.Kit, w.Along)
	if err != nil {
		return Result{}, err
	}
	native, err := ratio.Of(drawn, w.Real.Rat())
	if err != nil {
		return Result{}, ErrZero
	}
	return Result{
		Factor: ratio.FactorBetween(native, w.Target), Native: native,
		Drawn: s.Kit[w.Along], Along: w.Along,
	}, nil
}

// byLength is length ÷ drawn, of a part or of the assembled kit.
func (w Way) byLength(s Subject) (Result, error) {
	switch {
	case !w.Length.Known():
		return Result{}, ErrNeedLength
	case w.Length.Rat().Sign() == 0:
		return Result{}, ErrZero
	case len(s.Parts) == 0:
		return Result{}, ErrNoParts
	}
	size, name := s.Kit, ""
	if w.Part != "" {
		part, ok := s.part(w.Part)
		if !ok {
			return Result{}, ErrNoPart
		}
		size, name = part.Size, part.Name
	}
	drawn, err := extent(size, w.Along)
	if err != nil {
		return Result{}, err
	}
	f, err := ratio.NewFactor(drawn.Quo(w.Length.Rat(), drawn))
	if err != nil {
		return Result{}, ErrZero
	}
	return Result{Factor: f, Native: w.Native, Drawn: size[w.Along], Part: name, Along: w.Along}, nil
}

// byBed is the least of the largest factors of all parts.
func (w Way) byBed(s Subject) (Result, error) {
	switch room := w.Bed.Usable(); {
	case !w.Bed.Known():
		return Result{}, ErrNeedBed
	case !(room[0] > 0 && room[1] > 0):
		return Result{}, ErrBedTaken
	case len(s.Parts) == 0:
		return Result{}, ErrNoParts
	}
	least := math.Inf(1)
	r := Result{Native: w.Native}
	for _, p := range s.Parts {
		if f, axis := w.Bed.Largest(p.Lies); f < least {
			least = f
			r.Part, r.Along, r.Drawn = p.Name, axis, p.Lies[axis]
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

// byFactor takes the factor as it is.
func (w Way) byFactor() (Result, error) {
	if !w.Factor.Known() {
		return Result{}, ErrNeedFactor
	}
	return Result{Factor: w.Factor, Native: w.Native}, nil
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
