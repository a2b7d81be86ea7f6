package mannequin

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A lattice has nodes at the corners of cubes and in their middles, step apart, and knows at
// each how far it lies outside the solid. Neighbours among them span tetrahedra that are all
// alike; in each the surface is one flat piece, or two triangles, and whatever the numbers are it
// is closed, every edge is that of two triangles, and no piece leaves its tetrahedron. So
// nothing crosses.
type lattice struct {
	low    geom.Vec
	step   float64
	n      [3]int // cubes along each axis, a multiple of block
	values []float32
	// everywhere has every node looked at, with all pieces.
	everywhere bool
}

const (
	block       = 8          // cubes along a side of what is looked at as one
	finestBlock = 2          // is looked at node by node
	mostNodes   = 12_000_000 // 48 MB
	// steep is more than what a distance of the field ever changes by over a length of 1.
	steep = 1.6
	// aside is how near the surface may come to a node, as a share of the way to the next: nearer,
	// triangles would be so narrow that rounding to float32 could fold them.
	aside = 0.02
)

// newLattice covers a box, with at least a step around it.
func newLattice(box geom.Box, step float64) *lattice {
	for {
		l := &lattice{step: step, low: box.Min.Sub(geom.Vec{1.25 * step, 1.25 * step, 1.25 * step})}
		nodes := 2.0
		for a := range 3 {
			cubes := math.Ceil((box.Max[a] - box.Min[a] + 3*step) / step / block)
			l.n[a] = int(min(cubes, 1<<20)) * block
			nodes *= float64(l.n[a] + 1)
		}
		if nodes <= mostNodes {
			l.values = make([]float32, int(nodes))
			return l
		}
		step *= 1.1
	}
}

// node is the number of the node at a cube's lower corner, or in its middle.
func (l *lattice) node(i, j, k, middle int) int {
	return (((k*(l.n[1]+1))+j)*(l.n[0]+1)+i)*2 + middle
}

func (l *lattice) at(i, j, k, middle int) geom.Vec {
	half := 0.5 * float64(middle)
	return geom.Vec{
		l.low[0] + (float64(i)+half)*l.step,
		l.low[1] + (float64(j)+half)*l.step,
		l.low[2] + (float64(k)+half)*l.step,
	}
}

// place is where a node is, by its number.
func (l *lattice) place(node int) geom.Vec {
	middle := node & 1
	node >>= 1
	i := node % (l.n[0] + 1)
	node /= l.n[0] + 1
	return l.at(i, node%(l.n[1]+1), node/(l.n[1]+1), middle)
}

// inParallel does n pieces of work on all processors, asking ctx before each.
func inParallel(ctx context.Context, n int, report func(float64), do func(k int)) error {
	var next, done atomic.Int64
	var wait sync.WaitGroup
	var telling sync.Mutex
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for ctx.Err() == nil {
				k := int(next.Add(1)) - 1
				if k >= n {
					return
				}
				do(k)
				telling.Lock()
				report(float64(done.Add(1)) / float64(n))
				telling.Unlock()
			}
		})
	}
	wait.Wait()
	return ctx.Err()
}

// solid is the mesh of a field. Should a field change by more than steep, part of its surface may be
// passed over, which leaves it open; then every node is looked at.
func (l *lattice) solid(ctx context.Context, f *field, name string, report func(float64)) (*mesh.Mesh, error) {
	for {
		near, err := l.measure(ctx, f, report)
		if err != nil {
			return nil, err
		}
		m, err := l.surface(ctx, near, name)
		if err != nil {
			return nil, err
		}
		if closed, err := mesh.Closes(ctx, m); err != nil || closed || l.everywhere {
			return m, err
		}
		l.everywhere = true
	}
}

// measure gives every node its value. Blocks that the surface does not come near are not looked
// at node by node.
func (l *lattice) measure(ctx context.Context, f *field, report func(float64)) (near []bool, err error) {
	b := [3]int{l.n[0]/block + 1, l.n[1]/block + 1, l.n[2]/block + 1} // the last hold the far sides
	near = make([]bool, b[0]*b[1]*b[2])
	err = inParallel(ctx, b[2], report, func(bk int) {
		for bj := range b[1] {
			for bi := range b[0] {
				near[(bk*b[1]+bj)*b[0]+bi] = l.measureBlock(f, bi*block, bj*block, bk*block, block)
			}
		}
	})
	return near, err
}

