package obj

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
)

// areaOf is the area of the triangles that p is cut into, and their vector area.
func areaOf(t *testing.T, p []geom.Vec) (area float64, vector geom.Vec) {
	t.Helper()
	var c clipper
	triangles := c.cut(p)
	require.Len(t, triangles, len(p)-2)
	edges := map[[2]int32]int{}
	for _, k := range triangles {
		n := p[k[1]].Sub(p[k[0]]).Cross(p[k[2]].Sub(p[k[0]]))
		area += n.Len() / 2
		vector = vector.Add(n.Scale(0.5))
		for i := range k {
			edges[[2]int32{k[i], k[(i+1)%3]}]++
		}
	}
	// The outline's edges once, the inner ones once each way: the surface stays closed.
	for i := range p {
		edges[[2]int32{int32((i + 1) % len(p)), int32(i)}]++
	}
	for e, n := range edges {
		if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
			t.Fatalf("edge %v runs %d times, and %d times back", e, n, edges[[2]int32{e[1], e[0]}])
		}
	}
	return area, vector
}

func TestPolygonArea(t *testing.T) {
	for _, c := range []struct {
		name string
		area float64
		flat [][2]float64
	}{
		{"square", 1, [][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}}},
		{"dart", 4, [][2]float64{{0, 0}, {4, 2}, {0, 4}, {2, 2}}},
		{"dart from its notch", 4, [][2]float64{{2, 2}, {0, 0}, {4, 2}, {0, 4}}},
		{"corner on an edge", 6, [][2]float64{{0, 0}, {2, 0}, {4, 0}, {0, 3}}},
		{"first corner on an edge", 6, [][2]float64{{2, 0}, {4, 0}, {0, 3}, {0, 0}}},
		{"angle", 3, [][2]float64{{0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2}}},
		{"comb", 12, [][2]float64{{0, 0}, {7, 0}, {7, 3}, {6, 3}, {6, 1}, {5, 1}, {5, 2}, {4, 2}, {4, 1}, {3, 1}, {3, 2}, {2, 2}, {2, 1}, {1, 1}, {1, 2}, {0, 2}}},
		{"frame with a slit", 8, [][2]float64{{0, 0}, {3, 0}, {3, 3}, {0, 3}, {0, 0}, {1, 1}, {1, 2}, {2, 2}, {2, 1}, {1, 1}}},
		{"doubled corner", 1, [][2]float64{{0, 0}, {1, 0}, {1, 0}, {1, 1}, {0, 1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := len(c.flat)
			for start := range n { // whichever corner comes first
				for axis := range 3 { // however it lies
					for _, away := range []bool{false, true} {
						p := make([]geom.Vec, n)
						for i := range p {
							q := c.flat[(start+i)%n]
							if away {
								q = c.flat[(start+n-i)%n]
							}
							p[i][axis], p[i][(axis+1)%3], p[i][(axis+2)%3] = q[0], q[1], 7+0.5*q[0]
						}
						slope := math.Sqrt(1 + 0.25)
						if c.name == "frame with a slit" || c.name == "doubled corner" {
							var k clipper
							area := 0.0
							for _, x := range k.cut(p) {
								area += p[x[1]].Sub(p[x[0]]).Cross(p[x[2]].Sub(p[x[0]])).Len() / 2
							}
							require.InDelta(t, c.area*slope, area, 1e-12)
							continue
						}
						area, vector := areaOf(t, p)
						require.InDelta(t, c.area*slope, area, 1e-12)
						require.InDelta(t, c.area*slope, vector.Len(), 1e-12)
					}
				}
			}
		})
	}
}

// Any polygon that does not cross itself has the area that its outline gives, and its
// triangles face as it does. Those that run around a point in the order of the angle are
// such polygons.
func TestPolygonStars(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 0))
	for range 300 {
		n := 4 + r.IntN(60)
		if r.IntN(100) == 0 {
			n = 5000
		}
		p := make([]geom.Vec, n)
		want := 0.0
		for i := range p {
			a, d := 2*math.Pi*float64(i)/float64(n), 1+20*r.Float64()
			p[i] = geom.Vec{d * math.Cos(a), d * math.Sin(a), 3}
		}
		for i := range p {
			want += p[i].Cross(p[(i+1)%n])[2] / 2
		}
		// z is not 0: the cross product's z does not care.
		area, vector := areaOf(t, p)
		require.InDelta(t, want, area, 1e-10*want)
		require.InDelta(t, want, vector[2], 1e-10*want)
	}
}

// Polygons without area, crossing themselves, or huge: some triangles, and soon.
func TestPolygonsWithoutEars(t *testing.T) {
	var c clipper
	require.Len(t, c.cut([]geom.Vec{{1, 1, 1}, {1, 1, 1}, {1, 1, 1}, {1, 1, 1}}), 2)
	require.Len(t, c.cut([]geom.Vec{{0, 0, 0}, {1, 1, 0}, {1, 0, 0}, {0, 1, 0}}), 2)
	require.Len(t, c.cut([]geom.Vec{{0, 0, 0}, {1, 0, 0}, {2, 0, 0}, {3, 0, 0}, {4, 0, 0}}), 3)
	const n = 50_000
	p := make([]geom.Vec, n)
	for i := range p { // a saw blade: every other corner is a notch
		d := 10 + float64(i%2)
		a := 2 * math.Pi * float64(i) / n
		p[i] = geom.Vec{d * math.Cos(a), d * math.Sin(a), 0}
	}
	require.Len(t, c.cut(p), n-2)
	// One that could take for ever.
	for i := range p {
		p[i] = geom.Vec{float64(i), math.Sin(float64(i)) * 1000, 0}
	}
	require.Len(t, c.cut(p), n-2)
}
