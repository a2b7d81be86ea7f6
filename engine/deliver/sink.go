package deliver

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/cespare/xxhash/v2"
)

// A set is the files of one copy: temporaries until place gives them their names. It is
// the Sink that a source writes to.
type set struct {
	run     *run
	ctx     context.Context
	main    string    // name of the main file
	under   string    // where its files lie below the run's folder, slash-separated
	left    []Written // companions that lay there already
	origin  string    // folder that companions may come from
	files   []*part
	folders []string // sub-folders that were made for it
	failed  error    // the first error given to the source
}

// A part is one file of a set.
type part struct {
	set     *set
	name    string // as the source names it
	final   string
	temp    string
	carried string // the companion that it is a copy of, or empty
	file    file   // nil once closed and synced
	closed  bool   // by the source; it may still be on its way to the disk
	sum     *xxhash.Digest
	bytes   int64
	broken  bool       // a write failed: no use in syncing
	ahead   int        // bytes written since the last sync was begun
	syncing chan error // the answer of a sync under way, or nil
	placed  bool
	fresh   bool // nothing was there before it was placed
}

func (s *set) fail(path string, err error) error {
	if s.ctx.Err() == nil {
		err = trouble(path, err)
	}
	if s.failed == nil {
		s.failed = err
	}
	return err
}

// Create is that of Sink.
func (s *set) Create(name string) (io.WriteCloser, error) {
	if name != s.main {
		s.run.finish(0) // another copy may have a side file of that name
	}
	final, err := s.target(name)
	if err != nil {
		return nil, s.fail(name, err)
	}
	for _, p := range s.files {
		if fold(p.final) == fold(final) {
			return nil, s.fail(final, &Error{Code: Clash, Path: final})
		}
	}
	exists, err := s.run.admit(final)
	if err == nil && exists && !s.run.overwrite && !s.run.journal.leftover(final) {
		err = &Error{Code: Exists, Path: final}
	}
	if err != nil {
		return nil, s.fail(final, err)
	}
	return s.start(name, final)
}

func (s *set) start(name, final string) (*part, error) {
	folder := filepath.Join(s.run.folder, filepath.FromSlash(s.under))
	f, temp, err := createTemporary(s.run.disk, folder)
	if err != nil {
		return nil, s.fail(folder, err)
	}
	p := &part{set: s, name: name, final: final, temp: temp, file: f, sum: xxhash.New()}
	s.files = append(s.files, p)
	return p, nil
}

// target is the full path of a file of the set. The folders above it are made.
func (s *set) target(name string) (string, error) {
	bad := &Error{Code: BadName, Path: name}
	if strings.ContainsAny(name, "\\\x00") || path.Clean(name) != name || name == "." || !filepath.IsLocal(filepath.FromSlash(name)) {
		return "", bad
	}
	for _, element := range strings.Split(name, "/") {
		if strings.HasPrefix(element, temporary) {
			return "", bad
		}
	}
	// The folder itself is not made again: one that vanished may be a disk that was pulled.
	at := s.run.folder
	name = path.Join(s.under, name)
	elements := strings.Split(name, "/")
	for _, element := range elements[:len(elements)-1] {
		at = filepath.Join(at, element)
		err := s.run.disk.Mkdir(at)
		if err == nil {
			s.folders = append(s.folders, at)
			continue
		}
		if info, statErr := s.run.disk.Lstat(at); statErr != nil {
			return "", trouble(at, err)
		} else if !info.IsDir() { // a link could lead anywhere
			return "", &Error{Code: NoFolder, Path: at}
		}
	}
	return filepath.Join(s.run.folder, filepath.FromSlash(name)), nil
}

// Write is that of the file of a copy. It goes straight to the system.
func (p *part) Write(b []byte) (int, error) {
	if err := p.set.ctx.Err(); err != nil {
		p.broken = true
		return 0, p.set.fail(p.final, err)
	}
	if p.closed {
		return 0, p.set.fail(p.final, fs.ErrClosed)
	}
	n, err := p.file.Write(b)
	if err == nil {
		p.bytes += int64(n)
		_, _ = p.sum.Write(b) // a hash; cannot fail
		p.ahead += n
		err = p.syncAhead()
	}
	if err != nil {
		p.broken = true
		return n, p.set.fail(p.final, err)
	}
	return n, nil
}

