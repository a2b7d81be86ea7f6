package threemf

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/number"
)

const (
	// mostObjects is how many objects, components or items a package may have, and how many
	// times all of its parts together may place a mesh.
	mostObjects = 1 << 18
	// longestName is how much of a name is kept.
	longestName = 255
)

// A model is one model part.
type model struct {
	name    string
	unit    mesh.Unit
	objects []*object
	byID    map[uint32]*object
	last    *object // with triangles
}

// An object is what a model defines under an id.
type object struct {
	model      *model
	id         uint32
	name       string
	support    bool // or of the type other: not a part of what is wanted
	meshed     bool
	vertices   int
	triangles  int
	beams      int
	measures   mesh.Measures // of the triangles, where it is defined
	components []component
	placed     count // what it shows, once all models are read
	visiting   bool
}

// A component is a reference to an object: from a component or from an item of the build.
type component struct {
	path  string // of the model part; "" for the same
	id    uint32
	place transform
	at    int64 // where it stands in the text
}

// A walker scans one model part and tells what it meets. What all passes over a model have
// in common is here; the passes differ in what they do with each triangle and at the end of
// each object.
type walker struct {
	*scanner
	archive *archive
	model   *model
	root    bool // the model is that which the package begins with
	object  *object

	vertices []geom.Vec // of the mesh of object
	// wide: some length has more digits than float32 holds.
	wide bool

	triangle func(corners [3]uint32) error // nil: triangles are passed
	finished func() error                  // the mesh of object is complete; nil: nothing to do
	met      func() error                  // a start tag with a meaning; nil: nothing to do
	left     func(kind)                    // the end of an element; nil: nothing to do
}

// walk scans the part of that name to its end, or until stop says so. It asks ctx at least
// every megabyte.
func (w *walker) walk(ctx context.Context, name string, emit func([]byte) error, report func(float64), stop func() bool) error {
	f, err := w.archive.find(name)
	if err != nil {
		return err
	}
	r, err := w.archive.open(f)
	if err != nil {
		return err
	}
	defer r.Close()
	ahead := readAhead(ctx, r)
	defer ahead.close()
	var in io.Reader = ahead
	if report != nil {
		in = &counted{ahead, 0, f.UncompressedSize64, report}
	}
	w.scanner = newScanner(in, emit)
	for {
		t, err := w.next()
		if err == nil {
			switch t {
			case startTag:
				err = w.start()
			case endTag:
				err = w.finish(w.open[len(w.open)-1].kind)
				w.close()
			case endOfText:
				return nil
			}
		}
		if err != nil {
			return w.archive.place(f.Name, err)
		}
		if t == endTag && stop != nil && stop() {
			return nil
		}
	}
}

// counted tells how much of a part was read. Its size is what it claims to be.
type counted struct {
	r      io.Reader
	done   uint64
	all    uint64
	report func(float64)
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.done += uint64(n)
	c.report(min(1, float64(c.done)/float64(max(c.all, 1))))
	return n, err
}

// bad is a fault about the tag just met.
func (w *walker) bad(code fault.Code, format string, a ...any) error {
	at := w.here()
	return &fault.Error{File: w.archive.path, Code: code, Byte: -1, Line: w.archive.line(w.model.name, at),
		Detail: clip(w.model.name) + ": " + fmt.Sprintf(format, a...)}
}

// start deals with a start tag.
func (w *walker) start() error {
	k := w.tag.kind
	switch k {
	case vertexElement:
		return w.vertex()
	case triangleElement:
		return w.readTriangle()
	case otherKind:
		if w.depth() == 1 {
			return w.bad(fault.Unsupported, "its root is not a model")
		}
		return nil
	}
	if k.hasLengths() {
		if err := w.lengths(); err != nil {
			return err
		}
	}
	switch k {
	case objectElement:
		if err := w.startObject(); err != nil {
			return err
		}
	case meshElement:
		if w.object.meshed {
			return w.bad(fault.Syntax, "object %d has two meshes", w.object.id)
		}
		w.object.meshed = true
		w.vertices = w.vertices[:0]
	case beamElement, ballElement:
		w.object.beams++
	}
	if w.met != nil {
		return w.met()
	}
	return nil
}

// finish deals with the end of an element.
func (w *walker) finish(k kind) error {
	if w.left != nil {
		w.left(k)
	}
	if k == objectElement {
		var err error
		if w.finished != nil {
			err = w.finished()
		}
		w.object = nil
		return err
	}
	return nil
}

// startObject reads the tag of an object.
func (w *walker) startObject() error {
	if len(w.model.objects) == mostObjects {
		return w.bad(fault.Overfull, "more than %d objects", mostObjects)
	}
	o := &object{model: w.model}
	var err error
	if o.id, err = w.whole("id"); err != nil {
		return err
	}
	if w.model.byID[o.id] != nil {
		return w.bad(fault.Syntax, "object %d is there twice", o.id)
	}
	if o.name, err = w.words("name"); err != nil {
		return err
	}
	kind, err := w.words("type")
	if err != nil {
		return err
	}
	o.support = kind == "support" || kind == "solidsupport" || kind == "other"
	w.model.objects = append(w.model.objects, o)
	w.model.byID[o.id] = o
	w.object = o
	return nil
}

// words is what an attribute says, without blanks around it: "" where there is none.
func (w *walker) words(name string) (string, error) {
	a, ok := w.find(name)
	if !ok {
		return "", nil
	}
	v, err := w.value(a)
	if v = strings.TrimSpace(v); len(v) > longestName {
		v = strings.TrimSpace(strings.ToValidUTF8(v[:longestName], ""))
	}
	return v, err
}

