package state_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// The demo bed of 220 × 220 × 250 mm with a margin of 5 mm.
const room = 210.0

// A hull of 412 × 96 × 88 may lie as drawn, along the diagonal of the plate, on its side, or
// tilted; the more it may, the larger the kit.
func TestTurningTheKitOnTheBed(t *testing.T) {
	s := open(t)
	s.openAll()
	s.ChooseWay(ways.ByBed)
	require.Equal(t, judge.AsItLies, s.View().Way.Turn)
	require.InEpsilon(t, room/412, s.View().Result.Factor.Float(), 1e-12)
	require.Zero(t, s.View().Bedding.Unknown)

	s.SetTurning(judge.Yaw)
	require.Empty(t, s.View().Jobs, "it takes no time")
	require.InEpsilon(t, room*math.Sqrt2/(412+96), s.View().Result.Factor.Float(), 1e-9)
	require.False(t, s.View().Result.Pending)
	hull := s.part("hull")
	require.NotNil(t, hull.Fit)
	require.True(t, hull.Fits)
	require.Zero(t, hull.Excess)

	before := s.View().Result.Factor.Float()
	s.SetTurning(judge.Faces)
	require.True(t, s.View().Result.Pending)
	require.Equal(t, 2, s.View().Bedding.Unknown)
	require.InEpsilon(t, room/412, s.View().Result.Factor.Float(), 1e-12, "as it lies stands in")
	require.Len(t, s.View().Jobs, 1)
	require.Equal(t, state.Fitting, s.View().Jobs[0].ID)
	s.settle()
	require.False(t, s.View().Result.Pending)
	require.InEpsilon(t, 250/412., s.View().Result.Factor.Float(), 1e-9, "on its stern")
	require.Greater(t, s.View().Result.Factor.Float(), before)

	before = s.View().Result.Factor.Float()
	s.SetTurning(judge.Free)
	s.settle()
	require.Greater(t, s.View().Result.Factor.Float(), before*1.05)
	require.Equal(t, "hull", s.View().Result.Part)

	// What was found is remembered.
	s.SetTurning(judge.Faces)
	require.Empty(t, s.View().Jobs)
	require.Equal(t, before, s.View().Result.Factor.Float())
	s.Undo()
	require.Empty(t, s.View().Jobs)
	require.Equal(t, judge.Free, s.View().Way.Turn)
	require.Equal(t, state.StepTurning, s.View().Redo)
}

// Marks, ladder and reach follow the turning in force.
func TestFitsFollowTheTurning(t *testing.T) {
	s := open(t)
	s.openAll()
	s.SetField(ratio.Wargame)
	s.Type(state.InNative, "1:50")
	s.ChooseWay(ways.ByFactor)
	s.Type(state.InFactor, "0.55")
	require.False(t, s.part("hull").Fits)
	require.InDelta(t, 412*0.55-room, s.part("hull").Excess[0], 1e-9)
	reach := s.View().Bedding
	require.Equal(t, []string{"hull", "mast"}, reach.Parts)
	require.Equal(t, "1:100", s.View().Ladder[reach.Largest].Standard.Ratio.String())
	require.Equal(t, "1:87", s.View().Ladder[reach.Next].Standard.Ratio.String())
	require.Equal(t, 0, reach.Part)
	require.Len(t, reach.Needs, 1)
	require.InDelta(t, 412*50/87.-room, reach.Needs[0].TooLong[0], 1e-9)
	tooBig := s.View().Ladder[reach.Next].TooLong
	require.Equal(t, 1, tooBig)

	s.SetTurning(judge.Yaw)
	require.True(t, s.part("hull").Fits)
	require.Equal(t, "1:87", s.View().Ladder[s.View().Bedding.Largest].Standard.Ratio.String())
	require.Zero(t, s.View().Ladder[reach.Next].TooLong)
}

