package gauge

import (
	"fmt"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/numeral"
)

// A lattice is a plate of columns between lines along x and y: each column stands on z = 0 and
// has its own top. Round holes and pins take blocks of columns. Its surface is closed, and
// every side is that of two facets, as long as no two columns meet at an edge only.
type lattice struct {
	xs, ys []float64
	tops   []float64 // by column, x first; 0 for none
	rounds []round
}

// A round is a hole through a block of columns, or a pin on it.
type round struct {
	i0, i1, j0, j1 int // lines around it
	radius         float64
	top            float64 // of the pin; 0 for a hole
}

// sides of what is round: the flats lie within 0.2 % of the circle.
const sides = 48

// newLattice has the lines given, in any order and as often as they are, and a plate so thick.
func newLattice(xs, ys []float64, thick float64) *lattice {
	sorted := func(lines []float64) []float64 {
		lines = slices.Clone(lines)
		slices.Sort(lines)
		return slices.CompactFunc(lines, func(a, b float64) bool { return math.Abs(a-b) < same })
	}
	l := &lattice{xs: sorted(xs), ys: sorted(ys)}
	l.tops = make([]float64, (len(l.xs)-1)*(len(l.ys)-1))
	for i := range l.tops {
		l.tops[i] = thick
	}
	return l
}

// same is how near two lines are the same, mm.
const same = 1e-9

// line is the number of a line; it must be there.
func line(lines []float64, at float64) int {
	i, _ := slices.BinarySearchFunc(lines, at, func(a, b float64) int {
		switch {
		case a < b-same:
			return -1
		case a > b+same:
			return 1
		}
		return 0
	})
	return i
}

// set gives all columns between lines a top.
func (l *lattice) set(x0, x1, y0, y1, top float64) {
	for i := line(l.xs, x0); i < line(l.xs, x1); i++ {
		for j := line(l.ys, y0); j < line(l.ys, y1); j++ {
			l.tops[i*(len(l.ys)-1)+j] = top
		}
	}
}

// put makes a hole (top 0) or a pin in the middle of the columns between lines.
func (l *lattice) put(x0, x1, y0, y1, diameter, top float64) {
	l.rounds = append(l.rounds, round{line(l.xs, x0), line(l.xs, x1), line(l.ys, y0), line(l.ys, y1), diameter / 2, top})
}

func (l *lattice) top(i, j int) float64 {
	if i < 0 || j < 0 || i >= len(l.xs)-1 || j >= len(l.ys)-1 {
		return 0
	}
	return l.tops[i*(len(l.ys)-1)+j]
}

// mesh is the surface, moved.
func (l *lattice) mesh(name string, by geom.Vec) (*mesh.Mesh, error) {
	b := builder{by: by, known: map[[3]float32]uint32{}}
	levels := append([]float64{0}, l.tops...)
	slices.Sort(levels)
	levels = slices.Compact(levels)
	for i := range len(l.xs) {
		for j := range len(l.ys) {
			x0, y0, own := l.xs[i], l.ys[j], l.top(i, j)
			if own > 0 {
				x1, y1 := l.xs[i+1], l.ys[j+1]
				open, through := l.taken(i, j)
				if !open {
					b.quad(geom.Vec{x0, y0, own}, geom.Vec{x1, y0, own}, geom.Vec{x1, y1, own}, geom.Vec{x0, y1, own})
				}
				if !through {
					b.quad(geom.Vec{x0, y0, 0}, geom.Vec{x0, y1, 0}, geom.Vec{x1, y1, 0}, geom.Vec{x1, y0, 0})
				}
			}
			// The sides at the lower ends of the column, against those before it.
			if j < len(l.ys)-1 {
				y1 := l.ys[j+1]
				l.side(&b, levels, l.top(i-1, j), own, geom.Vec{x0, y0}, geom.Vec{x0, y1})
			}
			if i < len(l.xs)-1 {
				x1 := l.xs[i+1]
				l.side(&b, levels, l.top(i, j-1), own, geom.Vec{x1, y0}, geom.Vec{x0, y0})
			}
		}
	}
	for _, r := range l.rounds {
		l.round(&b, r)
	}
	return mesh.New(name, geom.Vec{}, b.vertices, b.triangles)
}

// side is the wall between a column before a line and one behind it, from a to b with what is
// before on the left. It is cut at every level, so that walls at right angles to it meet it.
func (l *lattice) side(to *builder, levels []float64, before, behind float64, a, b geom.Vec) {
	low, high := min(before, behind), max(before, behind)
	if before > behind { // it faces what is behind
		a, b = b, a
	}
	for k := range len(levels) - 1 {
		z0, z1 := levels[k], levels[k+1]
		if z0 >= low && z1 <= high {
			at := func(p geom.Vec, z float64) geom.Vec { return geom.Vec{p[0], p[1], z} }
			to.quad(at(b, z0), at(a, z0), at(a, z1), at(b, z1))
		}
	}
}

// taken reports whether a column's top is that of something round, and whether that goes
// through.
func (l *lattice) taken(i, j int) (taken, through bool) {
	for _, r := range l.rounds {
		if i >= r.i0 && i < r.i1 && j >= r.j0 && j < r.j1 {
			return true, r.top == 0
		}
	}
	return false, false
}

