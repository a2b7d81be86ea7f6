package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"scantling/assets"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats"
)

// drawn is the kit, drawn once for all tests.
var drawn = sync.OnceValue(kit)

// The kit in the assets is what the drawing gives, twice over, and nothing else.
func TestKitIsAsDrawn(t *testing.T) {
	again := kit()
	total := 0
	for i, f := range drawn() {
		kept, err := fs.ReadFile(assets.Demo(), f.name)
		if err != nil || !bytes.Equal(kept, f.content) {
			t.Errorf("%s: the assets have other bytes (%v); go generate ./assets", f.name, err)
		}
		if !bytes.Equal(f.content, again[i].content) {
			t.Errorf("%s: drawn twice, it differs", f.name)
		}
		total += len(f.content)
	}
	kept, err := fs.ReadDir(assets.Demo(), ".")
	if err != nil || len(kept) != len(again) {
		t.Errorf("the assets have %d files, the drawing %d (%v)", len(kept), len(again), err)
	}
	if total > 8<<20 {
		t.Errorf("the kit has %d bytes", total)
	}
}

// Every body is closed and faces outwards, in as many shells as it was made of.
func TestBodiesAreClosed(t *testing.T) {
	shells := map[string]int{
		"funnel": 3, "rail": 14, "searchlight": 2, "winch_frame": 5, "lifebuoy": 2, "propeller": 5,
		"rudder": 2, "steering_stand": 2, "steering_wheel": 10,
		"bollard aft port": 4, "bollard aft starboard": 4, "bollard fore": 4,
	}
	triangles := 0
	for _, f := range drawn() {
		for _, m := range f.bodies {
			triangles += m.Len()
			got, err := mesh.TopologyOf(t.Context(), m, nil)
			if err != nil {
				t.Fatal(err)
			}
			if !got.Closed || got.Degenerate != 0 || got.Shells != max(1, shells[m.Name]) {
				t.Errorf("%s: %+v, want %d shells", m.Name, got, max(1, shells[m.Name]))
			}
			if v := mesh.MeasuresOf(m); v.Volume <= 0 || v.Degenerate != 0 {
				t.Errorf("%s: volume %v, %d triangles without area", m.Name, v.Volume, v.Degenerate)
			}
		}
	}
	if triangles < 50_000 || triangles > 200_000 {
		t.Errorf("the kit has %d triangles", triangles)
	}
	t.Logf("%d triangles", triangles)
}

func bodies() map[string]*mesh.Mesh {
	all := map[string]*mesh.Mesh{}
	for _, f := range drawn() {
		for _, m := range f.bodies {
			all[m.Name] = m
		}
	}
	return all
}

// Times the native ratio, things have the sizes of the real ones.
func TestTrueSizes(t *testing.T) {
	all := bodies()
	all["tyre"] = tyre().model("tyre") // before it is hung on the hull
	for _, c := range []struct {
		name      string
		axis      geom.Axis
		want, off float64 // mm
		from      string
	}{
		{"hull", geom.X, 14000, 250, "the drawing: about 14 m"},
		{"hull", geom.Y, 4400, 100, "the drawing: 4.2 m and rails"},
		{"helmsman", geom.Z, 1750, 5, "the drawing, boots and cap included"},
		{"rail", geom.Z, 1000, 1, "Load Line Convention, regulation 25 (from memory)"},
		{"tyre", geom.Z, 631.9, 2, "205/55R16 by its marking"},
		{"tyre", geom.Y, 205, 0.1, "205/55R16 by its marking"},
		{"mast", geom.Z, 4800, 60, "the drawing"},
	} {
		if got := mesh.MeasuresOf(all[c.name]).Box.Size()[c.axis] * native; math.Abs(got-c.want) > c.off {
			t.Errorf("%s along %v: %.1f mm, want %v (%s)", c.name, c.axis, got, c.want, c.from)
		}
	}

	// The lifebuoy's ring without its line: LSA Code, at most 800 outside, at least 400 inside.
	ring := mesh.MeasuresOf(all["lifebuoy"]).Box.Centre()
	least := math.Inf(1)
	for _, v := range all["lifebuoy"].Vertices {
		least = min(least, math.Hypot(float64(v[0])-ring[0], float64(v[2])-ring[2])*native)
	}
	if 2*least < 440 || 2*least > 460.5 {
		t.Errorf("the lifebuoy is %v mm inside", 2*least)
	}

	// The door's four corners, outside: a leaf of 1981 × 762 mm.
	const x, z, y = 500.0, houseTop + 120, -980.0
	for _, want := range []geom.Vec{{x, y, z}, {x + 762, y, z}, {x, y, z + 1981}, {x + 762, y, z + 1981}} {
		if d := nearest(all["wheelhouse"], want); d > 0.01 {
			t.Errorf("no corner of the door at %v, the nearest is %v mm off", want, d)
		}
	}
	if d := nearest(all["chair"], geom.Vec{helmX - 330, 560, houseTop + 450}); d > 15 {
		t.Errorf("the chair's seat is %v mm from where it should be", d)
	}
}

