package state

import (
	"context"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/survey"
	"scantling/engine/ways"
)

// Config is what a bench stands on.
type Config struct {
	Post        Post
	Disk        Disk
	Preferences Preferences
	// Demo puts the demo kit on the disk and says what to open: a kit file or a folder.
	// It is called from a worker; nil means that there is none.
	Demo func(ctx context.Context) (path string, err error)
	// DemoKit is the kit without parts that a demo folder's files are put into: its title
	// and its way.
	DemoKit kit.Kit
	// Session keeps what is not saved, and knows of other windows; nil: nothing is kept.
	Session Session
	// Surveys keeps what was found out about parts from one run to the next; nil: nowhere.
	Surveys survey.Store
}

// Preferences keep small settings from one run to the next. fyne.Preferences is one.
type Preferences interface {
	String(key string) string
	SetString(key, value string)
}

// Keys of the preferences; folders have keys of their own.
const (
	keyBed    = "bed"
	keyLook   = "look"
	keyInches = "inches"
	keyField  = "field"

	keyProcess = "process"
)

// A Bench is the open kit and all that can be done with it. Every method must be called on
// the window's goroutine and returns at once.
type Bench struct {
	config   Config
	watchers []func(View)
	held     int  // depth of together
	changed  bool // something changed while held
	figures  bool // what must be computed again has changed

	history *kit.History
	edits   int // counts changes of the kit
	path    string
	over    kit.Stamp  // of the kit's file as it was read or saved last
	others  []kit.Left // sessions of other windows
	gone    bool       // the session has ended
	// fileNext is where the kit is to be saved once the running save has ended; or "".
	fileNext string
	files    map[string]*modelFile // by full path: all files that this kit has or had
	fresh    []string              // files to be read that have no part in the kit yet
	view     View

	typed  map[Input]string
	faults map[Input]error
	stands map[Input]string            // the value that the typed text stands for, exactly
	spelt  map[Input]map[string]string // how a value was last typed, for undo

	opening, looking, fitting, surveying, saving, filing, listing, comparing, printing, processing, recenting, gauging, recording, figuring, modelling, checking slot

	keeping  keeping
	sourcing sourcing

	walks   []string // paths to be walked
	reads   []string // files to be read
	batch   int      // counts runs of opening, so that each is one step of undo
	openedN int      // files read since opening began
	openAll int      // files found since opening began

	fits      map[fitKey]*judge.Fit
	narrow    map[fitKey]narrowing
	boxes     map[boxKey]*survey.Hull // of parts without a hull
	fittingOf onBed                   // what the fitting job is at
	advising  bool                    // and that only for advice
	unfitted  onBed                   // what was cancelled, and is not tried again by itself
	wanted    bool                    // the maker's own printers were asked for
	asked     bool                    // and their own processes

	subject  ways.Subject     // the ticked parts, as ways see them
	rungs    []ratio.Standard // of the field rungsOf
	rungsOf  ratio.Field
	origin   origin      // of the drawn length of the clue that is being made
	judged   suggestions // of units
	copied   likelyCopies
	straying straying
	savedWay ways.Way // the way as the kit was opened or saved
	shifted  bool     // the maker has taken another factor than the saved one
	judging  judging
	pairing  pairing
	laying   laying
	nesting  nesting
	plan     *plan
	lying    map[lain]Lying // copies that were looked for
	quit     func()
	fitted   Sheet
	stopped  bool // looking was cancelled, and waits for files to be opened again
	demo     bool // the demo kit is open
	begins   bool // what is being opened is where the kit begins, and nothing to undo
}

// New is a bench with an empty kit.
func New(c Config) *Bench {
	b := &Bench{config: c, fits: map[fitKey]*judge.Fit{}, narrow: map[fitKey]narrowing{}, boxes: map[boxKey]*survey.Hull{}}
	b.opening.id, b.looking.id, b.fitting.id, b.saving.id, b.filing.id = Opening, Looking, Fitting, Saving, Filing
	b.surveying.id, b.recording.id, b.figuring.id, b.checking.id = Surveying, Recording, Figuring, Checking
	b.judging.known, b.judging.shades = map[surveyKey]*surveyed{}, map[shadeKey]*survey.Shading{}
	b.listing.id, b.printing.id, b.comparing.id = "listing", "printing", Comparing
	b.processing.id, b.recenting.id, b.gauging.id, b.modelling.id = "processing", "recenting", "gauging", "modelling"
	b.keeping.id, b.keeping.looking.id, b.sourcing.id = "keeping", "other-windows", Searching
	b.pairing.id, b.nesting.id = "pairing", Nesting
	b.view.Recent = b.recents()
	b.view.Fields = ratio.Fields()
	b.view.Look = Look(c.Preferences.String(keyLook))
	b.view.Sheet = Sheet{Fit: true, Bed: true, Inches: c.Preferences.String(keyInches) == "yes"}
	b.fitted.Zoom = 1
	b.replace(b.emptyKit(), "")
	b.flush()
	return b
}

// emptyKit is a kit without parts, with the bed and the field of the last one.
func (b *Bench) emptyKit() kit.Kit {
	k := kit.Kit{Way: ways.Way{Kind: ways.ByRatio}}
	k.Way.Bed, k.Way.Turn = bedFrom(b.config.Preferences.String(keyBed))
	k.Field = b.knownField(ratio.Field(b.config.Preferences.String(keyField)))
	return k
}

