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
