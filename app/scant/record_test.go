package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/kit"
)

// A small kit, recorded in every form: the table has the command's own sizes, nothing is written
// over unasked, and the kit's file gives what models and a way give.
func TestRecord(t *testing.T) {
	demo := filepath.Join("..", "..", "assets", "demo")
	out := t.TempDir()
	models := []string{filepath.Join(demo, "mast.stl"), filepath.Join(demo, "mast-socket.stl")}
	args := func(file string, more ...string) []string {
		return append(append([]string{"record", "--native", "1:17.3", "--target", "1:48", "--bed", "220x220x250", "--title", "Harbour tug", "--out", filepath.Join(out, file)}, more...), models...)
	}
	got := scant(args("tug.csv", "--json")...)
	require.Equal(t, allDone, got.code, got.err)
	var row recordRow
	require.NoError(t, json.Unmarshal([]byte(got.out), &row))
	require.Equal(t, 2, row.Parts)
	require.Equal(t, "1:48", row.Ratio)
	raw, err := os.ReadFile(filepath.Join(out, "tug.csv"))
	require.NoError(t, err)
	require.EqualValues(t, len(raw), row.Bytes)
	rows, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 3)
	require.Equal(t, "mast", rows[1][1])
	require.Equal(t, "173/480", rows[1][14])

	again := scant(args("tug.csv")...)
	require.Equal(t, someFailed, again.code)
	require.Contains(t, again.err, "tug.csv")
	require.Equal(t, allDone, scant(args("tug.csv", "--overwrite")...).code)

	for _, file := range []string{"tug.html", "tug.pdf"} {
		got := scant(args(file, "--paper", "letter")...)
		require.Equal(t, allDone, got.code, got.err)
		page, err := os.ReadFile(filepath.Join(out, file))
		require.NoError(t, err)
		require.Greater(t, len(page), 10_000)
	}

	// The kit's file stands alone.
	path, err := filepath.Abs(models[0])
	require.NoError(t, err)
	c, err := parse([]string{"factor", "--native", "1:17.3", "--target", "1:48"})
	require.NoError(t, err)
	w, err := c.way()
	require.NoError(t, err)
	k := kit.Kit{Title: "Mast alone", Way: w}.With(kit.Part{File: path, Name: "mast", Ticked: true})
	file := filepath.Join(out, "mast"+kit.Extension)
	require.NoError(t, kit.Save(file, k))
	got = scant("record", "--out", filepath.Join(out, "mast.html"), file)
	require.Equal(t, allDone, got.code, got.err)
	page, err := os.ReadFile(filepath.Join(out, "mast.html"))
	require.NoError(t, err)
	require.Contains(t, string(page), "Record of Mast alone")
	require.Contains(t, string(page), "173/480")
}

func TestRecordUsage(t *testing.T) {
	for _, args := range [][]string{
		{"record", "--factor", "0.5", "x.stl"},
		{"record", "--factor", "0.5", "--out", "x.doc", "x.stl"},
		{"record", "--factor", "0.5", "--out", "x.pdf"},
		{"record", "--factor", "0.5", "--out", "x.pdf", "--paper", "a5", "x.stl"},
		{"record", "--out", "x.pdf", "x.stl"},
		{"record", "--factor", "0.5", "--out", "x.pdf", "x.scantling"},
		{"record", "--clue", "1mm=2mm", "--out", "x.pdf", "x.scantling"},
		{"record", "--out", "x.pdf", "x.scantling", "y.stl"},
	} {
		require.Equal(t, wrongUsage, scant(args...).code, "%v", args)
	}
}
