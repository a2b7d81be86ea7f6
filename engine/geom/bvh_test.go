package geom_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"scantling/engine/geom"
)

// loose is n random triangles, some tiny, some huge, some without area, at an offset.
func loose(random *rand.Rand, n int, size, offset float64) [][3]float32 {
	vertices := make([][3]float32, 0, 3*n)
	for range n {
		var at geom.Vec
		for i := range at {
			at[i] = offset + size*random.NormFloat64()
		}
		reach := size * math.Pow(10, -3*random.Float64())
		first := len(vertices)
		for range 3 {
			var v [3]float32
			for i := range v {
				v[i] = float32(at[i] + reach*random.NormFloat64())
			}
			vertices = append(vertices, v)
		}
		switch random.IntN(12) {
		case 0:
			vertices[first+1] = vertices[first]
		case 1:
			vertices[first+1], vertices[first+2] = vertices[first], vertices[first]
		case 2: // flat along an axis
			vertices[first+1][0], vertices[first+2][0] = vertices[first][0], vertices[first][0]
		}
	}
	return vertices
}

func treeOf(t testing.TB, vertices [][3]float32, triangles [][3]uint32) *geom.Tree {
	t.Helper()
	tree, err := geom.NewTree(context.Background(), vertices, triangles)
	if err != nil {
		t.Fatal(err)
	}
	return tree
}

func vec(v [3]float32) geom.Vec { return geom.Vec{float64(v[0]), float64(v[1]), float64(v[2])} }

func unit(random *rand.Rand) geom.Vec {
	d := geom.Vec{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}
	if random.IntN(5) == 0 {
		d[random.IntN(3)] = 0
	}
	if random.IntN(10) == 0 {
		d = geom.Vec{}
		d[random.IntN(3)] = float64(2*random.IntN(2) - 1)
	}
	if l := d.Len(); l > 0 {
		return d.Scale(1 / l)
	}
	return geom.Vec{0, 0, 1}
}

// plainRay looks at every triangle, by the plane and the sides of each (Möller and
// Trumbore 1997), and says how close to an edge the nearest hit is.
func plainRay(vertices [][3]float32, r geom.Ray) (hit geom.Hit, inner float64, ok bool) {
	hit.At = r.Most
	for i := 0; i < len(vertices); i += 3 {
		a, b, c := vec(vertices[i]), vec(vertices[i+1]), vec(vertices[i+2])
		e1, e2 := b.Sub(a), c.Sub(a)
		p := r.Along.Cross(e2)
		det := e1.Dot(p)
		if math.Abs(det) <= 1e-9*e1.Len()*e2.Len() {
			continue
		}
		s := r.From.Sub(a)
		u := s.Dot(p) / det
		q := s.Cross(e1)
		v := r.Along.Dot(q) / det
		at := e2.Dot(q) / det
		facing := geom.Front
		if det < 0 {
			facing = geom.Back
		}
		if u < 0 || v < 0 || u+v > 1 || at <= r.Least || at >= hit.At || r.Facing != 0 && r.Facing != facing {
			continue
		}
		hit, inner, ok = geom.Hit{Triangle: i / 3, At: at, Facing: facing}, min(u, v, 1-u-v), true
	}
	return hit, inner, ok
}

