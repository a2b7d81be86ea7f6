package judge

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"scantling/engine/hardware"
	"scantling/engine/process"
	"scantling/engine/survey"
)

// Terms are what a kit is judged by.
type Terms struct {
	Process process.Process
	Turning Turning // how parts may be turned on the bed
	Asides  []Aside
	Named   []Named
}

// A Case is a kit with its printer, ready to be judged at any factor at once. New works out
// once at which factor every fact begins to matter, so that a new factor is a search in
// ordered lists. It never changes.
type Case struct {
	Parts []Part
	Terms Terms

	kit   docket
	each  []docket
	taken map[[2]int]bool // bores, by part and number, that a peg stands in
}

// A docket is what may be found of one part.
type docket struct {
	larger  []threat // gone at larger factors: by GoneAt, the largest first
	smaller []threat // gone at smaller ones: the smallest first
	never   []threat
	window  [Stops + 1]Window // by gravity
}

// A threat is a finding that is there at some factors. Its Value is that at factor 1.
type threat struct {
	Finding
	power float64 // of the factor that its value goes with
	// stop is the factor beyond which, away from where it is gone, it stops the print; 0 and
	// +Inf for never.
	stop float64
	// grows is how fast Offset goes with the factor: it is Offset + grows × factor.
	grows float64
	// fits is up to which factor a part fits the bed, of OffBed: what is done about it depends on
	// the factor. Otherwise nil.
	fits *[Free + 1]float64
}

// turned is the least that has to be done for a part to fit the bed at a factor.
func turned(fits *[Free + 1]float64, f float64) Remedy {
	for turning, remedy := range []Remedy{AsItLies: "", Yaw: TurnIt, Faces: LayIt, Free: TiltIt} {
		if remedy != "" && fits[turning] >= f {
			return remedy
		}
	}
	return CutIt
}

// mostPlaces bounds how many findings of one code a part can have: the gravest. More places
// than that nobody looks at.
const mostPlaces = 24

// New gets a kit ready. together is how the same parts lie to each other, placed in millimetres
// as drawn; nil while that is not known. A process whose limits are 0 is judged by nothing
// there. It takes some milliseconds for 300 parts.
func New(parts []Part, together *survey.Assembly, t Terms) *Case {
	c := &Case{Parts: parts, Terms: t, each: make([]docket, len(parts))}
	if together == nil {
		together = &survey.Assembly{}
	}
	c.taken = map[[2]int]bool{}
	for _, m := range together.Fits {
		c.taken[[2]int{m.Outer, m.Bore}] = true
	}
	for i := range parts {
		l := &lister{docket: &c.each[i], terms: &c.Terms, part: &parts[i], index: i}
		l.bed()
		if parts[i].Found != nil {
			l.list(c.taken)
		}
		l.suspect()
	}
	for _, m := range together.Fits {
		l := &lister{docket: &c.each[m.Inner], terms: &c.Terms, part: &parts[m.Inner], index: m.Inner}
		l.fit(m)
	}
	for _, n := range together.Neighbours {
		if n.Relation == survey.Overlapping {
			l := &lister{docket: &c.each[n.One], terms: &c.Terms, part: &parts[n.One], index: n.One}
			l.add(threat{Finding: Finding{Code: Overlap, Gravity: Note, Remedy: Recut, Other: n.Other, Where: Place{Centre: n.At, InKit: true}}})
		}
	}
	kit := &lister{docket: &c.kit, terms: &c.Terms, index: -1}
	kit.weight()
	for i := range c.each {
		c.each[i].order()
	}
	c.kit.order()
	return c
}

// order sorts, keeps the gravest of each code, and sets windows.
func (d *docket) order() {
	byCode := func(a, b threat) int {
		return cmp.Compare(slices.Index(Codes(), a.Code), slices.Index(Codes(), b.Code))
	}
	slices.SortStableFunc(d.larger, func(a, b threat) int { return cmp.Or(cmp.Compare(b.GoneAt, a.GoneAt), byCode(a, b)) })
	slices.SortStableFunc(d.smaller, func(a, b threat) int { return cmp.Or(cmp.Compare(a.GoneAt, b.GoneAt), byCode(a, b)) })
	slices.SortStableFunc(d.never, byCode)
	d.larger, d.smaller, d.never = fewest(d.larger), fewest(d.smaller), fewest(d.never)
	d.windows()
}

