package deliver

import (
	"math/big"
	"path"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"scantling/engine/ratio"
)

func TestParsePattern(t *testing.T) {
	for _, c := range []struct {
		typed string
		want  error
		field string
		at    int
	}{
		{"{part}", nil, "", 0},
		{"tug {Part} {ratio}{percent}{factor}{kit}!", nil, "", 0},
		{"plain", nil, "", 0},
		{"", ErrEmptyPattern, "", 0},
		{"  ", ErrEmptyPattern, "", 0},
		{"{part}-{scale}", ErrUnknownField, "scale", 7},
		{"{}", ErrUnknownField, "", 0},
		{"{part", ErrBrace, "", 0},
		{"part}", ErrBrace, "", 4},
		{"{pa{rt}", ErrBrace, "", 0},
		{"{part}}", ErrBrace, "", 6},
	} {
		_, err := ParsePattern(c.typed)
		if c.want == nil {
			require.NoError(t, err, c.typed)
			continue
		}
		var e *PatternError
		require.ErrorAs(t, err, &e, c.typed)
		require.ErrorIs(t, err, c.want)
		require.Equal(t, c.field, e.Field)
		require.Equal(t, c.at, e.At)
	}
}

func TestPatternName(t *testing.T) {
	rat := func(a, b int64) *big.Rat { return big.NewRat(a, b) }
	ratioOf := func(model, real int64) ratio.Ratio {
		r, err := ratio.Of(rat(model, 1), rat(real, 10))
		require.NoError(t, err)
		return r
	}
	factor := func(a, b int64) ratio.Factor {
		f, err := ratio.NewFactor(rat(a, b))
		require.NoError(t, err)
		return f
	}
	known := Labels{Kit: "Harbour tug", Target: ratioOf(1, 480), Factor: factor(47, 200)}
	require.Equal(t, "Scantling 1:48 x0.235 Harbour tug", known.Tag())
	require.Equal(t, "Scantling x0.3333333333333333", Labels{Factor: factor(1, 3)}.Tag())
	for _, c := range []struct {
		pattern, path string
		labels        Labels
		want          string
	}{
		{"{part}", "in/hull.cube", known, "hull.cube"},
		{"{part}", "in/Hull.CUBE", known, "Hull.CUBE"},
		{"{part}", "in/hull.obj", known, "hull.cube"},
		{"{part}", "in/hull", known, "hull.cube"},
		{"{part}", "in/no.2 hull.cube", known, "no.2 hull.cube"},
		{"{part}-{ratio}", "hull.cube", known, "hull-1-48.cube"},
		{"{part}-{ratio}", "hull.cube", Labels{Target: ratioOf(1, 871)}, "hull-1-87.1.cube"},
		{"{part}-{ratio}", "hull.cube", Labels{Target: ratioOf(2, 10)}, "hull-2-1.cube"},
		{"{part}-{ratio}", "hull.cube", Labels{Factor: factor(47, 200)}, "hull-x0.235.cube"},
		{"{percent} {factor}", "hull.cube", known, "23.5 0.235.cube"},
		{"{factor}", "hull.cube", Labels{Factor: factor(1, 3)}, "0.333333.cube"},
		{"{factor}", "hull.cube", Labels{Factor: factor(1, 30000000)}, "0.0000000333333.cube"},
		{"{kit}: {part}", "hull.cube", known, "Harbour tug- hull.cube"},
		{"x.CUBE", "hull.cube", known, "x.cube"},
		{".cube", "hull.cube", known, ".cube.cube"},
		{"../{part}", "hull.cube", known, "..-hull.cube"},
		{"{kit}", "hull.cube", Labels{}, "copy.cube"},
		{"{part} {date}", "hull.cube", Labels{Date: time.Date(2026, 4, 30, 23, 59, 0, 0, time.FixedZone("east", 9*3600))}, "hull 2026-04-30.cube"},
		{"{part} {date}", "hull.cube", Labels{}, "hull.cube"},
		{"{quantity}x {part}", "hull.cube", Labels{Least: 4, Most: 4}, "4x hull.cube"},
		{"{quantity}x {part}", "hull.cube", Labels{Least: 1, Most: 4}, "1-4x hull.cube"},
		{"{quantity}x {part}", "hull.cube", Labels{}, "1x hull.cube"},
	} {
		p, err := ParsePattern(c.pattern)
		require.NoError(t, err)
		got := p.Name(&model{path: filepath.FromSlash(c.path)}, c.labels)
		require.Equal(t, c.want, got, c.pattern)
		require.True(t, safe(got))
	}
	require.Equal(t, "hull.cube", Pattern{}.Name(&model{path: "hull.cube"}, Labels{}))
}

