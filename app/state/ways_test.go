package state_test

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

func (s *scene) clue(drawn, real string) {
	s.t.Helper()
	s.Type(state.InDrawn, drawn)
	s.Type(state.InIsReal, real)
	s.AddClue()
	require.Empty(s.t, s.View().Faults)
}

func oneTo(a ratio.Ratio) float64 { return 1 / a.Float() }

func TestFigureTyped(t *testing.T) {
	s := open(t)
	s.openAll()
	s.ChooseWay(ways.ByFigure)
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedReading)
	s.Type(state.InReadings, "52.3")
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedPerson)
	s.Type(state.InPerson, "5 ft 9 in")
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedNative)
	o := s.offer(ways.ByFigure)
	n := 1752.6 / 52.3
	require.InDelta(t, n, oneTo(o.SoFar.Target), 1e-9, "its ratio is known before the kit's is")
	require.InDelta(t, n, oneTo(s.View().Evidence.Figure.Ratio), 1e-9)
	s.Type(state.InNative, "1:11.28")
	require.InDelta(t, 11.28/n, s.View().Result.Factor.Float(), 1e-12)
	require.InDelta(t, math.Hypot(0.02/math.Sqrt(3), 0.0029)/52.3, s.View().Result.SD, 1e-12)
	require.InDelta(t, 412*11.28/n, s.part("hull").Print[0], 1e-9)

	// To the eyes, of a base, in several readings, of anyone.
	s.SetToEyes(true)
	s.Type(state.InBase, "3")
	require.InDelta(t, 1752.6*0.936/49.3, oneTo(s.View().Evidence.Figure.Ratio), 1e-9)
	s.Type(state.InReadings, "52.2; 52.4; 52.3 mm")
	require.InDelta(t, 1752.6*0.936/49.3, oneTo(s.View().Evidence.Figure.Ratio), 1e-9)
	require.Greater(t, s.View().Evidence.Figure.SD, 0.001)
	s.SetPopulation(figure.Men)
	require.Equal(t, "men", s.View().Typed[state.InPerson], "what is chosen is written in the field")
	require.Greater(t, s.View().Evidence.Figure.SD, 0.03)
	require.NotEmpty(t, s.View().Evidence.FigureIs.List)
	s.Undo()
	require.Equal(t, "5 ft 9 in", s.View().Typed[state.InPerson], "as it was typed")
	require.Equal(t, state.StepType, s.View().Undo)

	// A bent figure is measured piece by piece.
	s.SetPosture(figure.Bent)
	s.SetSegment(figure.LowerLeg, false)
	require.Equal(t, []figure.Segment{figure.Thigh, figure.Trunk, figure.HeadNeck}, s.View().Way.Figure.Segments)
	s.SetSegment(figure.Head, true)
	require.Equal(t, []figure.Segment{figure.Thigh, figure.Trunk, figure.Head}, s.View().Way.Figure.Segments, "the head is not counted twice")
	for _, piece := range figure.Segments() {
		s.SetSegment(piece, false)
	}
	require.Len(t, s.View().Way.Figure.Segments, 1, "something was measured")
	for s.View().Undo != "" {
		s.Undo()
	}
	require.Equal(t, "", s.View().Typed[state.InReadings])
}

// What cannot be is said at its field, and nothing else changes.
func TestFigureRefuses(t *testing.T) {
	s := open(t)
	s.openAll()
	s.ChooseWay(ways.ByFigure)
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InReadings, "52.3")
	s.Type(state.InPerson, "6 ft")
	before := s.View()
	for _, c := range []struct {
		in    state.Input
		typed string
		err   error
	}{
		{state.InReadings, "0", ratio.ErrNotPositive},
		{state.InReadings, "-5", ratio.ErrNegative},
		{state.InReadings, "abc", ratio.ErrNotANumber},
		{state.InReadings, "52.3; 5.23", ways.ErrReadingsDiffer},
		{state.InBase, "52.3", ways.ErrBaseTakesAll},
		{state.InBase, "60", ways.ErrBaseTakesAll},
		{state.InLimit, "0", ratio.ErrNotPositive},
		{state.InLimit, "100", ways.ErrTooUncertain},
		{state.InPerson, "0 m", ratio.ErrNotPositive},
		{state.InPerson, "3 km", ways.ErrNoPerson},
		{state.InPerson, "6 ft ± 4 ft", ways.ErrTooUncertain},
		{state.InPerson, "child", ways.ErrChildAge},
		{state.InHeadgear, "-1", ratio.ErrNegative},
	} {
		s.Type(c.in, c.typed)
		require.ErrorIs(t, s.View().Faults[c.in], c.err, "%s %q", c.in, c.typed)
		require.Equal(t, before.Result, s.View().Result, "%s %q", c.in, c.typed)
		s.Undo()
		require.Empty(t, s.View().Faults)
		require.Equal(t, before.Typed, s.View().Typed)
	}
}

