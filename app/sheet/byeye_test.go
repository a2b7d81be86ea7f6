package sheet

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/geom"
)

// byEye is a view that is scaled by eye beside people at 1:48.
func byEye(t *testing.T) state.View {
	v := at(t, tug(), 11.28, 48)
	v.Way.Target = v.Result.Target
	v.Sheet.ByEye = true
	return v
}

func TestHandlesPullAboutTheFoot(t *testing.T) {
	v := byEye(t)
	l := arrange(v, someSize)
	kit := l.camera.rect(l.kit)
	h, ok := HandleAt(v, someSize, Point{kit.Max.X + 5, kit.Min.Y - 5})
	require.True(t, ok)
	require.Equal(t, Point{kit.Max.X, kit.Min.Y}, h.At)
	require.Equal(t, Point{kit.Min.X, kit.Max.Y}, h.Foot)
	require.InDelta(t, 1, h.Pulled(h.At), 1e-12)
	half := Point{(h.At.X + h.Foot.X) / 2, (h.At.Y + h.Foot.Y) / 2}
	require.InDelta(t, 0.5, h.Pulled(half), 1e-12)
	require.InDelta(t, 0.5, h.Pulled(Point{half.X + (h.At.Y - h.Foot.Y), half.Y - (h.At.X - h.Foot.X)}), 1e-9, "across the diagonal nothing is pulled")
	require.Greater(t, h.Pulled(Point{-1e6, 1e6}), 0.0)
	_, ok = HandleAt(v, someSize, h.Foot)
	require.False(t, ok, "the foot is no handle")
	handles := 0
	for _, m := range Draw(v, someSize) {
		if m.Role == Handles && m.Kind == Outline {
			handles++
		}
	}
	require.Equal(t, 3, handles)
	require.Equal(t, text.ByEyeLines(v), written(Draw(v, someSize), Handles))
	require.Equal(t, []string{"×0.2350", "native would be 1:11.28"}, text.ByEyeLines(v))

	v.Sheet.ByEye = false
	require.Empty(t, written(Draw(v, someSize), Handles))
	v.Sheet.ByEye, v.Sheet.InRow = true, true
	_, ok = HandleAt(v, someSize, h.At)
	require.False(t, ok)
}

// While the factor changes nothing moves but the kit: people stand where they stood.
func TestPeopleStayWhereTheyAreWhileTheKitGrows(t *testing.T) {
	v := byEye(t)
	v.Sheet.Fit, v.Sheet.Zoom = false, 2
	l := arrange(v, someSize)
	first, foot := l.people[0].at(), l.kit
	for _, f := range []float64{2, 0.5} {
		w := v
		w.Result.Factor = at(t, v, 11.28*f, 48).Result.Factor
		m := arrange(w, someSize)
		require.InDelta(t, f*l.factor, m.factor, 1e-9)
		require.InDelta(t, first.u0-foot.u0, m.people[0].at().u0-m.kit.u0, 1e-9)
		require.InDelta(t, first.w(), m.people[0].at().w(), 1e-9)
		require.Equal(t, "1:48", w.Ratio().String())
	}
}

func TestMovedPartsAreMovedForTheEyeOnly(t *testing.T) {
	v := byEye(t)
	v.Sheet.Moved = map[string]geom.Vec{"2": {-40, 0, 5}}
	l := arrange(v, someSize)
	mast := l.byID("2")
	require.InDelta(t, l.kit.u0-40, mast.at.u0, 1e-9)
	require.InDelta(t, l.kit.v0+5, mast.at.v0, 1e-9)
	marks := Draw(v, someSize)
	require.Contains(t, written(marks, Hint), text.MovedNote(1))
	require.Equal(t, []string{"96.8"}, written(marks, Width), "the kit's dimensions are those of the kit")
	require.Equal(t, []string{"77.5"}, written(marks, Height))
	// It keeps its place in print at any factor.
	w := v
	w.Result.Factor = at(t, v, 5, 48).Result.Factor
	m := arrange(w, someSize)
	require.InDelta(t, m.kit.u0-40, m.byID("2").at.u0, 1e-9)
	// Its handles pull about its own foot.
	v.Selected = "2"
	l = arrange(v, someSize)
	box := l.camera.rect(l.byID("2").at)
	h, ok := HandleAt(v, someSize, Point{box.Max.X, box.Min.Y})
	require.True(t, ok)
	require.Equal(t, Point{box.Min.X, box.Max.Y}, h.Foot)
	v.Sheet.ByEye = false
	require.InDelta(t, 247*0.235, arrange(v, someSize).byID("2").at.u0, 1e-9)
	require.NotContains(t, written(Draw(v, someSize), Hint), text.MovedNote(1))
}

