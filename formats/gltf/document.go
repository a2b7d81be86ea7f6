package gltf

import (
	"fmt"
	"slices"
	"strings"

	"scantling/formats/internal/fault"
)

// A document is what the JSON says, as far as sizes need it, every index and every range
// proved. What is not here stays in the tree and comes through a copy untouched.
type document struct {
	json       *tree
	buffers    []buffer
	views      []view
	accessors  []accessor
	meshes     []meshDef
	nodes      []node
	skins      []skin
	scenes     []scene
	scene      int // the default scene; -1 where there are no scenes
	animations []animation
}

// A buffer is a run of bytes somewhere.
type buffer struct {
	v     value
	bytes int64
	uri   value
	// fallback: a stand-in for compressed views, which may be nowhere.
	fallback bool
	blob     int // where its bytes are; -1 for nowhere
}

// A view is a part of a buffer.
type view struct {
	v                     value
	buffer                int
	offset, bytes, stride int64
	packed                *packed // nil where it is not compressed
}

// packed is where a view's compressed bytes are.
type packed struct {
	buffer        int
	offset, bytes int64
}

// An accessor is a list of elements in a view.
type accessor struct {
	v          value
	view       int // -1: all zero
	offset     int64
	count      int64
	comp       component
	dims       int   // components an element; 0 for a type that is not glTF 2.0
	size       int64 // bytes an element
	stride     int64 // bytes from one element to the next
	normalized bool
	min, max   []float64 // nil where not given
	sparse     *sparse
}

// sparse says which elements differ from those in the view.
type sparse struct {
	count                  int64
	indexView, valueView   int
	indexOffset, valOffset int64
	indexComp              component
}

// A component is a number type, by its glTF code.
type component int

const (
	int8Comp    component = 5120
	uint8Comp   component = 5121
	int16Comp   component = 5122
	uint16Comp  component = 5123
	uint32Comp  component = 5125
	float32Comp component = 5126
)

// size is the bytes of one number, 0 for a type that is not glTF 2.0.
func (c component) size() int64 {
	switch c {
	case int8Comp, uint8Comp:
		return 1
	case int16Comp, uint16Comp:
		return 2
	case uint32Comp, float32Comp:
		return 4
	}
	return 0
}

// A primitive is a run of triangles, lines or points with one set of vertices.
type primitive struct {
	v        value
	mode     int64
	position int // -1: none
	indices  int // -1: the vertices as they come
	joints   []int
	weights  []int
	targets  []int // POSITION of each morph target, -1: none
	draco    bool
}

// The modes that are triangles.
const (
	modeTriangles = 4
	modeStrip     = 5
	modeFan       = 6
)

type meshDef struct {
	name       string
	primitives []primitive
	weights    []float64
}

type node struct {
	v            value
	name         string
	parent       int // -1: a root
	children     []int
	mesh, skin   int
	weights      []float64 // nil: the mesh's
	local        affine
	instanced    bool
	instances    [3]int // accessors of translation, rotation, scale; -1: none
	instanceSize int64
}

type skin struct {
	inverse int // accessor of the inverse bind matrices; -1: identity
	joints  []int
}

type scene struct {
	v     value
	roots []int
}

// An animation is what moves: pairs of what is animated and by which accessors.
type animation struct {
	samplers [][2]int // input and output accessor
	channels []channel
}

type channel struct {
	sampler int
	path    string // "translation", "pointer", ...
	pointer string // KHR_animation_pointer
}

// draco is the extension that compresses whole primitives.
const draco = "KHR_draco_mesh_compression"

// meshoptNames are the names of the one that compresses views.
func meshoptNames() []string { return []string{"EXT_meshopt_compression", "KHR_meshopt_compression"} }

// meshopt is what it says about a view or a buffer.
func meshopt(v value) value {
	for _, name := range meshoptNames() {
		if m := v.at("extensions", name); m.kind() == kindObject {
			return m
		}
	}
	return value{}
}

