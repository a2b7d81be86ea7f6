package survey

import (
	"context"
	"math"

	"scantling/engine/geom"
)

const (
	heldSamples = 9 // places of a wall from which it is asked where it is held
	heldWays    = 8 // lines through each, in both directions
	// walkMost bounds a walk along a wall, in steps of a half to four widths: what is
	// farther off is taken for held.
	walkMost = 60
	// A wall ends in something thicker where it is this much thicker than it was.
	heldRatio = 1.6
)

// free reports whether a wall is held at one side only, or at none.
func (p *prober) free(ctx context.Context, samples []sample, reaches []reach, r *region) bool {
	asked := min(heldSamples, len(r.members))
	held := 0
	for k := range asked {
		if ctx.Err() != nil {
			return false
		}
		i := r.members[(2*k+1)*len(r.members)/(2*asked)]
		if p.held(&samples[i], &reaches[i]) {
			held++
		}
	}
	return 2*held < asked
}

// held reports whether a line through the middle of the wall at s ends in something thicker
// both ways.
func (p *prober) held(s *sample, r *reach) bool {
	middle := r.middle(s)
	u, v := besides(r.along)
	for k := range heldWays {
		sin, cos := math.Sincos(math.Pi * (float64(k) + 0.25) / heldWays)
		d := u.Scale(cos).Add(v.Scale(sin))
		if p.walk(middle, d, r) && p.walk(middle, d.Scale(-1), r) {
			return true
		}
	}
	return false
}

// walk goes along the middle of a wall, around whatever bends it has, and reports whether
// it comes to something thicker, or to no end; at an edge it does not.
func (p *prober) walk(at, d geom.Vec, r *reach) bool {
	across, width, step := r.along, r.width, r.width/2
	for range walkMost {
		if hit, ok := p.exit(at, d, p.exits()); ok && hit.At <= step {
			// What ends here faces along the walk at an edge, and across it in a bend.
			if p.facing(hit.Place).Dot(d)*p.sense > 0.7 {
				return false
			}
			if step = hit.At / 2; !(step > 1e-3*r.width) {
				return false
			}
		}
		next := at.Add(d.Scale(step))
		one, ok1 := p.exit(next, across, p.exits())
		other, ok2 := p.exit(next, across.Scale(-1), p.exits())
		if !ok1 || !ok2 {
			return false // out in the air
		}
		wide := one.At + other.At
		if wide > heldRatio*width {
			return true
		}
		// Back to the middle, and on along the face.
		at = next.Add(across.Scale((one.At - other.At) / 2))
		face := p.facing(one.Place).Scale(p.sense)
		if cos := face.Dot(across); cos > 0.5 {
			across = face
			d = toUnit(d.Sub(across.Scale(d.Dot(across))))
			wide *= cos
		}
		width = min(width, wide)
		step = min(1.3*step, 4*r.width)
	}
	return true
}
