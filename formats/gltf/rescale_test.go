package gltf

import (
	"context"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
)

// code is the kind of trouble of an error of ours.
func code(t *testing.T, err error) fault.Code {
	t.Helper()
	var e *fault.Error
	require.ErrorAs(t, err, &e)
	return e.Code
}

// In a document nothing changes but the numbers that are lengths, wherever they are and
// however they are written.
func TestOnlyLengthsChangeInTheText(t *testing.T) {
	f := opened(t, filepath.Join(vectorFolder, "looks-and-cameras.gltf"))
	b, err := os.ReadFile(copyOf(t, f, "looks-and-cameras.gltf", 2))
	require.NoError(t, err)
	want := looksText
	for _, change := range [][2]string{
		{`"range": 10`, `"range": 20`},
		{`[ 1.50, -2.5E-1, 0.0 ]`, `[ 3, -0.5, 0.0 ]`},
		{`"translation": [0.1, 0.2, 0.3]`, `"translation": [0.2, 0.4, 0.6]`},
		{`{"xmag": 2, "ymag": 1, "znear": 0.01, "zfar": 100}`, `{"xmag": 4, "ymag": 2, "znear": 0.02, "zfar": 200}`},
		{`"yfov": 1, "znear": 0.5`, `"yfov": 1, "znear": 1`},
		{`"thicknessFactor": 0.25, "attenuationDistance": 4`, `"thicknessFactor": 0.5, "attenuationDistance": 8`},
		{`"min": [0, 0, 0], "max": [1, 1, 0]`, `"min": [0, 0, 0], "max": [2, 2, 0]`},
		{`AAAAAAAAAAAAAAAAAACAPwAAAAAAAAAAAAAAAAAAgD8AAAAAAAAAAAAAgD8AAAA\/AACAPw==`, // positions, times, and the near plane as it moves
			`AAAAAAAAAAAAAAAAAAAAQAAAAAAAAAAAAAAAAAAAAEAAAAAAAAAAAAAAgD8AAIA/AAAAQA==`},
		{`application\/octet-stream`, `application/octet-stream`},
	} {
		require.Equal(t, 1, strings.Count(want, change[0]), change[0])
		want = strings.Replace(want, change[0], change[1], 1)
	}
	require.Equal(t, want, string(b))
}

// Under an added root, what no node scales is still multiplied, and nothing else.
func TestRootLeavesWhatItScales(t *testing.T) {
	text := strings.Replace(looksText, `"attributes": {"POSITION": 0}`, `"attributes": {"POSITION": 0, "NORMAL": 0}`, 1)
	f, err := open(t, "a.gltf", []byte(text))
	require.NoError(t, err)
	require.True(t, f.plan.byRoot)
	b, err := os.ReadFile(copyOf(t, f, "a.gltf", 2))
	require.NoError(t, err)
	for _, part := range []string{
		`"translation": [ 1.50, -2.5E-1, 0.0 ]`, `"range": 20`, `"xmag": 4`, `"yfov": 1, "znear": 1`,
		`"thicknessFactor": 0.25, "attenuationDistance": 8`, `"max": [1, 1, 0]`,
		`"scenes": [{"nodes": [2]`, `,{"name":"Scale","children":[0,1],"scale":[2,2,2]}`,
		`AAAAAAAAAAAAAAAAAACAPwAAAAAAAAAAAAAAAAAAgD8AAAAAAAAAAAAAgD8AAIA/AAAAQA==`,
	} {
		require.Contains(t, string(b), part)
	}
}

func TestPointers(t *testing.T) {
	for pointer, want := range map[string]use{
		"/nodes/3/translation": localLength, "/nodes/3/scale": other, "/nodes/3": other,
		"/cameras/0/orthographic/xmag": worldLength, "/cameras/0/perspective/yfov": other,
		"/materials/1/extensions/KHR_materials_volume/thicknessFactor": localLength, "": other,
	} {
		require.Equal(t, want, pointed(pointer), pointer)
	}
}

