package state

import (
	"context"
	"errors"
	"slices"

	"scantling/engine/judge"
	"scantling/engine/survey"
)

// nesting looks for beds that are laid closer than as rectangles, while the sheet shows them, and
// keeps the last answer.
type nesting struct {
	slot
	at     nest         // what the job is at
	wanted nest         // what the view's beds are laid for; none while that cannot be said
	known  nest         // what the answer is to
	given  judge.Layout // that
}

// A nest is what beds are laid for: how they lie as rectangles, and the hulls of the parts that
// are laid. What else becomes known of the parts changes nothing.
type nest struct {
	packed judge.Layout
	bed    judge.Bed
	factor float64
	hulls  []*survey.Hull
}

func (n nest) none() bool { return n.hulls == nil }

func (n nest) equal(m nest) bool {
	return n.bed == m.bed && n.factor == m.factor && slices.Equal(n.packed.Placed, m.packed.Placed) &&
		slices.Equal(n.packed.Left, m.packed.Left) && slices.Equal(n.hulls, m.hulls)
}

// closest lays beds: as rectangles or, where that is known, closer.
func (b *Bench) closest(packed judge.Layout, factor float64, ids []string, rows []Part) judge.Layout {
	n := &b.nesting
	n.wanted = b.nestOf(packed, factor, ids, rows)
	if !n.wanted.none() && n.known.equal(n.wanted) {
		return n.given
	}
	return packed
}

// nestOf is what beds are laid for; none where a hull is not known.
func (b *Bench) nestOf(packed judge.Layout, factor float64, ids []string, rows []Part) nest {
	out := nest{packed, b.view.Bed, factor, make([]*survey.Hull, len(ids))}
	at := map[string]*Part{}
	for i := range rows {
		at[rows[i].ID] = &rows[i]
	}
	for _, p := range packed.Placed {
		if out.hulls[p.Part] == nil {
			if out.hulls[p.Part] = b.hullFor(at[ids[p.Part]], onBed{out.bed, p.Turning}); out.hulls[p.Part] == nil {
				return nest{}
			}
		}
	}
	return out
}

// wantsNest reports whether a closer layout is to be looked for.
func (b *Bench) wantsNest() bool {
	n := &b.nesting
	return b.view.Sheet.Beds && !n.wanted.none() && n.wanted.packed.Beds > 1 && !n.known.equal(n.wanted)
}

// nextNest begins to look for a closer layout where one is wanted, once the view is computed, and
// ends looking for one that is not wanted any more.
func (b *Bench) nextNest() {
	n := &b.nesting
	if !b.wantsNest() || b.quit != nil {
		n.stop()
		return
	}
	if n.busy && n.at.equal(n.wanted) {
		return
	}
	rests := make([]judge.Rest, len(n.wanted.hulls))
	found := make([]bool, len(rests))
	for _, p := range n.wanted.packed.Placed {
		if found[p.Part] {
			continue
		}
		if rests[p.Part], found[p.Part] = b.restOf(p, b.part(b.view.Judged.IDs[p.Part])); !found[p.Part] {
			n.stop()
			return // until it is known how it fits
		}
	}
	at, kit := n.wanted, b.judging.sheet
	n.at = at
	var given judge.Layout
	b.start(&n.slot, func(w *worker) (err error) {
		given, err = kit.Nest(w.ctx, at.packed, at.bed, at.factor, BedGap, rests)
		return err
	}, func(err error) {
		if err != nil {
			given = at.packed // and it is not tried again
			if !errors.Is(err, context.Canceled) {
				b.notice(err)
			}
		}
		n.known, n.given = at, given
		b.recompute()
	})
}

// stopNesting is what cancelling does: the rectangles stay until something else is to be laid.
func (b *Bench) stopNesting() {
	n := &b.nesting
	if n.busy {
		n.stop()
		n.known, n.given = n.wanted, n.wanted.packed
		b.recompute()
	}
}

// part is a part of the view by its id; nil for none.
func (b *Bench) part(id string) *Part {
	for i := range b.view.Parts {
		if p := &b.view.Parts[i]; p.ID == id {
			return p
		}
	}
	return nil
}
