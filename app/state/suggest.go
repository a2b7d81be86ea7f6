package state

import (
	"slices"

	"scantling/engine/kit"
	"scantling/engine/units"
)

// suggestions remember what was judged, for the evidence stays the same on most keystrokes.
type suggestions struct {
	parts []units.Part
	bedMM float64
	found []units.Suggestion
}

// suggest judges in what unit each part was likelier drawn. Parts of which the maker has said
// something are left alone, though they are evidence for the others.
func (b *Bench) suggest(k kit.Kit, rows []Part) []units.Suggestion {
	if b.opening.busy {
		return b.view.UnitHints // once all are read
	}
	var parts []units.Part
	for i := range rows {
		if p := &rows[i]; p.State == Measured {
			parts = append(parts, units.Part{ID: p.ID, Box: p.Measured.Box, Unit: p.Measured.Unit})
		}
	}
	bedMM := 0.0
	if bed := k.Way.Bed; bed.Known() {
		bedMM = max(bed.Size[0], bed.Size[1], bed.Size[2])
	}
	judged := &b.judged
	if bedMM != judged.bedMM || !slices.Equal(parts, judged.parts) {
		*judged = suggestions{parts, bedMM, units.Judge(parts, bedMM)}
	}
	var out []units.Suggestion
	for _, s := range judged.found {
		if p, ok := k.Part(s.Part); ok && !p.Unit.Known() && !p.UnitKept {
			out = append(out, s)
		}
	}
	return out
}
