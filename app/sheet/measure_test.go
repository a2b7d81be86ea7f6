package sheet

import (
	"image"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/survey"
	"scantling/engine/ways"
)

// snapping is a view in which parts have snaps at the corners of their boxes, and the first
// one a round edge and an outermost point besides.
func snapping(v state.View) state.View {
	for i := range v.Parts {
		p := &v.Parts[i]
		p.Measured.Unit.MM = 1
		for k := range 8 {
			c := p.Box.Min
			for a := range 3 {
				if k>>a&1 == 1 {
					c[a] = p.Box.Max[a]
				}
			}
			p.Snaps = append(p.Snaps, survey.Snap{At: c, Kind: survey.SnapVertex, SD: 1e-6})
		}
	}
	p := &v.Parts[0]
	p.Snaps = append(p.Snaps, survey.Snap{At: geom.Vec{100, -48, 40}, Kind: survey.SnapCentre, SD: 1e-3},
		survey.Snap{At: geom.Vec{300, 0, 70}, Kind: survey.SnapExtreme, SD: 1e-6})
	return v
}

// onPaper is where a kit point of a part that stays in its place is drawn.
func onPaper(v state.View, p geom.Vec) Point {
	l := arrange(v, someSize)
	return l.where(axesOf(v.Sheet.Side, v.PartsUp), nil, p)
}

func TestPickTakesTheNearestSnap(t *testing.T) {
	v := snapping(at(t, tug(), 11.28, 48))
	for _, c := range []struct {
		at   geom.Vec
		part string
		snap state.Snap
	}{
		{geom.Vec{0, -48, 0}, "0", state.OnVertex}, {geom.Vec{100, -48, 40}, "0", state.OnCentre}, {geom.Vec{300, 0, 70}, "0", state.OnExtreme},
		{geom.Vec{253, -3, 330}, "2", state.OnVertex},
	} {
		p := onPaper(v, c.at)
		got, ok := Pick(v, someSize, Point{p.X + 3, p.Y - 2})
		require.True(t, ok)
		require.Equal(t, c.at, got.At, "of corners that look alike it is the one nearest to the eye")
		require.Equal(t, c.snap, got.Snap)
		require.Equal(t, c.part, got.Part)
	}
	p := onPaper(v, geom.Vec{150, 0, 40})
	free, ok := Pick(v, someSize, p)
	require.True(t, ok)
	require.Equal(t, state.FreePoint, free.Snap)
	require.Equal(t, "0", free.Part)
	require.InDelta(t, 150, free.At[0], 1e-9)
	require.InDelta(t, 0, free.At[1], 1e-9, "as deep as the middle of the part")
	require.InDelta(t, 40, free.At[2], 1e-9)
	l := arrange(v, someSize)
	require.InDelta(t, 1/(l.camera.Zoom*l.factor), free.SD, 1e-12, "a pixel")
	_, ok = Pick(v, someSize, Point{1, 1})
	require.False(t, ok, "the rulers are no place to measure")
}

func TestPickPrefersWhatIsNotHidden(t *testing.T) {
	// Two boxes behind one another; the near one's silhouette covers all of it.
	v := snapping(kitOf(box(0, 0, 0, 100, 10, 100), box(20, 50, 20, 80, 60, 80)))
	full := covering()
	v.Parts[0].Silhouettes[state.Front] = full
	p := onPaper(v, geom.Vec{20, 50, 20})
	got, _ := Pick(v, someSize, p)
	require.Equal(t, "1", got.Part, "nothing else is near")
	v.Parts[0].Snaps = append(v.Parts[0].Snaps, survey.Snap{At: geom.Vec{20.5, 0, 20}, Kind: survey.SnapVertex})
	got, _ = Pick(v, someSize, p)
	require.Equal(t, "0", got.Part, "the hidden one is nearer to the pointer")
	v.Selected = "1"
	got, _ = Pick(v, someSize, p)
	require.Equal(t, "1", got.Part, "the selected part is drawn over the others")
}

