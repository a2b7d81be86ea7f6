package geom

import (
	"context"
	"errors"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// What NewTree refuses.
var (
	ErrTreeIndex = errors.New("triangle index past the vertices")
	ErrTreeSize  = errors.New("more triangles than a tree can number")
)

// NewTree makes a tree of triangles that index vertices; nil triangles means that each
// three vertices are one. Coordinates must be finite. It uses all processors, asks ctx
// every few thousand triangles and needs about 60 bytes a triangle more while it works.
//
// Method: top-down, each split where a surface area heuristic in 16 bins is least (Wald,
// On fast Construction of SAH-based Bounding Volume Hierarchies, 2007). The same triangles
// give the same tree on any number of processors.
func NewTree(ctx context.Context, vertices [][3]float32, triangles [][3]uint32) (*Tree, error) {
	n := len(triangles)
	if triangles == nil {
		n = len(vertices) / 3
	}
	if n > treeMost {
		return nil, ErrTreeSize
	}
	corners := func(i int) (a, b, c *[3]float32) {
		if triangles == nil {
			return &vertices[3*i], &vertices[3*i+1], &vertices[3*i+2]
		}
		t := &triangles[i]
		return &vertices[t[0]], &vertices[t[1]], &vertices[t[2]]
	}
	t := &Tree{box: EmptyBox(), scale: 1}
	if n == 0 {
		return t, nil
	}

	const chunk = 1 << 14
	chunks := (n + chunk - 1) / chunk
	boxes := make([]Box, chunks)
	var bad atomic.Bool
	err := chunked(ctx, n, chunk, func(k, from, to int) {
		box := EmptyBox()
		for i := from; i < to; i++ {
			if triangles != nil && int(max(triangles[i][0], triangles[i][1], triangles[i][2])) >= len(vertices) {
				bad.Store(true)
				return
			}
			a, b, c := corners(i)
			for axis := range 3 {
				box.Min[axis] = min(box.Min[axis], float64(min(a[axis], b[axis], c[axis])))
				box.Max[axis] = max(box.Max[axis], float64(max(a[axis], b[axis], c[axis])))
			}
		}
		boxes[k] = box
	})
	if err != nil {
		return nil, err
	}
	if bad.Load() {
		return nil, ErrTreeIndex
	}
	for _, b := range boxes {
		t.box = t.box.Union(b)
	}
	t.middle = t.box.Centre()
	half := t.box.Max.Sub(t.middle)
	if size := max(half[0], half[1], half[2]); size > 0 {
		_, exponent := math.Frexp(size) // size < 2^exponent
		t.scale = math.Ldexp(1, -exponent)
	}

	b := builder{ctx: ctx, boxed: make([]boxed, n)}
	steps := t.scale * stepsPerUnit
	err = chunked(ctx, n, chunk, func(_, from, to int) {
		for i := from; i < to; i++ {
			va, vb, vc := corners(i)
			r := &b.boxed[i]
			r.triangle = uint32(i)
			for axis := range 3 {
				r.low[axis] = int32(math.Floor((float64(min(va[axis], vb[axis], vc[axis])) - t.middle[axis]) * steps))
				r.high[axis] = int32(math.Ceil((float64(max(va[axis], vb[axis], vc[axis])) - t.middle[axis]) * steps))
			}
		}
	})
	if err != nil {
		return nil, err
	}
	if t.nodes, err = b.build(); err != nil {
		return nil, err
	}
	t.order = make([]uint32, n)
	for i := range b.boxed {
		t.order[i] = b.boxed[i].triangle
	}
	b.boxed = nil // before more is asked for
	t.corners = make([][9]float32, n)
	err = chunked(ctx, n, chunk, func(_, from, to int) {
		for i := from; i < to; i++ {
			a, b, c := corners(int(t.order[i]))
			t.corners[i] = [9]float32{a[0], a[1], a[2], b[0], b[1], b[2], c[0], c[1], c[2]}
		}
	})
	if err != nil {
		return nil, err
	}
	return t, nil
}

// chunked does 0 to n-1 in chunks on all processors; it asks ctx before each chunk.
func chunked(ctx context.Context, n, chunk int, do func(k, from, to int)) error {
	chunks := (n + chunk - 1) / chunk
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(chunks, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for ctx.Err() == nil {
				k := int(next.Add(1)) - 1
				if k >= chunks {
					return
				}
				do(k, k*chunk, min(n, (k+1)*chunk))
			}
		})
	}
	wait.Wait()
	return ctx.Err()
}

