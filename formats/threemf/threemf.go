// Package threemf reads 3MF packages (core specification 1.4.0 with its extensions), writes
// them again larger or smaller, and writes new ones.
//
// Think of a package as a ZIP archive with at least one part of XML, the model, which
// defines objects, puts them together from components, and says in its build what is
// printed, where. A rescaled copy is the same archive: the numbers in its model parts that
// are lengths are multiplied, and every other byte of these texts, as well as every other
// part (pictures, thumbnails, print tickets, unknown extensions), is the source's.
//
// A model is read as a stream of tags, unfolded a few pieces ahead. What stays in memory is
// one object's vertices at a time, and afterwards where things are: the triangles are read
// again when they are needed.
//
// It refuses document type definitions, texts that are not UTF-8, encrypted parts, required
// extensions that may change the shape in a way unknown here, components that contain
// themselves, and packages that unfold to far more than their size: by packing, by parts
// that share bytes, or by components of components.
//
// A part is an item of the build: all triangles of its object and of what that is composed
// of, but for supports, in the package's unit, Z up.
package threemf

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// A File is an opened package. Its methods may be called from several goroutines.
type File struct {
	path  string
	stamp source.Stamp
	when  time.Time // it was last changed, as of opening

	models []*model // the first is the root
	items  []component
	// wide: some length has more digits than float32 holds, so copies are written as
	// float64. Otherwise they are written as float32.
	wide   bool
	sliced bool // some model has slices
	places []place
	parts  []mesh.Part
	notes  []fault.Note
}

// Path is where the file lies.
func (f *File) Path() string { return f.path }

// Parts are the items of the build, in the unit of the package. An item without a name, or
// rather its object, has the file's.
func (f *File) Parts() []mesh.Part { return slices.Clone(f.parts) }

// Extension is that of copies.
func (f *File) Extension() string { return ".3mf" }

// Format is "3mf".
func (f *File) Format() string { return "3mf" }

// Encoding is "zip".
func (f *File) Encoding() string { return "zip" }

// Bytes is the size of the file when it was opened.
func (f *File) Bytes() int64 { return f.stamp.Bytes }

// Digest identifies the content.
func (f *File) Digest() string { return f.stamp.String() }

// Notes are what is worth telling although the file could be read.
func (f *File) Notes() []fault.Note { return slices.Clone(f.notes) }

// Companions are none: a package holds all that it needs.
func (f *File) Companions() []string { return nil }

func (f *File) note(code fault.NoteCode, detail string) {
	f.notes = append(f.notes, fault.Note{Code: code, Detail: detail})
}

// Open opens and measures a package. Memory: 24 bytes a vertex of its largest object, 12
// bytes a triangle of those that are placed turned, and some 2 MB; whatever it claims, not
// more than 256 times its size and 64 MB unfold. It asks ctx at least every megabyte of
// text; report rises from 0 to 1 and may be nil. The error is an *fault.Error, or ctx's.
func Open(ctx context.Context, path string, report func(float64)) (*File, error) {
	if report == nil {
		report = func(float64) {}
	}
	f := &File{path: path}
	if err := f.open(ctx, report); err != nil {
		if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			return nil, ctx.Err()
		}
		return nil, source.Fault(path, err)
	}
	report(1)
	return f, nil
}

func (f *File) open(ctx context.Context, report func(float64)) error {
	a, err := openArchive(f.path)
	if err != nil {
		return err
	}
	defer a.file.Close()
	info, err := a.file.Stat()
	if err != nil {
		return err
	}
	f.when = info.ModTime()

	// The content is stamped beside everything else.
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stamped := make(chan error, 1)
	go func() {
		var err error
		f.stamp, err = stampOf(ctx, a)
		stamped <- err
	}()
	err = f.read(ctx, a, report)
	if err != nil {
		cancel()
	}
	if e := <-stamped; err == nil {
		err = e
	}
	return err
}

// stampOf is the stamp of an archive's file.
func stampOf(ctx context.Context, a *archive) (source.Stamp, error) {
	r := source.NewReader(a.path, io.NewSectionReader(a.file, 0, math.MaxInt64))
	buf := make([]byte, min(1<<20, a.size+1))
	for {
		if err := ctx.Err(); err != nil {
			return source.Stamp{}, err
		}
		if _, err := r.Read(buf); err == io.EOF {
			break
		} else if err != nil {
			return source.Stamp{}, err
		}
	}
	if r.Stamp().Bytes != a.size {
		return source.Stamp{}, a.fault(fault.Changed, "written to while it was read")
	}
	return r.Stamp(), nil
}

// read reads all models and measures the parts.
func (f *File) read(ctx context.Context, a *archive, report func(float64)) error {
	root, err := a.root(ctx)
	if err != nil {
		return err
	}
	o := outline{file: f, archive: a, queue: []string{root}, known: map[string]*model{}}
	related, err := a.relations(ctx, relationsOf(root), modelRelation)
	if err != nil {
		return err
	}
	for _, name := range related {
		if a.parts[partName(name)] != nil {
			o.enqueue(name)
		}
	}
	last := 0.0
	for i := 0; i < len(o.queue); i++ {
		err := o.read(ctx, o.queue[i], func(done float64) {
			last = max(last, 0.7*(float64(i)+done)/float64(len(o.queue)))
			report(last)
		})
		if err != nil {
			return err
		}
	}
	f.notes = append(f.notes, source.TagNote(a.tagIn(root))...)
	if o.beams > 0 {
		f.note(fault.SkippedParts, fmt.Sprintf("%d beams and balls", o.beams))
	}
	signed, err := a.relations(ctx, "_rels/.rels", originRelation)
	if err != nil {
		return err
	}
	if len(signed) > 0 {
		f.note(fault.Signed, "")
	}
	if err := f.findParts(a, o.known); err != nil {
		return err
	}
	return f.measure(ctx, a, func(done float64) { report(last + (0.99-last)*done) })
}

