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
	err = chunked(ctx, n, chunk, func(_, from, to int) {
		for i := from; i < to; i++ {
			va, vb, vc := corners(i)
			r := &b.boxed[i]
			r.triangle = uint32(i)
			for axis := range 3 {
				r.low[axis] = float32((float64(min(va[axis], vb[axis], vc[axis])) - t.middle[axis]) * t.scale)
				r.high[axis] = float32((float64(max(va[axis], vb[axis], vc[axis])) - t.middle[axis]) * t.scale)
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

// A boxed is a triangle while the tree is built: its box in the space of the boxes.
type boxed struct {
	low, high [3]float32
	triangle  uint32
}

// A span is a box in single precision.
type span struct{ low, high [3]float32 }

func emptySpan() span {
	const inf = math.MaxFloat32
	return span{[3]float32{inf, inf, inf}, [3]float32{-inf, -inf, -inf}}
}

func (s *span) add(low, high *[3]float32) {
	for i := range low {
		if low[i] < s.low[i] {
			s.low[i] = low[i]
		}
		if high[i] > s.high[i] {
			s.high[i] = high[i]
		}
	}
}

// half is half the surface of a span that holds something.
func (s *span) half() float32 {
	x, y, z := s.high[0]-s.low[0], s.high[1]-s.low[1], s.high[2]-s.low[2]
	return x*y + y*z + z*x
}

// padding is how much larger a node's box is on each side, where the whole is -1 to 1:
// more than the rounding of boxes and of rays in single precision.
const padding = 5e-7

func (s *span) padded() [6]float32 {
	return [6]float32{
		s.low[0] - padding, s.low[1] - padding, s.low[2] - padding,
		s.high[0] + padding, s.high[1] + padding, s.high[2] + padding,
	}
}

const (
	bins = 16
	// splitDepth is where splits by cost end and splits in halves begin, so that no path
	// is longer than splitDepth + log2(treeMost) = 68, whatever the triangles are.
	splitDepth = 40
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
	all := b.grow(0, len(b.boxed), 0)
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

// grow builds the tree of the triangles from to to, large pieces side by side.
func (b *builder) grow(from, to, depth int) *branch {
	if to-from <= forkAbove {
		all := &branch{nodes: make([]node, 0, (to-from)/3+1)}
		all.leaf, all.box = b.plant(&all.nodes, from, to, depth)
		return all
	}
	if b.ctx.Err() != nil {
		return &branch{} // build will throw all away
	}
	at := b.split(from, to, depth)
	all := &branch{}
	var wait sync.WaitGroup
	wait.Go(func() { all.left = b.grow(from, at, depth+1) })
	all.right = b.grow(at, to, depth+1)
	wait.Wait()
	all.box = all.left.box
	all.box.add(&all.right.box.low, &all.right.box.high)
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

// plant builds the triangles from to to into nodes, depth first.
func (b *builder) plant(nodes *[]node, from, to, depth int) (ref, span) {
	if to-from > 1<<12 && b.ctx.Err() != nil {
		return noRef, emptySpan() // build will throw all away
	}
	at := b.split(from, to, depth)
	if at < 0 {
		box := emptySpan()
		for i := from; i < to; i++ {
			box.add(&b.boxed[i].low, &b.boxed[i].high)
		}
		return leafRef(from, to-from), box
	}
	self := len(*nodes)
	*nodes = append(*nodes, node{})
	left, box := b.plant(nodes, from, at, depth+1)
	right, other := b.plant(nodes, at, to, depth+1)
	(*nodes)[self] = node{box: [2][6]float32{box.padded(), other.padded()}, child: [2]ref{left, right}}
	box.add(&other.low, &other.high)
	return ref(self), box
}

// split puts the triangles from to to into an order in which the first ones, up to what it
// returns, are one child and the rest the other. It is negative where a leaf is best.
func (b *builder) split(from, to, depth int) int {
	n := to - from
	if n <= 2 {
		return -1
	}
	all := b.boxed[from:to]
	whole, middles := emptySpan(), emptySpan()
	for i := range all {
		r := &all[i]
		whole.add(&r.low, &r.high)
		m := r.middle()
		middles.add(&m, &m)
	}
	axis, wide := 0, float32(0)
	for i := range 3 {
		if w := middles.high[i] - middles.low[i]; w > wide {
			axis, wide = i, w
		}
	}
	halves := func() int {
		if n <= leafMost {
			return -1
		}
		return from + n/2
	}
	if wide == 0 || depth >= splitDepth {
		return halves()
	}

	// Every middle is in the bin (middle - low) · perBin, of which the last is bins - 1.
	low, perBin := middles.low[axis], bins*(1-1e-6)/wide
	var count [bins]int
	var box [bins]span
	for i := range box {
		box[i] = emptySpan()
	}
	for i := range all {
		r := &all[i]
		k := int((r.middle()[axis]-low)*perBin) & (bins - 1)
		count[k]++
		box[k].add(&r.low, &r.high)
	}
	var behind [bins]float32 // cost of what is in the bins from this one on
	right, rest := emptySpan(), 0
	for k := bins - 1; k > 0; k-- {
		if count[k] > 0 {
			right.add(&box[k].low, &box[k].high)
			rest += count[k]
		}
		if rest > 0 {
			behind[k] = right.half() * float32(rest)
		}
	}
	best, cost := 0, float32(math.MaxFloat32)
	left, sum := emptySpan(), 0
	for k := 1; k < bins; k++ {
		if count[k-1] > 0 {
			left.add(&box[k-1].low, &box[k-1].high)
			sum += count[k-1]
		}
		if sum == 0 || sum == n {
			continue
		}
		if c := left.half()*float32(sum) + behind[k]; c < cost {
			best, cost = k, c
		}
	}
	// A look at a node costs about as much as one at two triangles.
	if area := whole.half(); best == 0 || n <= leafMost && !(cost+nodeCost*area < float32(n)*area) {
		return halves()
	}
	i, j := 0, n-1
	for i <= j {
		if k := int((all[i].middle()[axis]-low)*perBin) & (bins - 1); k < best {
			i++
		} else {
			all[i], all[j] = all[j], all[i]
			j--
		}
	}
	return from + i
}

const nodeCost = 1.5

// middle is twice the middle of the box.
func (r *boxed) middle() [3]float32 {
	return [3]float32{r.low[0] + r.high[0], r.low[1] + r.high[1], r.low[2] + r.high[2]}
}