func TestRayAgainstEveryTriangle(t *testing.T) {
	hits := 0
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 1))
		size := math.Pow(10, float64(seed%9)-4)
		offset := []float64{0, 0, 3 * size, 300 * size}[seed%4]
		vertices := loose(random, []int{1, 2, 7, 60, 400}[seed%5], size, offset)
		tree := treeOf(t, vertices, nil)
		for range 400 {
			r := geom.Ray{Along: unit(random), Most: math.Inf(1), Facing: geom.Facing(random.IntN(3) - 1)}
			for i := range r.From {
				r.From[i] = offset + 2*size*random.NormFloat64()
			}
			switch random.IntN(4) {
			case 0:
				r.From = r.From.Sub(r.Along.Scale(500 * size))
			case 1:
				r.Least, r.Most = 0.3*size, 2*size
			}
			want, inner, ok := plainRay(vertices, r)
			got, met := tree.Ray(r)
			near := 1e-9 * (size + math.Abs(offset) + 500*size)
			if ok == met && (!ok || got.Triangle == want.Triangle && got.Facing == want.Facing && math.Abs(got.At-want.At) <= near) {
				if ok {
					hits++
				}
				continue
			}
			// Rounding may decide about an edge, and about the ends of the piece of ray.
			edge := ok && (inner < 1e-7 || want.At-r.Least < near || r.Most-want.At < near || met && math.Abs(got.At-want.At) < near)
			if !edge && met {
				a, b, c := vec(vertices[3*got.Triangle]), vec(vertices[3*got.Triangle+1]), vec(vertices[3*got.Triangle+2])
				n := b.Sub(a).Cross(c.Sub(a))
				// A triangle that plainRay leaves out, or a hit on its very edge.
				at := r.From.Add(r.Along.Scale(got.At))
				edge = math.Abs(n.Dot(r.Along)) <= 1e-8*b.Sub(a).Len()*c.Sub(a).Len() || at.Sub(geom.NearestOn(at, a, b, c)).Len() > 1e-12*size
			}
			if !edge {
				t.Fatalf("seed %d: ray %+v meets %+v %t, want %+v %t (%g inside)", seed, r, got, met, want, ok, inner)
			}
		}
	}
	if hits < 500 {
		t.Errorf("only %d rays met anything", hits)
	}
}

