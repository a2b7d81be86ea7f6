package kit

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"scantling/engine/deliver"
)

// Version is that of the kit's file which this program writes and the newest it reads. It rises
// when a program that knows only the older ones would take a kit for another one than it is. By
// the first one, parts had no unit and no turn of their own, and a program of then would find
// another factor for a kit that has them.
const Version = 2

// Extension is that of a kit's file.
const Extension = ".scantling"

// What a kit's file may hold at most. Three hundred parts take about 60 kB.
const (
	maxBytes = 16 << 20
	maxParts = 20_000
)

var errNotAFile = errors.New("is not a regular file")

// A Code is a kind of trouble with a kit's file.
type Code string

// All kinds of trouble. app/text has words and a remedy for each.
const (
	NotAKit      Code = "not-a-kit"     // JSON, but without the member "scantling"
	NotPrinters  Code = "not-printers"  // JSON, but without the member "scantling-printers"
	NotProcesses Code = "not-processes" // JSON, but without the member "scantling-processes"
	Newer        Code = "newer"         // written by a newer program; Detail is its version
	Syntax       Code = "syntax"        // not JSON, or cut short
	BadValue     Code = "bad-value"     // a member has a value it cannot have; Detail names the member
	Doubled      Code = "doubled"       // a member or a part's id is there twice; Detail names it
	TooLarge     Code = "too-large"     // longer than any kit
	Unreadable   Code = "unreadable"    // the system refuses to read it; Err says why
	Overtaken    Code = "overtaken"     // somebody else has saved it since it was read
)

// Codes lists every code.
func Codes() []Code {
	return []Code{NotAKit, NotPrinters, NotProcesses, Newer, Syntax, BadValue, Doubled, TooLarge, Unreadable, Overtaken}
}

// An Error is trouble with a kit's file, with its place.
type Error struct {
	File   string
	Code   Code
	Line   int    // from 1; 0 when the place is not known
	Column int    // from 1, in characters
	Byte   int64  // from the start of the file
	Detail string // the member as a path, "parts[2].quantity", or what Code says
	Err    error  // cause, or nil
}

// Error is terse, for logs; app/text has the maker's sentence.
func (e *Error) Error() string {
	s := fmt.Sprintf("%s: %s", e.File, e.Code)
	if e.Line > 0 {
		s += fmt.Sprintf(" at line %d, column %d", e.Line, e.Column)
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

// A Stamp tells one content of a kit's file from another: SHA-256 in hex digits. The empty one
// stands for any content, and for none.
type Stamp string

func stampOf(data []byte) Stamp {
	sum := sha256.Sum256(data)
	return Stamp(hex.EncodeToString(sum[:]))
}

// Load reads a kit's file. The files of its parts are not looked at. The error is an *Error.
func Load(path string) (Kit, error) {
	k, _, err := LoadStamped(path)
	return k, err
}

// LoadStamped is Load with the stamp of what was read.
func LoadStamped(path string) (Kit, Stamp, error) {
	data, err := read(path)
	if err != nil {
		return Kit{}, "", err
	}
	folder, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return Kit{}, "", &Error{File: path, Code: Unreadable, Err: err}
	}
	k, err := decode(path, folder, data)
	return k, stampOf(data), err
}

func read(path string) ([]byte, error) {
	// A pipe would make Open wait.
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = errNotAFile
	}
	if err != nil {
		return nil, &Error{File: path, Code: Unreadable, Err: err}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, &Error{File: path, Code: Unreadable, Err: err}
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return nil, &Error{File: path, Code: Unreadable, Err: err}
	}
	if len(data) > maxBytes {
		return nil, &Error{File: path, Code: TooLarge}
	}
	return data, nil
}

// Save writes a kit's file, whole or not at all: until it is complete and synced the file
// that was there stays. A file that is one of the kit's parts is never written over. The
// error is a *deliver.Error.
func Save(path string, k Kit) error {
	_, err := SaveOver(path, k, "")
	return err
}

// SaveOver is Save in place of a file of that stamp, and gives that of what was saved. Where
// another file lies there now, somebody else has saved it: it stays, and the error is an *Error
// with the code Overtaken. A file that is gone is no hindrance.
func SaveOver(path string, k Kit, over Stamp) (Stamp, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", &deliver.Error{Code: deliver.Failed, Path: path, Err: err}
	}
	if over != "" {
		if data, err := read(full); err == nil && stampOf(data) != over {
			return "", &Error{File: path, Code: Overtaken}
		}
	}
	if there, err := os.Stat(full); err == nil {
		for _, p := range k.Parts {
			if part, err := os.Stat(p.File); err == nil && os.SameFile(there, part) {
				return "", &deliver.Error{Code: deliver.IsSource, Path: path}
			}
		}
	}
	data, err := encode(k, filepath.Dir(full))
	if err != nil {
		return "", &deliver.Error{Code: deliver.Failed, Path: path, Err: err}
	}
	return stampOf(data), deliver.WriteFile(full, data)
}
