package state

import (
	"slices"

	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/survey"
)

// A shadeKey is a part's content seen from a side as it stands.
type shadeKey struct {
	of      surveyKey
	upright geom.Turn
	side    Side
}

// ToggleThickness shows how thick the parts are, or no longer. Surveying goes on where it was
// cancelled.
func (b *Bench) ToggleThickness() {
	s := &b.view.Sheet
	s.Thickness = !s.Thickness
	if s.Thickness {
		b.judging.stopped = false
	}
	b.recompute()
}

// ThicknessBounds are the thicknesses in print, mm, at which the shading of the sheet changes,
// rising: below the first nothing comes out, below the second only a wall that is held, below
// the third no pin. A limit that the process does not have is the one before.
func (v View) ThicknessBounds() [3]float64 {
	l := v.Judged.Process.Limits
	bounds := [3]float64{l.WallSupported, l.WallFree, l.Pin}
	for i := 1; i < len(bounds); i++ {
		bounds[i] = max(bounds[i], bounds[i-1])
	}
	return bounds
}

// Unshaded counts the ticked parts whose thickness is to be shown and is not known yet.
func (v View) Unshaded() int {
	n := 0
	for i := range v.Parts {
		if p := &v.Parts[i]; p.Ticked && p.surveyable() && p.Shades[v.Sheet.Side] == nil {
			n++
		}
	}
	return n
}

// shadeKeyOf is what the thickness of a part is kept under.
func (b *Bench) shadeKeyOf(p *Part, side Side) shadeKey {
	return shadeKey{b.contentOf(p), kit.Upright(p.Measured), side}
}

// A shadeTask is one part that is to be shaded.
type shadeTask struct {
	surveyTask
	as shadeKey
}

// nextShade finds how thick the parts are where the sheet sees them, one after another, once
// all are surveyed and somebody wants to see it. What is found holds at any factor.
func (b *Bench) nextShade() {
	j := &b.judging
	side := b.view.Sheet.Side
	if !b.view.Sheet.Thickness || b.surveying.busy {
		return
	}
	var todo []shadeTask
	for i := range b.view.Parts {
		p := &b.view.Parts[i]
		key := b.shadeKeyOf(p, side)
		s := j.known[key.of]
		_, known := j.shades[key]
		if !p.Ticked || !p.surveyable() || s == nil || !s.final || s.found == nil || known ||
			slices.ContainsFunc(todo, func(t shadeTask) bool { return t.as == key }) {
			continue
		}
		todo = append(todo, shadeTask{surveyTask{key: key.of, name: p.Name, file: b.files[p.File].file, part: p.Measured}, key})
	}
	if len(todo) == 0 {
		return
	}
	pixels := pixelsFor(len(b.view.Parts))
	b.start(&b.surveying, func(w *worker) error {
		for i, t := range todo {
			at := func(share float64) {
				b.progress(w, &b.surveying, Job{Part: t.name, Done: i, All: len(todo), Share: (float64(i) + share) / float64(len(todo))})
			}
			at(0)
			var found *survey.Shading // stays nil where it cannot be had
			_ = guard(Surveying, func() (err error) {
				found, err = t.shade(w, b, pixels, at)
				return err
			})
			if w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			w.send(func() {
				j.shades[t.as] = found
				b.recompute()
			})
		}
		return nil
	}, func(err error) {
		if err != nil {
			j.stopped = true
			b.notice(err)
		}
		b.recompute()
	})
}

// shade finds the thickness of one part from a side. The cache has what its survey measured
// where; without a cache it is measured again.
func (t shadeTask) shade(w *worker, b *Bench, pixels int, report func(float64)) (*survey.Shading, error) {
	m, err := t.file.Mesh(w.ctx, t.key.index, func(f float64) { report(f / 10) })
	if err != nil {
		return nil, err
	}
	found, err := survey.Kept(w.ctx, b.config.Surveys, m, nil, func(f float64) { report(0.1 + 0.8*f) })
	if err != nil {
		return nil, err
	}
	right, up := t.as.side.of(t.as.upright)
	s, err := survey.Shade(w.ctx, m, found.Field, survey.Look{Right: right, Up: up}, t.part.Box, pixels)
	return &s, err
}
