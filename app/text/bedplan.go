package text

import (
	"strings"

	"scantling/app/state"
	"scantling/engine/geom"
)

// Words of the beds on the sheet, and of saving them.
const (
	BedsPage       = "Beds"
	SaveBedsPage   = "Save the beds"
	SaveBedsIntro  = "One file for each bed, with everything on it where it lies on the sheet."
	SaveBedsAs3MF  = "Save as 3MF"
	SaveBedsAsSTL  = "Save as STL"
	SaveBedsTip    = "Save one file for each bed, with everything on it where it lies"
	SaveAsOne      = "Kit as one 3MF…"
	SaveAsOneTip   = "Save all ticked parts in one 3MF file, once each, as they are assembled"
	PackagesChosen = "3MF files"
)

// BedOf numbers a bed: "Bed 2 of 3".
func BedOf(bed, of int) string { return "Bed " + Number(bed) + " of " + Number(of) }

// Degrees is an angle to a tenth: "12.5°", "90°".
func Degrees(angle float64) string { return trimZeros(fixed(angle, 1)) + "°" }

// BedHead is what is written over a bed on the sheet, in no more letters than that if there is any
// way: which it is, how full, and what lies there.
func BedHead(p *state.BedPlan, bed int, inches bool, letters int) string {
	if bed >= len(p.Beds) {
		return BedLabel(p.Bed, inches)
	}
	on := p.Beds[bed]
	of := BedOf(bed+1, p.Layout.Beds)
	full := fixed(on.Full*100, 0) + nbsp + "% full"
	for _, s := range []string{
		of + "  ·  " + full + "  ·  " + Count(len(on.Pieces), "piece", "pieces"),
		of + "  ·  " + full,
		of,
	} {
		if len([]rune(s)) <= letters {
			return s
		}
	}
	return Number(bed + 1)
}

// PieceName names a piece of a part: "bollard  2 of 6".
func PieceName(p *state.BedPiece) string {
	if p.Of > 1 {
		return p.Name + "  " + Number(p.Piece+1) + " of " + Number(p.Of)
	}
	return p.Name
}

// BedsSay are the lines over the beds: first how many, then what is kept free, what did not fit and why, what
// is waited for.
func BedsSay(p *state.BedPlan, inches bool) []string {
	switch {
	case p == nil:
		return nil
	case p.Err != nil:
		return []string{Error(p.Err).String()}
	}
	free := Length(state.BedGap, inches) + " between parts"
	if p.Bed.Margin > 0 {
		free += "  ·  margin " + Length(p.Bed.Margin, inches)
	}
	if p.Bed.Brim > 0 {
		free += "  ·  brim " + Length(p.Bed.Brim, inches) + " around each"
	}
	says := []string{BedCount(p.Layout), free}
	if len(p.Large) > 0 {
		says = append(says, "Too large for any bed: "+fewOf(p.Large)+". Turn them more, or print smaller.")
	}
	if len(p.Grown) > 0 {
		says = append(says, "Too large for any bed once corrected for the printer: "+fewOf(p.Grown)+".")
	}
	if p.Correct != (geom.Vec{1, 1, 1}) {
		says = append(says, "Laid as large as copies are with the correction: "+Correction(p.Correct)+".")
	}
	if p.Layout.Unplaced > 0 {
		says = append(says, Count(p.Layout.Unplaced, "piece is", "pieces are")+" too many to be laid out and only counted.")
	}
	if p.Closer {
		says = append(says, "A closer layout is being looked for.")
	}
	if p.Waiting > 0 {
		says = append(says, "How "+Parts(p.Waiting)+" can be turned is still being worked out.")
	}
	return says
}

// fewOf names some of many.
func fewOf(names []string) string {
	if few := 4; len(names) > few+1 {
		return strings.Join(names[:few], ", ") + " and " + Number(len(names)-few) + " more"
	}
	return strings.Join(names, ", ")
}

// BedsSelected says where the pieces of the selected part lie and what each takes, or how to select
// one.
func BedsSelected(v state.View) string {
	if v.Beds == nil || len(v.Beds.Beds) == 0 {
		return ""
	}
	var one *state.BedPiece
	var on []string
	for i, bed := range v.Beds.Beds {
		for k := range bed.Pieces {
			if p := &bed.Pieces[k]; p.ID == v.Selected && v.Selected != "" {
				if one == nil {
					one = p
				}
				on = append(on, Number(i+1))
				break
			}
		}
	}
	if one == nil {
		return "Press a part to select it."
	}
	s := one.Name + ": " + Bare(one.Size[0], v.Sheet.Inches) + " × " + Length(one.Size[1], v.Sheet.Inches)
	if one.Of > 1 {
		s += ", " + Count(one.Of, "piece", "pieces")
	}
	if len(on) > 4 {
		return s + " on " + Count(len(on), "bed", "beds")
	}
	return s + " on bed " + strings.Join(on, ", ")
}

// SaveBedsSay names the files that saving makes, without their extension.
func SaveBedsSay(v state.View) string {
	n := 0
	if v.Beds != nil {
		n = len(v.Beds.Beds)
	}
	switch n {
	case 0:
		return ""
	case 1:
		return "One file: " + state.BedFile(v.Title, 1)
	}
	return Count(n, "file", "files") + ": " + state.BedFile(v.Title, 1) + " to " + state.BedFile(v.Title, n)
}
