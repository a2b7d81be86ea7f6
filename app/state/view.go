// Package state is what the window shows and can do, free of any widget. A Bench owns one
// View of plain values; intents are its methods, all called on the window's goroutine; those
// who watch it are told after each change and draw. Long work runs aside and comes back
// through a Post function that is given from outside.
package state

import (
	"image"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/survey"
	"scantling/engine/units"
	"scantling/engine/ways"
	"scantling/formats"
)

// Post runs f on the window's goroutine, later and in order.
type Post func(f func())

// A View is all that the window shows: plain values, cheap to copy. Its slices are never
// changed once shown; a change makes new ones.
type View struct {
	Title   string // the kit's title, for title block and window
	Path    string // kit file; empty while it was never saved
	Unsaved bool   // changes since the kit was opened or saved
	Notes   string // the maker's own, about the kit
	Opened  int    // how many kits were opened so far
	CopyOf  string // the kit file that this one was begun from, as long as it was never saved

	Made    []kit.Saved      // copies that were saved of the kit, the latest first
	Lying   map[string]Lying // how they lie there now, by path, as far as CheckMade has looked
	Earlier []Earlier        // other factors at which what is to be saved was saved before

	Left      []kit.Left // what windows have left that ended without closing, the latest first
	Beside    bool       // another window has this kit open
	Overtaken string     // the kit's file, which somebody else has saved since it was read; empty: nobody
	Unkept    bool       // unsaved changes cannot be kept for the case of a crash
	Recent    []Recent
	Sources   Sources // files of parts that are missing or changed

	Undo   Step // what undo would take back; empty: nothing
	Redo   Step
	Undoes Stepped // what that step did
	Redoes Stepped

	Parts    []Part
	Selected string // part id, or empty

	Way      ways.Way    // the way in force, with all inputs
	Result   ways.Result // what it gives
	WayErr   error       // why it gives nothing; nil when Result.Factor is known
	Offers   []Offer     // every way and what it would give, in the order of the panel
	Typed    map[Input]string
	Faults   map[Input]error // what is wrong with what is typed, by field
	Field    ratio.Field     // trade whose ratios make the ladder
	Fields   []ratio.Field
	Ladder   []judge.Rung
	Bed      judge.Bed
	Bedding  Bedding         // how the ticked parts fit the bed
	Printers []judge.Printer // the maker's own; none until WantPrinters was called
	KitBox   geom.Box        // the assembled ticked kit in kit axes, mm as drawn
	PartsUp  geom.Axis       // kit axes: which one points up
	KitTurn  geom.Turn       // how the whole kit was turned; zero: not at all
	// UnitHints are units that parts were likelier drawn in, for the maker to decide.
	UnitHints []units.Suggestion
	// Strays are parts that lie or stand unlike the rest.
	Strays []units.Stray
	Shift  Shift // the factor, where parts have changed it since the kit was saved
	// CopyHints are parts that have the shape of another one and another size.
	CopyHints []CopyHint

	Evidence Evidence // what figures and clues say of ratios
	Judged   Judged   // what the factor does to the parts
	// Processes are the maker's own; none until WantProcesses was called.
	Processes []process.Process
	Gauged    Gauged
	Pointed   Pointed  // where on the sheet a finding is shown
	Beds      *BedPlan // how the parts lie on beds; nil while the sheet does not show that
	Pair      *Pair    // two targets side by side; nil while nobody compares

	Sheet   Sheet
	Measure Measure // what is measured on the sheet
	Jobs    []Job   // running jobs, for the status line

	Lost   *Lost             // a factor that is looked for in an old copy, or was found; nil: none
	Copies *CopyPlan         // what saving would do, while the save panel is open; nil otherwise
	Saved  []deliver.Outcome // outcomes of the last save; nil before the first
	// Recorded is where a record was saved last; empty: nowhere yet.
	Recorded string
	Printed  Printed // the person to print that was asked for last
	Notice   error   // the last thing that went wrong outside any part or field; nil: nothing
	Look     Look
}

