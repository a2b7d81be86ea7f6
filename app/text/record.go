package text

import (
	"math/big"
	"strconv"
	"strings"
	"time"

	"scantling/app/state"
	"scantling/engine/deliver"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/process"
	"scantling/engine/ratio"
)

// Words of the record: its headings, its heads of columns, and what stands beside its figures.
const (
	RecordLang = "en"

	RecordHow       = "How the factor was found"
	RecordDrawings  = "Drawings"
	RecordParts     = "Parts"
	RecordFindings  = "What was found at this size"
	RecordAsides    = "Set aside by the maker"
	RecordPrinting  = "Printer, process and material"
	RecordCopies    = "Copies saved"
	RecordCautions  = "Cautions"
	RecordDigests   = "Files and their digests"
	RecordKitNotes  = "Notes"
	RecordPartNotes = "Notes on parts"

	RecordTypeThis  = "In the slicer, scale every part by this percentage, all three axes alike."
	RecordRounded   = "It is rounded to four decimals; all digits stand below."
	RecordUnsure    = "It rests on measurements: see what it may be off by."
	RecordBrackets  = "Dimensions are of the print; in brackets as drawn."
	RecordNoCopies  = "No copy was saved from this kit yet."
	RecordNoNative  = "not known: the native ratio is not known"
	RecordDigestsIs = "A file is the one of this record as long as its SHA-256 digest is this one (FIPS 180-4); usual tools reckon it. What is no copy is a source."
	RecordNoBeds    = "not worked out: no bed is known"
	RecordWeightIs  = "Without supports and rafts. What an infill saves is an estimate; the volume is that of the model's surface."
	RecordLacks     = "In this page " + RecordMissing + " stands for a character that its typeface does not have. The HTML record and the CSV table have all characters."
	RecordInComing  = "The survey of some parts was not done when this was written: more may be found."

	// RecordMissing stands where the typeface of the PDF has no shape for a character.
	RecordMissing = "□"
)

// Words of the questions about a record.
const (
	RecordAsk       = "Save the record as what?"
	RecordAskDetail = "A PDF is ready to print. The HTML page opens in any browser and has every character of every name. CSV is the table of parts alone, for a spreadsheet."
	RecordsChosen   = "Records"
	RecordSaved     = "The record is saved"
	RecordFailed    = "The record was not saved"
	RecordHTML      = "HTML page"
	RecordCSV       = "CSV table"
)

// RecordPDF is the choice of a PDF on a paper.
func RecordPDF(paper string) string { return "PDF, " + paper }

// RecordFileName proposes a name for a record's file, without extension.
func RecordFileName(v state.View) string { return Title(v.Title) + " - record" }

// Labels of what stands in two columns.
const (
	RecordKit       = "Kit"
	RecordMade      = "Written"
	RecordFile      = "Kit file"
	RecordPercent   = "Percentage, all digits"
	RecordFactor    = "Factor, all digits"
	RecordExact     = "Exactly"
	RecordRatio     = "Ratio of the print"
	RecordNative    = "Ratio as drawn"
	RecordOff       = "May be off by (95 %)"
	RecordSize      = "Whole kit as drawn"
	RecordPrint     = "Whole kit in print"
	RecordBed       = "Bed"
	RecordTurning   = "Parts on the bed"
	RecordProcess   = "Process"
	RecordMaterial  = "Material and filling"
	RecordCorrects  = "Correction of copies"
	RecordWeight    = "Weight"
	RecordSolid     = "Weight, were it solid"
	RecordCost      = "Cost of the material"
	RecordBeds      = "Beds needed"
	RecordPrints    = "Prints"
	RecordDetails   = "Keeps its details"
	RecordPrice     = "Price"
	RecordAgainst   = "Judged by"
	RecordUncounted = "not ticked"
)

// RecordHeadWays, and what follows, are heads of the record's tables.
func RecordHeadWays() []string { return []string{"Way", "Factor", "Ratio", "How"} }

