package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/gauge"
	"scantling/engine/geom"
	"scantling/engine/judge"
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

// A correction is also typed as what was meant and what was measured.
func TestMeantAndMeasured(t *testing.T) {
	for typed, want := range map[string]float64{"150 / 149.5": 150 / 149.5, "× 1.004": 1.004, "15 cm/149.5": 150 / 149.5, "": 0} {
		got, err := state.ProcessNumber(process.CorrectionX, typed)
		require.NoError(t, err, typed)
		require.InDelta(t, want, got, 1e-15, typed)
	}
	for _, typed := range []string{"150/", "/150", "0/150", "150/0", "a/b"} {
		_, err := state.ProcessNumber(process.CorrectionX, typed)
		require.Error(t, err, typed)
	}
	s := open(t)
	require.NoError(t, s.TypeProcess(process.CorrectionZ, "10/9.98"))
	require.Equal(t, geom.Vec{1, 1, 10 / 9.98}, s.View().Judged.Process.Correction.Whole())
	require.ErrorIs(t, s.TypeProcess(process.CorrectionZ, "10/7"), process.ErrCorrection)
}

// What fills the bed is too long for it once it is corrected, and the plan says so.
func TestCorrectedBeyondTheBed(t *testing.T) {
	s := open(t)
	s.openAll()
	s.Type(state.InNative, "1:24")
	s.Type(state.InTarget, "1:48")
	bed := judge.Bed{Size: geom.Vec{206.5, 200, 200}} // the hull prints at 206
	s.UseBed(bed)
	over := func(name string) geom.Vec {
		for _, n := range s.View().Copies.Names {
			if n.Part == name {
				return n.Over
			}
		}
		t.Fatal(name)
		return geom.Vec{}
	}
	s.PlanCopies()
	require.NoError(t, s.TypeProcess(process.CorrectionX, "1.01"))
	require.Zero(t, over("hull.stl"), "it is off")
	s.CorrectCopies(true)
	require.InDelta(t, 206*1.01-206.5, over("hull.stl")[0], 1e-9)
	require.Zero(t, over("mast.stl"))
	require.NoError(t, s.TypeProcess(process.CorrectionX, "0.99"))
	require.Zero(t, over("hull.stl"))
}
