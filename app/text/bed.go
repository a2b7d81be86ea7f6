package text

import (
	"math"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ways"
)

// Turning says how freely a part may be turned, and what that means.
func Turning(t judge.Turning) (name, hint string) {
	switch t {
	case judge.Yaw:
		return "turned on the plate", "Each part keeps its underside and is turned about the vertical until it fits best."
	case judge.Faces:
		return "laid on a flat side", "Each part may stand on any flat side on which it does not fall over, and is turned there."
	case judge.Free:
		return "tilted freely", "Each part may be tilted in any way; mind the supports that it then needs."
	}
	return "as it lies", "Each part stays as it lies in its file."
}

// TurningWords are what a part does when it may be turned like this: "when it is turned on the
// plate".
func TurningWords(t judge.Turning) string {
	name, _ := Turning(t)
	if t == judge.AsItLies {
		return name
	}
	return "when it is " + name
}

// BedSize is a bed in a few words: "220 × 220 × 250 mm", or with diameter and height "round
// 180 × 300 mm".
func BedSize(b judge.Bed, inches bool) string {
	if b.Round {
		return "round " + trimZeros(Bare(min(b.Size[0], b.Size[1]), inches)) + " × " + trimZeros(Bare(b.Size[2], inches)) + nbsp + UnitName(inches)
	}
	return Size(b.Size, inches)
}

// bedWhy is how the way by bed came to its factor.
func bedWhy(w ways.Way, r ways.Result, inches bool) string {
	s := "the bed's " + Length(r.Limit, inches) + " of " + bedSide(r.Along) + " limit " + named(r.Part) +
		", " + Length(r.Drawn, inches)
	if w.Bed.Round && r.Along != geom.Z {
		s = "the plate's " + Length(r.Limit, inches) + " of diameter limit " + named(r.Part) +
			", " + Length(r.Drawn, inches) + " across"
	}
	s += " as drawn"
	if w.Turn != judge.AsItLies && !r.Pending {
		s += " " + TurningWords(w.Turn)
	}
	if r.Pending {
		s += "; more may fit: how the parts fit when they are turned is being worked out"
	}
	return s + asRatio(r)
}

// Pose says how a part lies in its pose: "turned by 37.2° clockwise", "tilted by 54.1°".
func Pose(p judge.Pose) string {
	if !p.Turned() {
		return "as it lies"
	}
	tilt := math.Acos(max(-1, min(1, p.Turn[2][2])))
	const level = 1e-9 // radians: what rounding makes of no tilt at all
	switch turn := math.Atan2(p.Turn[1][0], p.Turn[0][0]); {
	case tilt >= level && math.Pi-tilt < level:
		return "turned upside down"
	case tilt >= level:
		return "tilted by " + degrees(tilt) + " from how it lies"
	case turn < 0:
		return "turned by " + degrees(-turn) + " clockwise, seen from above"
	default:
		return "turned by " + degrees(turn) + " counter-clockwise, seen from above"
	}
}

// degrees writes an angle in radians.
func degrees(a float64) string { return fixed(a*180/math.Pi, 1) + "°" }

// Largest says which standard ratio is the largest that fits the bed.
func Largest(rungs []judge.Rung, r judge.Reach) string {
	switch {
	case r.Largest >= 0:
		return rungName(rungs[r.Largest]) + " is the largest standard ratio that fits"
	case r.Next >= 0:
		return "none of the standard ratios fits"
	}
	return ""
}

// Next says what the next larger ratio would need: "at 1:35, hull is 60.0 mm too wide, to be
// cut into 2 pieces (2 × 1 × 1)". names are those of the parts that the reach counts.
func Next(rungs []judge.Rung, r judge.Reach, names []string, inches bool) string {
	if r.Next < 0 {
		return ""
	}
	const most = 3
	s := ""
	for i, n := range r.Needs {
		if i == most {
			s = join(s, "; ", "and "+Count(len(r.Needs)-most, "other part", "other parts"))
			break
		}
		s = join(s, "; ", names[n.Part]+" is "+TooLong(n.TooLong, inches)+", "+Pieces(n.Pieces))
	}
	return "at " + rungName(rungs[r.Next]) + ", " + s
}

// rungName is a ratio with its name: "1:87 (H0)".
func rungName(r judge.Rung) string {
	if r.Standard.Name == "" {
		return Ratio(r.Standard.Ratio)
	}
	return Ratio(r.Standard.Ratio) + " (" + r.Standard.Name + ")"
}

// TooLong says along which sides of the bed something is too long: "12.0 mm too wide".
func TooLong(excess geom.Vec, inches bool) string {
	s := ""
	for axis, word := range []string{"too wide", "too deep", "too high"} {
		if excess[axis] > 0 {
			s = join(s, ", ", Length(excess[axis], inches)+" "+word)
		}
	}
	if s == "" {
		return "too large"
	}
	return s
}

// Pieces says into how many pieces a part would have to be cut along its own axes.
func Pieces(n [3]int) string {
	switch all := n[0] * n[1] * n[2]; {
	case all == 0:
		return "to be cut into more pieces than anybody would"
	case all == 1:
		return "and fits in one piece when it is laid another way"
	default:
		return "to be cut into " + Count(all, "piece", "pieces") + " (" + Number(n[0]) + " × " + Number(n[1]) + " × " + Number(n[2]) + ")"
	}
}

