package figure

import (
	"errors"
	"math"

	"scantling/engine/geom"
)

// A Pose is how a figure is drawn.
type Pose string

// The poses.
const (
	Stands  Pose = "stands"  // at ease
	Sits    Pose = "sits"    // upright on a seat as high as the hollow of its knees, hands on the thighs
	Reaches Pose = "reaches" // standing, one arm up and one forward
)

// Poses are all poses, in the order in which they are shown.
func Poses() []Pose { return []Pose{Stands, Sits, Reaches} }

// A View is where a figure is looked at from.
type View uint8

// The views.
const (
	FromFront View = iota
	FromSide       // the figure faces right
	FromAbove      // the figure faces down
)

// A Shape is one piece of a drawing. All pieces together are the silhouette; they are given
// from the farthest to the nearest.
type Shape struct {
	Points []geom.Vec2 // a closed curve, its points close enough to be joined by straight lines
	Edge   []geom.Vec2 // that part of it which is seen as a line where it lies over others; open, may be empty
}

// What Outline refuses.
var (
	ErrPose    = errors.New("the pose is not known")
	ErrStature = errors.New("the stature is not a length")
)

// Outline is a figure's drawing in millimetres of a body of that stature: x to the right, y up
// from the ground, the body's own axis at x = 0; from above y is away from where it faces.
// Breadths are those of a population; without one they are in the middle between men and women.
//
// Heights and lengths are the package's landmarks and segments, heights of a sitting figure
// and breadths are of ANSUR II. What lies between is drawn by eye.
func (p Pose) Outline(from View, stature float64, of Population) ([]Shape, error) {
	if !(stature > 0) || math.IsInf(stature, 0) {
		return nil, ErrStature
	}
	var pieces []piece
	switch p {
	case Stands, "":
		pieces = standing(from)
	case Sits:
		pieces = seated(from)
	case Reaches:
		pieces = reaching(from)
	default:
		return nil, ErrPose
	}
	f := fitting{buildOf(of), buildOf(Men), p, from}
	shapes := make([]Shape, len(pieces))
	for i, d := range pieces {
		points := closedCurve(d.points)
		for k, q := range points {
			q = f.fit(q, d.arm)
			points[k] = geom.Vec2{q[0] * stature, q[1] * stature}
		}
		shapes[i].Points = points
		if d.last > d.first {
			shapes[i].Edge = append(shapes[i].Edge, points[d.first*curveSteps:min(d.last*curveSteps, len(points))]...)
			if d.last >= len(d.points) { // all around
				shapes[i].Edge = append(shapes[i].Edge, points[0])
			}
		}
	}
	return shapes, nil
}

// A piece is a shape as it is drawn up: the points that its curve runs through, in statures.
type piece struct {
	points      []geom.Vec2
	arm         bool // its breadth goes with the shoulders'
	first, last int  // points between which its edge is seen
}

// under is a piece of which no edge is seen, over one of which all is.
func under(p []geom.Vec2) piece { return piece{points: p} }

func over(p []geom.Vec2) piece { return piece{points: p, last: len(p)} }

// hanging is an arm whose edge is seen from one of its points to another.
func hanging(p []geom.Vec2, first, last int) piece { return piece{p, true, first, last} }

// other is the piece on the other side of the body.
func (d piece) other() piece {
	points := make([]geom.Vec2, len(d.points))
	for i, q := range d.points {
		points[i] = geom.Vec2{-q[0], q[1]}
	}
	d.points = points
	return d
}

// SeatOf is how high a sitting figure of that stature sits, in millimetres.
func SeatOf(stature float64, of Population) float64 { return buildOf(of).seat * stature }

// A build is what differs between the bodies of populations, as shares of the stature.
type build struct {
	shoulders, hips float64 // breadths
	seat, sitting   float64 // heights: of the seat, and of a sitting body over it
}

func buildOf(p Population) build {
	switch p {
	case Men, USMen, GermanMen:
		p = Men
	case Women, USWomen, GermanWomen:
		p = Women
	default:
		p = Adults
	}
	share := func(m Measure) float64 {
		v, _ := p.Measure(m)
		tall, _ := p.Measure(Stature)
		return v.Mean / tall.Mean
	}
	return build{share(ShoulderBreadth), share(HipBreadth), share(SeatHeight), share(SittingHeight)}
}

