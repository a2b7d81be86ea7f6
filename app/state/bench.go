package state

import (
	"context"

	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
)

// Config is what a bench stands on.
type Config struct {
	Post        Post
	Disk        Disk
	Preferences Preferences
	// Demo puts the demo kit on the disk and says what to open: a kit file or a folder.
	// It is called from a worker; nil means that there is none.
	Demo func(ctx context.Context) (path string, err error)
}

// Preferences keep small settings from one run to the next. fyne.Preferences is one.
type Preferences interface {
	String(key string) string
	SetString(key, value string)
}

// A Bench is the open kit and all that can be done with it. Every method must be called on
// the window's goroutine and returns at once.
type Bench struct {
	view     View
	watchers []func(View)
}

// New is a bench with an empty kit.
func New(c Config) *Bench { return &Bench{} }

// Watch calls f now and after each change.
func (b *Bench) Watch(f func(View)) {
	b.watchers = append(b.watchers, f)
	f(b.view)
}

// View is what is shown now.
func (b *Bench) View() View { return b.view }

// Open adds model files and folders of them, or opens the kit file among them. What is
// already open is not added twice; a bad file becomes a failed part.
func (b *Bench) Open(paths []string) {}

// OpenDemo opens the demo kit.
func (b *Bench) OpenDemo() {}

// Remove takes parts out of the kit; their files stay as they are.
func (b *Bench) Remove(ids []string) {}

// Tick says whether a part counts and is saved.
func (b *Bench) Tick(id string, on bool) {}

// TickAll ticks every part.
func (b *Bench) TickAll() {}

// TickNone unticks every part.
func (b *Bench) TickNone() {}

// TickInvert ticks what was not ticked and the other way round.
func (b *Bench) TickInvert() {}

// SetQuantity says how many of a part the kit needs, at least 1.
func (b *Bench) SetQuantity(id string, n int) {}

// Select marks one part; "" marks none.
func (b *Bench) Select(id string) {}

// Rename gives the kit a title.
func (b *Bench) Rename(title string) {}

// Type takes what a field holds now. It is kept as typed; while it cannot be read, View.Faults
// says why and the last value that could stays in force.
func (b *Bench) Type(in Input, typed string) {}

// SetAlong chooses the axis along which ByReal and ByLength compare.
func (b *Bench) SetAlong(axis geom.Axis) {}

// SetLengthPart chooses the part that ByLength measures; "" is the assembled kit.
func (b *Bench) SetLengthPart(id string) {}

// ChooseWay puts a way in force.
func (b *Bench) ChooseWay(k ways.Kind) {}

// ChooseRung makes rung i of View.Ladder the target.
func (b *Bench) ChooseRung(i int) {}

// SetField chooses whose standard ratios make the ladder.
func (b *Bench) SetField(f ratio.Field) {}

// DragFactor sets the factor by hand. All drags up to EndDrag are one step of undo.
func (b *Bench) DragFactor(f float64) {}

// EndDrag ends a drag: the next one is a step of its own.
func (b *Bench) EndDrag() {}

// SetSide chooses where the sheet looks from.
func (b *Bench) SetSide(s Side) {}

// SetInRow shows the parts in a row, or assembled.
func (b *Bench) SetInRow(on bool) {}

// FitAll lets the zoom follow the kit.
func (b *Bench) FitAll() {}

// Fitted tells the bench where the sheet stands while it fits the kit by itself, so that
// ZoomAt and Pan can start from there. Nobody is told of it.
func (b *Bench) Fitted(zoom, panX, panY float64) {}

// ZoomAt multiplies the zoom by by, with the point x, y of the sheet (print mm) staying where
// it is.
func (b *Bench) ZoomAt(x, y, by float64) {}

// Pan moves the middle of the sheet by print millimetres.
func (b *Bench) Pan(dx, dy float64) {}

// ToggleInches switches between metric and inches.
func (b *Bench) ToggleInches() {}

// ToggleBed shows or hides the bed's outline.
func (b *Bench) ToggleBed() {}

// Undo takes the last step back.
func (b *Bench) Undo() {}

// Redo takes the last undone step again.
func (b *Bench) Redo() {}

// NewKit starts an empty kit. It asks nobody: the window has asked about unsaved changes.
func (b *Bench) NewKit() {}

// OpenKit opens a kit file in place of the open kit.
func (b *Bench) OpenKit(path string) {}

// SaveKit saves the kit file; "" means where it was saved before.
func (b *Bench) SaveKit(path string) {}

// PlanCopies opens the plan of what saving would do.
func (b *Bench) PlanCopies() {}

// SetCopyFolder chooses the folder for copies.
func (b *Bench) SetCopyFolder(folder string) {}

// SetCopyPattern chooses how copies are named; see DefaultPattern.
func (b *Bench) SetCopyPattern(pattern string) {}

// SetCopyFormat chooses the format of the copies; "" is that of each source.
func (b *Bench) SetCopyFormat(k formats.Kind) {}

// SetOverwrite allows existing files to be replaced, for the next run only.
func (b *Bench) SetOverwrite(on bool) {}

// SaveCopies saves what is planned. The plan closes when the run ends; View.Saved tells
// what came of it.
func (b *Bench) SaveCopies() {}

// CloseCopies drops the plan. A run that is under way goes on.
func (b *Bench) CloseCopies() {}

// Cancel stops a running job by the ID it has in View.Jobs.
func (b *Bench) Cancel(job string) {}

// DismissNotice takes View.Notice away.
func (b *Bench) DismissNotice() {}

// Folder is where files were last chosen for a purpose, or "".
func (b *Bench) Folder(p Purpose) string { return "" }

// SetFolder remembers where files were chosen for a purpose.
func (b *Bench) SetFolder(p Purpose, folder string) {}

// SetLook chooses light, dark, or what the system says.
func (b *Bench) SetLook(l Look) {}

// Quit stops all jobs, lets a save clean up, and then calls done.
func (b *Bench) Quit(done func()) {}
