package main

import (
	"context"
	"fmt"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/engine/survey"
	"scantling/formats"
)

// surveyRow is one part in JSON, in the file's own unit.
type surveyRow struct {
	row
	Thickness *widthsRow     `json:"thickness,omitempty"`
	Gaps      *widthsRow     `json:"gaps,omitempty"`
	Bores     []roundRow     `json:"bores,omitzero"`
	Pegs      []roundRow     `json:"pegs,omitzero"`
	Facets    *facetsRow     `json:"facets,omitempty"`
	Hull      *number        `json:"hull,omitempty"` // its volume
	Genus     *int           `json:"genus,omitempty"`
	Health    *survey.Health `json:"health,omitempty"`
}

// widthsRow is a distribution; its widths are null where there is none.
type widthsRow struct {
	Least      *number    `json:"least"`
	P1         *number    `json:"p1"`
	P5         *number    `json:"p5"`
	Median     *number    `json:"median"`
	Unmeasured number     `json:"unmeasured"` // area
	Places     []placeRow `json:"places"`
}

type placeRow struct {
	Kind    string  `json:"kind"` // wall, pin, slot, hole
	Free    *bool   `json:"free,omitempty"`
	Least   number  `json:"least"`
	Typical number  `json:"typical"`
	Depth   *number `json:"depth,omitempty"`
	Height  *number `json:"height,omitempty"` // of what stands on something broader
	Area    number  `json:"area"`
	Centre  *triple `json:"centre"`
	Min     *triple `json:"min"`
	Max     *triple `json:"max"`
}

type roundRow struct {
	Tag      string    `json:"tag"`
	Diameter number    `json:"diameter"`
	Flats    number    `json:"flats"`
	Depth    number    `json:"depth"`
	Through  bool      `json:"through"`
	Arc      number    `json:"arc"`
	Sides    int       `json:"sides"`
	Axis     *triple   `json:"axis"`
	Centre   *triple   `json:"centre"`
	Sinks    []sinkRow `json:"sinks,omitempty"`
}

// sinkRow is a countersink.
type sinkRow struct {
	Diameter number  `json:"diameter"`
	Angle    number  `json:"angle"`
	Depth    number  `json:"depth"`
	Centre   *triple `json:"centre"`
}

type facetsRow struct {
	Worst  number  `json:"worst"`
	Median number  `json:"median"`
	Area   number  `json:"area"` // that is curved
	Where  *triple `json:"where"`
}

// survey prints what is found out about every part, whatever its factor.
func (s *session) survey() error {
	if len(s.call.paths) == 0 {
		return misuse(s.call.verb, "no file or folder to survey")
	}
	models, err := s.models()
	if err != nil {
		return err
	}
	rows := []any{}
	var stand []standing
	for _, m := range models {
		if m.err != nil {
			rows = append(rows, failedRow(m))
			continue
		}
		for i, p := range m.file.Parts() {
			r, found, err := s.surveyPart(m, i, p)
			if s.ctx.Err() != nil {
				return s.ctx.Err()
			}
			if err != nil {
				return err
			}
			if r.Thickness != nil {
				stand = append(stand, standing{m, i, p, found, len(rows)})
			}
			rows = append(rows, r)
		}
	}
	clearances, err := s.clearances(stand)
	if err != nil {
		return err
	}
	if s.call.has("json") {
		return s.printJSON(map[string]any{"parts": rows, "clearances": clearances})
	}
	return s.printClearances(clearances, stand)
}

// surveyPart surveys one part, and prints it unless JSON is wanted. A part that cannot be
// read is told of; the error is that of printing.
func (s *session) surveyPart(m *model, i int, p mesh.Part) (surveyRow, survey.Measurements, error) {
	r := surveyRow{row: rowOf(m, p)}
	var found survey.Measurements
	if !p.Surface {
		return r, found, nil
	}
	var hull survey.Hull
	err := guarded(func() error {
		triangles, err := m.file.Mesh(s.ctx, i, nil)
		if err == nil {
			found, err = s.surveyed(m.file, i, triangles)
		}
		if err == nil {
			hull, err = survey.HullOf(s.ctx, triangles, geom.NoTurn())
		}
		return err
	})
	if err != nil {
		if s.ctx.Err() == nil {
			s.fail(m.path, err)
			r.Error = sentence(m.path, err)
		}
		return r, found, nil
	}
	area, volume, around := number(found.Area), number(found.Volume), number(hull.Volume)
	r.Centroid, r.Hull = tripleOf(found.Centroid), &around
	if found.Closed {
		r.Genus = &found.Genus
	}
	r.Area, r.Volume, r.Closed, r.Shells = &area, &volume, &found.Closed, &found.Shells
	r.Thickness, r.Gaps = widthsOf(found.Thickness.Distribution), widthsOf(found.Gaps.Distribution)
	for _, t := range found.Thickness.Places {
		place := placeOf(kind(t.Pin, "pin", "wall"), t.Least, t.Typical, t.Area, t.Centre, t.Box)
		if !t.Pin {
			place.Free = &t.Free
		}
		if t.Height > 0 {
			height := number(t.Height)
			place.Height = &height
		}
		r.Thickness.Places = append(r.Thickness.Places, place)
	}
	for _, g := range found.Gaps.Places {
		place := placeOf(kind(g.Hole, "hole", "slot"), g.Least, g.Typical, g.Area, g.Centre, g.Box)
		depth := number(g.Depth)
		place.Depth = &depth
		r.Gaps.Places = append(r.Gaps.Places, place)
	}
	r.Bores, r.Pegs = roundsOf(found.Bores), roundsOf(found.Pegs)
	if found.Facets.Chords.Known() {
		r.Facets = &facetsRow{
			Worst:  number(found.Facets.Worst),
			Median: number(found.Facets.Chords.Quantile(0.5)),
			Area:   number(found.Facets.Chords.Area()),
			Where:  tripleOf(found.Facets.Where),
		}
	}
	r.Health = &found.Health
	if s.call.has("json") {
		return r, found, nil
	}
	return r, found, s.printSurvey(m, p, found)
}

