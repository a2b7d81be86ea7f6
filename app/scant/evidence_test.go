package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/ratio"
)

// oneTo is the number of a ratio 1:n.
func oneTo(t *testing.T, typed string) float64 {
	t.Helper()
	a, err := ratio.Parse(typed)
	require.NoError(t, err, typed)
	return 1 / a.Float()
}

func TestFactorByFigure(t *testing.T) {
	kitFolder(t)
	// 52.3 mm for 5 ft 9 in is 1:33.51; of files at 1:11.28 that is 11.28/33.51.
	r, stderr := jsonOf(t, 0, "factor", "--figure", "52.3mm", "--person", "5ft 9in", "--native", "1:11.28", "kit")
	require.Empty(t, stderr)
	n := 1752.6 / 52.3
	require.InDelta(t, 11.28/n, r.Factor, 1e-12)
	require.InDelta(t, n, oneTo(t, r.Implied.Ratio), 1e-4)
	u := math.Hypot(0.02/math.Sqrt(3), 0.0029) / 52.3 // the calipers' limits and their last digit
	require.InEpsilon(t, r.Factor*u, *r.SD, 1e-6)
	require.InDelta(t, n*math.Exp(-1.96*u), oneTo(t, r.Implied.Low), 1e-4)
	require.InDelta(t, n*math.Exp(1.96*u), oneTo(t, r.Implied.High), 1e-4)
	require.Equal(t, "1:11.28", r.Native.Ratio)
	require.Equal(t, r.Native.Low, r.Native.High)
	require.Equal(t, "1:33.5", r.Ratio)
	require.Len(t, r.Parts, 4)
	require.InDelta(t, 400*r.Factor, r.Parts[3].Print[0], 1e-4)
	require.Contains(t, r.Why, "native 1:11.28")

	// A base of 3 mm leaves 49.3 mm; to the eyes that is 0.936 of the person.
	r, _ = jsonOf(t, 0, "factor", "--figure", "52.3mm", "--person=5ft 9in", "--to-eyes", "--base", "3mm", "--native", "1:11.28")
	require.InDelta(t, 1752.6*0.936/49.3, oneTo(t, r.Implied.Ratio), 1e-4)

	// Several readings are averaged.
	r, _ = jsonOf(t, 0, "factor", "--figure", "52.2", "--figure", "52.4", "--figure=52.3", "--person", "1752.6 mm", "--native", "1:11.28")
	require.InDelta(t, n, oneTo(t, r.Implied.Ratio), 1e-4)
	require.Greater(t, *r.SD, 4*r.Factor*u)

	// Of any man it is much less sure, and without a native ratio it is a ratio all the same.
	var open struct {
		Factor, SD, Percent *float64
		Implied             struct{ Ratio, Low, High string }
		Candidates          []struct {
			Ratio       string
			Probability float64
		}
	}
	got := scant("factor", "--figure", "28mm", "--to-eyes", "--person", "man", "--field", "wargame", "--json")
	require.Equal(t, 0, got.code, got.err)
	require.NoError(t, json.Unmarshal([]byte(got.out), &open))
	require.Nil(t, open.Factor)
	require.Nil(t, open.SD)
	require.InDelta(t, 1756.2*0.936/28, oneTo(t, open.Implied.Ratio), 0.001)
	require.Equal(t, "1:60", open.Candidates[0].Ratio)
	require.Equal(t, "1:56", open.Candidates[1].Ratio)
	sum := 0.0
	for _, c := range open.Candidates {
		sum += c.Probability
	}
	require.Greater(t, sum, 0.9)
	require.LessOrEqual(t, sum, 1.0000001)
	plain := scant("factor", "--figure", "28mm", "--to-eyes", "--person", "man")
	require.Equal(t, 0, plain.code)
	require.Contains(t, plain.out, "how tall the person is 3.9 %")
	require.Contains(t, plain.out, "the factor needs the ratio at which the files were drawn")
}

