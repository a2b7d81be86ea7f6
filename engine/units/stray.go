package units

import (
	"math"

	"scantling/engine/geom"
)

// A Placed is a part as it lies in its kit, in axes with z up, in millimetres as drawn.
type Placed struct {
	ID  string
	Box geom.Box
	Up  geom.Axis // which axis of its file points up, as the file says or its format has it
	// Otherwise is where it would lie if another axis of its file pointed up. Nothing is
	// considered for a part without any, one that was turned by hand for instance.
	Otherwise []Standing
}

// A Standing is a part's box with one axis of its file, or its opposite, up.
type Standing struct {
	Up       geom.Axis
	Reversed bool
	Box      geom.Box
}

// An Oddity is in what a part's place is unlike that of the rest.
type Oddity string

// The oddities.
const (
	Far     Oddity = "far"      // it lies far away from the others
	OtherUp Oddity = "other-up" // it lies apart, and among them if another axis points up
	Alone   Oddity = "alone-up" // of all files only its own has that axis up; parts are turned alike all the same
)

// Oddities lists every one.
func Oddities() []Oddity { return []Oddity{Far, OtherUp, Alone} }

// A Stray is a part that lies or stands unlike the rest.
type Stray struct {
	Part   string // id
	Oddity Oddity
	Gap    float64 // mm as drawn between its box and that of all others
	Size   float64 // mm, the diagonal of the box of all others
	Better Standing
}

// What counts as a stray. Judged, no source.
const (
	farAway   = 1.0  // of the diagonal of the rest: nothing that belongs to a subject is so far from it
	apart     = 0.02 // of that diagonal: parts of an assembly touch, or nearly
	slack     = 0.01 // by which a part may stick out of the rest and still lie among it
	fewest    = 3    // others, before it is asked how a part stands: fewer are no assembly
	aloneOnly = 4    // others for each file with another axis up, before that is worth a word
)

// Strays finds the parts that lie or stand unlike all others. It is evidence and no more: a part
// that was drawn beside the assembly is one, too.
func Strays(parts []Placed) []Stray {
	// What lies before and after each part, so that the box of all others takes no time.
	n := len(parts)
	before, after := make([]geom.Box, n+1), make([]geom.Box, n+1)
	before[0], after[n] = geom.EmptyBox(), geom.EmptyBox()
	ups := map[geom.Axis]int{}
	for i, p := range parts {
		before[i+1] = before[i].Union(p.Box)
		ups[p.Up]++
	}
	for i := n - 1; i >= 0; i-- {
		after[i] = after[i+1].Union(parts[i].Box)
	}
	var out []Stray
	for i, p := range parts {
		rest := before[i].Union(after[i+1])
		if p.Box.Empty() || rest.Empty() || n < 3 {
			continue
		}
		s := Stray{Part: p.ID, Gap: gap(p.Box, rest), Size: rest.Size().Len()}
		if !(s.Size > 0) || math.IsInf(s.Size, 1) {
			continue
		}
		switch better, ok := among(p, rest, s.Size); {
		case n > fewest && s.Gap > apart*s.Size && ok:
			s.Oddity, s.Better = OtherUp, better
		case s.Gap > farAway*s.Size:
			s.Oddity = Far
		case len(p.Otherwise) > 0 && ups[p.Up] == 1 && n > aloneOnly:
			s.Oddity = Alone
		default:
			continue
		}
		out = append(out, s)
	}
	return out
}

// among is the one way for a part to stand in which it lies among the rest; false where there is
// none, or several that differ in where it lies.
func among(p Placed, rest geom.Box, size float64) (Standing, bool) {
	var found []Standing
	for _, s := range p.Otherwise {
		if sticksOut(s.Box, rest) <= slack*size {
			found = append(found, s)
		}
	}
	if len(found) == 0 {
		return Standing{}, false
	}
	for _, s := range found[1:] {
		if s.Box != found[0].Box {
			return Standing{}, false
		}
	}
	return found[0], true
}

// gap is how far two boxes are from each other, 0 where they meet.
func gap(a, b geom.Box) float64 {
	var d geom.Vec
	for i := range d {
		d[i] = max(0, a.Min[i]-b.Max[i], b.Min[i]-a.Max[i])
	}
	return d.Len()
}

// sticksOut is how far a reaches out of b at the most.
func sticksOut(a, b geom.Box) float64 {
	out := 0.0
	for i := range a.Min {
		out = max(out, b.Min[i]-a.Min[i], a.Max[i]-b.Max[i])
	}
	return out
}
