package gltf

import (
	"fmt"

	"scantling/formats/internal/fault"
)

// readNodes reads meshes, skins, nodes, scenes and animations.
func (d *decoder) readNodes(doc *document, root value) {
	for _, v := range d.objects(root, "meshes") {
		m := meshDef{name: v.get("name").str(), weights: d.numbers(v, "weights")}
		for _, p := range d.objects(v, "primitives") {
			m.primitives = append(m.primitives, d.readPrimitive(doc, p))
		}
		doc.meshes = append(doc.meshes, m)
	}
	nodes, skins := d.objects(root, "nodes"), d.objects(root, "skins")
	for _, v := range skins {
		doc.skins = append(doc.skins, skin{
			inverse: d.index(v, "inverseBindMatrices", len(doc.accessors)),
			joints:  d.indices(v, "joints", len(nodes)),
		})
	}
	for _, v := range nodes {
		doc.nodes = append(doc.nodes, d.readNode(doc, v, len(nodes)))
	}
	doc.scene = -1
	scenes := d.objects(root, "scenes")
	for _, v := range scenes {
		doc.scenes = append(doc.scenes, scene{v, d.indices(v, "nodes", len(nodes))})
	}
	if len(scenes) > 0 {
		doc.scene = max(0, d.index(root, "scene", len(scenes)))
	}
	for _, v := range d.objects(root, "animations") {
		doc.animations = append(doc.animations, d.readAnimation(doc, v))
	}
	if d.err == nil {
		d.checkTrees(doc)
	}
}

// mostJointSets is how many sets of four joints a vertex may follow. One is usual.
const mostJointSets = 8

func (d *decoder) readPrimitive(doc *document, v value) primitive {
	n := len(doc.accessors)
	attributes := v.get("attributes")
	if attributes.kind() != kindObject {
		d.fail(fault.Syntax, v, "has no attributes")
	}
	p := primitive{
		v:        v,
		mode:     d.whole(v, "mode", modeTriangles, modeFan, fault.Syntax),
		position: d.index(attributes, "POSITION", n),
		indices:  d.index(v, "indices", n),
		draco:    v.at("extensions", draco).kind() == kindObject,
	}
	for set := range mostJointSets {
		joints := d.index(attributes, fmt.Sprintf("JOINTS_%d", set), n)
		weights := d.index(attributes, fmt.Sprintf("WEIGHTS_%d", set), n)
		if joints < 0 || weights < 0 {
			break
		}
		p.joints, p.weights = append(p.joints, joints), append(p.weights, weights)
	}
	for _, t := range d.objects(v, "targets") {
		p.targets = append(p.targets, d.index(t, "POSITION", n))
	}
	return p
}

func (d *decoder) readNode(doc *document, v value, nodes int) node {
	n := node{
		v:         v,
		name:      v.get("name").str(),
		parent:    -1,
		children:  d.indices(v, "children", nodes),
		mesh:      d.index(v, "mesh", len(doc.meshes)),
		skin:      d.index(v, "skin", len(doc.skins)),
		weights:   d.numbers(v, "weights"),
		instances: [3]int{-1, -1, -1},
	}
	var matrix [16]float64
	if d.fixed(v, "matrix", matrix[:]) {
		n.local = affineOf(matrix)
	} else {
		move, turn, size := [3]float64{}, [4]float64{0, 0, 0, 1}, [3]float64{1, 1, 1}
		d.fixed(v, "translation", move[:])
		d.fixed(v, "rotation", turn[:])
		d.fixed(v, "scale", size[:])
		n.local = compose(move, turn, size)
	}
	if in := v.at("extensions", "EXT_mesh_gpu_instancing", "attributes"); in.kind() == kindObject {
		n.instanced = true
		first := true
		in.members(func(name, m value) {
			i := d.indexOf(m, len(doc.accessors))
			if d.err != nil {
				return
			}
			if count := doc.accessors[i].count; first {
				n.instanceSize, first = count, false
			} else if count != n.instanceSize {
				d.fail(fault.BadRange, in, "lists of different lengths")
			}
			switch name.str() {
			case "TRANSLATION":
				n.instances[0] = i
			case "ROTATION":
				n.instances[1] = i
			case "SCALE":
				n.instances[2] = i
			}
		})
	}
	return n
}

func (d *decoder) readAnimation(doc *document, v value) animation {
	var a animation
	for _, s := range d.objects(v, "samplers") {
		d.must(s, "input")
		d.must(s, "output")
		a.samplers = append(a.samplers, [2]int{
			d.index(s, "input", len(doc.accessors)),
			d.index(s, "output", len(doc.accessors)),
		})
	}
	for _, c := range d.objects(v, "channels") {
		target := c.get("target")
		d.must(c, "sampler")
		d.index(target, "node", len(doc.nodes))
		a.channels = append(a.channels, channel{
			sampler: d.index(c, "sampler", len(a.samplers)),
			path:    target.get("path").str(),
			pointer: target.at("extensions", "KHR_animation_pointer", "pointer").str(),
		})
	}
	return a
}

// checkTrees proves that the nodes are trees and the scenes name their roots.
func (d *decoder) checkTrees(doc *document) {
	for i := range doc.nodes {
		for k, c := range doc.nodes[i].children {
			if doc.nodes[c].parent >= 0 {
				at := doc.nodes[i].v.get("children").items()[k]
				d.fail(fault.Cycle, at, fmt.Sprintf("nodes[%d] has two parents", c))
				return
			}
			doc.nodes[c].parent = i
		}
	}
	reached := 0
	doc.walk(doc.rootNodes(), func(int) { reached++ })
	if reached < len(doc.nodes) {
		d.fail(fault.Cycle, doc.json.root().get("nodes"), "a node contains itself")
		return
	}
	for _, s := range doc.scenes {
		seen := map[int]bool{}
		for k, r := range s.roots {
			at := func() value { return s.v.get("nodes").items()[k] }
			if doc.nodes[r].parent >= 0 {
				d.fail(fault.Cycle, at(), fmt.Sprintf("nodes[%d] is in another node already", r))
			} else if seen[r] {
				d.fail(fault.Cycle, at(), fmt.Sprintf("nodes[%d] is there twice", r))
			}
			seen[r] = true
		}
	}
}

// rootNodes are the nodes that no other contains.
func (doc *document) rootNodes() []int {
	var roots []int
	for i := range doc.nodes {
		if doc.nodes[i].parent < 0 {
			roots = append(roots, i)
		}
	}
	return roots
}

// walk calls f for the nodes of some trees, parents first, in document order.
func (doc *document) walk(roots []int, f func(i int)) {
	var stack []int
	for _, r := range roots {
		stack = append(stack[:0], r)
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			f(i)
			children := doc.nodes[i].children
			for k := len(children) - 1; k >= 0; k-- {
				stack = append(stack, children[k])
			}
		}
	}
}

// shown are the roots of what is there to print: the default scene, or everything.
func (doc *document) shown() []int {
	if doc.scene >= 0 {
		return doc.scenes[doc.scene].roots
	}
	return doc.rootNodes()
}

// worlds is each node's transform to file coordinates.
func (doc *document) worlds() []affine {
	worlds := make([]affine, len(doc.nodes))
	doc.walk(doc.rootNodes(), func(i int) {
		n := &doc.nodes[i]
		worlds[i] = n.local
		if n.parent >= 0 {
			worlds[i] = worlds[n.parent].times(n.local)
		}
	})
	return worlds
}
