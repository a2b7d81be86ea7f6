package text

import (
	"math"
	"strconv"
	"strings"

	"scantling/engine/ratio"
	"scantling/engine/units"
	"scantling/engine/ways"
)

// Uncertain is a ratio with what it may be off by, at 95 %: "1:11.3 ± 0.2". One that is very
// uncertain lies unevenly between its ends, and these are given: "1:11 (1:7 to 1:17)". One that is
// exact is just a ratio.
func Uncertain(e ways.Estimate) string {
	if !e.Known() || e.SD == 0 {
		return Ratio(e.Ratio)
	}
	n := e.Ratio.Float()
	enlarged := n > 1
	if !enlarged {
		n = 1 / n
	}
	write := func(value, by float64) string {
		s := grouped(fixed(value, plusDigits(by)))
		if enlarged {
			return s + ":1"
		}
		return "1:" + s
	}
	by := n * e.Plus()
	if e.Plus() > 0.3 {
		low, high := e.Interval()
		a, b := high.Float(), low.Float()
		if !enlarged {
			a, b = 1/b, 1/a
		}
		return write(n, by) + " (" + write(a, by) + " to " + write(b, by) + ")"
	}
	if enlarged {
		return fixed(n, plusDigits(by)) + nbsp + "±" + nbsp + fixed(by, plusDigits(by)) + nbsp + ":" + nbsp + "1"
	}
	return write(n, by) + nbsp + "±" + nbsp + fixed(by, plusDigits(by))
}

// UncertainFactor is a factor with what it may be off by, at 95 %: "×0.235 ± 0.004".
func UncertainFactor(r ways.Result) string {
	if !r.Factor.Known() || r.SD == 0 {
		return Factor(r.Factor)
	}
	f := r.Factor.Float()
	low, high := r.FactorInterval()
	by := (high - low) / 2
	digits := plusDigits(by)
	return "×" + fixed(f, digits) + nbsp + "±" + nbsp + fixed(by, digits)
}

// plusDigits is how many decimals a value with such an uncertainty has: one figure of the
// uncertainty, two where the first is a 1.
func plusDigits(by float64) int {
	if !(by > 0) {
		return 0
	}
	power := int(math.Floor(math.Log10(by)))
	if math.Round(by/math.Pow(10, float64(power-1))) < 20 {
		power--
	}
	return max(0, min(-power, 9))
}

// Probability is a probability in whole per cent; it is certain of nothing: "88 %", "< 1 %".
func Probability(p float64) string {
	switch {
	case p < 0.01:
		return "< 1 %"
	case p > 0.99:
		return "> 99 %"
	}
	return strconv.Itoa(int(math.Round(p*100))) + " %"
}

// Candidates says what a measured ratio may be: "1:72, 88 %; 1:76, 11 %; none of these, 1 %". It
// names the likeliest, three at most, and leaves out what is below one per cent; where all are, it
// names the two that are nearest.
func Candidates(list []ways.Candidate, none float64) string {
	if len(list) > 1 && list[0].Probability < 0.01 {
		return "no standard ratio; " + Ratio(list[0].Standard.Ratio) + " and " + Ratio(list[1].Standard.Ratio) + " are the nearest"
	}
	var words []string
	for _, c := range list {
		if len(words) == 3 || c.Probability < 0.01 {
			break
		}
		words = append(words, Ratio(c.Standard.Ratio)+", "+Probability(c.Probability))
	}
	if none >= 0.01 {
		words = append(words, "no standard ratio, "+Probability(none))
	}
	return strings.Join(words, "; ")
}

// ClueName is what a clue is called: as the maker called it, as the table does, or by its length.
func ClueName(c ways.Clue, inches bool) string {
	switch {
	case c.Name != "":
		return c.Name
	case c.Object != "":
		return ObjectName(c.Object)
	}
	return Length(c.RealMM, inches)
}

// ClueVerdict says how a clue stands beside the others.
func ClueVerdict(c ways.Combined, i int) string {
	if i < 0 || i >= len(c.Each) {
		return None
	}
	switch w := c.Each[i]; {
	case w.Err != nil:
		return Error(w.Err).What
	case !w.Counts:
		return "set aside"
	case c.Count == 1:
		return "alone"
	case i == c.Worst:
		return "disagrees, " + sigmas(w.Sigmas) + " off what the others give"
	case c.Inconsistent && c.Worst < 0:
		return "disagrees, " + sigmas(w.Sigmas) + " off"
	default:
		return sigmas(w.Sigmas) + " off"
	}
}

