package kit

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/engine/process"
)

func mine(name string, wall float64) process.Process {
	p := process.Presets()[0].Process
	p.Name, p.Limits.WallSupported = name, wall
	return p
}

func addProcess(p process.Process) func(Processes) (Processes, error) {
	return func(all Processes) (Processes, error) { return all.With(p) }
}

func TestProcessesAreKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "made", "processes.json")
	none, err := LoadProcesses(path)
	require.NoError(t, err)
	require.Empty(t, none.All)
	fine := mine(" fine nozzle ", 0.5)
	fine.Material.PriceKG, fine.Material.Money = 21.5, "€"
	_, err = ChangeProcesses(path, addProcess(fine))
	require.NoError(t, err)
	_, err = ChangeProcesses(path, addProcess(mine("Coarse", 0.9)))
	require.NoError(t, err)
	again, err := LoadProcesses(path)
	require.NoError(t, err)
	require.Len(t, again.All, 2)
	require.Equal(t, "Coarse", again.All[0].Name, "by name")
	found, err := again.Find("FINE nozzle")
	require.NoError(t, err)
	fine.Name = "fine nozzle"
	require.Equal(t, fine, found)
	_, err = ChangeProcesses(path, func(p Processes) (Processes, error) { return p.Without("coarse") })
	require.NoError(t, err)
	again, err = LoadProcesses(path)
	require.NoError(t, err)
	require.Len(t, again.All, 1)
}

func TestProcessesRefuse(t *testing.T) {
	path := filepath.Join(t.TempDir(), "processes.json")
	_, err := ChangeProcesses(path, addProcess(mine("Coarse", 0.9)))
	require.NoError(t, err)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, c := range []struct {
		process process.Process
		want    error
	}{
		{mine(" ", 0.9), ErrProcessName},
		{mine("COARSE", 0.8), ErrProcessTaken},
		{mine("Filament", 0.8), ErrProcessTaken},
		{mine("thick", 5000), process.ErrLimit},
		{mine("odd", 1.1), process.ErrOrder},
	} {
		_, err := ChangeProcesses(path, addProcess(c.process))
		require.ErrorIs(t, err, c.want)
	}
	_, err = ChangeProcesses(path, func(p Processes) (Processes, error) { return p.Without("none") })
	require.ErrorIs(t, err, ErrNoProcess)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
}

// A file that cannot be read is an error with its place, and is never lost; what a newer
// program wrote beside what is known stays there.
func TestBrokenProcessesStay(t *testing.T) {
	path := filepath.Join(t.TempDir(), "processes.json")
	for text, code := range map[string]Code{
		`{"scantling-processes": 1, "processes": [`:                                                    Syntax,
		`{"scantling-printers": 1}`:                                                                    NotProcesses,
		`{"scantling-processes": 9}`:                                                                   Newer,
		`{"scantling-processes": 1, "processes": [{"name": "a", "kind": "casting"}]}`:                  BadValue,
		`{"scantling-processes": 1, "processes": [{"name": "a", "kind": "other", "limits": "thick"}]}`: BadValue,
	} {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
		_, err := ChangeProcesses(path, addProcess(mine("new", 0.5)))
		var file *ProcessesError
		var bad *Error
		require.ErrorAs(t, err, &file, text)
		require.ErrorAs(t, err, &bad, text)
		require.Equal(t, code, bad.Code, text)
		still, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, text, string(still))
	}
	require.NoError(t, os.WriteFile(path, []byte(`{"scantling-processes": 1, "order": "age",
		"processes": [{"name": "a", "kind": "other", "material": {"density": 1}, "heat": "low"}]}`), 0o666))
	_, err := ChangeProcesses(path, addProcess(mine("b", 0.5)))
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), `"heat": "low"`)
	require.Contains(t, string(text), `"order": "age"`)
}

func FuzzProcesses(f *testing.F) {
	f.Add([]byte(`{"scantling-processes":1,"processes":[{"name":"a","kind":"other","material":{"density":1.2},"x":[1]}]}`))
	f.Add([]byte(`{"scantling-processes":1,"processes":null}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := &reader{file: "p", data: data}
		p := decodeOwn[process.Process](r)
		if r.err != nil {
			return
		}
		again, err := encodeOwn(p)
		if err != nil {
			t.Fatal(err)
		}
		r = &reader{file: "p", data: again}
		if q := decodeOwn[process.Process](r); r.err != nil || len(q.All) != len(p.All) {
			t.Fatalf("%s reads back as %+v, %v", again, q, r.err)
		}
	})
}
