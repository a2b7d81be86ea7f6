package judge

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
)

const (
	// gap is how much the best pose may be better than the one that was found, as a share
	// of the factor, for the search to end.
	gap = 2e-3
	// looks bounds the search: how often the part is seen from somewhere.
	looks = 6000
)

// tilted searches all directions that can come to lie upwards. Around the vertical the best
// turn is found by calipers, so that only half a ball of directions is left; opposite ones
// are alike.
//
// Method: branch and bound. The ball is cut into cells; seen from the middle of a cell, the
// part has widths that differ from those seen from anywhere in it by no more than the
// chord to its corner times the part's diameter, which gives what all poses of the cell
// need at least. Cells that cannot be the best are dropped, the most promising one is cut
// in four. Good directions are improved at once.
func (f *fitting) tilted(ctx context.Context, known Fit, looks int) (best Fit, atMost float64, err error) {
	s := &tilting{fitting: f, ctx: ctx, looks: looks, reach: f.reach()}
	s.least = 1 / known.Factor
	if err := s.search(known.Pose.Turn[2]); err != nil {
		return Fit{}, 0, err
	}
	atMost = s.atMost()
	for _, up := range []geom.Vec{s.up, known.Pose.Turn[2]} {
		best = f.better(best, f.settleTowards(up))
	}
	if len(f.part.Few) < len(f.part.Points) {
		// What is best for few points is nearly so for all.
		s.all = true
		s.up, s.least = best.Pose.Turn[2], 1/best.Factor
		if err := s.improve(s.up, s.least, 3e-3, 60); err != nil {
			return Fit{}, 0, err
		}
		best = f.better(best, f.settleTowards(s.up))
	}
	return best, atMost, nil
}

// reach is the diameter of the part, or a little more.
func (f *fitting) reach() float64 {
	if f.bed.Round {
		return 2 * f.radius // a circle turns about the middle of the part
	}
	far := 0.0
	for i, p := range f.part.Few {
		for _, q := range f.part.Few[:i] {
			d := p.Sub(q)
			far = max(far, d.Dot(d))
		}
	}
	return math.Sqrt(far) * (1 + 1e-14)
}

// tilting is a search at work.
type tilting struct {
	*fitting
	ctx   context.Context
	looks int // left
	all   bool
	reach float64
	up    geom.Vec // the best so far
	least float64  // what it needs
	cells cells
}

// A cell is a piece of half the ball of directions: a square on a face of a cube around it.
type cell struct {
	face       geom.Axis
	u, v, half float64
	least      float64 // what no direction in it can do with less than
}

// at is the direction to a point of the cell, a and b from -1 to 1.
func (c cell) at(a, b float64) geom.Vec {
	var d geom.Vec
	d[c.face] = 1
	d[(c.face+1)%3] = c.u + a*c.half
	d[(c.face+2)%3] = c.v + b*c.half
	return d.Scale(1 / d.Len())
}

// chord is the distance from the middle to the farthest corner.
func (c cell) chord() float64 {
	middle, far := c.at(0, 0), 0.0
	for _, corner := range [4][2]float64{{-1, -1}, {-1, 1}, {1, -1}, {1, 1}} {
		far = max(far, c.at(corner[0], corner[1]).Sub(middle).Len())
	}
	return far
}

// cells are a heap, the most promising first.
type cells []cell

func (c cells) Len() int           { return len(c) }
func (c cells) Less(i, j int) bool { return c[i].least < c[j].least }
func (c cells) Swap(i, j int)      { c[i], c[j] = c[j], c[i] }
func (c *cells) Push(x any)        { *c = append(*c, x.(cell)) }
func (c *cells) Pop() any {
	last := (*c)[len(*c)-1]
	*c = (*c)[:len(*c)-1]
	return last
}

// atMost is the factor that no pose exceeds.
func (s *tilting) atMost() float64 {
	least := s.least * (1 - gap)
	if len(s.cells) > 0 {
		least = min(least, s.cells[0].least)
	}
	// However it lies, the part's diameter is no longer than the room's diagonal.
	diagonal := math.Hypot(s.room[0], math.Hypot(s.room[1], s.room[2]))
	if s.bed.Round {
		diagonal = math.Hypot(s.room[0], s.room[2])
	}
	far := s.reach
	if s.bed.Round {
		far = s.radius // the farthest two points are at least as far apart as one from the middle of the box
	}
	most := diagonal / far
	if least > 0 {
		most = min(most, 1/least)
	}
	return most * (1 + 1e-12)
}

