package mesh_test

import (
	"math"
	"math/big"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
)

// near fails the test when got is further from want than a fraction of it.
func near(t *testing.T, what string, got, want, fraction float64) {
	t.Helper()
	if !(math.Abs(got-want) <= fraction*math.Abs(want)) {
		t.Errorf("%s is %.12g, want %.12g within %g", what, got, want, fraction)
	}
}

// rounding is what float32 vertices leave of an area or a volume.
const rounding = 3e-7

func TestMeasuresOfKnownSolids(t *testing.T) {
	ngon := func(n float64) (volume, area float64) { // radius 1, height 2
		return n * math.Sin(2*math.Pi/n), n*math.Sin(2*math.Pi/n) + 4*n*math.Sin(math.Pi/n)
	}
	prism7, prism7Area := ngon(7)
	for _, c := range []struct {
		name         string
		mesh         *mesh.Mesh
		triangles    int
		volume, area float64 // closed forms; torus and prisms also to 10 digits, computed
	}{
		{"cube", meshtest.Cube(1), 12, 1, 6},
		{"box", meshtest.Box(geom.Vec{-1, 2, 3}, geom.Vec{1, 5, 7}), 12, 24, 52},
		{"corner tetrahedron", meshtest.Corner(1), 4, 1. / 6, 1.5 + math.Sqrt(3)/2},
		{"regular tetrahedron", meshtest.Tetrahedron(1), 4, math.Sqrt2 / 12, math.Sqrt(3)},
		{"icosahedron", meshtest.Icosahedron(1), 20, 5 * (3 + math.Sqrt(5)) / 12, 5 * math.Sqrt(3)},
		{"torus 48 by 24", meshtest.Torus(3, 1, 48, 24), 2304, 58.3764441372, 117.8867156601},
		{"torus 12 by 8", meshtest.Torus(3, 1, 12, 8), 192, 50.9116882454, 0},
		{"torus 3 by 3", meshtest.Torus(3, 1, 3, 3), 18, 10.125, 0},
		{"prism of 12", meshtest.Prism(1, 2, 12), 44, 6, 18.4233141649},
		{"prism of 24", meshtest.Prism(1, 2, 24), 92, 6.2116570825, 18.7421715355},
		{"prism of 7", meshtest.Prism(1, 2, 7), 24, prism7, prism7Area},
		{"tube", meshtest.Tube(10, 1, 20), 768,
			48 * math.Sin(2*math.Pi/96) * (25 - 16) * 20,
			48*math.Sin(2*math.Pi/96)*(25-16)*2 + 2*96*math.Sin(math.Pi/96)*(5+4)*20},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := mesh.MeasuresOf(c.mesh)
			if got.Triangles != c.triangles || got.Degenerate != 0 {
				t.Errorf("%d triangles, %d without area; want %d and none", got.Triangles, got.Degenerate, c.triangles)
			}
			near(t, "volume", got.Volume, c.volume, rounding)
			if c.area != 0 {
				near(t, "area", got.Area, c.area, rounding)
			}
			flipped := mesh.MeasuresOf(meshtest.Flip(c.mesh))
			near(t, "volume inside out", flipped.Volume, -c.volume, rounding)
			if flipped.Area != got.Area || flipped.Box != got.Box {
				t.Errorf("inside out: area %v and box %v, were %v and %v", flipped.Area, flipped.Box, got.Area, got.Box)
			}
		})
	}
}

// A ball of triangles comes nearer to the ball from inside, with the square of their size.
func TestSphereInTheLimit(t *testing.T) {
	volume, area := 4*math.Pi/3, 4*math.Pi
	last := math.Inf(1)
	for _, n := range []int{4, 8, 16, 32, 64} {
		got := mesh.MeasuresOf(meshtest.Sphere(1, n))
		lackV, lackS := 1-got.Volume/volume, 1-got.Area/area
		if !(lackV > 0 && lackS > 0 && lackV < last/3.5) {
			t.Errorf("cut in %d: volume lacks %g, area %g, the volume before lacked %g", n, lackV, lackS, last)
		}
		last = lackV
	}
}

func TestCentroid(t *testing.T) {
	for _, c := range []struct {
		name string
		mesh *mesh.Mesh
		want geom.Vec
	}{
		{"box", meshtest.Box(geom.Vec{1, 2, 3}, geom.Vec{3, 6, 9}), geom.Vec{2, 4, 6}},
		{"corner tetrahedron", meshtest.Corner(4), geom.Vec{1, 1, 1}},
		// Two boxes of 1 and 8: the volume decides, not the surface.
		{"two boxes", meshtest.Joined(meshtest.Cube(1), meshtest.Box(geom.Vec{10, 0, 0}, geom.Vec{12, 2, 2})),
			geom.Vec{(0.5*1 + 11*8) / 9, (0.5 + 8) / 9, (0.5 + 8) / 9}},
		{"sheet", meshtest.Made("sheet", [][3]float32{{0, 0, 5}, {3, 0, 5}, {0, 3, 5}}, [][3]uint32{{0, 1, 2}}), geom.Vec{1, 1, 5}},
		{"point", meshtest.Made("point", [][3]float32{{7, 8, 9}}, [][3]uint32{{0, 0, 0}}), geom.Vec{7, 8, 9}},
	} {
		if got := mesh.MeasuresOf(c.mesh).Centroid; got.Sub(c.want).Len() > 1e-12*(1+c.want.Len()) {
			t.Errorf("%s: centroid %v, want %v", c.name, got, c.want)
		}
	}
}

