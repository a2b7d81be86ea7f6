package state

import (
	"cmp"
	"errors"
	"path/filepath"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
)

// A PrintedAsked is what was typed and chosen of a person to print.
type PrintedAsked struct {
	Ratio  string // nothing: the target
	Person string // as ways.ParsePerson reads it; nothing: the usual stature
	Pose   figure.Pose
	NoBase bool
	NoSeat bool
}

// A Printed is a person to print beside the kit, by its process.
type Printed struct {
	Spec mannequin.Spec // as it was asked for; its ratio is not known where nobody said any
	// Process is the name of the one that it is made for.
	Process string
	// Made is the figure; without a mesh while it is being made, and where Err says why it
	// cannot be.
	Made  mannequin.Figure
	Views mannequin.Views // of what was made last
	Err   error
	// RatioErr and PersonErr say what is wrong with what was typed; Err is either then, too.
	RatioErr, PersonErr error

	Busy     bool
	Share    float64 // of the making that is done, 0 to 1
	Stopped  bool    // the making was cancelled
	IsSaving bool
	Saved    string // where it was saved; empty: nowhere yet
	SaveErr  error  // why saving failed last
}

// usualStature is how tall the person is where nobody says it, mm: as the usual stand-in.
const usualStature = 1750

// figureStep is how much more of a figure is made when it is told again.
const figureStep = 0.1

// FigureToPrint makes a person to print. View.Printed tells of it.
func (b *Bench) FigureToPrint(a PrintedAsked) {
	v := &b.view
	process := v.Judged.Process
	next := Printed{
		Spec:    mannequin.Spec{Pose: a.Pose, Ratio: v.Result.Target, Limits: process.Limits, NoBase: a.NoBase, NoSeat: a.NoSeat},
		Process: process.Name, Views: v.Printed.Views, IsSaving: v.Printed.IsSaving,
	}
	s := &next.Spec
	if strings.TrimSpace(a.Ratio) != "" {
		s.Ratio, next.RatioErr = ratio.Parse(a.Ratio)
	} else if !s.Ratio.Known() {
		next.RatioErr = ErrNoTarget
	}
	if strings.TrimSpace(a.Person) == "" {
		s.Stature = usualStature
	} else {
		var who ways.Person
		who, next.PersonErr = ways.ParsePerson(a.Person)
		s.Of, s.Stature = who.Population, who.Stature.MM()
	}
	b.figuring.stop()
	if next.Err = cmp.Or(next.RatioErr, next.PersonErr); next.Err != nil {
		next.Views = mannequin.Views{}
		v.Printed = next
		b.change()
		return
	}
	next.Busy = true
	v.Printed = next
	var made mannequin.Figure
	var views mannequin.Views
	b.start(&b.figuring, func(w *worker) (err error) {
		told := 0.0
		made, err = mannequin.Make(w.ctx, next.Spec, func(share float64) {
			if share < told+figureStep { // every telling has the whole window drawn
				return
			}
			told = share
			w.report(func() {
				b.figuring.job.Share, v.Printed.Share = share, share
				b.change()
			})
		})
		if err == nil {
			views, err = mannequin.ViewsOf(w.ctx, made.Mesh)
		}
		return err
	}, func(err error) {
		p := &v.Printed
		p.Made, p.Views, p.Err, p.Busy, p.Share = made, views, err, false, 0
		if errors.Is(err, mannequin.ErrStature) {
			p.PersonErr = err
		} else if errors.Is(err, mannequin.ErrRatio) {
			p.RatioErr = err
		}
		b.change()
	})
}

// stopFigure ends the making of the figure; what it was is kept to be made again.
func (b *Bench) stopFigure() {
	b.figuring.stop()
	if p := &b.view.Printed; p.Busy {
		p.Busy, p.Share, p.Stopped, p.Views = false, 0, true, mannequin.Views{}
	}
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
	b.view.Printed.IsSaving, b.view.Printed.SaveErr = true, nil
	b.start(&b.modelling, func(w *worker) error {
		c := deliver.Copy{Source: source, Name: filepath.Base(path), Factor: 1, PerUnit: 1, Tag: tag}
		done, err := disk.Save(w.ctx, []deliver.Copy{c}, deliver.Options{Folder: filepath.Dir(path), Overwrite: over}, func(deliver.Progress) {})
		if err == nil {
			err = done[0].Err
		}
		return err
	}, func(err error) {
		p := &b.view.Printed
		p.IsSaving, p.SaveErr = false, err
		if err == nil {
			b.SetFolder(ForGauges, filepath.Dir(path))
		}
		if err == nil && p.Made.Mesh == meshes[0] { // else it is another one by now
			p.Saved = path
		}
		b.change()
	})
}
