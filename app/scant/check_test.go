package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
)

type rangeReply struct {
	Least, Most *float64
	Empty       bool
	LeastCode   string `json:"least_code"`
	MostCode    string `json:"most_code"`
	LeastPart   string `json:"least_part"`
	MostPart    string `json:"most_part"`
}

type weightReply struct {
	G       float64 `json:"g"`
	SolidG  float64 `json:"solid_g"`
	Cost    *float64
	Unknown int
}

type checkReply struct {
	Factor              float64
	Ratio, Why, Process string
	Prints              bool
	Error               string
	Findings            []struct {
		Code, Gravity, Part, File, Other, Item, Says string
		Place, InKit                                 []float64
		Value, Limit                                 float64
		GoneAt                                       *float64 `json:"gone_at_factor"`
		Ratio                                        string   `json:"gone_at_ratio"`
		Toward                                       string   `json:"gone_toward"`
		Guess                                        bool
		Drill, Offset                                *float64
	}
	Printable, Details rangeReply
	Weight             weightReply
	Beds               *struct {
		Beds, Least int
		Left        []string
		Placed      []struct {
			Part      string
			Bed       int
			Low, Size []float64
		}
	}
	Parts []struct {
		Part, File         string
		Weight             weightReply
		Printable, Details rangeReply
	}
}

func checkJSON(t *testing.T, code int, args ...string) checkReply {
	t.Helper()
	got := scant(append([]string{"check", "--json"}, args...)...)
	require.Equal(t, code, got.code, got.err)
	var r checkReply
	require.NoError(t, json.Unmarshal([]byte(got.out), &r), got.out)
	return r
}

// A square mast of 6 mm, a hull of 400 × 100 × 90 and two fittings, drawn at 1:10.
func TestCheck(t *testing.T) {
	kitFolder(t)
	// At 1:100 the mast is 0.6 mm: thinner than the thinnest wall of extrusion, 0.8.
	r := checkJSON(t, someFailed, "--native", "1:10", "--target", "1:100", "--process", "filament", "--bed", "220x220x250", "kit")
	require.InDelta(t, 0.1, r.Factor, 1e-15)
	require.Equal(t, "1:100", r.Ratio)
	require.False(t, r.Prints)
	found := 0
	for _, f := range r.Findings {
		if f.Code == "pin-thin" {
			found++
			require.Equal(t, "stops", f.Gravity)
			require.Equal(t, "mast", f.Part)
			require.InDelta(t, 0.6, f.Value, 1e-6)
			require.Equal(t, 2.0, f.Limit)
			require.InEpsilon(t, 2.0/6, *f.GoneAt, 1e-6)
			require.Equal(t, "1:30", f.Ratio)
			require.Equal(t, "larger", f.Toward)
			require.InDeltaSlice(t, []float64{3, 3, 90}, f.Place, 1)
			require.Contains(t, f.Says, "Pin too thin")
		}
	}
	require.Equal(t, 1, found)
	require.InEpsilon(t, 0.8/6, *r.Printable.Least, 1e-6)
	require.Equal(t, "mast", r.Printable.LeastPart)
	require.Equal(t, "pin-thin", r.Printable.LeastCode)
	require.InEpsilon(t, 220.0/400, *r.Printable.Most, 1e-6)
	require.Equal(t, "off-bed", r.Printable.MostCode)
	require.Equal(t, 1, r.Beds.Beds)
	require.Len(t, r.Beds.Placed, len(r.Parts))
	// All solid: no part is thicker than its two skins at a tenth of its size but the hull.
	solid := (400*100*90 + 6*6*180 + 2*10*10*12) * 1e-3 / 1000 * 1.24
	require.InEpsilon(t, solid, r.Weight.SolidG, 1e-6)
	require.Less(t, r.Weight.G, solid)

	// What GoneAt promises holds when the kit is checked there.
	r = checkJSON(t, allDone, "--native", "1:10", "--target", "1:30", "--process", "filament", "--bed", "220x220x250", "kit")
	for _, f := range r.Findings {
		require.NotEqual(t, "pin-thin", f.Code)
	}
	require.True(t, r.Prints)

	// A bed that is the way to the factor is the bed as well.
	r = checkJSON(t, allDone, "--process", "resin", "--bed", "220x220x250", "--margin", "10", "kit")
	require.InEpsilon(t, 0.5, r.Factor, 1e-9)
	for _, f := range r.Findings {
		require.NotEqual(t, "off-bed", f.Code)
	}
}

func TestCheckInWords(t *testing.T) {
	kitFolder(t)
	got := scant("check", "--native", "1:10", "--target", "1:100", "--process", "filament", "kit")
	require.Equal(t, someFailed, got.code)
	require.Empty(t, got.err)
	for _, want := range []string{"×0.1000  1:100", "1 stops the print", "stops the print\n  mast: Pin too thin", "fine from ×0.3334 (1:30) up", "wire or rod", "from ×0.1334 (1:75) up, set by pins"} {
		require.Contains(t, strings.ReplaceAll(got.out, "\u00a0", " "), want)
	}
}

