// Package source reads model files and notices when one is no longer what it was.
package source

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"github.com/cespare/xxhash/v2"

	"scantling/engine/deliver"
	"scantling/engine/mesh"
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

// StampOf is the stamp of a content in memory.
func StampOf(content []byte) Stamp {
	return Stamp{int64(len(content)), xxhash.Sum64(content)}
}

// A Reader stamps what is read through it. Its errors, but for io.EOF, are *fault.Error.
type Reader struct {
	path string
	r    io.Reader
	n    int64
	hash *xxhash.Digest
}

// NewReader reads from r, the file at path.
func NewReader(path string, r io.Reader) *Reader {
	return &Reader{path: path, r: r, hash: xxhash.New()}
}

// Read is r's.
func (r *Reader) Read(p []byte) (int, error) {
	n, err := r.r.Read(p)
	r.n += int64(n)
	r.hash.Write(p[:n]) // never fails
	if err != nil && err != io.EOF {
		err = Fault(r.path, err)
	}
	return n, err
}

// Stamp is that of what was read so far.
func (r *Reader) Stamp() Stamp { return Stamp{r.n, r.hash.Sum64()} }

// Again reads the file at path once more, from start to end, with read. The error is
// fault.Changed when the file is no longer what s says, before or after: what read made of
// it must then be thrown away. Other errors are those of Open and of read.
func (s Stamp) Again(path string, read func(r *Reader) error) error {
	file, size, err := Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	if size != s.Bytes {
		return changed(path, fmt.Sprintf("%d bytes, when it was opened %d", size, s.Bytes))
	}
	r := NewReader(path, file)
	if err := read(r); err != nil {
		return err
	}
	if _, err := io.Copy(io.Discard, r); err != nil {
		return err
	}
	if now := r.Stamp(); now != s {
		return changed(path, fmt.Sprintf("content %v, when it was opened %v", now, s))
	}
	return nil
}

func changed(path, detail string) error {
	return &fault.Error{File: path, Code: fault.Changed, Byte: -1, Detail: detail}
}

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

// CheckChange is what every copy asks first: whether c has a factor and a sound pose, and
// whether float32, which the programs that read these files hold coordinates in, can hold
// the parts changed so. What changes nothing is always fine. The error is an *fault.Error.
//
// Since bounds hold every vertex, nothing needs to be checked vertex by vertex. Single
// coordinates may round to zero, for they are then below any printable length; a part that
// had a size and would have none is refused.
func CheckChange(path string, parts []mesh.Part, c deliver.Change) error {
	f := c.Factor
	refuse := func(detail string) error {
		return &fault.Error{File: path, Code: fault.TooLarge, Byte: -1, Detail: detail}
	}
	if !(f > 0) || math.IsInf(f, 0) {
		return refuse(fmt.Sprintf("factor %v", f))
	}
	if !c.Pose.Sound() {
		return refuse(fmt.Sprintf("pose %v", c.Pose))
	}
	if f == 1 && !c.Pose.Moves() {
		return nil
	}
	for _, p := range parts {
		sized, kept := false, false
		box := c.Pose.Box(p.Box.Scale(f))
		for i := range 3 {
			scaledLow, scaledHigh := float32(box.Min[i]), float32(box.Max[i])
			if math.IsInf(float64(scaledLow), 0) || math.IsInf(float64(scaledHigh), 0) {
				return refuse(fmt.Sprintf("%s at factor %v is too large", p.Name, f))
			}
			sized = sized || p.Box.Min[i] < p.Box.Max[i]
			kept = kept || scaledLow < scaledHigh
		}
		if sized && !kept {
			return refuse(fmt.Sprintf("%s at factor %v has no size left", p.Name, f))
		}
	}
	return nil
}
