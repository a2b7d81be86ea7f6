package survey

import (
	"context"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Placed part stands in its kit.
type Placed struct {
	Box geom.Box // of the part, in its own coordinates
	// Bores and Pegs are those of its Measurements; none where it has not been surveyed.
	Bores, Pegs []Round
	// Place takes points of the file into the kit: it turns, enlarges evenly and moves.
	Place func(geom.Vec) geom.Vec
	// Mesh reads the part's triangles. It is called once, or twice where the part touches
	// or may hold another, and what it gives is not kept.
	Mesh func(context.Context) (*mesh.Mesh, error)
	// Content names what Mesh gives, as in Brief; only KeptBetween asks for it.
	Content string
}

// An Assembly is how the parts of a kit lie to each other, in the kit's coordinates and unit.
type Assembly struct {
	// Limit is how far apart parts count as neighbours: a fiftieth of the kit.
	Limit float64 `json:"limit"`
	// Fits are the pegs in bores, and whatever else stands between two faces of another
	// part, by the numbers of the parts.
	Fits       []Fit        `json:"fits"`
	Neighbours []Neighbours `json:"neighbours"`
	// Complete is false where so many parts are near each other that not all were looked at,
	// as when each was drawn at the same place and they do not stand together at all.
	Complete bool `json:"complete"`
}

// A Fit is one part in another.
type Fit struct {
	Inner int `json:"inner"` // number of the part with the peg
	Outer int `json:"outer"` // and of the one around it
	// Peg and Bore are numbers in those parts' lists. They are -1 for what is not round.
	Peg  int `json:"peg"`
	Bore int `json:"bore"`
	// Clearance is by how much the hole is larger than what stands in it: of round ones in
	// diameter, of others from face to face, both sides together. It is negative where the
	// peg is thicker.
	Clearance float64 `json:"clearance"`
	// Flats is Clearance between the flats of the bore and the corners of the peg, where
	// the facets come nearest: at most Clearance.
	Flats  float64  `json:"flats"`
	Length float64  `json:"length"` // how far the peg is in the bore; 0 for what is not round
	Axis   geom.Vec `json:"axis"`   // of the bore; of others, across the gap
	Centre geom.Vec `json:"centre"`
}

// A Relation says how two neighbours lie to each other.
type Relation string

// The relations of neighbours.
const (
	Apart       Relation = "apart"
	Touching    Relation = "touching"    // within rounding
	Overlapping Relation = "overlapping" // one passes through the other, or lies in it
)

// Neighbours are two parts near each other, the one with the lower number first.
type Neighbours struct {
	One      int      `json:"one"`
	Other    int      `json:"other"`
	Relation Relation `json:"relation"`
	Distance float64  `json:"distance"` // 0 unless they are apart
	// Depth is about how deep one is in the other where they overlap: a rough figure, as
	// large facets make it too large and small ones too small. 0 where one lies in the other
	// without passing through its surface.
	Depth float64 `json:"depth"`
	// At is where they are nearest, or touch, or pass through each other: a point of the
	// first, and one of the other.
	At      geom.Vec `json:"at"`
	OtherAt geom.Vec `json:"other_at"`
	// Complete is false where the search, which is bounded, came to its end: they may be
	// nearer than Distance, and overlap though it is not said.
	Complete bool `json:"complete"`
}

const (
	// neighbourShare of the kit's diagonal is how far apart neighbours are.
	neighbourShare = 1.0 / 50
	// touchShare of the larger part's diagonal is within rounding, even of text files with
	// six digits.
	touchShare = 1e-6
	pairsMost  = 4096 // are looked at
	// nearMost bounds the facets that are kept of all parts, 72 bytes each.
	nearMost = 1 << 20
)

// Between finds how the parts of a kit lie to each other. It looks only at parts whose
// boxes come near each other, and keeps of each only the facets near another: at most one
// mesh and 150 MB at a time. It asks ctx many times a second; its errors are those of ctx
// and of Mesh. Parts without triangles have no neighbours. report rises from 0 to 1 and may
// be nil.
func Between(ctx context.Context, parts []Placed, report func(float64)) (Assembly, error) {
	if report == nil {
		report = func(float64) {}
	}
	k := newKit(parts)
	pairs, all := k.pairs()
	a := Assembly{Limit: k.limit, Neighbours: []Neighbours{}, Complete: all}
	var err error
	if a.Fits, err = k.rounds(ctx, pairs); err != nil {
		return Assembly{}, err
	}
	for i := range parts {
		if err := k.open(ctx, i, pairs); err != nil {
			return Assembly{}, err
		}
		report(0.5 * float64(i+1) / float64(len(parts)))
	}
	found := make([]met, len(pairs))
	tell := newTeller(len(pairs), part(report, 0.5, 0.9))
	err = inParallel(ctx, len(pairs), func() func(n int) {
		return func(n int) {
			found[n] = k.meet(ctx, pairs[n])
			tell.one()
		}
	})
	if err != nil {
		return Assembly{}, err
	}
	if err := k.lookInside(ctx, pairs, found); err != nil {
		return Assembly{}, err
	}
	for n, m := range found {
		if m.near {
			a.Neighbours = append(a.Neighbours, m.Neighbours)
		}
		a.Fits = append(a.Fits, k.notRound(a.Fits, pairs[n], m.fits)...)
	}
	sortFits(a.Fits)
	report(1)
	return a, ctx.Err()
}

// A kit is what Between works with.
type kit struct {
	parts  []Placed
	boxes  []geom.Box // in the kit
	scales []float64  // of Place
	limit  float64
	near   []facetsNear // of each part
	room   int          // for more facets
}

// facetsNear are the facets of a part that are near other parts, in the kit.
type facetsNear struct {
	facets [][3]geom.Vec
	tree   *geom.Tree // about middle
	middle geom.Vec
	grain  float64 // the step of the file's numbers
	cut    bool    // not all are here
}

// A pair is two parts whose boxes come near each other, the lower number first.
type pair [2]int

// newKit places the boxes.
func newKit(parts []Placed) *kit {
	k := &kit{parts: parts, room: nearMost, near: make([]facetsNear, len(parts))}
	whole := geom.EmptyBox()
	for _, p := range parts {
		box := geom.EmptyBox()
		if !p.Box.Empty() {
			for i := range 8 {
				corner := p.Box.Min
				for axis := range corner {
					if i>>axis&1 != 0 {
						corner[axis] = p.Box.Max[axis]
					}
				}
				box = box.Add(p.Place(corner))
			}
		}
		k.boxes = append(k.boxes, box)
		k.scales = append(k.scales, p.Place(geom.Vec{1, 0, 0}).Sub(p.Place(geom.Vec{})).Len())
		whole = whole.Union(box)
	}
	if !whole.Empty() {
		k.limit = neighbourShare * whole.Size().Len()
	}
	return k
}

// pairs are the parts whose boxes are near each other, and whether these are all.
func (k *kit) pairs() (pairs []pair, all bool) {
	for i := range k.parts {
		for j := i + 1; j < len(k.parts); j++ {
			if !k.boxes[i].Empty() && !k.boxes[j].Empty() && boxesApart(k.boxes[i], k.boxes[j]) <= k.limit {
				if len(pairs) == pairsMost {
					return pairs, false
				}
				pairs = append(pairs, pair{i, j})
			}
		}
	}
	return pairs, true
}

// touch is what counts as nothing between two parts.
func (k *kit) touch(p pair) float64 {
	touch := 0.0
	for _, i := range p {
		touch = max(touch, touchShare*k.boxes[i].Size().Len(), 4*k.near[i].grain*k.scales[i])
	}
	return touch
}

// open reads a part that has neighbours and keeps the facets near them.
func (k *kit) open(ctx context.Context, i int, pairs []pair) error {
	var around []geom.Box
	for _, p := range pairs {
		for side, j := range p {
			if j == i {
				around = append(around, widened(k.boxes[p[1-side]], k.limit))
			}
		}
	}
	if len(around) == 0 {
		return ctx.Err()
	}
	m, err := k.parts[i].Mesh(ctx)
	if err != nil {
		return err
	}
	f := &k.near[i]
	f.middle = k.boxes[i].Centre()
	f.grain = grainOf(m)
	bulk, err := bulkOf(ctx, m)
	if err != nil {
		return err
	}
	for at := range m.Len() {
		if at%askEvery == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		t := k.placed(i, m, at)
		if bulk.Volume < 0 { // inside out
			t[1], t[2] = t[2], t[1]
		}
		box := boxOf(&t, 0)
		for _, b := range around {
			if !meet(&b, &t) {
				continue
			}
			if box.Min == box.Max { // a point says nothing that its neighbours do not
				break
			}
			if k.room == 0 {
				f.cut = true
				break
			}
			k.room--
			f.facets = append(f.facets, t)
			break
		}
	}
	vertices := make([][3]float32, 0, 3*len(f.facets))
	for _, t := range f.facets {
		for _, v := range t {
			v = v.Sub(f.middle)
			vertices = append(vertices, [3]float32{float32(v[0]), float32(v[1]), float32(v[2])})
		}
	}
	f.tree, err = geom.NewTree(ctx, vertices, nil)
	return err
}

// placed is a triangle of a part in the kit.
func (k *kit) placed(i int, m *mesh.Mesh, at int) [3]geom.Vec {
	a, b, c := m.Triangle(at)
	place := k.parts[i].Place
	return [3]geom.Vec{place(a), place(b), place(c)}
}

// touching calls visit with all facets whose box comes near the given one.
func (f *facetsNear) touching(box geom.Box, visit func(t *[3]geom.Vec) bool) {
	box = geom.Box{Min: box.Min.Sub(f.middle), Max: box.Max.Sub(f.middle)}
	f.tree.Touching(box, func(place int) bool { return visit(&f.facets[f.tree.Order()[place]]) })
}

// met is what was found out about a pair.
type met struct {
	Neighbours
	near bool // they are neighbours
	fits []Fit
}

// meet finds how two parts lie to each other, but for one that lies in the other without
// coming near its surface, which only lookInside sees.
func (k *kit) meet(ctx context.Context, p pair) met {
	one, other := &k.near[p[0]], &k.near[p[1]]
	m := met{Neighbours: Neighbours{One: p[0], Other: p[1], Relation: Apart, Complete: !one.cut && !other.cut}}
	if len(one.facets) == 0 || len(other.facets) == 0 {
		return m
	}
	turned := len(one.facets) > len(other.facets) // so that the search is from the fewer
	if turned {
		one, other = other, one
	}
	s := search{ctx: ctx, one: one, other: other, touch: k.touch(p), least: k.limit, looks: looksPerFacet * (len(one.facets) + 64)}
	s.run()
	m.near = s.found
	m.At, m.OtherAt = s.at, s.otherAt
	if turned {
		m.At, m.OtherAt = m.OtherAt, m.At
	}
	m.Complete = m.Complete && s.looks >= 0
	switch {
	case s.crosses > 0:
		m.Relation, m.Depth = Overlapping, s.depth
	case s.found && s.least <= s.touch:
		m.Relation = Touching
	case s.found:
		m.Distance = s.least
	}
	if s.found && s.crosses == 0 {
		m.fits = k.embraced(ctx, p, s.touch)
	}
	return m
}

// A search finds the least distance between two parts, or where they cross.
type search struct {
	ctx          context.Context
	one, other   *facetsNear
	touch, least float64
	looks        int
	found        bool
	crosses      int // pairs of facets
	depth        float64
	at, otherAt  geom.Vec
}

// crossMost is how many crossing pairs of facets are enough to know two parts overlap.
const crossMost = 256

// run looks from every facet of one to the facets of the other within the least distance
// found so far. It begins with some facets here and there, so that this is soon small.
func (s *search) run() {
	n := len(s.one.facets)
	const stride = 97
	for from := range min(stride, n) {
		for i := from; i < n; i += stride {
			if i%64 == 0 && s.ctx.Err() != nil {
				return
			}
			s.from(&s.one.facets[s.one.tree.Order()[i]])
			if s.crosses >= crossMost || s.looks < 0 {
				return
			}
		}
	}
}

func (s *search) from(t *[3]geom.Vec) {
	own := boxOf(t, 0)
	s.other.touching(boxOf(t, s.least), func(u *[3]geom.Vec) bool {
		if s.looks--; s.looks < 0 {
			return false
		}
		if boxesApart(own, boxOf(u, 0)) > s.least {
			return true
		}
		if meet(&own, u) {
			if at, long, crosses := crossing(t, u, s.touch); crosses {
				s.found, s.least = true, 0
				s.crosses++
				if d := min(beyond(t, u), beyond(u, t), long); d > s.depth || s.crosses == 1 {
					s.depth, s.at, s.otherAt = d, at, at
				}
				return s.crosses < crossMost
			}
		}
		if s.found && s.least == 0 {
			return true
		}
		if d, at, other := distance(t, u); d < s.least {
			s.found, s.least, s.at, s.otherAt = true, d, at, other
		}
		return true
	})
}

// beyond is how far a triangle reaches behind another.
func beyond(t, behind *[3]geom.Vec) float64 {
	n := toUnit(behind[1].Sub(behind[0]).Cross(behind[2].Sub(behind[0])))
	return max(0, -min(n.Dot(t[0].Sub(behind[0])), n.Dot(t[1].Sub(behind[0])), n.Dot(t[2].Sub(behind[0]))))
}

// lookInside finds the parts that lie in others though their surfaces do not cross: those
// within the box of another, and those whose surfaces lie on each other.
func (k *kit) lookInside(ctx context.Context, pairs []pair, all []met) error {
	for outer := range k.parts {
		var tree *geom.Tree
		for n, p := range pairs {
			inner, m := p[0]+p[1]-outer, &all[n]
			if p[0] != outer && p[1] != outer || m.Relation == Overlapping || len(k.near[inner].facets) == 0 {
				continue
			}
			touch := k.touch(p)
			around := widened(k.boxes[outer], touch)
			if m.Relation != Touching && !holds(around, k.boxes[inner]) {
				continue
			}
			if tree == nil {
				var err error
				if tree, err = k.whole(ctx, outer); err != nil {
					return err
				}
			}
			if at, in := k.inside(tree, k.boxes[outer], k.near[inner].facets, touch); in {
				m.near, m.Relation, m.Distance, m.At, m.OtherAt, m.fits = true, Overlapping, 0, at, at, nil
			}
		}
	}
	return ctx.Err()
}

// whole is the tree of all of a part, about the middle of its box in the kit.
func (k *kit) whole(ctx context.Context, i int) (*geom.Tree, error) {
	m, err := k.parts[i].Mesh(ctx)
	if err != nil {
		return nil, err
	}
	vertices := make([][3]float32, len(m.Vertices))
	middle := k.boxes[i].Centre()
	for v := range m.Vertices {
		if v%askEvery == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		p := k.parts[i].Place(m.Vertex(uint32(v))).Sub(middle)
		vertices[v] = [3]float32{float32(p[0]), float32(p[1]), float32(p[2])}
	}
	return geom.NewTree(ctx, vertices, m.Triangles)
}

// inside reports whether the material behind some of these facets lies in that of the part
// with this tree and box.
func (k *kit) inside(tree *geom.Tree, box geom.Box, facets [][3]geom.Vec, touch float64) (geom.Vec, bool) {
	const asked = 64
	var within []geom.Vec
	for i := range facets {
		t := &facets[i]
		normal := toUnit(t[1].Sub(t[0]).Cross(t[2].Sub(t[0])))
		at := t[0].Add(t[1]).Add(t[2]).Scale(1.0 / 3).Sub(normal.Scale(4 * touch))
		if normal != (geom.Vec{}) && holds(box, geom.Box{Min: at, Max: at}) {
			within = append(within, at)
		}
	}
	for n := range min(asked, len(within)) {
		at := within[n*len(within)/min(asked, len(within))]
		for _, along := range askedWays() {
			if around, sure := tree.Crossings(at.Sub(box.Centre()), along); sure {
				if around != 0 {
					return at, true
				}
				break
			}
		}
	}
	return geom.Vec{}, false
}

// grainOf is the step between two float32 at the largest coordinate of m, about its origin.
func grainOf(m *mesh.Mesh) float64 {
	largest := 0.0
	for _, v := range m.Vertices {
		largest = max(largest, float64(max(v[0], -v[0], v[1], -v[1], v[2], -v[2])))
	}
	if largest == 0 {
		return 0
	}
	_, exponent := math.Frexp(largest)
	return math.Ldexp(1, exponent-24)
}