func TestSafeName(t *testing.T) {
	for stem, want := range map[string]string{
		"hull":               "hull.stl",
		`a<b>c:d"e/f\g|h?i*`: "a-b-c-d-e-f-g-h-i-.stl",
		"a\x00b\nc\u202ed":   "a-b-c-d.stl",
		"bad\xffutf":         "bad-utf.stl",
		" . hull . ":         ". hull.stl",
		"...":                "copy.stl",
		"":                   "copy.stl",
		"con":                "_con.stl",
		"CON.txt":            "_CON.txt.stl",
		"nul ":               "_nul.stl",
		"Com1":               "_Com1.stl",
		"lpt³":               "_lpt³.stl",
		"COM10":              "COM10.stl",
		"console":            "console.stl",
		".scantling-x":       "_.scantling-x.stl",
		"Schlepper Größe 2":  "Schlepper Größe 2.stl",
		"拖船":                 "拖船.stl",
	} {
		got := SafeName(stem, ".stl")
		require.Equal(t, want, got, "%q", stem)
		require.True(t, safe(got), got)
	}
	require.False(t, safe("a."+strings.Repeat("b", 300)), "no name is cut for an extension that is too long")
	long := SafeName(strings.Repeat("ü", 300), ".stl")
	require.LessOrEqual(t, len(long), 200)
	require.Greater(t, len(long), 195)
	require.True(t, utf8.ValidString(long))
}

func FuzzSafeName(f *testing.F) {
	for _, s := range []string{"hull", "con", "a:b", " .", "\xff", strings.Repeat("a.", 120), ".scantling-" + strings.Repeat(" ", 220),
		strings.Repeat(".", 300) + "a", strings.Repeat(".", 300) + "con", "con" + strings.Repeat(" ", 300) + "a"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, stem string) {
		name := SafeName(stem, ".stl")
		if !safe(name) || len(name) > maxName || !utf8.ValidString(name) || !filepath.IsLocal(name) || filepath.Base(name) != name {
			t.Errorf("%q becomes %q", stem, name)
		}
		if again := SafeName(strings.TrimSuffix(name, ".stl"), ".stl"); again != name {
			t.Errorf("%q becomes %q, then %q", stem, name, again)
		}
	})
}

func TestFold(t *testing.T) {
	require.Equal(t, fold("HULL.STL"), fold("hull.stl"))
	require.Equal(t, fold("Größe"), fold("GRÖßE"))
	require.Equal(t, fold("\u212a"), fold("k")) // kelvin sign
	require.NotEqual(t, fold("hull"), fold("hulk"))
	require.Equal(t, fold("Gro\u0308\u00dfe"), fold("GR\u00d6SSE"), "accents put together in two ways, and full folding")
	require.Equal(t, fold("\ufb01n"), fold("FIN"))
}

func namesOf(copies []Copy) (out []string) {
	for _, c := range copies {
		out = append(out, c.under())
	}
	return out
}

func TestDistinct(t *testing.T) {
	for _, c := range []struct{ given, want []string }{
		{[]string{"a.stl", "b.stl"}, []string{"a.stl", "b.stl"}},
		{[]string{"a.stl", "A.STL", "a.stl"}, []string{"a.stl", "A-2.STL", "a-3.stl"}},
		{[]string{"a.stl", "a.stl", "a-2.stl"}, []string{"a.stl", "a-3.stl", "a-2.stl"}},
		{[]string{"a-2.stl", "a.stl", "a.stl", "A-3.stl"}, []string{"a-2.stl", "a.stl", "a-4.stl", "A-3.stl"}},
		{[]string{"\u00fc.stl", "u\u0308.stl"}, []string{"\u00fc.stl", "u\u0308-2.stl"}},
		{[]string{"x/a.stl", "y/a.stl", "X/a.stl"}, []string{"x/a.stl", "y/a.stl", "X/a-2.stl"}},
	} {
		var copies []Copy
		for _, name := range c.given {
			copies = append(copies, Copy{Folder: strings.TrimSuffix(path.Dir(name), "."), Name: path.Base(name)})
		}
		Distinct(copies)
		require.Equal(t, c.want, namesOf(copies))
	}
	long := SafeName(strings.Repeat("\u00fc", 300), ".stl")
	copies := make([]Copy, 120)
	for i := range copies {
		copies[i].Name = long
	}
	Distinct(copies)
	seen := map[string]bool{}
	for _, c := range copies {
		require.True(t, safe(c.Name) && len(c.Name) <= maxName && utf8.ValidString(c.Name), c.Name)
		require.False(t, seen[fold(c.Name)])
		seen[fold(c.Name)] = true
	}
}

