package survey

import (
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Sink is a cone at the mouth of a bore, wide enough to take the head of a screw.
type Sink struct {
	Diameter float64  `json:"diameter"` // at the mouth
	Angle    float64  `json:"angle"`    // of the whole cone, degrees
	Depth    float64  `json:"depth"`
	Centre   geom.Vec `json:"centre"` // of the mouth
}

const (
	// Between these angles a cone is for a head, or a chamfer; beyond them it is a taper or
	// a drill's point.
	sinkLeast = 30.0
	sinkMost  = 150.0
	sinkWider = 1.05 // than the bore at least
	sinkRound = 0.01 // its corners are as near to their circle, as a share of its radius
)

// sinks are the cones at the ends of the patch, which is a bore along c.axis from low to
// high. flatness is how much nearer its flats come to the axis than its edges.
func (c *cylinder) sinks(flats []flat, low, high, flatness float64) []Sink {
	var found []Sink
	for _, end := range [2]struct{ z, up float64 }{{low, -1}, {high, 1}} {
		if s, ok := c.sink(flats, end.z, end.up, flatness); ok {
			found = append(found, s)
		}
	}
	return found
}

// sink is the cone that goes on from the rim at z, towards up.
func (c *cylinder) sink(flats []flat, z, up, flatness float64) (Sink, bool) {
	near := max(1e-3*c.radius, 4*c.grain)
	rim := 0.0
	outer := 0.0 // radius of the corners
	far := z
	var next []int32         // facets beyond the rim
	var corners [][2]float64 // radius, height
	for _, f := range flats {
		for _, i := range c.facets[f.from:f.to] {
			for k, beyond := range c.Across[i] {
				if beyond == mesh.None || c.stamp[beyond] == c.count {
					continue
				}
				e, long := c.side(int(i), k)
				if math.Abs(e.Dot(c.axis)) > 0.5 || math.Abs(c.along(c.Mesh.Triangles[i][k])-z) > near {
					continue
				}
				// A cone's facets look inwards and out of the mouth.
				n := c.normal(int(beyond)).Scale(c.sense)
				if tilt := math.Asin(min(1, max(-1, up*n.Dot(c.axis)))) * 180 / math.Pi; tilt < sinkLeast/2-2 || tilt > sinkMost/2+2 {
					continue
				}
				rim += long
				next = append(next, beyond)
			}
		}
	}
	for _, i := range next {
		if c.stamp[i] == c.count { // in a flat that was seen already
			continue
		}
		c.spread(int(i), func(facet int32) {
			for _, v := range c.Mesh.Triangles[facet] {
				d := c.vertex(v).Sub(c.about)
				r, h := math.Hypot(d.Dot(c.u)-c.x, d.Dot(c.v)-c.y), d.Dot(c.axis)
				corners = append(corners, [2]float64{r, h})
				outer = max(outer, r)
				if up*(h-far) > 0 {
					far = h
				}
			}
		})
	}
	depth := up * (far - z)
	if rim < math.Pi*c.radius || outer < sinkWider*c.radius || !(depth > near) {
		return Sink{}, false
	}
	sound := true
	for _, p := range corners { // each lies on the cone, or on a flat between its edges
		radius, tolerance := c.radius+(outer-c.radius)*(p[1]-z)/(far-z), max(sinkRound*outer, 4*c.grain)
		sound = sound && p[0] <= radius+tolerance && p[0] >= radius*flatness-tolerance
	}
	angle := 2 * math.Atan2(outer-c.radius, depth) * 180 / math.Pi
	if !sound || angle < sinkLeast || angle > sinkMost {
		return Sink{}, false
	}
	return Sink{
		Diameter: 2 * outer,
		Angle:    angle,
		Depth:    depth,
		Centre:   c.about.Add(c.u.Scale(c.x)).Add(c.v.Scale(c.y)).Add(c.axis.Scale(far)),
	}, true
}

// along is how far along the axis a vertex is.
func (c *cylinder) along(v uint32) float64 { return c.vertex(v).Sub(c.about).Dot(c.axis) }
