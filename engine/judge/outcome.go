package judge

import (
	"math"
	"slices"

	"scantling/engine/ratio"
)

// An Outcome is what a factor does to the whole kit, in a few numbers.
type Outcome struct {
	Factor  float64
	Fits    [Free + 1]bool // by Turning, whether every part fits the bed; false where that is not known of one
	Prints  bool           // nothing stops the print; what was set aside does not count
	Stops   []Code         // what does, in order
	Failing int            // how many parts something stops
	Looks   int            // how many more have something to look at that depends on the factor
	Weight  Weight
}

// A Standing is a standard ratio with its outcome.
type Standing struct {
	Standard ratio.Standard
	Factor   ratio.Factor // unknown while the native ratio is; then there is no outcome
	InForce  bool         // it is the target
	Outcome  Outcome
}

// Ladder judges every standard, in the order given.
func (c *Case) Ladder(standards []ratio.Standard, native, target ratio.Ratio) []Standing {
	out := make([]Standing, len(standards))
	for i, s := range standards {
		out[i] = Standing{
			Standard: s,
			Factor:   ratio.FactorBetween(native, s.Ratio),
			InForce:  target.Known() && target.Equal(s.Ratio),
		}
		if f := out[i].Factor; f.Known() {
			out[i].Outcome = c.Outcome(f.Float())
		}
	}
	return out
}

// Outcome judges the kit at a factor, more than 0, without naming findings.
func (c *Case) Outcome(f float64) Outcome {
	o := Outcome{Factor: f, Weight: c.Weight(f)}
	codes := Codes()
	var stopping [64]bool // by the index of the code
	for i := range c.each {
		worst := Note
		larger, smaller := c.each[i].there(f)
		for _, list := range [][]threat{larger, smaller} {
			for k := range list {
				t := &list[k]
				if t.Aside != "" {
					continue
				}
				g := t.gravity(f)
				if g == Stops {
					stopping[slices.Index(codes, t.Code)] = true
				}
				worst = max(worst, g)
			}
		}
		switch worst {
		case Stops:
			o.Failing++
		case Look:
			o.Looks++
		}
	}
	for i, code := range codes {
		if stopping[i] {
			o.Stops = append(o.Stops, code)
		}
	}
	o.Prints = len(c.Parts) > 0 && len(o.Stops) == 0
	for t := range o.Fits {
		o.Fits[t] = len(c.Parts) > 0
		for i := range c.Parts {
			o.Fits[t] = o.Fits[t] && f <= c.Parts[i].Fits[t]
		}
	}
	return o
}

// A Window is the range of factors at which nothing that depends on the factor has some
// gravity: from Least to Most, both of them in it. It is empty where Least is above Most.
// Least is 0 and Most +Inf where nothing limits it.
type Window struct {
	Least, Most float64
	// What limits it, and which part; the code is empty and the part -1 where nothing does.
	LeastCode, MostCode Code
	LeastPart, MostPart int
}

// Empty reports whether no factor lies in it.
func (w Window) Empty() bool { return !(w.Least <= w.Most) }

// Holds reports whether a factor lies in it.
func (w Window) Holds(f float64) bool { return w.Least <= f && f <= w.Most }

// Window is where the whole kit is free of findings of that gravity or more: for Stops the
// printable window, for Look what keeps all details besides.
func (c *Case) Window(g Gravity) Window {
	w := open()
	for i := range c.Parts {
		w.meet(c.WindowOf(i, g))
	}
	return w
}

// WindowOf is that of one part.
func (c *Case) WindowOf(part int, g Gravity) Window {
	w := c.each[part].window[g]
	if w.LeastCode != "" {
		w.LeastPart = part
	}
	if w.MostCode != "" {
		w.MostPart = part
	}
	return w
}

func open() Window { return Window{Most: math.Inf(1), LeastPart: -1, MostPart: -1} }

func (w *Window) meet(o Window) {
	if o.Least > w.Least {
		w.Least, w.LeastCode, w.LeastPart = o.Least, o.LeastCode, o.LeastPart
	}
	if o.Most < w.Most {
		w.Most, w.MostCode, w.MostPart = o.Most, o.MostCode, o.MostPart
	}
}

// windows works out the windows of a part, from lists that are in order.
func (d *docket) windows() {
	for g := range d.window {
		w := open()
		for _, list := range [][]threat{d.larger, d.smaller} {
			for i := range list {
				t := &list[i]
				if t.Aside != "" {
					continue
				}
				from := t.GoneAt
				if t.Gravity < Gravity(g) {
					from = t.stop
				}
				if t.Gone == Larger {
					w.meet(Window{Least: from, Most: math.Inf(1), LeastCode: t.Code})
				} else {
					w.meet(Window{Most: from, MostCode: t.Code})
				}
			}
		}
		d.window[g] = w
	}
}
