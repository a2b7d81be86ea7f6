package text

import (
	"fmt"
	"strings"

	"scantling/app/state"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
	"scantling/engine/ratio"
)

// MannequinTag is written into the file of a printed figure.
func MannequinTag(r ratio.Ratio) string { return "figure at " + r.String() + ", do not scale" }

// limbName names a limb, and says whether it is more than one.
func limbName(l mannequin.Limb) (name string, many bool) {
	switch l {
	case mannequin.Arms:
		return "arms", true
	case mannequin.Hands:
		return "hands", true
	case mannequin.Legs:
		return "legs", true
	case mannequin.Feet:
		return "feet", true
	case mannequin.Neck:
		return "neck", false
	}
	return "", false
}

// MannequinNotes says where a figure to print departs from true scale, and what it has been left
// without. Most of it is worth a look before it is printed.
func MannequinNotes(f mannequin.Figure, s mannequin.Spec) []string {
	var notes, thick []string
	most := 1.0
	for _, l := range mannequin.Limbs() {
		if by := f.Thicker[l]; by > 1.02 {
			if l == mannequin.Arms || l == mannequin.Legs {
				most = max(most, by)
			}
			name, _ := limbName(l)
			thick = append(thick, fmt.Sprintf("%s %.1f×", name, by))
		}
	}
	switch {
	case len(thick) > 0:
		notes = append(notes, fmt.Sprintf("Thicker than true where thinnest, so that it prints and stands: %s. But for edges, and where limbs meet, no limb is under %s"+nbsp+"mm.",
			strings.Join(thick, ", "), ProcessNumber("", s.Limits.Pin)))
	case s.Limits.Pin == 0:
		notes = append(notes, "True to scale: the process has no limit for pins, so nothing was thickened. Thin limbs may not come out.")
	default:
		notes = append(notes, "True to scale: no limb is thinner than the process makes, but for edges, and where limbs meet.")
	}
	if most > 2.5 {
		notes = append(notes, "So much of it is thickened that it is no likeness: good to show how tall a person is there, as a marker on a deck or a platform. A larger ratio or a finer process shows more.")
	}
	if f.Child > 0 {
		notes = append(notes, fmt.Sprintf("Built as a child of %.0f years; a child's proportions are from memory.", f.Child))
	} else if f.Stature < 1409 {
		notes = append(notes, "Shorter than any adult that the tables measured, with an adult's proportions.")
	}
	switch {
	case s.NoBase:
		notes = append(notes, "Without a base: it may not stand by itself.")
	case f.Label == "" && f.LabelSize[0] > 0:
		notes = append(notes, fmt.Sprintf("The base has no ratio on it: figures large enough to print would be %s wide, and there is room for %s.",
			Length(f.LabelSize[0], false), Length(max(f.LabelRoom, 0), false)))
	case f.Label == "":
		notes = append(notes, "The base has no ratio on it: there are no raised figures for this one.")
	default:
		notes = append(notes, fmt.Sprintf("The base carries %s in raised figures, %s high.", f.Label, Length(f.LabelSize[1], false)))
	}
	if s.Pose == figure.Reaches {
		notes = append(notes, "The arm held forward needs support while it is printed.")
	}
	return notes
}

// Words of the page of the figure to print.
const (
	PrintedPage    = "Figure to print"
	PrintedIntro   = "A person in one closed piece, by published proportions, saved at its size in print: do not scale it again."
	LabelPrintedAt = "Ratio"
	PrintedAtTip   = "The ratio that the figure is printed at: 1:48, H0; nothing for the target"
	LabelTall      = "Person"
	PrintedTip     = "How tall the real person is, from 0.9 m to 2.2 m: 1.75 m, 5 ft 9 in; or whom it stands for: man, woman, girl of 8"
	LabelHolds     = "Posture"
	LabelBase      = "On a base, with the ratio where it fits"
	LabelSeat      = "With a block to sit on"
	SavePrintedSTL = "Save as STL…"
	SavePrinted3MF = "Save as 3MF…"
	SavePrintTip   = "Save the figure in a file of its own, at its size in print"
	PrintedMaking  = "The figure is being made…"
	PrintedStopped = "Stopped: nothing was made."
	PrintedAgain   = "Make it"
	PrintedIsSaved = "Saving…"
	PrintedFile    = "figure"
	FirstPerson    = "1.75 m" // that of the usual stand-in
	PrintedChosen  = "Figures"
	PrintedCare    = "Small figures break and can be swallowed: keep them from small children."
)

// PrintedViews names what the drawing of a figure shows it from.
func PrintedViews() []string { return []string{"from the front", "from its left", "from above"} }

// PrintedAtHint is the ratio that holds where none is typed.
func PrintedAtHint(v state.View) string {
	if !v.Result.Target.Known() {
		return "1:48"
	}
	return Ratio(v.Result.Target) + ", the target"
}

// PrintedFault says what is wrong with a field of the page; nothing where nothing is.
func PrintedFault(err error) string {
	if err == nil {
		return ""
	}
	return Error(err).String()
}

// PrintedSays says what the figure is: its ratio, its process and its size.
func PrintedSays(p state.Printed, v state.View) string {
	if p.Made.Mesh == nil {
		return ""
	}
	in, f := v.Sheet.Inches, p.Made
	tall := Length(f.Landmarks[figure.Crown]*p.Spec.Ratio.Float(), in) + " from soles to crown"
	if p.Spec.Pose == figure.Sits {
		tall += ", sitting"
	}
	return fmt.Sprintf("%s, for %s: %s; the whole print is %s, of %s.", Ratio(p.Spec.Ratio), ProcessName(p.Process), tall, Size(f.Size, in),
		Count(f.Mesh.Len(), "triangle", "triangles"))
}

// PrintedSaved says where it was saved; empty for nowhere.
func PrintedSaved(p state.Printed) string {
	switch {
	case p.IsSaving:
		return PrintedIsSaved
	case p.SaveErr != nil:
		return "Not saved: " + Error(p.SaveErr).String()
	case p.Saved != "":
		return "Saved: " + p.Saved
	}
	return ""
}