// Instances stand further apart and keep their own scale.
func TestInstancesInTheCopy(t *testing.T) {
	f := opened(t, filepath.Join(vectorFolder, "gpu-instancing.glb"))
	require.False(t, f.plan.byRoot)
	c := opened(t, copyOf(t, f, "gpu-instancing.glb", 0.5))
	s := c.store()
	defer s.close()
	for i, want := range [][]float32{{0, 0, 0, 2, 0, 0}, {1, 1, 1, 2, 1, 1}} {
		got, err := s.numbers(context.Background(), c.doc.nodes[0].instances[2*i], 3)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
}

// Side files that change bear the copy's name, where that is another; images do not change.
func TestNamesOfSideFiles(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no file can have a colon in its name there")
	}
	s := newSketch()
	s.node(object{"mesh": s.cubeMesh(1, 2, 3)})
	n := len(s.bin)
	s.root["buffers"] = []any{object{"uri": "hull_data%201.bin", "byteLength": n}, object{"uri": "more/hull.bin", "byteLength": 4}, object{"uri": "other.bin", "byteLength": n}}
	s.get("bufferViews", 1)["buffer"] = 2
	s.add("images", object{"uri": "hull 1%3A48_data 1.bin"})
	folder := write(t, map[string][]byte{"hull.gltf": s.json(nil), "hull_data 1.bin": s.bin, "more/hull.bin": make([]byte, 4), "other.bin": s.bin, "hull 1:48_data 1.bin": []byte("image")})
	f := opened(t, filepath.Join(folder, "hull.gltf"))
	require.Equal(t, []string{"hull_data 1.bin", "more/hull.bin", "other.bin", "hull 1:48_data 1.bin"}, f.Companions())

	same := files(t, filepath.Dir(copyOf(t, f, "hull.gltf", 0.5)))
	require.Len(t, same, 5)
	require.NotEqual(t, string(s.bin), same["hull_data 1.bin"])
	require.Equal(t, string(s.bin), same["other.bin"], "holds no lengths")

	path := copyOf(t, f, "hull 1:48.gltf", 0.5)
	renamed := files(t, filepath.Dir(path))
	require.Contains(t, renamed, filepath.Join("more", "hull.bin"))
	require.Contains(t, renamed, "other.bin")
	require.Equal(t, "image", renamed["hull 1:48_data 1.bin"])
	require.Equal(t, same["hull_data 1.bin"], renamed["hull 1:48-2_data 1.bin"], "the first choice is taken by the image")
	require.Contains(t, renamed["hull 1:48.gltf"], `"./hull%201:48-2_data%201.bin"`)
	sameMeshes(t, f, opened(t, path), 0.5)
}

func TestChangedSources(t *testing.T) {
	for _, name := range []string{"side-file.gltf", "side-file.bin", "cube.glb", "data-uri.gltf"} {
		for _, grow := range []bool{false, true} {
			stem := strings.TrimSuffix(name, filepath.Ext(name))
			folder := t.TempDir()
			for _, v := range goodVectors() {
				if strings.HasPrefix(v.name, stem+".") {
					require.NoError(t, os.WriteFile(filepath.Join(folder, v.name), v.bytes, 0o644))
					for side, b := range v.side {
						require.NoError(t, os.WriteFile(filepath.Join(folder, side), b, 0o644))
					}
				}
			}
			main := filepath.Join(folder, stem+".gltf")
			if name == "cube.glb" {
				main = filepath.Join(folder, name)
			}
			f := opened(t, main)
			b, err := os.ReadFile(filepath.Join(folder, name))
			require.NoError(t, err)
			if b[len(b)-1] ^= 1; grow {
				b = append(b, 0)
			}
			require.NoError(t, os.WriteFile(filepath.Join(folder, name), b, 0o644))
			for _, factor := range []float64{1, 2} {
				err := f.Rescale(context.Background(), &folderSink{Folder: formattest.Folder(t.TempDir())}, filepath.Base(main), deliver.Change{Factor: factor}, nil)
				require.Equal(t, fault.Changed, code(t, err), name)
			}
			if filepath.Ext(name) == ".bin" || filepath.Ext(name) == ".glb" {
				if grow {
					_, err := f.Mesh(context.Background(), 0, nil)
					require.Equal(t, fault.Changed, code(t, err), name)
				}
			}
		}
	}
}

func TestFactorsThatCannotBe(t *testing.T) {
	f := opened(t, filepath.Join(vectorFolder, "animation.glb"))
	for _, factor := range []float64{0, -1, math.NaN(), math.Inf(1), 1e300, 1e-300} {
		s := &folderSink{Folder: formattest.Folder(t.TempDir())}
		require.Equal(t, fault.TooLarge, code(t, f.Rescale(context.Background(), s, "a.glb", deliver.Change{Factor: factor}, nil)))
		require.Empty(t, s.names)
	}
	// Nothing that is shown leaves the range of float32, but a morph target does.
	c := newSketch()
	corners, x := cube(1, 2, 3)
	c.node(object{"mesh": c.mesh(object{"attributes": object{"POSITION": c.floats("VEC3", corners...)}, "indices": c.accessor(uint16Comp, "SCALAR", x...),
		"targets": []any{object{"POSITION": c.add("accessors", object{"bufferView": c.view(pack(float32Comp, append([]float64{1e30}, make([]float64, 23)...)...)),
			"componentType": 5126, "type": "VEC3", "count": 8})}}})})
	f, err := open(t, "a.glb", c.glb())
	require.NoError(t, err)
	require.Equal(t, fault.TooLarge, code(t, f.Rescale(context.Background(), &folderSink{Folder: formattest.Folder(t.TempDir())}, "a.glb", deliver.Change{Factor: 1e10}, nil)))
}

