package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/units"
	"scantling/engine/ways"
)

// assembled is a kit that was saved in an earlier year, and is opened again.
func assembled(t *testing.T) *scene {
	s := open(t)
	for name, b := range map[string]geom.Box{
		"hull":   {Min: geom.Vec{0, -48, 0}, Max: geom.Vec{412, 48, 88}},
		"house":  {Min: geom.Vec{210, -30, 84}, Max: geom.Vec{290, 30, 150}},
		"funnel": {Min: geom.Vec{160, -12, 84}, Max: geom.Vec{184, 12, 144}},
		"mast":   {Min: geom.Vec{247, -3, 150}, Max: geom.Vec{253, 3, 330}},
	} {
		s.disk.Boxes(at("tug/"+name+".stl"), b)
	}
	s.Open([]string{at("tug/hull.stl"), at("tug/house.stl"), at("tug/funnel.stl"), at("tug/mast.stl")})
	s.settle()
	s.Type(state.InNative, "1:12")
	s.Type(state.InTarget, "1:48")
	s.SaveKit(at("tug.scantling"))
	s.settle()
	s.OpenKit(at("tug.scantling"))
	s.settle()
	require.Empty(t, s.View().Strays)
	return s
}

func TestAPartAddedNextYear(t *testing.T) {
	s := assembled(t)
	s.disk.Boxes(at("later/bollard.stl"), geom.Box{Min: geom.Vec{30, 70, 28}, Max: geom.Vec{42, 84, 36}}) // y up
	s.disk.Boxes(at("later/anchor.stl"), geom.Box{Min: geom.Vec{9000, 0, 0}, Max: geom.Vec{9030, 20, 60}})
	s.Open([]string{at("later/bollard.stl")})
	s.settle()
	require.InDelta(t, 3, s.part("bollard").Print[0], 1e-12, "it takes the kit's factor at once")
	require.Equal(t, state.Shift{}, s.View().Shift)
	require.Len(t, s.View().Strays, 1)
	stray := s.View().Strays[0]
	require.Equal(t, units.OtherUp, stray.Oddity)
	require.Equal(t, s.part("bollard").ID, stray.Part)
	require.Equal(t, geom.Y, stray.Better.Up)
	s.TurnStray(stray.Part)
	s.settle()
	require.Empty(t, s.View().Strays)
	require.InDelta(t, -36, s.part("bollard").Box.Min[1], 1e-9)
	require.InDelta(t, 84, s.part("bollard").Box.Max[2], 1e-9)
	s.Undo()
	require.Len(t, s.View().Strays, 1)
	s.KeepPlace(stray.Part)
	require.Empty(t, s.View().Strays)

	s.Open([]string{at("later/anchor.stl")})
	s.settle()
	require.Len(t, s.View().Strays, 1)
	require.Equal(t, units.Far, s.View().Strays[0].Oddity)
	s.KeepPlace(s.part("anchor").ID)
	s.SaveKit("")
	s.settle()
	s.OpenKit(at("tug.scantling"))
	s.settle()
	require.Empty(t, s.View().Strays, "what the maker said is kept")
	require.Len(t, s.View().Parts, 6)
}

// Where the factor comes from the size of the whole kit, another part would change it: that is
// said, and the old one can stay.
func TestAPartThatWouldChangeTheFactor(t *testing.T) {
	s := assembled(t)
	s.ChooseWay(ways.ByLength)
	s.Type(state.InLength, "103 mm")
	s.SaveKit("")
	s.settle()
	require.Equal(t, state.Shift{}, s.View().Shift)
	s.disk.Boxes(at("later/rudder.stl"), geom.Box{Min: geom.Vec{-103, -3, 0}, Max: geom.Vec{5, 3, 60}})
	s.Open([]string{at("later/rudder.stl")})
	s.settle()
	require.InDelta(t, 0.25, s.View().Shift.Saved.Float(), 1e-12)
	require.InDelta(t, 0.2, s.View().Shift.Now.Float(), 1e-12)
	s.KeepFactor()
	require.Equal(t, state.Shift{}, s.View().Shift)
	require.InDelta(t, 0.25, s.View().Result.Factor.Float(), 1e-12)
	s.Undo()
	s.TakeShift()
	require.Equal(t, state.Shift{}, s.View().Shift)
	require.InDelta(t, 0.2, s.View().Result.Factor.Float(), 1e-12)
	s.SaveKit("")
	s.settle()
	s.Type(state.InLength, "206 mm")
	require.Equal(t, state.Shift{}, s.View().Shift, "what the maker types is no surprise")
	s.Remove([]string{s.part("rudder").ID})
	require.Equal(t, state.Shift{}, s.View().Shift)
	s.Undo()
	s.Undo()
	s.Tick(s.part("rudder").ID, false)
	require.NotEqual(t, state.Shift{}, s.View().Shift)
}
