package text

import (
	"math"
	"strconv"

	"scantling/engine/hardware"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

// A Judged is a finding in a maker's words.
type Judged struct {
	Title  string // "Wall too thin"
	Says   string // "0.50 mm, the thinnest that stands is 1.00 mm"
	Gone   string // "fine from ×0.7210 (1:24.0) up"
	Remedy string // "or draw it thicker in the model"
}

// String is the finding as one sentence.
func (j Judged) String() string {
	return join(join(join(j.Title, ": ", j.Says), "; ", j.Gone), "; ", j.Remedy) + "."
}

// JudgedOf puts a finding into words. other is the name of its second part, where it has one;
// native is the ratio at which the files were drawn, and may be unknown.
func JudgedOf(f judge.Finding, other string, native ratio.Ratio, inches bool) Judged {
	return Judged{
		Title:  CodeTitle(f.Code),
		Says:   judgedSays(f, other, inches),
		Gone:   GoneAt(f, native),
		Remedy: remedyWords(f, other, inches),
	}
}

// AsideName is the button that sets a finding aside, or takes it back.
func AsideName(aside bool) string {
	if aside {
		return "Take back"
	}
	return FindingAside.Name()
}

// CureName is the button that goes to the ratio at which a finding is gone, where one of the
// ladder's does.
func CureName(rung string) string {
	if rung == "" {
		return FindingCure.Name()
	}
	return "Go to " + rung + ": gone there"
}

// AsideTitle asks why a finding is set aside, or so many that are told together.
func AsideTitle(f judge.Finding, places int) string {
	if places > 1 {
		return "Why set them aside? " + CodeTitle(f.Code) + ", " + Count(places, "place", "places")
	}
	return "Why set it aside? " + CodeTitle(f.Code)
}

// LabelReason labels the reason for setting a finding aside.
const LabelReason = "Reason"

// PlaceOf says beside its place on the sheet what was found: "Pin too thin: 1.41 mm".
func PlaceOf(f judge.Finding, inches bool) string {
	if measured(f.Code) {
		return CodeTitle(f.Code) + ": " + Length(f.Value, inches)
	}
	return CodeTitle(f.Code)
}

// measured reports whether the value of a finding is the length of what was found.
func measured(c judge.Code) bool {
	switch c {
	case judge.WallThin, judge.PinThin, judge.GapCloses, judge.EngravingFills, judge.RaisedFades, judge.HoleCloses, judge.BoreSmall, judge.BoreWide,
		judge.PegTight, judge.PegLoose, judge.FacetsShow:
		return true
	}
	return false
}

// GravityName names a gravity.
func GravityName(g judge.Gravity) string {
	switch g {
	case judge.Stops:
		return "stops the print"
	case judge.Look:
		return "look at it"
	}
	return "good to know"
}

// GravityCount says how many findings there are: "2 stop the print, 3 to look at, 1 note". Those
// of one kind in one part are one, as they are told; what was set aside is counted by itself.
func GravityCount(all []judge.Finding) string {
	type kind struct {
		gravity judge.Gravity
		part    int
		code    judge.Code
		aside   string
	}
	var n [judge.Stops + 1]int
	aside := 0
	told := map[kind]bool{}
	for _, f := range all {
		k := kind{f.Gravity, f.Part, f.Code, f.Aside}
		if told[k] {
			continue
		}
		told[k] = true
		if f.Aside != "" {
			aside++
		} else {
			n[f.Gravity]++
		}
	}
	s := ""
	if n[judge.Stops] == 1 {
		s = "1 stops the print"
	} else if n[judge.Stops] > 1 {
		s = Number(n[judge.Stops]) + " stop the print"
	}
	if n[judge.Look] > 0 {
		s = join(s, ", ", Number(n[judge.Look])+" to look at")
	}
	if n[judge.Note] > 0 {
		s = join(s, ", ", Count(n[judge.Note], "note", "notes"))
	}
	if aside > 0 {
		s = join(s, ", ", Number(aside)+" set aside")
	}
	if s == "" {
		return "nothing found"
	}
	return s
}

// CodeTitle heads a finding.
func CodeTitle(c judge.Code) string {
	switch c {
	case judge.OffBed:
		return "Does not fit the bed as it lies"
	case judge.WallThin:
		return "Wall too thin"
	case judge.PinThin:
		return "Pin too thin"
	case judge.GapCloses:
		return "Gap closes"
	case judge.EngravingFills:
		return "Engraving fills in"
	case judge.RaisedFades:
		return "Raised detail fades"
	case judge.HoleCloses:
		return "Hole closes"
	case judge.BoreSmall:
		return "Hole too small for what goes in"
	case judge.BoreWide:
		return "Hole too wide for what goes in"
	case judge.PegTight:
		return "Peg does not go in"
	case judge.PegLoose:
		return "Peg falls out"
	case judge.Overlap:
		return "Drawn into another part"
	case judge.FacetsShow:
		return "Flat facets show on curves"
	case judge.TooSmall:
		return "Too small to handle"
	case judge.SmallPart:
		return "Could be swallowed"
	case judge.Heavier:
		return "Heavier by the cube"
	case judge.Coarse:
		return "Coordinates too coarse"
	case judge.UnitSuspect:
		return "Perhaps drawn in another unit"
	case judge.NotClosed:
		return "Surface not closed"
	case judge.InsideOut:
		return "Inside out"
	case judge.Tangled:
		return "Surface passes through itself"
	case judge.Crowded:
		return "Edges that do not match"
	case judge.Buried:
		return "Shells inside shells"
	case judge.Crumbs:
		return "Loose crumbs"
	case judge.Degenerate:
		return "Triangles without area or there twice"
	}
	return string(c)
}

// CodeShort is a code in one or two words, for a rung or the end of a window: "walls".
func CodeShort(c judge.Code) string {
	switch c {
	case judge.OffBed:
		return "bed"
	case judge.WallThin:
		return "walls"
	case judge.PinThin:
		return "pins"
	case judge.GapCloses:
		return "gaps"
	case judge.EngravingFills:
		return "engraving"
	case judge.RaisedFades:
		return "raised detail"
	case judge.HoleCloses:
		return "holes"
	case judge.BoreSmall:
		return "screw holes"
	case judge.BoreWide:
		return "wide holes"
	case judge.PegTight:
		return "tight pegs"
	case judge.PegLoose:
		return "loose pegs"
	case judge.FacetsShow:
		return "facets"
	case judge.TooSmall:
		return "tiny parts"
	case judge.SmallPart:
		return "swallowing"
	case judge.Coarse:
		return "coarse numbers"
	}
	return CodeTitle(c)
}

// judgedSays is what was found, with its limit.
func judgedSays(f judge.Finding, other string, inches bool) string {
	value, limit := Length(f.Value, inches), Length(f.Limit, inches)
	switch f.Code {
	case judge.OffBed:
		return value + " long; as it lies the bed takes it up to " + limit
	case judge.WallThin:
		if f.Gravity == judge.Stops {
			return value + ", which does not come out even where it is held; a free wall needs " + limit
		}
		return value + "; it stands where two sides hold it, and free from " + limit
	case judge.PinThin:
		return "⌀" + nbsp + value + "; pins survive from " + limit
	case judge.GapCloses:
		return value + " wide; gaps stay open from " + limit
	case judge.EngravingFills:
		if f.Remedy == judge.Deepen {
			return value + " deep; it shows from " + limit
		}
		return value + " wide; it shows from " + limit
	case judge.RaisedFades:
		if f.Remedy == judge.Heighten {
			return value + " high; it shows from " + limit
		}
		return value + " wide; it comes out from " + limit
	case judge.HoleCloses:
		return "⌀" + nbsp + value + "; holes stay open from " + limit
	case judge.BoreSmall, judge.BoreWide:
		return boreSays(f, value, limit)
	case judge.PegTight:
		if f.Value <= 0 {
			return "as thick as its hole in " + named(other) + " or thicker, by " + Length(-f.Value, inches)
		}
		return value + " of room in " + named(other) + "; it goes in from " + limit
	case judge.PegLoose:
		return value + " of room in " + named(other) + "; it holds up to " + limit
	case judge.Overlap:
		return "it and " + named(other) + " share room"
	case judge.FacetsShow:
		return "up to " + value + " from the curve; from " + limit + " on it shows"
	case judge.TooSmall:
		return "no side longer than " + value + "; what is below " + limit + " gets lost"
	case judge.SmallPart:
		return "it goes into the small-parts cylinder of 16 CFR 1501 and EN 71-1"
	case judge.Heavier:
		return times(f.Value) + " as heavy as drawn, on " + times(math.Cbrt(f.Value)*math.Cbrt(f.Value)) + " the cross-section"
	case judge.Coarse:
		return "the numbers in the file go in steps of " + value + " in print; finer than " + limit + " is wanted"
	case judge.UnitSuspect:
		return "it would then be " + times(f.Value) + " as long"
	case judge.NotClosed:
		return Count(int(f.Value), "edge is", "edges are") + " open"
	case judge.InsideOut:
		return "its triangles face inwards"
	case judge.Tangled:
		return Count(int(f.Value), "pair", "pairs") + " of triangles pass through each other"
	case judge.Crowded:
		return Count(int(f.Value), "edge has", "edges have") + " more than two triangles, or two that face both ways"
	case judge.Buried:
		return Count(int(f.Value), "shell lies", "shells lie") + " in another or face inwards"
	case judge.Crumbs:
		return Count(int(f.Value), "loose piece is", "loose pieces are") + " smaller than a fiftieth of the part"
	case judge.Degenerate:
		return Count(int(f.Value), "triangle", "triangles")
	}
	return value + ", limit " + limit
}

func boreSays(f judge.Finding, value, limit string) string {
	what := f.Item
	if i, ok := hardware.Find(f.Item); ok {
		what = ItemName(i)
	}
	if f.Guess {
		what += " (a guess by its size as drawn)"
	}
	if f.Code == judge.BoreWide {
		return "⌀" + nbsp + value + " for " + what + ", which needs at most " + limit
	}
	s := "⌀" + nbsp + value + " for " + what + ", which needs " + limit
	if passes, ok := hardware.Passing(f.Value); ok {
		s += "; " + ItemName(passes) + " passes as it is"
	}
	return s
}

// times is how many times as much: "8.0 times".
func times(f float64) string { return trimZeros(significant(f, 3)) + " times" }

// ItemName names a piece of hardware.
func ItemName(i hardware.Item) string {
	size := strconv.FormatFloat(i.Size, 'f', -1, 64)
	switch i.Kind {
	case hardware.Screw:
		return "an M" + size + " screw"
	case hardware.Thread:
		return "a thread M" + size
	case hardware.Insert:
		return "a threaded insert M" + size
	case hardware.LED:
		return "an LED of " + size + nbsp + "mm"
	case hardware.Magnet:
		return "a magnet of " + size + nbsp + "mm"
	case hardware.Rod:
		return "a rod of " + size + nbsp + "mm"
	case hardware.Bearing:
		return "a bearing of " + size + nbsp + "mm outside"
	}
	return i.Key
}

// remedyWords is what can be done besides another factor.
func remedyWords(f judge.Finding, other string, inches bool) string {
	switch f.Remedy {
	case judge.TurnIt:
		return "or turn it about the upright"
	case judge.LayIt:
		return "or lay it on another side"
	case judge.TiltIt:
		return "or tilt it"
	case judge.CutIt:
		return "or cut it into pieces"
	case judge.Thicken:
		return "or draw it thicker in the model"
	case judge.Replace:
		return "or put wire or rod in its place"
	case judge.Widen:
		return "or draw it wider in the model"
	case judge.Deepen:
		return "or draw it deeper in the model"
	case judge.Heighten:
		return "or draw it higher in the model"
	case judge.DrillOut:
		if f.Drill > 0 {
			return "or open it with a drill of " + Length(f.Drill, inches)
		}
		return "or drill it after printing"
	case judge.Bush:
		return "or line it with a tube, or take a larger size"
	case judge.Offset:
		way := "widen"
		if f.Code == judge.PegLoose {
			way = "narrow"
		}
		return "or " + way + " the hole in " + named(other) + " by " + Length(f.Offset, inches) + " across for an easy fit"
	case judge.Refine:
		return "or export the model with more facets"
	case judge.PrintMore:
		return "or print spares that hang on a sprue"
	case judge.KeepAway:
		return "keep it from children under three"
	case judge.Reckon:
		return "do not load it as the drawn part was loaded before reckoning anew"
	case judge.Recut:
		return "cut one of them to the other where they must come apart"
	case judge.Recentre:
		return "or draw it nearer to the origin"
	case judge.CheckUnit:
		return "look at its size and choose its unit"
	case judge.Mend:
		return "mend it where it was made; many slicers mend it too"
	case judge.RemoveThem:
		return "delete them where the model was made, unless they belong to it"
	}
	return string(f.Remedy)
}

// GoneAt says from which factor and ratio on a finding is gone: "fine from ×0.7210 (1:24.0)
// up". What is shown is rounded to the side on which it is gone. It is empty for what is there
// at every factor.
func GoneAt(f judge.Finding, native ratio.Ratio) string {
	switch f.Gone {
	case judge.Larger:
		return "fine from " + scaleWords(f.GoneAt, native, true) + " up"
	case judge.Smaller:
		return "fine from " + scaleWords(f.GoneAt, native, false) + " down"
	}
	return ""
}

// scaleWords is a factor with the ratio that it gives, rounded up or down to four digits.
func scaleWords(f float64, native ratio.Ratio, up bool) string {
	s := "×" + rounded(f, up)
	if r := RatioAt(f, native, up); r != "" {
		s += " (" + r + ")"
	}
	return s
}

// RatioAt is the ratio of copies at a factor to the real thing, rounded to the larger or the
// smaller model; empty where the native ratio is not known.
func RatioAt(f float64, native ratio.Ratio, up bool) string {
	if !native.Known() {
		return ""
	}
	r := native.Float() * f
	switch {
	case !(r > 0) || math.IsInf(r, 1):
		return ""
	case r >= 1:
		return rounded(r, up) + ":1"
	}
	return "1:" + rounded(1/r, !up)
}

// rounded writes a positive number with four significant digits, never beyond it.
func rounded(f float64, up bool) string {
	if !(f > 0) || math.IsInf(f, 1) {
		return significant(f, 4)
	}
	step := math.Pow(10, math.Floor(math.Log10(f))-3)
	const tiny = 1e-9 // what is a round number but for the last digits stays one
	n := f / step
	if up {
		n = math.Ceil(n - tiny*n)
	} else {
		n = math.Floor(n + tiny*n)
	}
	return trimZeros(significant(n*step, 4))
}

// WindowWords says between which ratios a window lies, and what bounds it: "from ×0.7210 (1:24),
// set by walls, up to ×1.390 (1:12.4), set by the bed".
func WindowWords(w judge.Window, native ratio.Ratio) string {
	if w.Empty() {
		return "at no ratio: " + windowGap(w, native)
	}
	low, high := "", ""
	if w.Least > 0 {
		low = "from " + scaleWords(w.Least, native, true)
		if math.IsInf(w.Most, 1) {
			low += " up"
		}
		low += ", set by " + setter(w.LeastCode)
	}
	if !math.IsInf(w.Most, 1) {
		high = "up to " + scaleWords(w.Most, native, false) + ", set by " + setter(w.MostCode)
	}
	if low == "" && high == "" {
		return "at any ratio"
	}
	return join(low, ", ", high)
}

// windowGap says what keeps a window from being there: "it takes ×1.281 (1:13.51) or more for
// pins, and ×0.2713 (1:63.76) or less for the bed".
func windowGap(w judge.Window, native ratio.Ratio) string {
	return "it takes " + scaleWords(w.Least, native, true) + " or more for " + setter(w.LeastCode) + ", and " +
		scaleWords(w.Most, native, false) + " or less for " + setter(w.MostCode)
}

// setter is what sets the end of a window.
func setter(c judge.Code) string {
	if c == judge.OffBed {
		return "the " + CodeShort(c)
	}
	return CodeShort(c)
}

// Mass is a weight of the print: "12.4 g", "1.32 kg"; what no kitchen scales would show is
// "under 0.01 g".
func Mass(grams float64) string {
	const least = 0.01
	if grams > 0 && grams < least {
		return "under 0.01" + nbsp + "g"
	}
	if grams >= 1000 {
		return trimZeros(significant(grams/1000, 3)) + nbsp + "kg"
	}
	return trimZeros(significant(grams, 3)) + nbsp + "g"
}

// Cost is a price with the maker's money: "3.20 €"; empty where there is none.
func Cost(amount float64, money string) string {
	if !(amount > 0) {
		return ""
	}
	return join(fixed(amount, 2), nbsp, money)
}

// BedCount says how many beds a kit takes: "3 beds; 2 at least by area", that of the hulls from
// above, or, where only rectangles were laid, "2 at least as rectangles".
func BedCount(l judge.Layout) string {
	s := Count(l.Beds, "bed", "beds")
	if l.Least < l.Beds {
		by := " at least as rectangles"
		if l.Nested {
			by = " at least by area"
		}
		s += "; " + Number(l.Least) + by
	}
	if n := len(l.Left); n > 0 {
		s += "; " + Count(n, "part fits", "parts fit") + " none"
	}
	return s
}

// OutcomeFits says how the kit fits the bed at a rung: "fits", "fits turned", "no". What it would
// take but may not do is "only turned".
func OutcomeFits(o judge.Outcome, bed bool, turn judge.Turning) string {
	switch {
	case !bed:
		return None
	case o.Fits[judge.AsItLies]:
		return "fits"
	}
	for t, how := range []string{"", "turned", "laid", "tilted"} {
		switch t := judge.Turning(t); {
		case t == judge.AsItLies || !o.Fits[t] || t == judge.Free && turn < t: // what nobody asked for was not tried
		case t > turn:
			return "only " + how
		default:
			return "fits " + how
		}
	}
	return "no"
}

// OutcomePrints says whether the kit prints at a rung: "yes", "look at 3 parts", "no: 2 parts".
func OutcomePrints(o judge.Outcome) string {
	switch {
	case o.Failing > 0:
		return "no: " + Parts(o.Failing)
	case !o.Prints:
		return None
	case o.Looks > 0:
		return "look at " + Parts(o.Looks)
	}
	return "yes"
}

// OutcomeStops names what stops the print at a rung: "walls, pins".
func OutcomeStops(o judge.Outcome) string {
	s := ""
	for _, c := range o.Stops {
		s = join(s, ", ", CodeShort(c))
	}
	return s
}
