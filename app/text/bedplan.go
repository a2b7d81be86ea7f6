package text

import (
	"strings"

	"scantling/app/state"
)

// Words of the page of beds.
const (
	BedsPage       = "Beds"
	BedsIntro      = "The ticked parts, as often as each is printed, laid on as few beds as were found. Each is turned to take least room, or as the way by bed allows."
	BedsPlanTip    = "The bed from above, its front at the bottom. The dashed line is what margin and brim leave. Press a part to find it in the list."
	BedBefore      = "‹"
	BedBeforeTip   = "Show the bed before"
	BedAfter       = "›"
	BedAfterTip    = "Show the next bed"
	SaveBedsAs3MF  = "Save as 3MF"
	SaveBedsAsSTL  = "Save as STL"
	SaveBedsTip    = "Save one file for each bed, with everything on it where it lies"
	SaveAsOne      = "Kit as one 3MF…"
	SaveAsOneTip   = "Save all ticked parts in one 3MF file, once each, as they are assembled"
	BedsFront      = "front"
	PackagesChosen = "3MF files"
)

// BedOf numbers a bed: "Bed 2 of 3".
func BedOf(bed, of int) string { return "Bed " + Number(bed) + " of " + Number(of) }

// Degrees is an angle to a tenth: "12.5°", "90°".
func Degrees(angle float64) string { return trimZeros(fixed(angle, 1)) + "°" }

// BedPlanFoot says under the plan how large the bed is, and what is kept free.
func BedPlanFoot(p *state.BedPlan, inches bool) string {
	s := BedsFront + "  ·  " + BedSize(p.Bed, inches)
	if m := p.Bed.Margin; m > 0 {
		s += "  ·  margin " + Length(m, inches)
	}
	return s + "  ·  gap " + Length(state.BedGap+2*p.Bed.Brim, inches)
}

// BedShown names the bed that is shown; empty while there is none.
func BedShown(p *state.BedPlan) string {
	if p == nil || len(p.Beds) == 0 {
		return ""
	}
	return BedOf(p.At+1, len(p.Beds))
}

// BedsSay is what there is to know of the beds: how many, what did not fit, what is waited for.
func BedsSay(p *state.BedPlan) (says string, warns bool) {
	switch {
	case p == nil:
		return "", false
	case p.Err != nil:
		return Error(p.Err).String(), true
	}
	parts := []string{BedCount(p.Layout) + "."}
	if len(p.Left) > 0 {
		few := p.Left
		more := ""
		if len(few) > 4 {
			few, more = few[:4], " and "+Number(len(p.Left)-4)+" more"
		}
		parts = append(parts, "Not on any bed: "+strings.Join(few, ", ")+more+". Take a smaller target, a larger bed, or let parts be turned more.")
	}
	if p.Layout.Unplaced > 0 {
		parts = append(parts, Count(p.Layout.Unplaced, "piece is", "pieces are")+" too many to be laid out and only counted.")
	}
	if p.Waiting > 0 {
		parts = append(parts, "How "+Parts(p.Waiting)+" can be turned is still being worked out.")
	}
	return strings.Join(parts, " "), len(p.Left)+p.Layout.Unplaced > 0
}

// BedHeads are the heads of the list of what lies on a bed.
func BedHeads(inches bool) (number, name, takes string) {
	return "No.", "part", "footprint, " + UnitName(inches)
}

// BedLine is a piece in the list of what lies on a bed: number, name, what it takes.
func BedLine(i int, p state.BedPiece, inches bool) (number, name, takes string) {
	name = p.Name
	if p.Of > 1 {
		name += "  " + Number(p.Piece+1) + " of " + Number(p.Of)
	}
	return Number(i + 1), name, Bare(p.Size[0], inches) + " × " + Bare(p.Size[1], inches)
}
