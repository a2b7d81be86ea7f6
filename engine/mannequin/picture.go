package mannequin

import (
	"context"
	"image"
	"image/color"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// Views are shaded greys of a figure, each as large as what is seen of it, PerMM pixels to a
// millimetre of the print, clear where it is not. Whoever shows them tints them.
type Views struct {
	Front, Side *image.NRGBA // level
	Above       *image.NRGBA // from the front, a little from above and from its left
	PerMM       float64
}

// viewHigh is how high the highest view is, in pixels: twice what a page has room for.
const viewHigh = 840.0

// ViewsOf looks at a mesh. It takes some ten milliseconds.
func ViewsOf(ctx context.Context, m *mesh.Mesh) (Views, error) {
	size := mesh.MeasuresOf(m).Box.Size()
	v := Views{PerMM: viewHigh / max(size[0], size[1], size[2])}
	for _, one := range []struct {
		to         **image.NRGBA
		yaw, above float64
	}{{&v.Front, 0, 0}, {&v.Side, math.Pi / 2, 0}, {&v.Above, 0.6, 0.3}} {
		if err := ctx.Err(); err != nil {
			return Views{}, err
		}
		*one.to = picture(m, one.yaw, one.above, v.PerMM)
	}
	return v, nil
}

// picture is a mesh seen from around it, turned by yaw from the front (radians, to its left) and
// from that far above. Light falls from the upper left.
func picture(m *mesh.Mesh, yaw, above, scale float64) *image.NRGBA {
	sy, cy := math.Sincos(yaw)
	sa, ca := math.Sincos(above)
	turned := make([]geom.Vec, len(m.Vertices)) // right, up, towards the eye
	box := geom.EmptyBox()
	for i := range m.Vertices {
		p := m.Vertex(uint32(i))
		x, y := p[0]*cy+p[1]*sy, p[1]*cy-p[0]*sy
		turned[i] = geom.Vec{x, p[2]*ca + y*sa, p[2]*sa - y*ca}
		box = box.Add(turned[i])
	}
	if box.Empty() {
		return image.NewNRGBA(image.Rect(0, 0, 1, 1))
	}
	wide, high := max(1, int(math.Ceil(scale*(box.Max[0]-box.Min[0])))), max(1, int(math.Ceil(scale*(box.Max[1]-box.Min[1]))))
	out := image.NewNRGBA(image.Rect(0, 0, wide, high))
	low := float64(high)
	normals := make([]geom.Vec, len(turned))
	for _, t := range m.Triangles {
		a, b, c := turned[t[0]], turned[t[1]], turned[t[2]]
		n := b.Sub(a).Cross(c.Sub(a))
		for _, k := range t {
			normals[k] = normals[k].Add(n)
		}
	}
	shades := make([]float64, len(turned))
	light := geom.Vec{-0.45, 0.6, 0.66}
	for i, n := range normals {
		if l := n.Len(); l > 0 {
			shades[i] = 0.35 + 0.65*max(0, n.Dot(light)/l)
		}
		turned[i] = geom.Vec{scale * (turned[i][0] - box.Min[0]), low - scale*(turned[i][1]-box.Min[1]), turned[i][2]}
	}
	nearest := make([]float64, wide*high)
	for i := range nearest {
		nearest[i] = math.Inf(-1)
	}
	for _, t := range m.Triangles {
		a, b, c := turned[t[0]], turned[t[1]], turned[t[2]]
		area := (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
		if area >= 0 { // faces away: y is down here
			continue
		}
		x0, x1 := max(0, int(min(a[0], b[0], c[0]))), min(wide-1, int(max(a[0], b[0], c[0])))
		y0, y1 := max(0, int(min(a[1], b[1], c[1]))), min(high-1, int(max(a[1], b[1], c[1])))
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				px, py := float64(x)+0.5, float64(y)+0.5
				u := ((c[0]-b[0])*(py-b[1]) - (c[1]-b[1])*(px-b[0])) / area
				v := ((a[0]-c[0])*(py-c[1]) - (a[1]-c[1])*(px-c[0])) / area
				w := 1 - u - v
				if u < 0 || v < 0 || w < 0 {
					continue
				}
				depth := u*a[2] + v*b[2] + w*c[2]
				if at := y*wide + x; depth > nearest[at] {
					nearest[at] = depth
					k := u*shades[t[0]] + v*shades[t[1]] + w*shades[t[2]]
					grey := uint8(min(255, 255*k+0.5))
					out.SetNRGBA(x, y, color.NRGBA{grey, grey, grey, 255})
				}
			}
		}
	}
	return out
}