// nearest is how far the nearest corner is from a point of the real tug, in mm.
func nearest(m *mesh.Mesh, p geom.Vec) float64 {
	least := math.Inf(1)
	for i := range m.Vertices {
		least = min(least, m.Vertex(uint32(i)).Scale(native).Sub(p).Len())
	}
	return least
}

// The mast's peg stands free in its socket by the gap that was meant.
func TestPegAndHole(t *testing.T) {
	all := bodies()
	radius := func(name string, low, high float64) (least, most float64) {
		least = math.Inf(1)
		for i := range all[name].Vertices {
			v := all[name].Vertex(uint32(i))
			if z := v[2]*native - houseTop; z < low || z > high {
				continue
			}
			if r := math.Hypot(v[0]-mastX/native, v[1]); r > 0.01 {
				least, most = min(least, r), max(most, r)
			}
		}
		return least, most
	}
	hole, _ := radius("mast socket", 30, 201)
	_, peg := radius("mast", 0, 199)
	if gap := hole - peg; math.Abs(gap-pegGap) > 0.001 {
		t.Errorf("the peg has %v mm of room at the native ratio, want %v", gap, pegGap)
	}
	if foot := mesh.MeasuresOf(all["mast"]).Box.Min[2]*native - houseTop; foot <= 34 {
		t.Errorf("the peg's foot is at %v, in the socket's bottom", foot)
	}
}

// The hull's skins stay apart, and the bulwark is as thin as it was meant.
func TestHullHasTwoSkins(t *testing.T) {
	for i := range ringCount / 2 {
		low, high := band(110, 0, 0)[i], band(110, 0, -bulwark)[i]
		if d := high.Sub(low).Len(); math.Abs(d-bulwark) > 0.01 {
			t.Fatalf("the bulwark is %v mm thick at %v", d, low)
		}
	}
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		level := func(t float64) float64 { return share * (0.3 + 0.5*chineAt(t)) }
		for _, p := range inside(waterline(level), shell) {
			if p[1] == 0 {
				continue
			}
			// The hull's half breadth at the same height and place, by halving t.
			low, high := 0.0, 1.0
			at := p[2] / deckAt(p[0])
			for range 60 {
				t := (low + high) / 2
				if onHull(t, at)[0] < p[0] {
					low = t
				} else {
					high = t
				}
			}
			if outer := onHull(low, at)[1]; math.Abs(p[1]) >= outer {
				t.Errorf("at level %v the inner skin is at %v, the outer only %v wide", share, p, outer)
			}
		}
	}
}

// Turned by its nodes, made z up again and put in mm, a GLB file stands where its bodies do.
func TestGLBStandsInTheKit(t *testing.T) {
	for _, f := range drawn() {
		if !strings.HasSuffix(f.name, ".glb") {
			continue
		}
		boxes := readGLB(t, f.content)
		if len(boxes) != len(f.bodies) {
			t.Fatalf("%s: %d nodes, %d bodies", f.name, len(boxes), len(f.bodies))
		}
		for i, m := range f.bodies {
			want := mesh.MeasuresOf(m).Box
			if boxes[i].Min.Sub(want.Min).Len() > 1e-3 || boxes[i].Max.Sub(want.Max).Len() > 1e-3 {
				t.Errorf("%s, %s: stands in %v, want %v", f.name, m.Name, boxes[i], want)
			}
		}
	}
}