func TestBedRefusesItsMargins(t *testing.T) {
	s := open(t)
	s.openAll()
	before := s.View().Bed
	s.Type(state.InBedMargin, "110 mm")
	require.ErrorIs(t, s.View().Faults[state.InBedMargin], judge.ErrBedTaken)
	require.Equal(t, before, s.View().Bed)
}

func TestCluesTyped(t *testing.T) {
	s := open(t)
	s.openAll()
	s.ChooseWay(ways.ByClues)
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedClue)
	s.clue("176.9mm=1985mm±10", "") // all in one field
	require.Equal(t, "", s.View().Typed[state.InDrawn], "the next can be typed")
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedTarget)
	require.InDelta(t, 1985/176.9, oneTo(s.offer(ways.ByClues).SoFar.Native), 1e-9)
	s.clue("40.1", "chair seat")
	s.clue("157", "1756 ± 69")
	s.Type(state.InTarget, "1:48")
	e := s.View().Evidence
	require.Equal(t, 3, e.Clues.Count)
	require.False(t, e.Clues.Inconsistent)
	n := oneTo(e.Clues.Ratio)
	require.InDelta(t, n/48, s.View().Result.Factor.Float(), 1e-9)
	require.InDelta(t, 0.005, s.View().Result.SD, 0.0002)
	require.NotEmpty(t, e.CluesAre.List)
	ids := map[string]bool{}
	for _, c := range s.View().Way.Clues {
		ids[c.ID] = true
	}
	require.Len(t, ids, 3)

	// One that is set aside does not count, and one that is wrong is pointed out.
	s.clue("10", "254 ± 2")
	require.Equal(t, 3, s.View().Evidence.Clues.Worst)
	require.True(t, s.View().Evidence.Clues.Inconsistent)
	bad := s.View().Way.Clues[3].ID
	s.SetAside(bad, true)
	require.InDelta(t, n, oneTo(s.View().Evidence.Clues.Ratio), 1e-9)
	require.Equal(t, state.StepAside, s.View().Undo)
	s.SetAside(bad, false)
	require.Equal(t, 4, s.View().Evidence.Clues.Count)
	s.RenameClue(bad, " hatch ")
	require.Equal(t, "hatch", s.View().Way.Clues[3].Name)
	s.RemoveClue(bad)
	require.Len(t, s.View().Way.Clues, 3)
	s.RemoveClue("nobody")
	s.SetAside("nobody", true)
	require.Equal(t, state.StepNoClue, s.View().Undo)

	// The other ways can rest on clues.
	s.SetNativeFrom(ways.FromClues)
	require.InDelta(t, oneTo(s.View().Evidence.Native.Ratio)/48, s.offer(ways.ByRatio).Result.Factor.Float(), 1e-9)
	for s.View().Undo != state.StepOpen {
		s.Undo()
	}
	require.Empty(t, s.View().Way.Clues)
}

