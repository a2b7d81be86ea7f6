package main

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/formats"
)

// configured keeps the maker's own printers in a folder of the test.
func configured(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, dir)
	}
	path, err := kit.PrintersFile()
	require.NoError(t, err)
	return path
}

type posed struct {
	Part  string
	Turn  [3]geom.Vec
	Shift geom.Vec
}

type bedAnswer struct {
	Factor, Drawn, Room, AtMost float64
	Limits, Axis, Why, Error    string
	Pose                        *posed
	Largest, Next               *struct {
		Ratio, Name, Field string
		Factor             float64
		Needs              []struct {
			Part    string
			TooLong geom.Vec
			Pieces  [3]int
		}
	}
	Parts []struct {
		File, Name string
		Largest    *float64
		Pose       *posed
	}
}

func bedOf(t *testing.T, args ...string) bedAnswer {
	t.Helper()
	got := scant(append(append([]string{"factor"}, args...), "--json")...)
	require.Equal(t, 0, got.code, got.err)
	var a bedAnswer
	require.NoError(t, json.Unmarshal([]byte(got.out), &a))
	return a
}

// The more a part may be turned, the larger the kit; and the pose, applied to the triangles as
// the help says, lies inside the room.
func TestPosesOfTheCommandFit(t *testing.T) {
	_, mast := surface(t, "mast.stl")
	_, chair := surface(t, "chair.glb") // its file is in metres, with y up
	for i := range chair {
		chair[i] = chair[i].Scale(1e-3)
	}
	demo := filepath.Join("..", "..", "assets", "demo")
	for _, bed := range [][]string{
		{"--bed", "120x70x150", "--margin", "2", "--brim", "3"},
		{"--bed", "180x180x150", "--round", "--margin", "5"},
	} {
		room, round := geom.Vec{110, 60, 150}, len(bed) == 5
		if round {
			room = geom.Vec{170, 170, 150}
		}
		before := 0.0
		for _, how := range []string{"none", "yaw", "faces", "free"} {
			a := bedOf(t, append(bed, "--turn", how, filepath.Join(demo, "mast.stl"), filepath.Join(demo, "chair.glb"))...)
			require.GreaterOrEqual(t, a.Factor, before, "%v %s", bed, how)
			require.GreaterOrEqual(t, a.AtMost, a.Factor)
			require.LessOrEqual(t, a.AtMost, a.Factor*1.01)
			require.InEpsilon(t, a.Room, a.Drawn*a.Factor, 1e-6)
			require.Equal(t, "mast", a.Limits)
			require.Equal(t, "mast", a.Pose.Part)
			before = a.Factor
			for i, points := range [][]geom.Vec{mast, chair} {
				unit := []float64{1, 1000}[i]
				p := a.Parts[i].Pose
				require.NotNil(t, p)
				box := geom.EmptyBox()
				far := 0.0
				for _, v := range points {
					v = v.Scale(a.Factor * unit)
					at := geom.Vec{p.Turn[0].Dot(v), p.Turn[1].Dot(v), p.Turn[2].Dot(v)}.Add(p.Shift)
					box = box.Add(at)
					far = max(far, math.Hypot(at[0], at[1]))
				}
				const rounding = 1e-3 // float32 files, a part drawn far from its origin
				require.InDelta(t, 0, box.Min[2], rounding)
				require.LessOrEqual(t, box.Max[2], room[2]+rounding)
				if round {
					require.LessOrEqual(t, far, room[0]/2+rounding)
					continue
				}
				for axis := range 2 {
					require.LessOrEqual(t, max(box.Max[axis], -box.Min[axis]), room[axis]/2+rounding, "%v %s %s", bed, how, a.Parts[i].Name)
				}
			}
		}
	}
}

