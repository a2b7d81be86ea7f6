package threemf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

const (
	// window is how much text is read at once.
	window = 256 << 10
	// longestTag is how long a tag may be, in bytes: all of it is held at once.
	longestTag = 1 << 20
	// deepest is how many elements may stand in each other.
	deepest = 256
	// mostAttributes is how many attributes a tag may have.
	mostAttributes = 256
	// mostBindings is how many namespace declarations may be in force at once.
	mostBindings = 1024
)

// A syntaxError is what is wrong with an XML text, and where.
type syntaxError struct {
	at      int64 // byte of the text
	what    string
	cut     bool // the text ends too early
	unknown bool // correct XML, but of a kind that 3MF does not have
}

func (e *syntaxError) Error() string { return e.what }

// A token is what a scanner meets.
type token uint8

const (
	startTag token = iota
	endTag
	endOfText
)

// A scanner reads an XML text as a stream of tags and knows which namespaces are in force.
// It accepts what 3MF allows (core specification 1.4.0, section 2.3.2): UTF-8, no document
// type definition, hence no entities but the five of XML itself. It holds one window of the
// text, or one tag if that is longer.
//
// What it has passed goes to emit, unless that is nil, with what edit has put in its place:
// without an edit, all bytes of the text.
type scanner struct {
	r       io.Reader
	buf     []byte
	at, end int   // buf[at:end] is still to be scanned
	offset  int64 // of buf[0] in the text
	ended   bool  // r has

	emit    func([]byte) error
	emitted int  // what of buf is
	dropped bool // what is passed is left out

	tag      tag
	empty    bool // the tag just met was <a/>: its end is still to be told
	open     []element
	names    []byte // of the open elements, one after another
	bindings []binding
	known    map[string]kind // by qualified name, under the bindings in force
	rooted   bool            // the root element was met
}

// An element is one that is open.
type element struct {
	kind     kind
	name     int // where in names it begins
	bindings int // how many were in force before it
}

// A binding is a namespace prefix, "" for the default namespace.
type binding struct {
	prefix, uri string
	space       space
}

// A tag is a start tag. Its attributes are places in the scanner's buffer.
type tag struct {
	kind       kind
	name       span
	attributes []attribute
}

type span struct{ from, to int }

type attribute struct{ name, value span }

func newScanner(r io.Reader, emit func([]byte) error) *scanner {
	return &scanner{r: r, buf: make([]byte, window), emit: emit, known: map[string]kind{}}
}

// fail is an error at a place in the buffer.
func (s *scanner) fail(at int, format string, a ...any) error {
	return &syntaxError{at: s.offset + int64(at), what: fmt.Sprintf(format, a...)}
}

// here is where in the text the tag just met begins.
func (s *scanner) here() int64 { return s.offset + int64(s.tag.name.from) - 1 }

// depth counts the open elements.
func (s *scanner) depth() int { return len(s.open) }

// bytes is what a span holds.
func (s *scanner) bytes(p span) []byte { return s.buf[p.from:p.to] }

// find is the attribute of that qualified name; false where there is none.
func (s *scanner) find(name string) (attribute, bool) {
	for _, a := range s.tag.attributes {
		if string(s.bytes(a.name)) == name {
			return a, true
		}
	}
	return attribute{}, false
}

// findIn is the attribute of that local name in a namespace.
func (s *scanner) findIn(in space, name string) (attribute, bool) {
	for _, a := range s.tag.attributes {
		prefix, local, ok := bytes.Cut(s.bytes(a.name), []byte(":"))
		if ok && string(local) == name && s.space(prefix) == in {
			return a, true
		}
	}
	return attribute{}, false
}

// binding is what a prefix stands for.
func (s *scanner) binding(prefix []byte) (binding, bool) {
	for i := len(s.bindings) - 1; i >= 0; i-- {
		if s.bindings[i].prefix == string(prefix) {
			return s.bindings[i], true
		}
	}
	return binding{}, false
}

