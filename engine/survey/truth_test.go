package survey_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// A wedge is at every place as thick as it is there: within what the nearest sample stands beside it,
// and over all places within 1 %.
func TestThicknessOfAWedgeByPlace(t *testing.T) {
	for _, degrees := range []float64{3, 10, 18, 34} {
		const long = 30
		angle := degrees * math.Pi / 180
		m := wedge(angle, long)
		found := surveyed(t, m)
		for name, look := range map[string]survey.Look{"front": {Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, 0, 1}}, "back": {Right: geom.Vec{-1, 0, 0}, Up: geom.Vec{0, 0, 1}}} {
			s, err := survey.Shade(t.Context(), m, found.Field, look, found.Box, 400)
			if err != nil {
				t.Fatal(err)
			}
			seen, sum := 0, 0.0
			for i, width := range s.Thickness {
				from := (float64(i%s.Width) + 0.5) / float64(s.Width) // of the way from the edge
				if name == "back" {
					from = 1 - from
				}
				if from < 0.1 || from > 0.9 {
					continue
				}
				want := 2 * from * long * math.Tan(angle/2)
				seen++
				sum += float64(width) / want
				if within := 0.01 + 2*found.Spacing/(from*long); !near(float64(width), want, within) {
					t.Fatalf("%g° from the %s: %g at %.3f of the way, want %g within %.1f %%", degrees, name, width, from, want, 100*within)
				}
			}
			if seen < 1000 || !near(sum/float64(seen), 1, 0.01) {
				t.Errorf("%g° from the %s: %g times as thick as it is, over %d places", degrees, name, sum/float64(seen), seen)
			}
		}
	}
}

// Clearances are those of the construction to a millionth of it. What a file's numbers round off
// is no matter here: bores and pegs stand about the middle of their parts, and boxes at places that
// single precision has.
func TestClearancesToAMillionth(t *testing.T) {
	for _, bore := range []float64{0.5, 3, 11, 50} {
		for _, share := range []float64{0.93, 0.98, 0.999} {
			for _, sides := range []int{8, 24, 128} {
				peg := float64(float32(bore * share))
				plate := extruded(bore, rectangle(-bore, -bore, bore, bore), ngon(0, 0, bore/2, sides))
				pin := moved(extruded(2*bore, ngon(0, 0, peg/2, sides)), geom.Vec{0, 0, bore / 4})
				far := geom.Vec{1e6, -3e5, 7e4}
				a := between(t, placed(t, about(plate, far), 1), placed(t, about(pin, far), 1))
				if len(a.Fits) != 1 || len(a.Neighbours) != 1 {
					t.Fatalf("%g in %g of %d sides: %+v", peg, bore, sides, a)
				}
				corner := math.Cos(math.Pi / float64(sides))
				for what, pair := range map[string][2]float64{
					"clearance": {a.Fits[0].Clearance, bore - peg}, "flats": {a.Fits[0].Flats, bore*corner - peg},
					"distance": {a.Neighbours[0].Distance, (bore - peg) * corner / 2}, // corner stands behind corner
				} {
					if math.Abs(pair[0]-pair[1]) > 1e-6*bore {
						t.Errorf("%g in %g of %d sides: %s %g, want %g", peg, bore, sides, what, pair[0], pair[1])
					}
				}
			}
		}
	}
	random := rand.New(rand.NewPCG(6, 6))
	for range 200 {
		exact := func(most int) float64 { return float64(1+random.IntN(most)) / 64 }
		var gap, want geom.Vec
		size := geom.Vec{exact(900), exact(900), exact(900)}
		for axis := range gap {
			if random.IntN(2) == 0 {
				gap[axis] = exact(200)
				want[axis] = gap[axis]
			} else {
				gap[axis] = -exact(500) // beside each other along this axis
				size[axis] -= gap[axis]
			}
		}
		if want == (geom.Vec{}) {
			continue
		}
		one := meshtest.Box(geom.Vec{}, geom.Vec{10, 12, 14})
		low := geom.Vec{10, 12, 14}.Add(gap)
		other := meshtest.Box(low, low.Add(size))
		wide := meshtest.Box(geom.Vec{-1000, 0, 0}, geom.Vec{-999, 1, 1}) // so that the kit is large
		a := between(t, placed(t, one, 1), placed(t, other, 1), placed(t, wide, 1))
		if len(a.Neighbours) != 1 || a.Neighbours[0].Relation != survey.Apart || !near(a.Neighbours[0].Distance, want.Len(), 1e-12) {
			t.Errorf("boxes %v apart: %+v, want %g", gap, a.Neighbours, want.Len())
		}
	}
}

// shuffled is the same surface with its triangles in another order, each begun at another corner.
func shuffled(m *mesh.Mesh, seed uint64) *mesh.Mesh {
	out := *meshtest.Soup(m)
	random := rand.New(rand.NewPCG(seed, 1))
	for i := out.Len() - 1; i > 0; i-- {
		j := random.IntN(i + 1)
		var a, b [3][3]float32
		turn := random.IntN(3)
		for k := range 3 {
			a[k], b[k] = out.Vertices[3*i+(k+turn)%3], out.Vertices[3*j+k]
		}
		for k := range 3 {
			out.Vertices[3*i+k], out.Vertices[3*j+k] = b[k], a[k]
		}
	}
	return &out
}

