package text

import (
	"strconv"

	"scantling/app/state"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
)

// Program is the program's name.
const Program = "Scantling"

// Menus of the window.
const (
	MenuKit    = "Kit"
	MenuEdit   = "Edit"
	MenuSheet  = "Sheet"
	MenuPrint  = "Print"
	MenuCopies = "Copies"
	MenuHelp   = "Help"
)

// Headings and labels of the panes.
const (
	PaneParts    = "Parts"
	PaneFindings = "Findings"
	PaneLadder   = "Ladder"

	LabelAlong     = "Along"
	LabelOf        = "Of"
	LabelWholeKit  = "the whole kit"
	LabelQuantity  = "Quantity"
	LabelTitle     = "Title"
	LabelFolder    = "Folder"
	LabelPattern   = "Name pattern"
	LabelFormat    = "Format"
	LabelInches    = "Inches" // on the switch of inches and feet
	LabelOverwrite = "Replace existing files, this time only"
	LabelNames     = "Files to be saved"
	LabelChoose    = "Choose…"

	AnswerSave    = "Save"
	AnswerDiscard = "Do not save"
	AnswerCancel  = "Cancel"
	AnswerClose   = "Close"
	AnswerOK      = "OK"
)

// An Action is something that the window can do: it has a place in a menu, a tooltip and
// mostly a key.
type Action string

// The actions, menu by menu.
const (
	NewKit    Action = "new-kit"
	OpenKit   Action = "open-kit"
	OpenDemo  Action = "open-demo"
	SaveKit   Action = "save-kit"
	SaveKitAs Action = "save-kit-as"
	AddFiles  Action = "add-files"
	AddFolder Action = "add-folder"
	Quit      Action = "quit"

	Undo        Action = "undo"
	Redo        Action = "redo"
	TickAll     Action = "tick-all"
	TickNone    Action = "tick-none"
	TickInvert  Action = "tick-invert"
	TickPart    Action = "tick-part"
	SetQuantity Action = "set-quantity"
	PartDetails Action = "part-details"
	RemovePart  Action = "remove-part"
	OneMore     Action = "one-more"
	OneFewer    Action = "one-fewer"
	RenameKit   Action = "rename-kit"
	GoParts     Action = "go-parts"
	GoSheet     Action = "go-sheet"
	GoFactor    Action = "go-factor"
	GoLadder    Action = "go-ladder"
	GoFindings  Action = "go-findings"

	LookFront       Action = "look-front"
	LookSide        Action = "look-side"
	LookTop         Action = "look-top"
	Assembled       Action = "assembled"
	InRow           Action = "in-row"
	FitAll          Action = "fit-all"
	ZoomIn          Action = "zoom-in"
	ZoomOut         Action = "zoom-out"
	ShowBed         Action = "show-bed"
	ShowPose        Action = "show-pose"
	ShowThickness   Action = "show-thickness"
	UseInches       Action = "use-inches"
	MeasureTool     Action = "measure"
	ClueOfMeasure   Action = "clue-of-measure"
	LengthOfMeasure Action = "length-of-measure"
	ClueOfPart      Action = "clue-of-part"
	ByEyeTool       Action = "by-eye"
	StandInTool     Action = "stand-ins"
	FindingAside    Action = "finding-aside"
	FindingCure     Action = "finding-cure"
	FindingsOfPart  Action = "findings-of-part"
	ChooseProcess   Action = "process"
	StepGauge       Action = "step-gauge"
	PrintFigure     Action = "print-figure"
	AddStandIn      Action = "add-stand-in"
	PutBack         Action = "put-back"
	LookAsSystem    Action = "look-as-system"
	LookLight       Action = "look-light"
	LookDark        Action = "look-dark"

	PlanCopies Action = "plan-copies"
	ShowBeds   Action = "beds"
	SaveBeds   Action = "save-beds"
	SaveCopies Action = "save-copies"
	ShowSaved  Action = "show-saved"
	OpenFolder Action = "open-folder"
	FindLost   Action = "find-lost"

	ShowHelp     Action = "show-help"
	ShowKeys     Action = "show-keys"
	ShowCautions Action = "show-cautions"
	ShowAbout    Action = "show-about"

	RecentKits   Action = "recent-kits"
	DuplicateKit Action = "duplicate-kit"
	AboutKit     Action = "about-kit"
	ShowSources  Action = "sources"
	RecoverKit   Action = "recover-kit"
	ShowMade     Action = "made"
	SaveRecord   Action = "save-record"

	CancelJob Action = "cancel-job"
	Dismiss   Action = "dismiss"
)

