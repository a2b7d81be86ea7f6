package ratio

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode"
)

// An AmbiguousError says that a name that was typed has several readings, each its own ratio.
type AmbiguousError struct {
	Typed    string
	Readings []Standard // one for each ratio, largest scale first
}

func (e *AmbiguousError) Error() string {
	return fmt.Sprintf("%q has %d readings", e.Typed, len(e.Readings))
}

// most bounds ratios and factors: none is more than it or less than one part of it.
const most = 1e9

// mostMM bounds lengths in millimetres: a thousand million kilometres.
const mostMM = 1e15

// bounded refuses what is not positive or beyond 1/limit to limit.
func bounded(r *big.Rat, limit int64) error {
	bound := new(big.Rat).SetInt64(limit)
	switch {
	case r.Sign() <= 0:
		return ErrNotPositive
	case r.Cmp(bound) > 0 || r.Cmp(bound.Inv(bound)) < 0:
		return ErrAbsurd
	}
	return nil
}

// Parse reads a ratio as makers type it:
//
//	1:48   2:1   3:8   1 : 87,1   1:10,000   SCALE 1:5   1/48
//	48                           1:48: a bare number from 1 up is the real size of 1
//	0.5   ½                      1:2: a bare number below 1, or a fraction, is the ratio itself
//	1/4" = 1'   3.5 mm = 1 ft    model size = real size
//	1/4 in to the foot   3,5mm/ft   six feet to the inch is 6 ft to the inch: the smaller is the model
//	H0   O NMRA   gauge 1   28 mm   named sizes, see Named
//
// Which comma is a decimal one is told apart thus: one before exactly three digits that end
// in 0 parts thousands (1:10,000), any other one alone is decimal (1:87,1 and 1:87,086);
// see scan. A name is read as the standard that spells it so: H0, with a nought, is 1:87 by
// NEM 010, and HO, with a letter, is 3.5 mm to the foot by NMRA S-1. One with several ratios
// all the same (O is 1:43.5 here and 1:48 there) is an *AmbiguousError and never guessed.
// "1" is the number, 1:1; "0" is the gauge. Any other error is a *ParseError; what is more than a thousand million times
// larger or smaller than life is ErrAbsurd.
func Parse(typed string) (Ratio, error) { return ParseIn(typed, "") }

// ParseIn is Parse for a maker who works in the field: its reading of a name is taken where
// it has just one, and "1" is gauge 1 in a railway field that knows it.
func ParseIn(typed string, field Field) (Ratio, error) {
	r, err := parseRatio(typed, field)
	if err == nil {
		err = bounded(r, most)
	}
	if err != nil {
		return Ratio{}, refuse(typed, err)
	}
	return Ratio{r}, nil
}

// ParseFactor reads a factor: 0.235, 0,235, 23.5 %, ×0.235, x0.235, 1/4. A comma is always
// decimal. Errors are *ParseErrors.
func ParseFactor(typed string) (Factor, error) {
	r, err := parseFactor(typed)
	if err == nil {
		err = bounded(r, most)
	}
	if err != nil {
		return Factor{}, refuse(typed, err)
	}
	return Factor{r}, nil
}

// ParseLength reads a length: 52.3 mm, 5' 11 1/2", 5 ft 9¼ in, 1 7/8 in, 1 m 20 cm. A bare
// number is in the unit that is passed; a bare number behind feet is inches. Commas are
// taken as Parse takes them. Zero is a length; less is ErrNegative, more than a thousand
// million kilometres, or less than a millionth of a nanometre, ErrAbsurd. Errors are
// *ParseErrors.
func ParseLength(typed string, unit Unit) (Length, error) {
	r, err := parseLength(typed, unit)
	if err == nil && r.Sign() != 0 {
		err = bounded(r, mostMM)
	}
	if err != nil {
		return Length{}, refuse(typed, err)
	}
	return Length{r}, nil
}

// refuse wraps what is wrong with what was typed.
func refuse(typed string, err error) error {
	const enough = 64
	if len(typed) > enough {
		typed = strings.ToValidUTF8(typed[:enough], "") + "…"
	}
	var several *AmbiguousError
	if errors.As(err, &several) {
		several.Typed = typed
		return several
	}
	return &ParseError{Typed: typed, Err: err}
}

