package mannequin

import (
	"math"

	"scantling/engine/geom"
)

// A field is a solid: pieces that are joined one after another. Lengths are millimetres of
// the print; a distance is more than 0 outside. It is exact enough near the surface, and
// never changes by more than steep over a length of 1.
type field struct {
	groups []group
	floor  float64 // nothing is lower
}

// A group are pieces of one limb, with the width of the seam to what came before them.
type group struct {
	seam   float64
	pieces []piece
}

// A piece gives the distance of a point from it.
type piece interface {
	distance(p geom.Vec) float64
	// bounds hold the piece, and may be larger.
	bounds() geom.Box
}

// blend joins two distances with a fillet that begins where they differ by less than k.
func blend(a, b, k float64) float64 {
	if k <= 0 || math.Abs(a-b) >= k {
		return min(a, b)
	}
	h := (k - math.Abs(a-b)) / k
	return min(a, b) - h*h*k/4
}

func (f *field) at(p geom.Vec) float64 {
	d := math.Inf(1)
	for i := range f.groups {
		g := &f.groups[i]
		own := math.Inf(1)
		for _, q := range g.pieces {
			own = min(own, q.distance(p))
		}
		d = blend(d, own, g.seam)
	}
	return max(min(d, far), f.floor-p[2])
}

// far stands for any distance that no lattice asks about.
const far = 1e6

// near is the field with only those pieces that may matter within reach of a point.
func (f *field) near(p geom.Vec, reach float64) *field {
	out := &field{floor: f.floor}
	seam := 0.0
	for _, g := range f.groups {
		seam = max(seam, g.seam)
	}
	for _, g := range f.groups {
		h := group{seam: g.seam}
		for _, q := range g.pieces {
			if q.distance(p) <= 2*reach+seam {
				h.pieces = append(h.pieces, q)
			}
		}
		if len(h.pieces) > 0 {
			out.groups = append(out.groups, h)
		}
	}
	return out
}

// ellipsoid is about the distance from an ellipsoid about the origin: what its gradient makes
// of it to first order. Exact for a ball.
func ellipsoid(p, r geom.Vec) float64 {
	q := geom.Vec{p[0] / r[0], p[1] / r[1], p[2] / r[2]}
	k := q.Len()
	least := min(r[0], r[1], r[2])
	if k < 1e-9 {
		return -least
	}
	g := geom.Vec{q[0] / r[0], q[1] / r[1], q[2] / r[2]}.Len()
	return max(k*(k-1)/g, -least)
}

// An egg is an ellipsoid with its axes along the coordinates'.
type egg struct{ centre, radii geom.Vec }

func (e egg) distance(p geom.Vec) float64 { return ellipsoid(p.Sub(e.centre), e.radii) }

// A pair are two pieces joined by a seam of their own.
type pair struct {
	a, b piece
	seam float64
}

func (d pair) distance(p geom.Vec) float64 { return blend(d.a.distance(p), d.b.distance(p), d.seam) }

// A slab is a box with rounded edges.
type slab struct {
	box   geom.Box
	round float64
}

func (s slab) distance(p geom.Vec) float64 {
	var out geom.Vec
	deepest := math.Inf(-1)
	for a := range 3 {
		half := (s.box.Max[a]-s.box.Min[a])/2 - s.round
		d := math.Abs(p[a]-(s.box.Min[a]+s.box.Max[a])/2) - half
		out[a] = max(d, 0)
		deepest = max(deepest, d)
	}
	return out.Len() + min(deepest, 0) - s.round
}

// A bone is a stretch of a limb between two oval sections, with oval ends. The sections have
// one half axis along side, which is at right angles to along.
type bone struct {
	from, along, side, across geom.Vec
	length                    float64
	a, b                      [2]float64 // half axes at both ends: along side, and across it
}

