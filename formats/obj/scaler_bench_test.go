package obj

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
)

// plate is the text of the rippled plate, about an origin.
func plate(tb testing.TB, n int, origin geom.Vec) []byte {
	var vertices [][3]float32
	formattest.Plate(n, func(_ [3]float32, corners [3][3]float32) {
		vertices = append(vertices, corners[:]...)
	})
	m, err := mesh.New("plate", origin, vertices, nil)
	require.NoError(tb, err)
	var b bytes.Buffer
	require.NoError(tb, Encode(tb.Context(), &b, []*mesh.Mesh{m}, 1, geom.Pose{}, nil))
	return b.Bytes()
}

// BenchmarkScaler is the computing alone, on one core, of texts of a hundred thousand
// triangles.
func BenchmarkScaler(b *testing.B) {
	for _, c := range []struct {
		name string
		text []byte
	}{
		{"plate", plate(b, 100_000, geom.Vec{})},
		{"torus", torus(224, false)},
		{"plate-wide", plate(b, 100_000, geom.Vec{1. / 3, 1. / 7, 1. / 11})},
		{"torus-wide", torus(224, true)},
	} {
		b.Run(c.name, func(b *testing.B) {
			s := scaler{factor: 0.2173913, wide: strings.HasSuffix(c.name, "wide")}
			var dst []byte
			b.SetBytes(int64(len(c.text)))
			for b.Loop() {
				var t *trouble
				dst, t = s.rescale(dst[:0], c.text, true)
				require.Nil(b, t)
			}
		})
	}
}
