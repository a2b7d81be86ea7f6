package survey

import (
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// How wide the material or the air is at a point of the surface is the diameter of the
// largest ball that touches the surface there and holds no point of the surface that faces
// back. What meets at an edge of 90°, say, does not face back, so a ball is not made small
// by the edge of a plate; the sides of a wedge do, and the ball shrinks with it.
//
// Facing back is to within backCos: five-sided pins are just measured (their sides are 36°
// from facing each other), and edges that are blunter than that are no thin walls.
const backCos = 0.7986 // of 37°

// A reach is what was found at a sample to one of its sides.
type reach struct {
	width float64 // negative where nothing faces back
	taper float64 // the angle between the two faces, radians
	along geom.Vec
}

// middle is that of the ball.
func (r *reach) middle(s *sample) geom.Vec { return s.at.Add(r.along.Scale(r.width / 2)) }

// A prober measures from points of one surface.
type prober struct {
	surface
	tree  *geom.Tree
	sense float64 // 1, or -1 where the facets face inwards
	size  float64 // of the whole: no ray need be longer
	// nested is set where closed shells may stand in each other: then what lies inside
	// another shell is not the surface of anything.
	nested bool
	// apart is set by health where no shell comes near another and none lies in material:
	// then nothing of the surface does.
	apart bool
}

func newProber(f surface, tree *geom.Tree, bulk mesh.Measures) *prober {
	c := f.Connected
	p := &prober{surface: f, tree: tree, sense: 1, size: tree.Box().Size().Len()}
	if c.Topology.Closed {
		p.nested = c.Topology.Shells > 1
		if bulk.Volume < 0 {
			p.sense = -1
		}
	}
	return p
}

// around is how often the surface goes around a point just off it, on the side to which
// the unit vector out points: 0 where that is the open air, 0 too where it cannot be told.
func (p *prober) around(at, out geom.Vec) int {
	at = at.Add(out.Scale(1e-7 * p.size))
	for _, along := range askedWays() {
		if around, sure := p.tree.Crossings(at, along); sure {
			return around * int(p.sense)
		}
	}
	return 0
}

// askedWays are unit vectors as if at random, so that no model is built along them.
func askedWays() [3]geom.Vec {
	return [3]geom.Vec{
		toUnit(geom.Vec{0.48809, 0.62347, 0.61072}),
		toUnit(geom.Vec{-0.71337, 0.32541, 0.62067}),
		toUnit(geom.Vec{0.26211, -0.79423, 0.54816}),
	}
}

// buried reports whether that point is inside of something.
func (p *prober) buried(at, out geom.Vec) bool { return p.around(at, out) != 0 }

// exits is how the facets face that a ray leaves the material through.
func (p *prober) exits() geom.Facing {
	if p.sense < 0 {
		return geom.Front
	}
	return geom.Back
}

const (
	coneRays  = 6
	coneAngle = 30 * math.Pi / 180
	// A ball is taken for the largest when nothing is nearer to its middle than this
	// share of its radius less: from the middle of a round pin all its facets are.
	ballSlack = 1e-3
	ballLooks = 250
	// exitsMost is how many shells that stand in each other a ray may leave.
	exitsMost = 16
)

// inward measures the material at s, outward the air.
func (p *prober) inward(s *sample) reach  { return p.measure(s, -1, p.exits(), 1) }
func (p *prober) outward(s *sample) reach { return p.measure(s, 1, -p.exits(), -1) }

// measure takes the larger of two balls: the one on the curve that the facet stands for,
// and the one on the facet. On a curve the second is too small, by up to a third of the
// angle by which the facet is tilted against it, on a flat face with a fillet beside it the
// first.
func (p *prober) measure(s *sample, way float64, facing geom.Facing, through float64) reach {
	if s.bent == (geom.Vec{}) {
		return p.ball(s, s.normal.Scale(way), facing, through, -1)
	}
	bent := p.ball(s, s.bent.Scale(way), facing, through, -1)
	if flat := p.ball(s, s.normal.Scale(way), facing, through, bent.width); flat.width > bent.width {
		return flat
	}
	return bent
}

// ball measures along the unit vector along, towards facets that face so. through is 1
// where their normals, were they outward ones, would point along as well. A ball that is
// no larger than beat is not wanted, and may be left unfinished or out.
//
// Method: rays in a cone about the normal find what faces back (as for the shape diameter:
// Shapira, Shamir and Cohen-Or, The Visual Computer 24, 2008), and from the smallest ball
// through one of those points the ball is shrunk to what still lies inside (Ma, Bae and
// Choi, 3D medial axis point approximation, The Visual Computer 28, 2012).
func (p *prober) ball(s *sample, along geom.Vec, facing geom.Facing, through, beat float64) reach {
	none := reach{width: -1, along: along}
	faces := along.Scale(through * p.sense) // where the normals of what faces back point to
	width, met := math.Inf(1), geom.Vec{}
	try := func(ray geom.Vec) {
		// The ball through s.at and the end of a ray at this angle is smaller than the ones
		// before where the ray is no longer than this; what is beyond need not be found.
		cos := ray.Dot(along)
		hit, ok := p.exitWithin(s.at, ray, width*cos+1e-9*p.size, facing)
		if !ok {
			return
		}
		normal := p.facing(hit.Place)
		if normal.Dot(faces) < backCos {
			return
		}
		if w := hit.At / cos; w < width {
			width, met = w, normal
		}
	}
	try(along)
	u, v := besides(along)
	sin, cos := math.Sincos(coneAngle)
	for k := range coneRays {
		if max(width, 0) <= beat {
			return none
		}
		sk, ck := math.Sincos(2 * math.Pi * (float64(k) + 0.25) / coneRays)
		try(along.Scale(cos).Add(u.Scale(sin * ck)).Add(v.Scale(sin * sk)))
	}
	width = max(width, 0) // what is met behind the sample, by rounding, is met at it
	if math.IsInf(width, 1) || width <= beat {
		return none
	}
	for range 24 {
		r := width / 2
		near, ok := p.tree.NearestFacing(s.at.Add(along.Scale(r)), r*(1-ballSlack), faces, backCos, ballLooks)
		if !ok {
			break
		}
		to := near.Point.Sub(s.at)
		smaller := to.Dot(to) / to.Dot(along)
		if !(smaller >= 0 && smaller < width) {
			break
		}
		normal := p.facing(near.Place)
		if p.nested && p.buried(p.within(near), normal.Scale(p.sense)) {
			break
		}
		enough := smaller > width*(1-ballSlack)
		width, met = smaller, normal
		if enough || width <= beat {
			break
		}
	}
	return reach{width: width, taper: math.Acos(min(1, met.Dot(faces))), along: along}
}

// within is the point, moved a little from the edge of its triangle to the middle.
func (p *prober) within(near geom.Near) geom.Vec {
	a, b, c := p.tree.Corners(near.Place)
	middle := a.Add(b).Add(c).Scale(1.0 / 3)
	return near.Point.Add(middle.Sub(near.Point).Scale(1e-3))
}

// facing is the normal of the triangle at a place of the tree, or 0 where it has none.
func (p *prober) facing(place int) geom.Vec {
	a, b, c := p.tree.Corners(place)
	return toUnit(b.Sub(a).Cross(c.Sub(a)))
}

// besides are two unit vectors square to the unit vector n and to each other.
func besides(n geom.Vec) (u, v geom.Vec) {
	least := 0
	for i := range n {
		if math.Abs(n[i]) < math.Abs(n[least]) {
			least = i
		}
	}
	var e geom.Vec
	e[least] = 1
	u = n.Cross(e)
	u = u.Scale(1 / u.Len())
	return u, n.Cross(u)
}

// exit is where a ray from the surface comes to an end of the material, or of the air, that
// it begins in: a facet that faces so, but none inside of another shell.
func (p *prober) exit(from, along geom.Vec, facing geom.Facing) (geom.Hit, bool) {
	return p.exitWithin(from, along, math.Inf(1), facing)
}

// exitWithin is exit if that is nearer than most.
func (p *prober) exitWithin(from, along geom.Vec, most float64, facing geom.Facing) (geom.Hit, bool) {
	least := -1e-9 * p.size
	for range exitsMost {
		hit, ok := p.tree.Ray(geom.Ray{From: from, Along: along, Least: least, Most: most, Facing: facing})
		if !ok || !p.nested {
			return hit, ok
		}
		if !p.buried(from.Add(along.Scale(hit.At)), p.facing(hit.Place).Scale(p.sense)) {
			return hit, true
		}
		least = hit.At
	}
	return geom.Hit{}, false
}

const (
	chordDirections = 8
	oppositeCos     = -0.5 // the ends of a chord that is a width look at each other within 60°
)

// chords are the ways through the material, or the air, across the middle of the ball at s
// and square to the way that was measured: the shortest of those that end at faces
// opposite to each other, and the longest of all.
func (p *prober) chords(middle, along geom.Vec, facing geom.Facing) (shortest, longest float64) {
	u, v := besides(along)
	shortest = math.Inf(1)
	for k := range chordDirections {
		sin, cos := math.Sincos(math.Pi * float64(k) / chordDirections)
		d := u.Scale(cos).Add(v.Scale(sin))
		one, ok1 := p.exit(middle, d, facing)
		other, ok2 := p.exit(middle, d.Scale(-1), facing)
		if !ok1 || !ok2 {
			longest = math.Inf(1)
			continue
		}
		chord := one.At + other.At
		longest = max(longest, chord)
		if p.facing(one.Place).Dot(p.facing(other.Place)) <= oppositeCos {
			shortest = min(shortest, chord)
		}
	}
	return shortest, longest
}
