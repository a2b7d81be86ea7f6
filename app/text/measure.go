package text

import (
	"scantling/app/state"
	"scantling/engine/ways"
)

// Labels and tips of what lies under the sheet while it measures.
const (
	LabelStraight = "Straight"
	LabelAcross   = "Across"
	LabelUp       = "Up"
	StraightTip   = "Measure straight from point to point, as the sheet shows it"
	AcrossTip     = "Measure only across; Shift does it for one measure"
	UpTip         = "Measure only up and down; Shift does it for one measure"
)

// MeasureLines are the lengths of a measure, each with what it is the length of, what is
// printed first: "36.5 mm print", "155.3 ± 0.4 mm drawn", "1.75 m real".
func MeasureLines(v state.View, m state.Measure) []string {
	drawn, inches := m.Points.Len(), v.Sheet.Inches
	var lines []string
	if f := v.Result.Factor.Float(); f > 0 {
		lines = append(lines, withPlus(drawn*f, m.SD*f, inches)+" print")
	}
	lines = append(lines, withPlus(drawn, m.SD, inches)+" drawn")
	if real, ok := RealOf(v, drawn); ok {
		lines = append(lines, Real(real, inches)+" real")
	}
	return lines
}

// RealOf is how long a drawn length is in reality, in millimetres, at the ratio that the
// sheet is drawn at.
func RealOf(v state.View, drawn float64) (mm float64, ok bool) {
	f, target := v.Result.Factor.Float(), v.Ratio().Float()
	if !(f > 0 && target > 0) {
		return 0, false
	}
	return drawn * f / target, true
}

// withPlus is a length with twice its standard uncertainty, which holds it with 95 %, where
// that can be seen in its digits.
func withPlus(mm, sd float64, inches bool) string {
	plus, unit := 2*sd, 1.0
	if inches {
		unit = mmPerInch
	}
	if !(plus > mm*1e-4) {
		return Length(mm, inches)
	}
	digits := plusDigits(plus / unit)
	return grouped(fixed(mm/unit, digits)) + nbsp + "±" + nbsp + fixed(plus/unit, digits) + nbsp + UnitName(inches)
}

// SnapName says what an end of a measure lies on.
func SnapName(s state.Snap) string {
	switch s {
	case state.OnVertex:
		return "a corner"
	case state.OnExtreme:
		return "an outermost point"
	case state.OnCentre:
		return "the middle of a round edge"
	}
	return "a free point"
}

// AlongName says which way a measure is taken.
func AlongName(d ways.Direction) string {
	switch d {
	case ways.Free:
		return "straight"
	}
	return "along " + string(d)
}

// MeasureSays is what the bar under the sheet says while it measures: what to do, what the
// pointer holds, or what was measured from where to where.
func MeasureSays(v state.View, aim state.MeasurePoint, aims bool) string {
	m := v.Measure
	on := func(p state.MeasurePoint) string {
		for _, part := range v.Parts {
			if part.ID == p.Part {
				return " of " + part.Name
			}
		}
		return ""
	}
	from := func(to state.MeasurePoint) string {
		s := "From " + SnapName(m.Ends[0].Snap)
		if m.Ends[0].Part != to.Part { // else the part is named once
			s += on(m.Ends[0])
		}
		return s + " to " + SnapName(to.Snap) + on(to)
	}
	switch {
	case m.Known():
		return from(m.Ends[1]) + ", " + AlongName(m.Points.Along)
	case m.Begun && aims:
		return from(aim)
	case m.Begun:
		return "From " + SnapName(m.Ends[0].Snap) + on(m.Ends[0]) + ". Click the other end; Shift holds to an axis."
	case aims && aim.Snap != state.FreePoint:
		return "From " + SnapName(aim.Snap) + on(aim)
	}
	return "Click the first point. Corners, outermost points and middles of round edges hold the pointer."
}
