package deliver

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
)

// A known is a model with a digest, of which copies are recorded.
type known struct {
	*model
	digest string
	as     string
}

func (k known) Digest() string    { return k.digest }
func (k known) WrittenAs() string { return k.as }

func newKnown(t *testing.T, path string, edges ...float64) known {
	return known{newModel(t, path, edges...), "xxh64:" + filepath.Base(path), ""}
}

func (k known) copy(name string, f float64) Copy {
	return Copy{Source: k, Name: name, Factor: f, PerUnit: 1}
}

// times are the times of change of the files in a folder.
func times(t *testing.T, folder string) map[string]time.Time {
	out := map[string]time.Time{}
	for name := range listing(t, folder) {
		info, err := os.Lstat(filepath.Join(folder, name))
		require.NoError(t, err)
		out[name] = info.ModTime()
	}
	return out
}

// Only what changed is saved, by the records that the kit keeps.
func TestOnlyWhatChanged(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	hull, mast := newKnown(t, filepath.Join(dir, "hull.cube"), 8), newKnown(t, filepath.Join(dir, "mast.cube"), 3)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "wood.png"), []byte("wood"), 0o666))
	hull.companions = []string{"wood.png"}
	copies := []Copy{hull.copy("hull.cube", 2), mast.copy("mast.cube", 2)}
	copies[0].Folder, copies[1].Folder = "deck", "deck"
	o := Options{Folder: out, Verify: openModel}
	first, err := Run(t.Context(), copies, o, nil)
	require.NoError(t, err)
	for i, got := range first {
		require.NoError(t, got.Err)
		require.True(t, got.Record.Known())
		require.Equal(t, got.Path, got.Record.Files[len(got.Record.Files)-1].Path)
		copies[i].Known = got.Record
	}
	require.Len(t, first[0].Record.Files, 2, "the side file counts")
	require.Equal(t, filepath.Join(out, "deck", "hull.cube"), first[0].Path)
	before := times(t, out)
	require.NotContains(t, before, JournalName, "a run that came to its end leaves no list, unless it is asked for")

	for _, p := range Plan(copies, out) {
		require.True(t, p.Unchanged && p.Exists && p.Err == nil)
	}
	again, err := Run(t.Context(), copies, o, nil)
	require.NoError(t, err)
	for i, got := range again {
		require.NoError(t, got.Err)
		require.True(t, got.Unchanged)
		require.Equal(t, first[i].Path, got.Path)
		require.Equal(t, first[i].Record, got.Record)
		require.Empty(t, got.Files)
	}
	require.Equal(t, before, times(t, out))

	for name, change := range map[string]func(c *Copy){
		"another factor":     func(c *Copy) { c.Factor = 3 },
		"a pose":             func(c *Copy) { c.Pose = geom.Upright(geom.Y) },
		"a shift":            func(c *Copy) { c.Pose = geom.Upright(geom.Z); c.Pose.Shift[1] = 1e-9 },
		"a correction":       func(c *Copy) { c.Correction = geom.Vec{1.01, 1.01, 1.02} },
		"another tag":        func(c *Copy) { c.Tag = "Scantling x2" },
		"another unit":       func(c *Copy) { c.PerUnit = 1000 },
		"another source":     func(c *Copy) { c.Source = known{hull.model, "xxh64:other", ""} },
		"another format":     func(c *Copy) { c.Source = known{hull.model, hull.digest, "text"} },
		"another folder":     func(c *Copy) { c.Folder = "" },
		"another name":       func(c *Copy) { c.Name = "Hull.cube" },
		"without any record": func(c *Copy) { c.Known = Record{} },
	} {
		other := copies[0]
		change(&other)
		require.False(t, Plan([]Copy{other}, out)[0].Unchanged, name)
	}
	// What lies there was touched, or its side files on either side were.
	for _, path := range []string{filepath.Join(out, "deck", "hull.cube"), filepath.Join(out, "deck", "wood.png"), filepath.Join(dir, "wood.png")} {
		was, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, append(was[:len(was)-1:len(was)-1], 'x'), 0o666))
		require.False(t, Plan(copies, out)[0].Unchanged, path)
		require.NoError(t, os.WriteFile(path, was, 0o666))
	}
	require.NoError(t, os.Remove(filepath.Join(out, "deck", "wood.png")))
	require.False(t, Plan(copies, out)[0].Unchanged)
	got, err := Run(t.Context(), copies, Options{Folder: out, Overwrite: true}, nil)
	require.NoError(t, err)
	require.False(t, got[0].Unchanged)
	require.True(t, got[1].Unchanged)
	require.FileExists(t, filepath.Join(out, "deck", "wood.png"))
}

