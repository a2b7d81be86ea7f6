package statetest

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/formats"
)

// A Disk is a disk in memory that holds models without any bytes. It may be used from
// several goroutines.
type Disk struct {
	mu     sync.Mutex
	models map[string]*Model
	kits   map[string]kit.Kit
	saves  map[string]int // of each kit
	own    kit.Printers
	ways   kit.Processes
	copies map[string]deliver.Copy // saved so far, by path
	opened map[string]int

	// Gate, when not nil, is waited for before each file is opened and each copy is
	// saved: a test sends to it, or closes it, to let work go on. A worker whose context
	// ends stops waiting.
	Gate chan struct{}
	// SaveErr, when not nil, fails the copy of that name.
	SaveErr map[string]error
}

// A Model is a file of boxes on a Disk.
type Model struct {
	path   string
	boxes  []geom.Box
	names  []string
	up     geom.Axis
	digest string
	err    error
	broken bool
}

// NewDisk is an empty disk.
func NewDisk() *Disk {
	return &Disk{models: map[string]*Model{}, kits: map[string]kit.Kit{}, saves: map[string]int{}, copies: map[string]deliver.Copy{},
		opened: map[string]int{}, SaveErr: map[string]error{}}
}

// digestOf is what no other content has on any of the test's disks: what is kept of surveys goes by
// it.
func digestOf(path string, boxes []geom.Box) string {
	h := fnv.New64a()
	fmt.Fprint(h, path, boxes)
	return fmt.Sprintf("xxh64:%016x", h.Sum64())
}

// Box puts a file on the disk that holds one box, in millimetres, from the origin.
func (d *Disk) Box(path string, size geom.Vec) *Model {
	return d.Boxes(path, geom.Box{Max: size})
}

// Boxes puts a file on the disk that holds several boxes, each a part.
func (d *Disk) Boxes(path string, boxes ...geom.Box) *Model {
	d.mu.Lock()
	defer d.mu.Unlock()
	m := &Model{path: path, boxes: boxes, up: geom.Z, digest: digestOf(path, boxes)}
	for i := range boxes {
		name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
		if i > 0 {
			name += fmt.Sprint(" ", i+1)
		}
		m.names = append(m.names, name)
	}
	d.models[path] = m
	return m
}

// Bad puts a file on the disk that cannot be opened.
func (d *Disk) Bad(path string, err error) { d.Box(path, geom.Vec{}).err = err }

// Panics puts a file on the disk that breaks its reader.
func (d *Disk) Panics(path string) { d.Box(path, geom.Vec{}).broken = true }

// Up sets which axis points up in the file.
func (m *Model) Up(a geom.Axis) *Model { m.up = a; return m }

// Opened is how often a file was opened.
func (d *Disk) Opened(path string) int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.opened[path]
}

// Saved are the copies by their path.
func (d *Disk) Saved() map[string]deliver.Copy {
	d.mu.Lock()
	defer d.mu.Unlock()
	out := map[string]deliver.Copy{}
	for path, c := range d.copies {
		out[path] = c
	}
	return out
}