// A Step names what one step of undo did. app/text has the words.
type Step string

// The steps.
const (
	StepOpen     Step = "open"
	StepRemove   Step = "remove"
	StepTick     Step = "tick"
	StepQuantity Step = "quantity"
	StepRename   Step = "rename"
	StepType     Step = "type"
	StepWay      Step = "way"
	StepRung     Step = "rung"
	StepField    Step = "field"
	StepDrag     Step = "drag"
	StepAlong    Step = "along"
	StepPart     Step = "part"
	StepFigure   Step = "figure"      // the choices of the figure in hand
	StepNative   Step = "native"      // where the native ratio comes from
	StepClue     Step = "clue"        // adding a clue
	StepAside    Step = "clue-aside"  // setting one aside, or taking it back
	StepNoClue   Step = "clue-remove" // removing one
	StepClueName Step = "clue-name"
	StepUnit     Step = "unit"
	StepKeepUnit Step = "keep-unit"
	StepTurn     Step = "turn"
	StepLost     Step = "lost" // taking a factor that was found again
)

// StepBed is the choice of a bed, StepTurning how parts may be turned to fit it.
const (
	StepBed     Step = "bed"
	StepTurning Step = "turning"
)

// StepProcess is the choice of a process, StepFindingAside setting a finding aside or taking it
// back.
const (
	StepProcess      Step = "process"
	StepFindingAside Step = "finding-aside"
	StepBores        Step = "bores" // saying what bores are for
)

// StepNotes is writing notes; StepFound taking files where they were found, StepAccept files as
// they are now, StepKeepFactor the factor that was saved.
const (
	StepNotes      Step = "notes"
	StepFound      Step = "found"
	StepAccept     Step = "accept"
	StepKeepFactor Step = "keep-factor"
	StepFormat     Step = "format" // choosing the format of a file's copies
	StepSaving     Step = "saving" // choosing how copies are named, and where and how they are saved
)

// Steps lists every step.
func Steps() []Step {
	return []Step{StepOpen, StepRemove, StepTick, StepQuantity, StepRename, StepType, StepWay, StepRung,
		StepField, StepDrag, StepAlong, StepPart, StepFigure, StepNative, StepClue, StepAside, StepNoClue, StepClueName, StepUnit, StepKeepUnit, StepTurn, StepLost, StepBed, StepTurning, StepProcess, StepFindingAside, StepBores,
		StepNotes, StepFound, StepAccept, StepKeepFactor, StepFormat, StepSaving}
}

// A Look is how light the window is.
type Look string

// The looks.
const (
	AsSystem Look = ""
	Light    Look = "light"
	Dark     Look = "dark"
)

// A Purpose is what files are chosen for; each remembers its own folder.
type Purpose string

// The purposes.
const (
	ForModels Purpose = "models"
	ForKits   Purpose = "kits"
	ForCopies Purpose = "copies"
	ForGauges Purpose = "gauges"

	ForRecords Purpose = "records"
)

