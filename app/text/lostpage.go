package text

import (
	"math"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/lost"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// Words of the page of a factor that is found again.
const (
	LostPage   = "The factor of an old copy"
	UseLost    = "Use this factor"
	UseUneven  = "Use it all the same"
	AddAsPart  = "Add as a part"
	FindFactor = "Find its factor"
	KeepPart   = "It is a part"

	FindFactorTip = "Compare it with its original and find the factor that made it"
	UseLostTip    = "Put this factor in force; the kit keeps where it comes from, and undo takes it back"
)

// CopyQuestion asks what a file is that looks like an old copy of a part.
func CopyQuestion(copied, part string) (question, detail string) {
	return "Is " + base(copied) + " an old copy of " + part + "?",
		"The factor that made it can be found again by comparing the two. Or add it to the kit as another part."
}

// CopyHint says that a part has the shape of another one.
func CopyHint(h state.CopyHint, original string) string {
	return "Has the shape of " + original + ", about ×" + significant(h.Factor, 4) + " as large. Is it an old copy of it?"
}

// Comparing is said while a copy is compared.
func Comparing(l state.Lost) string { return "Comparing " + base(l.Copy) + " with " + l.Name + "…" }

// LostRows are what was found, line by line: what it is, and its value.
func LostRows(l state.Lost, v state.View) [][2]string {
	f := l.Found
	rows := [][2]string{{"Original", l.Name}, {"Old copy", base(l.Copy)}, {"Factor", Factor(f.Tidy) + "  ·  " + Percent(f.Tidy)}}
	if target := f.Tidy.Target(v.Result.Native); target.Known() {
		rows[2][1] += "  ·  " + Ratio(target)
	}
	rows = append(rows, [2]string{"Measured", "×" + measuredFactor(f.Factor, f.SD)})
	axes := ""
	for a, x := range f.Axes {
		if x > 0 {
			axes = join(axes, ",  ", Axis(geom.Axis(a))+" ×"+significant(x, 5))
		}
	}
	rows = append(rows, [2]string{"Along the axes", axes}, [2]string{"How", capital(Recovered(f), false)})
	if f.Turned {
		rows = append(rows, [2]string{"Besides", "the copy lies turned"})
	}
	for _, p := range v.Parts {
		if p.File == l.Copy {
			rows = append(rows, [2]string{"Besides", "the copy is in the kit as " + p.Name + "; remove it if it is no part"})
		}
	}
	if now := v.Result.Factor; now.Known() {
		rows = append(rows, [2]string{"In force now", Factor(now)})
	}
	return rows
}

// measuredFactor is a factor as it was measured, with what it may be off by at 95 %.
func measuredFactor(f ratio.Factor, sd float64) string {
	by := f.Float() * ways.Estimate{SD: sd}.Plus()
	if !(by > 0) {
		return f.Digits()
	}
	digits := plusDigits(by)
	return fixed(f.Float(), digits) + nbsp + "±" + nbsp + fixed(max(by, math.Pow10(-digits)), digits)
}

// FoundAgain says where a factor comes from that was found again in an old copy.
func FoundAgain(r ways.Recovery) string {
	s := "the factor of the old copy " + base(r.Copy) + " of " + r.Part
	switch lost.Method(r.Method) {
	case lost.ByCorners:
		s += ", from its corners"
	case lost.ByExtents:
		s += ", from its extents"
	}
	s += ", ± " + significant(ways.Estimate{SD: r.SD}.Plus()*100, 1) + " %"
	if r.Uneven {
		s += ", though the copy was scaled unevenly"
	}
	return s
}
