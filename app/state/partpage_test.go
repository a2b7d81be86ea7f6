package state_test

import (
	"math/big"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
)

// inches is a bench with a hull and a mast in millimetres and a house whose numbers are
// inches: 4 × 2 × 2 in, on the deck.
func inches(t *testing.T) *scene {
	s := open(t)
	s.disk.Boxes(at("house.stl"), geom.Box{Min: geom.Vec{2, 1, 3.5}, Max: geom.Vec{6.0625, 3.03125, 5.53125}})
	s.Open([]string{at("hull.stl"), at("mast.stl"), at("house.stl")})
	s.settle()
	return s
}

func inch() ratio.Length { return kit.Length(ratio.Inch) }

func TestCorrectingAUnit(t *testing.T) {
	s := inches(t)
	s.Type(state.InFactor, "0.5")
	s.ChooseWay(ways.ByFactor)
	house := s.part("house")
	require.Equal(t, mesh.Unit{Name: "mm", MM: 1}, house.Measured.Unit)
	require.Equal(t, geom.Vec{412, 96, 180}, s.View().KitBox.Size())
	undone := s.View().Undo

	s.SetUnit([]string{house.ID}, inch())
	house = s.part("house")
	require.Equal(t, "in", house.Measured.Unit.Name)
	require.Equal(t, "mm", house.FileUnit.Name)
	require.True(t, house.Unit.Equal(inch()))
	requireVec(t, geom.Vec{4.0625 * 25.4, 2.03125 * 25.4, 2.03125 * 25.4}, house.Drawn)
	requireVec(t, house.Drawn.Scale(0.5), house.Print)
	requireVec(t, geom.Vec{2 * 25.4, 25.4, 3.5 * 25.4}, house.Box.Min)
	require.InDelta(t, 0.5, s.View().Result.Factor.Float(), 0, "one factor for all")
	require.Equal(t, state.StepUnit, s.View().Undo)
	require.NotNil(t, house.Silhouettes[state.Front], "its pictures are the same")

	s.SetUnit([]string{house.ID}, inch())
	s.Undo()
	require.Equal(t, undone, s.View().Undo, "saying the same again is no step")
	require.False(t, s.part("house").Unit.Known())
	requireVec(t, geom.Vec{4.0625, 2.03125, 2.03125}, s.part("house").Drawn)
	s.Redo()
	s.SetUnit([]string{house.ID}, ratio.Length{})
	require.Equal(t, mesh.Unit{Name: "mm", MM: 1}, s.part("house").Measured.Unit)
	s.SetUnit([]string{house.ID}, ratio.Millimetres(big.NewRat(1, 1e9)))
	require.ErrorIs(t, s.View().Notice, state.ErrUnit)
}

func requireVec(t *testing.T, want, got geom.Vec) {
	t.Helper()
	for i := range want {
		require.InDelta(t, want[i], got[i], 1e-9*(1+want.Len()), "%v, want %v", got, want)
	}
}

// A unit is that of a file, so all parts of the file have it.
func TestAUnitIsThatOfAFile(t *testing.T) {
	s := open(t)
	box := geom.Box{Max: geom.Vec{1, 2, 3}}
	s.disk.Boxes(at("two.stl"), box, box)
	s.Open([]string{at("two.stl"), at("bad.stl")})
	s.settle()
	s.SetUnit([]string{s.part("two 2").ID, s.part("bad").ID, "nobody"}, inch())
	require.Equal(t, "in", s.part("two").Measured.Unit.Name)
	require.Equal(t, "in", s.part("two 2").Measured.Unit.Name)
	require.False(t, s.part("bad").Unit.Known(), "what could not be read has nothing to correct")

	// A kit that was written otherwise saves no copy of that file.
	k := kit.Kit{}.With(kit.Part{File: at("two.stl"), Ticked: true, Unit: inch()}, kit.Part{File: at("two.stl"), Index: 1, Ticked: true})
	require.NoError(t, s.disk.PutKit(at("odd.scantling"), k))
	s.OpenKit(at("odd.scantling"))
	s.settle()
	s.Type(state.InFactor, "2")
	s.ChooseWay(ways.ByFactor)
	s.PlanCopies()
	require.ErrorIs(t, s.View().Copies.Names[0].Err, state.ErrUnitsDiffer)
	require.ErrorIs(t, s.View().Copies.Err, state.ErrNoneTicked)
}

