package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/gauge"
	"scantling/engine/process"
	"scantling/formats"
)

// A gaugeRow is the step gauge in JSON; lengths are millimetres.
type gaugeRow struct {
	File    string    `json:"file"`
	Process string    `json:"process"`
	Size    *triple   `json:"size"`
	Lengths *triple   `json:"lengths"` // what a strip, the bar and the highest step were drawn as: along x, y and z
	Steps   []stepRow `json:"steps"`
}

type stepRow struct {
	Kind string  `json:"kind"`
	MM   number  `json:"mm"`
	At   *triple `json:"at"`
}

// gauge saves a step gauge for a process, or takes what was read on a printed one.
func (s *session) gauge() error {
	if len(s.call.paths) > 0 {
		return misuse(s.call.verb, "the gauge needs no files")
	}
	p := process.Presets()[0].Process
	if name, ok := s.call.flags["process"]; ok {
		var err error
		if p, err = processOf(name); err != nil {
			return unread(s.call, "--process", name, err)
		}
	}
	switch {
	case s.call.has("read") && s.call.has("out"):
		return misuse(s.call.verb, "--out saves a gauge to print, --read takes what came out of it; give one")
	case s.call.has("read"):
		return s.readGauge(p)
	case s.call.has("save"):
		return misuse(s.call.verb, "--save goes with --read; --out is the file for the gauge")
	}
	out := s.call.flags["out"]
	if out == "" {
		return misuse(s.call.verb, "--out is missing: the file for the gauge")
	}
	if !strings.EqualFold(filepath.Ext(out), ".stl") {
		return misuse(s.call.verb, "--out: the gauge is saved as STL; give a name that ends in .stl")
	}
	g, err := gauge.Make(p)
	if err != nil {
		return err
	}
	saved, err := s.save([]deliver.Copy{{
		Source: formats.Made(g.Parts), Name: filepath.Base(out), Factor: 1, PerUnit: 1, Tag: gauge.Tag,
	}}, filepath.Dir(out))
	if err != nil {
		return err
	}
	if saved[0].Err != nil {
		return saved[0].Err
	}
	lengths := [3]float64{g.LengthX, g.LengthY, g.LengthZ}
	if s.call.has("json") {
		row := gaugeRow{File: saved[0].Path, Process: p.Name, Size: tripleOf(gauge.Size()), Lengths: tripleOf(lengths)}
		for _, step := range g.Steps {
			row.Steps = append(row.Steps, stepRow{string(step.Kind), number(step.MM), tripleOf(step.At)})
		}
		return s.printJSON(row)
	}
	if _, err := fmt.Fprintf(s.out, "%s, %s\n\n", saved[0].Path, text.Size(gauge.Size(), false)); err != nil {
		return err
	}
	return printTable(s.out, gaugeTable(g))
}

// gaugeTable says what stands on each strip, from the front, and what to look for.
func gaugeTable(g gauge.Gauge) [][]string {
	rows := [][]string{{"strip", "sizes, mm", "look for"}}
	for _, m := range g.Parts {
		kind := gauge.Kind(m.Name)
		name, look := text.GaugeKind(kind)
		var sizes []string
		for _, step := range g.Steps {
			if step.Kind == kind {
				sizes = append(sizes, fmt.Sprint(step.MM))
			}
		}
		if kind == gauge.Lengths {
			sizes = []string{fmt.Sprintf("bar %g, strip %g", g.LengthY, g.LengthX)}
		}
		if row := []string{name, strings.Join(sizes, "  "), look}; rows[len(rows)-1][0] != name {
			rows = append(rows, row)
		}
	}
	return rows
}
