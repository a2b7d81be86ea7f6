package threemf

import (
	"html"
	"io"
	"strings"
)

// tagWithin bounds how far into a model its tag is looked for, in bytes: copies have it before
// anything else.
const tagWithin = 64 << 10

// tagIn is what a model says it is a copy of, in the words of this program; empty for nothing.
// It knows them as they are written here, whatever the prefix.
func (a *archive) tagIn(model string) string {
	f, err := a.find(model)
	if err != nil {
		return ""
	}
	r, err := a.open(f)
	if err != nil {
		return ""
	}
	defer r.Close()
	head, err := io.ReadAll(io.LimitReader(r, tagWithin))
	if err != nil {
		return ""
	}
	text := string(head)
	before, _, declared := strings.Cut(text, `="`+aboutURI+`"`)
	prefix := before[strings.LastIndexAny(before, " :\t\r\n")+1:]
	if !declared || prefix == "" {
		return ""
	}
	_, after, found := strings.Cut(text, `metadata name="`+prefix+`:copy">`)
	words, _, whole := strings.Cut(after, "</")
	if !found || !whole {
		return ""
	}
	return html.UnescapeString(words)
}