// Actions lists every action.
func Actions() []Action {
	return []Action{
		NewKit, OpenKit, OpenDemo, SaveKit, SaveKitAs, AddFiles, AddFolder, Quit,
		Undo, Redo, TickAll, TickNone, TickInvert, TickPart, SetQuantity, PartDetails, RemovePart, OneMore, OneFewer,
		RenameKit, GoParts, GoSheet, GoFactor, GoLadder, GoFindings,
		LookFront, LookSide, LookTop, Assembled, InRow, FitAll, ZoomIn, ZoomOut, ShowBed, ShowPose, ShowThickness, UseInches, MeasureTool,
		ClueOfMeasure, LengthOfMeasure, ClueOfPart, ByEyeTool, StandInTool, AddStandIn, PutBack,
		FindingAside, FindingCure, FindingsOfPart, ChooseProcess, StepGauge, PrintFigure,
		LookAsSystem, LookLight, LookDark,
		PlanCopies, ShowBeds, SaveBeds, SaveCopies, ShowSaved, OpenFolder, FindLost, ShowHelp, ShowKeys, ShowCautions, ShowAbout, CancelJob, Dismiss,
		RecentKits, DuplicateKit, AboutKit, ShowSources, RecoverKit, ShowMade, SaveRecord, Compare,
	}
}

// Name is the action as a menu or a button has it.
func (a Action) Name() string { name, _ := a.words(); return name }

// Tip says in one line what it does, for a tooltip.
func (a Action) Tip() string { _, tip := a.words(); return tip }

