package geom

import "math"

// A Near is the point of the triangles that is nearest to another.
type Near struct {
	Triangle int
	Place    int // of the triangle in Order
	Point    Vec
	Distance float64
}

// Nearest finds the point of the triangles that is nearest to p, if one is closer than
// within.
func (t *Tree) Nearest(p Vec, within float64) (Near, bool) {
	return t.nearest(p, within, &aim{})
}

// NearestFacing is Nearest among the triangles whose unit normal has at least this scalar
// product with the unit vector along. Triangles without area face nowhere. After as many
// looks at boxes it makes do with the nearest one seen, since from the middle of a ball
// all that is around is equally near; 0 looks are any number.
func (t *Tree) NearestFacing(p Vec, within float64, along Vec, least float64, looks int) (Near, bool) {
	return t.nearest(p, within, &aim{facing: true, along: along, least: least, looks: looks})
}

// An aim says which triangles are looked for, and how long.
type aim struct {
	facing bool
	along  Vec
	least  float64
	looks  int
}

func (t *Tree) nearest(p Vec, within float64, a *aim) (Near, bool) {
	best, found := Near{}, -1
	if len(t.nodes) == 0 || !p.Finite() || !(within > 0) {
		return best, false
	}
	// Distances to boxes are in their space, in single precision; p counts as in reach of
	// the boxes, which makes no box nearer than it is by more than they are padded.
	q := p.Sub(t.middle).Scale(t.scale)
	var from [3]float32
	for i := range q {
		if math.Abs(q[i]) > 4 { // far from all: look at distances in double precision only
			return t.nearestFar(p, within, a)
		}
		from[i] = float32(q[i])
	}
	square := within * within
	limit := t.nearLimit(square)

	var stack [stackMost]struct {
		at     ref
		square float32
	}
	depth, looks := 0, a.looks
	at := ref(0)
	for {
		for !at.leaf() {
			looks--
			n := &t.nodes[at]
			d0, d1 := squareTo(&n.box[0], &from), squareTo(&n.box[1], &from)
			near, far := n.child[0], n.child[1]
			if d1 < d0 {
				near, far, d0, d1 = far, near, d1, d0
			}
			if d0 > limit {
				at = noRef
				break
			}
			if d1 <= limit {
				stack[depth].at, stack[depth].square = far, d1
				depth++
			}
			at = near
		}
		if at != noRef {
			first, end := at.run()
			for i := first; i < end; i++ {
				if d, ok := t.tryNear(i, p, square, a, &best); ok {
					square, found = d, i
					limit = t.nearLimit(square)
				}
			}
		}
		for {
			if depth == 0 || looks < 0 && a.looks > 0 {
				return t.near(best, found, square)
			}
			depth--
			if stack[depth].square <= limit {
				at = stack[depth].at
				break
			}
		}
	}
}

// tryNear puts the nearest point of the triangle at place i into best if its squared
// distance is below square, and says what that is.
func (t *Tree) tryNear(i int, p Vec, square float64, aim *aim, best *Near) (float64, bool) {
	if aim.facing && !aim.worth(&t.corners[i], &p, square) {
		return 0, false
	}
	a, b, c := t.Corners(i)
	q := NearestOn(p, a, b, c)
	to := q.Sub(p)
	d := to.Dot(to)
	if d < square {
		best.Point = q
		return d, true
	}
	return 0, false
}

// worth reports whether a triangle faces as it should, and its plane is as near to p as asked for.
// It is asked of every triangle on the way, so it keeps its numbers out of vectors, which the
// compiler leaves in memory.
func (a *aim) worth(c *[9]float32, p *Vec, square float64) bool {
	ax, ay, az := float64(c[0]), float64(c[1]), float64(c[2])
	ux, uy, uz := float64(c[3])-ax, float64(c[4])-ay, float64(c[5])-az
	vx, vy, vz := float64(c[6])-ax, float64(c[7])-ay, float64(c[8])-az
	nx, ny, nz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
	long := nx*nx + ny*ny + nz*nz
	cos := nx*a.along[0] + ny*a.along[1] + nz*a.along[2]
	if !(long > 0 && cos*math.Abs(cos) >= a.least*math.Abs(a.least)*long) {
		return false
	}
	above := (p[0]-ax)*nx + (p[1]-ay)*ny + (p[2]-az)*nz
	return !(above*above >= square*long)
}

func (t *Tree) near(best Near, found int, square float64) (Near, bool) {
	if found < 0 {
		return Near{}, false
	}
	best.Triangle, best.Place = int(t.order[found]), found
	best.Distance = math.Sqrt(square)
	return best, true
}

