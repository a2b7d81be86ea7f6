package main

import (
	"math"

	"scantling/engine/geom"
)

// A field is a soft body: below 0 inside, above 0 outside, about as steep as a distance.
type field func(geom.Vec) float64

// cone is a bar with round ends from a to b, of radius ra there and rb here.
func cone(a, b geom.Vec, ra, rb float64) field {
	ab := b.Sub(a)
	return func(p geom.Vec) float64 {
		t := max(0, min(1, p.Sub(a).Dot(ab)/ab.Dot(ab)))
		return p.Sub(a.Add(ab.Scale(t))).Len() - (ra + t*(rb-ra))
	}
}

// egg is an ellipsoid with these half axes.
func egg(middle, half geom.Vec) field {
	return func(p geom.Vec) float64 {
		d := p.Sub(middle)
		var scaled, slope geom.Vec
		for i := range d {
			scaled[i] = d[i] / half[i]
			slope[i] = scaled[i] / half[i]
		}
		k := scaled.Len()
		if k == 0 {
			return -min(half[0], half[1], half[2])
		}
		return (k - 1) * k / slope.Len()
	}
}

// cushion is a box with these half sides, its edges rounded by r.
func cushion(middle, half geom.Vec, r float64) field {
	return func(p geom.Vec) float64 {
		d := p.Sub(middle)
		var out geom.Vec
		deepest := math.Inf(-1)
		for i := range d {
			q := math.Abs(d[i]) - half[i] + r
			out[i] = max(q, 0)
			deepest = max(deepest, q)
		}
		return out.Len() + min(deepest, 0) - r
	}
}

// puck is a round plate about the z axis with edges rounded by r.
func puck(middle geom.Vec, radius, half, r float64) field {
	return func(p geom.Vec) float64 {
		d := p.Sub(middle)
		a := math.Hypot(d[0], d[1]) - radius + r
		b := math.Abs(d[2]) - half + r
		return math.Hypot(max(a, 0), max(b, 0)) + min(max(a, b), 0) - r
	}
}

// blend joins fields, filling the corner between each and the next as a fillet of about
// this radius would.
func blend(radius float64, fields ...field) field {
	return func(p geom.Vec) float64 {
		d := fields[0](p)
		for _, f := range fields[1:] {
			e := f(p)
			h := max(radius-math.Abs(d-e), 0)
			d = min(d, e) - h*h/(4*radius)
		}
		return d
	}
}

// above cuts off what is lower than z.
func (f field) above(z float64) field {
	return func(p geom.Vec) float64 { return max(f(p), z-p[2]) }
}

// solid is the skin of f inside the box, as a net with one corner in every cubic cell of
// this size that the skin passes (surface nets, Gibson 1998), each pulled onto the skin.
// Where the skin passes a cell twice the net hangs together wrongly: the drawing's test
// finds that, and a slightly different size is the cure.
func (f field) solid(low, high geom.Vec, size float64) solid {
	var n [3]int
	for i := range n {
		n[i] = int(math.Ceil((high[i]-low[i])/size)) + 1
	}
	index := func(x, y, z int) int { return (z*n[1]+y)*n[0] + x }
	value := make([]float64, n[0]*n[1]*n[2])
	at := func(x, y, z int) geom.Vec {
		return geom.Vec{low[0] + float64(x)*size, low[1] + float64(y)*size, low[2] + float64(z)*size}
	}
	for z := range n[2] {
		for y := range n[1] {
			for x := range n[0] {
				value[index(x, y, z)] = f(at(x, y, z))
			}
		}
	}

	corner := make([]geom.Vec, len(value))
	for z := range n[2] - 1 {
		for y := range n[1] - 1 {
			for x := range n[0] - 1 {
				if p, ok := f.corner(at(x, y, z), size, func(dx, dy, dz int) float64 { return value[index(x+dx, y+dy, z+dz)] }); ok {
					corner[index(x, y, z)] = p
				}
			}
		}
	}

	// A grid edge that goes through the skin is inside the four-cornered face of the
	// cells around it.
	var s solid
	stride := [3]int{1, n[0], n[0] * n[1]}
	for z := 1; z < n[2]-1; z++ {
		for y := 1; y < n[1]-1; y++ {
			for x := 1; x < n[0]-1; x++ {
				i := index(x, y, z)
				for axis := range 3 {
					inside, beyond := value[i] < 0, value[i+stride[axis]] < 0
					if inside == beyond {
						continue
					}
					u, v := stride[(axis+1)%3], stride[(axis+2)%3]
					a, b, c, d := corner[i-u-v], corner[i-v], corner[i], corner[i-u]
					if beyond {
						b, d = d, b
					}
					s.quad(a, b, c, d)
				}
			}
		}
	}
	return s.outward()
}

// corner is the point of the skin that stands for a cell, if the skin passes through it.
func (f field) corner(low geom.Vec, size float64, value func(dx, dy, dz int) float64) (geom.Vec, bool) {
	var sum geom.Vec
	crossings := 0
	for axis := range 3 {
		for side := range 4 {
			var a, b [3]int
			a[(axis+1)%3], a[(axis+2)%3] = side&1, side>>1
			b = a
			b[axis] = 1
			va, vb := value(a[0], a[1], a[2]), value(b[0], b[1], b[2])
			if (va < 0) == (vb < 0) {
				continue
			}
			p := geom.Vec{float64(a[0]), float64(a[1]), float64(a[2])}
			p[axis] = va / (va - vb)
			sum = sum.Add(p)
			crossings++
		}
	}
	if crossings == 0 {
		return geom.Vec{}, false
	}
	middle := low.Add(sum.Scale(size / float64(crossings)))
	p := middle
	for range 3 {
		const h = 0.01
		d := f(p)
		slope := geom.Vec{
			f(p.Add(geom.Vec{h, 0, 0})) - d,
			f(p.Add(geom.Vec{0, h, 0})) - d,
			f(p.Add(geom.Vec{0, 0, h})) - d,
		}.Scale(1 / h)
		if slope.Dot(slope) < 0.01 {
			break
		}
		p = p.Sub(slope.Scale(d / slope.Dot(slope)))
	}
	// Not out of the cell, or neighbours could fold over each other.
	for i := range p {
		p[i] = max(low[i]+0.02*size, min(low[i]+0.98*size, p[i]))
	}
	return p, true
}
