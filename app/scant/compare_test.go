package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is said of either target is what checking the kit at it says.
func TestCompareTwoTargets(t *testing.T) {
	kitFolder(t)
	way := []string{"--native", "1:10", "--process", "filament", "--bed", "90x90x120"}
	got := scant(append([]string{"compare", "--json", "--target", "1:100", "--with", "1/20", "kit"}, way...)...)
	require.Equal(t, allDone, got.code, got.err)
	var r struct {
		Process string
		Sides   []struct {
			Ratio             string
			Factor            float64
			Size              []float64
			Largest, Smallest struct {
				Part string
				MM   float64
			}
			Parts             int
			Fitting, Beds     *int
			Stops, Look, Note int
			Prints            bool
			Weight            weightReply
		}
		Differ []struct {
			Code, Part, File string
			Sides            []*struct {
				Places       int
				Gravity      string
				Value, Limit float64
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got.out), &r), got.out)
	require.Len(t, r.Sides, 2)
	type kind struct{ code, part string }
	var by [2]map[kind]int
	for i, target := range []string{"1:100", "1:20"} {
		side := r.Sides[i]
		code := allDone
		if side.Stops > 0 {
			code = someFailed
		}
		c := checkJSON(t, code, append([]string{"--target", target, "kit"}, way...)...)
		require.Equal(t, target, side.Ratio)
		require.Equal(t, c.Factor, side.Factor)
		require.Equal(t, c.Weight, side.Weight)
		require.Equal(t, c.Prints, side.Prints)
		require.Equal(t, c.Beds.Beds, *side.Beds)
		require.Equal(t, len(c.Parts)-len(c.Beds.Left), *side.Fitting)
		require.Equal(t, "hull", side.Largest.Part)
		require.InDelta(t, 400*c.Factor, side.Largest.MM, 1e-3)
		counts := map[string]int{"stops": 0, "look": 0, "note": 0}
		by[i] = map[kind]int{}
		for _, f := range c.Findings {
			counts[f.Gravity]++
			by[i][kind{f.Code, f.Part}]++
		}
		require.Equal(t, counts, map[string]int{"stops": side.Stops, "look": side.Look, "note": side.Note}, "no gravity is left out")
	}
	require.NotEmpty(t, r.Differ)
	pin := false
	for _, d := range r.Differ {
		for i, at := range d.Sides {
			n := by[i][kind{d.Code, d.Part}]
			require.Equal(t, n == 0, at == nil, "%s of %s", d.Code, d.Part)
			if at != nil {
				require.Equal(t, n, at.Places)
			}
		}
		pin = pin || d.Code == "pin-thin" && d.Part == "mast" && d.Sides[0].Gravity == "stops" && d.Sides[1] == nil
	}
	require.True(t, pin, "the mast stands at 1:20 only")

	words := scant(append([]string{"compare", "--target", "1:100", "--with", "1/20", "kit"}, way...)...)
	require.Equal(t, allDone, words.code, words.err)
	said := strings.ReplaceAll(words.out, "\u00a0", " ")
	for _, want := range []string{"1:100", "1:20", "mast: Pin too thin", "× 0.60 mm", "not there", "hull, 40.0 mm", "hull, 200 mm"} {
		require.Contains(t, said, want)
	}
}

// Without a native ratio the other target is a factor.
func TestCompareFactors(t *testing.T) {
	kitFolder(t)
	got := scant("compare", "--factor", "0.5", "--with", "25 %", "--process", "resin", "kit")
	require.Equal(t, allDone, got.code, got.err)
	require.Contains(t, got.out, "×0.2500")
	for want, args := range map[string][]string{
		"--with is missing":    {"compare", "--factor", "1", "--process", "resin", "kit"},
		"no file or folder":    {"compare", "--factor", "1", "--with", "2", "--process", "resin"},
		"--process is missing": {"compare", "--factor", "1", "--with", "2", "kit"},
		"--with: ":             {"compare", "--factor", "1", "--with", "1:nought", "--process", "resin", "kit"},
		"has no flag “--with”": {"check", "--factor", "1", "--with", "2", "--process", "resin", "kit"},
		"--target is missing":  {"compare", "--native", "1:10", "--with", "1:20", "--process", "resin", "kit"},
	} {
		got := scant(args...)
		require.Equal(t, wrongUsage, got.code, "%v: %s", args, got.err)
		require.Contains(t, got.err, want, "%v", args)
	}
}
