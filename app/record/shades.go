package record

import (
	"bytes"
	"image"
	"image/png"
	"math"

	"golang.org/x/image/draw"

	"scantling/app/sheet"
)

// fine is how many pixels of a picture a device-independent pixel of the sheet is: on paper 200 in
// an inch and more.
const fine = 2.0

// A picture is a piece of a drawing that is no line: the shaded silhouettes of parts that follow
// each other, in one picture.
type picture struct {
	box sheet.Rect
	png []byte
}

// A stroke is a mark, or a picture in place of the marks that it is made of.
type stroke struct {
	mark    sheet.Mark
	picture *picture
}

// strokes are the marks of a drawing, with the silhouettes made pictures of.
//
// No two pictures of a record are equally wide, used has the widths so far: the PDF library puts
// equally wide ones in no certain order.
func (d *Drawing) strokes(used map[int]bool) ([]stroke, error) {
	var out []stroke
	for i := 0; i < len(d.Marks); {
		j := i
		for j < len(d.Marks) && d.Marks[j].Kind == sheet.Picture {
			j++
		}
		if j == i {
			out = append(out, stroke{mark: d.Marks[i]})
			i++
			continue
		}
		p, err := shaded(d.Marks[i:j], d.Field, used)
		if err != nil {
			return nil, err
		}
		if p != nil {
			out = append(out, stroke{picture: p})
		}
		i = j
	}
	return out, nil
}

// shaded is one picture of silhouettes, black on white and through where nothing is; nil where
// none of them lies in the field.
func shaded(marks []sheet.Mark, field sheet.Rect, used map[int]bool) (*picture, error) {
	all := sheet.Rect{Min: sheet.Point{X: math.Inf(1), Y: math.Inf(1)}, Max: sheet.Point{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, m := range marks {
		all.Min.X, all.Min.Y = min(all.Min.X, m.Box.Min.X), min(all.Min.Y, m.Box.Min.Y)
		all.Max.X, all.Max.Y = max(all.Max.X, m.Box.Max.X), max(all.Max.Y, m.Box.Max.Y)
	}
	all.Min.X, all.Min.Y = max(all.Min.X, field.Min.X), max(all.Min.Y, field.Min.Y)
	all.Max.X, all.Max.Y = min(all.Max.X, field.Max.X), min(all.Max.Y, field.Max.Y)
	if !(all.W() > 0 && all.H() > 0) {
		return nil, nil
	}
	px := func(x float64) int { return int(math.Round(fine * x)) }
	wide := max(1, px(all.W()))
	for ; used[wide]; wide++ {
		all.Max.X += 1 / fine // a column of nothing
	}
	used[wide] = true
	out := image.NewNRGBA(image.Rect(0, 0, wide, max(1, px(all.H()))))
	for _, m := range marks {
		at := image.Rect(px(m.Box.Min.X-all.Min.X), px(m.Box.Min.Y-all.Min.Y), px(m.Box.Max.X-all.Min.X), px(m.Box.Max.Y-all.Min.Y))
		at.Max.X, at.Max.Y = max(at.Max.X, at.Min.X+1), max(at.Max.Y, at.Min.Y+1)
		one := image.NewNRGBA(image.Rectangle{Max: at.Size()})
		draw.BiLinear.Scale(one, one.Rect, m.Shades, m.Shades.Bounds(), draw.Src, nil)
		ink(one)
		draw.Draw(out, at, one, image.Point{}, draw.Over)
	}
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := e.Encode(&b, out); err != nil {
		return nil, err
	}
	return &picture{all, b.Bytes()}, nil
}

// Greys of what is darkest and lightest in a silhouette: on paper the lightest must still tell
// from it. The edge is darker than either.
const darkest, lightest, edge = 0x40, 0xE4, 0x20

// ink puts a silhouette into greys between the two, with its edge drawn: paper has no other ground.
func ink(m *image.NRGBA) {
	b := m.Bounds()
	covered := func(x, y int) bool {
		return image.Pt(x, y).In(b) && m.Pix[m.PixOffset(x, y)+3] > 127
	}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			pix := m.Pix[m.PixOffset(x, y):]
			if pix[3] == 0 {
				continue
			}
			g := uint8(darkest + int(pix[0])*(lightest-darkest)/255)
			if pix[3] > 127 && !(covered(x-1, y) && covered(x+1, y) && covered(x, y-1) && covered(x, y+1)) {
				g = edge
			}
			pix[0], pix[1], pix[2] = g, g, g
		}
	}
}

// grey is how dark an ink is on paper, 0 black to 255: black on white whatever the window looks
// like.
func grey(i sheet.Ink) int {
	switch i {
	case sheet.Thin:
		return 0x30
	case sheet.Grid:
		return 0xE0
	case sheet.Figure:
		return 0xD8
	case sheet.Margin, sheet.Blank:
		return 0xFF
	}
	return 0
}
