package main

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The triangles of a box from the origin to its size, outward.
func box(size [3]float32) [][3][3]float32 {
	var out [][3][3]float32
	for axis := range 3 {
		for _, side := range []float32{0, 1} {
			at := func(u, v float32) (p [3]float32) {
				p[axis], p[(axis+1)%3], p[(axis+2)%3] = side*size[axis], u*size[(axis+1)%3], v*size[(axis+2)%3]
				return p
			}
			a, b, c, d := at(0, 0), at(1, 0), at(1, 1), at(0, 1)
			if side == 0 {
				b, d = d, b
			}
			out = append(out, [3][3]float32{a, b, c}, [3][3]float32{a, c, d})
		}
	}
	return out
}

func binarySTL(triangles [][3][3]float32) []byte {
	var b bytes.Buffer
	b.Write(make([]byte, 80))
	binary.Write(&b, binary.LittleEndian, uint32(len(triangles)))
	for _, t := range triangles {
		binary.Write(&b, binary.LittleEndian, [3]float32{})
		binary.Write(&b, binary.LittleEndian, t)
		binary.Write(&b, binary.LittleEndian, uint16(0))
	}
	return b.Bytes()
}

func textSTL(name string, triangles [][3][3]float32) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "solid %s\n", name)
	for _, t := range triangles {
		fmt.Fprint(&b, " facet normal 0 0 0\n  outer loop\n")
		for _, p := range t {
			fmt.Fprintf(&b, "   vertex %g %g %g\n", p[0], p[1], p[2])
		}
		fmt.Fprint(&b, "  endloop\n endfacet\n")
	}
	fmt.Fprintf(&b, "endsolid %s\n", name)
	return b.Bytes()
}

func objText(triangles [][3][3]float32) []byte {
	var b bytes.Buffer
	fmt.Fprint(&b, "mtllib tug.mtl\n")
	for part, name := range []string{"bollard", "cleat"} {
		fmt.Fprintf(&b, "o %s\n", name)
		for _, t := range triangles {
			for _, p := range t {
				fmt.Fprintf(&b, "v %g %g %g\n", p[0]+float32(20*part), p[1], p[2])
			}
			fmt.Fprint(&b, "f -3 -2 -1\n")
		}
	}
	return b.Bytes()
}

func gltfText(triangles [][3][3]float32) []byte {
	var data bytes.Buffer
	var least, most [3]float32
	for _, t := range triangles {
		for _, p := range t {
			binary.Write(&data, binary.LittleEndian, p)
			for i := range p {
				least[i], most[i] = min(least[i], p[i]), max(most[i], p[i])
			}
		}
	}
	text, _ := json.Marshal(map[string]any{
		"asset":       map[string]any{"version": "2.0"},
		"scene":       0,
		"scenes":      []any{map[string]any{"nodes": []int{0}}},
		"nodes":       []any{map[string]any{"mesh": 0, "name": "funnel"}},
		"meshes":      []any{map[string]any{"primitives": []any{map[string]any{"attributes": map[string]any{"POSITION": 0}}}}},
		"accessors":   []any{map[string]any{"bufferView": 0, "componentType": 5126, "count": 3 * len(triangles), "type": "VEC3", "min": least, "max": most}},
		"bufferViews": []any{map[string]any{"buffer": 0, "byteLength": data.Len()}},
		"buffers":     []any{map[string]any{"byteLength": data.Len(), "uri": "data:application/octet-stream;base64," + base64.StdEncoding.EncodeToString(data.Bytes())}},
	})
	return text
}

// kitFolder lays a small kit out and goes there.
func kitFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, content := range map[string][]byte{
		"kit/hull.stl":           binarySTL(box([3]float32{400, 100, 90})),
		"kit/deck/mast.STL":      textSTL("mast", box([3]float32{6, 6, 180})),
		"kit/deck/fittings.obj":  objText(box([3]float32{10, 10, 12})),
		"kit/deck/tug.mtl":       []byte("newmtl grey\n"),
		"kit/notes.txt":          []byte("not a model"),
		"kit/.hidden/broken.stl": []byte("no"),
		"y-up/funnel.gltf":       gltfText(box([3]float32{0.03, 0.05, 0.02})),
		"bad/broken.stl":         binarySTL(box([3]float32{1, 1, 1}))[:200],
		"bad/empty.stl":          nil,
		"none/readme.txt":        []byte("nothing here"),
	} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, content, 0o666))
	}
	t.Chdir(dir)
	return dir
}

