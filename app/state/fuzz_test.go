package state_test

import (
	"testing"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
)

// Whatever is typed is kept as typed, is a value or a fault, and undo leads back.
func FuzzType(f *testing.F) {
	for _, typed := range []string{"1:48", "1/", "H0", "87,1", "9.63 m", "5' 11 1/2\"", "0", "-1", "1e400", "", " ", "×0.235", "23.5 %", "NaN", "Inf"} {
		for i := range state.Inputs() {
			f.Add(uint8(i), typed)
		}
	}
	q, disk := statetest.NewQueue(f), statetest.NewDisk()
	disk.Box(at("hull.stl"), geom.Vec{412, 96, 88})
	f.Fuzz(func(t *testing.T, field uint8, typed string) {
		in := state.Inputs()[int(field)%len(state.Inputs())]
		b := state.New(state.Config{Post: q.Post, Disk: disk, Preferences: statetest.NewPreferences(), Surveys: &surveys})
		before := b.View()
		b.Type(in, typed)
		after := b.View()
		if after.Typed[in] != typed {
			t.Fatalf("typed %q, kept %q", typed, after.Typed[in])
		}
		if after.Faults[in] != nil && after.Unsaved {
			t.Fatalf("%q is a fault and a change", typed)
		}
		if after.Undo == "" {
			return // the same value in other words is no step
		}
		for b.View().Undo != "" {
			b.Undo()
		}
		if got, want := b.View().Typed[in], before.Typed[in]; got != want {
			t.Fatalf("undo leads to %q, not %q", got, want)
		}
		if len(b.View().Faults) > 0 || b.View().Unsaved {
			t.Fatalf("undo of %q leaves %v", typed, b.View().Faults)
		}
		b.Redo()
		if f := b.View().Result.Factor; f.Known() && !(f.Float() > 0) {
			t.Fatalf("%q gives the factor %v", typed, f)
		}
	})
}
