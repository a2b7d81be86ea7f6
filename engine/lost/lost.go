// Package lost finds a lost factor again: from an original and a copy of it that somebody
// rescaled.
package lost

import (
	"context"
	"errors"
	"math"
	"math/big"
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
)

// A Body is a part as it was measured, with its triangles where they can be read.
type Body struct {
	Part mesh.Part
	Mesh *mesh.Mesh // nil where only the measures are known
}

// A Method says from what a factor was found.
type Method string

// The methods.
const (
	ByCorners Method = "corners" // each triangle's corners against those of the same triangle of the copy
	ByExtents Method = "extents" // the three extents, held against volume or area
)

// A Found is a factor that was found again. Lengths are compared in millimetres, by the units
// of both parts.
type Found struct {
	Factor ratio.Factor // as it was measured
	Tidy   ratio.Factor // the shortest decimal that the measurement cannot tell from it; otherwise Factor
	SD     float64      // relative standard uncertainty of the factor
	Method Method
	// Axes are the factors along x, y and z of the original; 0 along an axis without extent.
	Axes   geom.Vec
	Spread float64 // largest of Axes over the smallest, less one
	Uneven bool    // they differ by more than rounding can explain: scaled unevenly
	// Solid is the cube root of the volumes' ratio, or the square root of the areas' where
	// there is no volume; 0 where neither is known.
	Solid float64
	// Residual is how far the copy's corners are from where the factor puts them, root of the
	// mean square in millimetres; ByCorners only.
	Residual float64
	Turned   bool // the copy lies turned
	Corners  int  // how many were compared
}

// What cannot be found. app/text has the words.
var (
	ErrNoExtent  = errors.New("nothing that has an extent")
	ErrDifferent = errors.New("the copy is a different model")
	ErrMirrored  = errors.New("the copy is the mirror image")
)

// Find finds the factor between an original and its copy. It compares corner with corner where
// both have as many triangles in the same order; where not, or where that shows no likeness,
// it goes by the three extents and the volume. A copy that is another model is ErrDifferent.
// It asks ctx every few thousand triangles; report rises from 0 to 1 and may be nil.
func Find(ctx context.Context, original, copied Body, report func(float64)) (Found, error) {
	if report == nil {
		report = func(float64) {}
	}
	found, err := extents(original.Part, copied.Part)
	if errors.Is(err, ErrNoExtent) {
		return Found{}, err
	}
	if a, b := original.Mesh, copied.Mesh; a != nil && b != nil && a.Len() == b.Len() && a.Len() > 0 {
		byCorners, like, errCorners := corners(ctx, original, copied, report)
		if errCorners != nil || like {
			return byCorners, errCorners
		}
	}
	if err == nil {
		report(1)
	}
	return found, err
}

// How far apart, on the logarithm, what should be alike may be when a model was meshed anew
// or written with few digits: extents by a thousandth, volumes and areas by a hundredth.
const (
	evenExtents = 1e-3
	alikeSolids = 1e-2
)

// distorted is the spread of the factors along the axes from which on a copy that shows no other
// likeness is taken for another model: one axis half as much again as another.
const distorted = 0.5

