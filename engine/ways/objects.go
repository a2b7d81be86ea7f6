package ways

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"scantling/engine/figure"
	"scantling/engine/ratio"
)

// An Object is something of known real size that is found in models: a clue's ruler.
type Object struct {
	Key    string // "door-leaf-uk"; app/text has its name
	Group  Group
	MM     float64 // mean
	SD     float64 // mm: standard uncertainty of any one of its kind
	Basis  Basis   // where the SD comes from
	Source string
	Status ratio.Status
}

// A Group is a kind of objects that are shown together.
type Group string

// The groups, in the order in which they are shown.
const (
	People    Group = "people"
	Buildings Group = "buildings"
	Furniture Group = "furniture"
	Access    Group = "access" // ladders, rails and openings
	Railway   Group = "railway"
	Freight   Group = "freight"
	Afloat    Group = "afloat"
	Wheels    Group = "wheels"
	Small     Group = "small" // things of one size everywhere
)

// Groups are all groups, in the order in which they are shown.
func Groups() []Group {
	return []Group{People, Buildings, Furniture, Access, Railway, Freight, Afloat, Wheels, Small}
}

// A Basis says where the spread of an object comes from.
type Basis string

// The bases.
const (
	Measured Basis = "measured" // standard deviation of many
	Limits   Basis = "limits"   // limits of the source, taken as evenly likely between: half of them by √3
	Sizes    Basis = "sizes"    // standard deviation over the standard sizes
	Judged   Basis = "judged"   // the source has one size; how far models of it stray is judged here
)

// Bases are all bases.
func Bases() []Basis { return []Basis{Measured, Limits, Sizes, Judged} }

// A SeveralObjectsError says that what was typed may mean several objects.
type SeveralObjectsError struct {
	Typed string
	Keys  []string
}

func (e *SeveralObjectsError) Error() string {
	return fmt.Sprintf("%q may be %s", e.Typed, strings.Join(e.Keys, ", "))
}

// FindObject finds an object by its key, in any case and with blanks for dashes, or by words
// that only its key has. The error is a *ratio.ParseError with ErrClueUnknown, or a
// *SeveralObjectsError.
func FindObject(typed string) (Object, error) {
	words := strings.FieldsFunc(strings.ToLower(typed), func(r rune) bool { return r == ' ' || r == '-' || r == '\t' || r == '\u00a0' })
	key := strings.Join(words, "-")
	var keys []string
	var found Object
	for _, o := range Objects() {
		if o.Key == key {
			return o, nil
		}
		has := strings.Split(o.Key, "-")
		if len(words) > 0 && !slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(has, w) }) {
			keys = append(keys, o.Key)
			found = o
		}
	}
	switch len(keys) {
	case 0:
		if len(typed) > 64 {
			typed = strings.ToValidUTF8(typed[:64], "") + "…"
		}
		return Object{}, &ratio.ParseError{Typed: strings.TrimSpace(typed), Err: ErrClueUnknown}
	case 1:
		return found, nil
	}
	return Object{}, &SeveralObjectsError{strings.TrimSpace(typed), keys}
}

// Objects is the whole table, in the order in which it is shown.
func Objects() []Object {
	return slices.Concat(peopleTable(), buildingTable(), furnitureTable(), accessTable(), railwayTable(), freightTable(),
		afloatTable(), wheelTable(), smallTable())
}

// between limits is a mean and the standard uncertainty of what is evenly likely between them
// (GUM 4.3.7).
func limits(g Group, key string, least, most float64, source string, status ratio.Status) Object {
	return Object{key, g, (least + most) / 2, (most - least) / 2 / math.Sqrt(3), Limits, source, status}
}

// judged is a size of the source with a spread judged here.
func judged(g Group, key string, mm, sd float64, source string, status ratio.Status) Object {
	return Object{key, g, mm, sd, Judged, source, status}
}

