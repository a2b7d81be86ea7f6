package main

import (
	"context"
	"slices"

	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/survey"
	"scantling/engine/ways"
)

// A bedded is how one part fits the bed.
type bedded struct {
	model *model
	index int
	name  string
	hull  survey.Hull // mm as drawn
	unit  float64     // mm of the file's unit
	fit   judge.Fit
	err   error // why it counts as its box
}

// A pose is how a part lies when it fits best, in JSON: a point p of its file comes to lie at
// factor × unit × turn · p + shift, in millimetres from the middle of the plate, z up from it.
type pose struct {
	Part  string    `json:"part,omitempty"`
	Turn  [3]triple `json:"turn"` // rows
	Shift triple    `json:"shift"`
}

// A bedding is what the way by bed has to say in JSON.
type bedding struct {
	Limits  string `json:"limits"` // name of the part that limits the kit
	Axis    string `json:"axis"`   // of the bed, along which it does
	Drawn   number `json:"drawn"`  // what the part measures there, mm as drawn
	Room    number `json:"room"`   // and what the bed has, mm
	Pose    *pose  `json:"pose"`   // of that part
	AtMost  number `json:"atMost"` // no pose of the parts gives a larger factor; the factor itself where the search is exact
	Largest *rung  `json:"largest,omitempty"`
	Next    *rung  `json:"next,omitempty"`
}

// A rung is a standard ratio that fits the bed or does not.
type rung struct {
	Ratio  string `json:"ratio"`
	Name   string `json:"name,omitempty"`
	Field  string `json:"field"`
	Factor number `json:"factor"`
	Needs  []need `json:"needs,omitempty"`
}

// A need is what a part takes that is too large.
type need struct {
	Part    string `json:"part"`
	TooLong triple `json:"tooLong"` // mm along the bed's width, depth and height
	Pieces  [3]int `json:"pieces"`  // along the part's own axes; 0 where they are too many
}

// fitAll finds how every part fits the bed.
func (s *session) fitAll(w ways.Way, models []*model, subject *ways.Subject) error {
	s.beds = nil
	for _, m := range models {
		if m.err == nil {
			for i, p := range m.file.Parts() {
				s.beds = append(s.beds, bedded{model: m, index: i, name: p.Name, unit: p.Unit.MM})
			}
		}
	}
	each(len(s.beds), func(i int) {
		b := &s.beds[i]
		p := b.model.file.Parts()[b.index]
		b.hull = survey.HullOfBox(p.Box, kit.Upright(p))
		// On a rectangle a part that is not turned fits as its box does.
		if p.Surface && (w.Turn != judge.AsItLies || w.Bed.Round) {
			err := guarded(func() error {
				hull, err := hullOf(s.ctx, b.model, b.index, p)
				if err == nil {
					b.hull = hull
				}
				return err
			})
			if err != nil && s.ctx.Err() == nil {
				b.err = err
			}
		}
		b.hull = b.hull.Scaled(p.Unit.MM)
		b.fit, _ = w.Bed.Fit(s.ctx, b.hull, w.Turn)
	})
	if err := s.ctx.Err(); err != nil {
		return err
	}
	for _, b := range s.beds {
		if b.err != nil {
			s.warn(sentence(b.model.path, b.err) + " It counts as the box around it.")
		}
	}
	for i := range subject.Parts {
		subject.Parts[i].Fit = &s.beds[i].fit
	}
	return nil
}

func hullOf(ctx context.Context, m *model, i int, p mesh.Part) (survey.Hull, error) {
	read, err := m.file.Mesh(ctx, i, nil)
	if err != nil {
		return survey.Hull{}, err
	}
	return survey.HullOf(ctx, read, kit.Upright(p))
}

// poseAt is the pose in JSON, at a factor.
func (b bedded) poseAt(factor float64) *pose {
	turn, shift := b.fit.Pose.OfFile(b.hull)
	p := &pose{Shift: *tripleOf(shift.Scale(factor))}
	for i, row := range turn {
		p.Turn[i] = *tripleOf(row)
	}
	return p
}

