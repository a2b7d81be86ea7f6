package stl

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	peer "github.com/hschendel/stl"
	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
)

// memory is a sink that keeps one file.
type memory struct{ bytes.Buffer }

func (m *memory) Create(string) (io.WriteCloser, error) { return m, nil }
func (m *memory) Close() error                          { return nil }
func (m *memory) Carry(name, source string) error       { return errors.New("STL has no companions") }

// saved puts content into a file.
func saved(tb testing.TB, content []byte) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "part.stl")
	require.NoError(tb, os.WriteFile(path, content, 0o600))
	return path
}

func opened(tb testing.TB, content []byte) *File {
	tb.Helper()
	f, err := Open(context.Background(), saved(tb, content), nil)
	require.NoError(tb, err)
	return f
}

func rescaled(tb testing.TB, f *File, factor float64) []byte {
	tb.Helper()
	var m memory
	require.NoError(tb, f.Rescale(context.Background(), &m, "copy.stl", deliver.Change{Factor: factor}, nil))
	return m.Bytes()
}

// codeOf opens content, which must fail with an *fault.Error.
func errorOf(tb testing.TB, content []byte) *fault.Error {
	tb.Helper()
	_, err := Open(context.Background(), saved(tb, content), nil)
	var f *fault.Error
	require.ErrorAs(tb, err, &f)
	return f
}

type triangle [3][3]float32

// box is a closed box of 12 triangles.
func box(x, y, z float32) []triangle {
	p := func(i int) [3]float32 { return [3]float32{x * float32(i&1), y * float32(i>>1&1), z * float32(i>>2)} }
	var list []triangle
	for _, q := range [][4]int{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		list = append(list, triangle{p(q[0]), p(q[1]), p(q[2])}, triangle{p(q[0]), p(q[2]), p(q[3])})
	}
	return list
}

func binaryOf(header string, list []triangle) []byte {
	b := make([]byte, headerBytes)
	copy(b, header)
	binary.LittleEndian.PutUint32(b[80:], uint32(len(list)))
	for i, t := range list {
		b = append(b, make([]byte, 12)...)
		for _, v := range t {
			for _, x := range v {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
			}
		}
		b = binary.LittleEndian.AppendUint16(b, uint16(i*257))
	}
	return b
}

func textOf(name string, list []triangle) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "solid %s\n", name)
	for _, t := range list {
		fmt.Fprintf(&b, "facet normal 0 0 0\nouter loop\n")
		for _, v := range t {
			fmt.Fprintf(&b, "vertex %v %v %v\n", v[0], v[1], v[2])
		}
		fmt.Fprintf(&b, "endloop\nendfacet\n")
	}
	fmt.Fprintf(&b, "endsolid %s\n", name)
	return b.Bytes()
}

func randomTriangles(seed uint64, n int) []triangle {
	r := rand.New(rand.NewPCG(seed, 0))
	list := make([]triangle, n)
	for i := range list {
		for k := range 3 {
			for axis := range 3 {
				list[i][k][axis] = float32((r.Float64() - 0.5) * math.Pow10(r.IntN(6)-1))
			}
		}
	}
	return list
}

