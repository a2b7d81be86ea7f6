package ways

import (
	"errors"
	"math/big"
	"strconv"
	"strings"

	"scantling/engine/figure"
	"scantling/engine/ratio"
)

// A Quantity is a length with its uncertainty, as it was typed.
type Quantity struct {
	Length ratio.Length
	SD     ratio.Length // standard uncertainty; not given where nothing was typed
}

// ErrTwoLengths is a clue without its equals sign.
var ErrTwoLengths = errors.New("is no clue: a drawn length, =, and the real one")

// ParseQuantity reads a length with or without its standard uncertainty: 1981 mm ± 5 mm,
// 1981±5mm, 6 ft ± 1 in, 1.8 m ± 2 %, 52.3 +/- 0.1. A bare number has the unit that the other has,
// or the one that is passed where neither has one. Errors are *ratio.ParseErrors.
func ParseQuantity(typed string, unit ratio.Unit) (Quantity, error) {
	value, plus, found := cutPlus(typed)
	if !found {
		l, err := positive(typed, unit)
		return Quantity{Length: l}, err
	}
	if share, ok := strings.CutSuffix(strings.TrimSpace(plus), "%"); ok {
		l, err := positive(value, unit)
		if err != nil {
			return Quantity{}, err
		}
		// A share is read as a length of that many millimetres, so that it is read alike.
		s, err := ratio.ParseLength(share, ratio.Millimetre)
		if err != nil {
			return Quantity{}, err
		}
		part := new(big.Rat).Quo(s.Rat(), big.NewRat(100, 1))
		return Quantity{l, ratio.Millimetres(part.Mul(part, l.Rat()))}, nil
	}
	unitOf := func(s string) ratio.Unit {
		if u := lastUnit(s); u != "" {
			return u
		}
		return unit
	}
	l, err := positive(value, unitOf(plus))
	if err != nil {
		return Quantity{}, err
	}
	sd, err := ratio.ParseLength(plus, unitOf(value))
	return Quantity{l, sd}, err
}

// cutPlus parts a value from its uncertainty.
func cutPlus(typed string) (value, plus string, found bool) {
	for _, sign := range []string{"±", "+/-", "+-"} {
		if value, plus, found = strings.Cut(typed, sign); found {
			return value, plus, true
		}
	}
	return typed, "", false
}

// positive reads a length above zero.
func positive(typed string, unit ratio.Unit) (ratio.Length, error) {
	l, err := ratio.ParseLength(typed, unit)
	if err == nil && l.Rat().Sign() == 0 {
		err = &ratio.ParseError{Typed: strings.TrimSpace(typed), Err: ratio.ErrNotPositive}
	}
	return l, err
}

// lastUnit is the unit that a typed length ends in, or none: that which a bare number beside
// it is in.
func lastUnit(typed string) ratio.Unit {
	typed = strings.TrimSpace(typed)
	// The unit of what is typed is how much longer it gets where a bare number is metres: not
	// at all. So the bare number 1 with the same ending is read instead.
	end := strings.TrimRightFunc(typed, func(r rune) bool {
		return r != ' ' && !(r >= '0' && r <= '9') && r != '.' && r != ',' && r != '/'
	})
	suffix := strings.TrimSpace(typed[len(end):])
	if suffix == "" {
		return ""
	}
	l, err := ratio.ParseLength("1 "+suffix, "")
	if err != nil {
		return ""
	}
	for _, u := range []ratio.Unit{
		ratio.Micrometre, ratio.Millimetre, ratio.Centimetre, ratio.Metre, ratio.Kilometre, ratio.Inch, ratio.Foot, ratio.Yard, ratio.Mile,
	} {
		if one, err := ratio.ParseLength("1", u); err == nil && one.Equal(l) {
			return u
		}
	}
	return ""
}

// handSD is the standard uncertainty of a real length that was typed without one, as a share
// of it. Judged, no source: what is known of an object without its drawing is seldom surer.
const handSD = 0.01

// ParseClue reads a clue: the drawn length, =, and the real one, each with or without its
// standard uncertainty, or the key of an object of the table: 35.1mm=1981mm±5,
// "8 1/2 in ± 0.1 = 6 ft", 41.2=door-leaf. Bare numbers are millimetres. A real length without an
// uncertainty has one of 1 %; a drawn one has none. Errors are *ratio.ParseErrors, or those of
// FindObject.
func ParseClue(typed string) (Clue, error) { return ParseClueIn(typed, ratio.Millimetre) }

// ParseClueIn is ParseClue where bare numbers have another unit.
func ParseClueIn(typed string, unit ratio.Unit) (Clue, error) {
	left, right, found := strings.Cut(typed, "=")
	if !found {
		return Clue{}, &ratio.ParseError{Typed: typed, Err: ErrTwoLengths}
	}
	drawn, err := ParseQuantity(left, unit)
	if err != nil {
		return Clue{}, err
	}
	c := Clue{Drawn: drawn.Length.MM(), DrawnSD: drawn.SD.MM()}
	real, err := ParseQuantity(right, unit)
	if err != nil {
		o, unknown := FindObject(right)
		var several *SeveralObjectsError
		if unknown != nil && !errors.As(unknown, &several) && startsWithDigit(right) {
			return Clue{}, err
		}
		if unknown != nil {
			return Clue{}, unknown
		}
		c.Object, c.RealMM, c.RealSD = o.Key, o.MM, o.SD
	} else if c.RealMM, c.RealSD = real.Length.MM(), real.SD.MM(); !real.SD.Known() {
		c.RealSD = handSD * c.RealMM
	}
	_, err = c.Estimate()
	if err != nil {
		err = &ratio.ParseError{Typed: typed, Err: err}
	}
	return c, err
}