// syncEvery is how much is written before the system is asked to bring it to the disk while
// the next of it is computed. Without that the last sync has all of it to do, and the
// processor idles meanwhile.
const syncEvery = 8 << 20

// syncAhead begins a sync when enough has gathered and none is under way. It never waits.
func (p *part) syncAhead() error {
	if p.syncing != nil {
		select {
		case err := <-p.syncing:
			p.syncing = nil
			if err != nil {
				return err
			}
		default:
			return nil
		}
	}
	if p.ahead < syncEvery {
		return nil
	}
	p.ahead = 0
	done := make(chan error, 1)
	p.syncing = done
	go func(f file) { done <- f.Sync() }(p.file)
	return nil
}

// settled waits for the sync under way.
func (p *part) settled() error {
	if p.syncing == nil {
		return nil
	}
	err := <-p.syncing
	p.syncing = nil
	return err
}

// Close ends the file, and has it brought to the disk while others are written; settle waits for
// that. Its name comes later. Closing once more is harmless.
func (p *part) Close() error {
	if p.closed {
		return fs.ErrClosed
	}
	p.closed = true
	if p.broken || p.set.ctx.Err() != nil {
		return nil // it will be thrown away
	}
	before, f, done := p.syncing, p.file, make(chan error, 1)
	p.syncing = done
	go func() {
		var err error
		if before != nil {
			err = <-before
		}
		if err == nil {
			err = f.Sync()
		}
		done <- err
	}()
	return nil
}

// settle waits until all files of the set are on the disk, and closes them.
func (s *set) settle() error {
	for _, p := range s.files {
		if !p.closed {
			return &Error{Code: Failed, Path: p.final, Err: errUnclosed}
		}
		if p.file == nil {
			continue
		}
		err := p.settled()
		if closed := p.file.Close(); err == nil {
			err = closed
		}
		p.file = nil
		if err != nil {
			return trouble(p.final, err)
		}
	}
	return nil
}

// Carry is that of Sink.
func (s *set) Carry(name, source string) error {
	s.run.finish(0) // as in Create
	final, err := s.target(name)
	if err == nil {
		err = s.carry(name, final, source)
	}
	if err != nil {
		return s.fail(name, err)
	}
	return nil
}

func (s *set) carry(name, final, source string) error {
	info, err := s.inside(source)
	if err != nil {
		return err
	}
	for _, p := range s.files {
		if fold(p.final) == fold(final) {
			if p.carried != "" && filepath.Clean(p.carried) == filepath.Clean(source) {
				return nil
			}
			return &Error{Code: Clash, Path: final}
		}
	}
	if there, err := s.run.disk.Stat(final); err == nil {
		if os.SameFile(there, info) {
			return nil
		}
		same, err := s.run.sameContent(final, there, source, info)
		if err != nil {
			return err
		}
		if same {
			w, err := digestOf(s.run.disk, final)
			if err != nil {
				return trouble(final, err)
			}
			s.left = append(s.left, w)
			return nil
		}
	}
	exists, err := s.run.admit(final)
	if err != nil {
		return err
	}
	if exists && !s.run.overwrite && !s.run.journal.leftover(final) {
		return &Error{Code: Companion, Path: final}
	}
	in, err := s.run.disk.Open(source)
	if err != nil {
		return trouble(source, err)
	}
	defer in.Close()
	p, err := s.start(name, final)
	if err != nil {
		return err
	}
	p.carried = source
	_, err = io.CopyBuffer(p, struct{ io.Reader }{in}, make([]byte, 1<<20))
	if closed := p.Close(); err == nil {
		err = closed
	}
	return err
}

// inside proves that a companion is a regular file in its source's folder or below it,
// links resolved.
func (s *set) inside(source string) (fs.FileInfo, error) {
	folder, err := filepath.EvalSymlinks(s.origin)
	if err != nil {
		return nil, trouble(s.origin, err)
	}
	resolved, err := filepath.EvalSymlinks(source)
	if err != nil {
		return nil, &Error{Code: Companion, Path: source, Err: err}
	}
	folder, err = filepath.Abs(folder)
	if err == nil {
		resolved, err = filepath.Abs(resolved)
	}
	if err != nil {
		return nil, trouble(source, err)
	}
	if relative, err := filepath.Rel(folder, resolved); err != nil || !filepath.IsLocal(relative) {
		return nil, &Error{Code: Outside, Path: source}
	}
	info, err := s.run.disk.Stat(resolved)
	if err == nil && !info.Mode().IsRegular() {
		err = errNotAFile
	}
	if err != nil {
		return nil, &Error{Code: Companion, Path: source, Err: err}
	}
	return info, nil
}

