package state_test

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
	"scantling/engine/lost"
	"scantling/engine/mesh"
	"scantling/engine/ways"
	"scantling/formats"
)

func TestALostFactorIsFoundAndTaken(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:12")
	hull := s.part("hull").ID
	s.disk.Box(at("old/hull-1-48.stl"), geom.Vec{103, 24, 22})
	require.Equal(t, hull, s.Original(at("old/hull-1-48.stl")), "by its name")
	before := s.View().Way
	undo := s.View().Undo

	s.FindLost(hull, at("old/hull-1-48.stl"))
	require.True(t, s.View().Lost.Busy)
	require.Equal(t, state.Comparing, s.View().Jobs[0].ID)
	s.settle()
	l := s.View().Lost
	require.NoError(t, l.Err)
	require.Equal(t, lost.ByCorners, l.Found.Method)
	require.Equal(t, "0.25", l.Found.Tidy.Exact())
	require.False(t, l.Found.Uneven)
	require.Equal(t, "hull", l.Name)
	require.Equal(t, before, s.View().Way, "nothing else changes")
	require.Equal(t, undo, s.View().Undo)
	require.Len(t, s.View().Parts, 3, "the copy is no part")

	s.UseLost()
	require.Nil(t, s.View().Lost)
	require.Equal(t, ways.ByFactor, s.View().Way.Kind)
	require.Equal(t, "0.25", s.View().Typed[state.InFactor])
	require.Equal(t, "1:48", s.View().Result.Target.Exact())
	require.True(t, s.View().Way.Found())
	require.Equal(t, "hull-1-48.stl", s.View().Way.Recovered.Copy)
	require.Equal(t, state.StepLost, s.View().Undo)
	s.SaveKit(at("k.scantling"))
	s.settle()
	s.Type(state.InFactor, "0.3")
	require.False(t, s.View().Way.Found(), "another factor came from elsewhere")
	s.Undo()
	require.True(t, s.View().Way.Found())
	s.Undo()
	require.Equal(t, before.Kind, s.View().Way.Kind)

	s.OpenKit(at("k.scantling"))
	s.settle()
	require.True(t, s.View().Way.Found(), "the kit keeps where it comes from")
}

func TestWhatIsNoOldCopy(t *testing.T) {
	s := open(t)
	s.openAll()
	hull := s.part("hull").ID
	way := s.View().Way
	s.disk.Box(at("old/other.stl"), geom.Vec{103, 24, 90})
	for _, c := range []struct {
		id, copied string
		err        error
	}{
		{hull, at("old/other.stl"), lost.ErrDifferent},
		{hull, at("hull.stl"), state.ErrItself},
		{"", at("old/other.stl"), state.ErrNoOriginal},
		{"nobody", at("old/other.stl"), state.ErrNoOriginal},
		{s.part("bad").ID, at("old/other.stl"), state.ErrFailedPart},
	} {
		s.FindLost(c.id, c.copied)
		s.settle()
		require.ErrorIs(t, s.View().Lost.Err, c.err)
		s.UseLost() // does nothing
		require.Equal(t, way, s.View().Way)
		require.Len(t, s.View().Parts, 3)
	}
	s.FindLost(hull, at("old/gone.stl"))
	s.settle()
	require.ErrorIs(t, s.View().Lost.Err, os.ErrNotExist)
	s.disk.Panics(at("old/odd.stl"))
	s.FindLost(hull, at("old/odd.stl"))
	s.settle()
	var broken *state.PanicError
	require.ErrorAs(t, s.View().Lost.Err, &broken)
	s.DismissLost()
	require.Nil(t, s.View().Lost)
	s.UseLost()
	require.Equal(t, way, s.View().Way)
}

func TestComparingIsCancelled(t *testing.T) {
	s := open(t)
	s.openAll()
	s.disk.Gate = make(chan struct{})
	s.disk.Box(at("old/hull.stl"), geom.Vec{103, 24, 22})
	s.FindLost(s.part("hull").ID, at("old/hull.stl"))
	s.Cancel(state.Comparing)
	s.settle()
	require.Nil(t, s.View().Lost)
	s.FindLost(s.part("hull").ID, at("old/hull.stl"))
	s.NewKit()
	close(s.disk.Gate)
	s.settle()
	require.Nil(t, s.View().Lost, "it was of another kit")
}

