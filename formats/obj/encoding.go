package obj

import (
	"bytes"
	"io"
	"strings"
	"unicode/utf16"

	"scantling/formats/internal/lines"
)

// An encoding is how a file's text is stored. UTF-16 is worked on as a text in which each
// of its code units stands as one to three bytes, in the manner of UTF-8; halves of
// surrogate pairs each stand for themselves. That loses nothing, whatever the units are,
// and looks like any text to the reader of statements.
type encoding int

const (
	utf8 encoding = iota // and whatever else has the ASCII characters
	utf16le
	utf16be
)

// byteOrderMark is U+FEFF as it stands in the text.
const byteOrderMark = "\xef\xbb\xbf"

// encodingOf tells from the byte order mark at a file's start.
func encodingOf(head []byte) encoding {
	switch {
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		return utf16le
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return utf16be
	}
	return utf8
}

func (e encoding) String() string {
	return [...]string{"utf-8", "utf-16le", "utf-16be"}[e]
}

// unit is the code unit at b[i:].
func (e encoding) unit(b []byte, i int) uint16 {
	if e == utf16le {
		return uint16(b[i]) | uint16(b[i+1])<<8
	}
	return uint16(b[i])<<8 | uint16(b[i+1])
}

// cut is where a piece of stored text may end.
func (e encoding) cut(data []byte) int {
	if e == utf8 {
		return lines.AfterJoinedLine(data)
	}
	end := len(data) &^ 1
	for i := end - 2; i >= 0; i -= 2 {
		u := e.unit(data, i)
		// A CR at the very end may be half of a CR LF.
		if u != '\n' && (u != '\r' || i+4 > len(data) || e.unit(data, i+2) == '\n') {
			continue
		}
		before := i - 2
		if u == '\n' && before >= 0 && e.unit(data, before) == '\r' {
			before -= 2
		}
		if before < 0 || e.unit(data, before) != '\\' {
			return i + 2
		}
	}
	return 0
}

// text is what stored bytes say: themselves, or made in room, which grows as it needs. A
// last odd byte of UTF-16 is no text; encode's caller keeps it.
func (e encoding) text(room *[]byte, stored []byte) []byte {
	if e == utf8 {
		return stored
	}
	dst := (*room)[:0]
	for i := 0; i+1 < len(stored); i += 2 {
		switch u := e.unit(stored, i); {
		case u < 0x80:
			dst = append(dst, byte(u))
		case u < 0x800:
			dst = append(dst, 0xc0|byte(u>>6), 0x80|byte(u&0x3f))
		default:
			dst = append(dst, 0xe0|byte(u>>12), 0x80|byte(u>>6&0x3f), 0x80|byte(u&0x3f))
		}
	}
	*room = dst
	return dst
}

// encode appends the stored form of text that was made of UTF-16.
func (e encoding) encode(dst, text []byte) []byte {
	for i := 0; i < len(text); {
		u, n := unitOf(text[i:])
		i += n
		if e == utf16le {
			dst = append(dst, byte(u), byte(u>>8))
		} else {
			dst = append(dst, byte(u>>8), byte(u))
		}
	}
	return dst
}

// unitOf is the code unit that is at the start of text.
func unitOf(text []byte) (u uint16, n int) {
	switch c := text[0]; {
	case c < 0x80 || len(text) < 2:
		return uint16(c), 1
	case c < 0xe0 || len(text) < 3:
		return uint16(c&0x1f)<<6 | uint16(text[1]&0x3f), 2
	default:
		return uint16(c&0x0f)<<12 | uint16(text[1]&0x3f)<<6 | uint16(text[2]&0x3f), 3
	}
}

// name makes a Go string of a piece of text: surrogate halves joined, and bytes that are
// no UTF-8 replaced.
func (e encoding) name(text []byte) string {
	if e == utf8 {
		return strings.ToValidUTF8(string(text), "\ufffd")
	}
	var units []uint16
	for i := 0; i < len(text); {
		u, n := unitOf(text[i:])
		units = append(units, u)
		i += n
	}
	return string(utf16.Decode(units))
}

// linesBefore counts the line ends in the first offset bytes of a file and in the text
// that follows them.
func (e encoding) linesBefore(in io.ReaderAt, offset int64, text []byte) (int, error) {
	var before io.Reader = io.NewSectionReader(in, 0, offset)
	if e != utf8 {
		before = &lowBytes{r: before, e: e}
		offset /= 2
	}
	n, err := lines.CountLines(before, offset)
	if err != nil {
		return 0, err
	}
	m, err := lines.CountLines(bytes.NewReader(text), int64(len(text)))
	return n + m, err
}

// lowBytes reads UTF-16 as one byte a code unit, with zero for what is not ASCII.
type lowBytes struct {
	r io.Reader
	e encoding
}

func (l *lowBytes) Read(p []byte) (int, error) {
	stored := make([]byte, 2*len(p))
	n, err := io.ReadFull(l.r, stored)
	if err == io.ErrUnexpectedEOF {
		err = nil
	}
	n &^= 1
	for i := 0; i < n; i += 2 {
		p[i/2] = 0
		if u := l.e.unit(stored, i); u < 0x80 {
			p[i/2] = byte(u)
		}
	}
	return n / 2, err
}
