package obj

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/formats/formattest"
)

// Benchmarks: compare BenchmarkRescale1M with BenchmarkCopySync of the same run, which
// copies the same file and is the limit that the disk sets.

// torus is the text of a torus of n × n quadrilaterals cut into 2n² triangles: float32
// numbers printed with six decimals, as most programs write them, or else float64 numbers
// with nine.
func torus(n int, wide bool) []byte {
	digits, round := 6, func(x float64) float64 { return float64(float32(x)) }
	if wide {
		digits, round = 9, func(x float64) float64 { return x }
	}
	var b bytes.Buffer
	b.WriteString("# a torus\no torus\n")
	for i := range n {
		for j := range n {
			u, v := 2*math.Pi*float64(i)/float64(n), 2*math.Pi*float64(j)/float64(n)
			r := 40 + 12*math.Cos(v)
			fmt.Fprintf(&b, "v %.*f %.*f %.*f\n", digits, round(r*math.Cos(u)), digits, round(r*math.Sin(u)), digits, round(12*math.Sin(v)))
		}
	}
	for i := range n {
		for j := range n {
			at := func(i, j int) int { return i%n*n + j%n + 1 }
			fmt.Fprintf(&b, "f %d %d %d\nf %d %d %d\n",
				at(i, j), at(i+1, j), at(i+1, j+1), at(i, j), at(i+1, j+1), at(i, j+1))
		}
	}
	return b.Bytes()
}

// million saves a torus of a million triangles.
func million(b *testing.B, wide bool) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "torus.obj")
	text := torus(708, wide)
	require.NoError(b, os.WriteFile(path, text, 0o600))
	b.SetBytes(int64(len(text)))
	return path
}

func BenchmarkRescale1M(b *testing.B) { benchmarkRescale(b, false) }

func BenchmarkRescaleWide1M(b *testing.B) { benchmarkRescale(b, true) }

func benchmarkRescale(b *testing.B, wide bool) {
	path := million(b, wide)
	f, err := Open(context.Background(), path, nil)
	require.NoError(b, err)
	require.Equal(b, wide, f.wide)
	to := formattest.Synced(b.TempDir())
	for b.Loop() {
		require.NoError(b, f.Rescale(context.Background(), to, "copy.obj", deliver.Change{Factor: 0.235}, nil))
	}
}

func BenchmarkCopySync(b *testing.B) {
	path := million(b, false)
	to := formattest.Synced(b.TempDir())
	for b.Loop() {
		in, err := os.Open(path)
		require.NoError(b, err)
		out, err := to.Create("copy.obj")
		require.NoError(b, err)
		_, err = io.Copy(out, in)
		require.NoError(b, err)
		require.NoError(b, out.Close())
		in.Close()
	}
}

func BenchmarkOpen1M(b *testing.B) {
	path := million(b, false)
	for b.Loop() {
		_, err := Open(context.Background(), path, nil)
		require.NoError(b, err)
	}
}

func BenchmarkMesh1M(b *testing.B) {
	f, err := Open(context.Background(), million(b, false), nil)
	require.NoError(b, err)
	for b.Loop() {
		_, err := f.Mesh(context.Background(), 0, nil)
		require.NoError(b, err)
	}
}