func (s *scanner) space(prefix []byte) space {
	b, _ := s.binding(prefix)
	return b.space
}

// edit puts new text in the place of a span of the tag just met. Edits of a tag must come
// in the order of the text.
func (s *scanner) edit(p span, text []byte) error {
	if err := s.emit(s.buf[s.emitted:p.from]); err != nil {
		return err
	}
	s.emitted = p.to
	return s.emit(text)
}

// insert puts text behind the tag just met.
func (s *scanner) insert(text []byte) error { return s.edit(span{s.at, s.at}, text) }

// drop leaves out what is passed from the tag just met on, and keep ends that.
func (s *scanner) drop() error {
	err := s.edit(span{s.tag.name.from - 1, s.at}, nil)
	s.dropped = true
	return err
}

func (s *scanner) keep() {
	s.dropped = false
	s.emitted = s.at
}

// more reads on. What lies before from may be dropped; places move by as much as it
// returns. At the end of the text, ended is set.
func (s *scanner) more(from int) (moved int, err error) {
	if from > 0 {
		if s.dropped {
			s.emitted = max(s.emitted, from)
		} else if s.emit != nil && from > s.emitted {
			if err := s.emit(s.buf[s.emitted:from]); err != nil {
				return 0, err
			}
			s.emitted = from
		}
		copy(s.buf, s.buf[from:s.end])
		s.offset += int64(from)
		s.at -= from
		s.end -= from
		s.emitted -= from
	}
	if s.end == len(s.buf) {
		s.buf = append(s.buf, make([]byte, len(s.buf))...)
	}
	n, err := s.r.Read(s.buf[s.end:])
	s.end += n
	if err == io.EOF {
		s.ended, err = true, nil
	}
	return from, err
}

// next is the next tag. After endOfText it must not be called again.
func (s *scanner) next() (token, error) {
	if s.empty {
		s.empty = false
		return endTag, nil
	}
	for {
		i := bytes.IndexByte(s.buf[s.at:s.end], '<')
		run := s.buf[s.at:s.end]
		if i >= 0 {
			run = run[:i]
		}
		if err := s.passText(run); err != nil {
			return 0, err
		}
		s.at += len(run)
		if i < 0 {
			if s.ended {
				return endOfText, s.finish()
			}
			if _, err := s.more(s.at); err != nil {
				return 0, err
			}
			continue
		}
		for s.end-s.at < 2 {
			if s.ended {
				return 0, s.cut()
			}
			if _, err := s.more(s.at); err != nil {
				return 0, err
			}
		}
		switch s.buf[s.at+1] {
		case '?':
			if err := s.passInstruction(); err != nil {
				return 0, err
			}
		case '!':
			if err := s.passMarkup(); err != nil {
				return 0, err
			}
		case '/':
			return endTag, s.readEnd()
		default:
			return startTag, s.readStart()
		}
	}
}

// finish is called at the end of the text.
func (s *scanner) finish() error {
	if len(s.open) > 0 || !s.rooted {
		return s.cut()
	}
	if s.emit != nil {
		return s.emit(s.buf[s.emitted:s.end])
	}
	return nil
}

func (s *scanner) cut() error {
	return &syntaxError{at: s.offset + int64(s.end), what: "the text ends too early", cut: true}
}

// passText looks at text between tags.
func (s *scanner) passText(run []byte) error {
	if len(s.open) == 0 {
		if s.offset == 0 && s.at == 0 {
			run = bytes.TrimPrefix(run, []byte("\xef\xbb\xbf"))
		}
		if len(bytes.Trim(run, " \t\r\n")) > 0 {
			return s.fail(s.at, "text outside of the root element")
		}
	}
	return nil
}

