package state

import (
	"context"
	"errors"
	"io/fs"

	"scantling/engine/kit"
)

// A Lying is how a copy that was saved lies there now.
type Lying string

// How a copy can lie there. One with a file beside it is as the worse of the two.
const (
	LyingWhole   Lying = "whole"   // byte for byte as it was saved
	LyingChanged Lying = "changed" // a file of it is another one now
	LyingGone    Lying = "gone"    // a file of it is not there
	LyingUnread  Lying = "unread"  // its drive does not answer, or it cannot be read
)

// Lyings lists all of them.
func Lyings() []Lying { return []Lying{LyingWhole, LyingChanged, LyingGone, LyingUnread} }

// A lain is a copy that was looked for: saved anew under its name it is another one.
type lain struct{ path, digest string }

func lainOf(s kit.Saved) lain { return lain{s.Path(), s.Digest()} }

// CheckMade looks, aside, whether the copies that were saved of the kit are still there as they
// were; View.Lying tells of one after another. What can be told without reading is told first.
func (b *Bench) CheckMade() {
	made, disk := b.made(), b.config.Disk
	b.lying = map[lain]Lying{}
	if len(made) == 0 {
		b.change()
		return
	}
	b.start(&b.checking, func(w *worker) error {
		told := func(s kit.Saved, l Lying) {
			w.send(func() {
				b.lying[lainOf(s)] = l
				b.change()
			})
		}
		var there []kit.Saved
		for _, s := range made {
			switch l := lies(w.ctx, disk, s); {
			case w.ctx.Err() != nil:
				return w.ctx.Err()
			case l == LyingWhole:
				there = append(there, s)
			default:
				told(s, l)
			}
		}
		for i, s := range there {
			b.progress(w, &b.checking, Job{Part: titleOf(s.Path()), Done: i, All: len(there), Share: float64(i) / float64(len(there))})
			l := holds(w.ctx, disk, s)
			if w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			told(s, l)
		}
		return nil
	}, func(error) { b.change() })
}

// lies says how a copy lies there as far as that can be told without reading it.
func lies(ctx context.Context, disk Disk, s kit.Saved) Lying {
	worst := LyingWhole
	for _, f := range s.Files {
		info, err := disk.Stat(ctx, f.Path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return LyingGone
		case err != nil:
			worst = LyingUnread
		case worst == LyingWhole && info != nil && f.Bytes > 0 && info.Size() != f.Bytes:
			worst = LyingChanged
		}
	}
	return worst
}

// holds says how a copy lies there by what its files hold.
func holds(ctx context.Context, disk Disk, s kit.Saved) Lying {
	for _, f := range s.Files {
		if f.Digest == "" { // nothing is known of it
			continue
		}
		sum, err := disk.Sum(ctx, f.Path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return LyingGone
		case err != nil:
			return LyingUnread
		case sum.Digest != f.Digest:
			return LyingChanged
		}
	}
	return LyingWhole
}

// lyings are what is known of the copies, by path; nil while nothing is.
func (b *Bench) lyings(made []kit.Saved) map[string]Lying {
	var out map[string]Lying
	for _, s := range made {
		if l, ok := b.lying[lainOf(s)]; ok {
			if out == nil {
				out = map[string]Lying{}
			}
			out[s.Path()] = l
		}
	}
	return out
}
