package gltf

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// mostTriangles bounds what all parts together may show of one mesh again and again: a
// small file can ask for more than any machine could measure in a day. A file that really
// holds more is not bound.
const mostTriangles = 1 << 28

// moreInstances is how many triangles the instances of one node may make beyond the bytes
// of the file.
const moreInstances = 1 << 23

// A partPlace says which node is a part.
type partPlace struct {
	node      int
	triangles int64
	box       geom.Box // of a part whose triangles are compressed
}

// measure finds the parts and measures them.
func (f *File) measure(ctx context.Context, report func(float64)) error {
	worlds := f.doc.worlds()
	all, err := f.findParts()
	if err != nil {
		return err
	}
	s := f.store()
	defer s.close()
	f.parts = make([]mesh.Part, len(f.places))
	done := int64(0)
	for i := range f.places {
		p := &f.places[i]
		part := &f.parts[i]
		*part = mesh.Part{
			Name:    f.partName(i),
			Unit:    mesh.Unit{Name: "m", MM: 1000, Declared: true},
			Up:      geom.Y,
			Surface: !f.compressed(p.node),
		}
		if part.Surface {
			m, err := s.build(ctx, p, worlds)
			if err != nil {
				return err
			}
			if part.Measures, err = measures(ctx, m); err != nil {
				return err
			}
		} else {
			if p.box, err = s.claimedBox(ctx, p.node, worlds); err != nil {
				return err
			}
			part.Triangles, part.Box, part.Centroid = int(p.triangles), p.box, p.box.Centre()
			f.note(fault.Compressed, part.Name)
		}
		if part.Box.Size() == (geom.Vec{}) {
			f.note(fault.ZeroSize, part.Name)
		}
		done += p.triangles
		report(0.9 * float64(done) / float64(all))
	}
	return nil
}

// findParts lists the nodes that show triangles, and counts these.
func (f *File) findParts() (all int64, err error) {
	skipped := 0
	real := max(f.limit, mostTriangles)
	f.doc.walk(f.doc.shown(), func(i int) {
		n := &f.doc.nodes[i]
		if n.mesh < 0 || err != nil {
			return
		}
		triangles, vertices := int64(0), int64(0)
		for k := range f.doc.meshes[n.mesh].primitives {
			p := &f.doc.meshes[n.mesh].primitives[k]
			if p.mode < modeTriangles || p.position < 0 {
				skipped++
				continue
			}
			count := f.doc.triangles(p)
			triangles += count
			if count > 0 {
				vertices += f.doc.accessors[p.position].count
			}
			// Within one mesh, no more can be real than the file has bytes.
			if triangles > f.limit || vertices > f.limit {
				err = f.fault(fault.BadRange, p.v, "claims more than the file has bytes")
				return
			}
		}
		if triangles == 0 {
			return
		}
		if n.instanced {
			if n.instanceSize > (f.limit+moreInstances)/max(triangles, vertices) {
				err = f.fault(fault.Unsupported, n.v, fmt.Sprintf("%d instances of %d triangles", n.instanceSize, triangles))
				return
			}
			if triangles *= n.instanceSize; triangles == 0 {
				return
			}
		}
		if all += triangles; all > real {
			err = f.fault(fault.Unsupported, n.v, fmt.Sprintf("shows more than %d triangles in all", real))
			return
		}
		f.places = append(f.places, partPlace{node: i, triangles: triangles})
	})
	if err != nil {
		return 0, err
	}
	if skipped > 0 {
		f.note(fault.SkippedParts, fmt.Sprintf("%d of points or lines", skipped))
	}
	if len(f.places) == 0 {
		return 0, &fault.Error{File: f.path, Code: fault.NoTriangles, Byte: -1}
	}
	return all, nil
}

// triangles counts those of a primitive.
func (doc *document) triangles(p *primitive) int64 {
	n := doc.accessors[p.position].count
	if p.indices >= 0 {
		n = doc.accessors[p.indices].count
	}
	if p.mode == modeTriangles {
		return n / 3
	}
	return max(0, n-2)
}

func (f *File) partName(i int) string {
	n := &f.doc.nodes[f.places[i].node]
	switch mesh := f.doc.meshes[n.mesh].name; {
	case n.name != "":
		return n.name
	case mesh != "":
		return mesh
	}
	return fmt.Sprintf("%s %d", source.Stem(f.path), i+1)
}

// readable reports whether an accessor's elements can be read: compressed views can where
// the plain bytes lie beside them.
func (f *File) readable(i int) bool {
	views := make([]int, 0, 3)
	a := &f.doc.accessors[i]
	if a.view >= 0 {
		views = append(views, a.view)
	}
	if a.sparse != nil {
		views = append(views, a.sparse.indexView, a.sparse.valueView)
	}
	for _, v := range views {
		w := &f.doc.views[v]
		if b := &f.doc.buffers[w.buffer]; w.packed != nil && (b.fallback || b.blob < 0) {
			return false
		}
	}
	return true
}

