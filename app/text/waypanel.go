package text

import (
	"math"
	"strings"

	"scantling/app/state"
	"scantling/engine/figure"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// Labels of the factor panel.
const (
	LabelDigits   = "All digits"
	LabelNative   = "Drawn at"
	LabelUnit     = "Unit"
	LabelPosture  = "Posture"
	LabelMore     = "Base, wear, calipers"
	LabelBudget   = "What makes it uncertain"
	LabelToCrown  = "to the top of the head"
	LabelToEyes   = "to the eyes"
	LabelTable    = "Table…"
	LabelAddClue  = "Add clue"
	LabelFromPart = "Height of a part"
	LabelMeasure  = "Measure on the sheet"
	LabelSeveral  = "several parts…"
	LabelTogether = "Together"
	LabelName     = "Name"
	LabelObjects  = "Things of known size"
	LabelRename   = "Name of the clue"
	LabelParts    = "Parts that are measured together"
	LabelClues    = "Clues"
)

// Tooltips of the factor panel.
const (
	DigitsTip   = "The whole chain from what is known to the factor, with all digits"
	NativeTip   = "Where the ratio comes from at which the files were drawn"
	UnitTip     = "The unit in which the files are drawn full size"
	PostureTip  = "How the figure stands or sits; bent ones are measured piece by piece along the body"
	ToEyesTip   = "Whether the figure was measured to the top of its head or to its eyes"
	PieceTip    = "Ticked pieces are in the measured height"
	MoreTip     = "Base, headgear, footwear, and how good the calipers are"
	BudgetTip   = "What makes the ratio uncertain, the most first"
	PeopleTip   = "Choose a group of people instead of one stature"
	TableTip    = "Choose what it is from the table of things of known size"
	AddClueTip  = "Let this length count as a clue to the native ratio"
	FromPartTip = "Take the height of a part, along up, for the drawn length"
	AsideTip    = "Ticked clues count; untick one to set it aside"
	RemoveTip   = "Remove this clue"
	RenameTip   = "Give this clue a name of your own"
	PlotTip     = "Each clue is a bar as wide as it is uncertain, on a scale of ratios; the filled bar is what they give together. Click to see it larger."
	LadderFold  = "Show or hide the standard ratios"
)

// HeadlineOf is the factor of a result, what it may be off by, and its other spellings: "×0.336",
// "± 0.004", "33.6 %  ·  1:33.5 ± 0.1".
func HeadlineOf(r ways.Result) (factor, plus, rest string) {
	factor, rest = Headline(r.Factor, ratio.Ratio{})
	if !r.Factor.Known() {
		return factor, "", ""
	}
	if r.SD > 0 {
		factor, plus, _ = strings.Cut(UncertainFactor(r), nbsp+"±"+nbsp)
		plus = "±" + nbsp + plus
	}
	if r.Target.Known() {
		rest += "  ·  " + Uncertain(r.TargetEstimate())
	}
	return factor, plus, rest
}

// Offered is what a way would give: the factor with what it may be off by, or as long as there is
// none the ratio that is known.
func Offered(o state.Offer) string {
	switch {
	case o.Err == nil:
		return UncertainFactor(o.Result)
	case o.SoFar.Target.Known():
		return Uncertain(o.SoFar.TargetEstimate())
	case o.SoFar.Native.Known():
		return Uncertain(o.SoFar.NativeEstimate())
	}
	return None
}

// WhySentence explains the way in force, or says what it knows so far and what is missing.
func WhySentence(v state.View) string {
	if v.Result.Factor.Known() {
		return capital(Why(v.Way, v.Result, v.Sheet.Inches), false) + "."
	}
	for _, o := range v.Offers {
		if o.Kind == v.Way.Kind {
			if s := SoFar(v.Way, o.SoFar, v.Sheet.Inches); s != "" && Offered(o) != None {
				return capital(s, false) + "."
			}
		}
	}
	if v.WayErr == nil {
		return ""
	}
	return Error(v.WayErr).String()
}

// Chain is the way from what is known to the factor with all digits, a paragraph each.
func Chain(v state.View) []string {
	inches := v.Sheet.Inches
	out := []string{WhySentence(v)}
	if v.Result.Factor.Known() {
		out = append(out, capital(Digits(v.Result), false)+".")
	}
	usesClues := v.Way.Kind == ways.ByClues || v.Way.NativeFrom == ways.FromClues && v.Way.Kind != ways.ByReal
	if usesClues {
		for i, w := range v.Evidence.Clues.Each {
			c := v.Way.Clues[i]
			s := ClueName(c, inches) + ": " + ClueLengths(c, inches)
			if w.Known() {
				s += " = " + allDigits(w.Estimate) + ", relative uncertainty " + relative(w.SD)
			}
			if w.Counts {
				s += ", weight " + significant(w.Weight, 4)
			} else {
				s += ", " + ClueVerdict(v.Evidence.Clues, i)
			}
			out = append(out, s+".")
		}
		if v.Evidence.CluesErr == nil {
			out = append(out, capital(Consistency(v.Evidence.Clues), false)+".")
		}
	}
	if v.Way.Kind == ways.ByFigure && v.Evidence.FigureErr == nil {
		f := v.Evidence.Figure
		out = append(out, "Figure "+significant(f.Height, 8)+" mm ÷ "+significant(f.Stands, 8)+" mm of the person = "+allDigits(f.Estimate)+
			"; uncertain by "+Budget(f)+"; "+significant(coverage(f.Estimate), 4)+" standard uncertainties make 95 %.")
	}
	if s := FigureSizes(v.Result.Target, v.Way.Figure.Person, inches); s != "" {
		out = append(out, "At this ratio people are "+s+".")
	}
	return out
}

// coverage is what a standard uncertainty is multiplied by for 95 %.
func coverage(e ways.Estimate) float64 {
	if e.SD > 0 {
		return math.Asinh(e.Plus()) / e.SD
	}
	return 0
}

// Consistency says in numbers how well clues agree: "χ² 2.1 at 2 degrees of freedom (35 %), Birge
// ratio 1.02".
func Consistency(c ways.Combined) string {
	if c.Freedom < 1 {
		return "one clue alone cannot be checked"
	}
	return "χ² " + significant(c.ChiSquared, 3) + " at " + Count(c.Freedom, "degree", "degrees") + " of freedom (" + Probability(c.Probability) +
		" by chance), Birge ratio " + significant(c.Birge, 3)
}

// ClueLengths is what a clue rests on: "114.5 mm drawn, 1981 ± 5 mm real".
func ClueLengths(c ways.Clue, inches bool) string {
	drawn := Length(c.Drawn, inches)
	if c.DrawnSD > 0 {
		drawn = plusMinus(c.Drawn, c.DrawnSD, inches)
	}
	real := Length(c.RealMM, inches)
	if c.RealSD > 0 {
		real = plusMinus(c.RealMM, c.RealSD, inches)
	}
	return drawn + " drawn, " + real + " real"
}

// plusMinus is a length and its standard uncertainty.
func plusMinus(mm, sd float64, inches bool) string {
	return ObjectSize(ways.Object{MM: mm, SD: sd}, inches)
}

// Disagree says how two ways contradict each other: "By clues 1:47.2 ± 1.1, by figure 1:33.5 ± 0.1".
func Disagree(d state.Disagreement) string {
	a, b := d.A.Result, d.B.Result
	far := func(x, y ways.Estimate) bool {
		return x.Known() && y.Known() && !x.Ratio.Equal(y.Ratio) &&
			math.Abs(math.Log(x.Ratio.Float()/y.Ratio.Float())) > 2*math.Hypot(x.SD, y.SD)
	}
	one, other := UncertainFactor(a), UncertainFactor(b)
	switch {
	case far(targetOf(d.A), targetOf(d.B)):
		one, other = Uncertain(targetOf(d.A)), Uncertain(targetOf(d.B))
	case far(a.NativeEstimate(), b.NativeEstimate()):
		one, other = "drawn at "+Uncertain(a.NativeEstimate()), "at "+Uncertain(b.NativeEstimate())
	}
	return WayOf(d.A.Kind) + " " + one + ", " + nameOf(d.B.Kind) + " " + other
}

// targetOf is the ratio that a way aims at: by figure the figure's own, otherwise one that was
// given.
func targetOf(o state.Offer) ways.Estimate {
	e := o.Result.TargetEstimate()
	if o.Kind != ways.ByFigure {
		e.SD = 0
	}
	return e
}

func nameOf(k ways.Kind) string {
	name, _ := Way(k)
	return name
}

// NativeFromName says where a native ratio comes from, for a choice.
func NativeFromName(from ways.NativeFrom) string {
	switch from {
	case ways.FromGiven:
		return "a given ratio"
	case ways.FromReal:
		return "what its real size tells"
	case ways.FromClues:
		return "what clues tell"
	case ways.FromFullSize:
		return "full size"
	}
	return string(from)
}

// UnitWord is a unit in words: "metres".
func UnitWord(u ratio.Unit) string { return unitWord(string(u)) }

// NativeNow is the native ratio that a source gives, or what is missing for it.
func NativeNow(v state.View) string {
	e := v.Evidence
	if e.NativeErr != nil {
		return Error(e.NativeErr).String()
	}
	s := Uncertain(e.Native)
	if v.Way.NativeFrom == ways.FromClues {
		s += " from " + Count(e.Clues.Count, "clue", "clues")
	}
	return s
}

// FigureResult is the ratio of a figure with its 95 % interval: "The figure is 1:33.5 ± 0.1 (95 %:
// 1:33.4 to 1:33.6)."
func FigureResult(v state.View) string {
	e := v.Evidence
	if e.FigureErr != nil {
		return Error(e.FigureErr).String()
	}
	s := "The figure is " + Uncertain(e.Figure.Estimate)
	if e.Figure.SD > 0 {
		s += " (95 %: " + interval(e.Figure.Estimate) + ")"
	}
	return s + "."
}

// interval is what holds a ratio with 95 %.
func interval(e ways.Estimate) string {
	low, high := e.Interval()
	digits := func(a ratio.Ratio) string {
		n := a.Float()
		if n < 1 {
			n = 1 / n
		}
		return fixed(n, plusDigits(n*e.Plus()))
	}
	if e.Ratio.Float() > 1 {
		return digits(high) + ":1 to " + digits(low) + ":1"
	}
	return "1:" + digits(low) + " to 1:" + digits(high)
}

// FigureSizesNow is how tall figures of that ratio are, as they are sold.
func FigureSizesNow(v state.View) string {
	if v.Evidence.FigureErr != nil {
		return ""
	}
	s := FigureSizes(v.Evidence.Figure.Ratio, v.Way.Figure.Person, v.Sheet.Inches)
	return join("Sold as ", "", s) + "."
}

// CandidateHead are the titles of a list of standard ratios.
func CandidateHead() [4]string { return [4]string{"Ratio", "Name", "Off by", "Likely"} }

// CandidateCells are a standard ratio, its name, how far off it is, and how likely it is meant.
func CandidateCells(c ways.Candidate, measured ways.Estimate) [4]string {
	off := math.Abs(c.Standard.Ratio.Float()/measured.Ratio.Float() - 1)
	says := significant(off*100, 2) + " %"
	if off > 0.1 {
		says = fixed(off*100, 0) + " %"
	}
	if measured.SD > 0 {
		says += ", " + sigmas(c.Sigmas)
	}
	return [4]string{Ratio(c.Standard.Ratio), c.Standard.Name, says, Probability(c.Probability)}
}

// NoCandidate are the cells for none of the standard ratios.
func NoCandidate(p float64) [4]string { return [4]string{"none", "of the field's", "", Probability(p)} }

// CluesAre says what the kit's clues make of it: "Drawn at 1:17.3 ± 0.1; 3 clues agree." It is empty
// while there are none.
func CluesAre(v state.View) string {
	e := v.Evidence
	if len(v.Way.Clues) == 0 {
		return ""
	}
	if e.CluesErr != nil {
		return Error(e.CluesErr).String()
	}
	return "Drawn at " + Uncertain(e.Clues.Estimate) + "; " + Together(v.Way.Clues, e.Clues, v.Sheet.Inches) + "."
}

// LikelyAre says what a measured ratio may be: "As a standard ratio: 1:72, 88 %; 1:76, 11 %."
func LikelyAre(l state.Likely, f ratio.Field) string {
	if len(l.List) == 0 {
		return ""
	}
	return FieldName(f) + ": " + Candidates(l.List, l.None) + "."
}

// DraftSays is what the clue that is being made is, and what it would give.
func DraftSays(d state.Draft, inches bool) string {
	s := ""
	if d.Object != nil {
		s = ObjectName(d.Object.Key) + ", " + ObjectSize(*d.Object, inches)
	}
	if d.Estimate.Known() {
		s = join(s, ": ", Uncertain(d.Estimate))
	}
	return capital(s, false)
}

// ObjectCells are an object's name, size and source, for the table.
func ObjectCells(o ways.Object, inches bool) [3]string {
	return [3]string{ObjectName(o.Key), ObjectSize(o, inches), o.Source}
}

// ObjectTip says where an object's size and spread come from.
func ObjectTip(o ways.Object) string {
	return ObjectName(o.Key) + ": " + o.Source + " (" + Backing(o.Status) + "). The ± is one standard uncertainty, " + BasisWords(o.Basis) + "."
}

// PopulationChoice is a population with its mean stature.
func PopulationChoice(p figure.Population, inches bool) string {
	v, ok := p.Measure(figure.Stature)
	if !ok {
		return PopulationName(p)
	}
	return capital(PopulationName(p), false) + ", " + Real(v.Mean, inches) + nbsp + "±" + nbsp + Real(v.SD, inches)
}

// PartHeight is a part with its height, for a choice.
func PartHeight(p state.Part, v state.View) string {
	return p.Name + ", " + Length(p.Drawn[v.PartsUp], v.Sheet.Inches)
}

// SeveralParts is how many parts are measured together.
func SeveralParts(n int) string { return Count(n, "part", "parts") + " together" }

// MeasureChoice is a measure between two points, for a choice.
func MeasureChoice(p ways.Points, inches bool) string {
	s := "two points, " + Length(p.Len(), inches)
	if p.Along != ways.Free {
		s += " along " + string(p.Along)
	}
	return s
}

// TakeMeasure labels the button that takes the sheet's measure for a clue, or begins one.
func TakeMeasure(v state.View) (label, tip string) {
	if v.Measure.Known() {
		return "Take the measure, " + Length(v.Measure.Points.Len(), v.Sheet.Inches), "Take what is measured on the sheet for the drawn length"
	}
	return LabelMeasure, "Then click two points on the sheet"
}

// CountChosen says how many parts are chosen.
func CountChosen(n int) string { return Count(n, "part", "parts") + " chosen" }

// ClueGives is what a clue gives and how it stands beside the others: "1:17.3 ± 0.1  ·  0.3 σ off".
func ClueGives(c ways.Combined, i int) string {
	s := ""
	if i < len(c.Each) && c.Each[i].Known() {
		s = Uncertain(c.Each[i].Estimate)
	}
	return join(s, "  ·  ", ClueVerdict(c, i))
}
