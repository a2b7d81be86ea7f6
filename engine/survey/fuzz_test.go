package survey_test

import (
	"context"
	"encoding/json"
	"math"
	"reflect"
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

// grownBy is what is measured of a part that was made larger by a power of two, which rounds nothing:
// the same but for lengths, areas and the volume.
func grownBy(f survey.Measurements, by float64) survey.Measurements {
	box := func(b geom.Box) geom.Box { return geom.Box{Min: b.Min.Scale(by), Max: b.Max.Scale(by)} }
	points := func(all []geom.Vec) []geom.Vec {
		all = slices.Clone(all)
		for i := range all {
			all[i] = all[i].Scale(by)
		}
		return all
	}
	numbers := func(all []float64, by float64) []float64 {
		all = slices.Clone(all)
		for i := range all {
			all[i] *= by
		}
		return all
	}
	for _, d := range []*survey.Distribution{&f.Thickness.Distribution, &f.Gaps.Distribution, &f.Facets.Chords} {
		d.Widths, d.Areas = numbers(d.Widths, by), numbers(d.Areas, by*by)
		d.Unmeasured *= by * by
	}
	f.Box, f.Area, f.Volume, f.Centroid, f.Spacing = box(f.Box), f.Area*by*by, f.Volume*by*by*by, f.Centroid.Scale(by), f.Spacing*by
	f.Thickness.Places = slices.Clone(f.Thickness.Places)
	for i := range f.Thickness.Places {
		p := &f.Thickness.Places[i]
		p.Least, p.Typical, p.Height, p.Area, p.Centre, p.Box = p.Least*by, p.Typical*by, p.Height*by, p.Area*by*by, p.Centre.Scale(by), box(p.Box)
	}
	f.Gaps.Places = slices.Clone(f.Gaps.Places)
	for i := range f.Gaps.Places {
		p := &f.Gaps.Places[i]
		p.Least, p.Typical, p.Depth, p.Area, p.Centre, p.Box = p.Least*by, p.Typical*by, p.Depth*by, p.Area*by*by, p.Centre.Scale(by), box(p.Box)
	}
	for _, list := range []*[]survey.Round{&f.Bores, &f.Pegs} {
		*list = slices.Clone(*list)
		for i := range *list {
			r := &(*list)[i]
			r.Diameter, r.Flats, r.Depth, r.Centre = r.Diameter*by, r.Flats*by, r.Depth*by, r.Centre.Scale(by)
			r.Sinks = slices.Clone(r.Sinks)
			for k := range r.Sinks {
				s := &r.Sinks[k]
				s.Diameter, s.Depth, s.Centre = s.Diameter*by, s.Depth*by, s.Centre.Scale(by)
			}
		}
	}
	f.Facets.Worst, f.Facets.Where = f.Facets.Worst*by, f.Facets.Where.Scale(by)
	h := &f.Health
	h.Edges, h.CrossAt, h.Step = points(h.Edges), points(h.CrossAt), h.Step*by
	h.StrayAt = slices.Clone(h.StrayAt)
	for i := range h.StrayAt {
		h.StrayAt[i].Box = box(h.StrayAt[i].Box)
	}
	return f
}

// Whatever the mesh is, the survey ends and what it says are finite numbers; the mesh made larger
// by a power of two gives the same, made larger, to the last bit.
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
		field := found.Field
		found.Field = survey.Field{}
		for _, by := range []float64{2, 0.25, 1 << 20} {
			larger, err := survey.Sparse(t.Context(), meshtest.Scaled(m, by), 40, nil)
			if err != nil {
				t.Fatal(err)
			}
			larger.Field = survey.Field{}
			if want := grownBy(found, by); !reflect.DeepEqual(larger, want) {
				t.Fatalf("%g times as large it is\n%+v, not\n%+v", by, larger, want)
			}
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
		if _, err := survey.Shade(t.Context(), m, field, above, found.Box, 12); err != nil && m.Len() > 0 && found.Box.Size().Finite() {
			t.Fatal(err)
		}
	})
}
