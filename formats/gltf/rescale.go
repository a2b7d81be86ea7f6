package gltf

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"net/url"
	"path"
	"slices"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// Rescale writes a copy in which every length is multiplied by factor and nothing else
// differs. Lengths that are float32 are multiplied in float64 and rounded once; numbers in
// the document are written with the fewest digits that read back. Factor 1 gives the same
// bytes. Where the numbers cannot take the factor, every root node becomes the child of an
// added node that scales it (see Notes); only what no node scales is multiplied then. A pose
// is always such a node: nothing below it is touched. The tag stands in asset.extras, as the
// member "scantling".
//
// Side files that change are named after the copy where its name differs from the
// source's, so that copies at several factors can lie in one folder; all others are
// carried along. Memory does not grow with buffers, but for those in data URIs.
func (f *File) Rescale(ctx context.Context, to deliver.Sink, name string, c deliver.Change, report func(float64)) error {
	if err := source.CheckChange(f.path, f.parts, c); err != nil {
		return err
	}
	r := rescaling{File: f, ctx: ctx, to: to, name: name, factor: c.Factor, tag: c.Tag, report: report, all: f.stamp.Bytes}
	if c.Pose.Known() {
		r.pose = c.Pose.Then(geom.Upright(geom.Y).Inverse())
	}
	for _, b := range f.blobs {
		if b.side.name != "" {
			r.all += b.at.bytes
		}
	}
	if err := r.run(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return err
	}
	if report != nil {
		report(1)
	}
	return nil
}

// A rescaling is one copy being written.
type rescaling struct {
	*File
	ctx       context.Context
	to        deliver.Sink
	name      string
	factor    float64
	pose      geom.Pose // with y up
	tag       string
	report    func(float64)
	done, all int64
	edits     edits
}

func (r *rescaling) progress(n int) {
	r.done += int64(n)
	if r.report != nil {
		r.report(min(1, float64(r.done)/float64(max(1, r.all))))
	}
}

func (r *rescaling) run() error {
	if r.factor != 1 {
		if err := r.editNumbers(); err != nil {
			return err
		}
	}
	if r.factor != 1 && r.plan.byRoot || r.pose.Moves() {
		r.editRoots()
	}
	if r.factor != 1 || r.pose.Moves() {
		r.editTag(r.tag)
	}
	if err := r.writeSides(); err != nil {
		return err
	}
	for _, s := range r.images {
		if err := r.to.Carry(r.beside(s.name), s.path); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
	}
	r.edits.sort()
	w, err := r.to.Create(r.name)
	if err != nil {
		return err
	}
	if r.box.binary {
		err = r.writeContainer(w)
	} else {
		err = r.writeText(w)
	}
	return errors.Join(err, w.Close())
}

// beside is the place of a side file in the copy's folder.
func (r *rescaling) beside(name string) string { return path.Join(path.Dir(r.name), name) }

// changes reports whether a blob of the copy differs from the source's.
func (r *rescaling) changes(b int) bool {
	return r.factor != 1 && len(r.plan.lattices[b])+len(r.plan.shared[b]) > 0
}

func (r *rescaling) patcher(b int) *patcher {
	return newPatcher(r.plan.lattices[b], r.plan.shared[b], r.factor)
}

// editNumbers multiplies the lengths in the document.
func (r *rescaling) editNumbers() error {
	for _, l := range r.plan.numbers {
		v := value{r.doc.json, l.token}
		x, err := v.number()
		if err != nil {
			return r.fault(fault.BadNumber, v, "not a finite number")
		}
		size := 64
		if l.single {
			size = 32
			x = float64(float32(x))
		}
		y := x * r.factor
		if l.single {
			y = float64(float32(y))
		}
		if math.IsInf(y, 0) {
			return r.fault(fault.TooLarge, v, fmt.Sprintf("%s at factor %v", v.raw(), r.factor))
		}
		if y != x {
			r.edits.replace(v, appendNumber(nil, y, size))
		}
	}
	return nil
}