// A Part is a row of the parts list.
type Part struct {
	ID       string // unique in the kit, stable across undo
	File     string // full path
	Index    int    // which of the file's bodies
	Name     string
	Format   string
	Encoding string
	Quantity int
	Ticked   bool
	State    PartState
	Err      error          // when State is Failed
	Notes    []formats.Note // of its file
	Differs  bool           // its file is another one than the kit goes by
	Measured mesh.Part      // when State is Measured; file units and axes, with the unit and turn in force
	FileUnit mesh.Unit      // the unit that its file has or is taken to have
	Unit     ratio.Length   // the unit that the maker gave instead; not known: none
	UnitKept bool           // the maker said that the unit is right
	Turn     geom.Turn      // how the maker turned it; zero: not at all
	Words    string         // the maker's own notes
	Topology *mesh.Topology // nil until known
	LookErr  error          // why topology and silhouettes cannot be had
	Bytes    int64

	Drawn  geom.Vec // size as drawn, mm, kit axes
	Print  geom.Vec // size at the factor, mm, kit axes; zero without a factor
	Box    geom.Box // as drawn, mm, kit axes
	Fits   bool     // at the factor, on the bed; true where no bed is known
	Excess geom.Vec // mm too long along each axis of the bed in its pose
	// Would is how a ticked part that does not fit would, turned more freely than it may be;
	// AsItLies where it would not, or that is not known.
	Would judge.Turning
	// Fit is how the part fits the bed when it is turned as the way says, mm as drawn; nil while
	// that is not known, and without a bed.
	Fit *judge.Fit
	// Hull is what decides how the part fits, as it lies and in the file's unit: its convex hull,
	// or its box where that is enough or all that can be had. Nil until known.
	Hull *survey.Hull
	// Found is what the survey found, in file units and axes; a first look while it is Coarse, nil
	// until there is one. It must not be changed.
	Found *survey.Measurements

	// Silhouettes by Side, shaded grey pictures of the part seen square on; nil until known.
	// Alpha is 0 outside the part; a picture spans exactly the part's Box seen from there.
	Silhouettes [3]*image.NRGBA
	// Shades are how thick the part is where it is seen, by Side, with the pixels of Silhouettes
	// and in the file's unit; nil until known, and nobody looks before Sheet.Thickness is set.
	Shades [3]*survey.Shading
	// Snaps are what a measure can be held to, in file units and axes; nil until known.
	Snaps []survey.Snap
	frame kit.Frame
}

// Point is a point of the part's file in kit axes, mm as drawn.
func (p *Part) Point(file geom.Vec) geom.Vec { return p.frame.Point(p.Measured, file) }

// Waits reports whether the part's file is still to be read.
func (p Part) Waits() bool { return p.State == Waiting || p.State == Reading }

// A PartState is how far a part has come.
type PartState uint8

// The states of a part.
const (
	Waiting PartState = iota
	Reading
	Measured
	Failed
)

// An Input is a field of the factor panel.
type Input string

// The fields that can be typed in.
const (
	InNative    Input = "native"
	InTarget    Input = "target"
	InReal      Input = "real"
	InLength    Input = "length"
	InFactor    Input = "factor"
	InBedX      Input = "bed-x"
	InBedY      Input = "bed-y"
	InBedZ      Input = "bed-z"
	InBedMargin Input = "bed-margin"
	InBedBrim   Input = "bed-brim"
	InPrinter   Input = "printer" // a name under which the bed is to be saved

	InReadings Input = "figure-readings" // height of the figure in hand, several parted by semicolons
	InPerson   Input = "figure-person"   // whom it stands for
	InBase     Input = "figure-base"
	InHeadgear Input = "figure-headgear"
	InFootwear Input = "figure-footwear"
	InLimit    Input = "figure-limit" // of the calipers
	InStep     Input = "figure-step"  // their last digit
	InDrawn    Input = "clue-drawn"   // of the clue that is being made: its drawn length
	InIsReal   Input = "clue-real"    // and what it is in reality
)

// An Offer is what a way would give.
type Offer struct {
	Kind   ways.Kind
	Result ways.Result
	SoFar  ways.Result // without a factor, what is known of the ratios all the same
	Err    error       // why it gives no factor
}

// A Side is where the sheet looks from.
type Side uint8

// The sides. Front looks along +y with z up, Side along -x, Top down.
const (
	Front Side = iota
	FromSide
	Top
)

// Look is where right and up of the picture point, in the axes of a part or a kit in which
// up is the axis that points up.
func (s Side) Look(up geom.Axis) (right, above geom.Vec) { return s.of(kit.Raise(up, false)) }

// of is Look in axes that the turn takes to those with z up.
func (s Side) of(upright geom.Turn) (right, above geom.Vec) {
	switch s {
	case FromSide:
		right, above = geom.Vec{0, 1, 0}, geom.Vec{0, 0, 1}
	case Top:
		right, above = geom.Vec{1, 0, 0}, geom.Vec{0, 1, 0}
	default:
		right, above = geom.Vec{1, 0, 0}, geom.Vec{0, 0, 1}
	}
	back := upright.Inverse() // other parts are turned, not mirrored
	return back.Apply(right), back.Apply(above)
}

