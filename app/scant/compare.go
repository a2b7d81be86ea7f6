package main

import (
	"fmt"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// A sideRow is one of two targets in JSON.
type sideRow struct {
	Ratio    string    `json:"ratio,omitempty"`
	Factor   number    `json:"factor"`
	Size     *triple   `json:"size"` // of the assembled kit, mm
	Largest  endRow    `json:"largest"`
	Smallest endRow    `json:"smallest"`
	Parts    int       `json:"parts"`
	Fitting  *int      `json:"fitting"` // null without a bed
	Beds     *int      `json:"beds"`
	Stops    int       `json:"stops"`
	Look     int       `json:"look"`
	Note     int       `json:"note"`
	Prints   bool      `json:"prints"`
	Weight   weightRow `json:"weight"`
}

// An endRow is the largest or the smallest part, by its longest side.
type endRow struct {
	Part string `json:"part"`
	MM   number `json:"mm"`
}

// A differRow is what is found otherwise at the one than at the other.
type differRow struct {
	Code  string       `json:"code"`
	Part  string       `json:"part,omitempty"`
	File  string       `json:"file,omitempty"`
	Sides [2]*standRow `json:"sides"` // null where it is not there
}

type standRow struct {
	Places  int    `json:"places"`
	Gravity string `json:"gravity"` // of the gravest, and its value
	Value   number `json:"value"`
	Limit   number `json:"limit"`
}

// compare lays two targets side by side.
func (s *session) compare() error {
	way, bed, turn, p, err := s.call.apart()
	if err != nil {
		return err
	}
	gap, err := s.call.gap()
	if err != nil {
		return err
	}
	if !s.call.has("with") {
		return misuse(s.call.verb, "--with is missing: the other target")
	}
	_, models, found, err := s.scaled(way, "compare")
	if err != nil {
		return err
	}
	times, err := s.other(found.Native)
	if err != nil {
		return err
	}
	j, err := s.caseOf(models, bed, judge.Terms{Process: p, Turning: turn})
	if err != nil {
		return err
	}
	c := text.Compared{Comparison: state.Comparison{Parts: j.names, Money: p.Material.Money}}
	size := kit.SubjectOf(bodies(models)).Kit
	for i, f := range []ratio.Factor{found.Factor, times} {
		c.At[i] = state.Prospect{Ratio: f.Target(found.Native), Factor: f, Size: size.Scale(f.Float()), Tally: j.Tally(bed, f.Float(), gap)}
	}
	c.Differ = j.Compare(found.Factor.Float(), times.Float())
	if s.call.has("json") {
		return s.printJSON(comparedOf(j, c))
	}
	rows := [][]string{{"", "  " + text.Ratio(c.At[0].Ratio), "  " + text.Ratio(c.At[1].Ratio)}}
	add := func(all []text.PairRow) {
		for _, r := range all {
			line := []string{r.Name, "", ""}
			for i, m := range r.Mark {
				line[1+i] = fmt.Sprintf("%1s %s", m.Sign(), r.At[i])
			}
			rows = append(rows, line)
		}
	}
	add(c.Rows())
	differ := c.Differing()
	if len(differ) > 0 {
		rows = append(rows, []string{""}, []string{text.HeadDiffer})
	}
	add(differ)
	return printTable(s.out, rows)
}

// other is the factor of the other target: --with is a ratio, or where the native one is not known
// a factor.
func (s *session) other(native ratio.Ratio) (f ratio.Factor, err error) {
	if !native.Known() {
		err = value(s.call, "with", &f, ratio.ParseFactor)
		return f, err
	}
	field, err := s.call.oneField()
	if err != nil {
		return f, err
	}
	var target ratio.Ratio
	err = value(s.call, "with", &target, func(typed string) (ratio.Ratio, error) { return ratio.ParseIn(typed, field) })
	return ratio.FactorBetween(native, target), err
}

func comparedOf(j judged, c text.Compared) map[string]any {
	sides := make([]sideRow, len(c.At))
	for i, a := range c.At {
		r := &sides[i]
		*r = sideRow{
			Factor: number(a.Factor.Float()), Size: tripleOf(a.Size), Parts: len(c.Parts), Prints: a.Prints, Weight: weightOf(a.Weight),
			Largest: endRow{j.name(a.Most), number(a.MostMM)}, Smallest: endRow{j.name(a.Least), number(a.LeastMM)},
			Stops: a.Counts[judge.Stops], Look: a.Counts[judge.Look], Note: a.Counts[judge.Note],
		}
		if a.Ratio.Known() {
			r.Ratio = inFull(a.Ratio)
		}
		if a.Beds != nil {
			r.Fitting, r.Beds = &a.Fitting, &a.Beds.Beds
		}
	}
	differ := []differRow{}
	for _, d := range c.Differ {
		r := differRow{Code: string(d.Code)}
		if d.Part >= 0 {
			r.Part, r.File = j.names[d.Part], j.files[d.Part]
		}
		for i, at := range d.At {
			if at.Places > 0 {
				r.Sides[i] = &standRow{at.Places, at.Worst.Gravity.String(), number(at.Worst.Value), number(at.Worst.Limit)}
			}
		}
		differ = append(differ, r)
	}
	return map[string]any{"process": j.Terms.Process.Name, "sides": sides, "differ": differ}
}
