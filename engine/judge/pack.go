package judge

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/survey"
)

// A Layout says how many beds a kit takes, and what lies where.
type Layout struct {
	Beds int
	// Least is what no arrangement of the same footprints can do with fewer of: by area, and
	// by those of which no two lie on one bed.
	Least  int
	Placed []Placed
	Left   []int // parts that fit no bed, or of which that is not known
	// Unplaced counts the pieces that are too many to be laid out, and only counted in Beds.
	Unplaced int
}

// A Placed is one piece of a part on a bed.
type Placed struct {
	Part, Piece int
	Bed         int // from 0
	// Low is the corner of its footprint in the usable room of the bed, millimetres, and Size
	// the footprint; Quarter is set where it was turned by a quarter.
	Low, Size geom.Vec2
	Quarter   bool
	// Turning is the freedom that its pose takes: that of Bed.Fit with it, before the quarter.
	Turning Turning
	Narrow  bool // it is posed by Bed.Narrow instead
	// Alone is set where it goes only on the disc of a round plate itself, in the middle.
	Alone bool
}

// A Rest is how a part stands in the middle of the plate by itself, in millimetres as drawn.
type Rest struct {
	Turned  bool        // it is not as it lies in its file
	Outline []geom.Vec2 // its hull from above, about the middle of the plate, as geom.Hull2 gives it
	pose    geom.Pose   // of the file's points
	box     [2]geom.Vec2
}

// RestOf is how a part of that hull, in millimetres as drawn, stands in a pose: that of Bed.Narrow for
// a piece that lies narrow, and that of Bed.Fit with its turning for any other.
func RestOf(pose Pose, hull survey.Hull) Rest {
	out := Rest{Turned: pose.Turned()}
	flat := make([]geom.Vec2, len(hull.Points))
	for i, p := range hull.Points {
		at := pose.Apply(p)
		flat[i] = geom.Vec2{at[0], at[1]}
		if i == 0 {
			out.box = [2]geom.Vec2{flat[0], flat[0]}
		}
		for a, x := range flat[i] {
			out.box[0][a], out.box[1][a] = min(out.box[0][a], x), max(out.box[1][a], x)
		}
	}
	out.Outline = geom.Hull2(flat)
	out.pose.Rows, out.pose.Shift = pose.OfFile(hull)
	return out
}

// A Spot is where a piece lies on a bed, z up from the plate, x and y from the plate's corner,
// millimetres.
type Spot struct {
	Pose    geom.Pose   // of the file's points, multiplied by the factor and in millimetres
	Low     geom.Vec2   // corner of its footprint
	Outline []geom.Vec2 // its hull from above
}

// Lay is where a placed piece lies at a factor. correct is what its lengths along the bed's axes
// are multiplied by besides, about its own middle on the plate: its footprint and outline are
// those without. Zero is nothing.
func (b Bed) Lay(p Placed, rest Rest, f float64, correct geom.Vec) Spot {
	out := Spot{Pose: rest.pose.Scale(f), Low: rest.box[0], Outline: slices.Clone(rest.Outline)}
	low, high := rest.box[0], rest.box[1]
	quarter := func(v geom.Vec2) geom.Vec2 { return geom.Vec2{-v[1], v[0]} }
	if p.Quarter {
		out.Pose = out.Pose.Then(geom.Quarter(geom.Z).Pose())
		low, high = geom.Vec2{-rest.box[1][1], rest.box[0][0]}, geom.Vec2{-rest.box[0][1], rest.box[1][0]}
	}
	room := b.Usable()
	var by geom.Vec2
	for a := range by {
		by[a] = b.Size[a] / 2 // as it rests: what goes only on the disc of a round plate itself
		if !p.Alone {
			by[a] = (b.Size[a]-room[a])/2 + p.Low[a] - low[a]*f
		}
		out.Low[a] = by[a] + low[a]*f
		middle := (low[a] + high[a]) * f / 2
		if correct[a] > 0 {
			out.Pose.Rows[a] = out.Pose.Rows[a].Scale(correct[a])
			out.Pose.Shift[a] = middle + (out.Pose.Shift[a]-middle)*correct[a]
		}
		out.Pose.Shift[a] += by[a]
	}
	if correct[2] > 0 {
		out.Pose.Rows[2] = out.Pose.Rows[2].Scale(correct[2])
		out.Pose.Shift[2] *= correct[2]
	}
	for i, v := range out.Outline {
		if p.Quarter {
			v = quarter(v)
		}
		out.Outline[i] = geom.Vec2{by[0] + v[0]*f, by[1] + v[1]*f}
	}
	return out
}

