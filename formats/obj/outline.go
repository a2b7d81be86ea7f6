package obj

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/source"
)

// A scene is what the first reading of a file finds: all vertices, which objects and
// groups there are, and which of them have faces. The faces themselves may refer to any
// vertex, so they are left to a second reading.
type scene struct {
	vertices  store
	objects   table
	groups    table
	faces     bool
	libraries []string // what mtllib statements say
	unit      mesh.Unit
	skipped   skipped
	known     bool // some statement is of the format
	unknown   bool // some statement is not
}

// A state is which object and which group are in force, as rows of their tables.
type state struct{ object, group int32 }

// A table lists names in the order in which they appear. Row 0 is that in force at the
// start of the file.
type table struct {
	rows   []row
	number map[string]int32
	used   []int32 // the rows with faces, in the order of these
}

// A row is an object or a group.
type row struct {
	name  string
	first int64 // the vertex, from 0, of its first corner: negative while it has no face
}

func newTable() table {
	t := table{number: map[string]int32{}}
	t.find("")
	return t
}

// find is the row of a name, made if need be.
func (t *table) find(name string) int32 {
	n, ok := t.number[name]
	if !ok {
		n = int32(len(t.rows))
		t.number[name] = n
		t.rows = append(t.rows, row{name: name, first: -1})
	}
	return n
}

// meet notes that a row has a face whose first corner is a vertex.
func (t *table) meet(n int32, vertex int64) {
	if r := &t.rows[n]; r.first < 0 {
		r.first = vertex
		t.used = append(t.used, n)
	}
}

// A store holds vertices in blocks, so that growing never holds them twice.
type store struct {
	blocks [][]geom.Vec
	n      int
}

const blockBits = 14 // 16384 vertices: 384 kB

// add appends vertices.
func (s *store) add(vs []geom.Vec) {
	s.n += len(vs)
	for len(vs) > 0 {
		last := len(s.blocks) - 1
		if last < 0 || len(s.blocks[last]) == 1<<blockBits {
			// The first grows, since most files are small.
			var block []geom.Vec
			if last >= 0 {
				block = make([]geom.Vec, 0, 1<<blockBits)
			}
			s.blocks = append(s.blocks, block)
			last++
		}
		k := min(len(vs), 1<<blockBits-len(s.blocks[last]))
		s.blocks[last] = append(s.blocks[last], vs[:k]...)
		vs = vs[k:]
	}
}

// at is vertex i.
func (s *store) at(i uint32) geom.Vec { return s.blocks[i>>blockBits][i&(1<<blockBits-1)] }

// skipped counts what is not triangles.
type skipped struct{ points, lines, curves, surfaces, calls int }

func (s *skipped) add(o skipped) {
	s.points += o.points
	s.lines += o.lines
	s.curves += o.curves
	s.surfaces += o.surfaces
	s.calls += o.calls
}

// String lists them: "1 line, 3 points".
func (s skipped) String() string {
	var b []string
	for _, c := range []struct {
		n         int
		one, many string
	}{
		{s.points, "point", "points"},
		{s.lines, "line", "lines"},
		{s.curves, "curve", "curves"},
		{s.surfaces, "surface", "surfaces"},
		{s.calls, "call of another file", "calls of other files"},
	} {
		if c.n == 1 {
			b = append(b, "1 "+c.one)
		} else if c.n > 1 {
			b = append(b, fmt.Sprintf("%d %s", c.n, c.many))
		}
	}
	return strings.Join(b, ", ")
}

// A sketch is what the first reading finds in one piece.
type sketch struct {
	room      []byte // for the text of a piece in UTF-16
	vertices  []geom.Vec
	before    turn // faces ahead of the first turn
	turns     []turn
	libraries []string
	units     []mesh.Unit
	skipped   skipped
	wide      bool
	known     bool
	unknown   bool
	trouble   *trouble
	start     int // where the first vertex stands, or how far was read
}