// knownField is f if there is such a field, else the first one.
func (b *Bench) knownField(f ratio.Field) ratio.Field {
	if slices.Contains(b.view.Fields, f) || len(b.view.Fields) == 0 {
		return f
	}
	return b.view.Fields[0]
}

// Watch calls f now and after each change.
func (b *Bench) Watch(f func(View)) {
	b.watchers = append(b.watchers, f)
	f(b.view)
}

// View is what is shown now.
func (b *Bench) View() View { return b.view }

// together makes one change of all that f changes.
func (b *Bench) together(f func()) {
	b.held++
	defer func() {
		b.held--
		if b.held == 0 && b.changed {
			b.flush()
		}
	}()
	f()
}

// change shows what has changed, apart from parts and figures.
func (b *Bench) change() {
	b.changed = true
	if b.held == 0 {
		b.flush()
	}
}

// recompute shows what has changed, parts and figures and all.
func (b *Bench) recompute() {
	b.figures = true
	b.change()
}

func (b *Bench) flush() {
	b.held++ // what is changed from here on is shown all the same
	if b.figures {
		b.figures = false
		b.compute()
	}
	b.lookUpNames()
	b.lookAtDraft()
	b.held--
	b.changed = false
	v := &b.view
	v.Title = b.history.Kit().Title
	v.Path = b.path
	v.Unsaved = b.history.Unsaved()
	v.Notes = b.history.Kit().Notes
	v.Undo, v.Redo = Step(b.history.UndoName()), Step(b.history.RedoName())
	v.Undoes, v.Redoes = Stepped{}, Stepped{}
	if name, key, before, after, ok := b.history.Undoes(); ok {
		v.Undoes = b.stepped(Step(name), key, before, after)
	}
	if name, key, before, after, ok := b.history.Redoes(); ok {
		v.Redoes = b.stepped(Step(name), key, before, after)
	}
	if len(b.faults) > 0 {
		v.Undo, v.Undoes = StepType, Stepped{} // undo first drops what cannot be read
	}
	v.Typed, v.Faults = maps.Clone(b.typed), maps.Clone(b.faults)
	v.Jobs = nil
	for _, s := range []*slot{&b.opening, &b.sourcing.slot, &b.comparing, &b.looking, &b.fitting, &b.nesting.slot, &b.surveying, &b.saving, &b.filing, &b.recording, &b.figuring, &b.checking} {
		if s.busy {
			v.Jobs = append(v.Jobs, s.job)
		}
	}
	v.Copies = b.plan.shown()
	v.Made, v.Earlier = b.made(), b.earlier()
	v.Lying = b.lyings(v.Made)
	for _, f := range slices.Clone(b.watchers) {
		f(b.view)
	}
	b.keep()
}

// notice shows what went wrong outside any part or field.
func (b *Bench) notice(err error) {
	b.view.Notice = err
	b.change()
}

// DismissNotice takes View.Notice away.
func (b *Bench) DismissNotice() { b.notice(nil) }

// do makes one step of undo.
func (b *Bench) do(s Step, k kit.Kit) {
	b.history.Do(string(s), k)
	b.afterStep()
}

// merge makes a step that goes into the one before as long as nothing else happens.
func (b *Bench) merge(s Step, key string, k kit.Kit) {
	b.history.Type(string(s), key, k)
	b.afterStep()
}

func (b *Bench) afterStep() {
	b.edits++
	b.spellAgain()
	b.wantFiles()
	if _, ok := b.history.Kit().Part(b.view.Selected); !ok {
		b.view.Selected = ""
	}
	b.recompute()
}

// Undo takes the last step back; what is typed and cannot be read goes first.
func (b *Bench) Undo() {
	if len(b.faults) > 0 {
		b.dropFaults()
		return
	}
	if _, _, ok := b.history.Undo(); ok {
		b.afterStep()
	}
}

// Redo takes the last undone step again.
func (b *Bench) Redo() {
	if _, _, ok := b.history.Redo(); ok {
		b.dropFaults()
		b.afterStep()
	}
}

// Cancel stops a running job by the ID it has in View.Jobs. What was read stays; a save
// still tells what came of it.
func (b *Bench) Cancel(job string) {
	switch job {
	case Opening:
		b.stopOpening()
		b.nextLook()
	case Looking:
		b.looking.stop()
		b.stopped = true
		b.figures = true
	case Fitting:
		b.stopFitting()
	case Nesting:
		b.stopNesting()
	case Surveying:
		b.stopSurveying()
	case Comparing:
		b.DismissLost()
	case Searching:
		b.sourcing.cancel()
	case Recording:
		b.recording.stop()
	case Checking:
		b.checking.stop()
	case Figuring:
		b.stopFigure()
	case Saving:
		if b.saving.busy {
			b.saving.cancel()
		}
	}
	b.change()
}

// Folder is where files were last chosen for a purpose, or "".
func (b *Bench) Folder(p Purpose) string {
	return b.config.Preferences.String("folder." + string(p))
}

// SetFolder remembers where files were chosen for a purpose.
func (b *Bench) SetFolder(p Purpose, folder string) {
	b.config.Preferences.SetString("folder."+string(p), folder)
}

// SetLook chooses light, dark, or what the system says.
func (b *Bench) SetLook(l Look) {
	b.view.Look = l
	b.config.Preferences.SetString(keyLook, string(l))
	b.change()
}

// titleOf is the title of a kit that was given none: the name of its file.
func titleOf(path string) string {
	base := filepath.Base(path)
	return strings.TrimSuffix(base, filepath.Ext(base))
}
