package text

import (
	"math"
	"strconv"
	"strings"

	"scantling/engine/geom"
)

const mmPerInch = 25.4 // exact: international yard and pound agreement, 1959

// Length is a length of the print or of the drawn files, given in millimetres: "96.8 mm",
// "1.40 mm", or in decimal inches: "3.811 in".
func Length(mm float64, inches bool) string {
	if inches {
		return inchDigits(mm/mmPerInch) + nbsp + "in"
	}
	return mmDigits(mm) + nbsp + "mm"
}

// Bare is Length without its unit, for a column or a drawing that names the unit once.
func Bare(mm float64, inches bool) string {
	if inches {
		return inchDigits(mm / mmPerInch)
	}
	return mmDigits(mm)
}

// Size is three lengths with one unit: "412 × 96 × 88 mm".
func Size(mm geom.Vec, inches bool) string {
	return SizeBare(mm, inches) + nbsp + UnitName(inches)
}

// SizeBare is Size without its unit.
func SizeBare(mm geom.Vec, inches bool) string {
	s := make([]string, len(mm))
	for i, l := range mm {
		s[i] = trimZeros(Bare(l, inches))
	}
	return strings.Join(s, " × ")
}

// UnitName is the unit of Length: "mm" or "in".
func UnitName(inches bool) string {
	if inches {
		return "in"
	}
	return "mm"
}

// RealUnitName is the unit of the real subject's ruler: "m" or "ft".
func RealUnitName(inches bool) string {
	if inches {
		return "ft"
	}
	return "m"
}

// Real is a length of the real subject, given in millimetres: "9.63 m", "86 cm", "31 ft 7 in".
func Real(mm float64, inches bool) string {
	if inches {
		return feetInches(mm)
	}
	switch a := math.Abs(mm); {
	case a == 0:
		return "0" + nbsp + "m"
	case a < 10:
		return Length(mm, false)
	case a < 999.5:
		return trimZeros(fixed(mm/10, decimals(mm/10, 2, 1))) + nbsp + "cm"
	default:
		return grouped(fixed(mm/1000, decimals(mm/1000, 3, 2))) + nbsp + "m"
	}
}

// Area is a surface: "412 mm²", "12.3 cm²".
func Area(mm2 float64) string {
	if math.Abs(mm2) < 1000 {
		return mmDigits(mm2) + nbsp + "mm²"
	}
	return mmDigits(mm2/100) + nbsp + "cm²"
}

// Volume is a volume: "412 mm³", "12.3 cm³".
func Volume(mm3 float64) string {
	if math.Abs(mm3) < 1000 {
		return mmDigits(mm3) + nbsp + "mm³"
	}
	return mmDigits(mm3/1000) + nbsp + "cm³"
}

// Axis names an axis as it is written beside a field: "x".
func Axis(a geom.Axis) string { return a.String() }

// mmDigits writes millimetres with what a maker can see or measure: tenths to 100 mm,
// hundredths to 10 mm, and two significant digits of anything smaller than a tenth.
func mmDigits(mm float64) string {
	switch a := math.Abs(mm); {
	case a == 0:
		return "0"
	case a < 0.1:
		return significant(mm, 2)
	case a < 9.995:
		return fixed(mm, 2)
	case a < 99.95:
		return fixed(mm, 1)
	case a < 1e9:
		return grouped(fixed(mm, 0))
	default:
		return significant(mm, 3)
	}
}

// inchDigits writes inches with thousandths up to 10 and hundredths beyond.
func inchDigits(in float64) string {
	switch a := math.Abs(in); {
	case a == 0:
		return "0"
	case a < 0.01:
		return significant(in, 2)
	case a < 9.9995:
		return fixed(in, 3)
	case a < 99.995:
		return fixed(in, 2)
	case a < 1e9:
		return grouped(fixed(in, 1))
	default:
		return significant(in, 3)
	}
}

// feetInches writes feet and inches: "31 ft 7 in", "8.5 in", "6 ft".
func feetInches(mm float64) string {
	sign := ""
	if mm < 0 {
		sign, mm = "-", -mm
	}
	in := mm / mmPerInch
	if in < 11.95 {
		return sign + trimZeros(fixed(in, decimals(in, 2, 3))) + nbsp + "in"
	}
	n := int64(math.Round(in))
	s := sign + grouped(strconv.FormatInt(n/12, 10)) + nbsp + "ft"
	if n%12 != 0 {
		s += nbsp + strconv.FormatInt(n%12, 10) + nbsp + "in"
	}
	return s
}

func fixed(f float64, digits int) string { return strconv.FormatFloat(f, 'f', digits, 64) }
