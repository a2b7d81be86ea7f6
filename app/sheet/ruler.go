package sheet

import (
	"math"
	"strconv"

	"scantling/app/text"
)

// A step is how a ruler is divided.
type step struct {
	major float64 // from figure to figure, in the ruler's unit
	minor float64 // from tick to tick
	unit  float64 // print mm of one unit of the ruler
	zero  float64 // print mm at which it begins
	name  string  // its unit and what it measures
}

const mmPerInch, mmPerFoot = 25.4, 304.8 // exact: international yard and pound agreement, 1959

// rulerSteps divides both rulers so that figures stand 60 to 150 pixels apart.
func (d *drawing) rulerSteps() [2]step {
	l := d.layout
	inches := d.view.Sheet.Inches
	print := step{unit: 1, zero: l.kit.u0, name: text.RulerName(l.scaled, inches)}
	if inches {
		print.unit = mmPerInch
	}
	// The other ruler measures the real subject; as long as its ratio is not known, what was
	// drawn.
	real := step{unit: 1000 * l.target, zero: l.kit.v0, name: text.RealRulerName(inches)}
	if inches {
		real.unit = mmPerFoot * l.target
	}
	if l.target <= 0 {
		real.unit, real.name = l.factor*print.unit, text.RulerName(false, inches)
	}
	if d.view.Sheet.InRow {
		print.zero = 0 // where the lines begin
	}
	for _, s := range []*step{&print, &real} {
		s.major, s.minor = divide(62/(l.camera.Zoom*s.unit), inches)
	}
	return [2]step{print, real}
}

// divide is the smallest round step of at least least units and the ticks between: 1, 2 or 5
// times a power of ten, and below one inch or foot halves of halves or twelfths.
func divide(least float64, inches bool) (major, minor float64) {
	if !(least > 0) || math.IsInf(least, 0) {
		return 1, 0.1
	}
	if inches && least < 1 {
		for _, s := range []float64{1. / 16, 1. / 8, 1. / 4, 1. / 2, 1} {
			if s >= least {
				return s, s / 4
			}
		}
	}
	power := math.Pow(10, math.Floor(math.Log10(least)))
	for _, n := range []float64{1, 2, 5, 10} {
		if n*power >= least*(1-1e-9) {
			parts := map[float64]float64{1: 10, 2: 4, 5: 5, 10: 10}[n]
			return n * power, n * power / parts
		}
	}
	return 10 * power, power
}

// ticks are the values of the ruler between two places of the drawing, in its unit.
func (s step) ticks(from, to, every float64, do func(value, place float64)) {
	a, b := (from-s.zero)/s.unit, (to-s.zero)/s.unit
	first, last := math.Ceil(a/every-1e-9), math.Floor(b/every+1e-9)
	if last-first > 2000 {
		return
	}
	for i := first; i <= last; i++ {
		do(i*every, s.zero+i*every*s.unit)
	}
}

// grid is the rulers' figures drawn on through the field.
func (d *drawing) grid(steps [2]step) {
	l := d.layout
	f := l.field
	u0, v0 := l.camera.Print(Point{f.Min.X, f.Max.Y})
	u1, v1 := l.camera.Print(Point{f.Max.X, f.Min.Y})
	steps[0].ticks(u0, u1, steps[0].major, func(_, u float64) {
		x := l.camera.Paper(u, 0).X
		d.line(Grid, Ground, 1, Point{x, f.Min.Y}, Point{x, f.Max.Y})
	})
	steps[1].ticks(v0, v1, steps[1].major, func(_, v float64) {
		y := l.camera.Paper(0, v).Y
		d.line(Grid, Ground, 1, Point{f.Min.X, y}, Point{f.Max.X, y})
	})
}

// rulers are the strips above the field and left of it.
func (d *drawing) rulers(steps [2]step) {
	l := d.layout
	f := l.field
	d.put(Mark{Kind: Area, Ink: Margin, Role: PrintRuler, Points: Rect{Point{}, Point{l.size.W, f.Min.Y}}.corners()})
	d.put(Mark{Kind: Area, Ink: Margin, Role: RealRuler, Points: Rect{Point{0, f.Min.Y}, Point{f.Min.X, l.size.H}}.corners()})
	u0, v0 := l.camera.Print(Point{f.Min.X, f.Max.Y})
	u1, v1 := l.camera.Print(Point{f.Max.X, f.Min.Y})

	top, left := steps[0], steps[1]
	// The unit stands once at the end of each ruler; figures keep clear of it.
	topName := float64(len(top.name))*5.6 + 14
	top.ticks(u0, u1, top.minor, func(_, u float64) {
		x := l.camera.Paper(u, 0).X
		d.put(Mark{Kind: Line, Ink: Thin, Role: PrintRuler, Width: penThin, Points: []Point{{x, f.Min.Y - 4}, {x, f.Min.Y}}})
	})
	top.ticks(u0, u1, top.major, func(value, u float64) {
		x := l.camera.Paper(u, 0).X
		d.put(Mark{Kind: Line, Ink: Thin, Role: PrintRuler, Width: penThin, Points: []Point{{x, f.Min.Y - 9}, {x, f.Min.Y}}})
		if x > f.Min.X+14 && x < f.Max.X-topName-14 {
			d.write(Mark{Ink: Thin, Role: PrintRuler, Text: tickFigure(value, top.major), Size: sizeCaption + 0.5,
				At: Point{x, f.Min.Y - 12}, Align: Centre})
		}
	})
	d.write(Mark{Ink: Pen, Role: PrintRuler, Text: top.name, Size: sizeCaption + 0.5, At: Point{f.Max.X - 6, f.Min.Y - 12}, Align: End})

	leftName := float64(len(left.name))*5.6 + 14
	left.ticks(v0, v1, left.minor, func(_, v float64) {
		y := l.camera.Paper(0, v).Y
		d.put(Mark{Kind: Line, Ink: Thin, Role: RealRuler, Width: penThin, Points: []Point{{f.Min.X - 4, y}, {f.Min.X, y}}})
	})
	left.ticks(v0, v1, left.major, func(value, v float64) {
		y := l.camera.Paper(0, v).Y
		d.put(Mark{Kind: Line, Ink: Thin, Role: RealRuler, Width: penThin, Points: []Point{{f.Min.X - 9, y}, {f.Min.X, y}}})
		if y > f.Min.Y+leftName && y < f.Max.Y-8 {
			d.write(Mark{Ink: Thin, Role: RealRuler, Text: tickFigure(value, left.major), Size: sizeCaption + 0.5,
				At: Point{f.Min.X - 12, y + 3.5}, Align: End})
		}
	})
	d.write(Mark{Ink: Pen, Role: RealRuler, Text: left.name, Size: sizeCaption + 0.5,
		At: Point{f.Min.X - 12, f.Min.Y + 6}, Align: End, Upwards: true})
}

// tickFigure writes a ruler's value with the digits that its steps need.
func tickFigure(value, every float64) string {
	digits := 0
	for e := every; digits < 6 && math.Abs(e-math.Round(e)) > 1e-6; e *= 10 {
		digits++
	}
	if math.Abs(value) < every/2 {
		value = 0 // not -0
	}
	return strconv.FormatFloat(value, 'f', digits, 64)
}
