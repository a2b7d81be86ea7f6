package deliver

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
)

// JournalName is the file in which a run keeps, in the folder of its copies, what it has saved.
// While a run is under way it serves to go on after an interruption; it stays where Options.Keep
// says so, for the next run to tell what has not changed.
//
// Each line is a JSON object: the first says what the file is, each other one is a copy. What
// cannot be understood is left out: the copy is then saved as if nothing were known of it.
const JournalName = temporary + "copies"

// mostJournal bounds what is read of a journal, in bytes: many times that of the largest kit.
const mostJournal = 64 << 20

// A journal is what is known of the copies in a folder.
type journal struct {
	disk   disk
	folder string
	there  bool // the file is
	kept   bool // it stays when the run ends
	known  []Record
	file   file
	broken bool // it cannot be written; then there is no going on after an interruption
	anew   bool // it says something that no longer holds

	// What a killed process leaves: not even the first line is whole, or the last is not.
	headless, torn bool
}

// journalHead is the first line of a journal.
type journalHead struct {
	Version int  `json:"scantling-copies"`
	Keep    bool `json:"keep,omitempty"`
}

// A journalLine is a copy in a journal. Names are relative to the folder, with slashes.
type journalLine struct {
	Source string        `json:"source"`
	Recipe string        `json:"recipe"`
	Files  []journalFile `json:"files"`
}

type journalFile struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	Digest string `json:"digest"`
}

// readJournal reads what is known of a folder's copies.
func readJournal(d disk, folder string) *journal {
	j := &journal{disk: d, folder: folder}
	info, err := d.Lstat(j.path())
	if err != nil || !info.Mode().IsRegular() {
		j.broken = err == nil
		return j
	}
	f, err := d.Open(j.path())
	if err != nil {
		j.broken = true
		return j
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostJournal))
	if err != nil {
		return j
	}
	j.torn = !bytes.HasSuffix(data, []byte("\n"))
	data = bytes.TrimRight(data, "\x00") // a file that was made longer when the power went
	if j.headless = begun(data); j.headless {
		j.there = true
		return j
	}
	first := true
	for line := range bytes.Lines(data) {
		if first {
			var head journalHead
			if json.Unmarshal(line, &head) != nil || head.Version != 1 {
				j.broken = true // somebody else's, or a newer program's: it stays as it is
				return j
			}
			j.kept, j.there, first = head.Keep, true, false
			continue
		}
		var l journalLine
		if json.Unmarshal(line, &l) != nil || len(l.Files) == 0 {
			continue // cut short, when the power went
		}
		r := Record{Source: l.Source, Recipe: l.Recipe}
		for _, f := range l.Files {
			if name := filepath.FromSlash(f.Name); filepath.IsLocal(name) {
				r.Files = append(r.Files, Written{filepath.Join(folder, name), f.Bytes, f.Digest})
			}
		}
		if len(r.Files) == len(l.Files) {
			j.known = append(j.known, r)
		}
	}
	return j
}

func (j *journal) path() string { return filepath.Join(j.folder, JournalName) }

// of are the records of copies with that path, the latest first.
func (j *journal) of(final string) []Record {
	var out []Record
	for i := len(j.known) - 1; i >= 0; i-- {
		files := j.known[i].Files
		if files[len(files)-1].Path == final {
			out = append(out, j.known[i])
		}
	}
	return out
}

// leftover reports whether a file is what an interrupted run has left of a copy that did not
// become complete: one of its side files, or the empty file that claims a name. Such a file may
// be replaced.
func (j *journal) leftover(path string) bool {
	for _, r := range j.known {
		main := r.Files[len(r.Files)-1]
		for _, w := range r.Files {
			if w.Path != path {
				continue
			}
			if info, err := j.disk.Lstat(path); err == nil && info.Mode().IsRegular() && info.Size() == 0 && w.Bytes > 0 {
				return true
			}
			if main.Path != path && !main.stands(j.disk) && w.stands(j.disk) {
				return true
			}
		}
	}
	return false
}

// encode is a record as a line, or nothing where it has a file outside the folder.
func (j *journal) encode(r Record) []byte {
	l := journalLine{Source: r.Source, Recipe: r.Recipe}
	for _, w := range r.Files {
		name, err := filepath.Rel(j.folder, w.Path)
		if err != nil {
			return nil
		}
		l.Files = append(l.Files, journalFile{filepath.ToSlash(name), w.Bytes, w.Digest})
	}
	line, err := json.Marshal(l)
	if err != nil {
		return nil
	}
	return append(line, '\n')
}

// withdraw forgets a copy that is not what it should be.
func (j *journal) withdraw(final string) {
	n := len(j.known)
	j.known = slices.DeleteFunc(j.known, func(r Record) bool { return r.Files[len(r.Files)-1].Path == final })
	j.anew = j.anew || len(j.known) < n
}

// begun reports whether data is a journal of which not even the first line is whole.
func begun(data []byte) bool {
	for _, keep := range []bool{false, true} {
		if head := headLine(keep); len(data) < len(head) && bytes.HasPrefix(head, data) {
			return true
		}
	}
	return false
}

func headLine(keep bool) []byte {
	head, _ := json.Marshal(journalHead{1, keep}) // has nothing that can fail
	return append(head, '\n')
}

// add notes a copy that is about to be given its names. It is not synced: what a power cut
// takes away is only that a copy need not be saved again.
func (j *journal) add(r Record) {
	j.known = append(j.known, r)
	if j.broken {
		return
	}
	if j.file == nil {
		var err error
		if j.file, err = j.open(); err != nil {
			j.broken = true
			return
		}
	}
	if _, err := j.file.Write(j.encode(r)); err != nil {
		j.broken = true
	}
}

// open is the journal's file, to be added to.
func (j *journal) open() (file, error) {
	if j.headless {
		if err := j.disk.Remove(j.path()); err != nil {
			return nil, err
		}
		j.there, j.headless = false, false
	}
	create, begin := j.disk.Create, headLine(j.kept)
	if j.there {
		create, begin = j.disk.Append, nil
		if j.torn { // what is added to a line that is cut short would be lost with it
			begin = []byte("\n")
		}
	}
	f, err := create(j.path())
	if err != nil {
		return nil, err
	}
	j.there, j.torn = true, false
	if _, err = f.Write(begin); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// end closes the journal: a run that came to its end needs it no more, unless it is to be kept;
// then it has one line for each copy that is still there.
func (j *journal) end(finished bool) error {
	var err error
	if j.file != nil {
		err = j.file.Close()
		j.file = nil
	}
	switch {
	case j.broken || !finished && !j.anew || !j.there && !(j.kept && len(j.known) > 0):
		return err
	case finished && !j.kept:
		return errors.Join(err, j.disk.Remove(j.path()))
	}
	data := headLine(j.kept)
	seen := map[string]bool{}
	var lines [][]byte
	for i := len(j.known) - 1; i >= 0; i-- {
		main := j.known[i].Files[len(j.known[i].Files)-1].Path
		if _, gone := j.disk.Lstat(main); !seen[main] && !errors.Is(gone, os.ErrNotExist) {
			lines = append(lines, j.encode(j.known[i]))
		}
		seen[main] = true
	}
	for i := len(lines) - 1; i >= 0; i-- {
		data = append(data, lines[i]...)
	}
	return errors.Join(err, writeFile(j.disk, j.path(), data))
}
