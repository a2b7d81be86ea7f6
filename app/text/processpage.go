package text

import (
	"strconv"

	"scantling/engine/process"
)

// What stands on the page of the process.
const (
	ProcessPage     = "Printed by…"
	ProcessTip      = "Choose how the kit is printed: one of the usual ways, or one that you saved"
	LabelProcess    = "Process"
	LabelMaterial   = "Material"
	LabelMoney      = "Money"
	MaterialTip     = "Take the density and the shrinkage of a usual material; a data sheet of what you have is better"
	MoneyTip        = "What your price is counted in, such as € or kr"
	AsItWas         = "As it was"
	AsItWasTip      = "Take back all numbers of this process as they were before you changed them"
	SaveProcess     = "Save as…"
	SaveProcessTip  = "Keep these numbers under a name of your own, for other kits and for the command"
	SaveProcessName = "Save the process as"
	ForgetProcess   = "Forget"
	ForgetProcTip   = "Remove this process of your own from the list; the kit keeps its numbers"
	ProcessIntro    = "All lengths are millimetres of the print. 0 is no limit: nothing is judged by it. What you change is judged at once."
)

// A FieldGroup is numbers of a process that belong together, under a title.
type FieldGroup struct {
	Title  string
	Fields []process.Field
}

// FieldGroups are the numbers on the page of the process, in order. Shrinkage has its place
// with the correction of copies.
func FieldGroups() []FieldGroup {
	return []FieldGroup{
		{"Walls and pins", []process.Field{process.WallSupported, process.WallFree, process.Pin}},
		{"Gaps and holes", []process.Field{process.Gap, process.Hole}},
		{"Fine lines", []process.Field{process.EngravedWidth, process.EngravedDepth, process.RaisedWidth, process.RaisedHeight}},
		{"Fits", []process.Field{process.Tight, process.Loose}},
		{"Machine", []process.Field{process.Layer, process.Finest, process.Facet}},
		{"Inside and material", []process.Field{process.Skin, process.Infill, process.Density, process.Price}},
	}
}

// ProcessNumber writes a number of a process as it is typed.
func ProcessNumber(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// ProcessShown is what a process is called, and says when its numbers are no longer those that
// are kept under the name.
func ProcessShown(p process.Process, changed bool) string {
	if changed {
		return ProcessName(p.Name) + " (changed)"
	}
	return ProcessName(p.Name)
}

// SourceLine says where a number comes from; empty for nothing.
func SourceLine(s process.Source) string {
	if s.Text == "" {
		return ""
	}
	return s.Text + ", " + Backing(s.Status)
}

// NumberFrom says where a number of a process comes from: from the source of what it is based
// on while it is as it was there, and from the maker otherwise.
func NumberFrom(f process.Field, now, base process.Process, s process.Source, known bool) string {
	v, was := *now.Number(f), *base.Number(f)
	switch {
	case known && v != was:
		return "yours; it was " + ProcessNumber(was)
	case SourceLine(s) != "":
		return SourceLine(s)
	case v == 0 && f == process.Price:
		return "not known: no cost is reckoned"
	case v == 0 && f != process.Skin && f != process.Infill:
		return "no limit"
	}
	return "your own number"
}
