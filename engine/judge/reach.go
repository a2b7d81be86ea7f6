package judge

import (
	"math"

	"scantling/engine/geom"
)

// A Reach says how far up the ladder a kit gets on a bed, and what stops it there.
type Reach struct {
	Largest int    // the rung of the largest factor at which all parts fit, -1 for none
	Next    int    // the rung of the next larger factor, -1 for none
	Part    int    // the part that limits the kit: its factor is the least; -1 when nothing does
	Needs   []Need // for Next, what each part that does not fit there would take
}

// A Need is what a part takes that is too large for the bed.
type Need struct {
	Part    int
	TooLong geom.Vec // mm along the bed's axes, in the pose in which it fits best
	// Pieces is how many pieces it would have to be cut into along each of its own axes,
	// as it lies, so that their boxes fit: as few as possible in all. A piece may be
	// turned as the part may. Zero where that is more than anybody would cut.
	Pieces [3]int
}

// Reach judges rungs by how the parts fit: fits are those of Fit for one turning on this
// bed. Rungs without a factor count for nothing. They may be in any order; of rungs with
// the same factor the first is named.
func (b Bed) Reach(rungs []Rung, fits []Fit, t Turning) Reach {
	r := Reach{Largest: -1, Next: -1, Part: -1}
	limit := math.Inf(1)
	for i, f := range fits {
		if f.Factor < limit {
			limit, r.Part = f.Factor, i
		}
	}
	if len(fits) == 0 {
		return r
	}
	for i, rung := range rungs {
		if !rung.Factor.Known() {
			continue
		}
		f := rung.Factor.Float()
		if f <= limit {
			if r.Largest < 0 || f > rungs[r.Largest].Factor.Float() {
				r.Largest = i
			}
		} else if r.Next < 0 || f < rungs[r.Next].Factor.Float() {
			r.Next = i
		}
	}
	if r.Next >= 0 {
		factor := rungs[r.Next].Factor.Float()
		for i, f := range fits {
			if factor > f.Factor {
				r.Needs = append(r.Needs, Need{i, b.TooLong(f, factor), b.Pieces(f.Lies, factor, t)})
			}
		}
	}
	return r
}

// TooLong is by how many millimetres a part in its pose goes beyond the room at a factor,
// along each of the bed's axes; on a round plate what the circle around it has too much is
// told of the longer side. It is zero where the part fits.
func (b Bed) TooLong(f Fit, factor float64) geom.Vec {
	var long geom.Vec
	if factor <= f.Factor {
		return long
	}
	room := b.Usable()
	for a := range long {
		long[a] = max(0, f.Size[a]*factor-room[a])
	}
	if b.Round {
		long[0], long[1] = 0, 0
		longer := 0
		if f.Size[1] > f.Size[0] {
			longer = 1
		}
		long[longer] = max(0, f.Across*factor-room[0])
	}
	return long
}

// mostPieces bounds the pieces along one axis.
const mostPieces = 1000

// Pieces is into how many pieces a part of this size, in millimetres as it lies, has to be
// cut along each of its axes for the boxes of all pieces to fit the bed at a factor, when
// they may be turned like this: by quarters about the vertical for Yaw, in all six ways for
// Faces and Free (but what is not cut has no new face to stand on, so that for Faces a part
// in one piece is only turned about the vertical). It is the choice with the fewest pieces, of several the one with the
// fewest along any axis. It is zero where there is no room, or along some axis more than
// a thousand were needed.
func (b Bed) Pieces(sizeMM geom.Vec, factor float64, t Turning) [3]int {
	ways := [][3]int{{0, 1, 2}, {1, 0, 2}, {0, 2, 1}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}
	switch {
	case t == AsItLies:
		ways = ways[:1]
	case t == Yaw:
		ways = ways[:2]
	}
	var best [3]int
	for i, way := range ways {
		// way says which axis of the part lies along each of the bed's.
		var size geom.Vec
		for a, from := range way {
			size[a] = sizeMM[from] * factor
		}
		cut, ok := b.cut(size)
		if !ok {
			continue
		}
		var pieces [3]int
		for a, from := range way {
			pieces[from] = cut[a]
		}
		if whole := pieces == [3]int{1, 1, 1}; whole && t == Faces && i >= 2 {
			continue
		}
		if best == [3]int{} || fewer(pieces, best) {
			best = pieces
		}
	}
	return best
}

// fewer reports whether a is less work than b.
func fewer(a, b [3]int) bool {
	if m, n := a[0]*a[1]*a[2], b[0]*b[1]*b[2]; m != n {
		return m < n
	}
	return max(a[0], a[1], a[2]) < max(b[0], b[1], b[2])
}

// cut is into how many pieces a size along the bed's axes has to be cut.
func (b Bed) cut(size geom.Vec) (pieces [3]int, ok bool) {
	room := b.Usable()
	high, ok := times(size[2], room[2])
	if !ok {
		return pieces, false
	}
	if !b.Round {
		wide, okWide := times(size[0], room[0])
		deep, okDeep := times(size[1], room[1])
		return [3]int{wide, deep, high}, okWide && okDeep
	}
	for wide := 1; wide <= mostPieces; wide++ {
		if pieces != [3]int{} && wide > pieces[0]*pieces[1] {
			break // no way to be fewer
		}
		x := size[0] / float64(wide)
		left := (room[0] - x) * (room[0] + x)
		if !(left >= 0) {
			continue
		}
		deep, ok := times(size[1], math.Sqrt(left))
		if now := [3]int{wide, deep, high}; ok && (pieces == [3]int{} || fewer(now, pieces)) {
			pieces = now
		}
	}
	return pieces, pieces != [3]int{}
}

// times is how often the room is needed for a length.
func times(length, room float64) (int, bool) {
	if !(length > 0) {
		return 1, true
	}
	n := math.Ceil(length / room)
	// A quotient just above a whole number may be rounding.
	if m := n - 1; m >= 1 && length/m <= room {
		n = m
	}
	if !(n >= 1 && n <= mostPieces) {
		return 0, false
	}
	return int(n), true
}
