package text

import (
	"scantling/engine/geom"
	"scantling/engine/lost"
)

// Recovered says how a lost factor was found and how sure it is.
func Recovered(f lost.Found) string {
	switch f.Method {
	case lost.ByCorners:
		return "from " + Count(f.Corners, "corner", "corners") + " of triangles, which lie within " + Length(f.Residual, false) + " of where it puts them"
	case lost.ByExtents:
		if f.Solid > 0 {
			return "from the three extents, and the volume or the surface agrees"
		}
		return "from the three extents alone"
	}
	return string(f.Method)
}

// RecoveredWarning says what is wrong with how a copy was scaled, or is empty.
func RecoveredWarning(f lost.Found) string {
	if !f.Uneven {
		return ""
	}
	s := "The copy was scaled unevenly: "
	between := ""
	for a, x := range f.Axes {
		if x > 0 {
			s += between + "×" + significant(x, 5) + " along " + Axis(geom.Axis(a))
			between = ", "
		}
	}
	return s + "; the largest is " + significant(f.Spread*100, 2) + " % more than the smallest, so no one factor makes it."
}

// PartsDiffer says that two parts of a copy were scaled differently.
func PartsDiffer(a string, fa lost.Found, b string, fb lost.Found) string {
	return "The parts were scaled differently: " + a + " by " + Factor(fa.Factor) + ", " + b + " by " + Factor(fb.Factor) + "."
}
