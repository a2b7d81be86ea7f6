package state

import (
	"math"
	"slices"

	"scantling/engine/geom"
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

// A CopyHint is a part that may be no part but an old copy of another one.
type CopyHint struct {
	Part, Original string  // ids
	Factor         float64 // how much larger it is, about
}

// fewestAlike is how many triangles two parts must have for their number to tell anything:
// any two plain boxes have twelve.
const fewestAlike = 20

// copyHints finds parts that have as many triangles as another one, the same proportions and
// another size. The copy is the one whose file's name has the other's in it, or else the one
// that came later. A part whose unit is in doubt has its size from that.
func copyHints(k kit.Kit, rows []Part, doubted []units.Suggestion) []CopyHint {
	var out []CopyHint
	hinted := func(id string) bool {
		return slices.ContainsFunc(out, func(h CopyHint) bool { return h.Part == id }) ||
			slices.ContainsFunc(doubted, func(s units.Suggestion) bool { return s.Part == id })
	}
	for i := range rows {
		for j := range rows[:i] {
			original, copied := &rows[j], &rows[i]
			if original.State != Measured || copied.State != Measured || original.File == copied.File ||
				copied.Measured.Triangles < fewestAlike || original.Measured.Triangles != copied.Measured.Triangles {
				continue
			}
			a, b := wordsOf(titleOf(original.File)), wordsOf(titleOf(copied.File))
			if len(a) > len(b) && within(a, b) >= 0 {
				original, copied = copied, original
			}
			by, ok := alike(kit.Lies(original.Measured), kit.Lies(copied.Measured))
			if !ok || by == 1 || hinted(original.ID) || hinted(copied.ID) || hasTwin(rows, copied) {
				continue
			}
			if p, _ := k.Part(copied.ID); !p.Apart {
				out = append(out, CopyHint{copied.ID, original.ID, by})
			}
		}
	}
	return out
}

// hasTwin reports whether another part has just the same shape and size, so that it is one of
// several and no copy.
func hasTwin(rows []Part, p *Part) bool {
	for i := range rows {
		q := &rows[i]
		if q.ID != p.ID && q.State == Measured && q.Measured.Triangles == p.Measured.Triangles {
			if by, ok := alike(kit.Lies(q.Measured), kit.Lies(p.Measured)); ok && by == 1 {
				return true
			}
		}
	}
	return false
}

// alike reports whether two boxes have the same proportions, and how much larger the second
// one is: 1 where they are of one size, give or take a thousandth. Extents of copies agree to
// a ten-thousandth, as digits are cut.
func alike(a, b geom.Vec) (by float64, ok bool) {
	by = b.Len() / a.Len()
	for i := range a {
		if !(math.Abs(b[i]-by*a[i]) <= 1e-4*b.Len()) {
			return 0, false
		}
	}
	if math.Abs(by-1) <= 1e-3 {
		by = 1
	}
	return by, true
}