func (a Action) words() (name, tip string) {
	switch a {
	case NewKit:
		return "New kit", "Begin an empty kit"
	case OpenKit:
		return "Open kit…", "Open a kit that was saved before"
	case OpenDemo:
		return "Open the demo kit", "Open a small harbour tug to try things out on"
	case SaveKit:
		return "Save kit", "Save the parts, the factor and how it was found; the models stay as they are"
	case SaveKitAs:
		return "Save kit as…", "Save the kit under another name"
	case SaveRecord:
		return "Save record…", "Save a page to print and keep: the factor and how it was found, drawings, parts, findings, copies"
	case AddFiles:
		return "Add parts…", "Add STL, OBJ, glTF or 3MF files to the kit"
	case AddFolder:
		return "Add a folder…", "Add all models in a folder and in those below it"
	case Quit:
		return "Quit", "Close the program"
	case Undo:
		return "Undo", "Take the last step back"
	case Redo:
		return "Redo", "Take the undone step again"
	case TickAll:
		return "Tick all", "Let every part count and be saved"
	case TickNone:
		return "Tick none", "Let no part count"
	case TickInvert:
		return "Invert ticks", "Tick what is not ticked, and the other way round"
	case TickPart:
		return "Tick part", "Let the selected part count and be saved, or not"
	case SetQuantity:
		return "Quantity…", "Say how many of the selected part the kit needs"
	case RemovePart:
		return "Remove part", "Take the selected part out of the kit; its file stays as it is"
	case OneMore:
		return "One more", "The kit needs one more of the selected part"
	case OneFewer:
		return "One fewer", "The kit needs one fewer of the selected part"
	case GoParts:
		return "Go to the parts", "Move the keyboard to the list of parts"
	case GoSheet:
		return "Go to the sheet", "Move the keyboard to the drawing: arrows move it, + and - zoom, page keys select"
	case GoFactor:
		return "Go to the factor", "Move the keyboard to the field of the way in force"
	case GoFindings:
		return "Go to the findings", "Move the keyboard to the findings"
	case GoLadder:
		return "Go to the ladder", "Move the keyboard to the standard ratios"
	case FindLost:
		return "Find the factor of an old copy…", "Compare an old rescaled copy with its original, the selected part, and find the factor that made it"
	case PartDetails:
		return "Part details…", "All that is known of the selected part; correct its unit, turn it"
	case RenameKit:
		return "Title…", "Give the kit a title, for the title block and the names of copies"
	case LookFront:
		return "Front", "Look from the front"
	case LookSide:
		return "Side", "Look from the side"
	case LookTop:
		return "Top", "Look from above"
	case Assembled:
		return "Assembled", "Show the parts where they belong"
	case InRow:
		return "In a row", "Lay the parts side by side instead of assembled"
	case FitAll:
		return "Fit all", "Show the whole kit"
	case ZoomIn:
		return "Zoom in", "Show the drawing larger"
	case ZoomOut:
		return "Zoom out", "Show the drawing smaller"
	case ShowBed:
		return "Bed outline", "Show the printer's bed on the sheet"
	case ShowPose:
		return "Pose on the bed", "Show how the selected part, or the one that limits the kit, lies on the bed where it fits best"
	case ShowThickness:
		return "Thickness", "Shade the parts by how thick they are in the print (T on the sheet)"
	case UseInches:
		return "Inches and feet", "Show lengths in inches and feet instead of millimetres and metres"
	case MeasureTool:
		return "Measure", "Measure between two points; corners, outermost points and middles of openings hold the pointer (M on the sheet)"
	case ClueOfMeasure:
		return "Measure as a clue", "What is measured on the sheet is of known real size: make it a clue to the native ratio"
	case LengthOfMeasure:
		return "Measure as the length", "What is measured on the sheet must come out at a given length"
	case ClueOfPart:
		return "Height as a clue", "The height of the selected part is of known real size: make it a clue to the native ratio"
	case ByEyeTool:
		return "By eye", "Scale the kit beside the stand-in: drag a corner, Ctrl and wheel, or Alt and arrows; drag parts beside it for viewing (E on the sheet)"
	case StandInTool:
		return "Stand-ins", "Choose who stands beside the kit, how tall and in which pose; drag them on the sheet (F on the sheet)"
	case AddStandIn:
		return "Another stand-in", "Put a second person on the sheet, of another stature say"
	case FindingAside:
		return "Set aside…", "Leave the marked finding out of the count, for a reason that the kit keeps; or take it back"
	case FindingCure:
		return "Go where it is gone", "Make the nearest ratio at which the marked finding is gone the target"
	case FindingsOfPart:
		return "This part only", "Show only what is found of the selected part"
	case PrintFigure:
		return "Figure to print…", "Make a person of any stature at the target ratio, standing, seated or reaching, to print beside the kit"
	case StepGauge:
		return "Step gauge…", "Print strips of known sizes, see what your machine makes of them, and let that fill in the numbers of the process"
	case ChooseProcess:
		return "Printed by…", "Choose how the kit is printed, and change its limits: what is judged follows from them"
	case PutBack:
		return "Put back", "Put parts and stand-ins that were moved for viewing back where they belong"
	case LookAsSystem:
		return "Light or dark as the system", "Follow the system's choice of light or dark"
	case LookLight:
		return "Light", "Ink on paper"
	case LookDark:
		return "Dark", "White on blue"
	case PlanCopies:
		return "Save copies…", "Choose where rescaled copies go and what they are called"
	case ShowBeds:
		return "Beds", "Show how the ticked parts, as often as each is printed, lie on as few beds as were found, from above (B on the sheet)"
	case SaveBeds:
		return "Save beds…", "Save a file of each bed with everything that lies on it, or the whole kit as one 3MF"
	case SaveCopies:
		return "Save copies", "Save them now; each is read back and compared"
	case ShowSaved:
		return "What was saved", "Show what came of the last save"
	case OpenFolder:
		return "Open folder", "Show the folder where the copies were saved last"
	case ShowKeys:
		return "Keys", "All keys of the window"
	case ShowHelp:
		return "How it works", "The steps from files to copies"
	case ShowCautions:
		return "Cautions", "Before you print"
	case ShowAbout:
		return "About " + Program, "Version and licence"
	case CancelJob:
		return "Cancel", "Stop this job; what is done stays"
	case Dismiss:
		return "Dismiss", "Take this message away"
	}
	if name, tip := pairAction(a); name != "" {
		return name, tip
	}
	if name, tip := keptAction(a); name != "" {
		return name, tip
	}
	return string(a), ""
}

