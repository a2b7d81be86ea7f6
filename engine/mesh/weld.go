package mesh

import (
	"context"
	"math"
	"math/bits"
)

// askEvery is how many triangles pass between two looks at a context.
const askEvery = 1 << 14

// Weld is m with equal vertices made one: coordinates that are the same to the bit, 0 and
// -0 being equal. Its vertices stand in the order in which the triangles first use them,
// its triangles in the order of m, none left out; vertices that no triangle uses are gone.
// Welding a welded mesh changes nothing.
func Weld(m *Mesh) *Mesh {
	w, _ := weld(context.Background(), m, func(float64) {}) // that context has no end
	vertices := make([][3]float32, len(w.first))
	for i, v := range w.first {
		vertices[i] = m.Vertices[v]
	}
	return &Mesh{Name: m.Name, Origin: m.Origin, Vertices: vertices, Triangles: w.triangles}
}

// welded is a mesh by its distinct vertices.
type welded struct {
	triangles [][3]uint32 // of distinct vertices
	first     []uint32    // for each distinct vertex, the first one of the mesh that is equal
}

func weld(ctx context.Context, m *Mesh, report func(float64)) (welded, error) {
	w := welded{triangles: make([][3]uint32, m.Len())}
	// A closed mesh has about half as many vertices as triangles, so a soup of it holds
	// each six times. The set grows where that is wrong.
	set := newVertexSet(m.Vertices, len(m.Vertices)/6)

	// A shared vertex is looked up once.
	const unknown = math.MaxUint32
	var known []uint32
	if m.Triangles != nil {
		known = make([]uint32, len(m.Vertices))
		for i := range known {
			known[i] = unknown
		}
	}
	for i := range w.triangles {
		if i%askEvery == 0 {
			if err := ctx.Err(); err != nil {
				return welded{}, err
			}
			report(float64(i) / float64(len(w.triangles)))
		}
		corners := m.Corners(i)
		for k, v := range corners {
			if known == nil {
				w.triangles[i][k] = set.add(v)
				continue
			}
			if known[v] == unknown {
				known[v] = set.add(v)
			}
			w.triangles[i][k] = known[v]
		}
	}
	w.first = set.first
	return w, nil
}

// A vertexSet numbers distinct vertices in the order in which they are added: an open
// addressing table of their numbers, at most two thirds full.
type vertexSet struct {
	vertices [][3]float32
	first    []uint32 // by number, where in vertices it was first seen
	slots    []uint32 // number + 1, or 0 for a free slot
	shift    uint     // hash >> shift is a slot
}

func newVertexSet(vertices [][3]float32, expected int) *vertexSet {
	s := &vertexSet{vertices: vertices, first: make([]uint32, 0, expected)}
	s.resize(bits.Len(uint(expected + expected/2 + 15)))
	return s
}

// resize makes 1<<log slots and puts the known vertices in.
func (s *vertexSet) resize(log int) {
	s.slots = make([]uint32, 1<<log)
	s.shift = 64 - uint(log)
	mask := uint64(len(s.slots) - 1)
	for n, v := range s.first {
		at := hashOf(s.vertices[v]) >> s.shift
		for s.slots[at] != 0 {
			at = (at + 1) & mask
		}
		s.slots[at] = uint32(n) + 1
	}
}

// add is the number of the vertex at v.
func (s *vertexSet) add(v uint32) uint32 {
	p := s.vertices[v]
	mask := uint64(len(s.slots) - 1)
	at := hashOf(p) >> s.shift
	for s.slots[at] != 0 {
		n := s.slots[at] - 1
		if s.vertices[s.first[n]] == p { // finite: == differs from equal bits only for 0 and -0
			return n
		}
		at = (at + 1) & mask
	}
	n := uint32(len(s.first))
	s.first = append(s.first, v)
	s.slots[at] = n + 1
	if len(s.first) > len(s.slots)/3*2 {
		s.resize(bits.Len(uint(len(s.slots))))
	}
	return n
}

// hashOf mixes the bits of a vertex by multiplication with odd constants: the fractions
// of the golden ratio and of the square roots of 2 and 3, which have no pattern.
func hashOf(p [3]float32) uint64 {
	// Adding 0 turns -0 into 0.
	x := uint64(math.Float32bits(p[0]+0)) | uint64(math.Float32bits(p[1]+0))<<32
	h := (x ^ 0x6a09e667f3bcc909) * 0x9e3779b97f4a7c15
	h ^= h >> 32
	h = (h ^ uint64(math.Float32bits(p[2]+0))*0xbb67ae8584caa73b) * 0x9e3779b97f4a7c15
	return h ^ h>>29
}
