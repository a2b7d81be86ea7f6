package mannequin

import (
	"image"
	"image/color"
	"math"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// Picture is a mesh seen from around it, turned by yaw from the front (radians, to its left) and
// from that far above, filling a picture; what is not the mesh is clear. Light falls from the upper
// left on the given colour.
func Picture(m *mesh.Mesh, yaw, above float64, wide, high int, of color.NRGBA) *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, wide, high))
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
	if box.Empty() || wide < 8 || high < 8 {
		return out
	}
	const margin = 2
	scale := min((float64(wide)-2*margin)/(box.Max[0]-box.Min[0]), (float64(high)-2*margin)/(box.Max[1]-box.Min[1]))
	left := (float64(wide) - scale*(box.Max[0]-box.Min[0])) / 2
	low := (float64(high) + scale*(box.Max[1]-box.Min[1])) / 2
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
		turned[i] = geom.Vec{left + scale*(turned[i][0]-box.Min[0]), low - scale*(turned[i][1]-box.Min[1]), turned[i][2]}
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
					tone := func(c uint8) uint8 { return uint8(min(255, k*float64(c)+0.5)) }
					out.SetNRGBA(x, y, color.NRGBA{tone(of.R), tone(of.G), tone(of.B), 255})
				}
			}
		}
	}
	return out
}
