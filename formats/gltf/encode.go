package gltf

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

// EncodeGLB writes meshes as a binary glTF, one node and one mesh a part, every length
// multiplied by factor, which must bring them to metres, and then posed. Where a mesh is a
// soup, vertices with exactly equal coordinates are welded. A mesh about an origin, or
// shifted, becomes a node that stands there, so that it loses nothing. Meshes without
// triangles are left out; where all are, the error is fault.NoTriangles. Coordinates or
// files that are larger than the format can hold are fault.TooLarge. It asks ctx every
// megabyte; report rises from 0 to 1 and may be nil.
func EncodeGLB(ctx context.Context, w io.Writer, tag string, meshes []*mesh.Mesh, factor float64, pose geom.Pose, report func(float64)) error {
	e := encoder{ctx: ctx, w: w, tag: tag, factor: factor, pose: pose, report: report}
	var parts []encoded
	for _, m := range meshes {
		if m.Len() == 0 {
			continue
		}
		p, err := e.prepare(m)
		if err != nil {
			return err
		}
		parts = append(parts, p)
	}
	if len(parts) == 0 {
		return &fault.Error{Code: fault.NoTriangles, Byte: -1}
	}
	text, bin, err := e.document(parts)
	if err != nil {
		return err
	}
	total := glbHeader + 2*chunkHeader + int64(len(text)) + bin
	if total > math.MaxUint32 {
		return &fault.Error{Code: fault.TooLarge, Byte: -1, Detail: "more than a binary glTF can hold"}
	}
	e.all = bin
	e.buf = make([]byte, 0, piece+64)
	e.buf = append(e.buf, glbMagic...)
	e.put32(2, uint32(total), uint32(len(text)), chunkJSON)
	e.buf = append(e.buf, text...)
	e.put32(uint32(bin), chunkBIN)
	for _, p := range parts {
		if err := e.part(p); err != nil {
			return err
		}
	}
	if err := e.flush(); err != nil {
		return err
	}
	if report != nil {
		report(1)
	}
	return nil
}

// An encoded is a mesh as it will be written.
type encoded struct {
	*mesh.Mesh
	kept     []uint32 // vertices to write; nil for all
	corners  []uint32 // of the triangles of a soup, among those; nil otherwise
	vertices int
	low, top [3]float32 // bounds of what is written
}

func (p *encoded) vertex(i int) [3]float32 {
	if p.kept != nil {
		i = int(p.kept[i])
	}
	return p.Vertices[i]
}

// indexSize is the bytes of an index. The greatest number of each type means a break in a
// strip and is never used.
func (p *encoded) indexSize() int64 {
	if p.vertices <= math.MaxUint16 {
		return 2
	}
	return 4
}

type encoder struct {
	ctx       context.Context
	w         io.Writer
	tag       string
	factor    float64
	pose      geom.Pose
	report    func(float64)
	buf       []byte
	done, all int64
}

// changed is a vertex as it is written: what a pose shifts by, its node has.
func (e *encoder) changed(v [3]float32) [3]float32 {
	x, y, z := float64(v[0])*e.factor, float64(v[1])*e.factor, float64(v[2])*e.factor
	if e.pose.Known() {
		p := e.pose.Turn(geom.Vec{x, y, z})
		x, y, z = p[0], p[1], p[2]
	}
	return [3]float32{float32(x), float32(y), float32(z)}
}

// place is where the node of a mesh stands.
func (e *encoder) place(m *mesh.Mesh) geom.Vec { return e.pose.Apply(m.Origin.Scale(e.factor)) }

// prepare welds a soup and measures what will be written.
func (e *encoder) prepare(m *mesh.Mesh) (encoded, error) {
	p := encoded{Mesh: m, vertices: len(m.Vertices)}
	if m.Triangles == nil {
		p.kept, p.corners = weld(m.Vertices)
		p.vertices = len(p.kept)
	}
	for i := range p.vertices {
		if i%(1<<16) == 0 {
			if err := e.ctx.Err(); err != nil {
				return p, err
			}
		}
		v := e.changed(p.vertex(i))
		if i == 0 {
			p.low, p.top = v, v
		}
		for c := range v {
			p.low[c], p.top[c] = min(p.low[c], v[c]), max(p.top[c], v[c])
		}
	}
	at := e.place(m)
	for c := range p.low {
		for _, x := range []float64{float64(p.low[c]), float64(p.top[c]), at[c]} {
			if !(math.Abs(x) <= math.MaxFloat32) {
				return p, &fault.Error{Code: fault.TooLarge, Byte: -1, Detail: fmt.Sprintf("%s at factor %v", m.Name, e.factor)}
			}
		}
	}
	return p, nil
}