func fewest(all []threat) []threat {
	count := map[Code]int{}
	return slices.DeleteFunc(all, func(t threat) bool {
		if t.Aside == "" {
			count[t.Code]++
		}
		return t.Aside == "" && count[t.Code] > mostPlaces
	})
}

// there are the threats that are there at a factor: the first so many of each list.
func (d *docket) there(f float64) (larger, smaller []threat) {
	larger = d.larger[:sort.Search(len(d.larger), func(i int) bool { return !(f < d.larger[i].GoneAt) })]
	smaller = d.smaller[:sort.Search(len(d.smaller), func(i int) bool { return !(f > d.smaller[i].GoneAt) })]
	return larger, smaller
}

// at is the finding that a threat is at a factor where it is there.
func (t *threat) at(f float64) Finding {
	out := t.Finding
	switch t.power {
	case 1:
		out.Value *= f
	case 3:
		out.Value *= f * f * f
	}
	out.Offset += t.grows * f
	out.Gravity = t.gravity(f)
	if t.fits != nil {
		out.Remedy = turned(t.fits, f)
	}
	return out
}

func (t *threat) gravity(f float64) Gravity {
	if t.Gone == Larger && f < t.stop || t.Gone == Smaller && f > t.stop {
		return Stops
	}
	return t.Gravity
}

// At judges the kit at a factor, which must be more than 0: the gravest findings first, then
// in the order of the parts, and of one part the worst first. What the maker set aside comes
// with its reason, at the end.
func (c *Case) At(f float64) []Finding {
	if !(f > 0) || math.IsInf(f, 1) {
		return nil
	}
	var by [Stops + 2][]Finding
	take := func(list []threat) {
		for i := range list {
			t := &list[i]
			g := t.gravity(f) + 1
			if t.Aside != "" {
				g = 0
			}
			by[g] = append(by[g], t.at(f))
		}
	}
	all := func(d *docket) {
		larger, smaller := d.there(f)
		take(smaller)
		take(larger)
		take(d.never)
	}
	for i := range c.each {
		all(&c.each[i])
	}
	all(&c.kit)
	return slices.Concat(by[3], by[2], by[1], by[0])
}

// exactly gives the factor at which base·f reaches limit from below: the least f at which
// base·f < limit is false. It is 0 for a limit of 0 and +Inf for a base of 0.
func exactly(base, limit float64) float64 {
	if !(limit > 0) {
		return 0
	}
	if !(base > 0) {
		return math.Inf(1)
	}
	f := limit / base
	for base*f < limit {
		f = math.Nextafter(f, math.Inf(1))
	}
	for f > 0 {
		before := math.Nextafter(f, 0)
		if base*before < limit {
			break
		}
		f = before
	}
	return f
}

// A Use is what a bore is for.
type Use struct {
	Item  hardware.Item // with a Key; without one it is for nothing that is bought
	Said  bool          // the maker said so; otherwise its size as drawn suggests it
	Taken bool          // a peg of the kit stands in it
}

// UseOf is what a bore of a surveyed part is for.
func (c *Case) UseOf(part, bore int) Use {
	return useOf(&c.Parts[part], &c.Terms, bore, c.taken[[2]int{part, bore}])
}

// useOf is what the maker has named, or what the size of the bore suggests where no peg stands
// in it.
func useOf(p *Part, t *Terms, bore int, taken bool) Use {
	u := Use{Taken: taken}
	for _, n := range t.Named {
		if n.Part == p.ID && namedBore(n, p.Found) == bore {
			u.Item, _ = hardware.Find(n.Item)
			u.Said = true
			return u
		}
	}
	if !taken {
		u.Item, _ = hardware.Guess(p.Found.Bores[bore].Diameter * p.MM)
	}
	return u
}

// namedBore is the bore that was named: the nearest one to where it was, if one is near; else -1.
func namedBore(n Named, found *survey.Measurements) int {
	best, least := -1, asideReach*found.Box.Size().Len()
	for k, r := range found.Bores {
		if away := n.At.Sub(r.Centre).Len(); away <= max(r.Diameter/2, least) && (best < 0 || away < n.At.Sub(found.Bores[best].Centre).Len()) {
			best = k
		}
	}
	return best
}