// A turn is an object or group statement, and the first corner of the faces after it.
type turn struct {
	kind   kind
	name   string
	face   bool
	corner int64 // as the file says it: from 1, or negative
	seen   int   // vertices of the piece before that face
}

// outline reads the file for the first time.
func (f *File) outline(ctx context.Context, in *os.File, size int64, report func(float64)) (*scene, error) {
	s := &scene{objects: newTable(), groups: newTable()}
	stamped := source.NewReader(f.path, in)
	var now state
	var units []mesh.Unit
	work := func(c lines.Chunk, k *sketch) (*sketch, error) {
		if k == nil {
			k = &sketch{}
		}
		*k = sketch{room: k.room, vertices: k.vertices[:0], turns: k.turns[:0]}
		k.read(f.enc, f.enc.text(&k.room, c.Data), c.Index == 0)
		return k, nil
	}
	merge := func(c lines.Chunk, k *sketch) (*sketch, error) {
		// A text has no NUL. Behind a vertex it is a slip; before all vertices the file is
		// something else. That is the same however the file is cut, and in every copy.
		if s.vertices.n == 0 && bytes.IndexByte(f.enc.text(&k.room, c.Data)[:k.start], 0) >= 0 {
			return nil, f.notModel()
		}
		s.known = s.known || k.known
		s.unknown = s.unknown || k.unknown
		if t := k.trouble; t != nil {
			// What does not even begin like a model is called none, rather than a bad one.
			if s.unknown && s.vertices.n+len(k.vertices) == 0 {
				return nil, f.notModel()
			}
			return nil, f.locate(c.Offset, f.enc.text(&k.room, c.Data), t)
		}
		f.pieces = append(f.pieces, piece{c.Offset, len(c.Data), s.vertices.n, now})
		if int64(s.vertices.n)+int64(len(k.vertices)) > math.MaxUint32 {
			return nil, &fault.Error{File: f.path, Code: fault.TooLarge, Byte: -1, Detail: "more than 4 294 967 295 vertices"}
		}
		now = s.turn(now, k)
		s.vertices.add(k.vertices)
		s.libraries = append(s.libraries, k.libraries...)
		units = append(units, k.units...)
		s.skipped.add(k.skipped)
		f.wide = f.wide || k.wide
		return k, nil
	}
	err := lines.Fold(ctx, stamped, f.options(size, f.enc.cut, report), work, merge)
	if errors.Is(err, lines.ErrTooLong) {
		if s.vertices.n == 0 {
			return nil, f.notModel()
		}
		return nil, &fault.Error{File: f.path, Code: fault.Syntax, Byte: -1, Detail: "a line of more than 4 MB", Err: err}
	}
	if err != nil {
		return nil, f.readError(ctx, err)
	}
	f.stamp = stamped.Stamp()
	switch {
	case s.faces:
	case s.vertices.n == 0 && (s.unknown || !s.known):
		return nil, f.notModel()
	default:
		return nil, &fault.Error{File: f.path, Code: fault.NoTriangles, Byte: -1, Detail: s.skipped.String()}
	}
	// Of several units stated, none is believed.
	if len(units) > 0 && !slices.ContainsFunc(units, func(u mesh.Unit) bool { return u != units[0] }) {
		s.unit = units[0]
	}
	return s, nil
}

// readError makes an *fault.Error of err unless it is ctx's.
func (f *File) readError(ctx context.Context, err error) error {
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return err
	}
	return source.Fault(f.path, err)
}

func (f *File) notModel() error {
	return &fault.Error{File: f.path, Code: fault.NotAModel, Byte: -1}
}

// turn follows the turns of a piece, before its vertices are added.
func (s *scene) turn(now state, k *sketch) state {
	s.meet(now, k.before)
	for _, t := range k.turns {
		if t.kind == object {
			now.object = s.objects.find(t.name)
		} else {
			now.group = s.groups.find(t.name)
		}
		s.meet(now, t)
	}
	return now
}

