package text

import (
	"strings"

	"scantling/formats"
)

// modelError puts trouble in a model file into words: the file, the place in it, what is
// wrong and what to do.
func modelError(e *formats.Error) Message {
	what, remedy := faultWords(e.Code)
	return Message{What: what, Where: place(e), Remedy: remedy}
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
		return "this is not an STL, OBJ or glTF model, whatever its name says", "choose a file in one of these formats"
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
	case "unreadable":
		return "the system refuses to read the file", "check that it is still there and that you may read it"
	}
	return "there is trouble with the file (" + string(c) + ")", "export it again"
}

// Note puts a note about a readable file into words.
func Note(n formats.Note) string {
	s := noteWords(n.Code)
	if n.Detail != "" {
		s += " (" + n.Detail + ")"
	}
	return capital(s, false) + "."
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
	}
	return strings.ReplaceAll(string(c), "-", " ")
}
