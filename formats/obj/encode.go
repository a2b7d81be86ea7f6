package obj

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

// Encode writes meshes as an OBJ file, one object each, with every coordinate multiplied by
// factor and then posed. Equal corners of a soup become one vertex, so that the file has connected
// surfaces; equal means the same numbers (0 and -0 are the same). Names are made to fit one
// line. It asks ctx every few thousand lines; report rises from 0 to 1 and may be nil. The
// error is w's, ctx's, or an *fault.Error with TooLarge.
func Encode(ctx context.Context, w io.Writer, meshes []*mesh.Mesh, factor float64, pose geom.Pose, report func(float64)) error {
	if !(factor > 0) || math.IsInf(factor, 0) {
		return &fault.Error{Code: fault.TooLarge, Byte: -1, Detail: fmt.Sprintf("factor %v", factor)}
	}
	e := &encoder{ctx: ctx, w: bufio.NewWriterSize(w, 1<<20), report: report}
	for _, m := range meshes {
		e.all += len(m.Vertices) + m.Len()
	}
	first := 1 // number of the mesh's first vertex
	for _, m := range meshes {
		vertices, triangles := m.Vertices, m.Triangles
		if triangles == nil {
			vertices, triangles = weld(m)
			e.all -= len(m.Vertices) - len(vertices)
		}
		fmt.Fprintf(e.w, "o %s\n", lineName(m.Name))
		if err := e.vertices(m, vertices, factor, pose); err != nil {
			return err
		}
		if err := e.faces(triangles, first); err != nil {
			return err
		}
		first += len(vertices)
	}
	if err := e.w.Flush(); err != nil {
		return err
	}
	if report != nil {
		report(1)
	}
	return nil
}

type encoder struct {
	ctx       context.Context
	w         *bufio.Writer
	report    func(float64)
	done, all int // lines
	line      []byte
}

// flush writes the line and, now and then, tells and asks. The writer keeps its first error.
func (e *encoder) flush() error {
	e.done++
	if e.done&0xfff == 0 {
		if err := e.ctx.Err(); err != nil {
			return err
		}
		if e.report != nil {
			e.report(min(float64(e.done)/float64(e.all), 0.99))
		}
	}
	_, err := e.w.Write(e.line)
	return err
}

// vertices writes the vertices of a mesh, or those welded of it. Without an origin of its
// own the mesh's numbers are float32, and so are those written; otherwise they are float64.
func (e *encoder) vertices(m *mesh.Mesh, vertices [][3]float32, factor float64, pose geom.Pose) error {
	s := scaler{wide: m.Origin != geom.Vec{}}
	for i := range vertices {
		p := pose.Apply(m.Origin.Add(vec(vertices[i])).Scale(factor))
		e.line = append(e.line[:0], 'v')
		for _, x := range p {
			e.line = append(e.line, ' ')
			var t *trouble
			if e.line, t = s.append(e.line, x, 0); t != nil {
				return &fault.Error{Code: t.code, Byte: -1, Detail: m.Name}
			}
		}
		e.line = append(e.line, '\n')
		if err := e.flush(); err != nil {
			return err
		}
	}
	return nil
}

func vec(v [3]float32) geom.Vec { return geom.Vec{float64(v[0]), float64(v[1]), float64(v[2])} }

func (e *encoder) faces(triangles [][3]uint32, first int) error {
	for _, t := range triangles {
		e.line = append(e.line[:0], 'f')
		for _, v := range t {
			e.line = append(e.line, ' ')
			e.line = strconv.AppendInt(e.line, int64(v)+int64(first), 10)
		}
		e.line = append(e.line, '\n')
		if err := e.flush(); err != nil {
			return err
		}
	}
	return nil
}

// weld makes equal vertices of a soup one.
func weld(m *mesh.Mesh) ([][3]float32, [][3]uint32) {
	number := make(map[[3]float32]uint32, len(m.Vertices)/4)
	vertices := make([][3]float32, 0, len(m.Vertices)/4)
	triangles := make([][3]uint32, m.Len())
	for i, v := range m.Vertices {
		k, ok := number[v] // finds 0 for -0
		if !ok {
			k = uint32(len(vertices))
			number[v] = k
			vertices = append(vertices, v)
		}
		triangles[i/3][i%3] = k
	}
	return vertices, triangles
}

// lineName is a name that stays on its line and is read back: no control characters, no
// blanks around it, and no backslash that would join it with the next line.
func lineName(name string) string {
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(name, "\ufffd"))
	name = strings.TrimSpace(strings.TrimRight(strings.TrimSpace(name), `\ `))
	if name == "" {
		return "part"
	}
	return name
}
