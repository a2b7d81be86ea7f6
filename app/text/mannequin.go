package text

import (
	"fmt"
	"strings"

	"scantling/app/state"
	"scantling/engine/figure"
	"scantling/engine/mannequin"
	"scantling/engine/mesh"
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
			most = max(most, by)
			name, _ := limbName(l)
			thick = append(thick, fmt.Sprintf("%s %.1f×", name, by))
		}
	}
	switch {
	case len(thick) > 0:
		notes = append(notes, fmt.Sprintf("Thicker than true where thinnest, so that it prints and stands: %s. But for the edges of the soles, no limb is under %s"+nbsp+"mm.",
			strings.Join(thick, ", "), ProcessNumber("", s.Limits.Pin)))
	case s.Limits.Pin == 0:
		notes = append(notes, "True to scale: the process has no limit for pins, so nothing was thickened. Thin limbs may not come out.")
	default:
		notes = append(notes, "True to scale: no limb is thinner than the process makes, but for the edges of the soles.")
	}
	if most > 3 {
		notes = append(notes, "So much of it is thickened that it is a marker more than a person: a larger ratio or a finer process shows more.")
	}
	if f.Child > 0 {
		notes = append(notes, fmt.Sprintf("Built as a child of %.0f years; a child's proportions are from memory.", f.Child))
	} else if f.Stature < 1409 {
		notes = append(notes, "Shorter than any adult that the tables measured, with an adult's proportions.")
	}
	switch {
	case s.NoBase:
		notes = append(notes, "Without a base: it may not stand by itself.")
	case f.Label == "":
		notes = append(notes, "The base has no ratio on it: its figures would be too small to print, or would not fit.")
	}
	if s.Pose == figure.Reaches {
		notes = append(notes, "The arm held forward needs support while it is printed.")
	}
	return notes
}

// Words of the page of the figure to print.
const (
	PrintedPage   = "Figure to print"
	PrintedIntro  = "A person at the target ratio, in one closed piece, by published proportions. It is saved at its size in print: do not scale it again."
	LabelTall     = "Stature"
	PrintedTip    = "How tall the real person is: 1.75 m, 5 ft 9 in; from 0.9 m to 2.2 m"
	LabelHolds    = "Posture"
	LabelBase     = "On a base, with the ratio on it where that is large enough to print"
	LabelSeat     = "With a block to sit on"
	SavePrinted   = "Save…"
	SavePrintTip  = "Save the figure as STL, or as 3MF where the name ends so"
	PrintedMaking = "The figure is being made…"
	PrintedFile   = "figure.stl"
	FirstStature  = "1.75 m" // that of the usual stand-in
	PrintedChosen = "Figures"
	PrintedCare   = "Small figures break and can be swallowed: keep them from small children."
)

// PrintedSays says what the figure is: its ratio, its process and its size.
func PrintedSays(p state.Printed, v state.View) string {
	if p.Made.Mesh == nil {
		return ""
	}
	size := mesh.MeasuresOf(p.Made.Mesh).Box.Size()
	return Ratio(p.Spec.Ratio) + ", for " + ProcessName(v.Judged.Process.Name) + ": " + Size(size, v.Sheet.Inches) + ", " +
		Count(p.Made.Mesh.Len(), "triangle", "triangles") + "."
}

// PrintedSaved says where it was saved; empty for nowhere.
func PrintedSaved(p state.Printed) string {
	if p.Saved == "" {
		return ""
	}
	return "Saved: " + p.Saved
}
