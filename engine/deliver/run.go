package deliver

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
)

// A run is what all copies of one Run share.
type run struct {
	disk      disk
	folder    string // absolute
	overwrite bool
	guarded   []fs.FileInfo   // sources and their companions: never a target
	written   map[string]bool // finished files of this run, folded: never replaced by a later one
	journal   *journal
	pending   []*pending // written, on their way to the disk
	checks    *checks    // nil: copies are not verified
}

// A pending is a copy that is written and has no name yet.
type pending struct {
	ctx   context.Context
	set   *set
	out   *Outcome
	would Record // known where the copy is to be recorded
	err   error
}

// ahead is how many copies may be on their way to the disk while others are written. Small files
// take longer to get there than to make, and several together hardly longer than one.
const ahead = 8

// companied is what a source can have beside Source: the names of the side files that it
// needs, slash-separated, relative to it. They are guarded like the source itself.
type companied interface{ Companions() []string }

// several is what a source made of several files can have beside Source: where they all lie.
type several interface{ Sources() []string }

func newRun(d disk, copies []Copy, folder string, overwrite bool) *run {
	r := &run{disk: d, folder: folder, overwrite: overwrite, written: map[string]bool{}, journal: readJournal(d, folder)}
	for _, c := range copies {
		source := c.Source.Path()
		r.guard(source)
		if s, ok := c.Source.(several); ok {
			for _, path := range s.Sources() {
				r.guard(path)
			}
		}
		if s, ok := c.Source.(companied); ok {
			for _, name := range s.Companions() {
				r.guard(filepath.Join(filepath.Dir(source), filepath.FromSlash(name)))
			}
		}
	}
	return r
}

func (r *run) guard(path string) {
	if info, err := r.disk.Stat(path); err == nil {
		r.guarded = append(r.guarded, info)
	}
}

// admit says whether something has that name already, and refuses what may never be
// replaced: a source under any spelling, what is no file, and what this run has written.
func (r *run) admit(path string) (exists bool, err error) {
	there, err := r.disk.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, trouble(path, err)
	}
	if target, err := r.disk.Stat(path); err == nil {
		for _, g := range r.guarded {
			if os.SameFile(target, g) {
				return true, &Error{Code: IsSource, Path: path}
			}
		}
	}
	if r.written[fold(path)] {
		return true, &Error{Code: Clash, Path: path}
	}
	if !there.Mode().IsRegular() && there.Mode()&fs.ModeSymlink == 0 {
		return true, &Error{Code: Exists, Path: path, Err: errNotAFile}
	}
	return true, nil
}

// A Planned is what saving one copy would meet.
type Planned struct {
	Path   string
	Exists bool // something lies there
	// Unchanged: it is the copy as it would be saved, and will be left alone.
	Unchanged bool
	// Long is how many characters its path has, in UTF-16 units, where those are more than many
	// programs of Windows can open: on that system the whole path, on others what lies below the
	// folder of the run, which could be put nowhere there. 0 where it is not too long.
	Long int
	Err  error // why it cannot be saved, an *Error; nil for a file that could be replaced
}

// Plan says for each copy where it would lie and what stands in its way, without writing
// anything. That a file exists is not an error here: whether it may be replaced is an
// option of the run. Side files are known only when the copy is written.
func Plan(copies []Copy, folder string) []Planned { return plan(systemDisk{}, copies, folder) }

func plan(d disk, copies []Copy, folder string) []Planned {
	out := make([]Planned, len(copies))
	full, err := absolute(folder)
	if err != nil {
		for i := range out {
			out[i].Err = err
		}
		return out
	}
	r := newRun(d, copies, full, true)
	first := map[string]int{}
	for i, c := range copies {
		out[i].Path = r.final(&c)
		if !c.safe() {
			out[i].Err = &Error{Code: BadName, Path: c.under()}
			continue
		}
		out[i].Long = long(runtime.GOOS, out[i].Path, c.under())
		out[i].Exists, out[i].Err = r.admit(out[i].Path)
		if out[i].Exists && out[i].Err == nil {
			if would, known := recordOf(d, &c); known {
				_, out[i].Unchanged = r.unchanged(&c, would)
			}
			out[i].Exists = out[i].Unchanged || !r.journal.leftover(out[i].Path)
		}
		if j, taken := first[fold(c.under())]; taken {
			clash := &Error{Code: Clash, Path: out[i].Path}
			out[i].Err, out[j].Err = clash, clash
		} else {
			first[fold(c.under())] = i
		}
	}
	return out
}