// nearestFar is nearest from a point far outside, where all boxes are about as near as
// each other: it goes by double precision.
func (t *Tree) nearestFar(p Vec, within float64, a *aim) (Near, bool) {
	best, found := Near{}, -1
	square := within * within
	stack := make([]ref, 1, stackMost)
	for len(stack) > 0 {
		at := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if at.leaf() {
			first, end := at.run()
			for i := first; i < end; i++ {
				if d, ok := t.tryNear(i, p, square, a, &best); ok {
					square, found = d, i
				}
			}
			continue
		}
		n := &t.nodes[at]
		var distance [2]float64
		for k := range n.box {
			box := t.place(&n.box[k])
			for i := range p {
				d := max(box.Min[i]-p[i], p[i]-box.Max[i], 0)
				distance[k] += d * d
			}
		}
		first := 0
		if distance[1] < distance[0] {
			first = 1
		}
		for _, k := range [2]int{1 - first, first} { // the nearer is taken off first
			if distance[k] <= square {
				stack = append(stack, n.child[k])
			}
		}
	}
	return t.near(best, found, square)
}

// nearLimit is how far, squared, a box may be when the nearest so far is at this distance.
func (t *Tree) nearLimit(square float64) float32 {
	return float32(min(square*t.scale*t.scale, 1e6)) * (1 + 4*slack)
}

// squareTo is the square of the distance from p to the box, 0 inside.
func squareTo(b *[6]float32, p *[3]float32) float32 {
	x := max(b[0]-p[0], p[0]-b[3], 0)
	y := max(b[1]-p[1], p[1]-b[4], 0)
	z := max(b[2]-p[2], p[2]-b[5], 0)
	return x*x + y*y + z*z
}

// place is a box of a node where the triangles are.
func (t *Tree) place(b *[6]float32) Box {
	var box Box
	for i := range 3 {
		box.Min[i] = float64(b[i])/t.scale + t.middle[i]
		box.Max[i] = float64(b[i+3])/t.scale + t.middle[i]
	}
	return box
}

// NearestOn is the point of the triangle a, b, c that is nearest to p; the triangle may be
// a line or a point.
//
// Method: by the region of the plane in which p lies, by signs of scalar products (Ericson,
// Real-Time Collision Detection, 2005, section 5.1.5).
func NearestOn(p, a, b, c Vec) Vec {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 && d1 > d3 {
		return a.Add(ab.Scale(d1 / (d1 - d3)))
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 && d2 > d6 {
		return a.Add(ac.Scale(d2 / (d2 - d6)))
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4 >= d3 && d5 >= d6 && d4-d3+d5-d6 > 0 {
		return b.Add(c.Sub(b).Scale((d4 - d3) / (d4 - d3 + d5 - d6)))
	}
	sum := va + vb + vc
	if !(sum > 0) { // no area, and rounding hid the side that p lies before
		return nearestOfSides(p, a, b, c)
	}
	return a.Add(ab.Scale(vb / sum)).Add(ac.Scale(vc / sum))
}

func nearestOfSides(p, a, b, c Vec) Vec {
	best, least := a, math.Inf(1)
	for _, side := range [3][2]Vec{{a, b}, {b, c}, {c, a}} {
		along := side[1].Sub(side[0])
		q := side[0]
		if square := along.Dot(along); square > 0 {
			q = q.Add(along.Scale(min(max(p.Sub(q).Dot(along)/square, 0), 1)))
		}
		if to := q.Sub(p); to.Dot(to) < least {
			best, least = q, to.Dot(to)
		}
	}
	return best
}

// Touching calls visit with the place in Order of every triangle whose box may meet the
// given one, until visit says no. Boxes that come within rounding of each other meet.
func (t *Tree) Touching(box Box, visit func(place int) bool) {
	if len(t.nodes) == 0 || box.Empty() {
		return
	}
	var b [6]float32
	for i := range 3 {
		b[i] = float32(max((box.Min[i]-t.middle[i])*t.scale, -2)) - padding
		b[i+3] = float32(min((box.Max[i]-t.middle[i])*t.scale, 2)) + padding
	}
	var stack [stackMost]ref
	depth := 1 // the root stands first
	for depth > 0 {
		depth--
		at := stack[depth]
		if at.leaf() {
			first, end := at.run()
			for i := first; i < end; i++ {
				if !visit(i) {
					return
				}
			}
			continue
		}
		n := &t.nodes[at]
		for k := range n.box {
			c := &n.box[k]
			if c[0] <= b[3] && b[0] <= c[3] && c[1] <= b[4] && b[1] <= c[4] && c[2] <= b[5] && b[2] <= c[5] {
				stack[depth] = n.child[k]
				depth++
			}
		}
	}
}
