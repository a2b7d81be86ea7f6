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

// paired is what is compared, once it is worked out.
func (s *scene) paired() *state.Pair {
	s.t.Helper()
	s.queue.Until("both targets are worked out", func() bool {
		p := s.View().Pair
		return p != nil && !p.Waiting && len(s.View().Jobs) == 0
	})
	return s.View().Pair
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
	p := s.paired()
	require.True(t, p.At[0].InForce)
	require.Equal(t, "1:48", p.At[0].Ratio.String())
	require.Less(t, p.At[1].Factor.Float(), p.At[0].Factor.Float(), "the next smaller model")

	s.CompareWith(1, s.rung("1:96"))
	p = s.paired()
	require.Equal(t, s.rung("1:96"), p.At[1].Rung)
	require.Equal(t, 2, len(s.View().Judged.IDs))
	require.Equal(t, 1, p.Known.At[0].Fitting, "the hull of 96.8 mm does not")
	require.Equal(t, 2, p.Known.At[1].Fitting)
	require.InDelta(t, 412*11.28/96, p.Known.At[1].Size[0], 1e-9)
	require.InDelta(t, 412*11.28/96, p.Known.At[1].MostMM, 1e-3)
	require.Equal(t, "mast", s.View().Judged.Name(p.Known.At[1].Least))
	require.InDelta(t, 1.0/8, p.Known.At[1].Weight.Grams/p.Known.At[0].Weight.Grams, 0.2, "less than by the cube: walls are solid")
	codes := map[judge.Code]judge.Standoff{}
	for _, d := range p.Known.Differ {
		codes[d.Code] = d
	}
	require.Contains(t, codes, judge.OffBed)
	require.Zero(t, codes[judge.OffBed].At[1].Places)
	require.Equal(t, 1, codes[judge.OffBed].At[0].Places)

	// Taking the other leaves the pinned one where it is, and is one step of undo.
	before := p.Known.At
	s.TakeCompared(1)
	s.settle()
	require.Equal(t, "1:96", s.View().Way.Target.String())
	require.Equal(t, state.StepRung, s.View().Undo)
	p = s.paired()
	require.False(t, p.At[0].InForce)
	require.True(t, p.At[1].InForce)
	require.Equal(t, before[1].Tally, p.Known.At[1].Tally)
	require.Equal(t, s.View().Judged.Weight, p.Known.At[1].Weight)
	counts := [judge.Stops + 1]int{}
	for _, f := range s.View().Judged.Findings {
		counts[f.Gravity]++
	}
	require.Equal(t, counts, p.Known.At[1].Counts)

	// Closed, and opened again: the target now in force, beside the one it was compared with.
	s.EndCompare()
	require.Nil(t, s.View().Pair)
	s.Compare()
	p = s.paired()
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
	p := s.paired()
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

// inShips is the scene at 1:48 with two targets side by side, worked out.
func inShips(t *testing.T) *scene {
	s := open(t, "field", string(ratio.Ships))
	s.openAll()
	s.UseBed(judge.Bed{Size: geom.Vec{90, 90, 120}})
	s.Type(state.InNative, "1:11.28")
	s.Type(state.InTarget, "1:48")
	s.Compare()
	s.paired()
	return s
}

// What two targets come to is worked out aside: what is shown until then is what was known before,
// of one pair as a whole, and of several choices in a row only the last one comes.
func TestComparingGoesOnAside(t *testing.T) {
	s := inShips(t)
	old := s.View().Pair.Known
	factors := func(c state.Comparison) string { return c.At[0].Factor.String() + " " + c.At[1].Factor.String() }
	seen := map[string]int{}
	s.Watch(func(v state.View) { seen[factors(v.Pair.Known)]++ })
	last := len(s.View().Ladder) - 1
	for r := last - 4; r <= last; r++ {
		s.CompareWith(1, r)
		p := s.View().Pair
		require.True(t, p.Waiting)
		require.Equal(t, r, p.At[1].Rung, "what is chosen shows at once")
		require.Equal(t, old, p.Known)
	}
	p := s.paired()
	require.True(t, s.View().Ladder[last].Standard.Ratio.Equal(p.Known.At[1].Ratio))
	require.True(t, p.Known.At[1].Factor.Equal(p.At[1].Factor))
	require.Len(t, seen, 2, "the old pair and the last")
	require.NotZero(t, seen[factors(old)])

	// Back to what was there: the same to the last figure.
	s.CompareWith(1, s.rung(old.At[1].Ratio.String()))
	require.Equal(t, old, s.paired().Known)
}

// A kit that changes while its targets are compared is compared again; parts are named as they were
// counted.
func TestTheKitChangesWhileItIsCompared(t *testing.T) {
	s := inShips(t)
	require.Equal(t, []string{"hull", "mast"}, s.View().Pair.Known.Parts)
	s.CompareWith(1, s.rung("1:96"))
	s.Tick(s.part("hull").ID, false)
	require.True(t, s.View().Pair.Waiting)
	require.Equal(t, []string{"hull", "mast"}, s.View().Pair.Known.Parts)
	p := s.paired()
	require.Equal(t, []string{"mast"}, p.Known.Parts)
	require.Equal(t, 1, p.Known.At[0].Fitting)
	require.Equal(t, "1:96", p.Known.At[1].Ratio.String())
	for _, d := range p.Known.Differ {
		require.Less(t, d.Part, 1)
	}
}

// What is closed, or belongs to a kit that is gone, comes no more.
func TestAClosedComparisonComesNoMore(t *testing.T) {
	s := inShips(t)
	s.CompareWith(1, s.rung("1:96"))
	s.EndCompare()
	require.Nil(t, s.View().Pair)
	s.Compare()
	p := s.View().Pair
	require.True(t, p.Waiting)
	require.Empty(t, p.Known.Parts, "nothing is known of what was closed")
	require.Equal(t, "1:96", s.paired().Known.At[1].Ratio.String())

	s.CompareWith(1, 0)
	s.NewKit()
	require.Nil(t, s.View().Pair)
	s.openAll()
	s.Type(state.InNative, "1:10")
	s.Type(state.InTarget, "1:50")
	s.Watch(func(v state.View) {
		require.False(t, v.Pair != nil && len(v.Pair.Known.Parts) > 0 && !v.Pair.Known.At[0].Factor.Equal(v.Result.Factor), "what was worked out for the kit before")
	})
	s.Compare()
	require.Equal(t, "1:50", s.paired().Known.At[0].Ratio.String())
}

func viewOf(s *scene) *state.View { v := s.View(); return &v }
