package survey

import (
	"context"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A surface is a connected mesh in coordinates about its origin.
type surface struct {
	*mesh.Connected
	// smooth is, for each vertex that is smooth all around, the normal of the curve there,
	// and 0 for all others; nil where that was not asked for.
	smooth [][3]float32
}

// newSurface finds the normals of c, on all processors.
func newSurface(ctx context.Context, c *mesh.Connected) (surface, error) {
	f := surface{Connected: c, smooth: make([][3]float32, len(c.Mesh.Vertices))}
	first := make([]int32, len(c.Mesh.Vertices)) // a triangle that has the vertex
	for i, t := range c.Mesh.Triangles {
		if i%askEvery == 0 && ctx.Err() != nil {
			return f, ctx.Err()
		}
		for _, v := range t {
			first[v] = int32(i)
		}
	}
	err := inParallel(ctx, (len(first)+askEvery-1)/askEvery, func() func(k int) {
		return func(k int) {
			for v := k * askEvery; v < min(len(first), (k+1)*askEvery); v++ {
				i := int(first[v])
				if n, whole := f.bent(i, cornerOf(&c.Mesh.Triangles[i], uint32(v))); whole {
					f.smooth[v] = [3]float32{float32(n[0]), float32(n[1]), float32(n[2])}
				}
			}
		}
	})
	return f, err
}

// smoothCos is of the bend up to which two facets count as pieces of one curve: 31°, a
// little more than that of twelve sides around.
const smoothCos = 0.857

func (f surface) vertex(v uint32) geom.Vec {
	p := &f.Mesh.Vertices[v]
	return geom.Vec{float64(p[0]), float64(p[1]), float64(p[2])}
}

func (f surface) corners(i int) (a, b, c geom.Vec) {
	t := &f.Mesh.Triangles[i]
	return f.vertex(t[0]), f.vertex(t[1]), f.vertex(t[2])
}

// twice is the normal of triangle i, twice as long as its area. It is asked for many times of every
// triangle, so it keeps its numbers out of vectors, which the compiler leaves in memory.
func (f surface) twice(i int) geom.Vec {
	t := &f.Mesh.Triangles[i]
	a, b, c := &f.Mesh.Vertices[t[0]], &f.Mesh.Vertices[t[1]], &f.Mesh.Vertices[t[2]]
	ax, ay, az := float64(a[0]), float64(a[1]), float64(a[2])
	ux, uy, uz := float64(b[0])-ax, float64(b[1])-ay, float64(b[2])-az
	vx, vy, vz := float64(c[0])-ax, float64(c[1])-ay, float64(c[2])-az
	return geom.Vec{uy*vz - uz*vy, uz*vx - ux*vz, ux*vy - uy*vx}
}

// normal is that of triangle i, of length 1, or 0 where it has none.
func (f surface) normal(i int) geom.Vec { return toUnit(f.twice(i)) }

// toUnit is v with the length 1, or 0 where it has no length.
func toUnit(v geom.Vec) geom.Vec {
	x, y, z := v[0], v[1], v[2]
	length := math.Sqrt(x*x + y*y + z*z)
	if !(length > 0) {
		return geom.Vec{}
	}
	f := 1 / length
	return geom.Vec{x * f, y * f, z * f}
}

// aroundMost bounds a walk around a vertex.
const aroundMost = 64

// bent is the normal at corner k of triangle i of the curve that the facets around there
// stand for: their mean, weighed by their angles (Thürmer and Wüthrich 1998), as far as
// they can be reached over smooth edges. It is 0 where the triangle has no normal. It is
// whole when that is all around.
func (f surface) bent(i, k int) (normal geom.Vec, whole bool) {
	sum, start := f.weighed(i, k)
	vertex := f.Mesh.Triangles[i][k]
	for _, way := range [2]int{2, 0} { // over the side that ends at the corner, then the other
		at, corner, normal := i, k, start
		for range aroundMost {
			next := int(f.Across[at][(corner+way)%3])
			if next == mesh.None {
				break
			}
			if next == i {
				if start.Dot(normal) >= smoothCos { // all the way around: nothing is left
					return toUnit(sum), true
				}
				break
			}
			at, corner = next, cornerOf(&f.Mesh.Triangles[next], vertex)
			weight, n := f.weighed(at, corner)
			if n.Dot(normal) < smoothCos {
				break
			}
			sum, normal = sum.Add(weight), n
		}
	}
	return toUnit(sum), false
}

// weighed is the normal of triangle i, as long as its angle at corner k, and of length 1.
func (f surface) weighed(i, k int) (weight, normal geom.Vec) {
	t := &f.Mesh.Triangles[i]
	at := f.vertex(t[k])
	u, v := f.vertex(t[(k+1)%3]).Sub(at), f.vertex(t[(k+2)%3]).Sub(at)
	twice := u.Cross(v)
	normal = toUnit(twice)
	return normal.Scale(math.Atan2(twice.Len(), u.Dot(v))), normal
}

func cornerOf(t *[3]uint32, vertex uint32) int {
	for k, v := range t {
		if v == vertex {
			return k
		}
	}
	return 0 // not reached: neighbours share the vertex
}

// bends are the normals of the curve at the corners of triangle i; curved is false where
// they are all its own.
func (f surface) bends(i int) (bent [3]geom.Vec, curved bool) {
	own := f.normal(i)
	for _, next := range f.Across[i] {
		if next != mesh.None && f.normal(int(next)).Dot(own) > smoothCos {
			curved = true
		}
	}
	if !curved { // no way over a smooth edge, so nothing to see
		return [3]geom.Vec{own, own, own}, false
	}
	curved = false
	for k, v := range f.Mesh.Triangles[i] {
		if f.smooth == nil {
			bent[k], _ = f.bent(i, k)
		} else if n := f.smooth[v]; n != [3]float32{} {
			bent[k] = toUnit(geom.Vec{float64(n[0]), float64(n[1]), float64(n[2])})
		} else {
			bent[k], _ = f.bent(i, k)
		}
		if bent[k].Dot(own) < 1-1e-7 {
			curved = true
		}
	}
	return bent, curved
}

// leastAxis is the unit eigenvector of a symmetric matrix that belongs to the least
// eigenvalue, by turns that clear one element after the other (Jacobi 1846).
func leastAxis(m [3]geom.Vec) geom.Vec {
	vectors := [3]geom.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} // in rows
	for range 24 {
		p, q := 0, 1
		for _, at := range [2][2]int{{0, 2}, {1, 2}} {
			if math.Abs(m[at[0]][at[1]]) > math.Abs(m[p][q]) {
				p, q = at[0], at[1]
			}
		}
		if math.Abs(m[p][q]) <= 1e-17*(math.Abs(m[0][0])+math.Abs(m[1][1])+math.Abs(m[2][2])) {
			break
		}
		s, c := math.Sincos(0.5 * math.Atan2(2*m[p][q], m[q][q]-m[p][p]))
		turn := func(a, b *float64) { *a, *b = c**a-s**b, s**a+c**b }
		for k := range 3 {
			turn(&m[k][p], &m[k][q])
		}
		for k := range 3 {
			turn(&m[p][k], &m[q][k])
			turn(&vectors[p][k], &vectors[q][k])
		}
	}
	least := 0
	for k := range m {
		if m[k][k] < m[least][least] {
			least = k
		}
	}
	return toUnit(vectors[least])
}
