// Package obj reads, measures, rescales and writes Wavefront OBJ files.
//
// A file is read as a stream of pieces, each some whole lines, on all cores. What stays in
// memory while it is measured is its vertices; what stays of it afterwards is where things
// are: the triangles are read again when they are needed. A rescaled copy is the same text
// with other numbers where lengths stand; every other byte is kept, in the encoding of the
// source.
//
// The lengths of an OBJ file are the x, y and z of geometric vertices (v), the distances of
// the approximation techniques (ctech cspace, ctech curv, stech cspace, stech curv) and the
// resolution of merging groups (mg). Texture coordinates, normals, points of parameter space
// (vp, parm, the ranges of curv and surf, trim, hole, scrv, sp), step sizes and basis
// matrices are none. The fourth number of a vertex is the weight of rational curves, not a
// length, and does not move a polygon's corner; further columns are colours. Source: the
// format's description, appendix B1 "Object Files" of the Advanced Visualizer manual, as
// reprinted at paulbourke.net/dataformats/obj; vertex colours are common practice.
//
// It refuses what is no such text, statements that break the grammar of v and f, numbers
// that are not finite, and references past the vertices. Statements that it does not know
// are kept and ignored.
package obj

import (
	"context"
	"io"
	"os"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/source"
)

// A File is an opened OBJ file. Its methods may be called from several goroutines.
type File struct {
	path  string
	enc   encoding
	stamp source.Stamp
	tune  tuning

	// wide: some length has more digits than float32 holds, so copies are written as
	// float64. Otherwise they are written as float32.
	wide       bool
	parts      []mesh.Part
	places     []place // of each part
	split      split
	pieces     []piece
	notes      []fault.Note
	companions []string
}

// tuning is what tests vary; zero values are the usual ones.
type tuning struct {
	size    int // of a piece, in bytes
	workers int
}

// A piece is a run of whole lines of the file, and what is in force at its start.
type piece struct {
	offset   int64
	length   int
	vertices int // before it
	state    state
}

// A place is where a part lies in its file.
type place struct {
	firstPiece, lastPiece   int    // of its faces
	firstVertex, lastVertex uint32 // that its faces refer to
}

// headBytes are enough for a byte order mark and a line that says what a copy is.
const headBytes = 1 << 10

// Open reads and measures the file at path. Memory: 24 bytes a vertex (28 while it is
// undecided whether groups are parts) and some 20 MB. It asks ctx at every megabyte;
// report rises from 0 to 1 and may be nil. The error is an *fault.Error, or ctx's.
func Open(ctx context.Context, path string, report func(float64)) (*File, error) {
	return open(ctx, path, tuning{}, report)
}

func open(ctx context.Context, path string, t tuning, report func(float64)) (*File, error) {
	in, size, err := source.Open(path)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	if size == 0 {
		return nil, &fault.Error{File: path, Code: fault.Empty, Byte: -1}
	}
	if report == nil {
		report = func(float64) {}
	}
	f := &File{path: path, tune: t}
	head := make([]byte, headBytes)
	n, err := in.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return nil, source.Fault(path, err)
	}
	f.enc = encodingOf(head[:n])
	s, err := f.outline(ctx, in, size, func(done float64) { report(done * 0.6) })
	if err != nil {
		return nil, err
	}
	if err := f.measure(ctx, in, s, func(done float64) { report(0.6 + done*0.39) }); err != nil {
		return nil, err
	}
	f.note(s)
	var room []byte
	f.notes = append(f.notes, source.TagNote(tagOf(f.enc.text(&room, head[:n])))...)
	f.findCompanions(s.libraries)
	report(1)
	return f, nil
}

// note tells what is worth telling of a file that was measured.
func (f *File) note(s *scene) {
	unit := mesh.Unit{Name: "mm", MM: 1}
	if s.unit.Declared {
		unit = s.unit
	} else {
		f.notes = append(f.notes, fault.Note{Code: fault.UnitAssumed})
	}
	for i := range f.parts {
		p := &f.parts[i]
		p.Unit = unit
		p.Up = geom.Z
		p.Surface = true
		if p.Box.Size() == (geom.Vec{}) {
			f.notes = append(f.notes, fault.Note{Code: fault.ZeroSize, Detail: p.Name})
		}
	}
	if detail := s.skipped.String(); detail != "" {
		f.notes = append(f.notes, fault.Note{Code: fault.SkippedParts, Detail: detail})
	}
}

// Path is where the file lies.
func (f *File) Path() string { return f.path }

// Parts are the bodies, in file units: each object (o) that has faces; without any object,
// each group (g), provided that no two groups share a vertex; otherwise the whole file.
// Objects or groups of one name are one. A part without a name has the file's.
func (f *File) Parts() []mesh.Part { return slices.Clone(f.parts) }

// Extension is that of copies.
func (f *File) Extension() string { return ".obj" }

// Format is "obj".
func (f *File) Format() string { return "obj" }

// Encoding is "utf-8", "utf-16le" or "utf-16be".
func (f *File) Encoding() string { return f.enc.String() }

// Bytes is the size of the file when it was opened.
func (f *File) Bytes() int64 { return f.stamp.Bytes }

// Digest identifies the content.
func (f *File) Digest() string { return f.stamp.String() }

// Notes are what is worth telling although the file could be read.
func (f *File) Notes() []fault.Note { return slices.Clone(f.notes) }

// Companions are the material libraries and textures that lie in the file's folder,
// slash-separated and relative to it.
func (f *File) Companions() []string { return slices.Clone(f.companions) }

// reopen opens the file again, which must have the size it had.
func (f *File) reopen() (*os.File, error) {
	in, size, err := source.Open(f.path)
	if err != nil {
		return nil, err
	}
	if size != f.stamp.Bytes {
		in.Close()
		return nil, f.changed("another size")
	}
	return in, nil
}

// changed is the error for a file that is no longer what was opened.
func (f *File) changed(detail string) error {
	return &fault.Error{File: f.path, Code: fault.Changed, Byte: -1, Detail: detail}
}

// options are how pieces of the file are read; bytes is how much will be.
func (f *File) options(bytes int64, cut lines.Cut, report func(float64)) lines.Options {
	return lines.Options{Cut: cut, Size: f.tune.size, Workers: f.tune.workers, Bytes: bytes, Report: report}
}

// along cuts where the file was cut when it was opened, from piece first on.
func (f *File) along(first int) lines.Cut {
	rest := f.pieces[first:]
	return func(data []byte) int {
		if len(rest) == 0 || len(data) < rest[0].length {
			return 0
		}
		n := rest[0].length
		rest = rest[1:]
		return n
	}
}

// A trouble is what is wrong at a place in the text of a piece.
type trouble struct {
	at     int
	code   fault.Code
	detail string
}

// locate makes an error of a trouble in the piece that begins at offset.
func (f *File) locate(offset int64, text []byte, t *trouble) error {
	in, _, err := source.Open(f.path)
	if err != nil {
		return err
	}
	defer in.Close()
	line, err := f.enc.linesBefore(in, offset, text[:t.at])
	if err != nil {
		return source.Fault(f.path, err)
	}
	e := &fault.Error{File: f.path, Code: t.code, Line: line + 1, Byte: -1, Detail: t.detail}
	if f.enc == utf8 {
		e.Byte = offset + int64(t.at)
	}
	return e
}
