package ui

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/formats"
)

// A scene is a window before a disk in memory, with a chooser that answers from a script.
type scene struct {
	*Window
	t     *testing.T
	queue *statetest.Queue
	disk  *statetest.Disk
	prefs *statetest.Preferences
	shown []string // folders that were shown
	asked []Ask
	files []string // what the chooser answers next
	path  string
}

func (s *scene) Files(_ context.Context, a Ask) ([]string, error) {
	s.asked = append(s.asked, a)
	return s.files, nil
}

func (s *scene) Folder(_ context.Context, a Ask) (string, error) {
	s.asked = append(s.asked, a)
	return s.path, nil
}

func (s *scene) Save(_ context.Context, a Ask) (string, error) {
	s.asked = append(s.asked, a)
	return s.path, nil
}

// surveys are shared by all benches of the tests.
var surveys statetest.Surveys

// at is a path on the scene's disk.
func at(name string) string {
	path, err := filepath.Abs(string(filepath.Separator) + filepath.FromSlash("models/"+name))
	if err != nil {
		panic(err)
	}
	return path
}

// newScene opens an empty window of 1280 by 800.
func newScene(t *testing.T, kept ...string) *scene {
	t.Helper()
	return newSceneIn(t, nil, kept...)
}

// newSceneIn is newScene in a session.
func newSceneIn(t *testing.T, session state.Session, kept ...string) *scene {
	t.Helper()
	test.NewTempApp(t)
	s := &scene{t: t, queue: statetest.NewQueue(t), disk: statetest.NewDisk(), prefs: statetest.NewPreferences(kept...)}
	s.disk.Boxes(at("hull.stl"), geom.Box{Min: geom.Vec{0, -48, 0}, Max: geom.Vec{412, 48, 88}})
	s.disk.Boxes(at("house.stl"), geom.Box{Min: geom.Vec{210, -30, 84}, Max: geom.Vec{290, 30, 150}})
	s.disk.Boxes(at("mast.stl"), geom.Box{Min: geom.Vec{247, -3, 150}, Max: geom.Vec{253, 3, 330}})
	s.disk.Bad(at("bad.stl"), &formats.Error{File: at("bad.stl"), Code: "truncated", Byte: 84})
	win := test.NewWindow(canvas.NewRectangle(nil))
	t.Cleanup(func() {
		if !s.leaving { // it closes only once
			win.Close()
		}
	})
	bench := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys, Session: session})
	s.Window = New(bench, Env{Post: s.queue.Post, Chooser: s, Here: true, Version: "0.1.0",
		Show: func(folder string) error { s.shown = append(s.shown, folder); return nil }}, win)
	win.Resize(fyne.NewSize(1280, 800))
	return s
}

// loaded is a scene with the three good parts.
func loaded(t *testing.T, kept ...string) *scene {
	t.Helper()
	s := newScene(t, kept...)
	s.Open([]string{at("hull.stl"), at("house.stl"), at("mast.stl")})
	s.settle()
	return s
}

// settle waits until nothing runs any more.
func (s *scene) settle() {
	s.t.Helper()
	s.queue.Until("nothing runs", func() bool { return len(s.bench.View().Jobs) == 0 && !s.choosing })
}

func (s *scene) view() state.View { return s.bench.View() }

// part is a part by its name.
func (s *scene) part(name string) state.Part {
	s.t.Helper()
	for _, p := range s.view().Parts {
		if p.Name == name {
			return p
		}
	}
	s.t.Fatalf("no part %q", name)
	return state.Part{}
}

// says is all writing that can be seen in an object, a line each.
func says(o fyne.CanvasObject) string {
	var lines []string
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		if o == nil || !o.Visible() {
			return
		}
		switch o := o.(type) {
		case *canvas.Text:
			if o.Text != "" {
				lines = append(lines, o.Text)
			}
		case *fyne.Container:
			for _, c := range o.Objects {
				walk(c)
			}
		case fyne.Widget:
			for _, c := range test.WidgetRenderer(o).Objects() {
				walk(c)
			}
		}
	}
	walk(o)
	return strings.ReplaceAll(strings.Join(lines, "\n"), "\u00a0", " ")
}

