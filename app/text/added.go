package text

import (
	"scantling/app/state"
	"scantling/engine/units"
)

// Words about parts that lie or stand unlike the rest, and about a factor that they change.
const (
	SeePart           = "Details…"
	SeePartTip        = "All about the part: its unit, how it stands, where it lies"
	KeepPlaceTip      = "It lies and stands as it should; say no more of it"
	TurnIt            = "Turn it"
	TurnItTip         = "Let that axis of its file point up; the file is not changed"
	KeepSaved         = "Keep the old"
	KeepSavedTip      = "Put the factor in force that the kit was saved with, so that new copies fit those that were made"
	TakeNew           = "Take the new"
	TakeNewTip        = "Leave the factor as it is now"
	ShiftName         = "Factor"
	AsksPlace    Asks = "place"  // whether the part lies rightly
	AsksUp       Asks = "up"     // whether it is to be turned
	AsksShift    Asks = "factor" // whether the factor is to stay what it was
)

// StrayHint says in what a part's place is unlike that of the rest.
func StrayHint(s units.Stray, inches bool) string {
	switch s.Oddity {
	case units.OtherUp:
		up := Axis(s.Better.Up)
		if s.Better.Reversed {
			up = "−" + up
		}
		return "Stands apart from the others, and would lie among them with the file's " + up + " up. Turn it?"
	case units.Alone:
		return "Its file alone has another axis up than the others; it was turned to stand as they do."
	}
	return "Lies " + Length(s.Gap, inches) + " away from all other parts, as drawn; they are " + Length(s.Size, inches) +
		" across. Its coordinates may be those of another assembly, or its unit another one."
}

// ShiftHint says that the factor changed with the parts.
func ShiftHint(s state.Shift) string {
	return "It was ×" + significant(s.Saved.Float(), 6) + " when the kit was saved; with the parts as they are now the same way gives ×" +
		significant(s.Now.Float(), 6) + ". Copies made before and copies made now would not fit together."
}

// tellAdded tells of parts that lie or stand unlike the rest, and of a factor that they changed.
func tellAdded(v state.View, add func(Finding)) {
	if v.Shift.Saved.Known() {
		add(Finding{Mark: Warns, Name: ShiftName, Says: ShiftHint(v.Shift), Asks: AsksShift, Index: -1})
	}
	for _, s := range v.Strays {
		f := Finding{Mark: Noted, Name: partOf(v, s.Part).Name, Says: StrayHint(s, v.Sheet.Inches), Part: s.Part, Asks: AsksPlace, Index: -1}
		if s.Oddity == units.OtherUp {
			f.Asks = AsksUp
		}
		add(f)
	}
}

// addedAnswers are the buttons of those lines; false for others.
func addedAnswers(a Asks) ([2][2]string, bool) {
	switch a {
	case AsksPlace:
		return [2][2]string{{SeePart, SeePartTip}, {KeepUnit, KeepPlaceTip}}, true
	case AsksUp:
		return [2][2]string{{TurnIt, TurnItTip}, {KeepUnit, KeepPlaceTip}}, true
	case AsksShift:
		return [2][2]string{{KeepSaved, KeepSavedTip}, {TakeNew, TakeNewTip}}, true
	}
	return [2][2]string{}, false
}
