package kit

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"scantling/engine/deliver"
	"scantling/engine/judge"
)

// The members of the file of printers, by object. Lengths are millimetres.
//
//	file:    scantling-printers printers
//	printer: name width depth height margin brim round

const (
	printersVersion = 1
	mostPrinters    = 1000
	// NameOf is how many characters a printer's name may have.
	NameOf = 60
)

// What a maker's printers refuse. app/text has the words.
var (
	ErrPrinterName  = errors.New("a printer needs a name")
	ErrPrinterLong  = errors.New("the printer's name is too long")
	ErrPrinterTaken = errors.New("another printer has that name")
	ErrNoPrinter    = errors.New("no printer has that name")
	ErrPrinters     = errors.New("there are too many printers")
)

// A PrintersError is trouble with the file of printers; Err is an *Error or a *deliver.Error.
type PrintersError struct{ Err error }

// Error is terse, for logs; app/text has the maker's sentence.
func (e *PrintersError) Error() string { return "printers: " + e.Err.Error() }

// Unwrap is the trouble.
func (e *PrintersError) Unwrap() error { return e.Err }

// Printers are the beds that a maker has saved under names of their own, in order of the
// names. They are a snapshot, as a Kit is. The zero value has none.
type Printers struct {
	All []judge.Printer

	// What newer or other programs wrote and this one does not know, by name of printer.
	extra extras
	each  map[string]extras
}

// Find gives the printer of a name; capitals and spaces around do not matter.
func (p Printers) Find(name string) (judge.Printer, error) {
	if i := p.index(name); i >= 0 {
		return p.All[i], nil
	}
	return judge.Printer{}, ErrNoPrinter
}

func (p Printers) index(name string) int {
	name = strings.TrimSpace(name)
	return slices.IndexFunc(p.All, func(q judge.Printer) bool { return strings.EqualFold(q.Name, name) })
}

// With is p with one printer more. Its bed must pass its Check, and its name be no other's:
// a printer is forgotten first, never replaced in silence.
func (p Printers) With(q judge.Printer) (Printers, error) {
	q.Name = strings.TrimSpace(q.Name)
	if err := checkPrinter(q); err != nil {
		return p, err
	}
	switch {
	case p.index(q.Name) >= 0:
		return p, ErrPrinterTaken
	case len(p.All) >= mostPrinters:
		return p, ErrPrinters
	}
	p.All = append(slices.Clone(p.All), q)
	slices.SortStableFunc(p.All, func(a, b judge.Printer) int {
		return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	})
	return p, nil
}

// Without is p without the printer of that name.
func (p Printers) Without(name string) (Printers, error) {
	i := p.index(name)
	if i < 0 {
		return p, ErrNoPrinter
	}
	p.All = slices.Delete(slices.Clone(p.All), i, i+1)
	return p, nil
}

func checkPrinter(p judge.Printer) error {
	switch {
	case p.Name == "" || !utf8.ValidString(p.Name) || strings.ContainsFunc(p.Name, unicode.IsControl):
		return ErrPrinterName
	case utf8.RuneCountInString(p.Name) > NameOf:
		return ErrPrinterLong
	}
	return p.Bed.Check()
}

// PrintersFile is where the maker's printers are kept, for the window and the command alike:
// in the user's configuration folder.
func PrintersFile() (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", &PrintersError{err}
	}
	return filepath.Join(folder, "scantling", "printers.json"), nil
}

// LoadPrinters reads the file of printers; none where there is no file. The error is a
// *PrintersError, and the file stays as it is.
func LoadPrinters(path string) (Printers, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return Printers{}, nil
	}
	data, err := read(path)
	if err != nil {
		return Printers{}, &PrintersError{err}
	}
	r := &reader{file: path, data: data}
	p := r.printers()
	if r.err != nil {
		return Printers{}, &PrintersError{r.err}
	}
	return p, nil
}

// ChangePrinters reads the file of printers, changes them, and writes them, whole or not at
// all: until the new file is complete the old one stays, and one that cannot be read is never
// written over. It gives the printers as they then are. The error is that of change or a
// *PrintersError.
func ChangePrinters(path string, change func(Printers) (Printers, error)) (Printers, error) {
	before, err := LoadPrinters(path)
	if err != nil {
		return before, err
	}
	after, err := change(before)
	if err != nil {
		return before, err
	}
	data, err := encodePrinters(after)
	if err == nil {
		err = os.MkdirAll(filepath.Dir(path), 0o777)
	}
	if err == nil {
		err = deliver.WriteFile(path, data)
	}
	if err != nil {
		return before, &PrintersError{err}
	}
	return after, nil
}

func encodePrinters(p Printers) ([]byte, error) {
	all := make([]json.RawMessage, len(p.All))
	for i, q := range p.All {
		var w writer
		w.member("name", q.Name)
		w.bed(q.Bed)
		raw, err := w.object(p.each[q.Name])
		if err != nil {
			return nil, err
		}
		all[i] = raw
	}
	var w writer
	w.member("scantling-printers", printersVersion)
	w.member("printers", all)
	whole, err := w.object(p.extra)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, whole, "", "\t"); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}

func (r *reader) printers() (p Printers) {
	o := r.document("scantling-printers", printersVersion, NotPrinters)
	if r.err != nil {
		return p
	}
	if m, there := o.take("printers"); there {
		for _, m := range r.list(m) {
			o := r.object(m)
			name := o["name"]
			q := judge.Printer{Name: r.text(o, "name"), Bed: r.bed(o)}
			if r.err != nil {
				return Printers{}
			}
			var err error
			if p, err = p.With(q); err != nil {
				switch {
				case errors.Is(err, ErrPrinterTaken):
					r.fail(Doubled, name.at, name.path, nil)
				default:
					r.bad(m, err)
				}
				return Printers{}
			}
			if e := o.rest(); e != nil {
				if p.each == nil {
					p.each = map[string]extras{}
				}
				p.each[strings.TrimSpace(q.Name)] = e
			}
		}
	}
	p.extra = o.rest()
	return p
}