func TestCluesRefused(t *testing.T) {
	s := open(t)
	s.openAll()
	s.clue("100", "1000")
	before := s.View()
	for _, c := range []struct {
		drawn, real string
		in          state.Input
		err         error
	}{
		{"", "", state.InDrawn, ways.ErrClueDrawn},
		{"abc", "6 ft", state.InDrawn, ratio.ErrNotANumber},
		{"0", "6 ft", state.InDrawn, ratio.ErrNotPositive},
		{"10", "", state.InIsReal, ways.ErrClueReal},
		{"10", "0 m", state.InIsReal, ratio.ErrNotPositive},
		{"10", "dragon", state.InIsReal, ways.ErrClueUnknown},
		{"10", "1 m ± 2 m", state.InIsReal, ways.ErrClueUnsure},
		{"10=", "", state.InDrawn, ways.ErrClueUnknown},
		{"-3=4", "", state.InDrawn, ratio.ErrNegative},
	} {
		s.Type(state.InDrawn, c.drawn)
		s.Type(state.InIsReal, c.real)
		require.Empty(t, s.View().Faults, "half a clue is no fault while it is being typed")
		s.AddClue()
		require.ErrorIs(t, s.View().Faults[c.in], c.err, "%q = %q", c.drawn, c.real)
		require.Equal(t, before.Way.Clues, s.View().Way.Clues)
		require.Equal(t, c.drawn, s.View().Typed[state.InDrawn], "what was typed stays")
	}
	var several *ways.SeveralObjectsError
	s.Type(state.InDrawn, "10")
	s.Type(state.InIsReal, "door")
	s.AddClue()
	require.ErrorAs(t, s.View().Faults[state.InIsReal], &several)
}

func TestClueFromAPartOrAMeasure(t *testing.T) {
	s := open(t)
	s.openAll()
	mast := s.part("mast").ID
	s.ClueFromPart(mast)
	require.Equal(t, "180 mm", s.View().Typed[state.InDrawn])
	s.ClueObject("ladder-rung")
	require.Equal(t, "ladder rung", s.View().Typed[state.InIsReal])
	d := s.View().Evidence.Draft
	require.Equal(t, "ladder-rung", d.Object.Key)
	require.InDelta(t, 305/180.0, oneTo(d.Estimate.Ratio), 1e-9, "it shows what it would give")
	require.Empty(t, s.View().Way.Clues)
	s.AddClue()
	c := s.View().Way.Clues[0]
	require.Equal(t, mast, c.Part)
	require.Equal(t, ways.AlongZ, c.Along)
	require.InDelta(t, 180, ways.Between(c.From, c.To, c.Along), 1e-12)
	require.Equal(t, "ladder-rung", c.Object)

	// Once its text is typed over it is a length like any other.
	s.ClueFromPart(mast)
	s.Type(state.InDrawn, "181")
	s.Type(state.InIsReal, "2 m")
	s.AddClue()
	require.Empty(t, s.View().Way.Clues[1].Part)

	s.disk.Box(at("plate.stl"), geom.Vec{30, 20, 0})
	s.Open([]string{at("plate.stl")})
	s.settle()
	s.ClueFromPart(s.part("plate").ID)
	require.ErrorIs(t, s.View().Faults[state.InDrawn], ways.ErrClueDrawn, "a part without height")
	s.ClueFromPart("nobody")
	s.Undo()
	require.Empty(t, s.View().Faults)

	s.ClueFromMeasure() // there is none
	require.Empty(t, s.View().Typed[state.InDrawn])
	s.StartMeasure()
	s.MeasureFrom(state.MeasurePoint{At: geom.Vec{0, 0, 0}, Part: mast, SD: 0.3})
	s.MeasureTo(state.MeasurePoint{At: geom.Vec{0, 0, 100.0 / 3}, Part: mast, SD: 0.4}, ways.AlongZ)
	s.ClueFromMeasure()
	require.Equal(t, "33.3333 mm ± 0.5 mm", s.View().Typed[state.InDrawn])
	s.Type(state.InIsReal, "1 m ± 1 mm")
	s.AddClue()
	c = s.View().Way.Clues[2]
	require.InDelta(t, 100.0/3, c.Drawn, 1e-12, "not rounded to what is shown")
	require.InDelta(t, 0.5, c.DrawnSD, 1e-12)
	require.Equal(t, mast, c.Part)
}

