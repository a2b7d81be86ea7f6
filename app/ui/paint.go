package ui

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"

	"scantling/app/sheet"
)

// A painter turns the marks of a sheet into pixels. It keeps what it has scaled and what it
// has set in type from one picture to the next; one picture is painted at a time.
type painter struct {
	letters typeCase
	sprites sprites
	fill    vector.Rasterizer
}

// A palette has a colour for each ink, and what shaded pictures are tinted with.
type palette struct {
	inks        [8]color.NRGBA
	dark, light color.NRGBA // of a shaded picture
}

// A page is a picture being painted.
type page struct {
	img     *image.RGBA
	clip    image.Rectangle // pixels that may be touched
	scale   float64         // pixels a device-independent pixel
	colours *palette
}

// paint draws marks on a fresh picture of w by h pixels, scale of them to a
// device-independent one. Clipped marks are confined to field. Equal arguments give equal
// pixels.
func (p *painter) paint(marks []sheet.Mark, field sheet.Rect, w, h int, scale float64, colours *palette) *image.RGBA {
	g := page{img: image.NewRGBA(image.Rect(0, 0, w, h)), scale: scale, colours: colours}
	flood(g.img, colours.inks[sheet.Blank])
	inside := image.Rect(
		int(math.Floor(field.Min.X*scale)), int(math.Floor(field.Min.Y*scale)),
		int(math.Ceil(field.Max.X*scale)), int(math.Ceil(field.Max.Y*scale))).Intersect(g.img.Rect)
	p.sprites.prepare(marks, inside, scale, colours)
	for i := range marks {
		m := &marks[i]
		g.clip = g.img.Rect
		if m.Clipped {
			g.clip = inside
		}
		ink := colours.inks[m.Ink]
		switch m.Kind {
		case sheet.Line:
			g.stroke(m.Points, m.Width, m.Dashed, ink)
		case sheet.Outline:
			if n := len(m.Points); n > 0 {
				g.stroke(append(m.Points[:n:n], m.Points[0]), m.Width, m.Dashed, ink)
			}
		case sheet.Area:
			p.area(&g, m.Points, ink)
		case sheet.Picture:
			p.sprites.put(&g, m)
		case sheet.Thicknesses:
			g.thicknesses(m, ink)
		case sheet.Pattern:
			g.pattern(m, ink)
		case sheet.Writing:
			p.letters.write(&g, m, ink)
		}
	}
	p.sprites.sweep()
	return g.img
}

// flood fills the whole picture with an opaque colour.
func flood(img *image.RGBA, c color.NRGBA) {
	if len(img.Pix) < 4 {
		return
	}
	copy(img.Pix, []byte{c.R, c.G, c.B, 255})
	for n := 4; n < len(img.Pix); n *= 2 {
		copy(img.Pix[n:], img.Pix[:n])
	}
}

// blend puts a colour over the opaque pixel at pix, covering cover of 255 of it.
func blend(pix []byte, c color.NRGBA, cover uint32) {
	a := cover * uint32(c.A) / 255
	b := 255 - a
	pix[0] = byte((uint32(c.R)*a + uint32(pix[0])*b + 127) / 255)
	pix[1] = byte((uint32(c.G)*a + uint32(pix[1])*b + 127) / 255)
	pix[2] = byte((uint32(c.B)*a + uint32(pix[2])*b + 127) / 255)
}

// stroke draws a polyline.
func (g *page) stroke(points []sheet.Point, width float64, dashed bool, c color.NRGBA) {
	width = max(width*g.scale, 1)
	phase := 0.0
	for i := 1; i < len(points); i++ {
		a, b := g.pixels(points[i-1]), g.pixels(points[i])
		if !dashed {
			g.segment(a, b, width, c)
			continue
		}
		on, off := 6*g.scale, 4*g.scale
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if length/(on+off) > 4000 {
			g.segment(a, b, width, c) // its dashes are beyond telling apart
			continue
		}
		at := func(t float64) sheet.Point {
			return sheet.Point{X: a.X + (b.X-a.X)*t/length, Y: a.Y + (b.Y-a.Y)*t/length}
		}
		for t := -phase; t < length; t += on + off {
			if t+on > 0 {
				g.segment(at(max(t, 0)), at(min(t+on, length)), width, c)
			}
		}
		phase = math.Mod(phase+length, on+off)
	}
}

func (g *page) pixels(p sheet.Point) sheet.Point {
	return sheet.Point{X: p.X * g.scale, Y: p.Y * g.scale}
}

// segment draws one straight piece with round ends. Level and upright ones are set on whole
// pixels, so that a drawing of straight lines is crisp.
func (g *page) segment(a, b sheet.Point, width float64, c color.NRGBA) {
	if a.X == b.X || a.Y == b.Y {
		g.ruled(a, b, width, c)
		return
	}
	hw := width/2 + 0.5
	clip := sheet.Rect{
		Min: sheet.Point{X: float64(g.clip.Min.X) - hw, Y: float64(g.clip.Min.Y) - hw},
		Max: sheet.Point{X: float64(g.clip.Max.X) + hw, Y: float64(g.clip.Max.Y) + hw},
	}
	a, b, ok := cut(a, b, clip)
	if !ok {
		return
	}
	box := image.Rect(
		int(math.Floor(min(a.X, b.X)-hw)), int(math.Floor(min(a.Y, b.Y)-hw)),
		int(math.Ceil(max(a.X, b.X)+hw))+1, int(math.Ceil(max(a.Y, b.Y)+hw))+1).Intersect(g.clip)
	dx, dy := b.X-a.X, b.Y-a.Y
	dd := dx*dx + dy*dy
	for y := box.Min.Y; y < box.Max.Y; y++ {
		py := float64(y) + 0.5 - a.Y
		row := g.img.Pix[g.img.PixOffset(0, y):]
		for x := box.Min.X; x < box.Max.X; x++ {
			px := float64(x) + 0.5 - a.X
			t := 0.0
			if dd > 0 {
				t = min(max((px*dx+py*dy)/dd, 0), 1)
			}
			ex, ey := px-t*dx, py-t*dy
			if d2 := ex*ex + ey*ey; d2 < hw*hw {
				blend(row[4*x:4*x+4], c, uint32(255*min(1, hw-math.Sqrt(d2))))
			}
		}
	}
}

