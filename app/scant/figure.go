package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/ways"
	"scantling/formats"
	"scantling/formats/threemf"
)

// A figureRow is a printed figure in JSON; lengths are millimetres.
type figureRow struct {
	File      string            `json:"file"`
	Ratio     string            `json:"ratio"`
	Process   string            `json:"process"`
	Stature   number            `json:"stature"`
	Height    number            `json:"height"`
	Size      *triple           `json:"size"`
	Sole      number            `json:"sole"`
	Landmarks map[string]number `json:"landmarks"`
	Thicker   map[string]number `json:"thicker"`
	Label     string            `json:"label"`
	Triangles int               `json:"triangles"`
	Genus     int               `json:"genus"`
	Child     number            `json:"child"`
	Notes     []string          `json:"notes"`
}

// usualStature is how tall a figure is where nobody says it, mm: a round number near the mean
// of men in engine/figure.
const usualStature = 1750

// figureSpec is what the flags say of the figure.
func (s *session) figureSpec(out string) (spec mannequin.Spec, p process.Process, err error) {
	c := s.call
	p = process.Presets()[0].Process
	if name, ok := c.flags["process"]; ok {
		if p, err = processOf(name); err != nil {
			return spec, p, unread(c, "--process", name, err)
		}
	}
	var person ways.Person
	var stature ratio.Length
	spec = mannequin.Spec{Limits: p.Limits, NoBase: c.has("no-base"), NoSeat: c.has("no-seat")}
	for _, err := range []error{
		value(c, "target", &spec.Ratio, ratio.Parse),
		value(c, "person", &person, ways.ParsePerson),
		value(c, "stature", &stature, lengthIn(ratio.Metre)),
		value(c, "posture", &spec.Pose, poseOf),
	} {
		if err != nil {
			return spec, p, err
		}
	}
	switch ext := strings.ToLower(filepath.Ext(out)); {
	case len(c.paths) > 0:
		return spec, p, misuse(c.verb, "the figure needs no files")
	case !spec.Ratio.Known():
		return spec, p, misuse(c.verb, "--target is missing: the ratio of the figure, such as 1:48")
	case out == "":
		return spec, p, misuse(c.verb, "--out is missing: the file for the figure")
	case ext != ".stl" && ext != ".3mf":
		return spec, p, misuse(c.verb, "--out: the figure is saved as STL or 3MF; give a name that ends in .stl or .3mf")
	case stature.Known() && person.Stature.Known():
		return spec, p, misuse(c.verb, "--person says how tall the person is already; leave out --stature")
	}
	spec.Of = person.Population
	switch {
	case stature.Known():
		spec.Stature = stature.MM()
	case person.Stature.Known():
		spec.Stature = person.Stature.MM()
	case spec.Of == "":
		spec.Stature = usualStature
	}
	return spec, p, nil
}

func poseOf(typed string) (figure.Pose, error) {
	switch strings.ToLower(strings.TrimSpace(typed)) {
	case "standing":
		return figure.Stands, nil
	case "seated":
		return figure.Sits, nil
	case "reaching":
		return figure.Reaches, nil
	}
	return "", misuse("", "is no posture; say standing, seated or reaching")
}

// figure saves a person to print.
func (s *session) figure() error {
	out := s.call.flags["out"]
	spec, p, err := s.figureSpec(out)
	if err != nil {
		return err
	}
	f, err := mannequin.Make(s.ctx, spec, nil)
	if err != nil {
		return err
	}
	meshes := []*mesh.Mesh{f.Mesh}
	source := formats.Made(meshes)
	if strings.EqualFold(filepath.Ext(out), ".3mf") {
		source = formats.MadePackage(threemf.About{Title: text.MannequinTag(spec.Ratio), Ratio: spec.Ratio.String()}, meshes)
	}
	saved, err := s.save([]deliver.Copy{{
		Source: source, Name: filepath.Base(out), Factor: 1, PerUnit: 1, Tag: text.MannequinTag(spec.Ratio),
	}}, filepath.Dir(out))
	if err != nil {
		return err
	}
	if saved[0].Err != nil {
		return saved[0].Err
	}
	notes := text.MannequinNotes(f, spec)
	if s.call.has("json") {
		row := figureRow{
			File: saved[0].Path, Ratio: spec.Ratio.String(), Process: p.Name, Stature: number(f.Stature),
			Height: number(f.Landmarks[figure.Crown] * spec.Ratio.Float()), Size: tripleOf(f.Size), Sole: number(f.Sole),
			Landmarks: map[string]number{}, Thicker: map[string]number{}, Label: f.Label, Triangles: f.Mesh.Len(),
			Genus: f.Genus, Child: number(f.Child), Notes: notes,
		}
		for l, h := range f.Landmarks {
			row.Landmarks[string(l)] = number(h)
		}
		for l, by := range f.Thicker {
			row.Thicker[string(l)] = number(by)
		}
		return s.printJSON(row)
	}
	_, err = fmt.Fprintf(s.out, "%s, %s\n%s\n", saved[0].Path, text.Size(f.Size, false), strings.Join(notes, "\n"))
	return err
}
