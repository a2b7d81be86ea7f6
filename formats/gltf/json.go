package gltf

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// A kind is what a JSON value is.
type kind uint8

const (
	kindNone kind = iota // not there
	kindNull
	kindBool
	kindNumber
	kindString
	kindArray
	kindObject
)

// maxDepth is how deep arrays and objects may be nested. glTF itself needs a dozen levels.
const maxDepth = 256

// A token is one value and where it is written. The tokens of a text stand in its order;
// those of an object's members follow it as name, value, name, value.
type token struct {
	start, end uint32 // bytes of the text, quotes and brackets included
	next       uint32 // token after this one and all that it holds
	kind       kind
}

// A tree is a scanned JSON text: what is in it and at which bytes, so that single numbers
// can be replaced and all the rest stays as it was written. It needs at most eight times
// the text's size.
type tree struct {
	text   []byte
	tokens []token
}

// A value is one value of a tree. The zero value is none.
type value struct {
	t *tree
	i uint32
}

// A syntaxError says at which byte of the text it stops being JSON.
type syntaxError struct {
	at   int
	what string
}

func (e *syntaxError) Error() string { return fmt.Sprintf("byte %d: %s", e.at, e.what) }

// scanJSON scans one JSON text (RFC 8259) and nothing behind it but white space.
func scanJSON(text []byte) (*tree, error) {
	if uint64(len(text)) > math.MaxUint32-1 {
		return nil, &syntaxError{0, "text of more than 4 GB"}
	}
	s := scanner{tree: &tree{text: text}}
	if bytes.HasPrefix(text, []byte("\xef\xbb\xbf")) {
		s.at = 3 // not allowed in glTF, harmless, and kept
	}
	if err := s.value(0); err != nil {
		return nil, err
	}
	s.space()
	if s.at < len(text) {
		return nil, s.fault("text after the end")
	}
	return s.tree, nil
}

type scanner struct {
	*tree
	at int
}

func (s *scanner) fault(what string) error { return &syntaxError{s.at, what} }

func (s *scanner) space() {
	for s.at < len(s.text) {
		switch s.text[s.at] {
		case ' ', '\t', '\n', '\r':
			s.at++
		default:
			return
		}
	}
}

// peek is the next byte, 0 at the end.
func (s *scanner) peek() byte {
	if s.at < len(s.text) {
		return s.text[s.at]
	}
	return 0
}

func (s *scanner) begin(k kind) int {
	s.tokens = append(s.tokens, token{start: uint32(s.at), kind: k})
	return len(s.tokens) - 1
}

func (s *scanner) finish(i int) {
	s.tokens[i].end = uint32(s.at)
	s.tokens[i].next = uint32(len(s.tokens))
}

func (s *scanner) value(depth int) error {
	if depth > maxDepth {
		return s.fault(fmt.Sprintf("nested deeper than %d", maxDepth))
	}
	s.space()
	switch c := s.peek(); {
	case c == '{':
		return s.object(depth)
	case c == '[':
		return s.array(depth)
	case c == '"':
		return s.str()
	case c == '-' || c >= '0' && c <= '9':
		return s.number()
	case c == 't':
		return s.word("true", kindBool)
	case c == 'f':
		return s.word("false", kindBool)
	case c == 'n':
		return s.word("null", kindNull)
	case s.at == len(s.text):
		return s.fault("the text ends where a value is expected")
	}
	return s.fault("no value begins like this")
}

func (s *scanner) word(word string, k kind) error {
	if !bytes.HasPrefix(s.text[s.at:], []byte(word)) {
		return s.fault("no value begins like this")
	}
	i := s.begin(k)
	s.at += len(word)
	s.finish(i)
	return nil
}

func (s *scanner) object(depth int) error {
	i := s.begin(kindObject)
	s.at++
	s.space()
	if s.peek() == '}' {
		s.at++
		s.finish(i)
		return nil
	}
	for {
		s.space()
		if s.peek() != '"' {
			return s.fault("a member's name is expected")
		}
		if err := s.str(); err != nil {
			return err
		}
		s.space()
		if s.peek() != ':' {
			return s.fault("a colon is expected")
		}
		s.at++
		if err := s.value(depth + 1); err != nil {
			return err
		}
		s.space()
		switch s.peek() {
		case ',':
			s.at++
		case '}':
			s.at++
			s.finish(i)
			return nil
		default:
			return s.fault("a comma or } is expected")
		}
	}
}

func (s *scanner) array(depth int) error {
	i := s.begin(kindArray)
	s.at++
	s.space()
	if s.peek() == ']' {
		s.at++
		s.finish(i)
		return nil
	}
	for {
		if err := s.value(depth + 1); err != nil {
			return err
		}
		s.space()
		switch s.peek() {
		case ',':
			s.at++
		case ']':
			s.at++
			s.finish(i)
			return nil
		default:
			return s.fault("a comma or ] is expected")
		}
	}
}

func (s *scanner) str() error {
	i := s.begin(kindString)
	s.at++
	for s.at < len(s.text) {
		switch c := s.text[s.at]; {
		case c == '"':
			s.at++
			s.finish(i)
			return nil
		case c < ' ':
			return s.fault("a control character in a string")
		case c == '\\':
			if err := s.escape(); err != nil {
				return err
			}
		default:
			s.at++
		}
	}
	return s.fault("the text ends within a string")
}