// under is the copy's name below the folder of the run, slash-separated.
func (c *Copy) under() string { return path.Join(c.Folder, c.Name) }

// safe reports whether its name and those of its folders are as SafeName makes them.
func (c *Copy) safe() bool {
	if c.Folder == "" {
		return safe(c.Name)
	}
	for _, element := range strings.Split(c.Folder, "/") {
		if SafeName(element, "") != element {
			return false
		}
	}
	return safe(c.Name)
}

// final is the full path of a copy.
func (r *run) final(c *Copy) string { return filepath.Join(r.folder, filepath.FromSlash(c.under())) }

func absolute(folder string) (string, error) {
	if folder == "" {
		return "", &Error{Code: NoFolder, Path: folder}
	}
	full, err := filepath.Abs(folder)
	if err != nil {
		return "", trouble(folder, err)
	}
	return full, nil
}

// Run saves the copies, one after another, but for those that lie there as they would be saved.
// What an interrupted run has left in the folder is cleared away first, and what that one had
// saved already is known and stays. A copy that fails does not stop the others;
// a cancelled ctx does, and leaves no half-written file. The outcomes are in the order of
// the copies. The error is non-nil only when nothing could be begun (no folder, two copies
// of one name, ctx).
//
// The error of an outcome is an *Error, ctx's, or what the source itself reported.
func Run(ctx context.Context, copies []Copy, o Options, report func(Progress)) ([]Outcome, error) {
	return runOn(systemDisk{}, ctx, copies, o, report)
}

func runOn(d disk, ctx context.Context, copies []Copy, o Options, report func(Progress)) ([]Outcome, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	folder, err := absolute(o.Folder)
	if err != nil {
		return nil, err
	}
	names := map[string]bool{}
	for _, c := range copies {
		if names[fold(c.under())] {
			return nil, &Error{Code: Clash, Path: filepath.Join(folder, filepath.FromSlash(c.under()))}
		}
		names[fold(c.under())] = true
	}
	made, err := makeFolders(d, folder)
	if err != nil {
		return nil, err
	}
	swept := map[string]bool{}
	for _, c := range copies {
		if at := filepath.Join(folder, filepath.FromSlash(c.Folder)); !swept[at] && c.safe() {
			sweep(d, at)
			swept[at] = true
		}
	}
	r := newRun(d, copies, folder, o.Overwrite)
	r.journal.kept = r.journal.kept || o.Keep
	if o.Verify != nil {
		r.checks = startChecks(d, o.Verify, len(copies))
	}
	m := newMeter(d, copies, report)
	out := make([]Outcome, len(copies))
	for i, c := range copies {
		m.begin(i)
		r.one(ctx, c, &out[i], m.share)
		m.end()
	}
	r.finish(0)
	for _, p := range r.checks.wait() {
		if !p.out.Verified && ctx.Err() == nil { // it is to be saved again, not left alone
			r.journal.withdraw(p.out.Path)
			p.out.Record = Record{}
		}
	}
	saved, whole := false, true
	for i := range out {
		saved = saved || out[i].Path != ""
		whole = whole && out[i].Path != ""
	}
	_ = r.journal.end(whole) // without it the copies are as good
	if !saved {
		removeFolders(d, made)
	}
	return out, nil
}