// sigmas is a distance in standard uncertainties: "2.3 σ".
func sigmas(z float64) string {
	z = math.Abs(z)
	if z > 999 {
		return "> 999" + nbsp + "σ"
	}
	return fixed(z, decimals(z, 2, 1)) + nbsp + "σ"
}

// Together says how the clues agree, and which of them does not: "3 clues agree".
func Together(clues []ways.Clue, c ways.Combined, inches bool) string {
	count := Count(c.Count, "clue", "clues")
	switch {
	case c.Count == 0:
		return "no clue counts"
	case c.Count == 1:
		return "1" + nbsp + "clue alone, which nothing confirms"
	case !c.Inconsistent:
		return count + " agree"
	case c.Worst >= 0 && c.Worst < len(clues):
		return count + " disagree: " + ClueName(clues[c.Worst], inches) + " is " + sigmas(c.Each[c.Worst].Sigmas) +
			" off what the others give; measure it again, or set it aside"
	}
	return count + " contradict each other, and which is wrong cannot be told; measure them again, or find another"
}

// GroupName is the heading of a group of objects.
func GroupName(g ways.Group) string {
	switch g {
	case ways.People:
		return "People and animals"
	case ways.Buildings:
		return "Buildings"
	case ways.Furniture:
		return "Furniture"
	case ways.Access:
		return "Ladders, rails, openings"
	case ways.Railway:
		return "Railways"
	case ways.Freight:
		return "Freight"
	case ways.Afloat:
		return "Afloat"
	case ways.Wheels:
		return "Wheels"
	case ways.Small:
		return "Of one size everywhere"
	}
	return string(g)
}

// BasisWords says where the spread of an object comes from.
func BasisWords(b ways.Basis) string {
	switch b {
	case ways.Measured:
		return "standard deviation of many"
	case ways.Limits:
		return "evenly likely between the limits"
	case ways.Sizes:
		return "over the standard sizes"
	case ways.Judged:
		return "judged"
	}
	return string(b)
}

// ObjectSize is an object's size and spread: "1981 ± 5 mm", one standard uncertainty.
func ObjectSize(o ways.Object, inches bool) string {
	mm, sd, unit := o.MM, o.SD, "mm"
	if inches {
		mm, sd, unit = mm/mmPerInch, sd/mmPerInch, "in"
	}
	digits := min(plusDigits(sd), 2)
	return fixed(mm, digits) + nbsp + "±" + nbsp + fixed(sd, digits) + nbsp + unit
}

// Backing says how well a published value is backed.
func Backing(s ratio.Status) string {
	switch s {
	case ratio.Seen:
		return "read there"
	case ratio.SeenSecondHand:
		return "read second hand"
	case ratio.Memory:
		return "from memory"
	}
	return string(s)
}

// UnitSuggestion says in what unit a part was likelier drawn, and why.
func UnitSuggestion(part string, s units.Suggestion) string {
	var why []string
	for _, r := range s.Reasons {
		why = append(why, unitReason(r))
	}
	out := part + " was likelier drawn in " + unitWord(s.Unit.Name) + " (×" + trimZeros(fixed(s.Factor, 4)) + "), " + Probability(s.Weight)
	return join(out, ": ", strings.Join(why, "; ")) + "."
}

// unitReason has the words for a piece of evidence about a unit.
func unitReason(r units.Reason) string {
	switch r {
	case units.Declared:
		return "its file says so"
	case units.Sizes:
		return "it is then of a size with the other parts"
	case units.Twin:
		return "it is then exactly as large as another part"
	case units.Speck:
		return "it is a speck otherwise"
	case units.Huge:
		return "it is far larger than the bed otherwise"
	case units.InchLike:
		return "its numbers are eighths and sixteenths"
	case units.FromInch:
		return "its numbers are inches turned into millimetres"
	case units.ToInch:
		return "its numbers are then round millimetres"
	case units.KitBeyond:
		return "it lies far from the other parts otherwise"
	}
	return string(r)
}

// unitWord is a unit in words.
func unitWord(name string) string {
	switch name {
	case "mm":
		return "millimetres"
	case "cm":
		return "centimetres"
	case "m":
		return "metres"
	case "in":
		return "inches"
	case "ft":
		return "feet"
	}
	return name
}
