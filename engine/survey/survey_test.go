package survey_test

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// looseTriangles hang together nowhere.
func looseTriangles(n int, seed uint64) *mesh.Mesh {
	random := rand.New(rand.NewPCG(seed, 9))
	vertices := make([][3]float32, 3*n)
	for i := 0; i < len(vertices); i += 3 {
		at := [3]float32{random.Float32() * 100, random.Float32() * 100, random.Float32() * 100}
		for k := range 3 {
			for axis := range 3 {
				vertices[i+k][axis] = at[axis] + random.Float32()
			}
		}
	}
	return meshtest.Made("loose", vertices, nil)
}

// bad are meshes of which little or nothing can be measured.
func bad() map[string]*mesh.Mesh {
	point := meshtest.Made("point", make([][3]float32, 30), nil)
	line := meshtest.Made("line", [][3]float32{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {5, 5, 5}, {1, 1, 1}, {3, 3, 3}}, nil)
	sheet := meshtest.Made("sheet", [][3]float32{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}, [][3]uint32{{0, 1, 2}, {0, 2, 3}})
	twice := meshtest.Joined(sheet, meshtest.Flip(sheet))
	huge := meshtest.Made("huge", [][3]float32{{-3e38, 0, 0}, {3e38, 0, 0}, {0, 3e38, 0}, {0, 0, 3e38}}, [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}})
	tiny := meshtest.Made("tiny", [][3]float32{{-1e-40, 0, 0}, {1e-40, 0, 0}, {0, 1e-40, 0}, {0, 0, 1e-40}}, [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}})
	return map[string]*mesh.Mesh{
		"nothing": meshtest.Made("", nil, nil), "point": point, "line": line, "sheet": sheet,
		"sheet of no thickness": twice, "huge": huge, "tiny": tiny,
		"open": meshtest.Hole(meshtest.Cube(10), 0, 2), "half a ball": meshtest.Hole(meshtest.Sphere(5, 8), 0, 640),
		"through itself": meshtest.Joined(meshtest.Cube(10), moved(meshtest.Cube(10), geom.Vec{5, 5, 5})),
		"same twice":     meshtest.Joined(meshtest.Cube(10), meshtest.Cube(10)),
		"a fan":          fan(1000),
		"loose":          looseTriangles(5000, 1),
	}
}

// fan has n triangles around one edge.
func fan(n int) *mesh.Mesh {
	vertices := [][3]float32{{0, 0, 0}, {0, 0, 1}}
	var triangles [][3]uint32
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		vertices = append(vertices, [3]float32{float32(c), float32(s), 0.5})
		triangles = append(triangles, [3]uint32{0, 1, uint32(i + 2)})
	}
	return meshtest.Made("fan", vertices, triangles)
}

// Whatever the mesh is, what is measured are finite numbers, and not more of them than the
// mesh allows.
func TestBadMeshes(t *testing.T) {
	for name, m := range bad() {
		f := sparsely(t, m)
		text, err := json.Marshal(f)
		if err != nil {
			t.Errorf("%s: %v", name, err) // NaN and infinities cannot be written
		}
		if f.Triangles != m.Len() {
			t.Errorf("%s: %d triangles of %d", name, f.Triangles, m.Len())
		}
		if !f.Closed && f.Volume != 0 {
			t.Errorf("%s: open, with a volume of %g", name, f.Volume)
		}
		if len(text) > 1<<20 {
			t.Errorf("%s: %d bytes", name, len(text))
		}
	}
	open := sparsely(t, bad()["open"]).Thickness // without its bottom
	if open.Unmeasured < 99 || open.Unmeasured > 101 || !near(open.Area(), 400, 0.01) || !near(open.Quantile(0.5), 10, 0.001) {
		t.Errorf("an open cube: %.2f measured, %.2f not, median %g", open.Area(), open.Unmeasured, open.Quantile(0.5))
	}
	if f := sparsely(t, bad()["sheet"]); f.Thickness.Known() || !near(f.Thickness.Unmeasured, 1, 1e-3) {
		t.Errorf("a sheet has the thickness %+v", f.Thickness)
	}
	// What lies in something else is not its surface: 10³ twice with 5³ in common.
	if d := sparsely(t, bad()["through itself"]).Thickness; !near(d.Area()+d.Unmeasured, 2*600-6*25, 0.01) {
		t.Errorf("two cubes through each other have %.2f outside", d.Area()+d.Unmeasured)
	}
}

// Ways through a part are counted, also in several shells.
func TestGenus(t *testing.T) {
	ring, cube := meshtest.Torus(20, 3, 12, 8), moved(meshtest.Cube(3), geom.Vec{50, 0, 0})
	plate := moved(extruded(6, rectangle(-10, -10, 10, 10), ngon(-5, 0, 2, 9), ngon(5, 0, 2, 9)), geom.Vec{0, 0, 40})
	for _, c := range []struct {
		name  string
		solid *mesh.Mesh
		genus int
	}{
		{"cube", cube, 0}, {"ring", ring, 1}, {"plate", plate, 2}, {"all", meshtest.Joined(ring, cube, plate), 3},
		{"touching at corners", meshtest.Joined(meshtest.Cube(3), moved(meshtest.Cube(3), geom.Vec{3, 3, 3}), moved(meshtest.Cube(3), geom.Vec{0, 0, 6})), 0},
		{"soup", meshtest.Soup(ring), 1}, {"open", meshtest.Hole(ring, 0, 2), 0},
	} {
		if f := sparsely(t, c.solid); f.Genus != c.genus {
			t.Errorf("%s has genus %d, want %d", c.name, f.Genus, c.genus)
		}
	}
}

