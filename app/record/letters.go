package record

import (
	"bytes"
	"strings"
	"unicode"

	"github.com/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"

	"scantling/app/text"
)

// addFonts gives a document its typefaces: the Go fonts, whose licence lets them be embedded
// (BSD, as Go itself). They have Latin, Greek and Cyrillic with the marks of most languages
// written in them.
func addFonts(f *fpdf.Fpdf) {
	for _, face := range []struct {
		family, style string
		file          []byte
	}{{"text", "", goregular.TTF}, {"text", "B", gobold.TTF}, {"mono", "", gomono.TTF}} {
		f.AddUTF8FontFromBytes(face.family, face.style, bytes.Clone(face.file)) // it writes into what it is given
	}
}

// letters are what the typeface has shapes for.
type letters struct {
	font  *sfnt.Font
	buf   sfnt.Buffer
	known map[rune]rune            // what a character is written as; 0: nothing
	first map[sfnt.GlyphIndex]rune // the character that came first of those with one shape
	lacks bool                     // something was replaced
}

func newLetters() (*letters, error) {
	font, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil, err
	}
	return &letters{font: font, known: map[rune]rune{'\n': '\n'}, first: map[sfnt.GlyphIndex]rune{}}, nil
}

// spell is a text in characters of the typeface: those made of a letter and its marks are
// joined, odd blanks become blanks, and what has no shape is replaced, which lacks remembers.
func (l *letters) spell(s string) string {
	return strings.Map(func(r rune) rune {
		as, seen := l.known[r]
		if !seen {
			if g, err := l.font.GlyphIndex(&l.buf, r); err == nil && g != 0 {
				// Of two characters with one shape, as Greek and Latin signs have, the PDF
				// library keeps one or the other by chance.
				if as = l.first[g]; as == 0 {
					as = r
					l.first[g] = r
				}
			}
			l.known[r] = as
		}
		switch {
		case as != 0:
			return as
		case unicode.IsSpace(r):
			return ' '
		case r == '\u200b' || r == '\u200d' || r == '\ufeff' || r >= '\ufe00' && r <= '\ufe0f':
			return -1 // what joins or varies others has no shape of its own
		}
		if r == '\u2300' { // the sign of a diameter: writing has a letter for it
			return 'Ø'
		}
		l.lacks = true
		return []rune(text.RecordMissing)[0]
	}, norm.NFC.String(clean(s)))
}