// A Sheet is how the drawing is shown.
type Sheet struct {
	Side   Side
	InRow  bool    // parts in a row instead of assembled
	Fit    bool    // zoom follows the kit
	Zoom   float64 // device-independent pixels per print millimetre, when not Fit
	PanX   float64 // print mm at the middle of the sheet, when not Fit
	PanY   float64
	Inches bool // rulers and dimensions in inches and feet
	Bed    bool // outline of the bed shown
	// Thickness is set where the parts are shaded by how thick they are.
	Thickness bool
	Pose      bool // instead of the kit the selected part, or the one that limits it, as it fits the bed
	Beds      bool // instead of the kit the beds that its ticked parts are laid on, from above: View.Beds

	StandIns []StandIn           // nil: the usual ones
	ByEye    bool                // the kit is scaled by hand beside the stand-ins
	Moved    map[string]geom.Vec // by part id: its foot from the kit's foot, print mm, kit axes; for the eye only, while ByEye
}

// ShowsKit is false while the sheet shows something else instead.
func (s Sheet) ShowsKit() bool { return !s.Pose && !s.Beds }

// A Job is running work.
type Job struct {
	ID    string // Opening, Looking, Saving or Filing
	Part  string // what it is at, a file name
	Done  int    // of All things
	All   int
	Share float64 // of the whole, 0 to 1
	// DoneBytes of AllBytes of the sources are through, while copies are saved.
	DoneBytes, AllBytes int64
}

// The kinds of running work.
const (
	Opening = "opening" // model files and folders of them
	Fitting = "fitting" // parts on the bed, turned
	Nesting = "nesting" // parts on beds, closer
	Looking = "looking" // topology and silhouettes
	Saving  = "saving"  // copies
	Filing  = "filing"  // the kit's file

	Recording = "recording" // a record of the kit
	Figuring  = "figuring"  // a person to print
	Checking  = "checking"  // whether copies are still there
	Searching = "searching" // for files that are gone
	Comparing = "comparing" // a part with an old copy of it
	Surveying = "surveying" // walls, pins, bores, and how parts lie to each other
)

// A CopyPlan is what saving would do: shown before it is done.
type CopyPlan struct {
	Folder    string
	Pattern   string
	Fields    []deliver.NameField // what a pattern may have in braces
	As        formats.Kind        // empty: as the source
	Overwrite bool
	Folders   bool // copies lie in folders as their sources do
	Posed     bool // parts are turned and put down as they fit the bed
	// Correction is that of the process: what copies are multiplied by besides, where it is on.
	Correction process.Correction
	Turned     bool // copies stand as the parts do on the sheet, where they were turned
	Names      []PlannedName
	Err        error // why it cannot be done
}

// A PlannedName is one file that would be saved.
type PlannedName struct {
	Part   string       // source file's name
	Name   string       // with the folders that it will lie in, slash-separated
	ID     string       // of the first of the file's parts
	Of     formats.Kind // the format that was chosen for this file alone; empty: that of all
	Exists bool         // a file of that name lies there
	// Unchanged: what lies there is the copy as it would be saved, and will be left alone.
	Unchanged bool
	Long      int // as in deliver.Planned
	Along     int // parts of the file that are not ticked and come along: a copy is of a whole file
	// UnitBy is what the copy is multiplied by on top of the factor, because the maker
	// corrected the unit of the file; 0: nothing.
	UnitBy float64
	// Pose is how the part of the file is put down, mm as drawn; nil where it stays as it lies.
	Pose *judge.Pose
	// Stays is set for a file of several parts while copies are posed: they keep their places
	// in each other.
	Stays bool
	// Over is by how much a part that fits the bed at the factor may be too long for it once it is
	// corrected, mm along the bed's axes; zero where it is not.
	Over geom.Vec
	Err  error
}
