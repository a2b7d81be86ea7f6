// Package cache keeps what was slow to find out in a folder, until it is full. What it loses
// is found out again, so it never fails: what cannot be kept is not kept, and what is broken
// is not there.
package cache

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// A Folder keeps entries by key. Several programs may use the same folder at a time, and any
// number of goroutines the same Folder.
type Folder struct {
	dir  string
	most int64
	lock sync.Mutex // only one cleans up
}

// New uses dir, which need not be there yet, for at most so many bytes.
func New(dir string, most int64) *Folder { return &Folder{dir: dir, most: most} }

const (
	suffix  = ".kept"
	fresh   = "new-"    // begins the names of entries that are being written
	keyMost = 100       // letters
	share   = 4         // no entry may have more than this part of all
	stale   = time.Hour // then an entry being written was left by a program that ended
)

// Load gives what was saved last under this key, if it is still there and whole.
func (f *Folder) Load(key string) ([]byte, bool) {
	if !proper(key) {
		return nil, false
	}
	path := f.path(key)
	file, err := os.Open(path)
	if err != nil {
		return nil, false
	}
	defer file.Close()
	if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() || info.Size() > f.most/share+sha256.Size {
		return nil, false
	}
	data, err := io.ReadAll(io.LimitReader(file, f.most/share+sha256.Size+1))
	if err != nil || len(data) < sha256.Size {
		return nil, false
	}
	sum := sha256.Sum256(data[sha256.Size:])
	if !bytes.Equal(sum[:], data[:sha256.Size]) {
		return nil, false
	}
	// What is used stays. Where the time cannot be set it goes earlier, that is all.
	now := time.Now()
	_ = os.Chtimes(path, now, now)
	return data[sha256.Size:], true
}

// Save keeps data under this key, as a whole or not at all, and lets go of what was not used
// for longest where the folder would get too large.
func (f *Folder) Save(key string, data []byte) {
	if !proper(key) || int64(len(data)) > f.most/share {
		return
	}
	if err := os.MkdirAll(f.dir, 0o700); err != nil {
		return
	}
	file, err := os.CreateTemp(f.dir, fresh+"*")
	if err != nil {
		return
	}
	sum := sha256.Sum256(data)
	_, err = file.Write(sum[:])
	if err == nil {
		_, err = file.Write(data)
	}
	if err = cmp.Or(err, file.Close()); err == nil {
		err = os.Rename(file.Name(), f.path(key))
	}
	if err != nil {
		_ = os.Remove(file.Name())
		return
	}
	f.tidy()
}

func (f *Folder) path(key string) string { return filepath.Join(f.dir, key+suffix) }

// proper keys are names of files everywhere, and of nothing else.
func proper(key string) bool {
	return key != "" && len(key) <= keyMost && strings.Trim(key, "abcdefghijklmnopqrstuvwxyz0123456789-") == "" && key[0] != '-'
}

// tidy removes the entries that were not used for longest until a quarter of the room is
// free, once it is exceeded, and what was left half-written.
func (f *Folder) tidy() {
	f.lock.Lock()
	defer f.lock.Unlock()
	all, err := os.ReadDir(f.dir)
	if err != nil {
		return
	}
	var kept []os.FileInfo
	sum := int64(0)
	for _, e := range all {
		info, err := e.Info()
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		switch name := info.Name(); {
		case strings.HasSuffix(name, suffix):
			kept = append(kept, info)
			sum += info.Size()
		case strings.HasPrefix(name, fresh) && time.Since(info.ModTime()) > stale:
			_ = os.Remove(filepath.Join(f.dir, name))
		}
	}
	if sum <= f.most {
		return
	}
	slices.SortFunc(kept, func(a, b os.FileInfo) int {
		return cmp.Or(a.ModTime().Compare(b.ModTime()), strings.Compare(a.Name(), b.Name()))
	})
	for _, info := range kept {
		if sum <= f.most-f.most/share {
			return
		}
		if os.Remove(filepath.Join(f.dir, info.Name())) == nil {
			sum -= info.Size()
		}
	}
}
