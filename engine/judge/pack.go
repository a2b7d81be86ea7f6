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
	Least int
	// Nested is set where Least is by the area of the hulls from above instead: see Nest.
	Nested bool
	Placed []Placed
	Left   []int // parts that fit no bed, or of which that is not known
	// Grown are those of Left that fit a bed as finished prints, and not as their copies, which
	// the correction makes larger.
	Grown []int
	// Unplaced counts the pieces that are too many to be laid out, and only counted in Beds.
	Unplaced int
}

// A Placed is one piece of a part on a bed.
type Placed struct {
	Part, Piece int
	Bed         int // from 0
	// Low is the corner of its footprint in the usable room of the bed, millimetres, and Size
	// the footprint, that of a copy with the correction; Quarter is set where it was turned by a
	// quarter.
	Low, Size geom.Vec2
	Quarter   bool
	Half      bool      // and by a half besides
	across    geom.Vec2 // its footprint with the quarter turn more, or less
	// Turning is the freedom that its pose takes: that of Bed.Fit with it, before the quarter.
	Turning Turning
	Narrow  bool // it is posed by Bed.Narrow instead
	// Alone is set where it goes only on the disc of a round plate itself, in the middle.
	Alone bool
}

// A Rest is how a part stands in the middle of the plate by itself, in millimetres as drawn.
type Rest struct {
	outline []geom.Vec2 // its hull from above, about the middle of the plate, as geom.Hull2 gives it
	pose    geom.Pose   // of the file's points
	box     [2]geom.Vec2
	frame   [4]geom.Vec2 // the corners of its box in the file, from above
	yaw     float64
}

// RestOf is how a part of that hull, in millimetres as drawn, stands in a pose: that of Bed.Narrow for
// a piece that lies narrow, and that of Bed.Fit with its turning for any other.
func RestOf(pose Pose, hull survey.Hull) Rest {
	out := Rest{yaw: math.NaN()}
	if pose.Turn[2] == (geom.Vec{0, 0, 1}) {
		out.yaw = math.Atan2(-pose.Turn[0][1], pose.Turn[0][0])
	}
	for i, side := range [4]geom.Vec{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		at := pose.Apply(geom.Vec{side[0] * hull.Size[0] / 2, side[1] * hull.Size[1] / 2})
		out.frame[i] = geom.Vec2{at[0], at[1]}
	}
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
	out.outline = geom.Hull2(flat)
	out.pose.Rows, out.pose.Shift = pose.OfFile(hull)
	return out
}

// A Spot is where a piece lies on a bed, z up from the plate, x and y from the plate's corner,
// millimetres.
type Spot struct {
	Pose    geom.Pose   // of the file's points, multiplied by the factor and in millimetres
	Low     geom.Vec2   // corner of its footprint
	Outline []geom.Vec2 // its hull from above
	// Yaw is by how much it is turned about the vertical, counter-clockwise from above, radians
	// from 0 to below a whole turn; NaN where it stands otherwise than in its file. Frame is where
	// the corners of its box in the file come to lie, seen from above: what is seen of the part in
	// its file fills that.
	Yaw   float64
	Frame [4]geom.Vec2
}

// Covers is how much of the plate lies under the hull of the piece, square millimetres.
func (s Spot) Covers() float64 {
	twice := 0.0
	for i, p := range s.Outline {
		q := s.Outline[(i+1)%len(s.Outline)]
		twice += p[0]*q[1] - p[1]*q[0]
	}
	return math.Abs(twice) / 2
}

// Lay is where a placed piece lies at a factor. correct is what lengths along the bed's axes are
// multiplied by besides, as they were when it was placed; zero stands for 1.
func (b Bed) Lay(p Placed, rest Rest, f float64, correct geom.Vec) Spot {
	out := Spot{Pose: rest.pose.Scale(f), Outline: slices.Clone(rest.outline), Frame: rest.frame, Yaw: rest.yaw}
	low, high := rest.box[0], rest.box[1]
	for range p.quarters() {
		out.Pose = out.Pose.Then(geom.Quarter(geom.Z).Pose())
		low, high = geom.Vec2{-high[1], low[0]}, geom.Vec2{-low[1], high[0]}
		out.Yaw += math.Pi / 2
		for _, points := range [][]geom.Vec2{out.Outline, out.Frame[:]} {
			for i, v := range points {
				points[i] = geom.Vec2{-v[1], v[0]}
			}
		}
	}
	out.Yaw = math.Mod(out.Yaw+2*math.Pi, 2*math.Pi)
	for a, c := range correct {
		if c > 0 {
			out.Pose.Rows[a] = out.Pose.Rows[a].Scale(c)
			out.Pose.Shift[a] *= c
		} else {
			correct[a] = 1
		}
	}
	room := b.Usable()
	for a := range low {
		low[a] *= f * correct[a]
		by := b.Size[a] / 2 // as it rests: what goes only on the disc of a round plate itself
		if !p.Alone {
			by = (b.Size[a]-room[a])/2 + p.Low[a] - low[a]
		}
		out.Low[a] = by + low[a]
		out.Pose.Shift[a] += by
		for _, points := range [][]geom.Vec2{out.Outline, out.Frame[:]} {
			for i := range points {
				points[i][a] = by + points[i][a]*f*correct[a]
			}
		}
	}
	return out
}

