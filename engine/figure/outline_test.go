package figure

import (
	"errors"
	"math"
	"testing"

	"scantling/engine/geom"
)

// extent is the box of shapes.
func extent(shapes []Shape) (low, high geom.Vec2) {
	low, high = geom.Vec2{math.Inf(1), math.Inf(1)}, geom.Vec2{math.Inf(-1), math.Inf(-1)}
	for _, s := range shapes {
		for _, p := range s.Points {
			for a := range 2 {
				low[a], high[a] = min(low[a], p[a]), max(high[a], p[a])
			}
		}
	}
	return low, high
}

// spanAt is how far a shape reaches to the left and to the right between two heights.
func spanAt(s Shape, from, to float64) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for _, p := range s.Points {
		if p[1] >= from && p[1] <= to {
			left, right = min(left, p[0]), max(right, p[0])
		}
	}
	return left, right
}

func drawn(t *testing.T, p Pose, from View, stature float64, of Population) []Shape {
	t.Helper()
	shapes, err := p.Outline(from, stature, of)
	if err != nil {
		t.Fatal(err)
	}
	return shapes
}

func share(p Population, m Measure) float64 {
	v, _ := p.Measure(m)
	s, _ := p.Measure(Stature)
	return v.Mean / s.Mean
}

func height(l Landmark) float64 {
	h, _ := l.Height()
	return h.Of
}

// Standing bodies: the table's heights, and breadths of both populations.
func TestOutlineOfAStandingBody(t *testing.T) {
	for _, of := range []Population{Men, Women} {
		const tall = 1000.0
		front, side := drawn(t, Stands, FromFront, tall, of), drawn(t, Stands, FromSide, tall, of)
		for _, view := range [][]Shape{front, side} {
			low, high := extent(view)
			near(t, "sole", low[1], 0, 1)
			near(t, "crown", high[1], tall, 1)
		}
		low, high := extent(front)
		near(t, "hands hang beside the body", (high[0]-low[0])/2, tall*0.165*share(of, ShoulderBreadth)/share(Men, ShoulderBreadth), 6)
		l, r := spanAt(front[1], 700, 800)
		near(t, "breadth over the deltoids, "+string(of), 2*max(-l, r), tall*share(of, ShoulderBreadth), 4)
		l, r = spanAt(front[0], 500, 530)
		near(t, "hips, "+string(of), r-l, tall*share(of, HipBreadth), 6)
		l, r = spanAt(front[0], 910, 950)
		near(t, "head", r-l, tall*share(Men, HeadBreadth), 8)
		arm, _ := extent(front[1:2])
		near(t, "fingertips", arm[1], tall*height(Fingertip), 4)
		_, crotch := lowestBetween(front[0], -1, 1)
		near(t, "crotch", crotch, tall*share(Men, CrotchHeight), 6)
		l, r = spanAt(side[0], 0, 40)
		near(t, "foot", r-l, tall*0.152, 4)
		l, r = spanAt(side[0], 895, 965)
		near(t, "head with the nose", r-l, tall*share(Men, HeadLength), 8)
		// The chin is where the throat leaves the jaw.
		chin := 0.0
		for _, p := range side[0].Points {
			if p[0] > 0.048*tall && p[1] > 860 && p[1] < 890 && (chin == 0 || p[1] < chin) {
				chin = p[1]
			}
		}
		near(t, "chin", chin, tall*height(Chin), 6)
	}
}

// lowestBetween is the lowest point of the upper side of what lies between the legs.
func lowestBetween(s Shape, left, right float64) (x, y float64) {
	y = math.Inf(1)
	for _, p := range s.Points {
		if p[0] > left && p[0] < right && p[1] < y {
			x, y = p[0], p[1]
		}
	}
	return x, y
}

// Sitting bodies are as high over their seat as ANSUR II has it, and their seat is as high
// as the hollow of their knees.
func TestOutlineOfASittingBody(t *testing.T) {
	for _, of := range []Population{Men, Women} {
		tall, _ := of.Measure(Stature)
		sitting, _ := of.Measure(SittingHeight)
		seat, _ := of.Measure(SeatHeight)
		near(t, "seat", SeatOf(tall.Mean, of), seat.Mean, 1e-9)
		for _, from := range []View{FromFront, FromSide} {
			low, high := extent(drawn(t, Sits, from, tall.Mean, of))
			near(t, "floor", low[1], 0, 2)
			near(t, "crown over the floor, "+string(of), high[1], seat.Mean+sitting.Mean, 2)
		}
		body := drawn(t, Sits, FromSide, tall.Mean, of)[0]
		under := math.Inf(1)
		for _, p := range body.Points {
			if p[0] > -0.03*tall.Mean && p[0] < 0.16*tall.Mean {
				under = min(under, p[1])
			}
		}
		near(t, "it sits on its seat, "+string(of), under, seat.Mean, 3)
		knee := 0.0
		for _, p := range body.Points {
			if p[0] > 0.24*tall.Mean {
				knee = max(knee, p[1])
			}
		}
		if k := height(Knee) * tall.Mean; knee < k || knee > k+0.06*tall.Mean {
			t.Errorf("%s: the knee's top is at %g, its joint at %g", of, knee, k)
		}
	}
}

// A reaching arm is as long as its segments from the shoulder.
func TestOutlineOfAReachingBody(t *testing.T) {
	arm := 0.0
	for _, s := range []Segment{UpperArm, Forearm, Hand} {
		l, _ := s.limb()
		arm += l.Of
	}
	for _, from := range []View{FromFront, FromSide} {
		_, high := extent(drawn(t, Reaches, from, 1000, Men))
		near(t, "fingertips overhead", high[1], 1000*(height(Shoulder)+arm), 2)
	}
	_, high := extent(drawn(t, Reaches, FromSide, 1000, Men))
	near(t, "fingertips in front", high[0], 1000*arm, 3)
	low, _ := extent(drawn(t, Reaches, FromAbove, 1000, Men))
	near(t, "fingertips in front, from above", low[1], -1000*arm, 3)
}

// Every outline of any stature is smooth, closed, finite, and grows with the stature alone.
func TestOutlinesAreSmooth(t *testing.T) {
	for _, p := range Poses() {
		for _, from := range []View{FromFront, FromSide, FromAbove} {
			for _, of := range append(Populations(), "") {
				a, b := drawn(t, p, from, 1, of), drawn(t, p, from, 1234.5, of)
				for i, s := range a {
					n := len(s.Points)
					if n < 24 {
						t.Fatalf("%s: %d points are no curve", p, n)
					}
					for k, q := range s.Points {
						if math.IsNaN(q[0]) || math.IsNaN(q[1]) {
							t.Fatalf("%s from %d: %v", p, from, q)
						}
						near(t, "scaled", b[i].Points[k][0], q[0]*1234.5, 1e-9)
						near(t, "scaled", b[i].Points[k][1], q[1]*1234.5, 1e-9)
						next := s.Points[(k+1)%n]
						if d := math.Hypot(next[0]-q[0], next[1]-q[1]); d > 0.05 {
							t.Errorf("%s from %d: a chord of %g at %v", p, from, d, q)
						}
					}
					if len(s.Edge) > n+1 {
						t.Errorf("%s: an edge longer than its curve", p)
					}
				}
			}
		}
	}
}

func TestOutlinesThatCannotBe(t *testing.T) {
	if _, err := Pose("flies").Outline(FromFront, 1, Men); !errors.Is(err, ErrPose) {
		t.Error(err)
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := Stands.Outline(FromFront, bad, Men); !errors.Is(err, ErrStature) {
			t.Errorf("%g: %v", bad, err)
		}
	}
}
