package kit

import (
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// Facts are what was known of a part when the kit was last saved, so that a file that was
// changed since can be pointed out with what differs. Lengths are in the file's unit and axes.
type Facts struct {
	Bytes     int64    // of the file
	Box       geom.Box // empty for a part without triangles
	Triangles int
	Volume    float64 // as mesh.Measures has it; means little unless Closed
	Surface   Surface
}

// A Surface is whether a part's surface is closed, as far as that was found out.
type Surface string

// The surfaces.
const (
	NotKnown Surface = ""
	Closed   Surface = "closed"
	Open     Surface = "open"
)

// Known reports whether anything is.
func (f Facts) Known() bool { return f != Facts{} }

// FactsOf are the facts about a part that was measured, as far as the topology is known.
func FactsOf(p mesh.Part, t *mesh.Topology) Facts {
	f := Facts{Box: p.Box, Triangles: p.Triangles, Volume: p.Volume}
	switch {
	case t == nil:
	case t.Closed:
		f.Surface = Closed
	default:
		f.Surface = Open
	}
	return f
}

// A Change is in what a part differs from what it was.
type Change struct{ Size, Place, Triangles, Volume, Surface bool }

// Any reports whether it differs in anything that was measured.
func (c Change) Any() bool { return c != Change{} }

// Changed compares what a part was with what it is. What one of the two does not know counts
// as the same. Extents and volumes that agree to a millionth are the same: a file written
// again in another encoding may round them otherwise.
func (f Facts) Changed(now Facts) (c Change) {
	const same = 1e-6
	c.Triangles = f.Triangles != now.Triangles
	c.Surface = f.Surface != now.Surface && f.Surface != NotKnown && now.Surface != NotKnown
	c.Volume = math.Abs(f.Volume-now.Volume) > same*max(math.Abs(f.Volume), math.Abs(now.Volume))
	if f.Box.Empty() || now.Box.Empty() {
		c.Size = f.Box.Empty() != now.Box.Empty()
		return c
	}
	was, is := f.Box.Size(), now.Box.Size()
	most := same * max(was.Len(), is.Len())
	c.Size = !(was.Sub(is).Len() <= most)
	c.Place = !c.Size && !(f.Box.Centre().Sub(now.Box.Centre()).Len() <= most)
	return c
}

// mostFact bounds the numbers of facts in a kit's file: what float32 holds, cubed, is more than
// anybody's volume.
const mostFact = 1e120

// facts writes what was known of a part.
func (w *writer) facts(p Part) error {
	f := p.Was
	if !f.Known() {
		if len(p.wasExtra) > 0 {
			raw, err := new(writer).object(p.wasExtra)
			w.member("was", raw)
			return err
		}
		return nil
	}
	var o writer
	if f.Bytes > 0 {
		o.member("bytes", f.Bytes)
	}
	if b := f.Box; !b.Empty() && b.Min.Finite() && b.Max.Finite() {
		o.member("least", b.Min)
		o.member("most", b.Max)
	}
	o.member("triangles", f.Triangles)
	if math.Abs(f.Volume) <= mostFact {
		o.nonZero("volume", f.Volume)
	}
	o.nonEmpty("surface", string(f.Surface))
	raw, err := o.object(p.wasExtra)
	w.member("was", raw)
	return err
}

// facts reads what the writer wrote.
func (r *reader) facts(o object) (f Facts, unknown extras) {
	m, there := o.take("was")
	if !there {
		return f, nil
	}
	was := r.object(m)
	f.Bytes = int64(r.whole(was, "bytes", 0, math.MaxInt, 0))
	_, least := was["least"]
	_, most := was["most"]
	f.Box = geom.Box{Min: r.vector(was, "least", mostFact), Max: r.vector(was, "most", mostFact)}
	if !least || !most {
		f.Box = geom.EmptyBox()
	}
	f.Triangles = r.whole(was, "triangles", 0, math.MaxInt, 0)
	if m, there := was.take("volume"); there {
		f.Volume = r.within(m, -mostFact, mostFact)
	}
	f.Surface = one(r, was, "surface", errSurface, Closed, Open)
	unknown = was.rest()
	if f.Triangles == 0 && f.Bytes == 0 && f.Box.Empty() && f.Volume == 0 && f.Surface == NotKnown {
		f = Facts{}
	}
	return f, unknown
}
