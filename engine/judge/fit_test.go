package judge

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

func hullOf(t testing.TB, m *mesh.Mesh) survey.Hull {
	t.Helper()
	h, err := survey.HullOf(context.Background(), m, geom.NoTurn())
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func fit(t testing.TB, b Bed, h survey.Hull, how Turning) Fit {
	t.Helper()
	f, err := b.Fit(context.Background(), h, how)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// solid is the mesh of the hull of points.
func solid(t testing.TB, points []geom.Vec) *mesh.Mesh {
	t.Helper()
	h, err := geom.HullOf(context.Background(), points)
	if err != nil {
		t.Fatal(err)
	}
	vertices := make([][3]float32, len(h.Vertices))
	for i, v := range h.Vertices {
		vertices[i] = [3]float32{float32(v[0]), float32(v[1]), float32(v[2])}
	}
	triangles := [][3]uint32{}
	for _, c := range h.Triangles {
		triangles = append(triangles, [3]uint32{uint32(c[0]), uint32(c[1]), uint32(c[2])})
	}
	return meshtest.Made("solid", vertices, triangles)
}

// checkPose puts every vertex where the pose and the factor say, in 200 binary digits, and
// asks whether it is inside the room. The disc of a round plate is about the middle.
func checkPose(t *testing.T, what string, b Bed, h survey.Hull, m *mesh.Mesh, f Fit) {
	t.Helper()
	number := func(x float64) *big.Float { return new(big.Float).SetPrec(200).SetFloat64(x) }
	times := func(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(200).Mul(a, b) }
	room := b.Usable()
	tight := 0.0
	for i := range m.Vertices {
		p := h.Lie(m.Vertex(uint32(i)))
		var at [3]*big.Float
		for a := range at {
			at[a] = number(f.Pose.Shift[a])
			for k := range p {
				at[a].Add(at[a], times(number(f.Pose.Turn[a][k]), number(p[k])))
			}
			at[a] = times(at[a], number(f.Factor))
		}
		over := func(x *big.Float, limit float64) {
			got, _ := x.Float64()
			tight = max(tight, got/limit)
			// A whole part in 10^14 is left to what one number for the shift can say.
			if got > limit*(1+4e-15) {
				t.Fatalf("%s: vertex %v stands out: %.17g of %.17g, fit %+v", what, p, got, limit, f)
			}
		}
		if z, _ := at[2].Float64(); z < -4e-15*room[2] {
			t.Fatalf("%s: vertex %v is under the plate by %g", what, p, z)
		}
		over(at[2], room[2])
		if b.Round {
			square := new(big.Float).SetPrec(200).Add(times(at[0], at[0]), times(at[1], at[1]))
			over(square.Sqrt(square), room[0]/2)
			continue
		}
		over(at[0].Abs(at[0]), room[0]/2)
		over(at[1].Abs(at[1]), room[1]/2)
	}
	if tight < 1-1e-9 && f.Factor > 0 {
		t.Fatalf("%s: room to spare: %g", what, tight)
	}
	for a, row := range f.Pose.Turn {
		next := f.Pose.Turn[(a+1)%3]
		if d := row.Cross(next).Sub(f.Pose.Turn[(a+2)%3]).Len(); d > 1e-14 || math.Abs(row.Len()-1) > 1e-14 {
			t.Fatalf("%s: turn %v is none, off by %g", what, f.Pose.Turn, d)
		}
	}
}

// randomPart is a box or the hull of some points, of any proportions.
func randomPart(t testing.TB, rnd *rand.Rand, kind int) *mesh.Mesh {
	size := geom.Vec{math.Exp(4 * rnd.Float64()), math.Exp(4 * rnd.Float64()), math.Exp(4 * rnd.Float64())}
	if kind == 0 {
		low := geom.Vec{100 * rnd.Float64(), -50, 0}
		return meshtest.Box(low, low.Add(size))
	}
	points := make([]geom.Vec, 4+rnd.IntN(20))
	for i := range points {
		points[i] = geom.Vec{float64(float32(size[0] * rnd.NormFloat64())), float64(float32(size[1] * rnd.NormFloat64())), float64(float32(size[2] * rnd.NormFloat64()))}
	}
	return solid(t, points)
}

// No pose is ever claimed that does not fit; more freedom never gives less.
func TestPosesFit(t *testing.T) {
	parts := 10000
	if testing.Short() {
		parts = 1000
	}
	gained := map[Turning]int{}
	for seed := range parts {
		rnd := rand.New(rand.NewPCG(uint64(seed), 10000))
		m := randomPart(t, rnd, seed%2)
		h := hullOf(t, m)
		b := Bed{Size: geom.Vec{20 + 200*rnd.Float64(), 20 + 200*rnd.Float64(), 20 + 200*rnd.Float64()}, Margin: rnd.Float64(), Brim: 3 * rnd.Float64(), Round: seed%5 == 0}
		before := Fit{}
		for how := AsItLies; how <= Free; how++ {
			f := fitQuick(t, b, h, how)
			what := fmt.Sprintf("part %d on %+v, %s", seed, b, how)
			checkPose(t, what, b, h, m, f)
			if f.Factor < before.Factor || f.AtMost < f.Factor || f.AtMost < before.Factor {
				t.Fatalf("%s: %g, at most %g, before %g", what, f.Factor, f.AtMost, before.Factor)
			}
			if f.Factor > before.Factor*1.01 {
				gained[how]++
			}
			before = f
		}
	}
	for how := Yaw; how <= Free; how++ {
		if gained[how] < parts/10 {
			t.Errorf("%s helped %d of %d", how, gained[how], parts)
		}
	}
}

// fitQuick is Fit with a shorter search.
func fitQuick(t testing.TB, b Bed, h survey.Hull, how Turning) Fit {
	f, err := b.fit(context.Background(), h, how, 600)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Boxes in boxes, and regular solids in cubes, of which the answer is known.
func TestFreeKnown(t *testing.T) {
	cube := Bed{Size: geom.Vec{1, 1, 1}}
	golden := (1 + math.Sqrt(5)) / 2
	rod := func(side, length float64) *mesh.Mesh { return meshtest.Box(geom.Vec{}, geom.Vec{side, length, side}) }
	octahedron := func() *mesh.Mesh { // edge 1
		r := math.Sqrt(0.5)
		return solid(t, []geom.Vec{{r, 0, 0}, {-r, 0, 0}, {0, r, 0}, {0, -r, 0}, {0, 0, r}, {0, 0, -r}})
	}
	for _, c := range []struct {
		name string
		part *mesh.Mesh
		bed  Bed
		want float64
	}{
		{"thin rod on the diagonal of a cube", rod(1e-6, 1), cube, math.Sqrt(3)},
		{"thin rod on the diagonal of a room", rod(1e-6, 7), Bed{Size: geom.Vec{12, 3, 4}}, 13. / 7},
		{"thin rod on a round bed", rod(1e-6, 1), Bed{Size: geom.Vec{3, 3, 4}, Round: true}, 5},
		// The largest square in a unit cube has the side 3√2/4: Prince Rupert's problem (Nieuwland).
		{"thin square", meshtest.Box(geom.Vec{}, geom.Vec{1, 1, 1e-6}), cube, 3 * math.Sqrt2 / 4},
		{"cube", meshtest.Cube(1), cube, 1},
		// Croft, On maximal regular polyhedra inscribed in a regular polyhedron, Proceedings of
		// the London Mathematical Society 41 (1980): tetrahedron √2, octahedron 3√2/4,
		// icosahedron 1/golden, from memory.
		{"tetrahedron", meshtest.Tetrahedron(1), cube, math.Sqrt2},
		{"octahedron", octahedron(), cube, 3 * math.Sqrt2 / 4},
		{"icosahedron", meshtest.Icosahedron(1), cube, 1 / golden},
	} {
		h := hullOf(t, c.part)
		f := fit(t, c.bed, h, Free)
		checkPose(t, c.name, c.bed, h, c.part, f)
		t.Logf("%-38s %.6f of %.6f, at most %.6f", c.name, f.Factor, c.want, f.AtMost)
		if f.Factor < 0.9999*c.want || f.Factor > c.want*(1+3e-6) || f.AtMost < c.want*(1-3e-6) {
			t.Errorf("%s fits at %.9g, at most %.9g, want %.9g", c.name, f.Factor, f.AtMost, c.want)
		}
	}
}

// A square rod with its axis on the diagonal of a cube, turned by a twelfth about itself so
// that it touches alike: l·a + s·w(a) along each of the three axes is what it needs.
func TestFreeThickRods(t *testing.T) {
	cube := Bed{Size: geom.Vec{100, 100, 100}}
	for _, side := range []float64{0.01, 1, 3, 8, 15} {
		m := meshtest.Box(geom.Vec{}, geom.Vec{side, side, 100})
		h := hullOf(t, m)
		// The best of a fine and plain search over all poses with the axis near the diagonal.
		want := 0.0
		up := geom.Vec{1, 1, 1}.Scale(1 / math.Sqrt(3))
		x, y := towards(up)
		for i := -30; i <= 30; i++ {
			for j := -30; j <= 30; j++ {
				axis := up.Add(x.Scale(0.01 * float64(i))).Add(y.Scale(0.01 * float64(j)))
				axis = axis.Scale(1 / axis.Len())
				u, v := towards(axis)
				for k := range 90 {
					sin, cos := math.Sincos(math.Pi / 2 * float64(k) / 90)
					p, q := u.Scale(cos).Add(v.Scale(sin)), v.Scale(cos).Sub(u.Scale(sin))
					need := 0.0
					for a := range 3 {
						need = max(need, (100*math.Abs(axis[a])+side*(math.Abs(p[a])+math.Abs(q[a])))/100)
					}
					want = max(want, 1/need)
				}
			}
		}
		f := fit(t, cube, h, Free)
		checkPose(t, fmt.Sprint("rod of ", side), cube, h, m, f)
		t.Logf("rod of %g: %.6f, plain search %.6f, at most %.6f", side, f.Factor, want, f.AtMost)
		if f.Factor < 0.99999*want || f.AtMost < want {
			t.Errorf("rod of %g fits at %g, at most %g, want %g", side, f.Factor, f.AtMost, want)
		}
	}
}

// What is proved to be the most is no less than a long random search finds; what is found
// is near to it.
func TestFreeAgainstRandomPoses(t *testing.T) {
	for seed := range 24 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 77))
		m := randomPart(t, rnd, seed%2)
		h := hullOf(t, m)
		b := Bed{Size: geom.Vec{100, 60 + 40*rnd.Float64(), 50 + 50*rnd.Float64()}, Round: seed%3 == 0}
		f := fit(t, b, h, Free)
		s := newFitting(b, h)
		plain := 0.0
		for range 20000 {
			up := geom.Vec{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}
			up = up.Scale(1 / up.Len())
			outline, height := s.seen(h.Points, up)
			need, _ := s.need(outline, height, 0)
			plain = max(plain, 1/need)
		}
		if plain > f.Factor*(1+1e-9) || plain > f.AtMost || f.AtMost > 1.1*f.Factor {
			t.Errorf("part %d: found %g, at most %g, random poses %g", seed, f.Factor, f.AtMost, plain)
		}
	}
}