func TestMeasuresOfNothing(t *testing.T) {
	got := mesh.MeasuresOf(&mesh.Mesh{})
	if !got.Box.Empty() || got.Triangles != 0 || got.Area != 0 || got.Volume != 0 {
		t.Errorf("no triangles measure %+v", got)
	}
	line := mesh.MeasuresOf(meshtest.Made("line", [][3]float32{{0, 0, 0}, {1, 0, 0}, {2, 0, 0}}, [][3]uint32{{0, 1, 2}}))
	if line.Degenerate != 1 || line.Area != 0 || line.Box.Size() != (geom.Vec{2, 0, 0}) {
		t.Errorf("three points in a row measure %+v", line)
	}
}

// Lengths go with the factor, areas with its square, volumes with its cube.
func TestMeasuresScale(t *testing.T) {
	for seed := range uint64(20) {
		m := meshtest.Jitter(meshtest.Torus(3, 1, 24, 12), 0.05, seed)
		whole := mesh.MeasuresOf(m)
		for _, f := range []float64{0.5, 2, 1. / 87, 25.4, 0.2350} {
			scaled := mesh.MeasuresOf(meshtest.Scaled(m, f))
			near(t, "area", scaled.Area, whole.Area*f*f, 1e-6)
			near(t, "volume", scaled.Volume, whole.Volume*f*f*f, 1e-6)
			for i := range 3 {
				near(t, "size", scaled.Box.Size()[i], whole.Box.Size()[i]*f, 1e-6)
			}
			if f == 0.5 || f == 2 { // powers of two lose nothing
				if scaled.Volume != whole.Volume*f*f*f || scaled.Area != whole.Area*f*f {
					t.Errorf("times %v: volume %v and area %v are not exact", f, scaled.Volume, scaled.Area)
				}
			}
		}
	}
}

// A part a thousand metres from its file's origin measures as it does near it.
func TestFarFromOrigin(t *testing.T) {
	for seed := range uint64(10) {
		m := meshtest.Jitter(meshtest.Torus(3, 1, 48, 24), 0.02, seed)
		here := mesh.MeasuresOf(m)
		far := *m
		far.Origin = geom.Vec{1e6, -1e6, 1e6}
		there := mesh.MeasuresOf(&far)
		near(t, "area", there.Area, here.Area, 1e-9)
		near(t, "volume", there.Volume, here.Volume, 1e-9)
		if d := there.Centroid.Sub(far.Origin).Sub(here.Centroid).Len(); d > 1e-8 {
			t.Errorf("centroid is off by %g", d)
		}
	}
}

// Many accumulators, merged, measure what one does.
func TestMerge(t *testing.T) {
	m := meshtest.Jitter(meshtest.Sphere(10, 20), 0.3, 1)
	whole := mesh.MeasuresOf(m)
	about := m.Vertex(0)
	var pieces [7]*mesh.Accumulator
	for i := range pieces {
		pieces[i] = mesh.NewAccumulator(about)
	}
	for i := range m.Len() {
		pieces[i*len(pieces)/m.Len()].Add(m.Triangle(i))
	}
	sum := mesh.NewAccumulator(about)
	sum.Merge(mesh.NewAccumulator(about)) // an idle worker's
	for _, p := range pieces {
		sum.Merge(p)
	}
	got := sum.Measures()
	if got.Triangles != whole.Triangles || got.Box != whole.Box {
		t.Errorf("merged %d triangles in %v, want %d in %v", got.Triangles, got.Box, whole.Triangles, whole.Box)
	}
	near(t, "area", got.Area, whole.Area, 1e-14)
	near(t, "volume", got.Volume, whole.Volume, 1e-14)
}

// The volume agrees with exact arithmetic on the float32 vertices.
func TestVolumeExact(t *testing.T) {
	for seed := range uint64(8) {
		m := meshtest.Jitter(meshtest.Torus(3, 1, 40, 20), 0.2, seed)
		want, _ := exactVolume(m).Float64()
		size := mesh.MeasuresOf(m).Box.Size()
		if got := mesh.MeasuresOf(m).Volume; math.Abs(got-want) > 1e-12*size[0]*size[1]*size[2] {
			t.Errorf("seed %d: volume %.17g, exactly %.17g", seed, got, want)
		}
	}
}

// exactVolume sums a·(b×c)/6 in rational numbers.
func exactVolume(m *mesh.Mesh) *big.Rat {
	rat := func(v geom.Vec) (r [3]*big.Rat) {
		for i := range v {
			r[i] = new(big.Rat).SetFloat64(v[i])
		}
		return r
	}
	product := func(x, y, z *big.Rat) *big.Rat {
		p := new(big.Rat).Mul(x, y)
		return p.Mul(p, z)
	}
	sum := new(big.Rat)
	for i := range m.Len() {
		va, vb, vc := m.Triangle(i)
		a, b, c := rat(va), rat(vb), rat(vc)
		for k := range 3 {
			l, n := (k+1)%3, (k+2)%3
			sum.Add(sum, product(a[k], b[l], c[n]))
			sum.Sub(sum, product(a[k], b[n], c[l]))
		}
	}
	return sum.Quo(sum, big.NewRat(6, 1))
}
