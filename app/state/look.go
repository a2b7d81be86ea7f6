package state

import (
	"context"
	"math"
	"path/filepath"

	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/survey"
	"scantling/formats"
)

// Silhouettes are at most this long and at least that, in pixels; together they stay within
// a bound that does not grow with the kit.
const (
	mostPixels    = 768
	leastPixels   = 64
	lookingMemory = 128 << 20 // bytes
)

// pixelsFor is how long silhouettes may be in a kit of n parts. It goes in steps, so that a part
// more or less seldom changes it, and what is kept of the others serves.
func pixelsFor(n int) int {
	const sides, bytesPerPixel = 3, 4
	fits := math.Sqrt(lookingMemory / float64(sides*bytesPerPixel*max(1, n)))
	return inSteps(int(fits), leastPixels, mostPixels)
}

// snapsFor is how many snaps a part of a kit of n parts may have: 16 MB of them in all.
func snapsFor(n int) int { return inSteps(400_000/max(1, n), 200, 4000) }

// inSteps is most halved, or halved and made larger by a half, until it is at most n; at least least.
func inSteps(n, least, most int) int {
	for k := most; k > least; k /= 2 {
		if k <= n {
			return k
		}
		if k*3/4 <= n {
			return max(k*3/4, least)
		}
	}
	return least
}

// A lookAt is one part that is to be looked at.
type lookAt struct {
	path  string
	file  formats.File
	index int
	part  mesh.Part
	known look // tried where the part was only turned since it was looked at
	most  int  // snaps
}

// nextLook looks at the parts that nobody has looked at as they stand now, one after another
// so that only one mesh is in memory, once all files are read and no copy is being saved or
// compared.
func (b *Bench) nextLook() {
	if b.looking.busy || b.opening.busy || b.saving.busy || b.comparing.busy || b.stopped || b.quit != nil {
		return
	}
	var todo []lookAt
	k := b.history.Kit()
	for _, p := range k.Parts {
		f := b.files[p.File]
		if f == nil || f.state != Measured || p.Index >= len(f.parts) {
			continue
		}
		part, known := k.Seen(p, f.parts[p.Index]), f.looks[p.Index]
		stands := known.err != nil || known.upright == kit.Upright(part)
		if part.Surface && part.Triangles > 0 && !(known.tried && stands) {
			todo = append(todo, lookAt{f.path, f.file, p.Index, part, known, snapsFor(len(k.Parts))})
		}
	}
	if len(todo) == 0 {
		b.recompute() // how the parts fit the bed can be found now
		return
	}
	b.surveying.stop() // it goes on afterwards
	pixels := pixelsFor(len(b.history.Kit().Parts))
	b.start(&b.looking, func(w *worker) error {
		for i, t := range todo {
			at := func(share float64) {
				b.progress(w, &b.looking, Job{Part: filepath.Base(t.path), Done: i, All: len(todo),
					Share: (float64(i) + share) / float64(len(todo))})
			}
			at(0)
			var found look
			err := guard(Looking, func() (err error) {
				found, err = lookOnce(w.ctx, b.config.Surveys, t, pixels, at)
				return err
			})
			if w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			found.tried, found.err = true, err
			w.send(func() { b.looked(t, found) })
		}
		return nil
	}, func(error) { b.nextLook() })
}

// lookOnce looks at a part: it is known from earlier, or its triangles are read and forgotten again.
func lookOnce(ctx context.Context, store survey.Store, t lookAt, pixels int, report func(float64)) (look, error) {
	l := look{upright: kit.Upright(t.part)}
	want := survey.SightOf{Lies: l.upright, Box: t.part.Box, Pixels: pixels, Snaps: t.most}
	for side := range want.Looks {
		want.Looks[side].Right, want.Looks[side].Up = Side(side).of(l.upright)
	}
	if t.known.topology != nil {
		l.topology, l.snaps = t.known.topology, t.known.snaps // whatever becomes of the rest
		want.Known = &survey.Sight{Topology: *l.topology, Snaps: l.snaps}
	}
	read := func(ctx context.Context) (*mesh.Mesh, error) {
		return t.file.Mesh(ctx, t.index, func(f float64) { report(f / 2) })
	}
	s, err := survey.KeptSight(ctx, store, formats.Content(t.file, t.index), want, read, func(f float64) { report(0.5 + f/2) })
	if err != nil {
		return l, err
	}
	l.topology, l.snaps, l.silhouettes, l.hull = &s.Topology, s.Snaps, s.Silhouettes, &s.Hull
	return l, nil
}

// looked takes what was found, unless the file was read again in another state.
func (b *Bench) looked(t lookAt, found look) {
	if f := b.files[t.path]; f != nil && f.state == Measured && t.index < len(f.looks) && f.file.Digest() == t.file.Digest() {
		f.looks[t.index] = found
		b.recompute()
	}
}