// grid is a bumpy closed sheet of 2·n·n triangles: a torus with hills.
func grid(n int) (vertices [][3]float32, triangles [][3]uint32) {
	for i := range n {
		for j := range n {
			si, ci := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			sj, cj := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			tube := 3 + 0.4*math.Sin(float64(5*i)*2*math.Pi/float64(n))*math.Cos(float64(7*j)*2*math.Pi/float64(n))
			r := 10 + tube*cj
			vertices = append(vertices, [3]float32{float32(r * ci), float32(r * si), float32(tube * sj)})
		}
	}
	at := func(i, j int) uint32 { return uint32(i%n*n + j%n) }
	for i := range n {
		for j := range n {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			triangles = append(triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
		}
	}
	return vertices, triangles
}

// No ray slips out of a closed sheet, least of all through its edges and corners.
func TestWatertight(t *testing.T) {
	vertices, triangles := grid(40)
	tree := treeOf(t, vertices, triangles)
	random := rand.New(rand.NewPCG(3, 3))
	for range 20000 {
		s, c := math.Sincos(2 * math.Pi * random.Float64())
		from := geom.Vec{10 * c, 10 * s, 0} // in the middle of the tube
		tri := triangles[random.IntN(len(triangles))]
		to := vec(vertices[tri[0]])
		if random.IntN(2) == 0 {
			f := random.Float64()
			to = to.Scale(f).Add(vec(vertices[tri[1]]).Scale(1 - f))
		}
		along := to.Sub(from)
		along = along.Scale(1 / along.Len())
		if _, ok := tree.Ray(geom.Ray{From: from, Along: along, Most: math.Inf(1), Facing: geom.Back}); !ok {
			t.Fatalf("a ray from %v along %v slips out", from, along)
		}
	}
}

func TestCrossings(t *testing.T) {
	vertices, triangles := grid(40)
	tree := treeOf(t, vertices, triangles)
	random := rand.New(rand.NewPCG(4, 4))
	sures, insides := 0, 0
	for range 3000 {
		p := geom.Vec{14 * random.NormFloat64(), 14 * random.NormFloat64(), 3 * random.NormFloat64()}
		ring := math.Hypot(p[0], p[1]) - 10
		away := math.Hypot(ring, p[2])
		if math.Abs(away-3) < 0.6 { // in the hills
			continue
		}
		want := 0
		if away < 3 {
			want, insides = 1, insides+1
		}
		sum, sure := tree.Crossings(p, unit(random))
		if sure {
			sures++
			if sum != want {
				t.Fatalf("the surface goes %d times around %v, want %d", sum, p, want)
			}
		}
	}
	if sures < 1000 || insides < 50 {
		t.Errorf("sure of %d points, %d inside", sures, insides)
	}
	// Straight at a corner it cannot be sure.
	corner := vec(vertices[0])
	from := geom.Vec{0, corner[1], corner[2]}
	if _, sure := tree.Crossings(from, geom.Vec{1, 0, 0}); sure {
		t.Error("sure of a ray through a corner")
	}
}

func TestNearestAgainstEveryTriangle(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 2))
		size := math.Pow(10, float64(seed%9)-4)
		offset := []float64{0, 0, 3 * size, 300 * size}[seed%4]
		vertices := loose(random, []int{1, 2, 7, 60, 400}[seed%5], size, offset)
		tree := treeOf(t, vertices, nil)
		for k := range 200 {
			var p geom.Vec
			for i := range p {
				p[i] = offset + 2*size*random.NormFloat64()
			}
			if k%10 == 0 {
				p = p.Add(unit(random).Scale(200 * size))
			}
			within := math.Inf(1)
			if k%3 == 0 {
				within = size * random.Float64()
			}
			along, least := unit(random), 2*random.Float64()-1
			for _, facing := range []bool{false, true} {
				want, found := within, false
				for i := 0; i < len(vertices); i += 3 {
					a, b, c := vec(vertices[i]), vec(vertices[i+1]), vec(vertices[i+2])
					n := b.Sub(a).Cross(c.Sub(a))
					if facing && !(n.Len() > 0 && n.Dot(along) >= least*n.Len()) {
						continue
					}
					if d := plainDistance(p, a, b, c); d < want {
						want, found = d, true
					}
				}
				got, ok := tree.Nearest(p, within)
				if facing {
					got, ok = tree.NearestFacing(p, within, along, least, 0)
				}
				near := 1e-7 * (size + want)
				if ok != found && math.Abs(want-within) > near || ok && math.Abs(got.Distance-want) > near {
					t.Fatalf("seed %d: from %v within %g: %+v %t, want %g %t", seed, p, within, got, ok, want, found)
				}
				if ok && math.Abs(got.Point.Sub(p).Len()-got.Distance) > near {
					t.Fatalf("seed %d: %+v is not that far from %v", seed, got, p)
				}
			}
		}
	}
}

// plainDistance is that to the plane where p stands above the triangle, otherwise to the
// nearest side.
func plainDistance(p, a, b, c geom.Vec) float64 {
	best := math.Inf(1)
	sides := [3][2]geom.Vec{{a, b}, {b, c}, {c, a}}
	n := b.Sub(a).Cross(c.Sub(a))
	inside := n.Len() > 1e-12*b.Sub(a).Len()*c.Sub(a).Len()
	for _, s := range sides {
		e := s[1].Sub(s[0])
		f := 0.0
		if e.Len() > 0 {
			f = min(max(p.Sub(s[0]).Dot(e)/e.Dot(e), 0), 1)
		}
		best = min(best, p.Sub(s[0].Add(e.Scale(f))).Len())
		inside = inside && n.Cross(e).Dot(p.Sub(s[0])) >= 0
	}
	if inside {
		best = min(best, math.Abs(p.Sub(a).Dot(n))/n.Len())
	}
	return best
}

