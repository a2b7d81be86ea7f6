package survey

import (
	"math"

	"scantling/engine/geom"
)

// distance is how far two triangles are apart, and where: 0 only where a corner or a
// side of one meets the other. Those that pass through each other must be found otherwise.
//
// Method: the nearest points are a corner and a face, or two sides.
func distance(one, two *[3]geom.Vec) (far float64, at, other geom.Vec) {
	square := math.Inf(1)
	try := func(p, q geom.Vec) {
		d := q.Sub(p)
		if s := d.Dot(d); s < square {
			square, at, other = s, p, q
		}
	}
	for k := range 3 {
		try(one[k], geom.NearestOn(one[k], two[0], two[1], two[2]))
		try(geom.NearestOn(two[k], one[0], one[1], one[2]), two[k])
		for l := range 3 {
			try(nearestOfLines(one[k], one[(k+1)%3], two[l], two[(l+1)%3]))
		}
	}
	return math.Sqrt(square), at, other
}

// nearestOfLines are the nearest points of the lines from a to b and from c to d.
//
// Method: the minimum of a quadratic over a square (Ericson, Real-Time Collision Detection,
// 2005, section 5.1.9).
func nearestOfLines(a, b, c, d geom.Vec) (p, q geom.Vec) {
	u, v, r := b.Sub(a), d.Sub(c), a.Sub(c)
	uu, vv, vr := u.Dot(u), v.Dot(v), v.Dot(r)
	var s, t float64
	clamp := func(x float64) float64 { return min(max(x, 0), 1) }
	switch {
	case uu == 0 && vv == 0:
	case uu == 0:
		t = clamp(vr / vv)
	default:
		ur := u.Dot(r)
		if vv == 0 {
			s = clamp(-ur / uu)
			break
		}
		uv := u.Dot(v)
		if det := uu*vv - uv*uv; det > 0 { // otherwise they run side by side, and any s will do
			s = clamp((uv*vr - ur*vv) / det)
		}
		switch t = (uv*s + vr) / vv; {
		case t < 0:
			t, s = 0, clamp(-ur/uu)
		case t > 1:
			t, s = 1, clamp((uv-ur)/uu)
		}
	}
	return a.Add(u.Scale(s)), c.Add(v.Scale(t))
}

// boxOf is the box of a triangle, larger by this much on all sides.
func boxOf(t *[3]geom.Vec, larger float64) geom.Box {
	box := geom.EmptyBox().Add(t[0]).Add(t[1]).Add(t[2])
	return widened(box, larger)
}

func widened(b geom.Box, by float64) geom.Box {
	d := geom.Vec{by, by, by}
	return geom.Box{Min: b.Min.Sub(d), Max: b.Max.Add(d)}
}

// boxesApart is how far two boxes are apart.
func boxesApart(a, b geom.Box) float64 {
	var d geom.Vec
	for i := range d {
		d[i] = max(a.Min[i]-b.Max[i], b.Min[i]-a.Max[i], 0)
	}
	return d.Len()
}

// holds reports whether b lies in a.
func holds(a, b geom.Box) bool {
	for i := range 3 {
		if b.Min[i] < a.Min[i] || b.Max[i] > a.Max[i] {
			return false
		}
	}
	return true
}
