package judge

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"scantling/engine/geom"
)

const (
	nestCells  = 256         // along the longer side of the plate
	nestTries  = 24          // of orders
	nestEffort = 100_000_000 // words that are looked at in all tries together, some tenths of a second
	mostNested = 600         // pieces: beyond them rectangles must do
	nestSides  = 24          // of the polygon around a circle
)

// Nest lays the pieces of a layout closer than Pack did: by the hulls that are seen from above, in
// place of the rectangles around them, turned by quarters, and on the whole of a round plate. rests
// has how each part rests that is placed, by its number; gap, bed and factor are those of the
// layout. It gives the layout itself where it finds none with fewer beds, but for Least, which is
// that of the area of the hulls, unless all are rectangles. Of too many pieces nothing is tried.
// The only error is that of ctx, which is asked many times a second. Equal arguments give equal
// layouts.
//
// Method: the plate is a grid of cells. A piece goes where none of the cells that it touches is
// touched by another one with the gap around it, as far to the front as can be, and then to the
// left; so gaps are kept, and up to a cell is lost beside each. The places of a whole line of cells
// are tried at once, a bit each. Orders are tried as in Pack.
func (c *Case) Nest(ctx context.Context, start Layout, b Bed, f, gap float64, rests []Rest) (Layout, error) {
	n := newNest(b, gap+2*b.Brim)
	correct := c.Terms.Process.Correction.Factors()
	out := start
	if start.Unplaced > 0 || len(start.Placed) == 0 || len(start.Placed) > mostNested || n.columns < 1 || n.rows < 1 {
		return out, ctx.Err()
	}
	var pieces []*shape
	var placed, alone []Placed // in the order of pieces; those that fill a bed as they lie
	shapes := map[int]*shape{}
	area, boxes := 0.0, true
	for _, p := range start.Placed {
		s := shapes[p.Part]
		if s == nil {
			s = n.shapeOf(p, b, rests[p.Part], f, correct)
			shapes[p.Part] = s
		}
		area += s.grown
		boxes = boxes && s.area > p.Size[0]*p.Size[1]*(1-1e-9)
		if len(s.masks) == 0 {
			p.Bed = len(alone)
			alone = append(alone, p)
			continue
		}
		pieces, placed = append(pieces, s), append(placed, p)
	}
	least := max(1, int(math.Ceil(area/n.plate*(1-1e-9))))
	if out.Nested = !boxes; out.Nested || least > out.Least {
		out.Least = least
	}
	most := start.Beds - 1 - len(alone)
	if start.Beds <= out.Least || most < 1 {
		return out, ctx.Err()
	}
	best, err := n.search(ctx, pieces, out.Least-len(alone))
	if err != nil {
		return Layout{}, err
	}
	if best.plates > most {
		return out, nil
	}
	out.Beds, out.Placed = len(alone)+best.plates, alone
	for k, at := range best.places {
		p := placed[best.order[k]]
		p.turnTo(pieces[best.order[k]].masks[at.mask].quarters)
		p.Bed, p.Alone = len(alone)+at.bed, false
		p.Low = geom.Vec2{float64(at.x) * n.cell, float64(at.y) * n.cell}
		out.Placed = append(out.Placed, p)
	}
	return out, nil
}

// turnTo turns a piece by so many quarters in all.
func (p *Placed) turnTo(quarters int) {
	if p.Quarter != (quarters%2 == 1) {
		p.turn()
	}
	p.Half = quarters >= 2
}

// A nest is a plate in cells.
type nest struct {
	cell          float64
	columns, rows int
	words         int      // of a row
	gap           float64  // mm
	free          []uint64 // rows of a bed without anything: taken cells are set
	plate         float64  // area of the plate with half a gap around it, square mm
	looked        int      // words, so far
}

func newNest(b Bed, gap float64) *nest {
	room := b.Usable()
	n := &nest{cell: max(room[0], room[1]) / nestCells, gap: gap}
	if !(n.cell > 0) {
		return n
	}
	n.columns, n.rows = int(room[0]/n.cell+1e-9), int(room[1]/n.cell+1e-9)
	n.words = (n.columns + 63) / 64
	n.free = make([]uint64, n.words*n.rows)
	n.plate = room[0]*room[1] + (room[0]+room[1])*gap + math.Pi/4*gap*gap
	if b.Round {
		r := room[0] / 2
		n.plate = math.Pi * (r + gap/2) * (r + gap/2)
		far := func(i int) float64 { // of a cell's farther side from the middle
			return max(math.Abs(float64(i)*n.cell-r), math.Abs(float64(i+1)*n.cell-r))
		}
		for y := range n.rows {
			for x := range n.columns {
				if math.Hypot(far(x), far(y)) > r*(1+1e-12) {
					n.free[y*n.words+x/64] |= 1 << (x % 64)
				}
			}
		}
	}
	return n
}

// A shape is a part as it is laid, in the ways in which it may be turned.
type shape struct {
	masks []*mask
	area  float64 // of its hull, square mm
	grown float64 // with half a gap around it
	long  float64
}