// A run that asks for it leaves a list beside the copies, by which a later one knows them.
func TestListBesideCopies(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	hull, mast := newKnown(t, filepath.Join(dir, "hull.cube"), 8), newKnown(t, filepath.Join(dir, "mast.cube"), 3)
	copies := []Copy{hull.copy("hull.cube", 2), mast.copy("mast.cube", 2)}
	run := func(o Options, copies ...Copy) []Outcome {
		o.Folder = out
		got, err := Run(t.Context(), copies, o, nil)
		require.NoError(t, err)
		return got
	}
	run(Options{Keep: true}, copies...)
	list := filepath.Join(out, JournalName)
	text, err := os.ReadFile(list)
	require.NoError(t, err)
	require.Equal(t, 3, strings.Count(string(text), "\n"), "%s", text)
	require.NotContains(t, string(text), dir, "the folder may be moved")
	moved := out + "-moved"
	require.NoError(t, os.Rename(out, moved))
	out = moved
	for _, got := range run(Options{}, copies...) {
		require.True(t, got.Unchanged)
	}
	again, err := os.ReadFile(filepath.Join(moved, JournalName))
	require.NoError(t, err, "it stays")
	require.Equal(t, string(text), string(again))

	// Another factor, over the old copies; then one copy is gone: the list follows.
	copies[0].Factor = 3
	wantCode(t, run(Options{}, copies...)[0].Err, Exists)
	got := run(Options{Overwrite: true}, copies...)
	require.False(t, got[0].Unchanged)
	require.True(t, got[1].Unchanged)
	require.NoError(t, os.Remove(filepath.Join(out, "mast.cube")))
	require.True(t, run(Options{}, copies[0])[0].Unchanged)
	text, err = os.ReadFile(filepath.Join(out, JournalName))
	require.NoError(t, err)
	require.Equal(t, 2, strings.Count(string(text), "\n"), "%s", text)

	// What cannot be understood is as good as nothing, and nobody's else is touched.
	for _, bad := range []string{"x", `{"scantling-copies":2}` + "\n", `{"scantling-copies":1}` + "\n" + `{"files":[{"name":"../hull.cube"}]}` + "\n{"} {
		require.NoError(t, os.WriteFile(filepath.Join(out, JournalName), []byte(bad), 0o666))
		require.False(t, Plan(copies, out)[0].Unchanged)
		wantCode(t, run(Options{}, copies[0])[0].Err, Exists)
		text, err = os.ReadFile(filepath.Join(out, JournalName))
		require.NoError(t, err)
		require.Equal(t, bad, string(text))
	}
}

