package geom

import "math"

// A Tree finds the triangles that a ray, a ball or a box meets without looking at all of
// them: a bounding volume hierarchy. It is made by NewTree, never changes, and any number
// of goroutines may ask it. It keeps about 75 bytes a triangle.
//
// What it answers does not depend on how the tree is built: it is what a look at every
// triangle would give, but for which of several equally near ones is named.
type Tree struct {
	nodes   []node
	corners [][9]float32 // of the triangles, in the order of the leaves
	order   []uint32     // for each of those, which triangle it is

	// The boxes stand in a space of their own, where the whole is within -1 to 1 along
	// each axis: place = (point - middle) · scale. scale is a power of two.
	middle Vec
	scale  float64
	box    Box
}

// A node has the boxes of its two children side by side, so that a look at a node is a
// look at one cache line. Each box is x, y, z of its least corner, then of its greatest.
type node struct {
	box   [2][6]float32
	child [2]ref
	_     [2]uint32
}

// A ref is a child: the index of a node, or a run of triangles in leaf order.
type ref uint32

const (
	leafBit   = ref(1 << 31)
	leafMost  = 8 // triangles in a leaf, at most
	treeMost  = 1 << 28
	stackMost = 96 // no path through a tree is longer: see splitDepth
)

func leafRef(first, count int) ref { return leafBit | ref(first)<<3 | ref(count-1) }

func (r ref) leaf() bool            { return r&leafBit != 0 }
func (r ref) run() (first, end int) { first = int(r&^leafBit) >> 3; return first, first + int(r&7) + 1 }

// Len counts the triangles.
func (t *Tree) Len() int { return len(t.order) }

// Box holds all triangles; it is empty when there are none.
func (t *Tree) Box() Box { return t.box }

// Order names the triangles so that those near each other in space are mostly near each
// other in the list: work done in this order finds its data in the cache. The caller must
// not change it.
func (t *Tree) Order() []uint32 { return t.order }

// Corners are those of the triangle at a place of Order.
func (t *Tree) Corners(place int) (a, b, c Vec) {
	p := &t.corners[place]
	return Vec{float64(p[0]), float64(p[1]), float64(p[2])},
		Vec{float64(p[3]), float64(p[4]), float64(p[5])},
		Vec{float64(p[6]), float64(p[7]), float64(p[8])}
}

// A Facing says which triangles a ray meets: those are counter-clockwise from outside, so
// it enters through a Front and leaves through a Back.
type Facing int8

// The sides of triangles.
const (
	Front  Facing = -1
	Either Facing = 0
	Back   Facing = 1
)

// A Hit is where a ray meets a triangle.
type Hit struct {
	Triangle int
	Place    int     // of the triangle in Order
	At       float64 // how far along the ray
	Facing   Facing  // Front or Back
}

// A Ray is a half-line, or the piece of it between two distances.
type Ray struct {
	From        Vec
	Along       Vec     // of length 1
	Least, Most float64 // only what is strictly between is met
	Facing      Facing  // only what faces so is met
}

// Ray finds the nearest triangle that the ray meets. A ray through an edge or a corner
// meets at least one of the triangles there: none slips between two that share an edge.
// Triangles without area, and those that the ray runs along, are not met. A ray that is
// not finite meets nothing.
//
// Method: Woop, Benthin and Wald, Watertight Ray/Triangle Intersection (Journal of
// Computer Graphics Techniques 2(1), 2013), in double precision on single precision
// corners, so that the sides that two triangles share get the same sign from both. Boxes
// are kept too large by more than rounding (Ize, Robust BVH Ray Traversal, ibid. 2(2)).
func (t *Tree) Ray(r Ray) (Hit, bool) {
	w, ok := t.walk(&r)
	if !ok {
		return Hit{}, false
	}
	s := newShear(&r)
	best, found := Hit{At: r.Most}, -1
	limit := w.limit(best.At)

	var stack [stackMost]struct {
		at  ref
		far float32
	}
	depth := 0
	at := ref(0)
	for {
		for !at.leaf() {
			n := &t.nodes[at]
			t0, hit0 := w.enters(&n.box[0], limit)
			t1, hit1 := w.enters(&n.box[1], limit)
			switch {
			case hit0 && hit1:
				near, far, later := n.child[0], n.child[1], t1
				if t1 < t0 {
					near, far, later = far, near, t0
				}
				stack[depth].at, stack[depth].far = far, later
				depth++
				at = near
				continue
			case hit0:
				at = n.child[0]
				continue
			case hit1:
				at = n.child[1]
				continue
			}
			at = noRef // a leaf, so that the loop ends
		}
		if at != noRef {
			first, end := at.run()
			for i := first; i < end; i++ {
				d, facing := s.meets(&t.corners[i])
				if facing != 0 && (r.Facing == 0 || facing == r.Facing) && d > r.Least && d < best.At {
					best.At, best.Facing, found = d, facing, i
					limit = w.limit(d)
				}
			}
		}
		for {
			if depth == 0 {
				if found < 0 {
					return Hit{}, false
				}
				best.Triangle, best.Place = int(t.order[found]), found
				return best, true
			}
			depth--
			if stack[depth].far <= limit {
				at = stack[depth].at
				break
			}
		}
	}
}

// noRef is a leaf that no tree has.
const noRef = ref(math.MaxUint32)

