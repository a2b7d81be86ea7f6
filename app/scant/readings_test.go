package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

type readReply struct {
	Process string
	Saved   *string
	Changes []struct {
		Field         string
		Before, After float64
	}
	Correction struct {
		On      bool
		X, Y, Z float64
	}
}

func readOf(t *testing.T, args ...string) (r readReply) {
	t.Helper()
	got := scant(append([]string{"gauge", "--json"}, args...)...)
	require.Equal(t, allDone, got.code, got.err)
	require.NoError(t, json.Unmarshal([]byte(got.out), &r), got.out)
	return r
}

// What is read on a gauge is told as changes of a process, is kept under a name, and copies are
// corrected by that name.
func TestReadGauge(t *testing.T) {
	configured(t)
	r := readOf(t, "--read", "wall=0.6, pin=1.5mm", "--read", "X=55.8,y=99.6")
	require.Equal(t, "filament", r.Process)
	require.Nil(t, r.Saved)
	require.False(t, r.Correction.On)
	require.InDelta(t, 56/55.8, r.Correction.X, 1e-12)
	require.InDelta(t, 100/99.6, r.Correction.Y, 1e-12)
	after := map[string][2]float64{}
	for _, c := range r.Changes {
		after[c.Field] = [2]float64{c.Before, c.After}
	}
	require.Equal(t, 0.6, after["wall-free"][1])
	require.Equal(t, [2]float64{2, 1.5}, after["pin"])
	require.Equal(t, 1.0, after["correction-x"][0], "none before is 1")
	require.NotContains(t, after, "gap")

	listed := scant("processes")
	require.NotContains(t, listed.out, "fine nozzle", "nothing was saved")
	r = readOf(t, "--read", "pin=1.5,x=55.8,y=99.6,z=10", "--save", " fine nozzle ")
	require.Equal(t, "fine nozzle", *r.Saved)
	require.Contains(t, scant("processes").out, "fine nozzle")

	// Read anew, it is brought up to date; another is not replaced unasked.
	r = readOf(t, "--read", "pin=1", "--process", "fine nozzle", "--save", "fine nozzle")
	require.Len(t, r.Changes, 1)
	require.Equal(t, 1.5, r.Changes[0].Before)
	require.InDelta(t, 56/55.8, r.Correction.X, 1e-12, "what was not read stays")
	taken := scant("gauge", "--read", "pin=0.8", "--save", "fine nozzle")
	require.Equal(t, someFailed, taken.code)
	require.Contains(t, taken.err, "already")
	require.Equal(t, 1.0, readOf(t, "--read", "pin=0.8", "--process", "fine nozzle").Changes[0].Before)
	readOf(t, "--read", "pin=0.8,z=9.98", "--save", "fine nozzle", "--overwrite")
	require.Equal(t, 0.8, readOf(t, "--read", "pin=1", "--process", "fine nozzle").Changes[0].Before)
	for _, name := range []string{"resin", "Resin in a vat"} {
		taken = scant("gauge", "--read", "pin=0.8", "--save", name, "--overwrite")
		require.Equal(t, someFailed, taken.code, "a process to begin with is not the maker's")
	}

	kitFolder(t)
	saved, _ := jsonOf(t, 0, "rescale", "--factor", "0.25", "--correction", "fine nozzle", "--out", "fit", "--verify", "kit")
	require.InDeltaSlice(t, []float64{10 / 9.98, 10 / 9.98, 10 / 9.98}, saved.Parts[0].Corrected, 1e-12)
	require.True(t, saved.Parts[0].Verified)

	said := scant("gauge", "--read", "gap=0.3,pin=2", "--process", "filament")
	require.Equal(t, allDone, said.code, said.err)
	require.Contains(t, said.out, "Narrowest gap")
	require.Contains(t, said.out, "One print is one sample")
	require.NotContains(t, said.out, "pin", "it was 2 before")
	require.Contains(t, scant("gauge", "--read", "pin=2").out, "change nothing")

	for want, args := range map[string][]string{
		"no reading":          {"--read", "mast=3"},
		"is no reading":       {"--read", "pin"},
		"twice":               {"--read", "pin=1,pin=2"},
		"no size of the":      {"--read", "pin=1.1"},
		"not a number":        {"--read", "gap=wide"},
		"too far from":        {"--read", "x=20"},
		"give one":            {"--read", "pin=1", "--out", "x.stl"},
		"goes with --read":    {"--save", "mine"},
		"--out is missing":    {"--json"},
		"--process: “casting": {"--read", "pin=1", "--process", "casting"},
	} {
		got := scant(append([]string{"gauge"}, args...)...)
		require.Equal(t, wrongUsage, got.code, "%v", args)
		require.Contains(t, got.err, want)
	}
}
