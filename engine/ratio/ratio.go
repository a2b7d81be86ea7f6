// Package ratio has the exact numbers of scale: ratios such as 1:87.1, lengths with their
// units, and the factor between two ratios. What a maker types is parsed here, and the
// tables of standard ratios stand here with their sources.
package ratio

import (
	"errors"
	"fmt"
	"math/big"
)

// A Ratio is model size to real size, exact and positive: 1:87.1 is 10/871. The zero value
// means "not known".
type Ratio struct{ r *big.Rat }

// What the makers of ratios, factors and lengths refuse. app/text has the words.
var (
	ErrNotPositive = errors.New("must be more than zero")
	ErrAbsurd      = errors.New("is beyond any scale model")
	ErrNotANumber  = errors.New("is not a number")
	ErrEmpty       = errors.New("is empty")
	ErrUnit        = errors.New("has an unknown unit")
	ErrNegative    = errors.New("must not be less than zero")
)

// Of is the exact ratio model:real.
func Of(model, real *big.Rat) (Ratio, error) {
	if model.Sign() <= 0 || real.Sign() <= 0 {
		return Ratio{}, ErrNotPositive
	}
	return Ratio{new(big.Rat).Quo(model, real)}, nil
}

// Known is false for the zero value.
func (a Ratio) Known() bool { return a.r != nil }

// Float is model over real as a float64: 0.0208333 for 1:48. It is 0 when not known.
func (a Ratio) Float() float64 {
	if a.r == nil {
		return 0
	}
	f, _ := a.r.Float64()
	return f
}

// Rat is a copy of the exact value, nil when not known.
func (a Ratio) Rat() *big.Rat {
	if a.r == nil {
		return nil
	}
	return new(big.Rat).Set(a.r)
}

// Cmp is -1, 0 or +1 as a is a smaller scale than b, the same or a larger one. A ratio that
// is not known comes before all others.
func (a Ratio) Cmp(b Ratio) int { return compare(a.r, b.r) }

// Equal reports whether both are exactly the same ratio, or both not known.
func (a Ratio) Equal(b Ratio) bool { return a.Cmp(b) == 0 }

// compare is Cmp for values that may be missing.
func compare(a, b *big.Rat) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return -1
	case b == nil:
		return 1
	}
	return a.Cmp(b)
}

// A Factor is what every length of a kit is multiplied by. It is exact where its inputs
// were; it is never rounded before it is applied. The zero value means "no factor".
type Factor struct{ r *big.Rat }

// NewFactor takes any positive rational.
func NewFactor(r *big.Rat) (Factor, error) {
	if r.Sign() <= 0 {
		return Factor{}, ErrNotPositive
	}
	return Factor{new(big.Rat).Set(r)}, nil
}

// FactorBetween is target ÷ native.
func FactorBetween(native, target Ratio) Factor {
	if native.r == nil || target.r == nil {
		return Factor{}
	}
	return Factor{new(big.Rat).Quo(target.r, native.r)}
}

// Known is false for the zero value.
func (f Factor) Known() bool { return f.r != nil }

// Float is the nearest float64: the number that coordinates are multiplied by.
func (f Factor) Float() float64 {
	if f.r == nil {
		return 0
	}
	x, _ := f.r.Float64()
	return x
}

// Rat is a copy of the exact value, nil for the zero value.
func (f Factor) Rat() *big.Rat {
	if f.r == nil {
		return nil
	}
	return new(big.Rat).Set(f.r)
}

// Equal reports whether both are exactly the same factor, or both none.
func (f Factor) Equal(g Factor) bool { return compare(f.r, g.r) == 0 }

// Target is native × f: the ratio of the copies.
func (f Factor) Target(native Ratio) Ratio {
	if f.r == nil || native.r == nil {
		return Ratio{}
	}
	return Ratio{new(big.Rat).Mul(native.r, f.r)}
}

// A Length is an exact length, zero or more. The zero value means "not given" and counts
// as 0 mm; a length of 0 mm that was given is Known.
type Length struct{ mm *big.Rat }

// Millimetres makes a length of any rational number of millimetres.
func Millimetres(r *big.Rat) Length { return Length{new(big.Rat).Set(r)} }

// Known is false for the zero value.
func (l Length) Known() bool { return l.mm != nil }

// Equal reports whether both are exactly the same length, or both not given.
func (l Length) Equal(m Length) bool { return compare(l.mm, m.mm) == 0 }

// MM is the length in millimetres as a float64.
func (l Length) MM() float64 {
	if l.mm == nil {
		return 0
	}
	x, _ := l.mm.Float64()
	return x
}

// Rat is a copy of the exact length in millimetres.
func (l Length) Rat() *big.Rat {
	if l.mm == nil {
		return new(big.Rat)
	}
	return new(big.Rat).Set(l.mm)
}

// A ParseError says what was typed (its beginning, when it is long) and what is wrong with
// it; Err is one of the package's errors.
type ParseError struct {
	Typed string
	Err   error
}

func (e *ParseError) Error() string { return fmt.Sprintf("%q %v", e.Typed, e.Err) }

// Unwrap is one of the package's errors.
func (e *ParseError) Unwrap() error { return e.Err }
