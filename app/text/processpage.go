package text

import (
	"fmt"
	"strconv"

	"scantling/engine/geom"
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

// FieldGroups are the numbers on the page of the process, in order.
func FieldGroups() []FieldGroup {
	return []FieldGroup{
		{"Walls and pins", []process.Field{process.WallSupported, process.WallFree, process.Pin}},
		{"Gaps and holes", []process.Field{process.Gap, process.Hole}},
		{"Fine lines", []process.Field{process.EngravedWidth, process.EngravedDepth, process.RaisedWidth, process.RaisedHeight}},
		{"Fits", []process.Field{process.Tight, process.Loose}},
		{"Machine", []process.Field{process.Layer, process.Finest, process.Facet}},
		{"Inside and material", []process.Field{process.Skin, process.Infill, process.Density, process.Price}},
		{"Shrinkage, and what makes up for it", []process.Field{process.ShrinkageX, process.ShrinkageY, process.ShrinkageZ, process.CorrectionX, process.CorrectionY, process.CorrectionZ}},
	}
}

// ProcessNumber writes a number of a process as it is typed.
func ProcessNumber(f process.Field, v float64) string {
	if v == 0 && corrects(f) {
		v = 1
	}
	return strconv.FormatFloat(v, 'g', 6, 64)
}

func corrects(f process.Field) bool {
	return f == process.CorrectionX || f == process.CorrectionY || f == process.CorrectionZ
}

// What stands with the correction of copies.
const (
	LabelCorrected  = "Correct copies for this printer"
	CorrectedTip    = "Multiply what is saved by the numbers below, besides the factor. Off, copies have the factor alone. The sizes that are shown are those of the finished print, so they stay as they are."
	FromShrinkage   = "From the shrinkage"
	FromShrinkTip   = "Reckon the three numbers from the shrinkage: what comes out shorter by s is made 1/(1 − s) as long"
	CorrectionOff   = "No correction is known. A step gauge tells what your printer does: print it, measure it, and the numbers follow."
	correctionAlike = "×%s on all axes"
)

// Correction says what a correction does to saved copies: "×1.004 along x, ×1.004 along y,
// ×1.002 along z", or one number where all are alike.
func Correction(by geom.Vec) string {
	n := func(v float64) string { return ProcessNumber(process.CorrectionX, v) }
	if by[0] == by[1] && by[1] == by[2] {
		return fmt.Sprintf(correctionAlike, n(by[0]))
	}
	return fmt.Sprintf("×%s along x, ×%s along y, ×%s along z", n(by[0]), n(by[1]), n(by[2]))
}

// CorrectCopies is the choice beside a save, and what it means.
func CorrectCopies(c process.Correction) (label, tip string) {
	if !c.Corrects() {
		return LabelCorrected, CorrectionOff
	}
	c.On = true
	tip = "Besides the factor, what is saved is multiplied by " + Correction(c.Whole()) + ". " + CorrectionMeans(c)
	return LabelCorrected + ": " + Correction(c.Whole()), tip
}

// CorrectionMeans says what a correction that is on means for the maker.
func CorrectionMeans(c process.Correction) string {
	s := "Such copies are for this material only."
	if c.Distorts() {
		s = "Such copies are for this printer only, printed as they lie."
	}
	return s + " The factor and the sizes shown stay as they are."
}

// corrected adds that a copy was corrected.
func corrected(by geom.Vec) string {
	if by == (geom.Vec{}) || by == (geom.Vec{1, 1, 1}) {
		return ""
	}
	return ", corrected for the printer (" + Correction(by) + ")"
}

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

// orderWords says of a limit that is less than the one it goes with, which that is.
func orderWords(f process.Field, plain Message) Message {
	switch f {
	case process.WallFree:
		return Message{What: "a wall that stands free needs at least as much as one that is held", Remedy: "type the same or more, or make the other one less"}
	case process.Loose:
		return Message{What: "an easy fit needs at least the room of a tight one", Remedy: "type the same or more, or make the other one less"}
	}
	return plain
}

// NumberFrom says where a number of a process comes from: from the source of what it is based
// on while it is as it was there, and from the maker otherwise.
func NumberFrom(f process.Field, now, base process.Process, s process.Source, known bool) string {
	v, was := *now.Number(f), *base.Number(f)
	switch {
	case known && v != was:
		return "yours; it was " + ProcessNumber(f, was)
	case SourceLine(s) != "":
		return SourceLine(s)
	case corrects(f) && (v == 0 || v == 1):
		return "nothing is corrected"
	case v == 0 && (f == process.ShrinkageX || f == process.ShrinkageY || f == process.ShrinkageZ):
		return "none is known"
	case v == 0 && f == process.Price:
		return "not known: no cost is reckoned"
	case v == 0 && f != process.Skin && f != process.Infill:
		return "no limit"
	}
	return "your own number"
}
