package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/formats"
)

type bedsReply struct {
	Factor     float64
	Ratio, Why string
	Count      int
	Least      int
	Beds       []struct {
		Bed         int
		File, Error string
		Verified    *bool
		Pieces      []struct {
			Part, File         string
			Piece              int
			X, Y, Width, Depth float64
			Yaw                *float64
			Pose               *pose
		}
	}
	Unplaced []string
	TooMany  int `json:"too_many"`
}

func bedsOf(t *testing.T, code int, args ...string) (r bedsReply) {
	t.Helper()
	got := scant(append(append([]string{"beds"}, args...), "--json")...)
	require.Equal(t, code, got.code, got.err)
	require.NoError(t, json.Unmarshal([]byte(got.out), &r))
	return r
}

// The demo kit lies on small beds, nothing over anything else, and the files hold just that.
func TestBeds(t *testing.T) {
	demo, err := filepath.Abs("../../assets/demo")
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	const w, d, gap = 150, 150, 3
	way := []string{"--native", "1:17.3", "--target", "1:96", "--bed", "150x150x100", "--gap", "3", "--quantity", "propeller=3"}
	for _, run := range [][]string{{"stl"}, {"3mf", "--correction", "1.01,1.02,1.03"}} {
		format := run[0]
		r := bedsOf(t, 0, append(append(way, "--out", format, "--format", format, demo), run[1:]...)...)
		require.Equal(t, "1:96", r.Ratio)
		require.Empty(t, r.Unplaced)
		require.LessOrEqual(t, r.Least, r.Count)
		require.Len(t, r.Beds, r.Count)
		require.LessOrEqual(t, r.Count, r.Least+1)
		screws := 0
		for _, bed := range r.Beds {
			require.True(t, *bed.Verified)
			for i, p := range bed.Pieces {
				if p.Part == "propeller" {
					screws++
				}
				require.GreaterOrEqual(t, *p.Yaw, 0.0)
				require.Less(t, *p.Yaw, 360.0)
				require.GreaterOrEqual(t, math.Min(p.X, p.Y), 0.0)
				require.LessOrEqual(t, p.X+p.Width, w+1e-9)
				require.LessOrEqual(t, p.Y+p.Depth, d+1e-9)
				for _, q := range bed.Pieces[:i] {
					apart := p.X >= q.X+q.Width+gap-1e-9 || q.X >= p.X+p.Width+gap-1e-9 || p.Y >= q.Y+q.Depth+gap-1e-9 || q.Y >= p.Y+p.Depth+gap-1e-9
					require.True(t, apart, "%+v %+v", p, q)
				}
			}
			f, err := formats.Open(t.Context(), bed.File, nil)
			require.NoError(t, err)
			if format == "3mf" {
				require.Len(t, f.Parts(), len(bed.Pieces))
				for i, p := range f.Parts() {
					require.Equal(t, bed.Pieces[i].Part, p.Name)
					require.InDelta(t, bed.Pieces[i].X, p.Box.Min[0], 1e-3)
					require.InDelta(t, bed.Pieces[i].Y, p.Box.Min[1], 1e-3)
					require.InDelta(t, bed.Pieces[i].Width, p.Box.Size()[0], 1e-3)
					require.InDelta(t, 0, p.Box.Min[2], 1e-4)
				}
			} else {
				require.Len(t, f.Parts(), 1)
			}
		}
		require.Equal(t, 3, screws)
	}
	again := scant(append(append([]string{"beds"}, way...), "--out", "stl", "--format", "stl", demo)...)
	require.Equal(t, 1, again.code, "they are there already")
	said := scant(append(append([]string{"beds"}, way...), "--turn", "faces", demo)...)
	require.Equal(t, 0, said.code, said.err)
	require.Contains(t, said.out, "Bed 1 of ")
	large := bedsOf(t, 0, "--factor", "1", "--bed", "150x150x100", demo)
	require.Contains(t, large.Unplaced, "hull")
	// The propeller as a print just fits, and its copy does not.
	large = bedsOf(t, 0, "--factor", "1", "--bed", "150x150x100", filepath.Join(demo, "propeller.stl"))
	screw := large.Beds[0].Pieces[0]
	fits := []string{"beds", "--factor", "1", "--bed", fmt.Sprintf("%.3fx%.3fx100", screw.Width+0.01, screw.Depth+0.01), "--margin", "0", "--turn", "yaw", filepath.Join(demo, "propeller.stl")}
	require.NotContains(t, scant(fits...).out, "fits no bed")
	require.Contains(t, scant(append(fits, "--correction", "1.01")...).out, "propeller fits no bed once it is corrected.")
}

func TestBedsRefuses(t *testing.T) {
	kitFolder(t)
	for _, wrong := range [][]string{
		{"beds", "--factor", "1", "kit"},
		{"beds", "--factor", "1", "--bed", "100x100x100"},
		{"beds", "--factor", "1", "--bed", "100x100x100", "--format", "stl", "kit"},
		{"beds", "--factor", "1", "--bed", "100x100x100", "--out", "x", "--format", "obj", "kit"},
		{"beds", "--factor", "1", "--bed", "100x100x100", "--quantity", "hull", "kit"},
		{"beds", "--factor", "1", "--bed", "100x100x100", "--quantity", "hull=0", "kit"},
		{"beds", "--factor", "1", "--bed", "100x100x100", "--quantity", "nothing=2", "kit"},
		{"beds", "--factor", "1", "--bed", "100x100x100", "--process", "resin", "kit"},
	} {
		require.Equal(t, 2, scant(wrong...).code, "%v", wrong)
	}
}