// passTo passes what ends with a mark, and the mark, and gives each run to see, which may
// be nil.
func (s *scanner) passTo(mark string, see func([]byte)) error {
	for {
		run := s.buf[s.at:s.end]
		i := bytes.Index(run, []byte(mark))
		if i >= 0 {
			run = run[:i]
		} else {
			run = run[:max(0, len(run)-len(mark)+1)] // the mark may have begun
		}
		if see != nil {
			see(run)
		}
		s.at += len(run)
		if i >= 0 {
			s.at += len(mark)
			return nil
		}
		if s.ended {
			return s.cut()
		}
		if _, err := s.more(s.at); err != nil {
			return err
		}
	}
}

// passInstruction passes <?…?>. An XML declaration may name no encoding but UTF-8.
func (s *scanner) passInstruction() error {
	first := s.offset == 0 && (s.at == 0 || s.at == 3)
	from := s.offset + int64(s.at)
	var head []byte
	err := s.passTo("?>", func(run []byte) { head = append(head, run[:min(len(run), 256-len(head))]...) })
	if err != nil {
		return err
	}
	if !first || !bytes.HasPrefix(head, []byte("<?xml")) {
		return nil
	}
	_, rest, ok := strings.Cut(string(head), "encoding")
	if !ok {
		return nil
	}
	rest = strings.TrimLeft(rest, " \t\r\n=")
	if len(rest) > 0 {
		name, _, _ := strings.Cut(rest[1:], rest[:1])
		if !strings.EqualFold(name, "utf-8") && !strings.EqualFold(name, "us-ascii") {
			return &syntaxError{at: from, what: "encoding " + clip(name), unknown: true}
		}
	}
	return nil
}

// passMarkup passes a comment or a CDATA section.
func (s *scanner) passMarkup() error {
	const cdata, comment = "<![CDATA[", "<!--"
	for s.end-s.at < len(cdata) && !s.ended {
		if _, err := s.more(s.at); err != nil {
			return err
		}
	}
	rest := s.buf[s.at:s.end]
	switch {
	case bytes.HasPrefix(rest, []byte(comment)):
		s.at += len(comment)
		return s.passTo("-->", nil)
	case bytes.HasPrefix(rest, []byte(cdata)):
		if len(s.open) == 0 {
			return s.fail(s.at, "text outside of the root element")
		}
		s.at += len(cdata)
		return s.passTo("]]>", nil)
	case bytes.HasPrefix(rest, []byte("<!DOCTYPE")):
		return &syntaxError{at: s.offset + int64(s.at), what: "a document type definition", unknown: true}
	case s.ended && (strings.HasPrefix(cdata, string(rest)) || strings.HasPrefix("<!DOCTYPE", string(rest))):
		return s.cut()
	}
	return s.fail(s.at, "unknown markup")
}

// readEnd reads an end tag, which must be that of the innermost element.
func (s *scanner) readEnd() error {
	i, err := s.whole()
	if err != nil {
		return err
	}
	name := bytes.TrimRight(s.buf[s.at+2:i], " \t\r\n")
	if len(s.open) == 0 {
		return s.fail(s.at, "an end tag without a start tag")
	}
	if want := s.names[s.open[len(s.open)-1].name:]; !bytes.Equal(name, want) {
		return s.fail(s.at, "%s ends where %s should", clip(string(name)), clip(string(want)))
	}
	s.at = i + 1
	return nil
}

// whole reads on until the tag at s.at is whole, and is where its > is.
func (s *scanner) whole() (int, error) {
	from := s.at + 1
	for {
		if i := bytes.IndexByte(s.buf[from:s.end], '>'); i >= 0 {
			return from + i, nil
		}
		from = s.end
		moved, err := s.lengthen()
		if err != nil {
			return 0, err
		}
		from -= moved
	}
}

// lengthen reads more of the tag at s.at.
func (s *scanner) lengthen() (moved int, err error) {
	if s.ended {
		return 0, s.cut()
	}
	if s.end-s.at > longestTag {
		return 0, s.fail(s.at, "a tag of more than %d bytes", longestTag)
	}
	return s.more(s.at)
}

