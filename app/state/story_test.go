package state_test

import (
	"context"
	"errors"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
)

// A bench with all that it stands on.
type scene struct {
	*state.Bench
	t     *testing.T
	queue *statetest.Queue
	disk  *statetest.Disk
	prefs *statetest.Preferences
	shown int // how often the watcher was told
}

// at is a path on the scene's disk.
func at(name string) string { return filepath.Join(root(), filepath.FromSlash(name)) }

func root() string {
	path, err := filepath.Abs(string(filepath.Separator) + "models")
	if err != nil {
		panic(err)
	}
	return path
}

// open is a bench in front of a disk with a hull, a mast and a broken file.
func open(t *testing.T, kept ...string) *scene {
	s := &scene{t: t, queue: statetest.NewQueue(t), disk: statetest.NewDisk(), prefs: statetest.NewPreferences(kept...)}
	s.disk.Box(at("hull.stl"), geom.Vec{412, 96, 88})
	s.disk.Box(at("mast.stl"), geom.Vec{6, 6, 180})
	s.disk.Bad(at("bad.stl"), &formats.Error{File: at("bad.stl"), Code: "truncated", Byte: 84})
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys})
	s.Watch(func(state.View) { s.shown++ })
	return s
}

// settle waits until nothing runs any more.
func (s *scene) settle() {
	s.t.Helper()
	s.queue.Until("all jobs ended", func() bool { return len(s.View().Jobs) == 0 })
}

// surveys are shared by all benches of the tests.
var surveys statetest.Surveys

// openAll opens everything on the disk.
func (s *scene) openAll() {
	s.t.Helper()
	s.Open([]string{at("hull.stl"), at("mast.stl"), at("bad.stl")})
	s.settle()
}

func (s *scene) part(name string) state.Part {
	s.t.Helper()
	for _, p := range s.View().Parts {
		if p.Name == name {
			return p
		}
	}
	s.t.Fatalf("no part %q", name)
	return state.Part{}
}

func (s *scene) names() []string {
	var names []string
	for _, p := range s.View().Parts {
		names = append(names, p.Name)
	}
	return names
}

func (s *scene) offer(k ways.Kind) state.Offer {
	for _, o := range s.View().Offers {
		if o.Kind == k {
			return o
		}
	}
	s.t.Fatalf("no offer %q", k)
	return state.Offer{}
}

func TestOpenTwoFilesAndABadOne(t *testing.T) {
	s := open(t)
	require.Equal(t, 1, s.shown, "told at once")
	s.Open([]string{at("hull.stl"), at("bad.stl"), at("mast.stl")})
	require.Len(t, s.View().Jobs, 1)
	s.settle()
	require.Equal(t, []string{"hull", "bad", "mast"}, s.names())
	hull, bad := s.part("hull"), s.part("bad")
	require.Equal(t, state.Measured, hull.State)
	require.True(t, hull.Ticked)
	require.Equal(t, geom.Vec{412, 96, 88}, hull.Drawn)
	require.Equal(t, 12, hull.Measured.Triangles)
	require.NotNil(t, hull.Topology)
	require.True(t, hull.Topology.Closed)
	for side, picture := range hull.Silhouettes {
		require.NotNil(t, picture, "side %d", side)
	}
	front := hull.Silhouettes[state.Front].Bounds()
	require.InDelta(t, 412.0/88, float64(front.Dx())/float64(front.Dy()), 0.05)
	require.Equal(t, state.Failed, bad.State)
	require.False(t, bad.Ticked, "a bad file does not count")
	var fault *formats.Error
	require.ErrorAs(t, bad.Err, &fault)
	require.True(t, s.View().Unsaved)
	require.Equal(t, state.StepOpen, s.View().Undo)
	require.Equal(t, geom.Vec{412, 96, 180}, s.View().KitBox.Size())

	s.Undo() // one batch is one step
	require.Empty(t, s.View().Parts)
	require.False(t, s.View().Unsaved)
	s.Redo()
	s.settle()
	require.Equal(t, []string{"hull", "bad", "mast"}, s.names())
	require.NotNil(t, s.part("hull").Topology, "what was known is known again")
	require.Equal(t, 1, s.disk.Opened(at("hull.stl")), "and read once")
}

