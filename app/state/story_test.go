package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

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
