package text

import (
	"errors"
	"path/filepath"
	"strings"
	"time"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/kit"
)

// Words of the pages about the kit, its files and what was left unsaved.
const (
	KitPage       = "About this kit"
	SourcesPage   = "Files of the parts"
	LabelNotes    = "Notes"
	LabelKitFile  = "Kept in"
	LabelFiles    = "Files"
	LabelInForce  = "Factor"
	NotesTip      = "Whatever you want to find again: where the drawings are from, glue, paint, supports"
	PartNotesTip  = "Your own words about this part; they are kept with the kit"
	NoKitFile     = "not saved yet"
	UseFound      = "Use it"
	UseFoundTip   = "Take the file from where it was found; the kit remembers the new place"
	UseAllFound   = "Use all that were found"
	PointTo       = "Show where…"
	PointToTip    = "Choose the file where it lies now; other missing ones are then looked for there, too"
	TakeChanged   = "Take as it is"
	TakeTip       = "Let the kit go by the file as it is now"
	TakeAll       = "Take all as they are"
	KeepOld       = "Keep the old"
	KeepOldTip    = "Go on with the factor that was saved; the file is pointed out again the next time"
	SourcesFine   = "Every file is where the kit has it, and as it was when the kit was saved."
	SourcesSearch = "Looking for missing files nearby…"
	HeadMissing   = "Missing"
	HeadChanged   = "Changed since the kit was saved"

	TakeUp      = "Take it up again"
	ThrowAway   = "Throw away"
	NotNow      = "Not now"
	SaveElse    = "Save mine elsewhere…"
	SaveOver    = "Replace theirs"
	OpenTheirs  = "Open theirs"
	RecentEmpty = "No kit yet"
	DuplicateAs = "Try another ratio"
)

// InForce is the factor with all digits and as an exact fraction: what the kit's file keeps.
func InForce(v state.View) string {
	f := v.Result.Factor
	if !f.Known() {
		return None
	}
	s := "×" + f.Exact()
	if r := f.Rat().RatString(); r != f.Exact() {
		s += " = " + r
	}
	return s
}

// KitFile says where the kit is kept.
func KitFile(v state.View) string {
	switch {
	case v.Path != "":
		return v.Path + beside(v)
	case v.CopyOf != "":
		return NoKitFile + "; begun from " + v.CopyOf
	}
	return NoKitFile
}

// When is a moment for the maker: "7 March 2026, 14:05".
func When(t time.Time) string { return t.Local().Format("2 January 2006, 15:04") }

// RecoverQuestion offers what a window has left that ended without closing.
func RecoverQuestion(l kit.Left) (question, detail string) {
	where := "It was never saved."
	if l.Path != "" {
		where = "Its file is " + l.Path + ", which is as it was last saved."
	}
	return "Take up “" + Title(l.Title) + "” again?",
		"The program ended on " + When(l.At) + " with changes that were not saved: " + Parts(l.Parts) + ", with the way to the factor. " + where
}

// OvertakenQuestion asks what to do where somebody else has saved the kit.
func OvertakenQuestion(path string) (question, detail string) {
	return "Somebody else has saved this kit",
		filepath.Base(path) + " is no longer as it was when it was opened here: another window or program has saved it. " +
			"Saving now would replace that; opening it would lose your changes here."
}

// RecentName is a recent kit in its menu; where it cannot be opened, with the reason.
func RecentName(r state.Recent) string {
	s := short(Title(r.Title)) + "  –  " + shortPath(r.Path)
	if r.Err != nil {
		s += "  (" + Error(r.Err).What + ")"
	}
	return s
}

// shortPath is the end of a path, as long as a menu has room for.
func shortPath(path string) string {
	const most = 48
	r := []rune(path)
	if len(r) <= most {
		return path
	}
	return "…" + string(r[len(r)-most+1:])
}

// MissingSays says of a missing file what was found.
func MissingSays(m state.Missing, s state.Sources) string {
	of := strings.Join(m.Parts, ", ")
	if len(m.Parts) > 3 {
		of = Parts(len(m.Parts))
	}
	return of + ": " + missingFound(m, s)
}

// missingFound says what was found in place of a missing file.
func missingFound(m state.Missing, s state.Sources) string {
	switch {
	case m.Found != "" && m.Same:
		return "found at " + m.Found + ", with the same content."
	case m.Found != "":
		return "a file of the same name lies at " + m.Found + "; its content is another one, or the old one is not known."
	case s.Busy:
		return "being looked for."
	case errors.Is(m.Err, state.ErrNoAnswer):
		return Error(state.ErrNoAnswer).What + "; nothing like it was found nearby."
	}
	return "nothing like it was found nearby."
}

// ChangedSays says in a sentence in what a changed part differs.
func ChangedSays(c state.Changed) string {
	const beside = "A file beside its own, with its textures, materials or shape, was changed since the kit was saved"
	switch {
	case c.Gone:
		return "Its file no longer has this part."
	case c.Beside && !c.Was.Known():
		return beside + "."
	case c.Beside && !c.Change.Any():
		return beside + "; what was measured of it is the same."
	case !c.Was.Known():
		return "Its file is another one; what it was is not known, for the kit was saved by an older version."
	case !c.Change.Any() && c.Looks:
		return "Its file was written anew; size, triangles and volume are the same as far as is known yet."
	case !c.Change.Any():
		return "Its file was written anew, but size, triangles, volume and surface are the same."
	}
	var what []string
	for _, w := range []struct {
		differs bool
		name    string
	}{{c.Change.Size, "size"}, {c.Change.Place, "place"}, {c.Change.Triangles, "triangles"}, {c.Change.Volume, "volume"}, {c.Change.Surface, "surface"}} {
		if w.differs {
			what = append(what, w.name)
		}
	}
	said := "What differs: " + strings.Join(what, ", ") + "."
	if c.Beside {
		said = beside + ". " + said
	}
	return said
}

