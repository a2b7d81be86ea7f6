package gltf

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"scantling/engine/deliver"
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

// BenchmarkRescaleGLB1M takes turns with cp of the same file, both onto the disk, and
// reports how many times as long as cp the copy takes.
func BenchmarkRescaleGLB1M(b *testing.B) {
	path := million(b)
	f := opened(b, path)
	folder := b.TempDir()
	b.SetBytes(f.Bytes())
	b.ReportAllocs()
	var ours, cp time.Duration
	for i := 0; b.Loop(); i++ {
		name := fmt.Sprintf("copy-%d.glb", i)
		start := time.Now()
		if err := f.Rescale(context.Background(), formattest.Synced(folder), name, deliver.Change{Factor: 0.235}, nil); err != nil {
			b.Fatal(err)
		}
		ours += time.Since(start)
		b.StopTimer()
		start = time.Now()
		to := filepath.Join(folder, "cp-"+name)
		if out, err := exec.Command("sh", "-c", `cp "$1" "$2" && sync "$2"`, "-", path, to).CombinedOutput(); err != nil {
			b.Fatal(err, string(out))
		}
		cp += time.Since(start)
		b.StartTimer()
	}
	b.ReportMetric(ours.Seconds()*1000/float64(b.N), "ms")
	b.ReportMetric(ours.Seconds()/cp.Seconds(), "×cp")
}

// BenchmarkCopySync is the limit: the same bytes from file to disk with nothing done to
// them.
func BenchmarkCopySync(b *testing.B) {
	path := million(b)
	info, err := os.Stat(path)
	if err != nil {
		b.Fatal(err)
	}
	folder := b.TempDir()
	b.SetBytes(info.Size())
	for i := 0; b.Loop(); i++ {
		in, err := os.Open(path)
		if err != nil {
			b.Fatal(err)
		}
		out, err := formattest.Synced(folder).Create(fmt.Sprintf("copy-%d.glb", i))
		if err != nil {
			b.Fatal(err)
		}
		// Hidden, so that the bytes go through memory.
		_, err = io.CopyBuffer(struct{ io.Writer }{out}, struct{ io.Reader }{in}, make([]byte, 1<<20))
		if err := errors.Join(err, out.Close(), in.Close()); err != nil {
			b.Fatal(err)
		}
	}
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
		if err := EncodeGLB(context.Background(), &w, "", []*mesh.Mesh{m}, 0.001, geom.Pose{}, nil); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(w.Len()))
	}
}
