package mesh_test

import (
	"context"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
)

func closes(t *testing.T, m *mesh.Mesh) bool {
	t.Helper()
	ok, err := mesh.Closes(t.Context(), m)
	require.NoError(t, err)
	return ok
}

// seamBox is a closed box, as a soup or with shared corners.
func seamBox(t *testing.T, soup bool) *mesh.Mesh {
	vertices := [][3]float32{{0, 0, 0}, {1, 0, 0}, {1, 2, 0}, {0, 2, 0}, {0, 0, 3}, {1, 0, 3}, {1, 2, 3}, {0, 2, 3}}
	triangles := [][3]uint32{{0, 2, 1}, {0, 3, 2}, {4, 5, 6}, {4, 6, 7}, {0, 1, 5}, {0, 5, 4}, {1, 2, 6}, {1, 6, 5}, {2, 3, 7}, {2, 7, 6}, {3, 0, 4}, {3, 4, 7}}
	m, err := mesh.New("box", geom.Vec{}, vertices, triangles)
	require.NoError(t, err)
	if soup {
		return meshtest.Soup(m)
	}
	return m
}

// What is closed closes, and neither does a hole, a turned triangle, nor a moved corner; what has
// a corner rounded into another does, and so does minus nought.
func TestCloses(t *testing.T) {
	is := func(m *mesh.Mesh) bool {
		ok := closes(t, m)
		top, err := mesh.TopologyOf(t.Context(), m, nil)
		require.NoError(t, err)
		if top.Closed {
			require.True(t, ok)
		}
		return ok
	}
	for _, soup := range []bool{false, true} {
		require.True(t, is(seamBox(t, soup)))
	}
	for k := range 12 {
		m := seamBox(t, false)
		m.Triangles = append(m.Triangles[:k:k], m.Triangles[k+1:]...)
		require.False(t, is(m))
		m = seamBox(t, false)
		m.Triangles[k][0], m.Triangles[k][1] = m.Triangles[k][1], m.Triangles[k][0]
		require.False(t, is(m))
	}
	for k := range 36 {
		m := seamBox(t, true)
		m.Vertices[k][k%3] += 1e-6
		require.Equal(t, m.Vertices[k] == seamBox(t, true).Vertices[k], is(m))
		m = seamBox(t, true)
		for axis, x := range m.Vertices[k] {
			if x == 0 {
				m.Vertices[k][axis] = float32(math.Copysign(0, -1))
			}
		}
		require.True(t, is(m))
	}
	m := seamBox(t, false)
	m.Vertices[1] = m.Vertices[0]
	require.True(t, is(m))
	require.True(t, is(&mesh.Mesh{}))
}

// Closing by the sum is closing by counting every edge, whatever triangles there are: few corners
// on a lattice, so that sums of regular coordinates have every chance to cancel.
func TestClosesAgainstCounting(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	closed := 0
	for range 3000 {
		var corners [][3]float32
		n := 1 + r.IntN(8)
		for range n {
			a, b, c := point(r), point(r), point(r)
			corners = append(corners, a, b, c)
			switch r.IntN(3) { // most of it is closed by its own back, or by one that is shifted
			case 0:
				corners = append(corners, b, a, c)
			case 1:
				corners = append(corners, c, b, a)
			}
		}
		m, err := mesh.New("", geom.Vec{}, corners, nil)
		require.NoError(t, err)
		edges := map[[2][3]float32]int{}
		for i := 0; i < len(corners); i += 3 {
			for k := range 3 {
				a, b := corners[i+k], corners[i+(k+1)%3]
				edges[[2][3]float32{a, b}]++
				edges[[2][3]float32{b, a}]--
			}
		}
		want := true
		for _, n := range edges {
			want = want && n == 0
		}
		if want {
			closed++
		}
		require.Equal(t, want, closes(t, m), "%v", corners)
	}
	require.Greater(t, closed, 100)
	require.Less(t, closed, 2900)
}

func point(r *rand.Rand) [3]float32 {
	return [3]float32{float32(r.IntN(3)), float32(r.IntN(2)), float32(r.IntN(2))}
}

// Two open pieces of the same shape, one of them inside out, do not close each other.
func TestSeamKnowsPlaces(t *testing.T) {
	for _, by := range []float32{1, 2, 0.5, 1024} {
		m, err := mesh.New("", geom.Vec{}, [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {by, 1, 0}, {1 + by, 0, 0}, {by, 0, 0}}, nil)
		require.NoError(t, err)
		require.False(t, closes(t, m))
	}
}

// The order and the pieces do not matter.
func TestSeamMerges(t *testing.T) {
	m := meshtest.Soup(meshtest.Torus(30, 10, 40, 20))
	at := func(i int) mesh.Corner {
		v := m.Vertices[i]
		return mesh.CornerOf(math.Float32bits(v[0]), math.Float32bits(v[1]), math.Float32bits(v[2]))
	}
	var all, odd, even mesh.Seam
	for i := 0; i < len(m.Vertices); i += 3 {
		into := &even
		if i%2 == 1 {
			into = &odd
		}
		into.Add(at(i), at(i+1), at(i+2))
	}
	require.False(t, odd.Closed())
	require.False(t, even.Closed())
	all.Merge(odd)
	all.Merge(even)
	require.True(t, all.Closed())

	// Packed, with something between them, they are the same.
	for _, every := range []int{36, 50} {
		var packed []byte
		for i, v := range m.Vertices {
			for _, x := range v {
				packed = binary.LittleEndian.AppendUint32(packed, math.Float32bits(x))
			}
			if i%3 == 2 {
				packed = append(packed, make([]byte, every-36)...)
			}
		}
		for _, n := range []int{0, 1, 7, m.Len()} {
			var one, many mesh.Seam
			for i := range 3 * n {
				if i%3 == 0 {
					one.Add(at(i), at(i+1), at(i+2))
				}
			}
			many.AddPacked(packed[:n*every], every)
			require.Equal(t, one, many)
		}
	}
}

func TestClosesStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := mesh.Closes(ctx, seamBox(t, true))
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkCloses(b *testing.B) {
	m := million()
	for b.Loop() {
		if ok, err := mesh.Closes(context.Background(), m); err != nil || !ok {
			b.Fatal(ok, err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(m.Len()), "ns/triangle")
}
