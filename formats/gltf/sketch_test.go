package gltf

import (
	"context"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// object is a JSON object.
type object = map[string]any

// A sketch is a small glTF model in the making: one buffer, and lists that grow.
type sketch struct {
	bin  []byte
	root object
}

func newSketch() *sketch {
	return &sketch{root: object{"asset": object{"version": "2.0"}}}
}

// add appends to a list of the document and gives the index.
func (s *sketch) add(list string, o object) int {
	items, _ := s.root[list].([]any)
	s.root[list] = append(items, o)
	return len(items)
}

// get is an object of a list.
func (s *sketch) get(list string, i int) object { return s.root[list].([]any)[i].(object) }

// view adds bytes, aligned to four.
func (s *sketch) view(data []byte, more ...object) int {
	for len(s.bin)%4 != 0 {
		s.bin = append(s.bin, 0)
	}
	o := object{"buffer": 0, "byteOffset": len(s.bin), "byteLength": len(data)}
	for _, m := range more {
		for k, v := range m {
			o[k] = v
		}
	}
	s.bin = append(s.bin, data...)
	return s.add("bufferViews", o)
}

// pack is values as little-endian numbers of a component type.
func pack(c component, values ...float64) []byte {
	var b []byte
	for _, v := range values {
		switch c.size() {
		case 1:
			b = append(b, byte(int(v)))
		case 2:
			b = binary.LittleEndian.AppendUint16(b, uint16(int(v)))
		default:
			if c == float32Comp {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
			} else {
				b = binary.LittleEndian.AppendUint32(b, uint32(v))
			}
		}
	}
	return b
}

func dims(kind string) int {
	n, _ := elementSize(kind, uint8Comp)
	return n
}

// bounds are the least and the greatest of each component, as float32 where they are.
func bounds(c component, n int, values []float64) (low, high []float64) {
	for i, v := range values {
		if c == float32Comp {
			v = float64(float32(v))
		}
		if i < n {
			low, high = append(low, v), append(high, v)
			continue
		}
		low[i%n], high[i%n] = min(low[i%n], v), max(high[i%n], v)
	}
	return low, high
}

// accessor adds values with a view of their own.
func (s *sketch) accessor(c component, kind string, values ...float64) int {
	n := dims(kind)
	low, high := bounds(c, n, values)
	return s.add("accessors", object{
		"bufferView": s.view(pack(c, values...)), "componentType": int(c), "type": kind,
		"count": len(values) / n, "min": low, "max": high,
	})
}

func (s *sketch) floats(kind string, values ...float64) int {
	return s.accessor(float32Comp, kind, values...)
}

// cube is a box from the origin on, by its corners and triangles.
func cube(x, y, z float64) (corners, triangles []float64) {
	corners = []float64{0, 0, 0, x, 0, 0, x, y, 0, 0, y, 0, 0, 0, z, x, 0, z, x, y, z, 0, y, z}
	triangles = []float64{
		0, 2, 1, 0, 3, 2, 4, 5, 6, 4, 6, 7, 0, 1, 5, 0, 5, 4,
		1, 2, 6, 1, 6, 5, 2, 3, 7, 2, 7, 6, 3, 0, 4, 3, 4, 7,
	}
	return corners, triangles
}

// mesh adds a mesh of one primitive.
func (s *sketch) mesh(primitive object) int {
	return s.add("meshes", object{"primitives": []any{primitive}})
}

// cubeMesh adds a box as a mesh.
func (s *sketch) cubeMesh(x, y, z float64) int {
	c, t := cube(x, y, z)
	return s.mesh(object{
		"attributes": object{"POSITION": s.floats("VEC3", c...)},
		"indices":    s.accessor(uint16Comp, "SCALAR", t...),
	})
}

// node adds a node, and makes it a root of the only scene.
func (s *sketch) node(o object) int {
	i := s.add("nodes", o)
	if s.root["scenes"] == nil {
		s.add("scenes", object{})
		s.root["scene"] = 0
	}
	scene := s.get("scenes", 0)
	roots, _ := scene["nodes"].([]int)
	scene["nodes"] = append(roots, i)
	return i
}

// inner adds a node that some other contains.
func (s *sketch) inner(o object) int { return s.add("nodes", o) }

func (s *sketch) json(buffer object) []byte {
	if s.root["buffers"] == nil && len(s.bin) > 0 {
		buffer["byteLength"] = len(s.bin)
		s.root["buffers"] = []any{buffer}
	}
	b, err := json.Marshal(s.root)
	if err != nil {
		panic(err)
	}
	return b
}

// glb is the sketch as a binary container.
func (s *sketch) glb() []byte { return glbOf(s.json(object{}), s.bin) }

// text is the sketch with its buffer in a data URI.
func (s *sketch) text() []byte {
	return s.json(object{"uri": "data:application/octet-stream;base64," + base64.StdEncoding.EncodeToString(s.bin)})
}

// beside is the sketch with its buffer in a side file.
func (s *sketch) beside(uri string) []byte { return s.json(object{"uri": uri}) }

// glbOf puts a document and a buffer in a container.
func glbOf(text, bin []byte) []byte {
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	n := glbHeader + chunkHeader + len(text)
	if bin != nil {
		n += chunkHeader + len(bin)
	}
	b := append([]byte(glbMagic), le32(2, uint32(n), uint32(len(text)), chunkJSON)...)
	b = append(b, text...)
	if bin != nil {
		b = append(b, le32(uint32(len(bin)), chunkBIN)...)
		b = append(b, bin...)
	}
	return b
}

func le32(list ...uint32) []byte {
	var b []byte
	for _, x := range list {
		b = binary.LittleEndian.AppendUint32(b, x)
	}
	return b
}

// write puts files in a folder of their own.
func write(t testing.TB, files map[string][]byte) (folder string) {
	t.Helper()
	folder = t.TempDir()
	for name, b := range files {
		path := filepath.Join(folder, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// open opens one file of that content.
func open(t testing.TB, name string, content []byte) (*File, error) {
	t.Helper()
	return Open(context.Background(), filepath.Join(write(t, map[string][]byte{name: content}), name), nil)
}

func base64Of(b []byte) string { return base64.StdEncoding.EncodeToString(b) }
