package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"scantling/engine/geom"
	"scantling/engine/mesh"
)

// A number is a float64 in JSON, in as many digits as it needs; what is not finite is null.
type number float64

// MarshalJSON is that of json.Marshaler.
func (n number) MarshalJSON() ([]byte, error) {
	if f := float64(n); math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

type triple [3]number

func tripleOf(v geom.Vec) *triple { return &triple{number(v[0]), number(v[1]), number(v[2])} }

// A row is one part in JSON. Lengths are in the file's unit, except those of print, which
// are millimetres.
type row struct {
	File      string   `json:"file"`
	Name      string   `json:"name,omitempty"`
	Format    string   `json:"format,omitempty"`
	Encoding  string   `json:"encoding,omitempty"`
	Unit      string   `json:"unit,omitempty"`
	Triangles *int     `json:"triangles,omitempty"`
	Min       *triple  `json:"min,omitempty"`
	Max       *triple  `json:"max,omitempty"`
	Size      *triple  `json:"size,omitempty"`
	Centroid  *triple  `json:"centroid,omitempty"`
	Area      *number  `json:"area,omitempty"`
	Volume    *number  `json:"volume,omitempty"`
	Closed    *bool    `json:"closed,omitempty"`
	Shells    *int     `json:"shells,omitempty"`
	Print     *triple  `json:"print,omitempty"`
	Largest   number   `json:"largest,omitempty"` // factor at which it fits the bed
	Pose      *pose    `json:"pose,omitempty"`    // in which it does
	Copy      string   `json:"copy,omitempty"`
	Verified  *bool    `json:"verified,omitempty"`
	Unchanged bool     `json:"unchanged,omitempty"` // the copy was there already, as it would be saved
	Corrected *triple  `json:"corrected,omitempty"` // what the copy is multiplied by besides, along x, y and z up
	Notes     []string `json:"notes,omitempty"`
	Error     string   `json:"error,omitempty"`
}

// rowOf is what every verb tells of a part.
func rowOf(m *model, p mesh.Part) row {
	r := row{File: m.path, Name: p.Name, Format: m.file.Format(), Encoding: m.file.Encoding(), Unit: p.Unit.Name, Triangles: &p.Triangles}
	if !p.Box.Empty() {
		r.Size = tripleOf(p.Box.Size())
	}
	return r
}

// failedRow is that of a file that could not be opened.
func failedRow(m *model) row { return row{File: m.path, Error: sentence(m.path, m.err)} }

// printJSON writes the one JSON document of a call.
func (s *session) printJSON(v any) error {
	enc := json.NewEncoder(s.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// printTable writes rows in columns.
func printTable(w io.Writer, rows [][]string) error {
	var width []int
	for _, r := range rows {
		for i, cell := range r {
			if i == len(width) {
				width = append(width, 0)
			}
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	for _, r := range rows {
		var b strings.Builder
		for i, cell := range r {
			if i > 0 {
				b.WriteString("  ")
			}
			b.WriteString(cell)
			b.WriteString(strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell)))
		}
		if _, err := fmt.Fprintln(w, strings.TrimRight(b.String(), " ")); err != nil {
			return err
		}
	}
	return nil
}
