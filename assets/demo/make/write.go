package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// The demo kit's files are written here and not by the program's own formats, so that they
// stay what they are, to the byte, whatever becomes of those.

// normal of triangle i, of five decimals, so that no processor's rounding shows.
func normal(m *mesh.Mesh, i int) [3]float32 {
	a, b, c := m.Triangle(i)
	n := b.Sub(a).Cross(c.Sub(a))
	length := n.Len()
	if length == 0 {
		return [3]float32{}
	}
	var rounded [3]float32
	for k := range n {
		rounded[k] = float32(math.Round(n[k]/length*1e5)/1e5 + 0) // + 0 makes -0 plain 0
	}
	return rounded
}

func binarySTL(m *mesh.Mesh) []byte {
	var out bytes.Buffer
	header := make([]byte, 80)
	copy(header, "Harbour tug, "+m.Name+"; mm, z up, x forward; drawn at 1:"+nativeText)
	out.Write(header)
	put(&out, uint32(m.Len()))
	for i := range m.Len() {
		put(&out, normal(m, i))
		for _, v := range m.Corners(i) {
			put(&out, m.Vertices[v])
		}
		put(&out, uint16(0))
	}
	return out.Bytes()
}

// put appends a fixed-size value; a buffer takes everything.
func put(out *bytes.Buffer, value any) {
	if err := binary.Write(out, binary.LittleEndian, value); err != nil {
		panic(err)
	}
}

func asciiSTL(solids []*mesh.Mesh) []byte {
	var out []byte
	for _, m := range solids {
		out = fmt.Appendf(out, "solid %s\n", m.Name)
		for i := range m.Len() {
			out = appendNumbers(append(out, "facet normal"...), normal(m, i))
			out = append(out, "\n outer loop\n"...)
			for _, v := range m.Corners(i) {
				out = append(appendNumbers(append(out, "  vertex"...), m.Vertices[v]), '\n')
			}
			out = append(out, " endloop\nendfacet\n"...)
		}
		out = fmt.Appendf(out, "endsolid %s\n", m.Name)
	}
	return out
}

// appendNumbers writes the fewest digits that read back to the same float32.
func appendNumbers(out []byte, numbers [3]float32) []byte {
	for _, n := range numbers {
		out = strconv.AppendFloat(append(out, ' '), float64(n), 'f', -1, 32)
	}
	return out
}

// A body of an OBJ file is one object of one material.
type body struct {
	*mesh.Mesh
	material string
}

func obj(bodies []body) []byte {
	out := fmt.Appendf(nil, "# Harbour tug; mm, z up, x forward; drawn at 1:%s\nmtllib %s\n", nativeText, materialFile)
	base := uint32(1)
	for _, b := range bodies {
		out = fmt.Appendf(out, "o %s\n", b.Name)
		for _, v := range b.Vertices {
			out = append(appendNumbers(append(out, 'v'), v), '\n')
		}
		out = fmt.Appendf(out, "usemtl %s\ns off\n", b.material)
		for _, c := range b.Triangles {
			out = fmt.Appendf(out, "f %d %d %d\n", base+c[0], base+c[1], base+c[2])
		}
		base += uint32(len(b.Vertices))
	}
	return out
}

const materialFile = "tug.mtl"

// A paint is what a part is meant to be painted with: red, green and blue from 0 to 1.
type paint struct {
	name    string
	r, g, b float64
}

func paints() []paint {
	return []paint{{"cream", 0.93, 0.87, 0.72}, {"steel", 0.36, 0.39, 0.42}, {"rope", 0.72, 0.58, 0.36}, {"teak", 0.45, 0.27, 0.14}}
}

func materials() []byte {
	out := []byte("# Paints of the harbour tug\n")
	for _, p := range paints() {
		out = fmt.Appendf(out, "newmtl %s\nKd %v %v %v\nKs 0.1 0.1 0.1\nNs 20\nillum 2\n", p.name, p.r, p.g, p.b)
	}
	return out
}

// glb is one mesh, shown once at each place, in metres. As many exporters do, it keeps the
// content with z up and has a root node that turns it y up.
func glb(m *mesh.Mesh, places []place, colour [3]float64) []byte {
	var data bytes.Buffer
	low, high := [3]float32{}, [3]float32{}
	for i, v := range m.Vertices {
		var metres [3]float32
		for k := range v {
			metres[k] = float32(math.Round(float64(v[k])/step) * step / 1000)
			if i == 0 || metres[k] < low[k] {
				low[k] = metres[k]
			}
			if i == 0 || metres[k] > high[k] {
				high[k] = metres[k]
			}
		}
		put(&data, metres)
	}
	positions := data.Len()
	for _, c := range m.Triangles {
		put(&data, c)
	}

	type object = map[string]any
	children := make([]int, len(places))
	nodes := []object{{"name": "tug", "rotation": []float64{-math.Sqrt2 / 2, 0, 0, math.Sqrt2 / 2}, "children": children}}
	for i, p := range places {
		children[i] = i + 1
		node := object{"name": p.name, "mesh": 0}
		if p.at != (geom.Vec{}) {
			var metres [3]float64
			for k, x := range p.at {
				metres[k] = math.Round(x/native/step) / 1e7
			}
			node["translation"] = metres
		}
		if p.degrees != 0 {
			sin, cos := math.Sincos(p.degrees / 2 * math.Pi / 180)
			node["rotation"] = []float64{0, 0, round(sin), round(cos)}
		}
		nodes = append(nodes, node)
	}
	const (
		float, unsigned        = 5126, 5125 // componentType
		vertices, indices      = 34962, 34963
		whole             byte = 0
	)
	document, err := json.Marshal(object{
		"asset":  object{"version": "2.0", "generator": "Harbour tug, drawn at 1:" + nativeText},
		"scene":  0,
		"scenes": []object{{"name": "harbour tug", "nodes": []int{0}}},
		"nodes":  nodes,
		"meshes": []object{{"name": m.Name, "primitives": []object{{"attributes": object{"POSITION": 0}, "indices": 1, "material": 0}}}},
		"materials": []object{{"name": m.Name, "pbrMetallicRoughness": object{
			"baseColorFactor": []float64{colour[0], colour[1], colour[2], 1}, "metallicFactor": 0, "roughnessFactor": 0.7}}},
		"accessors": []object{
			{"bufferView": 0, "componentType": float, "count": len(m.Vertices), "type": "VEC3", "min": low, "max": high},
			{"bufferView": 1, "componentType": unsigned, "count": 3 * len(m.Triangles), "type": "SCALAR"},
		},
		"bufferViews": []object{
			{"buffer": 0, "byteOffset": 0, "byteLength": positions, "target": vertices},
			{"buffer": 0, "byteOffset": positions, "byteLength": data.Len() - positions, "target": indices},
		},
		"buffers": []object{{"byteLength": data.Len()}},
	})
	if err != nil {
		panic(err)
	}
	for len(document)%4 != 0 {
		document = append(document, ' ')
	}
	for data.Len()%4 != 0 {
		data.WriteByte(whole)
	}
	var out bytes.Buffer
	out.WriteString("glTF")
	put(&out, uint32(2))
	put(&out, uint32(12+8+len(document)+8+data.Len()))
	put(&out, uint32(len(document)))
	out.WriteString("JSON")
	out.Write(document)
	put(&out, uint32(data.Len()))
	out.WriteString("BIN\x00")
	out.Write(data.Bytes())
	return out.Bytes()
}

// round leaves 15 decimals, so that no processor's rounding shows.
func round(x float64) float64 { return math.Round(x*1e15) / 1e15 }
