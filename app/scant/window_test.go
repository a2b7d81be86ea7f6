package main

import (
	"encoding/json"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/app/state/statetest"
	"scantling/engine/geom"
	"scantling/engine/ways"
)

// What the window works out of three clues on the demo kit, its door, its chair and its helmsman,
// the command works out of the same lengths; and the true 1:17.3 lies between.
func TestTheCommandGivesTheWindowsNumbers(t *testing.T) {
	q := statetest.NewQueue(t)
	b := state.New(state.Config{Post: q.Post, Disk: state.Real(), Preferences: statetest.NewPreferences("field", "ships")})
	b.Open([]string{filepath.Join("..", "..", "assets", "demo")})
	q.Until("all is read", func() bool {
		return len(b.View().Parts) > 0 && !slices.ContainsFunc(b.View().Jobs, func(j state.Job) bool { return j.ID == state.Opening })
	})
	b.ChooseWay(ways.ByClues)
	b.Type(state.InTarget, "1:48")

	// The door by two points on the sheet, which took the corners nearest to the clicks.
	_, house := surface(t, "wheelhouse.obj")
	foot, head := snapped(house, geom.Vec{29, -57, 178}), snapped(house, geom.Vec{29, -56, 291})
	b.StartMeasure()
	b.MeasureFrom(state.MeasurePoint{At: foot})
	b.MeasureTo(state.MeasurePoint{At: head}, ways.AlongZ)
	b.ClueFromMeasure()
	b.ClueObject("door-leaf-uk")
	b.AddClue()
	// The chair's seat by hand, and the helmsman by his part.
	b.Type(state.InDrawn, "25.98 mm ± 0.3 mm")
	b.ClueObject("chair-seat")
	b.AddClue()
	for _, p := range b.View().Parts {
		if p.Name == "helmsman" {
			b.ClueFromPart(p.ID)
		}
	}
	b.ClueObject("man-standing")
	b.AddClue()

	v := b.View()
	require.Len(t, v.Way.Clues, 3)
	require.NoError(t, v.WayErr)
	low, high := v.Result.NativeEstimate().Interval()
	require.Less(t, 1/low.Float(), 17.3)
	require.Greater(t, 1/high.Float(), 17.3)

	args := []string{"factor", "--json", "--field", "ships", "--target", "1:48"}
	for _, c := range v.Way.Clues {
		full := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
		args = append(args, "--clue", full(c.Drawn)+"mm±"+full(c.DrawnSD)+"mm="+c.Object)
	}
	got := scant(args...)
	require.Equal(t, 0, got.code, got.err)
	var r struct {
		Factor, SD float64
		Candidates []struct {
			Ratio       string
			Probability float64
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got.out), &r))
	require.InEpsilon(t, v.Result.Factor.Float(), r.Factor, 1e-12)
	require.InEpsilon(t, v.Result.Factor.Float()*v.Result.SD, r.SD, 1e-12)
	require.NotEmpty(t, r.Candidates)
	for i, c := range r.Candidates {
		require.Equal(t, v.Evidence.CluesAre.List[i].Standard.Ratio.String(), c.Ratio)
		require.InDelta(t, v.Evidence.CluesAre.List[i].Probability, c.Probability, 1e-12)
	}

	// A figure in hand for the same kit.
	b.SetNativeFrom(ways.FromClues)
	b.ChooseWay(ways.ByFigure)
	b.Type(state.InReadings, "52.3")
	b.Type(state.InPerson, "5 ft 9 in")
	b.Type(state.InBase, "3 mm")
	b.SetToEyes(true)
	got = scant(append(args[:len(args):len(args)], "--figure", "52.3", "--person", "5 ft 9 in", "--base", "3 mm", "--to-eyes")...)
	require.NotEqual(t, 0, got.code, "a figure takes no target")
	args = append([]string{"factor", "--json", "--figure", "52.3", "--person", "5 ft 9 in", "--base", "3 mm", "--to-eyes"}, args[6:]...)
	got = scant(args...)
	require.Equal(t, 0, got.code, got.err)
	require.NoError(t, json.Unmarshal([]byte(got.out), &r))
	require.InEpsilon(t, b.View().Result.Factor.Float(), r.Factor, 1e-12)
	require.InEpsilon(t, b.View().Result.Factor.Float()*b.View().Result.SD, r.SD, 1e-12)
}
