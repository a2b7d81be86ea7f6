package state

import (
	"context"
	"image"
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

// pixelsFor is how long silhouettes may be in a kit of n parts.
func pixelsFor(n int) int {
	const sides, bytesPerPixel = 3, 4
	fits := math.Sqrt(lookingMemory / float64(sides*bytesPerPixel*max(1, n)))
	return int(min(max(fits, leastPixels), mostPixels))
}

// snapsFor is how many snaps a part of a kit of n parts may have: 16 MB of them in all.
func snapsFor(n int) int { return min(max(400_000/max(1, n), 200), 4000) }

// A lookAt is one part that is to be looked at.
type lookAt struct {
	path  string
	file  formats.File
	index int
	part  mesh.Part
	// topology and snaps are known where the part was only turned since it was looked at.
	topology *mesh.Topology
	snaps    []survey.Snap
	most     int // snaps
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
			todo = append(todo, lookAt{f.path, f.file, p.Index, part, known.topology, known.snaps, snapsFor(len(k.Parts))})
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
				found, err = lookOnce(w.ctx, t, pixels, at)
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

// lookOnce reads a part's triangles, draws it from three sides, finds its hull, how it hangs together
// and what a measure can be held to unless that is known, and forgets the triangles.
func lookOnce(ctx context.Context, t lookAt, pixels int, report func(float64)) (look, error) {
	l := look{topology: t.topology, snaps: t.snaps, upright: kit.Upright(t.part)}
	m, err := t.file.Mesh(ctx, t.index, func(f float64) { report(f / 2) })
	if err != nil {
		return l, err
	}
	for side := range l.silhouettes {
		right, up := Side(side).of(l.upright)
		var picture *image.NRGBA
		if picture, err = survey.Silhouette(ctx, m, survey.Look{Right: right, Up: up}, t.part.Box, pixels); err != nil {
			return l, err
		}
		l.silhouettes[side] = picture
		report(0.5 + float64(side+1)/10)
	}
	hull, err := survey.HullOf(ctx, m, l.upright)
	if err != nil {
		return l, err
	}
	l.hull = &hull
	if l.topology != nil {
		return l, nil
	}
	whole, err := mesh.Connect(ctx, m, func(f float64) { report(0.8 + f/6) })
	if err != nil {
		return l, err
	}
	l.topology = &whole.Topology
	l.snaps, err = survey.SnapsOf(ctx, whole, t.most)
	return l, err
}

// looked takes what was found, unless the file was read again in another state.
func (b *Bench) looked(t lookAt, found look) {
	if f := b.files[t.path]; f != nil && f.state == Measured && t.index < len(f.looks) && f.file.Digest() == t.file.Digest() {
		f.looks[t.index] = found
		b.recompute()
	}
}