func TestYawAgainstManyTurns(t *testing.T) {
	for seed := range 100 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 3))
		m := randomPart(t, rnd, 1)
		h := hullOf(t, m)
		b := Bed{Size: geom.Vec{50 + 50*rnd.Float64(), 80, 1e6}}
		f := fit(t, b, h, Yaw)
		at := func(angle float64) float64 {
			sin, cos := math.Sincos(angle)
			box := geom.EmptyBox()
			for _, p := range h.Points {
				box = box.Add(geom.Vec{cos*p[0] - sin*p[1], sin*p[0] + cos*p[1], p[2]})
			}
			size := box.Size()
			return min(b.Size[0]/size[0], b.Size[1]/size[1])
		}
		want := 0.0
		for i := range 720 {
			angle, step := math.Pi*float64(i)/720, math.Pi/720
			best := at(angle)
			if best < 0.98*want {
				continue
			}
			for ; step > 1e-14; step /= 4 {
				middle := angle
				for k := -8; k <= 8; k++ {
					if f := at(middle + step*float64(k)/8); f > best {
						best, angle = f, middle+step*float64(k)/8
					}
				}
			}
			want = max(want, best)
		}
		if math.Abs(f.Factor-want) > 1e-12*want {
			t.Errorf("part %d: %.15g, many turns %.15g", seed, f.Factor, want)
		}
	}
}

