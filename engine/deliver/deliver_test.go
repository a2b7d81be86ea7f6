package deliver

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A model is a source for tests: its file holds one float64 for each part, the length of a
// cube's edge.
type model struct {
	path       string
	edges      []float64
	companions []string
	write      func(ctx context.Context, to Sink, name string, f float64) error // instead of the plain copy
}

func newModel(t *testing.T, path string, edges ...float64) *model {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.WriteFile(path, encode(edges, 1), 0o666))
	return &model{path: path, edges: edges}
}

func encode(edges []float64, f float64) []byte {
	var b []byte
	for _, e := range edges {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(e*f))
	}
	return b
}

func openModel(_ context.Context, path string) (Back, error) {
	b, err := os.ReadFile(path)
	m := &model{path: path}
	for ; len(b) >= 8; b = b[8:] {
		m.edges = append(m.edges, math.Float64frombits(binary.LittleEndian.Uint64(b)))
	}
	return m, err
}

func (m *model) Path() string         { return m.path }
func (m *model) Extension() string    { return ".cube" }
func (m *model) Companions() []string { return m.companions }

func (m *model) Parts() []mesh.Part {
	var out []mesh.Part
	for i, e := range m.edges {
		out = append(out, mesh.Part{Name: fmt.Sprint("cube ", i), Measures: mesh.Measures{
			Triangles: 12, Box: geom.Box{Max: geom.Vec{e, e, e}}}})
	}
	return out
}

func (m *model) Rescale(ctx context.Context, to Sink, name string, change Change, report func(float64)) error {
	f := change.Factor
	for _, c := range m.companions {
		if err := to.Carry(c, filepath.Join(filepath.Dir(m.path), filepath.FromSlash(c))); err != nil {
			return err
		}
	}
	if m.write != nil {
		return m.write(ctx, to, name, f)
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	defer w.Close()
	report(0.5)
	if _, err := w.Write(encode(m.edges, f)); err != nil {
		return err
	}
	report(1)
	return w.Close()
}

func (m *model) copy(name string, f float64) Copy {
	return Copy{Source: m, Name: name, Factor: f, PerUnit: 1}
}

// listing is every file below a folder with its content, slash-separated.
func listing(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(folder, path)
		if e.IsDir() {
			if name != "." {
				out[filepath.ToSlash(name)+"/"] = ""
			}
			return nil
		}
		if e.Type()&fs.ModeSymlink != 0 {
			out[filepath.ToSlash(name)], err = os.Readlink(path)
			return err
		}
		b, err := os.ReadFile(path)
		out[filepath.ToSlash(name)] = string(b)
		return err
	}))
	return out
}

// linked makes a symbolic link and reports whether it is there: on Windows that needs rights of
// its own, or a setting for developers.
func linked(t *testing.T, target, link string) bool {
	t.Helper()
	err := os.Symlink(target, link)
	info, missing := os.Lstat(link)
	if missing != nil || info.Mode()&fs.ModeSymlink == 0 {
		require.Equal(t, "windows", runtime.GOOS, "%v", err)
		os.Remove(link)
		return false
	}
	return true
}

func wantCode(t *testing.T, err error, code Code) {
	t.Helper()
	var e *Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, code, e.Code, "%v", err)
}

func TestRunSavesAndVerifies(t *testing.T) {
	dir := t.TempDir()
	hull := newModel(t, filepath.Join(dir, "in", "hull.cube"), 100, 30)
	mast := newModel(t, filepath.Join(dir, "in", "mast.cube"), 12.5)
	out := filepath.Join(dir, "out", "deep")
	var progress []Progress
	got, err := Run(t.Context(), []Copy{hull.copy("hull.cube", 0.25), mast.copy("mast-1-48.cube", 0.25)},
		Options{Folder: out, Verify: openModel}, func(p Progress) { progress = append(progress, p) })
	require.NoError(t, err)
	require.Len(t, got, 2)
	for _, o := range got {
		require.NoError(t, o.Err)
		require.True(t, o.Verified)
		require.Equal(t, []string{o.Path}, o.Files)
	}
	require.Equal(t, filepath.Join(out, "hull.cube"), got[0].Path)
	require.Equal(t, map[string]string{
		"hull.cube":      string(encode([]float64{25, 7.5}, 1)),
		"mast-1-48.cube": string(encode([]float64{3.125}, 1)),
	}, listing(t, out))
	last := progress[len(progress)-1]
	require.Equal(t, Progress{Copy: 1, Copies: 2, Done: 24, All: 24, CopiesDone: 2}, last)
	require.Contains(t, progress, Progress{Copy: 0, Copies: 2, Done: 8, All: 24})
	for i := 1; i < len(progress); i++ {
		require.GreaterOrEqual(t, progress[i].Done, progress[i-1].Done)
	}
}

