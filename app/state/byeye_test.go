package state_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// Nothing is known but what the print is to be: the kit is pulled until it looks right.
func TestScalingByEye(t *testing.T) {
	s := open(t)
	s.openAll()
	s.SetField(ratio.Armour)
	s.Type(state.InTarget, "1:48")
	require.False(t, s.View().Ratio().Known(), "without a factor nothing comes out at 1:48")
	s.SetByEye(true)
	require.Equal(t, "1:48", s.View().Ratio().String(), "but people are drawn at it")
	require.False(t, s.View().WouldBe().Known())

	before := s.View().Undo
	s.ScaleByEye(0.5, false)
	s.ScaleByEye(0.4, false)
	s.ScaleByEye(0.360417, false)
	require.Equal(t, ways.ByFactor, s.View().Way.Kind)
	require.Equal(t, "0.360417", s.View().Result.Factor.Exact(), "six figures")
	require.InDelta(t, 1/17.3, s.View().WouldBe().Float(), 1e-6)
	require.Equal(t, "1:48", s.View().Ratio().String(), "the people stay as large")
	s.EndDrag()
	s.ScaleByEye(0.3, false)
	s.Undo()
	require.Equal(t, "0.360417", s.View().Result.Factor.Exact(), "each pull is one step")
	s.Undo()
	require.False(t, s.View().Result.Factor.Known())
	require.Equal(t, before, s.View().Undo)

	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1), 1e-12} {
		s.ScaleByEye(bad, true)
	}
	require.False(t, s.View().Result.Factor.Known(), "what is no factor changes nothing")
	s.SetByEye(false)
	require.False(t, s.View().WouldBe().Known())
}

func TestByEyeStandardRatiosHold(t *testing.T) {
	s := open(t)
	s.openAll()
	s.SetField(ratio.Armour)
	s.Type(state.InTarget, "1:48")
	s.SetByEye(true)
	at := 16.0 / 48 // native 1:16
	s.ScaleByEye(at*1.005, true)
	require.Equal(t, "1/3", s.View().Result.Factor.Exact(), "exactly")
	require.Equal(t, "1:16", s.View().WouldBe().String())
	require.True(t, s.Sticks())
	s.ScaleByEye(at*1.007, true)
	require.False(t, s.Sticks(), "moving on lets go")
	s.ScaleByEye(at*1.005, false)
	require.Equal(t, "0.335", s.View().Result.Factor.Exact(), "and it does not stick where that is not wanted")

	// Where the native ratio is known and no target, it is the copies' ratio that holds.
	s.Type(state.InTarget, "")
	s.Type(state.InNative, "1:12")
	s.ScaleByEye(0.2505, true)
	require.Equal(t, "1:48", s.View().Result.Target.String())
}

// The kit's foot stays where the sheet shows it, whatever the kit's place in its files.
func TestTheFootStaysWhereItIs(t *testing.T) {
	s := open(t)
	s.disk.Boxes(at("far.stl"), geom.Box{Min: geom.Vec{1000, -200, 300}, Max: geom.Vec{1100, -150, 380}})
	s.Open([]string{at("far.stl")})
	s.settle()
	s.Type(state.InTarget, "1:48")
	s.SetByEye(true)
	for side, foot := range map[state.Side][2]float64{state.Front: {1000, 300}, state.FromSide: {-200, 300}, state.Top: {1000, -200}} {
		s.SetSide(side)
		s.Fitted(2, 30, 40)
		f := s.View().Result.Factor.Float()
		if f == 0 {
			f = 1
		}
		for _, g := range []float64{0.7, 0.31, 1.4} {
			was := s.View().Sheet
			if was.Fit {
				was.PanX, was.PanY = 30, 40
			}
			s.ScaleByEye(g, false)
			now := s.View().Sheet
			require.False(t, now.Fit)
			require.InDelta(t, foot[0]*f-was.PanX, foot[0]*g-now.PanX, 1e-9, "side %d", side)
			require.InDelta(t, foot[1]*f-was.PanY, foot[1]*g-now.PanY, 1e-9)
			f = g
		}
	}
}

