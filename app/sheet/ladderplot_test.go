package sheet

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// laddered is a view with rungs at these real sizes, native 1:10, and what each does.
func laddered(t *testing.T, real []float64, outcomes []judge.Outcome) state.View {
	v := state.View{}
	v.Judged.Native = ratioOf(t, 10)
	for i, r := range real {
		to := ratioOf(t, r)
		v.Judged.Ladder = append(v.Judged.Ladder, judge.Standing{
			Standard: ratio.Standard{Ratio: to}, Factor: ratio.FactorBetween(v.Judged.Native, to), Outcome: outcomes[i]})
	}
	return v
}

// Each state of a rung has a form of its own, the larger models stand left, and the band reaches
// from what the bed takes to what the details need.
func TestTheLadderIsOnePicture(t *testing.T) {
	v := laddered(t, []float64{20, 40, 80, 160}, []judge.Outcome{
		{Stops: []judge.Code{judge.OffBed}, Failing: 1}, {Prints: true}, {Prints: true, Looks: 2}, {Stops: []judge.Code{judge.PinThin}, Failing: 3}})
	v.Judged.Prints = judge.Window{Least: 0.1, Most: 0.3}
	v.Judged.Details = judge.Window{Least: 0.2, Most: 0.3}
	marks, spots := LadderPlot(v, Size{W: 320, H: LadderHeight})
	require.Len(t, spots, 4)
	for i := 1; i < len(spots); i++ {
		require.Greater(t, spots[i].X, spots[i-1].X)
		require.InDelta(t, spots[1].X-spots[0].X, spots[i].X-spots[i-1].X, 1e-9, "logarithmic")
	}
	require.Equal(t, []string{"1:20", "1:40", "1:80", "1:160"}, written(marks, LadderRung))
	forms := map[Kind]int{}
	var band Mark
	for _, m := range marks {
		if m.Role == LadderRung && m.Ink == Pen {
			forms[m.Kind]++
		}
		if m.Role == LadderBand && m.Kind == Area {
			band = m
		}
	}
	require.Equal(t, map[Kind]int{Outline: 2, Area: 1, Line: 2}, forms)
	where := func(f float64) float64 { // between the rungs of 1:20 and 1:160
		return spots[0].X + math.Log(0.5/f)/math.Log(8)*(spots[3].X-spots[0].X)
	}
	require.InDelta(t, where(0.3), band.Points[0].X, 1e-6)
	require.InDelta(t, where(0.1), band.Points[1].X, 1e-6)
}

// Where no ratio prints, brackets stand where the bed and the details would have it.
func TestALadderOnWhichNothingPrints(t *testing.T) {
	v := laddered(t, []float64{20, 160}, []judge.Outcome{{Stops: []judge.Code{judge.OffBed}}, {Stops: []judge.Code{judge.PinThin}}})
	v.Judged.Prints = judge.Window{Least: 0.3, Most: 0.1}
	marks, spots := LadderPlot(v, Size{W: 320, H: LadderHeight})
	var ends []float64
	for _, m := range marks {
		require.False(t, m.Role == LadderBand && m.Kind == Area)
		if m.Role == LadderBand {
			ends = append(ends, m.Points[1].X)
		}
	}
	require.Len(t, ends, 2)
	require.Greater(t, ends[0], ends[1], "the bed takes only smaller models than the details need")
	require.Len(t, spots, 2)

	v.Judged.Native = ratio.Ratio{}
	_, spots = LadderPlot(v, Size{W: 320, H: LadderHeight})
	require.Empty(t, spots)
}