// A copy that is not what it should be is no copy to be left alone.
func TestWrongCopyIsSavedAgain(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	hull, mast := newKnown(t, filepath.Join(dir, "hull.cube"), 8), newKnown(t, filepath.Join(dir, "mast.cube"), 3)
	wrong := mast
	wrong.model = &model{path: mast.path, edges: mast.edges}
	wrong.write = func(_ context.Context, to Sink, name string, f float64) error {
		w, err := to.Create(name)
		if err != nil {
			return err
		}
		_, err = w.Write(encode(mast.edges, 2*f))
		return errors.Join(err, w.Close())
	}
	got, err := Run(t.Context(), []Copy{hull.copy("hull.cube", 2), wrong.copy("mast.cube", 2)}, Options{Folder: out, Verify: openModel, Keep: true}, nil)
	require.NoError(t, err)
	wantCode(t, got[1].Err, Verify)
	require.False(t, got[1].Record.Known())
	require.FileExists(t, got[1].Path)
	for _, p := range Plan([]Copy{mast.copy("mast.cube", 2)}, out) {
		require.False(t, p.Unchanged)
	}
	got, err = Run(t.Context(), []Copy{hull.copy("hull.cube", 2), mast.copy("mast.cube", 2)}, Options{Folder: out, Verify: openModel, Overwrite: true}, nil)
	require.NoError(t, err)
	require.True(t, got[0].Unchanged)
	require.True(t, got[1].Verified)
}

// A run that was stopped in the middle goes on where it was: what is whole stays, what it left of
// the rest is taken over.
func TestGoesOn(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	hull, mast := newKnown(t, filepath.Join(dir, "hull.cube"), 8), newKnown(t, filepath.Join(dir, "mast.cube"), 3)
	twoFiles := func(ctx context.Context, to Sink, name string, f float64) error {
		for _, n := range []string{"mast.bin", name} {
			w, err := to.Create(n)
			if err != nil {
				return err
			}
			_, err = w.Write(encode(mast.edges, f))
			if err := errors.Join(err, w.Close()); err != nil {
				return err
			}
		}
		return nil
	}
	mast.write = twoFiles
	copies := []Copy{hull.copy("hull.cube", 2), mast.copy("mast.cube", 2)}
	// The disk dies between the side file and the main file of the second, and for good: nothing
	// can be taken back.
	d := &dyingDisk{names: 2}
	_, err := runOn(d, t.Context(), copies, Options{Folder: out}, nil)
	require.NoError(t, err)
	left := listing(t, out)
	require.Contains(t, left, "hull.cube")
	require.Contains(t, left, "mast.bin")
	require.NotContains(t, left, "mast.cube")
	require.Contains(t, left, JournalName)

	plan := Plan(copies, out)
	require.True(t, plan[0].Unchanged)
	require.False(t, plan[1].Exists)
	// Temporaries of this process may be another run's, so they are made those of one that is gone.
	entries, err := os.ReadDir(out)
	require.NoError(t, err)
	for _, e := range entries {
		if pid, ours := owner(e.Name()); ours && pid == os.Getpid() {
			require.NoError(t, os.Rename(filepath.Join(out, e.Name()), filepath.Join(out, deadName(t))))
		}
	}
	got, err := Run(t.Context(), copies, Options{Folder: out, Verify: openModel}, nil)
	require.NoError(t, err)
	require.True(t, got[0].Unchanged)
	require.NoError(t, got[1].Err)
	require.True(t, got[1].Verified)
	require.Equal(t, map[string]string{"hull.cube": string(encode(hull.edges, 2)), "mast.cube": string(encode(mast.edges, 2)), "mast.bin": string(encode(mast.edges, 2))},
		listing(t, out), "no temporary and no list is left")
}

