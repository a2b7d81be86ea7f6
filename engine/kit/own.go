package kit

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"scantling/engine/deliver"
	"scantling/engine/judge"
	"scantling/engine/process"
)

// NameOf is how many characters the name of a printer or a process may have.
const NameOf = 60

// mostOwn is how many printers or processes a file may hold.
const mostOwn = 1000

// An Own is what a maker has saved under names of their own, in order of the names. It is a
// snapshot, as a Kit is. The zero value has nothing.
type Own[T judge.Printer | process.Process] struct {
	All []T

	// What newer or other programs wrote and this one does not know, by name.
	extra extras
	each  map[string]extras
}

// A shelf says how one kind of thing is kept in a file of its own.
type shelf[T any] struct {
	file      string // in the maker's configuration folder
	key, list string // the members with the version and with the things
	version   float64
	not       Code // where the file is something else
	name      func(*T) *string
	check     func(T) error // what is wrong besides the name
	write     func(*writer, T) error
	read      func(*reader, member, object) T
	wrap      func(error) error // trouble with the file
	unnamed   error
	long      error
	taken     error
	none      error
	many      error
	barred    []string // names that are no maker's
}

func shelfOf[T judge.Printer | process.Process]() shelf[T] {
	var s any
	switch any(*new(T)).(type) {
	case judge.Printer:
		s = printerShelf()
	case process.Process:
		s = processShelf()
	}
	return s.(shelf[T])
}

// Find gives the one of a name; capitals and spaces around do not matter.
func (o Own[T]) Find(name string) (T, error) {
	if i := o.index(name); i >= 0 {
		return o.All[i], nil
	}
	return *new(T), shelfOf[T]().none
}

func (o Own[T]) index(name string) int {
	s := shelfOf[T]()
	name = strings.TrimSpace(name)
	return slices.IndexFunc(o.All, func(q T) bool { return strings.EqualFold(*s.name(&q), name) })
}

// With is o with one more. It must pass its Check, and its name be no other's: one is
// forgotten first, never replaced in silence.
func (o Own[T]) With(q T) (Own[T], error) {
	s := shelfOf[T]()
	name := s.name(&q)
	*name = strings.TrimSpace(*name)
	switch {
	case *name == "" || !utf8.ValidString(*name) || strings.ContainsFunc(*name, unicode.IsControl):
		return o, s.unnamed
	case utf8.RuneCountInString(*name) > NameOf:
		return o, s.long
	}
	if err := s.check(q); err != nil {
		return o, err
	}
	same := func(other string) bool { return strings.EqualFold(other, *name) }
	switch {
	case o.index(*name) >= 0 || slices.ContainsFunc(s.barred, same):
		return o, s.taken
	case len(o.All) >= mostOwn:
		return o, s.many
	}
	o.All = append(slices.Clone(o.All), q)
	slices.SortStableFunc(o.All, func(a, b T) int {
		return strings.Compare(strings.ToLower(*s.name(&a)), strings.ToLower(*s.name(&b)))
	})
	return o, nil
}

// Renewed is o with one instead of the one that has its name, or with one more.
func (o Own[T]) Renewed(q T) (Own[T], error) {
	if rest, err := o.Without(*shelfOf[T]().name(&q)); err == nil {
		return rest.With(q)
	}
	return o.With(q)
}

// Without is o without the one of that name.
func (o Own[T]) Without(name string) (Own[T], error) {
	i := o.index(name)
	if i < 0 {
		return o, shelfOf[T]().none
	}
	o.All = slices.Delete(slices.Clone(o.All), i, i+1)
	return o, nil
}

// path is where the file is kept, for the window and the command alike: in the user's
// configuration folder.
func (s shelf[T]) path() (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", s.wrap(err)
	}
	return filepath.Join(folder, "scantling", s.file), nil
}

// load reads the file; nothing where there is none. The error is that of wrap, and the file
// stays as it is.
func load[T judge.Printer | process.Process](path string) (Own[T], error) {
	s := shelfOf[T]()
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return Own[T]{}, nil
	}
	data, err := read(path)
	if err != nil {
		return Own[T]{}, s.wrap(err)
	}
	r := &reader{file: path, data: data}
	o := decodeOwn[T](r)
	if r.err != nil {
		return Own[T]{}, s.wrap(r.err)
	}
	return o, nil
}

// update reads the file, changes what it holds, and writes it, whole or not at all: until the
// new file is complete the old one stays, and one that cannot be read is never written over.
// It gives what there then is. The error is that of change or of wrap.
func update[T judge.Printer | process.Process](path string, change func(Own[T]) (Own[T], error)) (Own[T], error) {
	before, err := load[T](path)
	if err != nil {
		return before, err
	}
	after, err := change(before)
	if err != nil {
		return before, err
	}
	data, err := encodeOwn(after)
	if err == nil {
		err = os.MkdirAll(filepath.Dir(path), 0o777)
	}
	if err == nil {
		err = deliver.WriteFile(path, data)
	}
	if err != nil {
		return before, shelfOf[T]().wrap(err)
	}
	return after, nil
}

func encodeOwn[T judge.Printer | process.Process](o Own[T]) ([]byte, error) {
	s := shelfOf[T]()
	all := make([]json.RawMessage, len(o.All))
	for i, q := range o.All {
		var w writer
		if err := s.write(&w, q); err != nil {
			return nil, err
		}
		raw, err := w.object(o.each[*s.name(&q)])
		if err != nil {
			return nil, err
		}
		all[i] = raw
	}
	var w writer
	w.member(s.key, s.version)
	w.member(s.list, all)
	whole, err := w.object(o.extra)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, whole, "", "\t"); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}

func decodeOwn[T judge.Printer | process.Process](r *reader) (own Own[T]) {
	s := shelfOf[T]()
	o := r.document(s.key, s.version, s.not)
	if r.err != nil {
		return own
	}
	if m, there := o.take(s.list); there {
		for _, m := range r.list(m) {
			o := r.object(m)
			name := o["name"]
			q := s.read(r, m, o)
			if r.err != nil {
				return Own[T]{}
			}
			var err error
			if own, err = own.With(q); err != nil {
				if errors.Is(err, s.taken) {
					r.fail(Doubled, name.at, name.path, nil)
				} else {
					r.bad(m, err)
				}
				return Own[T]{}
			}
			if e := o.rest(); e != nil {
				if own.each == nil {
					own.each = map[string]extras{}
				}
				own.each[strings.TrimSpace(*s.name(&q))] = e
			}
		}
	}
	own.extra = o.rest()
	return own
}