type result struct {
	code     int
	out, err string
}

func scant(args ...string) result {
	var out, err bytes.Buffer
	code := run(context.Background(), args, &out, &err)
	return result{code, out.String(), err.String()}
}

type reply struct {
	Factor, Percent float64
	SD              *float64
	Ratio, Why      string
	Native, Implied struct{ Ratio, Low, High string }
	Candidates      []struct {
		Ratio, Name, Field string
		Probability        float64
	}
	Error               string
	Limits, Axis        string
	Drawn, Room, AtMost float64
	Pose, Largest, Next any
	Parts               []struct {
		Largest                                         float64
		Pose                                            any
		File, Name, Format, Encoding, Unit, Copy, Error string
		Triangles, Shells                               int
		Min, Max, Size, Centroid, Print, Corrected      []float64
		Area, Volume                                    float64
		Closed, Verified, Unchanged                     bool
		Notes                                           []string
	}
}

// jsonOf runs a call with --json and proves that standard output is one document.
func jsonOf(t *testing.T, code int, args ...string) (reply, string) {
	t.Helper()
	got := scant(append(args, "--json")...)
	require.Equal(t, code, got.code, got.err)
	dec := json.NewDecoder(strings.NewReader(got.out))
	dec.DisallowUnknownFields()
	var r reply
	require.NoError(t, dec.Decode(&r), got.out)
	require.False(t, dec.More())
	return r, got.err
}

func TestMeasure(t *testing.T) {
	kitFolder(t)
	r, stderr := jsonOf(t, 0, "measure", "kit", "y-up/funnel.gltf", "kit/hull.stl")
	require.Empty(t, stderr)
	var files []string
	for _, p := range r.Parts {
		files = append(files, filepath.ToSlash(p.File)+" "+p.Name)
	}
	require.Equal(t, []string{"kit/deck/fittings.obj bollard", "kit/deck/fittings.obj cleat", "kit/deck/mast.STL mast", "kit/hull.stl hull", "y-up/funnel.gltf funnel"}, files)
	hull := r.Parts[3]
	require.Equal(t, "stl", hull.Format)
	require.Equal(t, "binary", hull.Encoding)
	require.Equal(t, "mm", hull.Unit)
	require.Equal(t, 12, hull.Triangles)
	require.Equal(t, []float64{0, 0, 0}, hull.Min)
	require.Equal(t, []float64{400, 100, 90}, hull.Max)
	require.Equal(t, []float64{400, 100, 90}, hull.Size)
	require.InDelta(t, 2*(400*100+400*90+100*90), hull.Area, 1e-6)
	require.InDelta(t, 400*100*90, hull.Volume, 1e-6)
	require.InDeltaSlice(t, []float64{200, 50, 45}, hull.Centroid, 1e-9)
	require.True(t, hull.Closed)
	require.Equal(t, 1, hull.Shells)
	require.NotEmpty(t, hull.Notes, "that the unit is assumed")
	require.Equal(t, []float64{20, 0, 0}, r.Parts[1].Min)
	funnel := r.Parts[4]
	require.Equal(t, "m", funnel.Unit)
	require.InDelta(t, 0.05, funnel.Size[1], 1e-8)

	plain := scant("measure", "kit/hull.stl")
	require.Equal(t, 0, plain.code)
	for _, want := range []string{"kit/hull.stl", "400 × 100 × 90", "mm (assumed)", "12", "closed", "3600"} {
		require.Contains(t, strings.ReplaceAll(plain.out, "\u00a0", " "), want)
	}
}

func TestOpenSurface(t *testing.T) {
	kitFolder(t)
	require.NoError(t, os.WriteFile("open.stl", binarySTL(box([3]float32{1, 1, 1})[1:]), 0o666))
	r, _ := jsonOf(t, 0, "measure", "open.stl")
	require.False(t, r.Parts[0].Closed)
	require.Contains(t, scant("measure", "open.stl").out, "open: 3")
}

func TestMeasureGoesOnAfterFailures(t *testing.T) {
	kitFolder(t)
	r, stderr := jsonOf(t, 1, "measure", "bad", "nowhere.stl", "none", "kit/hull.stl")
	require.Len(t, r.Parts, 5)
	for i, file := range []string{"bad/broken.stl", "bad/empty.stl", "nowhere.stl", "none"} {
		require.Equal(t, file, filepath.ToSlash(r.Parts[i].File))
		require.NotEmpty(t, r.Parts[i].Error)
		require.Contains(t, filepath.ToSlash(stderr), "scant: "+file)
	}
	require.Empty(t, r.Parts[4].Error)
	require.Equal(t, 12, r.Parts[4].Triangles)
	require.Equal(t, 4, strings.Count(stderr, "\n"))
}

