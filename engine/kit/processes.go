package kit

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"scantling/engine/process"
)

// The members of the file of processes, by object; a process has the members that
// process.Process writes of itself.
//
//	file:    scantling-processes processes
//	process: name kind limits fill material correction

// What a maker's processes refuse. app/text has the words.
var (
	ErrProcessName  = errors.New("a process needs a name")
	ErrProcessLong  = errors.New("the process's name is too long")
	ErrProcessTaken = errors.New("another process has that name")
	ErrNoProcess    = errors.New("no process has that name")
	ErrProcesses    = errors.New("there are too many processes")
)

// A ProcessesError is trouble with the file of processes; Err is an *Error or a
// *deliver.Error.
type ProcessesError struct{ Err error }

// Error is terse, for logs; app/text has the maker's sentence.
func (e *ProcessesError) Error() string { return "processes: " + e.Err.Error() }

// Unwrap is the trouble.
func (e *ProcessesError) Unwrap() error { return e.Err }

// Processes are those that a maker has saved. None has the name of a preset.
type Processes = Own[process.Process]

func processShelf() shelf[process.Process] {
	var presets []string
	for _, p := range process.Presets() {
		presets = append(presets, p.Process.Name)
	}
	return shelf[process.Process]{
		file: "processes.json", key: "scantling-processes", list: "processes", version: 1, not: NotProcesses,
		name:    func(p *process.Process) *string { return &p.Name },
		check:   process.Process.Check,
		write:   func(w *writer, p process.Process) error { return w.process(p, nil) },
		read:    (*reader).process,
		wrap:    func(err error) error { return &ProcessesError{err} },
		unnamed: ErrProcessName, long: ErrProcessLong, taken: ErrProcessTaken, none: ErrNoProcess, many: ErrProcesses,
		barred: presets,
	}
}

// ProcessesFile is where the maker's processes are kept, beside the printers.
func ProcessesFile() (string, error) { return processShelf().path() }

// LoadProcesses reads the file of processes; none where there is no file. The error is a
// *ProcessesError, and the file stays as it is.
func LoadProcesses(path string) (Processes, error) { return load[process.Process](path) }

// ChangeProcesses changes the file of processes as ChangePrinters does that of printers. The
// error is that of change or a *ProcessesError.
func ChangeProcesses(path string, change func(Processes) (Processes, error)) (Processes, error) {
	return update(path, change)
}

// process writes the members of a process. What its own objects have besides is unknown's, by
// their key.
func (w *writer) process(p process.Process, unknown map[string]extras) error {
	var known map[string]json.RawMessage
	raw, err := json.Marshal(p)
	if err == nil {
		err = json.Unmarshal(raw, &known)
	}
	if err != nil {
		return err
	}
	for _, key := range processKeys() {
		value := known[key]
		if more := unknown[key]; len(more) > 0 && len(value) > 2 { // an object with members
			raw, err := new(writer).object(more)
			if err != nil {
				return err
			}
			value = slices.Concat(value[:len(value)-1], []byte{','}, raw[1:])
		}
		w.member(key, value)
	}
	return nil
}

// process reads a process, o being the members of m, and takes them.
func (r *reader) process(m member, o object) (p process.Process) {
	if err := json.Unmarshal(m.raw, &p); err != nil {
		r.bad(m, err)
	} else if err := p.Check(); err != nil {
		r.bad(m, err)
	}
	for _, key := range processKeys() {
		o.take(key)
	}
	return p
}

// processWhole is process with what neither it nor its own objects know.
func (r *reader) processWhole(m member, o object) (process.Process, map[string]extras) {
	var own []member
	for _, key := range processKeys() {
		if m, there := o[key]; there && bytes.HasPrefix(m.raw, []byte("{")) {
			own = append(own, m)
		}
	}
	p := r.process(m, o)
	if r.err != nil {
		return p, nil
	}
	unknown := map[string]extras{}
	filled := p
	filled.Material.Money = "any" // it is left out while it is empty
	raw, err := json.Marshal(filled)
	var known map[string]json.RawMessage
	if err == nil {
		err = json.Unmarshal(raw, &known)
	}
	if err != nil {
		r.bad(m, err)
		return p, nil
	}
	for _, m := range own {
		key := m.path[strings.LastIndexByte(m.path, '.')+1:]
		members := r.object(m)
		var names map[string]json.RawMessage
		if json.Unmarshal(known[key], &names) != nil {
			continue
		}
		for name := range members {
			// The JSON package takes a member whatever its capitals.
			for known := range names {
				if strings.EqualFold(known, name) {
					delete(members, name)
				}
			}
		}
		if e := members.rest(); e != nil {
			unknown[key] = e
		}
	}
	if e := o.rest(); e != nil {
		unknown[""] = e
	}
	if len(unknown) == 0 {
		return p, nil
	}
	return p, unknown
}

func processKeys() []string {
	return []string{"name", "kind", "limits", "fill", "material", "correction"}
}