// close forgets the innermost element. It is called after its end was dealt with.
func (s *scanner) close() {
	e := s.open[len(s.open)-1]
	s.open = s.open[:len(s.open)-1]
	s.names = s.names[:e.name]
	if len(s.bindings) > e.bindings {
		s.bindings = s.bindings[:e.bindings]
		clear(s.known)
	}
}

// errShort says that a tag goes on beyond the buffer.
var errShort = errors.New("short")

// readStart reads a start tag and opens its element.
func (s *scanner) readStart() error {
	for {
		n, err := s.parseStart()
		if err == nil {
			s.at = n
			return s.begin()
		}
		if err != errShort {
			return err
		}
		if _, err := s.lengthen(); err != nil {
			return err
		}
	}
}

// nameEnds are the bytes that cannot be part of a name.
var nameEnds = [256]bool{
	' ': true, '\t': true, '\r': true, '\n': true, '<': true, '>': true, '/': true, '=': true,
	'"': true, '\'': true, '&': true, 0: true,
}

func blank(c byte) bool { return c == ' ' || c == '\n' || c == '\r' || c == '\t' }

// parseStart reads the tag at s.at and is where it ends; errShort when the buffer does
// first.
func (s *scanner) parseStart() (int, error) {
	b := s.buf[:s.end]
	i := s.at + 1
	t := &s.tag
	t.attributes = t.attributes[:0]
	t.name.from = i
	for i < len(b) && !nameEnds[b[i]] {
		i++
	}
	t.name.to = i
	if i == len(b) {
		return 0, errShort
	}
	if i == t.name.from {
		return 0, s.fail(s.at, "a tag without a name")
	}
	for {
		spaced := false
		for i < len(b) && blank(b[i]) {
			spaced = true
			i++
		}
		if i == len(b) {
			return 0, errShort
		}
		switch b[i] {
		case '>':
			s.empty = false
			return i + 1, nil
		case '/':
			if i+1 == len(b) {
				return 0, errShort
			}
			if b[i+1] != '>' {
				return 0, s.fail(i, "a stray /")
			}
			s.empty = true
			return i + 2, nil
		}
		a := attribute{name: span{from: i}}
		for i < len(b) && !nameEnds[b[i]] {
			i++
		}
		a.name.to = i
		for i < len(b) && blank(b[i]) {
			i++
		}
		if i == len(b) {
			return 0, errShort
		}
		if b[i] != '=' || a.name.to == a.name.from || !spaced {
			return 0, s.fail(i, "an attribute that is none")
		}
		i++
		for i < len(b) && blank(b[i]) {
			i++
		}
		if i == len(b) {
			return 0, errShort
		}
		quote := b[i]
		if quote != '"' && quote != '\'' {
			return 0, s.fail(i, "an attribute without quotes")
		}
		i++
		a.value.from = i
		for i < len(b) && b[i] != quote && b[i] != '<' {
			i++
		}
		if i == len(b) {
			return 0, errShort
		}
		if b[i] == '<' {
			return 0, s.fail(i, "a < within an attribute")
		}
		a.value.to = i
		i++
		if len(t.attributes) == mostAttributes {
			return 0, s.fail(s.at, "more than %d attributes", mostAttributes)
		}
		t.attributes = append(t.attributes, a)
	}
}

// begin opens the element whose start tag was just read.
func (s *scanner) begin() error {
	t := &s.tag
	if len(s.open) == 0 {
		if s.rooted {
			return s.fail(t.name.from, "a second root element")
		}
		s.rooted = true
	}
	if len(s.open) == deepest {
		return s.fail(t.name.from, "elements more than %d deep", deepest)
	}
	e := element{name: len(s.names), bindings: len(s.bindings)}
	if err := s.declare(); err != nil {
		return err
	}
	name := s.bytes(t.name)
	s.names = append(s.names, name...)
	k, ok := s.known[string(name)]
	if !ok {
		if i := bytes.IndexByte(name, ':'); i == 0 || i == len(name)-1 || i != bytes.LastIndexByte(name, ':') {
			return s.fail(t.name.from, "a stray colon in the name %s", clip(string(name)))
		}
		k = s.kindOf(name)
		s.known[string(name)] = k
	}
	if !s.inPlace(k) {
		k = otherKind
	}
	t.kind, e.kind = k, k
	s.open = append(s.open, e)
	return nil
}