// editRoots adds nodes that scale or pose all others. Roots that are in the same scenes have one
// added node in common, so that none has two parents. A root that only shows a skinned
// mesh stays where it is: its joints have the scale, and its own place does not count.
func (r *rescaling) editRoots() {
	scenes := make(map[int][]int) // those of each root
	for i, s := range r.doc.scenes {
		for _, root := range s.roots {
			scenes[root] = append(scenes[root], i)
		}
	}
	items := r.doc.json.root().get("nodes").items()
	over := make(map[int]int)     // the added node over a root, or the root itself
	added := make(map[string]int) // by the scenes that it is in
	var children [][]int
	for _, root := range r.doc.rootNodes() {
		if r.followsJoints(root) {
			over[root] = root
			continue
		}
		same := fmt.Sprint(scenes[root])
		k, ok := added[same]
		if !ok {
			k = len(children)
			added[same] = k
			children = append(children, nil)
		}
		children[k] = append(children[k], root)
		over[root] = len(items) + k
	}
	changes := r.rootChanges()
	var nodes []byte
	for level, change := range changes {
		for k, list := range children {
			if level+1 < len(changes) {
				list = []int{len(items) + (level+1)*len(children) + k}
			}
			nodes = append(nodes, `,{"name":`...)
			nodes = append(nodes, quote(change.name)...)
			nodes = append(nodes, `,"children":`...)
			nodes = appendList(nodes, list)
			nodes = append(nodes, change.members...)
			nodes = append(nodes, '}')
		}
	}
	r.edits.insert(items[len(items)-1], nodes)

	for _, s := range r.doc.scenes {
		var list []int
		seen := make(map[int]bool)
		for _, root := range s.roots {
			if k := over[root]; !seen[k] {
				seen[k] = true
				list = append(list, k)
			}
		}
		if len(list) > 0 {
			r.edits.replace(s.v.get("nodes"), appendList(nil, list))
		}
	}
}

// A rootChange is what an added node does, and its name.
type rootChange struct {
	name    string
	members []byte
}

// rootChanges are what the added nodes do, the outermost first. A pose is written as a matrix:
// in quaternions quarter turns would not be exact. What stretches after it has a node of its
// own, since a matrix must be a scale, then a turn, then a shift (glTF 2.0, section 3.5.3).
func (r *rescaling) rootChanges() []rootChange {
	scale := 1.0
	if r.plan.byRoot {
		scale = r.factor
	}
	if !r.pose.Moves() {
		return []rootChange{{"Scale", appendNumbers([]byte(`,"scale":`), scale, scale, scale)}}
	}
	pose := r.pose
	var changes []rootChange
	if by := pose.Stretch(); by != (geom.Vec{1, 1, 1}) {
		members := appendNumbers([]byte(`,"scale":`), by[:]...)
		changes = append(changes, rootChange{"Correction", members})
		pose = pose.Stretched(geom.Vec{1 / by[0], 1 / by[1], 1 / by[2]})
	}
	var m [16]float64
	for row, from := range pose.Rows {
		for column, x := range from {
			m[4*column+row] = x * scale
		}
		m[12+row] = pose.Shift[row]
	}
	m[15] = 1
	return append(changes, rootChange{"Pose", appendNumbers([]byte(`,"matrix":`), m[:]...)})
}

// followsJoints reports whether a node shows nothing but a mesh that joints pose.
func (f *File) followsJoints(node int) bool {
	n := &f.doc.nodes[node]
	if n.skin < 0 || n.mesh < 0 || n.instanced || len(n.children) > 0 || n.v.get("camera").kind() != kindNone ||
		n.v.at("extensions", "KHR_lights_punctual").kind() != kindNone {
		return false
	}
	for _, p := range f.doc.meshes[n.mesh].primitives {
		if len(p.joints) == 0 {
			return false
		}
	}
	for _, s := range f.doc.skins {
		if slices.Contains(s.joints, node) {
			return false
		}
	}
	return true
}

// writeSides writes the side files that change, carries those that do not, and puts what
// has changed in data URIs into the document.
func (r *rescaling) writeSides() error {
	names := r.sideNames()
	for i := range r.blobs {
		b := &r.blobs[i]
		switch {
		case b.data.kind() != kindNone && r.changes(i):
			if err := r.editData(i); err != nil {
				return err
			}
		case b.side.name != "" && r.changes(i):
			w, err := r.to.Create(r.beside(names[i]))
			if err != nil {
				return err
			}
			s := stream{rescaling: r, w: w, path: b.side.path}
			err = s.copy(b.stamp, b.at, r.patcher(i))
			if err := errors.Join(err, w.Close()); err != nil {
				return err
			}
		case b.side.name != "":
			s := stream{rescaling: r, w: io.Discard, path: b.side.path}
			if err := s.copy(b.stamp, b.at, nil); err != nil {
				return err
			}
			if err := r.to.Carry(r.beside(b.side.name), b.side.path); err != nil {
				return fmt.Errorf("%s: %w", b.side.name, err)
			}
		}
	}
	return nil
}