// A list is of use wherever the process that wrote it was killed, even between two lines or in
// the middle of one: what is whole in it counts, what is added is not lost with the rest, and it is
// taken away at the end.
func TestListCutShort(t *testing.T) {
	dir := t.TempDir()
	hull, mast, bell := newKnown(t, filepath.Join(dir, "hull.cube"), 8), newKnown(t, filepath.Join(dir, "mast.cube"), 3), newKnown(t, filepath.Join(dir, "bell.cube"), 1)
	copies := []Copy{hull.copy("hull.cube", 2), mast.copy("mast.cube", 2), bell.copy("bell.cube", 2)}
	out := filepath.Join(dir, "out")
	_, err := Run(t.Context(), copies[:2], Options{Folder: out, Keep: true}, nil)
	require.NoError(t, err)
	text, err := os.ReadFile(filepath.Join(out, JournalName))
	require.NoError(t, err)
	lines := strings.SplitAfter(string(text), "\n")
	text = []byte(strings.Replace(lines[0], `,"keep":true`, "", 1) + lines[1] + lines[2])
	for cut := range len(text) + 1 {
		for _, tail := range []string{"", "\x00\x00\x00"} {
			saved := max(0, strings.Count(string(text[:cut]), "\n")-1)
			require.NoError(t, os.RemoveAll(out))
			require.NoError(t, os.Mkdir(out, 0o777))
			_, err := Run(t.Context(), copies[:saved], Options{Folder: out}, nil)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(out, JournalName), append(text[:cut:cut], tail...), 0o666))

			got, err := runOn(&dyingDisk{names: 2 - saved}, t.Context(), copies, Options{Folder: out}, nil)
			require.NoError(t, err)
			require.Error(t, got[2].Err, "the disk is dead by then")
			got, err = Run(t.Context(), copies, Options{Folder: out}, nil)
			require.NoError(t, err)
			for i, o := range got {
				require.NoError(t, o.Err, "cut at %d", cut)
				require.Equal(t, i < 2, o.Unchanged, "cut at %d: %s", cut, o.Path)
			}
			require.NoFileExists(t, filepath.Join(out, JournalName), "cut at %d", cut)
		}
	}
}

// A dyingDisk takes so many names and then nothing at all.
type dyingDisk struct {
	systemDisk
	names int
}

func (d *dyingDisk) RenameNew(from, to string) error {
	if d.names--; d.names < 0 {
		return syscall.EIO
	}
	return d.systemDisk.RenameNew(from, to)
}
func (d *dyingDisk) Link(_, _ string) error   { return syscall.EIO }
func (d *dyingDisk) Rename(_, _ string) error { return syscall.EIO }
func (d *dyingDisk) Create(path string) (file, error) {
	if d.names < 0 {
		return nil, syscall.EIO
	}
	return d.systemDisk.Create(path)
}
func (d *dyingDisk) Remove(path string) error {
	if d.names < 0 {
		return syscall.EIO
	}
	return d.systemDisk.Remove(path)
}

// deadName is the name of a temporary of a process that has ended.
func deadName(t *testing.T) string {
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	require.NoError(t, cmd.Run())
	name := temporaryName()
	fields := strings.Split(name, "-")
	return strings.Join([]string{fields[0], fields[1], hex(cmd.Process.Pid), fields[3]}, "-")
}

func hex(n int) string {
	const digits = "0123456789abcdef"
	s := ""
	for ; n > 0; n /= 16 {
		s = string(digits[n%16]) + s
	}
	return s
}

// Temporaries are cleared away when nobody can be writing them, and nothing else is.
func TestClean(t *testing.T) {
	dir := t.TempDir()
	put := func(name string, age time.Duration) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte("x"), 0o666))
		at := time.Now().Add(-age)
		require.NoError(t, os.Chtimes(path, at, at))
		return path
	}
	gone := []string{
		put(deadName(t), 0),
		put(temporaryName(), 2*stale), // ours, but nobody writes for so long
		put(temporary+"0123456789abcdef", 2*stale),
		put(temporary+"00000000-1-0123456789abcdef", 2*stale),
	}
	stay := []string{
		put(temporaryName(), 0),
		put(temporary+"0123456789abcde0", 0),
		put(temporary+"00000000-7fffffff-0123456789abcdef", 0), // another machine's
		put(temporary+"0123456789abcdeg", 2*stale),
		put("hull.stl", 2*stale),
		put(temporary+"x", 2*stale),
	}
	Clean(dir)
	for _, path := range gone {
		require.NoFileExists(t, path)
	}
	for _, path := range stay {
		require.FileExists(t, path)
	}
}