func TestFactorByClues(t *testing.T) {
	kitFolder(t)
	r, stderr := jsonOf(t, 0, "factor", "--clue", "176.9mm=1985mm±10", "--clue", "40.1 = chair-seat", "--clue=157=1756±69", "--target", "1:48", "kit")
	require.Empty(t, stderr)
	require.Less(t, oneTo(t, r.Native.Low), 11.28)
	require.Greater(t, oneTo(t, r.Native.High), 11.28)
	n := oneTo(t, r.Native.Ratio)
	require.InDelta(t, n/48, r.Factor, 1e-6)
	require.InDelta(t, 0.005*r.Factor, *r.SD, 0.0002*r.Factor)
	require.Equal(t, "1:48", r.Implied.Ratio)
	require.InEpsilon(t, oneTo(t, r.Native.Low)/n, oneTo(t, r.Implied.Low)/48, 1e-5)
	require.Len(t, r.Parts, 4)

	// Without a target it says at what ratio a finished model is.
	got := scant("factor", "--clue", "24.3mm=1756mm±35", "--field", "armour")
	require.Equal(t, 0, got.code, got.err)
	require.Contains(t, got.out, "1:72, ")
	require.Contains(t, got.out, "the factor needs a target ratio")

	// The other ways take their native ratio from clues.
	r, _ = jsonOf(t, 0, "factor", "--length", "100", "--along", "x", "--clue", "10=480±1", "kit")
	require.InDelta(t, 0.25, r.Factor, 1e-12)
	require.Zero(t, *r.SD)
	require.InDelta(t, 192, oneTo(t, r.Implied.Ratio), 1e-3)
	r, _ = jsonOf(t, 0, "factor", "--figure", "36.5625", "--person", "1755mm", "--clue", "100=1200±12")
	require.InDelta(t, 0.25, r.Factor, 1e-9)
	require.InDelta(t, 0.01*0.25, *r.SD, 1e-5)

	// One that disagrees is pointed out, in both ways of printing.
	for _, more := range [][]string{nil, {"--json"}} {
		got = scant(append([]string{"factor", "--clue", "100=4800±48", "--clue", "200=9600±96", "--clue", "50=2400±24", "--clue", "10=254±2", "--target", "1:48"}, more...)...)
		require.Equal(t, 0, got.code)
		require.Contains(t, got.err, "disagree")
		require.Contains(t, strings.ReplaceAll(got.err, "\u00a0", " "), "254 mm is")
	}
}

func TestFactorFromMore(t *testing.T) {
	kitFolder(t)
	r, _ := jsonOf(t, 0, "factor", "--full-size", "ft", "--target", "1:48", "kit/hull.stl")
	require.InDelta(t, 304.8/48, r.Factor, 1e-12)
	require.Equal(t, "1:304.8", r.Native.Ratio)
	r, _ = jsonOf(t, 0, "factor", "--figure", "25.4", "--person", "6 ft", "--real", "20.88m", "--along", "x", "kit")
	require.InDelta(t, 52.2/72, r.Factor, 1e-9)
	r, _ = jsonOf(t, 0, "factor", "--length", "90", "--along", "z", "--of", "hull", "kit")
	require.InDelta(t, 1, r.Factor, 1e-9)
	r, _ = jsonOf(t, 0, "factor", "--length", "26", "--from", "1,2,3", "--to", "4, 6, 15", "kit")
	require.InDelta(t, 2, r.Factor, 1e-12)
	r, _ = jsonOf(t, 0, "factor", "--length", "26", "--from", "1,2,3", "--to", "4,6,15", "--along", "y", "kit")
	require.InDelta(t, 6.5, r.Factor, 1e-12)
	r, stderr := jsonOf(t, 0, "rescale", "--clue", "12=144±1", "--target", "1:48", "--out", "out", "--verify", "kit/hull.stl")
	require.Empty(t, stderr)
	require.True(t, r.Parts[0].Verified)
	require.InDelta(t, 0.25, r.Factor, 1e-9)
}