func TestTouchingAgainstEveryTriangle(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 5))
		vertices := loose(random, 200, 1, 10)
		tree := treeOf(t, vertices, nil)
		for range 50 {
			box := geom.EmptyBox()
			for range 2 {
				box = box.Add(geom.Vec{10 + random.NormFloat64(), 10 + random.NormFloat64(), 10 + random.NormFloat64()})
			}
			seen := map[int]bool{}
			tree.Touching(box, func(place int) bool {
				if seen[place] {
					t.Fatalf("place %d twice", place)
				}
				seen[place] = true
				return true
			})
			for place := range tree.Len() {
				a, b, c := tree.Corners(place)
				own := geom.EmptyBox().Add(a).Add(b).Add(c)
				meets := true
				for i := range own.Min {
					meets = meets && own.Min[i] <= box.Max[i] && box.Min[i] <= own.Max[i]
				}
				if meets && !seen[place] {
					t.Fatalf("seed %d: %v misses place %d", seed, box, place)
				}
			}
			calls := 0
			tree.Touching(box, func(int) bool { calls++; return false })
			if calls > 1 {
				t.Fatalf("visited %d times after no", calls)
			}
		}
	}
}

// The order has every triangle once, with its own corners.
func TestOrder(t *testing.T) {
	vertices, triangles := grid(30)
	tree := treeOf(t, vertices, triangles)
	seen := make([]bool, len(triangles))
	for place, i := range tree.Order() {
		if seen[i] {
			t.Fatalf("triangle %d twice", i)
		}
		seen[i] = true
		a, b, c := tree.Corners(place)
		for k, v := range []geom.Vec{a, b, c} {
			if v != vec(vertices[triangles[i][k]]) {
				t.Fatalf("place %d has not the corners of triangle %d", place, i)
			}
		}
	}
	if tree.Len() != len(triangles) {
		t.Fatalf("%d of %d triangles", tree.Len(), len(triangles))
	}
}

func TestTreeOfOddities(t *testing.T) {
	ctx := context.Background()
	ray := geom.Ray{From: geom.Vec{0, 0, -5}, Along: geom.Vec{0, 0, 1}, Most: math.Inf(1)}
	empty := treeOf(t, nil, nil)
	if _, ok := empty.Ray(ray); ok || empty.Len() != 0 || !empty.Box().Empty() {
		t.Error("a ray meets nothing at all")
	}
	if _, ok := empty.Nearest(geom.Vec{}, 1); ok {
		t.Error("something is near nothing")
	}
	// All in one place, and all the same: no split helps.
	for _, size := range []float32{0, 1} {
		same := make([][3]float32, 3*5000)
		for i := range same {
			same[i] = [3]float32{7, 7, 7}
			same[i][i%3] += size
		}
		tree := treeOf(t, same, nil)
		near, ok := tree.Nearest(geom.Vec{7, 7, 9}, math.Inf(1))
		if want := 2 - float64(size); !ok || math.Abs(near.Distance-want) > 1e-9 {
			t.Errorf("size %g: %+v %t, want %g", size, near, ok, want)
		}
	}
	// Each ten times farther than the last: splits by cost take off a few at a time.
	var spread [][3]float32
	for i := range 70 {
		x := float32(math.Pow(10, float64(i)/2-20))
		spread = append(spread, [3]float32{x, 0, 0}, [3]float32{x, 1, 0}, [3]float32{x, 0, 1})
	}
	tree := treeOf(t, spread, nil)
	if hit, ok := tree.Ray(geom.Ray{From: geom.Vec{-1, 0.2, 0.2}, Along: geom.Vec{1, 0, 0}, Most: math.Inf(1)}); !ok || hit.At != 1 {
		t.Errorf("%+v %t, want the first at 1", hit, ok)
	}
	// The largest and the smallest numbers.
	for _, size := range []float32{3e38, 1e-38} {
		far := [][3]float32{{-size, -size, 0}, {size, -size, 0}, {0, size, 0}}
		tree := treeOf(t, far, nil)
		hit, ok := tree.Ray(geom.Ray{From: geom.Vec{0, 0, -float64(size)}, Along: geom.Vec{0, 0, 1}, Most: math.Inf(1)})
		if !ok || math.Abs(hit.At/float64(size)-1) > 1e-12 {
			t.Errorf("size %g: %+v %t", size, hit, ok)
		}
	}
	if _, ok := tree.Ray(geom.Ray{From: geom.Vec{math.NaN(), 0, 0}, Along: geom.Vec{1, 0, 0}, Most: 1}); ok {
		t.Error("a ray from nowhere meets something")
	}
	if _, err := geom.NewTree(ctx, make([][3]float32, 3), [][3]uint32{{0, 1, 3}}); !errors.Is(err, geom.ErrTreeIndex) {
		t.Errorf("an index too high: %v", err)
	}
	ended, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := geom.NewTree(ended, spread, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestTreeIsTheSameOnAnyNumberOfProcessors(t *testing.T) {
	vertices, triangles := grid(300)
	many := treeOf(t, vertices, triangles)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := treeOf(t, vertices, triangles)
	if !slices.Equal(many.Order(), one.Order()) {
		t.Error("the order differs")
	}
}

// A million triangles.
func BenchmarkTree(b *testing.B) {
	vertices, triangles := grid(707)
	b.Run("build", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			treeOf(b, vertices, triangles)
		}
		b.ReportMetric(float64(len(triangles)*b.N)/b.Elapsed().Seconds()/1e6, "Mtri/s")
	})
	tree := treeOf(b, vertices, triangles)
	work := func(name string, do func(place int, p, inward geom.Vec)) {
		b.Run(name, func(b *testing.B) {
			b.RunParallel(func(p *testing.PB) {
				place := 0
				for p.Next() {
					place = (place + 7) % tree.Len()
					x, y, z := tree.Corners(place)
					n := y.Sub(x).Cross(z.Sub(x))
					do(place, x.Add(y).Add(z).Scale(1.0/3), n.Scale(-1/n.Len()))
				}
			})
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds()/1e6, "M/s")
		})
	}
	work("thickness ray", func(_ int, p, inward geom.Vec) {
		if _, ok := tree.Ray(geom.Ray{From: p, Along: inward, Most: math.Inf(1), Facing: geom.Back}); !ok {
			panic("no way out")
		}
	})
	work("nearest facing back", func(_ int, p, inward geom.Vec) {
		tree.NearestFacing(p.Add(inward.Scale(3)), 2.99, inward, 0.8, 500)
	})
}

