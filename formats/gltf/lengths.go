package gltf

import (
	"fmt"
	"strings"
)

// A plan says where a file's lengths are, and so how it is rescaled: in its numbers, or
// through an added root node where these cannot take a factor.
type plan struct {
	byRoot  bool
	why     string // what cannot take a factor, if byRoot
	numbers []length
	// lattices are the lengths in each blob, by where they start; shared are those of
	// them that have numbers in common with others.
	lattices, shared [][]lattice
}

// A length is a number in the document.
type length struct {
	token  uint32
	single bool // it repeats what a float32 holds
}

// A use is what an accessor's numbers mean.
type use uint8

const (
	// localLength is in the units of a node: a root node scales it along.
	localLength use = 1 << iota
	// worldLength is not touched by the scale of nodes.
	worldLength
	// moving is a 4×4 matrix that moves by local lengths.
	moving
	// other is no length.
	other
)

// A lengthPath leads to numbers in the document that are lengths; * stands for every item.
type lengthPath struct {
	path string
	use  use
}

// lengthPaths are all places of lengths in the document but for the bounds of accessors.
// From glTF 2.0, sections 5.12 to 5.14 and 5.25, and from the texts of the extensions
// (KHR_lights_punctual: the scale of nodes does not affect range; KHR_materials_volume:
// thickness is in the space of the mesh, attenuation distance in that of the world).
//
// Left as they are: the intensity of lights (what a light gives is no length, though a
// scene half as large is then four times as bright), the film thickness of iridescence
// (nanometres of light), and whatever is in extensions and extras that are not listed.
func lengthPaths() []lengthPath {
	return []lengthPath{
		{"nodes/*/translation/*", localLength},
		{"nodes/*/matrix/12", localLength},
		{"nodes/*/matrix/13", localLength},
		{"nodes/*/matrix/14", localLength},
		{"materials/*/extensions/KHR_materials_volume/thicknessFactor", localLength},
		{"materials/*/extensions/KHR_materials_volume/attenuationDistance", worldLength},
		{"extensions/KHR_lights_punctual/lights/*/range", worldLength},
		{"cameras/*/orthographic/xmag", worldLength},
		{"cameras/*/orthographic/ymag", worldLength},
		{"cameras/*/orthographic/znear", worldLength},
		{"cameras/*/orthographic/zfar", worldLength},
		{"cameras/*/perspective/znear", worldLength},
		{"cameras/*/perspective/zfar", worldLength},
	}
}

// follow calls f for the values that a path leads to.
func (v value) follow(steps []string, f func(value)) {
	if len(steps) == 0 {
		f(v)
		return
	}
	if v.kind() == kindObject {
		if m := v.get(steps[0]); m.kind() != kindNone {
			m.follow(steps[1:], f)
		}
		return
	}
	for i, m := range v.items() {
		if steps[0] == "*" || steps[0] == fmt.Sprint(i) {
			m.follow(steps[1:], f)
		}
	}
}

// pointed is the use of what a pointer of KHR_animation_pointer leads to.
func pointed(pointer string) use {
	steps := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
	for _, p := range lengthPaths() {
		path := strings.Split(p.path, "/")
		match := len(path) == len(steps) || len(path) == len(steps)+1 && path[len(steps)] == "*"
		for i := 0; match && i < len(steps); i++ {
			match = path[i] == "*" || path[i] == steps[i]
		}
		if match {
			return p.use
		}
	}
	return other
}

// makePlan finds all lengths, and whether they can take a factor.
func (f *File) makePlan() *plan {
	uses := f.uses()
	p := &plan{}
	if p.why = f.place(p, uses, localLength|worldLength|moving); p.why != "" {
		p.byRoot = true
		// What no node scales still needs the factor, as far as it can take it.
		if f.place(p, uses, worldLength) != "" {
			p.lattices, p.shared = make([][]lattice, len(f.blobs)), make([][]lattice, len(f.blobs))
		}
	}
	wanted := worldLength
	if !p.byRoot {
		wanted |= localLength | moving
	}
	root := f.doc.json.root()
	for _, l := range lengthPaths() {
		if l.use&wanted != 0 {
			root.follow(strings.Split(l.path, "/"), func(v value) {
				if v.kind() == kindNumber {
					p.numbers = append(p.numbers, length{token: v.i})
				}
			})
		}
	}
	for i, u := range uses {
		if u&wanted == 0 || u&other != 0 {
			continue
		}
		for _, name := range []string{"min", "max"} {
			for k, v := range f.doc.accessors[i].v.get(name).items() {
				if u != moving || k >= 12 && k < 15 {
					p.numbers = append(p.numbers, length{token: v.i, single: true})
				}
			}
		}
	}
	return p
}