// RecordHeadParts are the heads of the table of parts.
func RecordHeadParts(inches bool) []string {
	unit := ", " + UnitName(inches)
	return []string{"No.", "Part and file", "Qty", "Unit", "As drawn" + unit, "In print" + unit, "Fits", "Mass each", "Worst finding"}
}

// RecordHeadFindings are those of the table of findings.
func RecordHeadFindings() []string {
	return []string{"Part", "What", "Value and limit", "Gone", "Remedy"}
}

// RecordHeadAsides are those of the table of what was set aside.
func RecordHeadAsides() []string { return []string{"Part", "What", "Value and limit", "Reason"} }

// RecordHeadCopies are those of the table of copies.
func RecordHeadCopies() []string { return []string{"When", "Of", "At", "File"} }

// RecordHeadDigests are those of the table of digests.
func RecordHeadDigests() []string { return []string{"File", "Size", "SHA-256"} }

// RecordTitle is the record's.
func RecordTitle(v state.View) string { return "Record of " + Title(v.Title) }

// RecordBig is the factor in large type: per cent, as slicers ask for it, to four decimals.
func RecordBig(f ratio.Factor) string {
	if !f.Known() {
		return None
	}
	return trimZeros(hundredfold(f).FloatString(4)) + nbsp + "%"
}

// RecordBigExact reports whether RecordBig is the factor and not a rounded one.
func RecordBigExact(f ratio.Factor) bool {
	shown, ok := new(big.Rat).SetString(hundredfold(f).FloatString(4))
	return ok && shown.Cmp(hundredfold(f)) == 0
}

// RecordAllPercent is the factor in per cent with all the digits of a float64.
func RecordAllPercent(f ratio.Factor) string {
	x, _ := hundredfold(f).Float64()
	return strconv.FormatFloat(x, 'f', -1, 64) + nbsp + "%"
}

// RecordAllFactor is the factor with all its digits: "×0.20833333333333334".
func RecordAllFactor(f ratio.Factor) string { return "×" + f.Digits() }

// RecordFraction is the factor as a fraction of whole numbers: "5/24".
func RecordFraction(f ratio.Factor) string {
	s := f.Rat().RatString()
	if len(s) > longDigits {
		return None
	}
	return s
}

func hundredfold(f ratio.Factor) *big.Rat { return new(big.Rat).Mul(f.Rat(), big.NewRat(100, 1)) }

// RecordMadeOn is the day and the hour, with what they differ from UTC by.
func RecordMadeOn(t time.Time) string { return t.Format("2 January 2006, 15:04 (UTC-07:00)") }

// RecordInForce marks the way in force among the others.
func RecordInForce(way string, inForce bool) string {
	if inForce {
		return capital(way, false) + " (in force)"
	}
	return capital(way, false)
}

// RecordDisagree says which ways contradict each other.
func RecordDisagree(d state.Disagreement) string { return "These disagree: " + Disagree(d) + "." }

// RecordOthers tells of ways that give nothing here.
func RecordOthers(ways []string) string {
	if len(ways) == 0 {
		return ""
	}
	return "Nothing was put in for: " + strings.Join(ways, ", ") + "."
}

// RecordDrawing names a drawing: "From the front, assembled".
func RecordDrawing(side state.Side) string {
	switch side {
	case state.FromSide:
		return "The kit from its side"
	case state.Top:
		return "The kit from above"
	}
	return "The kit from the front"
}

// RecordDrawingOf names a drawing of parts side by side.
func RecordDrawingOf(from, to, all int) string {
	switch {
	case from == to && all > 1:
		return "Part " + Number(from) + " of " + Number(all) + ", from the front"
	case to-from+1 == all:
		return "Parts side by side, from the front"
	}
	return "Parts " + Number(from) + " to " + Number(to) + " of " + Number(all) + ", from the front"
}