func TestUnitsAreSuggestedAndNeverMade(t *testing.T) {
	s := inches(t)
	for _, p := range []string{"rail", "rudder", "skeg"} {
		s.disk.Box(at(p+".stl"), geom.Vec{80, 31, 22})
	}
	s.Open([]string{at("rail.stl"), at("rudder.stl"), at("skeg.stl")})
	s.settle()
	hints := s.View().UnitHints
	require.Len(t, hints, 1)
	house := s.part("house")
	require.Equal(t, house.ID, hints[0].Part)
	require.Equal(t, "in", hints[0].Unit.Name)
	require.Equal(t, "mm", house.Measured.Unit.Name, "nothing is made of it")

	s.KeepUnit([]string{house.ID})
	require.Empty(t, s.View().UnitHints)
	require.True(t, s.part("house").UnitKept)
	s.Undo()
	require.Len(t, s.View().UnitHints, 1)
	s.SetUnit([]string{house.ID}, inch())
	require.Empty(t, s.View().UnitHints)
	s.Undo()
	require.Len(t, s.View().UnitHints, 1)
}

// What was measured on a part goes with it when its unit turns out to be another.
func TestCluesFollowTheirPart(t *testing.T) {
	s := inches(t)
	house, hull := s.part("house").ID, s.part("hull").ID
	k := kit.Kit{Way: ways.Way{Kind: ways.ByLength, Along: geom.X, Part: house, Points: ways.Points{From: geom.Vec{2, 1, 3.5}, To: geom.Vec{2, 1, 5.53125}, Along: ways.AlongZ}}}
	k.Way.Clues = []ways.Clue{
		{ID: "door", Part: house, From: geom.Vec{2, 1, 3.5}, To: geom.Vec{2, 1, 5}, Along: ways.AlongZ, Drawn: 1.5, DrawnSD: 0.01, RealMM: 2000},
		{ID: "deck", Part: hull, From: geom.Vec{0, 0, 88}, To: geom.Vec{412, 0, 88}, Drawn: 412, RealMM: 30000},
		{ID: "typed", Drawn: 7, RealMM: 70},
	}
	for _, name := range []string{"hull", "mast", "house"} {
		k = k.With(kit.Part{File: at(name + ".stl"), Name: name, Ticked: true})
	}
	require.NoError(t, s.disk.PutKit(at("clues.scantling"), k))
	s.OpenKit(at("clues.scantling"))
	s.settle()

	s.SetUnit([]string{house}, inch())
	clues := s.View().Way.Clues
	require.InDelta(t, 38.1, clues[0].Drawn, 1e-9)
	require.InDelta(t, 0.254, clues[0].DrawnSD, 1e-12)
	requireVec(t, geom.Vec{50.8, 25.4, 127}, clues[0].To)
	require.Equal(t, k.Way.Clues[1:], clues[1:], "others stay")
	require.ErrorIs(t, s.View().Notice, state.ErrMeasureStale, "its points lie in the house and in the hull's box as well")

	// Turned about the vertical, x becomes y; heights stay.
	s.Turn([]string{house}, geom.Z)
	clues = s.View().Way.Clues
	require.Equal(t, ways.AlongZ, clues[0].Along)
	requireVec(t, geom.Vec{-25.4, 50.8, 127}, clues[0].To)
	require.Equal(t, geom.Y, s.View().Way.Along, "the length of the house lies along y now")
	s.Turn([]string{house}, geom.X) // tipped towards whom looks from the front
	require.Equal(t, ways.AlongY, s.View().Way.Clues[0].Along)
	s.Undo()
	s.Undo()
	s.Undo()
	require.Equal(t, k.Way.Clues, s.View().Way.Clues)
	require.Equal(t, geom.X, s.View().Way.Along)

	// All of the kit in inches: what was typed by hand was read off the same sheet.
	s.DismissNotice()
	s.SetUnit([]string{house, hull, s.part("mast").ID}, inch())
	require.NoError(t, s.View().Notice)
	require.InDelta(t, 7*25.4, s.View().Way.Clues[2].Drawn, 1e-9)
	requireVec(t, geom.Vec{50.8, 25.4, 5.53125 * 25.4}, s.View().Way.Points.To)
	s.TurnKit(geom.Z)
	require.NoError(t, s.View().Notice)
	requireVec(t, geom.Vec{-25.4, 50.8, 5.53125 * 25.4}, s.View().Way.Points.To)
}