// Crossings adds up the triangles that a ray without end meets: +1 for each Back, -1 for
// each Front. From a point that no triangle passes through, this is how often the surface
// goes around it. sure is false where the ray passed an edge too closely to tell: then
// another direction must be tried.
func (t *Tree) Crossings(from, along Vec) (sum int, sure bool) {
	r := Ray{From: from, Along: along, Most: math.Inf(1)}
	w, ok := t.walk(&r)
	if !ok {
		return 0, true
	}
	s := newShear(&r)
	limit := w.limit(r.Most)
	sure = true
	stack := make([]ref, 1, stackMost)
	for len(stack) > 0 {
		at := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if !at.leaf() {
			n := &t.nodes[at]
			for k := range n.box {
				if _, hit := w.enters(&n.box[k], limit); hit {
					stack = append(stack, n.child[k])
				}
			}
			continue
		}
		first, end := at.run()
		for i := first; i < end; i++ {
			d, facing := s.meets(&t.corners[i])
			if facing == 0 {
				continue
			}
			if s.edge {
				sure = false
			}
			if d > 0 {
				sum += int(facing)
			}
		}
	}
	return sum, sure
}

// A walk is a ray in the space of the boxes.
type walk struct {
	from, inverse [3]float32
	near, far     [3]uint8 // where in a box the side stands that the ray meets first, and last
	least         float32
	scale, ahead  float64
}

// walk prepares r; ok is false where it meets nothing.
func (t *Tree) walk(r *Ray) (w walk, ok bool) {
	if len(t.nodes) == 0 || !r.From.Finite() || !r.Along.Finite() || !(r.Most > r.Least) {
		return w, false
	}
	from := r.From.Sub(t.middle).Scale(t.scale)
	// From far away the ray is followed from where it can first meet anything, since the
	// rounding of a large number would be larger than the boxes are padded.
	if away := from.Len() - 2; away > 0 {
		w.ahead = away
		from = from.Add(r.Along.Scale(away))
		if from.Len() > 3 { // led away, or past
			return w, false
		}
	}
	for i, d := range r.Along {
		w.from[i] = float32(from[i])
		if math.Abs(d) < 1e-18 { // a slab along the ray: its ends are farther than any box
			d = math.Copysign(1e-18, d)
		}
		w.inverse[i] = float32(1 / d)
		w.near[i], w.far[i] = uint8(i), uint8(i+3)
		if d < 0 {
			w.near[i], w.far[i] = w.far[i], w.near[i]
		}
	}
	w.scale = t.scale
	w.least = max(0, float32(r.Least*w.scale-w.ahead)*(1-slack)-slack)
	return w, true
}

// slack is a little more than three roundings of a float32.
const slack = 4e-7

// limit is how far a box may be when the nearest hit so far is at this distance.
func (w *walk) limit(at float64) float32 {
	return float32(min(at*w.scale-w.ahead, 16))*(1+slack) + slack
}

// enters is how far along the ray the box begins, if the ray meets it.
func (w *walk) enters(b *[6]float32, limit float32) (at float32, ok bool) {
	from := (b[w.near[0]] - w.from[0]) * w.inverse[0]
	to := (b[w.far[0]] - w.from[0]) * w.inverse[0]
	from1 := (b[w.near[1]] - w.from[1]) * w.inverse[1]
	to1 := (b[w.far[1]] - w.from[1]) * w.inverse[1]
	from2 := (b[w.near[2]] - w.from[2]) * w.inverse[2]
	to2 := (b[w.far[2]] - w.from[2]) * w.inverse[2]
	from = max(from, from1, from2, w.least)
	to = min(to, to1, to2, limit)
	return from, from <= to
}

// A shear turns the ray into the third axis, along which it runs with speed 1.
type shear struct {
	from       Vec
	x, y, z    int
	sx, sy, sz float64
	edge       bool // the last triangle was met on its very edge
}

func newShear(r *Ray) shear {
	s := shear{from: r.From}
	d := r.Along
	for i := range d {
		if math.Abs(d[i]) > math.Abs(d[s.z]) {
			s.z = i
		}
	}
	s.x, s.y = (s.z+1)%3, (s.z+2)%3
	if d[s.z] < 0 { // so that what is counter-clockwise stays so
		s.x, s.y = s.y, s.x
	}
	s.sx, s.sy, s.sz = d[s.x]/d[s.z], d[s.y]/d[s.z], 1/d[s.z]
	return s
}

// meets is how far along the line of the ray the triangle is and how it faces, 0 when it
// is missed.
func (s *shear) meets(p *[9]float32) (at float64, facing Facing) {
	x, y, z := s.x, s.y, s.z
	fx, fy, fz := s.from[x], s.from[y], s.from[z]
	az := float64(p[z]) - fz
	bz := float64(p[z+3]) - fz
	cz := float64(p[z+6]) - fz
	ax := float64(p[x]) - fx - float64(s.sx*az)
	ay := float64(p[y]) - fy - float64(s.sy*az)
	bx := float64(p[x+3]) - fx - float64(s.sx*bz)
	by := float64(p[y+3]) - fy - float64(s.sy*bz)
	cx := float64(p[x+6]) - fx - float64(s.sx*cz)
	cy := float64(p[y+6]) - fy - float64(s.sy*cz)

	// Each product is rounded by itself, so that a neighbour, who has the side the other
	// way round, gets exactly the negative.
	u := float64(cx*by) - float64(cy*bx)
	v := float64(ax*cy) - float64(ay*cx)
	w := float64(bx*ay) - float64(by*ax)
	if (u < 0 || v < 0 || w < 0) && (u > 0 || v > 0 || w > 0) {
		return 0, 0
	}
	det := u + v + w
	if det == 0 {
		return 0, 0
	}
	s.edge = u == 0 || v == 0 || w == 0
	at = s.sz * (u*az + v*bz + w*cz) / det
	if det > 0 {
		return at, Front
	}
	return at, Back
}
