package threemf

import (
	"archive/zip"
	"context"
	"fmt"
	"io"
	"iter"
	"math"
	"strconv"
	"strings"
	"unicode"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/number"
)

// A Body is one thing to print.
type Body struct {
	Mesh *mesh.Mesh
	// Factor is what every length is multiplied by: it must bring them to millimetres.
	Factor float64
	Pose   geom.Pose   // after that; it becomes the transform of the body's item
	Again  []geom.Pose // where it stands besides: the same object once more
}

// About is what a package says of itself, each where it is known.
type About struct {
	Title  string
	Factor float64 // by which its parts are larger than their sources; 0 where not known
	Ratio  string  // at which they are: "1:48"
	Tag    string  // as in deliver.Change
}

// aboutURI is the namespace of the metadata in which packages say by what they were scaled:
// factor, ratio, and copy, which has the tag. No copy keeps those of its source.
const aboutURI = "urn:scantling:scale:2026"

// Encode writes a package in millimetres: an object for each body, with its
// name, and an item of the build for each place where it stands. Vertices with exactly equal coordinates are welded. A body about an origin
// becomes an item that stands there, so that it loses nothing. Bodies without triangles are
// left out; where all are, the error is fault.NoTriangles. Coordinates larger than float32
// can hold, in which other programs keep them, are fault.TooLarge.
//
// It holds one body at a time; count is how many there will be, for report, which rises from
// 0 to 1 and may be nil. It asks ctx every few thousand triangles.
func Encode(ctx context.Context, w io.Writer, about About, count int, bodies iter.Seq2[Body, error], report func(float64)) error {
	if report == nil {
		report = func(float64) {}
	}
	z := newZip(w)
	for _, part := range [][2]string{
		{"[Content_Types].xml", `<Types xmlns="` + contentTypesURI + `">` +
			`<Default Extension="rels" ContentType="` + relationsType + `"/>` +
			`<Default Extension="model" ContentType="` + modelType + `"/></Types>`},
		{"_rels/.rels", `<Relationships xmlns="` + relationsURI + `">` +
			`<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="` + modelRelation + `"/></Relationships>`},
	} {
		to, err := create(z, part[0])
		if err == nil {
			_, err = io.WriteString(to, xmlHead+part[1]+"\n")
		}
		if err != nil {
			return err
		}
	}
	to, err := create(z, "3D/3dmodel.model")
	if err != nil {
		return err
	}
	e := &encoder{ctx: ctx, w: to}
	e.head(about)
	n := 0
	for b, err := range bodies {
		if err != nil {
			return err
		}
		e.report = func(done float64) { report(min(0.99, (float64(n)+done)/float64(max(count, 1)))) }
		if err := e.body(b); err != nil {
			return err
		}
		n++
	}
	if e.objects == 0 {
		return &fault.Error{Code: fault.NoTriangles, Byte: -1}
	}
	e.buf = append(e.buf, "</resources>\n<build>\n"...)
	e.buf = append(e.buf, e.items...)
	e.buf = append(e.buf, "</build>\n</model>\n"...)
	if err := e.flush(); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	report(1)
	return nil
}

const xmlHead = `<?xml version="1.0" encoding="UTF-8"?>` + "\n"

// create begins a part. All are dated on the first day that ZIP knows, so that a package
// depends on what is in it alone.
func create(z *zip.Writer, name string) (io.Writer, error) {
	return z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, ModifiedDate: 1<<5 | 1})
}

type encoder struct {
	ctx     context.Context
	w       io.Writer
	report  func(float64)
	buf     []byte
	objects int
	items   []byte // the build
}

// head writes all that comes before the first object.
func (e *encoder) head(a About) {
	e.buf = append(e.buf, xmlHead+`<model unit="millimeter" xml:lang="en-US" xmlns="`+coreURI+`"`...)
	if a.Factor != 0 || a.Ratio != "" || a.Tag != "" {
		e.buf = append(e.buf, ` xmlns:scantling="`+aboutURI+`"`...)
	}
	e.buf = append(e.buf, ">\n"...)
	e.metadata("Title", a.Title)
	e.metadata("Application", "Scantling")
	if a.Factor != 0 {
		e.metadata("scantling:factor", strconv.FormatFloat(a.Factor, 'g', -1, 64))
	}
	e.metadata("scantling:ratio", a.Ratio)
	e.metadata("scantling:copy", a.Tag)
	e.buf = append(e.buf, "<resources>\n"...)
}