func TestOpenAddsNothingTwiceAndTriesBadFilesAgain(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Open([]string{root()})
	s.settle()
	require.Equal(t, []string{"hull", "mast", "bad"}, s.names())
	require.Equal(t, 1, s.disk.Opened(at("hull.stl")))
	require.Equal(t, 2, s.disk.Opened(at("bad.stl")))

	box := geom.Box{Max: geom.Vec{1, 2, 3}}
	s.disk.Boxes(at("bad.stl"), box, box)
	s.Open([]string{at("bad.stl")})
	s.settle()
	require.Equal(t, []string{"hull", "mast", "bad", "bad 2"}, s.names())
	require.Equal(t, state.Measured, s.part("bad").State)
	require.True(t, s.part("bad").Ticked)
}

func TestPartsAppearAsTheyAreRead(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl"), at("mast.stl")})
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	s.Open([]string{at("bad.stl")}) // adds, and cancels nothing
	s.disk.Gate <- struct{}{}
	s.queue.Until("the hull is read", func() bool { return s.View().Parts[0].State == state.Measured })
	require.NotEqual(t, state.Measured, s.View().Parts[1].State)
	close(s.disk.Gate)
	s.settle()
	require.Equal(t, []string{"hull", "mast", "bad"}, s.names())
}

func TestDroppingTwiceWhileReading(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	for range 3 {
		s.Open([]string{at("hull.stl"), at("mast.stl")})
	}
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	close(s.disk.Gate)
	s.settle()
	require.Equal(t, []string{"hull", "mast"}, s.names())
	require.Equal(t, 1, s.disk.Opened(at("mast.stl")))
	s.Undo()
	require.Empty(t, s.View().Parts)
}

func TestSavingAKitTwiceEndsWithTheLast(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.Rename("Second")
	s.SaveKit("") // there is no path yet: the first save has not ended
	require.ErrorIs(t, s.View().Notice, state.ErrNoKitPath)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	require.False(t, s.View().Unsaved)
	k, err := s.disk.Kit(at("tug.scantling"))
	require.NoError(t, err)
	require.Equal(t, "Second", k.Title)
}

func TestWebLinksAndEmptyFoldersAreRefused(t *testing.T) {
	s := open(t)
	for _, link := range []string{"https://models.test/hull.stl", at("https:/models.test/hull.stl")} {
		s.Open([]string{link})
		require.ErrorIs(t, s.View().Notice, state.ErrWebLink)
	}
	s.DismissNotice()
	require.NoError(t, s.View().Notice)
	s.Open([]string{at("nothing")})
	s.settle()
	require.ErrorIs(t, s.View().Notice, state.ErrNoModels)
	s.Open([]string{at("a.scantling"), at("b.scantling")})
	require.ErrorIs(t, s.View().Notice, state.ErrTwoKits)
	require.Empty(t, s.View().Parts)
}

func TestAPanicOfAReaderIsARow(t *testing.T) {
	s := open(t)
	s.disk.Panics(at("odd.stl"))
	s.Open([]string{at("odd.stl"), at("hull.stl")})
	s.settle()
	var broken *state.PanicError
	require.ErrorAs(t, s.part("odd").Err, &broken)
	require.NotEmpty(t, broken.Stack)
	require.Equal(t, state.Measured, s.part("hull").State)
}

