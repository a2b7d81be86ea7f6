package mesh_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/mesh/meshtest"
)

func connected(t *testing.T, m *mesh.Mesh) *mesh.Connected {
	t.Helper()
	c, err := mesh.Connect(context.Background(), m, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// What lies across a side has the same side the other way round, and no side is left out.
func TestAcross(t *testing.T) {
	bad := meshtest.Joined(meshtest.Sphere(2, 6), meshtest.Cube(9), meshtest.Torus(20, 3, 12, 8))
	bad.Triangles = append(bad.Triangles, [3]uint32{0, 0, 1}, bad.Triangles[5], [3]uint32{1, 2, 2})
	bad.Triangles[40][0], bad.Triangles[40][1] = bad.Triangles[40][1], bad.Triangles[40][0]
	for name, m := range map[string]*mesh.Mesh{
		"sphere": meshtest.Sphere(5, 7), "soup": meshtest.Soup(meshtest.Prism(3, 4, 9)),
		"hole": meshtest.Hole(meshtest.Sphere(5, 7), 100, 130), "bad": bad, "nothing": meshtest.Made("", nil, nil),
	} {
		c := connected(t, m)
		type edge [2]uint32
		uses := map[edge][]int{} // triangle + 1, negative when it runs from high to low
		for i, corners := range c.Mesh.Triangles {
			for k, a := range corners {
				b := corners[(k+1)%3]
				if corners[0] == corners[1] || corners[1] == corners[2] || corners[2] == corners[0] {
					continue
				}
				use := i + 1
				if a > b {
					a, b, use = b, a, -use
				}
				uses[edge{a, b}] = append(uses[edge{a, b}], use)
			}
		}
		for i, corners := range c.Mesh.Triangles {
			for k, a := range corners {
				b := corners[(k+1)%3]
				u := uses[edge{min(a, b), max(a, b)}]
				want := int32(mesh.None)
				if len(u) == 2 && (u[0] < 0) != (u[1] < 0) {
					switch i + 1 {
					case max(u[0], -u[0]):
						want = int32(max(u[1], -u[1])) - 1
					case max(u[1], -u[1]):
						want = int32(max(u[0], -u[0])) - 1
					}
				}
				if got := c.Across[i][k]; got != want {
					t.Errorf("%s: across side %d of triangle %d is %d, want %d", name, k, i, got, want)
				}
			}
		}
		want, err := mesh.TopologyOf(context.Background(), m, nil)
		if err != nil || c.Topology != want {
			t.Errorf("%s: topology %+v, want %+v, %v", name, c.Topology, want, err)
		}
		if welded := mesh.Weld(m); !slices.Equal(welded.Vertices, c.Mesh.Vertices) || !slices.Equal(welded.Triangles, c.Mesh.Triangles) {
			t.Errorf("%s: not as welded", name)
		}
	}
}

func TestShellNumbers(t *testing.T) {
	m := meshtest.Joined(meshtest.Cube(1), meshtest.Moved(meshtest.Sphere(1, 2), func(v geom.Vec) geom.Vec { return v.Add(geom.Vec{9, 0, 0}) }))
	m.Triangles = append([][3]uint32{{0, 0, 1}}, m.Triangles...)
	m.Triangles = append(m.Triangles, [3]uint32{1, 1, 2})
	c := connected(t, m)
	want := append([]int32{mesh.None}, slices.Concat(slices.Repeat([]int32{0}, 12), slices.Repeat([]int32{1}, 80), []int32{mesh.None})...)
	if !slices.Equal(c.Shell, want) {
		t.Errorf("shells are %v", c.Shell)
	}
}

func TestConnectStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := mesh.Connect(ctx, meshtest.Cube(1), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	last := 0.0
	if _, err := mesh.Connect(context.Background(), meshtest.Sphere(1, 40), func(done float64) {
		if done < last {
			t.Errorf("%g after %g", done, last)
		}
		last = done
	}); err != nil || last != 1 {
		t.Errorf("ends at %g, %v", last, err)
	}
}
