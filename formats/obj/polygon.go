package obj

import (
	"math"

	"scantling/engine/geom"
)

// A clipper cuts polygons into triangles. It keeps its room between polygons.
type clipper struct {
	points    [][2]float64
	next      []int32
	prev      []int32
	reflex    []bool // not strictly convex
	triangles [][3]int32
}

// cut cuts the polygon with the corners p, at least three, into len(p)-2 triangles of
// their numbers, turned as the polygon is. The result is valid until the next call.
//
// Method: a fan from the first corner where the polygon is strictly convex, and clipping of
// ears (Meisters, Polygons Have Ears, 1975) in the plane that it faces most where it is not,
// so that area is right for concave polygons too. A polygon that has no more ears (it
// crosses itself, or has no area), or that takes too many steps, is cut by a fan from
// there: the volume behind it is right all the same if it is flat.
func (c *clipper) cut(p []geom.Vec) [][3]int32 {
	c.triangles = c.triangles[:0]
	n := len(p)
	if n == 3 {
		c.triangles = append(c.triangles, [3]int32{0, 1, 2})
		return c.triangles
	}
	c.next, c.prev, c.reflex = c.next[:0], c.prev[:0], c.reflex[:0]
	for i := range int32(n) {
		c.next = append(c.next, i+1)
		c.prev = append(c.prev, i-1)
	}
	c.next[n-1], c.prev[0] = 0, int32(n-1)
	if !c.project(p) {
		c.fan(0, n)
		return c.triangles
	}
	convex := true
	for i := range n {
		c.reflex = append(c.reflex, c.turn(int32(i)) <= 0)
		convex = convex && !c.reflex[i]
	}
	if convex {
		c.fan(0, n)
	} else {
		c.clip(n)
	}
	return c.triangles
}

// project lays the polygon into the coordinate plane that it faces most, so that it runs
// counter-clockwise there. It is false when the polygon has no area.
func (c *clipper) project(p []geom.Vec) bool {
	var normal geom.Vec // Newell's
	for i := 1; i+1 < len(p); i++ {
		normal = normal.Add(p[i].Sub(p[0]).Cross(p[i+1].Sub(p[0])))
	}
	axis := 0
	for i := 1; i < 3; i++ {
		if math.Abs(normal[i]) > math.Abs(normal[axis]) {
			axis = i
		}
	}
	if normal[axis] == 0 || !normal.Finite() {
		return false
	}
	u, v := (axis+1)%3, (axis+2)%3
	if normal[axis] < 0 {
		u, v = v, u
	}
	c.points = c.points[:0]
	for _, q := range p {
		c.points = append(c.points, [2]float64{q[u] - p[0][u], q[v] - p[0][v]})
	}
	return true
}

// fan cuts the n corners that are left into a fan from corner first.
func (c *clipper) fan(first int32, n int) {
	a := c.next[first]
	for range n - 2 {
		b := c.next[a]
		c.triangles = append(c.triangles, [3]int32{first, a, b})
		a = b
	}
}

// clip clips ears until none is left.
func (c *clipper) clip(n int) {
	steps := 1<<20 + 256*n // what a polygon may take
	i := int32(0)
	for missed := 0; n > 3; {
		if missed == n || steps < 0 {
			c.fan(i, n)
			return
		}
		if c.reflex[i] || !c.ear(i, &steps) {
			i = c.next[i]
			missed++
			continue
		}
		before, after := c.prev[i], c.next[i]
		c.triangles = append(c.triangles, [3]int32{before, i, after})
		c.next[before], c.prev[after] = after, before
		n--
		missed = 0
		for _, k := range [2]int32{before, after} {
			c.reflex[k] = c.turn(k) <= 0
		}
		i = after
	}
	c.triangles = append(c.triangles, [3]int32{c.prev[i], i, c.next[i]})
}

// turn is positive where the outline turns left at corner i.
func (c *clipper) turn(i int32) float64 {
	return side(c.points[c.prev[i]], c.points[i], c.points[c.next[i]])
}

// ear reports whether the triangle at corner i, which turns left, holds no other corner.
// Only those that turn right or not at all can lie in it first. One at the same point as a
// corner of the triangle is where a slit runs to a hole, and no hindrance.
func (c *clipper) ear(i int32, steps *int) bool {
	before, after := c.prev[i], c.next[i]
	p, q, r := c.points[before], c.points[i], c.points[after]
	for k := c.next[after]; k != before; k = c.next[k] {
		*steps--
		if !c.reflex[k] {
			continue
		}
		x := c.points[k]
		if x != p && x != q && x != r && side(p, q, x) >= 0 && side(q, r, x) >= 0 && side(r, p, x) >= 0 {
			return false
		}
	}
	return true
}

// side is positive when c lies to the left of the line from a to b: twice the area of the
// triangle. The products are rounded before they are subtracted, on every processor, so
// that three points in a line that agree in a coordinate give zero.
func side(a, b, c [2]float64) float64 {
	return float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
}
