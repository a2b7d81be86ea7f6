package text

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/gauge"
	"scantling/engine/hardware"
	"scantling/engine/judge"
	"scantling/engine/process"
	"scantling/engine/ratio"
)

func at(t *testing.T, typed string) ratio.Ratio {
	t.Helper()
	r, err := ratio.Parse(typed)
	require.NoError(t, err)
	return r
}

// Every code, gravity, remedy and field has words, and no two the same.
func TestJudgedWords(t *testing.T) {
	said := map[string]bool{}
	say := func(kind, of, words string) {
		t.Helper()
		require.NotEmpty(t, words, of)
		require.NotEqual(t, of, words, "no words of its own")
		require.False(t, said[kind+words], "%s is said twice", words)
		said[kind+words] = true
	}
	for _, c := range judge.Codes() {
		say("title", string(c), CodeTitle(c))
		say("short", string(c), CodeShort(c))
		says := judgedSays(judge.Finding{Code: c, Value: 2, Limit: 3, Item: "m3"}, "hull", false)
		require.NotContains(t, says, "limit ", c)
		say("says", string(c), says)
	}
	for _, r := range judge.Remedies() {
		say("remedy", string(r), remedyWords(judge.Finding{Remedy: r}, "hull", false))
	}
	for g := judge.Note; g <= judge.Stops; g++ {
		say("gravity", g.String(), GravityName(g))
	}
	for _, f := range process.Fields() {
		name, hint, _ := LimitName(f)
		say("field", string(f), name)
		require.NotEmpty(t, hint)
	}
	for _, p := range process.Presets() {
		say("process", p.Process.Name, ProcessName(p.Process.Name))
	}
	for _, k := range process.Kinds() {
		say("kind", string(k), ProcessKind(k))
	}
	for _, k := range []gauge.Kind{gauge.Walls, gauge.Pins, gauge.Gaps, gauge.Holes, gauge.Engraved, gauge.Raised, gauge.Fits, gauge.Steps, gauge.Lengths, gauge.Pegs} {
		name, look := GaugeKind(k)
		require.NotEmpty(t, name)
		say("look", string(k), look)
	}
	for _, f := range gauge.Fields() {
		name, hint, unit := GaugeField(f)
		say("reading", string(f), name)
		say("how to read", string(f), hint)
		require.NotEmpty(t, unit)
	}
	for _, m := range process.Materials() {
		say("material", m.Material.Name, MaterialName(m.Material.Name))
	}
	for _, i := range hardware.Items() {
		name := ItemName(i)
		require.NotEqual(t, i.Key, name)
		require.True(t, strings.HasPrefix(name, "a"), name)
	}
	check(t, ProcessName("My old machine"), "My old machine")
}

func TestJudgedSentences(t *testing.T) {
	native := at(t, "1:17.3")
	for _, c := range []struct {
		f    judge.Finding
		want string
	}{
		{judge.Finding{Code: judge.WallThin, Gravity: judge.Stops, Value: 0.5, Limit: 1, GoneAt: 17.3 / 24, Gone: judge.Larger, Remedy: judge.Thicken},
			"Wall too thin: 0.50 mm, which does not come out even where it is held; a free wall needs 1.00 mm; fine from ×0.7209 (1:24) up; or draw it thicker in the model."},
		{judge.Finding{Code: judge.BoreSmall, Value: 1.2, Limit: 3.2, GoneAt: 0.96, Gone: judge.Larger, Remedy: judge.DrillOut, Drill: 3.4, Item: "m3", Guess: true},
			"Hole too small for what goes in: ⌀ 1.20 mm for an M3 screw (a guess by its size as drawn), which needs 3.20 mm; an M1 screw passes as it is; fine from ×0.96 (1:18.02) up; or open it with a drill of 3.40 mm."},
		{judge.Finding{Code: judge.PegTight, Value: 0.1, Limit: 0.2, GoneAt: 0.5, Gone: judge.Larger, Remedy: judge.Offset, Offset: 0.3},
			"Peg does not go in: 0.10 mm of room in the mast socket; it goes in from 0.20 mm; fine from ×0.5 (1:34.6) up; or widen the hole in the mast socket by 0.30 mm across for an easy fit."},
		{judge.Finding{Code: judge.FacetsShow, Value: 0.3, Limit: 0.1, GoneAt: 2.00009, Gone: judge.Smaller, Remedy: judge.Refine},
			"Flat facets show on curves: up to 0.30 mm from the curve; from 0.10 mm on it shows; fine from ×2 (1:8.65) down; or export the model with more facets."},
		{judge.Finding{Code: judge.InsideOut, Value: 1, Remedy: judge.Mend},
			"Inside out: its triangles face inwards; mend it where it was made; many slicers mend it too."},
	} {
		other := "mast socket"
		check(t, strings.ReplaceAll(JudgedOf(c.f, other, native, false).String(), nbsp, " "), c.want)
	}
	check(t, GoneAt(judge.Finding{GoneAt: 0.72083334, Gone: judge.Larger}, ratio.Ratio{}), "fine from ×0.7209 up")
}

