package survey

import (
	"cmp"
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Hull is what decides how a part fits a bed: the convex hull of its vertices as the part
// lies, its height along z, in file units about the middle of its box. It never changes.
type Hull struct {
	// Size is that of the box, as the part lies. All is zero for a part without triangles.
	Size geom.Vec
	// Points are the corners of the hull. No vertex of the part is outside of it.
	Points []geom.Vec
	// Few are some hundred of the Points, in all directions: their hull lies inside the
	// other and close to it. They are all Points where those are few.
	Few []geom.Vec
	// Footprint is the hull seen from above, as geom.Hull2 gives it.
	Footprint []geom.Vec2
	// Faces are the flat sides on which the part can stand: its centre of mass is above
	// them. The largest is first; of very many only the largest are kept.
	Faces []Face
	// Volume is that of the hull, 0 for what is flat.
	Volume float64

	middle geom.Vec // file coordinates
	lies   geom.Turn
}

// A Face is a flat side of a hull.
type Face struct {
	Outward geom.Vec // the way it faces, a unit vector, as the part lies
	Area    float64  // file units squared, holes and hollows in it counted
}

const (
	// flatness is how far corners may be from a plane to count as in it, as a share of the
	// hull's diagonal: text files with six digits are no flatter.
	flatness = 1e-5
	// mostFaces bounds the faces of a hull: a ball of facets has as many as it has facets.
	mostFaces = 500
	// fewPoints is up to how many points nothing is gained by taking fewer.
	fewPoints = 400
)

// HullOf finds the hull of a part that lies as its file has it once that is turned by lies.
// The centre of mass is that of the solid, all of one density; where the mesh is too open to
// have one inside its hull, it is that of the hull's surface. Vertices without a triangle do not count. HullOf asks ctx
// many times a second and has no other error.
func HullOf(ctx context.Context, m *mesh.Mesh, lies geom.Turn) (Hull, error) {
	if m.Len() == 0 {
		return Hull{}, ctx.Err()
	}
	bulk := mesh.MeasuresOf(m)
	h := Hull{middle: bulk.Box.Centre(), lies: lies}
	h.Size = lies.Box(bulk.Box).Size()

	hull, err := geom.HullOf(ctx, h.corners(m))
	if err != nil {
		return Hull{}, err
	}
	h.Points = hull.Vertices
	h.Volume = volumeOf(hull)
	if h.Few, err = few(ctx, h.Points); err != nil {
		return Hull{}, err
	}
	flat := make([]geom.Vec2, len(h.Points))
	for i, p := range h.Points {
		flat[i] = geom.Vec2{p[0], p[1]}
	}
	h.Footprint = geom.Hull2(flat)
	s := sides{hull: hull, tolerance: flatness * h.Size.Len()}
	h.Faces, err = s.faces(ctx, h.Lie(bulk.Centroid))
	return h, err
}

// volumeOf is that of a solid hull.
func volumeOf(hull geom.Hull) float64 {
	if hull.Rank < 3 {
		return 0
	}
	var six geom.Sum
	about := hull.Vertices[0]
	for _, t := range hull.Triangles {
		a, b, c := hull.Vertices[t[0]].Sub(about), hull.Vertices[t[1]].Sub(about), hull.Vertices[t[2]].Sub(about)
		six.Add(a.Dot(b.Cross(c)))
	}
	return six.Value() / 6
}

// HullOfBox is the hull of a part's box, which lies as the file has it once that is turned by
// lies: what stands in for a part whose triangles cannot be had, and never smaller than it.
func HullOfBox(box geom.Box, lies geom.Turn) Hull {
	if box.Empty() {
		return Hull{}
	}
	size := lies.Box(box).Size()
	h := Hull{Size: size, Volume: size[0] * size[1] * size[2], middle: box.Centre(), lies: lies}
	half := size.Scale(0.5)
	for corner := range 8 {
		var p geom.Vec
		for a := range p {
			p[a] = half[a]
			if corner>>a&1 == 0 {
				p[a] = 0 - half[a]
			}
		}
		h.Points = append(h.Points, p)
		if p[2] <= 0 {
			h.Footprint = append(h.Footprint, geom.Vec2{p[0], p[1]})
		}
	}
	h.Few, h.Footprint = h.Points, geom.Hull2(h.Footprint)
	for a := range size {
		for _, way := range []float64{-1, 1} {
			f := Face{Area: size[(a+1)%3] * size[(a+2)%3]}
			f.Outward[a] = way
			h.Faces = append(h.Faces, f)
		}
	}
	slices.SortStableFunc(h.Faces, func(a, b Face) int { return cmp.Compare(b.Area, a.Area) })
	return h
}

// Lie gives where a point of the file is in the coordinates of the hull.
func (h Hull) Lie(p geom.Vec) geom.Vec { return h.lies.Apply(p.Sub(h.middle)) }

// Unlie turns a direction in the coordinates of the hull back into one of the file.
func (h Hull) Unlie(d geom.Vec) geom.Vec { return h.lies.Inverse().Apply(d) }

// Scaled is the hull of the part in another unit, f of which are one of the former.
func (h Hull) Scaled(f float64) Hull {
	if f == 1 {
		return h
	}
	h.Size = h.Size.Scale(f)
	h.Volume *= f * f * f
	h.middle = h.middle.Scale(f)
	scaled := func(points []geom.Vec) []geom.Vec {
		out := make([]geom.Vec, len(points))
		for i, p := range points {
			out[i] = p.Scale(f)
		}
		return out
	}
	h.Points, h.Few = scaled(h.Points), scaled(h.Few)
	h.Footprint = slices.Clone(h.Footprint)
	for i, p := range h.Footprint {
		h.Footprint[i] = geom.Vec2{p[0] * f, p[1] * f}
	}
	h.Faces = slices.Clone(h.Faces)
	for i := range h.Faces {
		h.Faces[i].Area *= f * f
	}
	return h
}

// corners are the vertices of the mesh that triangles have.
func (h Hull) corners(m *mesh.Mesh) []geom.Vec {
	points := make([]geom.Vec, 0, len(m.Vertices))
	used := make([]bool, len(m.Vertices))
	for i := range m.Len() {
		for _, v := range m.Corners(i) {
			used[v] = true
		}
	}
	for i, u := range used {
		if u {
			points = append(points, h.Lie(m.Vertex(uint32(i))))
		}
	}
	return points
}

// few takes the points that are outermost along directions all round.
func few(ctx context.Context, points []geom.Vec) ([]geom.Vec, error) {
	if len(points) <= fewPoints {
		return points, nil
	}
	taken := make([]bool, len(points))
	const pairs = 300
	for k := range pairs + 3 {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		var along geom.Vec
		if k < 3 {
			along[k] = 1
		} else {
			// A spiral over half the ball, each turn by the golden angle.
			z := (float64(k-3) + 0.5) / pairs
			r, angle := math.Sqrt(1-z*z), float64(k)*math.Pi*(3-math.Sqrt(5))
			along = geom.Vec{r * math.Cos(angle), r * math.Sin(angle), z}
		}
		low, high := 0, 0
		least, most := math.Inf(1), math.Inf(-1)
		for i, p := range points {
			x := p.Dot(along)
			if x < least {
				least, low = x, i
			}
			if x > most {
				most, high = x, i
			}
		}
		taken[low], taken[high] = true, true
	}
	var out []geom.Vec
	for i, t := range taken {
		if t {
			out = append(out, points[i])
		}
	}
	return out, nil
}

// sides are the triangles of a hull on their way to faces.
type sides struct {
	hull      geom.Hull
	tolerance float64
	normal    []geom.Vec
	area      []float64
	taken     []bool
}

// faces joins triangles that lie in one plane and keeps the faces that have the centre of
// mass above them.
func (s *sides) faces(ctx context.Context, centre geom.Vec) ([]Face, error) {
	switch s.hull.Rank {
	case 0:
		return nil, nil
	case 1:
		return []Face{{Outward: across(s.hull.Vertices[1].Sub(s.hull.Vertices[0]))}}, nil
	}
	order := make([]int32, len(s.hull.Triangles))
	s.normal, s.area = make([]geom.Vec, len(order)), make([]float64, len(order))
	s.taken = make([]bool, len(order))
	var balance geom.Vec
	all := 0.0
	for i, t := range s.hull.Triangles {
		order[i] = int32(i)
		a, b, c := s.hull.Vertices[t[0]], s.hull.Vertices[t[1]], s.hull.Vertices[t[2]]
		n := b.Sub(a).Cross(c.Sub(a))
		twice := n.Len()
		s.area[i] = twice / 2
		if twice > 0 {
			s.normal[i] = n.Scale(1 / twice)
		}
		balance = balance.Add(a.Add(b).Add(c).Scale(s.area[i] / 3))
		all += s.area[i]
	}
	if all == 0 {
		return nil, nil
	}
	if !s.holds(centre) {
		centre = balance.Scale(1 / all)
	}
	slices.SortStableFunc(order, func(i, j int32) int { return cmp.Compare(s.area[j], s.area[i]) })
	var faces []Face
	for n, i := range order {
		if n%askEvery == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if s.taken[i] || s.area[i] == 0 {
			continue
		}
		area, corners := s.plane(i)
		if !s.under(centre, s.normal[i], corners) {
			continue
		}
		if faces = append(faces, Face{Outward: s.normal[i], Area: area}); len(faces) == mostFaces {
			break
		}
	}
	slices.SortStableFunc(faces, func(a, b Face) int { return cmp.Compare(b.Area, a.Area) })
	return faces, nil
}

// holds reports whether the hull has p inside or on it.
func (s *sides) holds(p geom.Vec) bool {
	for i, t := range s.hull.Triangles {
		if s.normal[i].Dot(p.Sub(s.hull.Vertices[t[0]])) > s.tolerance {
			return false
		}
	}
	return true
}

// plane takes triangle i and those around it that lie in its plane and face the same way.
func (s *sides) plane(i int32) (area float64, corners []geom.Vec) {
	n, at := s.normal[i], s.hull.Vertices[s.hull.Triangles[i][0]]
	s.taken[i] = true
	plane := []int32{i}
	if s.hull.Rank == 2 {
		// Both sides have the same corners, and no neighbours.
		for j, m := range s.normal {
			if m.Dot(n) > 0 {
				s.taken[j] = true
				area += s.area[j]
			}
		}
		return area, slices.Clone(s.hull.Vertices)
	}
	for k := 0; k < len(plane); k++ {
		j := plane[k]
		area += s.area[j]
		for _, c := range s.hull.Triangles[j] {
			corners = append(corners, s.hull.Vertices[c])
		}
		for _, beside := range s.hull.Neighbours[j] {
			if s.taken[beside] || s.normal[beside].Dot(n) < 0 {
				continue
			}
			in := true
			for _, c := range s.hull.Triangles[beside] {
				in = in && math.Abs(n.Dot(s.hull.Vertices[c].Sub(at))) <= s.tolerance
			}
			if in {
				s.taken[beside] = true
				plane = append(plane, beside)
			}
		}
	}
	return area, corners
}

// under reports whether the corners, seen along n, stand around p or have it on their edge.
func (s *sides) under(p, n geom.Vec, corners []geom.Vec) bool {
	u := across(n)
	v := n.Cross(u)
	flat := make([]geom.Vec2, len(corners))
	for i, c := range corners {
		c = c.Sub(p)
		flat[i] = geom.Vec2{c.Dot(u), c.Dot(v)}
	}
	around := geom.Hull2(flat)
	for i, a := range around {
		side := around[(i+1)%len(around)].Sub(a)
		if a.Cross(side) < -s.tolerance*math.Hypot(side[0], side[1]) {
			return false
		}
	}
	return true
}

// across is a unit vector square to d, level where that is possible.
func across(d geom.Vec) geom.Vec {
	flat := geom.Vec{d[1], -d[0], 0}
	if math.Hypot(d[0], d[1]) <= 1e-3*math.Abs(d[2]) {
		flat = geom.Vec{0, d[2], -d[1]}
	}
	return flat.Scale(1 / flat.Len())
}