// A wedge has a long slope to lie on; a rod that stands lies down.
func TestFaces(t *testing.T) {
	rod := meshtest.Box(geom.Vec{}, geom.Vec{2, 2, 40})
	b := Bed{Size: geom.Vec{30, 40, 10}}
	if f := fit(t, b, hullOf(t, rod), Yaw); math.Abs(f.Factor-0.25) > 1e-12 || f.Limit != geom.Z {
		t.Errorf("standing rod: %+v", f)
	}
	f := fit(t, b, hullOf(t, rod), Faces)
	// On the diagonal of 30 × 40 a rod of 40 × 2 is as large as it gets.
	want, _ := geom.FitTurned([]geom.Vec2{{0, 0}, {40, 0}, {40, 2}, {0, 2}}, geom.Vec2{30, 40}, 0)
	if math.Abs(f.Factor*want-1) > 1e-12 || math.Abs(f.Size[2]-2) > 1e-12 {
		t.Errorf("lying rod: %+v, want %g", f, 1/want)
	}
	free := fit(t, b, hullOf(t, rod), Free)
	if !(free.Factor > f.Factor) {
		t.Errorf("tilted rod: %g, lying %g", free.Factor, f.Factor)
	}
}

func TestDegenerateParts(t *testing.T) {
	at := func(p ...[3]float32) *mesh.Mesh { return meshtest.Made("few", p, nil) }
	b := Bed{Size: geom.Vec{30, 40, 50}}
	for _, c := range []struct {
		name string
		part *mesh.Mesh
		want [4]float64 // by turning
	}{
		{"nothing", meshtest.Made("none", nil, [][3]uint32{}), [4]float64{math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1)}},
		{"point", at([3]float32{1, 2, 3}, [3]float32{1, 2, 3}, [3]float32{1, 2, 3}), [4]float64{math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1)}},
		{"line", at([3]float32{0, 0, 0}, [3]float32{10, 0, 0}, [3]float32{5, 0, 0}), [4]float64{3, 5, 5, math.Sqrt(50)}},
		{"upright line", at([3]float32{0, 0, 0}, [3]float32{0, 0, 10}, [3]float32{0, 0, 5}), [4]float64{5, 5, 5, math.Sqrt(50)}},
		{"sheet", at([3]float32{0, 0, 7}, [3]float32{100, 0, 7}, [3]float32{0, 0, 7}, [3]float32{100, 1, 7}, [3]float32{0, 1, 7}, [3]float32{0, 0, 7}), [4]float64{0.3, 0.49, 0.49, 0.7}},
	} {
		h := hullOf(t, c.part)
		for how := AsItLies; how <= Free; how++ {
			f := fit(t, b, h, how)
			if !(f.Factor == c.want[how] || math.Abs(f.Factor-c.want[how]) <= 0.012*c.want[how]) {
				t.Errorf("%s, %s: %+v, want %g", c.name, how, f, c.want[how])
			}
			if !math.IsInf(f.Factor, 1) {
				checkPose(t, c.name, b, h, c.part, f)
			}
			if none := (Bed{Size: geom.Vec{30, 40, 50}, Margin: 10, Brim: 5}); !math.IsInf(f.Factor, 1) {
				if f := fit(t, none, h, how); f.Factor != 0 && c.name != "upright line" {
					t.Errorf("%s, %s on no room: %+v", c.name, how, f)
				}
			}
		}
	}
}