func TestTypeHalfARatio(t *testing.T) {
	s := open(t)
	s.openAll()
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedNative)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	require.InDelta(t, 0.25, s.View().Result.Factor.Float(), 1e-15)
	require.Equal(t, geom.Vec{103, 24, 22}, s.part("hull").Print)

	s.Type(state.InTarget, "1:")
	require.Equal(t, "1:", s.View().Typed[state.InTarget])
	require.Error(t, s.View().Faults[state.InTarget])
	require.InDelta(t, 0.25, s.View().Result.Factor.Float(), 1e-15, "the last valid value stays")
	s.Undo()
	require.Equal(t, "1:48", s.View().Typed[state.InTarget], "what cannot be read goes first")
	require.Empty(t, s.View().Faults)

	s.Type(state.InTarget, "1/24")
	require.InDelta(t, 0.5, s.View().Result.Factor.Float(), 1e-15)
	s.Undo()
	require.Equal(t, "", s.View().Typed[state.InTarget], "typing in one field is one step")
	s.Redo()
	require.Equal(t, "1/24", s.View().Typed[state.InTarget], "as it was typed")
	s.Type(state.InTarget, "")
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedTarget)
	require.Empty(t, s.View().Faults, "an empty field is no fault")
}

func TestUndoRestoresTextAndValueAlike(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, " 1 : 12")
	s.Tick(s.part("mast").ID, false)
	s.Type(state.InNative, "1/10")
	s.Undo()
	require.Equal(t, " 1 : 12", s.View().Typed[state.InNative])
	require.Equal(t, "1:12", s.View().Way.Native.Exact())
	s.Undo()
	require.True(t, s.part("mast").Ticked)
	s.Undo()
	require.Equal(t, "", s.View().Typed[state.InNative])
	require.False(t, s.View().Way.Native.Known())
}

func TestChooseRung(t *testing.T) {
	s := open(t)
	s.openAll()
	s.SetField(ratio.Ships)
	s.Type(state.InNative, "1:12")
	rung := -1
	for i, r := range s.View().Ladder {
		if r.Standard.Ratio.Exact() == "1:96" {
			rung = i
		}
	}
	require.GreaterOrEqual(t, rung, 0, "1:96 is a ratio of ships")
	require.False(t, s.View().Ladder[rung].InForce)
	s.ChooseWay(ways.ByBed)
	s.ChooseRung(rung)
	require.Equal(t, ways.ByRatio, s.View().Way.Kind, "the bed has no target of its own")
	require.Equal(t, "1:96", s.View().Typed[state.InTarget])
	require.InDelta(t, 0.125, s.View().Result.Factor.Float(), 1e-15)
	require.True(t, s.View().Ladder[rung].InForce)
	require.True(t, s.View().Ladder[rung].Fits)
	require.Equal(t, geom.Vec{51.5, 12, 22.5}, s.View().Ladder[rung].Size)
	s.Undo()
	require.Equal(t, ways.ByBed, s.View().Way.Kind)
	require.Equal(t, "", s.View().Typed[state.InTarget])
	s.ChooseRung(-1)
	s.ChooseRung(1 << 20)
}

