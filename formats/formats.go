// Package formats opens model files whatever their format: it looks at the content, hands
// the file to the format's own package, and gives it back as a File. The table of formats
// is here; each format hides its syntax in a package of its own.
package formats

import (
	"context"
	"io"
	"path/filepath"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/mesh"
	"scantling/formats/gltf"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
	"scantling/formats/obj"
	"scantling/formats/stl"
	"scantling/formats/threemf"
)

// Errors and notes of all formats, by the names that callers use.
type (
	Error    = fault.Error
	Code     = fault.Code
	Note     = fault.Note
	NoteCode = fault.NoteCode
)

// A Kind is a format that can be written.
type Kind string

// The formats.
const (
	STL      Kind = "stl"       // binary STL
	STLASCII Kind = "stl-ascii" // text STL
	OBJ      Kind = "obj"
	GLB      Kind = "glb"  // binary glTF
	GLTF     Kind = "gltf" // glTF as text; read and rescaled, not a target of conversion
	ThreeMF  Kind = "3mf"
)

// A File is an opened model file. It keeps where things are, not the triangles: those are
// read again when they are needed. The methods may be called from several goroutines.
type File interface {
	deliver.Source
	// Format is "stl", "obj", "gltf" or "3mf".
	Format() string
	// Encoding is "binary" or "ascii" for STL, "utf-8", "utf-16le" or "utf-16be" for OBJ,
	// "gltf" or "glb" for glTF, "zip" for 3MF.
	Encoding() string
	// Bytes is the size of the main file when it was opened.
	Bytes() int64
	// Digest identifies the main file's content: "xxh64:" and 16 hex digits.
	Digest() string
	// Notes are what is worth telling although the file could be read.
	Notes() []Note
	// Companions are the side files that copies need, slash-separated, relative to the file.
	Companions() []string
	// Mesh reads the triangles of part i in file units. It asks ctx at least every
	// 10 MB; report rises from 0 to 1 and may be nil.
	Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error)
}

// headBytes are what the format is told from.
const headBytes = 4 << 10

// Open opens and measures a model file in one pass. What it is, its content tells; its
// extension is asked only where the content leaves it open. The error is an *Error, or
// ctx's.
func Open(ctx context.Context, path string, report func(float64)) (File, error) {
	kind, _, err := kindAt(path)
	if err != nil {
		return nil, err
	}
	switch kind {
	case "stl":
		return opened(stl.Open(ctx, path, report))
	case "obj":
		return opened(obj.Open(ctx, path, report))
	case "gltf":
		return opened(gltf.Open(ctx, path, report))
	case "3mf":
		return opened(threemf.Open(ctx, path, report))
	}
	return nil, &Error{File: path, Code: fault.NotAModel, Byte: -1}
}

// kindAt is what the file at path is, as detect has it, and how it is encoded if it is STL.
func kindAt(path string) (kind, encoding string, err error) {
	file, size, err := source.Open(path)
	if err != nil {
		return "", "", err
	}
	head := make([]byte, min(size, headBytes))
	n, err := file.ReadAt(head, 0)
	file.Close()
	if err != nil && err != io.EOF {
		return "", "", source.Fault(path, err)
	}
	head = head[:n]
	if len(head) == 0 {
		return "", "", &Error{File: path, Code: fault.Empty, Byte: -1}
	}
	kind = detect(head, size, strings.ToLower(filepath.Ext(path)))
	if kind == "stl" {
		encoding, _ = stl.Sniff(head, size)
	}
	return kind, encoding, nil
}

// ReadBack reads a saved copy back for deliver.Run: as Open does, but of a binary STL, where that
// is much faster, no more is measured than is compared.
func ReadBack(ctx context.Context, path string) (deliver.Back, error) {
	if kind, encoding, err := kindAt(path); err == nil && kind == "stl" && encoding == stl.Binary {
		return stl.ReadBack(ctx, path)
	}
	return Open(ctx, path, nil)
}

// opened makes a File of a format's own, and keeps a nil pointer from becoming one.
func opened[F File](f F, err error) (File, error) {
	if err != nil {
		return nil, err
	}
	return f, nil
}

// Extensions are those that folders are searched for, lower case with the dot.
func Extensions() []string { return []string{".stl", ".obj", ".gltf", ".glb", ".3mf"} }
