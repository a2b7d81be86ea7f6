package record

import (
	"encoding/csv"
	"io"
	"strings"
)

// CSV writes the table of parts by RFC 4180: UTF-8 with a head, lines ended by CR and LF, a point
// before decimals. A cell that a spreadsheet would take for a formula has an apostrophe before it.
func (r Record) CSV(w io.Writer) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	for _, row := range r.Rows {
		safe := make([]string, len(row))
		for i, cell := range row {
			safe[i] = harmless(cell)
		}
		if err := c.Write(safe); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// harmless is a cell that is no formula to any spreadsheet: what begins with = + - @, a tab or a
// line's end may be one (OWASP, CSV injection). Numbers of the table are never negative.
func harmless(cell string) string {
	if cell != "" && strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
		return "'" + cell
	}
	return cell
}