// peopleTable is from the tables of package figure.
func peopleTable() []Object {
	of := func(key string, p figure.Population, m figure.Measure) Object {
		v, _ := p.Measure(m)
		return Object{key, People, v.Mean, v.SD, Measured, v.Source, v.Status}
	}
	shod := func(key string, p figure.Population) Object {
		o := of(key, p, figure.Stature)
		o.MM += figure.Shoes
		o.Source += "; with 25 mm of shoe, ISO 3411:2007 as reported"
		o.Status = ratio.SeenSecondHand
		return o
	}
	return []Object{
		of("person-standing", figure.Adults, figure.Stature),
		of("man-standing", figure.Men, figure.Stature), of("woman-standing", figure.Women, figure.Stature),
		shod("person-standing-in-shoes", figure.Adults), shod("man-standing-in-shoes", figure.Men), shod("woman-standing-in-shoes", figure.Women),
		of("person-seated", figure.Adults, figure.SittingHeight), // seat to crown
		of("man-seated", figure.Men, figure.SittingHeight), of("woman-seated", figure.Women, figure.SittingHeight),
		of("man-eye-height", figure.GermanMen, figure.EyeHeight), of("woman-eye-height", figure.GermanWomen, figure.EyeHeight),
		of("man-eye-height-seated", figure.Men, figure.EyeHeightSitting), of("woman-eye-height-seated", figure.Women, figure.EyeHeightSitting),
		of("man-shoulder-breadth", figure.Men, figure.ShoulderBreadth), of("woman-shoulder-breadth", figure.Women, figure.ShoulderBreadth),
		of("man-hand-length", figure.Men, figure.HandLength), of("woman-hand-length", figure.Women, figure.HandLength),
		of("man-foot-length", figure.Men, figure.FootLength), of("woman-foot-length", figure.Women, figure.FootLength),
		limits(People, "horse-withers", 1500, 1700, "riding horses", ratio.Memory),
	}
}

// buildingTable: doors come in steps, so that any door spreads over the steps.
func buildingTable() []Object {
	const (
		leaves = "door makers' lists"
		din    = "DIN 18101, from a door maker's list"
		part   = "Approved Document K 2013, table 1.1"
		brick  = "brick makers' lists"
	)
	steps := []float64{1981, 1985, 2032, 2040, 2110} // the heights below, and DIN 18101's tall one
	mean, sd := meanSD(steps)
	return []Object{
		{"door-leaf", Buildings, mean, sd, Sizes, "heights 1981, 2032, 2040 (door makers' lists), 1985, 2110 mm (DIN 18101)", ratio.SeenSecondHand},
		judged(Buildings, "door-leaf-uk", 1981, 5, leaves, ratio.SeenSecondHand),
		judged(Buildings, "door-leaf-uk-metric", 2040, 5, leaves, ratio.SeenSecondHand),
		judged(Buildings, "door-leaf-us", 2032, 5, leaves+"; 6 ft 8 in", ratio.SeenSecondHand),
		judged(Buildings, "door-leaf-din", 1985, 5, din, ratio.SeenSecondHand),
		judged(Buildings, "door-width-uk", 762, 3, leaves, ratio.SeenSecondHand),
		judged(Buildings, "door-width-din", 860, 3, din, ratio.SeenSecondHand),
		judged(Buildings, "door-opening-din", 2005, 5, "DIN 18100; others have 2010 mm", ratio.SeenSecondHand),
		limits(Buildings, "stair-riser", 150, 220, part+", private", ratio.Seen),
		limits(Buildings, "stair-going", 220, 300, part+", private", ratio.Seen),
		limits(Buildings, "stair-riser-public", 150, 170, part+", general access", ratio.Seen),
		judged(Buildings, "brick-length-uk", 215, 3, brick, ratio.SeenSecondHand),
		judged(Buildings, "brick-height-uk", 65, 1.5, brick, ratio.SeenSecondHand),
		judged(Buildings, "brick-course-uk", 75, 1.5, brick+"; with its joint", ratio.SeenSecondHand),
		judged(Buildings, "brick-length-us", 7.625*25.4, 3, brick+"; 7 5/8 in", ratio.SeenSecondHand),
		judged(Buildings, "brick-length-german", 240, 3, brick, ratio.SeenSecondHand),
		judged(Buildings, "brick-length-australian", 230, 3, brick, ratio.SeenSecondHand),
		judged(Buildings, "scaffold-tube", 48.3, 0.3, "EN 39", ratio.Memory),
	}
}

