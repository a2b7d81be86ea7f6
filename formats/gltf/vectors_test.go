package gltf

import (
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// vectorFolder has the test files. They are made here, so that what is in the binary ones
// can be read; SCANTLING_UPDATE=1 writes them anew.
const vectorFolder = "../../testdata/gltf"

// A vector is one file, the files beside it, and what it must give.
type vector struct {
	name  string // of the main file
	bytes []byte
	side  map[string][]byte
	want  []string // lines of the .want file
}

func TestVectorsAreWhatIsMadeHere(t *testing.T) {
	made := map[string][]byte{}
	for _, v := range append(goodVectors(), badVectors()...) {
		stem := strings.TrimSuffix(v.name, filepath.Ext(v.name))
		require.NotContains(t, made, stem+".want", "two vectors of one name")
		made[v.name] = v.bytes
		for name, b := range v.side {
			made[name] = b
		}
		made[stem+".want"] = []byte(strings.Join(v.want, "\n") + "\n")
	}
	if os.Getenv("SCANTLING_UPDATE") != "" {
		require.NoError(t, os.RemoveAll(vectorFolder))
		require.NoError(t, os.MkdirAll(vectorFolder, 0o755))
		for name, b := range made {
			require.NoError(t, os.WriteFile(filepath.Join(vectorFolder, name), b, 0o644))
		}
	}
	entries, err := os.ReadDir(vectorFolder)
	require.NoError(t, err)
	there := map[string]bool{}
	for _, e := range entries {
		there[e.Name()] = true
	}
	var names []string
	for name := range made {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		b, err := os.ReadFile(filepath.Join(vectorFolder, name))
		require.NoError(t, err)
		require.True(t, string(b) == string(made[name]), "%s differs from what is made here", name)
		delete(there, name)
	}
	require.Empty(t, there, "files that are not made here")
}

func good(name string, b []byte, why string, triangles int, more ...string) vector {
	return vector{name: name, bytes: b, want: append([]string{
		"expect: ok", "why: " + why, "from: made by formats/gltf", fmt.Sprintf("triangles: %d", triangles),
	}, more...)}
}

// cubeWant is what a 1 × 2 × 3 box gives.
func cubeWant() []string { return []string{"parts: 1", "closed: yes", "volume: 6", "size: 1 2 3"} }

// turnY is a quarter turn about y.
func turnY() []float64 { return []float64{0, 0.70710678118654757, 0, 0.70710678118654757} }

func goodVectors() []vector {
	plain := func() *sketch {
		s := newSketch()
		s.node(object{"name": "hull", "mesh": s.cubeMesh(1, 2, 3)})
		return s
	}
	list := []vector{
		good("cube.glb", plain().glb(), "the plainest container", 12, cubeWant()...),
		good("data-uri.gltf", plain().text(), "the buffer is in the document", 12, cubeWant()...),
	}
	side := good("side-file.gltf", plain().beside("side-file.bin"), "the buffer is beside the document", 12, cubeWant()...)
	side.side = map[string][]byte{"side-file.bin": plain().bin}
	encoded := good("encoded-uri.gltf", plain().beside("side%20file%20%28e%29.bin"), "the side file's name is percent-encoded", 12, cubeWant()...)
	encoded.side = map[string][]byte{"side file (e).bin": plain().bin}
	list = append(list, side, encoded)

	s := plain()
	n := len(s.bin)
	s.root["buffers"] = []any{object{"uri": "one-file.bin", "byteLength": n}, object{"uri": "./one-file.bin", "byteLength": n}}
	s.get("bufferViews", 1)["buffer"] = 1
	s.add("images", object{"uri": "one-file.png"})
	twice := good("one-file-two-buffers.gltf", s.json(nil), "two buffers are the same file; an image lies beside it", 12, cubeWant()...)
	twice.side = map[string][]byte{"one-file.bin": s.bin, "one-file.png": []byte("no picture")}
	list = append(list, twice)

	s = plain()
	list = append(list, good("trailing-bytes.glb", append(s.glb(), "foreign"...), "bytes behind the container are kept", 12,
		append(cubeWant(), "notes: trailing-bytes")...))
	b := append(s.glb(), le32(4, 0x12345678, 0xdeadbeef)...)
	copy(b[8:], le32(uint32(len(b))))
	list = append(list, good("foreign-chunk.glb", b, "a third chunk is kept", 12, cubeWant()...))

	s = newSketch()
	c, x := cube(1, 2, 3)
	low := s.mesh(object{"attributes": object{"POSITION": s.floats("VEC3", c...)}, "indices": s.accessor(uint8Comp, "SCALAR", x...)})
	s.node(object{"mesh": low})
	list = append(list, good("indices-8.glb", s.glb(), "indices of one byte", 12, cubeWant()...))
	s = newSketch()
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": s.floats("VEC3", c...)}, "indices": s.accessor(uint32Comp, "SCALAR", x...)})})
	list = append(list, good("indices-32.glb", s.glb(), "indices of four bytes", 12, cubeWant()...))

	s = newSketch()
	var soup []float64
	for _, k := range x {
		soup = append(soup, c[3*int(k):3*int(k)+3]...)
	}
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": s.floats("VEC3", soup...)}})})
	list = append(list, good("no-indices.glb", s.glb(), "three vertices a triangle", 12, cubeWant()...))

	s = newSketch()
	strip := s.mesh(object{"mode": modeStrip, "attributes": object{"POSITION": s.floats("VEC3",
		0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 2, 0, 1, 2, 0)}})
	s.node(object{"mesh": strip})
	list = append(list, good("strip.glb", s.glb(), "four triangles of a strip, all facing z", 4, "parts: 1", "closed: no", "area: 2", "size: 1 2 0"))

	s = newSketch()
	s.node(object{"mesh": s.mesh(object{"mode": modeFan, "attributes": object{"POSITION": s.floats("VEC3",
		0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, -1, 1, 0)}})})
	list = append(list, good("fan.glb", s.glb(), "three triangles of a fan", 3, "parts: 1", "closed: no", "area: 1.5", "size: 2 1 0"))

	return append(append(list, sceneVectors()...), dataVectors()...)
}

// sceneVectors are about nodes.
func sceneVectors() []vector {
	var list []vector
	s := newSketch()
	m := s.cubeMesh(1, 2, 3)
	leaf := s.inner(object{"name": "leaf", "mesh": m, "translation": []float64{1, 0, 0}})
	mirror := s.inner(object{"name": "mirror", "mesh": m, "scale": []float64{-1, 1, 2}, "children": []int{leaf}})
	s.node(object{"name": "base", "children": []int{mirror},
		"matrix": []float64{0, 0, -1, 0, 0, 1, 0, 0, 1, 0, 0, 0, 10, 20, 30, 1}})
	list = append(list, good("hierarchy.glb", s.glb(), "matrix, scale, mirror, children; both parts face outward", 24,
		"parts: 2", "closed: yes", "volume: 24", "size: 6 2 2"))

	s = newSketch()
	m = s.cubeMesh(1, 2, 3)
	for i, name := range []string{"port", "starboard", "spare"} {
		s.node(object{"name": name, "mesh": m, "translation": []float64{0, 0, 5 * float64(i)}, "rotation": turnY()})
	}
	list = append(list, good("instanced.glb", s.glb(), "three nodes show one mesh", 36, "parts: 3", "closed: yes", "volume: 18", "size: 3 2 11"))

	s = newSketch()
	s.root["extensionsUsed"] = []string{"EXT_mesh_gpu_instancing"}
	s.node(object{"mesh": s.cubeMesh(1, 2, 3), "extensions": object{"EXT_mesh_gpu_instancing": object{"attributes": object{
		"TRANSLATION": s.floats("VEC3", 0, 0, 0, 4, 0, 0),
		"SCALE":       s.floats("VEC3", 1, 1, 1, 2, 1, 1),
	}}}})
	list = append(list, good("gpu-instancing.glb", s.glb(), "two instances in one node", 24, "parts: 1", "closed: yes", "volume: 18", "size: 6 2 3"))

	s = newSketch()
	m = s.cubeMesh(1, 2, 3)
	for i := range 3 {
		s.add("nodes", object{"mesh": m, "translation": []float64{float64(i), 0, 0}})
	}
	s.add("nodes", object{"name": "in no scene"})
	s.add("scenes", object{"nodes": []int{0, 1}})
	s.add("scenes", object{"nodes": []int{2, 1}})
	s.root["scene"] = 1
	list = append(list, good("two-scenes.glb", s.glb(), "only the default scene counts", 24, "parts: 2", "closed: yes", "volume: 12", "size: 2 2 3"))

	s = newSketch()
	m = s.cubeMesh(1, 2, 3)
	s.add("nodes", object{"mesh": m})
	s.add("nodes", object{"mesh": m, "translation": []float64{9, 0, 0}})
	list = append(list, good("no-scenes.glb", s.glb(), "without scenes all nodes count", 24, "parts: 2", "closed: yes", "volume: 12", "size: 10 2 3"))

	s = newSketch()
	m = s.cubeMesh(1, 2, 3)
	p := s.get("meshes", m)["primitives"].([]any)
	line := s.floats("VEC3", 0, 0, 0, 99, 0, 0)
	s.get("meshes", m)["primitives"] = append(p, object{"mode": 1, "attributes": object{"POSITION": line}})
	s.node(object{"mesh": m})
	s.node(object{"mesh": s.mesh(object{"mode": 0, "attributes": object{"POSITION": line}})})
	list = append(list, good("points-and-lines.glb", s.glb(), "only triangles count", 12, append(cubeWant(), "notes: skipped-parts")...))

	s = newSketch()
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": s.floats("VEC3", 1, 2, 3, 1, 2, 3, 1, 2, 3)}})})
	list = append(list, good("no-size.glb", s.glb(), "a triangle that is a point", 1, "parts: 1", "closed: no", "size: 0 0 0", "notes: zero-size"))

	looks := good("looks-and-cameras.gltf", []byte(looksText), "lengths of cameras, lights and materials; odd layout, unknown members and extensions", 1,
		"parts: 1", "closed: no", "area: 0.5", "size: 1 1 0")
	return append(list, looks)
}

// looksText has numbers in many spellings, and members that nobody knows.
const looksText = "{\r\n\t\"asset\" : { \"version\":\"2.0\", \"extras\":{\"translation\":[1,2,3]} },\r\n" + `
  "extensionsUsed": ["KHR_lights_punctual", "KHR_materials_volume", "KHR_animation_pointer", "ACME_unknown"],
  "extensions": {"KHR_lights_punctual": {"lights": [{"type": "point", "range": 10, "intensity": 3}]}, "ACME_unknown": {"range": 7}},
  "scene": 0, "scenes": [{"nodes": [0, 1], "madeUp": [1.50, 2e0]}],
  "nodes": [
    {"mesh": 0, "name": "tri\u0061ngle \"1\"", "translation": [ 1.50, -2.5E-1, 0.0 ], "unheardOf": true},
    {"camera": 0, "translation": [0.1, 0.2, 0.3], "extensions": {"KHR_lights_punctual": {"light": 0}}}
  ],
  "cameras": [
    {"type": "orthographic", "orthographic": {"xmag": 2, "ymag": 1, "znear": 0.01, "zfar": 100}},
    {"type": "perspective", "perspective": {"yfov": 1, "znear": 0.5, "aspectRatio": 1.5}}
  ],
  "materials": [{"extensions": {"KHR_materials_volume": {"thicknessFactor": 0.25, "attenuationDistance": 4}}}],
  "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "material": 0}]}],
  "animations": [{
    "samplers": [{"input": 1, "output": 2}],
    "channels": [{"sampler": 0, "target": {"path": "pointer", "extensions": {"KHR_animation_pointer": {"pointer": "/cameras/1/perspective/znear"}}}}]
  }],
  "accessors": [
    {"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3", "min": [0, 0, 0], "max": [1, 1, 0]},
    {"bufferView": 1, "componentType": 5126, "count": 2, "type": "SCALAR", "min": [0], "max": [1]},
    {"bufferView": 2, "componentType": 5126, "count": 2, "type": "SCALAR"}
  ],
  "bufferViews": [{"buffer": 0, "byteLength": 36}, {"buffer": 0, "byteOffset": 36, "byteLength": 8}, {"buffer": 0, "byteOffset": 44, "byteLength": 8}],
  "buffers": [{"byteLength": 52, "uri": "data:application\/octet-stream;base64,AAAAAAAAAAAAAAAAAACAPwAAAAAAAAAAAAAAAAAAgD8AAAAAAAAAAAAAgD8AAAA\/AACAPw=="}]
}
`

// dataVectors are about accessors.
func dataVectors() []vector {
	var list []vector
	c, x := cube(1, 2, 3)

	// Positions and normals take turns.
	s := newSketch()
	var mixed []float64
	for i := 0; i < len(c); i += 3 {
		mixed = append(append(mixed, c[i:i+3]...), 0, 0, 1)
	}
	v := s.view(pack(float32Comp, mixed...), object{"byteStride": 24})
	low, high := bounds(float32Comp, 3, c)
	at := s.add("accessors", object{"bufferView": v, "componentType": 5126, "type": "VEC3", "count": 8, "min": low, "max": high})
	normal := s.add("accessors", object{"bufferView": v, "byteOffset": 12, "componentType": 5126, "type": "VEC3", "count": 8})
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": at, "NORMAL": normal}, "indices": s.accessor(uint16Comp, "SCALAR", x...)})})
	list = append(list, good("interleaved.glb", s.glb(), "positions and normals take turns", 12, cubeWant()...))

	// One accessor has every vertex, another every second one.
	s = newSketch()
	v = s.view(pack(float32Comp, c...))
	wide := s.add("bufferViews", object{"buffer": 0, "byteOffset": 12, "byteLength": 84, "byteStride": 24})
	at = s.add("accessors", object{"bufferView": v, "componentType": 5126, "type": "VEC3", "count": 8, "min": low, "max": high})
	half := s.add("accessors", object{"bufferView": wide, "componentType": 5126, "type": "VEC3", "count": 4, "min": []float64{0, 0, 0}, "max": []float64{1, 2, 3}})
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": at}, "indices": s.accessor(uint16Comp, "SCALAR", x...)})})
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": half}, "indices": s.accessor(uint8Comp, "SCALAR", 0, 1, 2, 3, 2, 1)})})
	list = append(list, good("overlapping.glb", s.glb(), "two accessors have vertices in common", 14, "parts: 2", "size: 1 2 3"))

	for _, base := range []bool{true, false} {
		s = newSketch()
		moved := []float64{1, 2, 5, 0, 2, 5}
		a := object{"componentType": 5126, "type": "VEC3", "count": 8, "min": []float64{0, 0, 0}, "max": []float64{1, 2, 5}}
		places := []float64{6, 7}
		if base {
			a["bufferView"] = s.view(pack(float32Comp, c...))
		} else {
			moved = append(append([]float64{}, c[3:18]...), moved...)
			places = []float64{1, 2, 3, 4, 5, 6, 7}
		}
		a["sparse"] = object{"count": len(places),
			"indices": object{"bufferView": s.view(pack(uint16Comp, places...)), "componentType": 5123},
			"values":  object{"bufferView": s.view(pack(float32Comp, moved...))}}
		at = s.add("accessors", a)
		s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": at}, "indices": s.accessor(uint16Comp, "SCALAR", x...)})})
		name, why := "sparse.glb", "two corners differ from the view"
		if !base {
			name, why = "sparse-from-zero.glb", "all corners but one differ from nothing"
		}
		list = append(list, good(name, s.glb(), why, 12, "parts: 1", "closed: yes", "volume: 8", "size: 1 2 5"))
	}

	for _, normalized := range []bool{true, false} {
		s = newSketch()
		s.root["extensionsUsed"] = []string{"KHR_mesh_quantization"}
		s.root["extensionsRequired"] = []string{"KHR_mesh_quantization"}
		unit := 8.0
		if normalized {
			unit = 32767
		}
		var q []float64
		for i := 0; i < len(c); i += 3 {
			q = append(q, unit*c[i], unit*c[i+1]/2, unit*c[i+2]/3, 0)
		}
		at = s.add("accessors", object{"bufferView": s.view(pack(int16Comp, q...), object{"byteStride": 8}),
			"componentType": 5122, "type": "VEC3", "count": 8, "normalized": normalized,
			"min": []float64{0, 0, 0}, "max": []float64{unit, unit, unit}})
		size := []float64{1, 2, 3}
		name := "quantized-normalized.glb"
		if !normalized {
			size, name = []float64{0.125, 0.25, 0.375}, "quantized.glb"
		}
		s.node(object{"scale": size, "mesh": s.mesh(object{"attributes": object{"POSITION": at}, "indices": s.accessor(uint16Comp, "SCALAR", x...)})})
		list = append(list, good(name, s.glb(), "positions are whole numbers", 12, append(cubeWant(), "notes: scaled-by-root")...))
	}

	// A morph target that raises the top, half of it in the file's own pose.
	s = newSketch()
	target := s.add("accessors", object{"componentType": 5126, "type": "VEC3", "count": 8,
		"min": []float64{0, 0, 0}, "max": []float64{0, 0, 2},
		"sparse": object{"count": 4,
			"indices": object{"bufferView": s.view(pack(uint8Comp, 4, 5, 6, 7)), "componentType": 5121},
			"values":  object{"bufferView": s.view(pack(float32Comp, 0, 0, 2, 0, 0, 2, 0, 0, 2, 0, 0, 2))}}})
	full := s.floats("VEC3", make([]float64, 24)...)
	m := s.mesh(object{"attributes": object{"POSITION": s.floats("VEC3", c...)}, "indices": s.accessor(uint16Comp, "SCALAR", x...),
		"targets": []any{object{"POSITION": target}, object{"POSITION": full}}})
	s.get("meshes", m)["weights"] = []float64{0.5, 1}
	s.node(object{"mesh": m})
	list = append(list, good("morph.glb", s.glb(), "the weights of the mesh raise its top by one", 12, "parts: 1", "closed: yes", "volume: 8", "size: 1 2 4"))

	list = append(list, skinVector("skin.glb"), skinVector("skin-quantized.glb"), animationVector(), compressedVector("draco.glb"), compressedVector("meshopt.glb"), compressedVector("meshopt-beside-plain.glb"))

	s = newSketch()
	both := s.floats("VEC3", 1, 0, 0, 0, 1, 0, 0, 0, 1)
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": both, "NORMAL": both}})})
	list = append(list, good("two-meanings.glb", s.glb(), "positions are normals too", 1, "parts: 1", "closed: no", "size: 1 1 1", "notes: scaled-by-root"))

	s = newSketch()
	over := s.floats("VEC3", 0, 0, 0, 1, 0, 0, 0, 1, 0)
	s.add("accessors", object{"bufferView": 0, "byteOffset": 8, "componentType": 5126, "type": "VEC2", "count": 3})
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": over, "TEXCOORD_0": over + 1}})})
	list = append(list, good("overlapping-meanings.glb", s.glb(), "positions lie over texture coordinates", 1, "parts: 1", "closed: no", "size: 1 1 0", "notes: scaled-by-root"))
	return list
}

// skinVector is a box whose upper half follows a joint that stands higher than when it was
// bound.
func skinVector(name string) vector {
	c, x := cube(1, 2, 3)
	s := newSketch()
	var joints, weights []float64
	for i := 0; i < len(c); i += 3 {
		j := 0.0
		if c[i+2] > 0 {
			j = 1
		}
		joints, weights = append(joints, j, 0, 0, 0), append(weights, 1, 0, 0, 0)
	}
	unit := 1.0
	if name == "skin-quantized.glb" {
		unit = 1.0 / 1024
	}
	inverse := s.floats("MAT4",
		unit, 0, 0, 0, 0, unit, 0, 0, 0, 0, unit, 0, -7, 0, 0, 1,
		unit, 0, 0, 0, 0, unit, 0, 0, 0, 0, unit, 0, -7, 0, -3, 1)
	m := s.mesh(object{"indices": s.accessor(uint16Comp, "SCALAR", x...), "attributes": object{
		"POSITION": s.floats("VEC3", c...), "JOINTS_0": s.accessor(uint8Comp, "VEC4", joints...), "WEIGHTS_0": s.floats("VEC4", weights...)}})
	s.get("accessors", 2)["min"], s.get("accessors", 2)["max"] = []float64{0, 0, 0}, []float64{1, 2, 3}
	want := []string{"parts: 1", "closed: yes", "volume: 10", "size: 1 2 5"}
	if unit != 1 {
		var q []float64
		for i := 0; i < len(c); i += 3 {
			q = append(q, 1024*c[i], 1024*c[i+1], 1024*c[i+2], 0)
		}
		at := s.get("accessors", 2)
		at["bufferView"] = s.view(pack(int16Comp, q...), object{"byteStride": 8})
		at["componentType"], at["min"], at["max"] = int(int16Comp), []int{0, 0, 0}, []int{1024, 2048, 3072}
		s.root["extensionsUsed"] = []string{"KHR_mesh_quantization"}
		s.root["extensionsRequired"] = []string{"KHR_mesh_quantization"}
		want = append(want, "notes: scaled-by-root")
	}
	upper := s.inner(object{"translation": []float64{0, 0, 5}})
	root := s.node(object{"translation": []float64{7, 0, 0}, "children": []int{upper}})
	s.node(object{"name": "figure", "mesh": m, "skin": 0, "translation": []float64{100, 100, 100}})
	s.add("skins", object{"joints": []int{root, upper}, "inverseBindMatrices": inverse})
	return good(name, s.glb(), "joints pose it, two units higher than bound; its own node does not count", 12, want...)
}

func animationVector() vector {
	s := newSketch()
	n := s.node(object{"name": "crane", "mesh": s.cubeMesh(1, 2, 3), "translation": []float64{1, 0, 0}})
	times := s.floats("SCALAR", 0, 1)
	straight := s.floats("VEC3", 1, 0, 0, 2, 0, 0)
	curved := s.floats("VEC3", 0, 0, 0, 1, 0, 0, 3, 0, 0, 3, 0, 0, 2, 0, 0, 0, 0, 0)
	turning := s.floats("VEC4", 0, 0, 0, 1, 0, 1, 0, 0)
	for i, out := range []int{straight, curved} {
		s.add("animations", object{
			"samplers": []any{
				object{"input": times, "output": out, "interpolation": []string{"LINEAR", "CUBICSPLINE"}[i]},
				object{"input": times, "output": turning},
			},
			"channels": []any{
				object{"sampler": 0, "target": object{"node": n, "path": "translation"}},
				object{"sampler": 1, "target": object{"node": n, "path": "rotation"}},
			},
		})
	}
	return good("animation.glb", s.glb(), "translations move, straight and along a spline", 12, cubeWant()...)
}

// compressedVector is a box whose positions are (said to be) compressed.
func compressedVector(name string) vector {
	c, x := cube(1, 2, 3)
	s := newSketch()
	at := s.floats("VEC3", c...)
	index := s.accessor(uint16Comp, "SCALAR", x...)
	p := object{"attributes": object{"POSITION": at}, "indices": index}
	notes := "notes: compressed, scaled-by-root"
	switch name {
	case "draco.glb":
		p["extensions"] = object{draco: object{"bufferView": s.view([]byte("DRACO.. not really")), "attributes": object{"POSITION": 0}}}
		delete(s.get("accessors", at), "bufferView")
		delete(s.get("accessors", index), "bufferView")
		s.root["extensionsUsed"] = []string{draco}
		s.root["extensionsRequired"] = []string{draco}
	default:
		plain := name == "meshopt-beside-plain.glb"
		ext := meshoptNames()[0]
		n := len(s.bin)
		for i := range 2 {
			v := s.get("bufferViews", i)
			v["buffer"] = 1
			v["extensions"] = object{ext: object{"buffer": 0, "byteOffset": n, "byteLength": 16, "byteStride": 4, "count": 4, "mode": "ATTRIBUTES"}}
		}
		s.bin = append(s.bin, "not compressed.."...)
		fallback := object{"byteLength": n, "extensions": object{ext: object{"fallback": true}}}
		if plain {
			fallback = object{"byteLength": n, "uri": "data:application/octet-stream;base64," + base64Of(s.bin[:n])}
			notes = "notes: scaled-by-root"
		}
		s.root["buffers"] = []any{object{"byteLength": len(s.bin)}, fallback}
		s.root["extensionsUsed"] = []string{ext}
		if !plain {
			s.root["extensionsRequired"] = []string{ext}
		}
	}
	s.node(object{"mesh": s.mesh(p), "translation": []float64{5, 0, 0}, "rotation": turnY()})
	if name == "meshopt-beside-plain.glb" {
		return good(name, s.glb(), "compressed, but the plain bytes are there too", 12, "parts: 1", "closed: yes", "volume: 6", "size: 3 2 1", notes)
	}
	return good(name, s.glb(), "only the claimed bounds give a size", 12, "parts: 1", "size: 3 2 1", notes)
}
