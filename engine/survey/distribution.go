package survey

import (
	"cmp"
	"slices"
	"sort"
)

// A Distribution says how much of the surface has which width, so that what lies below a
// limit is a binary search.
type Distribution struct {
	// Widths rise. Widths that differ by less than 1/400 stand under the least of them.
	Widths []float64 `json:"widths"`
	// Areas are, for each width, the area with that width or less.
	Areas []float64 `json:"areas"`
	// Unmeasured is the area that has none: nothing faces back there.
	Unmeasured float64 `json:"unmeasured"`
}

const widthStep = 1.0 / 400

// A weighed width is one of a piece of surface.
type weighed struct{ width, area float64 }

// distributionOf puts the pieces in order; widths below 0 are none.
func distributionOf(pieces []weighed) Distribution {
	slices.SortFunc(pieces, func(a, b weighed) int {
		return cmp.Or(cmp.Compare(a.width, b.width), cmp.Compare(a.area, b.area))
	})
	d := Distribution{Widths: []float64{}, Areas: []float64{}}
	sum := 0.0
	for _, p := range pieces {
		if p.width < 0 {
			d.Unmeasured += p.area
			continue
		}
		sum += p.area
		if n := len(d.Widths); n > 0 && p.width <= d.Widths[n-1]*(1+widthStep) {
			d.Areas[n-1] = sum
			continue
		}
		d.Widths = append(d.Widths, p.width)
		d.Areas = append(d.Areas, sum)
	}
	return d
}

// pieces are what d was made of, as far as it still tells them apart.
func (d Distribution) pieces() []weighed {
	all := make([]weighed, len(d.Widths))
	before := 0.0
	for i, w := range d.Widths {
		all[i] = weighed{w, d.Areas[i] - before}
		before = d.Areas[i]
	}
	return all
}

// Known reports whether any width was measured.
func (d *Distribution) Known() bool { return len(d.Widths) > 0 }

// Area is all that has a width.
func (d *Distribution) Area() float64 {
	if !d.Known() {
		return 0
	}
	return d.Areas[len(d.Areas)-1]
}

// Least is the least width, 0 where there is none.
func (d *Distribution) Least() float64 {
	if !d.Known() {
		return 0
	}
	return d.Widths[0]
}

// Quantile is the width that this share of the measured area does not exceed: 0.5 gives
// the median. It is 0 where there is none.
func (d *Distribution) Quantile(share float64) float64 {
	if !d.Known() {
		return 0
	}
	i := sort.SearchFloat64s(d.Areas, share*d.Area())
	return d.Widths[min(i, len(d.Widths)-1)]
}

// AreaBelow is the area with a width less than the limit.
func (d *Distribution) AreaBelow(limit float64) float64 {
	i := sort.SearchFloat64s(d.Widths, limit)
	if i == 0 {
		return 0
	}
	return d.Areas[i-1]
}
