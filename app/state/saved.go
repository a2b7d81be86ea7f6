package state

import (
	"path"
	"path/filepath"
	"slices"
	"time"

	"scantling/engine/deliver"
	"scantling/engine/kit"
	"scantling/engine/ways"
	"scantling/formats"
)

// kindCalled is a format that copies can have, by its name in a kit's file; empty for any other.
func kindCalled(name string) formats.Kind {
	switch k := formats.Kind(name); k {
	case formats.STL, formats.STLASCII, formats.OBJ, formats.GLB, formats.ThreeMF:
		return k
	}
	return ""
}

// ofFile is what the kit has of a file as a whole: its first part, the format chosen for its
// copies, and the least and most that its ticked parts are printed.
func (b *Bench) ofFile(f *modelFile) (id, as string, least, most int) {
	for _, p := range b.history.Kit().Parts {
		if p.File != f.path {
			continue
		}
		if id == "" {
			id, as = p.ID, p.As
		}
		if p.Ticked {
			if least == 0 || p.Quantity < least {
				least = p.Quantity
			}
			most = max(most, p.Quantity)
		}
	}
	return id, as, least, most
}

// settle puts the copies into their folders, keeps their names apart, and tells each what the kit
// knows of the one that was saved there before.
func (p *plan) settle(k kit.Kit) {
	if p.Folders {
		deliver.Folders(p.copies)
	}
	deliver.Distinct(p.copies)
	for i := range p.copies {
		c := &p.copies[i]
		p.Names[p.at[i]].Name = path.Join(c.Folder, c.Name)
		if was, ok := k.SavedAt(filepath.Join(p.Folder, filepath.FromSlash(c.Folder), c.Name)); ok {
			c.Known = was.Record
		}
	}
}

// sameCopy reports whether two planned copies are the same file with the same content.
func sameCopy(a, b deliver.Copy) bool {
	return a.Source == b.Source && a.Folder == b.Folder && a.Name == b.Name && a.Factor == b.Factor && a.PerUnit == b.PerUnit &&
		a.Pose == b.Pose && a.Tag == b.Tag && a.Correction == b.Correction
}

// noteSaved gives what notes in the kit which copies of a plan were saved. The kit is the one that
// is open now, whatever was opened meanwhile. It is not a step of undo: the files are there.
func (b *Bench) noteSaved(p *plan) func([]deliver.Outcome) {
	history, result, folder := b.history, b.view.Result, p.Folder
	parts := make([][]string, len(p.copies))
	as := make([]string, len(p.copies))
	for i := range p.copies {
		n := p.Names[p.at[i]]
		as[i] = string(n.Of)
		if as[i] == "" {
			as[i] = string(p.As)
		}
		if first, ok := history.Kit().Part(n.ID); ok {
			for _, q := range history.Kit().Ticked() {
				if q.File == first.File {
					parts[i] = append(parts[i], q.ID)
				}
			}
		}
	}
	note := b.note(history, result, parts, as)
	return func(outcomes []deliver.Outcome) {
		if note(outcomes) {
			history.Amend(func(k kit.Kit) kit.Kit {
				k.Saving.Folder = folder
				return k
			})
		}
	}
}

// note is noteSaved of copies of those parts and in those formats, one of each for every copy. What
// it gives says whether there was anything to note.
func (b *Bench) note(history *kit.History, result ways.Result, parts [][]string, as []string) func([]deliver.Outcome) bool {
	return func(outcomes []deliver.Outcome) bool {
		var saved []kit.Saved
		for i, o := range outcomes {
			if o.Path == "" || !o.Record.Known() || i >= len(parts) {
				continue
			}
			if was, ok := history.Kit().SavedAt(o.Path); ok && o.Unchanged && slices.Equal(was.Files, o.Record.Files) {
				continue // it was saved then, not now
			}
			saved = append(saved, kit.Saved{
				Parts: parts[i], When: time.Now(), Factor: result.Factor, Ratio: result.Target, UnitBy: o.Copy.UnitBy,
				Pose: o.Copy.Pose, Correction: o.Copy.Correction, Format: as[i], Record: o.Record,
			})
		}
		if len(saved) == 0 {
			return false
		}
		history.Amend(func(k kit.Kit) kit.Kit { return k.WithSaved(saved...) })
		history.Lost() // until the kit is saved, its file does not know
		if b.history == history {
			b.edits++
		}
		return true
	}
}