// ChangedRows are what a part was and is: name, before, now, and whether they differ.
func ChangedRows(c state.Changed, p state.Part, inches bool) (rows [][3]string, differs []bool) {
	if c.Gone || !c.Was.Known() {
		return nil, nil
	}
	add := func(name, was, is string, changed bool) {
		rows, differs = append(rows, [3]string{name, was, is}), append(differs, changed)
	}
	mm := p.Measured.Unit.MM
	size := func(b geom.Box) string {
		if b.Empty() {
			return None
		}
		return Size(b.Size().Scale(mm), inches)
	}
	volume := func(f kit.Facts) string {
		if f.Surface == kit.Open || f.Triangles == 0 {
			return None
		}
		return Volume(f.Volume * mm * mm * mm)
	}
	add("Size of the box, as drawn", size(c.Was.Box), size(c.Now.Box), c.Change.Size)
	if c.Change.Place && !c.Was.Box.Empty() {
		add("Its middle", corner(c.Was.Box.Centre().Scale(mm), inches), corner(c.Now.Box.Centre().Scale(mm), inches), true)
	}
	add("Triangles", Number(c.Was.Triangles), Number(c.Now.Triangles), c.Change.Triangles)
	add("Volume", volume(c.Was), volume(c.Now), c.Change.Volume)
	now := surface(c.Now.Surface)
	if c.Looks {
		now = "being looked at"
	}
	add("Surface", surface(c.Was.Surface), now, c.Change.Surface)
	return rows, differs
}

func surface(s kit.Surface) string {
	switch s {
	case kit.Closed:
		return "closed"
	case kit.Open:
		return "open"
	}
	return "not known"
}

// ChangedHead are the titles of those rows.
func ChangedHead() [3]string { return [3]string{"", "when saved", "now"} }

// SourcesLine says in a line that files are not as the kit has them; empty where all are.
func SourcesLine(s state.Sources) string {
	out := ""
	if n := len(s.Missing); n > 0 {
		found := 0
		for _, m := range s.Missing {
			if m.Found != "" {
				found++
			}
		}
		out = Count(n, "file is", "files are") + " missing"
		if found > 0 {
			out += ", " + Number(found) + " found elsewhere"
		}
	}
	if n := len(s.Changed); n > 0 {
		out = join(out, "; ", Count(n, "part has", "parts have")+" changed")
	}
	return out
}

// keptAction are the names and tooltips of the actions about keeping a kit.
func keptAction(a Action) (name, tip string) {
	switch a {
	case RecentKits:
		return "Recent kits", "Open a kit again that was open not long ago"
	case DuplicateKit:
		return "Try another ratio…", "Begin a new kit with all that this one has; this one stays as it was last saved"
	case AboutKit:
		return KitPage + "…", "Title, notes, where the kit is kept, and the factor with all digits"
	case ShowSources:
		return SourcesPage + "…", "Files that are missing or were changed, and what to do about them"
	case ShowMade:
		return MadePage + "…", "Every copy that was saved of this kit: when, at which factor and where"
	case RecoverKit:
		return "Unsaved changes of before…", "Take up again what was not saved when the program ended without closing"
	}
	return "", ""
}

// What a line about a missing or a changed file asks.
const (
	AsksMissing Asks = "missing" // where it is
	AsksFound   Asks = "found"   // whether the one that was found is it
	AsksChanged Asks = "changed" // whether the kit goes by it as it is now
)

// The first button of such lines.
const (
	SeeFiles    = "See files…"
	SeeDiffers  = "See both…"
	SeeFilesTip = "All files that are missing or were changed, and what differs"
)

// tellFailed says why a part could not be read, and asks where its file is if it is missing.
func tellFailed(v state.View, p state.Part) Finding {
	f := Finding{Mark: Stops, Name: p.Name, Says: Error(p.Err).String(), Part: p.ID, Index: -1}
	for _, m := range v.Sources.Missing {
		if m.Path != p.File {
			continue
		}
		f.Asks, f.Tip = AsksMissing, f.Says
		f.Says = "Its file is not where it was; " + missingFound(m, v.Sources)
		if m.Found != "" {
			f.Asks = AsksFound
		}
	}
	return f
}

// tellChanged says in what a part's file differs from what the kit was saved with.
func tellChanged(v state.View, p state.Part) Finding {
	f := Finding{Mark: Warns, Name: p.Name, Says: Error(state.ErrDifferent).String(), Part: p.ID, Index: -1}
	for _, c := range v.Sources.Changed {
		if c.ID == p.ID {
			f.Asks, f.Says = AsksChanged, ChangedSays(c)
			if !c.Beside {
				f.Says = "Its file was changed since the kit was saved. " + f.Says
			}
		}
	}
	return f
}

// keptAnswers are the buttons of those lines; false for others.
func keptAnswers(a Asks) ([2][2]string, bool) {
	switch a {
	case AsksMissing:
		return [2][2]string{{SeeFiles, SeeFilesTip}, {PointTo, PointToTip}}, true
	case AsksFound:
		return [2][2]string{{SeeFiles, SeeFilesTip}, {UseFound, UseFoundTip}}, true
	case AsksChanged:
		return [2][2]string{{SeeDiffers, SeeFilesTip}, {TakeChanged, TakeTip}}, true
	}
	return [2][2]string{}, false
}
