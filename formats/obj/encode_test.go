package obj

import (
	"bytes"
	"context"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

func encoded(t *testing.T, factor float64, meshes ...*mesh.Mesh) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Encode(context.Background(), &b, meshes, factor, geom.Pose{}, nil))
	return b.String()
}

// soup is m with three vertices of its own for each triangle.
func soup(t *testing.T, m *mesh.Mesh) *mesh.Mesh {
	t.Helper()
	var vs [][3]float32
	for i := range m.Len() {
		for _, c := range m.Corners(i) {
			vs = append(vs, m.Vertices[c])
		}
	}
	s, err := mesh.New(m.Name, m.Origin, vs, nil)
	require.NoError(t, err)
	return s
}

func TestEncode(t *testing.T) {
	f := mustOpen(t, tetra)
	m, err := f.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	want := "o part\n" + tetra
	require.Equal(t, want, encoded(t, 1, m))
	got := mustOpen(t, encoded(t, 25.4, soup(t, m), m, soup(t, m)))
	require.Len(t, got.Parts(), 1, "three objects of one name are one")
	require.Equal(t, 12, got.Parts()[0].Triangles)
	require.InEpsilon(t, 3*math.Pow(25.4, 3)/6, got.Parts()[0].Volume, 1e-6)

	back, err := mustOpen(t, encoded(t, 1, soup(t, m))).Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	require.Len(t, back.Vertices, 4, "welded")
	topology, err := mesh.TopologyOf(context.Background(), back, nil)
	require.NoError(t, err)
	require.True(t, topology.Closed)
}

// Zero is zero, whatever its sign.
func TestEncodeWeldsZeros(t *testing.T) {
	zero := float32(math.Copysign(0, -1))
	m, err := mesh.New("z", geom.Vec{}, [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {zero, zero, 0}, {0, 1, zero}, {0, 0, 1}}, nil)
	require.NoError(t, err)
	back, err := mustOpen(t, encoded(t, 1, m)).Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	require.Len(t, back.Vertices, 4)
}

// A part far from the origin keeps its digits.
func TestEncodeFarAway(t *testing.T) {
	m, err := mesh.New("far", geom.Vec{1e8, 0, 0}, [][3]float32{{0, 0, 0}, {0.125, 0, 0}, {0, 1, 0}}, nil)
	require.NoError(t, err)
	p := mustOpen(t, encoded(t, 2, m)).Parts()[0]
	require.Equal(t, geom.Vec{2e8, 0, 0}, p.Box.Min)
	require.Equal(t, geom.Vec{2e8 + 0.25, 2, 0}, p.Box.Max)
}

func TestEncodeNames(t *testing.T) {
	for name, want := range map[string]string{
		"mast top": "mast top", "a\nv 1 2 3": "a v 1 2 3", " \t ": "part", "": "part", `end\`: "end", `end \ \`: "end",
		"mât\r": "mât", "x\x00y": "x y", "bad\xff": "bad\ufffd", "a # b": "a # b",
	} {
		m, err := mesh.New(name, geom.Vec{}, [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, nil)
		require.NoError(t, err)
		parts := mustOpen(t, encoded(t, 1, m)).Parts()
		require.Len(t, parts, 1)
		require.Equal(t, want, parts[0].Name)
	}
}

func TestEncodeRefuses(t *testing.T) {
	m, err := mesh.New("m", geom.Vec{}, [][3]float32{{1e30, 0, 0}, {1, 0, 0}, {0, 1, 0}}, nil)
	require.NoError(t, err)
	for _, factor := range []float64{0, -1, math.NaN(), math.Inf(1), 1e30} {
		code, _ := codeOf(t, Encode(context.Background(), &bytes.Buffer{}, []*mesh.Mesh{m}, factor, geom.Pose{}, nil))
		require.Equal(t, fault.TooLarge, code)
	}
	full := errors.New("disk full")
	require.ErrorIs(t, Encode(context.Background(), badSink{write: full}, []*mesh.Mesh{m}, 1, geom.Pose{}, nil), full)

	f, err := Open(context.Background(), save(t, "torus.obj", torus(60, false)), nil)
	require.NoError(t, err)
	big, err := f.Mesh(context.Background(), 0, nil)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	require.ErrorIs(t, Encode(ctx, &bytes.Buffer{}, []*mesh.Mesh{big}, 1, geom.Pose{}, nil), context.Canceled)
	require.NoError(t, Encode(context.Background(), &bytes.Buffer{}, []*mesh.Mesh{big, soup(t, big)}, 1, geom.Pose{}, rising(t)))
}
