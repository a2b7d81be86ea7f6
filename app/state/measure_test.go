package state_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/ways"
)

func TestMeasureOnTheSheet(t *testing.T) {
	s := open(t)
	s.openAll()
	hull, mast := s.part("hull").ID, s.part("mast").ID
	require.False(t, s.View().Measure.Known())

	s.StartMeasure()
	require.True(t, s.View().Measure.On)
	s.MeasureTo(state.MeasurePoint{At: geom.Vec{1, 2, 3}}, ways.Free)
	require.Equal(t, ways.Points{}, s.View().Measure.Points, "there is no first point")

	s.MeasureFrom(state.MeasurePoint{At: geom.Vec{0, 0, 0}, Part: hull, Snap: state.OnVertex, SD: 0.03})
	require.True(t, s.View().Measure.Begun)
	require.False(t, s.View().Measure.Known(), "half a measure gives nothing")
	s.MeasureTo(state.MeasurePoint{At: geom.Vec{30, 96, 40}, Part: hull, SD: 0.04}, ways.Free)
	m := s.View().Measure
	require.True(t, m.Known())
	require.InDelta(t, 50, m.Points.Len(), 1e-12, "as it is seen from the front, so without its depth of 96")
	require.Equal(t, hull, m.Part)
	require.InDelta(t, 0.05, m.SD, 1e-12)
	require.Equal(t, [2]state.Snap{state.OnVertex, state.FreePoint}, [2]state.Snap{m.Ends[0].Snap, m.Ends[1].Snap})

	s.SetMeasureAlong(ways.AlongZ)
	require.InDelta(t, 40, s.View().Measure.Points.Len(), 1e-12, "the one on the sheet follows")
	s.SetMeasureAlong(ways.AlongY)
	require.InDelta(t, 96, s.View().Measure.Points.Len(), 1e-12, "into the depth, when that is asked for")
	s.SetMeasureAlong(ways.Free)

	s.SetSide(state.FromSide)
	s.MeasureFrom(state.MeasurePoint{At: geom.Vec{0, 0, 0}, Part: hull})
	s.MeasureTo(state.MeasurePoint{At: geom.Vec{6, 3, 4}, Part: mast}, ways.Free)
	require.InDelta(t, 5, s.View().Measure.Points.Len(), 1e-12, "from the side x is the depth")
	require.Empty(t, s.View().Measure.Part, "it lies on two parts")
	require.False(t, s.View().Unsaved && s.View().Undo != state.StepOpen, "measuring is no step of undo")

	s.Remove([]string{mast})
	require.False(t, s.View().Measure.Known(), "an end is gone")
	require.True(t, s.View().Measure.On)
	s.MeasureFrom(state.MeasurePoint{At: geom.Vec{math.NaN(), 0, 0}})
	require.False(t, s.View().Measure.Begun)
	s.ClearMeasure()
	require.Equal(t, state.Measure{}, s.View().Measure)
}

func TestMeasureGoesWithItsKit(t *testing.T) {
	s := open(t)
	s.openAll()
	s.MeasureFrom(state.MeasurePoint{At: geom.Vec{0, 0, 0}})
	s.MeasureTo(state.MeasurePoint{At: geom.Vec{0, 0, 7}}, ways.AlongZ)
	s.Type(state.InNative, "1:10")
	s.Type(state.InTarget, "1:20")
	require.InDelta(t, 7, s.View().Measure.Points.Len(), 1e-12, "the factor changes nothing that was drawn")
	s.DropMeasure()
	require.True(t, s.View().Measure.On)
	require.False(t, s.View().Measure.Known())
	s.MeasureFrom(state.MeasurePoint{At: geom.Vec{0, 0, 0}})
	s.NewKit()
	require.Equal(t, state.Measure{}, s.View().Measure)
}

func TestPartsHaveWhatAMeasureCanBeHeldTo(t *testing.T) {
	s := open(t)
	s.openAll()
	hull := s.part("hull")
	require.Len(t, hull.Snaps, 8, "the corners of a box")
	all := geom.EmptyBox()
	for _, n := range hull.Snaps {
		all = all.Add(hull.Point(n.At))
	}
	require.Equal(t, hull.Box, all)
	require.Empty(t, s.part("bad").Snaps)
}
