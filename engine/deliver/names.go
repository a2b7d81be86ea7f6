package deliver

import (
	"errors"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// maxName bounds a file name in bytes, extension included. Common file systems take 255
// bytes or 255 UTF-16 units; the rest is left for what sync and backup programs append.
const maxName = 200

// A NameField is a field of a name pattern.
type NameField string

// The fields of a pattern, written in braces.
const (
	PartField    NameField = "part"     // the source's file name without extension
	RatioField   NameField = "ratio"    // target ratio, 1-48; x0.235 where no ratio is known
	PercentField NameField = "percent"  // 23.5
	FactorField  NameField = "factor"   // 0.235
	KitField     NameField = "kit"      // the kit's title
	DateField    NameField = "date"     // the day of saving, 2026-04-30 (ISO 8601)
	PiecesField  NameField = "quantity" // how often the part is printed; 1-4 for a file of several that differ
)

// NameFields lists the fields of a pattern.
func NameFields() []NameField {
	return []NameField{PartField, RatioField, PercentField, FactorField, KitField, DateField, PiecesField}
}

// What a pattern can have wrong.
var (
	ErrUnknownField = errors.New("unknown field")
	ErrBrace        = errors.New("brace without its partner")
	ErrEmptyPattern = errors.New("empty pattern")
)

// A PatternError says what is wrong with a pattern, and where.
type PatternError struct {
	Pattern string
	At      int    // byte of the brace, from 0
	Field   string // the unknown field
	Err     error  // one of the package's
}

func (e *PatternError) Error() string {
	if e.Field != "" {
		return fmt.Sprintf("%q: %v {%s}", e.Pattern, e.Err, e.Field)
	}
	return fmt.Sprintf("%q: %v at %d", e.Pattern, e.Err, e.At)
}

// Unwrap is one of the package's errors.
func (e *PatternError) Unwrap() error { return e.Err }

// A Pattern makes the names of copies: plain text with fields in braces, such as
// "{part}-{ratio}". The zero value is "{part}".
type Pattern struct{ pieces []piece }

type piece struct {
	text  string
	field NameField // empty for text
}

// ParsePattern reads a pattern. The error is a *PatternError.
func ParsePattern(typed string) (Pattern, error) {
	if strings.TrimSpace(typed) == "" {
		return Pattern{}, &PatternError{Pattern: typed, Err: ErrEmptyPattern}
	}
	var p Pattern
	for at := 0; at < len(typed); {
		open := strings.IndexAny(typed[at:], "{}")
		if open < 0 {
			p.pieces = append(p.pieces, piece{text: typed[at:]})
			break
		}
		if open > 0 {
			p.pieces = append(p.pieces, piece{text: typed[at : at+open]})
		}
		at += open
		inside, _, closed := strings.Cut(typed[at+1:], "}")
		if typed[at] == '}' || !closed || strings.Contains(inside, "{") {
			return Pattern{}, &PatternError{Pattern: typed, At: at, Err: ErrBrace}
		}
		field := NameField(strings.ToLower(strings.TrimSpace(inside)))
		known := false
		for _, f := range NameFields() {
			known = known || f == field
		}
		if !known {
			return Pattern{}, &PatternError{Pattern: typed, At: at, Field: inside, Err: ErrUnknownField}
		}
		p.pieces = append(p.pieces, piece{field: field})
		at += len(inside) + 2
	}
	return p, nil
}

// Labels are what a pattern's fields stand for, apart from the part's name.
type Labels struct {
	Kit    string
	Target ratio.Ratio  // unknown where the native ratio is
	Factor ratio.Factor // of the copies
	Date   time.Time    // of saving, by the clock of its place; zero: not known
	// Least and Most are how often the parts in the copy are printed: alike for a copy of one.
	// Below 1 counts as 1.
	Least, Most int
	// Correction is that of the copies, which only a tag tells of.
	Correction geom.Vec
}

// Name is the name of the copy of a source: the pattern filled in, made safe, and the
// extension of the copies. A source whose own extension differs from that only by case
// keeps its own, and a pattern that ends with the extension does not get it twice.
func (p Pattern) Name(s Source, l Labels) string {
	base := filepath.Base(s.Path())
	extension := s.Extension()
	own := filepath.Ext(base)
	stem := strings.TrimSuffix(base, own)
	if strings.EqualFold(own, extension) {
		extension = own
	}
	pieces := p.pieces
	if len(pieces) == 0 {
		pieces = []piece{{field: PartField}}
	}
	var b strings.Builder
	for _, piece := range pieces {
		switch piece.field {
		case PartField:
			b.WriteString(stem)
		case RatioField:
			b.WriteString(l.ratio())
		case PercentField:
			b.WriteString(short(l.Factor.Float() * 100))
		case FactorField:
			b.WriteString(short(l.Factor.Float()))
		case KitField:
			b.WriteString(l.Kit)
		case DateField:
			if !l.Date.IsZero() {
				b.WriteString(l.Date.Format(time.DateOnly))
			}
		case PiecesField:
			least, most := max(1, l.Least), max(1, l.Most)
			b.WriteString(strconv.Itoa(least))
			if most > least {
				b.WriteString("-" + strconv.Itoa(most))
			}
		default:
			b.WriteString(piece.text)
		}
	}
	name := b.String()
	if last := pieces[len(pieces)-1]; last.field == "" && len(name) > len(extension) {
		if cut := len(name) - len(extension); strings.EqualFold(name[cut:], extension) {
			name = name[:cut]
		}
	}
	return SafeName(name, extension)
}

// ratio is the target ratio as a name can hold it: neither ":" nor "/" may stand in one.
func (l Labels) ratio() string {
	if !l.Target.Known() {
		return "x" + short(l.Factor.Float())
	}
	return strings.ReplaceAll(l.Target.String(), ":", "-")
}

// short writes a number for a name: at most six figures, never an exponent.
func short(x float64) string {
	six, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		return "0"
	}
	return strconv.FormatFloat(six, 'f', -1, 64)
}