// over is the panel that lies over the window.
func (s *scene) over() fyne.CanvasObject {
	s.t.Helper()
	top := s.canvas().Overlays().Top()
	require.NotNil(s.t, top, "a panel lies over the window")
	return top
}

// press presses the button with that label in the uppermost panel, or else in the window.
func (s *scene) press(label string) {
	s.t.Helper()
	root := s.canvas().Content()
	if top := s.canvas().Overlays().Top(); top != nil {
		root = top
	}
	var found *pressButton
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		if !o.Visible() {
			return
		}
		switch o := o.(type) {
		case *pressButton:
			if o.Text == label {
				found = o
			}
		case *fyne.Container:
			for _, c := range o.Objects {
				walk(c)
			}
		case fyne.Widget:
			for _, c := range test.WidgetRenderer(o).Objects() {
				walk(c)
			}
		}
	}
	walk(root)
	require.NotNil(s.t, found, "no button %q", label)
	require.False(s.t, found.Disabled(), "button %q is disabled", label)
	test.Tap(found)
}

// key presses the shortcut of an action, as the real driver routes it: through the menu.
func (s *scene) key(id text.Action) {
	s.t.Helper()
	item := s.menuItems[id]
	require.NotNil(s.t, item, "action %s is in no menu", id)
	require.NotNil(s.t, item.Shortcut, "action %s has no key", id)
	require.False(s.t, item.Disabled, "action %s cannot be done", id)
	item.Action()
	s.queue.Drain()
}

// keys sends keys to what has the focus.
func (s *scene) keys(names ...fyne.KeyName) {
	s.t.Helper()
	for _, n := range names {
		f := s.canvas().Focused()
		require.NotNil(s.t, f, "nothing has the focus")
		f.TypedKey(&fyne.KeyEvent{Name: n})
	}
}

// write types over what has the focus.
func (s *scene) write(typed string) {
	s.t.Helper()
	e, ok := s.canvas().Focused().(*tippedEntry)
	require.True(s.t, ok, "no field has the focus")
	e.selectAll()
	test.Type(e, typed)
}

// fill types over a field.
func (s *scene) fill(e *tippedEntry, typed string) {
	s.t.Helper()
	require.False(s.t, e.Disabled())
	s.canvas().Focus(e)
	s.write(typed)
}

// at48 gives the loaded kit its ratios: × 0.235.
func (s *scene) at48() {
	s.t.Helper()
	s.fill(s.factor.fields[state.InNative][0].entry, "1:11.28")
	s.fill(s.factor.fields[state.InTarget][0].entry, "1:48")
}

func TestDrawnChooserGivesUpWithItsContext(t *testing.T) {
	test.NewTempApp(t)
	win := test.NewTempWindow(t, canvas.NewRectangle(nil))
	win.Resize(fyne.NewSize(800, 600))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, ask := range []func() (string, error){
		func() (string, error) { return drawn{win}.Folder(ctx, Ask{Title: "a", Folder: t.TempDir()}) },
		func() (string, error) { return drawn{win}.Save(ctx, Ask{Title: "a", Name: "x.scantling"}) },
		func() (string, error) {
			paths, err := drawn{win}.Files(ctx, Ask{Title: "a", Extensions: []string{".stl"}})
			return strings.Join(paths, " "), err
		},
	} {
		path, err := ask()
		require.NoError(t, err)
		require.Empty(t, path, "nothing was chosen")
		require.Nil(t, win.Canvas().Overlays().Top(), "the dialog is gone")
	}
}

func TestSavingWithoutAskingForANameTakesAFreeOne(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tug.scantling")
	require.Equal(t, path, unused(path))
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	require.Equal(t, filepath.Join(filepath.Dir(path), "tug 2.scantling"), unused(path))
}
