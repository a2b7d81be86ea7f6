package threemf

import (
	"bytes"
	"compress/flate"
	"context"
	"fmt"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
)

// plate is a package of a million triangles.
func plate(b *testing.B) []byte {
	b.Helper()
	var vertices [][3]float32
	formattest.Plate(1_000_000, func(_ [3]float32, corners [3][3]float32) { vertices = append(vertices, corners[:]...) })
	m, err := mesh.New("plate", geom.Vec{}, vertices, nil)
	require.NoError(b, err)
	var out bytes.Buffer
	require.NoError(b, Encode(context.Background(), &out, About{}, 1, bodies(1, geom.Pose{}, m), nil))
	return out.Bytes()
}

func BenchmarkOpen1M(b *testing.B) {
	path := saved(b, plate(b))
	for b.Loop() {
		_, err := Open(context.Background(), path, nil)
		require.NoError(b, err)
	}
}

func BenchmarkMesh1M(b *testing.B) {
	f := opened(b, plate(b))
	for b.Loop() {
		_, err := f.Mesh(context.Background(), 0, nil)
		require.NoError(b, err)
	}
}

func BenchmarkRescale1M(b *testing.B) {
	f := opened(b, plate(b))
	to := formattest.Synced(b.TempDir())
	for b.Loop() {
		require.NoError(b, f.Rescale(context.Background(), to, "copy.3mf", deliver.Change{Factor: 0.235}, nil))
	}
}

// BenchmarkUnfold is the least that reading takes, and BenchmarkScan what the scanner adds.
func BenchmarkUnfold1M(b *testing.B) {
	content := plate(b)
	for b.Loop() {
		parts, err := unpacked(content)
		require.NoError(b, err)
		b.SetBytes(int64(len(parts[2].text)))
	}
}

func BenchmarkScan1M(b *testing.B) {
	parts, err := unpacked(plate(b))
	require.NoError(b, err)
	text := parts[2].text
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		s := newScanner(&slow{text, window}, nil)
		for {
			k, err := s.next()
			require.NoError(b, err)
			if k == endOfText {
				break
			}
			if k == endTag {
				s.close()
			}
		}
	}
}

// BenchmarkDeflate packs the model of a million triangles by one goroutine at each level,
// and as the program does: how long it takes, and how large it becomes.
func BenchmarkDeflate(b *testing.B) {
	parts, err := unpacked(plate(b))
	require.NoError(b, err)
	text := []byte(parts[2].text)
	for _, level := range []int{0, 1, 2, 3, 4, 5, 6} {
		name := fmt.Sprintf("level-%d", level)
		if level == 0 {
			name = "blocks"
		}
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			var size int
			for b.Loop() {
				var out bytes.Buffer
				var w io.WriteCloser = newDeflater(&out)
				if level > 0 {
					w, err = flate.NewWriter(&out, level)
					require.NoError(b, err)
				}
				for rest := text; len(rest) > 0; rest = rest[min(len(rest), window):] {
					_, err := w.Write(rest[:min(len(rest), window)])
					require.NoError(b, err)
				}
				require.NoError(b, w.Close())
				size = out.Len()
			}
			b.ReportMetric(100*float64(size)/float64(len(text)), "%size")
		})
	}
}
