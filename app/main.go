// Scantling finds the one factor at which a kit of model parts must be printed, says what it
// does to every part, and saves rescaled copies. This is its window; app/scant is the same
// from a command line.
package main

import (
	"flag"
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/app/ui"
	"scantling/assets"
	"scantling/engine/deliver"
	"scantling/engine/kit"
)

// The program's identity, the same as in FyneApp.toml at the top of the project, which the
// packaging tools read; a test compares them.
const (
	programID      = "io.github.scantling.bench"
	programVersion = "0.1.0"
)

// Keys of the preferences for the window's size.
const (
	keyWidth  = "window-width"
	keyHeight = "window-height"
)

func main() {
	demo := flag.Bool("demo", false, text.FlagDemo)
	version := flag.Bool("version", false, text.FlagVersion)
	flag.Usage = func() {
		fmt.Fprintln(flag.CommandLine.Output(), text.Usage)
		flag.PrintDefaults()
	}
	flag.Parse()
	if *version {
		fmt.Println(text.Program, programVersion)
		return
	}
	run(*demo, flag.Args())
}

// run shows the window until it is closed. The paths are opened once it shows.
func run(demo bool, paths []string) {
	app.SetMetadata(fyne.AppMetadata{ID: programID, Name: text.Program, Version: programVersion,
		Icon: fyne.NewStaticResource("icon.png", assets.Icon())})
	a := app.NewWithID(programID)
	win := a.NewWindow(text.Program)
	win.SetMaster()
	var bench *state.Bench
	bench = state.New(state.Config{Post: fyne.Do, Disk: state.Real(), Preferences: a.Preferences(), Demo: unpackDemo, DemoKit: demoKit(), Surveys: state.Surveys(),
		Session: session(func() { fyne.Do(func() { bench.LookAround() }) })})
	window := ui.New(bench, ui.Env{
		Post:    fyne.Do,
		Chooser: ui.NewChooser(win),
		Version: programVersion,
		Show:    func(folder string) error { return show(a, folder) },
	}, win)
	prefs := a.Preferences()
	win.Resize(fyne.NewSize(float32(prefs.FloatWithFallback(keyWidth, 1280)), float32(prefs.FloatWithFallback(keyHeight, 800))))
	win.SetOnClosed(func() {
		size := win.Canvas().Size()
		prefs.SetFloat(keyWidth, float64(size.Width))
		prefs.SetFloat(keyHeight, float64(size.Height))
	})
	a.Lifecycle().SetOnStarted(func() {
		fyne.Do(func() {
			if demo {
				bench.OpenDemo()
			}
			window.Open(paths)
			bench.LookAround()
			bench.LookForRecent()
			if copies := bench.Folder(state.ForCopies); copies != "" {
				go deliver.Clean(copies) // of what a run that was killed has left
			}
		})
	})
	win.ShowAndRun()
}

// session is where the window says what it has; nil where the system has no place for that. Each
// few seconds it asks to look around for other windows.
func session(look func()) state.Session {
	folder, err := kit.SessionFolder()
	if err != nil {
		return nil
	}
	return kit.NewSession(folder, look)
}