// surveyed is what is found out about part i of a file, now or once before: what is kept of surveys
// is shared with the window.
func (s *session) surveyed(f formats.File, i int, triangles *mesh.Mesh) (survey.Measurements, error) {
	read := func(context.Context) (*mesh.Mesh, error) { return triangles, nil }
	return survey.Brief(s.ctx, s.store(), formats.Content(f, i), read, nil, nil)
}

// store is where surveys are kept; nil for nowhere.
func (s *session) store() survey.Store {
	if s.call.has("no-cache") {
		return nil
	}
	return state.Surveys()
}

func kind(is bool, one, other string) string {
	if is {
		return one
	}
	return other
}

func widthsOf(d survey.Distribution) *widthsRow {
	w := &widthsRow{Unmeasured: number(d.Unmeasured), Places: []placeRow{}}
	if d.Known() {
		least, p1, p5, median := number(d.Least()), number(d.Quantile(0.01)), number(d.Quantile(0.05)), number(d.Quantile(0.5))
		w.Least, w.P1, w.P5, w.Median = &least, &p1, &p5, &median
	}
	return w
}

func placeOf(kind string, least, typical, area float64, centre geom.Vec, box geom.Box) placeRow {
	return placeRow{
		Kind: kind, Least: number(least), Typical: number(typical), Area: number(area),
		Centre: tripleOf(centre), Min: tripleOf(box.Min), Max: tripleOf(box.Max),
	}
}

func roundsOf(rounds []survey.Round) []roundRow {
	rows := make([]roundRow, len(rounds))
	for i, r := range rounds {
		rows[i] = roundRow{
			Tag: string(survey.TagOf(r)), Diameter: number(r.Diameter), Flats: number(r.Flats), Depth: number(r.Depth), Through: r.Through,
			Arc: number(r.Arc), Sides: r.Sides, Axis: tripleOf(r.Axis), Centre: tripleOf(r.Centre),
		}
		for _, sink := range r.Sinks {
			rows[i].Sinks = append(rows[i].Sinks, sinkRow{number(sink.Diameter), number(sink.Angle), number(sink.Depth), tripleOf(sink.Centre)})
		}
	}
	return rows
}

// toldPlaces is how many places of a kind are printed; JSON has them all.
const toldPlaces = 8

// printSurvey writes one part as a block.
func (s *session) printSurvey(m *model, p mesh.Part, f survey.Measurements) error {
	mm := p.Unit.MM
	rows := [][]string{{"  thickness", text.Widths(f.Thickness.Distribution, mm)}}
	list := func(what string, n int, line func(i int) string) {
		for i := range min(n, toldPlaces) {
			rows = append(rows, []string{"  " + what, line(i)})
		}
		if n > toldPlaces {
			rows = append(rows, []string{"  " + what, text.More(n - toldPlaces)})
		}
	}
	at := func(v geom.Vec) string { return ", at " + spot(v.Scale(mm), p.Box.Scale(mm).Size().Len()) }
	list("thin", len(f.Thickness.Places), func(i int) string {
		t := f.Thickness.Places[i]
		return text.Thin(t, mm) + at(t.Centre)
	})
	list("gap", len(f.Gaps.Places), func(i int) string {
		g := f.Gaps.Places[i]
		return text.Gap(g, mm) + at(g.Centre)
	})
	list("bore", len(f.Bores), func(i int) string { return text.Bore(f.Bores[i], mm) + at(f.Bores[i].Centre) })
	list("peg", len(f.Pegs), func(i int) string { return text.Peg(f.Pegs[i], mm) + at(f.Pegs[i].Centre) })
	if f.Facets.Chords.Known() {
		rows = append(rows, []string{"  facets", text.Chords(f.Facets, mm)})
	}
	faults := text.Health(f.Health)
	list("fault", len(faults), func(i int) string { return faults[i] })
	name := m.path
	if len(m.file.Parts()) > 1 {
		name += " · " + p.Name
	}
	if _, err := fmt.Fprintln(s.out, name); err != nil {
		return err
	}
	return printTable(s.out, rows)
}