func TestFactor(t *testing.T) {
	kitFolder(t)
	for _, c := range []struct {
		args          string
		factor        float64
		ratio, native string
		why           string
	}{
		{"--factor 0.235", 0.235, "1:4.255", "", "factor"},
		{"--factor=23.5% --native 1:11.28", 0.235, "1:48", "1:11.28", "1:48"},
		{"--native 1:11.28 --target 1:48", 11.28 / 48, "1:48", "1:11.28", "1:48"},
		{"--target 1:48 --native=1/48", 1, "1:48", "1:48", "1:48"},
		{"kit --real 20.88m --along x --target 1:87", 52.2 / 87, "1:87", "1:52.2", "1:87"},
		{"--real 20.88 --along X kit --target 1:87", 52.2 / 87, "1:87", "1:52.2", "1:87"},
		{"--length 250 --along z kit", 250.0 / 180, "1.389:1", "", "250"},
		{"--length 10in --along x kit --native 1:20", 254.0 / 400, "1:31.5", "1:20", "254"},
		{"--bed 220x220x250 --margin 10 kit", 0.5, "1:2", "", "hull"},
		{"--bed 8in×8inX10in kit/hull.stl", 203.2 / 400, "", "", "203"},
		// The funnel's height is along y: 50 mm of it against a bed 25 mm high.
		{"--bed 220x220x25 y-up", 0.5, "1:2", "", "height"},
		// Mixed axes: the funnel stands up beside the hull.
		{"--length 180 --along z kit/hull.stl y-up", 2, "2:1", "", "180"},
	} {
		t.Run(c.args, func(t *testing.T) {
			args := append([]string{"factor"}, strings.Fields(c.args)...)
			r, stderr := jsonOf(t, 0, args...)
			require.Empty(t, stderr)
			require.InEpsilon(t, c.factor, r.Factor, 1e-7)
			require.InEpsilon(t, r.Factor*100, r.Percent, 1e-15)
			if c.ratio != "" {
				require.True(t, strings.HasPrefix(r.Ratio, c.ratio[:min(5, len(c.ratio))]), r.Ratio)
			}
			require.NotEmpty(t, r.Ratio)
			require.Equal(t, c.native, r.Native.Ratio)
			require.Equal(t, r.Native.Low, r.Native.High, "exact")
			require.Zero(t, *r.SD)
			require.Contains(t, r.Why, c.why)
			for _, p := range r.Parts {
				require.Len(t, p.Print, 3)
			}
			plain := scant(args...)
			require.Equal(t, 0, plain.code)
			digits := regexp.MustCompile(`(?m)^factor +(\S+)$`).FindStringSubmatch(plain.out)
			require.Equal(t, fmt.Sprint(r.Factor), digits[1])
			require.Contains(t, plain.out, r.Why)
		})
	}
	r, _ := jsonOf(t, 0, "factor", "--factor", "1/3", "y-up")
	require.Equal(t, 1.0/3, r.Factor, "every digit")
	require.InDeltaSlice(t, []float64{10, 50.0 / 3, 20.0 / 3}, r.Parts[0].Print, 1e-5)
	require.Contains(t, scant("factor", "--factor", "1/3").out, "1/3")
}

func TestFactorFails(t *testing.T) {
	kitFolder(t)
	r, stderr := jsonOf(t, 1, "factor", "--bed", "220x220x250", "bad")
	require.NotEmpty(t, r.Error)
	require.Len(t, r.Parts, 2)
	require.Contains(t, stderr, "broken.stl")

	r, stderr = jsonOf(t, 1, "factor", "--bed", "200x220x250", "bad", "kit")
	require.Equal(t, 0.5, r.Factor, "the rest is still done")
	require.Contains(t, strings.ReplaceAll(stderr, "\u00a0", " "), "without 2 files")

	require.Equal(t, 1, scant("factor", "--bed", "10x10x10", "--margin", "5", "kit").code)
}

