package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/survey"
	"scantling/engine/units"
	"scantling/engine/ways"
	"scantling/formats"
)

// apart takes from a call that judges what says the printer and the process, and leaves what
// says the way to the factor. A bed is a way only where there is no other.
func (c call) apart() (way call, bed judge.Bed, turn judge.Turning, p process.Process, err error) {
	way = c
	way.flags = map[string]string{}
	other := len(c.lists["clue"]) > 0
	for flag, v := range c.flags {
		switch flag {
		case "factor", "native", "target", "real", "length", "figure", "full-size":
			other = true
		}
		way.flags[flag] = v
	}
	other = other || len(c.lists["figure"]) > 0
	if other || c.verb == "ladder" {
		for _, flag := range []string{"bed", "printer", "margin", "brim", "round", "turn"} {
			delete(way.flags, flag)
		}
	}
	delete(way.flags, "process")
	delete(way.flags, "gap")
	delete(way.flags, "with")
	if err = value(c, "turn", &turn, judge.ParseTurning); err != nil {
		return
	}
	if c.has("bed") && c.has("printer") {
		err = misuse(c.verb, "--bed and --printer both say the bed; give one")
		return
	}
	switch {
	case c.has("bed") || c.has("printer"):
		if err = c.bed(&bed); err == nil {
			err = bed.Check()
		}
	case c.has("margin") || c.has("brim") || c.has("round") || c.has("turn"):
		err = misuse(c.verb, "--margin, --brim, --round and --turn need --bed or --printer")
	}
	if err != nil {
		return
	}
	if c.verb == "beds" { // nothing is judged
		return
	}
	if !c.has("process") {
		err = misuse(c.verb, "--process is missing: one of "+strings.Join(processNames(), ", ")+", or one of your own")
		return
	}
	var file *kit.ProcessesError
	if p, err = processOf(c.flags["process"]); err != nil && !errors.As(err, &file) {
		err = unread(c, "--process", c.flags["process"], err)
	}
	return
}

// gap is what is kept free between parts on the bed, mm.
func (c call) gap() (float64, error) {
	if !c.has("gap") {
		return state.BedGap, nil
	}
	var gap ratio.Length
	err := value(c, "gap", &gap, anyLength)
	return gap.MM(), err
}

// scaled reads the models of a call, which it is to do something with, and finds the factor that
// its way gives.
func (s *session) scaled(way call, do string) (w ways.Way, models []*model, found ways.Result, err error) {
	if w, err = way.way(); err != nil {
		return w, nil, found, err
	}
	if len(s.call.paths) == 0 {
		return w, nil, found, misuse(s.call.verb, "no file or folder to "+do)
	}
	if models, err = s.judgedModels(); err != nil {
		return w, nil, found, err
	}
	if found, err = s.find(&w, models); err != nil {
		return w, nil, found, s.noFactor(err, models)
	}
	if !found.Factor.Known() {
		err = misuse(s.call.verb, "the way gives no factor yet: "+s.why(w, found))
	}
	return w, models, found, err
}

// errNothing is said where no part of a call could be read.
var errNothing = errors.New("no part could be read")

// judgedModels reads the models of a call that judges them: of nothing nothing is said.
func (s *session) judgedModels() ([]*model, error) {
	models, err := s.models()
	if err == nil && len(bodies(models)) == 0 {
		err = s.noFactor(errNothing, models)
	}
	return models, err
}

func processNames() (names []string) {
	for _, p := range process.Presets() {
		names = append(names, p.Process.Name)
	}
	return names
}

// A judged kit, with the names of its parts.
type judged struct {
	*judge.Case
	names, files []string
}

