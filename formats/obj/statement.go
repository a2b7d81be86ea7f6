package obj

import (
	"bytes"

	"scantling/formats/internal/fault"
	"scantling/formats/internal/number"
)

// A kind is what a statement is to us.
type kind uint8

const (
	atEnd     kind = iota
	vertex         // v
	face           // f
	object         // o
	group          // g
	library        // mtllib
	point          // p
	line           // l
	curve          // curv, curv2
	surface        // surf
	call           // call: another file is to be read here
	technique      // ctech, stech
	merging        // mg
	normal         // vn
	comment        // #
	other          // of the format, and nothing to us
	unknown
)

// kindOf is the kind of the statement with this keyword. The keywords are those of the
// format's description (see the package comment), superseded ones included.
func kindOf(keyword []byte) kind {
	switch string(keyword) {
	case "v":
		return vertex
	case "vn":
		return normal
	case "f", "fo": // fo: a face in an older version of the format
		return face
	case "o":
		return object
	case "g":
		return group
	case "mtllib":
		return library
	case "p":
		return point
	case "l":
		return line
	case "curv", "curv2":
		return curve
	case "surf", "bzp", "bsp", "cdc", "cdp":
		return surface
	case "call":
		return call
	case "ctech", "stech":
		return technique
	case "mg":
		return merging
	case "vt", "vp", "s", "usemtl", "cstype", "deg", "bmat", "step", "parm", "trim", "hole",
		"scrv", "sp", "end", "con", "bevel", "c_interp", "d_interp", "lod", "maplib", "usemap",
		"shadow_obj", "trace_obj", "res", "csh":
		return other
	}
	return unknown
}

// A lexer finds the statements in a text of whole lines. It leaves what follows a keyword
// to its user, who moves i along as far as it has read, but not past the statement.
//
// A statement ends with its line (LF, CR LF or CR), unless the line ends with a backslash:
// then it goes on, and the two count as a blank. A comment is not continued, so that one
// that ends with a folder's name does not hide the line after it.
type lexer struct {
	text []byte
	i    int
	cr   bool // there is some CR in the text
	rest bool // i is within a statement
}

// lex begins at the start of text; first says that it is also that of the file.
func lex(text []byte, first bool) lexer {
	x := lexer{text: text, cr: bytes.IndexByte(text, '\r') >= 0}
	if first && bytes.HasPrefix(text, []byte(byteOrderMark)) {
		x.i = len(byteOrderMark)
	}
	return x
}

// next goes to the next statement, past its keyword, and says what it is. at is where the
// keyword stands.
func (x *lexer) next() (k kind, at int) {
	if x.rest {
		x.skip()
	}
	b := x.text
	i := x.i
	x.rest = true
	if i+1 < len(b) && b[i+1] == ' ' { // the frequent ones
		switch b[i] {
		case 'v':
			x.i = i + 1
			return vertex, i
		case 'f':
			x.i = i + 1
			return face, i
		}
	}
	for i < len(b) {
		if b[i] <= ' ' {
			i++
		} else if n := continuation(b, i); n > 0 {
			i += n
		} else {
			break
		}
	}
	if i == len(b) {
		x.i = i
		return atEnd, i
	}
	at = i
	if b[i] == '#' {
		x.i = i + 1
		return comment, at
	}
	for i++; i < len(b) && b[i] > ' ' && continuation(b, i) == 0; i++ {
	}
	x.i = i
	return kindOf(b[at:i]), at
}

// skip goes to the end of the statement.
func (x *lexer) skip() {
	x.rest = false
	b := x.text
	if !x.cr {
		if x.i < len(b) && b[x.i] == '\n' {
			x.i++
			return
		}
		if n := bytes.IndexByte(b[x.i:], '\n'); n > 0 && b[x.i+n-1] != '\\' {
			x.i += n + 1
			return
		}
	}
	for {
		start := x.i
		end := x.lineEnd(start)
		x.i = min(end+1, len(b))
		if end < len(b) && b[end] == '\r' && x.i < len(b) && b[x.i] == '\n' {
			x.i++
		}
		if end == 0 || b[end-1] != '\\' || end == len(b) || commented(b, start, end) {
			return
		}
	}
}

// lineEnd is where the line that i is in ends: at a CR or LF, or with the text.
func (x *lexer) lineEnd(i int) int {
	end := len(x.text)
	if n := bytes.IndexByte(x.text[i:], '\n'); n >= 0 {
		end = i + n
	}
	if x.cr {
		if n := bytes.IndexByte(x.text[i:end], '\r'); n >= 0 {
			end = i + n
		}
	}
	return end
}

