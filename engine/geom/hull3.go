package geom

import (
	"context"
	"errors"
	"math"
)

// ErrNotFinite is what a hull of points with NaN or infinite coordinates gives.
var ErrNotFinite = errors.New("coordinate is not a finite number")

// A Hull is the convex hull of points in space. Every point lies inside or on it, exactly.
type Hull struct {
	// Rank is 3 for a solid, 2 for points in one plane, 1 on one line, 0 all in one place
	// and -1 for no points.
	Rank int
	// Vertices are points of those given: all extreme ones, and perhaps some that lie in
	// the middle of a flat side.
	Vertices []Vec
	// Triangles are counter-clockwise from outside. A plane hull has them on both its
	// sides, a line and a point have none.
	Triangles [][3]int32
	// Neighbours are, for each triangle, those across its sides from corner 0 to 1, 1 to 2
	// and 2 to 0. Only a solid has them.
	Neighbours [][3]int32
}

// HullOf is the convex hull of points. The same points give the same hull. It asks ctx every
// few thousand steps; besides its error there is ErrNotFinite.
//
// Method: quickhull (Barber, Dobkin and Huhdanpaa 1996), begun with the outermost points
// along 26 directions, so that the many points inside are gone at once. All that decides
// is decided exactly, by Orient2 and Orient3: no point set is too flat, too thin or too
// often doubled.
func HullOf(ctx context.Context, points []Vec) (Hull, error) {
	for i, p := range points {
		if !p.Finite() {
			return Hull{}, ErrNotFinite
		}
		if i%askEvery == 0 && ctx.Err() != nil {
			return Hull{}, ctx.Err()
		}
	}
	if len(points) == 0 {
		return Hull{Rank: -1}, nil
	}
	h := &hulling{ctx: ctx, points: distinct(points)}
	if rank, at := h.simplex(); rank < 3 {
		return h.flat(rank, at), nil
	}
	if err := h.grow(); err != nil {
		return Hull{}, err
	}
	if err := h.addRest(); err != nil {
		return Hull{}, err
	}
	if err := h.grow(); err != nil {
		return Hull{}, err
	}
	return h.result(), nil
}

const askEvery = 1 << 12 // steps between two looks at a context

// hulling is a hull at work.
type hulling struct {
	ctx    context.Context
	steps  int
	points []Vec
	facets []facet
	free   []int32 // facets that are no more
	next   []int32 // for each point, the next one outside the same facet; -1 ends
	begins []int32 // for each point, the new facet whose side on the horizon begins there
	open   []int32 // facets that may have points outside
	outer  []int32 // outermost points
}

// A facet is a triangle of the hull so far.
type facet struct {
	corner, neighbour [3]int32
	normal            Vec   // not of unit length
	unsure            Vec   // how far a height may be off, for each unit along each axis from corner 0
	plain             bool  // unsure is 0 only where the normal is, exactly
	outside           int32 // first point outside, -1 for none
	farthest          int32
	height            float64 // of the farthest
	visited           int32   // by which point, see visible
	dead              bool
}

// height is how far p is above the facet, times the length of its normal, and whether it
// is above at all, exactly.
func (h *hulling) height(f *facet, p Vec) (float64, bool) {
	a := h.points[f.corner[0]]
	w := p.Sub(a)
	x := f.normal.Dot(w)
	bound := f.unsure[0]*math.Abs(w[0]) + f.unsure[1]*math.Abs(w[1]) + f.unsure[2]*math.Abs(w[2]) + tiny
	switch {
	case x > bound:
		return x, true
	case x < -bound:
		return x, false
	case f.plain && (w[0] == 0 || f.unsure[0] == 0) && (w[1] == 0 || f.unsure[1] == 0) && (w[2] == 0 || f.unsure[2] == 0):
		return 0, false // in a plane across an axis: nothing was rounded
	}
	return x, orient3Exact(a, h.points[f.corner[1]], h.points[f.corner[2]], p) > 0
}

