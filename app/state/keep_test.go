package state_test

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
	"scantling/engine/kit"
)

// window is one more window on the same disk, with a session of its own in a folder.
func (s *scene) window(sessions string) *scene {
	w := &scene{t: s.t, queue: s.queue, disk: s.disk, prefs: s.prefs}
	w.Bench = state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys,
		Session: kit.NewSession(sessions, nil)})
	return w
}

// Two windows on one kit: the second to save is asked, and neither save is lost unasked.
func TestTwoWindowsOnOneKit(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	sessions := t.TempDir()
	one, two := s.window(sessions), s.window(sessions)
	for _, w := range []*scene{one, two} {
		w.OpenKit(at("tug.scantling"))
		w.settle()
	}
	two.queue.Until("the second window knows of the first", func() bool {
		two.LookAround()
		return two.View().Beside
	})
	one.queue.Until("and the first of the second", func() bool {
		one.LookAround()
		return one.View().Beside
	})
	require.ErrorIs(t, one.View().Notice, state.ErrBeside)
	one.DismissNotice()
	two.DismissNotice()
	one.Rename("One")
	one.SaveKit("")
	one.settle()
	require.False(t, one.View().Unsaved)
	two.Rename("Two")
	two.SaveKit("")
	two.settle()
	require.Equal(t, at("tug.scantling"), two.View().Overtaken)
	require.NoError(t, two.View().Notice)
	require.True(t, two.View().Unsaved)
	there, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	require.Equal(t, "One", there.Title, "what the first has saved stays")

	t.Run("under another name", func(t *testing.T) {
		two.SaveKit(at("tug-two.scantling"))
		two.settle()
		require.Empty(t, two.View().Overtaken)
		require.False(t, two.View().Unsaved)
		require.Equal(t, at("tug-two.scantling"), two.View().Path)
		two.OpenKit(at("tug.scantling"))
		two.settle()
		require.Equal(t, "One", two.View().Title, "theirs")
	})
	t.Run("over it", func(t *testing.T) {
		one.Rename("One again")
		one.SaveKit("")
		one.settle()
		two.Rename("Two again")
		two.SaveKit("")
		two.settle()
		require.NotEmpty(t, two.View().Overtaken)
		two.SaveKitOver()
		two.settle()
		require.Empty(t, two.View().Overtaken)
		there, err := s.disk.Kit(at("tug.scantling"))
		require.NoError(t, err)
		require.Equal(t, "Two again", there.Title)
		two.Rename("Two more")
		two.SaveKit("")
		two.settle()
		require.Empty(t, two.View().Overtaken, "its own save is none by others")
	})
	t.Run("left alone", func(t *testing.T) {
		one.Rename("One late")
		one.SaveKit("")
		one.settle()
		require.NotEmpty(t, one.View().Overtaken)
		one.LeaveOvertaken()
		require.Empty(t, one.View().Overtaken)
		require.True(t, one.View().Unsaved)
	})
	one.Quit(func() {})
	two.queue.Until("the first is gone", func() bool {
		two.LookAround()
		return !two.View().Beside
	})
	two.Quit(func() {})
	left, err := os.ReadDir(sessions)
	require.NoError(t, err)
	require.Empty(t, left, "windows that are closed leave nothing")
}