// readGLB gives the box of each node that shows the mesh, in the frame of the kit.
func readGLB(t *testing.T, content []byte) []geom.Box {
	t.Helper()
	number := func(at int) int { return int(binary.LittleEndian.Uint32(content[at:])) }
	if string(content[:4]) != "glTF" || number(8) != len(content) || string(content[16:20]) != "JSON" {
		t.Fatal("not a GLB file")
	}
	var document struct {
		Nodes []struct {
			Rotation    *[4]float64
			Translation geom.Vec
			Children    []int
		}
		Accessors []struct{ Count int }
	}
	if err := json.Unmarshal(content[20:20+number(12)], &document); err != nil {
		t.Fatal(err)
	}
	data := content[20+number(12)+8:]
	vertices := make([][3]float32, document.Accessors[0].Count)
	if _, err := binary.Decode(data, binary.LittleEndian, vertices); err != nil {
		t.Fatal(err)
	}
	turn := func(q *[4]float64, p geom.Vec) geom.Vec {
		if q == nil {
			return p
		}
		u := geom.Vec{q[0], q[1], q[2]}
		c := u.Cross(p).Scale(2)
		return p.Add(c.Scale(q[3])).Add(u.Cross(c))
	}
	var boxes []geom.Box
	root := document.Nodes[0]
	for _, child := range root.Children {
		node := document.Nodes[child]
		box := geom.EmptyBox()
		for _, v := range vertices {
			p := turn(node.Rotation, geom.Vec{float64(v[0]), float64(v[1]), float64(v[2])}).Add(node.Translation)
			p = turn(root.Rotation, p) // y up
			box = box.Add(geom.Vec{p[0], -p[2], p[1]}.Scale(1000))
		}
		boxes = append(boxes, box)
	}
	return boxes
}

// The program's own readers find in the files what was drawn.
func TestFormatsReadTheKit(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, assets.Demo()); err != nil {
		t.Fatal(err)
	}
	for _, f := range drawn() {
		if f.name == materialFile {
			continue
		}
		opened, err := formats.Open(t.Context(), filepath.Join(folder, f.name), nil)
		if err != nil {
			t.Errorf("%s: %v", f.name, err)
			continue
		}
		parts := opened.Parts()
		if len(parts) != len(f.bodies) {
			t.Errorf("%s: %d parts, %d bodies drawn", f.name, len(parts), len(f.bodies))
			continue
		}
		for i, part := range parts {
			want := mesh.MeasuresOf(f.bodies[i])
			scale := part.Unit.MM
			if part.Triangles != want.Triangles {
				t.Errorf("%s, %s: %d triangles, want %d", f.name, part.Name, part.Triangles, want.Triangles)
			}
			for what, pair := range map[string][2]float64{
				"area":   {part.Area * scale * scale, want.Area},
				"volume": {part.Volume * scale * scale * scale, want.Volume},
			} {
				if math.Abs(pair[0]-pair[1]) > 1e-4*pair[1] {
					t.Errorf("%s, %s: %s %v, want %v", f.name, part.Name, what, pair[0], pair[1])
				}
			}
			m, err := opened.Mesh(t.Context(), i, nil)
			if err != nil {
				t.Fatal(err)
			}
			got, err := mesh.TopologyOf(t.Context(), m, nil)
			if err != nil || !got.Closed {
				t.Errorf("%s, %s: %+v, %v", f.name, part.Name, got, err)
			}
		}
	}
}

// What the text files say reads back to the corners that were meant.
func TestTextFiles(t *testing.T) {
	for _, f := range drawn() {
		switch {
		case strings.HasSuffix(f.name, ".obj"):
			lines := strings.Split(string(f.content), "\n")
			count := func(prefix string) int {
				return len(slices.DeleteFunc(slices.Clone(lines), func(l string) bool { return !strings.HasPrefix(l, prefix) }))
			}
			vertices, triangles := 0, 0
			for _, m := range f.bodies {
				vertices += len(m.Vertices)
				triangles += m.Len()
			}
			if count("v ") != vertices || count("f ") != triangles || count("o ") != len(f.bodies) {
				t.Errorf("%s has %d v, %d f and %d o", f.name, count("v "), count("f "), count("o "))
			}
		case bytes.HasPrefix(f.content, []byte("solid ")):
			for _, m := range f.bodies {
				text := string(f.content)
				_, text, found := strings.Cut(text, "solid "+m.Name+"\n")
				text, _, closed := strings.Cut(text, "endsolid "+m.Name+"\n")
				if got := strings.Count(text, "endfacet\n"); !found || !closed || got != m.Len() {
					t.Errorf("%s, %s: %d facets of %d", f.name, m.Name, got, m.Len())
				}
			}
		case strings.HasSuffix(f.name, ".stl"):
			if want := 84 + 50*f.bodies[0].Len(); len(f.content) != want {
				t.Errorf("%s has %d bytes, want %d", f.name, len(f.content), want)
			}
		}
	}
}
