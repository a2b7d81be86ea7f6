// Package stl reads, measures, rescales and writes STL, binary and text.
//
// A File keeps where it lies and what was measured, not its triangles: they are streamed
// again, through all cores, when a mesh or a copy is wanted, so that memory does not grow
// with the file. A copy is the file's own bytes with other coordinates: header, names,
// attribute bytes, normals (a uniform factor does not turn them), indentation and line
// ends stay.
//
// STL states no unit and no up axis: millimetres and z are assumed, as is usual.
package stl

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"sync/atomic"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// The encodings.
const (
	Binary = "binary"
	ASCII  = "ascii"
)

// headBytes are enough to tell an encoding.
const headBytes = 4 << 10

// A File is an opened STL file. Its methods may be called from several goroutines.
type File struct {
	path     string
	encoding string
	stamp    source.Stamp
	parts    []mesh.Part
	notes    []fault.Note
	// wide is a text file in which some coordinate says more than float32 can hold: its
	// copies are written as float64.
	wide  bool
	spans []span // of the parts in a text file

	seam atomic.Pointer[mesh.Seam] // of a binary file, once it is known
}

// Path is where the file lies.
func (f *File) Path() string { return f.path }

// Format is "stl".
func (f *File) Format() string { return "stl" }

// Encoding is Binary or ASCII.
func (f *File) Encoding() string { return f.encoding }

// Extension is ".stl".
func (f *File) Extension() string { return ".stl" }

// Bytes is the file's size when it was opened.
func (f *File) Bytes() int64 { return f.stamp.Bytes }

// Digest identifies the content.
func (f *File) Digest() string { return f.stamp.String() }

// Parts are the solids: one in a binary file, as many as it has in a text.
func (f *File) Parts() []mesh.Part { return slices.Clone(f.parts) }

// Notes are what is worth telling.
func (f *File) Notes() []fault.Note { return slices.Clone(f.notes) }

// Companions are none.
func (f *File) Companions() []string { return nil }

// Sniff tells from its first bytes (4 kB are plenty) and its size how a file is encoded: as
// Binary or ASCII, or "" when it is no STL. A binary file may be cut short or have bytes
// behind its last facet, and many begin with the word "solid"; it is sure only when its
// count of facets matches its size.
func Sniff(head []byte, size int64) (encoding string, sure bool) {
	if len(head) >= headerBytes && size == headerBytes+facetBytes*claimed(head) {
		return Binary, true
	}
	if isText(unscaled(head)) {
		word := bytes.TrimLeft(bytes.TrimPrefix(head, []byte(bom)), blanks)
		if i := bytes.IndexAny(word, blanks); i >= 0 {
			word = word[:i]
		}
		if bytes.EqualFold(word, []byte("solid")) || bytes.EqualFold(word, []byte("facet")) {
			return ASCII, true
		}
		return "", true
	}
	if looksBinary(head, size) {
		return Binary, false
	}
	return "", false
}

const (
	blanks = " \t\n\v\f\r"
	bom    = "\xef\xbb\xbf" // UTF-8 byte order mark
)

// unscaled is what of a text stands before its first coordinate, the same in every copy:
// whether a file is a text must not hang on how many digits its numbers have.
func unscaled(head []byte) []byte {
	const word = "vertex"
	for at := 0; ; at += len(word) {
		i := indexFold(head[at:], word)
		if i < 0 {
			return head
		}
		at += i
		s := scanner{data: head, i: at + len(word)}
		if _, ok := before(head[:at], "loop"); ok && isBlank(head[at-1]) && s.number(0) == nil {
			return head[:at]
		}
	}
}

// isText reports whether b has no byte that texts do not have. Bytes from 0x80 may stand in
// names.
func isText(b []byte) bool {
	for _, c := range b {
		if c < ' ' && !isBlank(c) || c == 0x7f {
			return false
		}
	}
	return true
}

// looksBinary reports whether bytes that are no text, and whose count does not match their
// size, look like facets all the same.
func looksBinary(head []byte, size int64) bool {
	n := claimed(head)
	if size < headerBytes {
		// All that can be told of a cut-off header is that it begins like one.
		return isText(bytes.TrimRight(head[:min(len(head), 80)], "\x00"))
	}
	if n == 0 {
		return isText(bytes.TrimRight(head[:80], "\x00"))
	}
	// Any bytes are some float32, but two in three facets then have a normal longer than any
	// program writes, wrong as these may be. Corners must not be asked: they could be fine in
	// a file and too large or small in its copy.
	facets, odd := 0, 0
	for facet := head[headerBytes:]; len(facet) >= facetBytes; facet = facet[facetBytes:] {
		facets++
		if vector(facet).Len() > 1e15 {
			odd++
		}
	}
	return 5*odd <= facets
}

