package state_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// rung is the place of a ratio on the ladder.
func (s *scene) rung(r string) int {
	s.t.Helper()
	for i, x := range s.View().Ladder {
		if x.Standard.Ratio.String() == r {
			return i
		}
	}
	s.t.Fatalf("no rung %s", r)
	return -1
}

// The target in force stays where it was pinned while another is tried beside it; what both come
// to is what each gives when it is in force.
func TestTwoTargetsSideBySide(t *testing.T) {
	s := open(t, "field", string(ratio.Ships))
	s.openAll()
	require.False(t, viewOf(s).Comparable())
	s.Compare()
	require.Nil(t, s.View().Pair, "there is no factor yet")
	s.UseBed(judge.Bed{Size: geom.Vec{90, 90, 120}})
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InTarget, "1:48")
	require.True(t, viewOf(s).Comparable())
	s.Compare()
	p := s.View().Pair
	require.NotNil(t, p)
	require.True(t, p.At[0].InForce)
	require.Equal(t, "1:48", p.At[0].Ratio.String())
	require.Less(t, p.At[1].Factor.Float(), p.At[0].Factor.Float(), "the next smaller model")

	s.CompareWith(1, s.rung("1:96"))
	s.settle()
	p = s.View().Pair
	require.Equal(t, s.rung("1:96"), p.At[1].Rung)
	require.Equal(t, 2, len(s.View().Judged.IDs))
	require.Equal(t, 1, p.At[0].Fitting, "the hull of 96.8 mm does not")
	require.Equal(t, 2, p.At[1].Fitting)
	require.InDelta(t, 412*11.28/96, p.At[1].Size[0], 1e-9)
	require.InDelta(t, 412*11.28/96, p.At[1].MostMM, 1e-3)
	require.Equal(t, "mast", s.View().Judged.Name(p.At[1].Least))
	require.InDelta(t, 1.0/8, p.At[1].Weight.Grams/p.At[0].Weight.Grams, 0.2, "less than by the cube: walls are solid")
	codes := map[judge.Code]judge.Standoff{}
	for _, d := range p.Differ {
		codes[d.Code] = d
	}
	require.Contains(t, codes, judge.OffBed)
	require.Zero(t, codes[judge.OffBed].At[1].Places)
	require.Equal(t, 1, codes[judge.OffBed].At[0].Places)

	// Taking the other leaves the pinned one where it is, and is one step of undo.
	before := p.At
	s.TakeCompared(1)
	s.settle()
	require.Equal(t, "1:96", s.View().Way.Target.String())
	require.Equal(t, state.StepRung, s.View().Undo)
	p = s.View().Pair
	require.False(t, p.At[0].InForce)
	require.True(t, p.At[1].InForce)
	require.Equal(t, before[1].Tally, p.At[1].Tally)
	require.Equal(t, s.View().Judged.Weight, p.At[1].Weight)
	counts := [judge.Stops + 1]int{}
	for _, f := range s.View().Judged.Findings {
		counts[f.Gravity]++
	}
	require.Equal(t, counts, p.At[1].Counts)

	// Closed, and opened again: the target now in force, beside the one it was compared with.
	s.EndCompare()
	require.Nil(t, s.View().Pair)
	s.Compare()
	p = s.View().Pair
	require.Equal(t, []string{"1:96", "1:48"}, []string{p.At[0].Ratio.String(), p.At[1].Ratio.String()})
	s.Undo()
	require.True(t, s.View().Pair.At[1].InForce)

	s.NewKit()
	require.Nil(t, s.View().Pair)
}

// A factor that no ratio was chosen for can be pinned, and taken back.
func TestAFactorIsPinned(t *testing.T) {
	s := open(t, "field", string(ratio.Ships))
	s.openAll()
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InFactor, "0.2")
	s.ChooseWay(ways.ByFactor)
	s.Compare()
	s.CompareWith(1, s.rung("1:48"))
	p := s.View().Pair
	require.Equal(t, -1, p.At[0].Rung)
	require.InDelta(t, 56.4, 1/p.At[0].Ratio.Float(), 1e-9)
	s.TakeCompared(1)
	require.Equal(t, "1:48", s.View().Result.Target.String())
	require.False(t, s.View().Pair.At[0].InForce)
	s.TakeCompared(0)
	require.Equal(t, ways.ByFactor, s.View().Way.Kind)
	require.InDelta(t, 0.2, s.View().Result.Factor.Float(), 1e-15)
	s.CompareWith(2, 0)
	s.CompareWith(0, 10_000)
	s.TakeCompared(-1)
	require.Equal(t, -1, s.View().Pair.At[0].Rung, "what is not there changes nothing")
}

func viewOf(s *scene) *state.View { v := s.View(); return &v }
