package text

import "scantling/app/state"

// A LegendLine is what one pattern of thickness stands for; Class -1 is a remark.
type LegendLine struct {
	Class int
	Text  string
}

// ThicknessLegend explains the shading of the sheet by thickness, in the print.
func ThicknessLegend(v state.View) (title string, lines []LegendLine) {
	title = "Thickness in print"
	if !(v.Result.Factor.Float() > 0) {
		return title, []LegendLine{{-1, "There is no factor yet."}}
	}
	b := v.ThicknessBounds()
	inches := v.Sheet.Inches
	says := [3]string{"does not come out", "walls held at two sides", "walls, but no pins"}
	before := 0.0
	for class, bound := range b {
		if !(bound > before) {
			continue // a limit that the process does not have
		}
		span := "under " + Length(bound, inches)
		if before > 0 {
			span = Bare(before, inches) + " to " + Length(bound, inches)
		}
		lines = append(lines, LegendLine{class, span + ": " + says[class]})
		before = bound
	}
	if before > 0 {
		lines = append(lines, LegendLine{len(b), Length(before, inches) + " and more"})
	} else {
		lines = append(lines, LegendLine{-1, "The process has no limits."})
	}
	if n := v.Unshaded(); n > 0 {
		lines = append(lines, LegendLine{-1, Parts(n) + " still to be measured"})
	}
	return title, lines
}
