package mesh

import "context"

// A Connected mesh is welded and knows how its triangles hang together.
type Connected struct {
	Mesh     *Mesh // as Weld gives it
	Topology Topology
	// Across has, for each triangle, the ones beyond its sides from corner 0 to 1, 1 to 2
	// and 2 to 0, where exactly two triangles share that side and run along it in opposite
	// ways, and None elsewhere.
	Across [][3]int32
	// Shell is, for each triangle, the number of the piece that it belongs to: from 0, in
	// the order of their first triangles, and None for degenerate ones.
	Shell []int32
}

// None is no triangle, and no shell.
const None = -1

// Connect welds m and finds how it hangs together. It asks ctx every few thousand
// triangles; report rises from 0 to 1 and may be nil. Beside both meshes it needs at most
// 80 bytes a triangle while it works.
func Connect(ctx context.Context, m *Mesh, report func(float64)) (*Connected, error) {
	c := &Connected{}
	c.Across = make([][3]int32, m.Len())
	for i := range c.Across {
		c.Across[i] = [3]int32{None, None, None}
	}
	side := func(corners [3]uint32, low, high uint32) int {
		for k, v := range corners {
			if next := corners[(k+1)%3]; min(v, next) == low && max(v, next) == high {
				return k
			}
		}
		return 0 // not reached: the end came from this triangle
	}
	w, topology, pieces, err := connect(ctx, m, report, func(w *welded, low uint32, ends []edgeEnd) {
		if len(ends) != 2 || ends[0].down() == ends[1].down() {
			return
		}
		i, j := ends[0].triangle(), ends[1].triangle()
		high := ends[0].high()
		c.Across[i][side(w.triangles[i], low, high)] = int32(j)
		c.Across[j][side(w.triangles[j], low, high)] = int32(i)
	})
	if err != nil {
		return nil, err
	}
	c.Topology = topology
	vertices := make([][3]float32, len(w.first))
	for i, v := range w.first {
		vertices[i] = m.Vertices[v]
	}
	c.Mesh = &Mesh{Name: m.Name, Origin: m.Origin, Vertices: vertices, Triangles: w.triangles}
	c.Shell = make([]int32, len(w.triangles))
	shells := int32(0)
	used := make([]bool, len(vertices))
	for i, t := range w.triangles { // the root of a piece is its first triangle
		if degenerate(t) {
			c.Shell[i] = None
			continue
		}
		for _, v := range t {
			if !used[v] {
				used[v] = true
				c.Topology.Vertices++
			}
		}
		if root := pieces.root(uint32(i)); root == uint32(i) {
			c.Shell[i] = shells
			shells++
		} else {
			c.Shell[i] = c.Shell[root]
		}
	}
	if report != nil {
		report(1)
	}
	return c, nil
}
