package geom

import (
	"cmp"
	"slices"
)

// Hull2 is the convex hull of points in a plane: counter-clockwise from the leftmost, of
// those the lowest, with no three corners on one line. One point and two points are hulls
// too. Points that are not finite are passed over. The points are put into another order.
//
// Method: what lies well inside the octagon of the outermost points is dropped (Akl and
// Toussaint 1978), the rest is chained (Andrew 1979) by exact turns.
func Hull2(points []Vec2) []Vec2 {
	points = slices.DeleteFunc(points, func(p Vec2) bool { return !p.Finite() })
	if len(points) > 40 {
		points = dropInner(points)
	}
	slices.SortFunc(points, func(a, b Vec2) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	points = slices.Compact(points)
	if len(points) < 3 {
		return slices.Clone(points)
	}
	hull := make([]Vec2, 0, min(len(points), 64)+1)
	chain := func(p Vec2, first int) {
		for n := len(hull); n >= first+2 && Orient2(hull[n-2], hull[n-1], p) <= 0; n-- {
			hull = hull[:n-1]
		}
		hull = append(hull, p)
	}
	for _, p := range points {
		chain(p, 0)
	}
	below := len(hull) - 1
	for i := len(points) - 2; i >= 0; i-- {
		chain(points[i], below)
	}
	return hull[:len(hull)-1] // the last is the first again
}

// dropInner keeps, in order, the points that are not well inside the octagon of the points
// that are outermost along the axes and diagonals.
func dropInner(points []Vec2) []Vec2 {
	var most [8]Vec2
	var reach [8]float64
	for i, p := range points {
		along := [4]float64{p[0], p[0] + p[1], p[1], p[1] - p[0]}
		for k, x := range along {
			if i == 0 || x > reach[k] {
				most[k], reach[k] = p, x
			}
			if i == 0 || -x > reach[k+4] {
				most[k+4], reach[k+4] = p, -x
			}
		}
	}
	octagon := slices.Compact(most[:]) // counter-clockwise, as the directions are
	if len(octagon) < 3 {
		return points
	}
	// Each side as a·x + b·y + c > 0 inside, c lowered by more than rounding can do.
	type side struct{ a, b, c float64 }
	sides := make([]side, 0, 8)
	size := (reach[0] + reach[4]) + (reach[2] + reach[6])
	far := max(reach[0], reach[4], reach[2], reach[6], 0) // no coordinate is larger
	for i, p := range octagon {
		q := octagon[(i+1)%len(octagon)]
		e := q.Sub(p)
		if e == (Vec2{}) {
			continue
		}
		sides = append(sides, side{-e[1], e[0], e[1]*p[0] - e[0]*p[1] - 1e-14*size*(far+size)})
	}
	kept := points[:0]
	for _, p := range points {
		inside := true
		for _, s := range sides {
			if !(s.a*p[0]+s.b*p[1]+s.c > 0) {
				inside = false
				break
			}
		}
		if !inside {
			kept = append(kept, p)
		}
	}
	return kept
}