// posed is how the copy of a model is put down at a factor. The parts of a file of several keep
// their places in each other, and it stays as it lies.
func (s *session) posed(m *model, factor float64) geom.Pose {
	if n := len(m.file.Parts()); n != 1 {
		s.warn(m.path + " holds " + text.Count(n, "part", "parts") + " that belong together, so its copy stays as it lies.")
		return geom.Pose{}
	}
	for _, b := range s.beds {
		if b.model == m {
			turn, shift := b.fit.Pose.OfFile(b.hull)
			return geom.Pose{Rows: turn, Shift: shift.Scale(factor / b.unit)}
		}
	}
	return geom.Pose{}
}

// limiting is the part that limits the kit.
func (s *session) limiting(r ways.Result) (bedded, bool) {
	for i, b := range s.beds {
		if r.Limits == idOf(i) {
			return b, true
		}
	}
	return bedded{}, false
}

// reach is how far up the ladder of the fields that were named, or of all, the kit gets.
func (s *session) reach(w ways.Way, r ways.Result) ([]judge.Rung, judge.Reach) {
	fields, err := s.call.fields()
	if err != nil || !r.Native.Known() {
		return nil, judge.Reach{Largest: -1, Next: -1, Part: -1}
	}
	if len(fields) == 0 {
		fields = ratio.Fields()
	}
	var standards []ratio.Standard
	for _, f := range fields {
		standards = append(standards, ratio.Ladder(f)...)
	}
	rungs := judge.Ladder(standards, r.Native, ratio.Ratio{}, geom.Vec{}, nil)
	fits := make([]judge.Fit, len(s.beds))
	for i, b := range s.beds {
		fits[i] = b.fit
	}
	return rungs, w.Bed.Reach(rungs, fits, w.Turn)
}

func (s *session) beddingOf(w ways.Way, r ways.Result) *bedding {
	limit, ok := s.limiting(r)
	if w.Kind != ways.ByBed || !ok {
		return nil
	}
	b := &bedding{Limits: r.Part, Axis: r.Along.String(), Drawn: number(r.Drawn), Room: number(r.Limit),
		Pose: limit.poseAt(r.Factor.Float()), AtMost: number(limit.fit.AtMost)}
	b.Pose.Part = limit.name
	for _, other := range s.beds {
		b.AtMost = min(b.AtMost, number(other.fit.AtMost))
	}
	rungs, reach := s.reach(w, r)
	rungOf := func(i int) *rung {
		if i < 0 {
			return nil
		}
		return &rung{Ratio: inFull(rungs[i].Standard.Ratio), Name: rungs[i].Standard.Name,
			Field: string(rungs[i].Standard.Field), Factor: number(rungs[i].Factor.Float())}
	}
	b.Largest, b.Next = rungOf(reach.Largest), rungOf(reach.Next)
	for _, n := range reach.Needs {
		b.Next.Needs = append(b.Next.Needs, need{s.beds[n.Part].name, *tripleOf(n.TooLong), n.Pieces})
	}
	return b
}

// bedLines are what the way by bed has to say besides why.
func (s *session) bedLines(w ways.Way, r ways.Result) (lines [][2]string) {
	limit, ok := s.limiting(r)
	if w.Kind != ways.ByBed || !ok {
		return nil
	}
	if w.Turn != judge.AsItLies {
		lines = append(lines, [2]string{"pose", limit.name + ": " + text.Pose(limit.fit.Pose)})
		if better := text.AtMost(limit.fit); better != "" {
			lines = append(lines, [2]string{"bound", better})
		}
	}
	rungs, reach := s.reach(w, r)
	if reach.Largest < 0 && reach.Next < 0 {
		return lines
	}
	names := make([]string, len(s.beds))
	for i, b := range s.beds {
		names[i] = b.name
	}
	lines = append(lines, [2]string{"largest", text.Largest(rungs, reach)}, [2]string{"next", text.Next(rungs, reach, names, false)})
	return slices.DeleteFunc(lines, func(l [2]string) bool { return l[1] == "" })
}