// commented reports whether a comment begins in b[start:end] or has just begun.
func commented(b []byte, start, end int) bool {
	for i := max(start-1, 0); i < end; i++ {
		if b[i] == '#' && (i <= start || b[i-1] <= ' ') {
			return true
		}
	}
	return false
}

// words is what follows the keyword, to the end of the statement, without blanks around
// it; a continuation stands as one blank.
func (x *lexer) words() []byte {
	start := x.i
	x.skip()
	b := bytes.TrimSpace(x.text[start:x.i])
	if bytes.IndexByte(b, '\\') < 0 {
		return b
	}
	joined := make([]byte, 0, len(b))
	for i := 0; i < len(b); {
		if n := continuation(b, i); n > 0 {
			joined = append(joined, ' ')
			i += n
		} else {
			joined = append(joined, b[i])
			i++
		}
	}
	return joined
}

// continuation is the length of a backslash with the line end after it, if one is at i.
func continuation(b []byte, i int) int {
	if b[i] != '\\' || i+1 == len(b) {
		return 0
	}
	switch {
	case b[i+1] == '\n':
		return 2
	case b[i+1] != '\r':
		return 0
	case i+2 < len(b) && b[i+2] == '\n':
		return 3
	}
	return 2
}

// blanks is the first place from i on that is no blank within a statement.
func blanks(b []byte, i int) int {
	for i < len(b) {
		switch c := b[i]; {
		case c == ' ' || c == '\t' || c == '\v' || c == '\f':
			i++
		case c == '\\' && continuation(b, i) > 0:
			i += continuation(b, i)
		default:
			return i
		}
	}
	return i
}

// over reports whether a statement's words are over at i, which is no blank.
func over(b []byte, i int) bool {
	return i >= len(b) || b[i] == '\n' || b[i] == '\r' || b[i] == '#'
}

// apart reports whether a word may end at i.
func apart(b []byte, i int) bool {
	return i >= len(b) || b[i] <= ' ' || b[i] == '#' || b[i] == '\\' && continuation(b, i) > 0
}

// A length is a number in a text that is a length.
type length struct {
	from, to int
	value    float64
}

// readLength reads the number that follows the blanks at i. The code is empty when all is
// well, and otherwise of the trouble at l.from. Wide, unless it is nil, becomes true when the
// number has more digits than float32 holds.
func readLength(b []byte, i int, wide *bool) (l length, code fault.Code) {
	if i+1 < len(b) && b[i] == ' ' && b[i+1] > ' ' && b[i+1] != '\\' { // most often
		i++
	} else {
		i = blanks(b, i)
	}
	l.from = i
	if over(b, i) {
		return l, fault.Syntax
	}
	var n int
	var ok, more bool
	if wide == nil {
		l.value, n, ok = number.Scan(b[i:])
	} else {
		l.value, n, more, ok = number.ScanWide(b[i:])
		*wide = *wide || more
	}
	l.to = i + n
	if !ok || !apart(b, l.to) {
		return l, fault.BadNumber
	}
	return l, ""
}

// readTriple reads the three numbers from i on. The code and l are those of the first that
// is none.
func readTriple(b []byte, i int) (v [3]length, l length, code fault.Code) {
	for axis := range v {
		if l, code = readLength(b, i, nil); code != "" {
			return v, l, code
		}
		v[axis] = l
		i = l.to
	}
	return v, l, ""
}

// vertexTrouble says what is wrong with the number at l of the vertex at at.
func vertexTrouble(b []byte, at int, l length, code fault.Code) *trouble {
	if code == fault.Syntax {
		return &trouble{at, code, "a vertex of fewer than three numbers"}
	}
	return &trouble{l.from, code, quote(b, l.from)}
}

// quote shows the word at i.
func quote(b []byte, i int) string {
	end := i
	for end < len(b) && end < i+40 && !apart(b, end) {
		end++
	}
	return `"` + utf8.name(b[i:end]) + `"`
}

// attributeLength finds the length in a technique or merging statement whose keyword was
// just read: the greatest distance in space of "cspace" and "curv", and the distance at
// which surfaces are merged. ok is false when there is none, or nothing that is a number.
func attributeLength(b []byte, i int, k kind, wide *bool) (l length, ok bool) {
	i = blanks(b, i)
	start := i
	for i < len(b) && !apart(b, i) {
		i++
	}
	if k == technique {
		switch string(b[start:i]) {
		case "cspace", "curv":
		default:
			return l, false
		}
	}
	l, code := readLength(b, i, wide)
	return l, code == ""
}