func furnitureTable() []Object {
	const (
		handbooks = "furniture handbooks"
		school    = "EN 1729, from a school furniture maker"
	)
	return []Object{
		limits(Furniture, "chair-seat", 425, 465, handbooks+"; 430 to 460 mm, ± 20", ratio.CommonPractice),
		judged(Furniture, "chair-seat-school", 460, 5, school+"; from 14 years", ratio.SeenSecondHand),
		limits(Furniture, "table-top", 720, 760, handbooks, ratio.CommonPractice),
		judged(Furniture, "table-top-school", 760, 5, school+"; from 14 years", ratio.SeenSecondHand),
		limits(Furniture, "worktop", 850, 950, "kitchens", ratio.CommonPractice),
		limits(Furniture, "bar-stool-seat", 750, 800, "bars", ratio.CommonPractice),
	}
}

func accessTable() []Object {
	return []Object{
		limits(Access, "ladder-rung", 254, 356, "OSHA 1910.23, from the same rule of Washington State; centre to centre", ratio.SeenSecondHand),
		limits(Access, "ladder-rung-portable", 250, 300, "EN 131", ratio.Memory),
		limits(Access, "guard-rail", 1067-76, 1067+76, "OSHA 1910.29", ratio.SeenSecondHand),
		judged(Access, "ship-rail", 1050, 40, "Load Line Convention, reg. 25: at least 1000 mm; what is above that is judged", ratio.Memory),
		limits(Access, "walkway-width", 600, 800, "ISO 14122-2, from a design manual: at least 600, better 800 mm", ratio.SeenSecondHand),
		judged(Access, "manhole", 600, 15, "EN 124 as reported; clear opening for a man", ratio.SeenSecondHand),
	}
}

// railwayTable: gauges are kept to a few millimetres; models of them are not.
func railwayTable() []Object {
	const gauges = "a list of track gauges"
	return []Object{
		judged(Railway, "rail-gauge", 1435, 5, "EU infrastructure rule as quoted; standard gauge", ratio.SeenSecondHand),
		judged(Railway, "rail-gauge-metre", 1000, 5, gauges, ratio.SeenSecondHand),
		judged(Railway, "rail-gauge-cape", 1067, 5, gauges, ratio.SeenSecondHand),
		judged(Railway, "rail-gauge-russian", 1520, 5, gauges, ratio.SeenSecondHand),
		judged(Railway, "rail-gauge-irish", 1600, 5, gauges, ratio.SeenSecondHand),
		judged(Railway, "rail-gauge-iberian", 1668, 5, gauges, ratio.SeenSecondHand),
		judged(Railway, "rail-gauge-indian", 1676, 5, gauges, ratio.SeenSecondHand),
		limits(Railway, "sleeper-length", 2500, 2700, "timber sleepers", ratio.Memory),
		judged(Railway, "buffer-height", 1060, 15, "UIC practice", ratio.Memory),
		judged(Railway, "buffer-spacing", 1750, 10, "UIC practice", ratio.Memory),
	}
}

