package kit

import (
	"errors"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A corrected unit and turns come back from a kit's file; members beside them stay.
func TestCorrectionsAreKept(t *testing.T) {
	dir := t.TempDir()
	k := tug(t, dir)
	k = k.WithPart(k.Parts[0].ID, func(p *Part) { p.Unit, p.Turn = length(t, "1 in"), Raise(geom.Y, true) })
	k = k.WithPart(k.Parts[1].ID, func(p *Part) { p.UnitKept, p.Apart = true, true })
	k = k.WithPart(k.Parts[2].ID, func(p *Part) { p.Unit = ratio.Millimetres(big.NewRat(100, 3)) })
	k = k.WithTurn(geom.Quarter(geom.Z))
	path := filepath.Join(dir, "k.scantling")
	require.NoError(t, Save(path, k))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, want := range []string{`"unit": "25.4 mm"`, `"turn": "x z -y"`, `"unit-kept": true`, `"apart": true`, `"unit": "100/3 mm"`, `"turn": "-y x z"`} {
		require.Contains(t, string(text), want)
	}
	back, err := Load(path)
	require.NoError(t, err)
	require.Equal(t, k.Turn, back.Turn)
	for i, p := range k.Parts {
		require.True(t, p.Unit.Equal(back.Parts[i].Unit))
		require.Equal(t, p.Turn, back.Parts[i].Turn)
		require.Equal(t, p.UnitKept, back.Parts[i].UnitKept)
		require.Equal(t, p.Apart, back.Parts[i].Apart)
	}
	again := filepath.Join(dir, "again.scantling")
	require.NoError(t, Save(again, back))
	same, err := os.ReadFile(again)
	require.NoError(t, err)
	require.Equal(t, string(text), string(same))
}

// A kit that was saved before there were corrections has none.
func TestKitsFromBeforeCorrections(t *testing.T) {
	k, err := decode("k", t.TempDir(), []byte(`{"scantling": 1, "parts": [{"id": "a", "file": "x.stl", "later": 1}]}`))
	require.NoError(t, err)
	require.False(t, k.Turn.Known())
	require.False(t, k.Parts[0].Unit.Known())
	require.False(t, k.Parts[0].Turn.Known())
	require.False(t, k.Parts[0].UnitKept)
	text, err := encode(k, "")
	require.NoError(t, err)
	require.NotContains(t, string(text), "turn")
	require.NotContains(t, string(text), "unit")
	require.Contains(t, string(text), `"later": 1`)
}

func TestBadCorrections(t *testing.T) {
	for _, c := range []struct{ member, path string }{
		{`"unit": "0 mm"`, "parts[0].unit"}, {`"unit": "1e-9 mm"`, "parts[0].unit"}, {`"unit": "1e12 mm"`, "parts[0].unit"}, {`"unit": "soft"`, "parts[0].unit"},
		{`"unit": 25.4`, "parts[0].unit"}, {`"turn": "x y y"`, "parts[0].turn"}, {`"turn": "y x z"`, "parts[0].turn"}, {`"unit-kept": 1`, "parts[0].unit-kept"},
	} {
		_, err := decode("k", "", []byte(`{"scantling": 1, "parts": [{"id": "a", "file": "x.stl", `+c.member+`}]}`))
		var bad *Error
		require.True(t, errors.As(err, &bad), c.member)
		require.Equal(t, BadValue, bad.Code, c.member)
		require.True(t, strings.HasPrefix(bad.Detail, c.path), bad.Detail)
	}
	_, err := decode("k", "", []byte(`{"scantling": 1, "turn": "sideways"}`))
	require.Error(t, err)
}

func TestSeen(t *testing.T) {
	file := part("house", geom.Y, 1, geom.Vec{0, 1, 2}, geom.Vec{10, 4, 4})
	var k Kit
	require.Equal(t, file, k.Seen(Part{}, file), "nothing said, nothing changed")

	p := Part{Unit: length(t, "1 in"), Turn: geom.NoTurn()}
	seen := k.Seen(p, file)
	require.Equal(t, mesh.Unit{Name: "in", MM: 25.4, Declared: true}, seen.Unit)
	require.Equal(t, file.Box, seen.Box, "measures stay in the file's unit and axes")
	require.Equal(t, geom.Z, FrameOf([]mesh.Part{seen}).Up)
	requireNear(t, geom.Vec{254, 76.2, 50.8}, FrameOf([]mesh.Part{seen}).Box(seen).Size())
	requireNear(t, geom.Vec{254, 76.2, 50.8}, Lies(seen))
	require.Zero(t, big.NewRat(254, 10).Cmp(p.Correction(file.Unit)))
	require.Zero(t, big.NewRat(1, 1).Cmp(Part{}.Correction(file.Unit)))
	require.Zero(t, big.NewRat(1, 1).Cmp(p.Correction(mesh.Unit{})))
	require.Equal(t, "2.5 mm", UnitOf(length(t, "2.5")).Name)

	// The whole kit turned about the vertical: what was upright before turns with it.
	k = k.WithTurn(geom.Quarter(geom.Z))
	seen = k.Seen(Part{}, file)
	require.Equal(t, Raise(geom.Y, false).Then(geom.Quarter(geom.Z)), seen.Turn)
	require.Equal(t, geom.Vec{2, 10, 3}, FrameOf([]mesh.Part{seen}).Box(seen).Size())
	require.Equal(t, geom.Vec{2, 10, 3}, Lies(seen))
	require.False(t, k.WithTurn(geom.NoTurn()).Turn.Known())
}

func TestRaise(t *testing.T) {
	for up := geom.X; up <= geom.Z; up++ {
		for _, reversed := range []bool{false, true} {
			turn := Raise(up, reversed)
			var v geom.Vec
			v[up] = 1
			if reversed {
				v[up] = -1
			}
			require.Equal(t, geom.Vec{0, 0, 1}, turn.Apply(v))
			require.True(t, reversed || turn.Pose() == geom.Upright(up))
			back, err := geom.ParseTurn(turn.String())
			require.NoError(t, err, "%v is no rotation", turn)
			require.Equal(t, turn, back)
		}
	}
}

// Where a factor was found again is kept with the way, and what newer programs say of it.
func TestWhereAFactorWasFoundIsKept(t *testing.T) {
	dir := t.TempDir()
	k := tug(t, dir)
	k.Way.Recovered = ways.Recovery{Factor: k.Way.Factor, SD: 1.5e-8, Part: "hull", Copy: "hull-1-48.stl", Method: "corners", Uneven: true}
	require.True(t, k.Way.Found())
	text, err := encode(k, dir)
	require.NoError(t, err)
	newer := strings.Replace(string(text), `"copy": "hull-1-48.stl"`, `"copy": "hull-1-48.stl", "date": [1, 2]`, 1)
	back, err := decode("k", dir, []byte(newer))
	require.NoError(t, err)
	require.True(t, back.Way.Found())
	back.Way.Recovered.Factor = k.Way.Recovered.Factor
	require.Equal(t, k.Way.Recovered, back.Way.Recovered)
	text, err = encode(back, dir)
	require.NoError(t, err)
	require.Contains(t, string(text), `"date": [`)
	back.Way.Factor = ratio.Factor{}
	require.False(t, back.Way.Found())

	for _, bad := range []string{`{"factor": 1}`, `{"factor": "-1"}`, `{"sd": -1}`, `{"sd": "much"}`, `{"uneven": "very"}`, `[]`} {
		_, err := decode("k", "", []byte(`{"scantling": 1, "way": {"recovered": `+bad+`}}`))
		require.Error(t, err, bad)
	}
}
