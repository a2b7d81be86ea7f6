// Package kit has the document: the parts that must stay in proportion, how their one
// factor was found, its file and its history.
//
// A Kit is a snapshot. Nothing changes one in place: the functions that change a kit give
// a new one and share what stayed the same, so that any number of them can be kept for
// undo and be read from several goroutines. Reading and saving a kit touches the disk,
// nothing else here does.
package kit

import (
	"encoding/json"
	"fmt"
	"hash/fnv"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A Kit is a set of parts with one factor. It is a snapshot: its slices and maps are never
// written to once it was made.
type Kit struct {
	Title string
	Parts []Part
	Way   ways.Way // the way in force, with all that was put in for it and the others
	// Factor is what the way gave when the kit was saved, so that a kit whose files were
	// changed in between can say so. The way finds the factor; this one only remembers.
	Factor ratio.Factor
	Field  ratio.Field // trade whose ratios make the ladder
	Notes  string

	Process process.Process // how it is printed; the zero value where none was chosen
	Asides  []judge.Aside   // findings that the maker has set aside
	Named   []judge.Named   // bores of which the maker has said what they are for
	// Turn is applied to all parts together, in axes with z up; the zero value where the kit
	// stands as its parts say.
	Turn geom.Turn
	// Copies are those that were saved, in the order in which that was done.
	Copies []Saved
	Saving Saving // how the next ones are saved

	// What newer or other programs wrote and this one does not know, kept as it is.
	extra, wayExtra, bedExtra, savingExtra extras
	processExtra                           map[string]extras // by object: "" is the process itself, "limits" what it has of them
	evidenceExtra                          map[string]extras // of the way's points and figure, and of "clue " with its id
	judgedExtra                            map[string]extras // of findings set aside and bores, by what tells one from another
}

// A Part is one printable body of a kit: a file, or one of the bodies in it.
type Part struct {
	ID       string // unique in the kit; With makes it
	File     string // full path in memory; in the kit's file relative to it where that is possible
	Index    int    // which of the file's bodies, from 0
	Name     string
	Digest   string // of the content of the file that the kit goes by, "xxh64:" and 16 hex digits; may be empty
	Beside   string // likewise of the files beside it that its copies need; empty: none, or not known
	Ticked   bool   // counts for the factor and is saved
	Quantity int    // how often it is printed, at least 1
	// Unit is how long one unit of the file is, where the maker said so; where it is not
	// known, the file tells or the usual is assumed.
	Unit ratio.Length
	// UnitKept: the maker said that the unit is right as the file has it.
	UnitKept bool
	// Apart: the maker said that it is a part, and no old copy of another one.
	Apart bool
	// PlaceKept: the maker said that it lies and stands rightly, unlike the rest as it may be.
	PlaceKept bool
	// Turn takes the file's axes to axes with z up, where the maker said so.
	Turn geom.Turn
	// As is the format of copies of its file, as formats.Kind has it, where the maker chose one for
	// it; empty: that of all copies.
	As string
	// Notes are the maker's own words about the part.
	Notes string
	// Was is what was known of the part when the kit was last saved.
	Was Facts

	extra, wasExtra extras
}

// extras are members of a JSON object that this version does not know, by key.
type extras map[string]json.RawMessage

// Part finds a part by its id; false when there is none.
func (k Kit) Part(id string) (Part, bool) {
	if i := k.index(id); i >= 0 {
		return k.Parts[i], true
	}
	return Part{}, false
}

func (k Kit) index(id string) int {
	return slices.IndexFunc(k.Parts, func(p Part) bool { return p.ID == id })
}

// newID makes an id for a body of a file. The same body has the same id whenever it is
// added, so that undoing, adding and redoing never give one id to two bodies.
func (k Kit) newID(file string, index int) string {
	h := fnv.New32a()
	fmt.Fprintf(h, "%s\x00%d", filepath.ToSlash(filepath.Clean(file)), index)
	id := fmt.Sprintf("p%08x", h.Sum32())
	for k.index(id) >= 0 {
		id += "x"
	}
	return id
}

// With is k with parts added at the end. A part without an id is given one; one without a
// quantity is printed once; one whose file and index are in the kit already is left out.
func (k Kit) With(parts ...Part) Kit {
	out := k
	out.Parts = slices.Clone(k.Parts)
	for _, p := range parts {
		if slices.ContainsFunc(out.Parts, func(o Part) bool { return o.Index == p.Index && SamePath(o.File, p.File) }) {
			continue
		}
		if p.ID == "" || out.index(p.ID) >= 0 {
			p.ID = out.newID(p.File, p.Index)
		}
		p.Quantity = max(1, p.Quantity)
		out.Parts = append(out.Parts, p)
	}
	return out
}

// SamePath reports whether two paths are spelt alike; on Windows, upper and lower case are.
func SamePath(a, b string) bool {
	a, b = filepath.Clean(a), filepath.Clean(b)
	return a == b || runtime.GOOS == "windows" && strings.EqualFold(a, b)
}

// Without is k without the parts of those ids.
func (k Kit) Without(ids ...string) Kit {
	k.Parts = slices.DeleteFunc(slices.Clone(k.Parts), func(p Part) bool { return slices.Contains(ids, p.ID) })
	return k
}

// WithPart is k with the part of that id changed by edit, which must keep the id. It is k
// itself when there is no such part.
func (k Kit) WithPart(id string, edit func(*Part)) Kit {
	i := k.index(id)
	if i < 0 {
		return k
	}
	k.Parts = slices.Clone(k.Parts)
	edit(&k.Parts[i])
	k.Parts[i].ID = id
	return k
}

// WithEach is k with every part changed by edit, which must keep the ids.
func (k Kit) WithEach(edit func(*Part)) Kit {
	k.Parts = slices.Clone(k.Parts)
	for i := range k.Parts {
		edit(&k.Parts[i])
	}
	return k
}

// WithWay is k with another way, or other inputs for it.
func (k Kit) WithWay(w ways.Way) Kit {
	k.Way = w
	return k
}

// Ticked are the parts that count.
func (k Kit) Ticked() []Part {
	var out []Part
	for _, p := range k.Parts {
		if p.Ticked {
			out = append(out, p)
		}
	}
	return out
}
