package obj

import (
	"cmp"
	"context"
	"io"
	"math"
	"os"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
)

// Mesh reads the triangles of part i, polygons cut into triangles, with the vertices shared
// as the file shares them. Only the pieces of the file that hold the part are read. Where
// the file's numbers are float32, the mesh has just these; otherwise its vertices are
// relative to the middle of the part. Memory: 28 bytes a vertex on the way, 12 bytes a
// vertex and 12 bytes a triangle in the end.
func (f *File) Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	if report == nil {
		report = func(float64) {}
	}
	in, err := f.reopen()
	if err != nil {
		return nil, err
	}
	defer in.Close()
	vertices, err := f.partVertices(ctx, in, f.places[i], func(done float64) { report(done * 0.5) })
	if err != nil {
		return nil, err
	}
	triangles, err := f.partTriangles(ctx, in, i, vertices, func(done float64) { report(0.5 + done*0.49) })
	if err != nil {
		return nil, err
	}
	var origin geom.Vec
	if f.wide {
		origin = f.parts[i].Box.Centre()
	}
	m, err := mesh.New(f.parts[i].Name, origin, compact(vertices, triangles, origin), triangles)
	if err != nil { // a number that float32 cannot hold
		return nil, &fault.Error{File: f.path, Code: fault.TooLarge, Byte: -1, Err: err}
	}
	report(1)
	return m, nil
}

// section is the part of the file from one piece to another, and how to read it.
func (f *File) section(in *os.File, first, last int, report func(float64)) (io.Reader, lines.Options) {
	offset := f.pieces[first].offset
	bytes := f.pieces[last].offset + int64(f.pieces[last].length) - offset
	return io.NewSectionReader(in, offset, bytes), f.options(bytes, f.along(first), report)
}

// pieceOf is the piece that vertex v is in.
func (f *File) pieceOf(v uint32) int {
	i, _ := slices.BinarySearchFunc(f.pieces, int(v)+1, func(p piece, n int) int { return cmp.Compare(p.vertices, n) })
	return i - 1
}

// partVertices reads the vertices that the faces of a part refer to, and those between.
func (f *File) partVertices(ctx context.Context, in *os.File, at place, report func(float64)) ([]geom.Vec, error) {
	first, last := f.pieceOf(at.firstVertex), f.pieceOf(at.lastVertex)
	vertices := make([]geom.Vec, 0, int(at.lastVertex-at.firstVertex)+1)
	unwanted := int(at.firstVertex) - f.pieces[first].vertices
	work := func(c lines.Chunk, k *sketch) (*sketch, error) {
		if k == nil {
			k = &sketch{}
		}
		k.vertices, k.trouble = k.vertices[:0], nil
		x := lex(f.enc.text(&k.room, c.Data), first+c.Index == 0)
		for k.trouble == nil {
			switch what, at := x.next(); what {
			case atEnd:
				return k, nil
			case vertex:
				k.vertex(&x, at)
			}
		}
		return nil, f.changed(k.trouble.detail)
	}
	merge := func(_ lines.Chunk, k *sketch) (*sketch, error) {
		vs := k.vertices
		n := min(unwanted, len(vs))
		unwanted -= n
		vs = vs[n:]
		vertices = append(vertices, vs[:min(len(vs), cap(vertices)-len(vertices))]...)
		return k, nil
	}
	r, o := f.section(in, first, last, report)
	if err := lines.Fold(ctx, r, o, work, merge); err != nil {
		return nil, f.readError(ctx, err)
	}
	if len(vertices) < cap(vertices) {
		return nil, f.changed("fewer vertices")
	}
	return vertices, nil
}

// partTriangles reads the faces of part i. Their indices count from the part's first vertex.
func (f *File) partTriangles(ctx context.Context, in *os.File, i int, vertices []geom.Vec, report func(float64)) ([][3]uint32, error) {
	at := f.places[i]
	triangles := make([][3]uint32, 0, f.parts[i].Triangles)
	type faces struct {
		room      []byte // for the text of a piece in UTF-16
		reader    faceReader
		clipper   clipper
		points    []geom.Vec
		triangles [][3]uint32
	}
	work := func(c lines.Chunk, t *faces) (*faces, error) {
		if t == nil {
			t = &faces{}
		}
		t.triangles = t.triangles[:0]
		from := f.pieces[at.firstPiece+c.Index]
		now := from.state
		t.reader.seen = from.vertices
		t.reader.all = int(at.lastVertex) + 1
		x := lex(f.enc.text(&t.room, c.Data), from.offset == 0)
		for {
			switch k, where := x.next(); k {
			case atEnd:
				return t, nil
			case vertex:
				t.reader.seen++
			case object, group:
				now = f.split.turn(now, k, &x, f.enc)
			case face:
				if f.split.of(now) != i {
					continue
				}
				if trouble := t.reader.read(&x, where); trouble != nil {
					return nil, f.changed(trouble.detail)
				}
				t.points = t.points[:0]
				for j, v := range t.reader.corners {
					if v < at.firstVertex {
						return nil, f.changed("another vertex")
					}
					t.reader.corners[j] = v - at.firstVertex
					t.points = append(t.points, vertices[v-at.firstVertex])
				}
				for _, c := range t.clipper.cut(t.points) {
					t.triangles = append(t.triangles,
						[3]uint32{t.reader.corners[c[0]], t.reader.corners[c[1]], t.reader.corners[c[2]]})
				}
			}
		}
	}
	merge := func(_ lines.Chunk, t *faces) (*faces, error) {
		triangles = append(triangles, t.triangles...)
		return t, nil
	}
	r, o := f.section(in, at.firstPiece, at.lastPiece, report)
	if err := lines.Fold(ctx, r, o, work, merge); err != nil {
		return nil, f.readError(ctx, err)
	}
	if len(triangles) != f.parts[i].Triangles {
		return nil, f.changed("another number of triangles")
	}
	return triangles, nil
}

// compact is the vertices that the triangles use, in the order of the file, relative to an
// origin; the triangles are made to count in them.
func compact(vertices []geom.Vec, triangles [][3]uint32, origin geom.Vec) [][3]float32 {
	const unused = math.MaxUint32
	number := make([]uint32, len(vertices))
	for i := range number {
		number[i] = unused
	}
	used := uint32(0)
	for _, t := range triangles {
		for _, v := range t {
			if number[v] == unused {
				number[v] = 0
				used++
			}
		}
	}
	kept := make([][3]float32, 0, used)
	for i, v := range vertices {
		if number[i] == unused {
			continue
		}
		number[i] = uint32(len(kept))
		v = v.Sub(origin)
		kept = append(kept, [3]float32{float32(v[0]), float32(v[1]), float32(v[2])})
	}
	for i, t := range triangles {
		triangles[i] = [3]uint32{number[t[0]], number[t[1]], number[t[2]]}
	}
	return kept
}