func TestEveryWayOffersWhatItWouldGive(t *testing.T) {
	s := open(t)
	s.openAll()
	require.Len(t, s.View().Offers, len(ways.Kinds()))
	require.ErrorIs(t, s.offer(ways.ByFactor).Err, ways.ErrNeedFactor)
	s.Type(state.InBedX, "210 mm")
	s.Type(state.InBedY, "210 mm")
	s.Type(state.InBedZ, "210 mm")
	s.Type(state.InBedMargin, "2")
	require.InDelta(t, 206.0/412, s.offer(ways.ByBed).Result.Factor.Float(), 1e-9)
	require.Equal(t, "hull", s.offer(ways.ByBed).Result.Part)
	s.Type(state.InLength, "9 in")
	s.SetAlong(geom.Z)
	s.SetLengthPart(s.part("mast").ID)
	require.InDelta(t, 228.6/180, s.offer(ways.ByLength).Result.Factor.Float(), 1e-9)
	s.Type(state.InReal, "4.12 m")
	s.SetAlong(geom.X)
	s.Type(state.InTarget, "1:20")
	require.InDelta(t, 0.5, s.offer(ways.ByReal).Result.Factor.Float(), 1e-12)
	require.Equal(t, "1:10", s.offer(ways.ByReal).Result.Native.Exact())
	s.ChooseWay(ways.ByBed)
	require.True(t, s.part("hull").Fits)
	s.DragFactor(0.6)
	require.Equal(t, ways.ByFactor, s.View().Way.Kind)
	require.False(t, s.part("hull").Fits)
	require.InDelta(t, 412*0.6-206, s.part("hull").Excess[geom.X], 1e-9)
	require.Equal(t, "0.6", s.View().Typed[state.InFactor])

	fresh := open(t, "bed", s.prefs.String("bed"))
	require.Equal(t, geom.Vec{210, 210, 210}, fresh.View().Bed.Size, "the bed is remembered")
	require.InDelta(t, 2, fresh.View().Bed.Margin, 0)
}

func TestADragIsOneStep(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:12")
	for f := 0.2; f < 0.3; f += 0.01 {
		s.DragFactor(f)
	}
	s.EndDrag()
	s.DragFactor(0.4)
	s.EndDrag()
	require.InDelta(t, 0.4, s.View().Result.Factor.Float(), 1e-15)
	s.Undo()
	require.InDelta(t, 0.29, s.View().Result.Factor.Float(), 1e-15)
	s.Undo()
	require.Equal(t, ways.ByRatio, s.View().Way.Kind)
	require.Equal(t, "1:12", s.View().Typed[state.InNative])
	before := s.View().Undo
	s.DragFactor(-1)
	s.DragFactor(0)
	require.Equal(t, before, s.View().Undo, "no factor at all is no drag")
}

func TestTicksQuantitiesAndRemoval(t *testing.T) {
	s := open(t)
	s.openAll()
	s.TickNone()
	require.ErrorIs(t, s.offer(ways.ByBed).Err, ways.ErrNoParts)
	require.True(t, s.View().KitBox.Empty())
	s.TickInvert()
	require.True(t, s.part("hull").Ticked)
	s.SetQuantity(s.part("mast").ID, 4)
	require.Equal(t, 4, s.part("mast").Quantity)
	s.SetQuantity(s.part("mast").ID, 0)
	require.ErrorIs(t, s.View().Notice, state.ErrQuantity)
	s.Select(s.part("mast").ID)
	s.Remove([]string{s.part("mast").ID, s.part("bad").ID})
	require.Equal(t, []string{"hull"}, s.names())
	require.Empty(t, s.View().Selected)
	s.Undo()
	require.Equal(t, []string{"hull", "mast", "bad"}, s.names())
	require.Equal(t, 4, s.part("mast").Quantity)
}

func TestViewsAreNeverChangedOnceShown(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	before := s.View()
	s.Type(state.InTarget, "1:24")
	s.Tick(s.part("mast").ID, false)
	require.Equal(t, "1:48", before.Typed[state.InTarget])
	require.Equal(t, geom.Vec{103, 24, 22}, before.Parts[0].Print)
	require.True(t, before.Parts[1].Ticked)
}

func TestCancelOpening(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl"), at("mast.stl")})
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	require.Equal(t, state.Opening, s.View().Jobs[0].ID)
	s.Cancel(state.Opening)
	s.settle()
	require.Empty(t, s.View().Parts)
	require.Empty(t, s.View().Undo)
	close(s.disk.Gate)
	s.Open([]string{at("mast.stl")})
	s.settle()
	s.queue.Drain()
	require.Equal(t, []string{"mast"}, s.names(), "what was cancelled says nothing more")
}