// caseOf surveys all parts that could be read, and their assembly, and gets them ready. A part
// that cannot be surveyed is told of, and judged by its size.
func (s *session) caseOf(models []*model, bed judge.Bed, terms judge.Terms) (judged, error) {
	type body struct {
		model *model
		index int
		part  mesh.Part
	}
	var all []body
	var measured []units.Part
	var shapes []mesh.Part
	var out judged
	for _, m := range models {
		if m.err != nil {
			continue
		}
		for i, p := range m.file.Parts() {
			measured = append(measured, units.Part{ID: idOf(len(all)), Box: p.Box, Unit: p.Unit})
			all = append(all, body{m, i, p})
			shapes = append(shapes, p)
			out.names = append(out.names, p.Name)
			out.files = append(out.files, m.path)
		}
	}
	parts := make([]judge.Part, len(all))
	placed := make([]survey.Placed, len(all))
	failed := make([]error, len(all))
	frame := kit.FrameOf(shapes)
	each(len(all), func(i int) {
		b := all[i]
		p := &parts[i]
		*p = judge.Part{ID: idOf(i), Quantity: 1, MM: b.part.Unit.MM, Size: kit.Lies(b.part)}
		placed[i] = survey.Placed{Box: b.part.Box, Place: func(v geom.Vec) geom.Vec { return frame.Point(b.part, v) },
			Mesh: func(ctx context.Context) (*mesh.Mesh, error) { return b.model.file.Mesh(ctx, b.index, nil) }, Content: formats.Content(b.model.file, b.index)}
		hull := survey.HullOfBox(b.part.Box, kit.Upright(b.part))
		if b.part.Surface {
			failed[i] = guarded(func() error {
				m, err := b.model.file.Mesh(s.ctx, b.index, nil)
				if err != nil {
					return err
				}
				found, err := s.surveyed(b.model.file, b.index, m)
				if err != nil {
					return err
				}
				p.Found, p.Bulk = &found, judge.BulkOf(&found, p.MM)
				placed[i].Bores, placed[i].Pegs = found.Bores, found.Pegs
				hull, err = survey.HullOf(s.ctx, m, kit.Upright(b.part))
				return err
			})
		} else {
			placed[i].Box, placed[i].Mesh = geom.EmptyBox(), nil
		}
		if err := p.Fit(s.ctx, bed, hull.Scaled(p.MM), terms.Turning); err != nil && failed[i] == nil {
			failed[i] = err
		}
	})
	if s.ctx.Err() != nil {
		return out, s.ctx.Err()
	}
	for i, err := range failed {
		if err != nil {
			s.fail(all[i].model.path, err)
			placed[i].Box = geom.EmptyBox()
		}
	}
	longest := max(bed.Size[0], bed.Size[1], bed.Size[2])
	for _, u := range units.Judge(measured, longest) {
		for i := range parts {
			if parts[i].ID == u.Part {
				parts[i].Unit = &u
			}
		}
	}
	together, err := survey.KeptBetween(s.ctx, s.store(), placed, nil)
	if err != nil {
		return out, err
	}
	out.Case = judge.New(parts, &together, terms)
	return out, nil
}

// name is that of a part, or of the kit.
func (j judged) name(part int) string {
	if part < 0 {
		return ""
	}
	return j.names[part]
}

// A windowRow is a range of factors in JSON; an end without limit is null.
type windowRow struct {
	Least  number `json:"least"`
	Most   number `json:"most"`
	Empty  bool   `json:"empty"`
	Small  string `json:"least_code,omitempty"`
	Large  string `json:"most_code,omitempty"`
	SmallP string `json:"least_part,omitempty"`
	LargeP string `json:"most_part,omitempty"`
}

func (j judged) windowRow(w judge.Window) windowRow {
	return windowRow{number(w.Least), number(w.Most), w.Empty(), string(w.LeastCode), string(w.MostCode), j.name(w.LeastPart), j.name(w.MostPart)}
}

// A weightRow is what the kit weighs, in JSON.
type weightRow struct {
	Grams   number  `json:"g"`
	Solid   number  `json:"solid_g"`
	Cost    *number `json:"cost,omitempty"`
	Unknown int     `json:"unknown"` // parts that are not in it
}

func weightOf(w judge.Weight) weightRow {
	r := weightRow{Grams: number(w.Grams), Solid: number(w.Solid), Unknown: w.Unknown}
	if w.Cost > 0 {
		cost := number(w.Cost)
		r.Cost = &cost
	}
	return r
}

// weightWords is the same in words.
func weightWords(w judge.Weight) string {
	if w.Grams == 0 && w.Unknown > 0 {
		return fmt.Sprintf("not known: %s cannot be weighed, for want of a closed surface", text.Parts(w.Unknown))
	}
	s := text.Mass(w.Grams) + ", solid " + text.Mass(w.Solid) + "; without supports"
	if w.Unknown > 0 {
		s += fmt.Sprintf(", and without %s that cannot be weighed", text.Parts(w.Unknown))
	}
	return s
}