// inPlace reports whether an element of that kind means something where the scanner is.
func (s *scanner) inPlace(k kind) bool {
	if len(s.open) == 0 {
		return k == modelElement
	}
	around := s.open[len(s.open)-1].kind
	return k != modelElement && (around == parents[k] || k == metadataElement && around == groupElement)
}

// declare takes up the namespaces that a tag declares, and looks for what stands twice.
func (s *scanner) declare() error {
	list := s.tag.attributes
	for i, a := range list {
		name := s.bytes(a.name)
		for _, b := range list[:i] {
			if bytes.Equal(name, s.bytes(b.name)) {
				return s.fail(a.name.from, "the attribute %s twice", clip(string(name)))
			}
		}
		if !bytes.HasPrefix(name, []byte("xmlns")) {
			continue
		}
		prefix := ""
		if len(name) > 5 {
			if name[5] != ':' {
				continue
			}
			prefix = string(name[6:])
		}
		uri, err := s.value(a)
		if err != nil {
			return err
		}
		if len(s.bindings) >= mostBindings && uri != aboutURI { // a copy may have that more
			return s.fail(a.name.from, "more than %d namespaces", mostBindings)
		}
		s.bindings = append(s.bindings, binding{prefix, uri, spaceOf(uri)})
		clear(s.known)
	}
	return nil
}

// kindOf is the kind of an element by its qualified name.
func (s *scanner) kindOf(name []byte) kind {
	prefix, local, ok := bytes.Cut(name, []byte(":"))
	if !ok {
		prefix, local = nil, name
	}
	return kindIn(s.space(prefix), string(local))
}

// value is what an attribute says, with its references resolved and its blanks made plain.
func (s *scanner) value(a attribute) (string, error) {
	v, ok := unescape(s.bytes(a.value))
	if !ok {
		return "", s.fail(a.value.from, "an entity or bytes that XML does not know")
	}
	return v, nil
}

// unescape resolves the references in a text (XML 1.0, sections 4.1 and 4.6) and makes
// every blank a space.
func unescape(text []byte) (string, bool) {
	if !utf8.Valid(text) {
		return "", false
	}
	var b strings.Builder
	for len(text) > 0 {
		c := text[0]
		if c != '&' {
			if blank(c) {
				c = ' '
			}
			b.WriteByte(c)
			text = text[1:]
			continue
		}
		name, rest, ok := bytes.Cut(text[1:], []byte(";"))
		if !ok {
			return "", false
		}
		r, ok := reference(string(name))
		if !ok {
			return "", false
		}
		b.WriteRune(r)
		text = rest
	}
	return b.String(), true
}

// reference is what stands between & and ; resolved.
func reference(name string) (rune, bool) {
	switch name {
	case "amp":
		return '&', true
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "quot":
		return '"', true
	case "apos":
		return '\'', true
	}
	var n rune
	var err error
	switch {
	case len(name) > 10:
		return 0, false
	case strings.HasPrefix(name, "#x"):
		_, err = fmt.Sscanf(name[2:]+";", "%x;", &n)
	case strings.HasPrefix(name, "#"):
		_, err = fmt.Sscanf(name[1:]+";", "%d;", &n)
	default:
		return 0, false
	}
	return n, err == nil && n > 0 && utf8.ValidRune(n)
}

// clip keeps what is quoted in errors short.
func clip(text string) string {
	text = strings.ToValidUTF8(text, "\ufffd")
	if r := []rune(text); len(r) > 60 {
		text = string(r[:60]) + "…"
	}
	return text
}