func TestRemoveWhatIsStillWaiting(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl"), at("mast.stl")})
	s.queue.Until("both wait", func() bool { return len(s.View().Parts) == 2 })
	s.Remove([]string{s.View().Parts[1].ID})
	close(s.disk.Gate)
	s.settle()
	require.Equal(t, []string{"hull"}, s.names())
}

// scaled is the scene with a factor of a quarter.
func scaled(t *testing.T) *scene {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	return s
}

func TestSaveCopies(t *testing.T) {
	s := scaled(t)
	s.PlanCopies()
	plan := s.View().Copies
	require.NoError(t, plan.Err)
	require.Equal(t, root()+"-copies", plan.Folder, "beside the sources")
	require.Len(t, plan.Names, 2)
	require.Equal(t, "hull-1-48.stl", plan.Names[0].Name)
	s.SetCopyPattern("{part")
	require.Error(t, s.View().Copies.Err)
	s.SaveCopies()
	require.Error(t, s.View().Notice)
	s.SetCopyPattern("{part}-{percent}")
	s.SetCopyFolder(at("out"))
	require.NoError(t, s.View().Copies.Err)
	s.SaveCopies()
	s.settle()
	require.Nil(t, s.View().Copies, "the plan closes")
	require.Len(t, s.View().Saved, 2)
	for _, o := range s.View().Saved {
		require.NoError(t, o.Err)
		require.True(t, o.Verified)
	}
	saved := s.disk.Saved()
	require.InDelta(t, 0.25, saved[at("out/hull-25.stl")].Factor, 0)
	require.InDelta(t, 1, saved[at("out/hull-25.stl")].PerUnit, 0)

	s.PlanCopies() // again: the same names
	require.Equal(t, at("out"), s.View().Copies.Folder, "the folder is remembered")
	s.SetCopyPattern("{part}-25")
	s.queue.Until("the folder is looked up", func() bool { return s.View().Copies.Names[0].Exists })
	require.True(t, s.View().Copies.Names[0].Unchanged, "the kit knows what it saved there")
	s.Type(state.InTarget, "1:24")
	s.queue.Until("the folder is looked up again", func() bool { return s.View().Copies.Names[0].Exists })
	require.False(t, s.View().Copies.Names[0].Unchanged)
	s.disk.SaveErr["mast-25.stl"] = &deliver.Error{Code: deliver.DiskFull, Path: at("out")}
	s.SaveCopies()
	s.settle()
	var refused *deliver.Error
	require.ErrorAs(t, s.View().Saved[0].Err, &refused)
	require.Equal(t, deliver.Exists, refused.Code)
	s.PlanCopies()
	require.False(t, s.View().Copies.Overwrite)
	s.SetCopyPattern("{part}-25")
	s.SetOverwrite(true)
	s.SaveCopies()
	s.settle()
	require.NoError(t, s.View().Saved[0].Err)
	require.Error(t, s.View().Saved[1].Err, "one failure stops no other copy")
}

func TestPlanSaysWhyNothingCanBeSaved(t *testing.T) {
	s := open(t)
	s.PlanCopies()
	require.ErrorIs(t, s.View().Copies.Err, state.ErrNoneTicked)
	s.openAll()
	require.ErrorIs(t, s.View().Copies.Err, state.ErrNoFactor)
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	s.SetCopyFolder("")
	require.ErrorIs(t, s.View().Copies.Err, state.ErrNoFolder)
	s.SetCopyFolder(at("out"))
	require.NoError(t, s.View().Copies.Err)
	s.CloseCopies()
	require.Nil(t, s.View().Copies)
	s.SetCopyFolder(at("elsewhere"))
	require.Nil(t, s.View().Copies)
}

