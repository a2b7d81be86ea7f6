package judge

import (
	"slices"
	"sort"

	"scantling/engine/geom"
)

// An inside is the inside of a convex outline: its lower and its upper chain, by rising x. The
// zero value has no inside.
type inside struct{ low, high []geom.Vec2 }

// insideOf takes an outline as geom.Hull2 gives it.
func insideOf(outline []geom.Vec2) inside {
	if len(outline) < 3 {
		return inside{}
	}
	right := 0
	for i, p := range outline {
		if p[0] >= outline[right][0] {
			right = i
		}
	}
	high := append(slices.Clone(outline[right:]), outline[0])
	slices.Reverse(high)
	return inside{outline[:right+1], high}
}

// has reports whether p lies inside, as far as rounding lets it tell.
func (w inside) has(p geom.Vec2) bool {
	low, ok := at(w.low, p[0])
	if !ok || p[1] <= low {
		return false
	}
	high, ok := at(w.high, p[0])
	return ok && p[1] < high
}

// at is the height of a chain over x; false where it is not over x, or at its ends.
func at(chain []geom.Vec2, x float64) (float64, bool) {
	i := sort.Search(len(chain), func(i int) bool { return chain[i][0] >= x })
	if i == 0 || i == len(chain) {
		return 0, false
	}
	a, b := chain[i-1], chain[i]
	return a[1] + (b[1]-a[1])*((x-a[0])/(b[0]-a[0])), true
}
