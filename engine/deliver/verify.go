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
	Closedness    DifferenceKind = "closed" // the source's surface is closed and that of the copy is not; Got counts its open edges
	Volume        DifferenceKind = "volume" // of all parts together, mm³; a source's own check
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
// largest coordinate of the whole copy, and of its source × factor where that was posed: the
// measures and triangles of a source are float32, wherever it is put then. A float32 coordinate is rounded by at most 2^-24
// of itself; one that is put together from two (a mesh and the place of its node) by twice
// that; printed numbers read back to the same float32. The rest is slack for a node's
// turned axes, where a coordinate is the sum of three products.
const tolerance = 1.0 / (1 << 22)

// verify reads a copy back and compares it with what it should be: the same parts, as many
// triangles, every bound that of the source times the factor, in its pose, and its surface closed
// where that of the source is. worst is the
// largest relative difference of a size. A copy whose format cannot tell bodies apart has
// one part where the source has several; then all of them together are compared with it.
func verify(ctx context.Context, c Copy, path string, open Open) (worst float64, err error) {
	back, err := open(ctx, path)
	if err != nil {
		if ctx.Err() != nil {
			return 0, ctx.Err()
		}
		return 0, &Error{Code: Verify, Path: path, Err: err}
	}
	got := back.Parts()
	want, err := c.expected(ctx, got)
	if err != nil {
		return 0, err
	}
	if len(got) == 1 && len(want) > 1 {
		want = []expected{together(want)}
	}
	wrong := func(d Difference) error { return &Error{Code: Verify, Path: path, Err: &d} }
	if len(got) != len(want) {
		return 0, wrong(Difference{Kind: PartCount, Want: float64(len(want)), Got: float64(len(got))})
	}
	largest := 0.0
	for _, p := range want {
		largest = max(largest, p.far)
		if !p.box.Empty() {
			for axis := range p.box.Min {
				largest = max(largest, math.Abs(p.box.Min[axis]), math.Abs(p.box.Max[axis]))
			}
		}
	}
	for i, p := range want {
		if p.triangles != got[i].Triangles {
			return worst, wrong(Difference{Kind: TriangleCount, Part: p.name,
				Want: float64(p.triangles), Got: float64(got[i].Triangles)})
		}
		if p.box.Empty() || got[i].Box.Empty() {
			if p.box.Empty() != got[i].Box.Empty() {
				return worst, wrong(Difference{Kind: Extent, Part: p.name, Got: math.NaN(), Want: math.NaN()})
			}
			continue
		}
		size, gotSize := p.box.Size(), got[i].Box.Size()
		for axis := range size {
			for _, b := range []struct{ want, got, in float64 }{
				{p.box.Min[axis], got[i].Box.Min[axis], 1},
				{p.box.Max[axis], got[i].Box.Max[axis], -1},
			} {
				off := math.Abs(b.got - b.want)
				if p.within { // how far it sticks out
					off = (b.want - b.got) * b.in
				}
				if !(off <= tolerance*largest) {
					return worst, wrong(Difference{Kind: Extent, Part: p.name, Axis: geom.Axis(axis), Want: b.want, Got: b.got})
				}
			}
			if size[axis] > 0 && !p.within {
				worst = max(worst, math.Abs(gotSize[axis]-size[axis])/size[axis])
			}
		}
	}
	return worst, sealed(ctx, c.Source, back, path)
}

// sealed compares the surfaces of a copy with those of its source: what was closed must be.
func sealed(ctx context.Context, source, back Source, path string) error {
	a, ok := source.(meshed)
	b, too := back.(meshed)
	was, is := source.Parts(), back.Parts()
	if !ok || !too || len(was) != len(is) { // bodies that became one may touch each other
		return nil
	}
	sound := func(s meshed, i int) (bool, *mesh.Mesh, error) {
		m, err := s.Mesh(ctx, i, nil)
		if err != nil {
			return false, nil, err
		}
		ok, err := balanced(ctx, m)
		return ok, m, err
	}
	for i, p := range was {
		if !p.Surface || !is[i].Surface {
			continue
		}
		before, _, err := sound(a, i)
		if err != nil {
			return err
		}
		if !before {
			continue
		}
		after, m, err := sound(b, i)
		if err != nil {
			return err
		}
		if after {
			continue
		}
		top, err := mesh.TopologyOf(ctx, m, nil)
		if err != nil {
			return err
		}
		return &Error{Code: Verify, Path: path, Err: &Difference{Kind: Closedness, Part: p.Name,
			Got: float64(top.OpenEdges + top.CrowdedEdges + top.FlippedEdges)}}
	}
	return nil
}

