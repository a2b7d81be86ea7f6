package state

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"scantling/engine/kit"
	"scantling/engine/lost"
	"scantling/engine/ways"
	"scantling/formats"
)

// A Lost is a factor that is looked for, or was found again, between a part and an old copy of
// it.
type Lost struct {
	Part  string // id of the original; empty where none is known
	Name  string // its name
	Copy  string // full path of the copy
	Found lost.Found
	Err   error // why nothing was found
	Busy  bool  // it is still looked for
}

// FindLost looks for the factor between a part and an old copy of it. View.Lost tells what
// comes of it, and nothing else changes. Without an original, or with one that could not be
// read, it only says so.
func (b *Bench) FindLost(id, copied string) {
	copied = absolute(copied)
	b.comparing.stop()
	p, ok := b.history.Kit().Part(id)
	l := Lost{Part: id, Name: p.Name, Copy: copied}
	b.view.Lost = &l
	f := b.measuredFile(p)
	switch {
	case !ok:
		l.Part, l.Err = "", ErrNoOriginal
	case f == nil:
		l.Err = &PathError{Path: p.File, Err: ErrFailedPart}
	case p.File == copied:
		l.Err = &PathError{Path: copied, Err: ErrItself}
	}
	if l.Err != nil {
		b.change()
		return
	}
	b.SetFolder(ForModels, filepath.Dir(copied))
	l.Busy = true
	b.looking.stop() // no more meshes at a time than must be
	original := lost.Body{Part: b.history.Kit().Seen(p, f.parts[p.Index])}
	var found lost.Found
	b.start(&b.comparing, func(w *worker) (err error) {
		at := func(share float64) {
			b.progress(w, &b.comparing, Job{Part: filepath.Base(copied), All: 1, Share: share})
		}
		at(0)
		found, err = findLost(w.ctx, b.config.Disk, f.file, p.Index, original, copied, at)
		return err
	}, func(err error) {
		if errors.Is(err, context.Canceled) {
			b.DismissLost()
		} else {
			done := Lost{Part: id, Name: p.Name, Copy: copied, Found: found, Err: err}
			b.view.Lost = &done
		}
		b.nextLook()
		b.change()
	})
}

// findLost opens the copy and compares the part of it that stands for the original.
func findLost(ctx context.Context, disk Disk, file formats.File, index int, original lost.Body, path string, report func(float64)) (lost.Found, error) {
	copied, err := disk.Open(ctx, path, func(f float64) { report(f / 4) })
	if err != nil {
		return lost.Found{}, err
	}
	if original.Part.Surface {
		if original.Mesh, err = file.Mesh(ctx, index, func(f float64) { report((1 + f) / 4) }); err != nil {
			return lost.Found{}, &PathError{Path: file.Path(), Err: err}
		}
	}
	best, nothing := lost.Found{}, error(&PathError{Path: path, Err: lost.ErrDifferent})
	for _, i := range candidates(file, index, copied) {
		body := lost.Body{Part: copied.Parts()[i]}
		if body.Part.Surface {
			if body.Mesh, err = copied.Mesh(ctx, i, func(f float64) { report((2 + f) / 4) }); err != nil {
				return lost.Found{}, &PathError{Path: path, Err: err}
			}
		}
		found, err := lost.Find(ctx, original, body, func(f float64) { report((3 + f) / 4) })
		switch {
		case ctx.Err() != nil:
			return lost.Found{}, ctx.Err()
		case err == nil && (nothing != nil || found.SD < best.SD):
			best, nothing = found, nil
		case err != nil && nothing != nil:
			nothing = &PathError{Path: path, Err: err}
		}
	}
	return best, nothing
}

// candidates are the parts of a copy that may stand for a part of the original file: the one
// of its name, or the one in its place where both files have as many, or else all.
func candidates(file formats.File, index int, copied formats.File) []int {
	was, is := file.Parts(), copied.Parts()
	var all, named []int
	for i, p := range is {
		all = append(all, i)
		if p.Name == was[index].Name && p.Name != "" {
			named = append(named, i)
		}
	}
	switch {
	case len(named) == 1:
		return named
	case len(was) == len(is):
		return []int{index}
	}
	return all
}

// DismissLost forgets the factor that was found, or stops looking for it.
func (b *Bench) DismissLost() {
	b.comparing.stop()
	b.view.Lost = nil
	b.nextLook()
	b.change()
}

// UseLost puts the factor that was found in force, and keeps where it comes from.
func (b *Bench) UseLost() {
	l := b.view.Lost
	if l == nil || l.Busy || l.Err != nil {
		return
	}
	k := b.history.Kit()
	w := k.Way
	w.Kind, w.Factor = ways.ByFactor, l.Found.Tidy
	w.Recovered = ways.Recovery{Factor: l.Found.Tidy, SD: l.Found.SD, Part: l.Name, Copy: filepath.Base(l.Copy),
		Method: string(l.Found.Method), Uneven: l.Found.Uneven}
	b.view.Lost = nil
	b.do(StepLost, k.WithWay(w))
}

// Original is the part that a file is taken for an old copy of when the maker says that it is
// one: the selected part, or else the one whose name the file's name has in it; "" for none.
func (b *Bench) Original(copied string) string {
	k := b.history.Kit()
	if p, ok := k.Part(b.view.Selected); ok && b.measuredFile(p) != nil {
		return p.ID
	}
	id, _ := b.named(k, copied)
	return id
}

// LooksLikeCopy is the part of which a file may be an old copy by its name alone: the part's
// name, alone or with a ratio, a size or a word such as "copy"; "" for none. It is a reason
// to ask.
func (b *Bench) LooksLikeCopy(copied string) string {
	id, rest := b.named(b.history.Kit(), absolute(copied))
	for _, w := range rest {
		w = strings.TrimPrefix(w, "x")
		for _, unit := range []string{"pct", "percent", "scale", "th", "mm"} {
			w = strings.TrimSuffix(w, unit)
		}
		number := strings.Trim(w, "0123456789") == ""
		if !number && !slices.Contains([]string{"copy", "old", "scaled", "rescaled", "resized", "small", "large", "print"}, w) {
			return ""
		}
	}
	return id
}

// named finds the part whose name, or whose file's, stands in the name of another file, the
// longest of several, and what else that name has.
func (b *Bench) named(k kit.Kit, path string) (id string, rest []string) {
	whole := wordsOf(titleOf(path))
	length := 0
	for _, p := range k.Parts {
		if p.File == path || b.measuredFile(p) == nil {
			continue
		}
		for _, name := range []string{p.Name, titleOf(p.File)} {
			words := wordsOf(name)
			at := within(whole, words)
			if at >= 0 && len(words) > length {
				id, length = p.ID, len(words)
				rest = slices.Concat(whole[:at], whole[at+len(words):])
			}
		}
	}
	return id, rest
}

// within is where words stand in others, one after another; -1 where they do not.
func within(whole, words []string) int {
	for i := 0; i+len(words) <= len(whole); i++ {
		if slices.Equal(whole[i:i+len(words)], words) {
			return i
		}
	}
	return -1
}

// wordsOf are the words and numbers of a name, in lower case.
func wordsOf(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}
