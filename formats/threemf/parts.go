package threemf

import (
	"context"
	"fmt"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

const (
	// mostPlaced is how many triangles or vertices all parts together may show: a small file
	// can ask for more than any machine could do in a day.
	mostPlaced = 1 << 28
	// A single part may show so many for each byte of the file, and so many beyond. No mesh
	// that the file really holds is larger.
	placedPerByte, morePlaced = 64, 1 << 23
)

// A count is what an object shows, with all that it is composed of.
type count struct {
	known     bool
	triangles int64
	vertices  int64
	meshes    int64
	supports  int64
}

func (c *count) add(d count) {
	const most = math.MaxInt64 / 4 // sums stay below what int64 holds
	c.triangles = min(most, c.triangles+d.triangles)
	c.vertices = min(most, c.vertices+d.vertices)
	c.meshes = min(most, c.meshes+d.meshes)
	c.supports = min(most, c.supports+d.supports)
}

// A place is where the meshes of a part come from.
type place struct {
	item   component
	object *object
}

// A placing is one mesh in its place.
type placing struct {
	object *object
	at     transform
}

// findParts makes a part of each item that shows triangles.
func (f *File) findParts(a *archive, known map[string]*model) error {
	r := resolver{file: f, archive: a, known: known}
	root := f.models[0]
	var all count
	empty := 0
	for _, item := range f.items {
		o, err := r.find(root, item)
		if err != nil {
			return err
		}
		c, err := r.count(o, item, 0)
		if err != nil {
			return err
		}
		all.add(c)
		if c.triangles == 0 {
			empty++
			continue
		}
		most := a.size*placedPerByte + morePlaced
		if c.triangles > most || c.vertices > most || all.triangles > mostPlaced || all.vertices > mostPlaced || all.meshes > mostObjects {
			return r.bad(root, item, fault.Overfull, fmt.Sprintf("%d triangles in %d meshes", all.triangles, all.meshes))
		}
		f.places = append(f.places, place{item, o})
	}
	if empty > 0 {
		f.note(fault.SkippedParts, fmt.Sprintf("%d items without triangles", empty))
	}
	if all.supports > 0 {
		f.note(fault.SkippedParts, fmt.Sprintf("%d supports", all.supports))
	}
	if len(f.places) == 0 {
		return a.fault(fault.NoTriangles, "")
	}
	return nil
}

// A resolver follows references between objects.
type resolver struct {
	file    *File
	archive *archive
	known   map[string]*model
}

func (r *resolver) bad(in *model, c component, code fault.Code, detail string) error {
	return &fault.Error{File: r.file.path, Code: code, Byte: -1, Line: r.archive.line(in.name, c.at), Detail: clip(in.name) + ": " + detail}
}

// find is the object that c refers to from a model.
func (r *resolver) find(in *model, c component) (*object, error) {
	m := in
	if c.path != "" {
		m = r.known[partName(c.path)] // all were read
	}
	o := m.byID[c.id]
	if o == nil {
		return nil, r.bad(in, c, fault.BadIndex, fmt.Sprintf("no object %d", c.id))
	}
	if m.unit != r.file.models[0].unit {
		return nil, r.bad(in, c, fault.Unsupported, "models in different units")
	}
	return o, nil
}

// count is what an object shows, to which c refers.
func (r *resolver) count(o *object, c component, depth int) (count, error) {
	if o.placed.known {
		return o.placed, nil
	}
	if o.visiting {
		return count{}, r.bad(o.model, c, fault.Cycle, fmt.Sprintf("object %d", o.id))
	}
	if depth == deepest {
		return count{}, r.bad(o.model, c, fault.Overfull, fmt.Sprintf("components more than %d deep", deepest))
	}
	o.visiting = true
	n := count{known: true}
	switch {
	case o.support:
		n.supports = 1
	case o.triangles > 0:
		n.add(count{triangles: int64(o.triangles), vertices: int64(o.vertices), meshes: 1})
	}
	for _, c := range o.components {
		child, err := r.find(o.model, c)
		if err != nil {
			return count{}, err
		}
		below, err := r.count(child, c, depth+1)
		if err != nil {
			return count{}, err
		}
		n.add(below)
	}
	o.visiting = false
	o.placed = n
	return n, nil
}

// placings are all meshes of a part in their places, in the order in which they are defined
// and composed.
func (f *File) placings(p place) []placing {
	known := make(map[string]*model, len(f.models))
	for _, m := range f.models {
		known[partName(m.name)] = m
	}
	var list []placing
	var visit func(o *object, at transform)
	visit = func(o *object, at transform) {
		if o.placed.triangles == 0 {
			return
		}
		if o.triangles > 0 && !o.support {
			list = append(list, placing{o, at})
		}
		for _, c := range o.components {
			m := o.model
			if c.path != "" {
				m = known[partName(c.path)]
			}
			visit(m.byID[c.id], c.place.then(at))
		}
	}
	visit(p.object, p.item.place)
	return list
}

// measure measures the parts. Those that are one mesh, only moved, are measured already;
// the meshes of the others are read once more.
func (f *File) measure(ctx context.Context, a *archive, report func(float64)) error {
	f.parts = make([]mesh.Part, len(f.places))
	turned := map[*object][]share{}
	sums := map[int]*mesh.Accumulator{}
	for i, p := range f.places {
		f.parts[i] = mesh.Part{Name: f.partName(i), Unit: f.models[0].unit, Up: geom.Z, Surface: true}
		list := f.placings(p)
		if len(list) == 1 && list[0].at.shifts() {
			m := list[0].object.measures
			m.Box = moved(m.Box, list[0].at[3])
			m.Centroid = m.Centroid.Add(list[0].at[3])
			f.parts[i].Measures = m
			continue
		}
		for _, l := range list {
			turned[l.object] = append(turned[l.object], share{i, l.at})
		}
		sums[i] = nil
	}
	err := f.each(ctx, a, turned, report, func(s share, vertices []geom.Vec, triangles [][3]uint32) error {
		sum := sums[s.part]
		flip := s.at.mirrors()
		for k, t := range triangles {
			if k&0xffff == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			p, q, r := s.at.apply(vertices[t[0]]), s.at.apply(vertices[t[1]]), s.at.apply(vertices[t[2]])
			if flip {
				q, r = r, q
			}
			if sum == nil {
				sum = mesh.NewAccumulator(p)
				sums[s.part] = sum
			}
			sum.Add(p, q, r)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for i := range f.parts {
		p := &f.parts[i]
		if sum := sums[i]; sum != nil {
			p.Measures = sum.Measures()
		}
		if !p.Box.Min.Finite() || !p.Box.Max.Finite() {
			return a.fault(fault.BadNumber, p.Name+" is placed where coordinates are not finite numbers")
		}
		if p.Box.Size() == (geom.Vec{}) {
			f.note(fault.ZeroSize, p.Name)
		}
	}
	return nil
}

// partName is the name of part i: its object's, or that of the only thing which that is
// composed of, or one made of the file's.
func (f *File) partName(i int) string {
	for o := f.places[i].object; ; {
		if o.name != "" {
			return o.name
		}
		if len(o.components) != 1 || o.components[0].path != "" {
			break
		}
		o = o.model.byID[o.components[0].id]
	}
	if len(f.places) == 1 {
		return source.Stem(f.path)
	}
	return fmt.Sprintf("%s %d", source.Stem(f.path), i+1)
}

// A share is what a part has of a mesh.
type share struct {
	part int
	at   transform
}

// each reads the meshes of the wanted objects again, model by model, and shows each once
// for each of its shares: in the order of the models, the objects in them, and the shares.
// What it shows is valid until show returns.
func (f *File) each(ctx context.Context, a *archive, wanted map[*object][]share, report func(float64),
	show func(s share, vertices []geom.Vec, triangles [][3]uint32) error) error {
	left := map[*model]int{}
	for o := range wanted {
		left[o.model]++
	}
	models := len(left)
	done := 0
	for _, m := range f.models {
		if left[m] == 0 {
			continue
		}
		w := &walker{archive: a, model: &model{name: m.name, byID: map[uint32]*object{}}}
		var triangles [][3]uint32
		keep := func(c [3]uint32) error {
			triangles = append(triangles, c)
			return nil
		}
		w.met = func() error {
			if w.tag.kind == objectElement {
				triangles = triangles[:0]
				if w.triangle = nil; wanted[m.byID[w.object.id]] != nil {
					w.triangle = keep
				}
			}
			return nil
		}
		w.finished = func() error {
			o := m.byID[w.object.id]
			if wanted[o] == nil {
				return nil
			}
			if len(triangles) != o.triangles || len(w.vertices) != o.vertices {
				return f.changed()
			}
			left[m]--
			for _, s := range wanted[o] {
				if err := show(s, w.vertices, triangles); err != nil {
					return err
				}
			}
			return nil
		}
		err := w.walk(ctx, m.name, nil, func(part float64) { report((float64(done) + part) / float64(models)) },
			func() bool { return left[m] == 0 })
		if err != nil {
			return err
		}
		if left[m] > 0 {
			return f.changed()
		}
		done++
	}
	return nil
}

// Mesh reads the triangles of part i, with the vertices shared as the file shares them.
// Where the file's numbers are float32 and the part is one mesh that is only moved, it has
// just these, about the place to which it is moved; otherwise its vertices are rounded,
// relative to a point near the part. Memory: 36 bytes a vertex and 24 bytes a triangle.
func (f *File) Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	m, err := f.mesh(ctx, i, report)
	if ctx.Err() != nil && err != nil {
		return nil, ctx.Err()
	}
	return m, source.Fault(f.path, err)
}

func (f *File) mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	if report == nil {
		report = func(float64) {}
	}
	a, err := f.reopen()
	if err != nil {
		return nil, err
	}
	defer a.file.Close()
	list := f.placings(f.places[i])
	wanted := map[*object][]share{}
	for _, l := range list {
		wanted[l.object] = append(wanted[l.object], share{i, l.at})
	}
	origin := list[0].at[3]
	if f.wide {
		origin = f.parts[i].Box.Centre()
	}
	placed := f.places[i].object.placed
	vertices := make([][3]float32, 0, placed.vertices)
	triangles := make([][3]uint32, 0, placed.triangles)
	err = f.each(ctx, a, wanted, func(done float64) { report(0.95 * done) }, func(s share, points []geom.Vec, corners [][3]uint32) error {
		at := s.at
		at[3] = at[3].Sub(origin)
		number := make([]uint32, len(points))
		for _, t := range corners {
			for _, v := range t {
				number[v] = 1
			}
		}
		for k, p := range points {
			if number[k] == 0 { // only for beams, or for nothing
				continue
			}
			number[k] = uint32(len(vertices))
			if !at.shifts() {
				p = at.apply(p)
			} else if at[3] != (geom.Vec{}) {
				p = p.Add(at[3])
			}
			vertices = append(vertices, [3]float32{float32(p[0]), float32(p[1]), float32(p[2])})
		}
		flip := at.mirrors()
		for _, t := range corners {
			t = [3]uint32{number[t[0]], number[t[1]], number[t[2]]}
			if flip {
				t[1], t[2] = t[2], t[1]
			}
			triangles = append(triangles, t)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	m, err := mesh.New(f.parts[i].Name, origin, vertices, triangles)
	if err != nil { // a number that float32 cannot hold
		return nil, &fault.Error{File: f.path, Code: fault.TooLarge, Byte: -1, Err: err}
	}
	report(1)
	return m, nil
}