// newFacet adds a facet without neighbours.
func (h *hulling) newFacet(a, b, c int32) int32 {
	u, v := h.points[b].Sub(h.points[a]), h.points[c].Sub(h.points[a])
	f := facet{corner: [3]int32{a, b, c}, normal: u.Cross(v), plain: true, outside: -1, farthest: -1, visited: -1}
	for i := range u {
		j, k := (i+1)%3, (i+2)%3
		f.unsure[i] = unsure3 * (math.Abs(u[j]*v[k]) + math.Abs(u[k]*v[j]))
		f.plain = f.plain && inRange(u[i]) && inRange(v[i])
	}
	if n := len(h.free); n > 0 {
		i := h.free[n-1]
		h.free = h.free[:n-1]
		h.facets[i] = f
		return i
	}
	h.facets = append(h.facets, f)
	return int32(len(h.facets) - 1)
}

// give puts point p outside of facet i.
func (h *hulling) give(i, p int32, height float64) {
	f := &h.facets[i]
	if f.outside < 0 {
		h.open = append(h.open, i)
		f.farthest, f.height = p, height
	} else if height > f.height {
		f.farthest, f.height = p, height
	}
	h.next[p] = f.outside
	f.outside = p
}

// simplex finds the rank of the points, and when it is 3 begins with a tetrahedron to which
// the other outermost points lie outside. Otherwise it gives rank + 1 points that span all.
func (h *hulling) simplex() (rank int, at [4]int32) {
	h.outer = outermost(h.points)
	pts := h.points
	at[0] = h.outer[0]
	far := 0.0
	for _, i := range h.outer {
		if d := pts[i].Sub(pts[at[0]]); pts[i] != pts[at[0]] && (rank == 0 || d.Dot(d) > far) {
			rank, at[1], far = 1, i, d.Dot(d)
		}
	}
	if rank == 0 {
		return rank, at
	}
	// The outermost points do span what all points span, but only all points know the
	// last rounding: so where they seem too flat, everything is looked at.
	from, to := pts[at[0]], pts[at[1]]
	widest := func(i int32) {
		n := to.Sub(from).Cross(pts[i].Sub(from))
		if size := n.Dot(n); (rank < 2 || size > far) && !onLine(from, to, pts[i]) {
			rank, at[2], far = 2, i, size
		}
	}
	h.each(func() bool { return rank >= 2 }, widest)
	if rank < 2 {
		return rank, at
	}
	third := pts[at[2]]
	n := to.Sub(from).Cross(third.Sub(from))
	h.each(func() bool { return rank >= 3 }, func(i int32) {
		if height := math.Abs(n.Dot(pts[i].Sub(from))); (rank < 3 || height > far) && Orient3(from, to, third, pts[i]) != 0 {
			rank, at[3], far = 3, i, height
		}
	})
	if rank < 3 {
		return rank, at
	}
	if Orient3(from, to, third, pts[at[3]]) > 0 {
		at[1], at[2] = at[2], at[1] // so that the fourth lies below the first three
	}
	a, b, c, d := at[0], at[1], at[2], at[3]
	h.next = make([]int32, len(pts))
	h.begins = make([]int32, len(pts))
	for _, t := range [4][3]int32{{a, b, c}, {a, d, b}, {b, d, c}, {c, d, a}} {
		h.newFacet(t[0], t[1], t[2])
	}
	h.facets[0].neighbour = [3]int32{1, 2, 3}
	h.facets[1].neighbour = [3]int32{3, 2, 0}
	h.facets[2].neighbour = [3]int32{1, 3, 0}
	h.facets[3].neighbour = [3]int32{2, 1, 0}
	for _, p := range h.outer {
		h.giveAny(p)
	}
	return rank, at
}

// each calls do with the outermost points and, unless that was enough, with all.
func (h *hulling) each(enough func() bool, do func(i int32)) {
	for _, i := range h.outer {
		do(i)
	}
	if enough() {
		return
	}
	for i := range h.points {
		do(int32(i))
	}
}

// onLine reports whether three points lie on one line, exactly.
func onLine(a, b, c Vec) bool {
	for i := range 3 {
		j := (i + 1) % 3
		if Orient2(Vec2{a[i], a[j]}, Vec2{b[i], b[j]}, Vec2{c[i], c[j]}) != 0 {
			return false
		}
	}
	return true
}