func (e *encoder) metadata(name, value string) {
	if value != "" {
		e.buf = append(e.buf, `<metadata name="`+name+`">`+escape(value)+"</metadata>\n"...)
	}
}

// flush hands what was made over to be packed.
func (e *encoder) flush() error {
	if err := e.ctx.Err(); err != nil {
		return err
	}
	_, err := e.w.Write(e.buf)
	e.buf = e.buf[:0]
	return err
}

// body writes one object and notes its item.
func (e *encoder) body(b Body) error {
	if b.Mesh.Len() == 0 {
		return nil
	}
	m := distinct(mesh.Weld(b.Mesh))
	e.objects++
	e.buf = append(e.buf, `<object id="`...)
	e.buf = strconv.AppendInt(e.buf, int64(e.objects), 10)
	e.buf = append(e.buf, `" type="model"`...)
	if name := escape(m.Name); name != "" {
		e.buf = append(e.buf, ` name="`+name+`"`...)
	}
	e.buf = append(e.buf, "><mesh><vertices>\n"...)
	all := float64(len(m.Vertices) + m.Len())
	tooLarge := &fault.Error{Code: fault.TooLarge, Byte: -1, Detail: fmt.Sprintf("%s at factor %v", m.Name, b.Factor)}
	for i, v := range m.Vertices {
		if len(e.buf) >= window {
			if err := e.flush(); err != nil {
				return err
			}
			e.report(float64(i) / all)
		}
		for axis, c := range v {
			c := float32(float64(c) * b.Factor)
			if c-c != 0 {
				return tooLarge
			}
			e.buf = append(e.buf, [...]string{`<vertex x="`, `" y="`, `" z="`}[axis]...)
			e.buf = number.Append32(e.buf, c)
		}
		e.buf = append(e.buf, "\"/>\n"...)
	}
	e.buf = append(e.buf, "</vertices><triangles>\n"...)
	for i, t := range m.Triangles {
		if len(e.buf) >= window {
			if err := e.flush(); err != nil {
				return err
			}
			e.report(float64(len(m.Vertices)+i) / all)
		}
		for k, v := range t {
			e.buf = append(e.buf, [...]string{`<triangle v1="`, `" v2="`, `" v3="`}[k]...)
			e.buf = strconv.AppendUint(e.buf, uint64(v), 10)
		}
		e.buf = append(e.buf, "\"/>\n"...)
	}
	e.buf = append(e.buf, "</triangles></mesh></object>\n"...)

	for _, pose := range append([]geom.Pose{b.Pose}, b.Again...) {
		if !e.item(pose, m.Origin.Scale(b.Factor)) {
			return tooLarge
		}
	}
	return nil
}

// item notes where the last object stands; false where that is too far out.
func (e *encoder) item(pose geom.Pose, origin geom.Vec) bool {
	e.items = append(e.items, `<item objectid="`...)
	e.items = strconv.AppendInt(e.items, int64(e.objects), 10)
	at := posing(pose)
	at[3] = at.apply(origin)
	if at != identity() {
		text, fits := appendTransform(nil, at, true)
		for _, c := range at[3] {
			fits = fits && math.Abs(c) <= math.MaxFloat32
		}
		if !fits {
			return false
		}
		e.items = append(append(e.items, `" transform="`...), text...)
	}
	e.items = append(e.items, "\"/>\n"...)
	return true
}

// distinct gives the triangles of a welded mesh that have lost an edge corners of their own:
// the three must differ (core 1.4.0, section 4.1.4.1), and none is to be lost.
func distinct(m *mesh.Mesh) *mesh.Mesh {
	for i := range m.Triangles {
		t := &m.Triangles[i]
		for k := range t {
			if t[k] == t[(k+1)%3] {
				m.Vertices = append(m.Vertices, m.Vertices[t[k]])
				t[k] = uint32(len(m.Vertices) - 1)
			}
		}
	}
	return m
}

// escape is a text that reads back from an attribute or an element: what XML does not allow
// becomes a blank.
func escape(text string) string {
	text = strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\ufffe' || r == '\uffff' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd")))
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace(text)
}
