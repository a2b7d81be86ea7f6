package text

import (
	"math"

	"scantling/engine/judge"
	"scantling/engine/survey"
)

// Widths are the least and the middle of a distribution: "0.80 mm at least, half of the surface up
// to 2.00 mm". mm is how long the unit is, here and in all that follows.
func Widths(d survey.Distribution, mm float64) string {
	if !d.Known() {
		return "not measured: nothing lies behind the surface"
	}
	return Length(d.Least()*mm, false) + " at least, half of the surface up to " + Length(d.Quantile(0.5)*mm, false)
}

// Thin is a thin place: "free wall of 1.00 mm (least 0.98 mm), 400 mm²".
func Thin(p survey.Thin, mm float64) string {
	kind := "wall"
	switch raised := judge.Raised(p); {
	case raised && p.Pin:
		kind = "raised dot"
	case raised:
		kind = "raised line"
	case p.Pin:
		kind = "pin"
	case p.Free:
		kind = "free wall"
	}
	s := kind + " of " + typical(p.Typical*mm, p.Least*mm) + ", " + Area(p.Area*mm*mm)
	if judge.Raised(p) {
		s += ", " + Length(p.Height*mm, false) + " high"
	}
	return s
}

// Gap is the air between near faces: "slot of 0.40 mm, 6.00 mm deep".
func Gap(p survey.Gap, mm float64) string {
	kind := "slot"
	if p.Hole {
		kind = "hole"
	}
	s := kind + " of " + typical(p.Typical*mm, p.Least*mm)
	if p.Depth > 0 {
		return s + ", " + Length(p.Depth*mm, false) + " deep"
	}
	return s + ", closed in"
}

// typical is a width, with the least of it where that reads otherwise.
func typical(usual, least float64) string {
	s := Length(usual, false)
	if l := Length(least, false); l != s {
		s += " (least " + l + ")"
	}
	return s
}

// Bore is a round hole: "⌀ 3.00 mm, 2.97 mm across 24 flats, 6.00 mm deep, through".
func Bore(r survey.Round, mm float64) string {
	s := round(r, mm) + ", " + Length(r.Depth*mm, false) + " deep"
	if r.Through {
		s += ", through"
	} else {
		s += ", blind"
	}
	for _, sink := range r.Sinks {
		s += ", countersunk to ⌀" + nbsp + Length(sink.Diameter*mm, false) + " at " + Number(int(math.Round(sink.Angle))) + "°"
	}
	return s
}

// Peg is a round post: "⌀ 3.00 mm, 2.97 mm across 24 flats, 6.00 mm long".
func Peg(r survey.Round, mm float64) string {
	return round(r, mm) + ", " + Length(r.Depth*mm, false) + " long"
}

func round(r survey.Round, mm float64) string {
	s := "⌀" + nbsp + Length(r.Diameter*mm, false) + ", " + Length(r.Flats*mm, false) + " across " + Count(r.Sides, "flat", "flats")
	if r.Arc < 360 {
		s += ", " + Number(int(r.Arc)) + "° around"
	}
	return s
}

// Health is what is wrong with a mesh, one sentence for each fault; none for a sound one.
func Health(h survey.Health) []string {
	var faults []string
	count := func(n int, one, many, what string) {
		if n > 0 {
			faults = append(faults, Count(n, one, many)+" "+what)
		}
	}
	if h.InsideOut {
		faults = append(faults, "inside out: its triangles face inwards")
	}
	count(h.OpenEdges, "edge", "edges", "with one triangle only: the surface is open there")
	count(h.CrowdedEdges, "edge", "edges", "with more than two triangles")
	count(h.FlippedEdges, "edge", "edges", "at which triangles face both ways")
	count(h.Degenerate, "triangle", "triangles", "without area")
	count(h.Doubled, "triangle", "triangles", "there twice")
	crossing := "of triangles that pass through each other"
	if !h.Complete {
		crossing += ", or more: the search was cut short"
	}
	count(h.Crossings, "pair", "pairs", crossing)
	count(h.InvertedShells, "shell", "shells", "facing inwards")
	count(h.BuriedShells, "shell", "shells", "inside of another")
	count(h.Strays, "loose crumb", "loose crumbs", "smaller than a fiftieth of the part")
	return faults
}

// Chords says how coarse curved faces are: "up to 0.031 mm from the curve".
func Chords(f survey.Facets, mm float64) string {
	if f.Worst == 0 {
		return None
	}
	return "up to " + Length(f.Worst*mm, false) + " from the curve, half of the curved surface up to " + Length(f.Chords.Quantile(0.5)*mm, false)
}

// More is how many of a list are not told: "and 12 more".
func More(n int) string { return "and " + Number(n) + " more" }