// A plank of 400 × 100 × 90 on a bed of 200 × 200 × 200: known answers.
func TestBedByTurning(t *testing.T) {
	kitFolder(t)
	for how, want := range map[string]float64{
		"none":  0.5,
		"yaw":   200 * math.Sqrt2 / 500, // along the diagonal: (400 + 100)/√2 = 200 s
		"faces": 200 * math.Sqrt2 / 490, // the narrower side down
	} {
		a := bedOf(t, "--bed", "200x200x200", "--turn", how, "kit/hull.stl")
		require.InEpsilon(t, want, a.Factor, 1e-9, how)
		require.Equal(t, "hull", a.Limits)
	}
	a := bedOf(t, "--bed", "200x200x200", "--native", "1:20", "--field", "ships", "kit/hull.stl")
	require.Equal(t, "1:48", a.Largest.Ratio)
	require.Nil(t, a.Next, "there is no larger ratio of ships")
	a = bedOf(t, "--bed", "100x200x200", "--native", "1:20", "--field", "wargame", "kit/hull.stl")
	require.Equal(t, "x", a.Axis)
	require.Equal(t, "1:87", a.Largest.Ratio)
	require.Equal(t, "1:76", a.Next.Ratio)
	require.Equal(t, "hull", a.Next.Needs[0].Part)
	require.InDelta(t, 400*20/76.-100, a.Next.Needs[0].TooLong[0], 1e-9)
	require.Equal(t, [3]int{2, 1, 1}, a.Next.Needs[0].Pieces)
	plain := strings.ReplaceAll(scant("factor", "--bed", "100x200x200", "--native", "1:20", "--field", "wargame", "kit/hull.stl").out, "\u00a0", " ")
	require.Regexp(t, `1:87 .*is the largest standard ratio that fits`, plain)
	require.Contains(t, plain, "hull is 5.26 mm too wide, to be cut into 2 pieces (2 × 1 × 1)")
	// A round plate takes the diagonal.
	a = bedOf(t, "--bed", "200x300x200", "--round", "kit/hull.stl")
	require.InEpsilon(t, 200/math.Hypot(400, 100), a.Factor, 1e-9)
	require.Contains(t, strings.ReplaceAll(a.Why, "\u00a0", " "), "200 mm of diameter")
}

func TestPrinters(t *testing.T) {
	kitFolder(t)
	path := configured(t)
	list := func() (own []string, all int) {
		var l struct {
			Printers []struct {
				Name         string
				Width, Depth float64
				Own          bool
			}
		}
		got := scant("printers", "--json")
		require.Equal(t, 0, got.code, got.err)
		require.NoError(t, json.Unmarshal([]byte(got.out), &l))
		for _, p := range l.Printers {
			if p.Own {
				own = append(own, p.Name)
			}
		}
		return own, len(l.Printers)
	}
	own, generic := list()
	require.Empty(t, own)
	require.Greater(t, generic, 10)
	require.NoFileExists(t, path, "listing makes nothing")

	require.Equal(t, 0, scant("printers", "add", "back room", "200x210x8in", "--margin", "4", "--brim", "1").code)
	own, _ = list()
	require.Equal(t, []string{"back room"}, own)
	a := bedOf(t, "--printer", "Back Room", "kit/hull.stl")
	require.InEpsilon(t, 190/400., a.Factor, 1e-9)
	a = bedOf(t, "--printer", "round-180x300", "kit/hull.stl")
	require.InEpsilon(t, 170/math.Hypot(400, 100), a.Factor, 1e-9)

	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, c := range []struct{ args, say string }{
		{"printers add|back ROOM|100x100x100", "another printer has this name"},
		{"printers add|220x220x250|100x100x100", "another printer has this name"},
		{"printers add| |100x100x100", "needs a name"},
		{"printers add|small|10x10x10|--margin|5", "leave no room"},
		{"printers remove|cellar", "no printer of this name"},
	} {
		got := scant(strings.Split(strings.Replace(c.args, "printers ", "printers|", 1), "|")...)
		require.Equal(t, 1, got.code, c.args)
		require.Contains(t, strings.ToLower(got.err), c.say, c.args)
	}
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(kept), string(after), "nothing changed")
	require.Equal(t, 0, scant("printers", "remove", "back room").code)
	own, _ = list()
	require.Empty(t, own)

	// A broken file is named, never lost, and keeps nobody from the generic sizes.
	require.NoError(t, os.WriteFile(path, []byte("{broken"), 0o666))
	got := scant("printers")
	require.Equal(t, 1, got.code)
	require.Contains(t, got.out, "220x220x250")
	require.Contains(t, got.err, "printers.json, line")
	require.Equal(t, 1, scant("printers", "add", "x", "9x9x9").code)
	require.Equal(t, 1, scant("factor", "--printer", "x", "kit/hull.stl").code)
	require.Equal(t, 0, scant("factor", "--printer", "120x70x150", "kit/hull.stl").code)
	still, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "{broken", string(still))
}

