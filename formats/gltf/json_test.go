package gltf

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// What is JSON here is JSON to the standard library, and the other way round.
func TestScanAgainstTheStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	pieces := []string{"{", "}", "[", "]", ",", ":", `"a"`, `"\u00e9\n"`, "1", "-0.5e+3", "01", "true", "nul", " ", "\n", `"`, "\\", "-", ".", "e", "\x01", "é"}
	valid := 0
	for range 300000 {
		var b strings.Builder
		for range 1 + r.IntN(7) {
			b.WriteString(pieces[r.IntN(len(pieces))])
		}
		_, err := scanJSON([]byte(b.String()))
		require.Equal(t, json.Valid([]byte(b.String())), err == nil, b.String())
		if err == nil {
			valid++
		}
	}
	require.Greater(t, valid, 1000)
}

func TestStrings(t *testing.T) {
	for _, text := range []string{`"plain"`, `"\"\\\/\b\f\n\r\t"`, `"\u0041\u00e9\ud83d\ude00"`, `"\ud83d"`, `"\ud83d\u0041"`, `"\ude00x"`, "\"\xff\"", `"é😀"`} {
		tree, err := scanJSON([]byte(text))
		require.NoError(t, err)
		var want string
		require.NoError(t, json.Unmarshal([]byte(text), &want))
		require.Equal(t, want, tree.root().str(), text)
		if utf8.ValidString(text) {
			require.True(t, tree.root().is(want))
		}
		require.False(t, tree.root().is(want+"x"))
	}
}

func TestPlaces(t *testing.T) {
	tree, err := scanJSON([]byte(`{"a":[{"b":1},{"c":[2,{"d":3}],"d":[]}],"e":4}`))
	require.NoError(t, err)
	places := []string{}
	var visit func(v value)
	visit = func(v value) {
		places = append(places, tree.place(v))
		v.members(func(_, m value) { visit(m) })
		for _, m := range v.items() {
			visit(m)
		}
	}
	visit(tree.root())
	require.Equal(t, []string{"", "a", "a[0]", "a[0].b", "a[1]", "a[1].c", "a[1].c[0]", "a[1].c[1]", "a[1].c[1].d", "a[1].d", "e"}, places)
	require.Equal(t, "2", string(tree.root().at("a").items()[1].get("c").items()[0].raw()))
}

func TestLastOfOneName(t *testing.T) {
	tree, err := scanJSON([]byte(`{"a":1,"a":2}`))
	require.NoError(t, err)
	x, err := tree.root().get("a").number()
	require.NoError(t, err)
	require.Equal(t, 2.0, x)
}

func TestSyntaxPlaces(t *testing.T) {
	for text, at := range map[string]int{`{"a":}`: 5, `{"a" 1}`: 5, `[1,]`: 3, `[1`: 2, `"a`: 2, ``: 0, `{"a":1} x`: 8, "[\"\x02\"]": 2, `[1.]`: 3} {
		_, err := scanJSON([]byte(text))
		var s *syntaxError
		require.True(t, errors.As(err, &s), text)
		require.Equal(t, at, s.at, text)
	}
	_, err := scanJSON([]byte(strings.Repeat("[", maxDepth) + strings.Repeat("]", maxDepth)))
	require.NoError(t, err)
	_, err = scanJSON([]byte(strings.Repeat("[", maxDepth+2) + strings.Repeat("]", maxDepth+2)))
	require.Error(t, err)
}