func TestClosedForms(t *testing.T) {
	tetrahedron := []triangle{
		{{0, 0, 0}, {0, 1, 0}, {1, 0, 0}}, {{0, 0, 0}, {1, 0, 0}, {0, 0, 1}},
		{{0, 0, 0}, {0, 0, 1}, {0, 1, 0}}, {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	}
	for _, c := range []struct {
		name         string
		list         []triangle
		size         geom.Vec
		area, volume float64
		centroid     geom.Vec
	}{
		{"box", box(10, 20, 30), geom.Vec{10, 20, 30}, 2200, 6000, geom.Vec{5, 10, 15}},
		{"tetrahedron", tetrahedron, geom.Vec{1, 1, 1}, 1.5 + math.Sqrt(3)/2, 1. / 6, geom.Vec{.25, .25, .25}},
	} {
		for _, content := range [][]byte{binaryOf(c.name, c.list), textOf(c.name, c.list)} {
			f := opened(t, content)
			require.Len(t, f.Parts(), 1)
			p := f.Parts()[0]
			require.Equal(t, len(c.list), p.Triangles)
			require.Equal(t, c.size, p.Box.Size())
			require.InEpsilon(t, c.area, p.Area, 1e-14)
			require.InEpsilon(t, c.volume, p.Volume, 1e-14)
			for i := range 3 {
				require.InEpsilon(t, c.centroid[i], p.Centroid[i], 1e-14)
			}
			require.Equal(t, mesh.Unit{Name: "mm", MM: 1}, p.Unit)
			require.Equal(t, geom.Z, p.Up)
			require.True(t, p.Surface)
		}
	}
}

// Binary and text of one part measure and mesh to the same bits, however many the chunks
// and the cores.
func TestEncodingsAgree(t *testing.T) {
	list := randomTriangles(1, 60_000)
	binary := opened(t, binaryOf("", list))
	text := opened(t, textOf("part", list))
	require.Equal(t, Binary, binary.Encoding())
	require.Equal(t, ASCII, text.Encoding())

	a, err := binary.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	b, err := text.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	require.Equal(t, a, b)
	for i, want := range list {
		require.Equal(t, want, triangle(a.Vertices[3*i:3*i+3]))
	}
	p, q := binary.Parts()[0].Measures, text.Parts()[0].Measures
	require.Equal(t, p.Box, q.Box)
	require.Equal(t, p.Triangles, q.Triangles)
	require.InEpsilon(t, p.Area, q.Area, 1e-15)
	require.InEpsilon(t, p.Area, mesh.MeasuresOf(a).Area, 1e-15)

	old := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(old)
	require.Equal(t, binary.Parts(), opened(t, binaryOf("", list)).Parts())
	require.Equal(t, text.Parts(), opened(t, textOf("part", list)).Parts())
}

// The library scales with the same formula: all bits must agree.
func TestBinaryAgreesWithPeer(t *testing.T) {
	content := binaryOf("a header", randomTriangles(2, 3000))
	f := opened(t, content)
	for _, factor := range []float64{0.235, 1. / 87, 2, 25.4, 1e-20} {
		solid, err := peer.ReadAll(bytes.NewReader(content))
		require.NoError(t, err)
		solid.Scale(factor)
		copied, err := peer.ReadAll(bytes.NewReader(rescaled(t, f, factor)))
		require.NoError(t, err)
		require.Equal(t, solid, copied)
	}
}

func TestTextAgreesWithPeer(t *testing.T) {
	content := textOf("part", randomTriangles(3, 3000))
	f := opened(t, content)
	m, err := f.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	solid, err := peer.ReadAll(bytes.NewReader(content))
	require.NoError(t, err)
	for i, want := range solid.Triangles {
		for k := range 3 {
			require.Equal(t, [3]float32(want.Vertices[k]), m.Vertices[3*i+k])
		}
	}
	copied, err := peer.ReadAll(bytes.NewReader(rescaled(t, f, 2)))
	require.NoError(t, err)
	solid.Scale(2)
	require.Equal(t, solid, copied)
}

func TestTheCopyIsARewrite(t *testing.T) {
	const text = "Solid  a name  with blanks \r\n\tFACET NORMAL nan -nan(ind) 1.50\r\n  Outer Loop\r\n" +
		"VERTEX\t1.0  -2.50e+00 3\r\n vertex 0 0 1e2\r\n vertex 1. +.5 -0\r\n endloop endfacet\r\n\r\nendsolid whatever"
	const half = "Solid  a name  with blanks \r\n\tFACET NORMAL nan -nan(ind) 1.50\r\n  Outer Loop\r\n" +
		"VERTEX\t0.5  -1.25 1.5\r\n vertex 0 0 50\r\n vertex 0.5 0.25 -0\r\n endloop endfacet\r\n\r\nendsolid whatever"
	f := opened(t, []byte(text))
	require.Equal(t, "a name  with blanks", f.Parts()[0].Name)
	require.Equal(t, half, string(rescaled(t, f, 0.5)))
	require.Equal(t, text, string(rescaled(t, f, 1)))

	content := append(binaryOf("solid COLOR=\x01\x02\x03\xff", box(1, 2, 3)), "trailing"...)
	f = opened(t, content)
	require.Equal(t, []fault.Note{{Code: fault.UnitAssumed, Detail: "mm"}, {Code: fault.TrailingBytes, Detail: "8"}}, f.Notes())
	require.Equal(t, content, rescaled(t, f, 1))
	want := append(binaryOf("solid COLOR=\x01\x02\x03\xff", box(2, 4, 6)), "trailing"...)
	require.Equal(t, want, rescaled(t, f, 2))
	require.Equal(t, content, rescaled(t, opened(t, rescaled(t, f, 2)), 0.5))
}

// A text of float32 stays one; a text that says more keeps what it says.
func TestWideText(t *testing.T) {
	facet := func(x string) []byte {
		return []byte("solid\nfacet normal 0 0 1\nouter loop\nvertex " + x + " 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid\n")
	}
	narrow := opened(t, facet("0.1"))
	require.False(t, narrow.wide)
	require.Equal(t, facet("0.033333335"), bytes.ReplaceAll(rescaled(t, narrow, 1./3), []byte("0.33333334"), []byte("1")))

	wide := opened(t, facet("0.123456789012"))
	require.True(t, wide.wide)
	require.Contains(t, string(rescaled(t, wide, 2)), "vertex 0.246913578024 0 0\nvertex 2 0 0")
	require.Equal(t, 1., wide.Parts()[0].Box.Max[0])

	// Far out, float32 alone would make all three corners one.
	far := opened(t, []byte("solid\nfacet normal 0 0 1\nouter loop\nvertex 1000000000.25 0 0\nvertex 1000000000.5 0 0\nvertex 1000000000.25 1 0\nendloop\nendfacet\nendsolid\n"))
	require.Equal(t, geom.Vec{0.25, 1, 0}, far.Parts()[0].Box.Size())
	m, err := far.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	require.Equal(t, geom.Vec{1000000000.5, 0, 0}, m.Vertex(1))
}

func TestSeveralSolids(t *testing.T) {
	content := bytes.Join([][]byte{textOf("hull", box(1, 1, 1)), textOf("", box(2, 2, 2)), textOf("nothing", nil), textOf("mast", box(1, 1, 9))}, nil)
	f := opened(t, content)
	var names []string
	for i, p := range f.Parts() {
		names = append(names, p.Name)
		m, err := f.Mesh(context.Background(), i, nil)
		require.NoError(t, err)
		require.Equal(t, p.Triangles, m.Len())
		require.Equal(t, p.Box, mesh.MeasuresOf(m).Box)
		require.Equal(t, p.Name, m.Name)
	}
	require.Equal(t, []string{"hull", "part 2", "mast"}, names)
	require.InEpsilon(t, 8., f.Parts()[1].Volume, 1e-14)
	require.Equal(t, []fault.Note{{Code: fault.UnitAssumed, Detail: "mm"}, {Code: fault.SkippedParts, Detail: "1 solids without facets"}}, f.Notes())
}

// Solids are put together over chunks, and their meshes found again.
func TestSolidsAcrossChunks(t *testing.T) {
	var content []byte
	var want [][]triangle
	for i, n := range []int{20_000, 1, 30_000, 5} {
		want = append(want, randomTriangles(uint64(i), n))
		content = append(content, textOf(fmt.Sprint("solid ", i), want[i])...)
	}
	f := opened(t, content)
	require.Len(t, f.Parts(), len(want))
	for i := range want {
		require.Equal(t, len(want[i]), f.Parts()[i].Triangles)
		m, err := f.Mesh(context.Background(), i, nil)
		require.NoError(t, err)
		require.Equal(t, want[i][0], triangle(m.Vertices[:3]))
		require.Equal(t, want[i][len(want[i])-1], triangle(m.Vertices[len(m.Vertices)-3:]))
	}
	require.Equal(t, bytes.Count(content, []byte("\n")), bytes.Count(rescaled(t, f, 3), []byte("\n")))
}

func TestEveryPrefix(t *testing.T) {
	for _, whole := range [][]byte{
		binaryOf("solid box", box(1, 2, 3)),
		binaryOf("", box(1, 2, 3)[:2]),
		textOf("box", box(1, 2, 3)[:2]),
		bytes.ReplaceAll(textOf("box", box(1, 2, 3)[:2]), []byte("\n"), []byte("\r\n")),
	} {
		for n := range len(whole) {
			_, err := Open(context.Background(), saved(t, whole[:n]), nil)
			var f *fault.Error
			if err == nil {
				// Only the name behind endsolid, or the last line end, may be missing.
				require.Greater(t, n, len(whole)-len("solid box\r\n"), "%q", whole[:n])
				continue
			}
			require.ErrorAs(t, err, &f, "%q", whole[:n])
			encoding, _ := Sniff(whole[:n], int64(n))
			switch {
			case n == 0:
				require.Equal(t, fault.Empty, f.Code)
			case encoding == "":
				require.Equal(t, fault.NotAModel, f.Code)
				require.Less(t, n, 10, "%q", whole[:n])
			default:
				require.Equal(t, fault.Truncated, f.Code, "%q: %v", whole[:n], f)
			}
		}
	}
}

// A file that claims more than it has costs no more memory than it has.
func TestALyingHeader(t *testing.T) {
	content := binaryOf("", box(1, 2, 3))
	binary.LittleEndian.PutUint32(content[80:], math.MaxUint32)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	err := errorOf(t, content)
	runtime.ReadMemStats(&after)
	require.Equal(t, fault.Truncated, err.Code)
	require.Equal(t, "12 of 4294967295 facets", err.Detail)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(1<<20))
}

