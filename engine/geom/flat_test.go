package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// needAt is what a turn needs, from all points.
func needAt(points []Vec2, room Vec2, slack float64, u Vec2) float64 {
	width := func(u Vec2) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			low, high = min(low, p.Dot(u)), max(high, p.Dot(u))
		}
		return high - low
	}
	return max((width(u)-slack)/room[0], (width(across(u))-slack)/room[1])
}

// plainFit tries many turns and then ever closer ones about the best of them.
func plainFit(points []Vec2, room Vec2, slack float64) float64 {
	const turns = 720
	at := func(angle float64) float64 {
		return needAt(points, room, slack, Vec2{math.Cos(angle), math.Sin(angle)})
	}
	var needs [turns]float64
	for i := range needs {
		needs[i] = at(math.Pi * float64(i) / turns)
	}
	best := math.Inf(1)
	for i, need := range needs {
		if need > needs[(i+1)%turns] || need > needs[(i+turns-1)%turns] {
			continue // a dip is beside a turn that needs no more than its neighbours
		}
		for angle, step := math.Pi*float64(i)/turns, math.Pi/turns; step > 1e-15; step /= 4 {
			middle := angle
			for k := -8; k <= 8; k++ {
				if n := at(middle + step*float64(k)/8); n < need {
					need, angle = n, middle+step*float64(k)/8
				}
			}
		}
		best = min(best, need)
	}
	return best
}

// The closed form against many turns, on hulls of all kinds and beds of all shapes.
func TestFitTurnedAgainstManyTurns(t *testing.T) {
	worst := 0.0
	for seed := range uint64(210) {
		rnd := rand.New(rand.NewPCG(seed, 5))
		points := sample2(rnd, int(seed)%kinds2, 2+rnd.IntN(30))
		for i := range points { // about the origin, where the plain way is exact too
			points[i] = points[i].Sub(points[len(points)-1])
		}
		room := Vec2{math.Exp(2*rnd.Float64() - 1), math.Exp(2*rnd.Float64() - 1)}
		slack := 0.0
		if seed%3 == 0 {
			slack = 0.2 * rnd.Float64()
		}
		hull := Hull2(points)
		need, along := FitTurned(hull, room, slack)
		if math.Abs(math.Hypot(along[0], along[1])-1) > 1e-14 {
			t.Fatalf("seed %d: direction %v", seed, along)
		}
		size := 0.0
		for _, p := range hull {
			size = max(size, math.Hypot(p[0], p[1])/min(room[0], room[1]))
		}
		if got := needAt(hull, room, slack, along); math.Abs(got-need) > 1e-13*size {
			t.Fatalf("seed %d: its turn needs %v, not %v", seed, got, need)
		}
		want := plainFit(hull, room, slack)
		worst = max(worst, math.Abs(need-want)/size)
		if math.Abs(need-want) > 1e-11*size {
			t.Fatalf("seed %d, room %v, slack %g, hull %v: needs %.15g, many turns %.15g", seed, room, slack, hull, need, want)
		}
	}
	t.Logf("off by %g of the size at most", worst)
}

// A rectangle p × q, p >= q, fits a × b, a >= b, just when p <= a and q <= b or else q <= b and
// ((a+b)/(p+q))² + ((a-b)/(p-q))² >= 2: Carver, American Mathematical Monthly 64 (1957) p. 114, from memory.
func TestRectangleInRectangle(t *testing.T) {
	rnd := rand.New(rand.NewPCG(6, 1957))
	turned := 0
	for range 20000 {
		q, b := rnd.Float64(), rnd.Float64()
		p, a := q+1.5*rnd.Float64(), b+rnd.Float64()
		sum, difference := (a+b)/(p+q), (a-b)/(p-q)
		fits := q <= b && (p <= a || sum*sum+difference*difference >= 2)
		need, _ := FitTurned([]Vec2{{0, 0}, {p, 0}, {p, q}, {0, q}}, Vec2{a, b}, 0)
		if fits != (need <= 1) {
			t.Fatalf("%g × %g in %g × %g: %t, needs %.17g", p, q, a, b, fits, need)
		}
		if fits && p > a {
			turned++
		}
	}
	if turned < 100 {
		t.Errorf("only %d had to be turned", turned)
	}
}

