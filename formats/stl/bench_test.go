package stl

import (
	"bufio"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"

	peer "github.com/hschendel/stl"
	"github.com/stretchr/testify/require"
)

const million = 1_000_000

// wavy calls f for n triangles of a rippled plate, with coordinates of all digits, as a
// scan or a sculpture has.
func wavy(n int, f func(normal [3]float32, corners [3][3]float32)) {
	const row = 1000
	point := func(x, y int) [3]float32 {
		u, v := float64(x)*0.1234567, float64(y)*0.1357911
		return [3]float32{float32(u), float32(v), float32(10 * math.Sin(u/3) * math.Cos(v/5))}
	}
	for i := range n {
		x, y := i/2%row, i/2/row
		a, b, c, d := point(x, y), point(x+1, y), point(x+1, y+1), point(x, y+1)
		normal := [3]float32{float32(math.Sin(float64(i))) * 0.1, 0, 0.99}
		if i%2 == 0 {
			f(normal, [3][3]float32{a, b, c})
		} else {
			f(normal, [3][3]float32{a, c, d})
		}
	}
}

// writeBinary makes a binary STL of n triangles.
func writeBinary(tb testing.TB, path string, n int) {
	tb.Helper()
	writeFile(tb, path, func(w io.Writer) {
		head := make([]byte, headerBytes)
		copy(head, "a rippled plate")
		binary.LittleEndian.PutUint32(head[80:], uint32(n))
		w.Write(head)
		facet := make([]byte, 0, facetBytes)
		wavy(n, func(normal [3]float32, corners [3][3]float32) {
			facet = facet[:0]
			for _, v := range [4][3]float32{normal, corners[0], corners[1], corners[2]} {
				for _, x := range v {
					facet = binary.LittleEndian.AppendUint32(facet, math.Float32bits(x))
				}
			}
			w.Write(append(facet, 0x1f, 0x80))
		})
	})
}

// writeText makes a text STL of n triangles in the form that most programs print: seven
// digits and an exponent.
func writeText(tb testing.TB, path string, n int) {
	tb.Helper()
	writeFile(tb, path, func(w io.Writer) {
		fmt.Fprintf(w, "solid rippled plate\n")
		wavy(n, func(normal [3]float32, corners [3][3]float32) {
			fmt.Fprintf(w, "  facet normal %e %e %e\n    outer loop\n", normal[0], normal[1], normal[2])
			for _, v := range corners {
				fmt.Fprintf(w, "      vertex %e %e %e\n", v[0], v[1], v[2])
			}
			fmt.Fprintf(w, "    endloop\n  endfacet\n")
		})
		fmt.Fprintf(w, "endsolid rippled plate\n")
	})
}

func writeFile(tb testing.TB, path string, fill func(io.Writer)) {
	tb.Helper()
	file, err := os.Create(path)
	require.NoError(tb, err)
	w := bufio.NewWriterSize(file, 1<<20)
	fill(w)
	require.NoError(tb, w.Flush())
	require.NoError(tb, file.Sync())
	require.NoError(tb, file.Close())
}

// synced is a sink of real files, on the disk when they are closed.
type synced struct{ folder string }

func (s synced) Create(name string) (io.WriteCloser, error) {
	f, err := os.Create(filepath.Join(s.folder, name))
	return syncedFile{f}, err
}

func (s synced) Carry(name, source string) error {
	return fmt.Errorf("%s: STL has no companions", name)
}

type syncedFile struct{ *os.File }

func (f syncedFile) Close() error {
	if err := f.Sync(); err != nil {
		return err
	}
	return f.File.Close()
}

func benchmarkRescale(b *testing.B, write func(testing.TB, string, int)) {
	folder := b.TempDir()
	path := filepath.Join(folder, "in.stl")
	write(b, path, million)
	f, err := Open(context.Background(), path, nil)
	require.NoError(b, err)
	b.SetBytes(f.Bytes())
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, f.Rescale(context.Background(), synced{folder}, "out.stl", 0.235, nil))
	}
}

func BenchmarkRescaleBinary1M(b *testing.B) { benchmarkRescale(b, writeBinary) }
func BenchmarkRescaleASCII1M(b *testing.B)  { benchmarkRescale(b, writeText) }

// The limit: the same bytes from file to disk with nothing done to them.
func benchmarkCopySync(b *testing.B, write func(testing.TB, string, int)) {
	folder := b.TempDir()
	path := filepath.Join(folder, "in.stl")
	write(b, path, million)
	info, err := os.Stat(path)
	require.NoError(b, err)
	b.SetBytes(info.Size())
	for b.Loop() {
		in, err := os.Open(path)
		require.NoError(b, err)
		out, err := synced{folder}.Create("out.stl")
		require.NoError(b, err)
		// Hidden, so that the bytes really go through memory as they do for cp.
		_, err = io.CopyBuffer(struct{ io.Writer }{out}, struct{ io.Reader }{in}, make([]byte, 1<<20))
		require.NoError(b, err)
		require.NoError(b, out.Close())
		require.NoError(b, in.Close())
	}
}

func BenchmarkCopySyncBinary(b *testing.B) { benchmarkCopySync(b, writeBinary) }
func BenchmarkCopySyncASCII(b *testing.B)  { benchmarkCopySync(b, writeText) }

func benchmarkOpen(b *testing.B, write func(testing.TB, string, int)) {
	path := filepath.Join(b.TempDir(), "in.stl")
	write(b, path, million)
	b.ReportAllocs()
	for b.Loop() {
		f, err := Open(context.Background(), path, nil)
		require.NoError(b, err)
		b.SetBytes(f.Bytes())
	}
}

func BenchmarkOpenBinary1M(b *testing.B) { benchmarkOpen(b, writeBinary) }
func BenchmarkOpenASCII1M(b *testing.B)  { benchmarkOpen(b, writeText) }

func BenchmarkMeshBinary1M(b *testing.B) {
	path := filepath.Join(b.TempDir(), "in.stl")
	writeBinary(b, path, million)
	f, err := Open(context.Background(), path, nil)
	require.NoError(b, err)
	b.SetBytes(f.Bytes())
	b.ReportAllocs()
	for b.Loop() {
		_, err := f.Mesh(context.Background(), 0, nil)
		require.NoError(b, err)
	}
}

func benchmarkPeer(b *testing.B, write func(testing.TB, string, int), n int) {
	folder := b.TempDir()
	path := filepath.Join(folder, "in.stl")
	write(b, path, n)
	info, err := os.Stat(path)
	require.NoError(b, err)
	b.SetBytes(info.Size())
	for b.Loop() {
		solid, err := peer.ReadFile(path)
		require.NoError(b, err)
		solid.Scale(0.235)
		out := filepath.Join(folder, "out.stl")
		require.NoError(b, solid.WriteFile(out))
		f, err := os.OpenFile(out, os.O_RDWR, 0)
		require.NoError(b, err)
		require.NoError(b, syncedFile{f}.Close())
	}
}

func BenchmarkPeerBinary1M(b *testing.B)  { benchmarkPeer(b, writeBinary, million) }
func BenchmarkPeerASCII100K(b *testing.B) { benchmarkPeer(b, writeText, million/10) }
