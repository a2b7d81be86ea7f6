package main

import (
	"fmt"
	"math/big"

	"scantling/app/text"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// An answer is the factor in JSON.
type answer struct {
	Factor  number `json:"factor"`
	Percent number `json:"percent"`
	Ratio   string `json:"ratio"`            // of the copies to the real thing, or to the files where that is not known
	Native  string `json:"native,omitempty"` // where it is known
	Why     string `json:"why"`
	Parts   []row  `json:"parts,omitempty"`
	Error   string `json:"error,omitempty"` // why there is no factor
}

// find works out the factor for the models of the call.
func (s *session) find(w ways.Way, models []*model) (ways.Result, error) {
	found, err := w.Find(kit.SubjectOf(bodies(models)))
	if err != nil {
		return found, err
	}
	missing := 0
	for _, m := range models {
		if m.err != nil {
			missing++
		}
	}
	if missing > 0 && w.Kind != ways.ByRatio && w.Kind != ways.ByFactor {
		s.warn("The factor was found without " + text.Count(missing, "file", "files") + " that could not be read.")
	}
	return found, nil
}

func answerOf(w ways.Way, r ways.Result) answer {
	return answer{
		Factor:  number(r.Factor.Float()),
		Percent: number(percent(r.Factor)),
		Ratio:   ratioOf(r).String(),
		Native:  r.Native.String(),
		Why:     text.Why(w, r, false),
	}
}

func percent(f ratio.Factor) float64 {
	hundredfold, _ := new(big.Rat).Mul(f.Rat(), big.NewRat(100, 1)).Float64()
	return hundredfold
}

// ratioOf is the ratio of the copies to the real thing, or to the files where the native
// ratio is not known.
func ratioOf(r ways.Result) ratio.Ratio {
	if r.Target.Known() {
		return r.Target
	}
	toFile, err := ratio.Of(r.Factor.Rat(), big.NewRat(1, 1))
	if err != nil { // cannot be: a factor is positive
		return ratio.Ratio{}
	}
	return toFile
}

// factor prints the factor, and what it does to the parts where there are any.
func (s *session) factor() error {
	w, err := s.call.way()
	if err != nil {
		return err
	}
	models, err := s.models()
	if err != nil {
		return err
	}
	found, err := s.find(w, models)
	if err != nil {
		return s.noFactor(err, models)
	}
	if s.call.has("json") {
		a := answerOf(w, found)
		for _, m := range models {
			if m.err != nil {
				a.Parts = append(a.Parts, failedRow(m))
				continue
			}
			for _, p := range m.file.Parts() {
				a.Parts = append(a.Parts, printed(rowOf(m, p), p, found.Factor))
			}
		}
		return s.printJSON(a)
	}
	if err := s.printFactor(w, found); err != nil {
		return err
	}
	rows := [][]string{{"part", "as drawn, mm", "print, mm", "file"}}
	for _, m := range models {
		if m.err == nil {
			for _, p := range m.file.Parts() {
				rows = append(rows, append(sizes(p, found.Factor), m.path))
			}
		}
	}
	if len(rows) == 1 {
		return nil
	}
	if _, err := fmt.Fprintln(s.out); err != nil {
		return err
	}
	return printTable(s.out, rows)
}

// noFactor tells why there is none.
func (s *session) noFactor(err error, models []*model) error {
	if s.call.has("json") {
		rows := []row{}
		for _, m := range models {
			if m.err != nil {
				rows = append(rows, failedRow(m))
			}
		}
		if err := s.printJSON(map[string]any{"error": sentence("", err), "parts": rows}); err != nil {
			return err
		}
	}
	return err
}

// printFactor writes the factor in all its spellings.
func (s *session) printFactor(w ways.Way, r ways.Result) error {
	rows := [][]string{{"factor", r.Factor.Digits()}}
	if exact := r.Factor.Exact(); exact != r.Factor.Digits() && len(exact) < 40 {
		rows = append(rows, []string{"exactly", exact})
	}
	rows = append(rows, []string{"percent", text.Percent(r.Factor)})
	if r.Target.Known() {
		rows = append(rows, []string{"ratio", text.Ratio(r.Target)})
	} else {
		rows = append(rows, []string{"ratio", text.Ratio(ratioOf(r)) + " to the files; what they were drawn at is not known"})
	}
	return printTable(s.out, append(rows, []string{"why", text.Why(w, r, false)}))
}

// printed adds the size in print to a row.
func printed(r row, p mesh.Part, f ratio.Factor) row {
	if !p.Box.Empty() {
		r.Print = tripleOf(p.Box.Size().Scale(p.Unit.MM).Scale(f.Float()))
	}
	return r
}

// sizes are a part's name and its sizes before and after.
func sizes(p mesh.Part, f ratio.Factor) []string {
	drawn := p.Box.Size().Scale(p.Unit.MM)
	return []string{p.Name, text.SizeBare(drawn, false), text.SizeBare(drawn.Scale(f.Float()), false)}
}