// A mesh that was made larger or smaller, so that its corners were rounded anew, has the same tree
// but for a few places: what goes over a surface by the tree's order, such as samples, comes to
// the same places on both.
func TestTreeOfScaledTriangles(t *testing.T) {
	const around, along = 96, 64
	var ring [][3]float32 // a torus: symmetric, so that much lies evenly
	at := func(i, k int) [3]float32 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%around) / around)
		up, out := math.Sincos(2 * math.Pi * float64(k%along) / along)
		r := 60 + 14*out
		return [3]float32{float32(r * cos), float32(r * sin), float32(14 * up)}
	}
	for i := range around {
		for k := range along {
			ring = append(ring, at(i, k), at(i+1, k), at(i+1, k+1), at(i, k), at(i+1, k+1), at(i, k+1))
		}
	}
	for name, vertices := range map[string][][3]float32{
		"ring":  ring,
		"loose": loose(rand.New(rand.NewPCG(9, 9)), 20000, 50, 0),
	} {
		want := treeOf(t, vertices, nil).Order()
		for _, s := range []float64{17.3 / 48, 17.3 / 96, 0.3, 0.7, 2.9} {
			scaled := slices.Clone(vertices)
			for i := range scaled {
				for axis := range scaled[i] {
					scaled[i][axis] = float32(float64(scaled[i][axis]) * s)
				}
			}
			elsewhere := 0
			for i, triangle := range treeOf(t, scaled, nil).Order() {
				if triangle != want[i] {
					elsewhere++
				}
			}
			if elsewhere > len(want)/100 {
				t.Errorf("%s ×%v: %d of %d triangles are elsewhere in the tree", name, s, elsewhere, len(want))
			}
			t.Logf("%s ×%v: %d of %d", name, s, elsewhere, len(want))
		}
	}
}