// A child of this test is a window with unsaved changes that is killed; what it had is offered,
// and is taken over whole.
func TestAWindowThatIsKilled(t *testing.T) {
	const child, saves = "SCANTLING_TEST_WINDOW", "SCANTLING_TEST_SAVES"
	if folder := os.Getenv(child); folder != "" {
		beAWindow(t, folder)
		return
	} else if folder := os.Getenv(saves); folder != "" {
		saveOverAndOver(t, folder)
		return
	}
	folder := t.TempDir()
	for _, name := range []string{"hull", "mast"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name+".stl"), boxSTL(t, geom.Vec{41, 9, 8}), 0o644))
	}
	run := func(as string) (*exec.Cmd, *bufio.Scanner) {
		c := exec.Command(os.Args[0], "-test.run=^TestAWindowThatIsKilled$")
		c.Env = append(os.Environ(), as+"="+folder)
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		c.Stderr = os.Stderr
		require.NoError(t, c.Start())
		return c, bufio.NewScanner(out)
	}
	saidReady := func(said *bufio.Scanner) {
		for said.Scan() {
			if said.Text() == "kept" {
				return
			}
		}
		t.Fatal("the window ended by itself")
	}
	before := time.Now()
	c, said := run(child)
	saidReady(said)
	s := &scene{t: t, queue: statetest.NewQueue(t), prefs: statetest.NewPreferences()}
	session := kit.NewSession(filepath.Join(folder, "open"), nil)
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: state.Real(), Preferences: s.prefs, Surveys: &surveys, Session: session})
	s.LookAround()
	s.queue.Until("it was looked around", func() bool { return len(session.Others()) == 1 })
	s.queue.Drain()
	require.Empty(t, s.View().Left, "a window that is open has left nothing")
	require.True(t, session.Others()[0].Open)

	require.NoError(t, c.Process.Kill())
	_ = c.Wait() // it was killed
	s.queue.Until("what it left is found", func() bool {
		s.LookAround()
		return len(s.View().Left) == 1
	})
	left := s.View().Left[0]
	require.Equal(t, "Killed tug", left.Title)
	require.Equal(t, filepath.Join(folder, "tug.scantling"), left.Path)
	require.Equal(t, 2, left.Parts)
	require.WithinRange(t, left.At, before.Add(-time.Second), time.Now())

	s.Recover(left.ID)
	s.settle()
	require.NoError(t, s.View().Notice)
	require.True(t, s.View().Unsaved)
	require.Equal(t, left.Path, s.View().Path)
	require.Equal(t, "Killed tug", s.View().Title)
	require.Equal(t, "7.25", s.View().Typed[state.InFactor])
	require.Equal(t, []string{"hull", "mast"}, s.names())
	require.Equal(t, state.Measured, s.part("mast").State)
	require.Equal(t, "stem up", s.part("hull").Words)
	s.queue.Until("it is this window's now", func() bool { return len(session.Others()) == 0 })
	require.Empty(t, s.View().Left)
	again := kit.NewSession(filepath.Join(folder, "open"), nil)
	others := again.Others()
	require.Len(t, others, 1, "it is kept by this window before that one's is let go")
	require.True(t, others[0].Open && others[0].Lost)
	s.SaveKit("")
	s.settle()
	require.Empty(t, s.View().Overtaken)
	require.NoError(t, s.View().Notice)
	s.queue.Until("nothing is unsaved any more", func() bool { o := again.Others(); return len(o) == 1 && !o[0].Lost })
	s.Quit(func() {})
	require.Empty(t, again.Others())
	again.End()

	t.Run("at any moment", func(t *testing.T) {
		// Windows that save over and over are killed at random moments: the kit's file is always
		// whole, what it was before a save or after it, and so is what is left.
		for range 12 {
			c, said := run(saves)
			for range 1 + rand.IntN(40) {
				said.Scan()
			}
			require.NoError(t, c.Process.Kill())
			_ = c.Wait()
			k, err := kit.Load(filepath.Join(folder, "tug.scantling"))
			require.NoError(t, err)
			require.Len(t, k.Parts, 2)
			session := kit.NewSession(filepath.Join(folder, "open"), nil)
			for _, l := range session.Others() {
				require.False(t, l.Open)
				note, err := session.Recover(l.ID)
				require.NoError(t, err)
				require.Len(t, note.Kit.Parts, 2)
				session.Discard(l.ID)
			}
			session.End()
		}
		left, err := filepath.Glob(filepath.Join(folder, "open", "*.session"))
		require.NoError(t, err)
		require.Empty(t, left)
	})
}

// beAWindow opens a kit and changes it without saving, until it is killed.
func beAWindow(t *testing.T, folder string) {
	q := statetest.NewQueue(t)
	session := kit.NewSession(filepath.Join(folder, "open"), nil)
	s := &scene{t: t, queue: q, prefs: statetest.NewPreferences()}
	s.Bench = state.New(state.Config{Post: q.Post, Disk: state.Real(), Preferences: s.prefs, Session: session})
	s.Open([]string{filepath.Join(folder, "hull.stl"), filepath.Join(folder, "mast.stl")})
	s.settle()
	path := filepath.Join(folder, "tug.scantling")
	s.SaveKit(path)
	s.settle()
	s.Rename("Killed tug")
	s.Type(state.InFactor, "7.25")
	s.SetPartNotes(s.part("hull").ID, "stem up")
	watch := kit.NewSession(filepath.Join(folder, "open"), nil)
	q.Until("the changes are kept", func() bool {
		for _, l := range watch.Others() {
			if note, err := watch.Recover(l.ID); err == nil && len(note.Kit.Parts) == 2 && note.Kit.Parts[0].Notes == "stem up" {
				return true
			}
		}
		return false
	})
	fmt.Println("kept")
	select {}
}

