package ui

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/survey"
	"scantling/engine/ways"
)

// paperOf is where a kit point lies on the sheet, seen from the front.
func (s *scene) paperOf(p geom.Vec) fyne.Position {
	f := s.view().Result.Factor.Float()
	if f == 0 {
		f = 1
	}
	q := cameraOf(s.sheet.view).Paper(p[0]*f, p[2]*f)
	return fyne.NewPos(float32(q.X), float32(q.Y))
}

// point moves the pointer over the sheet.
func (s *scene) point(p fyne.Position, held fyne.KeyModifier) {
	s.sheet.view.pressed = held
	s.sheet.view.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: p}, Modifier: held})
}

func TestMeasuringOnTheSheet(t *testing.T) {
	s := loaded(t)
	s.at48()
	s.key(text.MeasureTool)
	require.True(t, s.view().Measure.On)
	require.Equal(t, s.sheet.view, s.canvas().Focused(), "the keyboard goes along")
	require.Contains(t, s.sheet.tools.told.full, "Click the first point")

	corner, other := s.paperOf(geom.Vec{210, -30, 84}), s.paperOf(geom.Vec{290, -30, 150})
	s.point(corner.AddXY(3, -3), 0)
	require.Contains(t, s.sheet.tools.told.full, "a corner of house", "what holds the pointer is said")
	test.TapAt(s.sheet.view, corner.AddXY(3, -3))
	require.True(t, s.view().Measure.Begun)
	require.Equal(t, geom.Vec{210, -30, 84}, s.view().Measure.Ends[0].At)

	s.point(other, 0)
	require.Contains(t, s.sheet.tools.told.full, "From a corner to a corner of house")
	require.False(t, s.view().Measure.Known(), "moving sets nothing")
	test.TapAt(s.sheet.view, other.AddXY(-2, 2))
	m := s.view().Measure
	require.True(t, m.Known())
	require.InDelta(t, 103.7, m.Points.Len(), 0.05)
	require.Equal(t, s.part("house").ID, m.Part)
	require.Empty(t, s.view().Selected, "clicks measure, they do not select")
	require.Contains(t, s.sheet.tools.told.full, "From a corner to a corner of house, straight")

	test.Tap(s.sheet.tools.along[2])
	require.InDelta(t, 66, s.view().Measure.Points.Len(), 1e-9)
	require.True(t, s.sheet.tools.along[2].on)
	test.Tap(s.sheet.tools.along[0])

	// Shift holds one measure to an axis.
	test.TapAt(s.sheet.view, corner)
	s.point(other, fyne.KeyModifierShift)
	test.TapAt(s.sheet.view, other)
	require.InDelta(t, 80, s.view().Measure.Points.Len(), 1e-9)
	require.Equal(t, ways.AlongX, s.view().Measure.Points.Along)
	require.Equal(t, ways.Free, s.view().Measure.Along)

	s.sheet.view.pressed = 0
	test.TapAt(s.sheet.view, corner)
	s.keys(fyne.KeyEscape)
	require.False(t, s.view().Measure.Begun, "Escape takes the first point back")
	require.True(t, s.view().Measure.On)
	s.keys(fyne.KeyEscape)
	require.False(t, s.view().Measure.On, "and then leaves")
	require.False(t, s.sheet.tools.line.Visible())
}

func TestMeasuringByKeyboard(t *testing.T) {
	s := loaded(t)
	s.canvas().Focus(s.sheet.view)
	s.sheet.view.TypedRune('m')
	require.True(t, s.view().Measure.On)
	s.keys(fyne.KeyLeft, fyne.KeyRight)
	at := s.sheet.view.aim.at
	require.Equal(t, sheet.Field(s.sheet.view.size()).Middle(), at, "it begins in the middle")
	s.keys(fyne.KeyReturn)
	require.True(t, s.view().Measure.Begun)
	s.keys(fyne.KeyDown, fyne.KeyDown, fyne.KeyDown, fyne.KeyDown)
	require.Equal(t, at.Y+32, s.sheet.view.aim.at.Y)
	s.keys(fyne.KeyReturn)
	require.True(t, s.view().Measure.Known())
	fit := s.view().Sheet
	require.True(t, fit.Fit, "the arrows aim and do not move the sheet")
	s.sheet.view.TypedRune('m')
	require.False(t, s.view().Measure.On)
	s.keys(fyne.KeyLeft)
	require.False(t, s.view().Sheet.Fit)
}

func TestGoldenMeasuring(t *testing.T) {
	v := tug()
	for i := range v.Parts {
		v.Parts[i].Measured.Unit.MM = 1
	}
	v.Parts[2].Snaps = []survey.Snap{{At: geom.Vec{210, 0, 117}, Kind: survey.SnapExtreme}, {At: geom.Vec{250, 0, 150}, Kind: survey.SnapExtreme}}
	v.Parts[5].Snaps = []survey.Snap{{At: geom.Vec{208, -34, 118}, Kind: survey.SnapCentre}}
	v.Measure = state.Measure{On: true, Begun: true, Up: geom.Z, Ends: [2]state.MeasurePoint{{At: geom.Vec{0, 0, 44}, Part: "0", Snap: state.OnExtreme}}}
	v.Measure = v.Measure.To(state.MeasurePoint{At: geom.Vec{412, 0, 44}, Part: "0", Snap: state.OnExtreme}, ways.AlongX)
	size := sheet.Size{W: 720, H: 520}
	var p painter
	golden(t, "measured-light", p.paint(sheet.Draw(v, size), sheet.Field(size), 720, 520, 1, paper()))
	v.Measure = state.Measure{On: true, Begun: true, Up: geom.Z, Ends: [2]state.MeasurePoint{{At: geom.Vec{208, -34, 118}, Part: "5", Snap: state.OnCentre}}}
	at := sheet.CameraOf(v, size).Paper(250*0.235, 150*0.235)
	pick, ok := sheet.Pick(v, size, sheet.Point{X: at.X + 4, Y: at.Y})
	require.True(t, ok)
	require.Equal(t, state.OnExtreme, pick.Snap)
	golden(t, "measuring-dark", p.paint(sheet.DrawAimed(v, size, sheet.Aim{On: true, Pick: pick}), sheet.Field(size), 720, 520, 1, blueprint()))
	require.True(t, strings.HasPrefix(text.MeasureSays(v, pick, true), "From the middle of a round edge of lifebuoy to an outermost point of wheelhouse"))
}
