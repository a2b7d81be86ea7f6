package geom

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func sample2(rnd *rand.Rand, kind, n int) []Vec2 {
	p := make([]Vec2, n)
	turn := rnd.Float64()
	for i := range p {
		x, y := rnd.Float64(), rnd.Float64()
		switch kind {
		case 0: // a square
			p[i] = Vec2{x, y}
		case 1: // a coarse grid, with doubles and many on one line
			p[i] = Vec2{math.Floor(6 * x), math.Floor(6 * y)}
		case 2: // the same, turned, so that lines are lines but for rounding
			x, y = math.Floor(6*x), math.Floor(6*y)
			p[i] = Vec2{x*math.Cos(turn) - y*math.Sin(turn), x*math.Sin(turn) + y*math.Cos(turn)}
		case 3: // a circle
			p[i] = Vec2{math.Cos(7 * x), math.Sin(7 * x)}
		case 4: // nearly a line, far away
			p[i] = Vec2{1e6 + x, 1e6 + x + 1e-10*math.Floor(3*y)}
		case 5: // disc
			p[i] = Vec2{math.Sqrt(y) * math.Cos(7*x), math.Sqrt(y) * math.Sin(7*x)}
		case 6: // exactly one line
			p[i] = Vec2{math.Floor(8 * x), 3 * math.Floor(8*x)}
		}
	}
	return p
}

const kinds2 = 7

// A hull turns left everywhere, its corners are given points and all points are in it.
// All of that is asked of rational numbers.
func TestHull2(t *testing.T) {
	for seed := range uint64(700) {
		rnd := rand.New(rand.NewPCG(seed, 2))
		kind := int(seed) % kinds2
		points := sample2(rnd, kind, 1+rnd.IntN(120))
		hull := Hull2(slices.Clone(points))
		what := fmt.Sprintf("seed %d, kind %d, %d points, hull %v", seed, kind, len(points), hull)
		for i, a := range hull {
			if !slices.Contains(points, a) {
				t.Fatalf("%s: corner %d is not given", what, i)
			}
			b := hull[(i+1)%len(hull)]
			if len(hull) >= 3 && orient2Big(a, b, hull[(i+2)%len(hull)]) <= 0 {
				t.Fatalf("%s: no turn to the left after %d", what, i)
			}
			for _, p := range points {
				if orient2Big(a, b, p) < 0 {
					t.Fatalf("%s: %v is outside of side %d", what, p, i)
				}
			}
		}
		for _, p := range points {
			if len(hull) == 2 && !(p[0] >= hull[0][0] && p[0] <= hull[1][0]) || len(hull) == 1 && p != hull[0] || len(hull) == 0 {
				t.Fatalf("%s: %v is beyond", what, p)
			}
		}
	}
	nan := math.NaN()
	if got := Hull2([]Vec2{{nan, 1}, {1, 2}, {0, math.Inf(1)}, {1, 2}}); len(got) != 1 || got[0] != (Vec2{1, 2}) {
		t.Errorf("finite points among others: %v", got)
	}
	if got := Hull2(nil); len(got) != 0 {
		t.Errorf("no points: %v", got)
	}
}

// The exact turns agree with rational numbers where rounding would decide, and beyond the
// range in which expansions are exact.
func TestOrientExact(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 2))
	zeros, byBig := 0, 0
	for range 20000 {
		step := math.Ldexp(1, rnd.IntN(80)-70)
		unit := math.Ldexp(1, []int{0, 0, 0, -140, 100, -600, 350}[rnd.IntN(7)])
		near := func() float64 { return (0.5 + step*float64(rnd.IntN(3))) * unit }
		a, b, c := Vec2{near(), near()}, Vec2{12 * unit, 12 * unit}, Vec2{24 * unit, 24 * unit}
		want := orient2Big(a, b, c)
		if got := Orient2(a, b, c); got != want {
			t.Fatalf("%v %v %v turn %d, want %d", a, b, c, got, want)
		}
		p, q, r, s := Vec{near(), near(), near()}, Vec{12 * unit, 12 * unit, 24 * unit}, Vec{24 * unit, 24 * unit, 3 * unit}, Vec{-6 * unit, -6 * unit, unit}
		want = orient3Big(p, q, r, s)
		if got := Orient3(p, q, r, s); got != want {
			t.Fatalf("%v %v %v %v: %d, want %d", p, q, r, s, got, want)
		}
		if want == 0 {
			zeros++
		}
		var e exact
		if e.minus(q[0], p[0]); e.failed {
			byBig++
		}
	}
	if zeros < 1000 || byBig < 1000 {
		t.Errorf("only %d of 20000 flat, %d beyond expansions", zeros, byBig)
	}
}