func TestExistingFilesStay(t *testing.T) {
	for _, kind := range []string{"file", "link", "dangling link", "folder"} {
		t.Run(kind, func(t *testing.T) {
			dir := t.TempDir()
			hull := newModel(t, filepath.Join(dir, "in", "hull.cube"), 8)
			mast := newModel(t, filepath.Join(dir, "in", "mast.cube"), 4)
			out := filepath.Join(dir, "out")
			target := filepath.Join(out, "hull.cube")
			other := filepath.Join(dir, "other")
			require.NoError(t, os.Mkdir(out, 0o777))
			require.NoError(t, os.WriteFile(other, []byte("other"), 0o666))
			switch kind {
			case "file":
				require.NoError(t, os.WriteFile(target, []byte("before"), 0o666))
			case "link":
				if !linked(t, other, target) {
					t.Skip("this user may make no links")
				}
			case "dangling link":
				if !linked(t, filepath.Join(dir, "nothing"), target) {
					t.Skip("this user may make no links")
				}
			case "folder":
				require.NoError(t, os.Mkdir(target, 0o777))
			}
			before, err := os.Lstat(target)
			require.NoError(t, err)
			copies := []Copy{hull.copy("hull.cube", 2), mast.copy("mast.cube", 2)}

			got, err := Run(t.Context(), copies, Options{Folder: out}, nil)
			require.NoError(t, err)
			wantCode(t, got[0].Err, Exists)
			require.Empty(t, got[0].Path)
			require.NoError(t, got[1].Err, "one that fails does not stop the others")
			after, err := os.Lstat(target)
			require.NoError(t, err)
			require.True(t, os.SameFile(before, after))

			got, err = Run(t.Context(), copies[:1], Options{Folder: out, Overwrite: true}, nil)
			require.NoError(t, err)
			if kind == "folder" {
				wantCode(t, got[0].Err, Exists)
				return
			}
			require.NoError(t, got[0].Err)
			b, err := os.ReadFile(target)
			require.NoError(t, err)
			require.Equal(t, encode([]float64{16}, 1), b)
			b, err = os.ReadFile(other)
			require.NoError(t, err)
			require.Equal(t, "other", string(b), "a link is replaced, not what it points to")
			entries, _ := os.ReadDir(out)
			require.Len(t, entries, 2)
		})
	}
}

func TestSourcesAreNeverReplaced(t *testing.T) {
	dir := t.TempDir()
	hull := newModel(t, filepath.Join(dir, "hull.cube"), 8)
	mast := newModel(t, filepath.Join(dir, "mast.cube"), 4)
	mast.companions = []string{"wood.png"}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "wood.png"), []byte("wood"), 0o666))
	out := filepath.Join(dir, "out")
	require.NoError(t, os.Mkdir(out, 0o777))
	links := linked(t, filepath.Join(dir, "mast.cube"), filepath.Join(out, "link.cube"))
	require.NoError(t, os.Link(filepath.Join(dir, "hull.cube"), filepath.Join(out, "hard.cube")))
	links = linked(t, dir, filepath.Join(out, "up")) && links
	before := listing(t, dir)

	for _, c := range []struct {
		folder, name string
		linked       bool
	}{
		{dir, "hull.cube", false},                      // itself
		{filepath.Join(out, ".."), "hull.cube", false}, // by another path
		{filepath.Join(out, "up"), "hull.cube", true},  // through a linked folder
		{out, "link.cube", true},                       // a link to another source
		{out, "hard.cube", false},                      // the same file under a second name
		{dir, "mast.cube", false},                      // another source of the run
		{dir, "wood.png", false},                       // a companion of one
	} {
		if c.linked && !links {
			continue
		}
		copies := []Copy{hull.copy(c.name, 2), mast.copy("new.cube", 2)}
		plan := Plan(copies, c.folder)
		require.True(t, plan[0].Exists)
		wantCode(t, plan[0].Err, IsSource)
		require.NoError(t, plan[1].Err)

		got, err := Run(t.Context(), copies, Options{Folder: c.folder, Overwrite: true}, nil)
		require.NoError(t, err)
		wantCode(t, got[0].Err, IsSource)
		require.NoError(t, got[1].Err)
		for _, f := range got[1].Files {
			if filepath.Base(f) != "wood.png" || filepath.Dir(f) == out {
				require.NoError(t, os.Remove(f))
			}
		}
		require.Equal(t, before, listing(t, dir))
	}
}