func TestBadFactors(t *testing.T) {
	f := opened(t, binaryOf("", box(1, 2, 3)))
	for _, factor := range []float64{0, -1, math.NaN(), math.Inf(1), 1e39, 1e-60, math.MaxFloat64, 5e-324} {
		var m memory
		err := f.Rescale(context.Background(), &m, "copy.stl", deliver.Change{Factor: factor}, nil)
		var e *fault.Error
		require.ErrorAs(t, err, &e, "%v", factor)
		require.Equal(t, fault.TooLarge, e.Code)
		require.Zero(t, m.Len(), "nothing is written")
	}
}

// A source that is no longer what was opened gives no copy and no mesh.
func TestChangedSource(t *testing.T) {
	for name, content := range map[string][]byte{"binary": binaryOf("", box(1, 2, 3)), "text": textOf("box", box(1, 2, 3))} {
		for _, change := range []struct {
			name string
			make func() []byte
		}{
			{"shorter", func() []byte { return content[:len(content)-1] }},
			{"longer", func() []byte { return append(content[:len(content):len(content)], '\n') }},
			{"other", func() []byte { return bytes.Replace(content, []byte("\x80?"), []byte("\x80@"), 1) }},
			{"other", func() []byte { return bytes.Replace(content, []byte("3"), []byte("4"), 1) }},
			{"broken", func() []byte { return bytes.Replace(content, []byte("vertex"), []byte("vortex"), 1) }},
		} {
			changed := change.make()
			if bytes.Equal(changed, content) {
				continue
			}
			f := opened(t, content)
			require.NoError(t, os.WriteFile(f.Path(), changed, 0o600))
			var m memory
			var e *fault.Error
			require.ErrorAs(t, f.Rescale(context.Background(), &m, "copy.stl", deliver.Change{Factor: 2}, nil), &e, "%s %s", name, change.name)
			require.Equal(t, fault.Changed, e.Code)
			_, err := f.Mesh(context.Background(), 0, nil)
			require.ErrorAs(t, err, &e)
			require.Equal(t, fault.Changed, e.Code)
		}
	}
}