// uses is what each accessor means.
func (f *File) uses() []use {
	doc := f.doc
	uses := make([]use, len(doc.accessors))
	mark := func(v value, u use) {
		if i, err := v.number(); err == nil { // proved to be an index on reading
			if i >= 0 && i < float64(len(uses)) {
				uses[int(i)] |= u
			}
		}
	}
	attributes := func(v value, length string) {
		v.members(func(name, m value) {
			if name.is(length) {
				mark(m, localLength)
			} else {
				mark(m, other)
			}
		})
	}
	for _, m := range doc.json.root().get("meshes").items() {
		for _, p := range m.get("primitives").items() {
			attributes(p.get("attributes"), "POSITION")
			mark(p.get("indices"), other)
			for _, t := range p.get("targets").items() {
				attributes(t, "POSITION")
			}
		}
	}
	for i := range doc.nodes {
		attributes(doc.nodes[i].v.at("extensions", "EXT_mesh_gpu_instancing", "attributes"), "TRANSLATION")
	}
	for _, s := range doc.skins {
		if s.inverse >= 0 {
			uses[s.inverse] |= moving
		}
	}
	for _, a := range doc.animations {
		for _, s := range a.samplers {
			uses[s[0]] |= other
		}
		for _, c := range a.channels {
			if c.sampler < 0 {
				continue
			}
			u := other
			switch c.path {
			case "translation":
				u = localLength
			case "pointer":
				u = pointed(c.pointer)
			}
			uses[a.samplers[c.sampler][1]] |= u
		}
	}
	for i, u := range uses {
		if u == 0 {
			uses[i] = other // who knows
		}
	}
	return uses
}

// place finds the bytes of the accessors with the wanted uses. It says what cannot take a
// factor, or nothing.
func (f *File) place(p *plan, uses []use, wanted use) (why string) {
	doc := f.doc
	p.lattices, p.shared = make([][]lattice, len(f.blobs)), make([][]lattice, len(f.blobs))
	others := make([][]lattice, len(f.blobs))
	inUse := make([]bool, len(doc.views)) // by accessors

	// put adds what lies in a view, and reports whether that is anywhere.
	put := func(to [][]lattice, v int, offset, stride, count, size int64) bool {
		inUse[v] = true
		w := &doc.views[v]
		b := doc.buffers[w.buffer].blob
		if b < 0 {
			return false
		}
		if count > 0 && size > 0 {
			to[b] = append(to[b], newLattice(w.offset+offset, stride, count, size))
		}
		return true
	}
	for i := range doc.accessors {
		a, u := &doc.accessors[i], uses[i]
		place := func(what string) string { return fmt.Sprintf("accessors[%d] %s", i, what) }
		if s := a.sparse; s != nil {
			put(others, s.indexView, s.indexOffset, s.indexComp.size(), s.count, s.indexComp.size())
		}
		if u&wanted == 0 {
			if a.view >= 0 && a.dims > 0 {
				put(others, a.view, a.offset, a.stride, a.count, a.size)
			} // else its view counts as a whole
			if s := a.sparse; s != nil {
				put(others, s.valueView, s.valOffset, a.size, s.count, a.size)
			}
			continue
		}
		switch {
		case u&other != 0, u&moving != 0 && u != moving:
			return place("has two meanings")
		case a.comp != float32Comp:
			return place("is quantized")
		case u == moving && a.dims != 16, u&localLength != 0 && a.dims != 3:
			return place("has an unexpected type")
		}
		runs := [][4]int64{} // view, offset, stride, count
		if a.view >= 0 {
			runs = append(runs, [4]int64{int64(a.view), a.offset, a.stride, a.count})
		}
		if s := a.sparse; s != nil {
			runs = append(runs, [4]int64{int64(s.valueView), s.valOffset, a.size, s.count})
		}
		for _, r := range runs {
			v := int(r[0])
			if doc.views[v].packed != nil {
				return place("is compressed")
			}
			if (doc.views[v].offset+r[1])%4 != 0 || r[2]%4 != 0 {
				return place("is not aligned")
			}
			there := true
			if u == moving {
				there = put(p.lattices, v, r[1]+48, r[2], r[3], 12) &&
					put(others, v, r[1], r[2], r[3], 48) && put(others, v, r[1]+60, r[2], r[3], 4)
			} else {
				there = put(p.lattices, v, r[1], r[2], r[3], a.size)
			}
			if !there {
				return place("has no bytes")
			}
		}
	}
	for _, m := range doc.meshes {
		for k := range m.primitives {
			if m.primitives[k].draco && wanted&localLength != 0 {
				return doc.json.place(m.primitives[k].v) + " is compressed"
			}
		}
	}
	for _, v := range doc.json.root().get("images").items() {
		if n, err := v.get("bufferView").number(); err == nil && n >= 0 && n < float64(len(inUse)) { // an int may not hold it
			inUse[int(n)] = false
		}
	}
	for v := range doc.views {
		w := &doc.views[v]
		if !inUse[v] {
			put(others, v, 0, w.bytes, 1, w.bytes)
		}
		if p := w.packed; p != nil {
			if b := doc.buffers[p.buffer].blob; b >= 0 && p.bytes > 0 {
				others[b] = append(others[b], newLattice(p.offset, p.bytes, 1, p.bytes))
			}
		}
	}
	for b := range f.blobs {
		var ok bool
		if p.lattices[b], p.shared[b], ok = untangle(p.lattices[b], others[b]); !ok {
			return "lengths lie over other numbers"
		}
	}
	return ""
}