func TestNamesOfOneRun(t *testing.T) {
	dir := t.TempDir()
	a := newModel(t, filepath.Join(dir, "a", "hull.cube"), 8)
	b := newModel(t, filepath.Join(dir, "b", "Hull.cube"), 4)
	out := filepath.Join(dir, "out")
	copies := []Copy{a.copy("hull.cube", 2), b.copy("HULL.cube", 2)}
	_, err := Run(t.Context(), copies, Options{Folder: out}, nil)
	wantCode(t, err, Clash)
	require.NoDirExists(t, out)
	for _, p := range Plan(copies, out) {
		wantCode(t, p.Err, Clash)
	}

	got, err := Run(t.Context(), []Copy{a.copy("../hull.cube", 2), a.copy("a/b.cube", 1), a.copy("", 1), a.copy("nul.cube", 1)}, Options{Folder: out}, nil)
	require.NoError(t, err)
	for _, o := range got {
		wantCode(t, o.Err, BadName)
	}
	require.NoDirExists(t, out, "a folder made for nothing goes again")

	for _, f := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		got, err := Run(t.Context(), []Copy{a.copy("x.cube", f)}, Options{Folder: out}, nil)
		require.NoError(t, err)
		wantCode(t, got[0].Err, Failed)
	}
}

func TestFoldersThatAreNone(t *testing.T) {
	dir := t.TempDir()
	m := newModel(t, filepath.Join(dir, "hull.cube"), 8)
	for _, folder := range []string{"", m.path, filepath.Join(m.path, "below")} {
		_, err := Run(t.Context(), []Copy{m.copy("x.cube", 1)}, Options{Folder: folder}, nil)
		wantCode(t, err, NoFolder)
	}
}

func TestSideFiles(t *testing.T) {
	dir := t.TempDir()
	m := newModel(t, filepath.Join(dir, "in", "tug.cube"), 8)
	m.companions = []string{"wood.png", "maps/rust.png"}
	require.NoError(t, os.Mkdir(filepath.Join(dir, "in", "maps"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "in", "wood.png"), []byte("wood"), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "in", "maps", "rust.png"), []byte("rust"), 0o666))
	m.write = func(_ context.Context, to Sink, name string, f float64) error {
		main, err := to.Create(name)
		if err != nil {
			return err
		}
		side, err := to.Create("data/tug.bin")
		if err != nil {
			return err
		}
		main.Write(encode(m.edges, f))
		side.Write([]byte("side"))
		return errors.Join(side.Close(), main.Close())
	}
	out := filepath.Join(dir, "out")
	got, err := Run(t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: out, Verify: openModel}, nil)
	require.NoError(t, err)
	require.NoError(t, got[0].Err)
	require.Equal(t, got[0].Path, got[0].Files[3])
	require.Len(t, got[0].Files, 4)
	want := map[string]string{"tug.cube": string(encode(m.edges, 2)), "wood.png": "wood",
		"data/": "", "data/tug.bin": "side", "maps/": "", "maps/rust.png": "rust"}
	require.Equal(t, want, listing(t, out))

	t.Run("a companion that is there already is left", func(t *testing.T) {
		require.NoError(t, os.Remove(filepath.Join(out, "tug.cube")))
		require.NoError(t, os.Remove(filepath.Join(out, "data", "tug.bin")))
		before, err := os.Stat(filepath.Join(out, "wood.png"))
		require.NoError(t, err)
		got, err := Run(t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: out}, nil)
		require.NoError(t, err)
		require.NoError(t, got[0].Err)
		require.Len(t, got[0].Files, 2)
		after, err := os.Stat(filepath.Join(out, "wood.png"))
		require.NoError(t, err)
		require.True(t, os.SameFile(before, after))
		require.Equal(t, want, listing(t, out))
	})
	t.Run("another file of its name stops the copy", func(t *testing.T) {
		require.NoError(t, os.WriteFile(filepath.Join(out, "wood.png"), []byte("iron"), 0o666))
		got, err := Run(t.Context(), []Copy{m.copy("new.cube", 2)}, Options{Folder: out}, nil)
		require.NoError(t, err)
		wantCode(t, got[0].Err, Companion)
		want["wood.png"] = "iron"
		require.Equal(t, want, listing(t, out))

		got, err = Run(t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: out, Overwrite: true}, nil)
		require.NoError(t, err)
		require.NoError(t, got[0].Err)
		want["wood.png"] = "wood"
		require.Equal(t, want, listing(t, out))
	})
	t.Run("two sources with different companions of one name", func(t *testing.T) {
		other := newModel(t, filepath.Join(dir, "in2", "tug2.cube"), 8)
		other.companions = []string{"wood.png"}
		require.NoError(t, os.WriteFile(filepath.Join(dir, "in2", "wood.png"), []byte("oak!"), 0o666))
		got, err := Run(t.Context(), []Copy{m.copy("a.cube", 2), other.copy("b.cube", 2)},
			Options{Folder: filepath.Join(dir, "out2"), Overwrite: true}, nil)
		require.NoError(t, err)
		require.NoError(t, got[0].Err)
		wantCode(t, got[1].Err, Clash)
		require.NoFileExists(t, filepath.Join(dir, "out2", "b.cube"))
		b, _ := os.ReadFile(filepath.Join(dir, "out2", "wood.png"))
		require.Equal(t, "wood", string(b))
	})
}