func TestTurningAPart(t *testing.T) {
	s := open(t)
	s.openAll()
	mast := s.part("mast")
	require.Equal(t, geom.Vec{6, 6, 180}, mast.Drawn)
	before := mast.Silhouettes[state.Front].Bounds()
	require.Greater(t, before.Dy(), 10*before.Dx())

	s.Turn([]string{mast.ID}, geom.Y) // to the right
	require.Nil(t, s.part("mast").Silhouettes[state.Front], "its pictures showed it standing")
	require.Equal(t, geom.Vec{180, 6, 6}, s.part("mast").Drawn)
	s.settle()
	lying := s.part("mast")
	front := lying.Silhouettes[state.Front].Bounds()
	require.Greater(t, front.Dx(), 10*front.Dy())
	require.NotNil(t, lying.Topology)
	require.Equal(t, 1, s.disk.Opened(at("mast.stl")))
	require.Equal(t, geom.Vec{412, 96, 88}, s.part("hull").Drawn)
	require.Equal(t, geom.Vec{412, 96, 94}, s.View().KitBox.Size(), "it hangs below the deck now")
	require.Equal(t, "z y -x", lying.Turn.String())

	s.Undo()
	s.settle()
	require.Equal(t, geom.Vec{6, 6, 180}, s.part("mast").Drawn)
	require.NotNil(t, s.part("mast").Silhouettes[state.Front])
	for range 4 {
		s.Turn([]string{mast.ID}, geom.X)
	}
	require.Equal(t, mast.Box, s.part("mast").Box)
	s.TurnBack([]string{mast.ID})
	require.False(t, s.part("mast").Turn.Known())
}

func TestUpAxes(t *testing.T) {
	s := open(t)
	s.disk.Box(at("tall.stl"), geom.Vec{1, 30, 2})
	s.Open([]string{at("hull.stl"), at("tall.stl")})
	s.settle()
	tall := s.part("tall").ID
	s.SetUp([]string{tall}, geom.Y, false)
	require.Equal(t, geom.Vec{1, 2, 30}, s.part("tall").Drawn)
	require.Equal(t, geom.Box{Min: geom.Vec{0, -2, 0}, Max: geom.Vec{1, 0, 30}}, s.part("tall").Box)
	s.SetUp([]string{tall}, geom.Y, true)
	require.Equal(t, geom.Box{Min: geom.Vec{0, 0, -30}, Max: geom.Vec{1, 2, 0}}, s.part("tall").Box)

	// The whole kit on top of that; parts that come later turn with it.
	s.TurnBack([]string{tall})
	s.SetKitUp(geom.X, false)
	require.Equal(t, geom.Vec{88, 96, 412}, s.part("hull").Drawn)
	require.Equal(t, geom.Vec{2, 30, 1}, s.part("tall").Drawn)
	s.Open([]string{at("mast.stl")})
	s.settle()
	require.Equal(t, geom.Vec{180, 6, 6}, s.part("mast").Drawn)
	s.Turn([]string{tall}, geom.X) // a quarter of what is seen, whatever the kit's turn
	require.Equal(t, geom.Vec{2, 1, 30}, s.part("tall").Drawn)
	s.TurnKitBack()
	require.False(t, s.View().KitTurn.Known())
	require.Equal(t, geom.Vec{412, 96, 88}, s.part("hull").Drawn)
	for range 4 {
		s.TurnKit(geom.Z)
	}
	require.False(t, s.View().KitTurn.Known(), "four quarters are none")
}

