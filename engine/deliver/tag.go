package deliver

import (
	"strconv"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// TagStart is what every tag begins with.
const TagStart = "Scantling "

// corrected comes before what corrects a copy for a printer.
const corrected = "corrected "

// Tag says in a few words what a copy is: "Scantling 1:48 x0.2173913043478261 Harbour tug".
// The factor has the digits that float64 needs, and what corrects a copy for a printer comes
// after it: "corrected x1.004 x1.004 x1.002". The kit's title comes last, since there may not
// be room for all of it.
func (l Labels) Tag() string {
	tag := TagStart
	if l.Target.Known() {
		tag += l.Target.String() + " "
	}
	by := func(f float64) string { return "x" + strconv.FormatFloat(f, 'g', -1, 64) + " " }
	tag += by(l.Factor.Float())
	if c := l.Correction; c != (geom.Vec{}) && c != (geom.Vec{1, 1, 1}) {
		tag += corrected + by(c[0]) + by(c[1]) + by(c[2])
	}
	return strings.TrimRight(tag+l.Kit, " ")
}

// A Tagged is what a tag says.
type Tagged struct {
	Ratio      ratio.Ratio // not known where none was
	Factor     float64
	Correction geom.Vec // zero: none
	Kit        string   // its title, or the beginning of it
}

// ParseTag reads what Labels.Tag wrote; false for anything else.
func ParseTag(tag string) (t Tagged, ok bool) {
	rest, ok := strings.CutPrefix(tag, TagStart)
	if !ok {
		return t, false
	}
	by := func() (float64, bool) {
		word, after, _ := strings.Cut(rest, " ")
		digits, is := strings.CutPrefix(word, "x")
		f, err := strconv.ParseFloat(digits, 64)
		if !is || err != nil || !(f > 0 && f <= 1e30) {
			return 0, false
		}
		rest = after
		return f, true
	}
	if !strings.HasPrefix(rest, "x") {
		word, after, _ := strings.Cut(rest, " ")
		if err := t.Ratio.UnmarshalText([]byte(word)); err != nil || !t.Ratio.Known() {
			return Tagged{}, false
		}
		rest = after
	}
	if t.Factor, ok = by(); !ok {
		return Tagged{}, false
	}
	if after, is := strings.CutPrefix(rest, corrected+"x"); is {
		before := rest
		rest = "x" + after
		for i := range t.Correction {
			if t.Correction[i], ok = by(); !ok { // a kit may be called so
				t.Correction, rest = geom.Vec{}, before
				break
			}
		}
	}
	t.Kit = strings.TrimSpace(rest)
	return t, true
}
