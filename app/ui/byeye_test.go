package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// drag drags over the sheet in some steps, with keys held.
func (s *scene) drag(from, to fyne.Position, held fyne.KeyModifier) {
	v := s.sheet.view
	v.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: from}, Modifier: held})
	const steps = 4
	at := from
	for i := 1; i <= steps; i++ {
		p := fyne.NewPos(from.X+(to.X-from.X)*float32(i)/steps, from.Y+(to.Y-from.Y)*float32(i)/steps)
		v.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: p}, Dragged: fyne.Delta{DX: p.X - at.X, DY: p.Y - at.Y}})
		at = p
	}
	v.DragEnd()
	v.pressed = 0
}

func pos(p sheet.Point) fyne.Position { return fyne.NewPos(float32(p.X), float32(p.Y)) }

// handle is the upper right handle of the sheet.
func (s *scene) handle() sheet.Handle {
	s.t.Helper()
	v := s.sheet.view
	f := v.view.Result.Factor.Float()
	if f == 0 {
		f = 1
	}
	box := v.view.KitBox
	h, ok := sheet.HandleAt(v.view, v.size(), cameraOf(v).Paper(box.Max[0]*f, box.Max[2]*f))
	require.True(s.t, ok)
	return h
}

func TestDraggingACornerByEye(t *testing.T) {
	s := loaded(t, "field", string(ratio.Armour))
	s.bench.Type(state.InTarget, "1:48")
	s.key(text.ByEyeTool)
	require.True(t, s.view().Sheet.ByEye)
	require.Contains(t, says(s.sheet.tools.root), text.LabelTargetByEye)
	h := s.handle()
	to := sheet.Point{X: h.Foot.X + (h.At.X-h.Foot.X)*0.36, Y: h.Foot.Y + (h.At.Y-h.Foot.Y)*0.36}
	s.drag(pos(h.At), pos(to), 0)
	require.InDelta(t, 0.36, s.view().Result.Factor.Float(), 0.0005)
	require.Equal(t, ways.ByFactor, s.view().Way.Kind)
	after := s.handle()
	require.InDelta(t, to.X, after.At.X, 0.6, "the corner is where it was dragged to")
	require.InDelta(t, to.Y, after.At.Y, 0.6)
	require.InDelta(t, h.Foot.X, after.Foot.X, 0.01, "about the foot")
	require.InDelta(t, 1/17.28, s.view().WouldBe().Float(), 1e-4)
	s.key(text.Undo)
	require.False(t, s.view().Result.Factor.Known(), "one drag is one step")
	s.key(text.Redo)

	// Near a standard ratio it sticks, unless Shift is held: 1:16 is at a third.
	third := func() sheet.Point {
		h, f := s.handle(), s.view().Result.Factor.Float()
		k := 0.3345 / f
		return sheet.Point{X: h.Foot.X + (h.At.X-h.Foot.X)*k, Y: h.Foot.Y + (h.At.Y-h.Foot.Y)*k}
	}
	s.drag(pos(s.handle().At), pos(third()), fyne.KeyModifierShift)
	require.InDelta(t, 0.3345, s.view().Result.Factor.Float(), 0.0003)
	require.NotEqual(t, "1/3", s.view().Result.Factor.Exact())
	s.drag(pos(s.handle().At), pos(third()), 0)
	require.Equal(t, "1/3", s.view().Result.Factor.Exact())
	require.Contains(t, s.sheet.tools.would.full, "1:16 is a standard ratio")
}

func TestFactorByKeysAndWheelByEye(t *testing.T) {
	s := loaded(t)
	s.bench.DragFactor(0.5)
	s.bench.EndDrag()
	s.canvas().Focus(s.sheet.view)
	key := func(name fyne.KeyName, m fyne.KeyModifier) {
		s.sheet.view.TypedShortcut(&desktop.CustomShortcut{KeyName: name, Modifier: m})
	}
	key(fyne.KeyUp, fyne.KeyModifierAlt)
	require.Equal(t, "0.5", s.view().Result.Factor.Exact(), "only by eye")
	s.sheet.view.TypedRune('e')
	for _, c := range []struct {
		key  fyne.KeyName
		with fyne.KeyModifier
		want float64
	}{
		{fyne.KeyUp, fyne.KeyModifierAlt, 0.505}, {fyne.KeyDown, fyne.KeyModifierAlt, 0.5},
		{fyne.KeyUp, fyne.KeyModifierAlt | fyne.KeyModifierShift, 0.5005}, {fyne.KeyLeft, fyne.KeyModifierAlt | fyne.KeyModifierShift, 0.5},
		{fyne.KeyRight, fyne.KeyModifierShortcutDefault | fyne.KeyModifierShift, 0.50005},
	} {
		key(c.key, c.with)
		require.InDelta(t, c.want, s.view().Result.Factor.Float(), 1e-6)
	}
	s.canvas().Unfocus()
	s.key(text.Undo)
	require.Equal(t, "0.5", s.view().Result.Factor.Exact(), "what the keys did is one step")

	wheel := fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 25)}
	s.sheet.view.pressed = fyne.KeyModifierShortcutDefault
	zoom := cameraOf(s.sheet.view).Zoom
	s.sheet.view.Scrolled(&wheel)
	require.InDelta(t, 0.505, s.view().Result.Factor.Float(), 1e-6)
	require.InDelta(t, zoom, cameraOf(s.sheet.view).Zoom, 1e-9)
	s.sheet.view.pressed = 0
	s.sheet.view.Scrolled(&wheel)
	require.InDelta(t, zoom*notch, cameraOf(s.sheet.view).Zoom, 1e-9)
}

