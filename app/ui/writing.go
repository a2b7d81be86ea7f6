package ui

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"scantling/app/sheet"
)

// A typeCase sets writing in the window's own fonts, at any size, and keeps the letters that
// it has cut.
type typeCase struct {
	fonts [3]*opentype.Font // plain, bold, symbols
	// lacking are the computer's fonts for letters that none of them has; nil: there are none.
	lacking *systemFonts
	faces   map[faceKey]font.Face
	cut     map[letterKey]letter
}

type faceKey struct {
	font int     // of typeCase.fonts
	size float64 // pixels
}

// The fonts of a typeCase.
const (
	plainFont = iota
	boldFont
	symbolFont // for what the others lack
)

type letterKey struct {
	faceKey
	r     rune
	third int // of a pixel that it is moved to the right
}

type letter struct {
	mask    *image.Alpha
	at      image.Point // of the mask's corner, from the pen
	advance float64
}

// thirds of a pixel: letters stand where they belong to that much.
const thirds = 3

func (t *typeCase) face(k faceKey) font.Face {
	if t.faces == nil {
		t.faces, t.cut = map[faceKey]font.Face{}, map[letterKey]letter{}
	}
	if f := t.faces[k]; f != nil {
		return f
	}
	if len(t.faces) > 40 { // sizes of one zoom are few; many mean that it has changed
		clear(t.faces)
		clear(t.cut)
	}
	f, err := opentype.NewFace(t.font(k.font), &opentype.FaceOptions{Size: k.size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("ui: a built-in font cannot be set: " + err.Error())
	}
	t.faces[k] = f
	return f
}

// font is one of the window's fonts.
func (t *typeCase) font(i int) *opentype.Font {
	if t.fonts[i] == nil {
		f, err := opentype.Parse(theme.DefaultTheme().Font(fyne.TextStyle{Bold: i == boldFont, Symbol: i == symbolFont}).Content())
		if err != nil {
			panic("ui: a built-in font cannot be read: " + err.Error())
		}
		t.fonts[i] = f
	}
	return t.fonts[i]
}

// letter cuts one letter, or gives the one that was cut before.
func (t *typeCase) letter(k letterKey) letter {
	if l, ok := t.cut[k]; ok {
		return l
	}
	from := k.faceKey
	if i, err := t.font(k.font).GlyphIndex(nil, k.r); err != nil || i == 0 {
		from.font = symbolFont
	}
	face := t.face(from)
	if t.lacking != nil && from.font == symbolFont {
		if other := t.other(k); other != nil {
			face = other
			defer other.Close()
		}
	}
	dot := fixed.Point26_6{X: fixed.Int26_6(64 * k.third / thirds)}
	box, mask, corner, advance, ok := face.Glyph(dot, k.r)
	l := letter{at: box.Min, advance: float64(advance) / 64}
	if ok && !box.Empty() {
		l.mask = image.NewAlpha(image.Rect(0, 0, box.Dx(), box.Dy()))
		for y := range box.Dy() {
			for x := range box.Dx() {
				_, _, _, a := mask.At(corner.X+x, corner.Y+y).RGBA()
				l.mask.Pix[y*l.mask.Stride+x] = byte(a >> 8)
			}
		}
	}
	t.cut[k] = l
	return l
}

// other is a face of the computer's that has a letter which the window's fonts all lack, nil
// where there is none. Its letters are kept as cut, the face is not.
func (t *typeCase) other(k letterKey) font.Face {
	if i, err := t.font(symbolFont).GlyphIndex(nil, k.r); err == nil && i != 0 {
		return nil
	}
	f := t.lacking.find(k.r)
	if f == nil {
		return nil
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: k.size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil
	}
	return face
}

// write sets a line of writing.
func (t *typeCase) write(g *page, m *sheet.Mark, c color.NRGBA) {
	k := faceKey{plainFont, m.Size * g.scale}
	if m.Bold {
		k.font = boldFont
	}
	length := 0.0
	for _, r := range m.Text {
		length += t.letter(letterKey{faceKey: k, r: r}).advance
	}
	start := 0.0
	switch m.Align {
	case sheet.Centre:
		start = -length / 2
	case sheet.End:
		start = -length
	}
	pen := g.pixels(m.At)
	// The baseline lies on whole pixels.
	if m.Upwards {
		pen.X = math.Round(pen.X)
		pen.Y -= start
	} else {
		pen.Y = math.Round(pen.Y)
		pen.X += start
	}
	// A halo of paper goes under all letters before the first is set.
	if m.Halo {
		paper, d := g.colours.inks[sheet.Blank], max(1, int(math.Round(1.5*g.scale)))
		t.set(g, k, m, pen, func(mask *image.Alpha, at image.Point) {
			for _, o := range []image.Point{{-d, 0}, {d, 0}, {0, -d}, {0, d}, {-d, -d}, {d, d}, {-d, d}, {d, -d}} {
				g.stamp(mask, at.Add(o), paper)
			}
		})
	}
	t.set(g, k, m, pen, func(mask *image.Alpha, at image.Point) { g.stamp(mask, at, c) })
}

// set gives each letter of a writing that begins at pen, and where its mask comes to.
func (t *typeCase) set(g *page, k faceKey, m *sheet.Mark, pen sheet.Point, put func(*image.Alpha, image.Point)) {
	for _, r := range m.Text {
		// along is how far the pen has come in the direction of the writing.
		along := pen.X
		if m.Upwards {
			along = -pen.Y
		}
		whole := math.Floor(along)
		l := t.letter(letterKey{k, r, int((along - whole) * thirds)})
		if l.mask != nil && m.Upwards {
			// Turned by a quarter: right becomes up, down becomes right.
			put(turned(l.mask), image.Pt(int(pen.X)+l.at.Y, int(-whole)-l.at.X-l.mask.Rect.Dx()))
		} else if l.mask != nil {
			put(l.mask, image.Pt(int(whole)+l.at.X, int(pen.Y)+l.at.Y))
		}
		if m.Upwards {
			pen.Y -= l.advance
		} else {
			pen.X += l.advance
		}
	}
}

// turned is a mask turned anticlockwise by a quarter.
func turned(m *image.Alpha) *image.Alpha {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	out := image.NewAlpha(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			out.Pix[(w-1-x)*out.Stride+y] = m.Pix[y*m.Stride+x]
		}
	}
	return out
}
