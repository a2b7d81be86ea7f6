package record

import (
	"bufio"
	"context"
	"io"
	"path/filepath"
	"strings"

	"scantling/app/state"
)

// A Form is what a record is written as.
type Form string

// The forms.
const (
	PDF  Form = "pdf"
	HTML Form = "html"
	CSV  Form = "csv" // the parts alone
)

// Forms are all forms.
func Forms() []Form { return []Form{PDF, HTML, CSV} }

// Extension is that of the form's files.
func (f Form) Extension() string { return "." + string(f) }

// FormOf is the form of a file by its extension; false for any other.
func FormOf(path string) (Form, bool) {
	ext := strings.ToLower(filepath.Ext(path))
	if ext == ".htm" {
		return HTML, true
	}
	for _, f := range Forms() {
		if ext == f.Extension() {
			return f, true
		}
	}
	return "", false
}

// Recorder writes records of a form; the paper does not matter to CSV.
func Recorder(f Form, paper Paper) state.Recorder {
	return func(ctx context.Context, r state.Recorded, w io.Writer, report func(float64)) error {
		b := bufio.NewWriter(w)
		record := Of(r)
		var err error
		switch f {
		case CSV:
			err = record.CSV(b)
		case HTML:
			err = record.HTML(ctx, b, paper, report)
		default:
			err = record.PDF(ctx, b, paper, report)
		}
		if err == nil {
			err = b.Flush()
		}
		return err
	}
}
