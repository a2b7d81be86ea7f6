package ui

import (
	"os"
	"sync"

	"github.com/go-text/typesetting/fontscan"
	"github.com/go-text/typesetting/language"
	"golang.org/x/image/font/opentype"
)

// The systemFonts are what the computer has for letters that the window's own fonts lack: part
// names are the maker's, in any writing. They are looked for when the first such letter comes.
type systemFonts struct {
	once  sync.Once
	known *fontscan.FontMap                    // nil where there are none
	files map[fontscan.Location]*opentype.Font // nil: cannot be used
}

// quiet is what is told of fonts that cannot be read: nothing.
type quiet struct{}

func (quiet) Printf(string, ...any) {}

// find is a font that has the letter; nil where the computer has none. The first call may take
// seconds, in which all fonts are looked through.
func (s *systemFonts) find(r rune) *opentype.Font {
	s.once.Do(func() {
		s.files = map[fontscan.Location]*opentype.Font{}
		if m := fontscan.NewFontMap(quiet{}); m.UseSystemFonts("") == nil {
			s.known = m
		}
	})
	if s.known == nil {
		return nil
	}
	s.known.SetQuery(fontscan.Query{Families: []string{fontscan.SansSerif}})
	s.known.SetScript(language.LookupScript(r))
	face := s.known.ResolveFace(r)
	if face == nil {
		return nil
	}
	if _, has := face.NominalGlyph(r); !has {
		return nil
	}
	at := s.known.FontLocation(face.Font)
	f, seen := s.files[at]
	if !seen {
		f, _ = readFont(at)
		s.files[at] = f
	}
	if f == nil {
		return nil
	}
	if i, err := f.GlyphIndex(nil, r); err != nil || i == 0 {
		return nil
	}
	return f
}

// readFont opens one font of a file; nil if it is of a kind that cannot be set. The file stays
// open: only the letters that are cut are read.
func readFont(at fontscan.Location) (*opentype.Font, *os.File) {
	file, err := os.Open(at.File)
	if err != nil {
		return nil, nil
	}
	if all, err := opentype.ParseCollectionReaderAt(file); err == nil && int(at.Index) < all.NumFonts() {
		if f, err := all.Font(int(at.Index)); err == nil {
			return f, file
		}
	}
	file.Close()
	return nil, nil
}
