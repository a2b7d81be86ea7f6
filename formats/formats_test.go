package formats

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

var _ deliver.Open = ReadBack

const tetrahedronOBJ = "# a tetrahedron\nv 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"

func saved(t *testing.T, name string, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, content, 0o600))
	return path
}

func converted(t *testing.T, f File, k Kind, factor float64) File {
	t.Helper()
	source, _ := As(f, k)
	folder := t.TempDir()
	name := "hull" + source.Extension()
	require.NoError(t, source.Rescale(context.Background(), formattest.Folder(folder), name, deliver.Change{Factor: factor}, nil))
	g, err := Open(context.Background(), filepath.Join(folder, name), nil)
	require.NoError(t, err)
	return g
}

// Whatever it is called, a file is what its content is.
func TestDetectsByContent(t *testing.T) {
	obj, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	contents := map[Kind][]byte{OBJ: []byte(tetrahedronOBJ)}
	for _, k := range []Kind{STL, STLASCII, GLB, ThreeMF} {
		contents[k], err = os.ReadFile(converted(t, obj, k, 1).Path())
		require.NoError(t, err)
	}
	for k, content := range contents {
		for _, name := range []string{"hull.stl", "hull.obj", "hull.glb", "hull.gltf", "hull.STL", "hull", "hull.bin"} {
			f, err := Open(context.Background(), saved(t, name, content), nil)
			require.NoError(t, err, "%s as %s", k, name)
			require.Equal(t, k, kindOf(f))
		}
	}
}

func TestDetect(t *testing.T) {
	wide := func(text string, swap bool) []byte {
		b := []byte{0xff, 0xfe}
		for _, u := range utf16.Encode([]rune(text)) {
			b = append(b, byte(u), byte(u>>8))
		}
		if swap {
			for i := 0; i < len(b); i += 2 {
				b[i], b[i+1] = b[i+1], b[i]
			}
		}
		return b
	}
	for _, c := range []struct {
		head      []byte
		extension string
		want      string
	}{
		{[]byte(" {\"asset\":"), ".stl", "gltf"},
		{[]byte("\xef\xbb\xbf{"), "", "gltf"},
		{[]byte("solid\n"), ".obj", "stl"},
		{[]byte("solid_thing 1\n"), "", ""},
		{[]byte("# only comments\n"), "", ""},
		{[]byte("# only comments\n"), ".obj", "obj"},
		{[]byte("\xef\xbb\xbfmtllib a.mtl\n"), "", "obj"},
		{[]byte("\r\n\r\no\r\n"), "", "obj"},
		{wide("# x\r\nv 1 2 3\r\n", false), "", "obj"},
		{wide("# x\r\nv 1 2 3\r\n", true), "", "obj"},
		{[]byte("v for victory\n"), "", ""},
		{[]byte("Dear shipwright,\n"), ".obj", "obj"}, // who says what is wrong with it
		{[]byte("Dear shipwright,\n"), ".txt", ""},
		{[]byte("PK\x03\x04\x14\x00"), ".stl", "3mf"},
		{[]byte("\x89PNG\r\n\x1a\n\x00\x00"), ".png", ""},
	} {
		require.Equal(t, c.want, detect(c.head, int64(len(c.head)), c.extension), "%q%s", c.head, c.extension)
	}
}

func TestOpenErrors(t *testing.T) {
	for path, code := range map[string]Code{
		saved(t, "empty.obj", nil):                   fault.Empty,
		saved(t, "letter.txt", []byte("Dear Sir,")):  fault.NotAModel,
		saved(t, "letter.stl", []byte("Dear Sir,")):  fault.NotAModel,
		filepath.Join(t.TempDir(), "none.stl"):       fault.MissingFile,
		t.TempDir():                                  fault.Unreadable,
		saved(t, "short.stl", []byte("a\x00b\x01c")): fault.NotAModel,
	} {
		f, err := Open(context.Background(), path, nil)
		var e *Error
		require.ErrorAs(t, err, &e, path)
		require.Equal(t, code, e.Code, path)
		require.Equal(t, path, e.File)
		require.True(t, f == nil, "not a File around a nil pointer")
	}
}

