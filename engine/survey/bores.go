package survey

import (
	"cmp"
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Round is a bore or a peg: facets that stand for a cylinder and go more than half
// around it.
type Round struct {
	// Diameter is that of the cylinder through the corners; Flats is across the flats
	// between them, which is what a shaft must pass through.
	Diameter float64  `json:"diameter"`
	Flats    float64  `json:"flats"`
	Depth    float64  `json:"depth"`   // or length, along the axis
	Through  bool     `json:"through"` // a bore: open at both ends
	Arc      float64  `json:"arc"`     // how far it goes around, degrees
	Sides    int      `json:"sides"`   // how many flats stand for it
	Axis     geom.Vec `json:"axis"`    // of length 1, the largest component positive
	Centre   geom.Vec `json:"centre"`  // half-way along the axis
	// Sinks are the cones at the ends of a bore: countersinks and wide chamfers.
	Sinks []Sink `json:"sinks,omitempty"`
}

const (
	// Up to this bend two flats may be sides of one cylinder: eight around have 45°.
	sideCos = 0.64 // 50°
	// Flats that stand for one plane are level within this, and rounding.
	planeSin = 2e-4
	// Sides are as parallel to the axis as this, and rounding.
	alongSin = 0.01
	// The corners are as near to the circle as this share of its radius, and rounding: what
	// was drawn round and then bent with its surface counts as round.
	roundness = 0.02
	leastArc  = 185.0
	// No flat of a cylinder is made of more facets: it bounds the search.
	flatMost = 256
)

// rounds finds the bores and pegs.
//
// Method: facets in one plane are one flat. From an edge between two flats a patch grows
// over edges parallel to it that bend the same way. Its axis is the direction that all its
// normals are square to, and a circle is fitted to its corners along that (Kåsa 1976).
// Every edge is crossed once in its own direction, so that the search is bounded.
func (p *prober) rounds(ctx context.Context) (bores, pegs []Round, err error) {
	g := &grower{prober: p, grain: p.grain(), bends: make([]bends, p.Mesh.Len()), stamp: make([]uint32, p.Mesh.Len()), large: make([]bool, p.Mesh.Len())}
	err = inParallel(ctx, (len(g.bends)+askEvery-1)/askEvery, func() func(k int) {
		return func(k int) {
			for i := k * askEvery; i < min(len(g.bends), (k+1)*askEvery); i++ {
				g.bends[i] = g.bendsOf(i)
			}
		}
	})
	if err != nil {
		return nil, nil, err
	}
	for i := range p.Mesh.Triangles {
		if i%askEvery == 0 && ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if !g.large[i] && g.stamp[i] == 0 {
			g.measure(i)
		}
	}
	for i := range p.Mesh.Triangles {
		if i%1024 == 0 && ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		for k := range 3 {
			if g.bends[i]>>k&(step|crossed) != step || int(p.Across[i][k]) < i {
				continue
			}
			round, outer, ok := g.grow(i, k)
			switch {
			case !ok:
			case outer:
				pegs = append(pegs, round)
			default:
				bores = append(bores, round)
			}
		}
	}
	for _, list := range [][]Round{bores, pegs} {
		slices.SortFunc(list, func(a, b Round) int {
			return cmp.Or(cmp.Compare(a.Diameter, b.Diameter), slices.Compare(a.Centre[:], b.Centre[:]))
		})
	}
	return bores, pegs, nil
}

// A grower grows patches.
type grower struct {
	*prober
	grain float64  // the step between two float32 at the largest coordinate
	bends []bends  // of each triangle
	stamp []uint32 // for each triangle, the last patch that it was seen for
	count uint32
	large []bool // for each triangle, whether its flat is too large for a side

	facets   []int32 // of the patch
	flats    []flat
	queue    []int32
	points   [][2]float64
	breadths []float64
}

// A flat is a run of the patch's facets in one plane.
type flat struct {
	from, to int // in facets
	normal   geom.Vec
}

// noise is the angle by which rounding may turn what is this long.
func (g *grower) noise(length float64) float64 {
	if length <= 0 {
		return 1
	}
	return min(1, 2*g.grain/length)
}

// height is the least height of triangle i.
func (g *grower) height(i int) float64 {
	a, b, c := g.corners(i)
	longest := math.Sqrt(max(square(&a, &b), square(&b, &c), square(&c, &a)))
	if longest == 0 {
		return 0
	}
	return g.twice(i).Len() / longest
}

// square is the squared distance between two points.
func square(a, b *geom.Vec) float64 {
	x, y, z := b[0]-a[0], b[1]-a[1], b[2]-a[2]
	return x*x + y*y + z*z
}

// bends say how its neighbours lie beyond the sides of a triangle: each bit is for side 0,
// shifted once for side 1, twice for side 2.
type bends uint16

const (
	level   bends = 1 << (3 * iota) // in one plane with it
	step                            // bent as the sides of a cylinder may be
	convex                          // and that outwards
	crossed                         // a patch has grown over the side
)

// bendsOf are those of triangle i.
func (g *grower) bendsOf(i int) (found bends) {
	n, noise := g.normal(i), g.noise(g.height(i))
	t := g.Mesh.Triangles[i]
	for k, j := range g.Across[i] {
		if j == mesh.None {
			continue
		}
		m := g.normal(int(j))
		cos, turn := n.Dot(m), n.Cross(m)
		if cos > 0 && turn.Len() <= min(0.05, planeSin+noise+g.noise(g.height(int(j)))) {
			found |= level << k
		} else if cos >= sideCos {
			found |= step << k
			// Seen along the side, the normals of an outer edge turn the way that the
			// side goes.
			edge := g.vertex(t[(k+1)%3]).Sub(g.vertex(t[k]))
			if turn.Dot(edge)*g.sense > 0 {
				found |= convex << k
			}
		}
	}
	return found
}

// side is the unit vector along side k of triangle i, and its length.
func (g *grower) side(i, k int) (geom.Vec, float64) {
	t := g.Mesh.Triangles[i]
	e := g.vertex(t[(k+1)%3]).Sub(g.vertex(t[k]))
	length := e.Len()
	if length == 0 {
		return e, 0
	}
	return e.Scale(1 / length), length
}

// grow finds the patch around side k of triangle i, and what it stands for.
func (g *grower) grow(i, k int) (round Round, outer, ok bool) {
	g.cross(i, k)
	way := g.bends[i] >> k & (step | convex)
	axis, length := g.side(i, k)
	if length == 0 {
		return round, false, false
	}
	g.count++
	g.facets, g.flats = g.facets[:0], g.flats[:0]
	g.flood(i)
	for at := 0; at < len(g.flats); at++ {
		for _, f := range g.facets[g.flats[at].from:g.flats[at].to] {
			f := int(f)
			for s := range 3 {
				if g.bends[f]>>s&(step|convex) != way {
					continue
				}
				e, length := g.side(f, s)
				if e.Cross(axis).Len() > alongSin+g.noise(length) {
					continue
				}
				g.cross(f, s)
				if beyond := int(g.Across[f][s]); g.stamp[beyond] != g.count {
					g.flood(beyond)
				}
			}
		}
	}
	if len(g.flats) < 4 {
		return round, false, false
	}
	outer = way&convex != 0
	round, ok = g.fit(outer)
	return round, outer, ok
}

// cross marks a side as crossed, seen from both triangles.
func (g *grower) cross(i, k int) {
	g.bends[i] |= crossed << k
	if j := g.Across[i][k]; j != mesh.None {
		for s, back := range g.Across[j] {
			if int(back) == i {
				g.bends[j] |= crossed << s
			}
		}
	}
}

// flood puts the flat of a triangle into the patch, unless it is too large for a side.
func (g *grower) flood(i int) {
	if g.large[i] {
		return
	}
	from := len(g.facets)
	var normal geom.Vec
	g.spread(i, func(f int32) {
		g.facets = append(g.facets, f)
		normal = normal.Add(g.twice(int(f)))
	})
	g.flats = append(g.flats, flat{from, len(g.facets), toUnit(normal)})
}

// measure finds out whether the flat of a triangle is too large.
func (g *grower) measure(i int) {
	g.count++
	g.facets = g.facets[:0]
	g.spread(i, func(f int32) { g.facets = append(g.facets, f) })
	if len(g.facets) > flatMost {
		for _, f := range g.facets {
			g.large[f] = true
		}
	}
}

// spread stamps the flat of a triangle and visits its facets.
func (g *grower) spread(i int, visit func(f int32)) {
	g.stamp[i] = g.count
	g.queue = append(g.queue[:0], int32(i))
	for len(g.queue) > 0 {
		f := g.queue[len(g.queue)-1]
		g.queue = g.queue[:len(g.queue)-1]
		visit(f)
		for s, beyond := range g.Across[f] {
			if g.bends[f]>>s&level != 0 && g.stamp[beyond] != g.count {
				g.stamp[beyond] = g.count
				g.queue = append(g.queue, beyond)
			}
		}
	}
}

// fit judges whether the patch is a cylinder.
func (g *grower) fit(outer bool) (Round, bool) {
	var spread [3]geom.Vec
	for _, f := range g.flats { // each weighs the same, however broad
		for k := range spread {
			spread[k] = spread[k].Add(f.normal.Scale(f.normal[k]))
		}
	}
	axis := leastAxis(spread)
	if axis == (geom.Vec{}) {
		return Round{}, false
	}
	u, v := besides(axis)
	about := g.vertex(g.Mesh.Triangles[g.facets[0]][0])
	c := cylinder{grower: g, axis: axis, u: u, v: v, about: about}
	flats := g.flats
	points, breadths := g.points[:0], g.breadths[:0]
	for _, f := range flats {
		e := c.edges(f)
		points = append(points, e[0], e[1])
		breadths = append(breadths, math.Hypot(e[1][0]-e[0][0], e[1][1]-e[0][1]))
	}
	g.points, g.breadths = points, breadths
	if !c.circle(points) {
		// What runs on into flats of another breadth, as the tangents of a drop, is
		// tried without them.
		sorted := slices.Sorted(slices.Values(breadths))
		usual := sorted[len(sorted)/2]
		var kept []flat
		for k, f := range flats {
			if breadths[k] <= 1.6*usual {
				points[2*len(kept)], points[2*len(kept)+1] = points[2*k], points[2*k+1]
				kept = append(kept, f)
			}
		}
		if len(kept) == len(flats) || len(kept) < 4 || !c.circle(points[:2*len(kept)]) {
			return Round{}, false
		}
		flats = kept
	}
	return c.round(flats, outer)
}

// A cylinder is fitted to flats: where it is in the plane of u and v, seen from about.
type cylinder struct {
	*grower
	axis, u, v, about geom.Vec
	x, y, radius      float64
}

// each calls visit with all corners of a flat, in the plane and along the axis.
func (c *cylinder) each(f flat, visit func(x, y, z float64)) {
	for _, i := range c.facets[f.from:f.to] {
		for _, vertex := range c.Mesh.Triangles[i] {
			d := c.vertex(vertex).Sub(c.about)
			visit(d.Dot(c.u), d.Dot(c.v), d.Dot(c.axis))
		}
	}
}

// edges are where the two long sides of a flat lie in the plane; what has corners between
// them was cut finer than the cylinder asks.
func (c *cylinder) edges(f flat) (ends [2][2]float64) {
	across := f.normal.Cross(c.axis)
	x, y := across.Dot(c.u), across.Dot(c.v)
	low, high := math.Inf(1), math.Inf(-1)
	c.each(f, func(px, py, _ float64) {
		at := x*px + y*py
		if at < low {
			low, ends[0] = at, [2]float64{px, py}
		}
		if at > high {
			high, ends[1] = at, [2]float64{px, py}
		}
	})
	return ends
}

// circle fits a circle to points, and reports whether they lie on it.
func (c *cylinder) circle(points [][2]float64) bool {
	n, mx, my := float64(len(points)), 0.0, 0.0
	for _, p := range points {
		mx, my = mx+p[0], my+p[1]
	}
	mx, my = mx/n, my/n
	var xx, xy, yy, xs, ys float64
	for _, p := range points {
		x, y := p[0]-mx, p[1]-my
		s := x*x + y*y
		xx, xy, yy, xs, ys = xx+x*x, xy+x*y, yy+y*y, xs+x*s, ys+y*s
	}
	det := xx*yy - xy*xy
	if !(det > 1e-9*(xx+yy)*(xx+yy)) {
		return false
	}
	c.x, c.y = mx+(xs*yy-ys*xy)/(2*det), my+(ys*xx-xs*xy)/(2*det)
	least, most := math.Inf(1), 0.0
	for _, p := range points {
		r := math.Hypot(p[0]-c.x, p[1]-c.y)
		least, most = min(least, r), max(most, r)
	}
	c.radius = (least + most) / 2
	return most-least <= 2*max(roundness*c.radius, 2*c.grain)
}

// round is what the flats stand for, if they go around far enough and end as a cylinder
// does.
func (c *cylinder) round(flats []flat, outer bool) (Round, bool) {
	type arc struct{ from, to float64 }
	arcs := make([]arc, 0, len(flats)+1)
	apart := math.Inf(1)
	low, high := math.Inf(1), math.Inf(-1)
	for _, f := range flats {
		if math.Abs(f.normal.Dot(c.axis)) > alongSin+c.noise(c.radius/4) {
			return Round{}, false
		}
		x, y := f.normal.Dot(c.u), f.normal.Dot(c.v)
		middle := math.Atan2(y, x)
		one := arc{math.Inf(1), math.Inf(-1)}
		c.each(f, func(px, py, z float64) {
			px, py = px-c.x, py-c.y
			apart = min(apart, math.Abs(px*x+py*y))
			way := 1.0
			if px*x+py*y < 0 {
				way = -1 // a bore: its normals look at the axis
			}
			turn := math.Atan2(way*(x*py-y*px), way*(x*px+y*py))
			one.from, one.to = min(one.from, turn), max(one.to, turn)
			low, high = min(low, z), max(high, z)
		})
		if one.to-one.from > 50*math.Pi/180+1e-3 {
			continue // a flat cut into the round
		}
		arcs = append(arcs, arc{middle + one.from, middle + one.to})
	}
	slices.SortFunc(arcs, func(a, b arc) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	covered, sides := 0.0, 0
	end := math.Inf(-1)
	for k, a := range arcs {
		if k == 0 || a.from > end-0.1*(a.to-a.from) {
			sides++ // and not one that stands beyond another along the axis
		}
		if a.to > end {
			covered += a.to - max(a.from, end)
			end = a.to
		}
	}
	covered = min(covered*180/math.Pi, 360)
	if covered > 359.5 {
		covered = 360
	}
	if covered < leastArc || !(high > low) || c.runsOn(flats, high-low) {
		return Round{}, false
	}
	z := (low + high) / 2
	centre := c.about.Add(c.u.Scale(c.x)).Add(c.v.Scale(c.y)).Add(c.axis.Scale(z))
	r := Round{
		Diameter: 2 * c.radius,
		Flats:    2 * apart,
		Depth:    high - low,
		Arc:      covered,
		Sides:    sides,
		Axis:     c.axis,
		Centre:   centre,
	}
	largest := 0
	for i := range r.Axis {
		if math.Abs(r.Axis[i]) > math.Abs(r.Axis[largest]) {
			largest = i
		}
	}
	if r.Axis[largest] < 0 {
		r.Axis = r.Axis.Scale(-1)
	}
	if !outer {
		r.Sinks = c.sinks(flats, low, high, apart/c.radius)
		r.Through = c.open(centre, c.axis, r) && c.open(centre, c.axis.Scale(-1), r)
	}
	return r, true
}

// open reports whether a bore has no floor that way: a drill's point, of 118°, reaches 0.6
// radii beyond its sides.
func (c *cylinder) open(centre, along geom.Vec, r Round) bool {
	_, closed := c.tree.Ray(geom.Ray{From: centre, Along: along, Most: r.Depth/2 + 0.35*r.Diameter, Facing: -c.exits()})
	return !closed
}

// runsOn reports whether the patch goes on smoothly, at most of its rim, into facets that
// are not much shorter: then it is a belt of a ball or of a ring.
func (c *cylinder) runsOn(flats []flat, length float64) bool {
	smooth, all := 0.0, 0.0
	for _, f := range flats {
		for _, i := range c.facets[f.from:f.to] {
			for k, beyond := range c.Across[i] {
				e, long := c.side(int(i), k)
				if beyond != mesh.None && c.stamp[beyond] == c.count || math.Abs(e.Dot(c.axis)) > 0.7 {
					continue
				}
				all += long
				if beyond == mesh.None || c.normal(int(i)).Dot(c.normal(int(beyond))) < smoothCos {
					continue
				}
				low, high := math.Inf(1), math.Inf(-1)
				for _, vertex := range c.Mesh.Triangles[beyond] {
					z := c.vertex(vertex).Dot(c.axis)
					low, high = min(low, z), max(high, z)
				}
				if length < 3*(high-low) {
					smooth += long
				}
			}
		}
	}
	return smooth > all/2
}
