package gltf

import (
	"bytes"
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/formattest"
)

// grid is a wavy sheet of n × n squares, two triangles each.
func grid(t testing.TB, n int) *mesh.Mesh {
	var vertices [][3]float32
	var triangles [][3]uint32
	for y := range n + 1 {
		for x := range n + 1 {
			vertices = append(vertices, [3]float32{float32(x), float32(y), float32(math.Sin(float64(x*y) / 1000))})
		}
	}
	at := func(x, y int) uint32 { return uint32(y*(n+1) + x) }
	for y := range n {
		for x := range n {
			triangles = append(triangles, [3]uint32{at(x, y), at(x+1, y), at(x+1, y+1)}, [3]uint32{at(x, y), at(x+1, y+1), at(x, y+1)})
		}
	}
	m, err := mesh.New("sheet", geom.Vec{}, vertices, triangles)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// million is a file of a million triangles with positions and normals.
func million(b *testing.B) string {
	m := grid(b, 708)
	s := newSketch()
	var positions, normals, indices []float64
	for _, v := range m.Vertices {
		positions = append(positions, float64(v[0]), float64(v[1]), float64(v[2]))
		normals = append(normals, 0, 0, 1)
	}
	for _, t := range m.Triangles {
		indices = append(indices, float64(t[0]), float64(t[1]), float64(t[2]))
	}
	s.node(object{"mesh": s.mesh(object{
		"attributes": object{"POSITION": s.floats("VEC3", positions...), "NORMAL": s.floats("VEC3", normals...)},
		"indices":    s.accessor(uint32Comp, "SCALAR", indices...),
	})})
	path := filepath.Join(b.TempDir(), "sheet.glb")
	if err := os.WriteFile(path, s.glb(), 0o644); err != nil {
		b.Fatal(err)
	}
	return path
}

// BenchmarkRescaleGLB1M has the copy and cp of the same file, both synced, in one run: the
// ratio of the two is what counts.
func BenchmarkRescaleGLB1M(b *testing.B) {
	path := million(b)
	info, _ := os.Stat(path)
	f := opened(b, path)
	b.Run("Rescale", func(b *testing.B) {
		b.SetBytes(info.Size())
		b.ReportAllocs()
		for b.Loop() {
			to := formattest.Synced(b.TempDir())
			if err := f.Rescale(context.Background(), to, "copy.glb", 0.235, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("CopySync", func(b *testing.B) {
		b.SetBytes(info.Size())
		for b.Loop() {
			to := filepath.Join(b.TempDir(), "copy.glb")
			if out, err := exec.Command("sh", "-c", `cp "$1" "$2" && sync "$2"`, "-", path, to).CombinedOutput(); err != nil {
				b.Fatal(err, string(out))
			}
		}
	})
}

func BenchmarkOpenGLB1M(b *testing.B) {
	path := million(b)
	info, _ := os.Stat(path)
	b.SetBytes(info.Size())
	b.ReportAllocs()
	for b.Loop() {
		opened(b, path)
	}
}

func BenchmarkEncodeGLB1M(b *testing.B) {
	m := grid(b, 708)
	b.ReportAllocs()
	for b.Loop() {
		var w bytes.Buffer
		if err := EncodeGLB(context.Background(), &w, []*mesh.Mesh{m}, 0.001, nil); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(w.Len()))
	}
}