// round is the surface of a hole or a pin, with the plate around it.
func (l *lattice) round(b *builder, r round) {
	base := l.top(r.i0, r.j0)
	middle := geom.Vec{(l.xs[r.i0] + l.xs[r.i1]) / 2, (l.ys[r.j0] + l.ys[r.j1]) / 2}
	var border []geom.Vec // counter-clockwise
	for i := r.i0; i < r.i1; i++ {
		border = append(border, geom.Vec{l.xs[i], l.ys[r.j0]})
	}
	for j := r.j0; j < r.j1; j++ {
		border = append(border, geom.Vec{l.xs[r.i1], l.ys[j]})
	}
	for i := r.i1; i > r.i0; i-- {
		border = append(border, geom.Vec{l.xs[i], l.ys[r.j1]})
	}
	for j := r.j1; j > r.j0; j-- {
		border = append(border, geom.Vec{l.xs[r.i0], l.ys[j]})
	}
	circle := make([]geom.Vec, sides)
	for k := range circle {
		// From the first corner of the border on.
		sin, cos := math.Sincos(-3*math.Pi/4 + 2*math.Pi*float64(k)/sides)
		circle[k] = middle.Add(geom.Vec{r.radius * cos, r.radius * sin})
	}
	at := func(p geom.Vec, z float64) geom.Vec { return geom.Vec{p[0], p[1], z} }
	b.ring(border, circle, middle, func(p geom.Vec) geom.Vec { return at(p, base) }, false)
	low, high := base, r.top
	if r.top == 0 {
		b.ring(border, circle, middle, func(p geom.Vec) geom.Vec { return at(p, 0) }, true)
		low, high = base, 0
	} else {
		for k := 1; k < sides-1; k++ {
			b.triangle(at(circle[0], high), at(circle[k], high), at(circle[k+1], high))
		}
	}
	for k := range circle {
		p, q := circle[k], circle[(k+1)%sides]
		b.quad(at(p, low), at(q, low), at(q, high), at(p, high))
	}
}

// A builder collects triangles with shared corners.
type builder struct {
	by        geom.Vec
	known     map[[3]float32]uint32
	vertices  [][3]float32
	triangles [][3]uint32
}

func (b *builder) vertex(v geom.Vec) uint32 {
	v = v.Add(b.by)
	key := [3]float32{float32(v[0]), float32(v[1]), float32(v[2])}
	at, ok := b.known[key]
	if !ok {
		at = uint32(len(b.vertices))
		b.known[key] = at
		b.vertices = append(b.vertices, key)
	}
	return at
}

func (b *builder) triangle(p, q, r geom.Vec) {
	b.triangles = append(b.triangles, [3]uint32{b.vertex(p), b.vertex(q), b.vertex(r)})
}

func (b *builder) quad(p, q, r, s geom.Vec) {
	b.triangle(p, q, r)
	b.triangle(p, r, s)
}

// ring fills the room between a border and a circle inside it, both counter-clockwise about
// middle and from about the same direction on.
func (b *builder) ring(border, circle []geom.Vec, middle geom.Vec, place func(geom.Vec) geom.Vec, downwards bool) {
	put := func(p, q, r geom.Vec) {
		if downwards {
			q, r = r, q
		}
		b.triangle(place(p), place(q), place(r))
	}
	angle := func(p geom.Vec) float64 {
		p = p.Sub(middle)
		return math.Atan2(p[1], p[0])
	}
	start := angle(border[0])
	turned := func(p geom.Vec, k, n int) float64 { // of point k of n, from the start on
		if k >= n {
			return 2 * math.Pi
		}
		a := angle(p) - start
		if a < -1e-9 {
			a += 2 * math.Pi
		}
		return a
	}
	i, k := 0, 0
	n, m := len(border), len(circle)
	for i < n || k < m {
		p, q := border[i%n], circle[k%m]
		// Halves of the way to the next are compared, so that a corner takes what it sees of
		// the circle, an eighth to each side, and nothing around the bend.
		alongBorder := turned(border[i%n], i, n) + turned(border[(i+1)%n], i+1, n)
		alongCircle := turned(circle[k%m], k, m) + turned(circle[(k+1)%m], k+1, m)
		if k == m || i < n && alongBorder <= alongCircle {
			put(p, border[(i+1)%n], q)
			i++
		} else {
			put(p, circle[(k+1)%m], q)
			k++
		}
	}
}

// write sets a number in strokes, raised, from x on and between lines y0 and y0 + 5 strokes. Its
// lines must be there: see strokes.
func (l *lattice) write(label string, x, y, top float64) {
	numeral.Each(label, func(column, row int) {
		x0, y0 := x+float64(column)*stroke, y+float64(row)*stroke
		l.set(x0, x0+stroke, y0, y0+stroke, top)
	})
}

// strokes are the lines that a label needs.
func strokes(label string, x float64) (lines []float64) {
	wide, ok := numeral.Wide(label)
	if !ok {
		panic(fmt.Sprintf("no figures for %q", label)) // labels are made here, of figures and points
	}
	for k := range wide + 1 {
		lines = append(lines, x+float64(k)*stroke)
	}
	return lines
}

// width is how wide a label is, mm.
func width(label string) float64 {
	wide, _ := numeral.Wide(label)
	return float64(wide) * stroke
}

// stroke is how wide the strokes of numerals are, mm.
const stroke = 0.6
