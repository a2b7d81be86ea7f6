// Package fault has the one error type that all formats share. It says where a file stops
// making sense and what kind of trouble it is; the words and the remedy that a maker reads
// are made in app/text.
package fault

import (
	"fmt"
	"strings"
)

// A Code is a kind of trouble in a model file.
type Code string

// All kinds of trouble. app/text has words and a remedy for each; a test walks them all.
const (
	Empty       Code = "empty"        // no bytes at all
	NotAModel   Code = "not-a-model"  // the content is none of the formats
	Truncated   Code = "truncated"    // ends before what it announces
	Syntax      Code = "syntax"       // the text breaks the format's grammar
	BadNumber   Code = "bad-number"   // NaN, infinite, or not a number
	BadIndex    Code = "bad-index"    // points past the vertices, accessors, nodes ...
	BadRange    Code = "bad-range"    // an accessor or view past its buffer
	Cycle       Code = "cycle"        // nodes that contain themselves
	MissingFile Code = "missing-file" // a side file that is not there
	Outside     Code = "outside"      // a reference that leaves the folder
	Network     Code = "network"      // a reference to the network
	Unsupported Code = "unsupported"  // a required extension or version we do not know
	NoTriangles Code = "no-triangles" // well formed, but nothing to print in it
	Changed     Code = "changed"      // the file is no longer what was opened
	NoSurface   Code = "no-surface"   // the triangles cannot be read (compressed)
	TooLarge    Code = "too-large"    // scaled coordinates leave the number format
	Overfull    Code = "overfull"     // unfolds to far more than its size
	Unreadable  Code = "unreadable"   // the system refuses to read it
)

// Codes lists every code.
func Codes() []Code {
	return []Code{Empty, NotAModel, Truncated, Syntax, BadNumber, BadIndex, BadRange, Cycle, MissingFile,
		Outside, Network, Unsupported, NoTriangles, Changed, NoSurface, TooLarge, Overfull, Unreadable}
}

// An Error is trouble in a model file, with its place.
type Error struct {
	File   string // as its opener knows it
	Code   Code
	Line   int    // from 1; 0 in a binary file
	Byte   int64  // from the start of the file; negative when unknown
	Detail string // what exactly, in a few plain words: "facet 12 of 40", `node "mast"`, a file name
	Err    error  // cause, or nil
}

// Error is terse, for logs and wrapped errors; app/text has the maker's sentence.
func (e *Error) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", e.File, e.Code)
	if e.Line > 0 {
		fmt.Fprintf(&b, " at line %d", e.Line)
	} else if e.Byte > 0 {
		fmt.Fprintf(&b, " at byte %d", e.Byte)
	}
	if e.Detail != "" {
		fmt.Fprintf(&b, ": %s", e.Detail)
	}
	if e.Err != nil {
		fmt.Fprintf(&b, ": %v", e.Err)
	}
	return b.String()
}

// Unwrap is the cause.
func (e *Error) Unwrap() error { return e.Err }

// A Note is something worth telling about a file that could be read all the same.
type Note struct {
	Code   NoteCode
	Detail string
}

// A NoteCode is a kind of note.
type NoteCode string

// All kinds of note.
const (
	TrailingBytes NoteCode = "trailing-bytes" // bytes after the last triangle, kept in copies
	UnitAssumed   NoteCode = "unit-assumed"   // the format states no unit
	Compressed    NoteCode = "compressed"     // sizes only; copies are scaled through a root node
	ScaledByRoot  NoteCode = "scaled-by-root" // the copy carries the factor in a node, not in its numbers
	CaseDiffers   NoteCode = "case-differs"   // a side file was found under another case
	ZeroSize      NoteCode = "zero-size"      // a part without extent
	SkippedParts  NoteCode = "skipped-parts"  // points, lines or other things that are not triangles
	Signed        NoteCode = "signed"         // a digital signature, which no longer fits a copy
	ScaledCopy    NoteCode = "scaled-copy"    // it says of itself that it is a copy that this program made; Detail is its tag

	// A side file that copies go without, as the source does.
	MissingCompanion NoteCode = "missing-companion" // it is not there
	OutsideCompanion NoteCode = "outside-companion" // its name leads out of the folder
	NetworkCompanion NoteCode = "network-companion" // its name leads to the network
)

// NoteCodes lists every note code.
func NoteCodes() []NoteCode {
	return []NoteCode{TrailingBytes, UnitAssumed, Compressed, ScaledByRoot, CaseDiffers, ZeroSize, SkippedParts, Signed, ScaledCopy,
		MissingCompanion, OutsideCompanion, NetworkCompanion}
}
