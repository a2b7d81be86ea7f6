// Package formats opens model files whatever their format: it looks at the content, hands
// the file to the format's own package, and gives it back as a File. The table of formats
// is here; each format hides its syntax in a package of its own.
package formats

import (
	"context"

	"scantling/engine/deliver"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
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
)

// A File is an opened model file. It keeps where things are, not the triangles: those are
// read again when they are needed. The methods may be called from several goroutines.
type File interface {
	deliver.Source
	// Format is "stl", "obj" or "gltf".
	Format() string
	// Encoding is "binary" or "ascii" for STL, "utf-8", "utf-16le" or "utf-16be" for OBJ,
	// "gltf" or "glb" for glTF.
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

// Open opens and measures a model file in one pass. The error is an *Error, or ctx's.
func Open(ctx context.Context, path string, report func(float64)) (File, error) {
	panic("formats: Open is being written")
}

// As gives a source whose copies are written in another format through the neutral mesh,
// units converted (glTF is metres, the others millimetres), axes as they are. PerUnit is
// what deliver.Copy needs beside it.
func As(f File, k Kind) (source deliver.Source, perUnit float64) {
	panic("formats: As is being written")
}

// Extensions are those that folders are searched for, lower case with the dot.
func Extensions() []string { return []string{".stl", ".obj", ".gltf", ".glb"} }
