// Rays writes meshes, rays and where our tree says that they meet, for another library to
// say the same.
//
//	go run ./testdata/outside/rays FOLDER
//
// For each shape: NAME.mesh has nine float32 a triangle, NAME.rays six float64 a ray (from
// where, which way), NAME.hits one float64 a ray: how far along, or -1. All are little
// endian. Rays meet only what they leave through. Standard output has one JSON object for
// each shape: name, triangles, rays and the nanoseconds that all rays took on one processor.
package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
)

// A shape is a mesh and how many rays are sent through it.
type shape struct {
	mesh *mesh.Mesh
	rays int
}

func shapes() map[string]shape {
	ring := meshtest.Torus(20, 6, 400, 250)
	hollow := meshtest.Joined(ring, meshtest.Flip(meshtest.Torus(20, 5, 200, 100)))
	return map[string]shape{
		"ring":   {ring, 200000},
		"hollow": {meshtest.Jitter(hollow, 0.01, 5), 200000},
		"tube":   {meshtest.Tube(20, 0.2, 300), 20000},
		"loose":  {loose(20000), 50000},
	}
}

// loose has triangles that hang together nowhere.
func loose(n int) *mesh.Mesh {
	random := rand.New(rand.NewPCG(2, 3))
	vertices := make([][3]float32, 3*n)
	for i := 0; i < len(vertices); i += 3 {
		at := [3]float32{random.Float32() * 100, random.Float32() * 100, random.Float32() * 100}
		for k := range 3 {
			for axis := range 3 {
				vertices[i+k][axis] = at[axis] + 4*random.Float32()
			}
		}
	}
	return meshtest.Made("loose", vertices, nil)
}

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: rays FOLDER")
		os.Exit(2)
	}
	for name, s := range shapes() {
		if err := write(os.Args[1], name, s); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

func write(folder, name string, s shape) error {
	tree, err := geom.NewTree(context.Background(), s.mesh.Vertices, s.mesh.Triangles)
	if err != nil {
		return err
	}
	rays := raysInto(tree, s.rays)
	hits := make([]float64, len(rays))
	began := time.Now()
	for i := range rays {
		hits[i] = -1
		if hit, ok := tree.Ray(rays[i]); ok {
			hits[i] = hit.At
		}
	}
	took := time.Since(began)

	var corners []float32
	for i := range s.mesh.Len() {
		for _, v := range s.mesh.Corners(i) {
			corners = append(corners, s.mesh.Vertices[v][:]...)
		}
	}
	var ways []float64
	for _, r := range rays {
		ways = append(append(ways, r.From[:]...), r.Along[:]...)
	}
	for end, data := range map[string]any{"mesh": corners, "rays": ways, "hits": hits} {
		var out bytes.Buffer
		if err := binary.Write(&out, binary.LittleEndian, data); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, name+"."+end), out.Bytes(), 0o644); err != nil {
			return err
		}
	}
	return json.NewEncoder(os.Stdout).Encode(map[string]any{"name": name, "triangles": s.mesh.Len(), "rays": len(rays), "ns": took.Nanoseconds()})
}

// raysInto begin at points of the surface and go inwards, within 30° of the normal.
func raysInto(tree *geom.Tree, n int) []geom.Ray {
	random := rand.New(rand.NewPCG(7, 11))
	rays := make([]geom.Ray, 0, n)
	for len(rays) < n {
		a, b, c := tree.Corners(random.IntN(tree.Len()))
		normal := b.Sub(a).Cross(c.Sub(a))
		u, v := random.Float64(), random.Float64()
		if u+v > 1 {
			u, v = 1-u, 1-v
		}
		along := normal.Scale(-1 / normal.Len()).Add(geom.Vec{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}.Scale(0.3))
		if !(normal.Len() > 0 && along.Len() > 0 && along.Dot(normal) < -math.Cos(math.Pi/6)*along.Len()*normal.Len()) {
			continue
		}
		at := a.Add(b.Sub(a).Scale(u)).Add(c.Sub(a).Scale(v))
		rays = append(rays, geom.Ray{From: at, Along: along.Scale(1 / along.Len()), Most: math.Inf(1), Facing: geom.Back})
	}
	return rays
}
