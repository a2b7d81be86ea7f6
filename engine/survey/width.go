package survey

import (
	"context"
	"math"

	"scantling/engine/geom"
)

// Thickness is what the walls and pins of a part measure.
type Thickness struct {
	Distribution
	// Places are the thin ones, the least first; at most a few hundred.
	Places []Thin `json:"places"`
}

// A Thin place is a wall, thin in one direction, or a pin, thin in two.
type Thin struct {
	Pin bool `json:"pin"`
	// Free is set for a wall that is held at one side only, or at none: from most of it
	// there is no line along it that ends in something thicker both ways. What goes around,
	// as the shell of a hollow, is held.
	Free bool `json:"free"`
	// Height is how far a free wall, or a pin, stands up from what is broader, by the shortest
	// way to its edge; 0 where it stands on nothing broader, as a plate does not.
	Height  float64  `json:"height,omitempty"`
	Least   float64  `json:"least"`
	Typical float64  `json:"typical"` // half of the area has no more
	Area    float64  `json:"area"`    // of the surface, both sides
	Centre  geom.Vec `json:"centre"`  // of that surface
	Box     geom.Box `json:"box"`
}

// Gaps are the widths of the air between faces that look at each other.
type Gaps struct {
	Distribution
	Places []Gap `json:"places"`
}

// A Gap is a slot, narrow in one direction, or a hole, narrow in two.
type Gap struct {
	Hole    bool    `json:"hole"`
	Least   float64 `json:"least"`
	Typical float64 `json:"typical"`
	// Depth is from the mouth to the floor, or from mouth to mouth where there is no
	// floor; 0 for a void without a mouth.
	Depth  float64  `json:"depth"`
	Area   float64  `json:"area"` // of the surface, both sides
	Centre geom.Vec `json:"centre"`
	Box    geom.Box `json:"box"`
}

// In reports whether a hole is one of the bores, seen by the thickness of the air.
func (g Gap) In(bores []Round) bool {
	for _, r := range bores {
		apart := g.Centre.Sub(r.Centre)
		along := apart.Dot(r.Axis)
		if math.Abs(along) <= r.Depth/2+r.Diameter && apart.Sub(r.Axis.Scale(along)).Len() <= r.Diameter/2 {
			return true
		}
	}
	return false
}

// placesMost bounds how many places are told.
const placesMost = 300

// widths measures all samples, inwards or outwards.
func (p *prober) widths(ctx context.Context, samples []sample, measure func(s *sample) reach, report func(float64)) ([]reach, error) {
	const chunk = 256
	reaches := make([]reach, len(samples))
	chunks := (len(samples) + chunk - 1) / chunk
	tell := newTeller(chunks, report)
	err := inParallel(ctx, chunks, func() func(k int) {
		return func(k int) {
			for i := k * chunk; i < min(len(samples), (k+1)*chunk); i++ {
				if i%16 == 0 && ctx.Err() != nil {
					return
				}
				reaches[i] = measure(&samples[i])
			}
			tell.one()
		}
	})
	return reaches, err
}

// bare leaves out the samples that lie inside of another shell.
func (p *prober) bare(ctx context.Context, samples []sample) ([]sample, error) {
	const chunk = 256
	inside := make([]bool, len(samples))
	err := inParallel(ctx, (len(samples)+chunk-1)/chunk, func() func(k int) {
		return func(k int) {
			for i := k * chunk; i < min(len(samples), (k+1)*chunk); i++ {
				inside[i] = p.buried(samples[i].at, samples[i].normal)
			}
		}
	})
	kept := samples[:0]
	for i, s := range samples {
		if !inside[i] {
			kept = append(kept, s)
		}
	}
	return kept, err
}

// distribution is that of what was measured.
func distribution(samples []sample, reaches []reach) Distribution {
	pieces := make([]weighed, len(samples))
	for i := range samples {
		pieces[i] = weighed{reaches[i].width, samples[i].area}
	}
	return distributionOf(pieces)
}