// Cancelling leaves what is known; choosing the turning again goes on.
func TestFittingIsCancelled(t *testing.T) {
	s := open(t)
	s.openAll()
	s.ChooseWay(ways.ByBed)
	s.SetTurning(judge.Free)
	s.Cancel(state.Fitting)
	require.Empty(t, s.View().Jobs)
	require.True(t, s.View().Bedding.Stopped)
	require.True(t, s.View().Result.Pending)
	s.PlanCopies()
	require.ErrorIs(t, s.View().Copies.Err, state.ErrStillFits, "nothing is saved at a factor that may change")
	s.CloseCopies()
	s.SetTurning(judge.Free)
	require.False(t, s.View().Bedding.Stopped)
	s.settle()
	require.False(t, s.View().Result.Pending)
}

// A bed typed while the old one is worked out takes its place.
func TestAnotherBedWhileFitting(t *testing.T) {
	s := open(t)
	s.openAll()
	s.ChooseWay(ways.ByBed)
	s.SetTurning(judge.Faces)
	s.Type(state.InBedX, "110")
	s.Type(state.InBedY, "110")
	s.Type(state.InBedZ, "100")
	s.settle()
	require.False(t, s.View().Result.Pending)
	require.InEpsilon(t, 100*math.Sqrt2/(412+88), s.View().Result.Factor.Float(), 1e-6)
	s.SetRound(true)
	require.True(t, s.View().Result.Pending)
	s.settle()
	require.InEpsilon(t, 100/412., s.View().Result.Factor.Float(), 1e-9, "on its stern")
}

// Where the margins leave no room the field says so, and nothing else changes.
func TestBedWithoutRoom(t *testing.T) {
	s := open(t)
	s.openAll()
	s.ChooseWay(ways.ByBed)
	before := s.View().Result.Factor
	for _, c := range []struct {
		in    state.Input
		typed string
		want  error
	}{
		{state.InBedMargin, "110", judge.ErrBedTaken}, {state.InBedBrim, "120 mm", judge.ErrBedTaken},
		{state.InBedX, "0", ratio.ErrNotPositive}, {state.InBedBrim, "-1", ratio.ErrNegative}, {state.InBedZ, "tall", ratio.ErrNotANumber},
	} {
		s.Type(c.in, c.typed)
		require.ErrorIs(t, s.View().Faults[c.in], c.want, "%s %s", c.in, c.typed)
		require.True(t, s.View().Result.Factor.Equal(before))
		s.Undo()
		require.Empty(t, s.View().Faults)
	}
	s.Type(state.InBedBrim, "5")
	require.InEpsilon(t, (room-10)/412, s.View().Result.Factor.Float(), 1e-12)
}

func TestOwnPrinters(t *testing.T) {
	s := open(t)
	own := func() (names []string) {
		for _, p := range s.View().Printers {
			names = append(names, p.Name)
		}
		return names
	}
	until := func(what string, done func() bool) { t.Helper(); s.queue.Until(what, done) }
	s.Type(state.InBedX, "300")
	s.SetRound(true)
	s.Type(state.InPrinter, "")
	s.SavePrinter()
	until("a name is asked for", func() bool { return s.View().Faults[state.InPrinter] != nil })
	require.ErrorIs(t, s.View().Faults[state.InPrinter], kit.ErrPrinterName)
	s.Type(state.InPrinter, "workshop")
	require.Empty(t, s.View().Faults, "typing takes the complaint away")
	s.SavePrinter()
	until("it is kept", func() bool { return len(own()) == 1 })
	require.Equal(t, []string{"workshop"}, own())
	require.Empty(t, s.View().Typed[state.InPrinter])
	s.Type(state.InPrinter, "Workshop")
	s.SavePrinter()
	until("the name is taken", func() bool { return s.View().Faults[state.InPrinter] != nil })
	require.ErrorIs(t, s.View().Faults[state.InPrinter], kit.ErrPrinterTaken)

	s.Type(state.InPrinter, "")

	bed := s.View().Printers[0].Bed
	s.UseBed(judge.Bed{Size: geom.Vec{120, 70, 150}, Margin: 2})
	require.Equal(t, state.StepBed, s.View().Undo)
	s.UseBed(judge.Bed{Size: geom.Vec{1, 1, 1}, Margin: 2}) // no bed at all
	require.Equal(t, geom.Vec{120, 70, 150}, s.View().Bed.Size)
	s.UseBed(bed)
	require.Equal(t, bed, s.View().Bed)
	s.ForgetPrinter("workshop")
	until("it is forgotten", func() bool { return len(own()) == 0 })
	require.Equal(t, bed, s.View().Bed, "the bed stays")

	// The next kit begins with this bed and this turning, another bench too.
	s.SetTurning(judge.Faces)
	s.NewKit()
	require.Equal(t, bed, s.View().Bed)
	require.Equal(t, judge.Faces, s.View().Way.Turn)
	again := state.New(state.Config{Post: s.queue.Post, Disk: s.disk, Preferences: s.prefs, Surveys: &surveys})
	require.Equal(t, bed, again.View().Bed)
	require.Equal(t, judge.Faces, again.View().Way.Turn)
}

