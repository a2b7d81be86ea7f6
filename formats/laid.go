package formats

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/stl"
	"scantling/formats/threemf"
)

// About is what a 3MF package says of itself.
type About = threemf.About

// A Laying is a part of a file, with where it is to stand.
type Laying struct {
	File  File
	Index int // among the file's parts
	// Factor is what its file's lengths are multiplied by to become millimetres of the copy.
	Factor float64
	Poses  []geom.Pose // after that, with z up: once for each piece
	Closed bool        // its surface is closed, so that its volume can be verified
}

// A Laid is a source of parts of several files, each where it is to stand, in millimetres with z
// up. Its copies are one file each: a 3MF package with an object for each part and an item for
// each piece, or one binary STL list of triangles. It holds one mesh at a time and serves one
// goroutine. A copy of it has the factor 1.
type Laid struct {
	about    About
	to       Kind
	layings  []Laying
	parts    []mesh.Part // a piece each
	volume   float64     // of all pieces, mm³
	volumeOK bool        // all of them are closed
}

// Lay gives a source of those parts, at least one with a pose; k is STL or ThreeMF. Parts without
// triangles are left out. What about says of the factor is kept.
func Lay(about About, k Kind, layings []Laying) *Laid {
	l := &Laid{about: about, to: k, volumeOK: true}
	for _, one := range layings {
		p := one.File.Parts()[one.Index]
		if p.Triangles == 0 || len(one.Poses) == 0 {
			continue
		}
		l.layings = append(l.layings, one)
		l.volumeOK = l.volumeOK && one.Closed
		for _, pose := range one.Poses {
			by := pose.Stretch()
			piece := mesh.Part{Name: p.Name, Unit: mesh.Unit{Name: "mm", MM: 1, Declared: true}, Up: geom.Z, Surface: true}
			piece.Triangles = p.Triangles
			piece.Volume = p.Volume * one.Factor * one.Factor * one.Factor * by[0] * by[1] * by[2]
			piece.Box = pose.Box(p.Box.Scale(one.Factor))
			l.parts = append(l.parts, piece)
			l.volume += piece.Volume
		}
	}
	return l
}

// Path is where the first of the files lies.
func (l *Laid) Path() string { return l.layings[0].File.Path() }

// Sources are where all of them lie.
func (l *Laid) Sources() []string {
	var paths []string
	for _, f := range l.files() {
		paths = append(paths, f.Path())
	}
	return paths
}

// Digest is those of all of them.
func (l *Laid) Digest() string {
	var all []string
	for _, f := range l.files() {
		all = append(all, f.Digest())
	}
	return strings.Join(all, " ")
}

// Companions are the side files of all of them, relative to the first.
func (l *Laid) Companions() []string {
	var all []string
	for _, f := range l.files() {
		all = append(all, companionsFrom(l.Path(), f)...)
	}
	return all
}

// files are all files, each once.
func (l *Laid) files() []File {
	var all []File
	for _, one := range l.layings {
		if !slices.Contains(all, one.File) {
			all = append(all, one.File)
		}
	}
	return all
}

// WrittenAs is what is put where, and what is said of it.
func (l *Laid) WrittenAs() string {
	var s strings.Builder
	fmt.Fprintf(&s, "%+v", l.about)
	for _, one := range l.layings {
		fmt.Fprintf(&s, " %s %d %v %v", one.File.Digest(), one.Index, one.Factor, one.Poses)
	}
	return s.String()
}

// Parts are the pieces. Until a copy was written, the box of one that is turned askew is that of
// its turned box.
func (l *Laid) Parts() []mesh.Part { return l.parts }

// Extension is ".3mf" or ".stl".
func (l *Laid) Extension() string {
	if l.to == ThreeMF {
		return ".3mf"
	}
	return ".stl"
}