func TestMeasurementsAreWritten(t *testing.T) {
	f := surveyed(t, meshtest.Tube(20, 1, 5))
	text, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	var back survey.Measurements
	f.Field = survey.Field{}
	if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(back, f) {
		t.Errorf("reads back as %+v, %v", back, err)
	}
	for _, key := range []string{`"thickness":`, `"places":`, `"closed":true`, `"shells":1`} {
		if !strings.Contains(string(text), key) {
			t.Errorf("no %s in %s", key, text)
		}
	}
}

func TestSurveyIsTheSameOnAnyNumberOfProcessors(t *testing.T) {
	m := tilted(meshtest.Joined(meshtest.Torus(20, 3, 100, 40), moved(meshtest.Prism(1, 9, 12), geom.Vec{0, 0, 9})))
	many := sparsely(t, m)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if one := sparsely(t, m); !reflect.DeepEqual(one, many) {
		t.Error("measurements differ")
	}
}

func TestSurveyStopsAndReports(t *testing.T) {
	m := meshtest.Torus(20, 3, 60, 40)
	last := 0.0
	if _, err := survey.Sparse(context.Background(), m, 1000, func(done float64) {
		if done < last || done > 1 {
			t.Errorf("%g after %g", done, last)
		}
		last = done
	}); err != nil || last != 1 {
		t.Errorf("ends at %g, %v", last, err)
	}
	for _, at := range []float64{0, 0.05, 0.15, 0.3, 0.5, 0.7, 0.9} {
		ctx, cancel := context.WithCancel(context.Background())
		var after atomic.Int64
		_, err := survey.Sparse(ctx, m, 1000, func(done float64) {
			if ctx.Err() != nil {
				after.Add(1)
			}
			if done >= at {
				cancel()
			}
		})
		if !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled at %g: %v", at, err)
		}
		if n := after.Load(); n > 20 {
			t.Errorf("cancelled at %g, it went on %d times", at, n)
		}
		cancel()
	}
}

// Very many loose triangles: all is measured that can be, and it can be stopped anywhere.
func TestManyLooseTriangles(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	m := looseTriangles(200000, 3)
	f := sparsely(t, m)
	if f.Triangles != m.Len() || f.Closed || f.Shells != m.Len() || f.Health.OpenEdges != 3*m.Len() || f.Volume != 0 {
		t.Errorf("%d triangles, closed %t, %d shells, %d open edges", f.Triangles, f.Closed, f.Shells, f.Health.OpenEdges)
	}
	if len(f.Health.Edges) > 64 || len(f.Health.StrayAt) > 64 || len(f.Thickness.Places) > 300 {
		t.Errorf("%d edges, %d strays, %d places are named", len(f.Health.Edges), len(f.Health.StrayAt), len(f.Thickness.Places))
	}
	size := func(s survey.Stray) float64 { return s.Box.Size().Len() }
	if !slices.IsSortedFunc(f.Health.StrayAt, func(a, b survey.Stray) int { return cmp.Compare(size(a), size(b)) }) || f.Health.Strays < m.Len()/2 {
		t.Errorf("%d strays, the smallest %v", f.Health.Strays, f.Health.StrayAt)
	}
	for _, at := range []float64{0.1, 0.18, 0.25, 0.6} {
		ctx, cancel := context.WithCancel(context.Background())
		_, err := survey.Sparse(ctx, m, 2500, func(done float64) {
			if done >= at {
				cancel()
			}
		})
		if !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled at %g: %v", at, err)
		}
		cancel()
	}
}

// How long it takes to stop, at worst, at many moments of the survey of a million triangles.
func BenchmarkCancel(b *testing.B) {
	for name, m := range map[string]*mesh.Mesh{"loose": looseTriangles(1000000, 3), "hollow": large(1000000, true)} {
		b.Run(name, func(b *testing.B) {
			began := time.Now()
			surveyed(b, m)
			whole := time.Since(began)
			worst := time.Duration(0)
			for b.Loop() {
				for k := range 9 {
					ctx, cancel := context.WithCancel(context.Background())
					var ended time.Time
					stop := time.AfterFunc(whole*time.Duration(k)/9, func() { ended = time.Now(); cancel() })
					if _, err := survey.Of(ctx, m, nil); err != nil {
						worst = max(worst, time.Since(ended))
					}
					stop.Stop()
					cancel()
				}
			}
			b.ReportMetric(float64(worst.Milliseconds()), "ms/worst")
		})
	}
}