// mostPacked bounds how many pieces are laid out; the rest counts by area.
const mostPacked = 2000

// Pack lays out the footprints of all pieces at a factor, each turned as it fits by the terms
// with the least freedom, gap millimetres apart, and twice the brim besides. What fits as it lies
// is turned on the plate so that it takes least. Footprints are the rectangles around the parts,
// and none lies above another. What is laid are copies: they have the process's correction, where
// it is on, along the plate's axes, and must fit with it. Equal arguments give equal layouts.
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
	correct := c.Terms.Process.Correction.Factors()
	for i := range c.Parts {
		one, ok := c.footprint(b, i, f, correct)
		size := one.Size
		switch n := c.Parts[i].pieces(); {
		case !ok:
			out.Left = append(out.Left, i)
			if _, fits := c.footprint(b, i, f, geom.Vec{1, 1, 1}); fits {
				out.Grown = append(out.Grown, i)
			}
		case !one.goesIn(width, depth):
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
			rest += float64(n-k) * one.takes(gap)
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

// footprint is a piece of a part with what its copy takes of the plate, mm, and by what turning;
// false where it does not fit, or that is not known.
func (c *Case) footprint(b Bed, part int, f float64, correct geom.Vec) (one Placed, ok bool) {
	p := &c.Parts[part]
	one.Part = part
	room := b.Usable()
	// fits sets how large the copy of what is so large lies there, and reports whether that fits
	// where the finished print fits up to a factor.
	fits := func(size geom.Vec, upTo float64) bool {
		if !(upTo > 0 && f <= upTo) {
			return false
		}
		x, y := size[0]*f, size[1]*f
		one.Size, one.across = geom.Vec2{x * correct[0], y * correct[1]}, geom.Vec2{y * correct[0], x * correct[1]}
		switch {
		case correct == geom.Vec{1, 1, 1}:
			return true
		case size[2]*f*correct[2] > room[2]*(1+within):
			return false
		case b.Round: // the circle around it grows no more than that
			return f*max(correct[0], correct[1]) <= upTo || one.goesIn(room[0]/math.Sqrt2, room[1]/math.Sqrt2)
		}
		return one.goesIn(room[0], room[1])
	}
	for t := AsItLies; t <= c.Terms.Turning; t++ {
		one.Turning = t
		if one.Narrow = t == AsItLies && fits(p.NarrowSize, p.Narrow) && p.Fits[t] >= f; one.Narrow {
			return one, true
		}
		size := p.Posed[t]
		if t == AsItLies {
			size = p.Size
		}
		if fits(size, p.Fits[t]) {
			return one, true
		}
	}
	return one, false
}

// within is how far beyond the room rounding may carry a footprint that fits, as a share.
const within = 1e-12

// goesIn reports whether a piece fits a rectangle one way or the other.
func (p Placed) goesIn(width, depth float64) bool {
	width, depth = width*(1+within), depth*(1+within)
	return p.Size[0] <= width && p.Size[1] <= depth || p.across[0] <= width && p.across[1] <= depth
}

// takes is the least that a piece takes of a plate with its gap, square millimetres.
func (p Placed) takes(gap float64) float64 {
	return min((p.Size[0]+gap)*(p.Size[1]+gap), (p.across[0]+gap)*(p.across[1]+gap))
}

// atLeast is a bound for any arrangement of rectangles with quarter turns.
func atLeast(pieces []Placed, width, depth, gap, area float64) int {
	big := 0
	for _, p := range pieces {
		area += p.takes(gap)
		// Two whose shorter sides are more than half of the plate's longer one cannot lie
		// beside each other either way.
		if 2*min(p.Size[0], p.Size[1], p.across[0], p.across[1])+gap > max(width, depth)*(1+within) {
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

// turn turns a piece by a quarter, or back.
func (p *Placed) turn() { p.Quarter, p.Size, p.across = !p.Quarter, p.across, p.Size }

// quarters is by how many quarters it is turned in all.
func (p Placed) quarters() int { return btoi(p.Quarter) + 2*btoi(p.Half) }

// turnBack undoes the quarter turn.
func (p *Placed) turnBack() {
	if p.Quarter {
		p.turn()
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
			w, h := piece.Size[0]+gap, piece.Size[1]+gap
			if quarter == 1 {
				w, h = piece.across[0]+gap, piece.across[1]+gap
			}
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
	piece.Low = geom.Vec2{best.x, best.y}
	if turned {
		piece.turn()
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