func TestFolders(t *testing.T) {
	for _, c := range []struct{ given, want []string }{
		{[]string{"/kit/a.cube"}, []string{"a.cube"}},
		{[]string{"/kit/a.cube", "/kit/b.cube"}, []string{"a.cube", "b.cube"}},
		{[]string{"/kit/deck/a.cube", "/kit/b.cube", "/kit/deck/con/c.cube"}, []string{"deck/a.cube", "b.cube", "deck/_con/c.cube"}},
		{[]string{"/one/a.cube", "/two: x/a.cube"}, []string{"one/a.cube", "two- x/a.cube"}},
	} {
		var copies []Copy
		for _, p := range c.given {
			copies = append(copies, Copy{Source: &model{path: filepath.FromSlash(p)}, Name: path.Base(p)})
		}
		Folders(copies)
		require.Equal(t, c.want, namesOf(copies))
		for _, c := range copies {
			require.True(t, c.safe())
		}
	}
}

// Whatever a kit, its parts and the pattern are called, the names are distinct on every system,
// fit into it and stay below the folder.
func FuzzNames(f *testing.F) {
	f.Add("{part}-{ratio}", "Harbour tug", "deck/hull", "DECK/Hull")
	f.Add("{kit}", "CON", "a", "b")
	f.Add("{part}", "", "u\u0308", "\u00fc")
	f.Add("{part}.{date}. ", "x", "nul/com1", "lpt\u00b9 /.. ")
	f.Add("{quantity}{part}", "\u202e", strings.Repeat("\U0001f6a2", 90), strings.Repeat("\U0001f6a2", 90)+"x")
	f.Fuzz(func(t *testing.T, typed, kit, one, two string) {
		pattern, err := ParsePattern(typed)
		if err != nil {
			return
		}
		var copies []Copy
		for _, p := range []string{one, two, one + "-2"} {
			m := &model{path: filepath.Join("/kit", p+".cube")}
			copies = append(copies, Copy{Source: m, Name: pattern.Name(m, Labels{Kit: kit, Date: time.Unix(1.7e9, 0)})})
		}
		Folders(copies)
		Distinct(copies)
		seen := map[string]bool{}
		for _, c := range copies {
			if !c.safe() || !filepath.IsLocal(filepath.FromSlash(c.under())) || len(c.Name) > maxName {
				t.Errorf("%q", c.under())
			}
			if k := fold(c.under()); seen[k] {
				t.Errorf("%q twice", c.under())
			} else {
				seen[k] = true
			}
		}
	})
}

// A path that Windows does not open is told there wherever it comes from, and elsewhere only if
// no folder is short enough for it.
func TestPathsTooLongForWindows(t *testing.T) {
	letters := func(n int) string { return strings.Repeat("n", n) }
	for _, c := range []struct {
		system, full, under string
		want                int
	}{
		{"windows", letters(259), "n", 0},
		{"windows", letters(260), "n", 260},
		{"windows", strings.Repeat("ß", 259), "n", 0},
		{"windows", strings.Repeat("\U0001F6A2", 130), "n", 260}, // beyond the 16 bits of one unit
		{"linux", letters(900), letters(256), 0},
		{"linux", letters(900), letters(257), 257},
		{"darwin", letters(300), "n", 0},
	} {
		require.Equal(t, c.want, long(c.system, c.full, c.under), "%+v", c)
	}
	deep := path.Join(letters(100), letters(100), letters(90))
	m := newModel(t, filepath.Join(t.TempDir(), "hull.cube"), 1)
	one := m.copy("hull.cube", 1)
	one.Folder = deep
	planned := Plan([]Copy{m.copy("mast.cube", 1), one}, filepath.Join(t.TempDir(), "out"))
	require.NoError(t, planned[0].Err)
	require.NoError(t, planned[1].Err, "it is a caution")
	require.Positive(t, planned[1].Long)
	if runtime.GOOS != "windows" {
		require.Zero(t, planned[0].Long)
		require.Equal(t, 302, planned[1].Long)
	}
}