// sideNames are the names of side files in the copy, by blob, and puts those that differ
// into the document.
func (r *rescaling) sideNames() []string {
	from, to := source.Stem(r.path), source.Stem(path.Base(r.name))
	names := make([]string, len(r.blobs))
	taken := map[string]bool{}
	for i, b := range r.blobs {
		if names[i] = b.side.name; from == to || !r.changes(i) {
			taken[names[i]] = true
		}
	}
	for _, s := range r.images {
		taken[s.name] = true
	}
	for i, b := range r.blobs {
		if b.side.name == "" || from == to || !r.changes(i) {
			continue
		}
		folder, base := path.Split(b.side.name)
		if rest, ok := strings.CutPrefix(base, from); ok {
			base = rest
		} else {
			base = "-" + base
		}
		for n := 1; ; n++ {
			names[i] = folder + to + base
			if n > 1 {
				names[i] = fmt.Sprintf("%s%s-%d%s", folder, to, n, base)
			}
			if !taken[names[i]] {
				break
			}
		}
		taken[names[i]] = true
		uri := quote((&url.URL{Path: names[i]}).String())
		for _, buffer := range r.doc.buffers {
			if buffer.blob == i {
				r.edits.replace(buffer.uri, uri)
			}
		}
	}
	return names
}

// editData multiplies the lengths in a data URI.
func (r *rescaling) editData(b int) error {
	uri := r.blobs[b].data
	head, body, _ := splitData(uri.str())
	data, err := decodeData(uri)
	if err != nil {
		return r.fault(fault.Syntax, uri, err.Error())
	}
	p := r.patcher(b)
	for at := 0; at < len(data); at += piece {
		if code := p.patch(data[at:min(len(data), at+piece)], int64(at)); code != "" {
			return r.fault(code, r.blobs[b].data, fmt.Sprintf("at factor %v", r.factor))
		}
	}
	text := bytes.TrimSuffix(quote(head), []byte(`"`)) // it was read with its escapes resolved
	text = encodingOf(body).AppendEncode(text, data)
	r.edits.replace(uri, append(text, '"'))
	return nil
}

// writeText writes the document, once the source is proved to be what was opened.
func (r *rescaling) writeText(w io.Writer) error {
	s := stream{rescaling: r, w: io.Discard, path: r.path}
	if err := s.copy(r.stamp, section{}, nil); err != nil {
		return err
	}
	return r.edits.write(w, r.doc.json.text)
}

// writeContainer writes the document and streams the rest.
func (r *rescaling) writeContainer(w io.Writer) error {
	s := stream{rescaling: r, w: w, path: r.path}
	var p *patcher
	if r.box.bin.bytes > 0 && r.changes(0) {
		p = r.patcher(0) // the binary chunk is the first blob
	}
	if len(r.edits) == 0 {
		return s.copy(r.stamp, r.box.bin, p)
	}
	var text strings.Builder
	if err := r.edits.write(&text, r.doc.json.text); err != nil {
		return err
	}
	chunk := strings.TrimRight(text.String(), " ")
	chunk += strings.Repeat(" ", (4-len(chunk)%4)%4)
	total := r.box.end - r.box.json.bytes + int64(len(chunk))
	if total > math.MaxUint32 {
		return &fault.Error{File: r.path, Code: fault.TooLarge, Byte: -1, Detail: "more than a binary glTF can hold"}
	}
	head := []byte(glbMagic)
	for _, x := range []uint32{2, uint32(total), uint32(len(chunk)), chunkJSON} {
		head = binary.LittleEndian.AppendUint32(head, x)
	}
	if _, err := w.Write(append(head, chunk...)); err != nil {
		return err
	}
	s.skip = r.box.json.end()
	return s.copy(r.stamp, r.box.bin, p)
}