// SafeName makes a file name that Windows, macOS and Linux all take and show as it is:
// characters that one of them forbids, control and invisible characters become "-",
// blanks and dots at the end go, the names of devices and our own temporary files' prefix
// get "_" in front, and the whole is cut to 200 bytes. A stem of which nothing is left
// becomes "copy".
//
// Source of the Windows rules: Microsoft, "Naming Files, Paths, and Namespaces" (from memory).
func SafeName(stem, extension string) string {
	stem = strings.Map(func(r rune) rune {
		switch {
		case r == utf8.RuneError, strings.ContainsRune(`<>:"/\|?*`, r):
			return '-'
		case unicode.IsPrint(r), unicode.Is(unicode.Zs, r), r == '\u200c', r == '\u200d':
			return r // the last two join and part letters in some scripts
		}
		return '-'
	}, stem)
	fit := func() {
		stem = strings.TrimRight(stem, " .")
		for stem != "" && len(stem)+len(extension) > maxName {
			_, n := utf8.DecodeLastRuneInString(stem)
			stem = strings.TrimRight(stem[:len(stem)-n], " .")
		}
	}
	stem = strings.TrimLeft(stem, " ")
	fit()
	if stem == "" {
		stem = "copy"
	}
	if device(stem) || strings.HasPrefix(stem, temporary) {
		stem = "_" + stem
		fit()
	}
	return stem + extension
}

// device reports whether Windows takes a name for a device. What follows the first dot
// does not matter, nor do blanks before it.
func device(name string) bool {
	name, _, _ = strings.Cut(name, ".")
	name = strings.ToUpper(strings.TrimRight(name, " "))
	switch name {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$", "CLOCK$":
		return true
	}
	number, numbered := strings.CutPrefix(name, "COM")
	if !numbered {
		number, numbered = strings.CutPrefix(name, "LPT")
	}
	return numbered && utf8.RuneCountInString(number) == 1 && strings.Contains("0123456789¹²³", number)
}