// balanced reports whether every edge of a mesh is run along as often one way as the other, which
// is what makes a surface closed. It adds up a number for each edge, which the other way has the
// negative of: a mesh that is open passes with a chance of about 2^-64. That takes a twentieth of
// the time of welding it, and a copy whose vertices were rounded into one still passes. It asks
// ctx every few thousand triangles.
func balanced(ctx context.Context, m *mesh.Mesh) (bool, error) {
	mix := func(x uint64) uint64 { // the end of splitmix64 (Steele, Lea, Flood, OOPSLA 2014)
		x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
		x = (x ^ x>>27) * 0x94d049bb133111eb
		return x ^ x>>31
	}
	sum := uint64(0)
	for t := range m.Len() {
		if t&0xffff == 0 && ctx.Err() != nil {
			return false, ctx.Err()
		}
		var corner [3]uint64
		for k, v := range m.Corners(t) {
			for _, x := range m.Vertices[v] {
				corner[k] = mix(corner[k] + 0x9e3779b97f4a7c15 + uint64(math.Float32bits(x+0))) // -0 is 0
			}
		}
		for k, a := range corner {
			b := corner[(k+1)%3]
			sum += mix(a+3*b) - mix(b+3*a)
		}
	}
	return sum == 0, nil
}

// An expected is what a part of a copy should be.
type expected struct {
	name      string
	triangles int
	box       geom.Box // in the copy's file unit
	within    bool     // all that is known is that it lies in box
	far       float64  // of a posed part its largest coordinate before that, in the copy's file unit
}

// meshed is what a source can have beside Source: the triangles of its parts.
type meshed interface {
	Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error)
}

// expected is what the parts of the copy should be; got are those that it has.
func (c *Copy) expected(ctx context.Context, got []mesh.Part) ([]expected, error) {
	var out []expected
	change := c.change()
	for i, p := range c.Source.Parts() {
		pose := change.Pose
		if len(got) > 0 {
			up := got[min(i, len(got)-1)].Up
			if !pose.Known() && up != p.Up {
				pose = geom.Upright(p.Up)
			}
			if pose.Known() {
				pose = pose.Then(geom.Upright(up).Inverse())
			}
		}
		e := expected{name: p.Name, triangles: p.Triangles}
		if pose.Known() && !p.Box.Empty() {
			for axis := range p.Box.Min {
				e.far = max(e.far, math.Abs(p.Box.Min[axis]), math.Abs(p.Box.Max[axis]))
			}
			e.far *= change.Factor * c.PerUnit
		}
		source, ok := c.Source.(meshed)
		switch {
		case pose.KeepsBoxes():
			e.box = pose.Box(p.Box.Scale(change.Factor))
		case ok && p.Surface:
			m, err := source.Mesh(ctx, i, nil)
			if err != nil {
				return nil, err
			}
			e.box = geom.EmptyBox()
			for t := range m.Len() {
				if t&0xffff == 0 && ctx.Err() != nil {
					return nil, ctx.Err()
				}
				for _, v := range m.Corners(t) {
					e.box = e.box.Add(pose.Apply(m.Vertex(v).Scale(change.Factor)))
				}
			}
		default:
			e.box, e.within = pose.Box(p.Box.Scale(change.Factor)), true
		}
		if !e.box.Empty() {
			e.box = e.box.Scale(c.PerUnit)
		}
		out = append(out, e)
	}
	return out, nil
}

// together is all parts as one.
func together(parts []expected) expected {
	all := expected{name: parts[0].name, box: geom.EmptyBox()}
	for _, p := range parts {
		all.triangles += p.triangles
		all.box = all.box.Union(p.box)
		all.within = all.within || p.within
		all.far = max(all.far, p.far)
	}
	return all
}