// one writes one copy, which finish then gives its name. Whatever its source does, it returns.
func (r *run) one(ctx context.Context, c Copy, out *Outcome, report func(float64)) {
	out.Copy = c
	if err := ctx.Err(); err != nil {
		out.Err = err
		return
	}
	if !c.safe() {
		out.Err = &Error{Code: BadName, Path: c.under()}
		return
	}
	if !(c.Factor > 0 && c.Factor < math.Inf(1) && c.PerUnit > 0 && c.PerUnit < math.Inf(1)) {
		out.Err = &Error{Code: Failed, Path: c.Source.Path(), Err: errFactor}
		return
	}
	if !c.change().Pose.Sound() {
		out.Err = &Error{Code: Failed, Path: c.Source.Path(), Err: errPose}
		return
	}
	would, known := recordOf(r.disk, &c)
	if known {
		if was, ok := r.unchanged(&c, would); ok {
			out.Path, out.Unchanged, out.Record = r.final(&c), true, was
			r.written[fold(out.Path)] = true
			return
		}
	}
	s := &set{run: r, ctx: ctx, main: c.Name, under: c.Folder, origin: filepath.Dir(c.Source.Path())}
	change := c.change()
	change.Proved = r.checks != nil
	err := guardPanic(c.Source.Path(), func() error {
		return c.Source.Rescale(ctx, s, c.Name, change, report)
	})
	// What the sink met says more than what the source made of it; a cancelled run is
	// that, whatever else broke on the way.
	if s.failed != nil {
		err = s.failed
	}
	if ctx.Err() != nil {
		err = ctx.Err()
	}
	if err != nil {
		s.discard()
		out.Err = err
		return
	}
	r.pending = append(r.pending, &pending{ctx: ctx, set: s, out: out, would: would})
	if len(r.pending) == ahead {
		r.finish(ahead / 2)
	}
}

// finish gives the copies that are written their names once they are on the disk, all but the
// latest few, and has them read back. A cancelled run keeps what was complete.
func (r *run) finish(but int) {
	n := max(0, len(r.pending)-but)
	group := r.pending[:n:n]
	r.pending = r.pending[n:]
	folders := map[string]bool{}
	for _, p := range group {
		p.err = p.set.settle()
		if p.err == nil && p.would.Source != "" {
			p.would.Files = p.set.record()
			r.journal.add(p.would)
		}
		if p.err == nil {
			p.err = p.set.place(folders)
		}
	}
	for folder := range folders {
		if err := syncFolder(r.disk, folder); err != nil {
			for _, p := range group {
				if p.err == nil && p.set.isIn(folder) {
					p.err = trouble(folder, err)
				}
			}
		}
	}
	for _, p := range group {
		out := p.out
		if p.err != nil {
			p.set.discard()
			out.Err = p.err
			continue
		}
		out.Record, out.Files, out.Path = p.would, p.set.paths(), r.final(&out.Copy)
		r.checks.add(p)
	}
}

// A Panic is a panic of a source, caught.
type Panic struct {
	Value any
	Stack []byte
}

func (p *Panic) Error() string { return fmt.Sprint("panic: ", p.Value) }

func guardPanic(path string, f func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = &Error{Code: Failed, Path: path, Err: &Panic{v, debug.Stack()}}
		}
	}()
	return f()
}

// A meter turns the progress of single copies into that of the run. A copy weighs as much
// as its source file is long.
type meter struct {
	report func(Progress)
	sizes  []int64
	now    Progress
	base   int64
}

func newMeter(d disk, copies []Copy, report func(Progress)) *meter {
	m := &meter{report: report, sizes: make([]int64, len(copies)), now: Progress{Copies: len(copies)}}
	if report == nil {
		m.report = func(Progress) {}
	}
	for i, c := range copies {
		m.sizes[i] = 1
		if info, err := d.Stat(c.Source.Path()); err == nil {
			m.sizes[i] = max(1, info.Size())
		}
		m.now.All += m.sizes[i]
	}
	return m
}

func (m *meter) begin(i int) {
	m.now.Copy = i
	m.report(m.now)
}

// share is told how much of the present copy is done, from 0 to 1.
func (m *meter) share(f float64) {
	if f >= 0 && f <= 1 {
		m.now.Done = max(m.now.Done, m.base+int64(f*float64(m.sizes[m.now.Copy])))
		m.report(m.now)
	}
}

func (m *meter) end() {
	m.base += m.sizes[m.now.Copy]
	m.now.Done = m.base
	m.now.CopiesDone++
	m.report(m.now)
}