// look sees the part from a direction.
func (s *tilting) look(up geom.Vec) (outline []geom.Vec2, height float64, err error) {
	if s.looks%32 == 0 || s.all {
		err = s.ctx.Err()
	}
	s.looks--
	points := s.part.Few
	if s.all {
		points = s.part.Points
	}
	outline, height = s.seen(points, up)
	return outline, height, err
}

// search begins with a known direction.
func (s *tilting) search(known geom.Vec) error {
	s.up = known
	polish := s.looks / 20
	if err := s.improve(known, s.least, 0.1, 200); err != nil {
		return err
	}
	const across = 6 // cells along each side of a face of the cube
	var starts []start
	for face := geom.X; face <= geom.Z; face++ {
		for i := range across * across {
			c := cell{face: face, half: 1. / across}
			c.u, c.v = float64(2*(i/across)+1)/across-1, float64(2*(i%across)+1)/across-1
			outline, height, err := s.look(c.at(0, 0))
			if err != nil {
				return err
			}
			need, _ := s.need(outline, height, 0)
			starts = append(starts, start{c.at(0, 0), need})
			c.least = s.leastOf(c, outline, height)
			s.cells = append(s.cells, c)
		}
	}
	heap.Init(&s.cells)
	for _, d := range dips(starts, 3./across) {
		if err := s.improve(d.up, d.need, 0.5/across, 120); err != nil {
			return err
		}
	}
	for len(s.cells) > 0 && s.looks > 0 && s.cells[0].least < s.least*(1-gap) {
		c := heap.Pop(&s.cells).(cell)
		half := c.half / 2
		for _, q := range [4][2]float64{{-half, -half}, {-half, half}, {half, -half}, {half, half}} {
			if err := s.try(cell{c.face, c.u + q[0], c.v + q[1], half, c.least}); err != nil {
				return err
			}
		}
	}
	// Downhill ends early where the part touches on all sides: once more, in small steps.
	for range 3 {
		if err := s.improve(s.up, s.least, 0.01, polish); err != nil {
			return err
		}
	}
	return nil
}

// leastOf is what no direction in the cell can do with less than, as seen from its middle.
func (s *tilting) leastOf(c cell, outline []geom.Vec2, height float64) float64 {
	slack := c.chord() * s.reach
	least := max(c.least, (height-slack)/s.room[2])
	if least < s.least*(1-gap) {
		around, _ := s.need(outline, height, slack)
		least = max(least, around)
	}
	return least
}

// try judges a cell, keeps it unless it cannot hold the best, and improves its middle where
// that is the best so far.
func (s *tilting) try(c cell) error {
	middle := c.at(0, 0)
	outline, height, err := s.look(middle)
	if err != nil {
		return err
	}
	if c.least = s.leastOf(c, outline, height); c.least >= s.least*(1-gap) {
		return nil
	}
	heap.Push(&s.cells, c)
	if need, _ := s.need(outline, height, 0); need < s.least {
		return s.improve(middle, need, c.half, 120)
	}
	return nil
}

// A start is a direction that may be improved.
type start struct {
	up   geom.Vec
	need float64
}

// dips are the starts that need no more than any other so near to them or to their
// opposites, the best first, and no more than a dozen.
func dips(starts []start, near float64) []start {
	var out []start
	for _, a := range starts {
		least := true
		for _, b := range starts {
			if math.Abs(a.up.Dot(b.up)) > 1-near*near/2 && b.need < a.need {
				least = false
				break
			}
		}
		if least {
			out = append(out, a)
		}
	}
	slices.SortStableFunc(out, func(a, b start) int { return cmp.Compare(a.need, b.need) })
	return out[:min(len(out), 12)]
}

// improve goes downhill from a direction, in steps around it that turn and shrink, and
// keeps the end if it is the best so far.
func (s *tilting) improve(up geom.Vec, need, step float64, most int) error {
	angle := 0.0
	for round := 0; most > 0 && step > 1e-9; round++ {
		x, y := towards(up)
		better := false
		for k := 0; k < 6 && !better; k++ {
			sin, cos := math.Sincos(angle + float64(k)*math.Pi/3)
			there := up.Add(x.Scale(step * cos)).Add(y.Scale(step * sin))
			there = there.Scale(1 / there.Len())
			outline, height, err := s.look(there)
			if err != nil {
				return err
			}
			most--
			if height >= need*s.room[2] {
				continue
			}
			if n, _ := s.need(outline, height, 0); n < need {
				up, need, better = there, n, true
				angle += float64(k) * math.Pi / 3
			}
		}
		if better {
			step *= 1.3
			continue
		}
		angle += 0.4
		if round%2 == 1 {
			step /= 2
		}
	}
	if need < s.least {
		s.up, s.least = up, need
	}
	return nil
}
