package main

import (
	"fmt"
	"math"
	"math/big"
	"strconv"

	"scantling/app/text"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// An answer is the factor in JSON.
type answer struct {
	Factor     number      `json:"factor"` // null where it is not known yet
	SD         number      `json:"sd"`     // its standard uncertainty; 0 where it is exact
	Percent    number      `json:"percent"`
	Ratio      string      `json:"ratio"`             // of the copies to the real thing, or to the files where that is not known
	Native     *bounds     `json:"native,omitempty"`  // where it is known
	Implied    *bounds     `json:"implied,omitempty"` // the ratio of the copies to the real thing, where it is known
	Candidates []candidate `json:"candidates,omitempty"`
	Why        string      `json:"why"`
	*bedding
	Parts []row  `json:"parts,omitempty"`
	Error string `json:"error,omitempty"` // why there is no factor
}

// A bounds is a ratio with what holds it with 95 % probability, by the real size of one: low is
// 1:11.1 and high 1:11.5.
type bounds struct {
	Ratio string `json:"ratio"`
	Low   string `json:"low"`
	High  string `json:"high"`
}

// A candidate is a standard ratio that a measured one may be.
type candidate struct {
	Ratio       string `json:"ratio"`
	Name        string `json:"name,omitempty"`
	Field       string `json:"field"`
	Probability number `json:"probability"`
}

func boundsOf(e ways.Estimate) *bounds {
	if !e.Known() {
		return nil
	}
	low, high := e.Interval()
	return &bounds{inFull(e.Ratio), inFull(low), inFull(high)}
}

// inFull writes a ratio exactly where it is short, and to seven figures otherwise.
func inFull(a ratio.Ratio) string {
	if s := a.Exact(); len(s) <= 12 {
		return s
	}
	if x := a.Float(); x < 1 {
		return "1:" + strconv.FormatFloat(1/x, 'g', 7, 64)
	}
	return strconv.FormatFloat(a.Float(), 'g', 7, 64) + ":1"
}

// find works out the factor for the models of the call. What the way knows before that is in the
// result in any case.
func (s *session) find(w *ways.Way, models []*model) (ways.Result, error) {
	all := bodies(models)
	if err := s.pick(w, all); err != nil {
		return ways.Result{}, err
	}
	subject := kit.SubjectOf(all)
	if w.Kind == ways.ByBed && w.Bed.Check() == nil {
		if err := s.fitAll(*w, models, &subject); err != nil {
			return ways.Result{}, err
		}
	}
	found, err := w.Find(subject)
	if err != nil {
		return w.SoFar(subject, err) // what is known of the ratios all the same
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

// pick finds the parts that --of names.
func (s *session) pick(w *ways.Way, all []kit.Body) error {
	for _, name := range s.call.lists["of"] {
		id := ""
		for _, b := range all {
			if b.Name != name {
				continue
			}
			if id != "" {
				return misuse(s.call.verb, "--of: several parts are called “"+name+"”")
			}
			id = b.ID
		}
		if id == "" {
			return misuse(s.call.verb, "--of: no part is called “"+name+"”")
		}
		w.Parts = append(w.Parts, id)
	}
	return nil
}

// measured is the ratio of a way that rests on measurements: a figure's, or the native one.
func measured(w ways.Way, r ways.Result) ways.Estimate {
	switch {
	case w.Kind == ways.ByFigure:
		return r.TargetEstimate()
	case w.NativeFrom == ways.FromClues:
		return r.NativeEstimate()
	}
	return ways.Estimate{}
}

func (s *session) answerOf(w ways.Way, r ways.Result) answer {
	a := answer{
		Factor: number(math.NaN()), Percent: number(math.NaN()), SD: number(math.NaN()),
		Ratio: ratioOf(r).String(), Native: boundsOf(r.NativeEstimate()), Implied: boundsOf(r.TargetEstimate()),
		Why: s.why(w, r),
	}
	if r.Factor.Known() {
		a.bedding = s.beddingOf(w, r)
		a.Factor, a.Percent, a.SD = number(r.Factor.Float()), number(percent(r.Factor)), number(r.Factor.Float()*r.SD)
	}
	list, _ := s.candidates(w, r)
	for i, c := range list {
		if i < 2 || c.Probability >= 0.001 { // the two nearest in any case
			a.Candidates = append(a.Candidates, candidate{inFull(c.Standard.Ratio), c.Standard.Name, string(c.Standard.Field), number(c.Probability)})
		}
	}
	return a
}

// candidates are the standard ratios, of the fields that were named or of all, that a measured
// ratio may be.
func (s *session) candidates(w ways.Way, r ways.Result) ([]ways.Candidate, float64) {
	fields, err := s.call.fields()
	if err != nil { // cannot be: the call was read
		return nil, 0
	}
	return measured(w, r).Candidates(fields...)
}

// why is how the way came to its factor, or what is missing for one.
func (s *session) why(w ways.Way, r ways.Result) string {
	if r.Factor.Known() {
		return text.Why(w, r, false)
	}
	return text.SoFar(w, r, false)
}

func percent(f ratio.Factor) float64 {
	hundredfold, _ := new(big.Rat).Mul(f.Rat(), big.NewRat(100, 1)).Float64()
	return hundredfold
}

// ratioOf is the ratio of the copies to the real thing, or to the files where the native
// ratio is not known.
func ratioOf(r ways.Result) ratio.Ratio {
	if r.Target.Known() || !r.Factor.Known() {
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
	found, err := s.find(&w, models)
	if err != nil {
		return s.noFactor(err, models)
	}
	s.warnOfClues(w)
	if s.call.has("json") {
		a := s.answerOf(w, found)
		for _, m := range models {
			if m.err != nil {
				a.Parts = append(a.Parts, failedRow(m))
				continue
			}
			for i, p := range m.file.Parts() {
				r := rowOf(m, p)
				if found.Factor.Known() {
					r = s.printed(r, m, i, found.Factor)
				}
				a.Parts = append(a.Parts, r)
			}
		}
		return s.printJSON(a)
	}
	if err := s.printFactor(w, found); err != nil {
		return err
	}
	if !found.Factor.Known() {
		return nil
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

// printFactor writes the factor in all its spellings, and what it rests on.
func (s *session) printFactor(w ways.Way, r ways.Result) error {
	var rows [][]string
	add := func(head, what string) {
		if what != "" {
			rows = append(rows, []string{head, what})
		}
	}
	if r.Factor.Known() {
		add("factor", r.Factor.Digits())
		if exact := r.Factor.Exact(); r.SD == 0 && exact != r.Factor.Digits() && len(exact) < 40 {
			add("exactly", exact)
		}
		if r.SD > 0 {
			add("with ±", text.UncertainFactor(r)+" (95 %)")
		}
		add("percent", text.Percent(r.Factor))
	}
	switch {
	case r.Target.Known():
		add("ratio", text.Uncertain(r.TargetEstimate()))
	case r.Factor.Known():
		add("ratio", text.Ratio(ratioOf(r))+" to the files; what they were drawn at is not known")
	}
	if r.Target.Known() {
		add("people", text.FigureSizes(r.Target, w.Figure.Person, false))
	}
	if r.NativeSD > 0 {
		add("native", text.Uncertain(r.NativeEstimate()))
	}
	if list, none := s.candidates(w, r); len(list) > 0 {
		add("standards", text.Candidates(list, none))
	}
	if w.Kind == ways.ByFigure {
		if f, err := w.Figure.Ratio(); err == nil {
			add("unsure by", text.Budget(f))
		}
	}
	if c, err := ways.Combine(w.Clues); err == nil {
		for i, clue := range w.Clues {
			add("clue "+clue.ID, text.ClueName(clue, false)+": "+text.Uncertain(c.Each[i].Estimate)+", "+text.ClueVerdict(c, i))
		}
		add("together", text.Together(w.Clues, c, false))
	}
	add("why", s.why(w, r))
	for _, line := range s.bedLines(w, r) {
		add(line[0], line[1])
	}
	return printTable(s.out, rows)
}

// warnOfClues tells of clues that contradict each other.
func (s *session) warnOfClues(w ways.Way) {
	if c, err := ways.Combine(w.Clues); err == nil && c.Inconsistent {
		s.warn(text.Together(w.Clues, c, false) + ".")
	}
}

// printed adds to the row of part i of a model its size in print, and how it fits the bed where
// that was asked for.
func (s *session) printed(r row, m *model, i int, f ratio.Factor) row {
	p := m.file.Parts()[i]
	if !p.Box.Empty() {
		r.Print = tripleOf(p.Box.Size().Scale(p.Unit.MM).Scale(f.Float()))
	}
	for _, b := range s.beds {
		if b.model == m && b.index == i {
			r.Pose, r.Largest = b.poseAt(f.Float()), number(b.fit.Factor)
		}
	}
	return r
}

// sizes are a part's name and its sizes before and after.
func sizes(p mesh.Part, f ratio.Factor) []string {
	drawn := p.Box.Size().Scale(p.Unit.MM)
	return []string{p.Name, text.SizeBare(drawn, false), text.SizeBare(drawn.Scale(f.Float()), false)}
}
