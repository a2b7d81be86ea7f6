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
	Triangles int      `json:"triangles"`
	Box       geom.Box `json:"box"` // the origin where there is no triangle
	Area      float64  `json:"area"`
	// Volume is 0 unless the mesh is closed. It is never negative: where the facets face
	// inwards, Health says so, and all is measured as if they did not.
	Volume   float64  `json:"volume"`
	Centroid geom.Vec `json:"centroid"`
	Closed   bool     `json:"closed"`
	Shells   int      `json:"shells"`
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
}

// How many samples by area: so many, and one for each so many facets.
const (
	samplesLeast  = 12000
	samplesMost   = 60000
	facetsASample = 20
)

// Of surveys a part. Whatever the mesh is, it gives what can be measured: the errors are
// those of ctx, which it asks many times a second, and mesh.ErrTooMany. report rises from
// 0 to 1, is called from several goroutines, one at a time, and may be nil. The same mesh
// gives the same measurements on any number of processors. Beside the mesh it needs at
// most 150 bytes a triangle while it works, and some megabytes.
func Of(ctx context.Context, m *mesh.Mesh, report func(float64)) (Measurements, error) {
	if report == nil {
		report = func(float64) {}
	}
	c, err := mesh.Connect(ctx, m, part(report, 0, 0.1))
	if err != nil {
		return Measurements{}, err
	}
	bulk, err := bulkOf(ctx, c.Mesh)
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
	}
	tree, err := geom.NewTree(ctx, c.Mesh.Vertices, c.Mesh.Triangles)
	if err != nil {
		return Measurements{}, err
	}
	report(0.2)
	f, err := newSurface(ctx, c)
	if err != nil {
		return Measurements{}, err
	}
	p := newProber(f, tree, bulk)
	// One processor looks for bores while the others do the rest.
	var side sync.WaitGroup
	var sideErr error
	side.Go(func() { found.Bores, found.Pegs, sideErr = p.rounds(ctx) })
	err = found.measureRest(ctx, p, bulk, part(report, 0.2, 1))
	side.Wait()
	if err = cmp.Or(err, sideErr); err != nil {
		return Measurements{}, err
	}
	for _, list := range [][]Round{found.Bores, found.Pegs} {
		for k := range list {
			list[k].Centre = list[k].Centre.Add(m.Origin)
		}
	}
	report(1)
	return found, nil
}

// measureRest finds all but bores and pegs.
func (f *Measurements) measureRest(ctx context.Context, p *prober, bulk mesh.Measures, report func(float64)) (err error) {
	if f.Health, err = p.health(ctx, bulk, part(report, 0, 0.2)); err != nil {
		return err
	}
	if f.Facets, err = p.facets(ctx); err != nil {
		return err
	}
	report(0.25)
	return f.measureWidths(ctx, p, p.Mesh.Origin, part(report, 0.25, 1))
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

// measureWidths finds the thickness of walls and pins and the width of gaps.
func (f *Measurements) measureWidths(ctx context.Context, p *prober, origin geom.Vec, report func(float64)) error {
	byArea := min(max(f.Triangles/facetsASample, samplesLeast), samplesMost)
	s := spreadOver(f.Area, f.Triangles, byArea)
	samples, err := sampled(ctx, p.surface, p.tree, s, p.sense)
	if err != nil {
		return err
	}
	if p.nested {
		if samples, err = p.bare(ctx, samples); err != nil {
			return err
		}
	}
	if len(samples) > 0 {
		f.Spacing = s.spacing()
	}
	cube := 2 * f.Spacing

	reaches, err := p.widths(ctx, samples, p.inward, part(report, 0, 0.4))
	if err != nil {
		return err
	}
	f.Thickness.Distribution = distribution(samples, reaches)
	regions, err := p.regions(ctx, samples, reaches, cube, p.exits())
	if err != nil {
		return err
	}
	f.Thickness.Places = thins(samples, regions, origin)

	reaches, err = p.widths(ctx, samples, p.outward, part(report, 0.5, 0.9))
	if err != nil {
		return err
	}
	f.Gaps.Distribution = distribution(samples, reaches)
	regions, err = p.regions(ctx, samples, reaches, cube, -p.exits())
	if err != nil {
		return err
	}
	f.Gaps.Places, err = p.gaps(ctx, samples, reaches, regions, origin)
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
