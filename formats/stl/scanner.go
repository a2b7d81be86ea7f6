package stl

import (
	"bytes"
	"fmt"
	"math"
	"strconv"

	"scantling/formats/internal/fault"
	"scantling/formats/internal/number"
)

// An event is what a scanner meets between facets.
type event uint8

const (
	atEnd   event = iota // of the data
	atFacet              // a whole facet, in corner, from and to
	atSolid              // its name is in name
	atEndSolid
)

// A scanner reads text STL as words between blanks, as its inventors' grammar has it: where
// lines end matters to names only. Words may be in any letter case.
type scanner struct {
	data  []byte
	i     int
	last  bool  // nothing follows data
	probe bool  // asks for wide
	memo  *memo // where vertices are looked up; nil: nowhere

	start    int        // of the last event: its first word, or a blank before it
	name     []byte     // after solid, blanks trimmed
	corner   [9]float64 // of the last facet: three corners
	from, to [9]int     // where in data their numbers stand
	// known is how the memo has a corner, or nil: then it has not been read, and only from
	// its first number and to its last are set.
	known  [3][]byte
	normal [3][2]int          // from where to where in data the numbers of the last facet's normal stand
	was    [wordPlaces][]byte // the words of the last facet, from the end of what is before
	wide   bool               // some coordinate so far says more than float32 can hold
}

// trouble is where and why a scanner stopped. It becomes a *fault.Error when the line is
// known.
type trouble struct {
	at     int64 // byte in data, and later in the file
	code   fault.Code
	detail string
}

func (t *trouble) Error() string { return fmt.Sprintf("%s at byte %d: %s", t.code, t.at, t.detail) }

func isBlank(c byte) bool { return c == ' ' || c-'\t' <= '\r'-'\t' }

// skip goes to the next word.
func (s *scanner) skip() {
	i := s.i
	for i < len(s.data) && isBlank(s.data[i]) {
		i++
	}
	s.i = i
}

// word is the word that begins at i.
func (s *scanner) word() []byte {
	n := s.i
	for n < len(s.data) && !isBlank(s.data[n]) {
		n++
	}
	return s.data[s.i:n]
}

// is reads over want if that is the word that begins at i. want is in lower case.
func (s *scanner) is(want string) bool {
	end := s.i + len(want)
	if end > len(s.data) || end < len(s.data) && !isBlank(s.data[end]) {
		return false
	}
	if got := s.data[s.i:end]; string(got) != want && !bytes.EqualFold(got, []byte(want)) {
		return false
	}
	s.i = end
	return true
}

// expect reads over the next word, which must be want.
func (s *scanner) expect(want string) *trouble {
	s.skip()
	if s.is(want) {
		return nil
	}
	return s.unexpected(want)
}

// unexpected is trouble with the word that begins at i, where want should be: a word that
// the end of the file cuts short is no mistake of its own.
func (s *scanner) unexpected(want ...string) *trouble {
	word := s.word()
	if s.last && s.i+len(word) == len(s.data) {
		for _, w := range want {
			if len(word) < len(w) && bytes.EqualFold(word, []byte(w[:len(word)])) {
				return s.truncated()
			}
		}
	}
	detail := fmt.Sprintf("%q where %q should be", clip(word), want[0])
	return &trouble{int64(s.i), fault.Syntax, detail}
}

func (s *scanner) truncated() *trouble {
	return &trouble{int64(len(s.data)), fault.Truncated, "within a facet"}
}

// clip shortens what is quoted in an error.
func clip(word []byte) []byte { return word[:min(len(word), 40)] }

// number reads the next word as coordinate k.
func (s *scanner) number(k int) *trouble {
	s.skip()
	var v float64
	var n int
	var ok bool
	if s.probe {
		var wide bool
		v, n, wide, ok = number.ScanWide(s.data[s.i:])
		s.wide = s.wide || wide
	} else {
		v, n, ok = number.Scan(s.data[s.i:])
	}
	end := s.i + n
	if !ok || end < len(s.data) && !isBlank(s.data[end]) || math.Abs(v) > math.MaxFloat32 {
		return s.badNumber()
	}
	s.corner[k], s.from[k], s.to[k] = v, s.i, end
	s.i = end
	return nil
}

func (s *scanner) badNumber() *trouble {
	word := s.word()
	cutShort := s.last && s.i+len(word) == len(s.data)
	_, err := strconv.ParseFloat(string(word), 64)
	switch {
	case len(word) == 0, cutShort && err != nil && bytes.ContainsAny(word[:1], "+-.0123456789"):
		return s.truncated()
	case err == nil, bytes.ContainsAny(word[:1], "+-.0123456789"):
		return &trouble{int64(s.i), fault.BadNumber, fmt.Sprintf("%q", clip(word))}
	}
	return &trouble{int64(s.i), fault.Syntax, fmt.Sprintf("%q where a number should be", clip(word))}
}

// next reads on to the next event.
func (s *scanner) next() (event, *trouble) {
	before := s.i
	if s.start = before; s.again(beforeNormal) {
		return atFacet, s.facet()
	}
	s.skip()
	s.start = s.i
	switch {
	case s.i == len(s.data):
		return atEnd, nil
	case s.is("facet"):
		s.i = before
		if t := s.words(beforeNormal, "facet", "normal"); t != nil {
			return atEnd, t
		}
		return atFacet, s.facet()
	case s.is("solid"):
		s.name = bytes.Trim(s.restOfLine(true), blanks)
		return atSolid, nil
	case s.is("endsolid"):
		s.restOfLine(false)
		return atEndSolid, nil
	}
	t := s.unexpected("facet", "solid", "endsolid")
	if t.code == fault.Truncated {
		t.detail = "no endsolid"
	}
	return atEnd, t
}