// RecordNumbered is a part's name with its number in the table of parts.
func RecordNumbered(n int, name string) string { return strconv.Itoa(n) + ". " + name }

// RecordDrawn describes a drawing for whoever cannot see it.
func RecordDrawn(what string, parts int, width, height, factor float64, inches bool) string {
	return what + ": " + Parts(parts) + ", " + Length(width, inches) + " wide and " + Length(height, inches) + " high in print, " +
		Length(width/factor, inches) + " and " + Length(height/factor, inches) + " as drawn."
}

// RecordDrawnRow describes a drawing of parts side by side.
func RecordDrawnRow(what string, names []string) string {
	return what + ": " + strings.Join(names, ", ") + "."
}

// ScaleBar is what stands at the end of a scale bar: "50 mm print = 2.40 m real".
func ScaleBar(mm, target float64, inches bool) string {
	s := trimZeros(Bare(mm, inches)) + nbsp + RulerName(true, inches)
	if target > 0 {
		s += " = " + Real(mm/target, inches) + " real"
	}
	return s
}

// RecordNames lists parts, as many as a reader looks through.
func RecordNames(names []string) string {
	const most = 6
	if len(names) > most+1 {
		return strings.Join(names[:most], ", ") + " " + More(len(names)-most)
	}
	return strings.Join(names, ", ")
}

// RecordAlike adds to a finding how many of its kind it stands for: it is that of the first part.
func RecordAlike(places int, parts []string) string {
	switch {
	case places < 2:
		return ""
	case len(parts) > 1:
		return " (" + parts[0] + "; " + Number(places) + " places in all)"
	}
	return " (" + Number(places) + " places, the worst is told)"
}

// RecordPartOf is what a finding is about: a part by its name, or the whole kit.
func RecordPartOf(name string) string {
	if name == "" {
		return "the kit"
	}
	return name
}

// RecordCount says how many findings there are.
func RecordCount(all []judge.Finding) string { return capital(GravityCount(all), false) + "." }

// RecordGravity heads the findings of a gravity, with how many kinds of them are told.
func RecordGravity(g judge.Gravity, n int) string {
	return capital(GravityName(g), false) + ": " + Number(n)
}

// RecordFits says whether a part fits the bed.
func RecordFits(p state.Part, bed bool, inches bool) string {
	switch {
	case !bed:
		return None
	case p.Fits:
		return "yes"
	}
	return "no: " + TooLong(p.Excess, inches)
}

// RecordWorst is a part's worst finding: how grave, and how many there are.
func RecordWorst(worst judge.Gravity, code judge.Code, more int) string {
	s := capital(GravityName(worst), false) + ": " + CodeTitle(code)
	if more > 0 {
		s += " (" + More(more) + ")"
	}
	return s
}

// RecordBedSays is the bed with what is kept free of it.
func RecordBedSays(b judge.Bed, inches bool) string {
	s := BedSize(b, inches)
	if b.Margin > 0 {
		s += ", margin " + Length(b.Margin, inches)
	}
	if b.Brim > 0 {
		s += ", brim " + Length(b.Brim, inches)
	}
	return s
}

// RecordProcessSays is a process by name and kind.
func RecordProcessSays(p process.Process) string {
	return join(ProcessName(p.Name), "; ", ProcessKind(p.Kind))
}

// RecordMaterialSays is the material with its density, and how parts are filled.
func RecordMaterialSays(p process.Process) string {
	return capital(Filling(p), false) + ", " + trimZeros(significant(p.Material.Density, 4)) + nbsp + "g/cm³"
}