// ruled draws a level or upright line of whole pixels.
func (g *page) ruled(a, b sheet.Point, width float64, c color.NRGBA) {
	n := max(1, int(math.Round(width)))
	edge := func(x float64) int { // of a line whose middle is x, kept within what an int holds
		return int(math.Round(min(max(x, -1e8), 1e8) - float64(n)/2))
	}
	box := image.Rect(edge(min(a.X, b.X)), edge(min(a.Y, b.Y)), edge(max(a.X, b.X))+n, edge(max(a.Y, b.Y))+n).Intersect(g.clip)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		row := g.img.Pix[g.img.PixOffset(box.Min.X, y):g.img.PixOffset(box.Max.X, y)]
		for i := 0; i < len(row); i += 4 {
			blend(row[i:i+4], c, 255)
		}
	}
}

// cut is the piece of a segment that lies in a rectangle.
func cut(a, b sheet.Point, r sheet.Rect) (p, q sheet.Point, ok bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, side := range [4][2]float64{{-dx, a.X - r.Min.X}, {dx, r.Max.X - a.X}, {-dy, a.Y - r.Min.Y}, {dy, r.Max.Y - a.Y}} {
		d, room := side[0], side[1]
		switch {
		case d == 0 && room < 0:
			return a, b, false
		case d < 0:
			t0 = max(t0, room/d)
		case d > 0:
			t1 = min(t1, room/d)
		}
	}
	if t0 > t1 {
		return a, b, false
	}
	return sheet.Point{X: a.X + t0*dx, Y: a.Y + t0*dy}, sheet.Point{X: a.X + t1*dx, Y: a.Y + t1*dy}, true
}

// area fills the inside of a closed polyline.
func (p *painter) area(g *page, points []sheet.Point, c color.NRGBA) {
	// Corners beyond the clip are drawn in: the filler's numbers have few digits.
	inside := make([]sheet.Point, len(points))
	for i, q := range points {
		inside[i] = g.pixels(q)
	}
	b := g.clip.Inset(-2)
	inside = clipped(inside, sheet.Rect{
		Min: sheet.Point{X: float64(b.Min.X), Y: float64(b.Min.Y)},
		Max: sheet.Point{X: float64(b.Max.X), Y: float64(b.Max.Y)},
	})
	if len(inside) < 3 {
		return
	}
	x0, y0, x1, y1 := inside[0].X, inside[0].Y, inside[0].X, inside[0].Y
	for _, q := range inside {
		x0, y0, x1, y1 = min(x0, q.X), min(y0, q.Y), max(x1, q.X), max(y1, q.Y)
	}
	box := image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1))+1, int(math.Ceil(y1))+1)
	p.fill.Reset(box.Dx(), box.Dy())
	for i, q := range inside {
		x, y := float32(q.X-float64(box.Min.X)), float32(q.Y-float64(box.Min.Y))
		if i == 0 {
			p.fill.MoveTo(x, y)
		} else {
			p.fill.LineTo(x, y)
		}
	}
	p.fill.ClosePath()
	mask := image.NewAlpha(image.Rect(0, 0, box.Dx(), box.Dy()))
	p.fill.Draw(mask, mask.Rect, image.Opaque, image.Point{})
	g.stamp(mask, box.Min, c)
}

// stamp puts ink through a mask whose upper left corner comes to at.
func (g *page) stamp(mask *image.Alpha, at image.Point, c color.NRGBA) {
	box := mask.Rect.Sub(mask.Rect.Min).Add(at).Intersect(g.clip)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		row := g.img.Pix[g.img.PixOffset(box.Min.X, y):g.img.PixOffset(box.Max.X, y)]
		from := (y-at.Y)*mask.Stride + box.Min.X - at.X
		for i, cover := range mask.Pix[from : from+box.Dx()] {
			if cover > 0 {
				blend(row[4*i:4*i+4], c, uint32(cover))
			}
		}
	}
}

// clipped is the part of a polygon inside a rectangle (Sutherland and Hodgman, 1974).
func clipped(points []sheet.Point, r sheet.Rect) []sheet.Point {
	for side := range 4 {
		inside := func(p sheet.Point) float64 {
			switch side {
			case 0:
				return p.X - r.Min.X
			case 1:
				return r.Max.X - p.X
			case 2:
				return p.Y - r.Min.Y
			}
			return r.Max.Y - p.Y
		}
		out := make([]sheet.Point, 0, len(points)+4)
		for i, b := range points {
			a := points[(i+len(points)-1)%len(points)]
			da, db := inside(a), inside(b)
			if (da < 0) != (db < 0) {
				t := da / (da - db)
				out = append(out, sheet.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)})
			}
			if db >= 0 {
				out = append(out, b)
			}
		}
		points = out
	}
	return points
}
