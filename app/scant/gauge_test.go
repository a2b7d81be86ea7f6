package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The saved gauge is closed and as large as it says, and never written over anything.
func TestGauge(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	got := scant("gauge", "--out", "mine/gauge.stl", "--process", "resin", "--json")
	require.Equal(t, allDone, got.code, got.err)
	var r struct {
		File, Process string
		Size, Lengths []float64
		Steps         []struct {
			Kind string
			MM   float64
			At   []float64
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got.out), &r), got.out)
	require.Equal(t, "resin", r.Process)
	require.Equal(t, []float64{56, 100, 10}, r.Lengths)
	require.Len(t, r.Steps, 48)
	path := filepath.Join("mine", "gauge.stl")
	measured := scant("measure", "--json", path)
	require.Equal(t, allDone, measured.code, measured.err)
	var m struct {
		Parts []struct {
			Size   []float64
			Closed bool
			Shells int
		}
	}
	require.NoError(t, json.Unmarshal([]byte(measured.out), &m))
	require.Len(t, m.Parts, 1)
	require.True(t, m.Parts[0].Closed)
	require.Equal(t, 11, m.Parts[0].Shells)
	require.InDeltaSlice(t, r.Size, m.Parts[0].Size, 1e-4)

	before, err := os.ReadFile(path)
	require.NoError(t, err)
	got = scant("gauge", "--out", path)
	require.Equal(t, someFailed, got.code, "it is there already")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after)
	got = scant("gauge", "--out", path, "--overwrite")
	require.Equal(t, allDone, got.code, got.err)
	require.Contains(t, got.out, "sunk lines")
	after, err = os.ReadFile(path)
	require.NoError(t, err)
	require.NotEqual(t, before, after, "other sizes for filament")

	for want, args := range map[string][]string{
		"--out is missing": {"gauge"},
		"ends in .stl":     {"gauge", "--out", "x.obj"},
		"needs no files":   {"gauge", "--out", "x.stl", path},
		"is no process":    {"gauge", "--out", "x.stl", "--process", "casting"},
	} {
		got := scant(args...)
		require.Equal(t, wrongUsage, got.code, "%v", args)
		require.Contains(t, got.err, want)
	}
}