// safe reports whether a whole file name is as SafeName would leave it.
func safe(name string) bool {
	extension := filepath.Ext(name)
	stem := strings.TrimSuffix(name, extension)
	return stem != "" && SafeName(stem, extension) == name && SafeName(name, "") == name
}

// MostPath is how many UTF-16 units a path may have for programs of Windows that ask for nothing
// longer: 260 with the nought that ends it, of which three at least are the drive's.
//
// Source: Microsoft, "Maximum Path Length Limitation" (from memory).
const MostPath = 259

// long is Planned.Long of a copy on a system, as runtime.GOOS calls it.
func long(system, full, under string) int {
	path, most := full, MostPath
	if system != "windows" {
		path, most = under, MostPath-len(`C:\`)
	}
	n := 0
	for _, r := range path {
		n += max(1, utf16.RuneLen(r))
	}
	if n <= most {
		return 0
	}
	return n
}

// fold makes equal what one file system or another takes for the same name: some ignore case,
// by rules of their own, and some how a letter and its accent are put together. It is wider
// than any of them.
func fold(path string) string {
	path = filepath.Clean(path)
	if strings.IndexFunc(path, func(r rune) bool { return r > unicode.MaxASCII }) < 0 {
		return strings.ToLower(path)
	}
	folded := cases.Fold().String(norm.NFKD.String(path))
	return norm.NFKD.String(folded) // folding may give letters that come apart again
}

// Distinct numbers copies whose names are the same on some file system, in their order: the
// second hull.stl becomes hull-2.stl, or hull-3.stl where another copy has that name.
func Distinct(copies []Copy) {
	named := make(map[string]bool, len(copies)) // by some copy
	for i := range copies {
		named[fold(copies[i].under())] = true
	}
	taken := make(map[string]bool, len(copies))
	for i := range copies {
		c := &copies[i]
		extension := filepath.Ext(c.Name)
		stem := strings.TrimSuffix(c.Name, extension)
		for n := 2; taken[fold(c.under())]; n++ {
			number := "-" + strconv.Itoa(n)
			numbered := *c
			numbered.Name = SafeName(cut(stem, maxName-len(extension)-len(number))+number, extension)
			if key := fold(numbered.under()); !named[key] && !taken[key] {
				c.Name = numbered.Name
			}
		}
		taken[fold(c.under())] = true
	}
}

// cut is the beginning of s that has at most n bytes.
func cut(s string, n int) string {
	for len(s) > n {
		_, last := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-last]
	}
	return s
}

// Folders puts copies into folders as their sources have them, below the one folder in which all
// of the sources are. Sources on several drives of Windows have none in common: the drive, or the
// other computer's name, is then a folder too.
func Folders(copies []Copy) {
	var common []string
	split := func(path string) []string {
		return strings.Split(filepath.ToSlash(filepath.Dir(filepath.Clean(path))), "/")
	}
	for i, c := range copies {
		at := split(c.Source.Path())
		if i == 0 {
			common = at
			continue
		}
		n := 0
		for n < min(len(common), len(at)) && sameElement(common[n], at[n]) {
			n++
		}
		common = common[:n]
	}
	for i := range copies {
		elements := split(copies[i].Source.Path())[len(common):]
		elements = slices.DeleteFunc(elements, func(e string) bool { return e == "" }) // before another computer's name
		for k, e := range elements {
			elements[k] = SafeName(e, "")
		}
		copies[i].Folder = strings.Join(elements, "/")
	}
}

// sameElement reports whether two names are of one folder: on Windows, case does not matter.
func sameElement(a, b string) bool {
	return a == b || runtime.GOOS == "windows" && strings.EqualFold(a, b)
}
