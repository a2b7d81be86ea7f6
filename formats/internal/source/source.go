// Package source reads model files and notices when one is no longer what it was.
package source

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/cespare/xxhash/v2"

	"scantling/formats/internal/fault"
)

// A Stamp tells one content from another: size and xxHash64 (XXH64, seed 0). It guards
// against files changed by mistake, not against forgery.
type Stamp struct {
	Bytes int64
	Sum   uint64
}

// String is the digest as files report it: "xxh64:" and 16 hex digits.
func (s Stamp) String() string { return fmt.Sprintf("xxh64:%016x", s.Sum) }

// Check is a fault.Changed error about the file at path unless now is s.
func (s Stamp) Check(path string, now Stamp) error {
	if s == now {
		return nil
	}
	return &fault.Error{File: path, Code: fault.Changed, Byte: -1,
		Detail: fmt.Sprintf("%d bytes %v, when it was opened %d bytes %v", now.Bytes, now, s.Bytes, s)}
}

// StampOf is the stamp of a content in memory.
func StampOf(content []byte) Stamp {
	return Stamp{int64(len(content)), xxhash.Sum64(content)}
}

// A Reader stamps what is read through it.
type Reader struct {
	r    io.Reader
	n    int64
	hash *xxhash.Digest
}

// NewReader reads from r.
func NewReader(r io.Reader) *Reader { return &Reader{r: r, hash: xxhash.New()} }

// Read is r's.
func (r *Reader) Read(p []byte) (int, error) {
	n, err := r.r.Read(p)
	r.n += int64(n)
	r.hash.Write(p[:n]) // never fails
	return n, err
}

// Stamp is that of what was read so far.
func (r *Reader) Stamp() Stamp { return Stamp{r.n, r.hash.Sum64()} }

// Open opens the regular file at path for reading and gives its size. The error is an
// *fault.Error: MissingFile where nothing is, Unreadable where something else than a
// readable file is.
func Open(path string) (*os.File, int64, error) {
	// Asked before it is opened: opening a pipe would wait for its other end.
	if info, err := os.Stat(path); err != nil {
		return nil, 0, Fault(path, err)
	} else if !info.Mode().IsRegular() {
		return nil, 0, &fault.Error{File: path, Code: fault.Unreadable, Byte: -1, Detail: "not a file"}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, Fault(path, err)
	}
	info, err := f.Stat()
	if err != nil {
		f.Close()
		return nil, 0, Fault(path, err)
	}
	return f, info.Size(), nil
}

// Fault makes an error of the system's an *fault.Error about the file at path. It leaves
// what already is one, and nil, as they are.
func Fault(path string, err error) error {
	if err == nil {
		return nil
	}
	if f := (*fault.Error)(nil); errors.As(err, &f) {
		return err
	}
	code := fault.Unreadable
	if errors.Is(err, fs.ErrNotExist) {
		code = fault.MissingFile
	}
	return &fault.Error{File: path, Code: code, Byte: -1, Err: err}
}

// Stem is the file's name without folder and extension: the name of a part that has none.
func Stem(path string) string {
	name := filepath.Base(path)
	if stem := strings.TrimSuffix(name, filepath.Ext(name)); stem != "" {
		return stem
	}
	return name
}
