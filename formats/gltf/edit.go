package gltf

import (
	"cmp"
	"encoding/json"
	"io"
	"slices"
	"strconv"
)

// edits are changes to a text, none of which overlap.
type edits []edit

type edit struct {
	start, end uint32
	text       []byte
}

// replace puts text in the place of a value.
func (e *edits) replace(v value, text []byte) {
	k := v.t.tokens[v.i]
	*e = append(*e, edit{k.start, k.end, text})
}

// insert puts text behind a value.
func (e *edits) insert(after value, text []byte) {
	k := after.t.tokens[after.i]
	*e = append(*e, edit{k.end, k.end, text})
}

// sort puts the edits in the order of the text; one number is changed once, even if it was
// found twice. What is put in at the end of a replaced value comes after it.
func (e *edits) sort() {
	slices.SortStableFunc(*e, func(a, b edit) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.end, b.end))
	})
	*e = slices.CompactFunc(*e, func(a, b edit) bool { return a.start == b.start && a.end == b.end })
}

// write writes the text with its edits, which are sorted.
func (e edits) write(w io.Writer, text []byte) error {
	at := uint32(0)
	for _, c := range e {
		if _, err := w.Write(text[at:c.start]); err != nil {
			return err
		}
		if _, err := w.Write(c.text); err != nil {
			return err
		}
		at = c.end
	}
	_, err := w.Write(text[at:])
	return err
}

// appendNumber appends the fewest digits that read back, in the grammar of JSON.
func appendNumber(b []byte, x float64, size int) []byte {
	return strconv.AppendFloat(b, x, 'g', -1, size)
}

// appendNumbers appends a list of numbers.
func appendNumbers(b []byte, list ...float64) []byte {
	b = append(b, '[')
	for i, x := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendNumber(b, x, 64)
	}
	return append(b, ']')
}

// appendList appends a list of indices.
func appendList(b []byte, list []int) []byte {
	b = append(b, '[')
	for i, n := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = strconv.AppendInt(b, int64(n), 10)
	}
	return append(b, ']')
}

// quote is a string in JSON.
func quote(s string) []byte {
	b, _ := json.Marshal(s) // a string cannot fail
	return b
}
