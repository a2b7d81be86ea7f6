package text

import "scantling/engine/survey"

// StandsIn says how one part stands in another, by their names; lengths are in millimetres:
// "mast in socket: 0.40 mm of room across, 15.0 mm deep".
func StandsIn(f survey.Fit, inner, outer string) string {
	s := inner + " in " + outer + ": "
	if f.Clearance < 0 {
		s += Length(-f.Clearance, false) + " too thick"
	} else {
		s += Length(f.Clearance, false) + " of room across"
	}
	if f.Length > 0 {
		s += ", " + Length(f.Length, false) + " deep"
	}
	return s
}

// Neighbours says how two parts lie to each other, by their names: "hull and rail, 0.75 mm
// apart".
func Neighbours(n survey.Neighbours, one, other string) string {
	s := one + " and " + other
	switch {
	case n.Relation == survey.Apart:
		s += ", " + Length(n.Distance, false) + " apart"
	case n.Depth > 0:
		s += ", about " + Length(n.Depth, false) + " deep"
	}
	if !n.Complete {
		s += " (the search was cut short)"
	}
	return s
}
