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

	"scantling/engine/deliver"
	"scantling/formats/formattest"
)

const million = 1_000_000

// writeBinary makes a binary STL of n triangles.
func writeBinary(tb testing.TB, path string, n int) {
	tb.Helper()
	writeFile(tb, path, func(w io.Writer) {
		head := make([]byte, headerBytes)
		copy(head, "a rippled plate")
		binary.LittleEndian.PutUint32(head[80:], uint32(n))
		w.Write(head)
		facet := make([]byte, 0, facetBytes)
		formattest.Plate(n, func(normal [3]float32, corners [3][3]float32) {
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
		formattest.Plate(n, func(normal [3]float32, corners [3][3]float32) {
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

func benchmarkRescale(b *testing.B, write func(testing.TB, string, int)) {
	folder := b.TempDir()
	path := filepath.Join(folder, "in.stl")
	write(b, path, million)
	f, err := Open(context.Background(), path, nil)
	require.NoError(b, err)
	b.SetBytes(f.Bytes())
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, f.Rescale(context.Background(), formattest.Synced(folder), "out.stl", deliver.Change{Factor: 0.235}, nil))
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
		out, err := formattest.Synced(folder).Create("out.stl")
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
		require.NoError(b, f.Sync())
		require.NoError(b, f.Close())
	}
}

func BenchmarkPeerBinary1M(b *testing.B)  { benchmarkPeer(b, writeBinary, million) }
func BenchmarkPeerASCII100K(b *testing.B) { benchmarkPeer(b, writeText, million/10) }
