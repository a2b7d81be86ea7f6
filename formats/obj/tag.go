package obj

import (
	"bytes"
	"strings"

	"scantling/engine/deliver"
)

// tagComment is what the line begins with that says what a copy is: the first of a file.
const tagComment = "# " + deliver.TagStart

// Comment is a tag as the first line of a file.
func Comment(tag string) string {
	if tag == "" {
		return ""
	}
	return "# " + lineName(tag) + "\n"
}

// retag puts a tag in front of the first of a text, behind its byte order mark, in the place of
// an older one: no tag takes that away.
func retag(text []byte, tag string) []byte {
	mark := 0
	if bytes.HasPrefix(text, []byte(byteOrderMark)) {
		mark = len(byteOrderMark)
	}
	rest := mark
	if bytes.HasPrefix(text[mark:], []byte(tagComment)) {
		if n := bytes.IndexByte(text[mark:], '\n'); n >= 0 {
			rest = mark + n + 1
		}
	}
	line := Comment(tag)
	if n := bytes.IndexByte(text, '\n'); n > 0 && text[n-1] == '\r' {
		line = strings.Replace(line, "\n", "\r\n", 1)
	}
	if line == "" && rest == mark {
		return text
	}
	out := make([]byte, 0, mark+len(line)+len(text)-rest)
	return append(append(append(out, text[:mark]...), line...), text[rest:]...)
}

// tagOf is the tag in the first line of a text; empty for none.
func tagOf(text []byte) string {
	text = bytes.TrimPrefix(text, []byte(byteOrderMark))
	line, _, whole := bytes.Cut(text, []byte("\n"))
	if !whole || !bytes.HasPrefix(line, []byte(tagComment)) {
		return ""
	}
	return string(bytes.TrimSpace(bytes.TrimPrefix(line, []byte("# "))))
}
