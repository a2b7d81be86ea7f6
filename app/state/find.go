package state

import (
	"cmp"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"scantling/formats"
)

// Bounds of looking for files: enough for a maker's folders, and no walk over a whole drive.
const (
	searchDepth   = 4
	searchEntries = 20_000
	searchHashed  = 2 << 30 // bytes
)

// A realDisk is the disk of this machine. A drive that does not answer is left alone for a
// while, so that the files on it cost one wait and not one each.
type realDisk struct {
	stat     func(string) (fs.FileInfo, error)
	patience time.Duration

	mu   sync.Mutex
	dead map[string]time.Time // folders that did not answer, and until when they are left alone
}

const (
	statPatience = 4 * time.Second
	deadFor      = time.Minute
)

// Stat waits a few seconds for a drive that was taken away or sleeps, and then says ErrNoAnswer.
func (d *realDisk) Stat(ctx context.Context, path string) (fs.FileInfo, error) {
	folder := filepath.Dir(path)
	d.mu.Lock()
	until, dead := d.dead[folder]
	d.mu.Unlock()
	if dead && time.Now().Before(until) {
		return nil, &PathError{Path: path, Err: ErrNoAnswer}
	}
	type answer struct {
		info fs.FileInfo
		err  error
	}
	got := make(chan answer, 1)
	go func() { // it ends when the system gives up
		info, err := d.stat(path)
		got <- answer{info, err}
	}()
	limit := time.NewTimer(d.patience)
	defer limit.Stop()
	select {
	case a := <-got:
		return a.info, a.err
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-limit.C:
		d.mu.Lock()
		d.dead[folder] = time.Now().Add(deadFor)
		d.mu.Unlock()
		return nil, &PathError{Path: path, Err: ErrNoAnswer}
	}
}

// Find looks for files by content and by name, in some folders and what lies under them, not
// endlessly deep. Of files with the name alone that one is taken whose folders are most alike.
func (d *realDisk) Find(ctx context.Context, wanted []Wanted, places []Place) ([]Found, error) {
	out := make([]Found, len(wanted))
	likeness := make([]int, len(wanted))
	digests := map[string]string{}
	hashed := int64(0)
	digest := func(path string, size int64) string {
		got, known := digests[path]
		if !known && hashed+size <= searchHashed {
			hashed += size
			got, _ = formats.Digest(ctx, path)
			digests[path] = got
		}
		return got
	}
	for _, file := range d.candidates(ctx, places) {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for i, w := range wanted {
			named := strings.EqualFold(filepath.Base(file.path), filepath.Base(w.Path))
			if out[i].Same || file.path == w.Path || !named && (w.Bytes == 0 || w.Bytes != file.size) {
				continue
			}
			same := w.Digest != "" && (w.Bytes == 0 || w.Bytes == file.size) && digest(file.path, file.size) == w.Digest
			if like := alikeness(file.path, w.Path); same || named && like > likeness[i] {
				out[i], likeness[i] = Found{file.path, same}, like
			}
		}
	}
	return out, ctx.Err()
}

// alikeness counts the names at the end of two paths that are the same.
func alikeness(a, b string) int {
	x, y := strings.Split(filepath.ToSlash(a), "/"), strings.Split(filepath.ToSlash(b), "/")
	n := 0
	for n < min(len(x), len(y)) && strings.EqualFold(x[len(x)-1-n], y[len(y)-1-n]) {
		n++
	}
	return n
}

type foundFile struct {
	path string
	size int64
}

// candidates are the model files in places, the nearest first. Folders that cannot be read are
// passed over.
func (d *realDisk) candidates(ctx context.Context, places []Place) []foundFile {
	var out []foundFile
	seen := map[string]bool{}
	entries := 0
	for len(places) > 0 && entries < searchEntries && ctx.Err() == nil {
		var next []Place
		for _, at := range places {
			if seen[at.Folder] {
				continue
			}
			seen[at.Folder] = true
			if _, err := d.Stat(ctx, at.Folder); err != nil {
				continue
			}
			all, _ := os.ReadDir(at.Folder)
			for _, e := range all {
				entries++
				path := filepath.Join(at.Folder, e.Name())
				switch {
				case strings.HasPrefix(e.Name(), "."):
				case e.IsDir() && at.Depth > 0:
					next = append(next, Place{path, at.Depth - 1})
				case e.Type().IsRegular() && slices.Contains(formats.Extensions(), strings.ToLower(filepath.Ext(path))):
					if info, err := e.Info(); err == nil {
						out = append(out, foundFile{path, info.Size()})
					}
				}
			}
		}
		// Where a folder can be come to by two ways, the one that leads deeper counts.
		slices.SortStableFunc(next, func(a, b Place) int { return cmp.Compare(b.Depth, a.Depth) })
		places = next
	}
	return out
}