func TestEvidenceMisused(t *testing.T) {
	kitFolder(t)
	for _, args := range []string{
		"factor --figure 52.3", // whom does it stand for?
		"factor --person man",
		"factor --figure 52.3 --person nobody",
		"factor --figure 52.3 --person child",
		"factor --figure 52.3 --person 0m",
		"factor --figure 0 --person man",
		"factor --figure -5 --person man",
		"factor --figure abc --person man",
		"factor --figure 3 --base 3 --person man",
		"factor --figure 52.3 --figure 5 --person man",
		"factor --figure 52.3 --person man --posture lying",
		"factor --figure 52.3 --person man --segments thigh",
		"factor --figure 52.3 --person man --posture bent --segments tail",
		"factor --figure 52.3 --person man --posture bent --segments thigh,thigh",
		"factor --figure 52.3 --person man --target 1:48",
		"factor --figure 52.3 --person man --length 5 --along x kit",
		"factor --figure 52.3 --person man --native 1:4 --clue 1=2",
		"factor --figure 52.3 --person man --real 3m kit",
		"factor --native 1:4 --target 1:8 --to-eyes",
		"factor --native 1:4 --target 1:8 --clue 1=2",
		"factor --clue 35",
		"factor --clue 35=",
		"factor --clue 0=5",
		"factor --clue 35=unicorn",
		"factor --clue 35=brick",
		"factor --clue 5=10±20",
		"factor --clue 5=10 --field knitting",
		"factor --clue 5=10 --along x",
		"factor --full-size cubits --target 1:48 kit",
		"factor --full-size m --target 1:48",
		"factor --length 5 --from 1,2,3 kit",
		"factor --length 5 --from 1,2,3 --to 1,2,3 kit",
		"factor --length 5 --from 1,2 --to 1,2,3 kit",
		"factor --length 5 --along x --of nothing kit",
		"rescale --clue 5=10 --out x kit",
		"rescale --figure 5 --person man --out x kit",
		"recover",
		"recover kit/hull.stl",
		"recover kit/hull.stl kit/hull.stl kit/hull.stl",
		"ratios kit",
		"ratios --field knitting",
		"objects kit",
		"objects --field ships",
	} {
		got := scant(strings.Fields(args)...)
		require.Equal(t, 2, got.code, "%q: %s", args, got.err)
		require.Empty(t, got.out, args)
		require.Contains(t, got.err, "scant help", args)
		require.NoDirExists(t, "x")
	}
}

func TestRatiosAndObjects(t *testing.T) {
	var r struct {
		Ratios []struct{ Ratio, Exact, Name, Field, Source, Status string }
	}
	got := scant("ratios", "--field", "railway-nem", "--json")
	require.Equal(t, 0, got.code)
	require.NoError(t, json.Unmarshal([]byte(got.out), &r))
	require.Len(t, r.Ratios, len(ratio.Ladder(ratio.RailwayNEM)))
	require.Equal(t, "1:5.5", r.Ratios[0].Ratio)
	for _, x := range r.Ratios {
		require.Equal(t, "NEM 010:2011", x.Source)
		require.Equal(t, "seen", x.Status)
	}
	require.Contains(t, scant("ratios").out, "1/4 in to the foot")
	require.NotContains(t, scant("ratios", "--field", "railway-nem").out, "1/4 in to the foot")

	var o struct {
		Objects []struct {
			Key, Name, Group, Basis, Source, Status string
			MM, SD                                  float64
		}
	}
	got = scant("objects", "--json")
	require.Equal(t, 0, got.code)
	require.NoError(t, json.Unmarshal([]byte(got.out), &o))
	require.Greater(t, len(o.Objects), 80)
	for _, x := range o.Objects {
		require.NotEmpty(t, x.Name)
		require.NotEmpty(t, x.Source)
		require.Positive(t, x.MM)
		require.Positive(t, x.SD)
	}
	require.Contains(t, scant("objects").out, "lifebuoy")
}