// Of a file with several parts, the one of the same name or place is compared.
func TestACopyOfSeveralParts(t *testing.T) {
	s := open(t)
	a, b := geom.Box{Max: geom.Vec{10, 20, 30}}, geom.Box{Max: geom.Vec{7, 8, 9}}
	s.disk.Boxes(at("gear.stl"), a, b)
	s.disk.Boxes(at("old/gear small.stl"), a.Scale(0.5), b.Scale(0.25))
	s.disk.Boxes(at("old/all.stl"), b.Scale(3), a.Scale(0.125), geom.Box{Max: geom.Vec{1, 1, 5}})
	s.Open([]string{at("gear.stl")})
	s.settle()
	for copied, want := range map[string]string{"old/gear small.stl": "0.25", "old/all.stl": "3"} {
		s.FindLost(s.part("gear 2").ID, at(copied))
		s.settle()
		require.NoError(t, s.View().Lost.Err)
		require.Equal(t, want, s.View().Lost.Found.Tidy.Exact())
	}
}

// A corrected unit counts: copies are in millimetres.
func TestALostFactorInTheRightUnit(t *testing.T) {
	s := inches(t)
	house := s.part("house").ID
	s.SetUnit([]string{house}, inch())
	s.disk.Boxes(at("old/house.stl"), geom.Box{Min: geom.Vec{2, 1, 3.5}, Max: geom.Vec{6.0625, 3.03125, 5.53125}}.Scale(25.4*0.5))
	s.FindLost(house, at("old/house.stl"))
	s.settle()
	require.Equal(t, "0.5", s.View().Lost.Found.Tidy.Exact())
}

func TestNamesOfCopies(t *testing.T) {
	s := open(t)
	s.disk.Box(at("hull plate.stl"), geom.Vec{1, 2, 3})
	s.openAll()
	s.Open([]string{at("hull plate.stl")})
	s.settle()
	s.Select("")
	for name, want := range map[string]string{
		"hull-1-48": "hull", "hull_0.235": "hull", "Hull 23pct": "hull", "hull copy": "hull", "old_hull": "hull", "hull-plate-1-48": "hull plate",
		"hull x2": "hull", "hull": "hull", "hull port": "", "keel-1-48": "", "hulls-1-48": "", "1-48": "", "mast 50 percent": "mast",
	} {
		id := s.LooksLikeCopy(at("old/" + name + ".stl"))
		got := ""
		for _, p := range s.View().Parts {
			if p.ID == id {
				got = p.Name
			}
		}
		require.Equal(t, want, got, name)
	}
	require.Equal(t, s.part("hull").ID, s.Original(at("old/hull port.stl")), "asked for, any likeness will do")
	require.Empty(t, s.Original(at("old/keel.stl")))
	s.Select(s.part("mast").ID)
	require.Equal(t, s.part("mast").ID, s.Original(at("old/hull.stl")), "what is selected is meant")
}

// demo is a part of the demo kit as a formats.File.
func demo(t *testing.T, name string) (string, formats.File) {
	t.Helper()
	path := filepath.Join("..", "..", "assets", "demo", name)
	f, err := formats.Open(t.Context(), path, nil)
	require.NoError(t, err)
	return path, f
}

// stretched is the mesh as binary STL, each axis multiplied by its own factor.
func stretched(t *testing.T, m *mesh.Mesh, by geom.Vec) []byte {
	t.Helper()
	var b bytes.Buffer
	b.Write(make([]byte, 80))
	require.NoError(t, binary.Write(&b, binary.LittleEndian, uint32(m.Len())))
	for i := range m.Len() {
		facet := [12]float32{}
		p, q, r := m.Triangle(i)
		for k, v := range []geom.Vec{p, q, r} {
			for axis, c := range v {
				facet[3+3*k+axis] = float32(c * by[axis])
			}
		}
		require.NoError(t, binary.Write(&b, binary.LittleEndian, facet))
		b.Write([]byte{0, 0})
	}
	return b.Bytes()
}

