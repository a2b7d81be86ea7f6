package formats

import (
	"context"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/stl"
	"scantling/formats/threemf"
)

// Made gives a source of parts that the program has made, in millimetres with z up, so that they
// are saved as copies are. It lies nowhere, and writes binary STL: one list of triangles.
func Made(meshes []*mesh.Mesh) deliver.Source { return made(meshes) }

type made []*mesh.Mesh

func (m made) Path() string { return "" }

func (m made) Parts() []mesh.Part {
	parts := make([]mesh.Part, len(m))
	for i, one := range m {
		parts[i] = mesh.Part{
			Name: one.Name, Measures: mesh.MeasuresOf(one), Surface: true,
			Unit: mesh.Unit{Name: "mm", MM: 1, Declared: true}, Up: geom.Z,
		}
	}
	return parts
}

func (m made) Extension() string { return ".stl" }

func (m made) Rescale(ctx context.Context, to deliver.Sink, name string, c deliver.Change, report func(float64)) error {
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	err = stl.EncodeBinary(ctx, w, c.Tag, m, c.Factor, c.Pose, report)
	if closed := w.Close(); err == nil {
		err = closed
	}
	return err
}

// MadePackage is Made, writing 3MF that says what about says of it.
func MadePackage(about threemf.About, meshes []*mesh.Mesh) deliver.Source {
	return madePackage{made(meshes), about}
}

type madePackage struct {
	made
	about threemf.About
}

func (m madePackage) Extension() string { return ".3mf" }

func (m madePackage) Rescale(ctx context.Context, to deliver.Sink, name string, c deliver.Change, report func(float64)) error {
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	about := m.about
	about.Tag = c.Tag
	err = threemf.Encode(ctx, w, about, len(m.made), func(yield func(threemf.Body, error) bool) {
		for _, one := range m.made {
			if !yield(threemf.Body{Mesh: one, Factor: c.Factor, Pose: c.Pose}, nil) {
				return
			}
		}
	}, report)
	if closed := w.Close(); err == nil {
		err = closed
	}
	return err
}
