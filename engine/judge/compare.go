package judge

import (
	"cmp"
	"slices"
)

// A Tally is the kit at one factor, in the few figures that two factors are compared by.
type Tally struct {
	Outcome
	// Counts are how many findings count, by gravity; what was set aside does not.
	Counts [Stops + 1]int
	// Fitting is how many of the parts fit the bed, turned as the terms say, and Beds how they
	// are laid out; -1 and nil without a bed.
	Fitting int
	Beds    *Layout
	// Least and Most are the parts that are smallest and largest by their longest side, and
	// LeastMM and MostMM that side in print; -1 without parts.
	Least, Most     int
	LeastMM, MostMM float64
}

// A Standoff is what is found of one kind in one part at two factors, where it is not the same at
// both: more grave, or in more places.
type Standoff struct {
	Code Code
	Part int // -1 for the whole kit
	At   [2]Side
}

// A Side is one of the two.
type Side struct {
	Places int     // 0: it is not there
	Worst  Finding // the gravest of them; none where it is not there
}

// grave is 0 for what is not there, and rises with the gravity.
func (s Side) grave() int {
	if s.Places == 0 {
		return 0
	}
	return int(s.Worst.Gravity) + 1
}

// Tally judges the kit at a factor, more than 0. b may be unknown; gap is what is kept free
// between parts on it, millimetres.
func (c *Case) Tally(b Bed, f, gap float64) Tally {
	t := Tally{Outcome: c.Outcome(f), Fitting: -1, Least: -1, Most: -1}
	for _, x := range c.At(f) {
		if x.Aside == "" {
			t.Counts[x.Gravity]++
		}
	}
	if b.Check() == nil {
		l := c.Pack(b, f, gap)
		t.Beds, t.Fitting = &l, len(c.Parts)-len(l.Left)
	}
	for i := range c.Parts {
		p := &c.Parts[i]
		long := p.longest() * f
		if t.Least < 0 || long < t.LeastMM {
			t.Least, t.LeastMM = i, long
		}
		if t.Most < 0 || long > t.MostMM {
			t.Most, t.MostMM = i, long
		}
	}
	return t
}

// Compare is what differs between the findings at two factors: the gravest first, then in the
// order of the parts. What was set aside does not count. Only places are counted: the same wall
// that is thinner at one factor and of the same gravity at both does not differ.
func (c *Case) Compare(one, other float64) []Standoff {
	type key struct {
		code Code
		part int
	}
	all := map[key]*Standoff{}
	var order []*Standoff
	for side, f := range []float64{one, other} {
		for _, x := range c.At(f) {
			if x.Aside != "" {
				continue
			}
			k := key{x.Code, x.Part}
			d := all[k]
			if d == nil {
				d = &Standoff{Code: x.Code, Part: x.Part}
				all[k] = d
				order = append(order, d)
			}
			at := &d.At[side]
			if at.Places == 0 { // the gravest comes first
				at.Worst = x
			}
			at.Places++
		}
	}
	var out []Standoff
	for _, d := range order {
		if d.At[0].Places != d.At[1].Places || d.At[0].Worst.Gravity != d.At[1].Worst.Gravity {
			out = append(out, *d)
		}
	}
	codes := Codes()
	slices.SortStableFunc(out, func(a, b Standoff) int {
		return cmp.Or(
			cmp.Compare(max(b.At[0].grave(), b.At[1].grave()), max(a.At[0].grave(), a.At[1].grave())),
			cmp.Compare(uint(a.Part), uint(b.Part)), // the whole kit last
			cmp.Compare(slices.Index(codes, a.Code), slices.Index(codes, b.Code)))
	})
	return out
}