func TestRescale(t *testing.T) {
	dir := kitFolder(t)
	before := contents(t, dir)
	r, stderr := jsonOf(t, 0, "rescale", "--factor", "0.25", "--out", "copies/quarter", "--verify", "kit", "y-up")
	require.Empty(t, stderr)
	require.Len(t, r.Parts, 5)
	for _, p := range r.Parts {
		require.True(t, p.Verified, p.File)
		require.Equal(t, strings.ToLower(filepath.Base(p.File)), strings.ToLower(filepath.Base(p.Copy)))
		require.FileExists(t, p.Copy)
	}
	require.Equal(t, r.Parts[0].Copy, r.Parts[1].Copy, "two parts of one file are one copy")
	require.Equal(t, []float64{100, 25, 22.5}, r.Parts[3].Print)
	for name, content := range before {
		require.Equal(t, content, contents(t, dir)[name], name)
	}
	copies := contents(t, filepath.Join(dir, "copies", "quarter"))
	require.Len(t, copies, 5)
	require.Contains(t, copies, "tug.mtl")
	again, _ := jsonOf(t, 0, "measure", "copies")
	for i, p := range again.Parts {
		for axis := range p.Size {
			require.InEpsilon(t, again.Parts[i].Size[axis], p.Size[axis], 1e-6)
		}
	}

	t.Run("nothing is overwritten unasked", func(t *testing.T) {
		r, stderr := jsonOf(t, 1, "rescale", "--factor", "0.5", "--out", "copies/quarter", "kit")
		for _, p := range r.Parts {
			require.NotEmpty(t, p.Error)
			require.Empty(t, p.Copy)
		}
		require.Equal(t, 3, strings.Count(stderr, "\n"))
		require.Equal(t, copies, contents(t, filepath.Join(dir, "copies", "quarter")))
		r, _ = jsonOf(t, 0, "rescale", "--factor", "0.5", "--out", "copies/quarter", "--overwrite", "kit")
		require.Empty(t, r.Parts[0].Error)
		require.NotEqual(t, copies["hull.stl"], contents(t, filepath.Join(dir, "copies", "quarter"))["hull.stl"])
	})
	t.Run("never a source", func(t *testing.T) {
		got := scant("rescale", "--factor", "0.5", "--out", "kit", "--overwrite", "kit/hull.stl")
		require.Equal(t, 1, got.code)
		require.Contains(t, got.err, "kit/hull.stl")
		require.Equal(t, before["kit/hull.stl"], contents(t, dir)["kit/hull.stl"])
	})
	t.Run("copies in a folder below are no sources", func(t *testing.T) {
		for range 2 {
			r, _ := jsonOf(t, 0, "rescale", "--factor", "0.5", "--out", "kit/small", "--overwrite", "kit")
			require.Len(t, r.Parts, 4)
		}
	})
	t.Run("the rest is done", func(t *testing.T) {
		r, stderr := jsonOf(t, 1, "rescale", "--factor", "0.5", "--out", "rest", "bad", "kit/hull.stl")
		require.Len(t, r.Parts, 3)
		require.NotEmpty(t, r.Parts[0].Error)
		require.FileExists(t, r.Parts[2].Copy)
		require.Contains(t, stderr, "broken.stl")
	})
	t.Run("two of one name", func(t *testing.T) {
		require.NoError(t, os.MkdirAll("other", 0o777))
		require.NoError(t, os.WriteFile("other/HULL.stl", binarySTL(box([3]float32{1, 2, 3})), 0o666))
		r, _ := jsonOf(t, 0, "rescale", "--factor", "0.5", "--out", "clash", "other", "kit/hull.stl", "y-up")
		require.Equal(t, "HULL.stl", filepath.Base(r.Parts[0].Copy))
		require.Equal(t, "hull-2.stl", filepath.Base(r.Parts[1].Copy))
		require.Len(t, contents(t, "clash"), 3)
		r, _ = jsonOf(t, 0, "rescale", "--factor", "0.5", "--out", "as-they-were", "--folders", "other", "kit/hull.stl")
		require.FileExists(t, filepath.Join("as-they-were", "other", "HULL.stl"))
		require.FileExists(t, filepath.Join("as-they-were", "kit", "hull.stl"))
		require.Len(t, r.Parts, 2)
	})
	t.Run("how often", func(t *testing.T) {
		args := []string{"rescale", "--factor", "0.5", "--out", "often", "--name", "{quantity}x {part}", "--quantity"}
		r, _ := jsonOf(t, 0, append(args, "hull=6", "kit/hull.stl", "y-up")...)
		require.Equal(t, "6x hull.stl", filepath.Base(r.Parts[0].Copy))
		require.True(t, strings.HasPrefix(filepath.Base(r.Parts[1].Copy), "1x "))
		for _, wrong := range []string{"hull=0", "hull", "nobody=2"} {
			got := scant(append(args, wrong, "kit/hull.stl")...)
			require.Equal(t, 2, got.code, wrong)
			require.Contains(t, got.err, "--quantity")
		}
	})
	t.Run("only what changed", func(t *testing.T) {
		args := []string{"rescale", "--factor", "0.5", "--out", "kept", "--only-changed", "kit/hull.stl", "other"}
		r, _ := jsonOf(t, 0, args...)
		require.False(t, r.Parts[0].Unchanged)
		r, _ = jsonOf(t, 0, args...)
		require.True(t, r.Parts[0].Unchanged && r.Parts[1].Unchanged)
		require.Contains(t, scant(args...).out, "unchanged")
		require.NoError(t, os.WriteFile("other/HULL.stl", binarySTL(box([3]float32{1, 2, 4})), 0o666))
		r, _ = jsonOf(t, 1, args...)
		require.True(t, r.Parts[0].Unchanged)
		require.Contains(t, r.Parts[1].Error, "already")
		r, _ = jsonOf(t, 0, append(args, "--overwrite")...)
		require.True(t, r.Parts[0].Unchanged)
		require.False(t, r.Parts[1].Unchanged)
		require.Len(t, contents(t, "kept"), 3, "the list lies beside them")
	})
	t.Run("a folder that is a file", func(t *testing.T) {
		got := scant("rescale", "--factor", "0.5", "--out", "kit/notes.txt", "kit/hull.stl")
		require.Equal(t, 1, got.code)
		require.Contains(t, got.err, "notes.txt")
	})
}

