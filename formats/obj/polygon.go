package obj

import (
	"cmp"
	"math"
	"slices"

	"scantling/engine/geom"
)

// A clipper cuts polygons into triangles. It keeps its room between polygons.
type clipper struct {
	points    [][2]float64
	next      []int32
	prev      []int32
	reflex    []bool  // not strictly convex
	notches   []int32 // the reflex corners, and some that were, from left to right
	filled    int     // those that were
	steps     int     // that the polygon may still take
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
	c.next, c.prev, c.reflex, c.notches = c.next[:0], c.prev[:0], c.reflex[:0], c.notches[:0]
	for i := range int32(n) {
		c.next = append(c.next, i+1)
		c.prev = append(c.prev, i-1)
	}
	c.next[n-1], c.prev[0] = 0, int32(n-1)
	if !c.project(p) {
		c.fan(0, n)
		return c.triangles
	}
	c.reflex = slices.Grow(c.reflex, n)[:n]
	clear(c.reflex)
	for i := range int32(n) {
		if c.turn(i) <= 0 {
			c.reflex[i] = true
			c.notches = append(c.notches, i)
		}
	}
	if len(c.notches) == 0 {
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
	slices.SortFunc(c.notches, c.leftmost)
	c.filled = 0
	c.steps = 1<<20 + 256*n // far more than outlines of parts take
	i := int32(0)
	for missed := 0; n > 3; {
		if missed == n || c.steps < 0 {
			c.fan(i, n)
			return
		}
		if c.reflex[i] || !c.ear(i) {
			i = c.next[i]
			missed++
			continue
		}
		before, after := c.prev[i], c.next[i]
		c.triangles = append(c.triangles, [3]int32{before, i, after})
		c.next[before], c.prev[after] = after, before
		n--
		missed = 0
		c.see(before)
		c.see(after)
		i = after
	}
	c.triangles = append(c.triangles, [3]int32{c.prev[i], i, c.next[i]})
}

// turn is positive where the outline turns left at corner i.
func (c *clipper) turn(i int32) float64 {
	return side(c.points[c.prev[i]], c.points[i], c.points[c.next[i]])
}

// leftmost orders corners by where they lie.
func (c *clipper) leftmost(a, b int32) int { return cmp.Compare(c.points[a][0], c.points[b][0]) }

// see finds out whether corner i is reflex now that a neighbour is gone. It is so for the
// first time only by rounding.
func (c *clipper) see(i int32) {
	was := c.reflex[i]
	c.reflex[i] = c.turn(i) <= 0
	switch {
	case c.reflex[i] && !was:
		at, _ := slices.BinarySearchFunc(c.notches, i, c.leftmost)
		c.notches = slices.Insert(c.notches, at, i)
		c.steps -= len(c.notches) / 16
	case was && !c.reflex[i]:
		if c.filled++; 2*c.filled > len(c.notches) {
			c.notches = slices.DeleteFunc(c.notches, func(k int32) bool { return !c.reflex[k] })
			c.filled = 0
		}
	}
}

// ear reports whether the triangle at corner i, which turns left, holds no other corner.
// Only a reflex one can lie in it first. One at the same point as a corner of the triangle
// is where a slit runs to a hole, and no hindrance.
func (c *clipper) ear(i int32) bool {
	p, q, r := c.points[c.prev[i]], c.points[i], c.points[c.next[i]]
	left, right := min(p[0], q[0], r[0]), max(p[0], q[0], r[0])
	at, _ := slices.BinarySearchFunc(c.notches, left, func(k int32, x float64) int { return cmp.Compare(c.points[k][0], x) })
	for _, k := range c.notches[at:] {
		x := c.points[k]
		if x[0] > right {
			break
		}
		c.steps--
		if c.reflex[k] && side(p, q, x) >= 0 && side(q, r, x) >= 0 && side(r, p, x) >= 0 && x != p && x != q && x != r {
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
