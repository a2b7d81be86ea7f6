package sheet

import (
	"scantling/app/state"
	"scantling/app/text"
)

// stature of the stand-in in millimetres: median stature of men, DIN 33402-2:2005-12 (from a
// copy of the table), and 3 mm off the 1755 mm of ANSUR II (computed from its data).
const stature = 1750.0

// figureExtent is the width and height of the stand-in seen from a side, for a stature of tall.
func figureExtent(side state.Side, tall float64) (w, h float64) {
	if tall <= 0 {
		return 0, 0
	}
	x0, y0, x1, y1 := 0.0, 0.0, 0.0, 0.0
	for _, shape := range figureShapes(side) {
		for _, p := range shape.points {
			x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
		}
	}
	return (x1 - x0) * tall, (y1 - y0) * tall
}

// A bodyShape is a closed curve through points in statures, x right and y up, the sole at 0.
type bodyShape struct {
	points []Point
	inner  bool // a line inside the silhouette, not part of it
}

// figureShapes are the curves of a person at ease, seen from a side, farthest first.
//
// Heights and breadths are the segment proportions of Drillis and Contini 1966 as printed in
// Winter, Biomechanics and Motor Control of Human Movement, fig. 4.1, taken from reproductions:
// chin 0.870, shoulder 0.818, elbow 0.630, hip 0.530, wrist 0.485, fingertip 0.377, knee 0.285,
// ankle 0.039, shoulder width 0.259, hip width 0.191, foot length 0.152. Crotch 0.482, head
// breadth 0.088, head length 0.114 and the breadth over the deltoids 0.291 are ratios of the
// means of ANSUR II (men). What lies between these points is drawn by eye.
func figureShapes(side state.Side) []bodyShape {
	switch side {
	case state.FromSide:
		return []bodyShape{{points: curve(sideBody())}, {points: curve(sideArm()), inner: true}}
	case state.Top:
		return []bodyShape{
			{points: curve([]Point{{0.058, -0.098}, {0.046, -0.128}, {0.026, -0.124}, {0.020, -0.095}, {0.04, -0.06}})},
			{points: curve([]Point{{-0.058, -0.098}, {-0.046, -0.128}, {-0.026, -0.124}, {-0.020, -0.095}, {-0.04, -0.06}})},
			{points: curve(mirrored([]Point{{0, 0.068}, {0.060, 0.064}, {0.112, 0.048}, {0.142, 0.016}, {0.1455, -0.012}, {0.130, -0.040}, {0.090, -0.058}, {0.045, -0.070}, {0, -0.072}}))},
			{points: curve(mirrored([]Point{{0, 0.057}, {0.026, 0.050}, {0.041, 0.025}, {0.044, -0.005}, {0.034, -0.040}, {0.014, -0.057}, {0, -0.062}}))},
		}
	}
	return []bodyShape{
		{points: curve(mirrored(frontBody()))},
		{points: curve(frontArm(1))},
		{points: curve(frontArm(-1))},
	}
}

// frontBody is the right half of head, trunk and leg from the front, crown to crotch.
func frontBody() []Point {
	return []Point{
		{0, 1}, {0.024, 0.994}, {0.040, 0.974}, {0.0445, 0.948}, {0.0465, 0.938}, {0.0475, 0.922}, {0.0435, 0.906}, {0.038, 0.889}, {0.029, 0.876},
		{0.032, 0.866}, {0.0335, 0.850}, {0.044, 0.838}, {0.080, 0.828}, {0.112, 0.819}, {0.122, 0.805},
		{0.118, 0.780}, {0.106, 0.752}, {0.100, 0.720}, {0.092, 0.670}, {0.086, 0.625}, {0.088, 0.590},
		{0.0945, 0.555}, {0.0985, 0.520}, {0.098, 0.480}, {0.093, 0.420}, {0.082, 0.345}, {0.071, 0.300},
		{0.069, 0.280}, {0.071, 0.250}, {0.073, 0.215}, {0.067, 0.160}, {0.055, 0.095}, {0.048, 0.055},
		{0.050, 0.036}, {0.062, 0.014}, {0.063, 0.001}, {0.044, 0}, {0.026, 0.001}, {0.022, 0.016},
		{0.028, 0.042}, {0.026, 0.090}, {0.021, 0.150}, {0.016, 0.205}, {0.020, 0.255}, {0.024, 0.285},
		{0.019, 0.330}, {0.012, 0.400}, {0.005, 0.465}, {0, 0.482},
	}
}

// frontArm is the arm on one side, hanging a little away from the trunk.
func frontArm(sign float64) []Point {
	arm := []Point{
		{0.106, 0.8195}, {0.126, 0.814}, {0.141, 0.792}, {0.1455, 0.755}, {0.144, 0.710}, {0.147, 0.660},
		{0.154, 0.628}, {0.160, 0.580}, {0.161, 0.530}, {0.158, 0.488}, {0.166, 0.460}, {0.168, 0.425},
		{0.163, 0.390}, {0.156, 0.377}, {0.149, 0.386}, {0.147, 0.420}, {0.140, 0.416}, {0.138, 0.440}, {0.142, 0.468},
		{0.141, 0.488}, {0.135, 0.535}, {0.126, 0.590}, {0.121, 0.630}, {0.114, 0.680}, {0.108, 0.730},
		{0.100, 0.770},
	}
	for i := range arm {
		arm[i].X *= sign
	}
	return arm
}

