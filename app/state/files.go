package state

import (
	"context"
	"errors"
	"image"
	"path/filepath"
	"slices"
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/survey"
	"scantling/formats"
)

// A modelFile is what is known of one file. It outlives the removal of its parts, so that
// undo costs nothing.
type modelFile struct {
	path  string
	state PartState
	file  formats.File // when Measured; also while it is read again
	// beside is formats.Beside of it.
	beside string
	parts  []mesh.Part
	err    error // when Failed
	stood  bool  // an unticked part stands in the kit for what could not be read
	looks  []look
}

// A look is what looking at one part has found.
type look struct {
	tried       bool
	topology    *mesh.Topology
	snaps       []survey.Snap
	silhouettes [3]*image.NRGBA
	hull        *survey.Hull // file units; nil where there is none
	upright     geom.Turn    // how the part stood for silhouettes and hull
	err         error
}

// Open adds model files and folders of them, or opens the kit file among them. What is
// already open is not added twice, but a file that failed is tried again; a bad file
// becomes a failed part. Files opened while others are read are read after them.
func (b *Bench) Open(paths []string) {
	b.together(func() {
		var kits, models []string
		for _, p := range paths {
			switch {
			case isWebLink(p):
				b.notice(&PathError{Path: p, Err: ErrWebLink})
			case IsKit(p):
				kits = append(kits, p)
			default:
				models = append(models, absolute(p))
			}
		}
		switch {
		case len(kits) > 1:
			b.notice(&PathError{Path: kits[1], Err: ErrTwoKits})
			return
		case len(kits) == 1:
			b.OpenKit(kits[0])
		}
		if len(models) > 0 {
			b.SetFolder(ForModels, filepath.Dir(models[0]))
			b.walks = append(b.walks, models...)
			b.nextOpening()
		}
	})
}

// nextOpening goes on with opening: first it finds the files, then it reads them.
func (b *Bench) nextOpening() {
	switch {
	case b.opening.busy:
	case len(b.walks) > 0:
		b.beginBatch()
		b.walk()
	case len(b.reads) > 0:
		b.beginBatch()
		b.read()
	default:
		b.openedN, b.openAll = 0, 0
		if b.begins {
			b.begins = false
			b.history = kit.NewHistory(b.history.Kit())
			b.change()
		}
		b.search()
		b.nextLook()
	}
}

// beginBatch starts a new step of undo where nothing was being opened.
func (b *Bench) beginBatch() {
	if b.openAll == 0 && b.openedN == 0 {
		b.batch++
		b.stopped, b.judging.stopped = false, false
	}
}

// walk finds the model files in all that waits to be walked.
func (b *Bench) walk() {
	paths := b.walks
	b.walks = nil
	b.start(&b.opening, func(w *worker) error {
		for _, path := range paths {
			b.progress(w, &b.opening, Job{Part: filepath.Base(path)})
			found, err := b.config.Disk.Models(w.ctx, path)
			if w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			w.send(func() {
				if err != nil {
					b.notice(err)
				}
				b.wait(found)
			})
		}
		return nil
	}, b.openingEnded)
}

// wait puts found files in the queue, except those that are open and those that wait.
func (b *Bench) wait(found []string) {
	k := b.history.Kit()
	for _, path := range found {
		path = filepath.Clean(path)
		inKit := slices.ContainsFunc(k.Parts, func(p kit.Part) bool { return p.File == path })
		f := b.files[path]
		queued := f != nil && (f.state == Waiting || f.state == Reading)
		if inKit && (queued || f != nil && f.state != Failed) {
			continue
		}
		if !inKit && !slices.Contains(b.fresh, path) {
			b.fresh = append(slices.Clip(b.fresh), path)
		}
		if queued {
			continue
		}
		if f == nil {
			f = &modelFile{path: path}
			b.files[path] = f
		}
		f.state, f.err = Waiting, nil
		b.reads = append(b.reads, path)
		b.openAll++
	}
	b.recompute()
}

// wantFiles puts the files of all parts in the queue that were never read.
func (b *Bench) wantFiles() {
	for _, p := range b.history.Kit().Parts {
		if b.files[p.File] == nil {
			b.files[p.File] = &modelFile{path: p.File}
			b.reads = append(b.reads, p.File)
			b.openAll++
		}
	}
	b.nextOpening()
}

