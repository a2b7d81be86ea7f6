package obj

import (
	"context"
	"io"
	"math"
	"os"
	"sync/atomic"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/source"
)

// A split says which faces make which part.
type split struct {
	by   kind // object, group, or atEnd: all faces make one part
	part []int
	rows map[string]int32
}

// of is the part that faces belong to while s is in force.
func (p *split) of(s state) int {
	switch p.by {
	case object:
		return p.part[s.object]
	case group:
		return p.part[s.group]
	}
	return 0
}

// turn is the state after an object or group statement.
func (p *split) turn(now state, k kind, x *lexer, e encoding) state {
	if k == p.by { // others make no difference
		row, ok := p.rows[e.name(x.words())]
		if !ok {
			row = 0 // the file has changed
		}
		if k == object {
			now.object = row
		} else {
			now.group = row
		}
	}
	return now
}

// splitOf decides which parts a scene has, by what is known of it without its faces:
// whether groups share vertices is still to be seen. about is a vertex of each part.
func splitOf(s *scene) (p split, names []string, about []int64) {
	rows := s.objects
	p.by = object
	if len(rows.rows) == 1 { // no object statement at all
		rows = s.groups
		p.by = group
	}
	p.rows = rows.number
	p.part = make([]int, len(rows.rows))
	for i, r := range rows.used {
		p.part[r] = i
		names = append(names, rows.rows[r].name)
		about = append(about, rows.rows[r].first)
	}
	if len(rows.used) == 1 {
		p.by = atEnd
	}
	if p.by == group {
		// They may turn out to be one part, so all are measured about one point.
		for i := range about {
			about[i] = about[0]
		}
	}
	return p, names, about
}

// A tally is what a worker measures in one piece.
type tally struct {
	room    []byte // for the text of a piece in UTF-16
	reader  faceReader
	clipper clipper
	points  []geom.Vec
	parts   []portion
	index   map[int]int // of parts, by number
	trouble *trouble
}

// A portion is what a piece holds of one part.
type portion struct {
	part   int
	acc    *mesh.Accumulator
	lo, hi uint32
}

// measure reads the file for the second time, and measures its faces.
func (f *File) measure(ctx context.Context, in *os.File, s *scene, report func(float64)) error {
	var names []string
	var about []int64
	f.split, names, about = splitOf(s)
	references := make([]geom.Vec, len(about))
	for i, v := range about {
		if v < int64(s.vertices.n) {
			references[i] = s.vertices.at(uint32(v))
		}
	}
	sums := make([]*mesh.Accumulator, len(names))
	f.places = make([]place, len(names))
	for i := range sums {
		sums[i] = mesh.NewAccumulator(references[i])
		f.places[i] = place{firstPiece: -1, firstVertex: math.MaxUint32}
	}
	var owners owners
	if f.split.by == group {
		owners.of = make([]uint32, s.vertices.n)
	}

	work := func(c lines.Chunk, t *tally) (*tally, error) {
		if t == nil {
			t = &tally{index: map[int]int{}}
		}
		t.parts, t.trouble = t.parts[:0], nil
		clear(t.index)
		t.reader.all = s.vertices.n
		t.read(f, f.enc.text(&t.room, c.Data), c.Index, s, references, &owners)
		return t, nil
	}
	merge := func(c lines.Chunk, t *tally) (*tally, error) {
		if t.trouble != nil {
			return nil, f.locate(c.Offset, f.enc.text(&t.room, c.Data), t.trouble)
		}
		for _, p := range t.parts {
			sums[p.part].Merge(p.acc)
			at := &f.places[p.part]
			if at.firstPiece < 0 {
				at.firstPiece = c.Index
			}
			at.lastPiece = c.Index
			at.firstVertex = min(at.firstVertex, p.lo)
			at.lastVertex = max(at.lastVertex, p.hi)
		}
		return t, nil
	}
	if _, err := in.Seek(0, io.SeekStart); err != nil {
		return source.Fault(f.path, err)
	}
	whole := io.LimitReader(in, f.stamp.Bytes)
	if err := lines.Fold(ctx, whole, f.options(f.stamp.Bytes, f.along(0), report), work, merge); err != nil {
		return f.readError(ctx, err)
	}
	for _, at := range f.places {
		if at.firstPiece < 0 { // it had faces a moment ago
			return f.changed("written to while it was read")
		}
	}
	if owners.shared.Load() {
		f.join(sums)
		sums, names = sums[:1], []string{""}
	}
	for i, acc := range sums {
		p := mesh.Part{Name: names[i], Measures: acc.Measures()}
		if p.Name == "" {
			p.Name = source.Stem(f.path)
		}
		f.parts = append(f.parts, p)
	}
	return nil
}

// join makes all parts one.
func (f *File) join(sums []*mesh.Accumulator) {
	all := &f.places[0]
	for i, at := range f.places[1:] {
		sums[0].Merge(sums[i+1])
		all.firstPiece = min(all.firstPiece, at.firstPiece)
		all.lastPiece = max(all.lastPiece, at.lastPiece)
		all.firstVertex = min(all.firstVertex, at.firstVertex)
		all.lastVertex = max(all.lastVertex, at.lastVertex)
	}
	f.places = f.places[:1]
	f.split = split{by: atEnd}
}

// read measures the faces of a piece.
func (t *tally) read(f *File, text []byte, index int, s *scene, references []geom.Vec, owners *owners) {
	x := lex(text, index == 0)
	now := f.pieces[index].state
	t.reader.seen = f.pieces[index].vertices
	var current *portion // nil until a face needs it
	for {
		k, at := x.next()
		switch k {
		case atEnd:
			return
		case vertex:
			t.reader.seen++
		case object, group:
			now = f.split.turn(now, k, &x, f.enc)
			current = nil
		case face:
			if t.trouble = t.reader.read(&x, at); t.trouble != nil {
				return
			}
			if current == nil {
				current = t.portion(f.split.of(now), references)
			}
			t.face(current, s)
			if owners.of != nil {
				owners.take(t.reader.corners, uint32(current.part)+1)
			}
		}
	}
}

// portion is that of a part, made if need be.
func (t *tally) portion(part int, references []geom.Vec) *portion {
	i, ok := t.index[part]
	if !ok {
		i = len(t.parts)
		t.index[part] = i
		t.parts = append(t.parts, portion{part, mesh.NewAccumulator(references[part]), math.MaxUint32, 0})
	}
	return &t.parts[i]
}

// face measures the face that was just read.
func (t *tally) face(p *portion, s *scene) {
	t.points = t.points[:0]
	for _, v := range t.reader.corners {
		p.lo = min(p.lo, v)
		p.hi = max(p.hi, v)
		t.points = append(t.points, s.vertices.at(v))
	}
	for _, c := range t.clipper.cut(t.points) {
		p.acc.Add(t.points[c[0]], t.points[c[1]], t.points[c[2]])
	}
}

// owners remembers which part each vertex belongs to, to see whether two parts share one.
// What comes of it does not depend on who takes a vertex first.
type owners struct {
	of     []uint32 // 0 is nobody
	shared atomic.Bool
}

func (o *owners) take(vertices []uint32, part uint32) {
	for _, v := range vertices {
		if now := atomic.LoadUint32(&o.of[v]); now != part && (now != 0 || !atomic.CompareAndSwapUint32(&o.of[v], 0, part)) {
			if atomic.LoadUint32(&o.of[v]) != part {
				o.shared.Store(true)
			}
		}
	}
}
