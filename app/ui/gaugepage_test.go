package ui

import (
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"scantling/app/sheet"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/gauge"
)

// reading is a field of the page of the step gauge.
func (s *scene) reading(f gauge.Field) *gaugeField {
	s.t.Helper()
	for _, r := range s.gauge.fields {
		if r.field == f {
			return r
		}
	}
	s.t.Fatalf("no field %s", f)
	return nil
}

// The gauge is saved from the page, and what came out of it is typed in or pressed on the plan,
// seen in what it changes, and kept as a process.
func TestThePageOfTheGauge(t *testing.T) {
	s := loaded(t)
	s.key(text.ChooseProcess)
	s.press(text.StepGauge.Name())
	require.Len(t, s.gauge.fields, len(gauge.Fields()))
	require.True(t, s.gauge.keep.Disabled(), "nothing was read")
	s.path = at("mine/gauge")
	s.press(text.SaveGauge)
	s.queue.Until("it is saved", func() bool { return s.view().Gauged.Saved != "" })
	require.Contains(t, s.disk.Saved(), s.path+".stl")
	require.Contains(t, s.gauge.says.Text, filepath.Base(s.path)+".stl")
	require.Equal(t, []string{".stl"}, s.asked[len(s.asked)-1].Extensions)

	wall := s.reading(gauge.Wall)
	require.Contains(t, wall.makes.full, "stays 1")
	s.fill(wall.entry, "0.6")
	require.Equal(t, "free 1 → 0.6, held 0.8 → 0.6", plain(wall.makes.full))
	require.Equal(t, 1.0, s.view().Judged.Process.Limits.WallFree, "only seen so far")
	pin := s.reading(gauge.Pin)
	s.fill(pin.entry, "1.1")
	require.True(t, pin.wrong.Visible())
	require.Contains(t, pin.fault.Text, "no size of the gauge")
	require.True(t, s.gauge.keep.Disabled(), "a fault stands in the way")
	s.fill(pin.entry, "1.5")
	require.False(t, pin.wrong.Visible())
	require.False(t, s.gauge.keep.Disabled())

	// On the plan: the strip of the field that has the keyboard is marked, a press reads a step.
	require.Equal(t, gauge.Pins, s.gauge.plan.marked)
	tap := func(kind gauge.Kind, mm float64) {
		t.Helper()
		size := s.gauge.plan.size()
		for y := 0.0; y < size.H; y += 2 {
			for x := 0.0; x < size.W; x += 2 {
				if step, ok := s.gauge.plan.plan.Hit(sheet.Point{X: x, Y: y}, size); ok && step.Kind == kind && step.MM == mm {
					s.gauge.plan.Tapped(&fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))})
					return
				}
			}
		}
		t.Fatalf("no step %s %v", kind, mm)
	}
	tap(gauge.Gaps, 0.3)
	require.Equal(t, "0.3", s.reading(gauge.Gap).entry.Text)
	tap(gauge.Fits, 0.3)
	require.Equal(t, "0.3", s.reading(gauge.Tight).entry.Text)
	s.canvas().Focus(s.reading(gauge.Loose).entry)
	tap(gauge.Fits, 0.5)
	require.Equal(t, "0.5", s.reading(gauge.Loose).entry.Text)
	require.Equal(t, "0.3", s.reading(gauge.Tight).entry.Text)
	tap(gauge.Steps, 10)
	require.Empty(t, s.reading(gauge.LengthZ).entry.Text, "a step is measured, not seen")

	s.fill(s.reading(gauge.LengthX).entry, "55.8")
	require.Equal(t, "×1 → ×1.00358", plain(s.reading(gauge.LengthX).makes.full))
	require.Equal(t, "×1 → ×1.00358, "+text.GaugeMean, plain(s.reading(gauge.LengthZ).makes.full))
	require.Equal(t, "Filament, 0.4 mm nozzle, measured", s.gauge.name.Text)
	s.fill(s.gauge.name, "Powder, Sintered")
	s.press(text.KeepReadings)
	s.queue.Until("a name that is shown for another is refused", func() bool { return s.view().Notice != nil })
	require.Empty(t, s.view().Gauged.Kept)
	s.bench.DismissNotice()
	s.fill(s.gauge.name, "my nozzle")
	s.press(text.KeepReadings)
	s.queue.Until("it is kept", func() bool { return s.view().Gauged.Kept != "" })
	require.Contains(t, s.gauge.says.Text, "my nozzle")
	now := s.view().Judged.Process
	require.Equal(t, "my nozzle", now.Name)
	require.Equal(t, 0.6, now.Limits.WallFree)
	require.Equal(t, 0.5, now.Limits.Loose)
	require.Contains(t, s.gauge.title.full, "my nozzle")
	require.Equal(t, "0.6, as it was", plain(wall.makes.full))
	tap(gauge.Walls, 1.5) // still on the gauge that was printed, not on one about the new limits
	require.Equal(t, "1.5", wall.entry.Text)
	require.Contains(t, s.drawer.process.Options, "my nozzle")
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.gauge.panel)
	require.Equal(t, s.process.gauge, s.canvas().Focused(), "back on the page of the process")
	require.Equal(t, "0.6", s.number("wall-free").entry.Text)
}

func plain(s string) string {
	l := newCaption(s, "", "")
	_ = test.WidgetRenderer(l)
	return says(l)
}

func TestGoldenGauge(t *testing.T) {
	s := loaded(t, "look", "light")
	s.run(s.byID[text.StepGauge])
	for f, typed := range map[gauge.Field]string{gauge.Wall: "0.8", gauge.Gap: "0.3", gauge.Hole: "1.1", gauge.Tight: "0.2", gauge.Loose: "0.4", gauge.LengthX: "55.8", gauge.LengthY: "99.7"} {
		s.fill(s.reading(f).entry, typed)
	}
	s.canvas().Focus(s.reading(gauge.Pin).entry)
	golden(t, "gauge-light", shot(s, s.gauge.panel))
	s.bench.SetLook(state.Dark)
	golden(t, "gauge-dark", shot(s, s.gauge.panel))
}
