// Package gltf reads glTF 2.0 models, as text with side files or data URIs and as binary
// containers, and writes them again larger or smaller.
//
// Think of a file as its own bytes plus a list of the places in them that are lengths. The
// document is scanned with byte positions; a rescaled copy is the source with those numbers
// multiplied, and nothing else different: hierarchy, materials, skins, animations, unknown
// members and extensions come through as they were written. Where numbers cannot take the
// factor (quantized or compressed positions, bytes with two meanings) the whole document is
// put under an added root node that scales it.
//
// It refuses what reaches outside the file's folder or to the network, indices and ranges
// that lead past what is there, nodes that are not trees, and required extensions that may
// change the shape in a way unknown here. No claimed count is believed: memory is bounded
// by the real size of the file and its buffers.
//
// A part is a node that shows a mesh: all triangles of that mesh, in the pose in which the
// file is drawn (default morph weights, joints as their nodes stand), in metres, Y up.
package gltf

import (
	"context"
	"errors"
	"io"
	"math"
	"time"

	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// A File is an opened glTF file. It keeps the JSON and where things are, not the
// triangles. Its methods may be called from several goroutines.
type File struct {
	path   string
	stamp  source.Stamp
	when   time.Time // it was last changed, as of opening
	box    container
	doc    *document
	worlds []affine // each node's transform to file coordinates
	blobs  []blob
	images []sideFile
	most   allowance
	limit  int64 // more elements than this cannot be real
	places []partPlace
	parts  []mesh.Part
	notes  []fault.Note
	plan   *plan
}

// Path is where the file lies.
func (f *File) Path() string { return f.path }

// Parts are the bodies, in metres.
func (f *File) Parts() []mesh.Part { return f.parts }

// Extension is that of its copies.
func (f *File) Extension() string { return "." + f.Encoding() }

// Format is "gltf".
func (f *File) Format() string { return "gltf" }

// Encoding is "glb" or "gltf".
func (f *File) Encoding() string {
	if f.box.binary {
		return "glb"
	}
	return "gltf"
}

// Bytes is the size of the main file when it was opened.
func (f *File) Bytes() int64 { return f.stamp.Bytes }

// Digest identifies the main file's content.
func (f *File) Digest() string { return f.stamp.String() }

// Notes are what is worth telling although the file could be read.
func (f *File) Notes() []fault.Note { return f.notes }

// Companions are the buffers and images beside the file that its copies need.
func (f *File) Companions() []string {
	var names []string
	for _, b := range f.blobs {
		if b.side.name != "" {
			names = append(names, b.side.name)
		}
	}
	for _, s := range f.images {
		names = append(names, s.name)
	}
	return names
}

func (f *File) note(code fault.NoteCode, detail string) {
	f.notes = append(f.notes, fault.Note{Code: code, Detail: detail})
}

// decoder makes errors that say where in the document they are.
func (f *File) decoder() *decoder {
	return &decoder{file: f.path, start: f.box.json.start, lines: !f.box.binary}
}

func (f *File) fault(code fault.Code, v value, what string) error {
	return f.decoder().fault(code, v, what)
}

// Open opens and measures a file. The error is an *fault.Error, or ctx's. It asks ctx at
// least every megabyte; report rises from 0 to 1 and may be nil.
func Open(ctx context.Context, path string, report func(float64)) (*File, error) {
	return openWithin(ctx, path, usualAllowance(), report)
}

func openWithin(ctx context.Context, path string, most allowance, report func(float64)) (*File, error) {
	if report == nil {
		report = func(float64) {}
	}
	f := &File{path: path, most: most}
	if err := f.open(ctx, report); err != nil {
		if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			return nil, ctx.Err()
		}
		return nil, source.Fault(path, err)
	}
	report(1)
	return f, nil
}

func (f *File) open(ctx context.Context, report func(float64)) error {
	file, size, err := source.Open(f.path)
	if err != nil {
		return err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return err
	}
	f.when, f.stamp.Bytes = info.ModTime(), size
	if f.box, err = readContainer(f.path, file, size); err != nil {
		return err
	}
	if f.box.end < size {
		f.note(fault.TrailingBytes, "")
	}
	text := make([]byte, f.box.json.bytes)
	if _, err := file.ReadAt(text, f.box.json.start); err != nil {
		return err
	}
	tree, err := scanJSON(text)
	if err != nil {
		return f.syntax(text, err)
	}
	d := f.decoder()
	if f.doc = d.readDocument(tree); d.err != nil {
		return d.err
	}
	if err := f.findFiles(); err != nil {
		return err
	}

	// The contents are stamped beside everything else.
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stamped := make(chan error, 1)
	var stamps []source.Stamp
	go func() {
		var err error
		stamps, err = f.stampAll(ctx, file)
		stamped <- err
	}()
	err = f.measure(ctx, report)
	if err != nil {
		cancel()
	}
	if e := <-stamped; err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	f.stamp = stamps[0]
	for i := range f.blobs {
		f.blobs[i].stamp = stamps[1+i]
	}
	f.notes = append(f.notes, source.TagNote(f.doc.tag())...)
	f.plan = f.makePlan()
	if f.plan.byRoot {
		f.note(fault.ScaledByRoot, f.plan.why)
	}
	return nil
}

// stampAll stamps the main file and each blob that is a side file.
func (f *File) stampAll(ctx context.Context, main io.ReaderAt) ([]source.Stamp, error) {
	stamps := make([]source.Stamp, 1+len(f.blobs))
	var err error
	if stamps[0], err = stamp(ctx, f.path, io.NewSectionReader(main, 0, math.MaxInt64), f.stamp.Bytes); err != nil {
		return nil, err
	}
	for i, b := range f.blobs {
		if b.side.name == "" {
			continue
		}
		file, _, err := source.Open(b.side.path)
		if err != nil {
			return nil, err
		}
		stamps[1+i], err = stamp(ctx, b.side.path, file, b.stamp.Bytes)
		file.Close() // only read from
		if err != nil {
			return nil, err
		}
	}
	return stamps, nil
}

// stamp reads a file that should have size bytes to its end.
func stamp(ctx context.Context, path string, r io.Reader, size int64) (source.Stamp, error) {
	s := source.NewReader(path, r)
	buf := make([]byte, min(piece, size+1))
	for {
		if err := ctx.Err(); err != nil {
			return source.Stamp{}, err
		}
		if _, err := s.Read(buf); err == io.EOF {
			break
		} else if err != nil {
			return source.Stamp{}, err
		}
	}
	if s.Stamp().Bytes != size {
		return source.Stamp{}, changed(path)
	}
	return s.Stamp(), nil
}

// changed is the error about a file that is no longer what was opened.
func changed(path string) error {
	return &fault.Error{File: path, Code: fault.Changed, Byte: -1}
}

// syntax places an error of the scanner.
func (f *File) syntax(text []byte, err error) error {
	var s *syntaxError
	if !errors.As(err, &s) {
		return err
	}
	e := &fault.Error{File: f.path, Code: fault.Syntax, Detail: s.what}
	f.decoder().locate(e, text, s.at)
	if s.at >= len(text) && !f.box.binary {
		e.Code = fault.Truncated
	}
	return e
}
