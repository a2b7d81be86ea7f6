package text

import (
	"errors"
	"io/fs"
	"strings"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/formats"
)

// modelError puts trouble in a model file into words: the file, the place in it, what is
// wrong and what to do.
func modelError(e *formats.Error) Message {
	what, remedy := faultWords(e.Code)
	if absent(e) {
		what, remedy = "the file is not where it was", "see “"+SourcesPage+"” in the Kit menu: it is looked for nearby, and you can show where it lies"
	}
	return Message{What: what, Where: place(e), Remedy: remedy}
}

// absent reports whether a model file is not there: itself, and no side file.
func absent(e *formats.Error) bool {
	return e.Code == "missing-file" && e.Detail == "" && errors.Is(e.Err, fs.ErrNotExist)
}

// NotThere is what is said of a model that was asked for by a path and is not there; false for
// any other trouble.
func NotThere(err error) (Message, bool) {
	var e *formats.Error
	if !errors.As(err, &e) || !absent(e) {
		return Message{}, false
	}
	return Message{What: "there is no such file or folder", Where: base(e.File), Remedy: "look at how the path is written, and whether its drive is there"}, true
}

// NothingRead is what is said where no part of a kit could be read.
func NothingRead() Message {
	return Message{What: "no part could be read, so that there is nothing to judge", Remedy: "mend what is told above, or name other files"}
}

// place is where in the file the trouble is: "hull.obj, line 12 (vertex 7)".
func place(e *formats.Error) string {
	s := base(e.File)
	switch {
	case e.Line > 0:
		s = join(s, ", ", "line"+nbsp+Number(e.Line))
	case e.Byte > 0:
		s = join(s, ", ", "byte"+nbsp+grouped(fixed(float64(e.Byte), 0)))
	}
	if e.Detail != "" {
		s = join(s, " ", "("+e.Detail+")")
	}
	return s
}

// join puts two pieces together, with between only where both are there.
func join(a, between, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + between + b
}

// faultWords are the words for a kind of trouble. An unknown code still gives a sentence.
func faultWords(c formats.Code) (what, remedy string) {
	switch c {
	case "empty":
		return "the file is empty", "export or copy it again"
	case "not-a-model":
		return "this is not an STL, OBJ, glTF or 3MF model, whatever its name says", "choose a file in one of these formats"
	case "truncated":
		return "the file ends before all that it announces has come", "copy or download it again; this one is incomplete"
	case "syntax":
		return "the text does not follow the rules of its format", "export it again, or mend this place in a text editor"
	case "bad-number":
		return "a value is not a usable number", "export it again, after repairing the model where it was made"
	case "bad-index":
		return "something points to an item that is not there", "export the model again; this file contradicts itself"
	case "bad-range":
		return "a block of data reaches past the end of its buffer", "export or copy it again together with its side files"
	case "cycle":
		return "an object of the scene contains itself", "undo the loop where the scene was made, and export it again"
	case "missing-file":
		return "a side file that it needs is not there", "put that file back beside the model"
	case "outside":
		return "it refers to a file outside its own folder, which is never opened", "move that file into the model's folder and correct the reference"
	case "network":
		return "it refers to a file on the network, which is never fetched", "export the model with everything embedded, or save that file beside it"
	case "unsupported":
		return "it needs a feature or a version of its format that is not known here", "export it without that feature"
	case "no-triangles":
		return "there are no triangles in it, so there is nothing to print", "export the model as a triangle mesh"
	case "changed":
		return "the file is no longer what was opened", "remove it from the kit and add it again"
	case "no-surface":
		return "its triangles are compressed and cannot be read here", "export it without mesh compression, or save it in its own format"
	case "too-large":
		return "at this factor its coordinates leave what the file format can hold", "choose a factor nearer to 1"
	case "overfull":
		return "it unfolds to far more than a file of its size can truly hold", "take it from a source that you trust, or export it again without nesting parts in parts"
	case "unreadable":
		return "the system refuses to read the file", "check that it is still there and that you may read it"
	}
	return "there is trouble with the file (" + string(c) + ")", "export it again"
}

