package text

import (
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/ways"
)

// Way names a way and says in one line when to take it.
func Way(k ways.Kind) (name, hint string) {
	switch k {
	case ways.ByRatio:
		return "by ratio", "You know the ratio at which the files were drawn."
	case ways.ByReal:
		return "by real size", "You know how long the real subject is; the kit shows how long it was drawn."
	case ways.ByClues:
		return "by clues", "You can find things in the kit whose real size is known: a door, a chair, a person."
	case ways.ByFigure:
		return "by figure", "You have a figure in hand that the kit must suit."
	case ways.ByLength:
		return "by length", "One dimension of the kit, or of one part, must come out at a given length."
	case ways.ByBed:
		return "by bed", "As large as your printer can take: every ticked part fits the bed."
	case ways.ByFactor:
		return "by factor", "You know the factor, or want to set it by eye."
	}
	return string(k), ""
}

// Why explains in a few words how a way came to its factor. The result must be the way's own.
func Why(w ways.Way, r ways.Result, inches bool) string {
	switch w.Kind {
	case ways.ByRatio:
		return nativeWords(w, r) + " ÷ target " + Ratio(w.Target)
	case ways.ByClues:
		return nativeWords(w, r) + " ÷ target " + Ratio(w.Target)
	case ways.ByFigure:
		return figureWhy(w.Figure, inches) + ", and " + nativeWords(w, r)
	case ways.ByReal:
		return "the kit is " + Length(r.Drawn, inches) + " along " + Axis(w.Along) + " as drawn and " +
			Real(w.Real.MM(), inches) + " in reality, so it was drawn at " + Ratio(r.Native) +
			"; " + Ratio(w.Target) + " is wanted"
	case ways.ByLength:
		becomes := " as drawn, becomes "
		if r.Count > 0 {
			becomes = " as drawn, become "
		}
		return lengthOf(w, r, inches) + becomes +
			Length(w.Length.MM(), inches) + asRatio(r)
	case ways.ByBed:
		return bedWhy(w, r, inches)
	case ways.ByFactor:
		set := "the factor as you set it, typed or by eye"
		if w.Found() {
			set = FoundAgain(w.Recovered)
		}
		if r.Native.Known() {
			return set + "; from native " + Uncertain(r.NativeEstimate()) + " this gives " + Uncertain(r.TargetEstimate())
		}
		return set
	}
	return ""
}

// SoFar says what is known while there is no factor yet: a figure's ratio, or the native one by
// clues, and what is missing.
func SoFar(w ways.Way, r ways.Result, inches bool) string {
	switch w.Kind {
	case ways.ByFigure:
		return figureWhy(w.Figure, inches) + "; the factor needs the ratio at which the files were drawn"
	case ways.ByClues:
		return nativeWords(w, r) + "; the factor needs a target ratio"
	}
	return ""
}

// named is a part with its article, or the kit.
func named(part string) string {
	if part == "" {
		return "the kit"
	}
	return "the " + part
}

// asRatio adds the ratio that comes of it, when it is known.
func asRatio(r ways.Result) string {
	if !r.Target.Known() {
		return ""
	}
	return "; that is " + Uncertain(r.TargetEstimate())
}

// lengthOf is what the way by length measures.
func lengthOf(w ways.Way, r ways.Result, inches bool) string {
	along := ", " + Length(r.Drawn, inches)
	switch {
	case r.Points && w.Points.Along == ways.Free:
		return "the distance between the two points" + along
	case r.Points:
		return "the distance between the two points" + along + " along " + string(w.Points.Along)
	case r.Count > 0:
		return Count(r.Count, "part", "parts") + " together" + along + " along " + Axis(w.Along)
	}
	return named(r.Part) + along + " along " + Axis(w.Along)
}

// nativeWords are the native ratio and where it comes from.
func nativeWords(w ways.Way, r ways.Result) string {
	native := "native " + Uncertain(r.NativeEstimate())
	switch {
	case w.Kind == ways.ByClues || w.NativeFrom == ways.FromClues:
		n := 0
		for _, c := range w.Clues {
			if !c.SetAside {
				n++
			}
		}
		return native + " from " + Count(n, "clue", "clues")
	case w.NativeFrom == ways.FromReal:
		return native + " from the real length of the subject"
	case w.NativeFrom == ways.FromFullSize:
		return native + ", for the files are drawn full size in " + unitWord(string(w.FullSize))
	}
	return native
}

// Digits is the same chain with all the digits that there are, for whoever wants to follow it:
// "factor 15/29 = 0.5172413793103449 = target 1:87 ÷ native 1:45".
func Digits(r ways.Result) string {
	if !r.Factor.Known() {
		return None
	}
	s := "factor " + r.Factor.Digits()
	// The fraction of what was measured tells nothing.
	if exact := r.Factor.Exact(); exact != r.Factor.Digits() && len(exact) <= longDigits && r.SD == 0 {
		s = "factor " + exact + " = " + r.Factor.Digits()
	}
	if r.Native.Known() {
		s += " = target " + allDigits(r.TargetEstimate()) + " ÷ native " + allDigits(r.NativeEstimate())
	}
	if r.SD > 0 {
		low, high := r.FactorInterval()
		s += "; standard uncertainty " + significant(r.SD*100, 3) + " %, 95 % between " + significant(low, 6) + " and " + significant(high, 6)
	}
	return s
}

// longDigits is where an exact number stops being of use to a reader.
const longDigits = 40

// allDigits writes a ratio with all its digits, or, where it was measured or they are too many, with
// as many as a float64 has.
func allDigits(e ways.Estimate) string {
	if s := e.Ratio.Exact(); len(s) <= 12 || len(s) <= longDigits && e.SD == 0 {
		return s
	}
	if x := e.Ratio.Float(); x < 1 {
		return "1:" + strconv.FormatFloat(1/x, 'g', -1, 64)
	}
	return strconv.FormatFloat(e.Ratio.Float(), 'g', -1, 64) + ":1"
}

// bedSide names a side of the bed.
func bedSide(a geom.Axis) string {
	switch a {
	case geom.X:
		return "width"
	case geom.Y:
		return "depth"
	default:
		return "height"
	}
}