// saveOverAndOver saves a kit, and keeps what is not saved of it, until it is killed.
func saveOverAndOver(t *testing.T, folder string) {
	path := filepath.Join(folder, "tug.scantling")
	session := kit.NewSession(filepath.Join(folder, "open"), nil)
	k, over, err := state.Real().LoadKit(path)
	require.NoError(t, err)
	for i := range 100_000 { // it ends by itself, should its parent be gone
		k.Notes = fmt.Sprint("saved ", i)
		over, err = state.Real().SaveKit(path, k, over)
		require.NoError(t, err)
		require.NoError(t, session.Keep(kit.Note{Path: path, Title: k.Title, At: time.Now(), Over: over, Parts: 2, Kit: &k}))
		fmt.Println(i)
	}
}

// A session that no window stands behind any more is recognised, whatever it says.
func TestStaleSessions(t *testing.T) {
	folder := t.TempDir()
	me := kit.NewSession(folder, nil)
	defer me.End()
	write := func(id, text string, age time.Duration) {
		path := filepath.Join(folder, id+".session")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		when := time.Now().Add(-age)
		require.NoError(t, os.Chtimes(path, when, when))
	}
	host, err := os.Hostname()
	require.NoError(t, err)
	const body = `"path": "/a.scantling", "at": "2026-03-07T14:05:00Z", "kit": {"scantling": 2, "parts": []}`
	write("here", fmt.Sprintf(`{"scantling-session": 1, "process": %d, "host": %q, %s}`, os.Getpid(), host, body), 0)
	write("slept", fmt.Sprintf(`{"scantling-session": 1, "process": %d, "host": %q, %s}`, os.Getpid(), host, body), time.Hour)
	write("dead", fmt.Sprintf(`{"scantling-session": 1, "process": %d, "host": %q, %s}`, deadProcess(t), host, body), 0)
	write("away", fmt.Sprintf(`{"scantling-session": 1, "process": 1, "host": "another", %s}`, body), 0)
	write("long-away", fmt.Sprintf(`{"scantling-session": 1, "process": 1, "host": "another", %s}`, body), time.Hour)
	write("empty", fmt.Sprintf(`{"scantling-session": 1, "process": %d, "host": %q, "path": "/b.scantling", "at": "2026-03-07T14:05:00Z"}`, deadProcess(t), host), 0)
	write("newer", `{"scantling-session": 2}`, time.Hour)
	write("cut", `{"scantling-session": 1, "kit": {`, time.Hour)
	open := map[string]bool{}
	for _, l := range me.Others() {
		open[l.ID] = l.Open
		require.True(t, l.Lost)
	}
	require.Equal(t, map[string]bool{"here": true, "slept": false, "dead": false, "away": true, "long-away": false}, open)
	_, err = os.Stat(filepath.Join(folder, "empty.session"))
	require.ErrorIs(t, err, os.ErrNotExist, "what has nothing to recover is cleared away")
	_, err = os.Stat(filepath.Join(folder, "newer.session"))
	require.NoError(t, err, "what is not understood is left alone")
	_, err = me.Recover("cut")
	require.Error(t, err)
}

// deadProcess is the number of a process that has ended.
func deadProcess(t *testing.T) int {
	t.Helper()
	c := exec.Command(os.Args[0], "-test.run=^$")
	require.NoError(t, c.Run())
	return c.Process.Pid
}

// Where nothing can be kept, that is said once.
func TestWhatCannotBeKept(t *testing.T) {
	s := open(t)
	folder := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(folder, nil, 0o600))
	w := s.window(folder)
	w.Open([]string{at("hull.stl")})
	w.queue.Until("it was tried", func() bool { return w.View().Unkept })
	var e *state.UnkeptError
	require.ErrorAs(t, w.View().Notice, &e)
	w.Quit(func() {})
}