// startsWithDigit tells what was meant as a number from what was meant as a name.
func startsWithDigit(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// ParsePerson reads whom a figure stands for: a stature with or without its standard
// uncertainty (6 ft, 1.8 m ± 2 cm; a bare number below 3 is metres, below 10 feet, below 300
// centimetres, and otherwise millimetres), or a population: man, woman, adult, or a key of
// package figure, or a boy, a girl or a child of an age in whole years ("girl of 8").
func ParsePerson(typed string) (Person, error) {
	s := strings.ToLower(strings.TrimSpace(typed))
	switch s {
	case "man", "adult man":
		return Person{Population: figure.Men}, nil
	case "woman", "adult woman":
		return Person{Population: figure.Women}, nil
	case "adult", "person":
		return Person{Population: figure.Adults}, nil
	}
	if p, isChild, ok := childOf(s); ok {
		return Person{Population: p}, nil
	} else if isChild {
		return Person{}, &ratio.ParseError{Typed: typed, Err: ErrChildAge}
	}
	for _, p := range figure.Populations() {
		if s == string(p) || s == strings.ReplaceAll(string(p), "-", " ") {
			return Person{Population: p}, nil
		}
	}
	q, err := ParseQuantity(typed, statureUnit(typed))
	if err != nil {
		if !startsWithDigit(typed) && s != "" && s[0] != '-' && s[0] != '.' {
			err = &ratio.ParseError{Typed: typed, Err: ErrPopulation}
		}
		return Person{}, err
	}
	p := Person{Stature: q.Length, SD: q.SD}
	switch mm := p.Stature.MM(); {
	case mm < leastStature || mm > mostStature:
		return Person{}, &ratio.ParseError{Typed: typed, Err: ErrNoPerson}
	case p.SD.MM() > mm/2:
		return Person{}, &ratio.ParseError{Typed: typed, Err: ErrTooUncertain}
	}
	return p, nil
}

// childOf reads "boy of 8", "girl, 10 years", "child 6" and the key "boy-8", in small letters.
// isChild is true where it begins as one, ok where the age is one that the table has.
func childOf(s string) (p figure.Population, isChild, ok bool) {
	for _, who := range []figure.Childhood{figure.Boys, figure.Girls, figure.BoysGirls} {
		rest, found := strings.CutPrefix(s, string(who))
		if !found {
			continue
		}
		rest = strings.Trim(rest, " ,-")
		rest = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(rest, "of"), "aged"))
		for _, unit := range []string{"years old", "years", "year", "yr", "y"} {
			rest = strings.TrimSpace(strings.TrimSuffix(rest, unit))
		}
		years, err := strconv.Atoi(rest)
		if err != nil {
			return "", true, false
		}
		p, ok = figure.Child(who, years)
		return p, true, ok
	}
	return "", false, false
}

// Whoever is smaller or taller is a slip of the keyboard: the shortest and the tallest adults on
// record were about 55 cm and 2.72 m (from memory), a newborn is about 50 cm.
const leastStature, mostStature = 400.0, 2800.0

// statureUnit is the unit of a stature that was typed as a bare number.
func statureUnit(typed string) ratio.Unit {
	value, _, _ := cutPlus(typed)
	l, err := ratio.ParseLength(value, ratio.Millimetre)
	switch x := l.MM(); {
	case err != nil:
		return ratio.Millimetre
	case x < 3:
		return ratio.Metre
	case x < 10:
		return ratio.Foot
	case x < 300:
		return ratio.Centimetre
	}
	return ratio.Millimetre
}

// ParseReadings reads several readings of one length, parted by semicolons: 52.3; 52.34; 52.31 mm.
// A bare number has the unit that is passed. Errors are *ratio.ParseErrors.
func ParseReadings(typed string, unit ratio.Unit) ([]ratio.Length, error) {
	var out []ratio.Length
	for part := range strings.SplitSeq(strings.TrimRight(typed, "; \t"), ";") {
		l, err := positive(part, unit)
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}

// ExactReadings writes readings so that ParseReadings reads exactly the same back; nothing for none.
func ExactReadings(readings []ratio.Length) string {
	var out []string
	for _, l := range readings {
		out = append(out, l.Exact())
	}
	return strings.Join(out, "; ")
}

// Exact writes the person so that ParsePerson reads exactly the same back; nothing for none.
func (p Person) Exact() string {
	switch {
	case p.Stature.Known() && p.SD.Known():
		return p.Stature.Exact() + " ± " + p.SD.Exact()
	case p.Stature.Known():
		return p.Stature.Exact()
	}
	return string(p.Population)
}
