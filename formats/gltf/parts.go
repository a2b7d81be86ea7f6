package gltf

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// An allowance is how much a small file may ask for: it can ask for more than any machine
// could do in a day. A file that really holds more is not bound.
type allowance struct {
	// elements is what all parts together may read of one mesh again and again, and the
	// triangles that they show.
	elements int64
	// instances is how many triangles the instances of one node may make beyond the bytes
	// of the file.
	instances int64
	// zeros is how many elements may be there without bytes: accessors without a view are
	// all zero, and hold nothing but a claim.
	zeros int64
}

func usualAllowance() allowance { return allowance{1 << 28, 1 << 23, 1 << 20} }

// A partPlace says which node is a part.
type partPlace struct {
	node      int
	triangles int64
	elements  int64 // to be read for it
}

// measure finds the parts and measures them.
func (f *File) measure(ctx context.Context, report func(float64)) error {
	all, err := f.findParts()
	if err != nil {
		return err
	}
	f.worlds = f.doc.worlds()
	s := f.store()
	defer s.close()
	s.progress = share(report, all)
	f.parts = make([]mesh.Part, len(f.places))
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
			m, err := s.build(ctx, p)
			if err != nil {
				return err
			}
			if part.Measures, err = measures(ctx, m); err != nil {
				return err
			}
		} else {
			if part.Box, err = s.claimedBox(ctx, p.node); err != nil {
				return err
			}
			part.Triangles, part.Centroid = int(p.triangles), part.Box.Centre()
			f.note(fault.Compressed, part.Name)
		}
		if part.Box.Size() == (geom.Vec{}) {
			f.note(fault.ZeroSize, part.Name)
		}
	}
	return nil
}

// share makes a report out of how many elements of all were read. The rest of the work is
// done once they are.
func share(report func(float64), all int64) func(int64) {
	done := int64(0)
	return func(n int64) {
		done += n
		report(0.9 * min(1, float64(done)/float64(max(1, all))))
	}
}

// A census counts what a mesh shows.
type census struct {
	triangles, vertices int64
	elements            int64 // to be read
	skipped             int   // primitives of points or lines
}

func (f *File) census(m *meshDef) (census, error) {
	var c census
	for k := range m.primitives {
		p := &m.primitives[k]
		c.elements++
		if p.mode < modeTriangles || p.position < 0 {
			c.skipped++
			continue
		}
		count := f.doc.triangles(p)
		if count == 0 {
			continue
		}
		c.triangles += count
		for _, list := range [][]int{{p.position, p.indices}, p.joints, p.weights, p.targets} {
			for _, a := range list {
				if a >= 0 {
					c.elements += f.doc.accessors[a].count
				}
			}
		}
		c.vertices += f.doc.accessors[p.position].count
		// Within one mesh, no more can be real than the file has bytes.
		if c.triangles > f.limit || c.vertices > f.limit {
			return c, f.fault(fault.BadRange, p.v, "claims more than the file has bytes")
		}
	}
	return c, nil
}

// findParts lists the nodes that show triangles, and counts the elements to be read.
func (f *File) findParts() (all int64, err error) {
	counted := map[int]census{} // by mesh
	skipped, triangles := 0, int64(0)
	most := max(f.limit, f.most.elements)
	f.doc.walk(f.doc.shown(), func(i int) {
		n := &f.doc.nodes[i]
		if n.mesh < 0 || err != nil {
			return
		}
		c, ok := counted[n.mesh]
		if !ok {
			if c, err = f.census(&f.doc.meshes[n.mesh]); err != nil {
				return
			}
			counted[n.mesh] = c
			skipped += c.skipped
		}
		all += c.elements
		primitives := int64(1 + len(f.doc.meshes[n.mesh].primitives))
		if n.skin >= 0 {
			k := &f.doc.skins[n.skin]
			all += int64(len(k.joints)) * primitives
			if k.inverse >= 0 {
				all += f.doc.accessors[k.inverse].count
			}
		}
		if n.instanced && c.triangles > 0 {
			if n.instanceSize > (f.limit+f.most.instances)/max(c.triangles, c.vertices) {
				err = f.fault(fault.Unsupported, n.v, fmt.Sprintf("%d instances of %d triangles", n.instanceSize, c.triangles))
				return
			}
			c.triangles *= n.instanceSize
			all += n.instanceSize * primitives
		}
		if triangles += c.triangles; triangles > most || all > most {
			err = f.fault(fault.Unsupported, n.v, fmt.Sprintf("more than %d triangles or vertices in all", most))
			return
		}
		if c.triangles > 0 {
			f.places = append(f.places, partPlace{node: i, triangles: c.triangles, elements: c.elements})
		}
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

// partName is a node's name, or its mesh's, or one made of the file's.
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
		for _, a := range slices.Concat([]int{p.position, p.indices}, p.joints, p.weights, p.targets) {
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
	if report == nil {
		report = func(float64) {}
	}
	s := f.store()
	defer s.close()
	s.progress = share(report, f.places[i].elements)
	m, err := s.build(ctx, &f.places[i])
	if err != nil {
		return nil, err
	}
	m.Name = f.parts[i].Name
	report(1)
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
func (s *store) claimedBox(ctx context.Context, node int) (geom.Box, error) {
	f := s.f
	n := &f.doc.nodes[node]
	poses := []affine{f.worlds[node]}
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
			poses[i] = f.worlds[node].times(moves[i])
		}
	}
	if n.skin >= 0 {
		if i := f.doc.skins[n.skin].inverse; i >= 0 && !f.readable(i) {
			return geom.Box{}, f.fault(fault.NoSurface, n.v, "its inverse bind matrices are compressed")
		}
		joints, err := s.joints(ctx, n.skin)
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
					v[axis] = a.dequantized(v[axis])
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