// measureBlock gives the nodes of size cubes along each axis their values, and reports whether the
// surface comes near. It looks at the whole first, then at its eighths, each with only the pieces
// that may matter there.
func (l *lattice) measureBlock(f *field, i0, j0, k0, size int) (near bool) {
	centre := l.at(i0, j0, k0, 0).Add(geom.Vec{1, 1, 1}.Scale(float64(size) / 2 * l.step))
	// Edges lead half a step out of it.
	reach := steep * l.step * (float64(size) + 1) * math.Sqrt(3) / 2
	about := f.at(centre)
	if math.Abs(about) > reach && !l.everywhere {
		l.each(i0, j0, k0, size, func(i, j, k, middle int) { l.values[l.node(i, j, k, middle)] = float32(about) })
		return false
	}
	here := f
	if !l.everywhere {
		here = f.near(centre, reach)
	}
	if size == finestBlock {
		l.each(i0, j0, k0, size, func(i, j, k, middle int) {
			l.values[l.node(i, j, k, middle)] = float32(here.at(l.at(i, j, k, middle)))
		})
		return true
	}
	half := size / 2
	for c := range 8 {
		l.measureBlock(here, i0+c&1*half, j0+c>>1&1*half, k0+c>>2*half, half)
	}
	return true
}

// each visits the nodes of a block, as far as there are any.
func (l *lattice) each(i0, j0, k0, size int, visit func(i, j, k, middle int)) {
	for k := k0; k < min(k0+size, l.n[2]+1); k++ {
		for j := j0; j < min(j0+size, l.n[1]+1); j++ {
			for i := i0; i < min(i0+size, l.n[0]+1); i++ {
				visit(i, j, k, 0)
				visit(i, j, k, 1)
			}
		}
	}
}

// An edge is that between two nodes, the lower number first. The surface crosses it once.
type edge struct{ a, b int }

// surface is the mesh of what is inside. Loose pieces and hollows are left out.
func (l *lattice) surface(ctx context.Context, near []bool, name string) (*mesh.Mesh, error) {
	layers := make([][][3]edge, l.n[2])
	err := inParallel(ctx, l.n[2], func(float64) {}, func(k int) {
		var out [][3]edge
		for j := range l.n[1] {
			for i := 0; i < l.n[0]; i++ {
				if !l.nearAny(near, i, j, k) {
					i |= block - 1
					continue
				}
				out = l.cube(out, i, j, k)
			}
		}
		layers[k] = out
	})
	if err != nil {
		return nil, err
	}
	known := map[edge]uint32{}
	var vertices [][3]float32
	var triangles [][3]uint32
	for _, layer := range layers {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for _, t := range layer {
			var corners [3]uint32
			for c, e := range t {
				at, ok := known[e]
				if !ok {
					at = uint32(len(vertices))
					known[e] = at
					vertices = append(vertices, l.crossing(e))
				}
				corners[c] = at
			}
			triangles = append(triangles, corners)
		}
	}
	vertices, triangles = largest(vertices, triangles)
	return mesh.New(name, geom.Vec{}, vertices, triangles)
}

// nearAny reports whether the cube, or one that shares its tetrahedra, lies in a block near the
// surface.
func (l *lattice) nearAny(near []bool, i, j, k int) bool {
	b := [2]int{l.n[0]/block + 1, l.n[1]/block + 1}
	for dk := range 2 {
		for dj := range 2 {
			for di := range 2 {
				if near[((k+dk*block)/block*b[1]+(j+dj*block)/block)*b[0]+(i+di*block)/block] {
					return true
				}
			}
		}
	}
	return false
}

