package figure

import (
	"math"

	"scantling/engine/ratio"
)

// The tables' sources.
const (
	ansur  = "ANSUR II (NATICK/TR-15/007, 2014), computed from its public data; soldiers, barefoot"
	din    = "DIN 33402-2:2005-12, 18 to 65 years, unclothed, from a copy of the table; SD from the 5th and 95th percentiles"
	nhanes = "US adults, NHANES 2011–2014 (Vital and Health Statistics 3, no. 39); SD of HES 1960–62 (11, no. 8)"
)

// normal95 is the 95th percentile of the normal distribution.
const normal95 = 1.6448536269514722

// Measure is what the population's table says of a measure; false where it says nothing.
func (p Population) Measure(m Measure) (Value, bool) {
	switch p {
	case Men:
		return ansurRow(m, 0)
	case Women:
		return ansurRow(m, 2)
	case Adults:
		a, ok := Men.Measure(m)
		b, _ := Women.Measure(m)
		// Half of each: the variance within and that between the two means.
		half := (a.Mean - b.Mean) / 2
		return Value{(a.Mean + b.Mean) / 2, math.Sqrt((a.SD*a.SD+b.SD*b.SD)/2 + half*half), ansur, ratio.Computed}, ok
	case USMen, USWomen:
		if m != Stature {
			return Value{}, false
		}
		if p == USMen { // 5 ft 9 1/4 in; 2.85 in
			return Value{69.25 * 25.4, 2.85 * 25.4, nhanes, ratio.Seen}, true
		}
		return Value{63.75 * 25.4, 2.58 * 25.4, nhanes, ratio.Seen}, true
	case GermanMen:
		return dinRow(m, 0)
	case GermanWomen:
		return dinRow(m, 3)
	}
	if who, years, ok := p.Child(); ok && m == Stature {
		return childStature(who, years), true
	}
	return Value{}, false
}

// ansurRow is mean and SD of men (from 0) or women (from 2).
func ansurRow(m Measure, from int) (Value, bool) {
	row, ok := map[Measure][4]float64{
		Stature:          {1756.2, 68.6, 1628.5, 64.2},
		ShoulderHeight:   {1440.7, 63.3, 1335.1, 58.1},
		HipHeight:        {900.9, 49.2, 845.4, 44.7},
		CrotchHeight:     {845.9, 46.5, 782.3, 44.6},
		WristHeight:      {847.5, 41.7, 794.2, 38.2},
		KneeHeight:       {488.4, 28.1, 449.1, 26.0},
		SittingHeight:    {918.3, 35.7, 856.6, 33.1},
		EyeHeightSitting: {804.5, 33.2, 747.7, 30.4},
		SeatHeight:       {429.8, 24.8, 388.2, 23.6},
		HandLength:       {193.3, 10.0, 181.1, 10.1},
		FootLength:       {271.2, 13.1, 246.3, 12.4},
		Span:             {1814.2, 84.6, 1660.3, 83.0},
		ShoulderBreadth:  {510.4, 32.5, 450.3, 28.7}, // bideltoid
		HipBreadth:       {345.7, 24.2, 353.8, 26.7},
		HeadLength:       {199.5, 7.0, 189.8, 7.5},
		HeadBreadth:      {154.3, 5.5, 147.8, 5.2},
	}[m]
	return Value{row[from], row[from+1], ansur, ratio.Computed}, ok
}

// dinRow is of men (from 0) or women (from 3). The two outer percentiles lie about evenly
// around the median, so it is taken as the mean, and their distance as that of a normal
// distribution.
func dinRow(m Measure, from int) (Value, bool) {
	row, ok := map[Measure][6]float64{ // cm: 5th, 50th, 95th percentile
		Stature:          {165.0, 175.0, 185.5, 153.5, 162.5, 172.0},
		EyeHeight:        {153.0, 163.0, 173.5, 143.5, 151.5, 160.5},
		ShoulderHeight:   {134.5, 145.0, 155.0, 126.0, 134.5, 142.5},
		ElbowHeight:      {102.5, 110.0, 117.5, 96.0, 102.0, 108.0},
		SittingHeight:    {85.5, 91.0, 96.5, 81.0, 86.0, 91.0},
		EyeHeightSitting: {74.0, 79.5, 85.5, 70.5, 75.5, 80.5},
		SeatHeight:       {41.0, 45.0, 49.0, 37.5, 41.5, 45.0},
	}[m]
	const mm = 10
	return Value{row[from+1] * mm, (row[from+2] - row[from]) * mm / (2 * normal95), din, ratio.SeenSecondHand}, ok
}

// The source of the segments, and of how much people differ in them.
const (
	segments = "Drillis and Contini 1966, as printed in Winter, Biomechanics and Motor Control of Human Movement, fig. 4.1, from reproductions; differences between people from ANSUR II"
	sitting  = "ANSUR II (NATICK/TR-15/007, 2014), ratios of means; differences between people as those of its crotch height"
)

// A Landmark is a height on the standing body.
type Landmark string

// The landmarks, from the ground up.
const (
	Sole      Landmark = "sole"
	Ankle     Landmark = "ankle"
	Knee      Landmark = "knee"
	Fingertip Landmark = "fingertip"
	Wrist     Landmark = "wrist"
	Hip       Landmark = "hip"
	Elbow     Landmark = "elbow"
	Chest     Landmark = "chest"
	Shoulder  Landmark = "shoulder"
	Chin      Landmark = "chin"
	Eyes      Landmark = "eyes"
	Crown     Landmark = "crown"
)

// Landmarks are all landmarks, from the ground up.
func Landmarks() []Landmark {
	return []Landmark{Sole, Ankle, Knee, Fingertip, Wrist, Hip, Elbow, Chest, Shoulder, Chin, Eyes, Crown}
}

// Height is the landmark's height over the sole as a share of the stature.
//
// How much people differ: knee 0.009, shoulder 0.009, wrist 0.012 are of ANSUR II; the hip
// has the 0.015 of the crotch. The eyes' is half of what the tables disagree by (0.936 here,
// 0.931 in DIN 33402-2), as limits. The others are judged by these.
func (l Landmark) Height() (Share, bool) {
	row, ok := map[Landmark][2]float64{
		Sole: {0, 0}, Ankle: {0.039, 0.003}, Knee: {0.285, 0.009}, Fingertip: {0.377, 0.012}, Wrist: {0.485, 0.012},
		Hip: {0.530, 0.015}, Elbow: {0.630, 0.010}, Chest: {0.720, 0.010}, Shoulder: {0.818, 0.009},
		Chin: {0.870, 0.003}, Eyes: {0.936, 0.003}, Crown: {1, 0},
	}[l]
	return Share{row[0], row[1], segments, ratio.SeenSecondHand}, ok
}
