package survey

import (
	"cmp"
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A SnapKind says what a snap is.
type SnapKind uint8

// The kinds of snap.
const (
	SnapVertex  SnapKind = iota // a corner, or the end of an edge
	SnapExtreme                 // outermost along an axis, on a part that is smooth there
	SnapCentre                  // the middle of a round edge
)

// A Snap is a point of a part that a measure can be taken from, in file coordinates.
type Snap struct {
	At   geom.Vec
	Kind SnapKind
	SD   float64 // standard uncertainty of where it lies, from rounding and from fitting
}

// What an edge and a round edge are.
const (
	sharpAngle = math.Pi / 6        // facets that meet at more than this meet in an edge. Judged, no source
	cosSharp   = 0.8660254037844386 // its cosine
	bend       = math.Pi / 360
	flatFace   = 0.01 // of the part's diagonal: what is as wide both ways is a face. Judged
	// A round edge has so many sides at least, and its corners lie so far at most from the
	// circle and from its plane, as a share of the radius. Judged, no source: a circle cut
	// into sixteen chords with a vertex in the middle of one is 2 % off.
	roundSides = 8
	roundOff   = 0.02
)

// SnapsOf finds the corners and ends of a part's edges, the middles of its round edges, and
// its outermost points along the axes of its file, at most most of them; corners, middles
// and outermost points come before the vertices along bent edges. The errors are those of
// ctx, which it asks every few thousand triangles.
//
// An edge is where facets meet at more than 30°, or end. A round edge is one that bounds
// what is smooth on one side of it, lies in a plane, and whose corners lie on a circle.
func SnapsOf(ctx context.Context, c *mesh.Connected, most int) ([]Snap, error) {
	s := &snapper{Connected: c, normals: make([]geom.Vec, c.Mesh.Len())}
	for i := range s.normals {
		if i%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		p, q, r := c.Mesh.Triangle(i)
		n := q.Sub(p).Cross(r.Sub(p))
		if l := n.Len(); l > 0 {
			s.normals[i] = n.Scale(1 / l)
		}
	}
	s.rounding = rounding(c.Mesh)
	ends, err := s.edges(ctx)
	if err != nil {
		return nil, err
	}
	corners, bends := s.vertices(ends)
	centres, err := s.centres(ctx)
	if err != nil {
		return nil, err
	}
	snaps := slices.Concat(corners, centres, s.extremes(ends))
	if len(snaps) > most {
		snaps = every(snaps, most)
	}
	return append(snaps, every(bends, most-len(snaps))...), nil
}

// every is at most n of the snaps, evenly chosen.
func every(snaps []Snap, n int) []Snap {
	if len(snaps) <= n {
		return snaps
	}
	out := make([]Snap, n)
	for i := range out {
		out[i] = snaps[i*len(snaps)/n]
	}
	return out
}

// rounding is the standard uncertainty of a coordinate: half a step of the largest one's
// float32, evenly spread.
func rounding(m *mesh.Mesh) float64 {
	most := float32(0)
	for _, v := range m.Vertices {
		most = max(most, v[0], -v[0], v[1], -v[1], v[2], -v[2])
	}
	step := float64(math.Nextafter32(most, math.MaxFloat32) - most)
	return step / 2 / math.Sqrt(3)
}

type snapper struct {
	*mesh.Connected
	normals  []geom.Vec // of facets; zero where there is none
	rounding float64
}

// sharp reports whether the side k of facet i is part of an edge.
func (s *snapper) sharp(i, k int) bool {
	j := s.Across[i][k]
	if j == mesh.None {
		return true
	}
	a, b := s.normals[i], s.normals[j]
	if a == (geom.Vec{}) || b == (geom.Vec{}) {
		return false // a facet without area has no direction
	}
	return a.Dot(b) < cosSharp
}

// edges are for each vertex the other ends of the edges that it is on: the first two, and
// how many there are.
func (s *snapper) edges(ctx context.Context) ([]ending, error) {
	ends := make([]ending, len(s.Mesh.Vertices))
	for i, t := range s.Mesh.Triangles {
		if i%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if s.Shell[i] == mesh.None {
			continue
		}
		for k, v := range t {
			w := t[(k+1)%3]
			// A side with a facet beyond it is met twice.
			if j := s.Across[i][k]; j != mesh.None && int(j) < i || !s.sharp(i, k) {
				continue
			}
			ends[v].add(w)
			ends[w].add(v)
		}
	}
	return ends, nil
}

// An ending is how many edges end at a vertex, and the other ends of two of them.
type ending struct {
	to [2]uint32
	n  uint32
}

func (e *ending) add(v uint32) {
	if e.n < 2 {
		e.to[e.n] = v
	}
	e.n++
}

// vertices are the corners of edges, and the vertices at which an edge only bends a little,
// as a polygon that stands for a curve does. Where it runs straight on there is nothing.
func (s *snapper) vertices(ends []ending) (corners, bends []Snap) {
	for v, e := range ends {
		if e.n == 0 {
			continue
		}
		snap := Snap{At: s.Mesh.Vertex(uint32(v)), Kind: SnapVertex, SD: s.rounding}
		if e.n != 2 {
			corners = append(corners, snap)
			continue
		}
		a := snap.At.Sub(s.Mesh.Vertex(e.to[0]))
		b := s.Mesh.Vertex(e.to[1]).Sub(snap.At)
		switch turn := math.Atan2(a.Cross(b).Len(), a.Dot(b)); {
		case turn > sharpAngle:
			corners = append(corners, snap)
		case turn > bend:
			bends = append(bends, snap)
		}
	}
	return corners, bends
}

// extremes are the outermost points along the axes, both ways, where they lie on no edge and
// in no flat face. Of several that lie equally far out it is the one nearest to their middle.
func (s *snapper) extremes(ends []ending) []Snap {
	m := s.Mesh
	whole := geom.EmptyBox()
	for i := range m.Vertices {
		whole = whole.Add(m.Vertex(uint32(i)))
	}
	var found []Snap
	for axis := range 3 {
		for _, sign := range []float32{-1, 1} {
			most := float32(math.Inf(-1))
			for _, v := range m.Vertices {
				most = max(most, sign*v[axis])
			}
			middle, n, all := geom.Vec{}, 0.0, geom.EmptyBox()
			at := func(do func(i int, p geom.Vec)) {
				for i, v := range m.Vertices {
					if sign*v[axis] == most {
						do(i, m.Vertex(uint32(i)))
					}
				}
			}
			at(func(_ int, p geom.Vec) { middle, n, all = middle.Add(p), n+1, all.Add(p) })
			// Seen along one of the other axes a line is a point; a face is none from anywhere.
			if w := all.Size(); n == 0 || max(min(w[0], w[1]), min(w[1], w[2]), min(w[2], w[0])) > flatFace*whole.Size().Len() {
				continue
			}
			middle = middle.Scale(1 / n)
			best, near := 0, math.Inf(1)
			at(func(i int, p geom.Vec) {
				if d := p.Sub(middle).Len(); d < near {
					best, near = i, d
				}
			})
			p := m.Vertex(uint32(best))
			if ends[best].n == 0 && !slices.ContainsFunc(found, func(f Snap) bool { return f.At == p }) {
				found = append(found, Snap{At: p, Kind: SnapExtreme, SD: s.rounding})
			}
		}
	}
	return found
}

// centres are the middles of the round edges. An edge is followed around what is smooth on
// one side of it, so that it does not matter what it meets on the other.
func (s *snapper) centres(ctx context.Context) ([]Snap, error) {
	m := s.Mesh
	seen := make([]uint8, m.Len()) // a bit for each side that was followed
	var rounds []ring
	var loop []geom.Vec
	steps := 0
	for i := range m.Triangles {
		if s.Shell[i] == mesh.None {
			continue
		}
		for k := range 3 {
			if seen[i]&(1<<k) != 0 || !s.sharp(i, k) {
				continue
			}
			loop = loop[:0]
			closed := false
			for f, side := i, k; ; {
				if steps++; steps%4096 == 0 && ctx.Err() != nil {
					return nil, ctx.Err()
				}
				if seen[f]&(1<<side) != 0 {
					closed = f == i && side == k
					break
				}
				seen[f] |= 1 << side
				loop = append(loop, m.Vertex(m.Triangles[f][side]))
				f, side = s.next(f, side)
			}
			if closed && len(loop) >= roundSides {
				if r, ok := roundOf(loop); ok {
					rounds = append(rounds, r)
				}
			}
		}
	}
	// Both sides of an edge find the same circle.
	slices.SortStableFunc(rounds, func(a, b ring) int { return cmp.Compare(b.radius, a.radius) })
	var found []Snap
	var kept []ring
	for _, r := range rounds {
		if slices.ContainsFunc(kept, func(o ring) bool { return o.centre.Sub(r.centre).Len() < roundOff*r.radius }) {
			continue
		}
		if len(kept) < 2000 { // so that a grid of thousands of holes costs no minute
			kept = append(kept, r)
			found = append(found, Snap{At: r.centre, Kind: SnapCentre, SD: math.Hypot(r.sd, s.rounding/math.Sqrt(float64(r.sides)))})
		}
	}
	return found, nil
}

// next is the side of an edge that follows the side of f, around what is smooth with f.
func (s *snapper) next(f, side int) (int, int) {
	side = (side + 1) % 3
	for range s.Mesh.Len() {
		if s.sharp(f, side) {
			break
		}
		over := int(s.Across[f][side])
		// The side of the neighbour that is shared with f, and then the one after it.
		pivot := s.Mesh.Triangles[f][side]
		for k, v := range s.Mesh.Triangles[over] {
			if v == pivot {
				side = k // it runs on from the pivot
			}
		}
		f = over
	}
	return f, side
}

// A ring is a round edge.
type ring struct {
	centre geom.Vec
	radius float64
	sd     float64 // of the centre, from how far the corners lie off the circle
	sides  int
}

// roundOf is the circle through the corners of a closed polygon, if they lie on one.
func roundOf(loop []geom.Vec) (ring, bool) {
	n := float64(len(loop))
	var middle, area geom.Vec
	for _, p := range loop {
		middle = middle.Add(p)
	}
	middle = middle.Scale(1 / n)
	for i, p := range loop {
		area = area.Add(p.Sub(middle).Cross(loop[(i+1)%len(loop)].Sub(middle)))
	}
	if area.Len() == 0 {
		return ring{}, false
	}
	up := area.Scale(1 / area.Len())
	right := loop[0].Sub(middle)
	right = right.Sub(up.Scale(right.Dot(up)))
	if right.Len() == 0 {
		return ring{}, false
	}
	right = right.Scale(1 / right.Len())
	ahead := up.Cross(right)
	// Least squares of x² + y² + a·x + b·y + c (Kåsa 1976), in coordinates about the middle,
	// whose sums of x and y vanish.
	var xx, xy, yy, xz, yz, zz float64
	for _, p := range loop {
		d := p.Sub(middle)
		x, y := d.Dot(right), d.Dot(ahead)
		z := x*x + y*y
		xx, xy, yy, xz, yz, zz = xx+x*x, xy+x*y, yy+y*y, xz+x*z, yz+y*z, zz+z
	}
	det := xx*yy - xy*xy
	if !(det > 1e-9*zz*zz) {
		return ring{}, false
	}
	cx, cy := (xz*yy-yz*xy)/det/2, (yz*xx-xz*xy)/det/2
	r := math.Sqrt(zz/n + cx*cx + cy*cy)
	centre := middle.Add(right.Scale(cx)).Add(ahead.Scale(cy))
	sum, turned := 0.0, 0.0
	for i, p := range loop {
		d, e := p.Sub(centre), loop[(i+1)%len(loop)].Sub(centre)
		off := math.Hypot(d.Dot(right), d.Dot(ahead)) - r
		if math.Abs(off) > roundOff*r || math.Abs(d.Dot(up)) > roundOff*r {
			return ring{}, false
		}
		sum += off * off
		turned += math.Atan2(d.Cross(e).Dot(up), d.Dot(e))
	}
	if math.Abs(turned-2*math.Pi) > 1e-6 { // once around, not twice
		return ring{}, false
	}
	return ring{centre, r, math.Sqrt(sum) / n * math.Sqrt2, len(loop)}, true
}
