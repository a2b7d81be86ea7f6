package judge

import (
	"context"
	"math"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/survey"
)

// The small-parts cylinder of 16 CFR 1501.4 (figure 1) and EN 71-1 (8.2), in millimetres: 1.25 in
// wide, its floor cut at a slant so that it is 1 in deep at one side and 2.25 in at the
// other. The regulation holds the inches to count, and says that what fits entirely within
// it, in any orientation and without being compressed, fails.
const (
	cylinderWidth   = 1.25 * 25.4
	cylinderShallow = 1.00 * 25.4
	cylinderDeep    = 2.25 * 25.4
)

// How finely Cylinder looks: directions on half a sphere, and turns about each.
const (
	cylinderLooks = 400
	cylinderTurns = 24
)

// Cylinder is the largest factor found at which a part goes into the small-parts cylinder. The
// part is in millimetres as drawn (survey.Hull.Scaled). It is +Inf for a part without extent.
//
// The part's convex hull is tried, in some thousand orientations, with the smallest circle
// around what is seen from above on the cylinder's axis. At the factor it does go in; a
// better way in may exist, which for a ball, a rod and a disc there is not, and for other
// shapes is a few per cent at most. Like the test in the hand, it is a warning, no approval.
// Cylinder asks ctx at every direction and has no other error.
func Cylinder(ctx context.Context, part survey.Hull) (float64, error) {
	points := part.Few
	best, up := 0.0, geom.Vec{}
	look := func(d geom.Vec) {
		if f := goesIn(points, d); f > best {
			best, up = f, d
		}
	}
	for _, axis := range []geom.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
		look(axis)
	}
	// A spiral from pole to pole spreads directions evenly (Saff and Kuijlaars 1997). A
	// direction and its opposite differ: the floor slants.
	golden := math.Pi * (3 - math.Sqrt(5))
	for i := range cylinderLooks {
		if ctx.Err() != nil {
			return 0, ctx.Err()
		}
		z := 1 - (2*float64(i)+1)/cylinderLooks
		sin, cos := math.Sincos(golden * float64(i))
		r := math.Sqrt(1 - z*z)
		look(geom.Vec{r * cos, r * sin, z})
	}
	// Then closer and closer around the best.
	for step := 2 / math.Sqrt(cylinderLooks); step > 1e-3; step /= 2 {
		if ctx.Err() != nil {
			return 0, ctx.Err()
		}
		x, y := towards(up)
		around := up
		for k := range 8 {
			sin, cos := math.Sincos(math.Pi / 4 * float64(k))
			d := around.Add(x.Scale(step * cos)).Add(y.Scale(step * sin))
			look(d.Scale(1 / d.Len()))
		}
	}
	if len(part.Points) == len(points) || math.IsInf(best, 1) {
		return best, ctx.Err()
	}
	return goesIn(part.Points, up), ctx.Err()
}

// goesIn is the largest factor at which points go into the cylinder with up towards its mouth.
//
// With the mouth at height 0, x towards the deep side, and the floor at −(m + s·x), a part of
// whose outline the circle has radius r may stand to the deep side by as much as the cylinder
// is wider. So both r and, for some x, the span of s·x below its top decide.
func goesIn(points []geom.Vec, up geom.Vec) float64 {
	x, y := towards(up)
	flat := make([]geom.Vec2, len(points))
	top := math.Inf(-1)
	for i, p := range points {
		flat[i] = geom.Vec2{p.Dot(x), p.Dot(y)}
		top = max(top, p.Dot(up))
	}
	outline := geom.Hull2(slices.Clone(flat)) // it puts its points in order
	if len(outline) == 0 {
		return math.Inf(1)
	}
	centre, radius := geom.SmallestCircle(outline)
	f := cylinderWidth / 2 / radius
	const slant = (cylinderDeep - cylinderShallow) / cylinderWidth
	const middle = (cylinderDeep + cylinderShallow) / 2
	deepest := math.Inf(1)
	for k := range cylinderTurns {
		sin, cos := math.Sincos(2 * math.Pi / cylinderTurns * float64(k))
		deep := 0.0
		for i, p := range points {
			along := (flat[i][0]-centre[0])*cos + (flat[i][1]-centre[1])*sin
			deep = max(deep, top-p.Dot(up)-slant*along)
		}
		deepest = min(deepest, deep)
	}
	return min(f, (middle+slant*cylinderWidth/2)/(deepest+slant*radius))
}
