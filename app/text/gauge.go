package text

import "scantling/engine/gauge"

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
