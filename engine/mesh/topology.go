package mesh

import "context"

// A Topology is how the triangles hang together once equal vertices are welded. Two
// vertices are equal when their coordinates are the same to the bit (0 and -0 are equal).
type Topology struct {
	Vertices     int // after welding
	Edges        int
	OpenEdges    int // used by one triangle
	CrowdedEdges int // used by three or more
	FlippedEdges int // used by two triangles that run along it the same way
	Degenerate   int // triangles with two equal corners, left out of all other counts
	Shells       int // pieces joined through shared edges
	Closed       bool
}

// TopologyOf welds m and counts. Closed means: at least one triangle, and every edge is
// shared by exactly two triangles that run along it in opposite ways. It asks ctx every
// few thousand triangles; report rises from 0 to 1 and may be nil.
func TopologyOf(ctx context.Context, m *Mesh, report func(float64)) (Topology, error) {
	panic("engine/mesh: TopologyOf is being written")
}