func TestMovingPartsAndPeopleByHand(t *testing.T) {
	s := loaded(t)
	s.at48()
	person := func() fyne.Position {
		for y := float32(40); y < 600; y += 4 {
			for x := float32(50); x < 580; x += 4 {
				if _, ok := sheet.PersonAt(s.sheet.view.view, s.sheet.view.size(), sheet.Point{X: float64(x), Y: float64(y)}); ok {
					return fyne.NewPos(x, y)
				}
			}
		}
		t.Fatal("nobody is there")
		return fyne.Position{}
	}
	p := person()
	s.drag(p, p.AddXY(60, -20), 0)
	zoom := cameraOf(s.sheet.view).Zoom
	place := s.view().Sheet.People()[0].Place
	require.InDelta(t, 60/zoom*48, place[0], 1, "in millimetres of the real subject")
	require.InDelta(t, 20/zoom*48, place[2], 1)
	require.Empty(t, s.view().Selected)

	house := s.paperOf(geom.Vec{250, 0, 120})
	before := s.view().Sheet
	s.drag(house, house.AddXY(10, 10), 0)
	require.Empty(t, s.view().Sheet.Moved, "a drag moves the sheet")
	require.NotEqual(t, before.PanX, s.view().Sheet.PanX)

	s.key(text.ByEyeTool)
	house = s.paperOf(geom.Vec{250, 0, 120})
	s.drag(house, house.AddXY(-40, 30), 0)
	id := s.part("house").ID
	require.Contains(t, s.view().Sheet.Moved, id)
	require.True(t, s.sheet.tools.back.Visible())
	s.bench.Select(id)
	at := s.view().Sheet.Moved[id]
	s.canvas().Focus(s.sheet.view)
	s.sheet.view.pressed = fyne.KeyModifierShift
	s.keys(fyne.KeyRight)
	s.sheet.view.pressed = 0
	require.InDelta(t, 8/cameraOf(s.sheet.view).Zoom, s.view().Sheet.Moved[id][0]-at[0], 1e-6)
	s.press(text.PutBack.Name())
	require.Empty(t, s.view().Sheet.Moved)
	require.Equal(t, geom.Vec{}, s.view().Sheet.People()[0].Place)
	require.False(t, s.sheet.tools.back.Visible())
}

func TestChoosingStandIns(t *testing.T) {
	s := loaded(t)
	s.at48()
	require.False(t, s.sheet.tools.crowd.Visible())
	s.key(text.StandInTool)
	require.True(t, s.sheet.tools.crowd.Visible())
	r := s.sheet.tools.rows
	require.True(t, r[0].root.Visible())
	require.False(t, r[1].root.Visible())
	s.press(text.AddStandIn.Name())
	require.True(t, r[1].root.Visible())
	require.False(t, s.sheet.tools.more.Visible(), "two are enough")
	r[1].pose.SetSelectedIndex(1)
	r[1].who.SetSelectedIndex(1)
	r[0].order.SetSelectedIndex(1)
	s.fill(r[0].stature, "6 ft")
	p := s.view().Sheet.People()
	require.Equal(t, figure.Sits, p[1].Pose)
	require.Equal(t, figure.Populations()[1], p[1].Of)
	require.Equal(t, state.OverAll, p[0].Order)
	require.InDelta(t, 1828.8, p[0].Stature(), 1e-9)
	s.fill(r[0].stature, "12 m")
	require.Contains(t, r[0].wrong.full, "nobody is that")
	require.True(t, r[0].wrong.Visible())
	require.Len(t, r[0].order.Options, 2, "there is no part to be in front of")
	s.bench.Select(s.part("hull").ID)
	require.Equal(t, text.OrderName(state.OverPart, "hull"), r[0].order.Options[2])
	r[0].order.SetSelectedIndex(2)
	require.Equal(t, s.part("hull").ID, s.view().Sheet.People()[0].Over)
	s.press(text.LabelOffSheet)
	require.Len(t, s.view().Sheet.People(), 1)
	test.Tap(s.sheet.tools.people)
	require.False(t, s.sheet.tools.crowd.Visible())
}

func TestGoldenPeople(t *testing.T) {
	v := tug()
	v.Sheet.Side = state.FromSide
	v.Sheet.StandIns = []state.StandIn{{Of: figure.GermanMen, Pose: figure.Sits}}
	golden(t, "seated-light", paintSheet(v, 720, 520, 1, paper()))
	v.Sheet.Side = state.Front
	v.Sheet.StandIns = []state.StandIn{{Of: figure.GermanMen, Pose: figure.Reaches}, {Of: figure.Women}}
	golden(t, "two-people-dark", paintSheet(v, 720, 520, 1, blueprint()))
	v.Way.Target = v.Result.Target
	v.Sheet.ByEye = true
	v.Sheet.Moved = map[string]geom.Vec{"2": {-52, 0, 0}}
	v.Sheet.StandIns = []state.StandIn{{Of: figure.GermanMen, Order: state.OverPart, Over: "2"}}
	golden(t, "by-eye-light", paintSheet(v, 720, 520, 1, paper()))
}
