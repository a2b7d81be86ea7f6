package state

import (
	"slices"

	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// An Earlier is another factor at which copies of parts were saved before that are to be saved
// now: the old ones and the new ones will not fit together.
type Earlier struct {
	Factor ratio.Factor
	Ratio  ratio.Ratio // may be unknown
	Parts  []string    // names of the parts, in the order of the kit
}

// earlier are the other factors at which the ticked parts were saved the last time, while the
// plan of copies is open.
func (b *Bench) earlier() []Earlier {
	k, now := b.history.Kit(), b.view.Result.Factor
	if b.plan == nil || len(k.Copies) == 0 || !now.Known() {
		return nil
	}
	last := map[string]kit.Saved{} // by part
	for _, s := range k.Copies {
		for _, id := range s.Parts {
			if old, ok := last[id]; !ok || !s.When.Before(old.When) {
				last[id] = s
			}
		}
	}
	var out []Earlier
	for _, p := range k.Ticked() {
		s, ok := last[p.ID]
		if !ok || !s.Factor.Known() || s.Factor.Equal(now) {
			continue
		}
		i := slices.IndexFunc(out, func(e Earlier) bool { return e.Factor.Equal(s.Factor) })
		if i < 0 {
			i = len(out)
			out = append(out, Earlier{Factor: s.Factor, Ratio: s.Ratio})
		}
		out[i].Parts = append(out[i].Parts, p.Name)
	}
	return out
}

// made are the copies that were saved of the kit, the latest first.
func (b *Bench) made() []kit.Saved {
	out := slices.Clone(b.history.Kit().Copies)
	slices.Reverse(out)
	slices.SortStableFunc(out, func(a, b kit.Saved) int { return b.When.Compare(a.When) })
	return out
}