func TestPeopleOfAnyPoseAndStature(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	v.Sheet.StandIns = []state.StandIn{{Of: figure.GermanMen}, {Of: figure.Women, Pose: figure.Sits}}
	for side := state.Front; side <= state.FromSide; side++ {
		v.Sheet.Side = side
		l := arrange(v, someSize)
		require.Len(t, l.people, 2)
		require.InDelta(t, 1750.0/48, l.people[0].box.h(), 0.1)
		require.InDelta(t, (388.2+856.6)/48, l.people[1].box.h(), 0.1, "ANSUR II: seat and sitting height")
		require.InDelta(t, l.kit.v0, l.people[1].v, 1e-9, "its feet are on the ground")
		require.False(t, l.camera.rect(l.people[0].at()).Meets(l.camera.rect(l.people[1].at())))
		require.Len(t, written(Draw(v, someSize), StandIn), 2)
	}
	right := arrange(v, someSize).people[1].box
	v.Sheet.StandIns[1].Left = true
	left := arrange(v, someSize).people[1].box
	require.InDelta(t, -right.u1, left.u0, 1e-9, "turned, it faces the other way")

	v.Sheet.StandIns = []state.StandIn{}
	require.Empty(t, written(Draw(v, someSize), StandIn), "nobody")
}

func TestPeopleCanBeTakenHoldOf(t *testing.T) {
	v := byEye(t)
	l := arrange(v, someSize)
	chest := l.camera.Paper(l.people[0].u, l.people[0].v+0.7*l.people[0].tall)
	i, ok := PersonAt(v, someSize, chest)
	require.True(t, ok)
	require.Zero(t, i)
	_, ok = PersonAt(v, someSize, Point{chest.X, l.field.Min.Y + 5})
	require.False(t, ok)

	// Moved by 2.6 m of the real subject to the right, behind the hull.
	v.Sheet.StandIns = []state.StandIn{{Of: figure.GermanMen, Place: geom.Vec{2600, 0, 0}}}
	m := arrange(v, someSize)
	require.InDelta(t, 2600.0/48, m.people[0].u-m.kit.u0-(l.people[0].u-l.kit.u0), 1e-9)
	v.Parts[0].Silhouettes[state.Front] = covering()
	chest = m.camera.Paper(m.people[0].u+0.05*m.people[0].tall, m.people[0].v+0.2*m.people[0].tall)
	_, ok = At(v, someSize, chest)
	require.True(t, ok)
	_, ok = PersonAt(v, someSize, chest)
	require.False(t, ok, "the hull is in front")
	v.Sheet.StandIns[0].Order = state.OverAll
	_, ok = PersonAt(v, someSize, chest)
	require.True(t, ok)
}

func TestWhatPeopleAreDrawnOver(t *testing.T) {
	v := at(t, tug(), 11.28, 48)
	order := func() (person, first, last int) {
		person, first, last = -1, -1, -1
		for i, m := range Draw(v, someSize) {
			switch {
			case m.Role == StandIn && m.Kind == Area:
				person = i
			case m.Role == PartShape && first < 0:
				first, last = i, i
			case m.Role == PartShape:
				last = i
			}
		}
		return person, first, last
	}
	for _, c := range []struct {
		order state.Order
		part  string
		want  func(person, first, last int) bool
	}{
		{state.BehindAll, "", func(p, first, _ int) bool { return p < first }},
		{state.OverAll, "", func(p, _, last int) bool { return p > last }},
		{state.OverPart, "1", func(p, first, last int) bool { return p > first && p < last }},
		{state.OverPart, "gone", func(p, first, _ int) bool { return p < first }},
	} {
		v.Sheet.StandIns = []state.StandIn{{Of: figure.GermanMen, Order: c.order, Over: c.part}}
		p, first, last := order()
		require.True(t, p >= 0 && c.want(p, first, last), "order %d %s: %d among %d to %d", c.order, c.part, p, first, last)
	}
}

func TestWithinACurve(t *testing.T) {
	square := []geom.Vec2{{0, 0}, {2, 0}, {2, 2}, {0, 2}}
	require.True(t, within(square, 1, 1))
	require.False(t, within(square, 3, 1))
	require.False(t, within(square, -1, 1))
	require.False(t, within(square, 1, math.Inf(1)))
}
