package survey

import (
	"context"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A Shading is the thickness that is seen from a side. Its pixels lie where those of the
// Silhouette for the same look, box and length do.
type Shading struct {
	Width, Height int
	// Thickness is in the part's own unit, row by row from the top; NaN where nothing is
	// seen, and where what is seen has no thickness.
	Thickness []float32
}

// Shade looks at a part square on, as Silhouette does, and says how thick it is at what is
// seen. field is that of the part's Measurements; between its points the thickness is that
// of the nearest ones on the same side. A pixel is a matter of a comparison at any factor.
//
// It has Silhouette's errors and asks ctx as often. The same mesh gives the same shading
// whatever the number of processors.
func Shade(ctx context.Context, m *mesh.Mesh, field Field, look Look, box geom.Box, pixels int) (Shading, error) {
	v, err := newView(look, box, pixels)
	if err != nil {
		return Shading{}, err
	}
	if int64(m.Len()) >= thinBit {
		return Shading{}, mesh.ErrTooMany
	}
	facets, err := v.facets(ctx, m)
	if err != nil {
		return Shading{}, err
	}
	s := Shading{Width: v.width, Height: v.height, Thickness: make([]float32, v.width*v.height)}
	points := newFieldGrid(&field)
	strips := v.strips(facets)
	err = inParallel(ctx, len(strips), func() func(i int) {
		p := newPlate(v, m, facets)
		near := &nearPoints{fieldGrid: points}
		return func(i int) {
			p.expose(ctx, i*stripRows, strips[i])
			for y := range min(stripRows, v.height-i*stripRows) {
				if ctx.Err() != nil {
					return
				}
				for x := range v.width {
					s.Thickness[(i*stripRows+y)*v.width+x] = p.thickness(near, x, y)
				}
			}
		}
	})
	if err != nil {
		return Shading{}, err
	}
	return s, nil
}

// thickness is that at a pixel; y counts the strip's rows from 0.
func (p *plate) thickness(points *nearPoints, x, y int) float32 {
	for _, s := range [grain * grain]int{4, 1, 3, 5, 7, 0, 2, 6, 8} { // from the middle of the pixel
		column, row := (x+1)*grain+s%grain, (y+1)*grain+s/grain
		at := row*p.columns + column
		if p.seen[at] == 0 {
			continue
		}
		seen := geom.Vec{float64(column-grain) + 0.5, float64(p.top+row) + 0.5, float64(p.depth[at])}
		n := p.facetAt(at).normal
		return points.thickness(p.unsee(seen), p.right.Scale(float64(n[0])).Sub(p.up.Scale(float64(n[1]))).Add(p.toward.Scale(float64(n[2]))))
	}
	return nan32()
}

func nan32() float32 { return float32(math.NaN()) }

// unsee gives samples in file coordinates.
func (v *view) unsee(p geom.Vec) geom.Vec {
	return v.right.Scale((p[0] - v.offset[0]) / v.scale[0]).
		Add(v.up.Scale((v.offset[1] - p[1]) / v.scale[1])).
		Add(v.toward.Scale((p[2] - v.offset[2]) / v.scale[2]))
}

// A fieldGrid finds the points of a field that are near a place.
type fieldGrid struct {
	*Field
	side  float64 // of its cubes
	cells map[cube][]int32
}

// A cube that a flat face passes through has this many points, or so.
const pointsACube = 2

// newFieldGrid sorts points into cubes, small ones where they stand close together in the
// whole: as many as there would be if all were on the six sides of the box.
func newFieldGrid(f *Field) *fieldGrid {
	g := &fieldGrid{Field: f, cells: map[cube][]int32{}}
	size := f.box.Size()
	area := 2 * (size[0]*size[1] + size[1]*size[2] + size[2]*size[0])
	longest := max(size[0], size[1], size[2])
	g.side = max(math.Sqrt(area*pointsACube/float64(max(1, len(f.points)))), longest/1000)
	if !(g.side > 0) {
		g.side = 1
	}
	for i := range f.points {
		c := g.cubeOf(f.place(&f.points[i]))
		g.cells[c] = append(g.cells[c], int32(i))
	}
	return g
}

// cubeOf is the cube that a place is in; what is far off is at the rim.
func (g *fieldGrid) cubeOf(p geom.Vec) cube {
	var c cube
	for k := range c {
		c[k] = int32(min(max(math.Floor((p[k]-g.box.Min[k])/g.side), -10), 1e6))
	}
	return c
}

const (
	sameSideCos = 0.5 // what faces within 60° is the same side
	blendMost   = 3   // points that a thickness is made of
	blendRatio  = 1.3 // what differs more from the nearest is not mixed with it
	reachMost   = 6   // cubes that are looked through, in every direction
)

// nearPoints remembers which points are near the cube that was asked for last: the next
// pixel mostly lies in the same one.
type nearPoints struct {
	*fieldGrid
	middle cube
	list   []int32 // of the cube and the 26 that touch it
	known  bool
}

func (n *nearPoints) around(c cube) []int32 {
	if !n.known || c != n.middle {
		n.middle, n.known, n.list = c, true, n.list[:0]
		around(c, func(near cube) { n.list = append(n.list, n.cells[near]...) })
	}
	return n.list
}

// A pick is the nearest few points on one side, the nearest first.
type pick struct {
	found  int
	square [blendMost]float64 // of the distance
	width  [blendMost]float32
}

func (p *pick) add(square float64, width float32) {
	at := p.found
	for at > 0 && square < p.square[at-1] {
		at--
	}
	if at == blendMost {
		return
	}
	p.found = min(p.found+1, blendMost)
	copy(p.square[at+1:], p.square[at:])
	copy(p.width[at+1:], p.width[at:])
	p.square[at], p.width[at] = square, width
}

// thickness is that at a place of the surface: the mean of the few nearest points that face
// the same way and are about as thick as the nearest, near ones counting more; none where
// at least half of them have none. Where none faces so, the surface is seen from behind, and what faces away counts.
func (n *nearPoints) thickness(at, normal geom.Vec) float32 {
	var same, other pick
	look := func(points []int32) {
		for _, i := range points {
			p := &n.points[i]
			cos := (float64(p.normal[0])*normal[0] + float64(p.normal[1])*normal[1] + float64(p.normal[2])*normal[2]) / 127
			if math.Abs(cos) < sameSideCos {
				continue
			}
			d := n.place(p).Sub(at)
			if cos > 0 {
				same.add(d.Dot(d), p.width)
			} else {
				other.add(d.Dot(d), p.width)
			}
		}
	}
	middle := n.cubeOf(at)
	look(n.around(middle))
	for ring := int32(2); same.found == 0 && ring <= reachMost; ring++ {
		n.ring(middle, ring, look)
	}
	if same.found == 0 {
		same = other
	}
	first, none := 0, 0 // the nearest that has a thickness; how many have none
	for k := same.found - 1; k >= 0; k-- {
		if same.width[k] < 0 {
			none++
		} else {
			first = k
		}
	}
	if 2*none >= same.found {
		return nan32()
	}
	base, sum, weight := same.width[first], 0.0, 0.0
	for k := range same.found {
		if w := same.width[k]; w <= base*blendRatio && w >= base/blendRatio {
			near := 1 / (same.square[k] + 1e-6*n.side*n.side)
			sum, weight = sum+near*float64(w), weight+near
		}
	}
	return float32(sum / weight)
}

// ring visits the points of the cubes so far from the middle one.
func (g *fieldGrid) ring(middle cube, far int32, visit func(points []int32)) {
	for x := -far; x <= far; x++ {
		for y := -far; y <= far; y++ {
			step := 2 * far
			if x == -far || x == far || y == -far || y == far {
				step = 1
			}
			for z := -far; z <= far; z += step {
				visit(g.cells[cube{middle[0] + x, middle[1] + y, middle[2] + z}])
			}
		}
	}
}
