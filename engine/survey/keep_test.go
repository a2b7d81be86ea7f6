package survey_test

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"scantling/engine/cache"
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
	if old || s.saves != 2 || len(s.kept) != 2 { // the field lies by itself
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
	if !old || s.saves != 2 || !reflect.DeepEqual(first, again) || again.Field.Len() == 0 {
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

// brief is survey.Brief, and whether the mesh was read.
func brief(t testing.TB, s survey.Store, content string, m *mesh.Mesh) (found survey.Measurements, read bool) {
	t.Helper()
	found, err := survey.Brief(t.Context(), s, content, func(context.Context) (*mesh.Mesh, error) {
		read = true
		return m, nil
	}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return found, read
}

// What was surveyed once is known again by the name of its content, without the mesh, and is the
// same but for the field; what has no name, or whose entries are gone or broken, is read.
func TestAContentIsKnownByItsName(t *testing.T) {
	s := &shelf{kept: map[string][]byte{}}
	m := extruded(6, rectangle(-10, -10, 10, 10), ngon(0, 0, 1.5, 12))
	want, _ := kept(t, s, m)
	want.Field = survey.Field{}
	for i, c := range []struct {
		content string
		read    bool
	}{{"a", true}, {"a", false}, {"", true}, {"b", true}, {"b", false}, {"a", false}} {
		if got, read := brief(t, s, c.content, m); read != c.read || !reflect.DeepEqual(got, want) {
			t.Errorf("%d: content %q: read %t, the same %t", i, c.content, read, reflect.DeepEqual(got, want))
		}
	}
	if got, read := brief(t, nil, "a", m); !read || !reflect.DeepEqual(got, want) {
		t.Errorf("without a store: read %t", read)
	}
	for key, data := range s.kept {
		if strings.HasPrefix(key, "field") {
			continue
		}
		for _, broken := range [][]byte{nil, {}, data[:len(data)/2], append(data[:len(data):len(data)], 0)} {
			if s.kept[key] = broken; broken == nil {
				delete(s.kept, key)
			}
			for _, content := range []string{"a", "b"} {
				if got, _ := brief(t, s, content, m); !reflect.DeepEqual(got, want) {
					t.Errorf("%s of %d bytes: another answer for %s", key, len(broken), content)
				}
			}
			if _, read := brief(t, s, "a", m); read {
				t.Errorf("%s of %d bytes: not mended", key, len(broken))
			}
		}
	}
	trouble := errors.New("trouble")
	if _, err := survey.Brief(t.Context(), s, "c", func(context.Context) (*mesh.Mesh, error) { return nil, trouble }, nil, nil); err != trouble {
		t.Errorf("%v", err)
	}
}

// How parts lie to each other is kept for the contents as they stand: whatever differs is found
// anew.
func TestAnAssemblyIsKept(t *testing.T) {
	s := &shelf{kept: map[string][]byte{}}
	block := extruded(10, rectangle(-10, -10, 10, 10), ngon(0, 0, 2, 24))
	pin := extruded(10, ngon(0, 0, 1.9, 24))
	parts := func() []survey.Placed {
		a, b := placed(t, block, 1), placed(t, pin, 1)
		a.Content, b.Content = "block", "pin"
		return []survey.Placed{a, b}
	}
	find := func(all []survey.Placed) (a survey.Assembly, read bool) {
		t.Helper()
		for i, p := range all {
			if p.Mesh != nil {
				all[i].Mesh = func(ctx context.Context) (*mesh.Mesh, error) { read = true; return p.Mesh(ctx) }
			}
		}
		a, err := survey.KeptBetween(t.Context(), s, all, nil)
		if err != nil {
			t.Fatal(err)
		}
		return a, read
	}
	first, read := find(parts())
	if !read || len(first.Fits) != 1 {
		t.Fatalf("read %t, %d fits", read, len(first.Fits))
	}
	if again, read := find(parts()); read || !reflect.DeepEqual(first, again) {
		t.Errorf("read %t, the same %t", read, reflect.DeepEqual(first, again))
	}
	for what, change := range map[string]func(p []survey.Placed){
		"moved":    func(p []survey.Placed) { p[1].Place = func(v geom.Vec) geom.Vec { return v.Add(geom.Vec{0, 0, 1e-9}) } },
		"turned":   func(p []survey.Placed) { p[1].Place = func(v geom.Vec) geom.Vec { return geom.Vec{v[1], -v[0], v[2]} } },
		"larger":   func(p []survey.Placed) { p[1].Place = func(v geom.Vec) geom.Vec { return v.Scale(1.5) } },
		"another":  func(p []survey.Placed) { p[1].Content = "another pin" },
		"no pegs":  func(p []survey.Placed) { p[1].Pegs = nil },
		"no name":  func(p []survey.Placed) { p[0].Content = "" },
		"in turn":  func(p []survey.Placed) { p[0], p[1] = p[1], p[0] },
		"one less": func(p []survey.Placed) { p[1].Box, p[1].Mesh = geom.EmptyBox(), nil },
	} {
		p := parts()
		change(p)
		found, read := find(p)
		if !read && what != "one less" {
			t.Errorf("%s: taken for the first", what)
		}
		if what == "one less" && len(found.Fits) != 0 {
			t.Errorf("%s: taken for the first", what)
		}
	}
	for key := range s.kept {
		for _, broken := range []string{"", "{}x", `{"fits":[{"inner":7}]}`, `{"neighbours":[{"one":-1}]}`} {
			s.kept[key] = []byte(broken)
		}
	}
	if again, read := find(parts()); !read || !reflect.DeepEqual(first, again) {
		t.Errorf("broken: read %t", read)
	}
}

// A drawer is a part of a store.
type drawer struct {
	survey.Store
	name string
}

func (d drawer) Load(key string) ([]byte, bool) { return d.Store.Load(d.name + key) }
func (d drawer) Save(key string, data []byte)   { d.Store.Save(d.name+key, data) }

// Reading what is kept of 300 parts, from a folder.
func BenchmarkKept300(b *testing.B) {
	rough := meshtest.Jitter(meshtest.Torus(20, 6, 60, 30), 0.4, 1) // of many widths
	count := &shelf{kept: map[string][]byte{}}
	brief(b, count, "rough", rough)
	folder := cache.New(b.TempDir(), 1<<30)
	bytes := 0
	for key, data := range count.kept {
		if !strings.HasPrefix(key, "field") {
			bytes += len(data)
		}
		for i := range 300 {
			drawer{folder, fmt.Sprintf("p%d-", i)}.Save(key, data)
		}
	}
	for b.Loop() {
		for i := range 300 {
			if _, read := brief(b, drawer{folder, fmt.Sprintf("p%d-", i)}, "rough", rough); read {
				b.Fatal("not kept")
			}
		}
	}
	b.ReportMetric(float64(bytes), "B/part")
}

func FuzzKeptSurvey(f *testing.F) {
	s := &shelf{kept: map[string][]byte{}}
	if _, err := survey.Kept(f.Context(), s, meshtest.Cube(3), nil, nil); err != nil {
		f.Fatal(err)
	}
	for key, data := range s.kept {
		if strings.HasPrefix(key, "survey") {
			f.Add(data[:700])
			f.Add(data)
		}
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
