package deliver

import (
	"context"
	"fmt"
	"math"
	"path/filepath"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Difference is how a copy that was read back differs from what it should be.
type Difference struct {
	Kind DifferenceKind
	Part string    // of the source; empty for PartCount; a file for Content
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
	Closedness    DifferenceKind = "closed"  // the source's surface is closed and that of the copy is not; Got counts its open edges
	Volume        DifferenceKind = "volume"  // of all parts together, mm³; a source's own check
	Content       DifferenceKind = "content" // the bytes of a file are not those that were written; Part is its name
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

// checks read copies back, one after another, while the next are written.
type checks struct {
	disk disk
	open Open
	todo chan *pending
	done chan []*pending // all, when todo is closed
}

func startChecks(d disk, open Open, copies int) *checks {
	c := &checks{d, open, make(chan *pending, copies), make(chan []*pending, 1)}
	go func() {
		var all []*pending
		for p := range c.todo {
			out := p.out
			out.Err = guardPanic(out.Path, func() (err error) {
				out.Worst, err = verify(p.ctx, out.Copy, p.set.record(), c.disk, c.open)
				return err
			})
			out.Verified = out.Err == nil
			all = append(all, p)
		}
		c.done <- all
	}()
	return c
}

// add has a copy checked that has its name. Until wait nobody else may touch its outcome.
func (c *checks) add(p *pending) {
	if c != nil {
		c.todo <- p // has room for all copies of the run
	}
}

// wait gives the copies that were checked, once all of them are. Nothing may be added any more.
func (c *checks) wait() []*pending {
	if c == nil {
		return nil
	}
	close(c.todo)
	return <-c.done
}

// verify reads a copy back and compares it with what it should be: the bytes that were written,
// the same parts, as many triangles, every bound that of the source times the factor, in its
// pose, and its surface closed where that of the source is. files are those of the copy, the
// main one last; worst is the largest relative difference of a size. A copy whose format cannot
// tell bodies apart has one part where the source has several; then all of them together are
// compared with it.
func verify(ctx context.Context, c Copy, files []Written, d disk, open Open) (worst float64, err error) {
	path := files[len(files)-1].Path
	back, err := open(ctx, path)
	if err != nil {
		if ctx.Err() != nil {
			return 0, ctx.Err()
		}
		return 0, &Error{Code: Verify, Path: path, Err: err}
	}
	for _, w := range files {
		same := false
		if b, ok := back.(digested); ok && w.Path == path && b.Digest() != "" {
			same = b.Digest() == w.Digest
		} else {
			same = w.stands(d)
		}
		if !same {
			return 0, &Error{Code: Verify, Path: path, Err: &Difference{Kind: Content, Part: filepath.Base(w.Path)}}
		}
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

// sealed compares the surfaces of a copy with those of its source: what was closed must be. The
// source is asked only where the copy is open.
func sealed(ctx context.Context, source Source, back Back, path string) error {
	was, is := source.Parts(), back.Parts()
	_, meant := source.(meshed)
	copied, ok := back.(meshed)
	if !meant || !ok || len(was) != len(is) { // bodies that became one may touch each other
		return nil
	}
	for i, p := range was {
		if !p.Surface || !is[i].Surface {
			continue
		}
		if after, err := closes(ctx, back, i); err != nil || after {
			if err != nil {
				return err
			}
			continue
		}
		if before, err := closes(ctx, source, i); err != nil || !before {
			if err != nil {
				return err
			}
			continue
		}
		m, err := copied.Mesh(ctx, i, nil)
		if err != nil {
			return err
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

// seamed is what a source or a copy can have beside Parts: whether the surface of a part closes,
// without its mesh.
type seamed interface {
	Closed(ctx context.Context, i int) (bool, error)
}

// closes reports whether the surface of a part closes; of must have meshes.
func closes(ctx context.Context, of Back, i int) (bool, error) {
	if s, ok := of.(seamed); ok {
		return s.Closed(ctx, i)
	}
	m, err := of.(meshed).Mesh(ctx, i, nil)
	if err != nil {
		return false, err
	}
	return mesh.Closes(ctx, m)
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
