package state

import (
	"context"
	"path/filepath"
	"time"

	"scantling/engine/kit"
)

// replace puts another kit on the bench, with nothing to undo.
func (b *Bench) replace(k kit.Kit, path string) {
	b.stopOpening()
	b.looking.stop()
	b.fitting.stop()
	b.nesting.stop()
	b.surveying.stop()
	b.stopped, b.judging.stopped = false, false
	b.judging.usual, b.judging.together, b.judging.togetherOf = b.usualProcess(), nil, ""
	b.view.Pointed = Pointed{}
	b.plan = nil
	b.pairing.forget()
	b.sourcing.stop()
	b.sourcing.found, b.sourcing.tried, b.sourcing.places, b.sourcing.kept = map[string]Found{}, map[string]bool{}, nil, map[string]bool{}
	b.view.Overtaken, b.view.CopyOf = "", ""
	b.demo, b.begins = false, false
	b.view.Saved = nil
	b.comparing.stop()
	b.checking.stop()
	b.lying = nil
	b.view.Lost = nil
	b.view.Notice = nil
	b.view.Selected = ""
	b.view.Measure = Measure{}
	b.view.Sheet.ByEye = false
	b.showKit()
	b.putBack()
	k.Field = b.knownField(k.Field)
	b.savedWay, b.shifted = k.Way, false
	b.history = kit.NewHistory(k)
	b.path, b.over = path, ""
	b.edits++
	b.files = map[string]*modelFile{}
	clear(b.fits)
	clear(b.boxes)
	b.typed = map[Input]string{}
	b.faults = map[Input]error{}
	b.stands = map[Input]string{}
	b.spelt = map[Input]map[string]string{}
	b.spellAgain()
	b.wantFiles()
	b.view.Sheet.Fit = true
	b.recompute()
}

// Begin puts a kit that lies in no file on the bench, with nothing to undo.
func (b *Bench) Begin(k kit.Kit) {
	b.together(func() { b.replace(k, "") })
}

// NewKit starts an empty kit. It asks nobody: the window has asked about unsaved changes.
func (b *Bench) NewKit() {
	b.together(func() { b.replace(b.emptyKit(), "") })
}

// OpenKit opens a kit file in place of the open kit, which stays if the file cannot be read.
func (b *Bench) OpenKit(path string) {
	path = absolute(path)
	b.SetFolder(ForKits, filepath.Dir(path))
	b.loadKit(func(context.Context) (k kit.Kit, at string, over kit.Stamp, err error) {
		k, over, err = b.config.Disk.LoadKit(path)
		return k, path, over, err
	}, func() {
		b.remembers(path, b.history.Kit().Title)
		b.LookAround()
	})
}

// OpenDemo opens the demo kit. It has no path of its own: saving it asks for one.
func (b *Bench) OpenDemo() {
	if b.config.Demo == nil {
		b.notice(ErrNoDemo)
		return
	}
	var folder string
	b.loadKit(func(ctx context.Context) (kit.Kit, string, kit.Stamp, error) {
		path, err := b.config.Demo(ctx)
		if err != nil || !IsKit(path) {
			folder = path
			return b.config.DemoKit, "", "", err
		}
		k, _, err := b.config.Disk.LoadKit(path)
		return k, "", "", err
	}, func() {
		b.demo = true
		if folder != "" {
			b.begins = true
			b.walks = append(b.walks, folder)
		}
	})
}

// loadKit gets a kit in the opening slot, replaces the open one, and then calls loaded,
// which may be nil.
func (b *Bench) loadKit(get func(context.Context) (k kit.Kit, path string, over kit.Stamp, err error), loaded func()) {
	b.stopOpening()
	var k kit.Kit
	var path string
	var over kit.Stamp
	b.start(&b.opening, func(w *worker) (err error) {
		k, path, over, err = get(w.ctx)
		return err
	}, func(err error) {
		if err != nil {
			b.notice(err)
			b.nextOpening()
			return
		}
		walks := b.walks // what was dropped together with the kit
		usual := b.emptyKit()
		if k.Way.Kind == "" {
			k.Way.Kind = usual.Way.Kind
		}
		if !k.Way.Bed.Known() {
			k.Way.Bed = usual.Way.Bed
		}
		if k.Title == "" && path != "" {
			k.Title = titleOf(path)
		}
		b.replace(k, path)
		b.over = over
		b.view.Opened++
		b.walks = walks
		if loaded != nil {
			loaded()
		}
		b.nextOpening()
	})
}

// SaveKit saves the kit file; "" means where it was saved before.
func (b *Bench) SaveKit(path string) {
	if path == "" {
		path = b.path
	}
	if path == "" {
		b.notice(ErrNoKitPath)
		return
	}
	path = absolute(path)
	if !IsKit(path) {
		path += kit.Extension
	}
	b.SetFolder(ForKits, filepath.Dir(path))
	if b.filing.busy { // two saves at once could end in the wrong order
		b.fileNext = path
		return
	}
	k, edits := b.withFacts(b.history.Kit()), b.edits
	k.Factor = b.view.Result.Factor
	var over, saved kit.Stamp
	if b.path != "" && kit.SamePath(path, b.path) {
		over = b.over
	}
	b.view.Overtaken = ""
	b.start(&b.filing, func(*worker) (err error) {
		saved, err = b.config.Disk.SaveKit(path, k, over)
		return err
	}, func(err error) {
		if overtaken(err) {
			b.view.Overtaken = path
		} else if err != nil {
			b.notice(err)
		} else {
			b.path, b.over = path, saved
			b.savedWay, b.shifted = k.Way, false
			b.view.CopyOf = ""
			b.remembers(path, k.Title)
			b.history.Amend(func(old kit.Kit) kit.Kit { return keepFacts(old, k) })
			if b.edits == edits { // what was changed meanwhile is not on disk
				b.history.Saved()
			}
			b.view.Notice = nil
		}
		if next := b.fileNext; next != "" {
			b.fileNext = ""
			b.SaveKit(next)
		}
		b.leave()
		b.change()
	})
}

// Rename gives the kit a title.
func (b *Bench) Rename(title string) {
	k := b.history.Kit()
	if k.Title == title {
		return
	}
	k.Title = title
	b.merge(StepRename, "title", k)
}

// patience is how long Quit waits for a save to clean up.
const patience = 10 * time.Second

// Quit stops all jobs, lets a save clean up, and then calls done, at once if nothing is
// being saved.
func (b *Bench) Quit(done func()) {
	if b.quit != nil {
		return // already leaving
	}
	b.stopOpening()
	b.looking.stop()
	b.fitting.stop()
	b.listing.stop()
	b.comparing.stop()
	b.pairing.stop()
	b.recording.stop()
	b.checking.stop()
	if b.saving.busy {
		b.saving.cancel()
	}
	timer := time.AfterFunc(patience, func() { b.config.Post(b.goodbye) })
	b.quit = func() {
		timer.Stop()
		done()
	}
	b.leave()
}

// leave goes on with Quit once nothing is being saved.
func (b *Bench) leave() {
	if !b.saving.busy && !b.filing.busy {
		b.goodbye()
	}
}

// goodbye ends Quit, once.
func (b *Bench) goodbye() {
	if quit := b.quit; quit != nil {
		b.quit = nil
		b.gone = true
		if b.config.Session != nil {
			b.config.Session.End()
		}
		quit()
	}
}

// absolute is a path that means the same whatever the working folder.
func absolute(path string) string {
	if full, err := filepath.Abs(path); err == nil {
		return full
	}
	return path
}