// Note puts a note about a readable file into words.
func Note(n formats.Note) string {
	s := noteWords(n.Code)
	if n.Code == scaledCopy {
		return capital(alreadyScaled(n.Detail), false) + "."
	}
	if n.Detail != "" && n.Code != "unit-assumed" { // the words name the unit already
		s += " (" + n.Detail + ")"
	}
	return capital(s, false) + "."
}

// scaledCopy is the note of a file that says of itself that it is a copy.
const scaledCopy formats.NoteCode = "scaled-copy"

// ScaledCopy is what a file says that is a copy already; empty where it says nothing of the kind.
func ScaledCopy(notes []formats.Note) string {
	for _, n := range notes {
		if n.Code == scaledCopy {
			return Note(n)
		}
	}
	return ""
}

// alreadyScaled says what a copy that is offered as a source says of itself: "this file was
// already scaled ×0.235 (1:48) by Scantling, from Harbour tug: use what it was made from".
func alreadyScaled(tag string) string {
	t, ok := deliver.ParseTag(tag)
	if !ok {
		return noteWords(scaledCopy)
	}
	s := "this file was already scaled ×" + trimZeros(significant(t.Factor, 6))
	if t.Ratio.Known() {
		s += " (" + Ratio(t.Ratio) + ")"
	}
	s += " by Scantling"
	if t.Correction != (geom.Vec{}) {
		s += " and corrected for a printer"
	}
	if t.Kit != "" {
		s += ", from " + t.Kit
	}
	return s + ": use the file that it was made from"
}

// noteWords are the words for a kind of note.
func noteWords(c formats.NoteCode) string {
	switch c {
	case "trailing-bytes":
		return "more bytes follow the last triangle; copies keep them"
	case "unit-assumed":
		return "the format states no unit; the numbers are taken as millimetres"
	case "compressed":
		return "the triangles are compressed: only the size is known, and a copy is scaled as a whole"
	case "scaled-by-root":
		return "a copy carries the factor in a node above the model, not in each of its numbers"
	case "case-differs":
		return "a side file was found under a name that differs in upper and lower case"
	case "zero-size":
		return "a part has no extent at all"
	case "skipped-parts":
		return "points, lines or other things that are not triangles are left out of the measures; copies keep them"
	case scaledCopy:
		return "this file was already scaled by Scantling"
	case "signed":
		return "it carries a digital signature; a copy is not what was signed, so its signature no longer holds"
	case "missing-companion":
		return "a side file that it names is not there; copies go without it"
	case "outside-companion":
		return "a side file that it names lies outside its folder and is left alone; copies go without it"
	case "network-companion":
		return "a side file that it names lies on the network and is not fetched; copies go without it"
	}
	return strings.ReplaceAll(string(c), "-", " ")
}

// savingError puts trouble with saving into words.
func savingError(e *deliver.Error) Message {
	what, remedy := savingWords(e.Code)
	m := Message{What: what, Where: e.Path, Remedy: remedy}
	var d *deliver.Difference
	if errors.As(e.Err, &d) {
		m.What += ": " + difference(d)
	} else if e.Code == deliver.Failed && e.Err != nil {
		m.What += " (" + e.Err.Error() + ")"
	}
	return m
}

// savingWords are the words for a kind of trouble with saving.
func savingWords(c deliver.Code) (what, remedy string) {
	switch c {
	case deliver.Exists:
		return "a file of that name already lies there", "choose another folder or name pattern, or allow replacing for this run"
	case deliver.IsSource:
		return "this would replace a source file, which is never done", "choose another folder or name pattern"
	case deliver.NoRights:
		return "you are not allowed to write there", "choose another folder, or change its rights"
	case deliver.InUse:
		return "another program has this file open", "close it there, or choose another name"
	case deliver.DiskFull:
		return "the disk is full", "free some room, or choose a folder on another disk"
	case deliver.NoFolder:
		return "the folder is not there, or is not a folder", "choose another one"
	case deliver.BadName:
		return "this name does not work on every system", "use a shorter name of letters, figures, blanks and hyphens"
	case deliver.Clash:
		return "two files of this run would have the same name", "put {part} into the name pattern, or save them in two runs"
	case deliver.Companion:
		return "another file already has the name of one of its side files", "choose an empty folder"
	case deliver.Outside:
		return "one of its side files lies outside the folder of the model", "move that side file into the model's folder"
	case deliver.Verify:
		return "the copy, read back, is not what it should be", "do not print it; save it again, and report it if that does not help"
	case deliver.Failed:
		return "it could not be saved", "try again, or choose another folder"
	}
	return "there is trouble with saving (" + string(c) + ")", "choose another folder"
}