// quotient reads whole numbers with one sign between, as Exact writes them: 35:3048. They
// alone may be long.
func quotient(s string, sign byte) (*big.Rat, bool) {
	i := strings.IndexByte(s, sign)
	if i <= 0 || i == len(s)-1 {
		return nil, false
	}
	for j := range len(s) {
		if j != i && (s[j] < '0' || s[j] > '9') {
			return nil, false
		}
	}
	a, _ := new(big.Int).SetString(s[:i], 10)
	b, _ := new(big.Int).SetString(s[i+1:], 10)
	if b.Sign() == 0 {
		return nil, false
	}
	return new(big.Rat).SetFrac(a, b), true
}

func parseRatio(typed string, field Field) (*big.Rat, error) {
	s, err := clean(typed)
	if err != nil {
		return nil, err
	}
	if r, ok := quotient(s, ':'); ok {
		return r, nil
	}
	if r, ok := quotient(s, '/'); ok {
		return r, nil
	}
	if len(s) > mostTyped {
		return nil, ErrAbsurd
	}
	if a, err := settle(s, field); err != nil || a.Known() {
		return a.r, err
	}
	toks, err := lex(s, true)
	if err != nil {
		return nil, err
	}
	toks = without(toks, "scale")
	for i, t := range toks {
		switch {
		case t.kind == '=' || t.kind == ':':
			return pair(toks[:i], toks[i+1:], false)
		case t.kind == word && (t.text == "to" || t.text == "per"), t.kind == '/' && i > 0 && unitAt(toks, i-1) != "":
			return pair(toks[:i], toks[i+1:], true)
		}
	}
	if len(toks) > 0 && toks[0].kind == '-' {
		return nil, ErrNotPositive
	}
	v, n, err := value(toks)
	if err != nil {
		return nil, err
	}
	if n < len(toks) {
		return nil, ErrNotANumber
	}
	pure := toks[0].kind == vulgar || n == 3 && toks[1].kind == '/'
	if !pure && v.Cmp(big.NewRat(1, 1)) >= 0 {
		v.Inv(v)
	}
	return v, nil
}

// settle finds the one ratio that a name stands for, none when s is no name.
func settle(s string, field Field) (Ratio, error) {
	readings := named(s, field)
	if len(readings) == 0 {
		return Ratio{}, nil
	}
	if ratios := distinct(spelled(s, readings)); len(ratios) == 1 {
		return ratios[0].Ratio, nil
	}
	readings = distinct(readings)
	if len(readings) > 1 {
		return Ratio{}, &AmbiguousError{Readings: readings}
	}
	return readings[0].Ratio, nil
}

// spelled are the readings that spell their name just as it was typed, small letters aside:
// NEM writes H0 with a nought, NMRA HO with a letter. A name of digits alone is never one:
// a 0 may be meant as a number.
func spelled(s string, readings []Standard) []Standard {
	s = strings.TrimSpace(s)
	return slices.DeleteFunc(slices.Clone(readings), func(r Standard) bool {
		return !strings.EqualFold(r.Name, s) || !strings.ContainsFunc(s, unicode.IsLetter)
	})
}

// pair reads model size and real size, both lengths or both numbers. With smaller, the
// smaller of two lengths is the model's, whichever comes first.
func pair(left, right []token, smaller bool) (*big.Rat, error) {
	right = without(right, "the")
	var a, b *big.Rat
	var err error
	lengths := hasUnit(left) || hasUnit(right)
	if lengths {
		if a, err = lengthOf(left, ""); err == nil {
			b, err = lengthOf(counted(right), "")
		}
	} else {
		if a, err = numberOf(left); err == nil {
			b, err = numberOf(right)
		}
	}
	if err != nil {
		return nil, err
	}
	if a.Sign() <= 0 || b.Sign() <= 0 {
		return nil, ErrNotPositive
	}
	if lengths && smaller && a.Cmp(b) > 0 {
		a, b = b, a
	}
	return a.Quo(a, b), nil
}

// counted puts a 1 before a unit that stands alone: mm/ft.
func counted(toks []token) []token {
	if len(toks) == 1 && unitAt(toks, 0) != "" {
		return []token{{kind: number, value: big.NewRat(1, 1), whole: true}, toks[0]}
	}
	return toks
}

// without drops a word from the beginning and the end.
func without(toks []token, text string) []token {
	is := func(t token) bool { return t.kind == word && t.text == text }
	if len(toks) > 0 && is(toks[0]) {
		toks = toks[1:]
	}
	if len(toks) > 0 && is(toks[len(toks)-1]) {
		toks = toks[:len(toks)-1]
	}
	return toks
}

