package main

import (
	"errors"
	"io"
	"strings"

	"scantling/app/text"
	"scantling/engine/kit"
	"scantling/engine/process"
)

// processOf is a process by its name: one to begin with, or the maker's own.
func processOf(name string) (process.Process, error) {
	for _, p := range process.Presets() {
		if strings.EqualFold(p.Process.Name, strings.TrimSpace(name)) {
			return p.Process, nil
		}
	}
	own, err := ownProcesses()
	if err != nil {
		return process.Process{}, err
	}
	p, err := own.Find(name)
	if err != nil {
		return p, misuse("", "is no process: say one of "+strings.Join(processNames(), ", ")+", or one of your own; scant processes lists them")
	}
	return p, nil
}

func ownProcesses() (kit.Processes, error) {
	path, err := kit.ProcessesFile()
	if err != nil {
		return kit.Processes{}, err
	}
	return kit.LoadProcesses(path)
}

// A processRow is a process in JSON; numbers go by field, in the units of process.Field.
type processRow struct {
	Name     string                         `json:"name"`
	Kind     process.Kind                   `json:"kind"`
	Own      bool                           `json:"own"`
	Material string                         `json:"material"`
	Money    string                         `json:"money,omitempty"`
	Numbers  map[process.Field]processValue `json:"numbers"`
}

// A processValue is a number with where it comes from; the maker's own has no source.
type processValue struct {
	Value  number `json:"value"`
	Unit   string `json:"unit,omitempty"`
	Source string `json:"source,omitempty"`
	Status string `json:"status,omitempty"`
}

// processes lists the processes to begin with and the maker's own, with all their numbers.
func (s *session) processes() error {
	if len(s.call.paths) > 0 {
		return misuse(s.call.verb, "takes no names: processes are changed and saved in the window")
	}
	own, err := ownProcesses()
	out := []processRow{}
	rows := [][]string{{"process", "number", "", "", "source"}}
	add := func(p process.Process, sources map[process.Field]process.Source, isOwn bool) {
		row := processRow{p.Name, p.Kind, isOwn, p.Material.Name, p.Material.Money, map[process.Field]processValue{}}
		for i, f := range process.Fields() {
			name, _, unit := text.LimitName(f)
			v := *p.Number(f)
			from := sources[f]
			row.Numbers[f] = processValue{number(v), unit, from.Text, string(from.Status)}
			first := ""
			if i == 0 {
				first = p.Name
			}
			rows = append(rows, []string{first, name, text.ProcessNumber(f, v), unit, text.SourceLine(from)})
		}
		out = append(out, row)
	}
	for _, p := range process.Presets() {
		add(p.Process, p.Sources, false)
	}
	for _, p := range own.All {
		add(p, process.SourcesOf(p), true)
	}
	if s.call.has("json") {
		return errors.Join(s.printJSON(map[string]any{"processes": out}), err)
	}
	if print := printTable(s.out, rows); print != nil {
		return print
	}
	if err == nil {
		_, err = io.WriteString(s.out, "\nA limit of 0 is no limit. Change numbers, and save them under a name of your own, in the window: Printed by.\n")
	}
	return err
}