// A mask is a shape turned one way, with its low corner in the corner of a cell.
type mask struct {
	quarters int
	need     []run // of each row: the cells that it touches
	block    []run // and those that it touches with the gap around it, from row -under
	under    int
	w, h     int // cells
	depth    float64
	index    int // among all masks
}

// A run is the cells from..to-1 of a row.
type run struct{ from, to int }

func (n *nest) shapeOf(p Placed, b Bed, rest Rest, f float64, correct geom.Vec) *shape {
	s := &shape{}
	for quarters := range 4 {
		p.turnTo(quarters)
		p.Low, p.Alone = geom.Vec2{}, false
		outline := b.Lay(p, rest, f, correct).Outline
		low := geom.Vec2{math.Inf(1), math.Inf(1)}
		high := geom.Vec2{math.Inf(-1), math.Inf(-1)}
		for _, v := range outline {
			for a := range v {
				low[a], high[a] = min(low[a], v[a]), max(high[a], v[a])
			}
		}
		for i := range outline {
			outline[i] = geom.Vec2{outline[i][0] - low[0], outline[i][1] - low[1]}
		}
		m := &mask{quarters: quarters, depth: high[1] - low[1]}
		m.need, _ = n.runs(outline)
		m.block, m.under = n.runs(n.around(outline))
		m.h = len(m.need)
		for _, r := range m.need {
			m.w = max(m.w, r.to)
		}
		if quarters == 0 {
			s.area = Spot{Outline: outline}.Covers()
			perimeter := 0.0
			for i, v := range outline {
				q := outline[(i+1)%len(outline)]
				perimeter += math.Hypot(q[0]-v[0], q[1]-v[1])
			}
			s.grown = s.area + perimeter*n.gap/2 + math.Pi/4*n.gap*n.gap
			s.long = max(high[0]-low[0], high[1]-low[1])
		}
		alike := slices.ContainsFunc(s.masks, func(o *mask) bool { return slices.Equal(o.need, m.need) && slices.Equal(o.block, m.block) })
		if _, _, fits := n.find(&nestBed{taken: n.free, from: make([]int, 1)}, m); fits && !alike {
			s.masks = append(s.masks, m)
		}
	}
	return s
}

// around is the outline with at least the gap around it.
func (n *nest) around(outline []geom.Vec2) []geom.Vec2 {
	r := n.gap / math.Cos(math.Pi/nestSides)
	if r == 0 {
		return outline
	}
	var out []geom.Vec2
	for i := range nestSides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / nestSides)
		for _, v := range outline {
			out = append(out, geom.Vec2{v[0] + r*cos, v[1] + r*sin})
		}
	}
	return geom.Hull2(out)
}

// runs are the cells that a convex outline touches, row by row, the first of them -under.
func (n *nest) runs(outline []geom.Vec2) (rows []run, under int) {
	const off = 1e-9 // what only touches a cell's side is not in it
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range outline {
		low, high = min(low, v[1]), max(high, v[1])
	}
	first := int(math.Floor(low/n.cell + off))
	last := max(int(math.Ceil(high/n.cell-off)), first+1)
	for j := first; j < last; j++ {
		y0, y1 := float64(j)*n.cell, float64(j+1)*n.cell
		a, b := math.Inf(1), math.Inf(-1)
		take := func(x float64) { a, b = min(a, x), max(b, x) }
		for i, v := range outline {
			q := outline[(i+1)%len(outline)]
			if v[1] >= y0 && v[1] <= y1 {
				take(v[0])
			}
			for _, y := range [2]float64{y0, y1} {
				if (v[1] < y) != (q[1] < y) {
					take(v[0] + (q[0]-v[0])*(y-v[1])/(q[1]-v[1]))
				}
			}
		}
		if a > b { // it only touches the row
			rows = append(rows, run{})
			continue
		}
		from := int(math.Floor(a/n.cell + off))
		rows = append(rows, run{from, max(int(math.Ceil(b/n.cell-off)), from+1)})
	}
	return rows, -first
}

// A place is where a piece lies.
type place struct{ bed, mask, x, y int }

// A nested is what came of one try: the places of the pieces in their order.
type nested struct {
	order  []int
	places []place
	plates int
	last   float64 // area on the emptiest plate
	on     int     // which that is
}

// search tries orders until the bound is met or enough was tried.
func (n *nest) search(ctx context.Context, pieces []*shape, least int) (nested, error) {
	by := func(figure func(*shape) float64) []int {
		order := make([]int, len(pieces))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(figure(pieces[j]), figure(pieces[i])) })
		return order
	}
	index := 0
	for _, s := range pieces {
		for _, m := range s.masks {
			if m.index == 0 {
				index++
				m.index = index
			}
		}
	}
	var best nested
	random := rand.New(rand.NewPCG(1, 1)) // the same every time
	orders := [][]int{by(func(s *shape) float64 { return s.area }), by(func(s *shape) float64 { return s.long })}
	for try := 0; try < nestTries && n.looked < nestEffort; try++ {
		var order []int
		if try < len(orders) {
			order = orders[try]
		} else {
			order = best.shuffled(random, 1+try%4)
		}
		got, err := n.fill(ctx, pieces, order, index)
		if err != nil {
			return nested{}, err
		}
		if best.plates == 0 || got.plates < best.plates || got.plates == best.plates && got.last < best.last {
			best = got
		}
		if best.plates <= least {
			break
		}
	}
	return best, nil
}

