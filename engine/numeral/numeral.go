// Package numeral has figures made of square strokes, for labels that are printed.
package numeral

// Rows is how many strokes high a figure is.
const Rows = 5

// Of is a figure in rows of bits, the top first, with the highest of wide bits at the left.
// Strokes meet at sides, never at corners only. It has 0 to 9, the point and the colon; ok is
// false for any other.
func Of(c rune) (rows [Rows]uint8, wide int, ok bool) {
	switch c {
	case '0':
		return [Rows]uint8{7, 5, 5, 5, 7}, 3, true
	case '1':
		return [Rows]uint8{1, 1, 1, 1, 1}, 1, true
	case '2':
		return [Rows]uint8{7, 1, 7, 4, 7}, 3, true
	case '3':
		return [Rows]uint8{7, 1, 7, 1, 7}, 3, true
	case '4':
		return [Rows]uint8{5, 5, 7, 1, 1}, 3, true
	case '5':
		return [Rows]uint8{7, 4, 7, 1, 7}, 3, true
	case '6':
		return [Rows]uint8{7, 4, 7, 5, 7}, 3, true
	case '7':
		return [Rows]uint8{7, 1, 1, 1, 1}, 3, true
	case '8':
		return [Rows]uint8{7, 5, 7, 5, 7}, 3, true
	case '9':
		return [Rows]uint8{7, 5, 7, 1, 7}, 3, true
	case '.':
		return [Rows]uint8{0, 0, 0, 0, 1}, 1, true
	case ':':
		return [Rows]uint8{0, 1, 0, 1, 0}, 1, true
	}
	return rows, 0, false
}

// Wide is how many strokes wide a label is, with one stroke between figures; false where it
// has a figure that there is none of, or none at all.
func Wide(label string) (strokes int, ok bool) {
	strokes = -1
	for _, c := range label {
		_, wide, ok := Of(c)
		if !ok {
			return 0, false
		}
		strokes += wide + 1
	}
	return max(strokes, 0), strokes > 0
}

// Each calls draw for each stroke of a label, counted from its lower left corner.
func Each(label string, draw func(column, row int)) {
	left := 0
	for _, c := range label {
		rows, wide, _ := Of(c)
		for row, bits := range rows {
			for column := range wide {
				if bits>>(wide-1-column)&1 == 1 {
					draw(left+column, Rows-1-row)
				}
			}
		}
		left += wide + 1
	}
}