// readDocument takes the tree apart and proves every index and range in it, but for those
// of buffers to their files.
func (d *decoder) readDocument(t *tree) *document {
	root := t.root()
	doc := &document{json: t}
	if root.kind() != kindObject {
		d.fail(fault.Syntax, root, "not an object")
		return doc
	}
	d.version(root)
	d.required(root)
	d.readBuffers(doc, root)
	d.readAccessors(doc, root)
	d.readNodes(doc, root)
	return doc
}

func (d *decoder) version(root value) {
	asset := root.get("asset")
	if asset.kind() != kindObject {
		d.fail(fault.Syntax, root, "has no asset")
		return
	}
	for _, name := range []string{"version", "minVersion"} {
		v := asset.get(name)
		if name == "minVersion" && v.kind() == kindNone {
			continue
		}
		s := v.str()
		if !strings.HasPrefix(s, "2.") {
			d.fail(fault.Unsupported, asset, fmt.Sprintf("%s %q", name, s))
		} else if name == "minVersion" && s != "2.0" {
			d.fail(fault.Unsupported, v, fmt.Sprintf("needs at least version %q", s))
		}
	}
}

// required refuses extensions that could move or replace triangles in a way that is not
// known here. Looks, lights, sound and words do not matter for sizes.
func (d *decoder) required(root value) {
	for _, v := range d.list(root, "extensionsRequired") {
		switch name := v.str(); {
		case name == draco, slices.Contains(meshoptNames(), name),
			name == "KHR_mesh_quantization", name == "EXT_mesh_gpu_instancing",
			name == "KHR_animation_pointer", name == "KHR_techniques_webgl",
			name == "KHR_node_visibility", name == "KHR_xmp", name == "KHR_xmp_json_ld":
		case strings.Contains(name, "_materials_"), strings.Contains(name, "_texture_"),
			strings.Contains(name, "_image_"), strings.Contains(name, "_lights_"),
			strings.Contains(name, "_audio"):
		default:
			d.fail(fault.Unsupported, v, fmt.Sprintf("requires the extension %q", name))
		}
	}
}

func (d *decoder) readBuffers(doc *document, root value) {
	for _, v := range d.objects(root, "buffers") {
		d.must(v, "byteLength")
		b := buffer{v: v, bytes: d.bytes(v, "byteLength", 0), uri: v.get("uri"), blob: -1}
		if k := b.uri.kind(); k != kindNone && k != kindString {
			d.fail(fault.Syntax, b.uri, "not a string")
		}
		b.fallback = string(meshopt(v).get("fallback").raw()) == "true"
		doc.buffers = append(doc.buffers, b)
	}
	for _, v := range d.objects(root, "bufferViews") {
		d.must(v, "buffer")
		d.must(v, "byteLength")
		w := view{
			v:      v,
			buffer: d.index(v, "buffer", len(doc.buffers)),
			offset: d.bytes(v, "byteOffset", 0),
			bytes:  d.bytes(v, "byteLength", 0),
			stride: d.bytes(v, "byteStride", 0),
		}
		if m := meshopt(v); m.kind() != kindNone {
			d.must(m, "buffer")
			d.must(m, "byteLength")
			w.packed = &packed{
				buffer: d.index(m, "buffer", len(doc.buffers)),
				offset: d.bytes(m, "byteOffset", 0),
				bytes:  d.bytes(m, "byteLength", 0),
			}
		}
		if d.err != nil {
			return
		}
		d.within(v, "buffer", w.offset, w.bytes, doc.buffers[w.buffer].bytes)
		if p := w.packed; p != nil {
			d.within(meshopt(v), "buffer", p.offset, p.bytes, doc.buffers[p.buffer].bytes)
		}
		doc.views = append(doc.views, w)
	}
}

// within proves that n bytes from offset on lie within the first all.
func (d *decoder) within(v value, of string, offset, n, all int64) {
	if offset > all || n > all-offset {
		d.fail(fault.BadRange, v, fmt.Sprintf("%d bytes from %d do not fit in its %s of %d", n, offset, of, all))
	}
}