// A boxed is a triangle while the tree is built: its box in the space of the boxes, rounded
// outwards to steps of 1/stepsPerUnit. Whole numbers are compared without branches, of which the
// processor would guess every other one wrong.
type boxed struct {
	low, high [3]int32
	triangle  uint32
}

// stepsPerUnit leaves room for the sum of two coordinates, and for the difference of two such sums
// without a sign. A step is far less than padding.
const stepsPerUnit = 1 << 29

// A span is a box in steps.
type span struct{ low, high [3]int32 }

func emptySpan() span {
	return span{[3]int32{math.MaxInt32, math.MaxInt32, math.MaxInt32}, [3]int32{math.MinInt32, math.MinInt32, math.MinInt32}}
}

func (s *span) add(low, high *[3]int32) {
	s.low[0] = min(s.low[0], low[0])
	s.low[1] = min(s.low[1], low[1])
	s.low[2] = min(s.low[2], low[2])
	s.high[0] = max(s.high[0], high[0])
	s.high[1] = max(s.high[1], high[1])
	s.high[2] = max(s.high[2], high[2])
}

// half is half the surface of a span that holds something, in units.
func (s *span) half() float32 {
	x, y, z := inUnits(s.high[0]-s.low[0]), inUnits(s.high[1]-s.low[1]), inUnits(s.high[2]-s.low[2])
	return x*y + y*z + z*x
}

func inUnits(steps int32) float32 { return float32(steps) * (1.0 / stepsPerUnit) }

// padding is how much larger a node's box is on each side, where the whole is -1 to 1:
// more than the rounding of boxes and of rays in single precision.
const padding = 5e-7

func (s *span) padded() [6]float32 {
	return [6]float32{
		inUnits(s.low[0]) - padding, inUnits(s.low[1]) - padding, inUnits(s.low[2]) - padding,
		inUnits(s.high[0]) + padding, inUnits(s.high[1]) + padding, inUnits(s.high[2]) + padding,
	}
}

const (
	bins = 16
	few  = 16 // up to so many triangles each split is tried
	// splitDepth is where splits by cost end and splits in halves begin, so that no path
	// is longer than splitDepth + log2(treeMost) = 68, whatever the triangles are.
	splitDepth = 40
	// What is nearly equal counts as equal, so that a symmetric mesh has the same tree, or nearly
	// so, however its coordinates were rounded: middles by so many steps, costs by this factor,
	// widths by so many places after the point. By as many the bins are wider than they need to be,
	// so that what lies in the middle, or at another even share, is at the end of none.
	rounding = 512
	clearly  = 1 - 1e-5
	aslant   = 11
)

type builder struct {
	ctx   context.Context
	boxed []boxed
}

// A branch is a piece of the tree that is built by itself, or two of them side by side.
type branch struct {
	nodes       []node // the first is its root; none when it is all one leaf, or two branches
	leaf        ref
	box         span
	left, right *branch
}

// build makes the nodes of the whole tree, the root first.
func (b *builder) build() ([]node, error) {
	all := b.grow(b.bounds(piece{to: len(b.boxed)}))
	if err := b.ctx.Err(); err != nil {
		return nil, err
	}
	nodes := make([]node, 0, max(1, all.count()))
	all.stitch(&nodes)
	if len(nodes) == 0 { // one leaf: beside it, a box that nothing meets
		none := emptySpan()
		nodes = append(nodes, node{
			box:   [2][6]float32{all.box.padded(), none.padded()},
			child: [2]ref{all.leaf, all.leaf},
		})
	}
	return nodes, nil
}