// A fitting makes the drawn body, which is that of men of ANSUR II, one of another build.
type fitting struct {
	b, d build // wanted and drawn
	pose Pose
	from View
}

// fit makes a point of a shape one of the wanted build.
func (f fitting) fit(q geom.Vec2, arm bool) geom.Vec2 {
	b, d := f.b, f.d
	if f.from == FromAbove {
		q[0] *= b.shoulders / d.shoulders
		return q
	}
	hip, shoulder, neck := 0.53, 0.75, 0.83 // heights between which the breadth changes over
	if f.pose == Sits {
		hip, shoulder, neck = hip-sunk, shoulder-sunk, neck-sunk
	}
	if f.from == FromFront {
		s, h := b.shoulders/d.shoulders, b.hips/d.hips
		between := func(a, b, t float64) float64 { return a + (b-a)*min(max(t, 0), 1) }
		// From the hips' breadth to the shoulders', and to the head's, which is as drawn.
		by := s
		if !arm {
			by = between(between(h, s, (q[1]-hip)/(shoulder-hip)), 1, (q[1]-shoulder)/(neck-shoulder)*2-1)
		}
		q[0] *= by
	}
	if f.pose == Sits {
		if q[1] < d.seat {
			q[1] *= b.seat / d.seat
		} else {
			q[1] = b.seat + (q[1]-d.seat)*b.sitting/d.sitting
		}
	}
	return q
}

// sunk is how much lower the trunk of a sitting figure is drawn than that of a standing one:
// so much that its crown is where ANSUR II has it, 0.2447 + 0.5229 of the stature.
const sunk = 1 - 0.7676

// curveSteps from each point to the next make the chords of a curve short.
const curveSteps = 6

// closedCurve is the closed Catmull-Rom curve through the points.
func closedCurve(p []geom.Vec2) []geom.Vec2 {
	const steps = curveSteps
	n := len(p)
	out := make([]geom.Vec2, 0, n*steps)
	for i := range p {
		a, b, c, d := p[(i+n-1)%n], p[i], p[(i+1)%n], p[(i+2)%n]
		for k := range steps {
			t := float64(k) / steps
			at := func(x int) float64 {
				return b[x] + t/2*(c[x]-a[x]+t*(2*a[x]-5*b[x]+4*c[x]-d[x]+t*(3*(b[x]-c[x])+d[x]-a[x])))
			}
			out = append(out, geom.Vec2{at(0), at(1)})
		}
	}
	return out
}

// mirrored closes a half outline that begins and ends at x = 0 with its mirror image.
func mirrored(half []geom.Vec2) []geom.Vec2 {
	out := append([]geom.Vec2(nil), half...)
	for i := len(half) - 2; i > 0; i-- {
		out = append(out, geom.Vec2{-half[i][0], half[i][1]})
	}
	return out
}

// lowered is a shape that much lower.
func lowered(p []geom.Vec2, by float64) []geom.Vec2 {
	out := make([]geom.Vec2, len(p))
	for i, q := range p {
		out[i] = geom.Vec2{q[0], q[1] - by}
	}
	return out
}

// A station is a place along a limb and half its breadth there.
type station struct{ x, y, half float64 }

// limb is the outline of a limb through its stations.
func limb(s ...station) []geom.Vec2 {
	n := len(s)
	out := make([]geom.Vec2, 2*n)
	for i, a := range s {
		b, c := s[max(i-1, 0)], s[min(i+1, n-1)]
		l := math.Hypot(c.x-b.x, c.y-b.y)
		dx, dy := (c.x-b.x)/l*a.half, (c.y-b.y)/l*a.half
		out[i] = geom.Vec2{a.x - dy, a.y + dx}
		out[2*n-1-i] = geom.Vec2{a.x + dy, a.y - dx}
	}
	return out
}

// oval is an ellipse.
func oval(x, y, w, h float64) []geom.Vec2 {
	const n = 10
	out := make([]geom.Vec2, n)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		out[i] = geom.Vec2{x + w*c, y + h*s}
	}
	return out
}