// Memory does not grow with the file: neither for measuring nor for copies.
func TestMemoryIsBounded(t *testing.T) {
	for _, write := range []func(testing.TB, string, int){writeBinary, writeText} {
		for _, n := range []int{20_000, 200_000} { // 1 to 50 MB
			path := filepath.Join(t.TempDir(), "plate.stl")
			write(t, path, n)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			f, err := Open(context.Background(), path, nil)
			require.NoError(t, err)
			require.NoError(t, f.Rescale(context.Background(), formattest.Folder(t.TempDir()), "copy.stl", deliver.Change{Factor: 0.235}, nil))
			runtime.ReadMemStats(&after)
			require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(40<<20), "all that was ever asked for")
			m, err := f.Mesh(context.Background(), 0, nil)
			require.NoError(t, err)
			require.Equal(t, n, m.Len())
			require.LessOrEqual(t, 12*cap(m.Vertices), 60*n)
		}
	}
}

func TestNoEndOfEmptySolids(t *testing.T) {
	content := append(bytes.Repeat([]byte("solid\nendsolid\n"), 300_000), textOf("hull", box(1, 2, 3))...)
	f := opened(t, content)
	require.Len(t, f.Parts(), 1)
	require.Equal(t, "300000 solids without facets", f.Notes()[1].Detail)
	require.Equal(t, fault.NoTriangles, errorOf(t, content[:15*300_000]).Code)
}

