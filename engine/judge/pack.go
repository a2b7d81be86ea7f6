package judge

import (
	"cmp"
	"math"
	"slices"

	"scantling/engine/geom"
)

// A Layout says how many beds a kit takes, and what lies where.
type Layout struct {
	Beds int
	// Least is what no arrangement of the same footprints can do with fewer of: by area, and
	// by those of which no two lie on one bed.
	Least  int
	Placed []Placed
	Left   []int // parts that fit no bed
}

// A Placed is one piece of a part on a bed.
type Placed struct {
	Part, Piece int
	Bed         int // from 0
	// Low is the corner of its footprint in the usable room of the bed, millimetres, and Size
	// the footprint; Quarter is set where it was turned by a quarter.
	Low, Size geom.Vec2
	Quarter   bool
}

// mostPieces bounds how many pieces are laid out; the rest counts by area.
const mostPacked = 2000

// Pack lays out the footprints of all pieces at a factor, each turned as it fits by the terms
// with the least freedom, gap millimetres apart. Footprints are the rectangles around the
// parts, and none lies above another.
//
// Method: the longest first, each where the narrower of the two rests beside it is least (the
// maximal rectangles of Jylänki, A thousand ways to pack the bin, 2010), on the first bed
// that has room. It seldom takes more than one bed beyond the least. On a round plate the
// square in the disc is filled; what goes only on the disc itself has a bed of its own.
func (c *Case) Pack(b Bed, f, gap float64) Layout {
	room := b.Usable()
	width, depth := room[0], room[1]
	if b.Round {
		width, depth = room[0]/math.Sqrt2, room[0]/math.Sqrt2
	}
	var out Layout
	var pieces []Placed
	alone, rest := 0, 0.0
	for i := range c.Parts {
		size, ok := c.footprint(i, f)
		switch n := c.Parts[i].pieces(); {
		case !ok:
			out.Left = append(out.Left, i)
		case !fitsIn(size, width, depth):
			for k := range min(n, mostPacked) {
				out.Placed = append(out.Placed, Placed{Part: i, Piece: k, Bed: alone + k, Low: geom.Vec2{(room[0] - size[0]) / 2, (room[1] - size[1]) / 2}, Size: size})
			}
			alone += n
		default:
			k := min(n, mostPacked-len(pieces))
			for piece := range k {
				pieces = append(pieces, Placed{Part: i, Piece: piece, Size: size})
			}
			rest += float64(n-k) * (size[0] + gap) * (size[1] + gap)
		}
	}
	slices.SortStableFunc(pieces, func(a, b Placed) int {
		return cmp.Or(cmp.Compare(max(b.Size[0], b.Size[1]), max(a.Size[0], a.Size[1])), cmp.Compare(min(b.Size[0], b.Size[1]), min(a.Size[0], a.Size[1])))
	})
	var plates []*plate
	for _, p := range pieces {
		k := 0
		for ; k < len(plates) && !plates[k].put(&p, gap); k++ {
		}
		if k == len(plates) {
			plates = append(plates, newPlate(width+gap, depth+gap))
			if !plates[k].put(&p, gap) { // cannot be: it fits an empty plate
				out.Left = append(out.Left, p.Part)
				plates = plates[:k]
				continue
			}
		}
		p.Bed = alone + k
		if b.Round {
			p.Low = geom.Vec2{p.Low[0] + (room[0]-width)/2, p.Low[1] + (room[1]-depth)/2}
		}
		out.Placed = append(out.Placed, p)
	}
	more := 0
	if rest > 0 {
		more = int(min(1e9, math.Ceil(rest/((width+gap)*(depth+gap)))))
	}
	out.Beds = alone + len(plates) + more
	out.Least = max(atLeast(pieces, width, depth, gap, rest)+alone, min(1, out.Beds))
	if b.Round { // what lies alone might share the disc
		out.Least = max(atLeast(pieces, room[0], room[1], gap, rest), min(1, out.Beds))
	}
	return out
}

// footprint is what a part takes of the plate, mm; false where it does not fit, or that is not
// known.
func (c *Case) footprint(part int, f float64) (geom.Vec2, bool) {
	p := &c.Parts[part]
	for t := AsItLies; t <= c.Terms.Turning; t++ {
		if p.Fits[t] > 0 && f <= p.Fits[t] {
			size := p.Posed[t]
			if t == AsItLies {
				size = p.Size
			}
			return geom.Vec2{size[0] * f, size[1] * f}, true
		}
	}
	return geom.Vec2{}, false
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

// A plate is one bed being filled: its free rectangles, each as large as it can be.
type plate struct{ free []rect }

type rect struct{ x, y, w, h float64 }

func newPlate(w, h float64) *plate { return &plate{[]rect{{0, 0, w, h}}} }

// put finds the best place for a piece; the room at its far sides includes the gap.
func (p *plate) put(piece *Placed, gap float64) bool {
	best, bestRest := rect{}, math.Inf(1)
	turned := false
	for _, f := range p.free {
		for quarter := range 2 {
			w, h := piece.Size[quarter]+gap, piece.Size[1-quarter]+gap
			if w > f.w*(1+within) || h > f.h*(1+within) {
				continue
			}
			if rest := min(f.w-w, f.h-h); rest < bestRest {
				best, bestRest, turned = rect{f.x, f.y, w, h}, rest, quarter == 1
			}
		}
	}
	if math.IsInf(bestRest, 1) {
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