// An outline is what the first reading of all models gathers.
type outline struct {
	file    *File
	archive *archive
	queue   []string // names of models, read and to be read
	known   map[string]*model
	beams   int
	refs    int // components and items
}

// enqueue makes sure that a model is read.
func (o *outline) enqueue(name string) {
	if !slices.ContainsFunc(o.queue, func(q string) bool { return partName(q) == partName(name) }) {
		o.queue = append(o.queue, name)
	}
}

// read reads one model: what it defines, and what its meshes measure.
func (o *outline) read(ctx context.Context, name string, report func(float64)) error {
	if len(o.queue) > mostModels {
		return o.archive.fault(fault.Overfull, fmt.Sprintf("more than %d models", mostModels))
	}
	f, err := o.archive.find(name)
	if err != nil {
		return err
	}
	m := &model{name: f.Name, byID: map[uint32]*object{}}
	o.known[partName(name)] = m
	o.file.models = append(o.file.models, m)
	w := &walker{archive: o.archive, model: m, root: len(o.file.models) == 1}
	var sum *mesh.Accumulator
	w.triangle = func(c [3]uint32) error {
		p := w.vertices[c[0]]
		if sum == nil {
			sum = mesh.NewAccumulator(p)
		}
		sum.Add(p, w.vertices[c[1]], w.vertices[c[2]])
		return nil
	}
	w.finished = func() error {
		if sum != nil {
			w.object.measures, sum = sum.Measures(), nil
		}
		o.beams += w.object.beams
		return nil
	}
	w.met = func() error { return o.met(w) }
	if err := w.walk(ctx, name, nil, report, nil); err != nil {
		return err
	}
	o.file.wide = o.file.wide || w.wide
	return nil
}

// met deals with a start tag.
func (o *outline) met(w *walker) error {
	switch w.tag.kind {
	case modelElement:
		return o.startModel(w)
	case componentElement, itemElement:
		c, err := w.reference()
		if err != nil {
			return err
		}
		if o.refs++; o.refs > mostObjects {
			return w.bad(fault.Overfull, "more than %d components and items", mostObjects)
		}
		if c.path != "" {
			o.enqueue(c.path)
		}
		switch {
		case w.tag.kind == componentElement:
			w.object.components = append(w.object.components, c)
		case w.root: // other builds mean nothing (production 1.1, chapter 2)
			o.file.items = append(o.file.items, c)
		}
	case stackElement:
		o.file.sliced = true
	case alternativeElement, sliceRefElement:
		a, ok := w.findIn(productionSpace, "path")
		if w.tag.kind == sliceRefElement {
			a, ok = w.find("slicepath")
		} else if !ok {
			a, ok = w.find("path")
		}
		if !ok {
			return nil
		}
		path, err := w.value(a)
		if err == nil && path != "" {
			o.enqueue(path)
		}
		return err
	}
	return nil
}

// startModel reads the tag of a model.
func (o *outline) startModel(w *walker) error {
	name, err := w.words("unit")
	if err != nil {
		return err
	}
	var ok bool
	if w.model.unit, ok = unitOf(name); !ok {
		return w.bad(fault.Syntax, "unit is %q", clip(name))
	}
	a, ok := w.find("requiredextensions")
	if !ok {
		return nil
	}
	list, err := w.value(a)
	if err != nil {
		return err
	}
	for _, prefix := range strings.Fields(list) {
		b, ok := w.binding([]byte(prefix))
		if !ok {
			return w.bad(fault.Syntax, "no namespace for the required extension %q", clip(prefix))
		}
		if b.space == otherSpace {
			return w.bad(fault.Unsupported, "requires %s", clip(b.uri))
		}
	}
	return nil
}

// unitOf is a unit by its name in a model (core 1.4.0, section 3.4), where it is millimetres
// unless something else is said.
func unitOf(name string) (mesh.Unit, bool) {
	for _, u := range []struct {
		name  string
		short string
		mm    float64
	}{
		{"", "mm", 1}, {"millimeter", "mm", 1}, {"micron", "µm", 0.001}, {"centimeter", "cm", 10},
		{"inch", "in", 25.4}, {"foot", "ft", 304.8}, {"meter", "m", 1000},
	} {
		if u.name == name {
			return mesh.Unit{Name: u.short, MM: u.mm, Declared: true}, true
		}
	}
	return mesh.Unit{}, false
}

// reopen opens the package again, which must be what it was.
func (f *File) reopen() (*archive, error) {
	a, err := openArchive(f.path)
	if err != nil {
		return nil, err
	}
	info, err := a.file.Stat()
	if err == nil && (a.size != f.stamp.Bytes || !info.ModTime().Equal(f.when)) {
		err = f.changed()
	}
	if err != nil {
		a.file.Close()
		return nil, source.Fault(f.path, err)
	}
	return a, nil
}

// changed is the error for a file that is no longer what was opened.
func (f *File) changed() error {
	return &fault.Error{File: f.path, Code: fault.Changed, Byte: -1}
}

// moved is a box elsewhere by t.
func moved(b geom.Box, t geom.Vec) geom.Box {
	return geom.Box{Min: b.Min.Add(t), Max: b.Max.Add(t)}
}