// A fullSink has room for so many bytes.
type fullSink struct{ room int }

var errFull = errors.New("full")

func (s *fullSink) Create(string) (io.WriteCloser, error) { return s, nil }
func (s *fullSink) Carry(string, string) error            { return errFull }
func (s *fullSink) Close() error                          { return nil }
func (s *fullSink) Write(b []byte) (int, error) {
	if s.room -= len(b); s.room < 0 {
		return 0, errFull
	}
	return len(b), nil
}

func TestFullDiskAndCancel(t *testing.T) {
	for _, name := range []string{"cube.glb", "side-file.gltf", "one-file-two-buffers.gltf"} {
		f := opened(t, filepath.Join(vectorFolder, name))
		for _, room := range []int{0, 100, 400} {
			require.ErrorIs(t, f.Rescale(context.Background(), &fullSink{room}, name, deliver.Change{Factor: 2}, nil), errFull)
		}
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		require.Equal(t, context.Canceled, f.Rescale(ctx, &fullSink{1 << 30}, name, deliver.Change{Factor: 2}, nil))
		_, err := Open(ctx, f.Path(), nil)
		require.Equal(t, context.Canceled, err)
		_, err = f.Mesh(ctx, 0, nil)
		require.Equal(t, context.Canceled, err)
	}
}

func TestProgressRises(t *testing.T) {
	rises := func() func(float64) {
		last := 0.0
		t.Cleanup(func() { require.Equal(t, 1.0, last) })
		return func(x float64) {
			require.GreaterOrEqual(t, x, last)
			last = x
		}
	}
	path := filepath.Join(vectorFolder, "instanced.glb")
	f, err := Open(context.Background(), path, rises())
	require.NoError(t, err)
	_, err = f.Mesh(context.Background(), 0, rises())
	require.NoError(t, err)
	require.NoError(t, f.Rescale(context.Background(), &folderSink{Folder: formattest.Folder(t.TempDir())}, "a.glb", deliver.Change{Factor: 2}, rises()))
}

// Neither a large buffer nor a lying header takes memory.
func TestMemory(t *testing.T) {
	s := newSketch()
	s.node(object{"mesh": s.cubeMesh(1, 2, 3)})
	n := len(s.bin)
	s.root["buffers"] = []any{object{"byteLength": n + 256<<20}}
	s.add("images", object{"bufferView": s.add("bufferViews", object{"buffer": 0, "byteOffset": n, "byteLength": 256 << 20}), "mimeType": "image/png"})
	b := s.glb()
	copy(b[8:], le32(uint32(len(b)+256<<20)))
	copy(b[len(b)-n-8:], le32(uint32(n+256<<20)))
	path := filepath.Join(write(t, map[string][]byte{"a.glb": b}), "a.glb")
	require.NoError(t, os.Truncate(path, int64(len(b)+256<<20)))

	allocated := func(f func()) int64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		f()
		runtime.ReadMemStats(&after)
		return int64(after.TotalAlloc - before.TotalAlloc)
	}
	var f *File
	require.Less(t, allocated(func() { f = opened(t, path) }), int64(8<<20))
	require.Less(t, allocated(func() {
		require.NoError(t, f.Rescale(context.Background(), &fullSink{1 << 30}, "a.glb", deliver.Change{Factor: 2}, nil))
	}), int64(8<<20))

	for _, path := range vectorPaths(append(goodVectors(), badVectors()...)) {
		require.Less(t, allocated(func() { _, _ = Open(context.Background(), path, nil) }), int64(16<<20), path)
	}
}

// The head of a data URI is read with its escapes resolved and written with them.
func TestEscapesInDataURIs(t *testing.T) {
	text := strings.Replace(looksText, `octet-stream`, `\t\"\\\u0001<&`, 1)
	require.NotEqual(t, looksText, text)
	f, err := open(t, "a.gltf", []byte(text))
	require.NoError(t, err)
	again := opened(t, copyOf(t, f, "a.gltf", 2))
	require.Equal(t, f.Parts()[0].Box.Scale(2), again.Parts()[0].Box)
}

// An image whose bytes are nowhere, by an index beyond all numbers, hinders no copy.
func TestImagesNowhere(t *testing.T) {
	for _, index := range []float64{-1, 1, 1e10, 1e20, 1e300} {
		s := newSketch()
		s.node(object{"mesh": s.cubeMesh(1, 2, 3)})
		s.add("images", object{"bufferView": index, "mimeType": "image/png"})
		f, err := open(t, "a.glb", s.glb())
		require.NoError(t, err)
		b, err := os.ReadFile(copyOf(t, f, "a.glb", 2))
		require.NoError(t, err)
		require.NotEmpty(t, b)
	}
}