// Parts of the demo kit, rescaled as makers do and saved without a word of it.
func TestFactorsOfRealCopies(t *testing.T) {
	folder := t.TempDir()
	s := &scene{t: t, queue: statetest.NewQueue(t), prefs: statetest.NewPreferences()}
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: state.Real(), Preferences: s.prefs, Surveys: &surveys})
	for _, c := range []struct {
		name   string
		by     geom.Vec
		tidy   string
		uneven bool
	}{
		{"rudder.stl", geom.Vec{0.235, 0.235, 0.235}, "0.235", false},
		{"mast.stl", geom.Vec{1.5, 1.5, 1.5}, "1.5", false},
		{"propeller.stl", geom.Vec{0.235, 0.235, 0.2397}, "", true}, // 2 % higher
	} {
		path, file := demo(t, c.name)
		m, err := file.Mesh(t.Context(), 0, nil)
		require.NoError(t, err)
		copied := filepath.Join(folder, "old-"+c.name)
		require.NoError(t, os.WriteFile(copied, stretched(t, m, c.by), 0o644))
		s.Open([]string{path})
		s.settle()
		id := s.View().Parts[len(s.View().Parts)-1].ID
		require.Equal(t, id, s.LooksLikeCopy(copied))
		s.FindLost(id, copied)
		s.settle()
		l := s.View().Lost
		require.NoError(t, l.Err, c.name)
		require.Equal(t, c.uneven, l.Found.Uneven, c.name)
		for axis := range c.by {
			require.InEpsilon(t, c.by[axis], l.Found.Axes[axis], 1e-5, "%s along %v", c.name, geom.Axis(axis))
		}
		if c.uneven {
			require.InDelta(t, 0.02, l.Found.Spread, 1e-5)
			continue
		}
		require.Equal(t, c.tidy, l.Found.Tidy.Exact())
		require.Less(t, l.Found.SD, 1e-5)
		s.UseLost()
		require.Equal(t, c.tidy, s.View().Result.Factor.Exact())
	}
	// One part is no copy of another.
	s.FindLost(s.View().Parts[0].ID, filepath.Join(folder, "old-mast.stl"))
	s.settle()
	require.ErrorIs(t, s.View().Lost.Err, lost.ErrDifferent)
}

// A copy that was added as a part is asked about, whatever its name and place in the list.
func TestPartsThatLookLikeCopies(t *testing.T) {
	s := &scene{t: t, queue: statetest.NewQueue(t), prefs: statetest.NewPreferences()}
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: state.Real(), Preferences: s.prefs, Surveys: &surveys})
	folder := t.TempDir()
	save := func(source, name string, by float64) {
		_, file := demo(t, source)
		m, err := file.Mesh(t.Context(), 0, nil)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), stretched(t, m, geom.Vec{by, by, by}), 0o644))
	}
	save("rudder.stl", "rudder.stl", 1)
	save("rudder.stl", "a rudder.stl", 0.235) // before its original in the list
	save("mast.stl", "mast.stl", 1)
	save("mast.stl", "spar.stl", 2)
	save("mast.stl", "zz.stl", 1) // as large: a second mast
	s.Open([]string{folder})
	s.settle()
	hints := s.View().CopyHints
	require.Len(t, hints, 2)
	require.Equal(t, s.part("a rudder").ID, hints[0].Part)
	require.Equal(t, s.part("rudder").ID, hints[0].Original)
	require.InDelta(t, 0.235, hints[0].Factor, 1e-6)
	require.Equal(t, s.part("spar").ID, hints[1].Part)
	require.InDelta(t, 2, hints[1].Factor, 1e-5)

	s.KeepPart(s.part("spar").ID)
	require.Len(t, s.View().CopyHints, 1)
	s.Undo()
	require.Len(t, s.View().CopyHints, 2)
	s.FindLost(hints[0].Original, s.part("a rudder").File)
	s.settle()
	require.NoError(t, s.View().Lost.Err)
	require.Equal(t, "0.235", s.View().Lost.Found.Tidy.Exact())
	require.Len(t, s.View().Parts, 5)
}