func newBone(from, to, side geom.Vec, a, b [2]float64) bone {
	along := to.Sub(from)
	length := along.Len()
	along = along.Scale(1 / length)
	side = side.Sub(along.Scale(side.Dot(along)))
	side = side.Scale(1 / side.Len())
	return bone{from, along, side, along.Cross(side), length, a, b}
}

func (o bone) distance(p geom.Vec) float64 {
	q := p.Sub(o.from)
	z := q.Dot(o.along)
	t := min(max(z/o.length, 0), 1)
	r := geom.Vec{o.a[0] + (o.a[1]-o.a[0])*t, o.b[0] + (o.b[1]-o.b[0])*t, 0}
	r[2] = min(r[0], r[1])
	return ellipsoid(geom.Vec{q.Dot(o.side), q.Dot(o.across), z - t*o.length}, r)
}

// A trunk is a stack of sections, each a rounded rectangle of half breadth a, from front to back
// of half depth b about y, one above another.
type trunk struct {
	z0, dz   float64
	sections []section
	under    float64 // half axis of what closes it below
	over     float64 // and above
}

type section struct{ a, b, y float64 }

const squareness = 2.5 // exponent of the sections; 2 is an ellipse

func (t *trunk) distance(p geom.Vec) float64 {
	top := t.z0 + t.dz*float64(len(t.sections)-1)
	z := min(max(p[2], t.z0), top)
	r, s := t.radius(p, z)
	if away := p[2] - z; away != 0 {
		c := t.under
		if away > 0 {
			c = t.over
		}
		return ellipsoid(geom.Vec{p[0], p[1] - s.y, away}, geom.Vec{s.a, s.b, c})
	}
	// To first order, by the slope of the radius.
	step := t.dz / 4
	dx, _ := t.radius(p.Add(geom.Vec{step}), z)
	dy, _ := t.radius(p.Add(geom.Vec{0, step}), z)
	dz, _ := t.radius(p, min(z+step, top))
	slope := geom.Vec{dx - r, dy - r, dz - r}.Scale(1 / step).Len()
	least := min(s.a, s.b)
	// Nor deeper than the ends are near, so that it does not leap there.
	return max((r-1)/max(slope, 0.5/max(s.a, s.b)), -least, t.z0-t.under-p[2], p[2]-top-t.over)
}

// radius is how far out a point lies, as a share of the section at a height.
func (t *trunk) radius(p geom.Vec, z float64) (float64, section) {
	k := (z - t.z0) / t.dz
	i := min(int(k), len(t.sections)-2)
	k -= float64(i)
	u, v := t.sections[i], t.sections[i+1]
	s := section{u.a + (v.a-u.a)*k, u.b + (v.b-u.b)*k, u.y + (v.y-u.y)*k}
	x, y := math.Abs(p[0]/s.a), math.Abs((p[1]-s.y)/s.b)
	return math.Pow(math.Pow(x, squareness)+math.Pow(y, squareness), 1/squareness), s
}

func around(p geom.Vec, r float64) geom.Box {
	d := geom.Vec{r, r, r}
	return geom.Box{Min: p.Sub(d), Max: p.Add(d)}
}

func (e egg) bounds() geom.Box {
	return geom.Box{Min: e.centre.Sub(e.radii), Max: e.centre.Add(e.radii)}
}

func (d pair) bounds() geom.Box { return d.a.bounds().Union(d.b.bounds()) }

func (s slab) bounds() geom.Box { return s.box }

func (o bone) bounds() geom.Box {
	return around(o.from, max(o.a[0], o.b[0])).Union(around(o.from.Add(o.along.Scale(o.length)), max(o.a[1], o.b[1])))
}

func (t *trunk) bounds() geom.Box {
	out := geom.EmptyBox()
	for i, s := range t.sections {
		z := t.z0 + t.dz*float64(i)
		out = out.Add(geom.Vec{-s.a, s.y - s.b, z}).Add(geom.Vec{s.a, s.y + s.b, z})
	}
	out.Min[2] -= t.under
	out.Max[2] += t.over
	return out
}