// Copies in their pose: the plan says how each is put down, and the copies are asked for it.
func TestCopiesInTheirPose(t *testing.T) {
	s := open(t)
	s.disk.Boxes(at("pair.stl"), geom.Box{Max: geom.Vec{20, 10, 10}}, geom.Box{Min: geom.Vec{30, 0, 0}, Max: geom.Vec{40, 10, 10}})
	s.Open([]string{at("hull.stl"), at("pair.stl")})
	s.settle()
	s.ChooseWay(ways.ByBed)
	s.SetTurning(judge.Yaw)
	s.PlanCopies()
	require.False(t, s.View().Copies.Posed)
	require.Nil(t, s.View().Copies.Names[0].Pose)
	s.SetCopyFolder(at("out"))
	s.SetPosed(true)
	names := s.View().Copies.Names
	require.NotNil(t, names[0].Pose)
	require.Nil(t, names[1].Pose, "parts of one file keep their places in each other")
	require.Equal(t, []bool{false, true}, []bool{names[0].Stays, names[1].Stays})
	f := s.View().Result.Factor.Float()
	s.SaveCopies()
	s.settle()
	var hull deliver.Copy
	for _, c := range s.disk.Saved() {
		if len(c.Source.Parts()) == 1 {
			hull = c
		} else {
			require.False(t, c.Pose.Known())
		}
	}
	require.True(t, hull.Pose.Sound())
	box := hull.Pose.Box(geom.Box{Max: geom.Vec{412, 96, 88}.Scale(f)})
	require.InDelta(t, 0, box.Min[2], 1e-9)
	require.InDelta(t, 88*f, box.Max[2], 1e-9)
	for a := range 2 {
		require.InDelta(t, -room/2, box.Min[a], 1e-6, "in the middle of the plate")
		require.InDelta(t, room/2, box.Max[a], 1e-6)
	}
}

// A corrected unit and a quarter turn go with the fit and with the pose.
func TestPoseOfACorrectedPart(t *testing.T) {
	s := open(t)
	s.Open([]string{at("hull.stl")})
	s.settle()
	id := s.part("hull").ID
	s.SetUnit([]string{id}, kit.Length(ratio.Inch))
	s.Turn([]string{id}, geom.Y) // nose up
	s.settle()
	s.ChooseWay(ways.ByBed)
	s.SetTurning(judge.Yaw)
	require.InEpsilon(t, 250/(412*25.4), s.View().Result.Factor.Float(), 1e-9)
	s.PlanCopies()
	s.SetCopyFolder(at("out"))
	s.SetPosed(true)
	s.SaveCopies()
	s.settle()
	for _, c := range s.disk.Saved() {
		box := c.Pose.Box(geom.Box{Max: geom.Vec{412, 96, 88}.Scale(c.Factor)})
		require.InDelta(t, 0, box.Min[2], 1e-6)
		require.InDelta(t, 250, box.Max[2], 1e-6)
	}
}
