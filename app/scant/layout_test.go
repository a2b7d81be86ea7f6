package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/survey"
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
			for _, p := range bed.Pieces {
				if p.Part == "propeller" {
					screws++
				}
				require.GreaterOrEqual(t, *p.Yaw, 0.0)
				require.Less(t, *p.Yaw, 360.0)
				require.GreaterOrEqual(t, math.Min(p.X, p.Y), 0.0)
				require.LessOrEqual(t, p.X+p.Width, w+1e-9)
				require.LessOrEqual(t, p.Y+p.Depth, d+1e-9)
			}
			f, err := formats.Open(t.Context(), bed.File, nil)
			require.NoError(t, err)
			if format == "3mf" {
				require.Len(t, f.Parts(), len(bed.Pieces))
				var outlines [][]geom.Vec2
				for i, p := range f.Parts() {
					mesh, err := f.Mesh(t.Context(), i, nil)
					require.NoError(t, err)
					hull, err := survey.HullOf(t.Context(), mesh, geom.NoTurn())
					require.NoError(t, err)
					var outline []geom.Vec2
					for _, v := range hull.Footprint {
						outline = append(outline, geom.Vec2{v[0] + p.Box.Centre()[0], v[1] + p.Box.Centre()[1]})
					}
					for k, other := range outlines {
						require.GreaterOrEqual(t, gapOf(outline, other), gap-0.3, "%s and %s", p.Name, bed.Pieces[k].Part)
					}
					outlines = append(outlines, outline)
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

// gapOf is about how far apart two convex outlines are: the widest strip between them, of many
// directions. It is below the truth by a few hundredths of their size at most.
func gapOf(a, b []geom.Vec2) float64 {
	widest := math.Inf(-1)
	for i := range 720 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 720)
		from, to := math.Inf(-1), math.Inf(1)
		for _, v := range a {
			from = max(from, v[0]*cos+v[1]*sin)
		}
		for _, v := range b {
			to = min(to, v[0]*cos+v[1]*sin)
		}
		widest = max(widest, to-from)
	}
	return widest
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