func TestALineWithoutEnd(t *testing.T) {
	content := append([]byte("solid "), bytes.Repeat([]byte("x"), 5<<20)...)
	require.Equal(t, fault.Syntax, errorOf(t, content).Code)
}

func TestFarCoordinatesStayFinite(t *testing.T) {
	list := []triangle{{{1e38, -1e38, 3e38}, {-3e38, 1e30, 0}, {0, 3e38, -3e38}}, {{1e30, 1e30, 1e30}, {2e30, 1e30, 1e30}, {1e30, 2e30, 1e30}}}
	for _, content := range [][]byte{binaryOf("", list), textOf("far", list)} {
		p := opened(t, content).Parts()[0]
		for _, v := range []float64{p.Area, p.Volume, p.Centroid[0], p.Centroid[1], p.Centroid[2]} {
			require.False(t, math.IsInf(v, 0) || math.IsNaN(v), "%+v", p)
		}
	}
}

func TestSystemErrors(t *testing.T) {
	folder := t.TempDir()
	for path, code := range map[string]fault.Code{filepath.Join(folder, "none.stl"): fault.MissingFile, folder: fault.Unreadable} {
		_, err := Open(context.Background(), path, nil)
		var e *fault.Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, code, e.Code)
		require.Equal(t, path, e.File)
	}
}

func TestCancelledCopy(t *testing.T) {
	list := randomTriangles(5, 50_000)
	for _, content := range [][]byte{binaryOf("", list), textOf("part", list)} {
		f := opened(t, content)
		ctx, cancel := context.WithCancel(context.Background())
		var m memory
		err := f.Rescale(ctx, &m, "copy.stl", deliver.Change{Factor: 2}, func(float64) { cancel() })
		require.Equal(t, context.Canceled, err)
		_, err = Open(ctx, f.Path(), nil)
		require.Equal(t, context.Canceled, err)
	}
}

func TestEncode(t *testing.T) {
	hull := opened(t, binaryOf("", randomTriangles(6, 30_000)))
	m, err := hull.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	m.Name = "the\nhull"
	mast, err := opened(t, textOf("mast", box(1, 1, 9))).Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	meshes := []*mesh.Mesh{m, mast}

	var b bytes.Buffer
	last := 0.0
	require.NoError(t, EncodeBinary(context.Background(), &b, "solid header", meshes, 0.3, geom.Pose{}, func(f float64) {
		require.Greater(t, f, last)
		last = f
	}))
	require.Equal(t, 1.0, last)
	f := opened(t, b.Bytes())
	require.Equal(t, Binary, f.Encoding())
	require.Equal(t, m.Len()+mast.Len(), f.Parts()[0].Triangles)

	b.Reset()
	require.NoError(t, EncodeASCII(context.Background(), &b, "", meshes, 0.3, geom.Pose{}, nil))
	f = opened(t, b.Bytes())
	require.Equal(t, ASCII, f.Encoding())
	require.Len(t, f.Parts(), 2)
	require.Equal(t, "the hull", f.Parts()[0].Name)
	require.Equal(t, m.Len(), f.Parts()[0].Triangles)
	for i, p := range f.Parts() {
		got, err := f.Mesh(context.Background(), i, nil)
		require.NoError(t, err)
		for k, v := range meshes[i].Vertices {
			for axis := range 3 {
				require.Equal(t, float32(float64(v[axis])*0.3), got.Vertices[k][axis])
			}
		}
		_ = p
	}
	solid, err := peer.ReadAll(bytes.NewReader(b.Bytes()[strings.Index(b.String(), "solid mast"):]))
	require.NoError(t, err)
	require.Len(t, solid.Triangles, 12)
	for _, tri := range solid.Triangles { // the library computes normals its own way
		want := normal(vec(tri.Vertices[0]), vec(tri.Vertices[1]), vec(tri.Vertices[2]))
		for axis := range 3 {
			require.InDelta(t, want[axis], tri.Normal[axis], 1e-6)
		}
	}

	var e *fault.Error
	require.ErrorAs(t, EncodeBinary(context.Background(), io.Discard, "", meshes, 1e38, geom.Pose{}, nil), &e)
	require.Equal(t, fault.TooLarge, e.Code)
	require.ErrorAs(t, EncodeASCII(context.Background(), io.Discard, "", meshes, 1e38, geom.Pose{}, nil), &e)
	require.Equal(t, fault.TooLarge, e.Code)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	require.Equal(t, context.Canceled, EncodeBinary(ctx, io.Discard, "", meshes, 1, geom.Pose{}, nil))
}

