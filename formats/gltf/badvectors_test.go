package gltf

import (
	"bytes"
	"strings"

	"scantling/formats/internal/fault"
)

func bad(name string, b []byte, code fault.Code, why string) vector {
	return vector{name: name, bytes: b, want: []string{"expect: " + string(code), "why: " + why, "from: made by formats/gltf"}}
}

// badVectors are documents that break a rule each.
func badVectors() []vector {
	cubeOf := func(change func(s *sketch)) *sketch {
		s := newSketch()
		s.node(object{"mesh": s.cubeMesh(1, 2, 3)})
		change(s)
		return s
	}
	// broken is a container with one thing changed.
	broken := func(name string, code fault.Code, why string, change func(s *sketch)) vector {
		return bad(name+".glb", cubeOf(change).glb(), code, why)
	}
	// patched is a container with some bytes of its frame changed.
	patched := func(name string, code fault.Code, why string, at int, words ...uint32) vector {
		b := cubeOf(func(*sketch) {}).glb()
		copy(b[at:], le32(words...))
		return bad(name+".glb", b, code, why)
	}
	refers := func(name, uri string, code fault.Code, why string) vector {
		return bad(name+".gltf", cubeOf(func(*sketch) {}).beside(uri), code, why)
	}
	position := func(s *sketch) object { return s.get("accessors", 0) }
	whole := cubeOf(func(*sketch) {}).glb()
	text := string(cubeOf(func(*sketch) {}).text())

	list := []vector{
		bad("empty.glb", nil, fault.Empty, "no bytes"),
		bad("words.gltf", []byte("This is no model.\n"), fault.NotAModel, "words"),
		bad("cut-in-header.glb", whole[:9], fault.Truncated, "ends within the header"),
		bad("cut-in-json.glb", whole[:100], fault.Truncated, "ends within the document"),
		bad("cut-in-buffer.glb", whole[:len(whole)-8], fault.Truncated, "ends within the buffer"),
		bad("cut-text.gltf", []byte(text[:len(text)/2]), fault.Truncated, "the text ends within the document"),
		bad("bad-json.gltf", []byte(strings.Replace(text, `"count":8`, `"count":8,,`, 1)), fault.Syntax, "two commas"),
		bad("bad-number.gltf", []byte(strings.Replace(text, `"count":8`, `"count":1e999`, 1)), fault.BadNumber, "a number beyond all"),
		bad("half-element.gltf", []byte(strings.Replace(text, `"count":8`, `"count":7.5`, 1)), fault.BadNumber, "half an element"),
		bad("bad-base64.gltf", []byte(strings.Replace(text, `base64,`, `base64,!`, 1)), fault.Syntax, "no base64"),
		bad("deep.gltf", []byte(`{"asset":{"version":"2.0","extras":`+strings.Repeat("[", 100000)), fault.Syntax, "a hundred thousand brackets"),
		patched("chunk-too-long", fault.Truncated, "the document's chunk claims four thousand million bytes", 12, 0xfffffff0),
		patched("not-json-first", fault.Syntax, "the first chunk is none of JSON", 16, 0x11111111),
		patched("container-1", fault.Unsupported, "binary glTF version 1", 4, 1),
		patched("container-too-long", fault.Truncated, "the container claims more than the file has", 8, 0xfffffff0),
		bad("no-chunks.glb", append([]byte(glbMagic), le32(2, 12)...), fault.Truncated, "a container without chunks"),
		broken("version-1", fault.Unsupported, "glTF 1.0", func(s *sketch) { s.root["asset"] = object{"version": "1.0"} }),
		broken("needs-2.9", fault.Unsupported, "needs a later version", func(s *sketch) { s.root["asset"] = object{"version": "2.9", "minVersion": "2.9"} }),
		broken("no-asset", fault.Syntax, "says no version", func(s *sketch) { delete(s.root, "asset") }),
		broken("required-unknown", fault.Unsupported, "requires an extension that may change shapes", func(s *sketch) {
			s.root["extensionsRequired"] = []string{"ACME_bent_triangles"}
		}),

		refers("missing-side-file", "not-there.bin", fault.MissingFile, "no such file"),
		refers("climbs", "../cube.bin", fault.Outside, "one folder up"),
		refers("climbs-and-returns", "a/../../gltf/cube.bin", fault.Outside, "up and down again"),
		refers("climbs-encoded", "%2e%2E%2fcube.bin", fault.Outside, "one folder up, percent-encoded"),
		refers("climbs-backslash", `..\cube.bin`, fault.Outside, "one folder up, by a backslash"),
		refers("climbs-backslash-encoded", "..%5Ccube.bin", fault.Outside, "one folder up, by an encoded backslash"),
		refers("absolute", "/etc/hostname", fault.Outside, "an absolute path"),
		refers("absolute-encoded", "%2Fetc/hostname", fault.Outside, "an absolute path, percent-encoded"),
		refers("share", "//server/share/cube.bin", fault.Outside, "another computer's folder"),
		refers("drive", `C:/cube.bin`, fault.Outside, "a drive"),
		refers("drive-encoded", `c%3A/cube.bin`, fault.Outside, "a drive, percent-encoded"),
		refers("file-scheme", "file:///etc/hostname", fault.Outside, "a file by its scheme"),
		refers("network", "https://example.org/cube.bin", fault.Network, "on the network"),
		refers("network-odd", "Ftp:cube.bin", fault.Network, "another scheme"),
		broken("image-outside", fault.Outside, "an image one folder up", func(s *sketch) { s.add("images", object{"uri": "../picture.png"}) }),
		broken("image-missing", fault.MissingFile, "an image that is not there", func(s *sketch) { s.add("images", object{"uri": "picture.png"}) }),
		broken("image-network", fault.Network, "an image on the network", func(s *sketch) { s.add("images", object{"uri": "http://example.org/p.png"}) }),

		broken("buffer-too-short", fault.Truncated, "the buffer claims more than is there", func(s *sketch) {
			s.root["buffers"] = []any{object{"byteLength": int64(1) << 40}}
		}),
		broken("buffer-nowhere", fault.MissingFile, "the second buffer has no bytes", func(s *sketch) {
			s.root["buffers"] = []any{object{"byteLength": len(s.bin)}, object{"byteLength": 1000}}
			s.get("bufferViews", 0)["buffer"] = 1
		}),
		broken("negative-length", fault.BadRange, "a buffer of less than nothing", func(s *sketch) {
			s.root["buffers"] = []any{object{"byteLength": -1}}
		}),
		broken("view-past-buffer", fault.BadRange, "a view past its buffer", func(s *sketch) { s.get("bufferViews", 0)["byteLength"] = 100000 }),
		broken("view-sum-overflows", fault.BadRange, "offset and length add up past every number", func(s *sketch) {
			s.get("bufferViews", 0)["byteOffset"] = int64(1) << 53
			s.get("bufferViews", 0)["byteLength"] = int64(1) << 53
		}),
		broken("view-negative", fault.BadRange, "a view before its buffer", func(s *sketch) { s.get("bufferViews", 0)["byteOffset"] = -4 }),
		broken("accessor-past-view", fault.BadRange, "one element too many", func(s *sketch) { position(s)["count"] = 9 }),
		broken("accessor-offset-past-view", fault.BadRange, "an offset past the view", func(s *sketch) { position(s)["byteOffset"] = 1000 }),
		broken("accessor-huge", fault.BadRange, "as many elements as a number can say", func(s *sketch) { position(s)["count"] = int64(1) << 53 }),
		broken("accessor-beyond", fault.BadRange, "more elements than a number can say", func(s *sketch) { position(s)["count"] = 1e300 }),
		broken("accessor-of-nothing", fault.BadRange, "a thousand million zeros without a view", func(s *sketch) {
			delete(position(s), "bufferView")
			position(s)["count"] = 1_000_000_000
		}),
		broken("stride-too-small", fault.BadRange, "elements closer than their size", func(s *sketch) { s.get("bufferViews", 0)["byteStride"] = 4 }),
		broken("positions-of-two", fault.Syntax, "positions without z", func(s *sketch) {
			position(s)["type"] = "VEC2"
			delete(position(s), "min")
			delete(position(s), "max")
		}),
		broken("indices-of-floats", fault.Syntax, "indices that are no whole numbers", func(s *sketch) {
			s.get("accessors", 1)["componentType"] = 5126
			s.get("accessors", 1)["count"] = 3
		}),
		broken("view-index-past", fault.BadIndex, "an accessor of a view that is not there", func(s *sketch) { position(s)["bufferView"] = 7 }),
		broken("view-index-negative", fault.BadIndex, "an accessor of a view before the first", func(s *sketch) { position(s)["bufferView"] = -1 }),
		broken("mesh-index-past", fault.BadIndex, "a node of a mesh that is not there", func(s *sketch) { s.get("nodes", 0)["mesh"] = 5 }),
		broken("scene-index-past", fault.BadIndex, "a default scene that is not there", func(s *sketch) { s.root["scene"] = 5 }),
		broken("list-of-numbers", fault.Syntax, "nodes that are no objects", func(s *sketch) { s.root["nodes"] = []int{1} }),
		broken("short-translation", fault.Syntax, "a translation of two numbers", func(s *sketch) { s.get("nodes", 0)["translation"] = []int{1, 2} }),

		broken("own-child", fault.Cycle, "a node that is its own child", func(s *sketch) { s.get("nodes", 0)["children"] = []int{0} }),
		broken("cycle", fault.Cycle, "two nodes that contain each other", func(s *sketch) {
			s.inner(object{"children": []int{2}})
			s.inner(object{"children": []int{1}})
		}),
		broken("two-parents", fault.Cycle, "a node in two others", func(s *sketch) {
			s.inner(object{})
			s.inner(object{"children": []int{1}})
			s.inner(object{"children": []int{1}})
		}),
		broken("root-in-node", fault.Cycle, "a scene's root that another node contains", func(s *sketch) { s.inner(object{"children": []int{0}}) }),

		broken("only-meshes", fault.NoTriangles, "no node shows the mesh", func(s *sketch) {
			delete(s.root, "nodes")
			delete(s.root, "scenes")
			delete(s.root, "scene")
		}),
		broken("only-lines", fault.NoTriangles, "lines alone", func(s *sketch) {
			s.get("meshes", 0)["primitives"].([]any)[0].(object)["mode"] = 1
		}),
	}

	s := newSketch()
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": s.floats("VEC3", 0, 0, 0, 1, 0, 0, 0, 1, 0)},
		"indices": s.accessor(uint8Comp, "SCALAR", 0, 1, 3)})})
	list = append(list, bad("index-past-vertices.glb", s.glb(), fault.BadIndex, "vertex 3 of 3"))

	for name, bits := range map[string]uint32{"not-a-number": 0x7fc00000, "infinite": 0x7f800000} {
		s := cubeOf(func(*sketch) {})
		copy(s.bin[16:], le32(bits))
		list = append(list, bad(name+".glb", s.glb(), fault.BadNumber, "a coordinate that is none"))
	}

	s = newSketch()
	c, x := cube(1, 1, 1)
	at := s.add("accessors", object{"componentType": 5126, "type": "VEC3", "count": 8, "sparse": object{"count": 1,
		"indices": object{"bufferView": s.view([]byte{8}), "componentType": 5121},
		"values":  object{"bufferView": s.view(pack(float32Comp, 1, 1, 1))}}})
	s.node(object{"mesh": s.mesh(object{"attributes": object{"POSITION": at}, "indices": s.accessor(uint16Comp, "SCALAR", x...)})})
	list = append(list, bad("sparse-past.glb", s.glb(), fault.BadIndex, "the ninth of eight elements differs"))

	skin := skinVector("x.glb")
	list = append(list, bad("joint-past.glb", bytes.Replace(skin.bytes, []byte{1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, []byte{2, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, 1),
		fault.BadIndex, "a vertex follows the third of two joints"))

	// A small file that asks for more triangles than anyone could ever look at.
	s = newSketch()
	var few []float64
	for range 1000 {
		few = append(few, x...)
	}
	m := s.mesh(object{"attributes": object{"POSITION": s.floats("VEC3", c...)}, "indices": s.accessor(uint8Comp, "SCALAR", few...)})
	s.node(object{"mesh": m, "extensions": object{"EXT_mesh_gpu_instancing": object{"attributes": object{
		"TRANSLATION": s.add("accessors", object{"componentType": 5126, "type": "VEC3", "count": 1000000})}}}})
	list = append(list, bad("instances-without-end.glb", s.glb(), fault.Unsupported, "a million instances of twelve thousand triangles"))

	s = newSketch()
	prim := object{"attributes": object{"POSITION": s.floats("VEC3", c...)}, "indices": s.accessor(uint8Comp, "SCALAR", few...)}
	m = s.mesh(prim)
	var again []any
	for range 1000 {
		again = append(again, prim)
	}
	s.get("meshes", m)["primitives"] = again
	s.node(object{"mesh": m})
	list = append(list, bad("one-accessor-again-and-again.glb", s.glb(), fault.BadRange, "a thousand primitives of the same twelve thousand triangles"))
	return list
}