func TestLengthOfMore(t *testing.T) {
	s := open(t)
	s.disk.Boxes(at("cabin.stl"), geom.Box{Min: geom.Vec{400, 0, 0}, Max: geom.Vec{500, 50, 120}})
	s.openAll()
	s.Open([]string{at("cabin.stl")})
	s.settle()
	s.ChooseWay(ways.ByLength)
	s.Type(state.InLength, "50")
	s.SetLengthParts([]string{s.part("cabin").ID, s.part("mast").ID})
	require.InDelta(t, 50.0/500, s.View().Result.Factor.Float(), 1e-12)
	require.Equal(t, 2, s.View().Result.Count)
	s.SetLengthPart(s.part("cabin").ID)
	require.InDelta(t, 0.5, s.View().Result.Factor.Float(), 1e-12)
	s.SetLengthPoints(ways.Points{From: geom.Vec{1, 2, 3}, To: geom.Vec{4, 6, 15}})
	require.InDelta(t, 50.0/13, s.View().Result.Factor.Float(), 1e-12)
	require.True(t, s.View().Result.Points)
	s.SetLengthPoints(ways.Points{})
	require.True(t, s.View().Result.Points, "no distance is no measure")
	s.Undo()
	require.Equal(t, "cabin", s.View().Result.Part)
	s.Tick(s.part("cabin").ID, false)
	require.ErrorIs(t, s.View().WayErr, ways.ErrNoPart)
	s.SetLengthPart("")
	require.InDelta(t, 50.0/412, s.View().Result.Factor.Float(), 1e-12)
}

func TestNativeFrom(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InTarget, "1:48")
	s.SetNativeFrom(ways.FromReal)
	require.ErrorIs(t, s.View().WayErr, ways.ErrNeedReal)
	s.Type(state.InReal, "4.12 m")
	require.InDelta(t, 10.0/48, s.View().Result.Factor.Float(), 1e-12)
	s.SetNativeFrom(ways.FromFullSize)
	require.Equal(t, ratio.Metre, s.View().Way.FullSize)
	require.InDelta(t, 1000.0/48, s.View().Result.Factor.Float(), 1e-9)
	s.SetFullSize(ratio.Foot)
	require.InDelta(t, 304.8/48, s.View().Result.Factor.Float(), 1e-9)
	require.Equal(t, state.StepNative, s.View().Undo)
	rung := -1
	for i, r := range s.View().Ladder {
		if r.Factor.Known() {
			rung = i
			break
		}
	}
	require.GreaterOrEqual(t, rung, 0, "the ladder knows the native ratio")
	require.InDelta(t, s.View().Ladder[rung].Standard.Ratio.Float()*304.8, s.View().Ladder[rung].Factor.Float(), 1e-9)
}

// A rung taken while a way without a target is in force leads to one that has a target and finds
// a native ratio.
func TestARungTakesClues(t *testing.T) {
	s := open(t)
	s.openAll()
	s.clue("100", "1128 ± 5")
	s.ChooseWay(ways.ByBed)
	s.ChooseRung(3)
	require.Equal(t, ways.ByClues, s.View().Way.Kind)
	require.InDelta(t, s.View().Ladder[3].Standard.Ratio.Float()*11.28, s.View().Result.Factor.Float(), 1e-9)
	require.True(t, s.View().Ladder[3].InForce)
}

func TestWaysDisagree(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InTarget, "1:48")
	require.Empty(t, s.View().Evidence.Disagree, "one way agrees with itself; the bed is a wish")
	s.clue("100", "1128 ± 10")
	require.Empty(t, s.View().Evidence.Disagree)
	s.Type(state.InReal, "4.65 m") // 1:11.286
	require.Empty(t, s.View().Evidence.Disagree, "rounded as it was typed")
	s.Type(state.InReal, "5.65 m")
	all := s.View().Evidence.Disagree
	require.Len(t, all, 1, "with the way in force only")
	require.Equal(t, []ways.Kind{ways.ByRatio, ways.ByReal}, []ways.Kind{all[0].A.Kind, all[0].B.Kind})
	s.ChooseWay(ways.ByClues)
	all = s.View().Evidence.Disagree
	require.Len(t, all, 1)
	require.Equal(t, ways.ByClues, all[0].A.Kind, "the way in force comes first")
	require.Greater(t, all[0].Sigmas, 10.0)
	s.ChooseWay(ways.ByBed)
	require.Len(t, s.View().Evidence.Disagree, 2, "a wish stands between all that know something")
}

