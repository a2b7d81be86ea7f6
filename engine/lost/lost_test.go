package lost

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
)

// body measures a mesh, one unit of which is so many millimetres.
func body(m *mesh.Mesh, mm float64) Body {
	return Body{Part: mesh.Part{Measures: mesh.MeasuresOf(m), Unit: mesh.Unit{MM: mm}, Surface: true}, Mesh: m}
}

// shuffled has the same triangles in another order.
func shuffled(t testing.TB, m *mesh.Mesh) *mesh.Mesh {
	t.Helper()
	var vertices [][3]float32
	for _, i := range rand.New(rand.NewPCG(1, 2)).Perm(m.Len()) {
		a, b, c := m.Triangle(i)
		for _, v := range []geom.Vec{a, b, c} {
			vertices = append(vertices, [3]float32{float32(v[0]), float32(v[1]), float32(v[2])})
		}
	}
	out, err := mesh.New(m.Name, geom.Vec{}, vertices, nil)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func find(t testing.TB, a, b Body) Found {
	t.Helper()
	f, err := Find(context.Background(), a, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// ellipsoid has three different extents and lies off the origin.
func ellipsoid() *mesh.Mesh {
	return meshtest.Moved(meshtest.Sphere(10, 24), func(v geom.Vec) geom.Vec { return geom.Vec{20 + 3*v[0], v[1] - 7, 0.7 * v[2]} })
}

func scaled(m *mesh.Mesh, s float64) *mesh.Mesh { return stretched(m, geom.Vec{s, s, s}) }

func stretched(m *mesh.Mesh, s geom.Vec) *mesh.Mesh {
	return meshtest.Moved(m, func(v geom.Vec) geom.Vec { return geom.Vec{v[0] * s[0], v[1] * s[1], v[2] * s[2]} })
}

// Whatever the factor, it comes back, as far as float32 can tell, with the short number that was
// typed.
func TestFactorComesBack(t *testing.T) {
	original := ellipsoid()
	for typed, s := range map[string]float64{"0.235": 0.235, "2": 2, "1": 1, "0.0115": 0.0115, "0.3333": 0.3333, "25.4": 25.4, "1000": 1000} {
		copied := meshtest.Moved(original, func(v geom.Vec) geom.Vec { return v.Scale(s).Add(geom.Vec{5 * s, -3 * s, 40 * s}) }) // and shifted
		f := find(t, body(original, 1), body(copied, 1))
		if f.Method != ByCorners || f.Uneven || f.Turned || f.Tidy.Exact() != typed || math.Abs(f.Factor.Float()/s-1) > 2e-6 {
			t.Errorf("×%s: %+v", typed, f)
		}
		if math.Abs(f.Factor.Float()/s-1) > 4*f.SD {
			t.Errorf("×%s: off by %g, said to be known to %g", typed, f.Factor.Float()/s-1, f.SD)
		}
		if math.Abs(f.Solid/s-1) > 1e-4 || f.Residual > 1e-5*s*30 {
			t.Errorf("×%s: %+v", typed, f)
		}
		// Without the triangles, and with them in another order, the sizes tell.
		for _, b := range []Body{{Part: body(copied, 1).Part}, body(shuffled(t, copied), 1)} {
			g := find(t, body(original, 1), b)
			if g.Method != ByExtents || g.Uneven || math.Abs(g.Factor.Float()/s-1) > 1e-5 || math.Abs(g.Factor.Float()/s-1) > 4*g.SD {
				t.Errorf("×%s by extents: %+v", typed, g)
			}
		}
	}
	// A third is no short number, and comes out in full.
	if f := find(t, body(original, 1), body(scaled(original, 1.0/3), 1)); math.Abs(f.Tidy.Float()*3-1) > 2e-6 || len(f.Tidy.Exact()) < 7 {
		t.Errorf("a third: %s", f.Tidy.Exact())
	}
	// A copy that was meshed more finely is told by its sizes.
	if f := find(t, body(meshtest.Sphere(10, 64), 1), body(meshtest.Sphere(5, 96), 1)); f.Method != ByExtents || math.Abs(f.Factor.Float()-0.5) > 1e-3 {
		t.Errorf("%+v", f)
	}
}

// Lengths are compared in millimetres.
func TestUnits(t *testing.T) {
	original, copied := ellipsoid(), scaled(ellipsoid(), 0.0005)
	for _, b := range []Body{body(copied, 1000), {Part: body(copied, 1000).Part}} {
		if f := find(t, body(original, 1), b); math.Abs(f.Factor.Float()-0.5) > 1e-5 || math.Abs(f.Solid-0.5) > 1e-4 {
			t.Errorf("%+v", f)
		}
	}
}

func TestUneven(t *testing.T) {
	original := ellipsoid()
	want := geom.Vec{0.5, 0.5, 0.515}
	copied := stretched(original, want)
	for _, b := range []Body{body(copied, 1), {Part: body(copied, 1).Part}} {
		f := find(t, body(original, 1), b)
		if !f.Uneven || math.Abs(f.Spread-0.03) > 1e-4 || f.Axes.Sub(want).Len() > 1e-5 || !f.Tidy.Equal(f.Factor) {
			t.Errorf("%+v", f)
		}
	}
	// Even a twentieth of a per cent shows in the corners.
	if f := find(t, body(original, 1), body(stretched(original, geom.Vec{0.5, 0.50025, 0.5}), 1)); !f.Uneven {
		t.Errorf("%+v", f)
	}
	// A model that was drawn out to three times its height is still told by its corners.
	if f := find(t, body(original, 1), body(stretched(original, geom.Vec{1, 1, 3}), 1)); !f.Uneven || math.Abs(f.Axes[2]-3) > 1e-5 {
		t.Errorf("%+v", f)
	}
}

// A copy that lies turned is told by its corners, by quarters or anyhow, and each axis is the
// original's.
func TestTurned(t *testing.T) {
	original := ellipsoid()
	yUp := func(m *mesh.Mesh) *mesh.Mesh {
		return meshtest.Moved(m, func(v geom.Vec) geom.Vec { return geom.Vec{v[0], v[2], -v[1]} })
	}
	f := find(t, body(original, 1), body(yUp(scaled(original, 0.25)), 1))
	if !f.Turned || f.Uneven || f.Tidy.Exact() != "0.25" {
		t.Errorf("%+v", f)
	}
	if f = find(t, body(original, 1), body(yUp(stretched(original, geom.Vec{1, 1.1, 1})), 1)); !f.Turned || !f.Uneven || f.Axes.Sub(geom.Vec{1, 1.1, 1}).Len() > 1e-5 {
		t.Errorf("%+v", f)
	}
	// By sizes alone as well.
	if f = find(t, Body{Part: body(original, 1).Part}, Body{Part: body(yUp(scaled(original, 0.25)), 1).Part}); !f.Turned || f.Uneven || math.Abs(f.Factor.Float()-0.25) > 1e-6 {
		t.Errorf("%+v", f)
	}
	c, s := math.Cos(0.7), math.Sin(0.7)
	freely := meshtest.Moved(original, func(v geom.Vec) geom.Vec {
		v = geom.Vec{c*v[0] - s*v[1], s*v[0] + c*v[1], v[2]}
		return geom.Vec{v[0], c*v[1] - s*v[2], s*v[1] + c*v[2]}.Scale(0.4)
	})
	if f = find(t, body(original, 1), body(freely, 1)); !f.Turned || f.Uneven || f.Tidy.Exact() != "0.4" {
		t.Errorf("%+v", f)
	}
}

func TestDifferent(t *testing.T) {
	sphere, cube := body(meshtest.Sphere(10, 24), 1), body(meshtest.Cube(20), 1)
	flat := stretched(ellipsoid(), geom.Vec{1, 1, 0})
	rnd := rand.New(rand.NewPCG(4, 5))
	noise := meshtest.Moved(ellipsoid(), func(geom.Vec) geom.Vec { return geom.Vec{rnd.Float64(), rnd.Float64(), rnd.Float64()} })
	mirror := stretched(meshtest.Tube(10, 2, 30), geom.Vec{-0.5, 0.5, 0.5})
	box := func(x, y, z float64) Body { return body(meshtest.Box(geom.Vec{}, geom.Vec{x, y, z}), 1) }
	for name, c := range map[string]struct {
		a, b Body
		want error
	}{
		"a sphere in the box of a cube": {sphere, cube, ErrDifferent},
		"a sheet":                       {body(ellipsoid(), 1), body(flat, 1), ErrDifferent},
		"noise of as many triangles":    {body(ellipsoid(), 1), body(noise, 1), ErrDifferent},
		"another box":                   {box(400, 100, 90), box(30, 50, 20), ErrDifferent},
		"the mirror image":              {body(meshtest.Tube(10, 2, 30), 1), body(mirror, 1), ErrMirrored},
		"nothing":                       {body(ellipsoid(), 1), Body{Part: mesh.Part{Measures: mesh.Measures{Box: geom.EmptyBox()}, Unit: mesh.Unit{MM: 1}}}, ErrNoExtent},
		"a point":                       {Body{Part: mesh.Part{Unit: mesh.Unit{MM: 1}}}, sphere, ErrNoExtent},
	} {
		if f, err := Find(context.Background(), c.a, c.b, nil); !errors.Is(err, c.want) {
			t.Errorf("%s: %+v, %v", name, f, err)
		}
	}
}

// A sheet has no volume and one axis without extent; its surface speaks for it.
func TestSheet(t *testing.T) {
	sheet := meshtest.Moved(ellipsoid(), func(v geom.Vec) geom.Vec { return geom.Vec{v[0], v[1], 3} })
	copied := scaled(sheet, 0.5)
	for _, b := range []Body{body(copied, 1), {Part: body(copied, 1).Part}} {
		f := find(t, body(sheet, 1), b)
		if f.Axes[2] != 0 || f.Uneven || math.Abs(f.Factor.Float()-0.5) > 1e-5 || math.Abs(f.Solid-0.5) > 1e-5 {
			t.Errorf("%+v", f)
		}
	}
}

// Text files with few decimals leave a factor that is known less well, and says so.
func TestRoundedCopy(t *testing.T) {
	original := ellipsoid()
	copied := meshtest.Moved(original, func(v geom.Vec) geom.Vec {
		v = v.Scale(0.235)
		for i := range v {
			v[i] = math.Round(v[i]*100) / 100
		}
		return v
	})
	f := find(t, body(original, 1), body(copied, 1))
	if f.Method != ByCorners || f.Uneven || f.Tidy.Exact() != "0.235" || math.Abs(f.Factor.Float()/0.235-1) > 2*f.SD || !(f.SD > 1e-5) || !(f.Residual > 1e-4) {
		t.Errorf("%+v", f)
	}
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	b := body(ellipsoid(), 1)
	if _, err := Find(ctx, b, b, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	last := -1.0
	if _, err := Find(context.Background(), b, b, func(x float64) {
		if x < last || x > 1 {
			t.Errorf("progress from %g to %g", last, x)
		}
		last = x
	}); err != nil || last != 1 {
		t.Errorf("%g, %v", last, err)
	}
}

func BenchmarkFind(b *testing.B) {
	m := body(meshtest.Sphere(10, 320), 1)
	for b.Loop() {
		if _, err := Find(context.Background(), m, m, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(m.Mesh.Len()), "triangles")
}
