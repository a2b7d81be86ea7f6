package ratio

import "math/big"

// A Unit is a unit of length that makers use.
type Unit string

// The units, as they are written. FeetInches writes 5' 11 1/2"; counted, it is feet.
const (
	Micrometre Unit = "µm"
	Millimetre Unit = "mm"
	Centimetre Unit = "cm"
	Metre      Unit = "m"
	Kilometre  Unit = "km"
	Inch       Unit = "in"
	Foot       Unit = "ft"
	Yard       Unit = "yd"
	Mile       Unit = "mi"
	FeetInches Unit = "ft-in"
)

// size is the unit in millimetres, nil for one that does not exist. All are exact: the inch
// is 25.4 mm by the international yard and pound agreement of 1959 (from memory), the foot
// 12 of them, the yard 3 feet, the mile 1760 yards.
func (u Unit) size() *big.Rat {
	switch u {
	case Micrometre:
		return big.NewRat(1, 1000)
	case Millimetre:
		return big.NewRat(1, 1)
	case Centimetre:
		return big.NewRat(10, 1)
	case Metre:
		return big.NewRat(1000, 1)
	case Kilometre:
		return big.NewRat(1000000, 1)
	case Inch:
		return big.NewRat(254, 10)
	case Foot, FeetInches:
		return big.NewRat(3048, 10)
	case Yard:
		return big.NewRat(9144, 10)
	case Mile:
		return big.NewRat(1609344, 1)
	}
	return nil
}

// unitOf reads a unit as it is typed, in lower case: its sign or its name. It is empty for
// anything else.
func unitOf(word string) Unit {
	switch word {
	case "µm", "um", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers":
		return Micrometre
	case "mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return Millimetre
	case "cm", "centimetre", "centimetres", "centimeter", "centimeters":
		return Centimetre
	case "m", "metre", "metres", "meter", "meters":
		return Metre
	case "km", "kilometre", "kilometres", "kilometer", "kilometers":
		return Kilometre
	case "in", "inch", "inches", `"`:
		return Inch
	case "ft", "foot", "feet", "'":
		return Foot
	case "yd", "yds", "yard", "yards":
		return Yard
	case "mi", "mile", "miles":
		return Mile
	}
	return ""
}

// In is the length counted in the unit, to the nearest float64; 0 for a unit that does not
// exist.
func (l Length) In(u Unit) float64 {
	size := u.size()
	if l.mm == nil || size == nil {
		return 0
	}
	x, _ := size.Quo(l.mm, size).Float64()
	return x
}