func TestACopyIsOfTheWholeFile(t *testing.T) {
	s := scaled(t)
	box := geom.Box{Max: geom.Vec{1, 2, 3}}
	s.disk.Boxes(at("pair.stl"), box, box)
	s.Open([]string{at("pair.stl")})
	s.settle()
	s.Tick(s.part("pair 2").ID, false)
	s.Tick(s.part("bad").ID, true)
	s.PlanCopies()
	names := s.View().Copies.Names
	require.Len(t, names, 4)
	require.ErrorIs(t, names[2].Err, state.ErrFailedPart)
	require.Equal(t, "pair-1-48.stl", names[3].Name)
	require.Equal(t, 1, names[3].Along)
	s.SaveCopies()
	s.settle()
	require.Len(t, s.View().Saved, 4)
	require.ErrorIs(t, s.View().Saved[3].Err, state.ErrFailedPart)
	s.Tick(s.part("pair").ID, false)
	s.PlanCopies()
	require.Len(t, s.View().Copies.Names, 3)
}

func TestCancelSavingTellsWhatCameOfIt(t *testing.T) {
	s := scaled(t)
	s.disk.Gate = make(chan struct{})
	s.PlanCopies()
	s.SaveCopies()
	s.disk.Gate <- struct{}{}
	s.queue.Until("the first is saved", func() bool { return len(s.disk.Saved()) == 1 })
	s.SaveCopies()
	require.ErrorIs(t, s.View().Notice, state.ErrStillSaving)
	s.Cancel(state.Saving)
	s.settle()
	require.Len(t, s.View().Saved, 2)
	require.NoError(t, s.View().Saved[0].Err)
	require.ErrorIs(t, s.View().Saved[1].Err, context.Canceled)
}

func TestQuitWhileSaving(t *testing.T) {
	s := scaled(t)
	s.disk.Gate = make(chan struct{})
	s.PlanCopies()
	s.SaveCopies()
	left := 0
	s.Quit(func() { left++ })
	require.Zero(t, left, "the save cleans up first")
	s.queue.Until("the save has cleaned up", func() bool { return left == 1 })
	require.Empty(t, s.disk.Saved())
	s.queue.Drain()
	require.Equal(t, 1, left)
}

func TestQuitAtOnce(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl")})
	left := 0
	s.Quit(func() { left++ })
	require.Equal(t, 1, left, "nothing is being saved")
}

func TestSaveAndReopenAKit(t *testing.T) {
	s := scaled(t)
	s.Rename("Harbour tug")
	s.Tick(s.part("mast").ID, false)
	s.SaveKit("")
	require.ErrorIs(t, s.View().Notice, state.ErrNoKitPath)
	s.SaveKit(at("tug"))
	s.settle()
	require.NoError(t, s.View().Notice)
	require.Equal(t, at("tug.scantling"), s.View().Path)
	require.False(t, s.View().Unsaved)
	s.Undo()
	require.True(t, s.View().Unsaved)
	s.Redo()
	require.False(t, s.View().Unsaved)

	s.NewKit()
	require.Empty(t, s.View().Parts)
	require.Empty(t, s.View().Path)
	require.Empty(t, s.View().Title)
	s.Open([]string{at("tug.scantling")})
	s.settle()
	v := s.View()
	require.NoError(t, v.Notice)
	require.Equal(t, "Harbour tug", v.Title)
	require.Equal(t, []string{"hull", "mast", "bad"}, s.names())
	require.False(t, s.part("mast").Ticked)
	require.Equal(t, "1:48", v.Typed[state.InTarget])
	require.InDelta(t, 0.25, v.Result.Factor.Float(), 0)
	require.False(t, v.Unsaved)
	require.Empty(t, v.Undo)
	require.NotNil(t, s.part("hull").Topology)

	s.OpenKit(at("none.scantling"))
	s.settle()
	require.Error(t, s.View().Notice)
	require.Equal(t, "Harbour tug", s.View().Title, "the open kit stays")
}

func TestAChangedFileIsTold(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.settle()
	s.disk.Boxes(at("hull.stl"), geom.Box{Max: geom.Vec{400, 96, 88}})
	s.OpenKit(at("tug.scantling"))
	s.settle()
	require.True(t, s.part("hull").Differs)
	require.False(t, s.part("mast").Differs)
	require.ErrorIs(t, s.View().Notice, state.ErrDifferent)
}