// compressed reports whether the triangles of a node cannot be read.
func (f *File) compressed(node int) bool {
	n := &f.doc.nodes[node]
	for i := range f.doc.meshes[n.mesh].primitives {
		p := &f.doc.meshes[n.mesh].primitives[i]
		if p.mode < modeTriangles || p.position < 0 {
			continue
		}
		needed := append([]int{p.position}, p.joints...)
		needed = append(needed, p.weights...)
		for _, a := range append(needed, append(p.targets, p.indices)...) {
			if p.draco || a >= 0 && !f.readable(a) {
				return true
			}
		}
	}
	return false
}

// Mesh reads the triangles of part i. It asks ctx every megabyte.
func (f *File) Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	if !f.parts[i].Surface {
		return nil, &fault.Error{File: f.path, Code: fault.NoSurface, Byte: -1, Detail: f.parts[i].Name}
	}
	s := f.store()
	defer s.close()
	m, err := s.build(ctx, &f.places[i], f.doc.worlds())
	if err != nil {
		return nil, err
	}
	m.Name = f.parts[i].Name
	if report != nil {
		report(1)
	}
	return m, nil
}

// measures measures a mesh on all processors. Pieces are added up in order, so that any
// number of processors gives the same bits.
func measures(ctx context.Context, m *mesh.Mesh) (mesh.Measures, error) {
	const run = 1 << 16
	about, _, _ := m.Triangle(0)
	accs := make([]*mesh.Accumulator, (m.Len()+run-1)/run)
	var wg sync.WaitGroup
	workers := min(runtime.GOMAXPROCS(0), len(accs))
	for w := range workers {
		wg.Go(func() {
			for k := w; k < len(accs) && ctx.Err() == nil; k += workers {
				accs[k] = mesh.NewAccumulator(about)
				for t := k * run; t < min(m.Len(), (k+1)*run); t++ {
					accs[k].Add(m.Triangle(t))
				}
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return mesh.Measures{}, err
	}
	for _, a := range accs[1:] {
		accs[0].Merge(a)
	}
	return accs[0].Measures(), nil
}

// claimedBox is the size of a node whose triangles cannot be read: that of the bounds that
// its accessors claim. For a skin, whose vertices each follow some joints, it holds what
// any of the joints would make of the bounds: in the pose of binding that is the same.
func (s *store) claimedBox(ctx context.Context, node int, worlds []affine) (geom.Box, error) {
	f := s.f
	n := &f.doc.nodes[node]
	poses := []affine{worlds[node]}
	if n.instanced {
		for _, a := range n.instances {
			if a >= 0 && !f.readable(a) {
				return geom.Box{}, f.fault(fault.NoSurface, n.v, "its instances are compressed")
			}
		}
	}
	switch moves, err := s.instances(ctx, n); {
	case err != nil:
		return geom.Box{}, err
	case n.instanced:
		poses = moves
		for i := range poses {
			poses[i] = worlds[node].times(moves[i])
		}
	}
	if n.skin >= 0 {
		if i := f.doc.skins[n.skin].inverse; i >= 0 && !f.readable(i) {
			return geom.Box{}, f.fault(fault.NoSurface, n.v, "its inverse bind matrices are compressed")
		}
		joints, err := s.joints(ctx, n.skin, worlds)
		if err != nil {
			return geom.Box{}, err
		}
		poses = joints
	}
	box := geom.EmptyBox()
	for _, p := range f.doc.meshes[n.mesh].primitives {
		if p.mode < modeTriangles || p.position < 0 {
			continue
		}
		a := &f.doc.accessors[p.position]
		if a.dims != 3 || len(a.min) != 3 || len(a.max) != 3 {
			return box, f.fault(fault.NoSurface, a.v, "has no min and max")
		}
		for _, pose := range poses {
			for corner := range 8 {
				var v geom.Vec
				for axis := range v {
					v[axis] = a.min[axis]
					if corner>>axis&1 == 1 {
						v[axis] = a.max[axis]
					}
					v[axis] = a.range1(v[axis])
				}
				box = box.Add(pose.apply(v))
			}
		}
	}
	if !box.Min.Finite() || !box.Max.Finite() {
		return box, f.fault(fault.BadNumber, n.v, "its size is not a finite number")
	}
	return box, nil
}

// range1 brings a stored value to its range if the accessor is normalized.
func (a *accessor) range1(x float64) float64 {
	if !a.normalized {
		return x
	}
	switch a.comp {
	case int8Comp:
		return max(x/math.MaxInt8, -1)
	case uint8Comp:
		return x / math.MaxUint8
	case int16Comp:
		return max(x/math.MaxInt16, -1)
	case uint16Comp:
		return x / math.MaxUint16
	}
	return x
}
