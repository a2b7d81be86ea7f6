package state_test

import (
	"fmt"
	"testing"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ways"
)

// many is a bench with n parts and a native ratio, nothing running.
func many(tb testing.TB, n int) *state.Bench {
	b, _ := manyWithQueue(tb, n)
	return b
}

// manyWithQueue is the same with its queue.
func manyWithQueue(tb testing.TB, n int) (*state.Bench, *statetest.Queue) {
	q, disk := statetest.NewQueue(tb), statetest.NewDisk()
	for i := range n {
		corner := geom.Vec{float64(i % 20 * 30), float64(i / 20 * 30), 0}
		size := geom.Vec{10 + float64(i%7), 12, 20 + float64(i%11)}
		disk.Boxes(at(fmt.Sprintf("kit/part-%03d.stl", i)), geom.Box{Min: corner, Max: corner.Add(size)})
	}
	b := state.New(state.Config{Post: q.Post, Disk: disk, Preferences: statetest.NewPreferences(), Surveys: &surveys})
	b.Open([]string{at("kit")})
	q.Until("all is read", func() bool { return len(b.View().Jobs) == 0 })
	b.Type(state.InNative, "1:11.28")
	b.Type(state.InTarget, "1:48")
	if got := len(b.View().Parts); got != n {
		tb.Fatalf("%d parts, want %d", got, n)
	}
	return b, q
}

// The whole view of a kit of 300 parts is computed anew: sizes, offers, ladder, fits.
func BenchmarkFactorChange300(b *testing.B) {
	bench := many(b, 300)
	shown := 0.0
	bench.Watch(func(v state.View) { shown = v.Parts[299].Print[2] })
	i := 0
	for b.Loop() {
		i++
		bench.DragFactor(0.2 + float64(i%1000)/10000)
	}
	if shown == 0 {
		b.Fatal("nothing was computed")
	}
}

// The same by typing a ratio, which is parsed and, by the ladder, compared exactly.
func BenchmarkTypeRatio300(b *testing.B) {
	bench := many(b, 300)
	i := 0
	for b.Loop() {
		i++
		bench.Type(state.InTarget, fmt.Sprint("1:", 20+i%100))
	}
	if !bench.View().Result.Factor.Known() {
		b.Fatal("no factor")
	}
}

// The same with a figure in hand and twenty clues, whose candidates are weighed anew.
func BenchmarkEvidence300(b *testing.B) {
	bench := many(b, 300)
	for i := range 20 {
		bench.Type(state.InDrawn, fmt.Sprint(100+i, " = ", 1128+11*i, " ± 20"))
		bench.AddClue()
	}
	bench.Type(state.InPerson, "6 ft")
	bench.ChooseWay(ways.ByFigure)
	i := 0
	for b.Loop() {
		i++
		bench.Type(state.InReadings, fmt.Sprint(50+i%10))
	}
	if v := bench.View(); v.Evidence.Clues.Count != 20 || !v.Result.Factor.Known() {
		b.Fatal("nothing was weighed")
	}
}

// Choosing another target beside the one in force: what the window's goroutine does until it is free
// again, while 300 parts are compared aside.
func BenchmarkCompare300(b *testing.B) {
	bench, q := manyWithQueue(b, 300)
	bench.UseBed(judge.Bed{Size: geom.Vec{120, 120, 100}})
	bench.Compare()
	i := 0
	known := func() bool { return !bench.View().Pair.Waiting }
	q.Until("both are worked out", known)
	for b.Loop() {
		i++
		bench.CompareWith(1, i%len(bench.View().Ladder))
		b.StopTimer()
		q.Until("both are worked out", known)
		b.StartTimer()
	}
	if p := bench.View().Pair; len(p.Known.Parts) != 300 || p.Known.At[1].Weight.Grams == 0 {
		b.Fatal("nothing was compared")
	}
}
