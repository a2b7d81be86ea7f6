package kit

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// oneSaved is a copy with all that one can have.
func oneSaved(t testing.TB, k Kit, folder, name string) Saved {
	t.Helper()
	target, err := ratio.Parse("1:48")
	require.NoError(t, err)
	full, err := filepath.Abs(filepath.Join(folder, "copies", name))
	require.NoError(t, err)
	return Saved{
		Parts: []string{k.Parts[0].ID}, When: time.Date(2026, 4, 30, 12, 0, 7, 0, time.UTC), Factor: k.Factor, Ratio: target,
		UnitBy:     25.4,
		Pose:       geom.Pose{Rows: [3]geom.Vec{{0, 1, 0}, {-1, 0, 0}, {0, 0, 1}}, Shift: geom.Vec{1, -2.5, 1.0 / 3}},
		Correction: geom.Vec{1.004, 1.004, 1.002}, Format: "obj",
		Record: deliver.Record{Source: "xxh64:0011223344556677", Recipe: "xxh64:8899aabbccddeeff", Files: []deliver.Written{
			{Path: filepath.Join(filepath.Dir(full), "hull.mtl"), Bytes: 12, Digest: "xxh64:1011223344556677"},
			{Path: full, Bytes: 1234567, Digest: "xxh64:2011223344556677"},
		}},
	}
}

// What was saved comes back from the kit's file, relative to it, and copies of one path have one
// record.
func TestSavedRoundTrip(t *testing.T) {
	dir := t.TempDir()
	k := tug(t, dir)
	one, two := oneSaved(t, k, dir, "hull-1-48.obj"), oneSaved(t, k, dir, "mast-1-48.obj")
	k = k.WithSaved(one, two)
	path := filepath.Join(dir, "k.scantling")
	require.NoError(t, Save(path, k))
	back, err := Load(path)
	require.NoError(t, err)
	requireSame(t, k, back)
	require.Len(t, back.Copies, 2)
	for i, want := range k.Copies {
		got := back.Copies[i]
		require.True(t, want.Factor.Equal(got.Factor))
		require.True(t, want.Ratio.Equal(got.Ratio))
		require.Equal(t, want.Record, got.Record)
		require.Equal(t, want.Pose, got.Pose)
		require.Equal(t, []any{want.Parts, want.When, want.UnitBy, want.Correction, want.Format},
			[]any{got.Parts, got.When, got.UnitBy, got.Correction, got.Format})
	}
	got, ok := back.SavedAt(one.Path())
	require.True(t, ok)
	require.Equal(t, "xxh64:2011223344556677", got.Digest())
	_, ok = back.SavedAt(filepath.Join(dir, "none"))
	require.False(t, ok)

	later := one
	later.When = one.When.Add(time.Hour + time.Millisecond)
	later.Recipe = "xxh64:0000000000000000"
	changed := back.WithSaved(later)
	require.Len(t, changed.Copies, 2)
	require.Equal(t, later.Recipe, changed.Copies[1].Recipe)
	require.Equal(t, one.When.Add(time.Hour), changed.Copies[1].When)
	require.Equal(t, one.Recipe, back.Copies[0].Recipe, "the kit before stays as it was")
	last, ok := changed.LastSaved(k.Parts[0].ID)
	require.True(t, ok)
	require.Equal(t, later.Recipe, last.Recipe)
	_, ok = changed.LastSaved("nobody")
	require.False(t, ok)
}

func TestSavedRefused(t *testing.T) {
	for _, c := range []struct{ copy, path string }{
		{`{}`, "copies[0].files"},
		{`{"files": [{"file": ""}]}`, "copies[0].files[0].file"},
		{`{"files": [{"file": "a\u0000b"}]}`, "copies[0].files[0].file"},
		{`{"files": [{"file": "a", "bytes": -1}]}`, "copies[0].files[0].bytes"},
		{`{"files": [{"file": "a"}], "when": "yesterday"}`, "copies[0].when"},
		{`{"files": [{"file": "a"}], "parts": [7]}`, "copies[0].parts[0]"},
		{`{"files": [{"file": "a"}], "pose": {"x": [1, 2]}}`, "copies[0].pose.x"},
		{`7`, "copies[0]"},
	} {
		_, err := decode("a.scantling", "", []byte(`{"scantling": 2, "copies": [`+c.copy+`]}`))
		var bad *Error
		require.ErrorAs(t, err, &bad, c.copy)
		require.Equal(t, BadValue, bad.Code)
		require.Equal(t, c.path, bad.Detail)
	}
}
