package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/gauge"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/process"
	"scantling/engine/ratio"
)

// What was typed is read field by field; a fault is its field's alone.
func TestReadingAGauge(t *testing.T) {
	before := process.Presets()[0].Process
	g := state.ReadGauge(before, map[gauge.Field]string{
		gauge.Wall: "0.6", gauge.Pin: " ", gauge.Gap: "0.55", gauge.Hole: "wide", gauge.LengthX: "2.2 in", gauge.LengthY: "99,5mm",
	})
	require.Equal(t, gauge.Readings{gauge.Wall: 0.6, gauge.LengthX: 55.88, gauge.LengthY: 99.5}, g.Readings)
	require.Len(t, g.Faults, 2)
	require.ErrorIs(t, g.Faults[gauge.Gap], gauge.ErrReading)
	require.ErrorIs(t, g.Faults[gauge.Hole], ratio.ErrNotANumber)
	require.Equal(t, 0.6, g.After.Limits.WallFree)
	require.Equal(t, before.Limits.Gap, g.After.Limits.Gap)
	require.InDelta(t, 56/55.88, g.After.Correction.Scale[0], 1e-12)
	require.Equal(t, before, state.ReadGauge(before, nil).After)
}

// A gauge is saved for the process in force, over another only where that may be.
func TestSavingAGauge(t *testing.T) {
	s := open(t)
	save := func(over bool) {
		s.SaveGauge(at("gauge.stl"), over)
		s.queue.Until("it was tried", func() bool { return s.View().Gauged.Saved != "" || s.View().Notice != nil })
	}
	save(false)
	require.NoError(t, s.View().Notice)
	require.Equal(t, at("gauge.stl"), s.View().Gauged.Saved)
	c := s.disk.Saved()[at("gauge.stl")]
	require.Equal(t, 1.0, c.Factor)
	require.Zero(t, c.Correction, "what is measured on it is the whole correction")
	require.Equal(t, gauge.Tag, c.Tag)
	box := geom.EmptyBox()
	for _, p := range c.Source.Parts() {
		box = box.Union(p.Box)
	}
	require.InDelta(t, 0, box.Size().Sub(gauge.Size()).Len(), 1e-4)

	s.SaveGauge(at("gauge.stl"), false)
	s.queue.Until("it is refused", func() bool { return s.View().Notice != nil })
	var refused *deliver.Error
	require.ErrorAs(t, s.View().Notice, &refused)
	require.Equal(t, deliver.Exists, refused.Code)
	s.SaveGauge(at("gauge.stl"), true)
	s.queue.Until("it is replaced", func() bool { return s.View().Notice == nil })
}

// Readings make a process of the maker's own, which the kit is printed by from then on; read
// anew, it is brought up to date, and no other is replaced.
func TestKeepingReadings(t *testing.T) {
	s := open(t)
	s.openAll()
	before := s.View().Judged.Process
	keep := func(r gauge.Readings, name string) error {
		s.DismissNotice()
		was := s.View().Gauged
		done := s.View().Judged.Process
		s.KeepReadings(r, name)
		s.queue.Until("it was tried", func() bool {
			return s.View().Notice != nil || s.View().Gauged != was || s.View().Judged.Process != done
		})
		return s.View().Notice
	}
	require.NoError(t, keep(gauge.Readings{gauge.Pin: 1.5, gauge.LengthX: 55.8}, " mine "))
	mine := s.View().Judged.Process
	require.Equal(t, "mine", mine.Name)
	require.Equal(t, 1.5, mine.Limits.Pin)
	require.False(t, mine.Correction.On)
	require.Equal(t, "mine", s.View().Gauged.Kept)
	require.Equal(t, []process.Process{mine}, s.View().Processes)
	require.Equal(t, state.StepProcess, s.View().Undo)

	require.NoError(t, keep(gauge.Readings{gauge.Pin: 1}, "Mine"))
	require.Len(t, s.View().Processes, 1)
	require.Equal(t, 1.0, s.View().Processes[0].Limits.Pin)
	require.Equal(t, mine.Correction, s.View().Processes[0].Correction, "what was not read stays")
	s.Undo()
	require.Equal(t, 1.5, s.View().Judged.Process.Limits.Pin, "the kit's, not what is kept")
	s.Undo()
	require.Equal(t, before, s.View().Judged.Process)

	require.ErrorIs(t, keep(gauge.Readings{gauge.Pin: 1}, "mine"), kit.ErrProcessTaken)
	require.ErrorIs(t, keep(gauge.Readings{gauge.Pin: 1}, "resin"), kit.ErrProcessTaken)
	require.ErrorIs(t, keep(gauge.Readings{gauge.Pin: 1}, before.Name), kit.ErrProcessTaken, "one to begin with stays as it is")
	require.ErrorIs(t, keep(gauge.Readings{gauge.Pin: 1}, " "), kit.ErrProcessName)
	require.ErrorIs(t, keep(gauge.Readings{gauge.Pin: 1.1}, "other"), gauge.ErrReading)
	require.Equal(t, before, s.View().Judged.Process)
}
