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

// Target is native × f: the ratio of the copies.
func (f Factor) Target(native Ratio) Ratio {
	if f.r == nil || native.r == nil {
		return Ratio{}
	}
	return Ratio{new(big.Rat).Mul(native.r, f.r)}
}

// A Length is an exact length. The zero value is no length at all (0 mm).
type Length struct{ mm *big.Rat }

// Millimetres makes a length of any rational number of millimetres.
func Millimetres(r *big.Rat) Length { return Length{new(big.Rat).Set(r)} }

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

// A Unit is a unit of length that makers use.
type Unit string

// The units, as they are written. FeetInches writes 5' 11 1/2".
const (
	Micrometre Unit = "µm"
	Millimetre Unit = "mm"
	Centimetre Unit = "cm"
	Metre      Unit = "m"
	Inch       Unit = "in"
	Foot       Unit = "ft"
	Yard       Unit = "yd"
	FeetInches Unit = "ft-in"
)

// A Field is a trade whose ratios belong together.
type Field string

// A ParseError says what was typed and what is wrong with it; Err is one of the package's errors.
type ParseError struct {
	Typed string
	Err   error
}

func (e *ParseError) Error() string { return fmt.Sprintf("%q %v", e.Typed, e.Err) }

// Unwrap is one of the package's errors.
func (e *ParseError) Unwrap() error { return e.Err }

// The remaining doors of this package, being written in parse.go, write.go and table.go:
//
//	func Parse(typed string) (Ratio, error)                     // 1:48, 1/48, 48, 3.5 mm = 1 ft, 1/4" = 1', H0, ...
//	func ParseFactor(typed string) (Factor, error)              // 0.235, 23.5 %, ×0.235, 1/4
//	func ParseLength(typed string, unit Unit) (Length, error)   // unit: what a bare number means
//	func (a Ratio) String() string                              // ISO 5455: 1:48, 2:1, 1:87.1 (exact or at most 6 figures)
//	func (a Ratio) Exact() string                               // reads back to the same ratio: 10:871 -> 1:87.1, 7:2134 ...
//	func (f Factor) String() string; func (f Factor) Exact() string
//	func (l Length) Exact() string
//	MarshalText/UnmarshalText of Ratio, Factor, Length through Exact
//	type Standard struct { Ratio Ratio; Name string; Field Field; Source string; Status Status }
//	func Standards() []Standard                                 // the whole table
//	func Fields() []Field; func Ladder(f Field) []Standard      // a field's rungs, largest first, one per ratio
//	func Named(typed string) []Standard                         // every reading of a name such as "O"
