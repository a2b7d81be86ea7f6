package survey_test

import (
	"reflect"
	"strings"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// A shelf is a store in memory that counts.
type shelf struct {
	kept         map[string][]byte
	loads, saves int
}

func (s *shelf) Load(key string) ([]byte, bool) {
	s.loads++
	data, ok := s.kept[key]
	return data, ok
}

func (s *shelf) Save(key string, data []byte) {
	s.saves++
	s.kept[key] = data
}

func kept(t *testing.T, s survey.Store, m *mesh.Mesh) (survey.Measurements, bool) {
	t.Helper()
	early := false
	f, err := survey.Kept(t.Context(), s, m, func(survey.Measurements) { early = true }, nil)
	if err != nil {
		t.Fatal(err)
	}
	return f, !early
}

func TestASurveyIsKept(t *testing.T) {
	s := &shelf{kept: map[string][]byte{}}
	m := about(extruded(6, rectangle(-10, -10, 10, 10), ngon(0, 0, 1.5, 12)), geom.Vec{5e6, 0, 1})
	first, old := kept(t, s, m)
	if old || s.saves != 1 || len(s.kept) != 1 {
		t.Fatalf("old %t, %d saves", old, s.saves)
	}
	for key := range s.kept {
		if strings.Trim(key, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
			t.Errorf("key %q", key)
		}
	}
	named := *m
	named.Name = "another name"
	again, old := kept(t, s, &named)
	if !old || s.saves != 1 || !reflect.DeepEqual(first, again) || again.Field.Len() == 0 {
		t.Errorf("old %t, %d saves, the same %t", old, s.saves, reflect.DeepEqual(first, again))
	}
	// Whatever differs in the mesh makes it another.
	other := *m
	other.Vertices = append([][3]float32{}, m.Vertices...)
	other.Vertices[7][1] += 1e-5
	flipped := *meshtest.Flip(m)
	elsewhere := *m
	elsewhere.Origin[0]++
	for i, m := range []*mesh.Mesh{&other, &flipped, &elsewhere} {
		if _, old := kept(t, s, m); old {
			t.Errorf("mesh %d is taken for the first", i)
		}
	}
	if none, old := kept(t, nil, m); old || !reflect.DeepEqual(none, first) {
		t.Errorf("without a store: old %t", old)
	}
}

// A broken entry is made again, wherever it is cut.
func TestBrokenSurveysAreMadeAgain(t *testing.T) {
	s := &shelf{kept: map[string][]byte{}}
	m := meshtest.Cube(3)
	first, _ := kept(t, s, m)
	for key, data := range s.kept {
		for _, broken := range [][]byte{{}, {1, 2, 3}, data[:100], data[:len(data)-1], append(data[:len(data):len(data)], 0), {255, 255, 255, 255, 9}} {
			s.kept[key] = broken
			if again, old := kept(t, s, m); old || !reflect.DeepEqual(again, first) {
				t.Errorf("%d bytes of %d: old %t", len(broken), len(data), old)
			}
			if _, old := kept(t, s, m); !old {
				t.Errorf("%d bytes: not mended", len(broken))
			}
		}
	}
}

func FuzzKeptSurvey(f *testing.F) {
	s := &shelf{kept: map[string][]byte{}}
	if _, err := survey.Kept(f.Context(), s, meshtest.Cube(3), nil, nil); err != nil {
		f.Fatal(err)
	}
	for _, data := range s.kept {
		f.Add(data[:2000])
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		found, err := survey.Decode(data)
		if err != nil {
			return
		}
		again, err := survey.Encode(found)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := survey.Decode(again); err != nil || !reflect.DeepEqual(back, found) {
			t.Errorf("%v, the same %t", err, reflect.DeepEqual(back, found))
		}
	})
}
