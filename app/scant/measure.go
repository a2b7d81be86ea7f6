package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/units"
)

// measure prints what can be measured of every part.
func (s *session) measure() error {
	if len(s.call.paths) == 0 {
		return misuse(s.call.verb, "no file or folder to measure")
	}
	models, err := s.models()
	if err != nil {
		return err
	}
	looks := s.looks(models)
	if s.ctx.Err() != nil {
		return s.ctx.Err()
	}
	suspected := suspectedUnits(models)
	rows := []row{}
	for _, m := range models {
		if m.err != nil {
			rows = append(rows, failedRow(m))
			continue
		}
		var notes []string
		for _, n := range m.file.Notes() {
			notes = append(notes, text.Note(n))
		}
		ofFile := notes
		for i, p := range m.file.Parts() {
			notes := ofFile
			if u, ok := suspected[partOf{m, i}]; ok {
				notes = append(slices.Clone(notes), text.UnitSuggestion(p.Name, u))
			}
			r := rowOf(m, p)
			r.Notes = notes
			if !p.Box.Empty() {
				r.Min, r.Max = tripleOf(p.Box.Min), tripleOf(p.Box.Max)
			}
			if p.Surface {
				area, volume := number(p.Area), number(p.Volume)
				r.Area, r.Volume, r.Centroid = &area, &volume, tripleOf(p.Centroid)
			}
			l := looks[m][i]
			if l.topology != nil {
				r.Closed, r.Shells = &l.topology.Closed, &l.topology.Shells
			}
			if l.err != nil {
				s.fail(m.path, l.err)
				r.Error = sentence(m.path, l.err)
			}
			if !s.call.has("json") {
				if err := s.printMeasures(m, p, l.topology, notes); err != nil {
					return err
				}
			}
			rows = append(rows, r)
		}
	}
	if s.call.has("json") {
		return s.printJSON(map[string]any{"parts": rows})
	}
	return nil
}

// A partOf is one part of a model.
type partOf struct {
	model *model
	part  int
}

// suspectedUnits are the units that parts were likelier drawn in than those they have, as the
// evidence of all parts together has it.
func suspectedUnits(models []*model) map[partOf]units.Suggestion {
	var parts []units.Part
	at := map[string]partOf{}
	for _, m := range models {
		if m.err != nil {
			continue
		}
		for i, p := range m.file.Parts() {
			id := strconv.Itoa(len(parts))
			at[id] = partOf{m, i}
			parts = append(parts, units.Part{ID: id, Box: p.Box, Unit: p.Unit})
		}
	}
	out := map[partOf]units.Suggestion{}
	for _, u := range units.Judge(parts, 0) {
		out[at[u.Part]] = u
	}
	return out
}

// printMeasures writes one part as a block.
func (s *session) printMeasures(m *model, p mesh.Part, t *mesh.Topology, notes []string) error {
	unit := p.Unit.Name
	if !p.Unit.Declared {
		unit += " (assumed)"
	}
	mm := p.Unit.MM
	box := p.Box.Scale(mm)
	rows := [][]string{
		{"  format", text.Encoded(m.file.Format(), m.file.Encoding()) + ", " + unit},
		{"  triangles", text.Number(p.Triangles)},
	}
	if !p.Box.Empty() {
		rows = append(rows,
			[]string{"  size", text.Size(box.Size(), false)},
			[]string{"  from", point(box.Min)},
			[]string{"  to", point(box.Max)})
	}
	if p.Surface {
		rows = append(rows,
			[]string{"  area", text.Area(p.Area * mm * mm)},
			[]string{"  volume", text.Volume(p.Volume * mm * mm * mm)},
			[]string{"  centroid", point(settled(p.Centroid.Scale(mm), box))})
	}
	if t != nil {
		rows = append(rows,
			[]string{"  surface", text.Topology(t)},
			[]string{"  shells", text.Number(t.Shells)})
	}
	for _, n := range notes {
		rows = append(rows, []string{"  note", n})
	}
	name := m.path
	if len(m.file.Parts()) > 1 {
		name += " · " + p.Name
	}
	if _, err := fmt.Fprintln(s.out, name); err != nil {
		return err
	}
	return printTable(s.out, rows)
}

// settled is v without the last roundings: what is nothing beside the size of its box is 0.
func settled(v geom.Vec, b geom.Box) geom.Vec {
	for i := range v {
		if math.Abs(v[i]) < 1e-9*b.Size().Len() {
			v[i] = 0
		}
	}
	return v
}

// spot is a place in something that measures across millimetres, as closely as a place is told:
// its decimals are those of a thousandth of the whole, and no rounding is written out.
func spot(v geom.Vec, across float64) string {
	if across > 0 {
		step := math.Pow(10, math.Floor(math.Log10(across))-3)
		for i := range v {
			v[i] = math.Round(v[i]/step) * step
			if v[i] == 0 {
				v[i] = 0 // and not -0
			}
		}
	}
	return point(v)
}

// point is a place in millimetres.
func point(v geom.Vec) string {
	return text.Bare(v[0], false) + ", " + text.Bare(v[1], false) + ", " + text.Length(v[2], false)
}
