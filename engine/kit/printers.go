package kit

import (
	"errors"

	"scantling/engine/judge"
)

// The members of the file of printers, by object. Lengths are millimetres.
//
//	file:    scantling-printers printers
//	printer: name width depth height margin brim round

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

// Printers are the beds that a maker has saved.
type Printers = Own[judge.Printer]

func printerShelf() shelf[judge.Printer] {
	return shelf[judge.Printer]{
		file: "printers.json", key: "scantling-printers", list: "printers", version: 1, not: NotPrinters,
		name:  func(p *judge.Printer) *string { return &p.Name },
		check: func(p judge.Printer) error { return p.Bed.Check() },
		write: func(w *writer, p judge.Printer) error {
			w.member("name", p.Name)
			w.bed(p.Bed)
			return nil
		},
		read: func(r *reader, _ member, o object) judge.Printer {
			return judge.Printer{Name: r.text(o, "name"), Bed: r.bed(o)}
		},
		wrap:    func(err error) error { return &PrintersError{err} },
		unnamed: ErrPrinterName, long: ErrPrinterLong, taken: ErrPrinterTaken, none: ErrNoPrinter, many: ErrPrinters,
	}
}

// PrintersFile is where the maker's printers are kept, for the window and the command alike:
// in the user's configuration folder.
func PrintersFile() (string, error) { return printerShelf().path() }

// LoadPrinters reads the file of printers; none where there is no file. The error is a
// *PrintersError, and the file stays as it is.
func LoadPrinters(path string) (Printers, error) { return load[judge.Printer](path) }

// ChangePrinters reads the file of printers, changes them, and writes them, whole or not at
// all: until the new file is complete the old one stays, and one that cannot be read is never
// written over. It gives the printers as they then are. The error is that of change or a
// *PrintersError.
func ChangePrinters(path string, change func(Printers) (Printers, error)) (Printers, error) {
	return update(path, change)
}
