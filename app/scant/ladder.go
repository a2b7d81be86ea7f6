package main

import (
	"cmp"
	"slices"
	"strings"

	"scantling/app/text"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// A rungRow is a rung of the ladder in JSON.
type rungRow struct {
	Ratio   string   `json:"ratio"`
	Name    string   `json:"name,omitempty"`
	Field   string   `json:"field"`
	Factor  number   `json:"factor"`
	Fits    *bool    `json:"fits"` // null where no bed was given
	Turned  *bool    `json:"fits_turned"`
	Prints  bool     `json:"prints"`
	Stops   []string `json:"stops"`
	Failing int      `json:"failing"` // parts that something stops
	Looks   int      `json:"looks"`   // parts with something to look at
	Mass    number   `json:"mass_g"`
	Cost    *number  `json:"cost,omitempty"`
	InForce bool     `json:"target,omitempty"`
}

// ladder judges the kit at all standard ratios.
func (s *session) ladder() error {
	way, bed, turn, p, err := s.call.apart()
	if err != nil {
		return err
	}
	w, err := way.way()
	if err != nil {
		return err
	}
	if len(s.call.paths) == 0 {
		return misuse(s.call.verb, "no file or folder to judge")
	}
	models, err := s.judgedModels()
	if err != nil {
		return err
	}
	native, err := w.NativeOf(kit.SubjectOf(bodies(models)))
	target := w.Target
	if err != nil {
		found, findErr := s.find(&w, models)
		if findErr != nil {
			return s.noFactor(findErr, models)
		}
		if !found.Native.Known() {
			return s.noFactor(err, models)
		}
		native, target = found.NativeEstimate(), found.Target
	}
	standards, err := s.standards()
	if err != nil {
		return err
	}
	j, err := s.caseOf(models, bed, judge.Terms{Process: p, Turning: turn})
	if err != nil {
		return err
	}
	rungs := j.Ladder(standards, native.Ratio, target)
	if s.call.has("json") {
		out := []rungRow{}
		for _, r := range rungs {
			out = append(out, rungRowOf(r, bed.Known(), turn))
		}
		return s.printJSON(map[string]any{"native": inFull(native.Ratio), "process": p.Name, "rungs": out,
			"printable": j.windowRow(j.Window(judge.Stops)), "details": j.windowRow(j.Window(judge.Look))})
	}
	rows := [][]string{{"ratio", "factor", "bed", "prints", "stopped by", "weight"}}
	for _, r := range rungs {
		o := r.Outcome
		mass := text.None
		if o.Weight.Grams > 0 {
			mass = text.Mass(o.Weight.Grams)
		}
		rows = append(rows, []string{
			text.Ratio(r.Standard.Ratio), text.Factor(r.Factor), text.OutcomeFits(o, bed.Known(), turn),
			text.OutcomePrints(o), text.OutcomeStops(o), mass,
		})
	}
	if err := printTable(s.out, rows); err != nil {
		return err
	}
	return printTable(s.out, [][]string{
		{""},
		{"prints", text.WindowWords(j.Window(judge.Stops), native.Ratio)},
		{"details", text.WindowWords(j.Window(judge.Look), native.Ratio)},
	})
}

// standards are the ratios of the fields that were named, or of all, from the largest model to
// the smallest; of several with the same ratio the first.
func (s *session) standards() ([]ratio.Standard, error) {
	fields, err := s.call.fields()
	if err != nil {
		return nil, err
	}
	if len(fields) == 0 {
		fields = ratio.Fields()
	}
	var out []ratio.Standard
	for _, f := range fields {
		out = append(out, ratio.Ladder(f)...)
	}
	slices.SortStableFunc(out, func(a, b ratio.Standard) int { return cmp.Compare(0, a.Ratio.Cmp(b.Ratio)) })
	return slices.CompactFunc(out, func(a, b ratio.Standard) bool { return a.Ratio.Equal(b.Ratio) }), nil
}

func rungRowOf(r judge.Standing, bed bool, turn judge.Turning) rungRow {
	o := r.Outcome
	out := rungRow{
		Ratio: r.Standard.Ratio.String(), Name: r.Standard.Name, Field: string(r.Standard.Field), Factor: number(o.Factor),
		Prints: o.Prints, Stops: []string{}, Failing: o.Failing, Looks: o.Looks, Mass: number(o.Weight.Grams), InForce: r.InForce,
	}
	if bed {
		lies, turned := o.Fits[judge.AsItLies], o.Fits[max(turn, judge.Faces)]
		out.Fits, out.Turned = &lies, &turned
	}
	for _, c := range o.Stops {
		out.Stops = append(out.Stops, string(c))
	}
	if o.Weight.Cost > 0 {
		cost := number(o.Weight.Cost)
		out.Cost = &cost
	}
	out.Name = strings.TrimSpace(out.Name)
	return out
}
