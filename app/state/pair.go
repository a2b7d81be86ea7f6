package state

import (
	"slices"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// A Pair is two targets side by side.
type Pair struct {
	At      [2]Candidate
	Known   Comparison // as far as it is worked out; without parts before the first time
	Waiting bool       // Known is of other targets, or of the kit before its last change: what At comes to is being worked out
}

// A Candidate is a target that is compared, as it is chosen now.
type Candidate struct {
	Rung    int         // of View.Ladder; -1 for none of its rungs
	Ratio   ratio.Ratio // may be unknown
	Factor  ratio.Factor
	InForce bool
}

// A Comparison is what two factors make of a kit.
type Comparison struct {
	At     [2]Prospect
	Differ []judge.Standoff // what is found otherwise at the one than at the other
	Parts  []string         // names of the ticked parts, as Differ and tallies number them
	Money  string           // of costs
}

// A Prospect is what a factor makes of a kit.
type Prospect struct {
	Ratio  ratio.Ratio // may be unknown
	Factor ratio.Factor
	Size   geom.Vec // of the assembled kit in print, mm, kit axes
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
	slot
	open  bool
	at    [2]aim
	asked pairTask // that the job is at
	task  pairTask // that known answers
	known Comparison
}

// forget is as if nothing had ever been compared.
func (p *pairing) forget() {
	p.stop()
	p.open, p.at, p.asked, p.task, p.known = false, [2]aim{}, pairTask{}, pairTask{}, Comparison{}
}

// A pairTask is all that tallies depend on. What it holds never changes, so that a worker may have
// it.
type pairTask struct {
	sheet   *judge.Case
	bed     judge.Bed
	factors [2]ratio.Factor
}

// aimed reports whether two tasks are about the same factors.
func (t pairTask) aimed(o pairTask) bool {
	return t.factors[0].Equal(o.factors[0]) && t.factors[1].Equal(o.factors[1])
}

func (t pairTask) same(o pairTask) bool { return t.sheet == o.sheet && t.bed == o.bed && t.aimed(o) }

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

// pair fills View.Pair. What does not depend on which target is in force is worked out aside, and
// only when the kit or the targets changed; until then the view has what was known before.
func (b *Bench) pair(native ratio.Ratio) {
	v, p := &b.view, &b.pairing
	v.Pair = nil
	var at [2]Candidate
	ok := p.open
	if ok {
		at, ok = b.candidates(native)
	}
	if !ok {
		p.stop()
		p.task, p.known = pairTask{}, Comparison{}
		return
	}
	now := pairTask{v.Judged.sheet, v.Bed, [2]ratio.Factor{at[0].Factor, at[1].Factor}}
	known := Comparison{Parts: v.Judged.Names, Money: v.Judged.Process.Material.Money}
	for i, f := range now.factors {
		known.At[i] = Prospect{Ratio: at[i].Ratio, Factor: f, Size: v.KitBox.Size().Scale(f.Float())}
	}
	waiting := !p.task.same(now)
	if waiting {
		b.workOut(now, known)
	} else { // parts may have other names by now, and stand elsewhere
		for i := range known.At {
			known.At[i].Tally = p.known.At[i].Tally
		}
		known.Differ = p.known.Differ
		p.known = known
	}
	v.Pair = &Pair{At: at, Known: p.known, Waiting: waiting}
}

// candidates are the two targets, if both have a factor.
func (b *Bench) candidates(native ratio.Ratio) (at [2]Candidate, ok bool) {
	for i, a := range b.pairing.at {
		c := Candidate{Rung: -1, Ratio: a.ratio, Factor: a.factor}
		if a.ratio.Known() {
			c.Factor = ratio.FactorBetween(native, a.ratio)
			c.Rung = slices.IndexFunc(b.view.Ladder, func(r judge.Rung) bool { return r.Standard.Ratio.Equal(a.ratio) })
		} else {
			c.Ratio = c.Factor.Target(native)
		}
		if !c.Factor.Known() {
			return at, false
		}
		c.InForce = c.Factor.Equal(b.view.Result.Factor)
		at[i] = c
	}
	return at, true
}

// workOut begins to compare, into known. A job for other factors is stopped; one that is at the same
// for a kit of before is let come to its end, or a kit that is being surveyed would never be compared.
func (b *Bench) workOut(t pairTask, known Comparison) {
	p := &b.pairing
	if p.busy && p.asked.aimed(t) {
		return
	}
	p.asked = t
	b.start(&p.slot, func(w *worker) error {
		for i, f := range t.factors {
			known.At[i].Tally = t.sheet.Tally(t.bed, f.Float(), BedGap)
			if w.ctx.Err() != nil {
				return w.ctx.Err()
			}
		}
		known.Differ = t.sheet.Compare(t.factors[0].Float(), t.factors[1].Float())
		return nil
	}, func(err error) {
		if err != nil { // a panic: what was not worked out is not shown
			b.notice(err)
			p.open = false
		} else {
			p.task, p.known = t, known
		}
		b.recompute()
	})
}
