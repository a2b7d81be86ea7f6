package numeral

import "testing"

func TestLabels(t *testing.T) {
	for label, want := range map[string]int{"1": 1, "0": 3, "1:48": 11, "0.4": 9, "1:160": 13} {
		if got, ok := Wide(label); got != want || !ok {
			t.Errorf("%s is %d wide, %v, want %d", label, got, ok, want)
		}
		right, top, low := 0, 0, Rows
		Each(label, func(column, row int) {
			right, top, low = max(right, column+1), max(top, row+1), min(low, row)
		})
		if right != want || top != Rows || low != 0 {
			t.Errorf("%s is drawn %d wide, from row %d to %d", label, right, low, top)
		}
	}
	for _, label := range []string{"", "1/2", "H0"} {
		if got, ok := Wide(label); ok || got != 0 {
			t.Errorf("%q is %d wide", label, got)
		}
	}
}

// The strokes of a figure hang together by their sides, so that none meets another at a corner
// only; the two points of the colon are apart.
func TestStrokesMeetAtSides(t *testing.T) {
	for _, c := range "0123456789.:" {
		on := map[[2]int]bool{}
		Each(string(c), func(column, row int) { on[[2]int{column, row}] = true })
		for p := range on {
			for _, dx := range []int{-1, 1} {
				corner, side, over := [2]int{p[0] + dx, p[1] + 1}, [2]int{p[0] + dx, p[1]}, [2]int{p[0], p[1] + 1}
				if on[corner] && !on[side] && !on[over] {
					t.Errorf("%c: strokes meet at a corner at %v", c, p)
				}
			}
		}
	}
}
