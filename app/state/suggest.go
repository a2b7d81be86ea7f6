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

// A likely is all that copyHints goes by of a part.
type likely struct {
	id, file  string
	triangles int
	lies      geom.Vec
	apart     bool
}

// likelyCopies remember what copyHints found, for a new factor changes nothing of it.
type likelyCopies struct {
	parts   []likely
	doubted []string
	found   []CopyHint
}

// copyHints is what copyHints finds, looked for again only where parts have changed.
func (b *Bench) copyHints(k kit.Kit, rows []Part, doubted []units.Suggestion) []CopyHint {
	apart := make(map[string]bool, len(k.Parts))
	for _, p := range k.Parts {
		apart[p.ID] = p.Apart
	}
	var parts []likely
	for i := range rows {
		if p := &rows[i]; p.State == Measured && p.Measured.Triangles >= fewestAlike {
			parts = append(parts, likely{p.ID, p.File, p.Measured.Triangles, kit.Lies(p.Measured), apart[p.ID]})
		}
	}
	var ids []string
	for _, s := range doubted {
		ids = append(ids, s.Part)
	}
	known := &b.copied
	if !slices.Equal(parts, known.parts) || !slices.Equal(ids, known.doubted) {
		*known = likelyCopies{parts, ids, copyHints(parts, ids)}
	}
	return known.found
}

// copyHints finds parts that have as many triangles as another one, the same proportions and
// another size. The copy is the one whose file's name has the other's in it, or else the one
// that came later. A part whose unit is in doubt has its size from that.
func copyHints(parts []likely, doubted []string) []CopyHint {
	var out []CopyHint
	hinted := map[string]bool{}
	for _, id := range doubted {
		hinted[id] = true
	}
	byCount := map[int][]int{}
	for i, p := range parts {
		byCount[p.triangles] = append(byCount[p.triangles], i)
	}
	// A part that has just the shape and the size of another one is one of several, and no copy.
	twin := make([]bool, len(parts))
	for _, same := range byCount {
		for n, i := range same {
			for _, j := range same[:n] {
				if by, ok := alike(parts[i].lies, parts[j].lies); ok && by == 1 {
					twin[i], twin[j] = true, true
				}
			}
		}
	}
	for i := range parts {
		for _, j := range byCount[parts[i].triangles] {
			if j >= i || hinted[parts[i].id] {
				break
			}
			original, copied := j, i
			if parts[j].file == parts[i].file || hinted[parts[j].id] || twin[i] && twin[j] {
				continue
			}
			if by, ok := alike(parts[j].lies, parts[i].lies); !ok || by == 1 {
				continue
			}
			a, b := wordsOf(titleOf(parts[j].file)), wordsOf(titleOf(parts[i].file))
			if len(a) > len(b) && within(a, b) >= 0 {
				original, copied = copied, original
			}
			by, ok := alike(parts[original].lies, parts[copied].lies)
			if !ok || by == 1 || twin[copied] || parts[copied].apart {
				continue
			}
			out = append(out, CopyHint{parts[copied].id, parts[original].id, by})
			hinted[parts[copied].id] = true
		}
	}
	return out
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
