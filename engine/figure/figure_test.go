package figure

import (
	"errors"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.6g, want %.6g ± %g", what, got, want, tolerance)
	}
}

// The tables, row by row where they matter most; sources in tables.go.
func TestPublishedMeasures(t *testing.T) {
	for _, c := range []struct {
		of       Population
		m        Measure
		mean, sd float64
	}{
		{Men, Stature, 1756.2, 68.6}, {Women, Stature, 1628.5, 64.2}, {Men, SittingHeight, 918.3, 35.7}, {Women, EyeHeightSitting, 747.7, 30.4},
		{Men, ShoulderBreadth, 510.4, 32.5}, {Women, FootLength, 246.3, 12.4}, {Men, HandLength, 193.3, 10.0},
		{USMen, Stature, 1759, 72.4}, {USWomen, Stature, 1619, 65.5}, // 5 ft 9 1/4 in and 5 ft 3 3/4 in, as printed in mm
		{GermanMen, Stature, 1750, 62.3}, {GermanWomen, Stature, 1625, 56.2}, {GermanMen, EyeHeight, 1630, 62.3}, {GermanWomen, SeatHeight, 415, 22.8},
	} {
		v, ok := c.of.Measure(c.m)
		if !ok || v.Source == "" || v.Status == "" {
			t.Errorf("%s of %s: %+v", c.m, c.of, v)
		}
		near(t, string(c.of)+", "+string(c.m), v.Mean, c.mean, 0.5)
		near(t, string(c.of)+", spread of "+string(c.m), v.SD, c.sd, 0.05)
	}
	for _, p := range Populations() {
		if v, ok := p.Measure(Stature); !ok || v.Mean < 1600 || v.Mean > 1800 || v.SD < 50 || v.SD > 100 {
			t.Errorf("%s: %+v", p, v)
		}
		for _, m := range Measures() {
			if v, ok := p.Measure(m); ok && !(v.Mean > 100 && v.SD > 2 && v.SD < 0.12*v.Mean) {
				t.Errorf("%s of %s: %+v", m, p, v)
			}
		}
		if _, ok := p.Measure("wingspan"); ok {
			t.Errorf("%s have wings", p)
		}
	}
	if _, ok := Population("children").Measure(Stature); ok {
		t.Error("children of no age are in no table")
	}
}

// Half of men and half of women: the mean of a mixture, and the variance within and between.
func TestAdults(t *testing.T) {
	v, _ := Adults.Measure(Stature)
	near(t, "mean", v.Mean, (1756.2+1628.5)/2, 1e-9)
	second := (1756.2*1756.2 + 68.6*68.6 + 1628.5*1628.5 + 64.2*64.2) / 2 // E x²
	near(t, "spread", v.SD, math.Sqrt(second-v.Mean*v.Mean), 1e-6)
}

// The segments agree with the heights as the set itself says: within 0.002 of the stature.
func TestSegments(t *testing.T) {
	for _, c := range []struct {
		pieces []Segment
		of     float64
	}{
		{[]Segment{LowerLeg}, 0.285}, {[]Segment{Thigh}, 0.245}, {[]Segment{Trunk}, 0.288}, {[]Segment{Head}, 0.130}, {[]Segment{HeadNeck}, 0.182}, // 0.052 of neck and 0.130
		{[]Segment{LowerLeg, Thigh}, 0.530}, {[]Segment{UpperArm, Forearm, Hand}, 0.818 - 0.377}, {[]Segment{Foot}, 0.152}, {[]Segment{UpperArm}, 0.818 - 0.630},
		{[]Segment{LowerLeg, Thigh, Trunk, HeadNeck}, 1},
	} {
		s, err := Sum(false, c.pieces...)
		if err != nil || s.Source == "" {
			t.Errorf("%v: %v", c.pieces, err)
		}
		near(t, "share", s.Of, c.of, 0.002+1e-12)
	}
	whole, _ := Sum(false, LowerLeg, Thigh, Trunk, HeadNeck)
	if whole.SD != 0 || math.Abs(whole.Of-1) > 1e-15 {
		t.Errorf("the whole body is %+v of itself", whole)
	}
	thigh, _ := Sum(false, Thigh)
	near(t, "spread of the thigh", thigh.SD, math.Hypot(0.009, 0.015), 1e-12)
	eyes, _ := Sum(true, LowerLeg, Thigh, Trunk, HeadNeck)
	near(t, "to the eyes", eyes.Of, 0.936, 1e-12)
	if _, err := Sum(false); !errors.Is(err, ErrNoSegments) {
		t.Error(err)
	}
	if _, err := Sum(false, Thigh, Thigh); !errors.Is(err, ErrTwice) {
		t.Error(err)
	}
	if _, err := Sum(false, "tail"); !errors.Is(err, ErrSegment) {
		t.Error(err)
	}
	for _, s := range Segments() {
		if share, err := Sum(false, s); err != nil || !(share.Of > 0.1 && share.Of < 0.3 && share.SD > 0 && share.SD < 0.02) {
			t.Errorf("%s: %+v, %v", s, share, err)
		}
	}
}

// Landmarks rise from the ground to the crown.
func TestLandmarks(t *testing.T) {
	last := -1.0
	for _, l := range Landmarks() {
		h, ok := l.Height()
		if !ok || !(h.Of > last) || h.Source == "" {
			t.Errorf("%s at %g after %g", l, h.Of, last)
		}
		last = h.Of
	}
	if last != 1 {
		t.Errorf("the crown is at %g", last)
	}
	if _, ok := Landmark("antenna").Height(); ok {
		t.Error("antenna")
	}
}

// Sitting heights against the fractions of other tables: 0.520 in Drillis and Contini (from memory),
// 0.520 and 0.529 in DIN 33402-2, 0.523 and 0.526 in ANSUR II.
func TestPostures(t *testing.T) {
	for _, c := range []struct {
		p      Posture
		toEyes bool
		of     Population
		want   float64
	}{
		{Standing, false, Men, 1}, {"", false, "", 1}, {Standing, true, "", 0.936}, {Bent, false, "", 1}, {Bent, true, "", 0.936},
		{Seated, false, Men, 0.523}, {Seated, false, Women, 0.526}, {Seated, false, GermanWomen, 0.526}, {Seated, false, USMen, 0.523}, {Seated, false, "", 0.5244},
		{Seated, true, Men, 0.4581}, {SeatedFloor, false, Men, 0.7676}, {SeatedFloor, false, Women, 0.7644},
	} {
		s, err := c.p.Height(c.toEyes, nil, c.of)
		if err != nil || s.Source == "" {
			t.Errorf("%s: %v", c.p, err)
		}
		near(t, string(c.p), s.Of, c.want, 0.0005)
		if c.p == Seated {
			near(t, "a sitting figure in DIN 33402-2", s.Of, map[bool]float64{false: 0.524, true: 0.458}[c.toEyes], 0.01)
		}
	}
	if _, err := Posture("lying").Height(false, nil, ""); !errors.Is(err, ErrPosture) {
		t.Error(err)
	}
	for _, p := range Postures() {
		if _, err := p.Height(true, nil, Adults); err != nil {
			t.Errorf("%s: %v", p, err)
		}
	}
}
