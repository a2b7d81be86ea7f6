package kit

import (
	"fmt"
)

// Version is that of the kit's file which this program writes and the newest it reads.
const Version = 1

// Extension is that of a kit's file.
const Extension = ".scantling"

// What a kit's file may hold at most. Three hundred parts take about 60 kB.
const maxBytes = 16 << 20

// A Code is a kind of trouble with a kit's file.
type Code string

// All kinds of trouble. app/text has words and a remedy for each.
const (
	NotAKit    Code = "not-a-kit"  // JSON, but without the member "scantling"
	Newer      Code = "newer"      // written by a newer program; Detail is its version
	Syntax     Code = "syntax"     // not JSON, or cut short
	BadValue   Code = "bad-value"  // a member has a value it cannot have; Detail names the member
	Doubled    Code = "doubled"    // a member or a part's id is there twice; Detail names it
	TooLarge   Code = "too-large"  // longer than any kit
	Unreadable Code = "unreadable" // the system refuses to read it; Err says why
)

// Codes lists every code.
func Codes() []Code {
	return []Code{NotAKit, Newer, Syntax, BadValue, Doubled, TooLarge, Unreadable}
}

// An Error is trouble with a kit's file, with its place.
type Error struct {
	File   string
	Code   Code
	Line   int    // from 1; 0 when the place is not known
	Byte   int64  // from the start of the file
	Detail string // the member as a path, "parts[2].quantity", or what Code says
	Err    error  // cause, or nil
}

// Error is terse, for logs; app/text has the maker's sentence.
func (e *Error) Error() string {
	s := fmt.Sprintf("%s: %s", e.File, e.Code)
	if e.Line > 0 {
		s += fmt.Sprintf(" at line %d", e.Line)
	}
	if e.Detail != "" {
		s += ": " + e.Detail
	}
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	return s
}

// Unwrap is the cause.
func (e *Error) Unwrap() error { return e.Err }

// Load reads a kit's file. The files of its parts are not looked at. The error is an *Error.
func Load(path string) (Kit, error) {
	panic("engine/kit: Load is being written")
}

// Save writes a kit's file, whole or not at all: until it is complete and synced the file
// that was there stays. The error is a *deliver.Error.
func Save(path string, k Kit) error {
	panic("engine/kit: Save is being written")
}