// value reads a number, a fraction or a whole number with a fraction, and says how many
// tokens it took.
func value(toks []token) (*big.Rat, int, error) {
	kind := func(i int, k rune) bool { return i < len(toks) && toks[i].kind == k }
	over := func(i int) bool { return kind(i, number) && kind(i+1, '/') && kind(i+2, number) }
	switch {
	case kind(0, vulgar):
		return new(big.Rat).Set(toks[0].value), 1, nil
	case !kind(0, number):
		return nil, 0, ErrNotANumber
	case kind(1, vulgar):
		if !toks[0].whole {
			return nil, 0, ErrNotANumber
		}
		return new(big.Rat).Add(toks[0].value, toks[1].value), 2, nil
	case over(0):
		if toks[2].value.Sign() == 0 {
			return nil, 0, ErrNotANumber
		}
		return new(big.Rat).Quo(toks[0].value, toks[2].value), 3, nil
	}
	at := 1
	if kind(1, '-') {
		at = 2
	}
	if !over(at) {
		return new(big.Rat).Set(toks[0].value), 1, nil
	}
	a, b := toks[at], toks[at+2]
	if !toks[0].whole || !a.whole || !b.whole || a.value.Cmp(b.value) >= 0 {
		return nil, 0, ErrNotANumber
	}
	part := new(big.Rat).Quo(a.value, b.value)
	return part.Add(part, toks[0].value), at + 3, nil
}

// numberOf reads one value and nothing else.
func numberOf(toks []token) (*big.Rat, error) {
	if len(toks) > 0 && toks[0].kind == '-' {
		return nil, ErrNotPositive
	}
	v, n, err := value(toks)
	if err == nil && n < len(toks) {
		err = ErrNotANumber
	}
	return v, err
}

// unitAt is the unit that token i stands for, or none.
func unitAt(toks []token, i int) Unit {
	if i >= len(toks) {
		return ""
	}
	switch t := toks[i]; t.kind {
	case word:
		return unitOf(t.text)
	case '\'', '"':
		return unitOf(string(t.kind))
	}
	return ""
}

// hasUnit reports whether a unit or an unknown word is among the tokens.
func hasUnit(toks []token) bool {
	for i, t := range toks {
		if t.kind == word || unitAt(toks, i) != "" {
			return true
		}
	}
	return false
}

// lengthOf adds up values with falling units, in millimetres. A bare number is in the unit
// that is passed, or inches behind feet.
func lengthOf(toks []token, unit Unit) (*big.Rat, error) {
	if len(toks) == 0 {
		return nil, ErrNotANumber
	}
	if toks[0].kind == '-' {
		return nil, ErrNegative
	}
	sum := new(big.Rat)
	var before Unit
	for i := 0; i < len(toks); {
		if t := toks[i]; i > 0 && (t.kind == '-' || t.kind == ',' || t.kind == word && t.text == "and") {
			i++
		}
		v, n, err := value(toks[i:])
		if err != nil {
			return nil, err
		}
		i += n
		u := unitAt(toks, i)
		switch {
		case u != "":
			i++
		case i < len(toks) && toks[i].kind == word:
			return nil, ErrUnit
		case i < len(toks):
			return nil, ErrNotANumber
		case before == "":
			u = unit
		case before == Foot:
			u = Inch
		}
		size := u.size()
		if size == nil {
			return nil, ErrUnit
		}
		if before != "" && size.Cmp(before.size()) >= 0 {
			return nil, ErrNotANumber
		}
		sum.Add(sum, v.Mul(v, size))
		before = u
	}
	return sum, nil
}

func parseLength(typed string, unit Unit) (*big.Rat, error) {
	s, err := clean(typed)
	if err != nil {
		return nil, err
	}
	if q, ok := strings.CutSuffix(s, " "+string(Millimetre)); ok {
		if r, ok := quotient(q, '/'); ok {
			return r, nil
		}
	}
	if len(s) > mostTyped {
		return nil, ErrAbsurd
	}
	toks, err := lex(s, true)
	if err != nil {
		return nil, err
	}
	return lengthOf(toks, unit)
}

func parseFactor(typed string) (*big.Rat, error) {
	s, err := clean(typed)
	if err != nil {
		return nil, err
	}
	if r, ok := quotient(s, '/'); ok {
		return r, nil
	}
	if len(s) > mostTyped {
		return nil, ErrAbsurd
	}
	toks, err := lex(s, false)
	if err != nil {
		return nil, err
	}
	if t := toks[0]; t.kind == '×' || t.kind == '*' || t.kind == word && t.text == "x" {
		toks = toks[1:]
	}
	percent := len(toks) > 0 && toks[len(toks)-1].kind == '%'
	if percent {
		toks = toks[:len(toks)-1]
	}
	r, err := numberOf(toks)
	if err == nil && percent {
		r.Quo(r, big.NewRat(100, 1))
	}
	return r, err
}
