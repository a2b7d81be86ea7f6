package kit

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

func length(t testing.TB, typed string) ratio.Length {
	t.Helper()
	l, err := ratio.ParseLength(typed, ratio.Millimetre)
	require.NoError(t, err)
	return l
}

// What the ways by figure, by clues and between points were given comes back as it was.
func TestEvidenceIsKept(t *testing.T) {
	dir := t.TempDir()
	k := tug(t, dir)
	k.Way.Kind, k.Way.NativeFrom, k.Way.FullSize = ways.ByFigure, ways.FromClues, ratio.Foot
	k.Way.Parts = []string{k.Parts[0].ID, k.Parts[1].ID}
	k.Way.Points = ways.Points{From: geom.Vec{-1, 2.5, 1e-9}, To: geom.Vec{4, 5, 6}, Along: ways.AlongY}
	k.Way.Figure = ways.Figure{
		Readings: []ratio.Length{length(t, "52.3"), length(t, "2 1/16 in")}, Limit: length(t, "0.02"), Step: length(t, "0"), ToEyes: true,
		Base: length(t, "3"), Headgear: length(t, "35"), Footwear: length(t, "25"),
		Posture: figure.Bent, Segments: []figure.Segment{figure.Trunk, figure.Thigh},
		Person: ways.Person{Stature: length(t, "5 ft 9 in"), SD: length(t, "1 in"), Population: figure.USWomen},
	}
	k.Way.Clues = []ways.Clue{
		{ID: "a", Part: k.Parts[0].ID, From: geom.Vec{0, 0, 0}, To: geom.Vec{0, 0, 175.3}, Along: ways.AlongZ, Drawn: 175.3, DrawnSD: 0.01, Object: "door-leaf", RealMM: 2030, RealSD: 52},
		{ID: "b", Drawn: 1.0 / 3, Name: "my own \"thing\"", RealMM: 12, SetAside: true},
	}
	path := filepath.Join(dir, "k.scantling")
	require.NoError(t, Save(path, k))
	back, err := Load(path)
	require.NoError(t, err)
	requireSame(t, k, back)
	require.Equal(t, k.Way.Clues, back.Way.Clues)
	require.Equal(t, k.Way.Points, back.Way.Points)
	require.Equal(t, k.Way.Parts, back.Way.Parts)
	require.Equal(t, ways.FromClues, back.Way.NativeFrom)
	require.Equal(t, ratio.Foot, back.Way.FullSize)
	want, err := k.Way.Figure.Ratio()
	require.NoError(t, err)
	got, err := back.Way.Figure.Ratio()
	require.NoError(t, err)
	require.Equal(t, want, got)
	require.True(t, back.Way.Figure.Step.Known(), "a step of nothing was given and is not the usual one")
}

func TestEvidenceOfNewerProgramsSurvives(t *testing.T) {
	path := filepath.Join(t.TempDir(), "k.scantling")
	require.NoError(t, os.WriteFile(path, []byte(`{"scantling": 1, "way": {
		"points": {"from": [0, 0, 0], "to": [1, 0, 0], "snap": "edge"}, "figure": {"pose": [1, 2]},
		"clues": [{"id": "a", "drawn": 1, "real": 2, "photo": "p.png"}, {"id": "b", "drawn": 3, "real": 4}]}}`), 0o666))
	k, err := Load(path)
	require.NoError(t, err)
	k.Way.Clues = append([]ways.Clue{{ID: "c", Drawn: 5, RealMM: 6}}, k.Way.Clues...)
	require.NoError(t, Save(path, k))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	flat := strings.Join(strings.Fields(string(text)), "")
	for _, want := range []string{`"snap":"edge"`, `"figure":{"pose":[1,2]}`, `{"id":"c","drawn":5,"real":6},{"id":"a","drawn":1,"real":2,"photo":"p.png"}`} {
		require.Contains(t, flat, want)
	}
}

func TestEvidenceThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		way, member string
		want        error
	}{
		{`"native-from": "guess"`, "way.native-from", errSource},
		{`"parts": "hull"`, "way.parts", errArray}, {`"parts": [1]`, "way.parts[0]", errString},
		{`"points": []`, "way.points", errObject}, {`"points": {"from": [1, 2]}`, "way.points.from", errThree},
		{`"points": {"to": [1, 2, 1e16]}`, "way.points.to[2]", errRange}, {`"points": {"along": "w"}`, "way.points.along", errDirection},
		{`"figure": {"readings": ["x"]}`, "way.figure.readings[0]", ratio.ErrNotANumber}, {`"figure": {"posture": "lying"}`, "way.figure.posture", figure.ErrPosture},
		{`"figure": {"population": "martians"}`, "way.figure.population", ways.ErrPopulation}, {`"figure": {"eyes": 1}`, "way.figure.eyes", errBool},
		{`"figure": {"base": "-1 mm"}`, "way.figure.base", ratio.ErrNegative}, {`"figure": {"segments": [2]}`, "way.figure.segments[0]", errString},
		{`"clues": {}`, "way.clues", errArray}, {`"clues": [{"drawn": 1}]`, "way.clues[0].id", errMissing},
		{`"clues": [{"id": "a", "real": -1}]`, "way.clues[0].real", errRange}, {`"clues": [{"id": "a", "drawn": "1"}]`, "way.clues[0].drawn", errNumber},
	} {
		_, err := decode("k", "", []byte(`{"scantling": 1, "way": {`+c.way+`}}`))
		var e *Error
		require.ErrorAs(t, err, &e, c.way)
		require.Equal(t, BadValue, e.Code, c.way)
		require.Equal(t, c.member, e.Detail)
		require.True(t, errors.Is(err, c.want), "%s: %v", c.way, err)
	}
	_, err := decode("k", "", []byte(`{"scantling": 1, "way": {"clues": [{"id": "a"}, {"id": "a"}]}}`))
	var e *Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, Doubled, e.Code)
}