// Open measures the file at path in one pass. It asks ctx at least every few megabytes;
// report rises from 0 to 1 and may be nil. The error is an *fault.Error or ctx's.
func Open(ctx context.Context, path string, report func(float64)) (*File, error) {
	file, size, err := source.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	head := make([]byte, min(size, headBytes))
	if n, err := file.ReadAt(head, 0); err != nil && err != io.EOF {
		return nil, source.Fault(path, err)
	} else {
		head = head[:n]
	}
	if report != nil {
		reached, tell := 0.0, report
		report = func(done float64) { // a file that is measured twice must not seem to go back
			if done > reached {
				reached = done
				tell(done)
			}
		}
	}
	f := &File{path: path}
	f.encoding, _ = Sniff(head, size)
	f.notes = []fault.Note{{Code: fault.UnitAssumed, Detail: "mm"}}
	switch {
	case len(head) == 0:
		err = &fault.Error{File: path, Code: fault.Empty, Byte: -1}
	case f.encoding == Binary:
		err = f.openBinary(ctx, file, size, report)
	case f.encoding == ASCII:
		err = f.openText(ctx, file, size, report)
	default:
		err = &fault.Error{File: path, Code: fault.NotAModel, Byte: -1}
	}
	if err != nil {
		return nil, err
	}
	return f, nil
}

// addPart adds what was measured of a solid.
func (f *File) addPart(name string, m mesh.Measures) {
	f.parts = append(f.parts, mesh.Part{
		Name:     name,
		Measures: m,
		Unit:     mesh.Unit{Name: "mm", MM: 1},
		Up:       geom.Z,
		Surface:  true,
	})
	if m.Box.Size() == (geom.Vec{}) {
		f.notes = append(f.notes, fault.Note{Code: fault.ZeroSize, Detail: name})
	}
}

// Mesh reads the triangles of part i, in file units, as a soup of 36 bytes a triangle.
func (f *File) Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	var origin geom.Vec
	if f.wide {
		origin = f.parts[i].Box.Centre()
	}
	vertices := make([][3]float32, 0, 3*f.parts[i].Triangles)
	err := f.stamp.Again(f.path, func(r *source.Reader) (err error) {
		if f.encoding == Binary {
			vertices, err = f.readBinary(ctx, r, vertices, report)
		} else {
			vertices, err = f.readText(ctx, r, i, origin, vertices, report)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	m, err := mesh.New(f.parts[i].Name, origin, vertices, nil)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.path, err)
	}
	return m, nil
}

// Closed reports whether the surface of part i closes, as mesh.Closes has it. Of a binary file
// that was rescaled to be proved it is known already.
func (f *File) Closed(ctx context.Context, i int) (bool, error) {
	if seam := f.seam.Load(); seam != nil {
		return seam.Closed(), nil
	}
	m, err := f.Mesh(ctx, i, nil)
	if err != nil {
		return false, err
	}
	return mesh.Closes(ctx, m)
}

// Rescale writes the copy. Coordinates are multiplied and posed in float64 and rounded once
// to float32, or kept as float64 where a text file says more than float32 can hold; factor 1
// gives the same bytes. A pose turns the normals too. The error is an *fault.Error, ctx's,
// or to's.
func (f *File) Rescale(ctx context.Context, to deliver.Sink, name string, c deliver.Change, report func(float64)) error {
	if err := source.CheckChange(f.path, f.parts, c); err != nil {
		return err
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	var seam *mesh.Seam
	if c.Proved && f.encoding == Binary && f.seam.Load() == nil {
		seam = new(mesh.Seam)
	}
	err = f.stamp.Again(f.path, func(r *source.Reader) error {
		if f.encoding == Binary {
			return f.rescaleBinary(ctx, r, w, c, seam, report)
		}
		return f.rescaleText(ctx, r, w, c, report)
	})
	if err == nil && seam != nil {
		f.seam.Store(seam)
	}
	if closed := w.Close(); err == nil {
		err = closed
	}
	return err
}