func (d *Disk) wait(ctx context.Context) error {
	if d.Gate == nil {
		return ctx.Err()
	}
	select {
	case <-d.Gate:
		return ctx.Err()
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Models finds the files below a path, or the path itself.
func (d *Disk) Models(ctx context.Context, path string) ([]string, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.models[path] != nil {
		return []string{path}, nil
	}
	var found []string
	for p := range d.models {
		if strings.HasPrefix(p, path+string(filepath.Separator)) {
			found = append(found, p)
		}
	}
	slices.Sort(found)
	switch {
	case len(found) > 0:
		return found, ctx.Err()
	case filepath.Ext(path) == "":
		return nil, &state.PathError{Path: path, Err: state.ErrNoModels}
	}
	return []string{path}, nil
}

// Open opens a model.
func (d *Disk) Open(ctx context.Context, path string, report func(float64)) (formats.File, error) {
	if err := d.wait(ctx); err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.opened[path]++
	m := d.models[path]
	switch {
	case m == nil:
		return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
	case m.broken:
		panic("a reader breaks on " + path)
	case m.err != nil:
		return nil, m.err
	}
	if report != nil {
		report(1)
	}
	return m, nil
}

// Stat finds models, kits and copies.
func (d *Disk) Stat(ctx context.Context, path string) (fs.FileInfo, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	_, known := d.kits[path]
	if _, copied := d.copies[path]; copied {
		known = true
	}
	for p := range d.models {
		known = known || p == path || filepath.Dir(p) == path
	}
	if !known {
		return nil, &fs.PathError{Op: "stat", Path: path, Err: fs.ErrNotExist}
	}
	return nil, ctx.Err()
}

// Sum sums up a model or a copy: its SHA-256 is its digest, for there are no bytes.
func (d *Disk) Sum(ctx context.Context, path string) (formats.Sum, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	m := d.models[path]
	if m == nil {
		return formats.Sum{}, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
	}
	return formats.Sum{Bytes: m.Bytes(), Digest: m.digest, SHA256: m.digest}, ctx.Err()
}

// Find finds models by digest and by name, anywhere on the disk.
func (d *Disk) Find(ctx context.Context, wanted []state.Wanted, places []state.Place) ([]state.Found, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	out := make([]state.Found, len(wanted))
	for _, path := range slices.Sorted(maps.Keys(d.models)) {
		for i, w := range wanted {
			same := d.models[path].digest == w.Digest
			if same || !out[i].Same && filepath.Base(path) == filepath.Base(w.Path) {
				out[i] = state.Found{Path: path, Same: same}
			}
		}
	}
	return out, ctx.Err()
}

// Move moves a model.
func (d *Disk) Move(from, to string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if m := d.models[from]; m != nil {
		delete(d.models, from)
		moved := *m // what was opened still says where it was
		moved.path = to
		d.models[to] = &moved
	}
}

// Plan finds which names are taken.
func (d *Disk) Plan(copies []deliver.Copy, folder string) []deliver.Planned {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []deliver.Planned
	for _, c := range copies {
		path := filepath.Join(folder, filepath.FromSlash(c.Folder), c.Name)
		_, exists := d.copies[path]
		out = append(out, deliver.Planned{Path: path, Exists: exists, Unchanged: exists && c.Known.Known() && c.Known.Recipe == recipe(c)})
	}
	return out
}

// Save keeps the copies.
func (d *Disk) Save(ctx context.Context, copies []deliver.Copy, o deliver.Options, report func(deliver.Progress)) ([]deliver.Outcome, error) {
	var out []deliver.Outcome
	for i, c := range copies {
		report(deliver.Progress{Copy: i, Copies: len(copies), Done: int64(i), All: int64(len(copies)), CopiesDone: i})
		err := d.wait(ctx)
		d.mu.Lock()
		path := filepath.Join(o.Folder, filepath.FromSlash(c.Folder), c.Name)
		_, exists := d.copies[path]
		if exists && err == nil && c.Known.Known() && c.Known.Recipe == recipe(c) {
			d.mu.Unlock()
			out = append(out, deliver.Outcome{Copy: c, Path: path, Unchanged: true, Record: c.Known})
			continue
		}
		err = cmp.Or(err, d.SaveErr[c.Name])
		if err == nil && exists && !o.Overwrite {
			err = &deliver.Error{Code: deliver.Exists, Path: path}
		}
		if err == nil {
			d.copies[path] = c
		}
		d.mu.Unlock()
		if err != nil {
			path = ""
		}
		done := deliver.Outcome{Copy: c, Path: path, Verified: err == nil && o.Verify != nil, Err: err}
		if source, ok := c.Source.(interface{ Digest() string }); ok && err == nil {
			done.Record = deliver.Record{Source: source.Digest(), Recipe: recipe(c), Files: []deliver.Written{{Path: path}}}
		}
		out = append(out, done)
	}
	return out, nil
}

// recipe tells copies apart by all that makes them.
func recipe(c deliver.Copy) string {
	return fmt.Sprint(c.Source.Path(), c.Source.Extension(), c.Factor, c.Pose, c.Correction, c.Tag)
}

// LoadKit gives a kit that was saved here.
func (d *Disk) LoadKit(path string) (kit.Kit, kit.Stamp, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	k, ok := d.kits[path]
	if !ok {
		return k, "", &kit.Error{File: path, Code: kit.Unreadable, Err: fs.ErrNotExist}
	}
	return k, d.stamp(path), nil
}

// SaveKit keeps a kit.
func (d *Disk) SaveKit(path string, k kit.Kit, over kit.Stamp) (kit.Stamp, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.SaveErr[filepath.Base(path)]; err != nil {
		return "", err
	}
	if _, there := d.kits[path]; there && over != "" && over != d.stamp(path) {
		return "", &kit.Error{File: path, Code: kit.Overtaken}
	}
	d.kits[path] = k
	d.saves[path]++
	return d.stamp(path), nil
}

// Kit is the kit that was saved last under a path.
func (d *Disk) Kit(path string) (kit.Kit, error) {
	k, _, err := d.LoadKit(path)
	return k, err
}

// PutKit keeps a kit as another window does.
func (d *Disk) PutKit(path string, k kit.Kit) error {
	_, err := d.SaveKit(path, k, "")
	return err
}

// stamp is another one after each save.
func (d *Disk) stamp(path string) kit.Stamp {
	return kit.Stamp(fmt.Sprint(path, " ", d.saves[path]))
}

// Printers keeps printers; SaveErr for "printers" fails it.
func (d *Disk) Printers(change func(kit.Printers) (kit.Printers, error)) (kit.Printers, error) {
	return keep(d, "printers", &d.own, change)
}

// Processes keeps processes; SaveErr for "processes" fails it.
func (d *Disk) Processes(change func(kit.Processes) (kit.Processes, error)) (kit.Processes, error) {
	return keep(d, "processes", &d.ways, change)
}

func keep[T any](d *Disk, name string, own *T, change func(T) (T, error)) (T, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.SaveErr[name]; err != nil {
		return *new(T), err
	}
	if change == nil {
		return *own, nil
	}
	all, err := change(*own)
	if err == nil {
		*own = all
	}
	return all, err
}

// Path is where the model lies.
func (m *Model) Path() string { return m.path }

// Extension is that of its copies.
func (m *Model) Extension() string { return ".stl" }

// Format is "stl".
func (m *Model) Format() string { return "stl" }

// Encoding is "binary".
func (m *Model) Encoding() string { return "binary" }

// Bytes is what a binary file of its boxes would take.
func (m *Model) Bytes() int64 { return int64(84 + 50*12*len(m.boxes)) }

// Digest is unlike that of any other model of the disk.
func (m *Model) Digest() string { return m.digest }

// Notes are none.
func (m *Model) Notes() []formats.Note { return nil }

// Companions are none.
func (m *Model) Companions() []string { return nil }

// Parts are the boxes.
func (m *Model) Parts() []mesh.Part {
	var parts []mesh.Part
	for i := range m.boxes {
		parts = append(parts, mesh.Part{Name: m.names[i], Measures: mesh.MeasuresOf(m.mesh(i)),
			Unit: mesh.Unit{Name: "mm", MM: 1}, Up: m.up, Surface: true})
	}
	return parts
}

// Rescale is not done: Disk.Save keeps what it was asked to do.
func (m *Model) Rescale(context.Context, deliver.Sink, string, deliver.Change, func(float64)) error {
	return errors.ErrUnsupported
}

// Mesh is a closed box.
func (m *Model) Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	if report != nil {
		report(1)
	}
	return m.mesh(i), ctx.Err()
}

func (m *Model) mesh(i int) *mesh.Mesh {
	b := m.boxes[i]
	var vertices [][3]float32
	for k := range 8 {
		var v [3]float32
		for axis := range v {
			v[axis] = float32(b.Min[axis])
			if k>>axis&1 == 1 {
				v[axis] = float32(b.Max[axis])
			}
		}
		vertices = append(vertices, v)
	}
	triangles := [][3]uint32{
		{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, // below, above
		{0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, // front, back
		{0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}, // left, right
	}
	out, err := mesh.New(m.names[i], geom.Vec{}, vertices, triangles)
	if err != nil {
		panic(err) // the box is ours
	}
	return out
}

var (
	_ state.Disk   = (*Disk)(nil)
	_ formats.File = (*Model)(nil)
)
