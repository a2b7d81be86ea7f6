package state

import (
	"math"
	"slices"

	"scantling/engine/judge"
	"scantling/engine/kit"
)

// UseOf is what a bore of a part is for; false for a part that is not ticked or not surveyed.
func (j Judged) UseOf(id string, bore int) (judge.Use, bool) {
	i := slices.Index(j.IDs, id)
	if i < 0 || j.sheet == nil || j.sheet.Parts[i].Found == nil || bore < 0 || bore >= len(j.sheet.Parts[i].Found.Bores) {
		return judge.Use{}, false
	}
	return j.sheet.UseOf(i, bore), true
}

// alikeShare is by what share of its diameter a bore may differ from another and still be one
// of the same kind: what rounding and bending make of holes that were drawn alike. Judged, no
// source.
const alikeShare = 0.01

// BoresAlike are the bores of a part that are as wide as that one, itself included.
func (p *Part) BoresAlike(bore int) []int {
	if p.Found == nil || bore < 0 || bore >= len(p.Found.Bores) {
		return nil
	}
	var alike []int
	d := p.Found.Bores[bore].Diameter
	for k, r := range p.Found.Bores {
		if math.Abs(r.Diameter-d) <= alikeShare*d {
			alike = append(alike, k)
		}
	}
	return alike
}

// NameBores says what bores of a part are for: the key of a piece of hardware, or "" for
// nothing that is bought.
func (b *Bench) NameBores(id string, bores []int, item string) {
	b.eachBore(id, bores, func(k kit.Kit, n judge.Named) kit.Kit {
		n.Item = item
		return k.WithNamed(n)
	})
}

// ForgetBores takes back what was said of bores: their size suggests again what they are for.
func (b *Bench) ForgetBores(id string, bores []int) { b.eachBore(id, bores, kit.Kit.WithoutNamed) }

// eachBore makes one step of undo of a change for each of the bores.
func (b *Bench) eachBore(id string, bores []int, change func(kit.Kit, judge.Named) kit.Kit) {
	k := b.history.Kit()
	for i := range b.view.Parts {
		p := &b.view.Parts[i]
		if p.ID != id || p.Found == nil {
			continue
		}
		for _, n := range bores {
			if n >= 0 && n < len(p.Found.Bores) {
				k = change(k, judge.Named{Part: id, At: p.Found.Bores[n].Centre})
			}
		}
	}
	if !slices.Equal(k.Named, b.history.Kit().Named) {
		b.do(StepBores, k)
	}
}