func sample3(rnd *rand.Rand, kind, n int) []Vec {
	p := make([]Vec, n)
	for i := range p {
		x, y, z := rnd.Float64(), rnd.Float64(), rnd.Float64()
		grid := Vec{math.Floor(4 * x), math.Floor(4 * y), math.Floor(4 * z)}
		switch kind {
		case 0:
			p[i] = Vec{x, y, z}
		case 1: // doubles, lines and planes
			p[i] = grid
		case 2: // the same, turned
			p[i] = Vec{0.6*grid[0] - 0.8*grid[1], 0.8*grid[0] + 0.6*grid[1], grid[2]}
			p[i] = Vec{p[i][0], 0.28*p[i][1] - 0.96*p[i][2], 0.96*p[i][1] + 0.28*p[i][2]}
		case 3: // a sphere
			r := 2 * math.Sqrt(z*(1-z))
			p[i] = Vec{r * math.Cos(7*x), r * math.Sin(7*x), 2*z - 1}
		case 4: // two discs
			p[i] = Vec{math.Cos(math.Floor(99 * x)), math.Sin(math.Floor(99 * x)), math.Floor(2 * z)}
		case 5: // exactly a plane, askew
			p[i] = Vec{grid[0], grid[1], grid[0] - 2*grid[1]}
		case 6: // a plane but for rounding, far away
			p[i] = Vec{1e5 + x, y, 0.1*x + 0.7*y}
		case 7: // exactly a line
			p[i] = Vec{grid[0], -grid[0], 2 * grid[0]}
		case 8: // one place
			p[i] = Vec{1, 2, 3}
		case 9: // float32
			p[i] = Vec{float64(float32(x)), float64(float32(y * 1e-3)), float64(float32(z * 1e3))}
		case 10: // upright plane
			p[i] = Vec{grid[0], 7, grid[2]}
		case 12: // the faces of a cube, askew, filled with a grid
			grid = Vec{math.Floor(256 * x), math.Floor(256 * y), 256 * math.Floor(2*z)}
			for range i % 3 {
				grid = Vec{grid[1], grid[2], grid[0]}
			}
			p[i] = Vec{3*grid[0] - 4*grid[1], 4*grid[0] + 3*grid[1] + grid[2], 5*grid[2] - grid[0]}
		case 11: // hardly more than a plane
			p[i] = Vec{x, y, 1e-17 * math.Floor(3*z)}
		}
	}
	return p
}

const kinds3 = 13

// checkHull asks rational numbers whether h is the hull of the points.
func checkHull(t *testing.T, what string, h Hull, points []Vec) {
	t.Helper()
	given := map[Vec]bool{}
	for _, p := range points {
		given[p] = true
	}
	for _, v := range h.Vertices {
		if !given[v] {
			t.Fatalf("%s: vertex %v is not given", what, v)
		}
	}
	sides := map[[2]int32]int{}
	for i, c := range h.Triangles {
		a, b, d := h.Vertices[c[0]], h.Vertices[c[1]], h.Vertices[c[2]]
		if onLine(a, b, d) {
			t.Fatalf("%s: triangle %d has no area", what, i)
		}
		for p := range given {
			if side := orient3Big(a, b, d, p); side > 0 || h.Rank == 2 && side != 0 {
				t.Fatalf("%s: %v is outside of triangle %d", what, p, i)
			}
		}
		for k := range c {
			side := [2]int32{c[k], c[(k+1)%3]}
			if _, twice := sides[side]; twice && h.Rank == 3 {
				t.Fatalf("%s: side %v is there twice", what, side)
			}
			sides[side] = i
		}
	}
	for side, i := range sides {
		other, there := sides[[2]int32{side[1], side[0]}]
		if !there {
			t.Fatalf("%s: open at side %v of triangle %d", what, side, i)
		}
		if h.Rank == 3 {
			k := slices.Index(h.Triangles[i][:], side[0])
			if h.Neighbours[i][k] != int32(other) {
				t.Fatalf("%s: neighbour %d of %d is %d, want %d", what, k, i, h.Neighbours[i][k], other)
			}
		}
	}
	if h.Rank == 3 && len(h.Vertices)-len(sides)/2+len(h.Triangles) != 2 {
		t.Fatalf("%s: %d vertices, %d sides, %d triangles", what, len(h.Vertices), len(sides)/2, len(h.Triangles))
	}
}

func TestHull3(t *testing.T) {
	ranks := map[int]int{}
	for seed := range uint64(260) {
		rnd := rand.New(rand.NewPCG(seed, 3))
		kind := int(seed) % kinds3
		points := sample3(rnd, kind, 1+rnd.IntN(60))
		h, err := HullOf(context.Background(), points)
		if err != nil {
			t.Fatal(err)
		}
		ranks[h.Rank]++
		what := fmt.Sprintf("seed %d, kind %d, %d points, rank %d", seed, kind, len(points), h.Rank)
		checkHull(t, what, h, points)
		switch h.Rank {
		case 0:
			if len(h.Vertices) != 1 || slices.ContainsFunc(points, func(p Vec) bool { return p != points[0] }) {
				t.Fatalf("%s: %v", what, h)
			}
		case 1:
			a, b := h.Vertices[0], h.Vertices[1]
			for _, p := range points {
				if !onLine(a, b, p) || p.Sub(a).Dot(b.Sub(a)) < 0 || p.Sub(b).Dot(a.Sub(b)) < 0 {
					t.Fatalf("%s: %v is not between %v and %v", what, p, a, b)
				}
			}
		}
	}
	for rank := range 4 {
		if ranks[rank] < 15 {
			t.Errorf("rank %d came up %d times", rank, ranks[rank])
		}
	}
}

