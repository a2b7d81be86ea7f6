package record

import (
	"os"
	"strings"
)

// A Paper is a size of paper.
type Paper uint8

// The papers.
const (
	A4     Paper = iota // ISO 216: 210 × 297 mm
	Letter              // ANSI/ASME Y14.1: 8.5 × 11 in
)

// Size is the paper's width and height, mm.
func (p Paper) Size() (w, h float64) {
	if p == Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// String is "A4" or "Letter".
func (p Paper) String() string {
	if p == Letter {
		return "Letter"
	}
	return "A4"
}

// css is the paper's name in a style sheet (CSS Paged Media, 7.1).
func (p Paper) css() string { return strings.Replace(p.String(), "L", "l", 1) }

// ParsePaper reads "a4" or "letter", in capitals or not.
func ParsePaper(s string) (Paper, bool) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "a4":
		return A4, true
	case "letter":
		return Letter, true
	}
	return A4, false
}

// PaperIn is the paper that is usual where a locale as "en_US.UTF-8" or "es-MX" is spoken: Letter
// in North America and in a few countries more, A4 elsewhere (the territories with paper size
// US-Letter in Unicode CLDR's supplemental data; from memory).
func PaperIn(locale string) Paper {
	locale, _, _ = strings.Cut(locale, ".")
	parts := strings.FieldsFunc(locale, func(r rune) bool { return r == '_' || r == '-' })
	for _, p := range parts[min(1, len(parts)):] {
		switch strings.ToUpper(p) {
		case "US", "CA", "MX", "PR", "PH", "CL", "CO", "CR", "GT", "NI", "PA", "SV", "VE", "BZ":
			return Letter
		}
	}
	return A4
}

// UsualPaper is the paper of the locale that the environment names, or where it names none that
// system says; system may be nil.
func UsualPaper(system func() string) Paper {
	for _, name := range []string{"LC_ALL", "LC_PAPER", "LANG"} {
		if v := os.Getenv(name); v != "" {
			return PaperIn(v)
		}
	}
	if system == nil {
		return A4
	}
	return PaperIn(system())
}
