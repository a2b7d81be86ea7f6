// Package formattest holds every format to the same promises, on the small files of a
// folder of testdata. Each file, say hull.stl, has beside it a hull.want that says what
// must come of it:
//
//	expect: ok                  or an error's code: truncated, bad-index, ...
//	why: last facet has no endloop
//	from: written by hand
//	line: 7                     of the error
//	encoding: ascii
//	parts: 2
//	names: hull, mast
//	triangles: 12               of all parts
//	closed: yes                 all parts are, or no
//	size: 10 20 30              of all parts together, in file units
//	area: 2200                  of all parts, in square file units
//	volume: 6000                of all parts, in cubic file units
//	notes: unit-assumed, trailing-bytes
//
// An unknown key, a file without its pair and a folder with fewer files than it had fail.
// Side files lie in folders of their own.
package formattest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

// A File is what formats give.
type File interface {
	deliver.Source
	Encoding() string
	Bytes() int64
	Digest() string
	Notes() []fault.Note
	Companions() []string
	Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error)
}

// Open is a format's own.
type Open func(ctx context.Context, path string) (File, error)

// small is the largest file of which every prefix is tried.
const small = 1 << 10

// Run tries all files in folder that have one of the extensions; there must be at least
// that many.
func Run(t *testing.T, open Open, folder string, atLeast int, extensions ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	wants := map[string]bool{}
	files := 0
	for _, e := range entries {
		if filepath.Ext(e.Name()) == ".want" {
			wants[e.Name()] = true
		}
	}
	for _, e := range entries {
		extension := filepath.Ext(e.Name())
		if !slices.Contains(extensions, extension) {
			continue
		}
		files++
		pair := strings.TrimSuffix(e.Name(), extension) + ".want"
		if !wants[pair] {
			t.Errorf("%s has no %s", e.Name(), pair)
			continue
		}
		delete(wants, pair)
		t.Run(strings.TrimSuffix(e.Name(), extension), func(t *testing.T) {
			w := readWant(t, filepath.Join(folder, pair))
			try(t, open, filepath.Join(folder, e.Name()), w)
		})
	}
	for pair := range wants {
		t.Errorf("%s has no file", pair)
	}
	if files < atLeast {
		t.Errorf("%s has %d files and had %d", folder, files, atLeast)
	}
}

// A want is what a .want file says, by key.
type want map[string]string

func readWant(t *testing.T, path string) want {
	known := []string{"expect", "why", "from", "line", "encoding", "parts", "names", "triangles", "closed", "size", "area", "volume", "notes"}
	content, err := os.ReadFile(path)
	require.NoError(t, err)
	w := want{}
	for line := range strings.Lines(string(content)) {
		key, value, ok := strings.Cut(strings.TrimSpace(line), ":")
		require.True(t, ok && slices.Contains(known, key), "%s: %q", path, line)
		require.NotContains(t, w, key, path)
		w[key] = strings.TrimSpace(value)
	}
	for _, key := range []string{"expect", "why", "from"} {
		require.NotEmpty(t, w[key], "%s: %s", path, key)
	}
	if w["expect"] == "ok" {
		require.NotEmpty(t, w["triangles"], "%s: triangles", path)
	} else {
		require.Contains(t, fault.Codes(), fault.Code(w["expect"]), path)
	}
	return w
}

func try(t *testing.T, open Open, path string, w want) {
	f, err := open(context.Background(), path)
	if code := w["expect"]; code != "ok" {
		var e *fault.Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, code, string(e.Code), "%v", e)
		if line := w["line"]; line != "" {
			require.Equal(t, line, fmt.Sprint(e.Line), "%v", e)
		}
	} else {
		require.NoError(t, err)
		meets(t, f, w)
		Rewrites(t, open, f)
	}
	prefixes(t, open, path)
}