// forkAbove is how many triangles a piece must have to be built beside its sibling.
const forkAbove = 1 << 15

// A piece is the triangles from to to, which become a node or a leaf at a depth.
type piece struct {
	from, to, depth int
	whole           span // what they take up
	middles         span // what their middles do
}

// bounds finds what the triangles take up.
func (b *builder) bounds(p piece) piece {
	p.whole, p.middles = emptySpan(), emptySpan()
	for i := p.from; i < p.to; i++ {
		r := &b.boxed[i]
		p.whole.add(&r.low, &r.high)
		m := r.middle()
		p.middles.add(&m, &m)
	}
	return p
}

// grow builds the tree of a piece, large ones side by side.
func (b *builder) grow(p piece) *branch {
	if p.to-p.from <= forkAbove {
		all := &branch{nodes: make([]node, 0, (p.to-p.from)/3+1), box: p.whole}
		all.leaf = b.plant(&all.nodes, p)
		return all
	}
	if b.ctx.Err() != nil {
		return &branch{} // build will throw all away
	}
	left, right, _ := b.split(p)
	all := &branch{box: p.whole}
	var wait sync.WaitGroup
	wait.Go(func() { all.left = b.grow(left) })
	all.right = b.grow(right)
	wait.Wait()
	return all
}

// count is how many nodes stitch will append.
func (p *branch) count() int {
	if p.left == nil {
		return len(p.nodes)
	}
	return 1 + p.left.count() + p.right.count()
}

// stitch appends the nodes of p and gives its root.
func (p *branch) stitch(nodes *[]node) ref {
	offset := ref(len(*nodes))
	if p.left != nil {
		*nodes = append(*nodes, node{})
		n := node{box: [2][6]float32{p.left.box.padded(), p.right.box.padded()}}
		n.child[0] = p.left.stitch(nodes)
		n.child[1] = p.right.stitch(nodes)
		(*nodes)[offset] = n
		return offset
	}
	if len(p.nodes) == 0 {
		return p.leaf
	}
	for _, n := range p.nodes {
		for k := range n.child {
			if !n.child[k].leaf() {
				n.child[k] += offset
			}
		}
		*nodes = append(*nodes, n)
	}
	p.nodes = nil
	return offset
}

// plant builds a piece into nodes, depth first.
func (b *builder) plant(nodes *[]node, p piece) ref {
	if p.to-p.from > 1<<12 && b.ctx.Err() != nil {
		return noRef // build will throw all away
	}
	left, right, ok := b.split(p)
	if !ok {
		return leafRef(p.from, p.to-p.from)
	}
	self := len(*nodes)
	*nodes = append(*nodes, node{box: [2][6]float32{left.whole.padded(), right.whole.padded()}})
	first := b.plant(nodes, left)
	second := b.plant(nodes, right)
	(*nodes)[self].child = [2]ref{first, second}
	return ref(self)
}

