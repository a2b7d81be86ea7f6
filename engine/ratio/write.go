package ratio

import (
	"math/big"
	"strconv"
	"strings"
)

// String writes the ratio as ISO 5455 does: 1:48, 2:1, 1:87.1. It is exact where six figures
// are enough, and rounded to what makers use otherwise: 3.5 mm to the foot, which is
// 1:87.0857..., is written 1:87.1. A trailing 0, as in 1:48.0, tells that it was rounded.
// It is empty for a ratio that is not known.
func (a Ratio) String() string {
	switch {
	case a.r == nil:
		return ""
	case a.r.Cmp(big.NewRat(1, 1)) > 0:
		return shown(a.r) + ":1"
	}
	return "1:" + shown(new(big.Rat).Inv(a.r))
}

// shown writes the larger number of a ratio.
func shown(n *big.Rat) string {
	if s, ok := decimal(n, 5); ok && (n.IsInt() || len(s) <= len("123.456")) {
		return s
	}
	// About one part in a thousand, so that 43.54285 is 43.5 as in the trade.
	figures := 1
	switch x, _ := n.Float64(); {
	case x < 10:
		figures = 3
	case x < 20:
		figures = 2
	case x >= 1000:
		figures = 0
	}
	return n.FloatString(figures)
}

// Exact writes the ratio so that Parse reads exactly the same back: as String where that
// says all, with all its decimals where they end, as 3:8 where they do not.
func (a Ratio) Exact() string {
	if a.r == nil {
		return ""
	}
	if a.r.Cmp(big.NewRat(1, 1)) > 0 {
		if s, ok := decimal(a.r, mostDecimals); ok {
			return s + ":1"
		}
	} else if s, ok := decimal(new(big.Rat).Inv(a.r), mostDecimals); ok {
		return "1:" + s
	}
	return a.r.Num().String() + ":" + a.r.Denom().String()
}

// String is the factor in four figures: 0.2350. It is empty for no factor.
func (f Factor) String() string {
	if f.r == nil {
		return ""
	}
	const figures = 4
	s := strconv.FormatFloat(f.Float(), 'e', figures-1, 64)
	exp, _ := strconv.Atoi(s[strings.IndexByte(s, 'e')+1:])
	if exp < -6 {
		return s
	}
	return f.r.FloatString(max(0, figures-1-exp))
}

// Digits is the number that coordinates are multiplied by, in as many digits as float64
// needs: 0.23499999999999999 is written 0.235, a third 0.3333333333333333.
func (f Factor) Digits() string {
	if f.r == nil {
		return ""
	}
	return strconv.FormatFloat(f.Float(), 'g', -1, 64)
}

// Exact writes the factor so that ParseFactor reads exactly the same back: all its decimals
// where they end, as 15/29 where they do not.
func (f Factor) Exact() string { return exact(f.r) }

// Exact writes the length so that ParseLength reads exactly the same back, in millimetres:
// 25.4 mm, 1/3 mm. It is empty for a length that is not given.
func (l Length) Exact() string {
	if l.mm == nil {
		return ""
	}
	return exact(l.mm) + " " + string(Millimetre)
}

// mostDecimals is how many decimals are written before a fraction is thought plainer. It is
// enough for every float64 from about 2^-7 up.
const mostDecimals = 60

// exact writes r as a decimal that ends or as a fraction; nothing for nil.
func exact(r *big.Rat) string {
	if r == nil {
		return ""
	}
	if s, ok := decimal(r, mostDecimals); ok {
		return s
	}
	return r.String()
}

// decimal writes r with all its decimals; it is not ok when they are more than most or do
// not end.
func decimal(r *big.Rat, most int) (string, bool) {
	// What ends has no factor but 2 and 5 below, so its decimals are fewer than its bits.
	if r.Denom().BitLen() > 4*most {
		return "", false
	}
	n, ends := r.FloatPrec()
	if !ends || n > most {
		return "", false
	}
	return r.FloatString(n), true
}

// MarshalText is Exact: empty for a ratio that is not known.
func (a Ratio) MarshalText() ([]byte, error) { return []byte(a.Exact()), nil }

// UnmarshalText takes what Parse takes; the empty text is a ratio that is not known.
func (a *Ratio) UnmarshalText(text []byte) (err error) {
	*a = Ratio{}
	if len(text) > 0 {
		*a, err = Parse(string(text))
	}
	return err
}

// MarshalText is Exact: empty for no factor.
func (f Factor) MarshalText() ([]byte, error) { return []byte(f.Exact()), nil }

// UnmarshalText takes what ParseFactor takes; the empty text is no factor.
func (f *Factor) UnmarshalText(text []byte) (err error) {
	*f = Factor{}
	if len(text) > 0 {
		*f, err = ParseFactor(string(text))
	}
	return err
}

// MarshalText is Exact: empty for a length that is not given.
func (l Length) MarshalText() ([]byte, error) { return []byte(l.Exact()), nil }

// UnmarshalText takes what ParseLength takes, a bare number meaning millimetres; the empty
// text is a length that is not given.
func (l *Length) UnmarshalText(text []byte) (err error) {
	*l = Length{}
	if len(text) > 0 {
		*l, err = ParseLength(string(text), Millimetre)
	}
	return err
}