// sameContent compares two files byte for byte.
func (r *run) sameContent(a string, aInfo fs.FileInfo, b string, bInfo fs.FileInfo) (bool, error) {
	if !aInfo.Mode().IsRegular() || aInfo.Size() != bInfo.Size() {
		return false, nil
	}
	fa, err := r.disk.Open(a)
	if err != nil {
		return false, trouble(a, err)
	}
	defer fa.Close()
	fb, err := r.disk.Open(b)
	if err != nil {
		return false, trouble(b, err)
	}
	defer fb.Close()
	bufA, bufB := make([]byte, 256<<10), make([]byte, 256<<10)
	for {
		na, errA := io.ReadFull(fa, bufA)
		nb, errB := io.ReadFull(fb, bufB)
		if !bytes.Equal(bufA[:na], bufB[:nb]) {
			return false, nil
		}
		endA := errA == io.EOF || errA == io.ErrUnexpectedEOF
		endB := errB == io.EOF || errB == io.ErrUnexpectedEOF
		switch {
		case errA != nil && !endA:
			return false, trouble(a, errA)
		case errB != nil && !endB:
			return false, trouble(b, errB)
		case endA || endB:
			return endA && endB, nil
		}
	}
}

// place gives the settled files their names: the side files first, the main file, which
// points to them, last. On an error everything is to be discarded, except that a file which
// was replaced stays replaced. The folders that have new names are added to those given, to be
// synced.
func (s *set) place(folders map[string]bool) error {
	var main *part
	ordered := make([]*part, 0, len(s.files))
	for _, p := range s.files {
		if p.name == s.main {
			main = p
			continue
		}
		ordered = append(ordered, p)
	}
	if main == nil {
		return &Error{Code: Failed, Path: s.path(s.main), Err: errNoMain}
	}
	for _, p := range append(ordered, main) {
		if err := p.place(); err != nil {
			return trouble(p.final, err)
		}
		folders[filepath.Dir(p.final)] = true
		s.run.written[fold(p.final)] = true
	}
	return nil
}

func (p *part) place() error {
	r := p.set.run
	exists, err := r.admit(p.final)
	if err != nil {
		return err
	}
	if exists && (r.overwrite || r.journal.leftover(p.final)) {
		err = r.disk.Rename(p.temp, p.final)
	} else {
		err = placeNew(r.disk, p.temp, p.final)
		p.fresh = err == nil
		if errors.Is(err, fs.ErrExist) && p.carried != "" {
			return &Error{Code: Companion, Path: p.final}
		}
	}
	p.placed = err == nil
	return err
}

// discard removes all that a failed copy has left.
func (s *set) discard() {
	d := s.run.disk
	for i := len(s.files) - 1; i >= 0; i-- {
		p := s.files[i]
		if p.file != nil {
			p.settled() // its answer no longer matters
			p.file.Close()
			p.file = nil
		}
		if !p.placed {
			d.Remove(p.temp)
		} else if p.fresh {
			d.Remove(p.final)
			delete(s.run.written, fold(p.final))
		}
	}
	removeFolders(d, s.folders)
}

// paths are the files that were written, the main file last.
func (s *set) paths() []string {
	var out []string
	for _, p := range s.files {
		if p.name != s.main {
			out = append(out, p.final)
		}
	}
	return append(out, s.path(s.main))
}

// path is the full path of a file of the set.
func (s *set) path(name string) string {
	return filepath.Join(s.run.folder, filepath.FromSlash(path.Join(s.under, name)))
}

// isIn reports whether a file of the set lies in a folder.
func (s *set) isIn(folder string) bool {
	return slices.ContainsFunc(s.files, func(p *part) bool { return filepath.Dir(p.final) == folder })
}

// record is what all files of the copy are, those that lay there already among them.
func (s *set) record() []Written {
	out := slices.Clone(s.left)
	var main Written
	for _, p := range s.files {
		w := Written{p.final, p.bytes, digestText(p.sum.Sum64())}
		if p.name == s.main {
			main = w
			continue
		}
		out = append(out, w)
	}
	return append(out, main)
}