// shuffled has the pieces of the emptiest plate first, and a few taken from anywhere.
func (f nested) shuffled(random *rand.Rand, swaps int) []int {
	var first, rest []int
	for k, i := range f.order {
		if f.places[k].bed == f.on {
			first = append(first, i)
		} else {
			rest = append(rest, i)
		}
	}
	order := append(first, rest...)
	for range swaps {
		a, b := random.IntN(len(order)), random.IntN(len(order))
		order[a], order[b] = order[b], order[a]
	}
	return order
}

// A nestBed is a plate being filled.
type nestBed struct {
	taken []uint64
	from  []int // by mask: the first row that may have room; no row below it has
	area  float64
}

// fill puts the pieces down in their order. Each fits an empty plate.
func (n *nest) fill(ctx context.Context, pieces []*shape, order []int, masks int) (nested, error) {
	out := nested{order: order, places: make([]place, len(order))}
	var beds []*nestBed
	for k, i := range order {
		if err := ctx.Err(); err != nil {
			return nested{}, err
		}
		s := pieces[i]
		placed := false
		for bed := 0; !placed; bed++ {
			if bed == len(beds) {
				beds = append(beds, &nestBed{taken: slices.Clone(n.free), from: make([]int, masks+1)})
			}
			b := beds[bed]
			best, top, found := place{}, math.Inf(1), false
			for at, m := range s.masks {
				if x, y, ok := n.find(b, m); ok {
					if t := float64(y)*n.cell + m.depth; t < top-1e-9 || t < top+1e-9 && x < best.x {
						best, top, found = place{bed, at, x, y}, t, true
					}
				}
			}
			if found {
				n.take(b, s.masks[best.mask], best.x, best.y)
				b.area += s.area
				out.places[k], placed = best, true
			}
		}
	}
	out.plates, out.last = len(beds), math.Inf(1)
	for k, b := range beds {
		if b.area < out.last {
			out.last, out.on = b.area, k
		}
	}
	return out, nil
}

// find is the first place for a mask, from the front and then from the left.
func (n *nest) find(b *nestBed, m *mask) (x, y int, ok bool) {
	if m.w > n.columns || m.h > n.rows {
		return 0, 0, false
	}
	bad, row := make([]uint64, n.words), make([]uint64, n.words)
	for y = b.from[m.index]; y+m.h <= n.rows; y++ {
		clear(bad)
		for x := n.columns - m.w + 1; x < n.words*64; x++ { // it would reach beyond the plate
			bad[x/64] |= 1 << (x % 64)
		}
		full := false
		for i := 0; i < m.h && !full; i++ {
			r := m.need[i]
			if r.to == r.from {
				continue
			}
			copy(row, b.taken[(y+i)*n.words:(y+i+1)*n.words])
			shiftDown(row, r.from)
			spread(row, r.to-r.from)
			n.looked += n.words * (2 + bits.Len(uint(r.to-r.from)))
			full = true
			for w := range bad {
				bad[w] |= row[w]
				full = full && bad[w] == math.MaxUint64
			}
		}
		if full {
			continue
		}
		for w, taken := range bad {
			if taken != math.MaxUint64 {
				b.from[m.index] = y
				return w*64 + bits.TrailingZeros64(^taken), y, true
			}
		}
	}
	b.from[m.index] = n.rows
	return 0, 0, false
}

// shiftDown moves the bits of a row to lower columns.
func shiftDown(row []uint64, by int) {
	words, rest := by/64, uint(by%64)
	for w := range row {
		v := uint64(0)
		if w+words < len(row) {
			v = row[w+words] >> rest
			if rest > 0 && w+words+1 < len(row) {
				v |= row[w+words+1] << (64 - rest)
			}
		}
		row[w] = v
	}
}

// spread sets each bit of which one of the next so many, itself among them, is set.
func spread(row []uint64, length int) {
	for done := 1; done < length; {
		by := min(done, length-done)
		words, rest := by/64, uint(by%64)
		for w := range row { // from below: what is read has not been changed
			v := uint64(0)
			if w+words < len(row) {
				v = row[w+words] >> rest
				if rest > 0 && w+words+1 < len(row) {
					v |= row[w+words+1] << (64 - rest)
				}
			}
			row[w] |= v
		}
		done += by
	}
}

// take sets the cells that a piece keeps others from.
func (n *nest) take(b *nestBed, m *mask, x, y int) {
	for i, r := range m.block {
		j := y + i - m.under
		if j < 0 || j >= n.rows {
			continue
		}
		for c := max(x+r.from, 0); c < min(x+r.to, n.columns); c++ {
			b.taken[j*n.words+c/64] |= 1 << (c % 64)
		}
	}
}
