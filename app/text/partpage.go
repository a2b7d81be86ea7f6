package text

import (
	"math"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/units"
)

// Words of a part's page.
const (
	PartPage      = "Part details"
	LabelFileUnit = "Unit"
	LabelUpAxis   = "Up"
	LabelTurn     = "Turn"
	LabelScope    = "Applies to"

	TurnTowards = "towards you"
	TurnRight   = "to the right"
	TurnRound   = "round"
	TurnBack    = "As in the file"

	TurnTowardsTip = "A quarter turn that tips the top towards you, seen from the front"
	TurnRightTip   = "A quarter turn that tips the top to the right, seen from the front"
	TurnRoundTip   = "A quarter turn about the vertical, counter-clockwise seen from above"
	TurnBackTip    = "Let it stand as its file says"
	FileUnitTip    = "What one unit of the file's numbers is; a unit holds for all parts of a file"
	UpAxisTip      = "Which direction of the file points up"
	ScopeTip       = "Whether unit, up and turns are changed for this part alone or for more"
	OtherUnitTip   = "How long one unit of the file is, such as 2.54 mm"

	PrevPart = "Previous part"
	NextPart = "Next part"

	CorrectUnit = "Correct it"
	KeepUnit    = "It is right"
	CorrectTip  = "Take the part in the unit that was suggested; its copy then fits the others"
	KeepTip     = "Set the suggestion aside"
	LabelTurned = "Save parts that were turned as they stand on the sheet"
	TurnedTip   = "Otherwise copies lie in their files as the sources do; lengths are the same either way"
)

// A Scope is for what unit and turns are changed.
type Scope uint8

// The scopes.
const (
	OnePart Scope = iota
	TickedParts
	WholeKit
)

// Scopes lists every scope.
func Scopes() []Scope { return []Scope{OnePart, TickedParts, WholeKit} }

// ScopeName names a scope.
func ScopeName(s Scope) string {
	switch s {
	case TickedParts:
		return "every ticked part"
	case WholeKit:
		return "the whole kit"
	}
	return "this part"
}

// Directions are the six that may point up, in the order of UpName.
func Directions() []geom.Axis {
	return []geom.Axis{geom.Z, geom.Y, geom.X, geom.Z, geom.Y, geom.X}
}

// UpName names direction i of Directions; those from the fourth on are reversed.
func UpName(i int) string {
	name := Axis(Directions()[i])
	if i >= len(Directions())/2 {
		return "−" + name
	}
	return "+" + name
}

// UpOf says which direction of its file points up in a part; -1 for a turn that has no such.
func UpOf(turn geom.Turn) int {
	for i, a := range Directions() {
		if turn[geom.Z] == int8(a+1) && i < 3 || turn[geom.Z] == -int8(a+1) && i >= 3 {
			return i
		}
	}
	return -1
}

// UnitChoice names a unit to choose: "inches".
func UnitChoice(u ratio.Unit) string { return unitWord(string(u)) }

// FileUnit is the choice of the unit that a file has: "as the file: millimetres (assumed)".
func FileUnit(u mesh.Unit) string {
	if u.Name == "" { // of a file that could not be read
		return None
	}
	s := "as the file: " + unitWord(u.Name)
	if !u.Declared {
		s += " (assumed)"
	}
	return s
}

// OtherUnit is the choice of a unit that is typed.
const OtherUnit = "another…"

// OtherUnitHint is what its empty field shows.
const OtherUnitHint = "2.54 mm"

// UnitOf says in what unit a part is read: "inches, corrected; the file has millimetres".
func UnitOf(p state.Part) string {
	unit := unitWord(p.Measured.Unit.Name)
	switch {
	case p.Unit.Known():
		return unit + ", corrected; the file has " + unitWord(p.FileUnit.Name)
	case p.FileUnit.Declared:
		return unit + ", as the file says"
	case p.UnitKept:
		return unit + ", as you said"
	}
	return unit + ", assumed: the file says none"
}

// UnitHint asks whether a unit is to be corrected: short, for the drawer.
func UnitHint(s units.Suggestion) string {
	out := "Likelier drawn in " + unitWord(s.Unit.Name) + " than as it is taken now, " + Probability(s.Weight)
	if len(s.Reasons) > 0 {
		out += ": " + unitReason(s.Reasons[0])
	}
	return out + ". Correct it?"
}

// UnitQuestion asks the same with all that speaks for it.
func UnitQuestion(part string, s units.Suggestion) (question, detail string) {
	return "Correct the unit of " + part + "?", UnitSuggestion(part, s) + " Its file is not changed; its copies come out ×" +
		trimZeros(significant(s.Factor, 6)) + " larger, so that the parts fit together."
}

// A MeasureRow is one line of a part's table of measures.
type MeasureRow struct {
	Name         string
	Drawn, Print string // before and after the factor
	Power        string // with which power of the factor it grows; empty: it stays
	Remark       string // the limit that goes with it, what it is for
	Below        bool   // it is beyond that limit
	Bore         int    // which of the part's bores it is, from 1 on; 0: none
}

// MeasureHead are the titles of the table's columns.
func MeasureHead() [5]string {
	return [5]string{"Measure", "As drawn", "Print", "Grows with", "Limit, or what it is for"}
}