// regions groups what was measured towards facets that face so.
func (p *prober) regions(ctx context.Context, samples []sample, reaches []reach, cube float64, facing geom.Facing) ([]*region, error) {
	regions, err := regionsOf(samples, reaches, cube, func(of []int32) ([]shape, error) {
		const chunk = 64
		shapes := make([]shape, len(of))
		err := inParallel(ctx, (len(of)+chunk-1)/chunk, func() func(k int) {
			return func(k int) {
				for j := k * chunk; j < min(len(of), (k+1)*chunk); j++ {
					s, r := &samples[of[j]], &reaches[of[j]]
					shortest, longest := p.chords(r.middle(s), r.along, facing)
					shapes[j] = shapeOf(r.width, shortest, longest)
				}
			}
		})
		return shapes, err
	})
	if err != nil {
		return nil, err
	}
	return regions[:min(len(regions), placesMost)], nil
}

func (p *prober) thins(ctx context.Context, samples []sample, reaches []reach, regions []*region, origin geom.Vec) ([]Thin, error) {
	places := make([]Thin, len(regions))
	err := inParallel(ctx, len(regions), func() func(k int) {
		return func(k int) {
			r := regions[k]
			t := Thin{Pin: r.shape == thinInTwo, Least: r.least, Typical: r.typical, Area: r.area}
			t.Box, t.Centre = r.where(samples, origin)
			if t.Free = !t.Pin && p.free(ctx, samples, reaches, r); t.Pin || t.Free {
				t.Height = p.height(ctx, samples, reaches, r)
			}
			places[k] = t
		}
	})
	return places, err
}

func (p *prober) gaps(ctx context.Context, samples []sample, reaches []reach, regions []*region, origin geom.Vec) ([]Gap, error) {
	places := make([]Gap, len(regions))
	err := inParallel(ctx, len(regions), func() func(k int) {
		return func(k int) {
			r := regions[k]
			g := Gap{Hole: r.shape == thinInTwo, Least: r.least, Typical: r.typical, Area: r.area}
			g.Box, g.Centre = r.where(samples, origin)
			if floored, through := p.runs(ctx, samples, reaches, r, -p.exits()); len(floored) > 0 {
				g.Depth = median(floored, float64(len(floored)))
			} else {
				g.Depth = through
			}
			places[k] = g
		}
	})
	return places, err
}

// height is that of what stands on something broader, at most of it: the run from its edge to
// there.
func (p *prober) height(ctx context.Context, samples []sample, reaches []reach, r *region) float64 {
	floored, _ := p.runs(ctx, samples, reaches, r, p.exits())
	if 2*len(floored) <= runSamples {
		return 0
	}
	return median(floored, float64(len(floored)))
}

// runSamples is how many places of a region its runs are measured at.
const runSamples = 9

// runs are ways through a region between faces that face so: those from floor to mouth, and of
// the rest the longest from mouth to mouth. In air they are how deep a gap is; in material the
// floor is the edge of what stands there, and the mouth is where it stands.
func (p *prober) runs(ctx context.Context, samples []sample, reaches []reach, r *region, facing geom.Facing) (floored []weighed, through float64) {
	var axis geom.Vec
	if r.shape == thinInTwo {
		axis = r.axis(samples)
	}
	for k := range runSamples {
		i := r.members[(2*k+1)*len(r.members)/(2*runSamples)]
		if ctx.Err() != nil {
			return nil, 0
		}
		d := p.runAt(&samples[i], &reaches[i], axis, facing)
		if d.floor {
			floored = append(floored, weighed{d.way, 1})
		} else if d.mouth {
			through = max(through, d.way)
		}
	}
	return floored, through
}

// axis is the direction that the normals of a region are square to, as far as they can be.
func (r *region) axis(samples []sample) geom.Vec {
	var spread [3]geom.Vec
	for _, i := range r.members {
		n := samples[i].normal
		for k := range spread {
			spread[k] = spread[k].Add(n.Scale(n[k] * samples[i].area))
		}
	}
	return leastAxis(spread)
}

// A run is the way through a gap, or what stands up, in one direction.
type run struct {
	way          float64
	mouth, floor bool // whether it ends at a mouth, and begins at a floor
}

