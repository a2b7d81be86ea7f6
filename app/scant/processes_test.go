package main

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/kit"
	"scantling/engine/process"
)

// The maker's own processes are listed after those to begin with, and are judged by.
func TestProcesses(t *testing.T) {
	kitFolder(t)
	configured(t)
	path, err := kit.ProcessesFile()
	require.NoError(t, err)
	list := func() (rows []processRow) {
		var l struct{ Processes []processRow }
		got := scant("processes", "--json")
		require.Equal(t, 0, got.code, got.err)
		require.NoError(t, json.Unmarshal([]byte(got.out), &l))
		return l.Processes
	}
	presets := list()
	require.Len(t, presets, len(process.Presets()))
	require.Len(t, presets[0].Numbers, len(process.Fields()))
	require.Contains(t, presets[0].Numbers[process.WallSupported].Source, "0.8 to 1.2")
	require.NoFileExists(t, path, "listing makes nothing")

	mine := process.Presets()[1].Process
	mine.Name, mine.Limits.Pin = "grey resin", 0.7
	_, err = kit.ChangeProcesses(path, func(all kit.Processes) (kit.Processes, error) { return all.With(mine) })
	require.NoError(t, err)
	all := list()
	require.Len(t, all, len(presets)+1)
	last := all[len(presets)]
	require.True(t, last.Own)
	require.InDelta(t, 0.7, float64(last.Numbers[process.Pin].Value), 1e-12)
	require.Empty(t, last.Numbers[process.Pin].Source)

	var checked struct{ Process string }
	got := scant("check", "--factor", "0.5", "--process", "Grey Resin", "--json", "kit/hull.stl")
	require.NoError(t, json.Unmarshal([]byte(got.out), &checked), got.err)
	require.Equal(t, "grey resin", checked.Process)
	require.Equal(t, 2, scant("check", "--factor", "0.5", "--process", "chalk", "kit/hull.stl").code)
	require.Equal(t, 2, scant("processes", "add").code)

	// A broken file is named, and keeps nobody from what is there to begin with.
	require.NoError(t, os.WriteFile(path, []byte("{broken"), 0o666))
	got = scant("processes")
	require.Equal(t, 1, got.code)
	require.Contains(t, got.out, "filament")
	require.Contains(t, got.err, "processes.json, line")
}