// extents goes by sizes alone.
func extents(original, copied mesh.Part) (Found, error) {
	a, b := original.Box.Size().Scale(original.Unit.MM), copied.Box.Size().Scale(copied.Unit.MM)
	if !(a.Len() > 0) || !(b.Len() > 0) || !a.Finite() || !b.Finite() {
		return Found{}, ErrNoExtent
	}
	f := Found{Method: ByExtents}
	// The copy may lie turned by quarters. A turn is taken where the axes then agree, and better
	// than without it.
	best := math.Inf(1)
	for i, order := range [][3]int{{0, 1, 2}, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}, {1, 2, 0}, {2, 0, 1}} {
		axes, spread, ok := axisFactors(a, geom.Vec{b[order[0]], b[order[1]], b[order[2]]})
		if !ok || i > 0 && (spread >= evenExtents || spread >= best-evenExtents/2) {
			continue
		}
		best, f.Axes, f.Spread, f.Turned = spread, axes, spread, i > 0
	}
	if math.IsInf(best, 1) {
		return Found{}, ErrDifferent
	}
	logs, n := 0.0, 0.0
	for _, s := range f.Axes {
		if s > 0 {
			logs += math.Log(s)
			n++
		}
	}
	logs /= n
	f.Uneven = f.Spread > evenExtents
	f.SD = max(math.Log1p(f.Spread)/2, evenExtents/2)
	solid, power := solidRatio(original, copied)
	if solid > 0 {
		f.Solid = math.Pow(solid, 1/power)
		switch {
		// Whatever the factors along the axes, volumes go with their product.
		case power == 3 && n == 3 && math.Abs(math.Log(solid)-3*logs) > alikeSolids:
			return Found{}, ErrDifferent
		// Areas go with the square only where the axes agree.
		case power == 2 && !f.Uneven && math.Abs(math.Log(solid)-2*logs) > alikeSolids:
			return Found{}, ErrDifferent
		}
	}
	// Without a volume nothing tells an uneven copy from another model, and the volume of a box
	// tells no more than its extents.
	if f.Uneven && f.Spread > distorted && (power != 3 || min(original.Triangles, copied.Triangles) <= boxTriangles) {
		return Found{}, ErrDifferent
	}
	if !f.set(math.Exp(logs)) {
		return Found{}, ErrNoExtent
	}
	return f, nil
}

// axisFactors are the quotients of the sizes, 0 along an axis where neither has an extent; it
// is not ok where only one has.
func axisFactors(a, b geom.Vec) (axes geom.Vec, spread float64, ok bool) {
	least, most := math.Inf(1), 0.0
	for i := range a {
		flatA, flatB := a[i] <= 1e-9*a.Len(), b[i] <= 1e-9*b.Len()
		if flatA != flatB {
			return axes, 0, false
		}
		if flatA {
			continue
		}
		axes[i] = b[i] / a[i]
		least, most = min(least, axes[i]), max(most, axes[i])
	}
	return axes, most/least - 1, most > 0
}

// solidRatio is the ratio of the volumes (power 3), or of the areas (power 2) where one
// encloses nothing, in millimetres; 0 where neither is known.
func solidRatio(original, copied mesh.Part) (of, power float64) {
	if !original.Surface || !copied.Surface {
		return 0, 0
	}
	unit := copied.Unit.MM / original.Unit.MM
	if encloses(original) && encloses(copied) {
		return math.Abs(copied.Volume/original.Volume) * unit * unit * unit, 3
	}
	if original.Area > 0 && copied.Area > 0 {
		return copied.Area / original.Area * unit * unit, 2
	}
	return 0, 0
}

// encloses reports whether a volume is more than rounding.
func encloses(p mesh.Part) bool {
	s := p.Box.Size()
	return math.Abs(p.Volume) > 1e-6*s[0]*s[1]*s[2]
}

// set takes the factor, and the shortest decimal within two standard uncertainties of it.
func (f *Found) set(s float64) bool {
	r := new(big.Rat)
	if !(s > 0) || math.IsInf(s, 1) || r.SetFloat64(s) == nil {
		return false
	}
	factor, err := ratio.NewFactor(r)
	if err != nil {
		return false
	}
	f.Factor, f.Tidy = factor, factor
	if f.Uneven {
		return true
	}
	for digits := range 12 {
		short := strconv.FormatFloat(s, 'e', digits, 64)
		tidy, ok := new(big.Rat).SetString(short)
		if !ok {
			continue
		}
		if x, _ := tidy.Float64(); math.Abs(x/s-1) <= 2*f.SD {
			if t, err := ratio.NewFactor(tidy); err == nil {
				f.Tidy = t
			}
			break
		}
	}
	return true
}