// RecordLimits are the limits that the findings go by: "thinnest wall, held 0.8 mm".
func RecordLimits(p process.Process) string {
	var all []string
	for _, f := range []process.Field{process.WallSupported, process.WallFree, process.Pin, process.Gap, process.Hole,
		process.EngravedWidth, process.EngravedDepth, process.RaisedWidth, process.RaisedHeight, process.Tight, process.Loose, process.Facet} {
		if v := *p.Number(f); v > 0 {
			name, _, unit := LimitName(f)
			all = append(all, lowered(name)+" "+ProcessNumber(f, v)+nbsp+unit)
		}
	}
	return capital(strings.Join(all, "; "), false)
}

// lowered begins a label with a small letter, within a list.
func lowered(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// RecordCorrectionSays is what copies are multiplied by besides the factor.
func RecordCorrectionSays(c process.Correction) string {
	if !c.Corrects() {
		return "none: copies have the factor alone"
	}
	return Correction(c.Whole()) + ", besides the factor"
}

// RecordWeightSays is a weight, and what is not in it.
func RecordWeightSays(grams float64, unknown int) string {
	s := Mass(grams)
	if unknown > 0 {
		s += ", without " + Parts(unknown) + " that cannot be weighed"
	}
	return s
}

// RecordCostSays is the cost with what it is reckoned from; empty where no price is known.
func RecordCostSays(w judge.Weight, m process.Material) string {
	s := Cost(w.Cost, m.Money)
	if s == "" {
		return "not known: the material has no price"
	}
	return s + ", at " + Cost(m.PriceKG, m.Money) + " a kilogram of " + MaterialName(m.Name)
}

// RecordCopyAt is what a copy was saved at: factor, ratio, and what was done besides.
func RecordCopyAt(s kit.Saved) string {
	return join(RecordAllFactor(s.Factor), ", ", knownRatio(s.Ratio)) + corrected(s.Correction)
}

func knownRatio(r ratio.Ratio) string {
	if !r.Known() {
		return ""
	}
	return Ratio(r)
}

// RecordCopyNow says that a copy is at another factor than the kit's; empty where it is not.
func RecordCopyNow(s kit.Saved, now ratio.Factor) string {
	if s.Factor.Equal(now) {
		return ""
	}
	return "not at the factor of this record"
}

// RecordCopyFiles are the names of a copy's files besides the main one.
func RecordCopyFiles(files []deliver.Written) string {
	if len(files) < 2 {
		return ""
	}
	return "with " + Count(len(files)-1, "more file", "more files")
}

// RecordSumNote says what is to be known of a file besides its digest.
func RecordSumNote(s state.Summed) string {
	switch {
	case s.Err != nil && s.Copy:
		return "not there any more: " + Error(s.Err).String()
	case s.Err != nil:
		return Error(s.Err).String()
	case s.Changed() && s.Copy:
		return "changed since it was saved"
	case s.Changed():
		return "changed since it was read for this record"
	case s.Copy:
		return "copy"
	}
	return ""
}

// RecordPage numbers a page: "page 2 of 5". The parts between the numbers are RecordPageWords.
func RecordPage(n, of int) string {
	w := RecordPageWords()
	return w[0] + strconv.Itoa(n) + w[1] + strconv.Itoa(of)
}

// RecordPageWords stand before the number of a page and between it and how many there are.
func RecordPageWords() [2]string { return [2]string{"page ", " of "} }

// RecordFoot stands at the foot of each page beside its number.
func RecordFoot(v state.View, at time.Time) string {
	return RecordTitle(v) + " · " + RecordBig(v.Result.Factor) + " · " + at.Format("2 January 2006")
}

// RecordColumns are the heads of the CSV table. Lengths are millimetres in the kit's axes.
func RecordColumns() []string {
	return []string{"number", "part", "file", "body", "ticked", "quantity", "unit", "drawn_x_mm", "drawn_y_mm", "drawn_z_mm",
		"print_x_mm", "print_y_mm", "print_z_mm", "factor", "factor_exact", "percent", "ratio", "fits_bed", "mass_g", "mass_solid_g", "cost",
		"worst_gravity", "worst_finding", "findings", "set_aside", "source_sha256", "notes"}
}
