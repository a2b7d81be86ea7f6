package state

import (
	"slices"

	"scantling/engine/kit"
)

// MostOf is the largest quantity of a part.
const MostOf = 9999

// waitingID begins the id of a row whose file is not read yet.
const waitingID = "waiting:"

// Remove takes parts out of the kit; their files stay as they are.
func (b *Bench) Remove(ids []string) {
	b.together(func() {
		gone := false
		for _, id := range ids {
			if i := slices.IndexFunc(b.fresh, func(path string) bool { return waitingID+path == id }); i >= 0 {
				if f := b.files[b.fresh[i]]; f.file == nil {
					delete(b.files, f.path)
				} else {
					f.state = Measured
				}
				b.fresh = slices.Delete(slices.Clone(b.fresh), i, i+1)
				b.recompute()
				continue
			}
			_, in := b.history.Kit().Part(id)
			gone = gone || in
		}
		if gone {
			b.do(StepRemove, b.history.Kit().Without(ids...))
		}
	})
}

// Tick says whether a part counts and is saved.
func (b *Bench) Tick(id string, on bool) {
	b.tick(func(p kit.Part) bool {
		if p.ID == id {
			return on
		}
		return p.Ticked
	})
}

// TickAll ticks every part.
func (b *Bench) TickAll() { b.tick(func(kit.Part) bool { return true }) }

// TickNone unticks every part.
func (b *Bench) TickNone() { b.tick(func(kit.Part) bool { return false }) }

// TickInvert ticks what was not ticked and the other way round.
func (b *Bench) TickInvert() { b.tick(func(p kit.Part) bool { return !p.Ticked }) }

func (b *Bench) tick(on func(kit.Part) bool) {
	k := b.history.Kit()
	parts := slices.Clone(k.Parts)
	changed := false
	for i := range parts {
		if want := on(parts[i]); want != parts[i].Ticked {
			parts[i].Ticked, changed = want, true
		}
	}
	if changed {
		k.Parts = parts
		b.do(StepTick, k)
	}
}

// SetQuantity says how many of a part the kit needs, from 1 to MostOf.
func (b *Bench) SetQuantity(id string, n int) {
	p, ok := b.history.Kit().Part(id)
	switch {
	case !ok || p.Quantity == n:
	case n < 1 || n > MostOf:
		b.notice(ErrQuantity)
	default:
		b.merge(StepQuantity, id, b.history.Kit().WithPart(id, func(p *kit.Part) { p.Quantity = n }))
	}
}

// Select marks one part; "" marks none.
func (b *Bench) Select(id string) {
	if b.view.Selected != id {
		b.view.Selected = id
		b.change()
	}
}