// In which order a file has its triangles changes no count, no volume and no bore, and thickness by
// no more than where samples come to stand.
func TestOrderOfTrianglesChangesNothing(t *testing.T) {
	plate := meshtest.Joined(
		extruded(2, rectangle(-20, -15, 20, 15), ngon(4, 5, 1.5, 24), ngon(-8, 2, 3, 32)),
		meshtest.Box(geom.Vec{5, -5, 1.5}, geom.Vec{6, -12, 12}),
		moved(meshtest.Prism(0.5, 20.5, 24), geom.Vec{-15, -10, 1.5}),
		moved(meshtest.Cube(0.1), geom.Vec{30, 30, 0}))
	for name, m := range map[string]*mesh.Mesh{
		"plate": plate, "ring": tilted(meshtest.Torus(20, 3, 60, 24)), "open": meshtest.Hole(meshtest.Sphere(10, 10), 40, 45),
		"tangled": meshtest.Joined(meshtest.Cube(10), moved(tilted(meshtest.Cube(10)), geom.Vec{5, 5, 5})),
		"loose":   looseTriangles(800, 4),
	} {
		one := surveyed(t, shuffled(m, 1))
		for seed := range uint64(3) {
			f := surveyed(t, shuffled(m, seed+2))
			for what, pair := range map[string][2]int{
				"shells": {f.Shells, one.Shells}, "genus": {f.Genus, one.Genus}, "bores": {len(f.Bores), len(one.Bores)}, "pegs": {len(f.Pegs), len(one.Pegs)},
				"open edges": {f.Health.OpenEdges, one.Health.OpenEdges}, "crossings": {f.Health.Crossings, one.Health.Crossings},
				"strays": {f.Health.Strays, one.Health.Strays}, "crowded": {f.Health.CrowdedEdges, one.Health.CrowdedEdges},
				"walls and pins": {len(f.Thickness.Places), len(one.Thickness.Places)}, "gaps": {len(f.Gaps.Places), len(one.Gaps.Places)},
			} {
				if pair[0] != pair[1] && (name != "loose" || what == "crossings" || what == "open edges" || what == "strays") {
					t.Errorf("%s: %d %s, were %d", name, pair[0], what, pair[1])
				}
			}
			for what, pair := range map[string][2]float64{"volume": {f.Volume, one.Volume}, "area": {f.Area, one.Area}, "facets": {f.Facets.Worst, one.Facets.Worst}} {
				if !near(pair[0], pair[1], 1e-9) {
					t.Errorf("%s: %s %g, was %g", name, what, pair[0], pair[1])
				}
			}
			for i := range min(len(f.Bores), len(one.Bores)) {
				if a, b := f.Bores[i], one.Bores[i]; !near(a.Diameter, b.Diameter, 1e-6) || !near(a.Flats, b.Flats, 1e-6) || a.Sides != b.Sides || a.Through != b.Through {
					t.Errorf("%s: bore %+v, was %+v", name, a, b)
				}
			}
			if name == "loose" {
				continue // the thickness of nothing closed: chance
			}
			for _, share := range []float64{0.01, 0.1, 0.5, 0.9} {
				if a, b := f.Thickness.Quantile(share), one.Thickness.Quantile(share); !near(a, b, 0.02) {
					t.Errorf("%s: %g of the area is %g thick, was %g", name, share, a, b)
				}
			}
		}
	}
}

// How long it takes to stop finding how two parts of half a million triangles lie to each other,
// at worst, at many moments.
func BenchmarkCancelBetween(b *testing.B) {
	part := func(m *mesh.Mesh) survey.Placed {
		return survey.Placed{Box: mesh.MeasuresOf(m).Box, Place: func(v geom.Vec) geom.Vec { return v },
			Mesh: func(context.Context) (*mesh.Mesh, error) { return m, nil }}
	}
	for name, pair := range map[string][2]*mesh.Mesh{
		"hollow": {large(500000, true), tilted(large(500000, true))}, "loose": {looseTriangles(500000, 3), looseTriangles(500000, 4)},
	} {
		b.Run(name, func(b *testing.B) {
			parts := []survey.Placed{part(pair[0]), part(pair[1])}
			began := time.Now()
			if _, err := survey.Between(b.Context(), parts, nil); err != nil {
				b.Fatal(err)
			}
			whole := time.Since(began)
			worst := time.Duration(0)
			for b.Loop() {
				for k := range 9 {
					ctx, cancel := context.WithCancel(b.Context())
					var ended time.Time
					stop := time.AfterFunc(whole*time.Duration(k)/9, func() { ended = time.Now(); cancel() })
					if _, err := survey.Between(ctx, parts, nil); err != nil {
						worst = max(worst, time.Since(ended))
					}
					stop.Stop()
					cancel()
				}
			}
			b.ReportMetric(whole.Seconds(), "s/whole")
			b.ReportMetric(float64(worst.Milliseconds()), "ms/worst")
		})
	}
}