// Step says what a step of undo did, to follow "Undo".
func Step(s state.Step) string {
	switch s {
	case "":
		return ""
	case state.StepOpen:
		return "adding parts"
	case state.StepRemove:
		return "removing parts"
	case state.StepTick:
		return "ticking"
	case state.StepQuantity:
		return "the quantity"
	case state.StepRename:
		return "the title"
	case state.StepType:
		return "typing"
	case state.StepWay:
		return "the choice of way"
	case state.StepRung:
		return "the choice of ratio"
	case state.StepField:
		return "the choice of field"
	case state.StepDrag:
		return "dragging the factor"
	case state.StepAlong:
		return "the choice of axis"
	case state.StepPart:
		return "the choice of part"
	case state.StepFigure:
		return "the choice about the figure"
	case state.StepNative:
		return "the source of the native ratio"
	case state.StepClue:
		return "adding a clue"
	case state.StepAside:
		return "setting a clue aside"
	case state.StepNoClue:
		return "removing a clue"
	case state.StepClueName:
		return "the name of a clue"
	case state.StepUnit:
		return "the unit"
	case state.StepKeepUnit:
		return "setting a suggestion aside"
	case state.StepTurn:
		return "turning"
	case state.StepLost:
		return "taking the factor of an old copy"
	case state.StepBed:
		return "the choice of bed"
	case state.StepProcess:
		return "the choice of process"
	case state.StepFindingAside:
		return "setting a finding aside"
	case state.StepBores:
		return "what a hole is for"
	case state.StepTurning:
		return "how parts may be turned"
	case state.StepNotes:
		return "writing notes"
	case state.StepFound:
		return "where files were found"
	case state.StepAccept:
		return "taking changed files as they are"
	case state.StepFormat:
		return "choosing a format"
	case state.StepSaving:
		return "choosing how copies are saved"
	case state.StepKeepFactor:
		return "keeping the saved factor"
	}
	return string(s)
}

// InputName is a field's label.
func InputName(in state.Input) string {
	switch in {
	case state.InNative:
		return "Native ratio"
	case state.InTarget:
		return "Target ratio"
	case state.InReal:
		return "Real length"
	case state.InLength:
		return "Print length"
	case state.InFactor:
		return "Factor"
	case state.InBedX:
		return "Width"
	case state.InBedY:
		return "Depth"
	case state.InBedZ:
		return "Height"
	case state.InBedMargin:
		return "Margin"
	case state.InBedBrim:
		return "Brim"
	case state.InPrinter:
		return "Name"
	}
	return evidenceInput(in).name
}

// InputTip says what a field is for and what it takes.
func InputTip(in state.Input) string {
	s := ""
	switch in {
	case state.InNative:
		s = "The ratio at which the files were drawn"
	case state.InTarget:
		s = "The ratio that the print is to have"
	case state.InReal:
		s = "How long the real subject is along the chosen axis"
	case state.InLength:
		s = "How long it must come out along the chosen axis"
	case state.InFactor:
		s = "What every length is multiplied by"
	case state.InBedX:
		s = "How wide the printer's bed is"
	case state.InBedY:
		s = "How deep the printer's bed is"
	case state.InBedZ:
		s = "How high the printer can print"
	case state.InBedMargin:
		s = "What is kept free along each side of the bed"
	case state.InBedBrim:
		s = "What a brim or skirt takes on the plate around each part; empty for none"
	case state.InPrinter:
		return "A name for your own printer: its bed is then in the list"
	default:
		s = evidenceInput(in).tip
	}
	return s + ": " + Example(in)
}

// InputHint is what an empty field shows: a bare example.
func InputHint(in state.Input, inches bool) string {
	switch in {
	case state.InNative:
		return "1:11.28"
	case state.InTarget:
		return "1:48"
	case state.InReal:
		if inches {
			return "31 ft 7 in"
		}
		return "9.63 m"
	case state.InFactor:
		return "0.235"
	case state.InPrinter:
		return "workshop"
	case state.InBedMargin, state.InBedBrim:
		if inches {
			return "0.2 in"
		}
		return "5 mm"
	}
	if w := evidenceInput(in); w.metric != "" && !inches {
		return w.metric
	} else if w.inches != "" {
		return w.inches
	}
	if inches {
		return "9 7/8 in"
	}
	return "250 mm"
}

// FieldName names a trade whose ratios belong together.
func FieldName(f ratio.Field) string {
	switch f {
	case ratio.RailwayNEM:
		return "Railways, Europe (NEM)"
	case ratio.RailwayNMRA:
		return "Railways, North America (NMRA)"
	case ratio.RailwayBritish:
		return "Railways, Britain"
	case ratio.RailwayOther:
		return "Railways, others"
	case ratio.RailwayGarden:
		return "Railways, narrow gauge and garden"
	case ratio.Ships:
		return "Ships"
	case ratio.Aircraft:
		return "Aircraft"
	case ratio.Armour:
		return "Military vehicles"
	case ratio.Cars:
		return "Cars"
	case ratio.Plant:
		return "Construction plant and lorries"
	case ratio.Wargame:
		return "Wargame figures"
	case ratio.DollsHouse:
		return "Dolls' houses"
	case ratio.Figures:
		return "Busts and large figures"
	case ratio.Space:
		return "Spacecraft"
	case ratio.Park:
		return "Miniature parks"
	case ratio.Architecture:
		return "Architecture"
	case ratio.Drawing:
		return "Drawing (ISO 5455)"
	case ratio.DrawingImperial:
		return "Drawing in feet and inches"
	}
	return string(f)
}

