package state

import (
	"path/filepath"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/formats"
)

// A Printed is a person to print beside the kit, at its target ratio and by its process.
type Printed struct {
	Spec mannequin.Spec // as it was asked for; its ratio is not known where the target is not
	// Made is the figure; without a mesh while it is being made, and where Err says why it
	// cannot be.
	Made  mannequin.Figure
	Err   error
	Busy  bool
	Saved string // where it was saved last; empty: nowhere yet
}

// usualStature is how tall the person is at first, mm: as the usual stand-in.
const usualStature = 1750

// FigureToPrint makes a person of a stature, typed in metres unless it says its unit, in a pose.
// View.Printed tells of it.
func (b *Bench) FigureToPrint(stature string, pose figure.Pose, base, seat bool) {
	v := &b.view
	spec := mannequin.Spec{Stature: usualStature, Pose: pose, Ratio: v.Result.Target, Limits: v.Judged.Process.Limits, NoBase: !base, NoSeat: !seat}
	next := Printed{Spec: spec, Saved: v.Printed.Saved}
	if l, err := ratio.ParseLength(strings.TrimSpace(stature), ratio.Metre); err != nil {
		next.Err = err
	} else {
		next.Spec.Stature = l.MM()
	}
	if next.Err == nil && !spec.Ratio.Known() {
		next.Err = ErrNoTarget
	}
	b.figuring.stop()
	v.Printed = next
	if next.Err != nil {
		b.change()
		return
	}
	v.Printed.Busy = true
	b.change()
	var made mannequin.Figure
	b.start(&b.figuring, func(w *worker) (err error) {
		made, err = mannequin.Make(w.ctx, next.Spec, nil)
		return err
	}, func(err error) {
		v.Printed.Made, v.Printed.Err, v.Printed.Busy = made, err, false
		b.change()
	})
}

// SavePrinted saves the figure that was made as STL, or as 3MF where the path ends so, over what
// lies there only where that may be. tag is what its file says of it. View.Printed tells where.
func (b *Bench) SavePrinted(path, tag string, over bool) {
	p, disk := b.view.Printed, b.config.Disk
	if p.Made.Mesh == nil {
		return
	}
	path = absolute(path)
	meshes := []*mesh.Mesh{p.Made.Mesh}
	source := formats.Made(meshes)
	if strings.EqualFold(filepath.Ext(path), ".3mf") {
		source = formats.MadePackage(formats.About{Title: tag, Ratio: p.Spec.Ratio.String()}, meshes)
	}
	b.start(&b.figuring, func(w *worker) error {
		c := deliver.Copy{Source: source, Name: filepath.Base(path), Factor: 1, PerUnit: 1, Tag: tag}
		done, err := disk.Save(w.ctx, []deliver.Copy{c}, deliver.Options{Folder: filepath.Dir(path), Overwrite: over}, func(deliver.Progress) {})
		if err == nil {
			err = done[0].Err
		}
		return err
	}, func(err error) {
		if err == nil {
			b.SetFolder(ForGauges, filepath.Dir(path))
			b.view.Printed.Saved = path
		}
		b.notice(err)
	})
}