// meet notes that what is in force has a face, and where it begins. A corner that is out
// of range is told by the second reading.
func (s *scene) meet(now state, t turn) {
	if !t.face {
		return
	}
	s.faces = true
	first := max(t.corner-1, 0)
	if t.corner < 0 {
		first = max(int64(s.vertices.n+t.seen)+t.corner, 0)
	}
	s.objects.meet(now.object, first)
	s.groups.meet(now.group, first)
}

// read reads a piece; first says that it is the file's first.
func (k *sketch) read(e encoding, text []byte, first bool) {
	x := lex(text, first)
	current := &k.before
	header := first // nothing so far but comments and names
	k.start = len(text)
	for k.trouble == nil {
		kind, at := x.next()
		if kind != comment && kind != atEnd {
			header = header && (kind == library || kind == object || kind == group)
			k.known = k.known || kind != unknown
		}
		switch kind {
		case atEnd:
			return
		case vertex:
			k.vertex(&x, at)
		case face:
			if !current.face {
				c, _ := readCorner(text, blanks(text, x.i))
				*current = turn{current.kind, current.name, true, c.vertex, len(k.vertices)}
			}
		case object, group:
			k.turns = append(k.turns, turn{kind: kind, name: e.name(x.words())})
			current = &k.turns[len(k.turns)-1]
		case library:
			k.libraries = append(k.libraries, e.name(x.words()))
		case comment:
			if header {
				if u, ok := statedUnit(x.words()); ok {
					k.units = append(k.units, u)
				}
			}
		case point:
			k.skipped.points++
		case line:
			k.skipped.lines++
		case curve:
			k.skipped.curves++
		case surface:
			k.skipped.surfaces++
		case call:
			k.skipped.calls++
		case technique, merging:
			attributeLength(text, x.i, kind, &k.wide)
		case unknown:
			k.unknown = true
		}
	}
}

// vertex reads a vertex's position. Its further columns are nothing to us.
func (k *sketch) vertex(x *lexer, at int) {
	var v geom.Vec
	i := x.i
	if len(k.vertices) == 0 {
		k.start = at
	}
	for axis := range v {
		l, code := readLength(x.text, i, &k.wide)
		if code != "" {
			k.trouble = vertexTrouble(x.text, at, l, code)
			if len(k.vertices) == 0 {
				k.start = min(l.from+1, len(x.text))
			}
			return
		}
		v[axis] = l.value
		i = l.to
	}
	x.i = i
	k.vertices = append(k.vertices, v)
}

// statedUnit reads a comment that says nothing but the unit: "units: mm", "File units =
// inches", "unit is cm".
func statedUnit(comment []byte) (mesh.Unit, bool) {
	m := unitComment.FindSubmatch(comment)
	if m == nil {
		return mesh.Unit{}, false
	}
	u := mesh.Unit{Declared: true}
	// The inch is exactly 25.4 mm: international yard and pound agreement, 1959.
	switch word := strings.ToLower(string(m[1])); {
	case word == "mm" || strings.HasPrefix(word, "milli"):
		u.Name, u.MM = "mm", 1
	case word == "cm" || strings.HasPrefix(word, "centi"):
		u.Name, u.MM = "cm", 10
	case word == "m" || strings.HasPrefix(word, "met"):
		u.Name, u.MM = "m", 1000
	case strings.HasPrefix(word, "in"):
		u.Name, u.MM = "in", 25.4
	case strings.HasPrefix(word, "f"):
		u.Name, u.MM = "ft", 304.8
	default:
		u.Name, u.MM = "µm", 0.001
	}
	return u, true
}

// unitComment is the whole of a comment that states a unit.
var unitComment = regexp.MustCompile(`(?i)^[\s#*-]*(?:(?:file|model|length|linear)\s+)?units?\s*(?:[:=]|\bis\b|\bare\b|\bin\b|\s)\s*` +
	`(mm|milli(?:meters?|metres?)|cm|centi(?:meters?|metres?)|m|met(?:ers?|res?)|in|inch(?:es)?|ft|foot|feet|µm|um|microns?|micro(?:meters?|metres?))[\s.*-]*$`)