// better prefers a run from a floor, and of two the shorter.
func (d run) better(than run) bool {
	switch {
	case !d.mouth || d.floor != than.floor:
		return d.mouth && d.floor
	case !than.mouth:
		return true
	}
	return d.way < than.way
}

// runAt is the best run through the middle of the air, or the material, at s: along the axis of
// a hole or pin, in any direction between the faces of a slot or wall, whose axis is 0.
func (p *prober) runAt(s *sample, r *reach, axis geom.Vec, facing geom.Facing) run {
	middle := r.middle(s)
	if axis != (geom.Vec{}) {
		up, down := p.runAlong(middle, axis, r, facing), p.runAlong(middle, axis.Scale(-1), r, facing)
		if down.better(up) {
			return down
		}
		return up
	}
	u, v := besides(r.along)
	toward := func(turn float64) run {
		sin, cos := math.Sincos(turn)
		return p.runAlong(middle, u.Scale(cos).Add(v.Scale(sin)), r, facing)
	}
	const ways = 16
	best, turn := toward(0), 0.0
	for k := 1; k < ways; k++ {
		if d := toward(2 * math.Pi * float64(k) / ways); d.better(best) {
			best, turn = d, 2*math.Pi*float64(k)/ways
		}
	}
	for step := math.Pi / ways; step > 0.01; step /= 2 {
		for _, way := range [2]float64{turn - step, turn + step} {
			if d := toward(way); d.better(best) {
				best, turn = d, way
			}
		}
	}
	return best
}

// floorCos is of how far a floor may be inclined to the way out.
const floorCos = 0.86 // 30°

// runAlong is the run out through the mouth in the direction d, back to the floor or to the
// mouth on the other side.
func (p *prober) runAlong(middle, d geom.Vec, r *reach, facing geom.Facing) run {
	out, open := p.mouth(middle, d, r, facing)
	if !open {
		return run{}
	}
	back, open := p.mouth(middle, d.Scale(-1), r, facing)
	all := run{way: out + back, mouth: true}
	if !open {
		outward := p.sense // of the floor, towards the mouth of a gap, away from where a wall stands
		if facing == p.exits() {
			outward = -outward
		}
		floor, ok := p.meets(middle, d.Scale(-1), math.Inf(1), facing)
		all.floor = ok && p.facing(floor.Place).Dot(d)*outward >= floorCos
	}
	return all
}

// meets is what a ray comes to that faces so: of what lies in other material only where it goes
// through air.
func (p *prober) meets(from, along geom.Vec, most float64, facing geom.Facing) (geom.Hit, bool) {
	if p.nested && facing == p.exits() {
		hit, ok := p.exit(from, along, facing)
		return hit, ok && hit.At <= most
	}
	return p.tree.Ray(geom.Ray{From: from, Along: along, Most: most, Facing: facing})
}

// leastStep of the part's size is the least with which the air is followed, so that the steps are
// few however narrow it is.
const leastStep = 0x1p-20

// mouth follows the air, or the material, between the two faces from its middle in the direction d to where
// one of them ends, or, when open is false, to what closes it.
func (p *prober) mouth(middle, d geom.Vec, r *reach, facing geom.Facing) (way float64, open bool) {
	end := 2 * p.size
	if hit, ok := p.meets(middle, d, end, facing); ok {
		end = hit.At
	}
	between := func(way float64) bool {
		at := middle.Add(d.Scale(way))
		for _, side := range [2]geom.Vec{r.along, r.along.Scale(-1)} {
			if _, ok := p.meets(at, side, 0.75*r.width, facing); !ok {
				return false
			}
		}
		return true
	}
	inside, step := 0.0, max(r.width/4, leastStep*p.size)
	for inside < end {
		next := min(inside+step, end*(1-1e-9))
		if !between(next) {
			outside := next
			for range 20 {
				if half := (inside + outside) / 2; between(half) {
					inside = half
				} else {
					outside = half
				}
			}
			return inside, true
		}
		if next >= end*(1-1e-9) {
			break
		}
		inside = next
		step *= 1.3
	}
	return end, false
}