// facet reads what follows the words facet normal.
func (s *scanner) facet() *trouble {
	for k := range s.normal {
		if t := s.direction(k); t != nil {
			return t
		}
	}
	if !s.again(beforeFirst) {
		if t := s.words(beforeFirst, "outer", "loop", "vertex"); t != nil {
			return t
		}
	}
	for k := 0; k < 9; k += 3 {
		if k > 0 && !s.again(beforeOther) {
			if t := s.words(beforeOther, "vertex"); t != nil {
				return t
			}
		}
		if s.memo != nil {
			s.skip()
			known, n := s.memo.find(s.data[s.i:])
			if s.known[k/3] = known; n > 0 {
				s.from[k] = s.i
				s.i += n
				s.to[k+2] = s.i
				continue
			}
		}
		for axis := range 3 {
			if t := s.number(k + axis); t != nil {
				return t
			}
		}
	}
	if s.again(behindLast) {
		return nil
	}
	return s.words(behindLast, "endloop", "endfacet")
}

// The places where words stand in a facet. Programs write them with the same blanks from
// facet to facet, so that a comparison with the last time is enough.
const (
	beforeNormal = iota
	beforeFirst
	beforeOther
	behindLast
	wordPlaces
)

// again reads over the words at a place if they and the blanks around them are the same as
// the last time.
func (s *scanner) again(place int) bool {
	was := s.was[place]
	end := s.i + len(was)
	if len(was) == 0 || end >= len(s.data) || string(s.data[s.i:end]) != string(was) || !isBlank(s.data[end]) {
		return false
	}
	s.i = end
	return true
}

// words reads over the words at a place, and remembers them for again.
func (s *scanner) words(place int, want ...string) *trouble {
	start := s.i
	for _, w := range want {
		if t := s.expect(w); t != nil {
			return t
		}
	}
	s.was[place] = s.data[start:s.i]
	return nil
}

// direction reads over number k of a normal. It is not a length, no copy changes it, and
// some programs write nan there, so it needs only look like a number.
func (s *scanner) direction(k int) *trouble {
	s.skip()
	if s.i == len(s.data) {
		return s.truncated()
	}
	switch c := s.data[s.i]; {
	case c-'0' <= 9, c == '-', c == '+', c == '.', c|0x20 == 'n', c|0x20 == 'i':
	default:
		return s.badNumber()
	}
	i := s.i
	for i < len(s.data) && !isBlank(s.data[i]) {
		i++
	}
	s.normal[k] = [2]int{s.i, i}
	s.i = i
	return nil
}

// restOfLine reads on to the end of the line, or, where the file has all in one line, to
// the first facet in it.
func (s *scanner) restOfLine(stopAtFacet bool) []byte {
	start := s.i
	n := bytes.IndexAny(s.data[start:], "\r\n")
	if n < 0 {
		n = len(s.data) - start
	}
	s.i += n
	rest := s.data[start:s.i]
	for at := 0; stopAtFacet; {
		i := indexFold(rest[at:], "facet")
		if i < 0 {
			break
		}
		at += i
		probe := scanner{data: s.data[:start+n], i: start + at, last: true}
		if (at == 0 || isBlank(rest[at-1])) && probe.is("facet") && probe.expect("normal") == nil && probe.direction(0) == nil {
			s.i = start + at
			return rest[:at]
		}
		at++
	}
	return rest
}

// indexFold is bytes.Index in any letter case; word is in lower case ASCII.
func indexFold(b []byte, word string) int {
	for i := 0; i+len(word) <= len(b); i++ {
		if b[i]|0x20 == word[0] && bytes.EqualFold(b[i:i+len(word)], []byte(word)) {
			return i
		}
	}
	return -1
}

// afterFacet cuts text STL behind an endfacet, or, where there is none, behind a line that
// begins with endsolid: there a scanner needs to know nothing of what was before, except
// whether a solid has begun.
func afterFacet(data []byte) int {
	for i := len(data) - 1; i > 0; i-- {
		if !isBlank(data[i]) || data[i-1]|0x20 != 't' {
			continue
		}
		// The word could be part of a name, but hardly all this.
		loop, ok := before(data[:i], "endfacet")
		if !ok {
			continue
		}
		if loop, ok = before(loop, "endloop"); !ok {
			continue
		}
		loop = bytes.TrimRight(loop, blanks)
		if c := loop[max(0, len(loop)-1):]; len(c) == 1 && (c[0]-'0' <= 9 || c[0] == '.') {
			return i
		}
	}
	for end := len(data); end > 0; {
		start := bytes.LastIndexAny(data[:end-1], "\r\n") + 1
		line := scanner{data: data[:end], i: start}
		line.skip()
		if (data[end-1] == '\n' || data[end-1] == '\r') && line.is("endsolid") {
			return end
		}
		end = start
	}
	return 0
}

// before is what stands before word, when data ends with that and blanks.
func before(data []byte, word string) ([]byte, bool) {
	data = bytes.TrimRight(data, blanks)
	n := len(data) - len(word)
	if n < 1 || !isBlank(data[n-1]) || !bytes.EqualFold(data[n:], []byte(word)) {
		return nil, false
	}
	return data[:n], true
}