func TestWhatIsChangedDuringASaveIsUnsaved(t *testing.T) {
	s := scaled(t)
	s.SaveKit(at("tug.scantling"))
	s.Rename("Other")
	s.settle()
	require.True(t, s.View().Unsaved)
}

func TestOpenDemo(t *testing.T) {
	s := open(t)
	s.OpenDemo()
	require.ErrorIs(t, s.View().Notice, state.ErrNoDemo)
	s.openAll()
	s.Type(state.InTarget, "1:48")
	s.SaveKit(at("demo.scantling"))
	s.settle()
	start := kit.Kit{Title: "Tug"}
	start.Way.Target = s.View().Way.Target
	for _, path := range []string{at("demo.scantling"), root()} {
		b := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys, DemoKit: start,
			Demo: func(context.Context) (string, error) { return path, nil }})
		b.OpenDemo()
		s.queue.Until("the demo is open", func() bool { return len(b.View().Jobs) == 0 })
		v := b.View()
		require.Len(t, v.Parts, 3)
		require.Empty(t, v.Path, "a demo has no place of its own")
		require.False(t, v.Unsaved)
		require.Empty(t, v.Undo)
		require.Equal(t, "1:48", v.Typed[state.InTarget])
		require.True(t, v.Bed.Known())
		b.PlanCopies()
		require.NotContains(t, b.View().Copies.Folder, root())
	}
	failing := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys,
		Demo: func(context.Context) (string, error) { return "", errors.New("no room") }})
	failing.OpenDemo()
	s.queue.Until("it failed", func() bool { return len(failing.View().Jobs) == 0 })
	require.ErrorContains(t, failing.View().Notice, "no room")
}

func TestTheSheet(t *testing.T) {
	s := open(t)
	s.Fitted(2, 10, 20)
	require.True(t, s.View().Sheet.Fit)
	s.ZoomAt(30, 20, 2)
	sheet := s.View().Sheet
	require.False(t, sheet.Fit)
	require.InDelta(t, 4, sheet.Zoom, 0)
	require.InDelta(t, 20, sheet.PanX, 1e-12) // 30 stays where it was
	require.InDelta(t, 20, sheet.PanY, 1e-12)
	s.Pan(5, -5)
	require.InDelta(t, 25, s.View().Sheet.PanX, 1e-12)
	s.FitAll()
	require.True(t, s.View().Sheet.Fit)
	s.SetSide(state.Top)
	require.Equal(t, state.Top, s.View().Sheet.Side)
	s.SetInRow(true)
	require.True(t, s.View().Sheet.InRow)
	s.ToggleBed()
	require.False(t, s.View().Sheet.Bed)
	s.ZoomAt(0, 0, -1)
	s.ZoomAt(0, 0, 1e300)
	require.Greater(t, s.View().Sheet.Zoom, 0.0)
}

func TestInchesNameTheirUnit(t *testing.T) {
	s := open(t)
	s.Type(state.InLength, "254")
	s.Type(state.InReal, "9.63")
	require.InDelta(t, 254, s.View().Way.Length.MM(), 0)
	require.InDelta(t, 9630, s.View().Way.Real.MM(), 0)
	s.ToggleInches()
	require.Equal(t, "254 mm", s.View().Typed[state.InLength])
	require.InDelta(t, 254, s.View().Way.Length.MM(), 0, "the value stays")
	s.Type(state.InLength, "10")
	require.InDelta(t, 254, s.View().Way.Length.MM(), 0)
	require.True(t, open(t, "inches", s.prefs.String("inches")).View().Sheet.Inches)
}