// Rescale writes all pieces, each mesh read when its turn has come, and measures their boxes.
func (l *Laid) Rescale(ctx context.Context, to deliver.Sink, name string, change deliver.Change, report func(float64)) error {
	if change.Factor != 1 || change.Pose.Known() {
		panic("formats: what is laid out is saved as it lies") // our own code's mistake
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	if l.to == ThreeMF {
		about := l.about
		about.Tag = change.Tag
		err = threemf.Encode(ctx, w, about, len(l.layings), l.packed(ctx), report)
	} else {
		triangles := 0
		for _, p := range l.parts {
			triangles += p.Triangles
		}
		err = stl.EncodeBodies(ctx, w, change.Tag, triangles, l.listed(ctx), report)
	}
	if closed := w.Close(); err == nil {
		err = closed
	}
	if e := (*fault.Error)(nil); errors.As(err, &e) && e.File == "" {
		e.File = l.Path()
	}
	return err
}

// meshes are the layings, each with its mesh, which is read and forgotten.
func (l *Laid) meshes(ctx context.Context, yield func(one Laying, m *mesh.Mesh) bool) error {
	first := 0
	for i, one := range l.layings {
		m, err := one.File.Mesh(ctx, one.Index, nil)
		if err != nil {
			return err
		}
		if i+1 == len(l.layings) || l.layings[i+1].File != one.File { // all of the file was read
			switch now, err := Digest(ctx, one.File.Path()); {
			case err != nil:
				return err
			case now != one.File.Digest():
				return &fault.Error{File: one.File.Path(), Code: fault.Changed, Byte: -1}
			}
		}
		m = centred(m, one.File.Parts()[one.Index].Box)
		for i, pose := range one.Poses {
			if l.parts[first+i].Box, err = boxOf(ctx, m, one.Factor, pose); err != nil {
				return err
			}
		}
		if !yield(one, m) {
			return nil
		}
		first += len(one.Poses)
	}
	return nil
}

// centred is m with its vertices about the middle of its box, so that a part that was drawn far
// from zero loses nothing where it is put.
func centred(m *mesh.Mesh, box geom.Box) *mesh.Mesh {
	middle := box.Centre().Sub(m.Origin)
	out := *m
	out.Origin = m.Origin.Add(middle)
	out.Vertices = make([][3]float32, len(m.Vertices))
	for i, v := range m.Vertices {
		for a, x := range v {
			out.Vertices[i][a] = float32(float64(x) - middle[a])
		}
	}
	return &out
}

// boxOf is the box of a mesh in its place. It asks ctx every few thousand triangles.
func boxOf(ctx context.Context, m *mesh.Mesh, factor float64, pose geom.Pose) (geom.Box, error) {
	box := geom.EmptyBox()
	for t := range m.Len() {
		if t&0xffff == 0 && ctx.Err() != nil {
			return box, ctx.Err()
		}
		for _, v := range m.Corners(t) {
			box = box.Add(pose.Apply(m.Vertex(v).Scale(factor)))
		}
	}
	return box, nil
}

func (l *Laid) packed(ctx context.Context) iter.Seq2[threemf.Body, error] {
	return func(yield func(threemf.Body, error) bool) {
		err := l.meshes(ctx, func(one Laying, m *mesh.Mesh) bool {
			return yield(threemf.Body{Mesh: m, Factor: one.Factor, Pose: one.Poses[0], Again: one.Poses[1:]}, nil)
		})
		if err != nil {
			yield(threemf.Body{}, err)
		}
	}
}

func (l *Laid) listed(ctx context.Context) iter.Seq2[stl.Body, error] {
	return func(yield func(stl.Body, error) bool) {
		err := l.meshes(ctx, func(one Laying, m *mesh.Mesh) bool {
			for _, pose := range one.Poses {
				if !yield(stl.Body{Mesh: m, Factor: one.Factor, Pose: pose}, nil) {
					return false
				}
			}
			return true
		})
		if err != nil {
			yield(stl.Body{}, err)
		}
	}
}

// volumeSlack is by what share the volumes of a copy may differ from those of its sources, whose
// coordinates are float32 as its own are, put down elsewhere.
const volumeSlack = 1e-4

// Check says how the volumes of a copy that was read back differ from what they should be, as a
// *deliver.Difference. Where a surface is not closed there is nothing to compare. Run compares all
// else.
func (l *Laid) Check(back deliver.Back) error {
	got := 0.0
	for _, p := range back.Parts() {
		got += p.Volume * p.Unit.MM * p.Unit.MM * p.Unit.MM
	}
	if l.volumeOK && !(math.Abs(got-l.volume) <= volumeSlack*math.Abs(l.volume)) {
		return &deliver.Difference{Kind: deliver.Volume, Want: l.volume, Got: got}
	}
	return nil
}

// OpenLaid opens copies of laid-out sources for deliver.Run and checks their volumes. laid says
// what the copy of a path is of.
func OpenLaid(laid func(path string) *Laid) deliver.Open {
	return func(ctx context.Context, path string) (deliver.Back, error) {
		f, err := Open(ctx, path, nil)
		if err != nil {
			return nil, err
		}
		if l := laid(path); l != nil {
			if err := l.Check(f); err != nil {
				return nil, err
			}
		}
		return f, nil
	}
}