func TestFitTurnedKnown(t *testing.T) {
	regular := func(n int, side float64) []Vec2 {
		p := make([]Vec2, n)
		for i := range p {
			angle := 2*math.Pi*float64(i)/float64(n) + 0.3
			r := side / (2 * math.Sin(math.Pi/float64(n)))
			p[i] = Vec2{r * math.Cos(angle), r * math.Sin(angle)}
		}
		return Hull2(p)
	}
	for _, c := range []struct {
		name string
		hull []Vec2
		room Vec2
		want float64
	}{
		{"square in its like", regular(4, 1), Vec2{1, 1}, 1},
		// The largest equilateral triangle in a unit square has the side √6 - √2.
		{"triangle in a square", regular(3, 1), Vec2{1, 1}, 1 / (math.Sqrt(6) - math.Sqrt2)},
		// The largest regular hexagon in a unit square has the side (√6 - √2)/2.
		{"hexagon in a square", regular(6, 1), Vec2{1, 1}, 2 / (math.Sqrt(6) - math.Sqrt2)},
		{"rod on the diagonal", []Vec2{{0, 0}, {3, 4}}, Vec2{12, 5}, 5. / 13},
		{"rod across a strip", []Vec2{{0, 0}, {0, 2}}, Vec2{1e-6, 4}, 2 / math.Hypot(1e-6, 4)},
		{"point", []Vec2{{7, 8}}, Vec2{1, 1}, 0},
		{"nothing", nil, Vec2{1, 1}, 0},
	} {
		if got, _ := FitTurned(c.hull, c.room, 0); math.Abs(got-c.want) > 1e-14 {
			t.Errorf("%s needs %.16g, want %.16g", c.name, got, c.want)
		}
	}
}

// The smallest circle goes over two or through three points: try them all.
func plainCircle(points []Vec2) float64 {
	best := math.Inf(1)
	try := func(c circle) {
		if c.square >= best*best {
			return
		}
		for _, p := range points {
			d := p.Sub(c.centre)
			if d.Dot(d) > c.square*(1+1e-12) {
				return
			}
		}
		best = math.Sqrt(c.square)
	}
	for i, a := range points {
		try(circle{centre: a})
		for j, b := range points[:i] {
			try(circleOver(a, b))
			for _, c := range points[:j] {
				try(circleThrough(a, b, c))
			}
		}
	}
	return best
}

func TestSmallestCircle(t *testing.T) {
	for seed := range uint64(350) {
		rnd := rand.New(rand.NewPCG(seed, 7))
		points := sample2(rnd, int(seed)%kinds2, 1+rnd.IntN(25))
		centre, radius := SmallestCircle(points)
		for _, p := range points {
			if d := p.Sub(centre); math.Hypot(d[0], d[1]) > radius*(1+1e-15)+1e-15*(math.Abs(p[0])+math.Abs(p[1])) {
				t.Fatalf("seed %d: %v is outside by %g", seed, p, math.Hypot(d[0], d[1])-radius)
			}
		}
		about := points[0]
		for i := range points {
			points[i] = points[i].Sub(about)
		}
		if want := plainCircle(points); math.Abs(radius-want) > 1e-12*(1+want) {
			t.Fatalf("seed %d: radius %.15g, want %.15g", seed, radius, want)
		}
		if _, again := SmallestCircle(Hull2(points)); math.Abs(radius-again) > 1e-12*(1+again) {
			t.Fatalf("seed %d: radius %.15g, of the hull %.15g", seed, radius, again)
		}
	}
	if _, r := SmallestCircle(nil); r != 0 {
		t.Errorf("no points: radius %g", r)
	}
	if c, r := SmallestCircle([]Vec2{{0, 0}, {8, 0}, {8, 6}, {0, 6}}); r != 5 || c != (Vec2{4, 3}) {
		t.Errorf("3-4-5: %v, %v", c, r)
	}
}

func BenchmarkFitTurned(b *testing.B) {
	hull := Hull2(sample2(rand.New(rand.NewPCG(1, 1)), 3, 2000))
	for b.Loop() {
		FitTurned(hull, Vec2{210, 200}, 0)
	}
}

func BenchmarkSmallestCircle(b *testing.B) {
	hull := Hull2(sample2(rand.New(rand.NewPCG(1, 1)), 3, 2000))
	for b.Loop() {
		SmallestCircle(hull)
	}
}
