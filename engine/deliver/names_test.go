package deliver

import (
	"math/big"
	"path/filepath"
	"strings"
	"testing"
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
}
