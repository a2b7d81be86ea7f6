package main

import (
	"scantling/app/text"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A standard is a row of the ratios in JSON.
type standard struct {
	Ratio  string `json:"ratio"`
	Exact  string `json:"exact"`
	Name   string `json:"name,omitempty"`
	Field  string `json:"field"`
	Source string `json:"source"`
	Status string `json:"status"`
}

// ratios prints the standard ratios of the fields that are named, or of all.
func (s *session) ratios() error {
	if len(s.call.paths) > 0 {
		return misuse(s.call.verb, "the ratios need no files")
	}
	fields, err := s.call.fields()
	if err != nil {
		return err
	}
	if len(fields) == 0 {
		fields = ratio.Fields()
	}
	out := []standard{}
	rows := [][]string{{"ratio", "name", "field", "source"}}
	for _, f := range fields {
		for _, r := range ratio.Ladder(f) {
			out = append(out, standard{r.Ratio.String(), r.Ratio.Exact(), r.Name, string(f), r.Source, string(r.Status)})
			rows = append(rows, []string{text.Ratio(r.Ratio), r.Name, string(f), backed(r.Source, r.Status)})
		}
	}
	if s.call.has("json") {
		return s.printJSON(map[string]any{"ratios": out})
	}
	return printTable(s.out, rows)
}

// An object is a row of the known objects in JSON.
type object struct {
	Key    string `json:"key"`
	Name   string `json:"name"`
	Group  string `json:"group"`
	MM     number `json:"mm"`
	SD     number `json:"sd"` // one standard uncertainty, mm
	Basis  string `json:"basis"`
	Source string `json:"source"`
	Status string `json:"status"`
}

// objects prints the objects of known real size.
func (s *session) objects() error {
	if len(s.call.paths) > 0 {
		return misuse(s.call.verb, "the objects need no files")
	}
	out := []object{}
	rows := [][]string{{"object", "what it is", "size and spread", "the spread is", "source"}}
	for _, o := range ways.Objects() {
		out = append(out, object{o.Key, text.ObjectName(o.Key), string(o.Group), number(o.MM), number(o.SD), string(o.Basis), o.Source, string(o.Status)})
		rows = append(rows, []string{o.Key, text.ObjectName(o.Key), text.ObjectSize(o, false), text.BasisWords(o.Basis), backed(o.Source, o.Status)})
	}
	if s.call.has("json") {
		return s.printJSON(map[string]any{"objects": out})
	}
	return printTable(s.out, rows)
}

// backed is a source with how well it is backed.
func backed(source string, status ratio.Status) string {
	return source + " (" + text.Backing(status) + ")"
}