// A kit with a figure and clues, saved and opened again, is the same.
func TestEvidenceIsKept(t *testing.T) {
	s, folder := onDisk(t) // the file itself is written and read
	s.Open([]string{folder})
	s.settle()
	s.ChooseWay(ways.ByFigure)
	s.Type(state.InReadings, "52.3; 52.34 mm")
	s.Type(state.InPerson, "5 ft 9 in ± 1 in")
	s.Type(state.InBase, "1/8 in")
	s.Type(state.InHeadgear, "25")
	s.Type(state.InLimit, "0.03")
	s.SetPosture(figure.Bent)
	s.SetSegment(figure.LowerLeg, false)
	s.SetToEyes(true)
	s.clue("176.9 ± 0.2", "door leaf uk")
	s.ClueFromPart(s.part("mast").ID)
	s.Type(state.InIsReal, "2.03 m ± 1 cm")
	s.AddClue()
	s.SetAside(s.View().Way.Clues[1].ID, true)
	s.RenameClue(s.View().Way.Clues[0].ID, "wheelhouse door")
	s.SetNativeFrom(ways.FromClues)
	s.SetLengthPoints(ways.Points{From: geom.Vec{1, 2, 3}, To: geom.Vec{4, 6, 15}, Along: ways.AlongX})
	before := s.View()
	require.NoError(t, before.WayErr)
	path := filepath.Join(folder, "tug.scantling")
	s.SaveKit(path)
	s.settle()
	s.NewKit()
	s.OpenKit(path)
	s.settle()
	after := s.View()
	require.Equal(t, before.Result.Factor.Exact(), after.Result.Factor.Exact())
	require.Equal(t, before.Result.SD, after.Result.SD)
	require.Equal(t, before.Way.Clues, after.Way.Clues)
	require.Equal(t, before.Way.Points, after.Way.Points)
	require.Equal(t, before.Way.Figure.Segments, after.Way.Figure.Segments)
	for _, in := range []state.Input{state.InReadings, state.InPerson, state.InBase, state.InHeadgear, state.InLimit} {
		require.NotEmpty(t, after.Typed[in])
		again := after.Typed[in]
		s.Type(in, again+" ")
		s.Type(in, again)
		require.False(t, s.View().Unsaved, "%s: %q is the same value", in, again)
	}
	require.Len(t, after.Evidence.Figure.Budget, len(before.Evidence.Figure.Budget))
	for i, c := range before.Evidence.Figure.Budget {
		require.Equal(t, c, after.Evidence.Figure.Budget[i])
	}
	require.Equal(t, ways.FromClues, after.Way.NativeFrom)
	require.False(t, after.Unsaved)
}

// Every way that the engine has is offered, in its order.
func TestEveryWayIsOffered(t *testing.T) {
	s := open(t)
	var kinds []ways.Kind
	for _, o := range s.View().Offers {
		kinds = append(kinds, o.Kind)
	}
	require.Equal(t, ways.Kinds(), kinds)
}

// What a bare number in the clue that is being made means stays when the units change.
func TestADraftKeepsItsUnits(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InDrawn, "100 ± 0.5")
	s.Type(state.InIsReal, "6 ft")
	s.ToggleInches()
	require.Equal(t, "100 mm ± 0.5 mm", s.View().Typed[state.InDrawn])
	require.Equal(t, "6 ft", s.View().Typed[state.InIsReal])
	s.Type(state.InIsReal, "72")
	s.AddClue()
	require.InDelta(t, 1828.8, s.View().Way.Clues[0].RealMM, 1e-9)
	s.Type(state.InIsReal, "door leaf uk")
	s.ToggleInches()
	require.Equal(t, "door leaf uk", s.View().Typed[state.InIsReal])
}
