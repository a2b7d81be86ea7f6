package survey_test

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"testing"

	"scantling/engine/cache"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
	"scantling/engine/survey"
)

// sightOf is what a bench asks for of a mesh that lies so.
func sightOf(m *mesh.Mesh, lies geom.Turn) survey.SightOf {
	return survey.SightOf{Lies: lies, Box: mesh.MeasuresOf(m).Box, Pixels: 192, Snaps: 400, Looks: [3]survey.Look{
		{Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, 0, 1}}, {Right: geom.Vec{0, -1, 0}, Up: geom.Vec{0, 0, 1}}, {Right: geom.Vec{1, 0, 0}, Up: geom.Vec{0, 1, 0}},
	}}
}

// sight looks through a store, and tells whether the mesh was read.
func sight(t testing.TB, store survey.Store, content string, m *mesh.Mesh, want survey.SightOf) (s survey.Sight, read bool) {
	t.Helper()
	s, err := survey.KeptSight(context.Background(), store, content, want, func(context.Context) (*mesh.Mesh, error) {
		read = true
		return m, nil
	}, func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	return s, read
}

// What is kept of a look is what looking finds, to the last bit, and nothing is read for it.
func TestKeptSights(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"box":   moved(meshtest.Box(geom.Vec{}, geom.Vec{40, 30, 2}), geom.Vec{1e4, -7, 0.1}),
		"torus": tilted(meshtest.Torus(20, 6, 60, 30)),
		"loose": looseTriangles(300, 1),
		"flat":  meshtest.Box(geom.Vec{}, geom.Vec{3, 4, 0}),
	} {
		s := &shelf{kept: map[string][]byte{}}
		want := sightOf(m, geom.NoTurn())
		first, read := sight(t, s, name, m, want)
		if !read || len(s.kept) != 1 {
			t.Fatalf("%s: read %t, %d kept", name, read, len(s.kept))
		}
		fresh, err := survey.See(t.Context(), m, want, func(float64) {})
		if err != nil || !reflect.DeepEqual(first, fresh) {
			t.Errorf("%s: %v", name, err)
		}
		again, read := sight(t, s, name, m, want)
		if read || !reflect.DeepEqual(again, first) {
			t.Errorf("%s: read %t, the same %t", name, read, reflect.DeepEqual(again, first))
		}
		if again.Hull.Lie(geom.Vec{1, 2, 3}) != first.Hull.Lie(geom.Vec{1, 2, 3}) {
			t.Errorf("%s: the hull lies elsewhere", name)
		}

		// Anything else asked for is another answer.
		turned := want
		turned.Lies = geom.Quarter(geom.X)
		turned.Known = &survey.Sight{Topology: first.Topology, Snaps: first.Snaps}
		fine, few := want, want
		fine.Pixels, few.Snaps = 256, 3
		for what, w := range map[string]survey.SightOf{"turned": turned, "fine": fine, "few": few} {
			if _, read := sight(t, s, name, m, w); !read {
				t.Errorf("%s, %s: not looked at", name, what)
			}
		}
		other, _ := sight(t, s, name, m, turned)
		if other.Hull.Size == first.Hull.Size && name == "box" || !reflect.DeepEqual(other.Snaps, first.Snaps) || other.Topology != first.Topology {
			t.Errorf("%s turned: %+v", name, other.Hull.Size)
		}
		if _, read := sight(t, s, "", m, want); !read {
			t.Errorf("%s: what has no name is kept", name)
		}
		if _, read := sight(t, nil, name, m, want); !read {
			t.Errorf("%s: kept nowhere", name)
		}
	}
}

// What is kept and damaged is as good as not kept.
func TestDamagedSights(t *testing.T) {
	m := meshtest.Torus(20, 6, 24, 12)
	s := &shelf{kept: map[string][]byte{}}
	want := sightOf(m, geom.NoTurn())
	first, _ := sight(t, s, "torus", m, want)
	for key, whole := range s.kept {
		for cut := 0; cut < len(whole); cut += 1 + len(whole)/97 {
			s.kept[key] = whole[:cut]
			if again, read := sight(t, s, "torus", m, want); !read || !reflect.DeepEqual(again, first) {
				t.Fatalf("cut at %d of %d: read %t", cut, len(whole), read)
			}
		}
	}
	bad := errors.New("gone")
	_, err := survey.KeptSight(t.Context(), s, "other", want, func(context.Context) (*mesh.Mesh, error) { return nil, bad }, func(float64) {})
	if !errors.Is(err, bad) {
		t.Error(err)
	}
}

func FuzzKeptSight(f *testing.F) {
	m := meshtest.Torus(20, 6, 12, 6)
	s := &shelf{kept: map[string][]byte{}}
	want := sightOf(m, geom.NoTurn())
	sight(f, s, "torus", m, want)
	for _, data := range s.kept {
		f.Add(data)
		f.Add(data[:len(data)/2])
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		found, err := survey.DecodeSight(data, geom.NoTurn())
		if err != nil {
			return
		}
		again, err := survey.EncodeSight(found)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := survey.DecodeSight(again, geom.NoTurn()); err != nil || !reflect.DeepEqual(back.Silhouettes, found.Silhouettes) || back.Topology != found.Topology {
			t.Error(err)
		}
	})
}

// Looking again at 300 parts that are known, as on opening a kit.
func BenchmarkKeptSights300(b *testing.B) {
	m := meshtest.Torus(20, 6, 200, 100)
	want := sightOf(m, geom.NoTurn())
	count := &shelf{kept: map[string][]byte{}}
	sight(b, count, "torus", m, want)
	folder := cache.New(b.TempDir(), 1<<30)
	bytes := 0
	for key, data := range count.kept {
		bytes += len(data)
		for i := range 300 {
			drawer{folder, fmt.Sprintf("p%d-", i)}.Save(key, data)
		}
	}
	b.Run("kept", func(b *testing.B) {
		for b.Loop() {
			for i := range 300 {
				if _, read := sight(b, drawer{folder, fmt.Sprintf("p%d-", i)}, "torus", m, want); read {
					b.Fatal("not kept")
				}
			}
		}
		b.ReportMetric(float64(bytes), "B/part")
	})
	b.Run("fresh", func(b *testing.B) {
		for b.Loop() {
			for range 300 {
				sight(b, nil, "torus", m, want)
			}
		}
	})
}
