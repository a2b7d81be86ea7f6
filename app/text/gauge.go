package text

import (
	"strings"

	"scantling/app/state"
	"scantling/engine/gauge"
	"scantling/engine/process"
)

// GaugeKind names a strip of the step gauge, and says what to look for on it.
func GaugeKind(k gauge.Kind) (name, look string) {
	switch k {
	case gauge.Walls:
		return "walls", "the thinnest that stands straight"
	case gauge.Pins:
		return "pins", "the thinnest that stands and does not snap between two fingers"
	case gauge.Gaps:
		return "gaps", "the narrowest that light or a strip of paper goes through"
	case gauge.Holes:
		return "holes", "the smallest that is open from end to end"
	case gauge.Engraved:
		return "sunk lines", "the narrowest that shows after cleaning"
	case gauge.Raised:
		return "raised lines", "the narrowest that is whole"
	case gauge.Fits:
		return "fits", "where the loose peg just goes in, and where it slides"
	case gauge.Steps:
		return "steps", "measure the highest with calipers, from the underside"
	case gauge.Lengths:
		return "bar", "measure its length and that of a strip with calipers"
	case gauge.Pegs:
		return "loose pegs", "try them in the fits"
	}
	return string(k), ""
}

// What stands on the page of the step gauge.
const (
	GaugePage    = "Step gauge"
	GaugeIntro   = "Save the gauge, print it at 1:1 as you print your parts, clean it, and look at each strip with the sizes below. Type the number beside the least that came out well, and what calipers measure. Leave empty what you did not read."
	SaveGauge    = "Save the gauge…"
	SaveGaugeTip = "Save it as STL, its sizes about the limits of this process. It is never corrected, so that what you measure is the whole correction."
	GaugesChosen = "STL files"
	GaugeFile    = "step-gauge.stl"
	GaugeStrips  = "What came out well"
	GaugeLengths = "What calipers measure"
	GaugeFront   = "front of the plate"
	GaugePlanTip = "The gauge from above, its front at the bottom; press the least that came out well of each strip"
	LabelKeepAs  = "Keep as"
	KeepAsTip    = "The process that the readings are kept in, for other kits and for the command. With the name of the process in force it is brought up to date; otherwise a new one is made."
	KeepReadings = "Use and keep"
	KeepReadTip  = "Print this kit by the process with these numbers, and keep it under that name"
	GaugeCaution = "One print is one sample: leave a margin, and print the gauge anew when material or settings change. Small pieces break off it: keep it away from small children."
)

// GaugeMean stands with the correction of an axis that was not measured.
const GaugeMean = "as the others: not measured"

// GaugeField names what is read on a step gauge, and says how, and in which unit it is.
func GaugeField(f gauge.Field) (name, hint, unit string) {
	const mm = "mm"
	_, look := GaugeKind(f.Strip())
	hint = capital(look, false) + "."
	switch f {
	case gauge.Wall:
		name = "Thinnest wall"
	case gauge.Pin:
		name = "Thinnest pin"
	case gauge.Gap:
		name = "Narrowest gap"
	case gauge.Hole:
		name = "Smallest hole"
	case gauge.EngravedLine:
		name = "Narrowest sunk line"
	case gauge.RaisedLine:
		name = "Narrowest raised line"
	case gauge.Tight:
		name, hint = "Fit, held", "The least number at which a loose peg goes in with force and holds."
	case gauge.Loose:
		name, hint = "Fit, turning", "The least number at which a loose peg turns and slides easily."
	case gauge.LengthX:
		name, hint = "Along x: a strip", "The length of a whole strip, from end to end."
	case gauge.LengthY:
		name, hint = "Along y: the bar", "The length of the long bar at the side, from end to end."
	case gauge.LengthZ:
		name, hint = "Along z: the highest step", "The height of the highest step above the underside."
	default:
		name, hint = string(f), ""
	}
	return name, hint, mm
}

// GaugeDrawn says how long a length of the gauge is meant to be.
func GaugeDrawn(f gauge.Field) string { return "drawn " + ProcessNumber("", f.Drawn()) + nbsp + "mm" }

// GaugeSize is a size as it is written on a gauge.
func GaugeSize(mm float64) string { return ProcessNumber("", mm) }

// GaugeChange says what a reading makes of a process: "free 1.2 → 0.8, held 0.8 → 0.6". Without
// one, what stays, unless another reading changes it.
func GaugeChange(f gauge.Field, before, after process.Process, read bool) string {
	var changes []string
	for _, n := range f.Sets() {
		was, is := ProcessNumber(n, *before.Number(n)), ProcessNumber(n, *after.Number(n))
		by := ""
		switch n {
		case process.WallFree:
			by = "free" + nbsp
		case process.WallSupported:
			by = "held" + nbsp
		case process.CorrectionX, process.CorrectionY, process.CorrectionZ:
			was, is = "×"+was, "×"+is
		}
		if was != is {
			changes = append(changes, by+was+" "+Becomes+" "+is)
		}
	}
	now := ProcessNumber(f.Sets()[0], *before.Number(f.Sets()[0]))
	if f.Drawn() > 0 {
		now = "×" + now
	}
	switch {
	case len(changes) == 0 && read:
		return now + ", as it was"
	case len(changes) == 0:
		return "stays " + now
	case !read && f.Drawn() > 0:
		return strings.Join(changes, ", ") + ", " + GaugeMean
	case !read:
		return strings.Join(changes, ", ") + ", follows"
	}
	return strings.Join(changes, ", ")
}

// GaugeName proposes a name for the process that readings are kept as: its own, unless it is one
// of those to begin with.
func GaugeName(p process.Process) string {
	if shown := ProcessName(p.Name); shown != p.Name {
		return shown + ", measured"
	}
	return p.Name
}

// GaugeDone tells what was done with a gauge since; empty for nothing.
func GaugeDone(since, now state.Gauged) string {
	switch {
	case now.Kept != since.Kept:
		return "The readings are kept as “" + now.Kept + "”, and this kit is printed by it."
	case now.Saved != since.Saved:
		return "Saved as " + now.Saved + ". Print it at 1:1."
	}
	return ""
}
