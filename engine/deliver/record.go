package deliver

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"

	"github.com/cespare/xxhash/v2"
)

// A Record is what is known of a copy that was saved: from what it was made, how, and what it
// is. Where all of it still holds, saving the copy again would make the same files.
type Record struct {
	Source string    // digest of the source's main file
	Recipe string    // digest of all else that the copy depends on: side files, how it differs, its format
	Files  []Written // the main file last
}

// Known reports whether there is a record.
func (r Record) Known() bool { return r.Source != "" && r.Recipe != "" && len(r.Files) > 0 }

// A Written is one file that was written.
type Written struct {
	Path   string // full path
	Bytes  int64
	Digest string // "xxh64:" and 16 hex digits
}

// recipeVersion rises whenever the same copy would be written with other bytes.
const recipeVersion = 2

// digested is what a source can have beside Source: a digest of its content. Without one,
// nothing is recorded of its copies.
type digested interface{ Digest() string }

// kinded is what a source can have beside Source: in what way its copies are written, where its
// extension does not say all of it.
type kinded interface{ WrittenAs() string }

// recordOf is the record of a copy that is to be saved, without files; it is not known where
// the source has no digest or a side file cannot be read.
func recordOf(d disk, c *Copy) (r Record, known bool) {
	source, ok := c.Source.(digested)
	if !ok || source.Digest() == "" {
		return Record{}, false
	}
	h := xxhash.New()
	change := c.change()
	fmt.Fprintf(h, "%d %q %q", recipeVersion, c.Source.Extension(), change.Tag)
	numbers := []float64{change.Factor, c.PerUnit}
	for _, row := range change.Pose.Rows {
		numbers = append(numbers, row[:]...)
	}
	numbers = append(numbers, change.Pose.Shift[:]...)
	var bits [8]byte
	for _, x := range numbers {
		binary.LittleEndian.PutUint64(bits[:], math.Float64bits(x))
		_, _ = h.Write(bits[:]) // of a hash; cannot fail
	}
	if s, ok := c.Source.(kinded); ok {
		fmt.Fprintf(h, "%q", s.WrittenAs())
	}
	if s, ok := c.Source.(companied); ok {
		for _, name := range s.Companions() {
			side, err := digestOf(d, filepath.Join(filepath.Dir(c.Source.Path()), filepath.FromSlash(name)))
			if err != nil {
				return Record{}, false
			}
			fmt.Fprintf(h, "%q %q", name, side.Digest)
		}
	}
	return Record{Source: source.Digest(), Recipe: digestText(h.Sum64())}, true
}

func digestText(sum uint64) string { return fmt.Sprintf("xxh64:%016x", sum) }

// digestOf reads a file for its digest.
func digestOf(d disk, path string) (Written, error) {
	f, err := d.Open(path)
	if err != nil {
		return Written{}, err
	}
	defer f.Close()
	h := xxhash.New()
	n, err := io.CopyBuffer(h, struct{ io.Reader }{f}, make([]byte, 256<<10))
	return Written{Path: path, Bytes: n, Digest: digestText(h.Sum64())}, err
}

// stands reports whether a file is as it was written.
func (w Written) stands(d disk) bool {
	info, err := d.Lstat(w.Path)
	if err != nil || !info.Mode().IsRegular() || info.Size() != w.Bytes {
		return false
	}
	now, err := digestOf(d, w.Path)
	return err == nil && now == w
}

// unchanged finds a record by which a copy lies under its path as it would be saved again.
func (r *run) unchanged(c *Copy, would Record) (Record, bool) {
	final := r.final(c)
	for _, known := range append([]Record{c.Known}, r.journal.of(final)...) {
		if n := len(known.Files); n == 0 || known.Source != would.Source || known.Recipe != would.Recipe ||
			filepath.Clean(known.Files[n-1].Path) != final {
			continue
		}
		if !slices.ContainsFunc(known.Files, func(w Written) bool { return !w.stands(r.disk) }) {
			return known, true
		}
	}
	return Record{}, false
}
