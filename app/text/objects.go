package text

import "strings"

// ObjectName is the name of an object of the table of known sizes: what is measured, and where
// that matters from where to where.
func ObjectName(key string) string {
	if name, ok := objectNames()[key]; ok {
		return name
	}
	return strings.ReplaceAll(key, "-", " ")
}

func objectNames() map[string]string {
	return map[string]string{
		"person-standing":          "person standing, barefoot",
		"man-standing":             "man standing, barefoot",
		"woman-standing":           "woman standing, barefoot",
		"person-standing-in-shoes": "person standing, in shoes",
		"man-standing-in-shoes":    "man standing, in shoes",
		"woman-standing-in-shoes":  "woman standing, in shoes",
		"person-seated":            "person seated, seat to crown",
		"man-seated":               "man seated, seat to crown",
		"woman-seated":             "woman seated, seat to crown",
		"man-eye-height":           "man standing, to the eyes",
		"woman-eye-height":         "woman standing, to the eyes",
		"man-eye-height-seated":    "man seated, seat to eyes",
		"woman-eye-height-seated":  "woman seated, seat to eyes",
		"man-shoulder-breadth":     "man, breadth of shoulders",
		"woman-shoulder-breadth":   "woman, breadth of shoulders",
		"man-hand-length":          "man, length of hand",
		"woman-hand-length":        "woman, length of hand",
		"man-foot-length":          "man, length of foot",
		"woman-foot-length":        "woman, length of foot",
		"horse-withers":            "riding horse, height at the withers",

		"door-leaf":               "door leaf, height, of any standard",
		"door-leaf-uk":            "door leaf, height, England and Wales",
		"door-leaf-uk-metric":     "door leaf, height, metric, Scotland",
		"door-leaf-us":            "door leaf, height, North America",
		"door-leaf-din":           "door leaf, height, Germany",
		"door-width-uk":           "door leaf, width, England and Wales",
		"door-width-din":          "door leaf, width, Germany",
		"door-opening-din":        "door opening in a wall, height, Germany",
		"stair-riser":             "stair riser, private house",
		"stair-going":             "stair going, private house",
		"stair-riser-public":      "stair riser, public building",
		"brick-length-uk":         "brick, length, Britain",
		"brick-height-uk":         "brick, height, Britain",
		"brick-course-uk":         "course of bricks with its joint, Britain",
		"brick-length-us":         "brick, length, North America",
		"brick-length-german":     "brick, length, Germany",
		"brick-length-australian": "brick, length, Australia",
		"scaffold-tube":           "scaffold tube, diameter",

		"chair-seat":        "chair, height of seat",
		"chair-seat-school": "school chair, height of seat",
		"table-top":         "table or desk, height",
		"table-top-school":  "school table, height",
		"worktop":           "kitchen worktop, height",
		"bar-stool-seat":    "bar stool, height of seat",

		"ladder-rung":          "fixed ladder, rung to rung",
		"ladder-rung-portable": "portable ladder, rung to rung",
		"guard-rail":           "guard rail, height",
		"ship-rail":            "ship's rail or bulwark, height",
		"walkway-width":        "walkway, width",
		"manhole":              "manhole, clear opening",

		"rail-gauge":         "railway gauge, standard",
		"rail-gauge-metre":   "railway gauge, metre",
		"rail-gauge-cape":    "railway gauge, Cape",
		"rail-gauge-russian": "railway gauge, Russian",
		"rail-gauge-irish":   "railway gauge, Irish",
		"rail-gauge-iberian": "railway gauge, Iberian",
		"rail-gauge-indian":  "railway gauge, Indian",
		"sleeper-length":     "railway sleeper, length",
		"buffer-height":      "railway buffers, height above the rail",
		"buffer-spacing":     "railway buffers, distance",

		"container-20-ft-length":     "freight container of 20 ft, length",
		"container-40-ft-length":     "freight container of 40 ft, length",
		"container-width":            "freight container, width",
		"container-height":           "freight container, height",
		"container-height-high-cube": "high-cube freight container, height",
		"pallet-length":              "Euro pallet, length",
		"pallet-width":               "Euro pallet, width",
		"pallet-height":              "Euro pallet, height",
		"drum-height":                "steel drum of 200 l, height",
		"drum-diameter":              "steel drum of 200 l, diameter",
		"jerrycan-height":            "jerrycan, height",
		"jerrycan-width":             "jerrycan, width",

		"lifebuoy":         "lifebuoy, outer diameter",
		"side-scuttle-200": "side scuttle of 200 mm, clear opening",
		"side-scuttle-250": "side scuttle of 250 mm, clear opening",
		"side-scuttle-300": "side scuttle of 300 mm, clear opening",
		"side-scuttle-350": "side scuttle of 350 mm, clear opening",
		"side-scuttle-400": "side scuttle of 400 mm, clear opening",

		"bicycle-wheel":       "bicycle wheel, outer diameter",
		"bicycle-rim-622":     "bicycle rim of a road wheel, bead seat",
		"bicycle-rim-559":     "bicycle rim of 26 in, bead seat",
		"bicycle-rim-406":     "bicycle rim of 20 in, bead seat",
		"car-rim-14":          "car rim of 14 in, bead seat",
		"car-rim-15":          "car rim of 15 in, bead seat",
		"car-rim-16":          "car rim of 16 in, bead seat",
		"car-tyre-205-55-16":  "car tyre 205/55 R16, outer diameter",
		"a4-sheet-length":     "sheet of A4, length",
		"a4-sheet-width":      "sheet of A4, width",
		"payment-card-length": "payment card, length",

		"drinks-can-height":     "drinks can of 330 ml, height",
		"number-plate-length":   "number plate, Europe, length",
		"football-goal-width":   "football goal, inside width",
		"football-goal-height":  "football goal, inside height",
		"basketball-rim-height": "basketball rim, height",
	}
}