func TestHull3OfNothing(t *testing.T) {
	if h, err := HullOf(context.Background(), nil); err != nil || h.Rank != -1 || len(h.Vertices) != 0 {
		t.Errorf("%+v, %v", h, err)
	}
	if _, err := HullOf(context.Background(), []Vec{{1, math.Inf(-1), 2}}); !errors.Is(err, ErrNotFinite) {
		t.Errorf("infinite: %v", err)
	}
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := HullOf(gone, []Vec{{1, 2, 3}}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// A point set that is cancelled in the middle of the work stops there.
func TestHull3Cancel(t *testing.T) {
	points := sample3(rand.New(rand.NewPCG(1, 1)), 3, 40000)
	asked := 0
	if _, err := HullOf(&countdown{Context: context.Background(), left: 1 << 30, asked: &asked}, points); err != nil {
		t.Fatal(err)
	}
	if asked < 30 {
		t.Fatalf("asked only %d times", asked)
	}
	for _, left := range []int{3, 12, asked - 1} {
		n := 0
		if _, err := HullOf(&countdown{Context: context.Background(), left: left, asked: &n}, points); !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled at look %d: %v", left, err)
		}
		if n > left+2 {
			t.Errorf("cancelled at look %d, looked %d times", left, n)
		}
	}
}

// countdown is cancelled after some looks.
type countdown struct {
	context.Context
	left  int
	asked *int
}

func (c *countdown) Err() error {
	if *c.asked++; *c.asked > c.left {
		return context.Canceled
	}
	return nil
}

// A hundred thousand points, each six times as in a soup of triangles.
func BenchmarkHull3(b *testing.B) {
	for name, kind := range map[string]int{"filled cube": 0, "sphere": 3, "few points": 4, "flat grids": 12} {
		points := sample3(rand.New(rand.NewPCG(1, 1)), kind, 100000)
		soup := slices.Concat(points, points, points, points, points, points)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := HullOf(context.Background(), soup); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkHull2(b *testing.B) {
	points := sample2(rand.New(rand.NewPCG(1, 1)), 5, 100000)
	scratch := make([]Vec2, len(points))
	for b.Loop() {
		copy(scratch, points)
		Hull2(scratch)
	}
}

// The least rectangle around a turned one is that one; around any hull it is no larger than that at
// any turn, and holds it.
func TestLeastRectangle(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		sin, cos := math.Sincos(r.Float64() * 7)
		w, d := 1+9*r.Float64(), 1+9*r.Float64()
		var box []Vec2
		for _, c := range [][2]float64{{0, 0}, {w, 0}, {w, d}, {0, d}} {
			box = append(box, Vec2{5 + cos*c[0] - sin*c[1], -7 + sin*c[0] + cos*c[1]})
		}
		_, size := LeastRectangle(Hull2(box))
		require.InDelta(t, w*d, size[0]*size[1], 1e-9)
		require.InDelta(t, math.Max(w, d), math.Max(size[0], size[1]), 1e-9)

		var points []Vec2
		for range 3 + r.IntN(30) {
			points = append(points, Vec2{r.NormFloat64() * 5, r.NormFloat64()})
		}
		hull := Hull2(points)
		along, size := LeastRectangle(hull)
		require.InDelta(t, 1, math.Hypot(along[0], along[1]), 1e-12)
		extent := func(u Vec2) (wide, deep float64) {
			low, high := Vec2{math.Inf(1), math.Inf(1)}, Vec2{math.Inf(-1), math.Inf(-1)}
			for _, p := range hull {
				for a, x := range []float64{p.Dot(u), p.Dot(Vec2{-u[1], u[0]})} {
					low[a], high[a] = math.Min(low[a], x), math.Max(high[a], x)
				}
			}
			return high[0] - low[0], high[1] - low[1]
		}
		wide, deep := extent(along)
		require.InDelta(t, wide, size[0], 1e-9)
		require.InDelta(t, deep, size[1], 1e-9)
		for range 100 {
			s, c := math.Sincos(r.Float64() * math.Pi)
			wide, deep := extent(Vec2{c, s})
			require.LessOrEqual(t, size[0]*size[1], wide*deep*(1+1e-9))
		}
	}
	along, size := LeastRectangle(nil)
	require.Equal(t, Vec2{1, 0}, along)
	require.Zero(t, size)
}
