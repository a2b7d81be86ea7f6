package text

import (
	"scantling/app/state"
	"scantling/engine/figure"
)

// Labels and tips of what lies under the sheet while the kit is scaled by eye.
const (
	LabelTargetByEye = "Stand-in at"
	PoseTip          = "How the stand-in holds itself"
	WhoTip           = "Whose mean stature and breadths the stand-in has"
	StatureTip       = "Another stature, 5 ft 9 in or 1.75 m say; empty is the mean of whom it stands for"
	OrderTip         = "Whether the stand-in is drawn behind the kit or in front of it, or of the selected part"
	LabelFaceOther   = "Turn"
	FaceOtherTip     = "Let the stand-in face the other way, seen from the side"
	LabelOffSheet    = "✕"
	OffSheetTip      = "Take this stand-in off the sheet"
)

// ByEyeLines are the factor, and what the native ratio would be, beside the corner that is
// dragged: "×0.2774", "native would be 1:17.3".
func ByEyeLines(v state.View) []string {
	if !v.Result.Factor.Known() {
		return nil
	}
	lines := []string{Factor(v.Result.Factor)}
	if r := v.WouldBe(); r.Known() {
		lines = append(lines, "native would be "+Ratio(r))
	}
	return lines
}

// ByEyeSays is what the bar under the sheet says while the kit is scaled by eye.
func ByEyeSays(v state.View, sticks bool) string {
	switch r := v.WouldBe(); {
	case !v.Ratio().Known():
		return "Type the ratio of the print: the stand-in needs it."
	case !v.Result.Factor.Known(), !r.Known():
		return "Drag a corner until the kit looks right."
	case sticks:
		return Ratio(r) + " is a standard ratio. Go on to leave it."
	default:
		return "Drag a corner, or move a part to the stand-in."
	}
}

// MovedNote says on the sheet how many parts are not where they belong; empty for none.
func MovedNote(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "1 part moved for viewing only"
	}
	return Number(n) + " parts moved for viewing only"
}

// PoseName names how a stand-in holds itself.
func PoseName(p figure.Pose) string {
	switch p {
	case figure.Stands, "":
		return "standing"
	case figure.Sits:
		return "seated"
	case figure.Reaches:
		return "reaching"
	}
	return string(p)
}

// OrderName says what a stand-in is drawn over; part is the name of the selected part.
func OrderName(o state.Order, part string) string {
	switch o {
	case state.OverAll:
		return "in front of the kit"
	case state.OverPart:
		return "in front of " + part
	}
	return "behind the kit"
}

// StandInName says whom a stand-in stands for.
func StandInName(p figure.Population) string {
	switch p {
	case figure.Men:
		return "man, soldier"
	case figure.Women:
		return "woman, soldier"
	case figure.Adults:
		return "adult, soldier"
	case figure.USMen:
		return "man, US"
	case figure.USWomen:
		return "woman, US"
	case figure.GermanMen:
		return "man, Germany"
	case figure.GermanWomen:
		return "woman, Germany"
	}
	return string(p)
}

// StatureHint is what the empty field of a stature shows: the mean of whom it stands for.
func StatureHint(p figure.Population, inches bool) string {
	v, _ := p.Measure(figure.Stature)
	return Real(v.Mean, inches)
}