func (s *scanner) escape() error {
	rest := s.text[s.at:]
	if len(rest) < 2 {
		return s.fault("the text ends within a string")
	}
	switch rest[1] {
	case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		s.at += 2
		return nil
	case 'u':
		if len(rest) >= 6 {
			if _, err := strconv.ParseUint(string(rest[2:6]), 16, 16); err == nil {
				s.at += 6
				return nil
			}
		}
	}
	return s.fault("an unknown escape in a string")
}

func (s *scanner) number() error {
	i := s.begin(kindNumber)
	if s.peek() == '-' {
		s.at++
	}
	if s.peek() == '0' {
		s.at++
	} else if !s.digits() {
		return s.fault("a digit is expected")
	}
	if s.peek() == '.' {
		s.at++
		if !s.digits() {
			return s.fault("a digit is expected")
		}
	}
	if c := s.peek(); c == 'e' || c == 'E' {
		s.at++
		if c := s.peek(); c == '+' || c == '-' {
			s.at++
		}
		if !s.digits() {
			return s.fault("a digit is expected")
		}
	}
	s.finish(i)
	return nil
}

func (s *scanner) digits() bool {
	from := s.at
	for c := s.peek(); c >= '0' && c <= '9'; c = s.peek() {
		s.at++
	}
	return s.at > from
}

// root is the whole text's value.
func (t *tree) root() value { return value{t, 0} }

func (v value) kind() kind {
	if v.t == nil {
		return kindNone
	}
	return v.t.tokens[v.i].kind
}

// raw is the value as it is written, nil where there is none.
func (v value) raw() []byte {
	if v.t == nil {
		return nil
	}
	k := v.t.tokens[v.i]
	return v.t.text[k.start:k.end]
}

// get is the object's member of that name: the last one, as other readers have it, where
// there are several; none where v is no object or has no such member.
func (v value) get(name string) value {
	var found value
	v.members(func(n, m value) {
		if n.is(name) {
			found = m
		}
	})
	return found
}

// at follows names down.
func (v value) at(names ...string) value {
	for _, n := range names {
		v = v.get(n)
	}
	return v
}

// members calls f for each of an object's members, and for none of anything else.
func (v value) members(f func(name, m value)) {
	if v.kind() != kindObject {
		return
	}
	tokens := v.t.tokens
	for i := v.i + 1; i < tokens[v.i].next; {
		f(value{v.t, i}, value{v.t, i + 1})
		i = tokens[i+1].next
	}
}

// items are an array's, none of anything else.
func (v value) items() []value {
	if v.kind() != kindArray {
		return nil
	}
	var list []value
	tokens := v.t.tokens
	for i := v.i + 1; i < tokens[v.i].next; i = tokens[i].next {
		list = append(list, value{v.t, i})
	}
	return list
}

// is reports whether a string is s.
func (v value) is(s string) bool {
	raw := v.raw()
	if raw = raw[1 : len(raw)-1]; bytes.IndexByte(raw, '\\') < 0 {
		return string(raw) == s
	}
	return v.str() == s
}

// str is a string's text, "" of anything else. Bytes that are not UTF-8 become U+FFFD.
func (v value) str() string {
	if v.kind() != kindString {
		return ""
	}
	raw := v.raw()
	raw = raw[1 : len(raw)-1]
	if bytes.IndexByte(raw, '\\') < 0 {
		return strings.ToValidUTF8(string(raw), "\uFFFD")
	}
	var b strings.Builder
	b.Grow(len(raw))
	for i := 0; i < len(raw); {
		if raw[i] != '\\' {
			b.WriteByte(raw[i])
			i++
			continue
		}
		if raw[i+1] != 'u' {
			b.WriteByte(unescaped(raw[i+1]))
			i += 2
			continue
		}
		r := hex4(raw[i+2:])
		i += 6
		if utf16.IsSurrogate(r) {
			low := utf8.RuneError
			if len(raw)-i >= 6 && raw[i] == '\\' && raw[i+1] == 'u' {
				low = hex4(raw[i+2:])
			}
			if r = utf16.DecodeRune(r, low); r != utf8.RuneError {
				i += 6
			}
		}
		b.WriteRune(r)
	}
	return strings.ToValidUTF8(b.String(), "\uFFFD")
}

func unescaped(c byte) byte {
	switch c {
	case 'b':
		return '\b'
	case 'f':
		return '\f'
	case 'n':
		return '\n'
	case 'r':
		return '\r'
	case 't':
		return '\t'
	}
	return c
}

func hex4(b []byte) rune {
	n, _ := strconv.ParseUint(string(b[:4]), 16, 16) // checked by the scanner
	return rune(n)
}

var errNumber = errors.New("not a finite number")

// number is a number's value, correctly rounded.
func (v value) number() (float64, error) {
	if v.kind() != kindNumber {
		return 0, errNumber
	}
	f, err := strconv.ParseFloat(string(v.raw()), 64)
	if err != nil {
		return 0, errNumber
	}
	return f, nil
}
