package geom

import (
	"math"
	"math/rand/v2"
	"slices"
)

// SmallestCircle is the smallest circle that holds all points; its radius is 0 for one
// point and for none. It is fastest on the corners of their hull. All points are within
// the radius that is returned but for the last rounding. They must be finite.
//
// Method: Welzl 1991, as the loop of de Berg and others (Computational Geometry, 3rd ed.,
// section 4.7), in an order that looks random and is always the same.
func SmallestCircle(points []Vec2) (centre Vec2, radius float64) {
	if len(points) == 0 {
		return Vec2{}, 0
	}
	about := points[0] // so that points far from the origin lose nothing
	p := make([]Vec2, len(points))
	for i := range points {
		p[i] = points[i].Sub(about)
	}
	random := rand.New(rand.NewPCG(uint64(len(p)), 1991))
	random.Shuffle(len(p), func(i, j int) { p[i], p[j] = p[j], p[i] })
	c := circle{centre: p[0]}
	for i := range p {
		if c.holds(p[i]) {
			continue
		}
		c = circle{centre: p[i]}
		for j := range i {
			if c.holds(p[j]) {
				continue
			}
			c = circleOver(p[i], p[j])
			for k := range j {
				if !c.holds(p[k]) {
					c = circleThrough(p[i], p[j], p[k])
				}
			}
		}
	}
	for _, q := range p {
		d := q.Sub(c.centre)
		radius = max(radius, math.Hypot(d[0], d[1]))
	}
	return Vec2{c.centre[0] + about[0], c.centre[1] + about[1]}, radius
}

type circle struct {
	centre Vec2
	square float64 // of the radius
}

// holds reports whether p is inside, or on the circle within rounding.
func (c circle) holds(p Vec2) bool {
	d := p.Sub(c.centre)
	return d.Dot(d) <= c.square*(1+1e-14)
}

// circleOver has a and b at the ends of a diameter.
func circleOver(a, b Vec2) circle {
	m := Vec2{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	return circleAt(m, a, b)
}

// circleThrough goes through three points; where they are on one line within rounding, it
// lies over the two that are farthest apart.
func circleThrough(a, b, c Vec2) circle {
	u, v := b.Sub(a), c.Sub(a)
	twice := 2 * u.Cross(v)
	uu, vv := u.Dot(u), v.Dot(v)
	m := Vec2{a[0] + (v[1]*uu-u[1]*vv)/twice, a[1] + (u[0]*vv-v[0]*uu)/twice}
	if twice == 0 || !m.Finite() {
		pairs := []circle{circleOver(a, b), circleOver(b, c), circleOver(c, a)}
		return slices.MaxFunc(pairs, func(p, q circle) int {
			if p.square < q.square {
				return -1
			}
			return 1
		})
	}
	return circleAt(m, a, b, c)
}

// circleAt is the circle about m that just holds the points.
func circleAt(m Vec2, points ...Vec2) circle {
	c := circle{centre: m}
	for _, p := range points {
		d := p.Sub(m)
		c.square = max(c.square, d.Dot(d))
	}
	return c
}
