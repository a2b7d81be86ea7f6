package geom

import (
	"cmp"
	"math"
	"slices"
)

// FitTurned turns a convex polygon so that the smallest copy of a rectangle holds it, its
// sides along the axes: need is how much larger than room that rectangle is (below 1 the
// polygon fits with room to spare), along the unit direction in the polygon that must come
// to lie along x. Any turn is found, and the best to rounding. The hull must be as Hull2
// gives it, room positive; need is 0 for a point.
//
// With slack the polygon counts as so much narrower along both axes at once, whatever the
// turn: what FitTurned then needs is a lower bound for all polygons whose widths differ by
// no more than that. It may be negative.
//
// Method: rotating calipers (Shamos 1978; Toussaint 1983). Between two turns at which a
// side of the polygon lies along an axis, each width is that of one pair of corners, which
// is a concave function of the angle. So the least of the greater of both lies at such a
// turn or where both need the same, and that is a quadratic equation.
func FitTurned(hull []Vec2, room Vec2, slack float64) (need float64, along Vec2) {
	if len(hull) < 2 {
		return -slack / max(room[0], room[1]), Vec2{1, 0}
	}
	turns := sideTurns(hull)
	best := fitting{room: room, slack: slack, need: math.Inf(1), along: Vec2{1, 0}}
	var c calipers
	for i, from := range turns {
		to := across(turns[0])
		if i+1 < len(turns) {
			to = turns[i+1]
		}
		middle := Vec2{from[0] + to[0], from[1] + to[1]}
		if i == 0 {
			c = newCalipers(hull, middle)
		} else {
			c.turn(middle)
		}
		a, b := c.pairs()
		best.try(a, b, from)
		best.try(a, b, to)
		best.tryEqual(a, b, from, to, room[0], room[1])
		best.tryEqual(a, b, from, to, room[1], room[0])
	}
	return best.need, best.along
}

// LeastRectangle is the rectangle of the least area around a convex polygon: its sides along and
// across the unit direction along, which lies in the first quadrant. The hull must be as Hull2
// gives it. Of rectangles that are as small to rounding the first counter-clockwise from x is taken.
//
// Method: one of its sides lies along one of the polygon's (Freeman and Shapira, Determining the
// minimum-area encasing rectangle, 1975).
func LeastRectangle(hull []Vec2) (along, size Vec2) {
	if len(hull) < 2 {
		return Vec2{1, 0}, Vec2{}
	}
	turns := sideTurns(hull)
	along = Vec2{1, 0}
	c := newCalipers(hull, along)
	at := func(u Vec2) Vec2 {
		a, b := c.pairs()
		return Vec2{a.Dot(u), b.Dot(across(u))}
	}
	size = at(along)
	const equal = 1e-12 // of the area
	for _, u := range turns {
		c.turn(u)
		if s := at(u); s[0]*s[1] < size[0]*size[1]*(1-equal) {
			along, size = u, s
		}
	}
	return along, size
}

// across is u turned a quarter counter-clockwise.
func across(u Vec2) Vec2 { return Vec2{-u[1], u[0]} }

// sideTurns are the directions of the hull's sides, each turned by quarters into the first
// quadrant, in order, without doubles.
func sideTurns(hull []Vec2) []Vec2 {
	turns := make([]Vec2, 0, len(hull))
	for i, p := range hull {
		u := hull[(i+1)%len(hull)].Sub(p)
		length := math.Hypot(u[0], u[1])
		u = Vec2{u[0] / length, u[1] / length}
		for !(u[0] > 0 && u[1] >= 0) {
			u = across(u)
			if !u.Finite() {
				return []Vec2{{1, 0}} // the side is too short or too long for a float64
			}
		}
		turns = append(turns, u)
	}
	slices.SortFunc(turns, func(a, b Vec2) int { return cmp.Compare(a[1]/(a[0]+a[1]), b[1]/(b[0]+b[1])) })
	return slices.Compact(turns)
}

// calipers hold the corners of a hull that are outermost along a direction, across it, and
// opposite to both.
type calipers struct {
	hull   []Vec2
	corner [4]int
}

func newCalipers(hull []Vec2, along Vec2) calipers {
	c := calipers{hull: hull}
	u := along
	for k := range c.corner {
		for i := range hull {
			if hull[i].Dot(u) > hull[c.corner[k]].Dot(u) {
				c.corner[k] = i
			}
		}
		u = across(u)
	}
	return c
}

// turn moves on, counter-clockwise, to another direction.
func (c *calipers) turn(along Vec2) {
	u := along
	for k, i := range c.corner {
		for range c.hull {
			next := i + 1
			if next == len(c.hull) {
				next = 0
			}
			if !(c.hull[next].Sub(c.hull[i]).Dot(u) > 0) {
				break
			}
			i = next
		}
		c.corner[k] = i
		u = across(u)
	}
}

// pairs are the vectors between the outermost corners along the direction and across it.
func (c *calipers) pairs() (a, b Vec2) {
	return c.hull[c.corner[0]].Sub(c.hull[c.corner[2]]), c.hull[c.corner[1]].Sub(c.hull[c.corner[3]])
}

// A fitting is the best turn so far.
type fitting struct {
	room  Vec2
	slack float64
	need  float64
	along Vec2
}

// try takes the turn u, and the one a quarter from it, if it needs less. The widths there
// are those of the pairs a, along u, and b, across it.
func (f *fitting) try(a, b, u Vec2) {
	w, d := a.Dot(u)-f.slack, b.Dot(across(u))-f.slack
	if need := max(w/f.room[0], d/f.room[1]); need < f.need {
		f.need, f.along = need, u
	}
	if need := max(w/f.room[1], d/f.room[0]); need < f.need {
		f.need, f.along = need, across(u)
	}
}

// tryEqual tries the turns between from and to at which the width along takes as much of
// side w as the one across does of side d.
func (f *fitting) tryEqual(a, b, from, to Vec2, w, d float64) {
	// (a·u - slack)/w = (b·across(u) - slack)/d is g·u = h.
	g := Vec2{a[0]/w - b[1]/d, a[1]/w + b[0]/d}
	h := f.slack/w - f.slack/d
	length := math.Hypot(g[0], g[1])
	cos := h / length
	if !(math.Abs(cos) <= 1) {
		return
	}
	sin := math.Sqrt((1 - cos) * (1 + cos))
	g = Vec2{g[0] / length, g[1] / length}
	for _, s := range [2]float64{sin, -sin} {
		u := Vec2{g[0]*cos - g[1]*s, g[1]*cos + g[0]*s}
		if from.Cross(u) >= 0 && u.Cross(to) >= 0 {
			f.try(a, b, u)
		}
	}
}