func TestRecover(t *testing.T) {
	kitFolder(t)
	require.Equal(t, 0, scant("rescale", "--factor", "0.235", "--out", "copies", "kit").code)
	type found struct {
		Factor, SD, Spread, Residual float64
		Tidy, Method                 string
		Axes                         []float64
		Uneven, Turned               bool
		Warnings                     []string
		Parts                        []struct{ Part string }
	}
	of := func(code int, args ...string) (f found, stderr string) {
		got := scant(append([]string{"recover", "--json"}, args...)...)
		require.Equal(t, code, got.code, got.err)
		if code == 0 {
			require.NoError(t, json.Unmarshal([]byte(got.out), &f))
		}
		return f, got.err
	}
	for _, name := range []string{"hull.stl", "mast.STL", "fittings.obj"} {
		original := filepath.Join("kit", name)
		if name != "hull.stl" {
			original = filepath.Join("kit", "deck", name)
		}
		copied := filepath.Join("copies", name)
		if name == "mast.STL" {
			copied = filepath.Join("copies", "mast.stl")
			if _, err := os.Stat(copied); err != nil {
				copied = filepath.Join("copies", name)
			}
		}
		f, stderr := of(0, original, copied)
		require.Empty(t, stderr)
		require.Equal(t, "0.235", f.Tidy, name)
		require.Equal(t, "corners", f.Method)
		require.InDelta(t, 0.235, f.Factor, 1e-7)
		require.False(t, f.Uneven)
	}
	plain := scant("recover", "kit/hull.stl", "copies/hull.stl")
	require.Equal(t, 0, plain.code)
	require.Contains(t, plain.out, "0.235")

	// Another format, other counts, unevenly scaled, another model.
	require.Equal(t, 0, scant("rescale", "--factor", "2", "--out", "glb", "--as", "glb", "kit/hull.stl").code)
	f, _ := of(0, "kit/hull.stl", "glb/hull.glb")
	require.Equal(t, "2", f.Tidy)
	require.NoError(t, os.WriteFile("uneven.stl", binarySTL(box([3]float32{200, 50, 46})), 0o666))
	f, stderr := of(0, "kit/hull.stl", "uneven.stl")
	require.True(t, f.Uneven)
	require.InDeltaSlice(t, []float64{0.5, 0.5, 46.0 / 90}, f.Axes, 1e-6)
	require.Contains(t, stderr, "unevenly")
	require.Len(t, f.Warnings, 1)
	_, stderr = of(1, "kit/hull.stl", "y-up/funnel.gltf")
	require.NotEmpty(t, stderr)
	_, stderr = of(1, "kit/hull.stl", "kit/deck/fittings.obj")
	require.Contains(t, stderr, "different model")
	_, stderr = of(1, "kit/hull.stl", "bad/broken.stl")
	require.Contains(t, filepath.ToSlash(stderr), "broken.stl")
	_, stderr = of(1, "kit/hull.stl", "nowhere.stl")
	require.Contains(t, stderr, "nowhere.stl")
}

// A part that was drawn in another unit than its neighbours is told of, and nothing is changed.
func TestMeasureTellsOfUnits(t *testing.T) {
	kitFolder(t)
	require.NoError(t, os.WriteFile("kit/port.stl", binarySTL(box([3]float32{400 / 25.4, 100 / 25.4, 90 / 25.4})), 0o666))
	r, _ := jsonOf(t, 0, "measure", "kit")
	for _, p := range r.Parts {
		said := strings.Contains(strings.Join(p.Notes, " "), "likelier drawn in inches")
		require.Equal(t, p.Name == "port", said, "%s: %v", p.Name, p.Notes)
	}
	require.Contains(t, scant("measure", "kit").out, "exactly as large as another part")
}
