package mesh

import (
	"context"
	"errors"
	"slices"
)

// A Topology is how the triangles hang together once equal vertices are welded. Two
// vertices are equal when their coordinates are the same to the bit (0 and -0 are equal).
type Topology struct {
	Vertices     int // after welding, those that the counted triangles use
	Edges        int
	OpenEdges    int // used by one triangle
	CrowdedEdges int // used by three or more
	FlippedEdges int // used by two triangles that run along it the same way
	Degenerate   int // triangles with two equal corners, left out of all other counts
	Shells       int // pieces joined through shared edges
	Closed       bool
}

// ErrTooMany refuses more triangles than can be numbered beside a mark.
var ErrTooMany = errors.New("more than two thousand million triangles")

// TopologyOf welds m and counts. Closed means: at least one triangle, and every edge is
// shared by exactly two triangles that run along it in opposite ways. It asks ctx every
// few thousand triangles; report rises from 0 to 1 and may be nil. Beside the mesh it
// needs at most 100 bytes a triangle while it works.
func TopologyOf(ctx context.Context, m *Mesh, report func(float64)) (Topology, error) {
	w, t, _, err := connect(ctx, m, report, nil)
	if err != nil {
		return Topology{}, err
	}
	used := make([]bool, len(w.first))
	for _, c := range w.triangles {
		if degenerate(c) {
			continue
		}
		for _, v := range c {
			if !used[v] {
				used[v] = true
				t.Vertices++
			}
		}
	}
	if report != nil {
		report(1)
	}
	return t, nil
}

// A meeting is told of the triangle ends that share one edge, and of its lower vertex.
type meeting func(w *welded, low uint32, ends []edgeEnd)

// connect welds m, counts all of its topology but the vertices, joins the triangles that
// share an edge, and shows each edge to meet, which may be nil. Report, which may be nil
// too, does not rise to 1.
func connect(ctx context.Context, m *Mesh, report func(float64), meet meeting) (welded, Topology, forest, error) {
	if report == nil {
		report = func(float64) {}
	}
	var t Topology
	if m.Len() > 1<<31-1 {
		return welded{}, t, nil, ErrTooMany
	}
	w, err := weld(ctx, m, func(done float64) { report(done / 2) })
	if err != nil {
		return welded{}, t, nil, err
	}
	ends, starts, err := w.edgeEnds(ctx)
	if err != nil {
		return welded{}, t, nil, err
	}
	report(0.7)

	pieces := newForest(len(w.triangles))
	for v := range len(w.first) {
		if v%askEvery == 0 {
			if err := ctx.Err(); err != nil {
				return welded{}, t, nil, err
			}
			report(0.7 + 0.29*float64(v)/float64(len(w.first)))
		}
		t.countEdges(ends[starts[v]:starts[v+1]], func(ends []edgeEnd) {
			for _, e := range ends[1:] {
				pieces.join(ends[0].triangle(), e.triangle())
			}
			if meet != nil {
				meet(&w, uint32(v), ends)
			}
		})
	}
	for i, c := range w.triangles {
		switch {
		case degenerate(c):
			t.Degenerate++
		case pieces.root(uint32(i)) == uint32(i):
			t.Shells++
		}
	}
	t.Closed = t.Edges > 0 && t.OpenEdges == 0 && t.CrowdedEdges == 0 && t.FlippedEdges == 0
	return w, t, pieces, nil
}

func degenerate(corners [3]uint32) bool {
	return corners[0] == corners[1] || corners[1] == corners[2] || corners[2] == corners[0]
}

// An edgeEnd is one triangle's use of an edge, seen from the edge's vertex of lower
// number: the other vertex, the triangle and whether the triangle runs from high to low.
// Ends of one edge are neighbours once sorted.
type edgeEnd uint64

func newEdgeEnd(high uint32, triangle int, down bool) edgeEnd {
	e := edgeEnd(high)<<32 | edgeEnd(triangle)<<1
	if down {
		e |= 1
	}
	return e
}

func (e edgeEnd) high() uint32     { return uint32(e >> 32) }
func (e edgeEnd) triangle() uint32 { return uint32(e) >> 1 }
func (e edgeEnd) down() bool       { return e&1 != 0 }

// edgeEnds has the edge ends of every vertex v, unsorted, at starts[v] to starts[v+1].
func (w *welded) edgeEnds(ctx context.Context) (ends []edgeEnd, starts []int, err error) {
	starts = make([]int, len(w.first)+2)
	for i, c := range w.triangles {
		if i%askEvery == 0 && ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if degenerate(c) {
			continue
		}
		for k, a := range c {
			starts[min(a, c[(k+1)%3])+2]++
		}
	}
	for v := 2; v < len(starts); v++ {
		starts[v] += starts[v-1]
	}
	// Filling moves each start on to where the next vertex's begins.
	ends = make([]edgeEnd, starts[len(starts)-1])
	for i, c := range w.triangles {
		if i%askEvery == 0 && ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if degenerate(c) {
			continue
		}
		for k, a := range c {
			b := c[(k+1)%3]
			low, high := min(a, b), max(a, b)
			ends[starts[low+1]] = newEdgeEnd(high, i, a == high)
			starts[low+1]++
		}
	}
	return ends, starts, nil
}

// countEdges counts the edges whose lower vertex has these ends, and shows each to meet.
func (t *Topology) countEdges(ends []edgeEnd, meet func(ends []edgeEnd)) {
	slices.Sort(ends)
	for len(ends) > 0 {
		n := 1
		for n < len(ends) && ends[n].high() == ends[0].high() {
			n++
		}
		t.Edges++
		switch {
		case n == 1:
			t.OpenEdges++
		case n > 2:
			t.CrowdedEdges++
		case ends[0].down() == ends[1].down():
			t.FlippedEdges++
		}
		meet(ends[:n])
		ends = ends[n:]
	}
}

// A forest is a union-find: each member points towards the root of its tree.
type forest []uint32

func newForest(n int) forest {
	f := make(forest, n)
	for i := range f {
		f[i] = uint32(i)
	}
	return f
}

func (f forest) root(i uint32) uint32 {
	for f[i] != i {
		f[i] = f[f[i]]
		i = f[i]
	}
	return i
}

// join makes one tree of two; the lower root stays.
func (f forest) join(i, j uint32) {
	i, j = f.root(i), f.root(j)
	f[max(i, j)] = min(i, j)
}