// MeasureTip is a line in full.
func MeasureTip(r MeasureRow) string {
	s := r.Name + ": " + r.Drawn
	if r.Print != r.Drawn && r.Print != None {
		s += " as drawn, " + r.Print + " in print"
	}
	return join(s, "; ", r.Remark)
}

// Measures is all that is known of a part, before and after the factor.
func Measures(p state.Part, v state.View) []MeasureRow {
	f, inches := v.Result.Factor.Float(), v.Sheet.Inches
	grows := func(name string, power int, value float64, write func(float64) string) MeasureRow {
		return growing(name, power, value, f, write)
	}
	if p.State != state.Measured {
		return nil
	}
	length := func(mm float64) string { return Length(mm, inches) }
	var rows []MeasureRow
	for _, side := range sides(v.PartsUp) {
		rows = append(rows, grows(side.name+", "+Axis(side.axis), 1, p.Drawn[side.axis], length))
	}
	mm := p.Measured.Unit.MM
	if p.Measured.Surface {
		rows = append(rows, grows("Area", 2, p.Measured.Area*mm*mm, Area))
		if p.Topology != nil && p.Topology.Closed {
			rows = append(rows, grows("Volume", 3, math.Abs(p.Measured.Volume)*mm*mm*mm, Volume))
		} else {
			rows = append(rows, same("Volume", None))
		}
	}
	if !p.Box.Empty() {
		for _, end := range []struct {
			name string
			at   geom.Vec
		}{{"Least x, y, z", p.Box.Min}, {"Most x, y, z", p.Box.Max}} {
			r := MeasureRow{Name: end.name, Drawn: corner(end.at, inches), Print: None, Power: "factor"}
			if f > 0 {
				r.Print = corner(end.at.Scale(f), inches)
			}
			rows = append(rows, r)
		}
	}
	rows = append(rows, same("Triangles", Number(p.Measured.Triangles)))
	if d := p.Measured.Degenerate; d > 0 {
		rows = append(rows, same("Triangles without area", Number(d)))
	}
	if t := p.Topology; t != nil {
		rows = append(rows, same("Surface", Topology(t)), same("Shells", Number(t.Shells)))
		for _, e := range []struct {
			name string
			n    int
		}{{"Open edges", t.OpenEdges}, {"Edges with more than two triangles", t.CrowdedEdges}, {"Edges where triangles face both ways", t.FlippedEdges}} {
			if e.n > 0 {
				rows = append(rows, same(e.name, Number(e.n)))
			}
		}
	}
	rows = append(rows, bedRow(p, v))
	return append(rows, surveyRows(p, v)...)
}

func same(name, value string) MeasureRow { return MeasureRow{Name: name, Drawn: value, Print: value} }

// growing is a measure that goes with a power of the factor f.
func growing(name string, power int, value, f float64, write func(float64) string) MeasureRow {
	r := MeasureRow{Name: name, Drawn: write(value), Print: None, Power: []string{"", "factor", "factor²", "factor³"}[power]}
	if f > 0 {
		r.Print = write(value * math.Pow(f, float64(power)))
	}
	return r
}

// bedRow says whether the part fits the bed at the factor.
func bedRow(p state.Part, v state.View) MeasureRow {
	r := MeasureRow{Name: "On the bed", Drawn: None, Print: None}
	if v.Bed.Known() {
		if f := v.Result.Factor.Float(); f > 0 {
			r.Remark = Fit(p, v.Sheet.Inches)
		}
	}
	return r
}

// A side is an extent of a part by its name.
type side struct {
	name string
	axis geom.Axis
}

// sides are the extents in axes in which up points up, as they are called on the sheet.
func sides(up geom.Axis) []side {
	turn := kit.Raise(up, false).Inverse()
	return []side{{"Width", turn.Axis(geom.X)}, {"Depth", turn.Axis(geom.Y)}, {"Height", turn.Axis(geom.Z)}}
}

// corner is a point of the kit.
func corner(at geom.Vec, inches bool) string {
	return trimZeros(Bare(at[0], inches)) + ", " + trimZeros(Bare(at[1], inches)) + ", " + trimZeros(Bare(at[2], inches)) + nbsp + UnitName(inches)
}

// PartNotes are what is worth knowing of a part's file, a sentence each.
func PartNotes(p state.Part) []string {
	var out []string
	if p.Err != nil {
		out = append(out, Error(p.Err).String())
	}
	if p.LookErr != nil {
		out = append(out, Error(p.LookErr).String())
	}
	if p.Differs {
		out = append(out, Error(state.ErrDifferent).String())
	}
	for _, n := range p.Notes {
		out = append(out, Note(n))
	}
	return out
}

// UnitSay is what the page says in words of how a part is read and stands.
func UnitSay(p state.Part, v state.View) string {
	s := capital(UnitOf(p), false)
	switch {
	case p.Turn.Known() && v.KitTurn.Known():
		s += "; turned, and the whole kit, too"
	case p.Turn.Known():
		s += "; turned"
	case v.KitTurn.Known():
		s += "; the whole kit is turned"
	}
	return s + "."
}