// A bed that a part is too long for takes it once it stands up.
func TestTheBedFollowsTurns(t *testing.T) {
	s := open(t)
	s.Open([]string{at("hull.stl")})
	s.settle()
	for in, typed := range map[state.Input]string{state.InBedX: "110", state.InBedY: "110", state.InBedZ: "450", state.InBedMargin: "0", state.InFactor: "1"} {
		s.Type(in, typed)
	}
	s.ChooseWay(ways.ByFactor)
	require.False(t, s.part("hull").Fits)
	s.SetUp([]string{s.part("hull").ID}, geom.X, false)
	require.True(t, s.part("hull").Fits)
	require.InDelta(t, 450.0/412, s.offer(ways.ByBed).Result.Factor.Float(), 1e-12)
}

// Turned, a y-up kit keeps what its lengths were measured along.
func TestAxesFollowTheFrame(t *testing.T) {
	s := open(t)
	s.disk.Box(at("hull.stl"), geom.Vec{412, 88, 96}).Up(geom.Y)
	s.disk.Box(at("mast.stl"), geom.Vec{6, 180, 6}).Up(geom.Y)
	s.Open([]string{at("hull.stl"), at("mast.stl")})
	s.settle()
	require.Equal(t, geom.Y, s.View().PartsUp)
	s.SetAlong(geom.Y)
	s.Type(state.InLength, "90 mm")
	s.ChooseWay(ways.ByLength)
	require.InDelta(t, 0.5, s.View().Result.Factor.Float(), 1e-12)
	s.Turn([]string{s.part("hull").ID}, geom.Z)
	require.Equal(t, geom.Z, s.View().PartsUp, "one part stands by itself now, so up is z")
	require.Equal(t, geom.Vec{96, 412, 88}, s.part("hull").Drawn)
	require.Equal(t, geom.Z, s.View().Way.Along, "the height is still the height")
	require.InDelta(t, 0.5, s.View().Result.Factor.Float(), 1e-12)
}

func TestCorrectionsAreInTheKit(t *testing.T) {
	s := inches(t)
	s.SetUnit([]string{s.part("house").ID}, inch())
	s.SetUp([]string{s.part("mast").ID}, geom.X, true)
	s.TurnKit(geom.Z)
	s.SaveKit(at("k.scantling"))
	s.settle()
	want := s.View().KitBox
	s.NewKit()
	s.OpenKit(at("k.scantling"))
	s.settle()
	require.Equal(t, want, s.View().KitBox)
	require.True(t, s.part("house").Unit.Equal(inch()))
	require.Equal(t, kit.Raise(geom.X, true), s.part("mast").Turn)
	require.NotNil(t, s.part("mast").Silhouettes[state.Top])
}

// A hull, a mast and a house whose file is in inches: copies of all, read back in
// millimetres, fit together as the parts do.
func TestCopiesOfACorrectedPartFitTogether(t *testing.T) {
	folder := t.TempDir()
	write := func(name string, size geom.Vec) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), boxSTL(t, size), 0o644))
	}
	write("hull.stl", geom.Vec{406.4, 101.6, 88})
	write("deck.stl", geom.Vec{406.4, 101.6, 2})
	write("house.stl", geom.Vec{16, 4, 2.5}) // as long and as wide as the deck, in inches
	s := &scene{t: t, queue: statetest.NewQueue(t), prefs: statetest.NewPreferences()}
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: state.Real(), Preferences: s.prefs, Surveys: &surveys})
	s.Open([]string{folder})
	s.settle()
	s.SetUnit([]string{s.part("house").ID}, inch())
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:87.1")
	factor := s.View().Result.Factor.Float()
	for _, as := range []formats.Kind{"", formats.OBJ, formats.GLB} {
		out := filepath.Join(folder, "out-"+string(as))
		s.PlanCopies()
		s.SetCopyFolder(out)
		s.SetCopyFormat(as)
		require.NoError(t, s.View().Copies.Err)
		for _, n := range s.View().Copies.Names {
			require.Equal(t, map[bool]float64{true: 25.4, false: 0}[n.Part == "house.stl"], n.UnitBy)
		}
		s.SaveCopies()
		s.settle()
		require.Len(t, s.View().Saved, 3)
		size := map[string]geom.Vec{}
		for _, o := range s.View().Saved {
			require.NoError(t, o.Err, "as %q", as)
			require.True(t, o.Verified)
			copied, err := formats.Open(t.Context(), o.Path, nil)
			require.NoError(t, err)
			p := copied.Parts()[0]
			size[filepath.Base(o.Copy.Source.Path())] = kit.Lies(p)
		}
		for name, want := range map[string]geom.Vec{"hull.stl": {406.4, 101.6, 88}, "deck.stl": {406.4, 101.6, 2}, "house.stl": {406.4, 101.6, 63.5}} {
			for axis := range want {
				require.InEpsilon(t, want[axis]*factor, size[name][axis], 1e-6, "%s along %v as %q", name, geom.Axis(axis), as)
			}
		}
		require.InEpsilon(t, size["deck.stl"][0], size["house.stl"][0], 1e-6, "the house covers the deck")
	}
}

