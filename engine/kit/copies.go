package kit

import (
	"encoding/json"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// A Saved is one copy that was saved. The members of its object:
//
//	copy: parts when factor ratio unit-by pose correction format source recipe files
//	pose: x y z shift (the new directions, each as what it takes of the old ones; the shift in
//	      the source's file unit)
//	file: file bytes digest (the main file last)
type Saved struct {
	Parts  []string  // ids of the kit's parts in it; those that were taken out of the kit since stay
	When   time.Time // UTC, to the second
	Factor ratio.Factor
	Ratio  ratio.Ratio // what it is a copy at; not known where the native ratio was not
	// UnitBy is what lengths were multiplied by besides, because the maker corrected the unit of
	// the file; 0 where there was no such.
	UnitBy     float64
	Pose       geom.Pose // as in deliver.Copy; not known: as the source stands
	Correction geom.Vec  // as in deliver.Copy; zero: none
	Format     string    // what was chosen, as formats.Kind has it; empty: that of the source
	// The record says from what and how it was made, and what its files were, by full paths.
	deliver.Record

	extra, poseExtra extras
	filesExtra       []extras // by index in Files
}

// Path is where the copy's main file was saved.
func (s Saved) Path() string {
	if len(s.Files) == 0 {
		return ""
	}
	return s.Files[len(s.Files)-1].Path
}

// Digest is that of the copy's main file when it was saved.
func (s Saved) Digest() string {
	if len(s.Files) == 0 {
		return ""
	}
	return s.Files[len(s.Files)-1].Digest
}

var (
	errNoFiles = errors.New("names no file")
	errTime    = errors.New("is no time as 2026-04-30T12:00:00Z")
)

// WithSaved is k with copies that were saved now: each takes the place of an older one that had
// its path, since that file is no longer there.
func (k Kit) WithSaved(saved ...Saved) Kit {
	out := slices.Clone(k.Copies)
	for _, s := range saved {
		s.When = s.When.UTC().Truncate(time.Second)
		out = slices.DeleteFunc(out, func(o Saved) bool { return SamePath(o.Path(), s.Path()) })
		out = append(out, s)
	}
	k.Copies = out
	return k
}

// SavedAt is the record of the copy that was saved under a path; false when there is none.
func (k Kit) SavedAt(path string) (Saved, bool) {
	for _, s := range k.Copies {
		if SamePath(s.Path(), path) {
			return s, true
		}
	}
	return Saved{}, false
}

// LastSaved is the latest copy in which a part is; false when there is none.
func (k Kit) LastSaved(part string) (last Saved, ok bool) {
	for _, s := range k.Copies {
		if slices.Contains(s.Parts, part) && (!ok || !s.When.Before(last.When)) {
			last, ok = s, true
		}
	}
	return last, ok
}

// copies writes the list of copies saved.
func (w *writer) copies(k Kit, folder string) error {
	var all []json.RawMessage
	for _, s := range k.Copies {
		raw, err := encodeSaved(s, folder)
		if err != nil {
			return err
		}
		all = append(all, raw)
	}
	if len(all) > 0 {
		w.member("copies", all)
	}
	return nil
}

func encodeSaved(s Saved, folder string) (json.RawMessage, error) {
	var w writer
	w.member("parts", append([]string{}, s.Parts...))
	w.member("when", s.When.UTC().Format(time.RFC3339))
	w.nonEmpty("factor", s.Factor.Exact())
	w.nonEmpty("ratio", s.Ratio.Exact())
	w.nonZero("unit-by", s.UnitBy)
	if s.Pose.Known() || len(s.poseExtra) > 0 {
		var pose writer
		if s.Pose.Known() {
			pose.member("x", s.Pose.Rows[0])
			pose.member("y", s.Pose.Rows[1])
			pose.member("z", s.Pose.Rows[2])
			pose.member("shift", s.Pose.Shift)
		}
		raw, err := pose.object(s.poseExtra)
		if err != nil {
			return nil, err
		}
		w.member("pose", raw)
	}
	if s.Correction != (geom.Vec{}) {
		w.member("correction", s.Correction)
	}
	w.nonEmpty("format", s.Format)
	w.nonEmpty("source", s.Source)
	w.nonEmpty("recipe", s.Recipe)
	files := make([]json.RawMessage, len(s.Files))
	for i, f := range s.Files {
		var o writer
		o.member("file", stored(f.Path, folder))
		o.member("bytes", f.Bytes)
		o.nonEmpty("digest", f.Digest)
		var unknown extras
		if i < len(s.filesExtra) {
			unknown = s.filesExtra[i]
		}
		var err error
		if files[i], err = o.object(unknown); err != nil {
			return nil, err
		}
	}
	w.member("files", files)
	return w.object(s.extra)
}

// mostSaved bounds the numbers of a pose and of what a unit is corrected by.
const mostSaved = 1e12

// copies reads what the writer wrote.
func (r *reader) copies(o object, folder string) []Saved {
	var out []Saved
	for _, m := range r.members(o, "copies") {
		o := r.object(m)
		var s Saved
		for _, p := range r.members(o, "parts") {
			var id string
			if json.Unmarshal(p.raw, &id) != nil {
				r.bad(p, errString)
			}
			s.Parts = append(s.Parts, id)
		}
		when := o["when"]
		if text := r.text(o, "when"); text != "" {
			at, err := time.Parse(time.RFC3339, text)
			if err != nil {
				r.bad(when, errTime)
			}
			s.When = at.UTC()
		}
		r.exact(o, "factor", &s.Factor)
		r.exact(o, "ratio", &s.Ratio)
		if m, there := o.take("unit-by"); there {
			s.UnitBy = r.within(m, 0, mostSaved)
		}
		if m, there := o.take("pose"); there {
			pose := r.object(m)
			s.Pose = geom.Pose{
				Rows:  [3]geom.Vec{r.vector(pose, "x", 2), r.vector(pose, "y", 2), r.vector(pose, "z", 2)},
				Shift: r.vector(pose, "shift", mostSaved),
			}
			s.poseExtra = pose.rest()
		}
		s.Correction = r.vector(o, "correction", 2)
		s.Format = r.text(o, "format")
		s.Source, s.Recipe = r.text(o, "source"), r.text(o, "recipe")
		for _, m := range r.members(o, "files") {
			f := r.object(m)
			file := f["file"]
			w := deliver.Written{Path: filepath.FromSlash(r.text(f, "file"))}
			if m, there := f.take("bytes"); there {
				w.Bytes = int64(r.within(m, 0, 1<<53))
			}
			w.Digest = r.text(f, "digest")
			switch {
			case r.err != nil:
				return nil
			case w.Path == "":
				r.fail(BadValue, m.at, m.path+".file", errMissing)
			case strings.ContainsRune(w.Path, 0):
				r.bad(file, errPath)
			}
			if !filepath.IsAbs(w.Path) {
				w.Path = filepath.Join(folder, w.Path)
			}
			s.Files = append(s.Files, w)
			s.filesExtra = append(s.filesExtra, f.rest())
		}
		if len(s.Files) == 0 {
			r.fail(BadValue, m.at, m.path+".files", errNoFiles)
		}
		if r.err != nil {
			return nil
		}
		s.extra = o.rest()
		out = append(out, s)
	}
	return out
}
