package formats

import (
	"cmp"
	"context"
	"errors"
	"io"
	"iter"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/gltf"
	"scantling/formats/internal/source"
	"scantling/formats/obj"
	"scantling/formats/stl"
	"scantling/formats/threemf"
)

// As gives a source whose copies are written in another format through the neutral mesh,
// units converted (glTF is metres, the others millimetres), and what was up is up in that
// format too: z in STL, OBJ and 3MF, y in glTF. PerUnit is what its Rescale multiplies by on top
// of the factor, as deliver.Copy wants to know.
//
// Where k is the format that f has, the source is f itself and perUnit 1. GLTF is that of
// text glTF only: any other file becomes GLB. A conversion holds all meshes of the file, but
// to 3MF one at a time.
func As(f File, k Kind) (source deliver.Source, perUnit float64) {
	if k == GLTF && f.Format() != "gltf" {
		k = GLB
	}
	if k == kindOf(f) || k == GLTF {
		return f, 1
	}
	c := conversion{File: f, to: k, perUnit: 1}
	if parts := f.Parts(); len(parts) > 0 {
		c.perUnit = parts[0].Unit.MM / unitMM(k)
	}
	return c, c.perUnit
}

// kindOf is the kind that f has.
func kindOf(f File) Kind {
	switch {
	case f.Format() == "stl" && f.Encoding() == stl.ASCII:
		return STLASCII
	case f.Format() == "stl":
		return STL
	case f.Format() == "obj":
		return OBJ
	case f.Format() == "3mf":
		return ThreeMF
	case f.Encoding() == "glb":
		return GLB
	}
	return GLTF
}

// unitMM is how many millimetres the file unit of a kind is.
func unitMM(k Kind) float64 {
	if k == GLB || k == GLTF {
		return 1000 // metres: glTF 2.0, section 3.4
	}
	return 1 // as is usual for STL and OBJ, which state none, and as 3MF is written here
}

// upOf is the axis that points up in a kind.
func upOf(k Kind) geom.Axis {
	if k == GLB || k == GLTF {
		return geom.Y // glTF 2.0, section 3.4
	}
	return geom.Z // 3MF core 1.4.0, section 3.1; as is usual for STL and OBJ, which state none
}

// A conversion writes a file in another format.
type conversion struct {
	File
	to      Kind
	perUnit float64
}

// Extension is that of the other format.
func (c conversion) Extension() string {
	switch c.to {
	case STL, STLASCII:
		return ".stl"
	case OBJ:
		return ".obj"
	case ThreeMF:
		return ".3mf"
	}
	return ".glb"
}

// WrittenAs is the format, which the extension alone does not always tell.
func (c conversion) WrittenAs() string { return string(c.to) }

// Rescale reads the meshes and writes them, multiplied by factor and perUnit, and posed.
func (c conversion) Rescale(ctx context.Context, to deliver.Sink, name string, change deliver.Change, report func(float64)) error {
	if report == nil {
		report = func(float64) {}
	}
	parts := c.Parts()
	change.Factor *= c.perUnit
	change.Pose = c.pose(change.Pose, parts)
	if err := source.CheckChange(c.Path(), parts, change); err != nil {
		return err
	}
	var meshes []*mesh.Mesh
	for i := range parts {
		if c.to == ThreeMF { // reads one after another, while it writes
			break
		}
		m, err := c.Mesh(ctx, i, func(done float64) { report((float64(i) + done) / float64(len(parts)) / 2) })
		if err != nil {
			return err
		}
		meshes = append(meshes, m)
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	if c.to == ThreeMF {
		about := threemf.About{Title: source.Stem(c.Path()), Factor: change.Factor / c.perUnit, Tag: change.Tag}
		err = threemf.Encode(ctx, w, about, len(parts), c.bodies(ctx, change), report)
	} else {
		err = c.encode(ctx, w, meshes, change, func(done float64) { report(0.5 + done/2) })
	}
	if closed := w.Close(); err == nil {
		err = closed
	}
	if e := (*Error)(nil); errors.As(err, &e) && e.File == "" {
		e.File = c.Path()
	}
	return err
}

// bodies are the parts, each read when its turn has come.
func (c conversion) bodies(ctx context.Context, change deliver.Change) iter.Seq2[threemf.Body, error] {
	return func(yield func(threemf.Body, error) bool) {
		for i := range c.Parts() {
			m, err := c.Mesh(ctx, i, nil)
			if !yield(threemf.Body{Mesh: m, Factor: change.Factor, Pose: change.Pose}, err) {
				return
			}
		}
	}
}

// pose is that of the copy in its own unit and with its own axis up, or none where it
// changes nothing.
func (c conversion) pose(p geom.Pose, parts []mesh.Part) geom.Pose {
	if !p.Known() && len(parts) > 0 {
		p = geom.Upright(parts[0].Up) // all parts of a file have the same
	}
	if p = p.Then(geom.Upright(upOf(c.to)).Inverse()).Scale(c.perUnit); !p.Moves() {
		return geom.Pose{}
	}
	return p
}

func (c conversion) encode(ctx context.Context, w io.Writer, meshes []*mesh.Mesh, change deliver.Change, report func(float64)) error {
	factor, pose := change.Factor, change.Pose
	switch c.to {
	case STL:
		return stl.EncodeBinary(ctx, w, cmp.Or(change.Tag, meshes[0].Name), meshes, factor, pose, report)
	case STLASCII:
		return stl.EncodeASCII(ctx, w, change.Tag, meshes, factor, pose, report)
	case OBJ:
		if _, err := io.WriteString(w, obj.Comment(change.Tag)); err != nil {
			return err
		}
		return obj.Encode(ctx, w, meshes, factor, pose, report)
	}
	return gltf.EncodeGLB(ctx, w, change.Tag, meshes, factor, pose, report)
}