// cube adds the triangles in the tetrahedra between a cube's middle and those of the next cubes
// along x, y and z: around that line stand the four edges of the face between.
func (l *lattice) cube(out [][3]edge, i, j, k int) [][3]edge {
	own := l.node(i, j, k, 1)
	for axis := range 3 {
		to := [3]int{i, j, k}
		to[axis]++
		if to[axis] >= l.n[axis] {
			continue
		}
		other := l.node(to[0], to[1], to[2], 1)
		u, v := (axis+1)%3, (axis+2)%3
		var ring [4]int // counter-clockwise seen from the other middle
		for c, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
			p := to
			p[u] += d[0]
			p[v] += d[1]
			ring[c] = l.node(p[0], p[1], p[2], 0)
		}
		for c := range 4 {
			out = l.tetrahedron(out, [4]int{own, other, ring[c], ring[(c+1)%4]})
		}
	}
	return out
}

// tetrahedron adds what of the surface lies in one. The last three nodes are counter-clockwise
// seen from the first, away from which they lie, so that all are turned alike.
func (l *lattice) tetrahedron(out [][3]edge, t [4]int) [][3]edge {
	inside := 0
	for c, n := range t {
		if l.values[n] < 0 {
			inside |= 1 << c
		}
	}
	e := func(a, b int) edge {
		if t[a] < t[b] {
			return edge{t[a], t[b]}
		}
		return edge{t[b], t[a]}
	}
	one := func(a, b, c, d int) { // a alone inside; b, c, d turn clockwise seen from a
		out = append(out, [3]edge{e(a, b), e(a, c), e(a, d)})
	}
	two := func(a, b, c, d int) { // a and b inside
		out = append(out, [3]edge{e(a, c), e(a, d), e(b, d)}, [3]edge{e(a, c), e(b, d), e(b, c)})
	}
	switch inside {
	case 0b0001:
		one(0, 1, 2, 3)
	case 0b0010:
		one(1, 0, 3, 2)
	case 0b0100:
		one(2, 0, 1, 3)
	case 0b1000:
		one(3, 0, 2, 1)
	case 0b1110:
		one(0, 1, 3, 2)
	case 0b1101:
		one(1, 0, 2, 3)
	case 0b1011:
		one(2, 0, 3, 1)
	case 0b0111:
		one(3, 0, 1, 2)
	case 0b0011:
		two(0, 1, 2, 3)
	case 0b1100:
		two(2, 3, 0, 1)
	case 0b0101:
		two(0, 2, 3, 1)
	case 0b1010:
		two(3, 1, 0, 2)
	case 0b1001:
		two(0, 3, 1, 2)
	case 0b0110:
		two(1, 2, 0, 3)
	}
	return out
}

// crossing is where the surface meets an edge.
func (l *lattice) crossing(e edge) [3]float32 {
	a, b := float64(l.values[e.a]), float64(l.values[e.b])
	t := min(max(a/(a-b), aside), 1-aside)
	p, q := l.place(e.a), l.place(e.b)
	p = p.Add(q.Sub(p).Scale(t))
	return [3]float32{float32(p[0]), float32(p[1]), float32(p[2])}
}

// largest is the shell with the most triangles: of one body, its outside.
func largest(vertices [][3]float32, triangles [][3]uint32) ([][3]float32, [][3]uint32) {
	parent := make([]uint32, len(vertices))
	for i := range parent {
		parent[i] = uint32(i)
	}
	root := func(i uint32) uint32 {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for _, t := range triangles {
		a := root(t[0])
		for _, c := range t[1:] {
			if b := root(c); b < a {
				parent[a], a = b, b
			} else {
				parent[b] = a
			}
		}
	}
	count := make([]int, len(vertices))
	best := uint32(0)
	for _, t := range triangles {
		r := root(t[0])
		if count[r]++; count[r] > count[best] {
			best = r
		}
	}
	if len(triangles) == 0 || count[best] == len(triangles) {
		return vertices, triangles
	}
	to := make([]uint32, len(vertices))
	var keptVertices [][3]float32
	for i, v := range vertices {
		if root(uint32(i)) == best {
			to[i] = uint32(len(keptVertices))
			keptVertices = append(keptVertices, v)
		}
	}
	var kept [][3]uint32
	for _, t := range triangles {
		if root(t[0]) == best {
			kept = append(kept, [3]uint32{to[t[0]], to[t[1]], to[t[2]]})
		}
	}
	return keptVertices, kept
}