// outermost are the first points that are outermost along 26 directions: the axes and the
// diagonals of faces and of the cube.
func outermost(points []Vec) []int32 {
	var most [26]int32
	var reach [26]float64
	for i, p := range points {
		x, y, z := p[0], p[1], p[2]
		for k, along := range [13]float64{x, y, z, x + y, x - y, y + z, y - z, z + x, z - x, x + y + z, x + y - z, x - y + z, x - y - z} {
			if i == 0 || along > reach[k] {
				most[k], reach[k] = int32(i), along
			}
			if i == 0 || -along > reach[k+13] {
				most[k+13], reach[k+13] = int32(i), -along
			}
		}
	}
	var out []int32
next:
	for _, i := range most {
		for _, j := range out {
			if points[i] == points[j] {
				continue next
			}
		}
		out = append(out, i)
	}
	return out
}

// giveAny puts a point outside of the first facet that it is above.
func (h *hulling) giveAny(p int32) {
	for i := range h.facets {
		f := &h.facets[i]
		if f.dead {
			continue
		}
		if height, above := h.height(f, h.points[p]); above {
			h.give(int32(i), p, height)
			return
		}
	}
}

// addRest puts all points outside of the facets that they are above.
func (h *hulling) addRest() error {
	for p := range h.points {
		if p%askEvery == 0 && h.ctx.Err() != nil {
			return h.ctx.Err()
		}
		h.giveAny(int32(p))
	}
	return nil
}

// distinct are the points without doubles, in order.
func distinct(points []Vec) []Vec {
	seen := pointSet{points: make([]Vec, 0, len(points)), slots: make([]int32, 1024)}
	for _, p := range points {
		seen.add(p)
	}
	return seen.points
}

// A pointSet holds points once each.
type pointSet struct {
	points []Vec
	slots  []int32 // index + 1, 0 for empty; their number is a power of two
}

// slot is where p is or belongs.
func (s *pointSet) slot(p Vec) int {
	hash := uint64(0)
	for _, x := range p {
		hash = (hash ^ math.Float64bits(x+0)) * 0x9e3779b97f4a7c15 // x+0: one zero
		hash ^= hash >> 32
	}
	at := int(hash) & (len(s.slots) - 1)
	for s.slots[at] != 0 && s.points[s.slots[at]-1] != p {
		at = (at + 1) & (len(s.slots) - 1)
	}
	return at
}

func (s *pointSet) add(p Vec) {
	at := s.slot(p)
	if s.slots[at] != 0 {
		return
	}
	s.points = append(s.points, p)
	s.slots[at] = int32(len(s.points))
	if 2*len(s.points) > len(s.slots) {
		s.slots = make([]int32, 2*len(s.slots))
		for i, q := range s.points {
			s.slots[s.slot(q)] = int32(i + 1)
		}
	}
}

// grow takes the points outside in, the farthest of a facet first, until none is left.
func (h *hulling) grow() error {
	var seen, edges, fresh []int32
	for at := 0; at < len(h.open); at++ {
		i := h.open[at]
		if h.facets[i].dead || h.facets[i].outside < 0 {
			continue
		}
		p := h.facets[i].farthest
		seen, edges = h.visible(i, p, seen[:0], edges[:0])
		fresh = h.cone(p, edges, fresh[:0])
		for _, s := range seen {
			for q := h.facets[s].outside; q >= 0; {
				next := h.next[q]
				if q != p {
					h.hand(q, fresh)
				}
				if h.steps += len(fresh); h.steps >= askEvery {
					h.steps = 0
					if err := h.ctx.Err(); err != nil {
						return err
					}
				}
				q = next
			}
		}
		h.free = append(h.free, seen...)
		if at > 1<<16 && 2*at > len(h.open) {
			h.open = append(h.open[:0], h.open[at+1:]...)
			at = -1
		}
	}
	h.open = h.open[:0]
	return nil
}

// hand puts point q outside of the first of the fresh facets that it is above. A point that
// was above a facet which is gone and is above none of the fresh ones is inside.
func (h *hulling) hand(q int32, fresh []int32) {
	for _, f := range fresh {
		if height, above := h.height(&h.facets[f], h.points[q]); above {
			h.give(f, q, height)
			return
		}
	}
}

