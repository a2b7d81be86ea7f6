package kit

import (
	"bytes"
	"errors"
	"math/big"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

func parsed(t testing.TB, typed string) ratio.Ratio {
	t.Helper()
	r, err := ratio.Parse(typed)
	require.NoError(t, err)
	return r
}

func tug(t testing.TB, folder string) Kit {
	t.Helper()
	real, err := ratio.ParseLength(`62' 4 1/3"`, ratio.Foot)
	require.NoError(t, err)
	factor, err := ratio.NewFactor(big.NewRat(47, 213))
	require.NoError(t, err)
	k := Kit{
		Title: "Harbour tug \"Ångström\"",
		Way: ways.Way{Kind: ways.ByReal, Native: parsed(t, "1:11.28"), Target: parsed(t, "3.5 mm = 1 ft"), Real: real,
			Along: geom.Z, Part: "p1", Factor: factor, Bed: judge.Bed{Size: geom.Vec{220, 210.5, 250}, Margin: 0.1}},
		Factor: factor,
		Field:  ratio.Fields()[1],
		Notes:  "Drawn from the yard's sheer plan.\nMast is separate.",
	}
	return k.With(
		Part{File: filepath.Join(folder, "hull.stl"), Name: "hull", Digest: "xxh64:0123456789abcdef", Ticked: true},
		Part{File: filepath.Join(folder, "parts", "fittings.glb"), Index: 3, Name: "bollard", Quantity: 6},
		Part{File: filepath.Join(filepath.Dir(folder), "shared", "buoy.obj"), Name: "buoy", Ticked: true, Quantity: 4},
	)
}

func TestSaveAndLoad(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kit")
	require.NoError(t, os.Mkdir(dir, 0o777))
	k := tug(t, dir)
	path := filepath.Join(dir, "tug.scantling")
	require.NoError(t, Save(path, k))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, want := range []string{`"scantling": 2`, `"file": "hull.stl"`, `"file": "parts/fittings.glb"`, `"file": "../shared/buoy.obj"`,
		`"native": "1:11.28"`, `"factor": "47/213"`, `"along": "z"`, `"width": 220`, `"quantity": 6`} {
		require.Contains(t, string(text), want)
	}
	require.NotContains(t, string(text), dir)
	back, err := Load(path)
	require.NoError(t, err)
	requireSame(t, k, back)

	t.Run("moved with its files", func(t *testing.T) {
		other := filepath.Join(t.TempDir(), "elsewhere")
		require.NoError(t, os.Mkdir(other, 0o777))
		require.NoError(t, os.WriteFile(filepath.Join(other, "k.scantling"), text, 0o666))
		moved, err := Load(filepath.Join(other, "k.scantling"))
		require.NoError(t, err)
		require.Equal(t, filepath.Join(other, "hull.stl"), moved.Parts[0].File)
		require.Equal(t, k.Parts[0].ID, moved.Parts[0].ID)
	})
	t.Run("by a relative path", func(t *testing.T) {
		t.Chdir(dir)
		back, err := Load("tug.scantling")
		require.NoError(t, err)
		requireSame(t, k, back)
		require.NoError(t, Save("again.scantling", back))
		again, err := os.ReadFile("again.scantling")
		require.NoError(t, err)
		require.Equal(t, string(text), string(again))
	})
}

// requireSame compares kits by value: rationals have several representations.
func requireSame(t *testing.T, want, got Kit) {
	t.Helper()
	a, err := encode(want, "")
	require.NoError(t, err)
	b, err := encode(got, "")
	require.NoError(t, err)
	require.Equal(t, string(a), string(b))
	require.True(t, want.Factor.Equal(got.Factor))
	require.True(t, want.Way.Target.Equal(got.Way.Target))
	require.True(t, want.Way.Native.Equal(got.Way.Native))
	require.True(t, want.Way.Real.Equal(got.Way.Real))
	require.True(t, want.Way.Factor.Equal(got.Way.Factor))
	require.Equal(t, want.Way.Bed, got.Way.Bed)
	require.Equal(t, want.Way.Along, got.Way.Along)
	require.Equal(t, want.Parts, got.Parts)
	require.Equal(t, want.Notes, got.Notes)
	require.Equal(t, want.Title, got.Title)
	require.Equal(t, want.Field, got.Field)
}

func TestUnknownMembersSurvive(t *testing.T) {
	const text = `{"scantling": 1, "resin": {"name": "grey", "hours": [1.50, 2e3, null]}, "title": "T",
		"way": {"kind": "bed", "wind": {"from": "aft"}, "figure": {"base": "3 mm", "paint": "oil"}}, "bed": {"width": 1, "shape": "<round>"},
		"parts": [{"id": "a", "file": "x.stl", "colour": "red"}, {"id": "b", "file": "y.stl", "history": [{"deep": true}]}]}`
	dir := t.TempDir()
	path := filepath.Join(dir, "k.scantling")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	k, err := Load(path)
	require.NoError(t, err)
	// Changing what is known leaves what is not.
	k = k.WithPart("a", func(p *Part) { p.Quantity = 7 }).WithWay(ways.Way{Kind: ways.ByFactor}).With(Part{File: filepath.Join(dir, "z.stl")})
	require.NoError(t, Save(path, k))
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	flat := strings.Join(strings.Fields(string(b)), "")
	for _, want := range []string{`"resin":{"name":"grey","hours":[1.50,2e3,null]}`, `"wind":{"from":"aft"}`, `"figure":{"paint":"oil"}`, `"shape":"\u003cround\u003e"`,
		`"quantity":7,"colour":"red"`, `"history":[{"deep":true}]`, `"kind":"factor"`} {
		require.Contains(t, flat, want)
	}
	again, err := Load(path)
	require.NoError(t, err)
	require.Len(t, again.Parts, 3)
	require.True(t, again.Parts[0].Ticked, "what is not said is ticked")
	require.Equal(t, 1, again.Parts[1].Quantity)
}

func TestLoadRefuses(t *testing.T) {
	for _, c := range []struct {
		name, text string
		code       Code
		line       int
		detail     string
	}{
		{"empty", "", Syntax, 1, ""},
		{"cut short", "{\"scantling\": 1,\n\"title\": \"Tu", Syntax, 2, ""},
		{"a comma too many", "{\"scantling\": 1,\n\n\"parts\": [1,]}", Syntax, 3, ""},
		{"two documents", "{\"scantling\": 1}\n{}", Syntax, 2, ""},
		{"not UTF-8", "{\"scantling\": 1,\n\"title\": \"\xff\"}", Syntax, 2, ""},
		{"another document", `{"asset": {"version": "2.0"}}`, NotAKit, 1, ""},
		{"a list", `[1]`, NotAKit, 1, ""},
		{"a number", `1`, NotAKit, 1, ""},
		{"a newer version", "{\n \"scantling\": 3, \"parts\": 7}", Newer, 2, "3"},
		{"no version", `{"scantling": "one"}`, BadValue, 1, "scantling"},
		{"half a version", `{"scantling": 0.5}`, BadValue, 1, "scantling"},
		{"parts no list", `{"scantling": 1, "parts": {}}`, BadValue, 1, "parts"},
		{"part no object", "{\"scantling\": 1, \"parts\": [\n3]}", BadValue, 2, "parts[0]"},
		{"no id", `{"scantling": 1, "parts": [{"file": "a"}]}`, BadValue, 1, "parts[0].id"},
		{"no file", `{"scantling": 1, "parts": [{"id": "a"}]}`, BadValue, 1, "parts[0].file"},
		{"file with a zero", `{"scantling": 1, "parts": [{"id": "a", "file": "a\u0000b"}]}`, BadValue, 1, "parts[0].file"},
		{"quantity", "{\"scantling\": 1, \"parts\": [{\"id\": \"a\", \"file\": \"a\",\n\"quantity\": 0}]}", BadValue, 2, "parts[0].quantity"},
		{"half a part", `{"scantling": 1, "parts": [{"id": "a", "file": "a", "quantity": 1.5}]}`, BadValue, 1, "parts[0].quantity"},
		{"index", `{"scantling": 1, "parts": [{"id": "a", "file": "a", "index": -1}]}`, BadValue, 1, "parts[0].index"},
		{"ticked", `{"scantling": 1, "parts": [{"id": "a", "file": "a", "ticked": 1}]}`, BadValue, 1, "parts[0].ticked"},
		{"title", `{"scantling": 1, "title": 4}`, BadValue, 1, "title"},
		{"ratio", "{\"scantling\": 1, \"way\": {\n\"kind\": \"ratio\",\n\"native\": \"1:-3\"}}", BadValue, 3, "way.native"},
		{"factor", `{"scantling": 1, "factor": "0"}`, BadValue, 1, "factor"},
		{"kind", `{"scantling": 1, "way": {"kind": "magic"}}`, BadValue, 1, "way.kind"},
		{"axis", `{"scantling": 1, "way": {"along": "w"}}`, BadValue, 1, "way.along"},
		{"bed", `{"scantling": 1, "bed": {"width": -1}}`, BadValue, 1, "bed.width"},
		{"huge bed", `{"scantling": 1, "bed": {"width": 1e999}}`, BadValue, 1, "bed.width"},
		{"bed of words", `{"scantling": 1, "bed": {"width": "220"}}`, BadValue, 1, "bed.width"},
		{"two factors", `{"scantling": 1, "factor": "0.5", "factor": "0.25"}`, Doubled, 1, "factor"},
		{"two of an unknown", `{"scantling": 1, "way": {"x": 1, "x": 1}}`, Doubled, 1, "way.x"},
		{"two of one id", `{"scantling": 1, "parts": [{"id": "a", "file": "a"}, {"id": "a", "file": "b"}]}`, Doubled, 1, "parts[1].id"},
		{"one body twice", `{"scantling": 1, "parts": [{"id": "a", "file": "a"}, {"id": "b", "file": "x/../a"}]}`, Doubled, 1, "parts[1].file"},
		{"too many parts", `{"scantling": 1, "parts": [` + strings.Repeat("0,", maxParts) + `0]}`, TooLarge, 1, "parts"},
		{"too long", `{"scantling": 1, "notes": "` + strings.Repeat("a", maxBytes) + `"}`, TooLarge, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "k.scantling")
			require.NoError(t, os.WriteFile(path, []byte(c.text), 0o666))
			_, err := Load(path)
			var e *Error
			require.ErrorAs(t, err, &e)
			require.Equal(t, c.code, e.Code, "%v", err)
			require.Equal(t, c.line, e.Line, "%v", err)
			require.Equal(t, c.detail, e.Detail, "%v", err)
			require.Equal(t, path, e.File)
			if e.Code == BadValue && e.Detail == "parts[0].quantity" {
				require.Equal(t, c.text[e.Byte], strings.TrimLeft(c.text[strings.Index(c.text, "quantity\": ")+11:], " ")[0], "the byte is that of the value")
			}
		})
	}
	t.Run("not there", func(t *testing.T) {
		_, err := Load(filepath.Join(t.TempDir(), "none"))
		var e *Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, Unreadable, e.Code)
		require.ErrorIs(t, err, os.ErrNotExist)
	})
	t.Run("a folder", func(t *testing.T) {
		_, err := Load(t.TempDir())
		var e *Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, Unreadable, e.Code)
	})
}