// weld finds the distinct vertices of a soup in the order in which they come, and which of
// them each vertex is. 0 and -0 are equal.
func weld(vertices [][3]float32) (kept, corners []uint32) {
	size := 16
	for size < 2*len(vertices) {
		size *= 2
	}
	table := make([]uint32, size) // 1 + place in kept; 0 is free
	corners = make([]uint32, len(vertices))
	for i, v := range vertices {
		h := uint64(0)
		for _, x := range v {
			h = (h ^ uint64(math.Float32bits(x+0))) * 0x9E3779B97F4A7C15 // -0 + 0 is 0
			h ^= h >> 29
		}
		for at := h; ; at++ {
			slot := &table[at&uint64(size-1)]
			if *slot == 0 {
				kept = append(kept, uint32(i))
				*slot = uint32(len(kept))
			} else if vertices[kept[*slot-1]] != v {
				continue
			}
			corners[i] = *slot - 1
			break
		}
	}
	return kept, corners
}

// document is the JSON chunk, padded, and the size of the binary chunk. Every part has a
// view of positions, then one of indices.
func (e *encoder) document(parts []encoded) (text []byte, bin int64, err error) {
	type object = map[string]any
	var views, accessors, meshes, nodes []any
	var roots []int
	for i, p := range parts {
		positions, indices := 12*int64(p.vertices), p.indexSize()*3*int64(p.Len())
		kind := uint16Comp
		if p.indexSize() == 4 {
			kind = uint32Comp
		}
		const arrayBuffer, elementArrayBuffer = 34962, 34963 // glTF 2.0, 5.11.5
		views = append(views,
			object{"buffer": 0, "byteOffset": bin, "byteLength": positions, "target": arrayBuffer},
			object{"buffer": 0, "byteOffset": bin + positions, "byteLength": indices, "target": elementArrayBuffer})
		bin += positions + (indices+3)&^3
		accessors = append(accessors,
			object{"bufferView": 2 * i, "componentType": float32Comp, "count": p.vertices, "type": "VEC3", "min": p.low, "max": p.top},
			object{"bufferView": 2*i + 1, "componentType": kind, "count": 3 * p.Len(), "type": "SCALAR"})
		m := object{"primitives": []any{object{"attributes": object{"POSITION": 2 * i}, "indices": 2*i + 1}}}
		n := object{"mesh": i}
		if p.Name != "" {
			m["name"], n["name"] = p.Name, p.Name
		}
		if at := e.place(p.Mesh); at != (geom.Vec{}) {
			n["translation"] = at
		}
		meshes, nodes, roots = append(meshes, m), append(nodes, n), append(roots, i)
	}
	asset := object{"version": "2.0", "generator": "Scantling"}
	if e.tag != "" {
		asset["extras"] = tagged(e.tag)
	}
	text, err = json.Marshal(object{
		"asset":       asset,
		"scene":       0,
		"scenes":      []any{object{"nodes": roots}},
		"nodes":       nodes,
		"meshes":      meshes,
		"accessors":   accessors,
		"bufferViews": views,
		"buffers":     []any{object{"byteLength": bin}},
	})
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	return text, bin, err
}

func (e *encoder) put32(list ...uint32) {
	for _, x := range list {
		e.buf = binary.LittleEndian.AppendUint32(e.buf, x)
	}
}

func (e *encoder) flush() error {
	_, err := e.w.Write(e.buf)
	e.done += int64(len(e.buf))
	e.buf = e.buf[:0]
	if e.report != nil {
		e.report(min(1, float64(e.done)/float64(e.all)))
	}
	if err == nil {
		err = e.ctx.Err()
	}
	return err
}

// part writes the positions and the indices of a part.
func (e *encoder) part(p encoded) error {
	for i := range p.vertices {
		for _, x := range e.changed(p.vertex(i)) {
			e.buf = binary.LittleEndian.AppendUint32(e.buf, math.Float32bits(x))
		}
		if len(e.buf) >= piece {
			if err := e.flush(); err != nil {
				return err
			}
		}
	}
	size := p.indexSize()
	for i := range p.Len() {
		t := p.Corners(i)
		if p.corners != nil {
			t = [3]uint32(p.corners[3*i:])
		}
		for _, k := range t {
			if size == 2 {
				e.buf = binary.LittleEndian.AppendUint16(e.buf, uint16(k))
			} else {
				e.buf = binary.LittleEndian.AppendUint32(e.buf, k)
			}
		}
		if len(e.buf) >= piece {
			if err := e.flush(); err != nil {
				return err
			}
		}
	}
	if size == 2 && 3*p.Len()%2 != 0 { // views begin at multiples of four
		e.buf = append(e.buf, 0, 0)
	}
	return nil
}
