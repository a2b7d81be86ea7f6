package state

import (
	"encoding/json"
	"errors"
	"io/fs"
	"path/filepath"
	"slices"

	"scantling/engine/kit"
)

// keyRecent is the key of the preference that has the recent kits.
const keyRecent = "recent-kits"

// MostRecent is how many kits are remembered.
const MostRecent = 10

// A Recent is a kit that was opened or saved not long ago, the latest first.
type Recent struct {
	Path  string
	Title string
	Err   error // why it cannot be opened, as far as was looked; nil: it can, or is not known yet
}

// A recentKit is a Recent as the preferences have it.
type recentKit struct {
	Path  string `json:"path"`
	Title string `json:"title"`
}

// recents are the kits that the preferences remember; broken ones are none.
func (b *Bench) recents() []Recent {
	var kept []recentKit
	if json.Unmarshal([]byte(b.config.Preferences.String(keyRecent)), &kept) != nil {
		return nil
	}
	var out []Recent
	for _, r := range kept[:min(len(kept), MostRecent)] {
		out = append(out, Recent{Path: r.Path, Title: r.Title})
	}
	return out
}

func (b *Bench) keepRecents(all []Recent) {
	kept := make([]recentKit, len(all))
	for i, r := range all {
		kept[i] = recentKit{r.Path, r.Title}
	}
	if data, err := json.Marshal(kept); err == nil {
		b.config.Preferences.SetString(keyRecent, string(data))
	}
	b.view.Recent = all
	b.change()
}

// remembers puts a kit at the head of the recent ones.
func (b *Bench) remembers(path, title string) {
	all := slices.DeleteFunc(slices.Clone(b.view.Recent), func(r Recent) bool { return kit.SamePath(r.Path, path) })
	all = slices.Insert(all, 0, Recent{Path: path, Title: title})
	b.keepRecents(all[:min(len(all), MostRecent)])
}

// LookForRecent looks aside whether the recent kits are still there, for a drive that does not
// answer must not hold up the window.
func (b *Bench) LookForRecent() {
	if b.recenting.busy || len(b.view.Recent) == 0 {
		return
	}
	all := slices.Clone(b.view.Recent)
	disk := b.config.Disk
	b.start(&b.recenting, func(w *worker) error {
		for i, r := range all {
			_, err := disk.Stat(w.ctx, r.Path)
			if errors.Is(err, fs.ErrNotExist) {
				if _, folder := disk.Stat(w.ctx, filepath.Dir(r.Path)); folder != nil {
					err = ErrFolderGone
				}
			}
			w.send(func() {
				shown := slices.Clone(b.view.Recent)
				for j := range shown {
					if shown[j].Path == all[i].Path {
						shown[j].Err = err
					}
				}
				b.view.Recent = shown
				b.change()
			})
		}
		return nil
	}, func(error) {})
}

// Duplicate makes the open kit a new one that has no file yet, to try another ratio: the one that
// it was stays as it was last saved. Nothing of it can be undone in the new one, and the copies
// that were saved are its own.
func (b *Bench) Duplicate(title string) {
	k := b.history.Kit()
	k.Title, k.Copies = title, nil
	b.together(func() {
		b.view.CopyOf = b.path
		b.path, b.over = "", ""
		b.history = kit.NewHistory(k)
		b.history.Lost()
		b.edits++
		b.view.Saved, b.view.Overtaken = nil, ""
		b.recompute()
	})
}

// SetKitNotes writes the maker's own words about the kit.
func (b *Bench) SetKitNotes(notes string) {
	k := b.history.Kit()
	if k.Notes == notes {
		return
	}
	k.Notes = notes
	b.merge(StepNotes, "kit", k)
}

// SetPartNotes writes the maker's own words about a part.
func (b *Bench) SetPartNotes(id, notes string) {
	k := b.history.Kit()
	if p, ok := k.Part(id); ok && p.Notes != notes {
		b.merge(StepNotes, id, k.WithPart(id, func(p *kit.Part) { p.Notes = notes }))
	}
}