// Every cut-off copy of a kit's file is refused, with its place.
func TestTruncated(t *testing.T) {
	whole, err := encode(tug(t, "kit"), "kit")
	require.NoError(t, err)
	whole = bytes.TrimSpace(whole)
	for n := range whole {
		_, err := decode("k", "kit", whole[:n])
		var e *Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, Syntax, e.Code, "cut at %d", n)
	}
	_, err = decode("k", "kit", append([]byte("\ufeff"), whole...))
	require.NoError(t, err, "a byte order mark is no fault")
}

func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

func TestSaveKeepsWhatIsThere(t *testing.T) {
	dir := t.TempDir()
	k := tug(t, dir)
	hull := filepath.Join(dir, "hull.stl")
	require.NoError(t, os.WriteFile(hull, []byte("solid"), 0o666))
	link := filepath.Join(dir, "link.scantling")
	paths := []string{hull}
	if err := os.Symlink(hull, link); err == nil && sameFile(hull, link) { // not every user of Windows may
		paths = append(paths, link)
	} else {
		require.Equal(t, "windows", runtime.GOOS, "%v", err)
	}
	for _, path := range paths {
		var e *deliver.Error
		require.ErrorAs(t, Save(path, k), &e)
		require.Equal(t, deliver.IsSource, e.Code)
	}
	b, err := os.ReadFile(hull)
	require.NoError(t, err)
	require.Equal(t, "solid", string(b))

	path := filepath.Join(dir, "k.scantling")
	require.NoError(t, Save(path, k))
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	k.Way.Bed.Margin = -1 / zero()
	require.Error(t, Save(path, k), "infinite is no number in JSON")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after)

	var e *deliver.Error
	require.ErrorAs(t, Save(filepath.Join(dir, "none", "k.scantling"), k.Without(k.Parts[0].ID)), &e)
}

