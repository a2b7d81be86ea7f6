package main

import (
	"fmt"
	"math"

	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// A findingRow is a finding in JSON.
type findingRow struct {
	Code    string  `json:"code"`
	Gravity string  `json:"gravity"` // stops, look, note
	Part    string  `json:"part,omitempty"`
	File    string  `json:"file,omitempty"`
	Other   string  `json:"other,omitempty"` // the second part
	Place   *triple `json:"place,omitempty"` // in the file's unit and axes
	InKit   *triple `json:"in_kit,omitempty"`
	Value   number  `json:"value"`
	Limit   number  `json:"limit"`
	GoneAt  *number `json:"gone_at_factor"` // null where it is there at every factor
	Ratio   string  `json:"gone_at_ratio,omitempty"`
	Toward  string  `json:"gone_toward,omitempty"` // larger or smaller
	Item    string  `json:"item,omitempty"`
	Guess   bool    `json:"guess,omitempty"`
	Drill   *number `json:"drill,omitempty"`  // mm
	Offset  *number `json:"offset,omitempty"` // mm in diameter
	Says    string  `json:"says"`
}

// check judges the kit at the factor that a way gives.
func (s *session) check() error {
	way, bed, turn, p, err := s.call.apart()
	if err != nil {
		return err
	}
	gap, err := s.call.gap()
	if err != nil {
		return err
	}
	w, models, found, err := s.scaled(way, "check")
	if err != nil {
		return err
	}
	j, err := s.caseOf(models, bed, judge.Terms{Process: p, Turning: turn})
	if err != nil {
		return err
	}
	f := found.Factor.Float()
	findings := j.At(f)
	for _, x := range findings {
		s.failed = s.failed || x.Gravity == judge.Stops && x.Aside == ""
	}
	var layout *judge.Layout
	if bed.Known() {
		l := j.Pack(bed, f, gap)
		layout = &l
	}
	native := found.Native
	if s.call.has("json") {
		return s.printJSON(s.checkedOf(j, findings, f, native, layout, s.answerOf(w, found)))
	}
	rows := [][]string{
		{"factor", text.Factor(found.Factor) + "  " + text.Ratio(ratioOf(found))},
		{"process", text.ProcessName(p.Name) + ", " + text.MaterialName(p.Material.Name)},
		{"found", text.GravityCount(findings)},
		{"prints", text.WindowWords(j.Window(judge.Stops), native)},
		{"details", text.WindowWords(j.Window(judge.Look), native)},
		{"weight", weightWords(j.Weight(f))},
	}
	if layout != nil {
		rows = append(rows, []string{"beds", text.BedCount(*layout)})
	}
	if err := printTable(s.out, rows); err != nil {
		return err
	}
	return s.printFindings(j, findings, native)
}

// toldAlike is how many findings of one kind are printed of a part; JSON has them all.
const toldAlike = 3

// printFindings writes findings under their gravity.
func (s *session) printFindings(j judged, findings []judge.Finding, native ratio.Ratio) error {
	type kind struct {
		gravity judge.Gravity
		part    int
		code    judge.Code
	}
	of := func(x judge.Finding) kind { return kind{x.Gravity, x.Part, x.Code} }
	count := map[kind]int{}
	for _, x := range findings {
		count[of(x)]++
	}
	before := judge.Gravity(math.MaxUint8)
	told := map[kind]int{}
	for _, x := range findings {
		k := of(x)
		told[k]++
		more := 0
		switch {
		case told[k] > toldAlike:
			continue
		case told[k] == toldAlike:
			more = count[k] - toldAlike
		}
		if x.Gravity != before {
			before = x.Gravity
			if _, err := fmt.Fprintf(s.out, "\n%s\n", text.GravityName(x.Gravity)); err != nil {
				return err
			}
		}
		line := text.JudgedOf(x, j.name(x.Other), native, false).String()
		if x.Part >= 0 {
			line = j.name(x.Part) + ": " + line
		}
		if !x.Whole && !x.Where.InKit && x.Part >= 0 {
			mm := j.Parts[x.Part].MM
			line += " At " + spot(x.Where.Centre.Scale(mm), j.Parts[x.Part].Found.Box.Scale(mm).Size().Len()) + " as drawn."
		}
		if more > 0 {
			line += " " + text.More(more) + " like it."
		}
		if _, err := fmt.Fprintln(s.out, "  "+line); err != nil {
			return err
		}
	}
	return nil
}

// A checked kit in JSON.
type checked struct {
	Factor   number       `json:"factor"`
	Ratio    string       `json:"ratio"`
	Why      string       `json:"why"`
	Process  string       `json:"process"`
	Prints   bool         `json:"prints"`
	Findings []findingRow `json:"findings"`
	Window   windowRow    `json:"printable"` // where nothing stops the print
	Details  windowRow    `json:"details"`   // and where there is nothing to look at besides
	Weight   weightRow    `json:"weight"`
	Beds     *bedsRow     `json:"beds,omitempty"`
	Parts    []weighedRow `json:"parts"`
}

// A weighedRow is what one piece of a part weighs, and its own windows.
type weighedRow struct {
	Part    string    `json:"part"`
	File    string    `json:"file"`
	Weight  weightRow `json:"weight"`
	Window  windowRow `json:"printable"`
	Details windowRow `json:"details"`
}

// A bedsRow is how many beds the kit takes.
type bedsRow struct {
	Beds   int         `json:"beds"`
	Least  int         `json:"least"` // no arrangement does with fewer
	Left   []string    `json:"left,omitempty"`
	Placed []placedRow `json:"placed"`
}

type placedRow struct {
	Part string    `json:"part"`
	Bed  int       `json:"bed"`  // from 1
	Low  [2]number `json:"low"`  // mm from the corner of the usable room
	Size [2]number `json:"size"` // mm
}

func (s *session) checkedOf(j judged, findings []judge.Finding, f float64, native ratio.Ratio, l *judge.Layout, a answer) checked {
	out := checked{
		Factor: number(f), Ratio: a.Ratio, Why: a.Why, Process: j.Terms.Process.Name, Prints: j.Outcome(f).Prints,
		Findings: []findingRow{}, Window: j.windowRow(j.Window(judge.Stops)), Details: j.windowRow(j.Window(judge.Look)),
		Weight: weightOf(j.Weight(f)), Parts: []weighedRow{},
	}
	for _, x := range findings {
		out.Findings = append(out.Findings, j.findingRow(x, native))
	}
	for i := range j.Parts {
		out.Parts = append(out.Parts, weighedRow{j.names[i], j.files[i], weightOf(j.WeightOf(i, f)),
			j.windowRow(j.WindowOf(i, judge.Stops)), j.windowRow(j.WindowOf(i, judge.Look))})
	}
	if l != nil {
		out.Beds = &bedsRow{Beds: l.Beds, Least: l.Least, Placed: []placedRow{}}
		for _, i := range l.Left {
			out.Beds.Left = append(out.Beds.Left, j.names[i])
		}
		pair := func(v geom.Vec2) [2]number { return [2]number{number(v[0]), number(v[1])} }
		for _, p := range l.Placed {
			out.Beds.Placed = append(out.Beds.Placed, placedRow{j.names[p.Part], p.Bed + 1, pair(p.Low), pair(p.Size)})
		}
	}
	return out
}

func (j judged) findingRow(x judge.Finding, native ratio.Ratio) findingRow {
	r := findingRow{
		Code: string(x.Code), Gravity: x.Gravity.String(), Other: j.name(x.Other), Value: number(x.Value), Limit: number(x.Limit),
		Item: x.Item, Guess: x.Guess, Says: text.JudgedOf(x, j.name(x.Other), native, false).String(),
	}
	if x.Part >= 0 {
		r.Part, r.File = j.names[x.Part], j.files[x.Part]
	}
	if !x.Whole {
		if x.Where.InKit {
			r.InKit = tripleOf(x.Where.Centre)
		} else {
			r.Place = tripleOf(x.Where.Centre)
		}
	}
	if x.Gone != judge.Never {
		gone := number(x.GoneAt)
		r.GoneAt, r.Ratio = &gone, text.RatioAt(x.GoneAt, native, x.Gone == judge.Larger)
		r.Toward = map[judge.Direction]string{judge.Larger: "larger", judge.Smaller: "smaller"}[x.Gone]
	}
	mm := func(v float64) *number {
		if v == 0 {
			return nil
		}
		n := number(v)
		return &n
	}
	r.Drill, r.Offset = mm(x.Drill), mm(x.Offset)
	return r
}