func TestSinkKeepsInside(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "secret"), []byte("secret"), 0o666))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "in"), 0o777))
	links := linked(t, filepath.Join(dir, "secret"), filepath.Join(dir, "in", "link"))
	out := filepath.Join(dir, "out")
	require.NoError(t, os.Mkdir(out, 0o777))
	links = linked(t, dir, filepath.Join(out, "away")) && links
	before := listing(t, dir)
	m := newModel(t, filepath.Join(dir, "in", "tug.cube"), 8)
	try := func(f func(to Sink) error) error {
		m.write = func(_ context.Context, to Sink, name string, _ float64) error { return f(to) }
		got, err := Run(t.Context(), []Copy{m.copy("tug.cube", 2)}, Options{Folder: out}, nil)
		require.NoError(t, err)
		after := listing(t, dir)
		delete(after, "in/tug.cube")
		require.Equal(t, before, after)
		return got[0].Err
	}
	for _, name := range []string{"../x", "/x", "a/../../x", "", ".", "./x", "a//b", `a\b`, "a\x00b", ".scantling-0123456789abcdef", "sub/.scantling-x"} {
		wantCode(t, try(func(to Sink) error { _, err := to.Create(name); return err }), BadName)
		wantCode(t, try(func(to Sink) error { return to.Carry(name, m.path) }), BadName)
	}
	wantCode(t, try(func(to Sink) error { return to.Carry("x", filepath.Join(dir, "secret")) }), Outside)
	if links {
		wantCode(t, try(func(to Sink) error { _, err := to.Create("away/x"); return err }), NoFolder)
		wantCode(t, try(func(to Sink) error { return to.Carry("x", filepath.Join(dir, "in", "link")) }), Outside)
	}
	wantCode(t, try(func(to Sink) error { return to.Carry("x", filepath.Join(dir, "in", "none")) }), Companion)
	wantCode(t, try(func(to Sink) error { return to.Carry("x", filepath.Join(dir, "in")) }), Companion)
	wantCode(t, try(func(to Sink) error { return nil }), Failed) // no main file
	wantCode(t, try(func(to Sink) error { _, err := to.Create("tug.cube"); return err }), Failed)
	wantCode(t, try(func(to Sink) error {
		to.Create("tug.cube")
		_, err := to.Create("Tug.cube")
		return err
	}), Clash)
	wantCode(t, try(func(to Sink) error { panic("index out of range") }), Failed)
	plain := errors.New("the file breaks off")
	require.Equal(t, plain, try(func(to Sink) error {
		w, _ := to.Create("tug.cube")
		w.Write([]byte("half"))
		return plain
	}))
}