// difference is how a copy differs from what it should be.
func difference(d *deliver.Difference) string {
	switch d.Kind {
	case deliver.PartCount:
		return Number(int(d.Got)) + " parts instead of " + Number(int(d.Want))
	case deliver.TriangleCount:
		return join(d.Part, " has ", Number(int(d.Got))+" triangles instead of "+Number(int(d.Want)))
	case deliver.Volume:
		return "it holds " + significant(d.Got, 9) + " mm³ instead of " + significant(d.Want, 9)
	case deliver.Content:
		return d.Part + " is not byte for byte what was written: another program has changed it, or the disk has kept it wrong"
	}
	if d.Kind == deliver.Closedness {
		return join(d.Part, " has ", Count(int(d.Got), "open edge", "open edges")+", and its surface was closed")
	}
	return join(d.Part, " reaches to ", significant(d.Got, 9)+" along "+Axis(d.Axis)+" instead of "+significant(d.Want, 9))
}

// kitError puts trouble with a kit's file into words.
func kitError(e *kit.Error) Message {
	what, remedy := kitWords(e.Code)
	where := base(e.File)
	if e.Line > 0 {
		where = join(where, ", ", "line"+nbsp+Number(e.Line))
	}
	if e.Column > 0 {
		where += ", character" + nbsp + Number(e.Column)
	}
	switch {
	case e.Code == kit.Newer:
		what += " (its format is " + e.Detail + ", the newest known here " + Number(kit.Version) + ")"
	case e.Detail != "":
		where = join(where, " ", "("+e.Detail+")")
	}
	return Message{What: what, Where: where, Remedy: remedy}
}

// ownError puts trouble with the file of the maker's own printers, or processes, into words.
func ownError(err error, things string) Message {
	var filed *kit.Error
	if !errors.As(err, &filed) {
		m := Error(err)
		m.What = "your own " + things + " cannot be kept: " + m.What
		return m
	}
	m := kitError(filed)
	m.Where = filed.File + m.Where[len(base(filed.File)):]
	switch filed.Code {
	case kit.Newer:
		m.What, m.Remedy = "these "+things+" were saved by a newer version of the program", "update this one to use them"
	case kit.Unreadable:
		m.What, m.Remedy = "the system refuses to read the list of your own "+things, "check that you may read the file"
	case kit.NotPrinters, kit.NotProcesses:
	default:
		m.What, m.Remedy = "the list of your own "+things+" is damaged", "mend this place in a text editor, or move the file away"
	}
	return m
}

// kitWords are the words for a kind of trouble with a kit's file.
func kitWords(c kit.Code) (what, remedy string) {
	switch c {
	case kit.NotAKit:
		return "this is not a kit, whatever its name says", "choose a file that was saved as a kit"
	case kit.NotPrinters:
		return "this is not a list of printers", "move the file away, and save your printers again"
	case kit.NotProcesses:
		return "this is not a list of processes", "move the file away, and save your processes again"
	case kit.Newer:
		return "this kit was saved by a newer version of the program", "update the program to open it"
	case kit.Syntax:
		return "the kit's file is damaged or incomplete", "take an older copy of it, or add the parts to a new kit"
	case kit.BadValue:
		return "the kit holds a value that cannot be", "correct this place in a text editor, or add the parts to a new kit"
	case kit.Doubled:
		return "the kit says the same thing twice", "remove one of the two in a text editor"
	case kit.TooLarge:
		return "the file is longer than any kit", "check whether it is the right file"
	case kit.Overtaken:
		return "another window or program has saved this kit since it was opened here", "save yours under another name, or replace what was saved"
	case kit.Unreadable:
		return "the system refuses to read the kit", "check that its file is still there and that you may read it"
	}
	return "there is trouble with the kit (" + string(c) + ")", "add the parts to a new kit"
}