// split puts the triangles of a piece into an order in which the first ones are one child and
// the rest the other. It is not ok where a leaf is best.
func (b *builder) split(p piece) (left, right piece, ok bool) {
	n := p.to - p.from
	if n <= 2 {
		return p, p, false
	}
	all := b.boxed[p.from:p.to]
	axis, wide := 0, uint32(0)
	for i := range 3 {
		if w := uint32(p.middles.high[i] - p.middles.low[i]); w > wide+wide>>aslant {
			axis, wide = i, w
		}
	}
	halves := func() (left, right piece, ok bool) {
		if n <= leafMost {
			return p, p, false
		}
		at := p.from + n/2
		return b.bounds(piece{from: p.from, to: at, depth: p.depth + 1}), b.bounds(piece{from: at, to: p.to, depth: p.depth + 1}), true
	}
	if wide == 0 || p.depth >= splitDepth {
		return halves()
	}

	if n <= few {
		return b.splitFew(p, axis)
	}

	// Every middle is in the bin (middle - low) · perBin / 2^places, of which the last is bins - 1.
	const places = 58 // the largest product, bins << places, has room for them
	low, perBin := p.middles.low[axis], uint64(bins<<places)/(uint64(wide)+uint64(wide)>>aslant+1)
	var count [bins]int
	var box [bins]span
	for i := range bins {
		box[i] = emptySpan()
	}
	for i := range all {
		r := &all[i]
		k := uint64(uint32(r.low[axis]+r.high[axis]-low)) * perBin >> places & (bins - 1)
		count[k]++
		box[k].add(&r.low, &r.high)
	}
	var behind [bins]span // what is in the bins from this one on
	rest := emptySpan()
	for k := bins - 1; k > 0; k-- {
		rest.add(&box[k].low, &box[k].high)
		behind[k] = rest
	}
	best, cost := 0, float32(math.MaxFloat32)
	before, sum := emptySpan(), 0
	for k := 1; k < bins; k++ {
		before.add(&box[k-1].low, &box[k-1].high)
		sum += count[k-1]
		if sum == 0 || sum == n {
			continue
		}
		if c := before.half()*float32(sum) + behind[k].half()*float32(n-sum); c < cost*clearly {
			best, cost = k, c
			left.whole, right.whole = before, behind[k]
		}
	}
	// A look at a node costs about as much as one at two triangles.
	if area := p.whole.half(); best == 0 || n <= leafMost && !(cost+nodeCost*area < float32(n)*area) {
		return halves()
	}
	left.middles, right.middles = emptySpan(), emptySpan()
	i, j := 0, n-1
	for i <= j {
		m := all[i].middle()
		if k := uint64(uint32(m[axis]-low)) * perBin >> places; k < uint64(best) {
			left.middles.add(&m, &m)
			i++
		} else {
			right.middles.add(&m, &m)
			all[i], all[j] = all[j], all[i]
			j--
		}
	}
	at := p.from + i
	left.from, left.to, left.depth = p.from, at, p.depth+1
	right.from, right.to, right.depth = at, p.to, p.depth+1
	return left, right, true
}

// splitFew is split for a piece of at most few triangles: it tries each place between two of them,
// in the order of their middles, which beside being quicker there finds better splits than bins.
func (b *builder) splitFew(p piece, axis int) (left, right piece, ok bool) {
	all := b.boxed[p.from:p.to]
	n := len(all)
	for i := 1; i < n; i++ {
		r := all[i]
		m := r.low[axis] + r.high[axis] + rounding
		k := i
		for ; k > 0 && all[k-1].low[axis]+all[k-1].high[axis] > m; k-- {
			all[k] = all[k-1]
		}
		all[k] = r
	}
	var behind [few]span // what is from this one on
	rest := emptySpan()
	for k := n - 1; k > 0; k-- {
		rest.add(&all[k].low, &all[k].high)
		behind[k] = rest
	}
	best, cost := 0, float32(math.MaxFloat32)
	before := emptySpan()
	for k := 1; k < n; k++ {
		before.add(&all[k-1].low, &all[k-1].high)
		if c := before.half()*float32(k) + behind[k].half()*float32(n-k); c < cost*clearly {
			best, cost = k, c
			left.whole = before
		}
	}
	if area := p.whole.half(); n <= leafMost && !(cost+nodeCost*area < float32(n)*area) {
		return p, p, false
	}
	at := p.from + best
	left = piece{p.from, at, p.depth + 1, left.whole, emptySpan()}
	right = piece{at, p.to, p.depth + 1, behind[best], emptySpan()}
	for _, half := range []*piece{&left, &right} {
		for i := half.from; i < half.to; i++ {
			m := b.boxed[i].middle()
			half.middles.add(&m, &m)
		}
	}
	return left, right, true
}

const nodeCost = 1.5

// middle is twice the middle of the box.
func (r *boxed) middle() [3]int32 {
	return [3]int32{r.low[0] + r.high[0], r.low[1] + r.high[1], r.low[2] + r.high[2]}
}
