package formats

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"path/filepath"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
	"scantling/formats/threemf"
)

// Together gives one source of all parts of several files, at least one, in their order. Its
// copies are one 3MF package each, in millimetres with z up, that says of itself what about
// says and by what factor it was scaled. It holds one mesh at a time.
func Together(about threemf.About, files []File) deliver.Source {
	t := together{about: about}
	for _, f := range files {
		c := conversion{File: f, to: ThreeMF, perUnit: 1}
		for i, p := range f.Parts() {
			if i == 0 {
				c.perUnit = p.Unit.MM / unitMM(ThreeMF)
			}
			t.parts = append(t.parts, uprightMM(p, c.perUnit))
		}
		t.files = append(t.files, c)
	}
	return t
}

// uprightMM is a part in millimetres, of which one of its units is k, with z up.
func uprightMM(p mesh.Part, k float64) mesh.Part {
	up := geom.Upright(p.Up)
	p.Box = up.Box(p.Box.Scale(k))
	p.Centroid = up.Apply(p.Centroid.Scale(k))
	p.Up = geom.Z
	p.Area *= k * k
	p.Volume *= k * k * k
	p.Unit = mesh.Unit{Name: "mm", MM: 1, Declared: p.Unit.Declared}
	return p
}

type together struct {
	about threemf.About
	files []conversion
	parts []mesh.Part
}

// Path is where the first of the files lies.
func (t together) Path() string { return t.files[0].Path() }

// Sources are where all of them lie.
func (t together) Sources() []string {
	var paths []string
	for _, f := range t.files {
		paths = append(paths, f.Path())
	}
	return paths
}

// Digest is those of all of them.
func (t together) Digest() string {
	var all []string
	for _, f := range t.files {
		all = append(all, f.Digest())
	}
	return strings.Join(all, " ")
}

// Companions are the side files of all of them, relative to the first.
func (t together) Companions() []string {
	var all []string
	for _, f := range t.files {
		all = append(all, companionsFrom(t.Path(), f)...)
	}
	return all
}

// companionsFrom are the side files of f, relative to the folder of a path.
func companionsFrom(path string, f File) []string {
	var all []string
	for _, name := range f.Companions() {
		if at, err := filepath.Rel(filepath.Dir(path), filepath.Join(filepath.Dir(f.Path()), filepath.FromSlash(name))); err == nil {
			all = append(all, filepath.ToSlash(at))
		}
	}
	return all
}

// WrittenAs is what the package says of itself.
func (t together) WrittenAs() string { return fmt.Sprintf("%+v", t.about) }

// Parts are those of all files, in millimetres.
func (t together) Parts() []mesh.Part { return t.parts }

// Extension is ".3mf".
func (t together) Extension() string { return ".3mf" }

// Rescale writes all meshes, each read when its turn has come.
func (t together) Rescale(ctx context.Context, to deliver.Sink, name string, change deliver.Change, report func(float64)) error {
	for _, f := range t.files {
		if err := source.CheckChange(f.Path(), f.Parts(), f.within(change)); err != nil {
			return err
		}
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	about := t.about
	about.Factor, about.Tag = change.Factor, change.Tag
	err = threemf.Encode(ctx, w, about, len(t.parts), t.bodies(ctx, change), report)
	if closed := w.Close(); err == nil {
		err = closed
	}
	if e := (*fault.Error)(nil); errors.As(err, &e) && e.File == "" {
		e.File = t.Path()
	}
	return err
}

// within is a change of all files together, as it is for one of them.
func (c conversion) within(change deliver.Change) deliver.Change {
	parts := c.Parts()
	if change.Pose.Known() && len(parts) > 0 { // it is told of what stands upright
		change.Pose = geom.Upright(parts[0].Up).Then(change.Pose)
	}
	change.Factor *= c.perUnit
	change.Pose = c.pose(change.Pose, parts)
	return change
}

func (t together) bodies(ctx context.Context, change deliver.Change) iter.Seq2[threemf.Body, error] {
	return func(yield func(threemf.Body, error) bool) {
		for _, f := range t.files {
			for b, err := range f.bodies(ctx, f.within(change)) {
				if !yield(b, err) {
					return
				}
			}
		}
	}
}