func TestRecentKits(t *testing.T) {
	s := scaled(t)
	for _, name := range []string{"a", "b", "c"} {
		s.Rename("Kit " + name)
		s.SaveKit(at(name + ".scantling"))
		s.settle()
	}
	s.OpenKit(at("a.scantling"))
	s.settle()
	paths := func() (out []string) {
		for _, r := range s.View().Recent {
			out = append(out, filepath.Base(r.Path)+" "+r.Title)
		}
		return out
	}
	require.Equal(t, []string{"a.scantling Kit a", "c.scantling Kit c", "b.scantling Kit b"}, paths())
	next := &scene{t: t, queue: s.queue, disk: statetest.NewDisk(), prefs: s.prefs}
	next.disk.Box(at("hull.stl"), geom.Vec{1, 1, 1})
	require.NoError(t, next.disk.PutKit(at("b.scantling"), kit.Kit{}))
	next.Bench = state.New(state.Config{Post: s.queue.Post, Disk: next.disk, Preferences: s.prefs})
	require.Len(t, next.View().Recent, 3, "they are known the next time")
	next.LookForRecent()
	s.queue.Until("they were looked for", func() bool { return next.View().Recent[1].Err != nil })
	require.ErrorIs(t, next.View().Recent[0].Err, os.ErrNotExist)
	require.NoError(t, next.View().Recent[2].Err)
	for i := range 30 {
		require.NoError(t, next.disk.PutKit(at(fmt.Sprint(i, ".scantling")), kit.Kit{}))
		next.OpenKit(at(fmt.Sprint(i, ".scantling")))
		next.settle()
	}
	require.Len(t, next.View().Recent, state.MostRecent)
	broken := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: statetest.NewPreferences("recent-kits", "[{")})
	require.Empty(t, broken.View().Recent)
}

func TestDuplicateAKit(t *testing.T) {
	s := scaled(t)
	s.SetKitNotes("red lead")
	s.SaveKit(at("tug.scantling"))
	s.settle()
	read := s.disk.Opened(at("hull.stl"))
	s.Duplicate("Tug, smaller")
	s.settle()
	v := s.View()
	require.Empty(t, v.Path)
	require.Equal(t, at("tug.scantling"), v.CopyOf)
	require.True(t, v.Unsaved)
	require.Empty(t, v.Undo)
	require.Equal(t, "red lead", v.Notes)
	require.Equal(t, read, s.disk.Opened(at("hull.stl")), "nothing is read again")
	require.NotNil(t, s.part("hull").Topology)
	s.Type(state.InTarget, "1:72")
	s.SaveKit("")
	require.ErrorIs(t, s.View().Notice, state.ErrNoKitPath)
	s.SaveKit(at("small.scantling"))
	s.settle()
	require.Empty(t, s.View().CopyOf)
	old, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	require.Equal(t, "1:48", old.Way.Target.Exact())
}

func TestStepsHaveNames(t *testing.T) {
	s := scaled(t)
	s.Type(state.InTarget, "1:72")
	require.Equal(t, state.Stepped{Input: state.InTarget, Value: "1:72"}, s.View().Undoes)
	s.SetQuantity(s.part("mast").ID, 3)
	require.Equal(t, state.Stepped{Part: "mast", Parts: 1, Number: 3}, s.View().Undoes)
	s.Tick(s.part("mast").ID, false)
	require.Equal(t, state.Stepped{Part: "mast", Parts: 1}, s.View().Undoes)
	s.SetPartNotes(s.part("hull").ID, "stem up")
	require.Equal(t, state.StepNotes, s.View().Undo)
	require.Equal(t, "hull", s.View().Undoes.Part)
	s.Rename("Tug")
	require.Equal(t, "Tug", s.View().Undoes.Value)
	s.Undo()
	require.Equal(t, "Tug", s.View().Redoes.Value)
	s.Remove([]string{s.part("mast").ID, s.part("hull").ID})
	require.Equal(t, state.Stepped{Parts: 2}, s.View().Undoes)
	require.Equal(t, state.Stepped{}, s.View().Redoes)
}