// mostPacked bounds how many pieces are laid out; the rest counts by area.
const mostPacked = 2000

// Pack lays out the footprints of all pieces at a factor, each turned as it fits by the terms
// with the least freedom, gap millimetres apart, and twice the brim besides. What fits as it lies
// is turned on the plate so that it takes least. Footprints are the rectangles around the parts,
// and none lies above another. Equal arguments give equal layouts.
//
// Method: in some order, each goes into the free rectangle that is best by some rule, on the
// first bed that has room (the maximal rectangles of Jylänki, A thousand ways to pack the bin,
// 2010). Several orders and rules are tried, and then orders in which those pieces that came to
// lie on the emptiest bed are moved to the front, until no bed can be saved or enough was tried:
// few tries for very many pieces, so that it always takes some milliseconds. Of layouts with as
// many beds that is taken which leaves most room on its emptiest bed. On a round plate the square
// in the disc is filled; what goes only on the disc itself has a bed of its own.
func (c *Case) Pack(b Bed, f, gap float64) Layout {
	room := b.Usable()
	gap += 2 * b.Brim
	width, depth := room[0], room[1]
	if b.Round {
		width, depth = room[0]/math.Sqrt2, room[0]/math.Sqrt2
	}
	var out Layout
	var pieces []Placed
	alone, more, rest := 0, 0, 0.0 // beds with one piece, beds and room for what is not laid out
	for i := range c.Parts {
		one, ok := c.footprint(i, f)
		size := one.Size
		switch n := c.Parts[i].pieces(); {
		case !ok:
			out.Left = append(out.Left, i)
		case !fitsIn(size, width, depth):
			placed := min(n, mostPacked)
			for k := range placed {
				one.Piece, one.Bed, one.Alone = k, alone+k, true
				one.Low = geom.Vec2{(room[0] - size[0]) / 2, (room[1] - size[1]) / 2}
				out.Placed = append(out.Placed, one)
			}
			alone += placed
			more += n - placed
			out.Unplaced += n - placed
		default:
			k := min(n, mostPacked-len(pieces))
			for piece := range k {
				one.Piece = piece
				pieces = append(pieces, one)
			}
			rest += float64(n-k) * (size[0] + gap) * (size[1] + gap)
			out.Unplaced += n - k
		}
	}
	least := atLeast(pieces, width, depth, gap, rest)
	s := packing{width: width + gap, depth: depth + gap, gap: gap, least: atLeast(pieces, width, depth, gap, 0)}
	beds := 0
	for _, p := range s.pack(pieces) {
		beds = max(beds, p.Bed+1)
		p.Bed += alone
		if b.Round {
			p.Low = geom.Vec2{p.Low[0] + (room[0]-width)/2, p.Low[1] + (room[1]-depth)/2}
		}
		out.Placed = append(out.Placed, p)
	}
	if rest > 0 {
		more += int(min(1e9, math.Ceil(rest/((width+gap)*(depth+gap)))))
	}
	out.Beds = alone + beds + more
	out.Least = max(least+alone, min(1, out.Beds))
	if b.Round { // what lies alone might share the disc
		out.Least = max(atLeast(pieces, room[0], room[1], gap, rest), min(1, out.Beds))
	}
	return out
}

