package text

import (
	"runtime"
	"slices"
	"strconv"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ways"
	"scantling/formats"
)

// AlongChoice is an axis with the drawn length along it: "x  ·  412 mm".
func AlongChoice(a geom.Axis, drawnMM float64, inches bool) string {
	return Axis(a) + "  ·  " + Length(drawnMM, inches)
}

// WayTip says when to take a way, and why it gives nothing when it does not.
func WayTip(o state.Offer) string {
	_, hint := Way(o.Kind)
	if o.Err != nil {
		return hint + " " + Error(o.Err).String()
	}
	return hint
}

// Tooltips of what is no action.
const (
	RuleTip     = "Drag to set the factor by eye; with the keyboard, left and right"
	LadderTip   = "Whose standard ratios the ladder shows"
	TickTip     = "Ticked parts count and are saved"
	QuantityTip = "How many of the part the kit needs"
	AlongTip    = "The axis along which the length is measured"
	OfTip       = "Whose length is given: a part's or the whole kit's"
	PatternTip  = "How the copies are called; words in braces are filled in for each"
	FolderTip   = "Where the copies go; the folder is made if it is not there"
	FormatTip   = "The format of the copies; that of each source changes nothing but lengths"
	FilesChosen = "STL, OBJ, glTF and 3MF models"
	KitsChosen  = "Kits"
)

// LadderHead are the titles of the ladder's columns.
func LadderHead(inches bool) [5]string {
	return [5]string{"Ratio", "Name", "Factor", "Kit, " + UnitName(inches), "Prints"}
}

// StandingShort says in a word or two whether the kit prints at rung i; StandingOf says more.
func StandingShort(j state.Judged, i int) string {
	if i >= len(j.Ladder) || !j.Ladder[i].Factor.Known() || len(j.IDs) == 0 {
		return None
	}
	o := j.Ladder[i].Outcome
	switch {
	case len(o.Stops) == 1 && o.Stops[0] == judge.OffBed:
		return strconv.Itoa(o.Failing) + " too big"
	case !o.Prints:
		return strconv.Itoa(o.Failing) + " fail"
	case o.Looks > 0:
		return "look: " + strconv.Itoa(o.Looks)
	}
	return "yes"
}

// StandingOf says what rung i is, how the kit fits the bed at it, and what else stops it.
func StandingOf(j state.Judged, i int, r judge.Rung) string {
	if i >= len(j.Ladder) || !r.Factor.Known() {
		return RungTip(r)
	}
	return StandingTip(j.Ladder[i]) + " " + RungTip(r)
}

// StandingTip says what stops the print at a standard ratio, and what the kit weighs.
func StandingTip(s judge.Standing) string {
	if !s.Factor.Known() {
		return Ratio(s.Standard.Ratio) + ": native ratio not known."
	}
	o := s.Outcome
	says := Ratio(s.Standard.Ratio) + ": prints."
	switch {
	case !o.Prints:
		says = Ratio(s.Standard.Ratio) + ": " + Count(o.Failing, "part stops", "parts stop") + " the print: " + OutcomeStops(o) + "."
	case o.Looks > 0:
		says = Ratio(s.Standard.Ratio) + ": prints; look at " + Parts(o.Looks) + "."
	}
	return says + " Weighs " + Mass(o.Weight.Grams) + " without supports."
}

// PrintsBetween says between which ratios nothing stops the print, of the kit and of the
// selected part alone.
func PrintsBetween(v state.View) string {
	j := v.Judged
	if len(j.IDs) == 0 {
		return ""
	}
	says := "Nothing stops the print " + WindowWords(j.Prints, j.Native) + "."
	if j.Prints.Empty() {
		says = "Something stops the print at every ratio: " + windowGap(j.Prints, j.Native) + "."
	}
	if own, ok := j.WindowOf(v.Selected, judge.Stops); ok {
		says += " " + selectedName(v) + " alone prints " + WindowWords(own, j.Native) + "."
	}
	return says
}

// PartAtRung says what becomes of the selected part at a standard ratio: " mast alone: too small
// there, for thin pins."
func PartAtRung(v state.View, s judge.Standing) string {
	own, ok := v.Judged.WindowOf(v.Selected, judge.Stops)
	if !ok || !s.Factor.Known() {
		return ""
	}
	says := " " + selectedName(v) + " alone: "
	switch f := s.Factor.Float(); {
	case f < own.Least:
		return says + "too small there, for " + CodeShort(own.LeastCode) + "."
	case f > own.Most:
		return says + "too large there, for " + CodeShort(own.MostCode) + "."
	}
	return says + "nothing stops it there."
}

