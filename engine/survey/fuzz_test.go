package survey_test

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// meshFrom makes a small mesh of bytes: a byte says how many corners there are, each three
// numbers of a byte, and three bytes a triangle follow. Many corners meet, lie in line or
// in one plane.
func meshFrom(data []byte) *mesh.Mesh {
	if len(data) == 0 {
		return meshtest.Made("nothing", nil, nil)
	}
	n, data := int(data[0])%32+1, data[1:]
	vertices := make([][3]float32, n)
	for i := range vertices {
		for k := range 3 {
			if len(data) > 0 {
				vertices[i][k] = number(data[0])
				data = data[1:]
			}
		}
	}
	triangles := [][3]uint32{}
	for ; len(data) >= 3 && len(triangles) < 64; data = data[3:] {
		triangles = append(triangles, [3]uint32{uint32(data[0]) % uint32(n), uint32(data[1]) % uint32(n), uint32(data[2]) % uint32(n)})
	}
	return meshtest.Made("fuzzed", vertices, triangles)
}

// number is a small whole number, or now and then an odd one.
func number(b byte) float32 {
	switch b {
	case 250:
		return 1e-30
	case 251:
		return -1e15
	case 252:
		return 1e-7
	case 253:
		return 7 + 1e-6
	case 254:
		return float32(math.Pi)
	case 255:
		return float32(math.Copysign(0, -1))
	}
	return float32(int(b)%16) - 4
}

// Whatever the mesh is, the survey ends and what it says are finite numbers; twice
// the mesh gives twice the lengths, to the last bit, since a power of two rounds nothing.
func FuzzSurvey(f *testing.F) {
	f.Add([]byte{})
	cube := []byte{7}
	for i := range 8 {
		cube = append(cube, byte(4+9*(i&1)), byte(4+7*(i>>1&1)), byte(4+2*(i>>2&1)))
	}
	for _, t := range [][3]byte{{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}} {
		cube = append(cube, t[:]...)
	}
	f.Add(cube)
	f.Add(append(cube[:len(cube):len(cube)], 0, 1, 7, 0, 1, 6, 7, 7, 7))
	f.Add(cube[:40])
	f.Fuzz(func(t *testing.T, data []byte) {
		m := meshFrom(data)
		found, err := survey.Sparse(t.Context(), m, 40, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(found); err != nil {
			t.Fatal(err) // a number that is not finite
		}
		if sum := found.Thickness.Area() + found.Thickness.Unmeasured; sum > 4*found.Area+1e-30 {
			t.Errorf("samples stand for %g of %g", sum, found.Area)
		}
		if found.Volume < 0 || found.Thickness.Least() < 0 {
			t.Errorf("volume %g, least %g", found.Volume, found.Thickness.Least())
		}
		twice, err := survey.Sparse(t.Context(), meshtest.Scaled(m, 2), 40, nil)
		if err != nil {
			t.Fatal(err)
		}
		if twice.Health.Crossings != found.Health.Crossings || twice.Shells != found.Shells || len(twice.Bores) != len(found.Bores) || len(twice.Pegs) != len(found.Pegs) {
			t.Errorf("twice as large it is %+v, %+v, was %+v, %+v", twice.Health, twice.Pegs, found.Health, found.Pegs)
		}
		for _, d := range []struct{ one, two survey.Distribution }{
			{found.Thickness.Distribution, twice.Thickness.Distribution},
			{found.Gaps.Distribution, twice.Gaps.Distribution},
		} {
			if !slices.EqualFunc(d.one.Widths, d.two.Widths, func(a, b float64) bool { return 2*a == b }) {
				t.Errorf("twice as large its widths are %g, were %g", d.two.Widths, d.one.Widths)
			}
		}
		if len(twice.Thickness.Places) != len(found.Thickness.Places) || len(twice.Gaps.Places) != len(found.Gaps.Places) {
			t.Errorf("twice as large its places are %+v, %+v, were %+v, %+v", twice.Thickness.Places, twice.Gaps.Places, found.Thickness.Places, found.Gaps.Places)
		}
		place := func(v geom.Vec) geom.Vec { return v }
		part := survey.Placed{Box: found.Box, Bores: found.Bores, Pegs: found.Pegs, Place: place, Mesh: func(context.Context) (*mesh.Mesh, error) { return m, nil }}
		if m.Len() == 0 {
			part.Box = geom.EmptyBox()
		}
		a, err := survey.Between(t.Context(), []survey.Placed{part, part}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(a); err != nil {
			t.Fatal(err)
		}
		if _, err := survey.Shade(t.Context(), m, found.Field, above, found.Box, 12); err != nil && m.Len() > 0 && found.Box.Size().Finite() {
			t.Fatal(err)
		}
	})
}