func TestLadder(t *testing.T) {
	kitFolder(t)
	got := scant("ladder", "--json", "--native", "1:10", "--target", "1:48", "--process", "filament", "--bed", "220x220x250", "--field", "ships", "kit")
	require.Equal(t, allDone, got.code, got.err)
	var r struct {
		Native, Process    string
		Printable, Details rangeReply
		Rungs              []struct {
			Ratio, Field   string
			Factor         float64
			Fits           *bool
			FitsTurned     *bool `json:"fits_turned"`
			Prints         bool
			Stops          []string
			Failing, Looks int
			MassG          float64 `json:"mass_g"`
			Target         bool
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got.out), &r), got.out)
	require.Equal(t, "1:10", r.Native)
	require.NotEmpty(t, r.Rungs)
	before, targets := math.Inf(1), 0
	for _, g := range r.Rungs {
		require.Less(t, g.Factor, before)
		before = g.Factor
		require.Equal(t, g.Factor <= 220.0/400, *g.Fits, g.Ratio)
		require.Equal(t, g.Factor >= *r.Printable.Least && g.Factor <= *r.Printable.Most, g.Prints, g.Ratio)
		require.Equal(t, g.Prints, len(g.Stops) == 0)
		if g.Target {
			targets++
			require.Equal(t, "1:48", g.Ratio)
		}
		// The rung says of the kit what checking it there says.
		if g.Ratio == "1:96" || g.Ratio == "1:48" {
			code := allDone
			if !g.Prints {
				code = someFailed
			}
			c := checkJSON(t, code, "--native", "1:10", "--target", g.Ratio, "--process", "filament", "--bed", "220x220x250", "kit")
			require.InEpsilon(t, c.Weight.G, g.MassG, 1e-9)
			require.Equal(t, c.Prints, g.Prints)
		}
	}
	require.Equal(t, 1, targets)
	words := scant("ladder", "--native", "1:10", "--process", "filament", "--field", "ships", "kit")
	require.Equal(t, allDone, words.code, words.err)
	require.Contains(t, words.out, "pins")
}

func TestCheckIsCalledWrongly(t *testing.T) {
	kitFolder(t)
	for want, args := range map[string][]string{
		"--process is missing":       {"check", "--factor", "1", "kit"},
		"is no process":              {"check", "--factor", "1", "--process", "casting", "kit"},
		"no file or folder to check": {"check", "--factor", "1", "--process", "resin"},
		"no file or folder to judge": {"ladder", "--native", "1:10", "--process", "resin"},
		"no way to the factor":       {"check", "--process", "resin", "kit"},
		"both say the bed":           {"check", "--factor", "1", "--process", "resin", "--bed", "1x1x1", "--printer", "x", "kit"},
		"need --bed or --printer":    {"check", "--factor", "1", "--process", "resin", "--turn", "yaw", "kit"},
		"no way to turn":             {"check", "--factor", "1", "--process", "resin", "--bed", "100x100x100", "--turn", "over", "kit"},
		"no flag":                    {"ladder", "--native", "1:10", "--process", "resin", "--gap", "2", "kit"},
		"are different ways":         {"check", "--factor", "1", "--length", "3", "--process", "resin", "kit"},
	} {
		got := scant(args...)
		require.Equal(t, wrongUsage, got.code, "%v: %s", args, got.err)
		require.Contains(t, got.err, want, "%v", args)
	}
	got := scant("check", "--factor", "0.5", "--process", "other", "bad")
	require.Equal(t, someFailed, got.code)
	require.Contains(t, got.err, "broken.stl")
}

// Of a kit of which nothing could be read nothing is said, and the exit tells of it.
func TestNothingIsJudged(t *testing.T) {
	kitFolder(t)
	for _, args := range [][]string{
		{"check", "--factor", "0.5", "--process", "resin", "nowhere.stl"},
		{"ladder", "--native", "1:10", "--process", "resin", "nowhere.stl"},
		{"compare", "--native", "1:10", "--target", "1:48", "--with", "1:72", "--process", "resin", "nowhere.stl"},
	} {
		got := scant(args...)
		require.Equal(t, someFailed, got.code, "%v", args)
		require.Empty(t, got.out, "%v", args)
		require.Contains(t, got.err, "nowhere.stl: there is no such file or folder; look at how the path is written")
		require.Contains(t, got.err, "nothing to judge")
	}
}

// A place is told in decimals of a thousandth of the whole, and rounding is not written out.
func TestSpot(t *testing.T) {
	for want, v := range map[string]geom.Vec{
		"0, 0, 29.9 mm":          {-6.2e-5, -4e-5, 29.9123},
		"0.020, -0.010, 5.00 mm": {0.0151, -0.0149, 5},
		"-101, 12.3, 0 mm":       {-101.2, 12.345, -1e-9},
	} {
		require.Equal(t, want, strings.ReplaceAll(spot(v, 60), "\u00a0", " "))
	}
	require.Equal(t, "1.00, 2.00, 3.00\u00a0mm", spot(geom.Vec{1, 2, 3}, 0))
}
