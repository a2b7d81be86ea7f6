package main

import (
	"fmt"
	"slices"
	"strings"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/gauge"
	"scantling/engine/kit"
	"scantling/engine/process"
)

// A readRow is what readings of a step gauge make of a process, in JSON.
type readRow struct {
	Process    string        `json:"process"`
	Saved      *string       `json:"saved"`
	Changes    []changeRow   `json:"changes"`
	Correction correctionRow `json:"correction"`
}

// A changeRow is one number of the process; a correction that was none is 1.
type changeRow struct {
	Field  process.Field `json:"field"`
	Before number        `json:"before"`
	After  number        `json:"after"`
}

type correctionRow struct {
	On bool   `json:"on"`
	X  number `json:"x"`
	Y  number `json:"y"`
	Z  number `json:"z"`
}

// readGauge says what readings change in a process, and keeps that where it is to be saved.
func (s *session) readGauge(before process.Process) error {
	read, err := s.call.readings(before)
	if err != nil {
		return err
	}
	after := read.After
	row := readRow{Process: before.Name, Changes: []changeRow{}}
	if name, ok := s.call.flags["save"]; ok {
		after.Name = text.ProcessTyped(name)
		if err := s.keepReadings(after, before.Name); err != nil {
			return err
		}
		row.Saved = &after.Name
	}
	by := after.Correction.Whole()
	row.Correction = correctionRow{after.Correction.On, number(by[0]), number(by[1]), number(by[2])}
	rows := [][]string{{"number", "before", "after", ""}}
	old, now := before, after // whole corrections, so that none is 1 and not 0
	old.Correction.Scale, now.Correction.Scale = before.Correction.Whole(), by
	for _, f := range process.Fields() {
		was, is := *old.Number(f), *now.Number(f)
		if was == is {
			continue
		}
		row.Changes = append(row.Changes, changeRow{f, number(was), number(is)})
		name, _, unit := text.LimitName(f)
		for axis, of := range []process.Field{process.CorrectionX, process.CorrectionY, process.CorrectionZ} {
			if f == of && read.Readings[[]gauge.Field{gauge.LengthX, gauge.LengthY, gauge.LengthZ}[axis]] == 0 {
				unit += "  " + text.GaugeMean
			}
		}
		rows = append(rows, []string{name, text.ProcessNumber(f, was), text.ProcessNumber(f, is), unit})
	}
	if s.call.has("json") {
		return s.printJSON(row)
	}
	if len(rows) > 1 {
		if err := printTable(s.out, rows); err != nil {
			return err
		}
	} else if _, err := fmt.Fprintln(s.out, "The readings change nothing."); err != nil {
		return err
	}
	said := "\n"
	if row.Saved != nil {
		said += "Saved as “" + *row.Saved + "”. "
	}
	_, err = fmt.Fprintln(s.out, said+text.GaugeCaution)
	return err
}

// readings are those of the call, applied to a process.
func (c call) readings(p process.Process) (state.GaugeReading, error) {
	typed := map[gauge.Field]string{}
	for _, piece := range strings.Split(strings.Join(c.lists["read"], ","), ",") {
		name, v, ok := strings.Cut(piece, "=")
		f := gauge.Field(strings.ToLower(strings.TrimSpace(name)))
		switch {
		case !ok || strings.TrimSpace(v) == "" || !slices.Contains(gauge.Fields(), f):
			return state.GaugeReading{}, misuse(c.verb, "--read: “"+piece+"” is no reading; say FIELD=VALUE with one of "+fieldNames())
		case typed[f] != "":
			return state.GaugeReading{}, misuse(c.verb, "--read: "+string(f)+" is there twice")
		}
		typed[f] = v
	}
	read := state.ReadGauge(p, typed)
	for _, f := range gauge.Fields() {
		if err := read.Faults[f]; err != nil {
			return read, unread(c, "--read", string(f)+"="+typed[f], err)
		}
	}
	return read, nil
}

func fieldNames() string {
	var names []string
	for _, f := range gauge.Fields() {
		names = append(names, string(f))
	}
	return strings.Join(names, ", ")
}

// keepReadings saves a process under its name: over the one that was read anew, and over another
// only where that is allowed.
func (s *session) keepReadings(p process.Process, was string) error {
	path, err := kit.ProcessesFile()
	if err != nil {
		return err
	}
	_, err = kit.ChangeProcesses(path, func(all kit.Processes) (kit.Processes, error) {
		if s.call.has("overwrite") || strings.EqualFold(p.Name, was) {
			return all.Renewed(p)
		}
		return all.With(p)
	})
	return err
}