// A measure reads the same at any zoom, wherever the sheet is moved, and from every side.
func TestMeasureReadsRight(t *testing.T) {
	v := snapping(at(t, tug(), 11.28, 48)) // × 0.235
	a, b := geom.Vec{210, -30, 84}, geom.Vec{290, 30, 150}
	for side, want := range map[state.Side][3]string{
		state.Front:    {"24.4 mm print", "104 mm drawn", "1.17 m real"}, // hypot(80, 66)
		state.FromSide: {"21.0 mm print", "89.2 mm drawn", "1.01 m real"},
		state.Top:      {"23.5 mm print", "100 mm drawn", "1.13 m real"},
	} {
		for _, zoom := range []float64{0, 3, 40} {
			v.Sheet.Side, v.Sheet.Fit, v.Sheet.Zoom = side, zoom == 0, zoom
			v.Sheet.PanX, v.Sheet.PanY = a[0]*0.235, a[2]*0.235
			if side == state.FromSide {
				v.Sheet.PanX = a[1] * 0.235
			}
			if side == state.Top {
				v.Sheet.PanY = a[1] * 0.235
			}
			v.Measure = state.Measure{On: true, Begun: true, Side: side, Ends: [2]state.MeasurePoint{{At: a, Part: "1", Snap: state.OnVertex, SD: 1e-6}}}
			v.Measure = withUp(v.Measure).To(state.MeasurePoint{At: b, Part: "1", Snap: state.OnVertex, SD: 1e-6}, ways.Free)
			marks := Draw(v, someSize)
			var got []string
			for _, s := range written(marks, Measuring) {
				got = append(got, strings.ReplaceAll(s, "\u00a0", " "))
			}
			require.Equal(t, want[:], got, "side %d, zoom %g", side, zoom)
			p, q := onPaper(v, a), onPaper(v, b)
			tips := 0
			for _, m := range marks {
				if m.Role == Measuring && m.Kind == Area && (m.Points[0] == p || m.Points[0] == q) {
					tips++
				}
			}
			require.Equal(t, 2, tips, "an arrowhead touches each end")
			require.InDelta(t, v.Measure.Points.Len()*0.235*arrange(v, someSize).camera.Zoom, math.Hypot(q.X-p.X, q.Y-p.Y), 0.5)
		}
	}
}

// withUp is a measure as the bench begins it in a kit with z up.
func withUp(m state.Measure) state.Measure {
	m.Up = geom.Z
	return m
}

func TestMeasureAlongAnAxisStandsBesideItsEnds(t *testing.T) {
	v := snapping(at(t, tug(), 11.28, 48))
	m := withUp(state.Measure{On: true, Begun: true, Ends: [2]state.MeasurePoint{{At: geom.Vec{210, -30, 84}, Part: "1"}}})
	to := state.MeasurePoint{At: geom.Vec{290, -30, 150}, Part: "1"}
	v.Measure = m
	require.Equal(t, ways.AlongX, Straighten(v, to), "it is 80 across and 66 up")
	require.Equal(t, [2]ways.Direction{ways.AlongX, ways.AlongZ}, [2]ways.Direction{Across(v), Upright(v)})
	// The pointer's measure is drawn before its second point is set.
	marks := DrawAimed(v, someSize, Aim{true, to, ways.AlongX})
	require.Contains(t, written(marks, Measuring), "18.8\u00a0mm print")
	p, q := onPaper(v, geom.Vec{210, -30, 84}), onPaper(v, to.At)
	found := false
	for _, k := range marks {
		if k.Role == Measuring && k.Kind == Line && k.Points[0].Y == k.Points[1].Y && k.Points[0].X == p.X && k.Points[1].X == q.X {
			found = true
			require.Greater(t, k.Points[0].Y, p.Y, "under both ends")
		}
	}
	require.True(t, found)
	require.Empty(t, written(Draw(v, someSize), Measuring), "without an aim there is but the first point")
}

func TestEachSnapHasItsForm(t *testing.T) {
	seen := map[int]state.Snap{}
	for _, s := range state.Snaps() {
		d := &drawing{}
		d.snapMark(s, Point{}, true)
		key := len(d.marks)*100 + len(d.marks[0].Points)
		other, twice := seen[key]
		require.False(t, twice, "%d looks like %d", s, other)
		seen[key] = s
	}
	require.Len(t, seen, 4)
}

// In a row parts do not lie where they belong, and a measure keeps to one of them.
func TestMeasuringInARow(t *testing.T) {
	v := snapping(at(t, tug(), 11.28, 48))
	v.Sheet.InRow = true
	l := arrange(v, someSize)
	house := l.byID("1")
	a := axesOf(state.Front, geom.Z)
	corner := l.where(a, house, geom.Vec{290, -30, 150})
	got, ok := Pick(v, someSize, corner)
	require.True(t, ok)
	require.Equal(t, state.MeasurePoint{At: geom.Vec{290, -30, 150}, Part: "1", Snap: state.OnVertex, SD: 1e-6}, got)
	v.Measure = withUp(state.Measure{On: true, Begun: true, Ends: [2]state.MeasurePoint{got}})
	far, ok := Pick(v, someSize, l.where(a, l.byID("0"), geom.Vec{0, -48, 0}))
	require.True(t, ok)
	require.Equal(t, state.FreePoint, far.Snap, "another part's corner holds nothing")
	require.Equal(t, "1", far.Part)
}

// covering is a silhouette that covers all of its box.
func covering() *image.NRGBA {
	full := image.NewNRGBA(image.Rect(0, 0, 8, 8))
	for i := range full.Pix {
		full.Pix[i] = 255
	}
	return full
}
