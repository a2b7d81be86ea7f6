package deliver

import (
	"context"
	"fmt"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Difference is how a copy that was read back differs from what it should be.
type Difference struct {
	Kind DifferenceKind
	Part string    // of the source; empty for PartCount
	Axis geom.Axis // Extent
	// What should be and what is: a count, or a coordinate of the bounds in the copy's
	// file unit (Extent).
	Want, Got float64
}

// A DifferenceKind is what differs.
type DifferenceKind string

// What can differ.
const (
	PartCount     DifferenceKind = "parts"
	TriangleCount DifferenceKind = "triangles"
	Extent        DifferenceKind = "extent"
)

// Error is terse, for logs; app/text has the maker's sentence.
func (d *Difference) Error() string {
	where := d.Part
	if d.Kind == Extent {
		where += " " + d.Axis.String()
	}
	return fmt.Sprintf("%s %s: %v instead of %v", where, d.Kind, d.Got, d.Want)
}

// tolerance is how far a bound of a copy may lie from source × factor, as a share of the
// largest coordinate of the whole copy. A float32 coordinate is rounded by at most 2^-24
// of itself; one that is put together from two (a mesh and the place of its node) by twice
// that; printed numbers read back to the same float32. The rest is slack for a node's
// turned axes, where a coordinate is the sum of three products.
const tolerance = 1.0 / (1 << 22)

// verify reads a copy back and compares it with what it should be: the same parts, as many
// triangles, every bound that of the source times the factor. worst is the largest relative
// difference of a size. A copy whose format cannot tell bodies apart has one part where
// the source has several; then all of them together are compared with it.
func verify(ctx context.Context, c Copy, path string, open Open) (worst float64, err error) {
	back, err := open(ctx, path)
	if err != nil {
		if ctx.Err() != nil {
			return 0, ctx.Err()
		}
		return 0, &Error{Code: Verify, Path: path, Err: err}
	}
	want, got := c.Source.Parts(), back.Parts()
	if len(got) == 1 && len(want) > 1 {
		want = []mesh.Part{together(want)}
	}
	wrong := func(d Difference) error { return &Error{Code: Verify, Path: path, Err: &d} }
	if len(got) != len(want) {
		return 0, wrong(Difference{Kind: PartCount, Want: float64(len(want)), Got: float64(len(got))})
	}
	f := c.Factor * c.PerUnit
	largest := 0.0
	for _, p := range want {
		if !p.Box.Empty() {
			for axis := range p.Box.Min {
				largest = max(largest, math.Abs(p.Box.Min[axis]*f), math.Abs(p.Box.Max[axis]*f))
			}
		}
	}
	for i, p := range want {
		if p.Triangles != got[i].Triangles {
			return worst, wrong(Difference{Kind: TriangleCount, Part: p.Name,
				Want: float64(p.Triangles), Got: float64(got[i].Triangles)})
		}
		if p.Box.Empty() || got[i].Box.Empty() {
			if p.Box.Empty() != got[i].Box.Empty() {
				return worst, wrong(Difference{Kind: Extent, Part: p.Name, Got: math.NaN(), Want: math.NaN()})
			}
			continue
		}
		size, gotSize := p.Box.Size().Scale(f), got[i].Box.Size()
		for axis := range size {
			for _, b := range [][2]float64{
				{p.Box.Min[axis] * f, got[i].Box.Min[axis]},
				{p.Box.Max[axis] * f, got[i].Box.Max[axis]},
			} {
				if !(math.Abs(b[1]-b[0]) <= tolerance*largest) {
					return worst, wrong(Difference{Kind: Extent, Part: p.Name, Axis: geom.Axis(axis), Want: b[0], Got: b[1]})
				}
			}
			if size[axis] > 0 {
				worst = max(worst, math.Abs(gotSize[axis]-size[axis])/size[axis])
			}
		}
	}
	return worst, nil
}

// together is all parts as one.
func together(parts []mesh.Part) mesh.Part {
	all := mesh.Part{Name: parts[0].Name, Measures: mesh.Measures{Box: geom.EmptyBox()}}
	for _, p := range parts {
		all.Triangles += p.Triangles
		all.Box = all.Box.Union(p.Box)
	}
	return all
}