func TestRescaleNamesAndFormats(t *testing.T) {
	kitFolder(t)
	for _, c := range []struct{ as, extension string }{{"stl", ".stl"}, {"stl-ascii", ".stl"}, {"obj", ".obj"}, {"GLB", ".glb"}, {"3mf", ".3mf"}} {
		r, stderr := jsonOf(t, 0, "rescale", "--native", "1:12", "--target", "1:48", "--as", c.as, "--name", "{kit} {part}-{ratio}", "--out", c.as, "--verify", "kit", "y-up")
		require.Empty(t, stderr)
		for _, p := range r.Parts {
			require.True(t, p.Verified, "%s as %s", p.File, c.as)
			part := strings.TrimSuffix(filepath.Base(p.File), filepath.Ext(p.File))
			require.True(t, strings.EqualFold("kit "+part+"-1-48"+c.extension, filepath.Base(p.Copy)), p.Copy)
		}
		back, _ := jsonOf(t, 0, "measure", c.as)
		for _, p := range back.Parts {
			unit := map[string]float64{"mm": 1, "m": 1000}[p.Unit]
			if strings.Contains(p.File, "hull") {
				require.InDelta(t, 100, p.Size[0]*unit, 1e-4)
				require.InDelta(t, 900000.0/16, p.Volume*math.Pow(unit, 3), 1)
			}
		}
	}
	plain := scant("rescale", "--factor", "0.5", "--out", "plain", "kit")
	require.Equal(t, 0, plain.code, plain.err)
	for _, want := range []string{"hull.stl", "200 × 50 × 45", "400 × 100 × 90", "saved", "3 copies"} {
		require.Contains(t, strings.ReplaceAll(plain.out, "\u00a0", " "), want)
	}
}

func contents(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.Walk(folder, func(path string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		name, _ := filepath.Rel(folder, path)
		out[filepath.ToSlash(name)] = string(b)
		return err
	}))
	return out
}

