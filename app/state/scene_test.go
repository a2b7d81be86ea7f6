package state_test

import (
	"path/filepath"
	"testing"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
	"scantling/engine/ways"
	"scantling/formats"
)

// A bench with all that it stands on.
type scene struct {
	*state.Bench
	t     *testing.T
	queue *statetest.Queue
	disk  *statetest.Disk
	prefs *statetest.Preferences
	shown int // how often the watcher was told
}

// at is a path on the scene's disk.
func at(name string) string { return filepath.Join(root(), filepath.FromSlash(name)) }

func root() string {
	path, err := filepath.Abs(string(filepath.Separator) + "models")
	if err != nil {
		panic(err)
	}
	return path
}

// open is a bench in front of a disk with a hull, a mast and a broken file.
func open(t *testing.T, kept ...string) *scene {
	s := &scene{t: t, queue: statetest.NewQueue(t), disk: statetest.NewDisk(), prefs: statetest.NewPreferences(kept...)}
	s.disk.Box(at("hull.stl"), geom.Vec{412, 96, 88})
	s.disk.Box(at("mast.stl"), geom.Vec{6, 6, 180})
	s.disk.Bad(at("bad.stl"), &formats.Error{File: at("bad.stl"), Code: "truncated", Byte: 84})
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys})
	s.Watch(func(state.View) { s.shown++ })
	return s
}

// settle waits until nothing runs any more.
func (s *scene) settle() {
	s.t.Helper()
	s.queue.Until("all jobs ended", func() bool { return len(s.View().Jobs) == 0 })
}

// surveys are shared by all benches of the tests.
var surveys statetest.Surveys

// openAll opens everything on the disk.
func (s *scene) openAll() {
	s.t.Helper()
	s.Open([]string{at("hull.stl"), at("mast.stl"), at("bad.stl")})
	s.settle()
}

func (s *scene) part(name string) state.Part {
	s.t.Helper()
	for _, p := range s.View().Parts {
		if p.Name == name {
			return p
		}
	}
	s.t.Fatalf("no part %q", name)
	return state.Part{}
}

func (s *scene) names() []string {
	var names []string
	for _, p := range s.View().Parts {
		names = append(names, p.Name)
	}
	return names
}

func (s *scene) offer(k ways.Kind) state.Offer {
	for _, o := range s.View().Offers {
		if o.Kind == k {
			return o
		}
	}
	s.t.Fatalf("no offer %q", k)
	return state.Offer{}
}

// scaled is the scene with a factor of a quarter.
func scaled(t *testing.T) *scene {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	return s
}
