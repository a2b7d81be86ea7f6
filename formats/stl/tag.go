package stl

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"scantling/engine/deliver"
)

// A text carries its tag behind the name of its first solid, on the line of the word solid, if
// that is where the file begins. The name in front of it is the solid's as before; endsolid keeps
// the plain one.

const (
	// mostNamed bounds the names that are searched for a tag and have one put behind them, in bytes.
	mostNamed = 2 << 10
	// mostTag is how much of a tag stands in a text, in bytes.
	mostTag = 512
)

// cutTag takes what stands behind the word solid apart; tag is empty where there is none.
func cutTag(named []byte) (name []byte, tag string) {
	if len(named) > mostNamed+mostTag+2 { // and a blank before each
		return named, ""
	}
	for at := 0; ; at++ {
		i := bytes.Index(named[at:], []byte(deliver.TagStart))
		if i < 0 {
			return named, ""
		}
		at += i
		if at > 0 && !isBlank(named[at-1]) {
			continue
		}
		tag := string(bytes.TrimRight(named[at:], blanks))
		if _, ok := deliver.ParseTag(tag); ok {
			return bytes.TrimRight(named[:at], blanks), tag
		}
	}
}

// appendTagged appends named, what stands behind the word solid but for the blanks at its end, with
// another tag in the place of its own: no tag takes that away.
func appendTagged(dst, named []byte, tag string) []byte {
	name, was := cutTag(named)
	if was == "" && len(named) > mostNamed {
		return append(dst, named...)
	}
	for len(tag) > mostTag {
		_, n := utf8.DecodeLastRuneInString(tag)
		tag = tag[:len(tag)-n]
	}
	return append(append(dst, name...), suffix(tag)...)
}

// suffix is a name or a tag as it stands behind the word solid: on one line, without what would
// make the file no text, and so far only as no reader takes it for a facet.
func suffix(name string) string {
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(name, "\uFFFD"))
	name = strings.Join(strings.Fields(name), " ")
	if i := indexFold([]byte(name), "endfacet"); i >= 0 {
		name = name[:i]
	}
	s := scanner{data: []byte("solid " + name), last: true}
	if e, t := s.next(); t != nil || e != atSolid || len(s.name) == 0 {
		return ""
	}
	return " " + string(s.name)
}
