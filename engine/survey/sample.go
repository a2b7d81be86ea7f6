package survey

import (
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
)

// A sample is a point of the surface that stands for a piece of it.
type sample struct {
	at     geom.Vec
	normal geom.Vec // outwards, of length 1
	bent   geom.Vec // that of the curve that the facets stand for; 0 where they are flat
	area   float64  // of the piece
}

// spread is how densely samples stand.
type spread struct {
	perArea  float64 // samples for each unit of area
	perFacet float64 // and for each facet besides, so that fine detail is not overlooked
}

// spacing is how far apart samples stand where facets are large.
func (s spread) spacing() float64 { return 1 / math.Sqrt(s.perArea) }

// spreadOver is at most about twice byArea samples on n facets of this area in all.
func spreadOver(area float64, n, byArea int) spread {
	if !(area > 0) {
		return spread{}
	}
	return spread{
		perArea:  float64(byArea) / area,
		perFacet: min(1, float64(byArea)/float64(n)),
	}
}

// sampled spreads samples over the surface: the facets are laid in a row, each as long as
// it is to have samples, and the row is cut at even distances. So a facet that is larger
// than the square of the spacing has at least one, and small ones share theirs with their
// neighbours. Within a facet with several they stand on a sequence that fills it evenly:
// the R2 sequence (Roberts 2018), put on triangles by the map of Heitz (A Low-Distortion
// Map Between Triangle and Square, 2019). sense is 1, or -1 for facets that face inwards.
func sampled(ctx context.Context, f surface, t *geom.Tree, s spread, sense float64) ([]sample, error) {
	const chunk = 512 // so that most are passed over where samples are few
	n := t.Len()
	chunks := (n + chunk - 1) / chunk
	starts := make([]float64, chunks+1)
	length := func(place int) (twice geom.Vec, area, along float64) {
		a, b, c := t.Corners(place)
		twice = b.Sub(a).Cross(c.Sub(a))
		if area = twice.Len() / 2; area > 0 {
			along = area*s.perArea + s.perFacet
		}
		return twice, area, along
	}
	err := inParallel(ctx, chunks, func() func(k int) {
		return func(k int) {
			sum := 0.0
			for place := k * chunk; place < min(n, (k+1)*chunk); place++ {
				_, _, along := length(place)
				sum += along
			}
			starts[k+1] = sum
		}
	})
	if err != nil {
		return nil, err
	}
	for k := range chunks {
		starts[k+1] += starts[k]
	}
	ticks := func(at float64) int { return int(math.Floor(at + 0.5)) }
	all := make([]sample, ticks(starts[chunks]))
	err = inParallel(ctx, chunks, func() func(k int) {
		return func(k int) {
			from, next := starts[k], ticks(starts[k])
			if ticks(starts[k+1]) == next {
				return
			}
			for place := k * chunk; place < min(n, (k+1)*chunk); place++ {
				twice, area, along := length(place)
				to := min(from+along, starts[k+1])
				if place+1 == min(n, (k+1)*chunk) {
					to = starts[k+1] // whatever was rounded
				}
				count := ticks(to) - ticks(from)
				from = to
				if count == 0 || area == 0 {
					continue
				}
				normal := twice.Scale(sense / (2 * area))
				a, b, c := t.Corners(place)
				bent, curved := f.bends(int(t.Order()[place]))
				for i := range count {
					u, v := onTriangle(i, place)
					one := sample{
						at:     a.Add(b.Sub(a).Scale(u)).Add(c.Sub(a).Scale(v)),
						normal: normal,
						area:   area / along,
					}
					if curved {
						n := bent[0].Scale(1 - u - v).Add(bent[1].Scale(u)).Add(bent[2].Scale(v))
						one.bent = toUnit(n).Scale(sense)
					}
					all[next+i] = one
				}
				next += count
			}
		}
	})
	if err != nil {
		return nil, err
	}
	// One that fell on a facet without area, by rounding, is none.
	return slices.DeleteFunc(all, func(s sample) bool { return s.area == 0 }), nil
}

// onTriangle is the place of point i of a facet, as shares of the sides from the first
// corner. Each facet begins elsewhere, so that facets side by side have no common gaps.
func onTriangle(i, facet int) (u, v float64) {
	const plastic = 1.32471795724474602596 // the real root of x³ = x + 1
	_, u = math.Modf(0.5 + float64(i)/plastic + math.Phi*float64(facet))
	_, v = math.Modf(0.5 + float64(i)/(plastic*plastic) + math.Sqrt2*float64(facet))
	if v > u {
		u /= 2
		v -= u
	} else {
		v /= 2
		u -= v
	}
	return u, v
}
