package kit

import (
	"math/big"
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
)

// Seen is what a file says of a part, with what the maker said instead: its unit, and how it
// and the whole kit are turned. The measures stay in the file's unit and axes.
func (k Kit) Seen(p Part, m mesh.Part) mesh.Part {
	if p.Unit.Known() {
		m.Unit = UnitOf(p.Unit)
	}
	if p.Turn.Known() {
		m.Turn = p.Turn
	}
	if k.Turn.Known() {
		m.Turn = Upright(m).Then(k.Turn)
	}
	return m
}

// UnitOf is a unit of that length: the usual one where there is such, otherwise one that is
// named by its length.
func UnitOf(l ratio.Length) mesh.Unit {
	u := mesh.Unit{Name: l.Exact(), MM: l.MM(), Declared: true}
	for _, usual := range Units() {
		if Length(usual).Equal(l) {
			u.Name = string(usual)
		}
	}
	return u
}

// Units are the units that models are drawn in, the commonest first.
func Units() []ratio.Unit {
	return []ratio.Unit{ratio.Millimetre, ratio.Centimetre, ratio.Metre, ratio.Inch, ratio.Foot}
}

// Length is how long one of a unit is; not known for what is no unit.
func Length(u ratio.Unit) ratio.Length {
	l, _ := ratio.ParseLength("1", u)
	return l
}

// Correction is what the unit that the maker gave makes of the one that the file has: 25.4
// where inches had been taken for millimetres. It is exact, and 1 where nothing was given.
func (p Part) Correction(has mesh.Unit) *big.Rat {
	// The shortest decimal of the float64 is what a unit is: 25.4, not its last binary digit.
	mm, ok := new(big.Rat).SetString(strconv.FormatFloat(has.MM, 'g', -1, 64))
	if !p.Unit.Known() || !ok || mm.Sign() <= 0 {
		return big.NewRat(1, 1)
	}
	return mm.Quo(p.Unit.Rat(), mm)
}

// UsableUnit reports whether a part can have a unit of that length: from a nanometre to a
// thousand kilometres.
func UsableUnit(l ratio.Length) bool { return l.MM() >= 1e-6 && l.MM() <= 1e9 }

// WithTurn is k turned as a whole; no turn at all is kept as none.
func (k Kit) WithTurn(t geom.Turn) Kit {
	if t == geom.NoTurn() {
		t = geom.Turn{}
	}
	k.Turn = t
	return k
}