// Every format converts to every other: the same triangles, sizes times factor and unit,
// and closed stays closed.
func TestAs(t *testing.T) {
	const factor = 0.235
	obj, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	kinds := []Kind{STL, STLASCII, OBJ, GLB, ThreeMF}
	for _, from := range kinds {
		f := obj
		if from != OBJ {
			f = converted(t, obj, from, 1)
		}
		require.Equal(t, from, kindOf(f))
		for _, to := range kinds {
			source, perUnit := As(f, to)
			if from == to {
				require.Equal(t, deliver.Source(f), source, "no conversion: the copy is a rewrite")
				require.Equal(t, 1.0, perUnit)
				continue
			}
			want := 1.0
			if from == GLB {
				want = 1000
			} else if to == GLB {
				want = 0.001
			}
			require.Equal(t, want, perUnit)
			g := converted(t, f, to, factor)
			require.Equal(t, to, kindOf(g))
			require.Len(t, g.Parts(), 1)
			p, q := f.Parts()[0], g.Parts()[0]
			require.Equal(t, p.Triangles, q.Triangles)
			s := factor * perUnit
			box := geom.Upright(p.Up).Then(geom.Upright(q.Up).Inverse()).Box(p.Box.Scale(s))
			for axis := range 3 {
				require.InEpsilon(t, box.Size()[axis], q.Box.Size()[axis], 1e-6)
				require.InDelta(t, box.Min[axis], q.Box.Min[axis], 1e-6*s)
			}
			require.InEpsilon(t, p.Volume*s*s*s, q.Volume, 1e-5)
			require.InEpsilon(t, p.Area*s*s, q.Area, 1e-5)
			m, err := g.Mesh(context.Background(), 0, nil)
			require.NoError(t, err)
			top, err := mesh.TopologyOf(context.Background(), m, nil)
			require.NoError(t, err)
			require.True(t, top.Closed)
			require.Equal(t, 4, top.Vertices)
		}
	}
	source, _ := As(obj, GLTF)
	require.Equal(t, ".glb", source.Extension(), "text glTF is no target")
}

// A conversion through deliver is saved and verified like any copy.
func TestAsIsDelivered(t *testing.T) {
	obj, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	source, perUnit := As(obj, GLB)
	outcomes, err := deliver.Run(context.Background(),
		[]deliver.Copy{{Source: source, Name: "hull.glb", Factor: 12.5, PerUnit: perUnit}},
		deliver.Options{Folder: t.TempDir(), Verify: ReadBack}, nil)
	require.NoError(t, err)
	require.NoError(t, outcomes[0].Err)
	require.True(t, outcomes[0].Verified)
}

func TestAsRefuses(t *testing.T) {
	obj, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	for _, k := range []Kind{STL, STLASCII, GLB, ThreeMF} {
		source, _ := As(obj, k)
		folder := t.TempDir()
		var e *Error
		require.ErrorAs(t, source.Rescale(context.Background(), formattest.Folder(folder), "hull", deliver.Change{Factor: 1e300}, nil), &e)
		require.Equal(t, fault.TooLarge, e.Code)
		require.Equal(t, obj.Path(), e.File)
		entries, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Empty(t, entries)
	}
}

// One shape gives one survey in every format.
func TestOneShapeInEveryFormat(t *testing.T) {
	obj, err := Open(context.Background(), saved(t, "hull.obj", []byte(tetrahedronOBJ)), nil)
	require.NoError(t, err)
	want := obj.Parts()[0].Measures
	for _, k := range []Kind{STL, STLASCII, ThreeMF} {
		got := converted(t, obj, k, 1).Parts()[0].Measures
		require.Equal(t, want.Box, got.Box)
		require.InEpsilon(t, want.Volume, got.Volume, 1e-15)
		require.InEpsilon(t, want.Area, got.Area, 1e-15)
	}
	require.Equal(t, geom.Vec{1, 1, 1}, want.Box.Size())
}

// Every small file of every format comes to what is written beside it, opened by its
// content: the packages of the formats test the rest of it.
func TestOpensEveryVector(t *testing.T) {
	files := 0
	for _, extension := range Extensions() {
		paths, err := filepath.Glob(filepath.Join("..", "testdata", "*", "*"+extension))
		require.NoError(t, err)
		for _, path := range paths {
			files++
			content, err := os.ReadFile(strings.TrimSuffix(path, extension) + ".want")
			require.NoError(t, err, path)
			_, expect, _ := strings.Cut("\n"+string(content), "\nexpect:")
			expect, _, _ = strings.Cut(expect, "\n")
			code := "ok"
			f, err := Open(context.Background(), path, nil)
			if e := (*Error)(nil); errors.As(err, &e) {
				code = string(e.Code)
			} else {
				require.NoError(t, err)
				require.NotEmpty(t, f.Parts(), path)
				if f.Format() != filepath.Base(filepath.Dir(path)) {
					code = string(fault.NotAModel) // to the format whose extension it has
				}
			}
			require.Equal(t, strings.TrimSpace(expect), code, "%s: %v", path, err)
		}
	}
	require.GreaterOrEqual(t, files, 200)
}
