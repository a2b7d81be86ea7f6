package survey

import (
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// Health is what is wrong with a mesh. All counts are 0 in a sound one.
type Health struct {
	OpenEdges    int `json:"open_edges"`    // used by one facet
	CrowdedEdges int `json:"crowded_edges"` // used by three or more
	FlippedEdges int `json:"flipped_edges"` // whose two facets run along it the same way
	// Edges are the middles of such edges: the first 64.
	Edges []geom.Vec `json:"edges"`
	// InsideOut is set where a closed mesh encloses less than nothing.
	InsideOut  bool `json:"inside_out"`
	Degenerate int  `json:"degenerate"` // facets without area
	Doubled    int  `json:"doubled"`    // facets with the same corners as one before
	// Crossings counts the pairs of facets that pass through each other by more than two
	// steps; those that only touch, or lie in one plane, do not. It is a lower bound
	// where the search, which is bounded, was not Complete.
	Crossings int        `json:"crossings"`
	Complete  bool       `json:"complete"`
	CrossAt   []geom.Vec `json:"cross_at"` // where: the first 64
	// Of closed meshes, shells that face inwards though nothing is around them, and
	// shells that lie in another. More than 1000 shells are not judged.
	InvertedShells int `json:"inverted_shells"`
	BuriedShells   int `json:"buried_shells"`
	// Strays are shells smaller than a fiftieth of the part: how many, and the 64
	// smallest.
	Strays  int     `json:"strays"`
	StrayAt []Stray `json:"stray_at"`
	// Step is the distance between two neighbouring numbers where the coordinates of the
	// part are largest: nothing is drawn finer than that.
	Step float64 `json:"step"`
}

// A Stray is a small loose piece.
type Stray struct {
	Triangles int      `json:"triangles"`
	Box       geom.Box `json:"box"`
}

const (
	namedMost  = 64
	strayShare = 1.0 / 50 // of the diagonal of the part
	// judgedShells is how many shells are asked whether they face outwards.
	judgedShells = 1000
)

// health looks for what is wrong.
func (p *prober) health(ctx context.Context, bulk mesh.Measures, report func(float64)) (Health, error) {
	t := p.Topology
	h := Health{
		OpenEdges: t.OpenEdges, CrowdedEdges: t.CrowdedEdges, FlippedEdges: t.FlippedEdges,
		InsideOut:  p.sense < 0,
		Degenerate: bulk.Degenerate,
		Edges:      []geom.Vec{}, CrossAt: []geom.Vec{}, StrayAt: []Stray{},
	}
	h.Step = p.grain()
	if err := p.badFacets(ctx, &h); err != nil {
		return h, err
	}
	if err := p.shells(ctx, &h); err != nil {
		return h, err
	}
	report(0.3)
	return h, p.crossings(ctx, &h, part(report, 0.3, 1))
}

// grain is the step between two float32 at the largest coordinate, about the origin of the
// mesh.
func (p *prober) grain() float64 { return grainOf(p.Mesh) }

// badFacets finds the edges that are not shared by two, and doubled facets.
func (p *prober) badFacets(ctx context.Context, h *Health) error {
	seen := map[[3]uint32]bool{}
	for i, t := range p.Mesh.Triangles {
		if i%askEvery == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if p.Shell[i] == mesh.None {
			continue
		}
		across := p.Across[i]
		// A doubled facet shares all of its edges with the same one, or with more than
		// one.
		if across[0] == across[1] && across[1] == across[2] {
			slices.Sort(t[:])
			if seen[t] {
				h.Doubled++
			}
			seen[t] = true
		}
		for k, beyond := range across {
			if beyond == mesh.None && len(h.Edges) < namedMost {
				t := p.Mesh.Triangles[i]
				middle := p.vertex(t[k]).Add(p.vertex(t[(k+1)%3])).Scale(0.5)
				h.Edges = append(h.Edges, middle.Add(p.Mesh.Origin))
			}
		}
	}
	return nil
}

// A shellBox is how large a shell is.
type shellBox struct {
	triangles int32
	largest   int32 // its largest facet
	area      float32
	low, high [3]float32
}

// shells finds small ones, and those that face the wrong way.
func (p *prober) shells(ctx context.Context, h *Health) error {
	boxes := make([]shellBox, p.Topology.Shells)
	const inf = math.MaxFloat32
	for i := range boxes {
		boxes[i].low, boxes[i].high = [3]float32{inf, inf, inf}, [3]float32{-inf, -inf, -inf}
	}
	for i, shell := range p.Shell {
		if i%askEvery == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if shell == mesh.None {
			continue
		}
		b := &boxes[shell]
		b.triangles++
		for _, v := range p.Mesh.Triangles[i] {
			for axis, x := range p.Mesh.Vertices[v] {
				b.low[axis], b.high[axis] = min(b.low[axis], x), max(b.high[axis], x)
			}
		}
		if area := float32(p.twice(i).Len()); area > b.area || b.triangles == 1 {
			b.area, b.largest = area, int32(i)
		}
	}
	if p.Topology.Closed && len(boxes) <= judgedShells {
		for _, b := range boxes {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			x, y, z := p.corners(int(b.largest))
			switch around := p.around(x.Add(y).Add(z).Scale(1.0/3), p.normal(int(b.largest)).Scale(p.sense)); {
			case around < 0:
				h.InvertedShells++
			case around > 0:
				h.BuriedShells++
			}
		}
	}
	type small struct {
		size  float64
		shell int
	}
	var strays []small // the smallest, in order
	if len(boxes) > 1 {
		for i, b := range boxes {
			if i%askEvery == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			size := b.size()
			if size >= strayShare*p.size {
				continue
			}
			h.Strays++
			at, _ := slices.BinarySearchFunc(strays, size, func(s small, size float64) int {
				if s.size <= size { // behind equal ones
					return -1
				}
				return 1
			})
			if at < namedMost {
				strays = slices.Insert(strays, at, small{size, i})
				strays = strays[:min(len(strays), namedMost)]
			}
		}
	}
	for _, s := range strays {
		b := boxes[s.shell]
		box := geom.EmptyBox()
		for _, corner := range [2][3]float32{b.low, b.high} {
			box = box.Add(geom.Vec{float64(corner[0]), float64(corner[1]), float64(corner[2])}.Add(p.Mesh.Origin))
		}
		h.StrayAt = append(h.StrayAt, Stray{Triangles: int(b.triangles), Box: box})
	}
	return nil
}

// size is the diagonal.
func (b *shellBox) size() float64 {
	return geom.Vec{float64(b.high[0]) - float64(b.low[0]), float64(b.high[1]) - float64(b.low[1]), float64(b.high[2]) - float64(b.low[2])}.Len()
}

// looksPerFacet bounds the search for crossings: so many boxes of other facets for each,
// on average over a chunk.
const looksPerFacet = 400

// crossings counts the pairs of facets that pass through each other.
func (p *prober) crossings(ctx context.Context, h *Health, report func(float64)) error {
	const chunk = 4096
	type found struct {
		count int
		at    []geom.Vec
		cut   bool
		close bool // to another shell
	}
	n := p.tree.Len()
	all := make([]found, (n+chunk-1)/chunk)
	tell := newTeller(len(all), report)
	err := inParallel(ctx, len(all), func() func(k int) {
		return func(k int) {
			f := &all[k]
			looks := chunk * looksPerFacet
			for place := k * chunk; place < min(n, (k+1)*chunk); place++ {
				if place%64 == 0 && ctx.Err() != nil {
					return
				}
				a, b, c := p.tree.Corners(place)
				one := [3]geom.Vec{a, b, c}
				box := geom.EmptyBox().Add(a).Add(b).Add(c)
				p.tree.Touching(box, func(other int) bool {
					if looks--; looks < 0 {
						f.cut = true
						return false
					}
					if other <= place {
						return true
					}
					d, e, g := p.tree.Corners(other)
					two := [3]geom.Vec{d, e, g}
					if !meet(&box, &two) {
						return true
					}
					f.close = f.close || p.shellAt(place) != p.shellAt(other)
					if inOnePlane(&box, &two) {
						return true
					}
					if at, _, crosses := crossing(&one, &two, 2*h.Step); crosses {
						f.count++
						if len(f.at) < namedMost {
							f.at = append(f.at, at.Add(p.Mesh.Origin))
						}
					}
					return looks%1024 != 0 || ctx.Err() == nil
				})
			}
			tell.one()
		}
	})
	h.Complete = true
	p.apart = p.Topology.Closed && len(all) > 0 && p.Topology.Shells <= judgedShells && h.InvertedShells+h.BuriedShells == 0
	for _, f := range all {
		p.apart = p.apart && !f.cut && !f.close
		h.Crossings += f.count
		h.Complete = h.Complete && !f.cut
		h.CrossAt = append(h.CrossAt, f.at[:min(len(f.at), namedMost-len(h.CrossAt))]...)
	}
	return err
}

// shellAt is the shell of the triangle at a place of the tree.
func (p *prober) shellAt(place int) int32 { return p.Shell[p.tree.Order()[place]] }

// meet reports whether the box of a triangle meets another.
func meet(box *geom.Box, t *[3]geom.Vec) bool {
	for i := range 3 {
		if min(t[0][i], t[1][i], t[2][i]) > box.Max[i] || max(t[0][i], t[1][i], t[2][i]) < box.Min[i] {
			return false
		}
	}
	return true
}

// inOnePlane reports whether both lie in one plane along the axes, as the facets of most flat
// faces do.
func inOnePlane(box *geom.Box, t *[3]geom.Vec) bool {
	for i := range 3 {
		if at := box.Min[i]; at == box.Max[i] && t[0][i] == at && t[1][i] == at && t[2][i] == at {
			return true
		}
	}
	return false
}

// crossing reports whether a side of one triangle passes through the other: whether its
// ends lie on different sides of its plane and the line between them meets the triangle,
// its edges included. Facets that share an edge, or touch, or lie in one plane do not
// cross, nor do those of which one is nowhere beyond the plane of the other by more than
// touch, or which have no longer line in common. But for that it is exact; where they cross
// is within rounding. long is the length of the line, infinite where only one end is known.
func crossing(one, two *[3]geom.Vec, touch float64) (at geom.Vec, long float64, crosses bool) {
	shared := 0
	for _, v := range one {
		for _, w := range two {
			if v == w {
				shared++
			}
		}
	}
	if shared >= 2 || beside(one, two, touch) || beside(two, one, touch) {
		return at, 0, false
	}
	found := 0
	for range 2 {
		var side [3]int
		for k, v := range two {
			side[k] = geom.Orient3(one[0], one[1], one[2], v)
		}
		for k, v := range two {
			w := two[(k+1)%3]
			if side[k]*side[(k+1)%3] >= 0 || !passes(one, v, w) {
				continue
			}
			switch through := between(one, v, w); found {
			case 0:
				at = through
			default:
				long = max(long, through.Sub(at).Len())
			}
			found++
		}
		one, two = two, one
	}
	if found == 1 {
		long = math.Inf(1)
	}
	return at, long, long > touch
}

// beside reports whether other lies on one side of the plane of t, or no farther on the
// other than touch. A triangle without area has everything beside it.
func beside(t, other *[3]geom.Vec, touch float64) bool {
	x, y, z := t[0][0], t[0][1], t[0][2]
	ux, uy, uz := t[1][0]-x, t[1][1]-y, t[1][2]-z
	vx, vy, vz := t[2][0]-x, t[2][1]-y, t[2][2]-z
	nx, ny, nz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
	touch *= math.Sqrt(nx*nx + ny*ny + nz*nz)
	a := nx*(other[0][0]-x) + ny*(other[0][1]-y) + nz*(other[0][2]-z)
	b := nx*(other[1][0]-x) + ny*(other[1][1]-y) + nz*(other[1][2]-z)
	c := nx*(other[2][0]-x) + ny*(other[2][1]-y) + nz*(other[2][2]-z)
	return min(a, b, c) >= -touch || max(a, b, c) <= touch
}

// passes reports whether the line through v and w meets the triangle.
func passes(t *[3]geom.Vec, v, w geom.Vec) bool {
	positive, negative := false, false
	for k := range t {
		switch geom.Orient3(v, w, t[k], t[(k+1)%3]) {
		case 1:
			positive = true
		case -1:
			negative = true
		}
	}
	return !(positive && negative)
}

// between is where the line from v to w meets the plane of the triangle.
func between(t *[3]geom.Vec, v, w geom.Vec) geom.Vec {
	n := t[1].Sub(t[0]).Cross(t[2].Sub(t[0]))
	from, to := n.Dot(v.Sub(t[0])), n.Dot(w.Sub(t[0]))
	if from == to {
		return v
	}
	return v.Add(w.Sub(v).Scale(from / (from - to)))
}