func TestPreferencesAreKept(t *testing.T) {
	s := open(t)
	require.Equal(t, state.AsSystem, s.View().Look)
	s.SetLook(state.Dark)
	s.SetFolder(state.ForCopies, at("out"))
	again := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys})
	require.Equal(t, state.Dark, again.View().Look)
	require.Equal(t, at("out"), again.Folder(state.ForCopies))
	require.Empty(t, again.Folder(state.ForModels))
}

func TestMixedAxesShareOneFrame(t *testing.T) {
	s := open(t)
	s.disk.Boxes(at("tall.stl"), geom.Box{Max: geom.Vec{1, 30, 2}}).Up(geom.Y)
	s.Open([]string{at("hull.stl"), at("tall.stl")})
	s.settle()
	require.Equal(t, geom.Z, s.View().PartsUp)
	require.Equal(t, geom.Vec{1, 2, 30}, s.part("tall").Drawn)
	front := s.part("tall").Silhouettes[state.Front].Bounds()
	require.Greater(t, front.Dy(), 10*front.Dx(), "it stands")
}

// The pictures of a part and the axes of the kit agree, whatever axis points up.
func TestLooksFollowTheFrame(t *testing.T) {
	v := geom.Vec{2, 3, 5}
	for _, up := range []geom.Axis{geom.X, geom.Y, geom.Z} {
		p := mesh.Part{Unit: mesh.Unit{MM: 1}, Up: up}
		other := mesh.Part{Unit: mesh.Unit{MM: 1}, Up: (up + 1) % 3}
		stood := kit.FrameOf([]mesh.Part{p, other}).Point(p, v) // in axes with z up
		for side, want := range map[state.Side][2]float64{
			state.Front: {stood[0], stood[2]}, state.FromSide: {stood[1], stood[2]}, state.Top: {stood[0], stood[1]},
		} {
			right, above := side.Look(up)
			require.Equal(t, want, [2]float64{right.Dot(v), above.Dot(v)}, "side %d, up %v", side, up)
		}
	}
}

// A kit that was written without digests keeps what it says of ticks and names.
func TestAKitWithoutDigestsKeepsItsTicks(t *testing.T) {
	s := open(t)
	k := kit.Kit{}.With(kit.Part{File: at("hull.stl"), Name: "the hull"}, kit.Part{File: at("mast.stl"), Name: "mast", Ticked: true})
	require.NoError(t, s.disk.PutKit(at("hand.scantling"), k))
	s.OpenKit(at("hand.scantling"))
	s.settle()
	require.False(t, s.part("the hull").Ticked)
	require.True(t, s.part("mast").Ticked)
	require.False(t, s.View().Unsaved)
	require.Empty(t, s.View().Undo)
}

func TestAPartThatItsFileHasNoLonger(t *testing.T) {
	s := open(t)
	k := kit.Kit{}.With(kit.Part{File: at("hull.stl"), Index: 3, Name: "rudder", Ticked: true})
	require.NoError(t, s.disk.PutKit(at("hand.scantling"), k))
	s.OpenKit(at("hand.scantling"))
	s.settle()
	require.ErrorIs(t, s.part("rudder").Err, state.ErrNoSuchPart)
	require.Equal(t, state.Failed, s.part("rudder").State)
}

func TestCancelledLookingWaitsForOtherFiles(t *testing.T) {
	s := open(t)
	s.disk.Gate = make(chan struct{})
	s.Open([]string{at("hull.stl")})
	s.queue.Until("it waits", func() bool { return len(s.View().Parts) == 1 })
	s.disk.Gate <- struct{}{}
	s.queue.Until("it is looked at", func() bool { return len(s.View().Jobs) == 1 && s.View().Jobs[0].ID == state.Looking })
	s.Cancel(state.Looking)
	s.queue.Drain()
	require.Empty(t, s.View().Jobs)
	require.Nil(t, s.part("hull").Topology)
	close(s.disk.Gate)
	s.Open([]string{at("mast.stl")})
	s.settle()
	require.NotNil(t, s.part("hull").Topology)
}
