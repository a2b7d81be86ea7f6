//go:build window

package main

import (
	"bufio"
	"bytes"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"scantling/engine/geom"
	"scantling/formats"
)

// patience is how long the test waits for something that should come within a moment.
const patience = 30 * time.Second

// until asks again and again, for what another program does cannot be waited for.
func until(t *testing.T, what string, done func() bool) {
	t.Helper()
	end := time.Now().Add(patience)
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for !done() {
		if time.Now().After(end) {
			t.Fatalf("waited too long until %s", what)
		}
		<-tick.C
	}
}

// build compiles the program and the dropper.
func build(t *testing.T) (program, drop string) {
	t.Helper()
	dir := t.TempDir()
	program, drop = filepath.Join(dir, "scantling"), filepath.Join(dir, "drop")
	for _, c := range []*exec.Cmd{
		exec.Command("go", "build", "-tags", "gles", "-o", program, "."),
		exec.Command("cc", "-O2", "-o", drop, filepath.Join("..", "testdata", "xdnd", "drop.c"), "-lX11"),
	} {
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatalf("%v: %v\n%s", c.Args, err, out)
		}
	}
	return program, drop
}

// display starts an X server without a screen, on a number that is free.
func display(t *testing.T) string {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	x := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1280x800x24", "-nolisten", "tcp")
	x.ExtraFiles = []*os.File{w}
	if err := x.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		x.Process.Kill()
		x.Wait()
	})
	w.Close()
	number, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	return ":" + strings.TrimSpace(number)
}

// cuboid writes a text STL of a box from the origin.
func cuboid(t *testing.T, path string, size geom.Vec) {
	t.Helper()
	corner := func(i int) geom.Vec {
		var v geom.Vec
		for axis := range v {
			v[axis] = size[axis] * float64(i>>axis&1)
		}
		return v
	}
	var b bytes.Buffer
	fmt.Fprintln(&b, "solid box")
	for _, f := range [][3]int{{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4},
		{2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}} {
		fmt.Fprintln(&b, "facet normal 0 0 0\nouter loop")
		for _, i := range f {
			v := corner(i)
			fmt.Fprintln(&b, "vertex", v[0], v[1], v[2])
		}
		fmt.Fprintln(&b, "endloop\nendfacet")
	}
	fmt.Fprintln(&b, "endsolid box")
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// The whole job in the real window: two files as arguments, a third one dropped, ratios
// typed, copies saved, all without a pointer; then the window is left.
func TestRealWindow(t *testing.T) {
	program, drop := build(t)
	screen := display(t)
	home, models := t.TempDir(), t.TempDir()
	sizes := map[string]geom.Vec{"hull.stl": {400, 96, 88}, "mast.stl": {6, 6, 180}, "lifebuoy 50% über #1.stl": {40, 8, 40}}
	before := map[string][]byte{}
	for name, size := range sizes {
		cuboid(t, filepath.Join(models, name), size)
		content, err := os.ReadFile(filepath.Join(models, name))
		if err != nil {
			t.Fatal(err)
		}
		before[name] = content
	}
	env := append(os.Environ(), "DISPLAY="+screen, "WAYLAND_DISPLAY=", "HOME="+home, "XDG_CONFIG_HOME="+home,
		"XDG_CACHE_HOME="+home, "XDG_STATE_HOME="+home, "LC_ALL=C", "LIBGL_ALWAYS_SOFTWARE=1")
	run := func(name string, args ...string) (string, error) {
		c := exec.Command(name, args...)
		c.Env = env
		out, err := c.CombinedOutput()
		return strings.TrimSpace(string(out)), err
	}
	do := func(args ...string) {
		t.Helper()
		if out, err := run("xdotool", args...); err != nil {
			t.Fatalf("xdotool %v: %v %s", args, err, out)
		}
	}

	var log bytes.Buffer
	app := exec.Command(program, filepath.Join(models, "hull.stl"), filepath.Join(models, "mast.stl"))
	app.Env, app.Stderr, app.Stdout = env, &log, &log
	start := time.Now()
	if err := app.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- app.Wait() }()
	t.Cleanup(func() { app.Process.Kill() })
	window := ""
	until(t, "the window shows", func() bool {
		out, err := run("xdotool", "search", "--onlyvisible", "--name", "Scantling")
		window, _, _ = strings.Cut(out, "\n")
		return err == nil && window != ""
	})
	t.Logf("the window was on the screen after %v", time.Since(start).Round(10*time.Millisecond))
	do("windowfocus", window)

	third := &url.URL{Scheme: "file", Path: filepath.Join(models, "lifebuoy 50% über #1.stl")}
	if out, err := run(drop, window, third.String()); err != nil {
		t.Fatalf("drop: %v %s", err, out)
	}
	do("key", "ctrl+g")
	do("type", "1:48")
	do("key", "shift+Tab")
	do("type", "1:12")

	// The plan can only be carried out once the files are read: it is tried again until then,
	// with time for a save, which Escape would break off.
	copies := filepath.Join(models, "copies")
	next := time.Now()
	until(t, "three copies are saved", func() bool {
		if time.Now().After(next) {
			do("key", "Escape")
			do("key", "ctrl+e")
			do("key", "Tab") // from the button that saves round to the first field, the folder
			do("key", "ctrl+a")
			do("type", copies)
			do("key", "Return")
			next = time.Now().Add(4 * time.Second)
		}
		found, _ := filepath.Glob(filepath.Join(copies, "*.stl"))
		return len(found) == len(sizes)
	})
	for name, size := range sizes {
		path := filepath.Join(copies, strings.TrimSuffix(name, ".stl")+"-1-48.stl")
		f, err := formats.Open(t.Context(), path, nil)
		if err != nil {
			t.Error(err)
			continue
		}
		if got, want := f.Parts()[0].Box.Size(), size.Scale(0.25); got != want {
			t.Errorf("%s measures %v, want %v", name, got, want)
		}
		if content, err := os.ReadFile(filepath.Join(models, name)); err != nil || !bytes.Equal(content, before[name]) {
			t.Errorf("the source %s was changed (%v)", name, err)
		}
	}
	if extra, _ := filepath.Glob(filepath.Join(copies, "*")); len(extra) != len(sizes) {
		t.Errorf("the folder of copies holds %v", extra)
	}

	// Leaving asks about the unsaved kit; the answer before the marked one is not to save.
	// What came of the save may still be about to show, so this is tried again, too.
	var exit error
	next = time.Now()
	until(t, "the window is closed", func() bool {
		if time.Now().After(next) {
			for _, key := range []string{"Escape", "ctrl+q", "shift+Tab", "Return"} {
				run("xdotool", "key", key) // the window may be gone by now
			}
			next = time.Now().Add(2 * time.Second)
		}
		select {
		case exit = <-ended:
			return true
		default:
			return false
		}
	})
	if exit != nil {
		t.Errorf("the program ended with %v", exit)
	}
	if left, _ := filepath.Glob(filepath.Join(home, "scantling", "open", "*")); len(left) > 0 {
		t.Errorf("a window that was closed has left %v", left)
	}
	for _, bad := range []string{"Error in Fyne call thread", "panic", "X Error"} {
		if strings.Contains(log.String(), bad) {
			t.Errorf("the program said:\n%s", log.String())
		}
	}
}