func TestMovingAPartForTheEye(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InTarget, "1:48")
	s.SetByEye(true)
	s.ScaleByEye(0.5, false)
	s.EndDrag()
	mast := s.part("mast")
	undo, box := s.View().Undo, s.View().KitBox
	s.MovePart(mast.ID, geom.Vec{-30, 0, 2})
	s.MovePart(mast.ID, geom.Vec{-1, 0, 0})
	require.Equal(t, geom.Vec{-31, 0, 2}, s.View().Sheet.Moved[mast.ID], "its foot lay on the kit's")
	require.True(t, s.View().Sheet.Displaced())
	require.Equal(t, box, s.View().KitBox, "the kit stays as it is")
	require.Equal(t, mast.Box, s.part("mast").Box)
	require.Equal(t, undo, s.View().Undo, "there is nothing to undo")
	shown := s.View().Sheet.Moved
	s.ScaleByEye(0.25, false)
	s.MovePart(mast.ID, geom.Vec{1, 0, 0})
	require.Equal(t, geom.Vec{-31, 0, 2}, shown[mast.ID], "what was shown is never changed")
	require.Equal(t, geom.Vec{-30, 0, 2}, s.View().Sheet.Moved[mast.ID], "it stays beside the stand-in whatever the factor")
	s.MovePart("nobody", geom.Vec{1, 1, 1})
	s.MovePart(mast.ID, geom.Vec{math.NaN(), 0, 0})
	require.Len(t, s.View().Sheet.Moved, 1)
	s.PutBack()
	require.False(t, s.View().Sheet.Displaced())
	s.MovePart(mast.ID, geom.Vec{1, 0, 0})
	s.NewKit()
	require.Empty(t, s.View().Sheet.Moved)
	require.False(t, s.View().Sheet.ByEye)
}

func TestStandIns(t *testing.T) {
	s := open(t)
	people := s.View().Sheet.People()
	require.Len(t, people, 1)
	require.InDelta(t, 1750, people[0].Stature(), 1e-9, "DIN 33402-2: median of men")
	s.AddStandIn()
	s.AddStandIn()
	people = s.View().Sheet.People()
	require.Len(t, people, state.MostStandIns)
	require.InDelta(t, 1625, people[1].Stature(), 1e-9, "DIN 33402-2: median of women")

	s.TypeStature(0, "5 ft 9 in")
	s.PoseStandIn(0, figure.Sits)
	s.TurnStandIn(0)
	s.OrderStandIn(0, state.OverAll, "")
	s.StandInOf(1, figure.USWomen)
	s.MoveStandIn(1, geom.Vec{100, 0, 0})
	s.MoveStandIn(1, geom.Vec{100, 0, -5})
	p := s.View().Sheet.People()
	require.InDelta(t, 1752.6, p[0].Stature(), 1e-9)
	require.Equal(t, figure.Sits, p[0].Pose)
	require.True(t, p[0].Left)
	require.Equal(t, state.OverAll, p[0].Order)
	require.InDelta(t, 63.75*25.4, p[1].Stature(), 1e-9)
	require.Equal(t, geom.Vec{200, 0, -5}, p[1].Place)

	for typed, want := range map[string]error{"tall": ratio.ErrNotANumber, "0": ratio.ErrNotPositive, "9 m": state.ErrNobody, "20 mm": state.ErrNobody} {
		s.TypeStature(0, typed)
		got := s.View().Sheet.People()[0]
		require.True(t, errors.Is(got.Err, want), "%s: %v", typed, got.Err)
		require.Equal(t, typed, got.Typed)
		require.InDelta(t, 1752.6, got.Stature(), 1e-9, "the last that could be read stays")
	}
	s.TypeStature(0, "1.8")
	require.InDelta(t, 1800, s.View().Sheet.People()[0].Stature(), 1e-9, "metres")
	s.TypeStature(0, " ")
	require.InDelta(t, 1750, s.View().Sheet.People()[0].Stature(), 1e-9)

	s.NewKit()
	require.Equal(t, geom.Vec{}, s.View().Sheet.People()[1].Place)
	require.Equal(t, figure.Sits, s.View().Sheet.People()[0].Pose, "who stands there stays")
	s.RemoveStandIn(1)
	s.RemoveStandIn(0)
	s.RemoveStandIn(0)
	require.Empty(t, s.View().Sheet.People(), "nobody")
	s.PoseStandIn(0, figure.Sits)
	s.AddStandIn()
	require.Len(t, s.View().Sheet.People(), 1)
}
