package state

import (
	"bytes"
	"context"
	"io"
	"path/filepath"
	"slices"
	"time"

	"scantling/engine/deliver"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/formats"
)

// A Recorded is what a record tells: the bench as it is, and what a view leaves out.
type Recorded struct {
	View   View
	When   time.Time
	Copies []kit.Saved // in the order in which they were saved
	Files  []Summed    // the files of the ticked parts, then those of copies, each once
}

// A Summed is a file with what it holds now.
type Summed struct {
	Path  string
	Copy  bool // of what was saved, not a source
	Sum   formats.Sum
	Known string // digest that the kit has of it; empty: none
	Err   error  // why it could not be read
}

// Changed reports whether the file is no longer what the kit has in hand.
func (s Summed) Changed() bool { return s.Err == nil && s.Known != "" && s.Known != s.Sum.Digest }

// A Recorder writes a record. It runs aside, asks ctx now and then, and reports its share.
type Recorder func(ctx context.Context, r Recorded, w io.Writer, report func(float64)) error

// CanRecord is why there is nothing to record yet; nil when there is.
func (v *View) CanRecord() error {
	switch {
	case !slices.ContainsFunc(v.Parts, func(p Part) bool { return p.Ticked && p.State == Measured }):
		return ErrNoneTicked
	case !v.Result.Factor.Known():
		return ErrNoFactor
	case v.Result.Pending:
		return ErrStillFits
	}
	return nil
}

// SaveRecord sums up the files of the kit, has a record written, and saves it whole at a path,
// over what lies there only where that may be. View.Recorded tells of it.
func (b *Bench) SaveRecord(path string, over bool, write Recorder) {
	if err := b.view.CanRecord(); err != nil {
		b.notice(err)
		return
	}
	path = absolute(path)
	b.view.Recorded = ""
	r := b.recorded()
	disk := b.config.Disk
	b.start(&b.recording, func(w *worker) error {
		for i := range r.Files {
			f := &r.Files[i]
			b.progress(w, &b.recording, Job{Part: filepath.Base(f.Path), Done: i, All: len(r.Files), Share: summing * float64(i) / float64(len(r.Files))})
			if f.Sum, f.Err = disk.Sum(w.ctx, f.Path); w.ctx.Err() != nil {
				return w.ctx.Err()
			}
		}
		var page bytes.Buffer
		if err := write(w.ctx, r, &page, func(share float64) {
			b.progress(w, &b.recording, Job{Part: filepath.Base(path), Share: summing + (1-summing)*share})
		}); err != nil {
			return err
		}
		c := deliver.Copy{Source: written{filepath.Ext(path), page.Bytes()}, Name: filepath.Base(path), Factor: 1, PerUnit: 1}
		done, err := disk.Save(w.ctx, []deliver.Copy{c}, deliver.Options{Folder: filepath.Dir(path), Overwrite: over}, func(deliver.Progress) {})
		if err == nil {
			err = done[0].Err
		}
		return err
	}, func(err error) {
		if err == nil {
			b.SetFolder(ForRecords, filepath.Dir(path))
			b.view.Recorded = path
		}
		b.notice(err)
	})
}

// summing is the share of a record's work that reading the files takes: a guess, for progress.
const summing = 0.6

// recorded gathers what a record tells; Sum is still to be found out.
func (b *Bench) recorded() Recorded {
	k := b.history.Kit()
	r := Recorded{View: b.view, When: time.Now(), Copies: k.Copies}
	seen := map[string]bool{}
	for _, p := range k.Ticked() {
		if f := b.files[p.File]; !seen[p.File] && f != nil && f.state == Measured {
			seen[p.File] = true
			r.Files = append(r.Files, Summed{Path: p.File, Known: f.file.Digest()})
		}
	}
	for _, c := range k.Copies {
		for _, f := range c.Files {
			if !seen[f.Path] {
				seen[f.Path] = true
				r.Files = append(r.Files, Summed{Path: f.Path, Copy: true, Known: f.Digest})
			}
		}
	}
	return r
}

// A written is a page that is there already, so that it is saved as copies are: whole or not at
// all, and never over a file unasked.
type written struct {
	extension string
	page      []byte
}

func (w written) Path() string       { return "" }
func (w written) Parts() []mesh.Part { return nil }
func (w written) Extension() string  { return w.extension }

func (w written) Rescale(ctx context.Context, to deliver.Sink, name string, _ deliver.Change, report func(float64)) error {
	f, err := to.Create(name)
	if err != nil {
		return err
	}
	_, err = f.Write(w.page)
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}