func TestFitStops(t *testing.T) {
	h := hullOf(t, meshtest.Sphere(50, 8))
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	for how := AsItLies; how <= Free; how++ {
		if _, err := (Bed{Size: geom.Vec{30, 40, 50}}).Fit(gone, h, how); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: %v", how, err)
		}
	}
}

// The same part drawn in another unit fits the same, whichever way up it is in the file.
func TestFitScales(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	b := Bed{Size: geom.Vec{220, 200, 250}, Margin: 5}
	for range 20 {
		m := randomPart(t, rnd, 1)
		for how := AsItLies; how <= Free; how++ {
			one := fit(t, b, hullOf(t, m), how)
			inch := fit(t, b, hullOf(t, m).Scaled(25.4), how)
			if math.Abs(inch.Factor*25.4/one.Factor-1) > 1e-6 {
				t.Fatalf("%s: %g in mm, %g in inches", how, one.Factor, inch.Factor)
			}
		}
	}
}

func benchFit(b *testing.B, m *mesh.Mesh) {
	h := hullOf(b, m)
	bed := Bed{Size: geom.Vec{220, 200, 250}, Margin: 5}
	b.Run("hull", func(b *testing.B) {
		for b.Loop() {
			hullOf(b, m)
		}
	})
	for how := AsItLies; how <= Free; how++ {
		b.Run(how.String(), func(b *testing.B) {
			for b.Loop() {
				fit(b, bed, h, how)
			}
		})
	}
}

// Parts of 200 000 triangles and more: all vertices on the hull, a few, and a ring.
func BenchmarkFitSphere(b *testing.B) { benchFit(b, meshtest.Sphere(100, 100)) }
func BenchmarkFitTorus(b *testing.B)  { benchFit(b, meshtest.Torus(100, 30, 400, 250)) }
func BenchmarkFitKnobbly(b *testing.B) {
	benchFit(b, meshtest.Jitter(meshtest.Soup(meshtest.Box(geom.Vec{}, geom.Vec{80, 50, 30})), 0.1, 1))
	benchFit(b, meshtest.Moved(meshtest.Sphere(100, 100), func(p geom.Vec) geom.Vec { return geom.Vec{2 * p[0], p[1] + 0.3*p[0], p[2] * (1 + p[0]/300)} }))
}
