package ui

import (
	"image"
	"image/color"
	"math"

	"scantling/app/sheet"
)

// patternAt is how much of the pixel a class of thickness inks, of 255: the thinner, the denser.
// x and y are device-independent, of the page, so that a pattern runs on from part to part.
func patternAt(class int, x, y float64) uint32 {
	line := func(at, every, width float64) bool {
		at = math.Mod(at, every)
		if at < 0 {
			at += every
		}
		return at < width
	}
	switch class {
	case 0: // crossed, on a tint
		if line(x+y, 6, 1.7) || line(x-y, 6, 1.7) {
			return 255
		}
		return 90
	case 1: // hatched
		if line(x+y, 6, 1.7) {
			return 255
		}
		return 30
	case 2: // dotted
		if line(x, 5, 1.4) && line(y, 5, 1.4) {
			return 230
		}
	}
	return 0
}

// classOf is the class of a thickness; one that is not known has no pattern.
func classOf(thickness float32, bounds [3]float32) int {
	for class, bound := range bounds {
		if thickness < bound {
			return class
		}
	}
	return len(bounds)
}

// thicknesses lays the patterns over a part.
func (g *page) thicknesses(m *sheet.Mark, c color.NRGBA) {
	box, _ := place(m, g.scale, g.clip)
	seen := box.Intersect(g.clip)
	for y := seen.Min.Y; y < seen.Max.Y; y++ {
		row := g.img.Pix[g.img.PixOffset(0, y):]
		from := m.Thick.Thickness[(y-box.Min.Y)*m.Thick.Height/box.Dy()*m.Thick.Width:]
		for x := seen.Min.X; x < seen.Max.X; x++ {
			class := classOf(from[(x-box.Min.X)*m.Thick.Width/box.Dx()], m.Bounds)
			if cover := patternAt(class, float64(x)/g.scale, float64(y)/g.scale); cover > 0 {
				blend(row[4*x:4*x+4], c, cover)
			}
		}
	}
}

// pattern fills a box with the pattern of a class.
func (g *page) pattern(m *sheet.Mark, c color.NRGBA) {
	box, _ := place(m, g.scale, g.clip)
	box = box.Intersect(image.Rectangle(g.clip))
	for y := box.Min.Y; y < box.Max.Y; y++ {
		row := g.img.Pix[g.img.PixOffset(0, y):]
		for x := box.Min.X; x < box.Max.X; x++ {
			if cover := patternAt(m.Class, float64(x)/g.scale, float64(y)/g.scale); cover > 0 {
				blend(row[4*x:4*x+4], c, cover)
			}
		}
	}
}
