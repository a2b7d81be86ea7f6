package kit

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/process"
)

// What the maker chose to judge by comes back from the file, with what others wrote into it.
func TestJudgedRoundTrip(t *testing.T) {
	k := Kit{Title: "tug", Process: process.Presets()[1].Process}
	k.Process.Name = "my vat"
	k.Process.Limits.WallFree = 0.55
	k = k.WithAside(judge.Aside{Code: judge.PinThin, Part: "p1", At: geom.Vec{1, -2, 1.0 / 3}, Reason: "brass rod"})
	k = k.WithAside(judge.Aside{Code: judge.Heavier, Reason: "no load"})
	k = k.WithNamed(judge.Named{Part: "p2", At: geom.Vec{0, 0, 7}, Item: "screw-m2"})
	data, err := encode(k, "")
	require.NoError(t, err)
	got, err := decode("a.scantling", "", data)
	require.NoError(t, err)
	require.Equal(t, k.Process, got.Process)
	require.Equal(t, k.Asides, got.Asides)
	require.Equal(t, k.Named, got.Named)

	more := strings.Replace(string(data), `"process": {`, `"process": {"colour": "red",`, 1)
	got, err = decode("a.scantling", "", []byte(more))
	require.NoError(t, err)
	again, err := encode(got, filepath.Dir("a.scantling"))
	require.NoError(t, err)
	require.Contains(t, string(again), `"colour": "red"`)

	k = k.WithAside(judge.Aside{Code: judge.PinThin, Part: "p1", At: geom.Vec{1, -2, 1.0 / 3}, Reason: "steel rod"})
	require.Len(t, k.Asides, 2)
	require.Equal(t, "steel rod", k.Asides[1].Reason)
	require.Len(t, k.WithoutAside(k.Asides[1]).Asides, 1)
	k = k.WithNamed(judge.Named{Part: "p2", At: geom.Vec{0, 0, 7.0001}, Item: ""})
	require.Equal(t, []judge.Named{{Part: "p2", At: geom.Vec{0, 0, 7.0001}}}, k.Named)
}

func TestJudgedRefused(t *testing.T) {
	for _, c := range []struct{ member, path string }{
		{`"asides": [{"code": "none-such", "reason": "x"}]`, "asides[0].code"},
		{`"asides": [{"code": "pin-thin"}]`, "asides[0].reason"},
		{`"process": {"name": "x", "kind": "magic"}`, "process"},
		{`"process": 7`, "process"},
		{`"bores": [{"part": "a", "at": [1, 2]}]`, "bores[0].at"},
	} {
		_, err := decode("a.scantling", "", []byte(`{"scantling": 1, `+c.member+`}`))
		var bad *Error
		require.ErrorAs(t, err, &bad, c.member)
		require.Equal(t, BadValue, bad.Code)
		require.Contains(t, bad.Detail, c.path)
	}
}
