package state

import (
	"context"
	"errors"
	"slices"
	"time"

	"scantling/engine/kit"
)

// A Session is where this window says what it has, so that other windows know of it and unsaved
// changes outlive a crash. kit.Session is one. Its methods are called from workers.
type Session interface {
	Keep(n kit.Note) error
	Others() []kit.Left
	Recover(id string) (kit.Note, error)
	Discard(id string)
	End()
}

// keepPace is the least time between two writings of what is not saved.
const keepPace = 3 * time.Second

// A keeping is what is kept of the open kit while it is not saved.
type keeping struct {
	slot
	told    told // what was written last
	wrote   time.Time
	waits   bool     // it will be written when the pace allows
	leave   []string // sessions whose kits are this window's now, to be discarded once they are kept
	mine    []string // all of them
	looking slot     // at other sessions
}

// told is what tells one note from another without comparing kits.
type told struct {
	edits   int
	unsaved bool
	path    string
	over    kit.Stamp
}

// keep writes what is not saved, unless that is what was written last; at most every few
// seconds, for a maker who types changes something with every key.
func (b *Bench) keep() {
	s, k := b.config.Session, &b.keeping
	if s == nil || b.history == nil || b.gone {
		return
	}
	now := told{b.edits, b.history.Unsaved(), b.path, b.over}
	if now == k.told && len(k.leave) == 0 || k.busy || k.waits {
		return
	}
	if rest := keepPace - time.Since(k.wrote); rest > 0 && len(k.leave) == 0 {
		k.waits = true
		time.AfterFunc(rest, func() {
			b.config.Post(func() {
				k.waits = false
				b.keep()
			})
		})
		return
	}
	open := b.history.Kit()
	note := kit.Note{Path: b.path, Title: open.Title, At: time.Now(), Over: b.over, Parts: len(open.Parts)}
	if now.unsaved && len(open.Parts) > 0 {
		open.Factor = b.view.Result.Factor
		note.Kit = &open
	}
	leave := k.leave
	k.leave, k.told, k.wrote = nil, now, time.Now()
	b.start(&k.slot, func(*worker) error {
		if err := s.Keep(note); err != nil {
			return err
		}
		for _, id := range leave {
			s.Discard(id)
		}
		return nil
	}, func(err error) {
		if err != nil && !b.view.Unkept {
			b.view.Unkept = true // said once: a maker can do little about it but save
			b.notice(&UnkeptError{err})
		} else if err == nil {
			b.view.Unkept = false
		}
		b.keep()
	})
}

// LookAround asks for what other windows have: View.Left and View.Beside tell. The program asks
// when it starts and every few seconds after that.
func (b *Bench) LookAround() {
	s := b.config.Session
	if s == nil || b.keeping.looking.busy || b.gone {
		return
	}
	var others []kit.Left
	b.start(&b.keeping.looking, func(*worker) error {
		others = s.Others()
		return nil
	}, func(err error) {
		if err != nil {
			return
		}
		b.others = others
		b.lookAtOthers()
	})
}

// lookAtOthers sorts out what other windows have.
func (b *Bench) lookAtOthers() {
	v := &b.view
	var left []kit.Left
	beside := false
	for _, o := range b.others {
		switch {
		case o.Open:
			beside = beside || b.path != "" && o.Path != "" && kit.SamePath(o.Path, b.path)
		case o.Lost && !slices.Contains(b.keeping.mine, o.ID):
			left = append(left, o)
		}
	}
	if beside != v.Beside || !slices.Equal(left, v.Left) {
		if beside && !v.Beside {
			v.Notice = &PathError{Path: b.path, Err: ErrBeside}
		}
		v.Beside, v.Left = beside, left
		b.change()
	}
}

// Recover puts what another window has left on the bench, in place of the open kit: unsaved, and
// to be saved where that one was.
func (b *Bench) Recover(id string) {
	s := b.config.Session
	if s == nil {
		return
	}
	var note kit.Note
	b.loadKit(func(context.Context) (k kit.Kit, path string, over kit.Stamp, err error) {
		if note, err = s.Recover(id); err != nil {
			return k, "", "", err
		}
		return *note.Kit, note.Path, note.Over, nil
	}, func() {
		b.history.Lost()
		b.keeping.leave, b.keeping.mine = append(b.keeping.leave, id), append(b.keeping.mine, id)
		b.lookAtOthers()
	})
}

// ForgetLeft takes away for good what another window has left.
func (b *Bench) ForgetLeft(id string) {
	s := b.config.Session
	if s == nil {
		return
	}
	b.keeping.mine = append(b.keeping.mine, id)
	b.lookAtOthers()
	b.start(&b.keeping.looking, func(*worker) error {
		s.Discard(id)
		return nil
	}, func(error) {})
}

// SaveKitOver saves the kit in place of what another window or program has saved meanwhile.
func (b *Bench) SaveKitOver() {
	if b.view.Overtaken != "" {
		b.over, b.view.Overtaken = "", ""
		b.SaveKit("")
	}
}

// LeaveOvertaken lets the file be as another window or program has saved it; the open kit stays
// unsaved.
func (b *Bench) LeaveOvertaken() {
	b.view.Overtaken = ""
	b.change()
}

// overtaken reports whether a kit could not be saved because somebody else has saved it.
func overtaken(err error) bool {
	var e *kit.Error
	return errors.As(err, &e) && e.Code == kit.Overtaken
}

// An UnkeptError is why unsaved changes are not kept for the case of a crash.
type UnkeptError struct{ Err error }

func (e *UnkeptError) Error() string { return "unsaved changes are not kept: " + e.Err.Error() }

// Unwrap is the trouble.
func (e *UnkeptError) Unwrap() error { return e.Err }
