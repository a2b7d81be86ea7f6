package sheet

import (
	"math"
	"strconv"
)

// RuleDecade is the width of a decade on the sliding rule: a factor of ten.
const RuleDecade = 420.0

// Rule is the sliding rule under the factor: a logarithmic scale of factors that runs past a
// fixed index in the middle, like the slide of a slide rule. Without a factor it stands at 1.
func Rule(factor float64, s Size) []Mark {
	if !(factor > 0) || math.IsInf(factor, 0) {
		factor = 1
	}
	middle := s.W / 2
	place := func(f float64) float64 { return middle + (math.Log10(f)-math.Log10(factor))*RuleDecade }
	marks := []Mark{{Kind: Area, Ink: Blank, Role: Ground, Points: Rect{Max: Point{s.W, s.H}}.corners()}}
	reach := math.Pow(10, middle/RuleDecade)
	power := math.Floor(math.Log10(factor / reach))
	for ; math.Pow(10, power) < factor*reach; power++ {
		base := math.Pow(10, power)
		for i := 10; i < 100; i++ {
			every := 1 // ticks of tenths up to 3, of fifths up to 5, then halves
			if i >= 50 {
				every = 5
			} else if i >= 30 {
				every = 2
			}
			if i%every != 0 {
				continue
			}
			f := base * float64(i) / 10
			x := place(f)
			if x < -20 || x > s.W+20 {
				continue
			}
			long := 6.0
			if i%10 == 0 {
				long = 11
			} else if i%5 == 0 {
				long = 8
			}
			marks = append(marks, Mark{Kind: Line, Ink: Thin, Role: PrintRuler, Width: penThin,
				Points: []Point{{x, s.H - long}, {x, s.H}}})
			if n := i / 10; (i%10 == 0 && (n <= 6 || n == 8) || i == 15) && x > 16 && x < s.W-16 {
				marks = append(marks, Mark{Kind: Writing, Ink: Thin, Role: PrintRuler, Size: sizeCaption + 0.5,
					Text: strconv.FormatFloat(f, 'g', 2, 64), At: Point{x, s.H - 15}, Align: Centre})
			}
		}
	}
	return append(marks,
		Mark{Kind: Line, Ink: Selects, Role: Selection, Width: 1.6, Points: []Point{{middle, 0}, {middle, s.H}}},
		Mark{Kind: Area, Ink: Selects, Role: Selection, Points: []Point{{middle - 5, 0}, {middle + 5, 0}, {middle, 7}}},
		Mark{Kind: Outline, Ink: Thin, Role: Ground, Width: 1, Points: Rect{Point{0.5, 0.5}, Point{s.W - 0.5, s.H - 0.5}}.corners()})
}
