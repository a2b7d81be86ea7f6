package text

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"
	"strings"
	"syscall"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/figure"
	"scantling/engine/gauge"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/lost"
	"scantling/engine/mannequin"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/survey"
	"scantling/engine/ways"
	"scantling/formats"
)

// A Message is one trouble in a maker's words.
type Message struct {
	What   string // what is wrong, no capital and no full stop
	Where  string // file and place; empty when it is about no file
	Remedy string // what to do
}

// String is the message as one sentence: where, what, and what to do.
func (m Message) String() string {
	s := m.What
	if m.Where != "" {
		s = m.Where + ": " + s
	}
	if m.Remedy != "" {
		s += "; " + m.Remedy
	}
	return capital(s, m.Where != "") + "."
}

// capital begins a sentence, unless it begins with a name.
func capital(s string, name bool) string {
	if name || s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

// Error puts any error into words: the most telling one that it wraps.
func Error(err error) Message {
	if err == nil {
		return Message{}
	}
	var (
		model   *formats.Error
		saving  *deliver.Error
		own     *kit.PrintersError
		theirs  *kit.ProcessesError
		filed   *kit.Error
		pattern *deliver.PatternError
		several *ratio.AmbiguousError
		objects *ways.SeveralObjectsError
		clue    *ways.ClueError
		typed   *ratio.ParseError
		number  *process.FieldError
		reading *gauge.ReadingError
		path    *state.PathError
		file    *fs.PathError
		broken  *state.PanicError
		unkept  *state.UnkeptError
		system  syscall.Errno
		nowhere Message
	)
	switch {
	case errors.As(err, &unkept):
		m := Error(unkept.Err)
		m.What = "unsaved changes are not kept for the case of a crash: " + m.What
		m.Remedy = "save your kit often, and " + m.Remedy
		return m
	case errors.As(err, &model):
		return modelError(model)
	case errors.As(err, &saving):
		return savingError(saving)
	case errors.As(err, &own):
		return ownError(own.Err, "printers")
	case errors.As(err, &theirs):
		return ownError(theirs.Err, "processes")
	case errors.As(err, &filed):
		return kitError(filed)
	case errors.As(err, &pattern):
		m := plainError(pattern.Err)
		if pattern.Field != "" {
			m.What += ": “" + pattern.Field + "”"
		}
		return m
	case errors.As(err, &several):
		return Message{
			What:   "“" + several.Typed + "” stands for several ratios: " + readings(several.Readings),
			Remedy: "type the ratio that you mean, or choose your field first",
		}
	case errors.As(err, &objects):
		return Message{
			What:   "“" + objects.Typed + "” may be several objects: " + strings.Join(objects.Keys, ", "),
			Remedy: "name one of them",
		}
	case errors.As(err, &clue):
		m := Error(clue.Err)
		m.Where = "clue " + Number(clue.Index+1)
		return m
	case errors.As(err, &typed):
		m := plainError(typed.Err)
		m.What = "“" + typed.Typed + "” " + m.What
		return m
	case errors.As(err, &reading):
		m := plainError(reading.Err)
		m.Where, _, _ = GaugeField(reading.Field)
		return m
	case errors.As(err, &number):
		m := plainError(number.Err)
		if errors.Is(number.Err, process.ErrOrder) {
			m = orderWords(number.Field, m)
		}
		if number.Field != "" {
			m.Where, _, _ = LimitName(number.Field)
		}
		return m
	case errors.As(err, &broken):
		return Message{
			What:   "a job broke down through a mistake of the program",
			Remedy: "save your kit, start the program again, and report what you did",
		}
	case errors.As(err, &path):
		m := Error(path.Err)
		if m.Where == "" {
			m.Where = path.Path
		}
		return m
	case errors.As(err, &file):
		m := Error(file.Err)
		m.Where = file.Path
		return m
	}
	if m := plainError(err); m != nowhere {
		return m
	}
	if errors.As(err, &system) {
		return Message{What: "the system reports: " + system.Error(), Remedy: "check the disk and its connection, then try again"}
	}
	return Message{What: err.Error(), Remedy: "try again, and report it if it happens again"}
}

// Fault puts what is wrong with a field into words, with an example of what it takes.
func Fault(in state.Input, err error) Message {
	m := Error(err)
	var typed *ratio.ParseError
	if errors.As(err, &typed) || m.Remedy == "" {
		m.Remedy = "type " + Example(in)
	}
	return m
}

// Example is what a field takes.
func Example(in state.Input) string {
	switch in {
	case state.InNative, state.InTarget:
		return "a ratio such as 1:48, 1/72, 87.1 or H0"
	case state.InReal:
		return "a length such as 9.63 m or 31 ft 7 in"
	case state.InLength:
		return "a length such as 250 mm, 25 cm or 9 7/8 in"
	case state.InFactor:
		return "a factor such as 0.235, 23.5 % or 1/4"
	default:
		if w := evidenceInput(in); w.example != "" {
			return w.example
		}
		return "a length such as 220 mm or 8.5 in"
	}
}

// plainError has the words for errors that carry nothing but themselves; it is empty for
// one it does not know.
func plainError(err error) Message {
	for _, w := range words() {
		if errors.Is(err, w.err) {
			return Message{What: w.what, Remedy: w.remedy}
		}
	}
	return Message{}
}

// worded is an error with its words.
type worded struct {
	err          error
	what, remedy string
}

// words is every plain error, the more telling ones first.
func words() []worded {
	return []worded{
		{context.Canceled, "cancelled", "start it again whenever you like"},
		{context.DeadlineExceeded, "it took too long", "try again with fewer or smaller files"},

		{ratio.ErrEmpty, "is empty", "type a value"},
		{ratio.ErrNotANumber, "is not a number", "type figures, with a point or a comma for decimals"},
		{ratio.ErrNotPositive, "is not more than zero", "type a value above zero"},
		{ratio.ErrUnit, "has an unknown unit", "use mm, cm, m, µm, in, ft or yd"},
		{ratio.ErrNegative, "is less than zero", "type zero or more"},
		{ratio.ErrAbsurd, "is beyond any scale model", "look for a slipped decimal point or a wrong unit"},

		{ways.ErrNeedNative, "the ratio at which the files were drawn is not known", "type the native ratio, or find the factor in another way"},
		{ways.ErrNeedTarget, "the wanted ratio is not known", "type the target ratio or click a rung of the ladder"},
		{ways.ErrNeedReal, "the real size of the subject is not known", "type how long the real thing is"},
		{ways.ErrNeedLength, "the wanted length is not known", "type how long it must come out"},
		{ways.ErrNeedFactor, "no factor is set", "type one or drag it"},
		{ways.ErrNeedBed, "the size of the printer's bed is not known", "type its width, depth and height"},
		{ways.ErrNoParts, "there is no ticked part to measure", "add parts or tick some"},
		{ways.ErrNoPart, "the part that was to be measured is not among the ticked parts", "choose another part or the whole kit, or tick it"},
		{ways.ErrNoExtent, "there is no extent along that axis", "choose another axis"},
		{judge.ErrBedSize, "a bed has three sides longer than zero", "type its width, depth and height"},
		{judge.ErrBedMargin, "a margin or a brim cannot be less than zero", "type zero or more"},
		{judge.ErrBedTaken, "margin and brim leave no room on the bed", "type smaller ones or a larger bed"},
		{process.ErrKind, "is no kind of process", "choose filament, resin, powder or another"},
		{process.ErrLimit, "is no length that a printer could have as its limit", "type millimetres, zero for no limit"},
		{process.ErrOrder, "is less than the limit that it goes beyond", "type the same or more"},
		{process.ErrShare, "is no share", "type a number between 0 and 1"},
		{process.ErrDensity, "is no density of a material", "type grams in a cubic centimetre, about 1 for plastics"},
		{process.ErrPrice, "is no price", "type zero or more"},
		{process.ErrShrinkage, "is more than any material shrinks", "type a share such as 0.004 for 0.4 %"},
		{mannequin.ErrStature, "there is no figure of this stature", "give one between 0.9 and 2.2 m"},
		{mannequin.ErrPose, "this posture is not known for a figure to print", "choose standing, seated or reaching"},
		{mannequin.ErrRatio, "the figure would be too small or too large to print", "choose a ratio at which it is between 4 and 600 mm tall"},
		{gauge.ErrReading, "is no size of the gauge", "type the number beside the step, or leave it empty"},
		{process.ErrCorrection, "is no correction: what was measured is too far from what was meant", "measure again, and look whether it is the right step"},
		{judge.ErrTurning, "is no way to turn a part", "say none, yaw, faces or free"},
		{kit.ErrPrinterName, "a printer needs a name", "type one, such as workshop"},
		{kit.ErrPrinterLong, "the printer's name is too long", "type one of up to 60 characters"},
		{kit.ErrPrinterTaken, "another printer has this name already", "choose another name, or remove that printer first"},
		{kit.ErrNoPrinter, "there is no printer of this name", "look for it in the list of printers"},
		{kit.ErrPrinters, "there are as many printers as can be kept", "remove some that you no longer have"},
		{kit.ErrProcessName, "a process needs a name", "type one, such as grey resin, fine"},
		{kit.ErrProcessLong, "the name of the process is too long", "type one of up to 60 characters"},
		{kit.ErrProcessTaken, "another process has this name already", "choose another name, or forget that process first"},
		{kit.ErrNoProcess, "there is no process of this name", "look for it in the list of processes"},
		{kit.ErrProcesses, "there are as many processes as can be kept", "forget some that you no longer use"},
		{ways.ErrZero, "a length of zero gives no factor", "type a length above zero"},
		{ways.ErrNoKind, "this way to a factor is not known here", "choose another way"},
		{ways.ErrAbsurd, "the factor would be beyond any use", "check the values for a slipped decimal point"},
		{ways.ErrMixedUnits, "the parts have different units, so no one unit says how large they were drawn", "give all parts their right unit first"},
		{ways.ErrNoFullSize, "the unit of the full-size drawing is not known", "say whether it was metres, feet or another"},

		{ways.ErrNeedReading, "the height of the figure is not known", "measure it with calipers and type it"},
		{ways.ErrNeedPerson, "it is not known whom the figure stands for", "type a stature such as 6 ft, or choose men or women"},
		{ways.ErrPopulation, "is nobody whose stature is in the tables", "type a stature such as 1.75 m, or man, woman, adult, or boy, girl or child of an age"},
		{ways.ErrChildAge, "is no age that the table of children has", "type an age from 2 to 18 years, such as girl of 8, or a stature"},
		{ways.ErrChildBody, "of children only the stature is in the table, not how their bodies are divided", "measure a standing figure to the top of its head, or type the child's stature"},
		{ways.ErrNoPerson, "is no stature of a person", "type one such as 5 ft 9 in or 1.75 m"},
		{ways.ErrBaseTakesAll, "the base is as high as the whole figure", "type the height with the base on, and the thickness of the base alone"},
		{ways.ErrReadingsDiffer, "the readings are too far apart to be of one height", "look for a slipped decimal point among them"},
		{ways.ErrTooUncertain, "the uncertainty is as large as the value itself", "look for a slipped decimal point or a wrong unit"},

		{ways.ErrNeedClue, "there is no clue that counts", "measure an object whose real size you know, or take one back in"},
		{ways.ErrClueDrawn, "the drawn length is no length above zero", "measure it between two points that are apart"},
		{ways.ErrClueReal, "the real length is no length above zero", "type how long it is in reality"},
		{ways.ErrClueUnsure, "the ± is as large as the length", "look for a slipped decimal point or a wrong unit"},
		{ways.ErrClueUnknown, "is not in the table of objects", "type its real length instead"},
		{ways.ErrTwoLengths, "is no clue", "write the drawn length, =, and the real one, such as 35.1 mm = 1981 mm ± 5 mm"},

		{figure.ErrPosture, "this posture is not known", "choose standing, seated, seated-floor or bent"},
		{figure.ErrSegment, "this piece of the body is not known", "choose lower-leg, thigh, trunk, head-neck, head, upper-arm, forearm, hand or foot"},
		{figure.ErrNoSegments, "no piece of the body is named", "name what was measured"},
		{figure.ErrTwice, "a piece of the body is named twice", "name each once"},
		{figure.ErrPose, "this pose is not known", "choose standing, seated or reaching"},
		{figure.ErrStature, "this is no stature", "give a length above zero"},

		{lost.ErrNoExtent, "there is nothing that has a size to compare", "choose two models with triangles"},
		{lost.ErrDifferent, "the copy is a different model", "choose the copy of this original"},
		{lost.ErrMirrored, "the copy is the original's mirror image", "choose the copy that was not mirrored"},

		{state.ErrWebLink, "this is a link to the web, and nothing is fetched from there", "download the file first, then drop it here"},
		{state.ErrNoModels, "there is no STL, OBJ, glTF or 3MF file in this folder", "choose another folder or the files themselves"},
		{state.ErrTwoKits, "there is more than one kit file, and only one kit can be open", "open them one at a time"},
		{state.ErrNoDemo, "this build carries no demo kit", "open files of your own"},
		{state.ErrNoTarget, "there is no target ratio yet", "choose one in the factor panel: the figure is printed at it"},
		{state.ErrNoFactor, "there is no factor yet", "find one in the factor panel first"},
		{state.ErrNoneTicked, "no part is ticked, so there is nothing to save", "tick the parts that you want"},
		{state.ErrNoFolder, "no folder for the copies is chosen", "choose one"},
		{state.ErrNoKitPath, "the kit has no file yet", "choose where to save it"},
		{state.ErrFailedPart, "this part could not be read, so it cannot be saved", "untick it or remove it, or mend its file"},
		{state.ErrStillOpens, "files are still being read", "wait a moment, or cancel the reading"},
		{state.ErrStillFits, "how the parts fit the bed when they are turned is not known yet", "wait a moment; or choose again how parts may be turned, if it was cancelled"},
		{state.ErrStillSaving, "copies are still being saved", "wait until they are, or cancel the saving"},
		{state.ErrQuantity, "a quantity is a whole number from 1 to 9999", "type such a number"},
		{state.ErrDifferent, "the file is no longer the one that this kit was made with", "see what differs under “Files of the parts” in the Kit menu, and take it as it is or put the old file back"},
		{state.ErrNobody, "nobody is that short or that tall", "give a stature from 30 cm to 3 m, with its unit"},
		{state.ErrManyClues, "there are as many clues as there can be", "remove those that are set aside"},
		{state.ErrUnit, "no file is drawn in a unit of that length", "choose another unit"},
		{state.ErrUnitsDiffer, "parts of this file have different units, so that no one factor suits it", "give them all the same unit"},
		{state.ErrTurnsDiffer, "parts of this file were turned differently, so that no copy of it can be turned", "turn them alike, or save the copies as drawn"},
		{state.ErrNoOriginal, "no part of the kit has a name like that of the copy", "select the part that it is a copy of, then choose the copy again"},
		{state.ErrItself, "this is the original itself", "choose an old copy of it"},
		{state.ErrMeasureStale, "the measure between two points may no longer lie where it was taken", "measure it again"},
		{state.ErrNoAnswer, "the drive does not answer", "connect it again, or wait until it wakes, then open the kit again"},
		{state.ErrBeside, "this kit is open in another window, too", "change it in one of the two only; saving asks before anything is replaced"},
		{state.ErrFolderGone, "its folder is not there", "connect the drive it lies on, or open the kit from where it lies now"},
		{state.ErrNoSuchPart, "the file no longer has this part", "remove the part and add the file again"},

		{deliver.ErrEmptyPattern, "the name pattern is empty", "type one, such as {part}-{ratio}"},
		{deliver.ErrBrace, "a brace in the name pattern has no partner", "write each field as {part}, with both braces"},
		{deliver.ErrUnknownField, "the name pattern has a field that is not known", "use " + nameFields()},

		{mesh.ErrIndex, "a triangle points to a corner that is not there", "export the model again"},
		{mesh.ErrNotFinite, "a coordinate is not a finite number", "repair the model where it was made, and export it again"},
		{mesh.ErrSoup, "a triangle lacks a corner", "export the model again from its source"},
		{mesh.ErrTooMany, "there are more triangles than can be counted", "divide the model into several files"},
		{survey.ErrBox, "there is no extent to look at", "check the part where it was made"},
		{survey.ErrLook, "the part cannot be seen from there", "report it"},
		{survey.ErrPixels, "the picture would be too large", "report this"},
		{geom.ErrAxis, "is not an axis", "use x, y or z"},
		{geom.ErrTurn, "is not a turn by quarters", "name x, y and z once each, with a minus where one is reversed"},
		{geom.ErrNotFinite, "a point of the model lies at no finite place", "export the model again"},
		{geom.ErrTreeIndex, "a triangle of the model names a corner that is not there", "export the model again"},
		{geom.ErrTreeSize, "there are more triangles than can be searched", "divide the model into several files"},

		{syscall.ENOSPC, "the disk is full", "free some room or choose another folder"},
		{syscall.EROFS, "the folder can only be read, not written", "choose another folder"},
		{syscall.ENAMETOOLONG, "the file name is too long", "use a shorter pattern"},
		{syscall.ENOTDIR, "a part of this path is a file, not a folder", "choose another folder"},
		{fs.ErrNotExist, "there is no such file or folder", "check whether it was moved or renamed"},
		{fs.ErrPermission, "you are not allowed to read or write here", "choose another folder, or change the rights"},
		{fs.ErrExist, "a file of that name is already there", "choose another name or folder"},
		{fs.ErrInvalid, "the system cannot use this name", "choose another one"},
	}
}

// nameFields are the fields of a name pattern: "{part}, {ratio} or {kit}".
func nameFields() string {
	s := ""
	all := deliver.NameFields()
	for i, f := range all {
		between := ", "
		if i == len(all)-1 {
			between = " or "
		}
		s = join(s, between, "{"+string(f)+"}")
	}
	return s
}

// readings are what a name can mean: "1:87 (Railways, Europe (NEM)), 1:87.1 (...)".
func readings(all []ratio.Standard) string {
	s := ""
	for _, r := range all {
		s = join(s, ", ", Ratio(r.Ratio)+" in "+FieldName(r.Field))
	}
	return s
}

// base is the last part of a path, for a sentence.
func base(path string) string {
	if path == "" {
		return ""
	}
	return filepath.Base(path)
}