// AtMost says how much better than the pose that was found any other could be; it is empty
// where the pose is the best.
func AtMost(f judge.Fit) string {
	if !(f.AtMost > f.Factor) || math.IsInf(f.AtMost, 1) {
		return ""
	}
	return "no pose is more than " + significant((f.AtMost/f.Factor-1)*100, 2) + nbsp + "% better"
}

// Views of a part in its pose.
const (
	PoseFront = "From the front"
	PoseTop   = "From above"
)

// PoseNotes are what stands beside a part in its pose: which it is, how it lies, and how it
// fits at the factor.
func PoseNotes(v state.View, p *state.Part) []string {
	switch {
	case v.Bed.Check() != nil:
		return []string{"There is no bed to show a pose on."}
	case p == nil:
		return []string{"Choose a part to see how it lies on the bed."}
	case p.Fit == nil && !p.Ticked:
		return []string{p.Name, "How it fits is worked out for ticked parts: tick it to see."}
	case p.Fit == nil && v.Bedding.Stopped:
		return []string{p.Name, "How it fits is not known: working it out was cancelled."}
	case p.Fit == nil:
		return []string{p.Name, "How it fits is being worked out."}
	}
	lines := []string{p.Name + ", " + Pose(p.Fit.Pose)}
	most := "it fits up to a factor of " + significant(p.Fit.Factor, 4)
	switch {
	case math.IsInf(p.Fit.Factor, 1):
		most = "it has no extent"
	case v.Result.Factor.Known() && p.Fits:
		most = "fits; " + most
	case v.Result.Factor.Known():
		most = TooLong(p.Excess, v.Sheet.Inches) + "; " + most
	}
	if better := AtMost(*p.Fit); better != "" {
		most += "; " + better
	}
	return append(lines, capital(most, false)+".", "The outline is that of the part's hull: hollows and holes do not show.")
}

// BedSays are the lines under the bed's fields: what limits, how far up the ladder the kit
// gets, and what stops it there.
func BedSays(v state.View) []string {
	b := v.Bedding
	var lines []string
	switch {
	case len(b.Parts) == 0 || v.Bed.Check() != nil:
		return nil
	case b.Stopped:
		lines = append(lines, "Working out how the parts fit was cancelled: choose again how they may be turned, and it goes on.")
	case b.Unknown > 0:
		lines = append(lines, "Being worked out: how "+Number(b.Unknown)+" of "+Parts(len(b.Parts))+" fit when they are turned.")
	}
	if part, ok := limiting(v); ok && !v.Result.Pending {
		s := "Limit: " + part.Name + ", " + Pose(part.Fit.Pose)
		if better := AtMost(*part.Fit); better != "" {
			s += "; " + better
		}
		lines = append(lines, s+".")
	}
	if b.Unknown > 0 {
		return lines
	}
	if s := Largest(v.Ladder, b.Reach); s != "" {
		lines = append(lines, capital(s, false)+".")
	}
	if s := Next(v.Ladder, b.Reach, b.Parts, v.Sheet.Inches); s != "" {
		lines = append(lines, capital(s, false)+".")
	}
	if b.Largest < 0 && b.Next < 0 {
		lines = append(lines, "The largest standard ratio that fits is known once the native ratio is.")
	}
	return lines
}

// limiting is the part that limits the kit on the bed.
func limiting(v state.View) (*state.Part, bool) {
	i := -1
	for at := range v.Parts {
		p := &v.Parts[at]
		if p.Ticked && p.Fit != nil && (i < 0 || p.Fit.Factor < v.Parts[i].Fit.Factor) {
			i = at
		}
	}
	if i < 0 || math.IsInf(v.Parts[i].Fit.Factor, 1) {
		return nil, false
	}
	return &v.Parts[i], true
}

// Labels and tooltips of the way by bed.
const (
	LabelPrinter     = "Printer"
	LabelOtherBed    = "another size"
	LabelRound       = "round plate"
	LabelTurning     = "May be"
	LabelSaveAs      = "Save as"
	LabelKeepPrinter = "Save"
	LabelPosed       = "In their pose on the bed"

	PrinterTip     = "Your own printers by name, and generic sizes; measure your own bed and save it under a name"
	ForgetTip      = "Forget this printer of your own; the bed stays as it is"
	RoundTip       = "The plate is a disc: the smaller of width and depth is its diameter"
	TurningTip     = "How each part may be turned so that it fits the bed"
	KeepPrinterTip = "Keep this bed under that name, for the window and the command"
	PosedTip       = "Turn each copy and put it down as it fits the bed; a file of several parts stays as it lies"
)

// would adds how a part that does not fit would.
func would(t judge.Turning) string {
	switch t {
	case judge.Yaw:
		return "; it would fit turned on the plate"
	case judge.Faces:
		return "; it would fit laid on a flat side"
	case judge.Free:
		return "; it would fit tilted"
	}
	return ""
}