func TestBedMisuse(t *testing.T) {
	kitFolder(t)
	configured(t)
	for _, args := range []string{
		"factor --bed 9x9x9 --turn over kit",
		"factor --bed 9x9x9 --brim -1 kit",
		"factor --bed 9x9x9 --printer 220x220x250 kit",
		"factor --printer 220x220x250 --margin 5 kit",
		"factor --printer nobody kit",
		"factor --factor 2 --turn yaw",
		"factor --factor 2 --round",
		"printers add", "printers add x", "printers add x 9x9", "printers add x 9x9x0", "printers remove", "printers mend x", "printers --round",
	} {
		got := scant(strings.Fields(args)...)
		require.Equal(t, 2, got.code, "%q: %s", args, got.err)
		require.Empty(t, got.out, args)
		require.Contains(t, got.err, "scant help", args)
	}
}

// A copy in its pose stands on the plate, in its middle, inside the room, in every format.
func TestRescaleInPose(t *testing.T) {
	kitFolder(t)
	for _, as := range []string{"stl", "stl-ascii", "obj", "glb"} {
		for _, how := range []string{"yaw", "free"} {
			out := filepath.Join("posed", as, how)
			got := scant("rescale", "--bed", "120x110x100", "--turn", how, "--pose", "--verify", "--as", as, "--out", out, "--json", "kit/hull.stl", "y-up/funnel.gltf")
			require.Equal(t, 0, got.code, got.err)
			var saved struct{ Parts []struct{ Copy string } }
			require.NoError(t, json.Unmarshal([]byte(got.out), &saved))
			for _, p := range saved.Parts {
				f, err := formats.Open(context.Background(), p.Copy, nil)
				require.NoError(t, err)
				part := f.Parts()[0]
				box := kit.Upright(part).Box(part.Box.Scale(part.Unit.MM))
				require.InDelta(t, 0, box.Min[2], 1e-4, p.Copy)
				require.LessOrEqual(t, box.Max[2], 100+1e-4)
				for axis, room := range []float64{120, 110} {
					require.InDelta(t, 0, box.Min[axis]+box.Max[axis], 1e-3, "in the middle")
					require.LessOrEqual(t, box.Max[axis]-box.Min[axis], room+1e-4)
				}
			}
		}
	}
	// Parts of one file keep their places in each other.
	got := scant("rescale", "--bed", "9x9x9", "--pose", "--out", "posed/together", "kit/deck/fittings.obj")
	require.Equal(t, 0, got.code, got.err)
	require.Contains(t, strings.ReplaceAll(got.err, "\u00a0", " "), "holds 2 parts")
	require.Equal(t, 2, scant("rescale", "--factor", "2", "--pose", "--out", "x", "kit").code)
}

// Every copy of the demo kit in its pose is what it should be, those of parts too that are
// written as text far from the origin.
func TestDemoKitInItsPoses(t *testing.T) {
	out := t.TempDir()
	got := scant("rescale", "--bed", "220x220x250", "--margin", "5", "--turn", "yaw", "--pose", "--verify", "--out", out, "--json", filepath.Join("..", "..", "assets", "demo"))
	require.Equal(t, 0, got.code, got.err)
	var saved struct{ Parts []struct{ Verified bool } }
	require.NoError(t, json.Unmarshal([]byte(got.out), &saved))
	require.Greater(t, len(saved.Parts), 20)
	for _, p := range saved.Parts {
		require.True(t, p.Verified)
	}
}