func zero() float64 { return 0 }

func FuzzLoad(f *testing.F) {
	whole, err := encode(tug(f, "kit"), "kit")
	require.NoError(f, err)
	f.Add(whole)
	f.Add([]byte(`{"scantling":1,"parts":[{"id":"a","file":"../x","odd":{"a":[1,2]}}],"bed":null}`))
	f.Add([]byte(`{"scantling":1,"turn":"x -z y","way":{"recovered":{"factor":"0.25","sd":1e-8}},"parts":[{"id":"a","file":"x","unit":"25.4 mm","turn":"-y x z","unit-kept":true}]}`))
	rich, err := encode(full(f, "kit"), "kit")
	require.NoError(f, err)
	f.Add(rich)
	f.Add([]byte(`{"scantling":2,"parts":[{"id":"a","file":"x","notes":"n","was":{"least":[0,0,0],"most":[1,2,3],"volume":-6,"surface":"open","new":1}}],"asides":[{"code":"wall-thin","reason":"r","at":[1,2,3],"x":1}],"process":{"name":"a","kind":"resin","material":{"later":true}}}`))
	f.Add([]byte("{\"scantling\":1e0,\"x\":\"\\ud800\"}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		k, err := decode("k", "kit", data)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Byte < 0 || e.Byte > int64(len(data)) {
				t.Fatalf("%v", err)
			}
			return
		}
		once, err := encode(k, "kit")
		if err != nil {
			t.Fatal(err)
		}
		back, err := decode("k", "kit", once)
		if err != nil {
			t.Fatalf("%v\n%s", err, once)
		}
		twice, err := encode(back, "kit")
		if err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("%v\n%s\n%s", err, once, twice)
		}
	})
}

// How parts may be turned, a brim and a round plate come back as they were saved.
func TestBedAndTurnComeBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "k.scantling")
	want := ways.Way{Kind: ways.ByBed, Turn: judge.Faces, Bed: judge.Bed{Size: geom.Vec{180, 180, 300}, Margin: 5, Brim: 2.5, Round: true}}
	require.NoError(t, Save(path, Kit{}.WithWay(want)))
	k, err := Load(path)
	require.NoError(t, err)
	require.Equal(t, want.Bed, k.Way.Bed)
	require.Equal(t, judge.Faces, k.Way.Turn)
	_, err = decode("k", "", []byte(`{"scantling": 1, "way": {"turn": "upside down"}}`))
	var bad *Error
	require.ErrorAs(t, err, &bad)
	require.Equal(t, "way.turn", bad.Detail)
	require.ErrorIs(t, err, judge.ErrTurning)
}