// whole is a whole number below 2³¹ that an attribute must have (core 1.4.0, the types
// ST_ResourceID and ST_ResourceIndex).
func (w *walker) whole(name string) (uint32, error) {
	a, ok := w.find(name)
	if !ok {
		return 0, w.bad(fault.Syntax, "no %s", name)
	}
	return w.wholeOf(a)
}

func (w *walker) wholeOf(a attribute) (uint32, error) {
	n, digits := uint32(0), 0
	text := trim(w.bytes(a.value))
	for _, c := range text {
		if c < '0' || c > '9' || n > (math.MaxInt32-9)/10 {
			digits = 0
			break
		}
		n = n*10 + uint32(c-'0')
		digits++
	}
	if digits == 0 {
		return 0, w.bad(fault.BadNumber, "%s is %q", w.bytes(a.name), clip(string(text)))
	}
	return n, nil
}

func trim(b []byte) []byte {
	for len(b) > 0 && blank(b[0]) {
		b = b[1:]
	}
	for len(b) > 0 && blank(b[len(b)-1]) {
		b = b[:len(b)-1]
	}
	return b
}

// number is what an attribute holds (core 1.4.0, the type ST_Number).
func (w *walker) number(a attribute) (float64, error) {
	text := w.bytes(a.value)
	v, n, wide, ok := number.ScanWide(text)
	if ok && n == len(text) {
		w.wide = w.wide || wide
		return v, nil
	}
	text = trim(text)
	if v, n, wide, ok = number.ScanWide(text); !ok || n != len(text) {
		return 0, w.bad(fault.BadNumber, "%s is %q", w.bytes(a.name), clip(string(text)))
	}
	w.wide = w.wide || wide
	return v, nil
}

// isLength reports whether an attribute of the tag just met is a length.
func (w *walker) isLength(a attribute) bool {
	name := w.bytes(a.name)
	for i, c := range name {
		if c == ':' {
			if in := w.space(name[:i]); in != otherSpace {
				return w.tag.kind.isLength(in, string(name[i+1:]))
			}
			return false
		}
	}
	return w.tag.kind.isLength(otherSpace, string(name))
}

// lengths reads the lengths of the tag just met, to see that they are numbers.
func (w *walker) lengths() error {
	for _, a := range w.tag.attributes {
		if w.isLength(a) {
			if _, err := w.number(a); err != nil {
				return err
			}
		}
	}
	return nil
}

// vertex reads a vertex of a mesh.
func (w *walker) vertex() error {
	var v geom.Vec
	seen := 0
	for _, a := range w.tag.attributes {
		if a.name.to != a.name.from+1 {
			continue
		}
		axis := w.buf[a.name.from] - 'x'
		if axis > 2 {
			continue
		}
		x, err := w.number(a)
		if err != nil {
			return err
		}
		v[axis] = x
		seen |= 1 << axis
	}
	if seen != 7 {
		return w.bad(fault.Syntax, "a vertex without three coordinates")
	}
	w.vertices = append(w.vertices, v)
	w.object.vertices++
	if w.met != nil {
		return w.met()
	}
	return nil
}

// readTriangle reads a triangle.
func (w *walker) readTriangle() error {
	if w.triangle == nil {
		return nil
	}
	var corners [3]uint32
	seen := 0
	for _, a := range w.tag.attributes {
		if a.name.to != a.name.from+2 || w.buf[a.name.from] != 'v' {
			continue
		}
		i := w.buf[a.name.from+1] - '1'
		if i > 2 {
			continue
		}
		n, err := w.wholeOf(a)
		if err != nil {
			return err
		}
		if int64(n) >= int64(len(w.vertices)) {
			return w.bad(fault.BadIndex, "vertex %d of %d", n, len(w.vertices))
		}
		corners[i] = n
		seen |= 1 << i
	}
	if seen != 7 {
		return w.bad(fault.Syntax, "a triangle without three corners")
	}
	w.object.triangles++
	return w.triangle(corners)
}

// reference reads what a component or an item refers to.
func (w *walker) reference() (component, error) {
	c := component{place: identity(), at: w.here()}
	var err error
	if c.id, err = w.whole("objectid"); err != nil {
		return c, err
	}
	if a, ok := w.findIn(productionSpace, "path"); ok {
		if c.path, err = w.value(a); err != nil {
			return c, err
		}
	}
	a, ok := w.find("transform")
	if !ok {
		return c, nil
	}
	spans, err := w.entries(a)
	if err != nil {
		return c, err
	}
	for i, p := range spans {
		x, n, wide, ok := number.ScanWide(w.bytes(p))
		if !ok || n != p.to-p.from {
			return c, w.bad(fault.BadNumber, "transform has %q", clip(string(w.bytes(p))))
		}
		c.place[i/3][i%3] = x
		w.wide = w.wide || wide && i >= 9
	}
	return c, nil
}

// entries are the twelve numbers of a transform.
func (w *walker) entries(a attribute) ([12]span, error) {
	var spans [12]span
	n := 0
	for i := a.value.from; ; n++ {
		for i < a.value.to && blank(w.buf[i]) {
			i++
		}
		if i == a.value.to {
			break
		}
		from := i
		for i < a.value.to && !blank(w.buf[i]) {
			i++
		}
		if n < 12 {
			spans[n] = span{from, i}
		}
	}
	if n != 12 {
		return spans, w.bad(fault.Syntax, "a transform of %d numbers", n)
	}
	return spans, nil
}