func (d *decoder) readAccessors(doc *document, root value) {
	for _, v := range d.objects(root, "accessors") {
		d.must(v, "count")
		d.must(v, "componentType")
		a := accessor{
			v:      v,
			view:   d.index(v, "bufferView", len(doc.views)),
			offset: d.bytes(v, "byteOffset", 0),
			count:  d.bytes(v, "count", 0),
			comp:   component(d.whole(v, "componentType", 0, 1<<20, fault.Unsupported)),
			min:    d.numbers(v, "min"),
			max:    d.numbers(v, "max"),
		}
		a.normalized = string(v.get("normalized").raw()) == "true"
		a.dims, a.size = elementSize(v.get("type").str(), a.comp)
		if s := v.get("sparse"); s.kind() == kindObject {
			a.sparse = d.readSparse(doc, a, s)
		}
		if d.err != nil {
			return
		}
		a.stride = a.size
		if a.view >= 0 {
			w := doc.views[a.view]
			if w.stride > 0 {
				a.stride = w.stride
			}
			d.fits(v, "view", a.offset, a.count, a.size, a.stride, w.bytes)
		}
		if a.dims == 0 {
			a.min, a.max = nil, nil
		}
		for _, name := range []string{"min", "max"} {
			if bounds := v.get(name); bounds.kind() != kindNone && a.dims > 0 && len(bounds.items()) != a.dims {
				d.fail(fault.Syntax, bounds, fmt.Sprintf("%d numbers instead of %d", len(bounds.items()), a.dims))
			}
		}
		doc.accessors = append(doc.accessors, a)
	}
}

// elementSize is the components and bytes of one element, columns of matrices padded to
// four bytes; 0 for types that are not glTF 2.0.
func elementSize(kind string, c component) (dims int, size int64) {
	n := c.size()
	if n == 0 {
		return 0, 0
	}
	switch kind {
	case "SCALAR":
		return 1, n
	case "VEC2":
		return 2, 2 * n
	case "VEC3":
		return 3, 3 * n
	case "VEC4":
		return 4, 4 * n
	case "MAT2":
		return 4, 2 * ((2*n + 3) &^ 3)
	case "MAT3":
		return 9, 3 * ((3*n + 3) &^ 3)
	case "MAT4":
		return 16, 16 * n
	}
	return 0, 0
}

// fits proves that count elements lie within a view of all bytes. No sum is made that
// could overflow.
func (d *decoder) fits(v value, of string, offset, count, size, stride, all int64) {
	if count == 0 || size == 0 {
		return
	}
	if stride < size {
		d.fail(fault.BadRange, v, fmt.Sprintf("a stride of %d is less than an element of %d bytes", stride, size))
		return
	}
	if offset > all || size > all-offset || count-1 > (all-offset-size)/stride {
		d.fail(fault.BadRange, v, fmt.Sprintf("%d elements from byte %d do not fit in its %s of %d bytes", count, offset, of, all))
	}
}

func (d *decoder) readSparse(doc *document, a accessor, v value) *sparse {
	indices, values := v.get("indices"), v.get("values")
	d.must(v, "count")
	if indices.kind() != kindObject || values.kind() != kindObject {
		d.fail(fault.Syntax, v, "has no indices or no values")
		return nil
	}
	d.must(indices, "bufferView")
	d.must(values, "bufferView")
	s := &sparse{
		count:       d.whole(v, "count", 0, a.count, fault.BadRange),
		indexView:   d.index(indices, "bufferView", len(doc.views)),
		indexOffset: d.bytes(indices, "byteOffset", 0),
		indexComp:   component(d.whole(indices, "componentType", 0, 1<<20, fault.Unsupported)),
		valueView:   d.index(values, "bufferView", len(doc.views)),
		valOffset:   d.bytes(values, "byteOffset", 0),
	}
	switch s.indexComp {
	case uint8Comp, uint16Comp, uint32Comp:
	default:
		d.fail(fault.Syntax, indices, "indices of a type that is not whole numbers")
	}
	if d.err != nil {
		return nil
	}
	n := s.indexComp.size()
	d.fits(indices, "view", s.indexOffset, s.count, n, n, doc.views[s.indexView].bytes)
	d.fits(values, "view", s.valOffset, s.count, a.size, a.size, doc.views[s.valueView].bytes)
	return s
}