// footprint is a piece of a part with what it takes of the plate, mm, and by what turning; false
// where it does not fit, or that is not known.
func (c *Case) footprint(part int, f float64) (one Placed, ok bool) {
	p := &c.Parts[part]
	one.Part = part
	for t := AsItLies; t <= c.Terms.Turning; t++ {
		if p.Fits[t] > 0 && f <= p.Fits[t] {
			size := p.Posed[t]
			if t == AsItLies {
				size = p.Size
				if p.Narrow > 0 && f <= p.Narrow {
					size, one.Narrow = p.NarrowSize, true
				}
			}
			one.Turning, one.Size = t, geom.Vec2{size[0] * f, size[1] * f}
			return one, true
		}
	}
	return one, false
}

// within is how far beyond the room rounding may carry a footprint that fits, as a share.
const within = 1e-12

func fitsIn(size geom.Vec2, width, depth float64) bool {
	width, depth = width*(1+within), depth*(1+within)
	return size[0] <= width && size[1] <= depth || size[1] <= width && size[0] <= depth
}

// atLeast is a bound for any arrangement of rectangles with quarter turns.
func atLeast(pieces []Placed, width, depth, gap, area float64) int {
	big := 0
	for _, p := range pieces {
		area += (p.Size[0] + gap) * (p.Size[1] + gap)
		// Two whose shorter sides are more than half of the plate's longer one cannot lie
		// beside each other either way.
		if 2*min(p.Size[0], p.Size[1])+gap > max(width, depth)*(1+within) {
			big++
		}
	}
	return max(big, int(math.Ceil(area/((width+gap)*(depth+gap))*(1-within))))
}

// A packing is how pieces are packed into plates, gap included in the plates' sides.
type packing struct {
	width, depth, gap float64
	least             int // no layout has fewer plates
}

const (
	mostTries  = 160     // of orders, after those that are always tried
	mostEffort = 120_000 // pieces times pieces in all tries together
)