// Copies stay as drawn unless they are to stand as on the sheet; then those do that can.
func TestTurnedCopies(t *testing.T) {
	folder := t.TempDir()
	for name, size := range map[string]geom.Vec{"hull.stl": {40, 10, 8}, "mast.stl": {1, 30, 2}} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), boxSTL(t, size), 0o644))
	}
	s := &scene{t: t, queue: statetest.NewQueue(t), prefs: statetest.NewPreferences()}
	s.Bench = state.New(state.Config{Post: s.queue.Post, Disk: state.Real(), Preferences: s.prefs, Surveys: &surveys})
	s.Open([]string{folder})
	s.settle()
	s.SetUp([]string{s.part("mast").ID}, geom.Y, false)
	s.Type(state.InFactor, "0.5")
	s.ChooseWay(ways.ByFactor)
	for _, c := range []struct {
		turned bool
		as     formats.Kind
		mast   geom.Vec
	}{{false, "", geom.Vec{0.5, 15, 1}}, {true, "", geom.Vec{0.5, 1, 15}}, {true, formats.GLB, geom.Vec{0.5, 1, 15}}, {false, formats.OBJ, geom.Vec{0.5, 15, 1}}} {
		s.PlanCopies()
		s.SetCopyFolder(filepath.Join(folder, "out"))
		s.SetCopyFormat(c.as)
		s.SetOverwrite(true)
		s.SetTurned(c.turned)
		require.NoError(t, s.View().Copies.Err)
		s.SaveCopies()
		s.settle()
		for _, o := range s.View().Saved {
			require.NoError(t, o.Err)
			require.True(t, o.Verified || o.Unchanged)
			copied, err := formats.Open(t.Context(), o.Path, nil)
			require.NoError(t, err)
			want := map[string]geom.Vec{"hull.stl": {20, 5, 4}, "mast.stl": c.mast}[filepath.Base(o.Copy.Source.Path())]
			got := kit.Lies(copied.Parts()[0])
			for i := range want {
				require.InEpsilon(t, want[i], got[i], 1e-6, "%+v", c)
			}
		}
	}
}

// Parts of one file that were turned differently make no turned copy, and are saved as drawn.
func TestATurnedCopyIsOfAWholeFile(t *testing.T) {
	s := open(t)
	box := geom.Box{Max: geom.Vec{1, 2, 3}}
	s.disk.Boxes(at("two.stl"), box, box)
	s.Open([]string{at("two.stl")})
	s.settle()
	s.Turn([]string{s.part("two").ID}, geom.X)
	s.Type(state.InFactor, "2")
	s.ChooseWay(ways.ByFactor)
	s.PlanCopies()
	require.NoError(t, s.View().Copies.Err)
	s.SetTurned(true)
	require.ErrorIs(t, s.View().Copies.Names[0].Err, state.ErrTurnsDiffer)
	require.Error(t, s.View().Copies.Err)
	s.Turn([]string{s.part("two 2").ID}, geom.X)
	require.NoError(t, s.View().Copies.Err)
	s.SaveCopies()
	s.settle()
	for _, c := range s.disk.Saved() {
		require.Equal(t, geom.Quarter(geom.X).Pose(), c.Pose)
	}
}