// visible gathers the facets that point p is above, from facet i on, which die, and the
// sides between them and the others: pairs of the facet beyond and which of its sides.
func (h *hulling) visible(i, p int32, seen, edges []int32) (facets, horizon []int32) {
	at := h.points[p]
	h.facets[i].dead = true
	seen = append(seen, i)
	for k := 0; k < len(seen); k++ {
		f := &h.facets[seen[k]]
		for side, n := range f.neighbour {
			g := &h.facets[n]
			if g.dead {
				continue
			}
			if g.visited != p {
				g.visited = p
				if _, above := h.height(g, at); above {
					g.dead = true
					seen = append(seen, n)
					continue
				}
			}
			back := int32(0)
			for g.corner[back] != f.corner[(side+1)%3] {
				back++
			}
			edges = append(edges, n, back)
		}
	}
	return seen, edges
}

// cone joins point p to every side of the horizon.
func (h *hulling) cone(p int32, edges, fresh []int32) []int32 {
	for k := 0; k < len(edges); k += 2 {
		g, side := edges[k], edges[k+1]
		// The neighbour runs along the side the other way.
		a, b := h.facets[g].corner[(side+1)%3], h.facets[g].corner[side]
		f := h.newFacet(a, b, p)
		h.facets[f].neighbour[0] = g
		h.facets[g].neighbour[side] = f
		h.begins[a] = f
		fresh = append(fresh, f)
	}
	for _, f := range fresh {
		after := h.begins[h.facets[f].corner[1]]
		h.facets[f].neighbour[1] = after
		h.facets[after].neighbour[2] = f
	}
	return fresh
}

// result numbers what is left.
func (h *hulling) result() Hull {
	out := Hull{Rank: 3}
	number := make([]int32, len(h.facets))
	vertex := h.begins // from now on: the number of each point in the hull, + 1
	clear(vertex)
	for i := range h.facets {
		f := &h.facets[i]
		if f.dead {
			continue
		}
		number[i] = int32(len(out.Triangles))
		var t [3]int32
		for k, p := range f.corner {
			if vertex[p] == 0 {
				out.Vertices = append(out.Vertices, h.points[p])
				vertex[p] = int32(len(out.Vertices))
			}
			t[k] = vertex[p] - 1
		}
		out.Triangles = append(out.Triangles, t)
	}
	out.Neighbours = make([][3]int32, 0, len(out.Triangles))
	for i := range h.facets {
		if f := &h.facets[i]; !f.dead {
			out.Neighbours = append(out.Neighbours, [3]int32{number[f.neighbour[0]], number[f.neighbour[1]], number[f.neighbour[2]]})
		}
	}
	return out
}

// flat is the hull of points that are in a plane, on a line or in one place; at spans them.
func (h *hulling) flat(rank int, at [4]int32) Hull {
	pts := h.points
	out := Hull{Rank: rank}
	if rank == 0 {
		out.Vertices = []Vec{pts[at[0]]}
		return out
	}
	// Seen along the axis that the plane, or the line, is farthest from lying along,
	// nothing falls together.
	n := pts[at[1]].Sub(pts[at[0]]).Cross(pts[at[2]].Sub(pts[at[0]]))
	away := X
	if rank == 1 {
		along := pts[at[1]].Sub(pts[at[0]])
		for a := X; a <= Z; a++ {
			if math.Abs(along[a]) < math.Abs(along[away]) {
				away = a
			}
		}
	} else {
		for a := X; a <= Z; a++ {
			if h.seenFlat(away, at) || math.Abs(n[a]) > math.Abs(n[away]) && !h.seenFlat(a, at) {
				away = a
			}
		}
	}
	i, j := (away+1)%3, (away+2)%3
	from := make(map[Vec2]Vec, len(pts))
	seen := make([]Vec2, len(pts))
	for k, p := range pts {
		seen[k] = Vec2{p[i], p[j]}
		from[seen[k]] = p
	}
	for _, p := range Hull2(seen) {
		out.Vertices = append(out.Vertices, from[p])
	}
	for k := int32(2); int(k) < len(out.Vertices); k++ {
		out.Triangles = append(out.Triangles, [3]int32{0, k - 1, k}, [3]int32{0, k, k - 1})
	}
	return out
}

// seenFlat reports whether the plane that three points span is seen edge-on along an axis.
func (h *hulling) seenFlat(away Axis, at [4]int32) bool {
	i, j := (away+1)%3, (away+2)%3
	seen := func(k int32) Vec2 { return Vec2{h.points[k][i], h.points[k][j]} }
	return Orient2(seen(at[0]), seen(at[1]), seen(at[2])) == 0
}
