package text

import "scantling/app/state"

// inputWords are a field's label, its tip, what it takes, and what it shows while it is empty.
type inputWords struct{ name, tip, example, metric, inches string }

// evidenceInput has the words for the fields of figures and clues.
func evidenceInput(in state.Input) inputWords {
	switch in {
	case state.InReadings:
		return inputWords{"Height", "The figure's height by calipers, base and all; several readings parted by semicolons tell how well they repeat",
			"a length such as 52.3 mm, or readings such as 52.3; 52.34; 52.31", "52.3 mm", "2 1/16 in"}
	case state.InPerson:
		return inputWords{"Stands for", "Whom the figure stands for: a stature, or anyone of a population",
			"a stature such as 6 ft, 1.75 m or 1.8 m ± 2 cm, man, woman or adult, or boy, girl or child of an age (girl of 8)", "1.75 m", "5 ft 9 in"}
	case state.InBase:
		return inputWords{"Base", "How thick the base is, to be taken off",
			"a thickness such as 3 mm or 1/8 in, or 0", "none", "none"}
	case state.InHeadgear:
		return inputWords{"Headgear", "What the person has on the head, full size; a hat adds about 25 mm, a helmet 35 mm",
			"a full-size length such as 25 mm or 1 in, or 0", "none", "none"}
	case state.InFootwear:
		return inputWords{"Footwear", "What the shoes add, full size; about 25 mm",
			"a full-size length such as 25 mm or 1 in, or 0", "none", "none"}
	case state.InLimit:
		return inputWords{"Calipers ±", "What the calipers may be off by; without it, what is usual for digital ones",
			"a length such as 0.02 mm or 0.001 in", "0.02 mm", "0.001 in"}
	case state.InStep:
		return inputWords{"Last digit", "The step of the calipers' last digit; without it, a hundredth of a millimetre",
			"a length such as 0.01 mm or 0.0005 in", "0.01 mm", "0.0005 in"}
	case state.InDrawn:
		return inputWords{"Drawn", "How long the thing is in the files as they are drawn; a whole clue may stand here: 35.1 mm = 1981 mm ± 5 mm",
			"a length such as 35.1 mm or 35.1 ± 0.2 mm", "114.5 mm", "4 1/2 in"}
	case state.InIsReal:
		return inputWords{"In reality", "How long it is in reality, or an object of the table",
			"a length such as 1981 mm ± 5 mm or 6 ft 6 in, or choose from the table", "1981 mm ± 5 mm", "78 in"}
	}
	return inputWords{name: string(in)}
}
