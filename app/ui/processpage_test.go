package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/process"
)

// number is a field of the page of the process.
func (s *scene) number(f process.Field) *processField {
	s.t.Helper()
	for _, r := range s.process.fields {
		if r.field == f {
			return r
		}
	}
	s.t.Fatalf("no field %s", f)
	return nil
}

// Every number is on the page, with its unit and where it comes from; what is typed
// is judged at once and is one step of undo.
func TestThePageOfAProcess(t *testing.T) {
	s := loaded(t)
	s.key(text.ChooseProcess)
	require.Len(t, s.process.fields, len(process.Fields()))
	page := says(s.over())
	for _, want := range []string{"Thinnest wall, free", "Fits", "0.8 to 1.2", "g/cm³", "PLA"} {
		require.Contains(t, page, want)
	}
	pin := s.number(process.Pin)
	s.fill(pin.entry, "3,25")
	require.Equal(t, 3.25, s.view().Judged.Process.Limits.Pin)
	require.Contains(t, says(s.over()), "yours; it was 2")
	require.Contains(t, s.drawer.process.Selected, "changed")
	require.Equal(t, state.StepProcess, s.view().Undo)
	s.bench.Undo()
	require.Equal(t, 2.0, s.view().Judged.Process.Limits.Pin, "all the typing is one step")
	require.Equal(t, "2", pin.entry.Text)

	// What cannot be stays typed, with what is wrong beside it, and changes nothing.
	wall := s.number(process.WallFree)
	s.fill(wall.entry, "0.5")
	require.True(t, wall.wrong.Visible())
	require.Contains(t, wall.fault.Text, "as much as one that is held")
	s.fill(s.number(process.Density).entry, "heavy")
	require.Contains(t, s.number(process.Density).fault.Text, "not a number")
	require.Equal(t, 1.24, s.view().Judged.Process.Material.Density)
	s.fill(s.number(process.Infill).entry, "40 %")
	require.Equal(t, 0.4, s.view().Judged.Process.Fill.Infill)
	s.fill(s.number(process.Price).entry, "22")
	s.fill(s.process.money, "kr")
	require.Equal(t, "kr", s.view().Judged.Process.Material.Money)
	s.press(text.AsItWas)
	require.Equal(t, process.Presets()[0].Process, s.view().Judged.Process)
	require.True(t, s.process.was.Disabled())
	s.keys(fyne.KeyEscape)
	require.Nil(t, s.process.panel)
}

// A process is saved under a name, is offered from then on, and is forgotten.
func TestAProcessIsSavedAndForgotten(t *testing.T) {
	s := loaded(t)
	s.key(text.ChooseProcess)
	s.fill(s.number(process.Pin).entry, "1.5")
	save := func(name string) {
		s.press(text.SaveProcess)
		s.write(name)
		s.keys(fyne.KeyReturn)
	}
	for _, name := range []string{"resin", " RESIN in a vat "} { // as it is kept, and as it is shown
		save(name)
		s.queue.Until("the name is refused", func() bool { return s.view().Notice != nil })
		require.Contains(t, s.process.says.Text, "already")
		s.bench.DismissNotice()
	}
	require.Empty(t, s.view().Processes)
	save("fine nozzle")
	s.queue.Until("it is kept", func() bool { return len(s.view().Processes) == 1 })
	require.Equal(t, "fine nozzle", s.drawer.process.Selected)
	require.Contains(t, s.drawer.process.Options, "fine nozzle")
	s.drawer.process.SetSelected(text.ProcessName("powder"))
	require.Equal(t, "powder", s.view().Judged.Process.Name)
	s.drawer.process.SetSelected("fine nozzle")
	require.Equal(t, 1.5, s.view().Judged.Process.Limits.Pin)
	s.press(text.ForgetProcess)
	s.queue.Until("it is forgotten", func() bool { return len(s.view().Processes) == 0 })
	require.Equal(t, 1.5, s.view().Judged.Process.Limits.Pin, "the kit keeps it")
	require.True(t, s.process.forget.Disabled())
}

// What the keyboard comes to is in sight.
func TestThePageScrollsWithTheKeyboard(t *testing.T) {
	s := loaded(t)
	s.key(text.ChooseProcess)
	last := s.number(process.Price).entry
	s.canvas().Focus(last)
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	y := place(last).Y - place(s.process.scroll).Y
	require.Greater(t, s.process.scroll.Offset.Y, float32(0))
	require.LessOrEqual(t, y+last.Size().Height, s.process.scroll.Size().Height)
	s.canvas().Focus(s.process.fields[0].entry)
	require.GreaterOrEqual(t, place(s.process.fields[0].entry).Y, place(s.process.scroll).Y)
}

func TestGoldenProcess(t *testing.T) {
	s := loaded(t, "look", "light")
	s.key(text.ChooseProcess)
	s.fill(s.number(process.Pin).entry, "1.5")
	s.fill(s.number(process.WallFree).entry, "0.5")
	golden(t, "process-light", shot(s, s.process.panel))
	s.bench.SetLook(state.Dark)
	s.canvas().Focus(s.number(process.Price).entry)
	golden(t, "process-dark", shot(s, s.process.panel))
}