// meets compares f with what is wanted.
func meets(t *testing.T, f File, w want) {
	got := want{}
	all := mesh.Measures{Box: geom.EmptyBox()}
	var names []string
	closed := "yes"
	for i, p := range f.Parts() {
		names = append(names, p.Name)
		all.Triangles += p.Triangles
		all.Box = all.Box.Union(p.Box)
		all.Area += p.Area
		all.Volume += p.Volume
		if !p.Surface {
			continue
		}
		m, err := f.Mesh(context.Background(), i, nil)
		require.NoError(t, err)
		require.Equal(t, p.Triangles, m.Len())
		if !topology(t, m).Closed {
			closed = "no"
		}
	}
	var notes []string
	for _, n := range f.Notes() {
		notes = append(notes, string(n.Code))
	}
	got["encoding"] = f.Encoding()
	got["parts"] = fmt.Sprint(len(f.Parts()))
	got["names"] = strings.Join(names, ", ")
	got["triangles"] = fmt.Sprint(all.Triangles)
	got["closed"] = closed
	got["notes"] = strings.Join(notes, ", ")
	numbers := map[string][]float64{"size": nil, "area": {all.Area}, "volume": {all.Volume}}
	size := all.Box.Size()
	numbers["size"] = size[:]
	for key, value := range w {
		if is, ok := got[key]; ok {
			require.Equal(t, value, is, key)
		}
		if is, ok := numbers[key]; ok {
			fields := strings.Fields(value)
			require.Len(t, fields, len(is), key)
			for i, field := range fields {
				v, err := strconv.ParseFloat(field, 64)
				require.NoError(t, err, key)
				require.InDelta(t, v, is[i], 1e-6*math.Max(1, math.Abs(v)), key)
			}
		}
	}
}

// Rewrites tests what must hold for copies of any file: factor 1 gives the same bytes, 2
// and then ½ the same coordinates to the bit, and the copy at any factor has the source's
// triangles, multiplied. In a pose it has them turned and shifted: to the bit for quarter
// turns.
func Rewrites(t *testing.T, open Open, f File) {
	t.Helper()
	by := func(factor float64) deliver.Change { return deliver.Change{Factor: factor} }
	same := copied(t, open, f, by(1))
	before, err := os.ReadFile(f.Path())
	require.NoError(t, err)
	after, err := os.ReadFile(same.Path())
	require.NoError(t, err)
	require.True(t, bytes.Equal(before, after), "factor 1 gives the same bytes")
	require.Equal(t, f.Digest(), same.Digest())

	there := copied(t, open, f, by(2))
	back := copied(t, open, there, by(0.5))
	requireChanged(t, f, there, by(2), 0)
	requireChanged(t, f, back, by(1), 0)
	requireChanged(t, f, copied(t, open, f, by(1./87.1)), by(1/87.1), 0x1p-23)

	// Standing where it stood, with the up that it had.
	as := deliver.Change{Factor: 1, Pose: geom.Upright(f.Parts()[0].Up)}
	requireChanged(t, f, copied(t, open, f, as), as, 0)
	for _, factor := range []float64{1, 2} {
		for _, up := range []geom.Axis{geom.X, geom.Y} {
			quarter := deliver.Change{Factor: factor, Pose: geom.Upright(up)}
			requireChanged(t, f, copied(t, open, f, quarter), quarter, 0)
		}
	}
	tilted := deliver.Change{Factor: 0.235, Pose: tilt()}
	// Its own size is the least that shows: a part far away must not be shifted farther.
	tilted.Pose.Shift = f.Parts()[0].Box.Size().Scale(0.1)
	requireChanged(t, f, copied(t, open, f, tilted), tilted, 0x1p-21)
	// What makes up for a printer, as the file stands, and turned.
	for _, pose := range []geom.Pose{as.Pose, tilted.Pose} {
		corrected := deliver.Change{Factor: 0.235, Pose: pose.Stretched(geom.Vec{1.004, 1.002, 0.991})}
		requireChanged(t, f, copied(t, open, f, corrected), corrected, 0x1p-21)
	}
}

// tilt is a turn about all axes: by the quaternion 1 2 3 4.
func tilt() geom.Pose {
	const n = 30
	return geom.Pose{Rows: [3]geom.Vec{{4. / n, -20. / n, 22. / n}, {28. / n, 10. / n, 4. / n}, {-10. / n, 20. / n, 20. / n}}}
}

