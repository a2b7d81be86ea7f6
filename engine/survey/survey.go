package survey

import (
	"cmp"
	"context"
	"math"
	"sync"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// Measurements are all that is found out about a part, in its own units and coordinates.
// Of gives them; they never change, and every one is a length, an area, a volume, an angle
// or a count, so that what it is at any factor is arithmetic.
type Measurements struct {
	// Coarse is set in a first answer, which has no more than the bulk and the thickness by
	// few samples: what is thin may still be missing.
	Coarse    bool     `json:"coarse,omitempty"`
	Triangles int      `json:"triangles"`
	Box       geom.Box `json:"box"` // the origin where there is no triangle
	Area      float64  `json:"area"`
	// Volume is 0 unless the mesh is closed. It is never negative: where the facets face
	// inwards, Health says so, and all is measured as if they did not.
	Volume   float64  `json:"volume"`
	Centroid geom.Vec `json:"centroid"`
	Closed   bool     `json:"closed"`
	Shells   int      `json:"shells"`
	// Genus is how many ways lead through a closed part and out again, as through the hole of
	// a ring, over all shells together. It is 0 where the mesh is not closed.
	Genus int `json:"genus"`
	// Spacing is how far apart the samples stand on large facets: what is smaller than
	// that may be overlooked unless it has facets of its own.
	Spacing   float64   `json:"spacing"`
	Thickness Thickness `json:"thickness"`
	Gaps      Gaps      `json:"gaps"`
	// Bores and Pegs go from the thinnest to the thickest.
	Bores  []Round `json:"bores"`
	Pegs   []Round `json:"pegs"`
	Facets Facets  `json:"facets"`
	Health Health  `json:"health"`
	// Field is the thickness at the samples themselves, for Shade.
	Field Field `json:"-"`
}

// A grade says how many samples are taken: so many by area, and one for each so many facets.
type grade struct{ least, most, facets int }

// full is the grade of the whole answer.
func full() grade { return grade{least: 12000, most: 45000, facets: 20} }

// coarse is that of the first one.
func coarse() grade { return grade{least: 1000, most: 1000, facets: 1} }

func (g grade) samples(triangles int) int { return min(max(triangles/g.facets, g.least), g.most) }

// Of surveys a part. Whatever the mesh is, it gives what can be measured: the errors are
// those of ctx, which it asks many times a second, and mesh.ErrTooMany. report rises from
// 0 to 1, is called from several goroutines, one at a time, and may be nil. The same mesh
// gives the same measurements on any number of processors. Beside the mesh it needs at
// most 150 bytes a triangle while it works, and some megabytes.
func Of(ctx context.Context, m *mesh.Mesh, report func(float64)) (Measurements, error) {
	return InSteps(ctx, m, nil, report)
}

// InSteps is Of, and calls early with a first answer as soon as there is one: the bulk, and
// the thickness by few samples. It is Coarse, and lacks the rest.
func InSteps(ctx context.Context, m *mesh.Mesh, early func(Measurements), report func(float64)) (Measurements, error) {
	return of(ctx, m, full(), early, report)
}

func of(ctx context.Context, m *mesh.Mesh, g grade, early func(Measurements), report func(float64)) (Measurements, error) {
	if report == nil {
		report = func(float64) {}
	}
	c, tree, bulk, err := prepare(ctx, m)
	if err != nil {
		return Measurements{}, err
	}
	found := Measurements{
		Triangles: bulk.Triangles,
		Box:       bulk.Box,
		Area:      bulk.Area,
		Centroid:  bulk.Centroid,
		Closed:    c.Topology.Closed,
		Shells:    c.Topology.Shells,
	}
	if found.Triangles == 0 {
		found.Box = geom.Box{} // so that every number is finite
	}
	if found.Closed {
		found.Volume = math.Abs(bulk.Volume)
		if found.Genus, err = genusOf(ctx, c); err != nil {
			return Measurements{}, err
		}
	}
	report(0.15)
	if early != nil {
		first := found
		first.Coarse = true
		p := newProber(surface{Connected: c}, tree, bulk)
		if err := first.measureThickness(ctx, p, coarse(), func(float64) {}); err != nil {
			return Measurements{}, err
		}
		early(first)
	}
	f, err := newSurface(ctx, c)
	if err != nil {
		return Measurements{}, err
	}
	report(0.2)
	p := newProber(f, tree, bulk)
	// One processor looks for bores while the others do the rest.
	var side sync.WaitGroup
	var sideErr error
	side.Go(func() { found.Bores, found.Pegs, sideErr = p.rounds(ctx) })
	err = found.measureRest(ctx, p, bulk, g, part(report, 0.2, 1))
	side.Wait()
	if err = cmp.Or(err, sideErr); err != nil {
		return Measurements{}, err
	}
	for _, list := range [][]Round{found.Bores, found.Pegs} {
		for k := range list {
			list[k].Centre = list[k].Centre.Add(m.Origin)
			for i := range list[k].Sinks {
				list[k].Sinks[i].Centre = list[k].Sinks[i].Centre.Add(m.Origin)
			}
		}
	}
	report(1)
	return found, nil
}

// genusOf is that of a closed mesh, by Euler's formula. A vertex at which two pieces of the
// surface only touch counts for each of them.
func genusOf(ctx context.Context, c *mesh.Connected) (int, error) {
	t := c.Topology
	vertices := 0
	seen := make([]uint8, len(c.Across)) // a bit for each corner
	for i := range c.Across {
		if i%askEvery == 0 && ctx.Err() != nil {
			return 0, ctx.Err()
		}
		if c.Shell[i] == mesh.None {
			continue
		}
		for k := range 3 {
			if seen[i]>>k&1 != 0 {
				continue
			}
			vertices++
			vertex := c.Mesh.Triangles[i][k]
			for at, corner := i, k; seen[at]>>corner&1 == 0; {
				seen[at] |= 1 << corner
				at = int(c.Across[at][(corner+2)%3])
				corner = cornerOf(&c.Mesh.Triangles[at], vertex)
			}
		}
	}
	return t.Shells - (vertices-t.Edges+c.Mesh.Len()-t.Degenerate)/2, nil
}

// prepare makes what everything else is measured with. The tree is of the mesh as it is
// drawn: welding moves no corner and keeps the order.
func prepare(ctx context.Context, m *mesh.Mesh) (c *mesh.Connected, t *geom.Tree, bulk mesh.Measures, err error) {
	var side sync.WaitGroup
	var sideErr error
	side.Go(func() { c, sideErr = mesh.Connect(ctx, m, nil) })
	if bulk, err = bulkOf(ctx, m); err == nil {
		t, err = geom.NewTree(ctx, m.Vertices, m.Triangles)
	}
	side.Wait()
	return c, t, bulk, cmp.Or(err, sideErr)
}

// measureRest finds all but bores and pegs.
func (f *Measurements) measureRest(ctx context.Context, p *prober, bulk mesh.Measures, g grade, report func(float64)) (err error) {
	if f.Health, err = p.health(ctx, bulk, part(report, 0, 0.2)); err != nil {
		return err
	}
	p.nested = p.nested && !p.apart
	if f.Facets, err = p.facets(ctx); err != nil {
		return err
	}
	report(0.25)
	return f.measureWidths(ctx, p, g, part(report, 0.25, 1))
}

// bulkOf is mesh.MeasuresOf on all processors.
func bulkOf(ctx context.Context, m *mesh.Mesh) (mesh.Measures, error) {
	if m.Len() == 0 {
		return mesh.MeasuresOf(m), nil
	}
	about, _, _ := m.Triangle(0)
	pieces := make([]*mesh.Accumulator, (m.Len()+askEvery-1)/askEvery)
	err := inParallel(ctx, len(pieces), func() func(k int) {
		return func(k int) {
			pieces[k] = mesh.NewAccumulator(about)
			for i := k * askEvery; i < min(m.Len(), (k+1)*askEvery); i++ {
				pieces[k].Add(m.Triangle(i))
			}
		}
	})
	if err != nil {
		return mesh.Measures{}, err
	}
	for _, p := range pieces[1:] {
		pieces[0].Merge(p)
	}
	return pieces[0].Measures(), nil
}

// probe spreads the samples that a part is measured at.
func (f *Measurements) probe(ctx context.Context, p *prober, g grade) ([]sample, error) {
	s := spreadOver(f.Area, f.Triangles, g.samples(f.Triangles))
	samples, err := sampled(ctx, p.surface, p.tree, s, p.sense)
	if err == nil && p.nested {
		samples, err = p.bare(ctx, samples)
	}
	if len(samples) > 0 {
		f.Spacing = s.spacing()
	}
	return samples, err
}

// measureThickness finds only the thickness of walls and pins.
func (f *Measurements) measureThickness(ctx context.Context, p *prober, g grade, report func(float64)) error {
	samples, err := f.probe(ctx, p, g)
	if err != nil {
		return err
	}
	return f.measureInwards(ctx, p, samples, report)
}

// measureWidths finds the thickness of walls and pins and the width of gaps.
func (f *Measurements) measureWidths(ctx context.Context, p *prober, g grade, report func(float64)) error {
	samples, err := f.probe(ctx, p, g)
	if err != nil {
		return err
	}
	if err := f.measureInwards(ctx, p, samples, part(report, 0, 0.5)); err != nil {
		return err
	}
	return f.measureOutwards(ctx, p, samples, part(report, 0.5, 1))
}

// cubes are how far apart the middles of what belongs together may be.
func (f *Measurements) cubes() float64 { return 2 * f.Spacing }

func (f *Measurements) measureInwards(ctx context.Context, p *prober, samples []sample, report func(float64)) error {
	reaches, err := p.widths(ctx, samples, p.inward, part(report, 0, 0.9))
	if err != nil {
		return err
	}
	f.Thickness.Distribution = distribution(samples, reaches)
	regions, err := p.regions(ctx, samples, reaches, f.cubes(), p.exits())
	if err != nil {
		return err
	}
	if f.Thickness.Places, err = p.thins(ctx, samples, reaches, regions, p.Mesh.Origin); err != nil {
		return err
	}
	f.Field = fieldOf(p.tree.Box(), p.Mesh.Origin, samples, reaches)
	return nil
}

func (f *Measurements) measureOutwards(ctx context.Context, p *prober, samples []sample, report func(float64)) error {
	reaches, err := p.widths(ctx, samples, p.outward, part(report, 0, 0.8))
	if err != nil {
		return err
	}
	f.Gaps.Distribution = distribution(samples, reaches)
	regions, err := p.regions(ctx, samples, reaches, f.cubes(), -p.exits())
	if err != nil {
		return err
	}
	f.Gaps.Places, err = p.gaps(ctx, samples, reaches, regions, p.Mesh.Origin)
	return err
}

// part is report for a piece of the work that goes from one share of it to another.
func part(report func(float64), from, to float64) func(float64) {
	return func(done float64) { report(from + (to-from)*done) }
}

// A teller counts what several goroutines have done, and reports it in order.
type teller struct {
	lock     sync.Mutex
	done, of int
	report   func(float64)
}

func newTeller(of int, report func(float64)) *teller { return &teller{of: of, report: report} }

func (t *teller) one() {
	t.lock.Lock()
	defer t.lock.Unlock()
	t.done++
	t.report(float64(t.done) / float64(t.of))
}