func selectedName(v state.View) string {
	for _, p := range v.Parts {
		if p.ID == v.Selected {
			return p.Name
		}
	}
	return ""
}

// KitSum says what the kit weighs, costs and takes of beds, short for the head of the findings,
// and in full with what that rests on; both are empty where nothing is known.
func KitSum(v state.View) (short, long string) {
	j := v.Judged
	w := j.Weight
	if len(j.IDs) == 0 || !(v.Result.Factor.Float() > 0) {
		return "", ""
	}
	if w.Grams > 0 {
		short = Mass(w.Grams)
		long = "All pieces weigh about " + Mass(w.Grams) + " (" + Filling(j.Process) + "; solid " + Mass(w.Solid) + "), without supports"
		if w.Cost > 0 {
			short += ", " + Cost(w.Cost, j.Process.Material.Money)
			long += ", and their material costs " + Cost(w.Cost, j.Process.Material.Money)
		}
		if w.Unknown > 0 {
			long += "; " + Count(w.Unknown, "part that is not closed is", "parts that are not closed are") + " not counted"
		}
		long += ". "
	}
	if j.Beds != nil {
		short = join(short, ", ", Count(j.Beds.Beds, "bed", "beds"))
		if n := len(j.Beds.Left); n > 0 {
			short += ", " + Number(n) + " left over"
		}
		long += "They take " + BedCount(*j.Beds) + ", laid side by side, " + Length(state.BedGap, v.Sheet.Inches) + " apart."
	}
	return short, long
}

// RungTip says what a rung is, how the kit would fit the bed, and where its ratio comes from.
func RungTip(r judge.Rung) string {
	s := join(Ratio(r.Standard.Ratio), ", ", r.Standard.Name)
	s = join(s, ": ", Rung(r.Factor.Known(), r.Fits, r.TooLong))
	return join(s, ". ", r.Standard.Source)
}

// QuantityOf labels the quantity of a part.
func QuantityOf(part string) string { return LabelQuantity + " of " + part }

// NoneSelected stands where the selected part's name would.
const NoneSelected = "No part selected"