func TestCancel(t *testing.T) {
	dir := t.TempDir()
	a, b, c := newModel(t, filepath.Join(dir, "a.cube"), 1), newModel(t, filepath.Join(dir, "b.cube"), 2), newModel(t, filepath.Join(dir, "c.cube"), 3)
	out := filepath.Join(dir, "out")
	ctx, cancel := context.WithCancel(t.Context())
	b.write = func(_ context.Context, to Sink, name string, _ float64) error {
		w, err := to.Create(name)
		require.NoError(t, err)
		_, err = w.Write([]byte("half"))
		require.NoError(t, err)
		cancel()
		_, err = w.Write([]byte("rest"))
		require.ErrorIs(t, err, context.Canceled, "also for a source that does not ask")
		w.Close()
		return nil
	}
	got, err := Run(ctx, []Copy{a.copy("a.cube", 1), b.copy("b.cube", 1), c.copy("c.cube", 1)}, Options{Folder: out}, nil)
	require.NoError(t, err)
	require.NoError(t, got[0].Err)
	require.ErrorIs(t, got[1].Err, context.Canceled)
	require.ErrorIs(t, got[2].Err, context.Canceled)
	require.Equal(t, map[string]string{"a.cube": string(encode(a.edges, 1))}, listing(t, out))

	_, err = Run(ctx, []Copy{a.copy("a.cube", 1)}, Options{Folder: out}, nil)
	require.ErrorIs(t, err, context.Canceled)
}

func TestSweep(t *testing.T) {
	dir := t.TempDir()
	old := time.Now().Add(-2 * stale)
	lay := func(name string, when time.Time) {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte("half"), 0o666))
		require.NoError(t, os.Chtimes(path, when, when))
	}
	lay(temporaryName(), old)                      // ours, left by a killed run
	lay(".scantling-00000000000000aa", time.Now()) // ours, another run at work
	lay(".scantling-notes", old)                   // the maker's
	lay(".scantling-00000000000000aa.stl", old)    // the maker's
	lay("hull.cube", old)                          // a copy
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".scantling-00000000000000bb"), 0o777))
	m := newModel(t, filepath.Join(t.TempDir(), "mast.cube"), 8)
	got, err := Run(t.Context(), []Copy{m.copy("mast.cube", 2)}, Options{Folder: dir}, nil)
	require.NoError(t, err)
	require.NoError(t, got[0].Err)
	var names []string
	for name := range listing(t, dir) {
		names = append(names, name)
	}
	require.ElementsMatch(t, []string{".scantling-00000000000000aa", ".scantling-notes", ".scantling-00000000000000aa.stl",
		".scantling-00000000000000bb/", "hull.cube", "mast.cube"}, names)
}

func TestVerify(t *testing.T) {
	dir := t.TempDir()
	m := newModel(t, filepath.Join(dir, "tug.cube"), 100, 3)
	for _, c := range []struct {
		name string
		back []float64
		kind DifferenceKind
	}{
		{"a part missing, the other not their sum", []float64{25}, TriangleCount},
		{"a part more", []float64{25, 0.75, 1}, PartCount},
		{"a size off by a hair more than rounding", []float64{25, 0.75 + 25*1.01/(1<<22)}, Extent},
		{"not a number", []float64{math.NaN(), 0.75}, Extent},
		{"rounded", []float64{25, 0.75 + 25*0.99/(1<<22)}, ""},
		{"exact", []float64{25, 0.75}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m.write = func(_ context.Context, to Sink, name string, f float64) error {
				w, err := to.Create(name)
				require.NoError(t, err)
				w.Write(encode(c.back, 1))
				return w.Close()
			}
			out := filepath.Join(t.TempDir(), "out")
			got, err := Run(t.Context(), []Copy{{Source: m, Name: "x.cube", Factor: 250, PerUnit: 0.001}},
				Options{Folder: out, Verify: openModel}, nil)
			require.NoError(t, err)
			if c.kind == "" {
				require.NoError(t, got[0].Err)
				require.True(t, got[0].Verified)
				require.LessOrEqual(t, got[0].Worst, 1e-5)
				require.Equal(t, c.name == "exact", got[0].Worst == 0)
				return
			}
			wantCode(t, got[0].Err, Verify)
			var d *Difference
			require.ErrorAs(t, got[0].Err, &d)
			require.Equal(t, c.kind, d.Kind)
			require.False(t, got[0].Verified)
			require.FileExists(t, got[0].Path, "it stays, so that it can be looked at")
		})
	}
	t.Run("unreadable", func(t *testing.T) {
		m.write = nil
		for _, open := range []Open{
			func(context.Context, string) (Back, error) { return nil, io.ErrUnexpectedEOF },
			func(context.Context, string) (Back, error) { panic("reader broke") },
		} {
			got, err := Run(t.Context(), []Copy{m.copy("x.cube", 1)}, Options{Folder: t.TempDir(), Verify: open}, nil)
			require.NoError(t, err)
			var e *Error
			require.ErrorAs(t, got[0].Err, &e)
			require.NotEmpty(t, got[0].Path)
			require.False(t, got[0].Verified)
		}
	})
	t.Run("one body for several", func(t *testing.T) {
		joined := func(_ context.Context, path string) (Back, error) {
			return sized{&model{path: path}, 24, 100}, nil
		}
		got, err := Run(t.Context(), []Copy{m.copy("x.cube", 1)}, Options{Folder: t.TempDir(), Verify: joined}, nil)
		require.NoError(t, err)
		require.NoError(t, got[0].Err)
	})
}