func freightTable() []Object {
	const (
		container = "ISO 668 as reported"
		pallet    = "EPAL"
		can       = "makers' sheets"
	)
	return []Object{
		limits(Freight, "container-20-ft-length", 6048, 6068, container, ratio.SeenSecondHand),
		limits(Freight, "container-40-ft-length", 12182, 12202, container, ratio.SeenSecondHand),
		limits(Freight, "container-width", 2428, 2448, container, ratio.SeenSecondHand),
		limits(Freight, "container-height", 2581, 2601, container+"; 1CC and 1AA", ratio.SeenSecondHand),
		limits(Freight, "container-height-high-cube", 2886, 2906, container, ratio.SeenSecondHand),
		limits(Freight, "pallet-length", 1197, 1203, pallet, ratio.Seen),
		limits(Freight, "pallet-width", 797, 803, pallet, ratio.Seen),
		limits(Freight, "pallet-height", 141, 147, pallet, ratio.Seen),
		limits(Freight, "drum-height", 876, 895, "steel drum of 55 US gal, outside, from a rule-makers' thread and a maker", ratio.SeenSecondHand),
		judged(Freight, "drum-diameter", 587, 5, "steel drum of 55 US gal, outside, from a rule-makers' thread", ratio.SeenSecondHand),
		limits(Freight, "jerrycan-height", 465, 475, can+"; steel, 20 l", ratio.Memory),
		limits(Freight, "jerrycan-width", 340, 350, can+"; steel, 20 l", ratio.Memory),
	}
}

func afloatTable() []Object {
	const scuttle = "ISO 1751, nominal size"
	return []Object{
		limits(Afloat, "lifebuoy", 720, 760, "typical; the LSA Code allows up to 800 mm outside (seen)", ratio.Memory),
		judged(Afloat, "side-scuttle-200", 200, 4, scuttle, ratio.Memory),
		judged(Afloat, "side-scuttle-250", 250, 4, scuttle, ratio.Memory),
		judged(Afloat, "side-scuttle-300", 300, 4, scuttle, ratio.Memory),
		judged(Afloat, "side-scuttle-350", 350, 4, scuttle, ratio.Memory),
		judged(Afloat, "side-scuttle-400", 400, 4, scuttle, ratio.Memory),
	}
}

func wheelTable() []Object {
	const (
		etrto = "ETRTO, bead seat"
		iso   = "ISO 5775, bead seat, from wheel tables"
	)
	return []Object{
		limits(Wheels, "bicycle-wheel", 667, 677, "25-622 outside, 622 + 2 · 25 mm", ratio.Computed),
		judged(Wheels, "bicycle-rim-622", 622, 1, iso, ratio.SeenSecondHand),
		judged(Wheels, "bicycle-rim-559", 559, 1, iso, ratio.SeenSecondHand),
		judged(Wheels, "bicycle-rim-406", 406, 1, iso, ratio.SeenSecondHand),
		judged(Wheels, "car-rim-14", 354.8, 1, etrto, ratio.Memory),
		judged(Wheels, "car-rim-15", 380.2, 1, etrto, ratio.Memory),
		judged(Wheels, "car-rim-16", 405.6, 1, etrto, ratio.Memory),
		limits(Wheels, "car-tyre-205-55-16", 631.9*0.98, 631.9*1.02, "marking rule 205/55R16, 16 · 25.4 + 2 · 0.55 · 205 mm", ratio.Computed),
	}
}

func smallTable() []Object {
	return []Object{
		limits(Small, "a4-sheet-length", 295, 299, "ISO 216", ratio.SeenSecondHand),
		limits(Small, "a4-sheet-width", 208, 212, "ISO 216", ratio.SeenSecondHand),
		judged(Small, "payment-card-length", 85.6, 0.2, "ISO/IEC 7810 ID-1", ratio.Memory),
		judged(Small, "drinks-can-height", 115, 1, "330 ml", ratio.Memory),
		judged(Small, "number-plate-length", 520, 3, "national rules of the EU", ratio.Memory),
		judged(Small, "football-goal-width", 7320, 10, "IFAB Law 1, inside", ratio.Memory),
		judged(Small, "football-goal-height", 2440, 5, "IFAB Law 1, inside", ratio.Memory),
		judged(Small, "basketball-rim-height", 3050, 10, "FIBA", ratio.Memory),
	}
}

// meanSD is the mean and the standard deviation of a sample.
func meanSD(all []float64) (mean, sd float64) {
	n := float64(len(all))
	for _, x := range all {
		mean += x / n
	}
	for _, x := range all {
		sd += (x - mean) * (x - mean) / (n - 1)
	}
	return mean, math.Sqrt(sd)
}