// PartsCount heads the list of parts: "12 parts", "11 of 12 parts ticked".
func PartsCount(parts []state.Part) string {
	for _, p := range parts {
		if !p.Ticked {
			return Ticked(parts)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return Parts(len(parts))
}

// SizeChangeBare is what the factor makes of a size, without the unit, for a column that names
// it once: "412 × 96 × 88 → 96.8 × 22.6 × 20.7". Without a factor it is the size as drawn.
func SizeChangeBare(drawn, print geom.Vec, inches bool) string {
	if print == (geom.Vec{}) {
		return SizeBare(drawn, inches)
	}
	return SizeBare(drawn, inches) + " → " + SizeBare(print, inches)
}

// SizesIn names the unit of the sizes in the list, and what they are.
func SizesIn(factor, inches bool) string {
	if factor {
		return UnitName(inches) + " drawn → print"
	}
	return UnitName(inches) + " drawn"
}

// PartDetail is the third line of a part's row: triangles and surface, or what is wrong.
func PartDetail(p state.Part) string {
	switch p.State {
	case state.Measured:
		s := Triangles(p.Measured.Triangles)
		if p.Topology != nil {
			s += "  ·  " + Topology(p.Topology)
		}
		return s
	case state.Failed:
		return capital(Error(p.Err).What, false)
	}
	return capital(PartState(p.State), false)
}

// PartTip says where a part comes from, and in full what is wrong with it.
func PartTip(p state.Part) string {
	s := p.File
	if p.State == state.Measured {
		s = join(s, "  ·  ", join(Encoded(p.Format, p.Encoding), ", ", Bytes(p.Bytes)))
	}
	if p.Err != nil {
		s = join(s, "  ·  ", Error(p.Err).String())
	}
	return s
}

// A Mark is the worst that is known of a part, or the weight of a line worth knowing.
type Mark uint8

// The marks, from none to the worst.
const (
	Fine Mark = iota
	Doing
	Noted
	Warns
	Stops
)

// Sign is a mark as a letter, so that it is told apart without colour.
func (m Mark) Sign() string {
	switch m {
	case Doing:
		return "…"
	case Noted:
		return "i"
	case Warns:
		return "!"
	case Stops:
		return "×"
	}
	return ""
}

// MarkOf is the worst that is known of a part.
func MarkOf(p state.Part, v state.View) Mark {
	worst := Fine
	if g, ok := v.Judged.Worst[p.ID]; ok {
		worst = MarkOfGravity(g)
	}
	switch {
	case p.State == state.Failed:
		return Stops
	case p.State != state.Measured:
		return Doing
	case p.Print != geom.Vec{} && p.Ticked && !p.Fits:
		return Stops
	case p.Topology != nil && !p.Topology.Closed:
		return max(worst, Noted)
	}
	return worst
}

// MarkOfGravity is a finding's gravity as a mark.
func MarkOfGravity(g judge.Gravity) Mark {
	switch g {
	case judge.Stops:
		return Stops
	case judge.Look:
		return Warns
	}
	return Noted
}

// A Finding is a line of the drawer.
type Finding struct {
	Mark  Mark
	Name  string // of the part or file, or what it is about
	Says  string
	Gone  string // at which factor and ratio it is gone; empty where there is none
	Tip   string // all that is to be said
	Part  string // id of the part to select, or empty
	Asks  Asks   // what it asks, with two buttons; empty: nothing
	Index int    // in View.Judged.Findings; -1 for what was not judged there
	Aside bool   // the maker has set it aside
}

// An Asks is what a line of the drawer asks.
type Asks string

// What a line may ask.
const (
	AsksUnit Asks = "unit" // whether the part's unit is to be corrected
	AsksCopy Asks = "copy" // whether the part is an old copy of another one
)

// Answers are the two buttons of such a line, each with its tooltip.
func (a Asks) Answers() [2][2]string {
	if said, ok := addedAnswers(a); ok {
		return said
	}
	if said, ok := keptAnswers(a); ok {
		return said
	}
	if a == AsksCopy {
		return [2][2]string{{FindFactor, FindFactorTip}, {KeepPart, KeepTip}}
	}
	return [2][2]string{{CorrectUnit, CorrectTip}, {KeepUnit, KeepTip}}
}

// partOf is a part of the view by its id.
func partOf(v state.View, id string) state.Part {
	for _, p := range v.Parts {
		if p.ID == id {
			return p
		}
	}
	return state.Part{}
}

// Findings is what is worth knowing of the kit, the worst first: parts that could not be
// read, that do not fit the bed, what the factor does to walls, pins, holes and pegs, surfaces
// that are not closed, and notes. Findings of one kind about one part are told once, and notes
// that many files share, too. What was set aside comes last.
func Findings(v state.View) []Finding {
	var by [Stops + 1][]Finding
	add := func(f Finding) { by[f.Mark] = append(by[f.Mark], f) }
	tellParts(v, add)
	tellAdded(v, add)
	tellNotes(v, add)
	for _, f := range tellJudged(v) {
		add(f)
	}
	return slices.Concat(by[Stops], by[Warns], by[Noted], by[Fine])
}

// tellParts tells of parts that could not be read, do not fit, or ask for a unit.
func tellParts(v state.View, add func(Finding)) {
	for _, p := range v.Parts {
		switch {
		case p.State == state.Failed:
			add(tellFailed(v, p))
		case p.State == state.Measured && v.Result.Factor.Known() && p.Ticked && !p.Fits:
			add(tellOffBed(v, p))
		}
	}
	for _, h := range v.UnitHints {
		for _, p := range v.Parts {
			if p.ID == h.Part {
				add(Finding{Mark: Noted, Name: p.Name, Says: UnitHint(h), Part: p.ID, Asks: AsksUnit, Index: -1})
			}
		}
	}
}

// tellOffBed tells of a part that does not fit the bed, turned as it may be.
func tellOffBed(v state.View, p state.Part) Finding {
	line := Finding{Mark: Stops, Name: p.Name, Part: p.ID, Index: -1,
		Says: capital(TooLong(p.Excess, v.Sheet.Inches), false) + " for the bed" + would(p.Would) + "."}
	j := v.Judged
	for i, f := range j.Findings {
		if f.Code != judge.OffBed || f.Part < 0 || j.IDs[f.Part] != p.ID {
			continue
		}
		words := JudgedOf(f, "", j.Native, v.Sheet.Inches)
		line.Index, line.Gone, line.Tip = i, words.Gone, line.Says+" "+capital(words.Gone+"; "+words.Remedy, false)+"."
		if f.Aside != "" {
			line.Mark, line.Aside, line.Says = Fine, true, "Set aside, "+f.Aside+". "+line.Says
		}
	}
	return line
}

// tellNotes tells what readers said of files, and of surfaces that were not judged.
func tellNotes(v state.View, add func(Finding)) {
	shared := map[string]int{}
	told := map[string]bool{}
	key := func(p state.Part, n formats.Note) string { return p.File + "\x00" + string(n.Code) + n.Detail }
	for _, p := range v.Parts {
		for _, n := range p.Notes {
			if k := key(p, n); !told[k] {
				told[k] = true
				shared[Note(n)]++
			}
		}
	}
	clear(told)
	note := func(p state.Part, says string) {
		add(Finding{Mark: Noted, Name: p.Name, Says: says, Part: p.ID, Index: -1})
	}
	for _, h := range v.CopyHints {
		part, original := partOf(v, h.Part), partOf(v, h.Original)
		add(Finding{Mark: Noted, Name: part.Name, Says: CopyHint(h, original.Name), Part: part.ID, Asks: AsksCopy, Index: -1})
	}
	for _, p := range v.Parts {
		judged := v.Result.Factor.Known() && slices.Contains(v.Judged.IDs, p.ID) && v.Judged.Waiting == 0
		if p.State == state.Measured && p.Topology != nil && !p.Topology.Closed && !judged {
			note(p, capital(Topology(p.Topology), false)+".")
		}
		if p.LookErr != nil {
			note(p, Error(p.LookErr).String())
		}
		if p.Differs {
			add(tellChanged(v, p))
		}
		for _, n := range p.Notes {
			says := Note(n)
			if told[key(p, n)] || told[says] {
				continue
			}
			if files := shared[says]; files > 1 {
				told[says] = true
				add(Finding{Mark: Noted, Name: Count(files, "file", "files"), Says: capital(says, false), Index: -1})
				continue
			}
			told[key(p, n)] = true
			note(p, capital(says, false))
		}
	}
}

// tellJudged tells what the factor does, the worst of each kind for each part, as Judged.Alike has
// them. What does not
// fit the bed is told of the part itself.
func tellJudged(v state.View) (out []Finding) {
	type kind struct {
		gravity judge.Gravity
		part    int
		code    judge.Code
		aside   string
	}
	j := v.Judged
	of := func(f judge.Finding) kind { return kind{f.Gravity, f.Part, f.Code, f.Aside} }
	alike := map[kind]int{}
	for _, f := range j.Findings {
		alike[of(f)]++
	}
	told := map[kind]bool{}
	for i, f := range j.Findings {
		if f.Code == judge.OffBed || told[of(f)] {
			continue
		}
		told[of(f)] = true
		line := Finding{Mark: MarkOfGravity(f.Gravity), Name: AllParts, Index: i}
		if f.Part >= 0 {
			line.Name, line.Part = j.Name(f.Part), j.IDs[f.Part]
		}
		words := JudgedOf(f, j.Name(f.Other), j.Native, v.Sheet.Inches)
		line.Says, line.Gone, line.Tip = join(words.Title, ": ", words.Says), words.Gone, words.String()
		if more := alike[of(f)] - 1; more > 0 {
			line.Says += "; " + More(more) + " like it"
		}
		if f.Aside != "" {
			line.Mark, line.Aside, line.Says = Fine, true, "Set aside, "+f.Aside+". "+line.Says
		}
		line.Says += "."
		out = append(out, line)
	}
	return out
}

// AllParts stands for a part's name where something is about all of them.
const AllParts = "whole kit"

// FindingsCount heads the drawer: "2 stop the print, 3 to look at, 5 notes, 1 set aside".
func FindingsCount(all []Finding) string {
	var n [Stops + 1]int
	for _, f := range all {
		n[f.Mark]++
	}
	s := ""
	switch {
	case n[Stops] == 1:
		s = "1 stops the print"
	case n[Stops] > 1:
		s = Number(n[Stops]) + " stop the print"
	}
	if n[Warns] > 0 {
		s = join(s, ", ", Number(n[Warns])+" to look at")
	}
	if n[Noted] > 0 {
		s = join(s, ", ", Count(n[Noted], "note", "notes"))
	}
	if n[Fine] > 0 {
		s = join(s, ", ", Number(n[Fine])+" set aside")
	}
	return s
}

// FindingsState says what is still to come, beside their count.
func FindingsState(j state.Judged) string {
	switch {
	case j.Waiting > 0 && j.Stopped:
		return Parts(j.Waiting) + " not surveyed: it was cancelled"
	case j.Waiting > 0:
		return Parts(j.Waiting) + " still to be surveyed"
	}
	return ""
}

// NothingToTell stands in an empty drawer.
func NothingToTell(v state.View) string {
	if len(v.Parts) == 0 {
		return "What the factor does to the parts will stand here."
	}
	if !v.Result.Factor.Known() {
		return "Every part could be read."
	}
	if v.Judged.Waiting > 0 {
		return "Every part could be read and fits the bed."
	}
	return "Every part could be read, fits the bed, and keeps its details."
}

// Ready is the status line while nothing runs: where the kit lies.
func Ready(v state.View) string {
	switch {
	case v.Path != "" && v.Unsaved && v.Unkept:
		return v.Path + beside(v) + "  ·  changes not saved, and not kept for the case of a crash"
	case v.Path != "" && v.Unsaved:
		return v.Path + beside(v) + "  ·  changes not saved"
	case v.Path != "":
		return v.Path + beside(v)
	case v.Unsaved:
		return "Kit not saved yet"
	}
	return ""
}

// beside says that another window has the same kit open.
func beside(v state.View) string {
	if v.Beside {
		return "  ·  open in another window, too"
	}
	return ""
}

// WayOf is the way's name with a capital, for a heading.
func WayOf(k ways.Kind) string {
	name, _ := Way(k)
	return capital(name, false)
}

// PlanCount says how many files would be saved, and how many names are taken.
func PlanCount(p *state.CopyPlan) string {
	taken, unchanged := 0, 0
	for _, n := range p.Names {
		if n.Unchanged {
			unchanged++
		} else if n.Exists && !p.Overwrite {
			taken++
		}
	}
	s := Count(len(p.Names), "file", "files")
	if unchanged > 0 {
		s += ", " + Number(unchanged) + " unchanged"
	}
	if taken > 0 {
		s += ", " + Number(taken) + " of them exist already"
	}
	return s
}

// Keys of the window that belong to no action: a region and what it takes.
func Keys() [][2]string {
	return [][2]string{
		{"Tab, Shift+Tab", "Next and previous field"},
		{"Space, Return", "Press a button, choose a row"},
		{"Up, Down, Page Up, Page Down, Home, End", "Move in the parts or the ladder"},
		{"Return · Insert · Delete · + · -", "Parts: details · tick · remove · one more · one fewer"},
		{"Arrows · + · - · Home", "Sheet: move · zoom · fit all"},
		{"Page Up, Page Down · Escape", "Sheet: select a part · select none"},
		{"M · Arrows · Return · Escape", "Sheet: measure · aim · set a point · leave"},
		{"E · F · T · B", "Sheet: by eye · stand-ins · thickness · beds"},
		{"Alt+Arrows, with Shift, " + KeyShifted("Arrows"), "By eye: the factor by 1 %, 0.1 %, 0.01 %"},
		{"Shift+Arrows", "By eye: move the selected part for viewing"},
		{KeyWith("wheel") + " · Shift while dragging", "By eye: the factor by 1 % · do not stop at standard ratios"},
		{"Left, Right, Page Up, Page Down", "Rule: turn the factor"},
		{"Escape", "Close a panel"},
	}
}

// About is the program's page about itself.
func About(version string) []string {
	return []string{
		Program + " " + version,
		"A scale workbench: one factor for a kit of model parts, and rescaled copies at it.",
		"MIT licence. The Scantling authors.",
	}
}

// Becomes stands between a source and its copy.
const Becomes = "→"

// Answers to SavingQuestion.
const (
	AnswerGoOn = "Go on saving"
	AnswerStop = "Stop and quit"
)

// KeyBackspace is how the key is written.
const KeyBackspace = "Backspace"

// KeyWith is a key with the modifier of shortcuts.
func KeyWith(key string) string { return shortcutKey() + "+" + key }

// KeyShifted is a key with Shift and the modifier of shortcuts.
func KeyShifted(key string) string { return shortcutKey() + "+Shift+" + key }

// shortcutKey is the modifier of shortcuts, as the system's keyboards have it.
func shortcutKey() string {
	if runtime.GOOS == "darwin" {
		return "Cmd"
	}
	return "Ctrl"
}

// What the program says of its own command line.
const (
	Usage       = "usage: scantling [--demo] [FILE or FOLDER ...]\n\nOpens the bench, on the given models, folders of models or kit file."
	FlagDemo    = "open the demo kit"
	FlagVersion = "print the version and end"
)

// DemoTitle is the title of the demo kit.
const DemoTitle = "Harbour tug"