type sized struct {
	*model
	triangles int
	edge      float64
}

func (s sized) Parts() []mesh.Part {
	return []mesh.Part{{Measures: mesh.Measures{Triangles: s.triangles, Box: geom.Box{Max: geom.Vec{s.edge, s.edge, s.edge}}}}}
}

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "tug.scantling")
	require.NoError(t, WriteFile(path, []byte("one")))
	link, entries := filepath.Join(dir, "link"), 1
	if linked(t, path, link) {
		entries++
		require.NoError(t, WriteFile(link, []byte("two")))
		info, err := os.Lstat(link)
		require.NoError(t, err)
		require.NotZero(t, info.Mode()&fs.ModeSymlink)
	} else {
		require.NoError(t, WriteFile(path, []byte("two")))
	}
	for _, call := range []string{"create", "write", "sync", "close", "rename"} {
		d := &brokenDisk{call: call, err: syscall.ENOSPC}
		wantCode(t, writeFile(d, path, []byte("three")), DiskFull)
		require.NotZero(t, d.calls.Load())
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, "two", string(b))
		there, _ := os.ReadDir(dir)
		require.Len(t, there, entries)
	}
	wantCode(t, WriteFile(filepath.Join(dir, "none", "x"), nil), NoFolder)
}

func TestCodes(t *testing.T) {
	seen := map[Code]bool{}
	for _, c := range Codes() {
		require.False(t, seen[c] || strings.TrimSpace(string(c)) == "", c)
		seen[c] = true
	}
}

// The copy of a large file costs what the system's own writing and syncing costs.
func BenchmarkRun(b *testing.B) {
	const size = 50 << 20
	chunk := bytes.Repeat([]byte{1}, 1<<20)
	dir := b.TempDir()
	path := filepath.Join(dir, "in.cube")
	require.NoError(b, os.WriteFile(path, nil, 0o666))
	m := &model{path: path}
	m.write = func(_ context.Context, to Sink, name string, _ float64) error {
		w, err := to.Create(name)
		for n := 0; n < size && err == nil; n += len(chunk) {
			_, err = w.Write(chunk)
		}
		return errors.Join(err, w.Close())
	}
	b.Run("copy", func(b *testing.B) {
		b.SetBytes(size)
		for b.Loop() {
			got, err := Run(b.Context(), []Copy{m.copy("x.cube", 1)}, Options{Folder: dir, Overwrite: true}, nil)
			require.NoError(b, errors.Join(err, got[0].Err))
		}
	})
	b.Run("limit", func(b *testing.B) {
		b.SetBytes(size)
		for b.Loop() {
			f, err := os.Create(filepath.Join(dir, "y.cube"))
			for n := 0; n < size && err == nil; n += len(chunk) {
				_, err = f.Write(chunk)
			}
			require.NoError(b, errors.Join(err, f.Sync(), f.Close()))
		}
	})
}
