package text

import (
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
		return "by bed", "As large as your printer can take: every ticked part fits the bed as it lies."
	case ways.ByFactor:
		return "by factor", "You know the factor, or want to set it by eye."
	}
	return string(k), ""
}

// Why explains in a few words how a way came to its factor. The result must be the way's own.
func Why(w ways.Way, r ways.Result, inches bool) string {
	switch w.Kind {
	case ways.ByRatio:
		return "native " + Ratio(w.Native) + " ÷ target " + Ratio(w.Target)
	case ways.ByReal:
		return "the kit is " + Length(r.Drawn, inches) + " along " + Axis(w.Along) + " as drawn and " +
			Real(w.Real.MM(), inches) + " in reality, so it was drawn at " + Ratio(r.Native) +
			"; " + Ratio(w.Target) + " is wanted"
	case ways.ByLength:
		return named(r.Part) + ", " + Length(r.Drawn, inches) + " along " + Axis(w.Along) + " as drawn, becomes " +
			Length(w.Length.MM(), inches) + asRatio(r)
	case ways.ByBed:
		return "the bed's " + Length(r.Limit, inches) + " of " + bedSide(r.Along) + " limit " + named(r.Part) +
			", " + Length(r.Drawn, inches) + " as drawn" + asRatio(r)
	case ways.ByFactor:
		if r.Native.Known() {
			return "the factor as you set it; from native " + Ratio(r.Native) + " this gives " + Ratio(r.Target)
		}
		return "the factor as you set it"
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
	return "; that is " + Ratio(r.Target)
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
