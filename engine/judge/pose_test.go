package judge

import (
	"context"
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// A pose said for points of the file puts them where it puts those of the hull, however the
// part was turned to lie.
func TestPoseOfFile(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 11))
	for _, lies := range []geom.Turn{{}, geom.NoTurn(), {1, -3, 2}, {-3, 2, 1}, {2, 3, 1}, {1, -2, -3}} {
		m := randomPart(t, rnd, 0)
		h, err := survey.HullOf(context.Background(), m, lies)
		if err != nil {
			t.Fatal(err)
		}
		f := fitQuick(t, Bed{Size: geom.Vec{220, 200, 250}, Margin: 5}, h, Free)
		turn, shift := f.Pose.OfFile(h)
		low := geom.EmptyBox()
		for i := range m.Vertices {
			p := m.Vertex(uint32(i))
			got := geom.Vec{turn[0].Dot(p), turn[1].Dot(p), turn[2].Dot(p)}.Add(shift)
			want := f.Pose.Apply(h.Lie(p))
			if d := got.Sub(want).Len(); d > 1e-12*h.Size.Len() {
				t.Fatalf("%v: %v goes to %v by the file and to %v by the hull", lies, p, got, want)
			}
			low = low.Add(got)
		}
		for a, span := range low.Size() {
			if d := span - f.Size[a]; d > 1e-9*h.Size.Len() || -d > 1e-9*h.Size.Len() {
				t.Errorf("%v: the turned part is %v, its fit says %v", lies, low.Size(), f.Size)
			}
		}
		if d := low.Min[2]; d > 1e-9*h.Size.Len() || -d > 1e-9*h.Size.Len() {
			t.Errorf("%v: it stands at %g", lies, d)
		}
	}
}

// A box that stands in for a part fits as the box of triangles does.
func TestHullOfBox(t *testing.T) {
	bed := Bed{Size: geom.Vec{220, 180, 250}, Margin: 5}
	for _, b := range []Bed{bed, {Size: geom.Vec{200, 200, 300}, Margin: 3, Round: true}} {
		for _, size := range []geom.Vec{{412, 96, 88}, {6, 180, 6}, {50, 50, 0}, {0, 0, 0}} {
			stand := survey.HullOfBox(geom.Box{Max: size}, geom.Turn{})
			for how := AsItLies; how <= Faces; how++ {
				got := fit(t, b, stand, how)
				if size[2] == 0 {
					if laid := fit(t, b, stand, AsItLies); got.Factor < laid.Factor {
						t.Errorf("%v %s: %g, less than %g as it lies", size, how, got.Factor, laid.Factor)
					}
					continue
				}
				want := fit(t, b, hullOf(t, meshtest.Box(geom.Vec{}, size)), how)
				if d := got.Factor/want.Factor - 1; d > 1e-9 || d < -1e-9 {
					t.Errorf("%v %s on %+v: %g, a box of triangles %g", size, how, b, got.Factor, want.Factor)
				}
			}
		}
	}
}

// What is dropped as lying inside the outline of a few points lies inside the outline of all.
func TestInside(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 8))
	for range 300 {
		n := 3 + rnd.IntN(40)
		points := make([]geom.Vec2, n)
		for i := range points {
			points[i] = geom.Vec2{float64(rnd.IntN(20)), float64(rnd.IntN(20))}
		}
		outline := geom.Hull2(points)
		w := insideOf(outline)
		for range 200 {
			p := geom.Vec2{rnd.Float64()*24 - 2, rnd.Float64()*24 - 2}
			in := len(outline) >= 3
			for i, a := range outline {
				in = in && geom.Orient2(a, outline[(i+1)%len(outline)], p) > 0
			}
			if w.has(p) != in {
				t.Fatalf("%v inside %v: %t", p, outline, !in)
			}
		}
		for _, p := range outline {
			if w.has(p) {
				t.Fatalf("corner %v lies inside %v", p, outline)
			}
		}
	}
}

// A ball has as many faces as facets: not all of them are tried in full, and the bound tells.
func TestFacesOfABall(t *testing.T) {
	h := hullOf(t, meshtest.Sphere(100, 24))
	if len(h.Points) <= len(h.Few) || len(h.Faces) <= mostSettled {
		t.Fatalf("%d corners, %d of them few, %d faces", len(h.Points), len(h.Few), len(h.Faces))
	}
	f := fit(t, Bed{Size: geom.Vec{220, 200, 250}, Margin: 5}, h, Faces)
	if !(f.AtMost >= f.Factor && f.AtMost < f.Factor*1.05) {
		t.Errorf("%g, at most %g", f.Factor, f.AtMost)
	}
	best := 0.0
	for _, s := range h.Faces {
		fitting := newFitting(Bed{Size: geom.Vec{220, 200, 250}, Margin: 5}, h)
		best = max(best, fitting.settleTowards(s.Outward.Scale(-1)).Factor)
	}
	if best > f.AtMost {
		t.Errorf("a face gives %g, beyond %g", best, f.AtMost)
	}
}
