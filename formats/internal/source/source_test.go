package source

import (
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

func codeOf(t *testing.T, err error) fault.Code {
	t.Helper()
	var e *fault.Error
	require.ErrorAs(t, err, &e)
	return e.Code
}

func TestStamp(t *testing.T) {
	// XXH64 of no bytes and of "abc" with seed 0, as its specification gives them.
	require.Equal(t, "xxh64:ef46db3751d8e999", StampOf(nil).String())
	require.Equal(t, "xxh64:44bc2cf5ad770999", StampOf([]byte("abc")).String())
}

func TestAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "hull.stl")
	save := func(content string) { require.NoError(t, os.WriteFile(path, []byte(content), 0o600)) }
	save("abc")
	was := StampOf([]byte("abc"))
	var got []byte
	all := func(r *Reader) (err error) { got, err = io.ReadAll(iotest.OneByteReader(r)); return err }
	require.NoError(t, was.Again(path, all))
	require.Equal(t, "abc", string(got))
	require.NoError(t, was.Again(path, func(r *Reader) error { return nil }), "what is not read is stamped too")

	mine := errors.New("mine")
	require.Equal(t, mine, was.Again(path, func(r *Reader) error { return mine }))
	for _, other := range []string{"abcd", "ab", "abd", ""} {
		save(other)
		require.Equal(t, fault.Changed, codeOf(t, was.Again(path, all)), other)
	}
	require.NoError(t, os.Remove(path))
	require.Equal(t, fault.MissingFile, codeOf(t, was.Again(path, all)))
}

func TestReaderErrors(t *testing.T) {
	broken := errors.New("bad sector")
	_, err := io.ReadAll(NewReader("hull.stl", iotest.ErrReader(broken)))
	require.Equal(t, fault.Unreadable, codeOf(t, err))
	require.ErrorIs(t, err, broken)
	require.Equal(t, "hull.stl", err.(*fault.Error).File)
}

func TestFault(t *testing.T) {
	require.NoError(t, Fault("x", nil))
	own := &fault.Error{File: "y", Code: fault.Cycle}
	require.Equal(t, error(own), Fault("x", own))
	require.Equal(t, fault.Unreadable, codeOf(t, Fault("x", os.ErrPermission)))
}

func TestStem(t *testing.T) {
	for path, want := range map[string]string{"a/hull.stl": "hull", "mast.v2.obj": "mast.v2", "deck": "deck", ".stl": ".stl"} {
		require.Equal(t, want, Stem(path))
	}
}

func TestCheckChange(t *testing.T) {
	part := func(low, high float64) []mesh.Part {
		box := geom.Box{Min: geom.Vec{low, low, low}, Max: geom.Vec{high, high, low}}
		return []mesh.Part{{Name: "hull", Measures: mesh.Measures{Box: box}}}
	}
	for _, c := range []struct {
		low, high, factor float64
		ok                bool
	}{
		{0, 10, 1. / 87, true},
		{0, 10, 1e37, true},
		{0, 10, 1e38, false},
		{-10, 0, 1e38, false},
		{0, 10, 1e-44, true},
		{0, 10, 1e-47, false}, // nothing left
		{5, 5, 1e-60, true},   // there never was a size
		{0, 10, 0, false},
		{0, 10, -1, false},
		{0, 10, math.NaN(), false},
		{0, 10, math.Inf(1), false},
		{0, 0, math.MaxFloat64, true},
	} {
		err := CheckChange("hull.stl", part(c.low, c.high), deliver.Change{Factor: c.factor})
		if c.ok {
			require.NoError(t, err, "%+v", c)
		} else {
			require.Equal(t, fault.TooLarge, codeOf(t, err), "%+v", c)
		}
	}
	// One axis may flatten to nothing when the part as a whole does not.
	flat := []mesh.Part{{Measures: mesh.Measures{Box: geom.Box{Max: geom.Vec{10, 10, 1e-40}}}}}
	require.NoError(t, CheckChange("sheet.stl", flat, deliver.Change{Factor: 1e-6}))
}
