package state

import (
	"slices"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// A Pair is two targets side by side.
type Pair struct {
	At     [2]Candidate
	Differ []judge.Standoff // what is found otherwise at the one than at the other; its parts are those of View.Judged
}

// A Candidate is a target with what it makes of the kit.
type Candidate struct {
	Rung    int         // of View.Ladder; -1 for none of its rungs
	Ratio   ratio.Ratio // may be unknown
	Factor  ratio.Factor
	InForce bool
	Size    geom.Vec // of the assembled kit in print, mm, kit axes
	judge.Tally
}

// BedGap is what is kept free between parts on a bed, millimetres: common practice, no source.
const BedGap = 2

// An aim is a target that is compared: a ratio, or a factor that was found without one.
type aim struct {
	ratio  ratio.Ratio
	factor ratio.Factor
}

func (a aim) known() bool { return a.ratio.Known() || a.factor.Known() }

func (a aim) same(o aim) bool { return a.ratio.Equal(o.ratio) && a.factor.Equal(o.factor) }

// pairing is what is compared, and what came of it last.
type pairing struct {
	open    bool
	at      [2]aim
	sheet   *judge.Case // that the tallies were made of
	bed     judge.Bed
	factors [2]ratio.Factor
	tallies [2]judge.Tally
	differ  []judge.Standoff
}

// Comparable reports whether there is a target in force and another one to lay beside it.
func (v *View) Comparable() bool {
	return len(v.Judged.IDs) > 0 && v.Result.Factor.Known() && slices.ContainsFunc(v.Ladder, func(r judge.Rung) bool { return r.Factor.Known() })
}

// aimNow is the target in force.
func (b *Bench) aimNow() aim {
	if r := b.view.Result; hasTarget(b.view.Way.Kind) && r.Target.Known() {
		return aim{ratio: r.Target}
	}
	return aim{factor: b.view.Result.Factor}
}

// Compare lays the target in force beside another: the one that it was compared with before, or
// else the next smaller model on the ladder. View.Pair has both until EndCompare.
func (b *Bench) Compare() {
	if !b.view.Comparable() {
		return
	}
	p := &b.pairing
	now := b.aimNow()
	before := p.at
	p.open, p.at = true, [2]aim{now, b.nextRung(now)}
	for _, a := range before {
		if a.known() && !a.same(now) {
			p.at[1] = a
		}
	}
	b.recompute()
}

// nextRung is the largest model of the ladder that is smaller than a target, or the smallest that is
// not.
func (b *Bench) nextRung(a aim) (next aim) {
	now := b.view.Result.Factor.Float()
	for _, r := range b.view.Ladder {
		if !r.Factor.Known() || r.Factor.Float() == now {
			continue
		}
		next = aim{ratio: r.Standard.Ratio}
		if r.Factor.Float() < now {
			break
		}
	}
	if !next.known() {
		return a
	}
	return next
}

// CompareWith puts rung i of View.Ladder at the first or the second place of what is compared.
func (b *Bench) CompareWith(place, i int) {
	if b.pairing.open && place >= 0 && place < 2 && i >= 0 && i < len(b.view.Ladder) {
		b.pairing.at[place] = aim{ratio: b.view.Ladder[i].Standard.Ratio}
		b.recompute()
	}
}

// TakeCompared makes the first or the second of what is compared the target. The comparison stays.
func (b *Bench) TakeCompared(place int) {
	if !b.pairing.open || place < 0 || place >= 2 {
		return
	}
	switch a := b.pairing.at[place]; {
	case a.ratio.Known():
		b.aimAt(a.ratio)
	case a.factor.Known():
		b.history.Pause()
		b.drag(a.factor)
		b.history.Pause()
	}
}

// EndCompare takes View.Pair away; what was compared is remembered.
func (b *Bench) EndCompare() {
	b.pairing.open = false
	b.recompute()
}

// pair fills View.Pair. What does not depend on which target is in force is worked out only when
// the kit or the targets changed.
func (b *Bench) pair(native ratio.Ratio) {
	v, p := &b.view, &b.pairing
	v.Pair = nil
	if !p.open {
		p.sheet = nil
		return
	}
	var out Pair
	var factors [2]ratio.Factor
	for i, a := range p.at {
		c := Candidate{Rung: -1, Ratio: a.ratio, Factor: a.factor}
		if a.ratio.Known() {
			c.Factor = ratio.FactorBetween(native, a.ratio)
		} else {
			c.Ratio = c.Factor.Target(native)
		}
		if !c.Factor.Known() {
			return
		}
		for k, r := range v.Ladder {
			if a.ratio.Known() && r.Standard.Ratio.Equal(a.ratio) {
				c.Rung = k
			}
		}
		factors[i] = c.Factor
		c.InForce = c.Factor.Equal(v.Result.Factor)
		c.Size = v.KitBox.Size().Scale(c.Factor.Float())
		out.At[i] = c
	}
	same := p.sheet == v.Judged.sheet && p.bed == v.Bed && factors[0].Equal(p.factors[0]) && factors[1].Equal(p.factors[1])
	if !same {
		p.sheet, p.bed, p.factors = v.Judged.sheet, v.Bed, factors
		for i, f := range factors {
			p.tallies[i] = p.sheet.Tally(v.Bed, f.Float(), BedGap)
		}
		p.differ = p.sheet.Compare(factors[0].Float(), factors[1].Float())
	}
	for i := range out.At {
		out.At[i].Tally = p.tallies[i]
	}
	out.Differ = p.differ
	v.Pair = &out
}