func TestWrongUsage(t *testing.T) {
	kitFolder(t)
	for _, args := range []string{
		"",
		"enlarge",
		"help enlarge",
		"help measure factor",
		"measure",
		"measure --verify kit",
		"measure -json kit",
		"measure --json=yes kit",
		"measure --json --json kit",
		"factor",
		"factor kit",
		"factor --factor",
		"factor --factor --json",
		"factor --factor abc",
		"factor --factor 0",
		"factor --factor -1",
		"factor --factor NaN",
		"factor --factor 1e30",
		"factor --factor 0.5 --factor 0.5",
		"factor --factor 0.5 --bed 1x1x1 kit",
		"factor --factor 0.5 --target 1:48",
		"factor --factor 0.5 --along x",
		"factor --native 1:48",
		"factor --target 1:48",
		"factor --native 1:48 --target 0",
		"factor --native 1:48 --target O", // two readings
		"factor --native 1:48 --target 1:24 --margin 5",
		"factor --real 3m --target 1:48 kit",
		"factor --real 3m --along x kit",
		"factor --real 3m --along x --target 1:48",
		"factor --real 3m --along x --target 1:48 --native 1:4 kit",
		"factor --real 0 --along x --target 1:48 kit",
		"factor --length 250 kit",
		"factor --length 250 --along w kit",
		"factor --length 250parsec --along x kit",
		"factor --length 250 --along x",
		"factor --bed 220x220 kit",
		"factor --bed 220x220x-1 kit",
		"factor --bed 220x220x250 --margin -5 kit",
		"factor --bed 220x220x250",
		"factor --factor 1 --out x",
		"rescale --factor 1 kit",
		"rescale --factor 1 --out",
		"rescale --factor 1 --out= kit",
		"rescale --factor 1 --out x",
		"rescale --out x kit",
		"rescale --factor 1 --out x --as gif kit",
		"rescale --factor 1 --out x --name {scale} kit",
		"rescale --factor 1 --out x --name= kit",
	} {
		got := scant(strings.Fields(args)...)
		require.Equal(t, 2, got.code, "%q: %s", args, got.err)
		require.Empty(t, got.out, args)
		require.Contains(t, got.err, "scant help", args)
		require.NoDirExists(t, "x")
	}
}

func TestPathsBehindDashes(t *testing.T) {
	kitFolder(t)
	require.NoError(t, os.Rename("kit/hull.stl", "--hull.stl"))
	require.Equal(t, 2, scant("measure", "--hull.stl").code)
	r, _ := jsonOf(t, 0, "measure", "./--hull.stl")
	require.Len(t, r.Parts, 1)
	require.Equal(t, 0, scant("measure", "--json", "--", "--hull.stl").code)
}

func TestHelp(t *testing.T) {
	for _, args := range [][]string{{"help"}, {"--help"}, {"-h"}} {
		got := scant(args...)
		require.Equal(t, 0, got.code)
		require.Equal(t, helpAll, got.out)
	}
	for _, verb := range []string{"measure", "factor", "rescale", "help"} {
		got := scant("help", verb)
		require.Equal(t, 0, got.code)
		require.Empty(t, got.err)
		for flag := range flagsOf(verb) {
			if verb != "help" {
				require.Contains(t, got.out, "--"+flag)
			}
		}
		if verb != "help" {
			require.Contains(t, got.out, "Examples")
			require.Equal(t, got, scant(verb, "--help", "--nonsense"))
		}
		for line := range strings.Lines(got.out) {
			require.LessOrEqual(t, len([]rune(line)), 96, line)
		}
	}
}

// The examples that help gives are calls that make sense.
func TestHelpExamples(t *testing.T) {
	examples := 0
	for _, verb := range []string{"measure", "factor", "rescale"} {
		_, text, _ := strings.Cut(help(verb), "Examples\n")
		for line := range strings.Lines(text) {
			words, ok := strings.CutPrefix(strings.TrimSpace(line), "scant ")
			if !ok {
				break
			}
			var args []string
			for _, w := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(words, -1) {
				args = append(args, strings.Trim(w, `"`))
			}
			c, err := parse(args)
			require.NoError(t, err, line)
			if verb != "measure" {
				_, err = c.way()
				require.NoError(t, err, line)
			}
			if verb == "rescale" {
				_, err = c.copying()
				require.NoError(t, err, line)
			}
			examples++
		}
	}
	require.GreaterOrEqual(t, examples, 9)
}