// pack lays out the pieces as well as it finds.
func (s packing) pack(pieces []Placed) []Placed {
	if len(pieces) == 0 {
		return nil
	}
	long := func(p Placed) float64 { return max(p.Size[0], p.Size[1]) }
	short := func(p Placed) float64 { return min(p.Size[0], p.Size[1]) }
	area := func(p Placed) float64 { return p.Size[0] * p.Size[1] }
	by := func(first, then func(Placed) float64) []Placed {
		order := slices.Clone(pieces)
		slices.SortStableFunc(order, func(a, b Placed) int { return cmp.Or(cmp.Compare(first(b), first(a)), cmp.Compare(then(b), then(a))) })
		return order
	}
	var best filled
	effort := len(pieces) * len(pieces)
	spent := 0
	try := func(order []Placed, r rule) bool {
		spent += effort
		if got := s.fill(order, r); got.better(best) {
			best = got
		}
		return best.plates == s.least || spent >= mostEffort
	}
	orders := [][]Placed{by(long, short), by(area, long), by(short, long)}
	for _, r := range []rule{shortRest, lowest, areaRest} {
		for _, order := range orders {
			if try(order, r) {
				return best.pieces
			}
		}
	}
	random := rand.New(rand.NewPCG(1, 1)) // the same every time
	for i := range mostTries {
		order := slices.Clone(best.pieces)
		for k := range order {
			order[k].turnBack()
		}
		// Those of the emptiest plate first, and a few taken from anywhere.
		slices.SortStableFunc(order, func(a, b Placed) int {
			return cmp.Compare(btoi(b.Bed == best.emptiest), btoi(a.Bed == best.emptiest))
		})
		for range 1 + i%4 {
			a, b := random.IntN(len(order)), random.IntN(len(order))
			order[a], order[b] = order[b], order[a]
		}
		if try(order, rule(i)%rules) {
			break
		}
	}
	return best.pieces
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// turnBack undoes the quarter turn.
func (p *Placed) turnBack() {
	if p.Quarter {
		p.Quarter, p.Size = false, geom.Vec2{p.Size[1], p.Size[0]}
	}
}

// A filled is what came of one try.
type filled struct {
	pieces   []Placed // in the order in which they were laid down
	plates   int
	emptiest int
	area     float64 // of what lies there
}

func (f filled) better(g filled) bool {
	return g.plates == 0 || f.plates < g.plates || f.plates == g.plates && f.area < g.area
}

// fill puts the pieces down in their order. Each fits an empty plate.
func (s packing) fill(order []Placed, r rule) filled {
	out := filled{pieces: slices.Clone(order)}
	var plates []*plate
	var areas []float64
	for i := range out.pieces {
		p := &out.pieces[i]
		k := 0
		for ; k < len(plates) && !plates[k].put(p, s.gap, r); k++ {
		}
		if k == len(plates) {
			plates = append(plates, newPlate(s.width, s.depth))
			areas = append(areas, 0)
			plates[k].put(p, s.gap, r)
		}
		p.Bed = k
		areas[k] += p.Size[0] * p.Size[1]
	}
	out.plates = len(plates)
	for k, a := range areas {
		if a < areas[out.emptiest] {
			out.emptiest = k
		}
	}
	out.area = areas[out.emptiest]
	return out
}

// A rule says which place is best: the one with the least figure.
type rule int

const (
	shortRest rule = iota // the narrower of the two rests beside the piece
	lowest                // how far from the front it reaches
	areaRest              // the area that is left
	rules
)

func (r rule) figure(f rect, w, h float64) (first, then float64) {
	switch r {
	case lowest:
		return f.y + h, f.x
	case areaRest:
		return f.w*f.h - w*h, min(f.w-w, f.h-h)
	}
	return min(f.w-w, f.h-h), max(f.w-w, f.h-h)
}

// A plate is one bed being filled: its free rectangles, each as large as it can be.
type plate struct{ free []rect }

type rect struct{ x, y, w, h float64 }

func newPlate(w, h float64) *plate { return &plate{[]rect{{0, 0, w, h}}} }

// put finds the best place for a piece; the room at its far sides includes the gap.
func (p *plate) put(piece *Placed, gap float64, r rule) bool {
	best, bestFirst, bestThen := rect{}, math.Inf(1), 0.0
	turned := false
	for _, f := range p.free {
		for quarter := range 2 {
			w, h := piece.Size[quarter]+gap, piece.Size[1-quarter]+gap
			if w > f.w*(1+within) || h > f.h*(1+within) {
				continue
			}
			if first, then := r.figure(f, w, h); first < bestFirst || first == bestFirst && then < bestThen {
				best, bestFirst, bestThen, turned = rect{f.x, f.y, w, h}, first, then, quarter == 1
			}
		}
	}
	if math.IsInf(bestFirst, 1) {
		return false
	}
	p.take(best)
	piece.Low, piece.Quarter = geom.Vec2{best.x, best.y}, turned
	if turned {
		piece.Size = geom.Vec2{piece.Size[1], piece.Size[0]}
	}
	return true
}

// take cuts a rectangle out of all free ones.
func (p *plate) take(r rect) {
	var free []rect
	for _, f := range p.free {
		if r.x >= f.x+f.w || r.x+r.w <= f.x || r.y >= f.y+f.h || r.y+r.h <= f.y {
			free = append(free, f)
			continue
		}
		for _, piece := range []rect{
			{f.x, f.y, r.x - f.x, f.h},
			{r.x + r.w, f.y, f.x + f.w - r.x - r.w, f.h},
			{f.x, f.y, f.w, r.y - f.y},
			{f.x, r.y + r.h, f.w, f.y + f.h - r.y - r.h},
		} {
			if piece.w > 0 && piece.h > 0 {
				free = append(free, piece)
			}
		}
	}
	p.free = p.free[:0]
	for i, a := range free {
		inside := false
		for j, b := range free {
			if i != j && b.x <= a.x && b.y <= a.y && b.x+b.w >= a.x+a.w && b.y+b.h >= a.y+a.h && (a != b || j < i) {
				inside = true
				break
			}
		}
		if !inside {
			p.free = append(p.free, a)
		}
	}
}