// requireChanged compares the vertices of b with those of a changed by c; within is
// relative to the largest coordinate.
func requireChanged(t *testing.T, a, b File, c deliver.Change, within float64) {
	t.Helper()
	require.Len(t, b.Parts(), len(a.Parts()))
	var pose geom.Pose
	if c.Pose.Known() {
		pose = c.Pose.Then(geom.Upright(a.Parts()[0].Up).Inverse())
	}
	for i, p := range a.Parts() {
		q := b.Parts()[i]
		require.Equal(t, p.Name, q.Name)
		require.Equal(t, p.Triangles, q.Triangles)
		require.Equal(t, p.Surface, q.Surface)
		if !p.Surface {
			continue
		}
		m, err := a.Mesh(context.Background(), i, nil)
		require.NoError(t, err)
		n, err := b.Mesh(context.Background(), i, nil)
		require.NoError(t, err)
		require.Equal(t, m.Triangles, n.Triangles)
		largest := p.Box.Min.Len() + p.Box.Max.Len()
		box := geom.EmptyBox()
		for k := range m.Vertices {
			v, w := pose.Apply(m.Vertex(uint32(k)).Scale(c.Factor)), n.Vertex(uint32(k))
			for axis := range 3 {
				if !(math.Abs(v[axis]-w[axis]) <= within*largest*c.Factor) {
					require.Equal(t, v[axis], w[axis], "%s: vertex %d, %+v", p.Name, k, c)
				}
			}
		}
		for k := range m.Len() {
			for _, v := range m.Corners(k) {
				box = box.Add(pose.Apply(m.Vertex(v).Scale(c.Factor)))
			}
		}
		for axis := range 3 {
			require.InDelta(t, box.Min[axis], q.Box.Min[axis], 0x1p-21*largest*c.Factor)
			require.InDelta(t, box.Max[axis], q.Box.Max[axis], 0x1p-21*largest*c.Factor)
		}
		f, l := c.Factor, largest*c.Factor
		by := pose.Stretch()
		if by == (geom.Vec{1, 1, 1}) {
			require.InDelta(t, p.Area*f*f, q.Area, 0x1p-18*l*l*float64(1+p.Triangles))
		}
		require.InDelta(t, p.Volume*f*f*f*by[0]*by[1]*by[2], q.Volume, 0x1p-18*l*l*l*float64(1+p.Triangles))
		before, after := topology(t, m), topology(t, n)
		require.True(t, after.Closed || !before.Closed, p.Name)
		if within == 0 { // otherwise vertices may be rounded into one
			require.Equal(t, before, after)
		}
	}
}

func topology(t *testing.T, m *mesh.Mesh) mesh.Topology {
	t.Helper()
	top, err := mesh.TopologyOf(context.Background(), m, nil)
	require.NoError(t, err)
	return top
}

func copied(t *testing.T, open Open, f File, c deliver.Change) File {
	t.Helper()
	folder := t.TempDir()
	name := "copy" + f.Extension()
	last := 0.0
	err := f.Rescale(context.Background(), Folder(folder), name, c, func(done float64) {
		require.True(t, done >= last && done <= 1, "progress %v after %v", done, last)
		last = done
	})

	require.NoError(t, err)
	// Names of parts may come from the file's name.
	path := filepath.Join(folder, filepath.Base(f.Path()))
	require.NoError(t, os.Rename(filepath.Join(folder, name), path))
	again, err := open(context.Background(), path)
	require.NoError(t, err)
	return again
}

// prefixes opens every cut-off copy of a small file: an answer or an *fault.Error.
func prefixes(t *testing.T, open Open, path string) {
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	if len(whole) > small {
		return
	}
	folder := t.TempDir()
	cut := filepath.Join(folder, filepath.Base(path))
	for n := range len(whole) {
		require.NoError(t, os.WriteFile(cut, whole[:n], 0o600))
		f, err := open(context.Background(), cut)
		if err != nil {
			var e *fault.Error
			require.ErrorAs(t, err, &e, "%d bytes", n)
			require.Equal(t, cut, e.File)
			continue
		}
		for i, p := range f.Parts() {
			if p.Surface {
				_, err := f.Mesh(context.Background(), i, nil)
				require.NoError(t, err, "%d bytes", n)
			}
		}
	}
}

// Folder is a sink of plain files.
type Folder string

// Create makes one.
func (d Folder) Create(name string) (io.WriteCloser, error) {
	path := filepath.Join(string(d), filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	return os.Create(path)
}

// Carry copies one.
func (d Folder) Carry(name, source string) error {
	content, err := os.ReadFile(source)
	if err != nil {
		return err
	}
	w, err := d.Create(name)
	if err != nil {
		return err
	}
	_, err = w.Write(content)
	return errors.Join(err, w.Close())
}