// read reads all files that wait.
func (b *Bench) read() {
	paths := b.reads
	b.reads = nil
	b.start(&b.opening, func(w *worker) error {
		for _, path := range paths {
			w.send(func() {
				if f := b.files[path]; f != nil {
					f.state = Reading
					b.recompute()
				}
			})
			at := func(share float64) {
				w.report(func() {
					all := max(1, b.openAll)
					b.opening.job = Job{ID: Opening, Part: filepath.Base(path), Done: b.openedN, All: all,
						Share: (float64(b.openedN) + share) / float64(all)}
					b.change()
				})
			}
			at(0)
			var file formats.File
			var beside string
			err := guard(Opening, func() (err error) {
				if file, err = openRemembering(w.ctx, b.config.Disk, b.config.Surveys, path, at); err == nil {
					beside, err = formats.Beside(w.ctx, file)
				}
				return err
			})
			if w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			w.send(func() { b.opened(path, file, beside, err) })
		}
		return nil
	}, b.openingEnded)
}

func (b *Bench) openingEnded(err error) {
	if err != nil && !errors.Is(err, context.Canceled) {
		b.notice(err)
	}
	b.nextOpening()
	if !b.opening.busy {
		b.recompute() // what is judged of all parts together
	}
}

// opened takes what came of reading a file.
func (b *Bench) opened(path string, file formats.File, beside string, err error) {
	b.openedN++
	f := b.files[path]
	if f == nil {
		return // removed meanwhile
	}
	if err != nil {
		f.state, f.err, f.parts = Failed, err, nil
	} else {
		same := f.file != nil && f.file.Digest() == file.Digest() && f.beside == beside
		f.state, f.err, f.file, f.beside, f.parts = Measured, nil, file, beside, file.Parts()
		if !same {
			f.looks = make([]look, len(f.parts))
		}
	}
	if i := slices.Index(b.fresh, path); i >= 0 {
		b.fresh = slices.Delete(slices.Clone(b.fresh), i, i+1)
		f.stood = f.state == Failed
		b.merge(StepOpen, strconv.Itoa(b.batch), b.history.Kit().With(partsOf(f)...))
		return
	}
	if f.state == Measured {
		b.know(f)
	}
	b.recompute()
}

// partsOf are the parts that a file brings to a kit. One that could not be read brings one
// that is not ticked, so that it does not count.
func partsOf(f *modelFile) []kit.Part {
	if f.state != Measured {
		return []kit.Part{{File: f.path, Name: titleOf(f.path)}}
	}
	parts := make([]kit.Part, len(f.parts))
	for i, p := range f.parts {
		parts[i] = kit.Part{File: f.path, Index: i, Name: p.Name, Digest: f.file.Digest(), Beside: f.beside, Ticked: true}
		if p.Name == "" {
			parts[i].Name = titleOf(f.path)
		}
	}
	return parts
}

// know tells the kit what was read of a file whose parts it already has: those that were
// saved with it, or that failed before.
func (b *Bench) know(f *modelFile) {
	for _, p := range b.history.Kit().Parts {
		if p.File == f.path && f.changed(p) {
			b.notice(&PathError{Path: f.path, Err: ErrDifferent})
			break
		}
	}
	fresh := partsOf(f)
	b.history.Amend(func(k kit.Kit) kit.Kit {
		for _, p := range k.Parts {
			if p.File != f.path || p.Index >= len(fresh) {
				continue
			}
			k = k.WithPart(p.ID, func(p *kit.Part) {
				if f.stood {
					p.Name, p.Ticked = fresh[p.Index].Name, true
				}
				if p.Digest == "" {
					p.Digest = f.file.Digest()
				}
				if p.Beside == "" && p.Digest == f.file.Digest() {
					p.Beside = f.beside
				}
			})
		}
		return k
	})
	if f.stood {
		f.stood = false
		b.merge(StepOpen, strconv.Itoa(b.batch), b.history.Kit().With(fresh...)) // and its other parts
	}
}

// stopOpening stops reading. Files that wait and have no part yet are forgotten, those of
// the kit's parts have failed for now.
func (b *Bench) stopOpening() {
	b.opening.stop()
	b.walks, b.reads = nil, nil
	b.openedN, b.openAll = 0, 0
	b.begins = false
	for _, path := range b.fresh {
		if f := b.files[path]; f != nil && f.file == nil {
			delete(b.files, path)
		}
	}
	b.fresh = nil
	for _, f := range b.files {
		if f.state != Waiting && f.state != Reading {
			continue
		}
		if f.file != nil {
			f.state = Measured
		} else {
			f.state, f.err = Failed, context.Canceled
		}
	}
	if b.history != nil {
		b.recompute()
	}
}