// sideBody is the whole outline from the right, facing right, without the arm.
func sideBody() []Point {
	return []Point{
		{0.004, 1}, {0.032, 0.990}, {0.050, 0.966}, {0.054, 0.944}, {0.052, 0.934}, {0.057, 0.920}, {0.064, 0.909},
		{0.055, 0.903}, {0.056, 0.894}, {0.053, 0.887}, {0.052, 0.876}, {0.042, 0.869}, {0.022, 0.871},
		{0.017, 0.852}, {0.022, 0.834}, {0.044, 0.806}, {0.064, 0.760}, {0.070, 0.720}, {0.064, 0.670},
		{0.060, 0.620}, {0.060, 0.575}, {0.056, 0.530}, {0.056, 0.480}, {0.055, 0.420}, {0.049, 0.350},
		{0.043, 0.305}, {0.044, 0.282}, {0.038, 0.250}, {0.030, 0.190}, {0.022, 0.110}, {0.024, 0.060},
		{0.050, 0.038}, {0.084, 0.022}, {0.100, 0.010}, {0.098, 0.001}, {0.030, 0}, {-0.040, 0.001},
		{-0.048, 0.014}, {-0.042, 0.044}, {-0.030, 0.080}, {-0.035, 0.140}, {-0.048, 0.205}, {-0.042, 0.250},
		{-0.032, 0.288}, {-0.036, 0.340}, {-0.047, 0.410}, {-0.060, 0.470}, {-0.071, 0.515}, {-0.064, 0.560},
		{-0.046, 0.610}, {-0.048, 0.660}, {-0.060, 0.720}, {-0.066, 0.770}, {-0.058, 0.812}, {-0.038, 0.840},
		{-0.034, 0.862}, {-0.046, 0.886}, {-0.055, 0.915}, {-0.056, 0.948}, {-0.044, 0.980}, {-0.022, 0.996},
	}
}

// sideArm is the arm as it hangs before the trunk, from the right.
func sideArm() []Point {
	return []Point{
		{-0.006, 0.812}, {0.020, 0.798}, {0.026, 0.765}, {0.018, 0.700}, {0.012, 0.635}, {0.022, 0.570},
		{0.030, 0.490}, {0.038, 0.450}, {0.040, 0.410}, {0.034, 0.378}, {0.024, 0.384}, {0.022, 0.410},
		{0.012, 0.440}, {0.008, 0.488}, {-0.010, 0.560}, {-0.026, 0.632}, {-0.034, 0.700}, {-0.038, 0.760},
		{-0.028, 0.800},
	}
}

// mirrored closes a half outline that begins and ends at x = 0 with its mirror image.
func mirrored(half []Point) []Point {
	out := append([]Point(nil), half...)
	for i := len(half) - 2; i > 0; i-- {
		out = append(out, Point{-half[i].X, half[i].Y})
	}
	return out
}

// curve is the closed Catmull-Rom curve through the points, four steps from each to the next.
func curve(p []Point) []Point {
	const steps = 4
	n := len(p)
	out := make([]Point, 0, n*steps)
	for i := range p {
		a, b, c, d := p[(i+n-1)%n], p[i], p[(i+1)%n], p[(i+2)%n]
		for k := range steps {
			t := float64(k) / steps
			at := func(a, b, c, d float64) float64 {
				return b + t/2*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
			}
			out = append(out, Point{at(a.X, b.X, c.X, d.X), at(a.Y, b.Y, c.Y, d.Y)})
		}
	}
	return out
}

// drawFigure puts the stand-in on the paper.
func (d *drawing) drawFigure() {
	l := d.layout
	if l.figure.h() <= 0 {
		return
	}
	tall := stature * l.target
	u := (l.figure.u0 + l.figure.u1) / 2
	base := l.figure.v0
	shapes := figureShapes(d.view.Sheet.Side)
	if d.view.Sheet.Side == state.Top { // seen from above it is drawn about its middle
		base += l.figure.h() / 2
	}
	// The outline's middle is not its axis: a nose and toes stick out in front.
	x0, x1 := 0.0, 0.0
	for _, s := range shapes {
		for _, p := range s.points {
			x0, x1 = min(x0, p.X), max(x1, p.X)
		}
	}
	u -= (x0 + x1) / 2 * tall
	place := func(points []Point) []Point {
		out := make([]Point, len(points))
		for i, p := range points {
			out[i] = l.camera.Paper(u+p.X*tall, base+p.Y*tall)
		}
		return out
	}
	// A small figure has a fine line, so that it stays a figure.
	pen := min(max(tall*l.camera.Zoom/40, 0.7), 2.2)
	var filled, lines []Mark
	for _, s := range shapes {
		points := place(s.points)
		if !s.inner {
			lines = append(lines, Mark{Kind: Outline, Ink: Pen, Role: StandIn, Clipped: true, Points: points, Width: pen})
			filled = append(filled, Mark{Kind: Area, Ink: Figure, Role: StandIn, Clipped: true, Points: points})
			if d.view.Sheet.Side == state.Top {
				filled = append(filled, Mark{Kind: Outline, Ink: Pen, Role: StandIn, Clipped: true, Points: points, Width: 0.9})
			}
			continue
		}
		filled = append(filled, Mark{Kind: Outline, Ink: Pen, Role: StandIn, Clipped: true, Points: points, Width: 0.7})
	}
	// The outlines lie under the insides, so that only the outer half of their line is left
	// and body and arms are one silhouette.
	d.marks = append(append(d.marks, lines...), filled...)
	under := l.camera.Paper((l.figure.u0+l.figure.u1)/2, l.figure.v0)
	d.write(Mark{Ink: Thin, Role: StandIn, Clipped: true, Text: text.StandIn(stature, d.view.Result.Target, d.view.Sheet.Inches), Size: sizeLabel,
		At: Point{under.X, under.Y + nameRoom}, Align: Centre})
}
