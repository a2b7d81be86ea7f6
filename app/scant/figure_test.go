package main

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// A saved figure is one closed body as large as it says, in either format.
func TestFigure(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, name := range []string{"person.stl", "person.3mf"} {
		got := scant("figure", "--target", "1:48", "--out", name, "--process", "resin", "--json")
		require.Equal(t, allDone, got.code, got.err)
		var r struct {
			Ratio, Label    string
			Stature, Height float64
			Sole            float64
			Size            []float64
			Triangles       int
			Landmarks       map[string]float64
			Thicker         map[string]float64
			Notes           []string
		}
		require.NoError(t, json.Unmarshal([]byte(got.out), &r), got.out)
		require.Equal(t, "1:48", r.Ratio)
		require.Equal(t, "1:48", r.Label)
		require.InDelta(t, 1750.0/48, r.Height, 1e-9)
		require.InDelta(t, r.Height+r.Sole, r.Size[2], 0.05)
		require.InDelta(t, 0.285*1750, r.Landmarks["knee"], 1e-6)
		require.Len(t, r.Thicker, 5)
		require.NotEmpty(t, r.Notes)
		measured := scant("measure", "--json", name)
		require.Equal(t, allDone, measured.code, measured.err)
		var m struct {
			Parts []struct {
				Size      []float64
				Closed    bool
				Shells    int
				Triangles int
			}
		}
		require.NoError(t, json.Unmarshal([]byte(measured.out), &m))
		require.Len(t, m.Parts, 1)
		require.True(t, m.Parts[0].Closed)
		require.Equal(t, 1, m.Parts[0].Shells)
		require.Equal(t, r.Triangles, m.Parts[0].Triangles)
		require.InDeltaSlice(t, r.Size, m.Parts[0].Size, 1e-4)
	}
	before, err := os.ReadFile("person.stl")
	require.NoError(t, err)
	require.Contains(t, string(before[:80]), "1:48")
	require.Equal(t, someFailed, scant("figure", "--target", "1:48", "--out", "person.stl").code, "it is there already")
	got := scant("figure", "--target", "1:160", "--person", "boy of 8", "--posture", "seated", "--out", "person.stl", "--overwrite")
	require.Equal(t, allDone, got.code, got.err)
	require.Contains(t, got.out, "Thicker than true")
	require.Contains(t, got.out, "child of 8 years")
	after, err := os.ReadFile("person.stl")
	require.NoError(t, err)
	require.NotEqual(t, before, after)

	for want, args := range map[string][]string{
		"--target is missing":  {"--out", "x.stl"},
		"--out is missing":     {"--target", "1:48"},
		"ends in .stl or .3mf": {"--target", "1:48", "--out", "x.obj"},
		"needs no files":       {"--target", "1:48", "--out", "x.stl", "person.stl"},
		"is no posture":        {"--target", "1:48", "--out", "x.stl", "--posture", "flying"},
		"leave out --stature":  {"--target", "1:48", "--out", "x.stl", "--person", "1.7m", "--stature", "1.7m"},
		"is no process":        {"--target", "1:48", "--out", "x.stl", "--process", "casting"},
	} {
		got := scant(append([]string{"figure"}, args...)...)
		require.Equal(t, wrongUsage, got.code, "%v", args)
		require.Contains(t, got.err, want)
	}
	got = scant("figure", "--target", "1:48", "--stature", "3m", "--out", "x.stl")
	require.Equal(t, someFailed, got.code)
	require.Contains(t, got.err, "0.9 and 2.2 m")
}