func TestCancelled(t *testing.T) {
	kitFolder(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, args := range []string{"measure kit", "factor --factor 1 kit", "rescale --factor 1 --out out kit"} {
		var out, err bytes.Buffer
		require.Equal(t, 1, run(ctx, strings.Fields(args), &out, &err))
		require.Empty(t, out.String())
		require.Contains(t, strings.ToLower(err.String()), "cancel")
	}
	require.NoDirExists(t, "out")
}

func TestNumberInJSON(t *testing.T) {
	b, err := json.Marshal([]number{0.1, number(math.Inf(1)), number(math.NaN()), 1.0 / 3})
	require.NoError(t, err)
	require.Equal(t, `[0.1,null,null,0.3333333333333333]`, string(b))
}

// All parts in one package, which says by what it was scaled.
func TestRescaleIntoOne(t *testing.T) {
	kitFolder(t)
	apart, _ := jsonOf(t, 0, "rescale", "--native", "1:12", "--target", "1:48", "--as", "3mf", "--out", "apart", "kit")
	r, stderr := jsonOf(t, 0, "rescale", "--native", "1:12", "--target", "1:48", "--one", "tug.3mf", "--out", "one", "--verify", "kit")
	require.Empty(t, stderr)
	require.Equal(t, []string{"tug.3mf"}, slices.Sorted(maps.Keys(contents(t, "one"))))
	for _, p := range r.Parts {
		require.Equal(t, "tug.3mf", filepath.Base(p.Copy))
		require.True(t, p.Verified)
	}
	back, _ := jsonOf(t, 0, "measure", "one")
	require.Len(t, back.Parts, len(apart.Parts))
	for i, p := range back.Parts {
		require.Equal(t, apart.Parts[i].Name, p.Name)
		require.InDelta(t, apart.Parts[i].Size[0]/4, p.Size[0], 1e-4)
	}
	plain := scant("rescale", "--factor", "0.5", "--one", "tug", "--out", "plain", "kit")
	require.Equal(t, 0, plain.code, plain.err)
	require.Contains(t, plain.out, "1\u00a0copy saved")
	for _, wrong := range [][]string{{"--as", "stl"}, {"--name", "{part}"}, {"--pose"}} {
		got := scant(append([]string{"rescale", "--factor", "0.5", "--one", "tug", "--out", "wrong", "kit"}, wrong...)...)
		require.Equal(t, 2, got.code)
	}
	exists := scant("rescale", "--factor", "0.5", "--one", "tug", "--out", "plain", "kit")
	require.Equal(t, 1, exists.code)
	require.Equal(t, 1, strings.Count(exists.err, "already"), exists.err)
}

// Copies are corrected for a printer along x, y and z up, whatever axis that is in their file.
func TestRescaleCorrected(t *testing.T) {
	kitFolder(t)
	plain, _ := jsonOf(t, 0, "rescale", "--factor", "0.25", "--out", "plain", "kit", "y-up")
	r, stderr := jsonOf(t, 0, "rescale", "--factor", "0.25", "--correction", "1.004, 1.002,0.991", "--out", "fit", "--verify", "kit", "y-up")
	require.Empty(t, stderr)
	by := []float64{1.004, 1.002, 0.991}
	for i, p := range r.Parts {
		require.True(t, p.Verified, p.File)
		require.Equal(t, by, p.Corrected)
		require.Equal(t, plain.Parts[i].Print, p.Print, "the size of the finished print")
		require.Nil(t, plain.Parts[i].Corrected)
		before, _ := jsonOf(t, 0, "measure", plain.Parts[i].Copy)
		after, _ := jsonOf(t, 0, "measure", p.Copy)
		along := [3]int{0, 1, 2}
		if strings.HasSuffix(p.Copy, ".gltf") { // y is up, and z comes towards us
			along = [3]int{0, 2, 1}
		}
		for k := range before.Parts {
			for axis, size := range before.Parts[k].Size {
				require.InEpsilon(t, size*by[along[axis]], after.Parts[k].Size[axis], 1e-6, p.Copy)
			}
		}
	}
	said := scant("rescale", "--factor", "0.25", "--correction", "1.003", "--out", "even", "kit")
	require.Equal(t, 0, said.code, said.err)
	require.Contains(t, said.out, "×1.003 on all axes")
	require.NotContains(t, said.out, "leave a margin")
	filled := scant("rescale", "--bed", "220x220x250", "--correction", "1.003", "--out", "filled", "kit")
	require.Equal(t, 0, filled.code, filled.err)
	require.Contains(t, filled.out, "leave a margin", "it is as large as the bed before it is corrected")
	for _, wrong := range []string{"2", "1,1", "1,1,1,1", "resin", "nothing", ""} {
		got := scant("rescale", "--factor", "0.25", "--correction", wrong, "--out", "wrong", "kit")
		require.Equal(t, 2, got.code, "%q: %s", wrong, got.err)
		require.Contains(t, got.err, "--correction")
	}
}