// What is shown is on the side on which the finding is gone.
func TestGoneIsRoundedToTheSafeSide(t *testing.T) {
	for _, f := range []float64{0.123456, 0.99999, 1, 1.00001, 0.72083334, 12.3451, 0.000123449} {
		for _, up := range []bool{true, false} {
			s := rounded(f, up)
			back, err := ratio.ParseFactor(strings.ReplaceAll(s, nbsp, ""))
			require.NoError(t, err, s)
			if up {
				require.GreaterOrEqual(t, back.Float(), f*(1-2e-9), s)
			} else {
				require.LessOrEqual(t, back.Float(), f*(1+2e-9), s)
			}
			require.InEpsilon(t, f, back.Float(), 1.1e-3)
		}
	}
	check(t, rounded(0.96, true), "0.96")
}

func TestWindowWords(t *testing.T) {
	native := at(t, "1:20")
	w := judge.Window{Least: 0.25, Most: 2, LeastCode: judge.WallThin, MostCode: judge.OffBed}
	check(t, WindowWords(w, native), "from ×0.25 (1:80), set by walls, up to ×2 (1:10), set by the bed")
	check(t, WindowWords(judge.Window{Most: math.Inf(1)}, native), "at any ratio")
	w.Most = 0.1
	check(t, WindowWords(w, ratio.Ratio{}), "at no ratio: it takes ×0.25 or more for walls, and ×0.1 or less for the bed")
}

func TestCountsAndWeights(t *testing.T) {
	check(t, GravityCount(nil), "nothing found")
	check(t, GravityCount([]judge.Finding{{Gravity: judge.Stops}, {Gravity: judge.Stops}, {Gravity: judge.Look}, {Gravity: judge.Look, Part: 1}, {}, {Aside: "x"}, {Aside: "x"}}),
		"1 stops the print, 2 to look at, 1 note, 1 set aside")
	check(t, Mass(12.345), "12.3 g")
	check(t, Mass(1234), "1.23 kg")
	check(t, Cost(3.2, "€"), "3.20 €")
	check(t, Cost(0, "€"), "")
}

// What a kit would take to fit and may not do is told apart from what it may.
func TestOutcomeFits(t *testing.T) {
	laid := judge.Outcome{Fits: [4]bool{judge.Faces: true, judge.Free: true}}
	check(t, OutcomeFits(laid, true, judge.AsItLies), "only laid")
	check(t, OutcomeFits(laid, true, judge.Faces), "fits laid")
	check(t, OutcomeFits(laid, false, judge.Faces), None)
	check(t, OutcomeFits(judge.Outcome{Fits: [4]bool{true, true, true, true}}, true, judge.AsItLies), "fits")
	tilted := judge.Outcome{Fits: [4]bool{judge.Free: true}}
	check(t, OutcomeFits(tilted, true, judge.Yaw), "no")
	check(t, OutcomeFits(tilted, true, judge.Free), "fits tilted")
	check(t, OutcomeFits(judge.Outcome{}, true, judge.Free), "no")
}
