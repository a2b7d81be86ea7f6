// Package survey has what is slow to find out about a part and does not depend on any
// factor, so that it is found once: how thick it is, its gaps, bores and pegs, what is wrong
// with its mesh, how it stands, how it looks from a side.
package survey

import (
	"context"
	"errors"
	"image"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Look is a square view along an axis: two coordinate directions, each with its sign,
// that point right and up in the picture. Right × Up points at the viewer.
type Look struct{ Right, Up geom.Vec }

// What Silhouette refuses.
var (
	ErrLook   = errors.New("a look needs two different coordinate directions")
	ErrBox    = errors.New("the box to look at is empty or not finite")
	ErrPixels = errors.New("the picture's longer side is not 1 to 4096 pixels")
)

// MaxPixels bounds the longer side of a silhouette, and with it the memory it takes.
const MaxPixels = 4096

// Silhouette is the part seen square on, without perspective: facets in neutral greys under
// a soft light from the upper left, edges and gaps as thin dark lines, nothing (alpha 0)
// outside. It spans exactly the box as it is seen from there; what lies outside the box
// is cut off. The longer side is pixels long, the shorter one at least 1. Alpha is the
// share of a pixel that is covered, to a ninth, but a rod or an edge too thin for that
// still shows. Triangles are seen from both sides.
//
// It asks ctx every few thousand triangles. The same mesh gives the same picture whatever
// the number of processors.
func Silhouette(ctx context.Context, m *mesh.Mesh, look Look, box geom.Box, pixels int) (*image.NRGBA, error) {
	v, err := newView(look, box, pixels)
	if err != nil {
		return nil, err
	}
	if int64(m.Len()) >= thinBit {
		return nil, mesh.ErrTooMany
	}
	facets, err := v.facets(ctx, m)
	if err != nil {
		return nil, err
	}
	picture := image.NewNRGBA(image.Rect(0, 0, v.width, v.height))
	strips := v.strips(facets)
	err = inParallel(ctx, len(strips), func() func(i int) {
		p := newPlate(v, m, facets)
		return func(i int) { p.draw(ctx, picture, i*stripRows, strips[i]) }
	})
	if err != nil {
		return nil, err
	}
	return picture, nil
}

const (
	grain     = 3  // samples along each side of a pixel
	stripRows = 32 // rows of pixels drawn at a time, so that their samples stay in the cache
	askEvery  = 1 << 12
)

// A view turns file coordinates into samples: x to the right, y down, z towards the
// viewer, all in samples.
type view struct {
	right, up, toward geom.Vec
	width, height     int // pixels
	scale, offset     geom.Vec
	deep              float32 // of the box; its middle is at z = 0
}

func newView(look Look, box geom.Box, pixels int) (view, error) {
	v := view{right: look.Right, up: look.Up, toward: look.Right.Cross(look.Up)}
	for _, d := range []geom.Vec{v.right, v.up, v.toward} {
		// A unit vector of whole numbers is a coordinate direction.
		if d.Dot(d) != 1 || d != (geom.Vec{math.Trunc(d[0]), math.Trunc(d[1]), math.Trunc(d[2])}) {
			return view{}, ErrLook
		}
	}
	if box.Empty() || !box.Min.Finite() || !box.Max.Finite() || !box.Size().Finite() {
		return view{}, ErrBox
	}
	if pixels < 1 || pixels > MaxPixels {
		return view{}, ErrPixels
	}
	seen := geom.EmptyBox().Add(v.turn(box.Min)).Add(v.turn(box.Max))
	size := seen.Size()
	longer := max(size[0], size[1])
	if longer == 0 {
		longer = 1 // a point, or a line seen from its end: one dot
	}
	side := func(length float64) int { return max(1, int(math.Round(float64(pixels)*length/longer))) }
	v.width, v.height = side(size[0]), side(size[1])
	if size[0] == 0 && size[1] == 0 {
		v.width, v.height = pixels, pixels
	}

	v.scale = geom.Vec{1, 1, 1}.Scale(float64(pixels*grain) / longer)
	for i, n := range []int{v.width, v.height} {
		if size[i] > 0 {
			v.scale[i] = float64(n*grain) / size[i]
		}
	}
	if !v.scale.Finite() {
		return view{}, ErrBox
	}
	v.deep = float32(max(1, size[2]*v.scale[2]))
	middle := seen.Centre()
	v.offset = geom.Vec{
		float64(v.width*grain)/2 - middle[0]*v.scale[0],
		float64(v.height*grain)/2 + middle[1]*v.scale[1],
		-middle[2] * v.scale[2],
	}
	return v, nil
}

// turn gives file coordinates along right, up and toward.
func (v *view) turn(p geom.Vec) geom.Vec {
	return geom.Vec{p.Dot(v.right), p.Dot(v.up), p.Dot(v.toward)}
}

// see gives file coordinates in samples.
func (v *view) see(p geom.Vec) geom.Vec {
	p = v.turn(p)
	return geom.Vec{
		p[0]*v.scale[0] + v.offset[0],
		v.offset[1] - p[1]*v.scale[1],
		p[2]*v.scale[2] + v.offset[2],
	}
}

// A facet is what the plate must know of a triangle: the way it faces, turned to the
// viewer, and the strips of the picture that it touches.
type facet struct {
	normal      [3]float32 // right, down, towards the viewer
	first, last int16      // strips; first > last when it lies outside the picture
}

func (v *view) facets(ctx context.Context, m *mesh.Mesh) ([]facet, error) {
	facets := make([]facet, m.Len())
	chunks := (len(facets) + askEvery - 1) / askEvery
	err := inParallel(ctx, chunks, func() func(i int) {
		return func(i int) {
			for k := i * askEvery; k < min((i+1)*askEvery, len(facets)); k++ {
				facets[k] = v.facet(m, k)
			}
		}
	})
	return facets, err
}

func (v *view) facet(m *mesh.Mesh, i int) facet {
	pa, pb, pc := m.Triangle(i)
	a, b, c := v.see(pa), v.see(pb), v.see(pc)
	f := facet{normal: [3]float32{0, 0, 1}, first: 0, last: -1}
	if !a.Finite() || !b.Finite() || !c.Finite() { // so far outside that samples overflow
		return f
	}
	n := b.Sub(a).Cross(c.Sub(a))
	if length := n.Len(); length > 0 && !math.IsInf(length, 0) {
		if n[2] < 0 {
			length = -length
		}
		f.normal = [3]float32{float32(n[0] / length), float32(n[1] / length), float32(n[2] / length)}
	}

	// One pixel more on each side: lines are found by looking at neighbours.
	left, right := min(a[0], b[0], c[0]), max(a[0], b[0], c[0])
	top, bottom := min(a[1], b[1], c[1])-2*grain, max(a[1], b[1], c[1])+2*grain
	if right < -grain || left > float64(v.width*grain+grain) || bottom < 0 || top > float64(v.height*grain) {
		return f
	}
	const rows = stripRows * grain
	last := float64((v.height - 1) / stripRows)
	f.first = int16(max(0, math.Floor(top/rows)))
	f.last = int16(min(last, math.Floor(bottom/rows)))
	return f
}

// strips lists for every strip of the picture the facets that touch it, in their order.
func (v *view) strips(facets []facet) [][]uint32 {
	strips := make([][]uint32, (v.height+stripRows-1)/stripRows)
	counts := make([]int, len(strips))
	for _, f := range facets {
		for s := f.first; s <= f.last; s++ {
			counts[s]++
		}
	}
	for s := range strips {
		strips[s] = make([]uint32, 0, counts[s])
	}
	for i, f := range facets {
		for s := f.first; s <= f.last; s++ {
			strips[s] = append(strips[s], uint32(i))
		}
	}
	return strips
}

// inParallel does jobs 0 to n-1 on all processors; each worker gets its own do from
// begin. It asks ctx before every job.
func inParallel(ctx context.Context, n int, begin func() (do func(i int))) error {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			do := begin()
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				do(i)
			}
		})
	}
	wait.Wait()
	return ctx.Err()
}