func vec(v peer.Vec3) geom.Vec { return geom.Vec{float64(v[0]), float64(v[1]), float64(v[2])} }

// Whether a file is a text does not hang on how many digits its numbers have.
func TestControlCharactersBehindVertices(t *testing.T) {
	facet := "facet normal 0 0 1\nouter loop\nvertex 1.5000000 0 0\nvertex 0 1.5000000 0\nvertex 0 0 1.5000000\nendloop\nendfacet\n"
	for n := range 60 {
		text := "solid a\n" + strings.Repeat(facet, n) + facet + "endsolid \x01\nsolid \x02\n" + facet + "endsolid\n"
		opened(t, rescaled(t, opened(t, []byte(text)), 2))
	}
	require.Equal(t, fault.NotAModel, errorOf(t, []byte("solid \x01 vertex a\n"+facet+"endsolid\n")).Code)
}

// No copy has a facet that is too long to be read.
func TestAFacetThatGrows(t *testing.T) {
	const before, after = "solid\nfacet normal 0 0 1 outer loop vertex 0 0 0 vertex 1 0 0 vertex 0 1 0", "endloop endfacet\nendsolid\n"
	blanks := func(short int) string {
		return strings.Repeat(" ", lines.MaxSize-len(before)-len("endloop endfacet")-short)
	}
	f := opened(t, []byte(before+blanks(40)+after))
	opened(t, rescaled(t, f, 1./7))
	f = opened(t, []byte(before+blanks(4)+after))
	var e *fault.Error
	require.ErrorAs(t, f.Rescale(context.Background(), &memory{}, "copy.stl", deliver.Change{Factor: 1. / 7}, nil), &e)
	require.Equal(t, fault.TooLarge, e.Code)
}

// A tag goes where there is nothing, or an older tag, and nowhere else.
func TestTag(t *testing.T) {
	list := box(1, 2, 3)
	const tag = "Scantling 1:48 x0.235 Größe \n"
	for header, want := range map[string]string{
		"":                        "Scantling 1:48 x0.235 Gr??e ?",
		strings.Repeat(" ", 80):   "Scantling 1:48 x0.235 Gr??e ?",
		"Scantling 1:72 x0.1 tug": "Scantling 1:48 x0.235 Gr??e ?",
		"by hand":                 "by hand",
		"COLOR=\x00\x00\x00\xff":  "COLOR=\x00\x00\x00\xff",
	} {
		f := opened(t, binaryOf(header, list))
		for _, c := range []deliver.Change{{Factor: 0.235, Tag: tag}, {Factor: 1, Pose: geom.Upright(geom.Y), Tag: tag}} {
			var m memory
			require.NoError(t, f.Rescale(context.Background(), &m, "copy.stl", c, nil))
			require.Equal(t, want, strings.TrimRight(string(m.Bytes()[:80]), "\x00"), "%q", header)
			opened(t, m.Bytes())
		}
		var m memory
		require.NoError(t, f.Rescale(context.Background(), &m, "copy.stl", deliver.Change{Factor: 1, Tag: tag}, nil))
		require.Equal(t, binaryOf(header, list), m.Bytes(), "a copy that changes nothing")
	}
	var m memory
	require.NoError(t, opened(t, binaryOf("", list)).Rescale(context.Background(), &m, "copy.stl", deliver.Change{Factor: 2, Tag: strings.Repeat("x", 200)}, nil))
	require.Equal(t, strings.Repeat("x", 80), string(m.Bytes()[:80]))
	require.Equal(t, uint32(len(list)), binary.LittleEndian.Uint32(m.Bytes()[80:]))
}

// Whether a file with bytes behind its facets is a binary one does not hang on how large
// its corners are.
func TestSizesAndBytesBehind(t *testing.T) {
	for i, size := range []float32{1e-37, 1e-30, 1, 0.6e15, 1e30} {
		content := append(binaryOf([]string{"", "solid vertex 1", "a vertex 2 of many"}[i%3], []triangle{{{size, 0, 0}, {0, size, 0}, {0, 0, size}}}), "behind"...)
		for _, factor := range []float64{0.5, 2, 1e4} {
			opened(t, rescaled(t, opened(t, content), factor))
		}
	}
}