// FormatName names a format for copies; the empty kind is that of each source.
func FormatName(k formats.Kind) string {
	switch k {
	case "":
		return "as each source"
	case formats.STL:
		return "STL, binary"
	case formats.STLASCII:
		return "STL, text"
	case formats.OBJ:
		return "OBJ"
	case formats.GLB:
		return "glTF, binary (GLB)"
	case formats.GLTF:
		return "glTF, text"
	case formats.ThreeMF:
		return "3MF"
	}
	return string(k)
}

// Encoded names the format and encoding of a source: "STL, binary".
func Encoded(format, encoding string) string {
	switch format + " " + encoding {
	case "stl binary":
		return FormatName(formats.STL)
	case "stl ascii":
		return FormatName(formats.STLASCII)
	case "gltf glb":
		return FormatName(formats.GLB)
	case "3mf zip":
		return FormatName(formats.ThreeMF)
	case "gltf gltf":
		return FormatName(formats.GLTF)
	case "obj utf-8":
		return FormatName(formats.OBJ)
	case "obj utf-16le", "obj utf-16be":
		return FormatName(formats.OBJ) + ", UTF-16"
	}
	return join(format, ", ", encoding)
}

// WindowTitle is the title of the window: the kit, a mark for unsaved changes, the program.
func WindowTitle(v state.View) string {
	s := Title(v.Title)
	if v.Unsaved {
		s = "• " + s
	}
	return s + " – " + Program
}

// UnsavedQuestion asks before changes are lost.
func UnsavedQuestion(title string) (question, detail string) {
	return "Save the changes to “" + Title(title) + "”?",
		"Parts, ticks, quantities and the way to the factor would be lost. Your model files are safe either way."
}

// SavingQuestion asks before a save is broken off.
func SavingQuestion() (question, detail string) {
	return "Copies are still being saved. Stop?",
		"Copies that are complete stay; the one being written is removed."
}

// Help is the way from files to copies, a paragraph each.
func Help() []string {
	return []string{
		"Add all parts of one subject: drop files or folders on the window, or use the button under the list. They stay in proportion, because one factor holds for all of them and along all axes.",
		"Tell what you know in the factor panel. One way is in force; the others show what they would give, and what it may be off by: ± holds with 95 %. " + waysHelp(),
		"Click a rung of the ladder to take a standard ratio. A rung says whether every ticked part fits the bed at it.",
		"Look at the sheet: the parts stand beside a person at the same ratio, with rulers in print and in real lengths.",
		"Save copies. Your own files are never changed. Each copy is written beside its place, put there only when it is complete, and then read back and compared with its source.",
		"Save the kit, and come back to it in years. It remembers the parts, your notes, how the factor was found, and every copy. Parts that you add later take the factor at once; files that were moved are looked for, and what has changed is pointed out. What is not saved outlives a crash.",
	}
}

// waysHelp says of each way when to take it.
func waysHelp() string {
	s := ""
	for _, k := range ways.Kinds() {
		_, hint := Way(k)
		s = join(s, " ", WayOf(k)+": "+hint)
	}
	return s
}

// Cautions are what every maker should know before printing.
func Cautions() []string {
	return []string{
		"Resin and the solvents that clean it irritate and can sensitise skin, eyes and lungs: wear gloves and glasses, air the room, and follow the material's data sheet.",
		"Sanding and cutting make dust that does not belong in lungs: sand wet, wear a mask, and clean up.",
		"Small parts can be swallowed or breathed in: keep them away from small children. Magnets that are swallowed are an emergency: keep them away from all children.",
		"A rescaled part carries no load: strength does not grow and shrink as size does. Print nothing that people or things rely on.",
		"Local rules and qualified people come first where safety is at stake.",
	}
}

// AllFiles is the choice of a file dialog that hides nothing.
const AllFiles = "All files"

// Numbered tells files of one name apart: "kit 2".
func Numbered(name string, n int) string { return name + " " + strconv.Itoa(n) }
