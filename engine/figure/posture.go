package figure

import (
	"math"

	"scantling/engine/ratio"
)

// Height is the height of a figure as a share of the stature of whom it stands for: to the
// crown or to the eyes. Which height that is says the posture; Bent adds up the segments,
// and without any the four from sole to crown. A population that is known sharpens what
// differs between men and women; it may be empty.
func (p Posture) Height(toEyes bool, pieces []Segment, of Population) (Share, error) {
	switch p {
	case Standing, "":
		if toEyes {
			s, _ := Eyes.Height()
			return s, nil
		}
		s, _ := Crown.Height()
		return s, nil
	case Seated, SeatedFloor:
		return sittingShare(p, toEyes, of), nil
	case Bent:
		if len(pieces) == 0 {
			pieces = []Segment{LowerLeg, Thigh, Trunk, HeadNeck}
		}
		return Sum(toEyes, pieces...)
	}
	return Share{}, ErrPosture
}

// sittingShare is from the means of ANSUR II. How much people differ in the share is that of
// the crotch height: both tell how a stature is divided between legs and trunk.
func sittingShare(p Posture, toEyes bool, of Population) Share {
	switch of {
	case USMen, GermanMen:
		of = Men
	case USWomen, GermanWomen:
		of = Women
	case Men, Women:
	default:
		of = Adults
	}
	mean := func(m Measure) float64 {
		v, _ := of.Measure(m)
		return v.Mean
	}
	tall := mean(SittingHeight)
	if toEyes {
		tall = mean(EyeHeightSitting)
	}
	if p == SeatedFloor {
		tall += mean(SeatHeight)
	}
	return Share{tall / mean(Stature), 0.015, sitting, ratio.Computed}
}

// ends are the landmarks that a segment of the upright body joins.
func (s Segment) ends(toEyes bool) (from, to Landmark, ok bool) {
	switch s {
	case LowerLeg:
		return Sole, Knee, true
	case Thigh:
		return Knee, Hip, true
	case Trunk:
		return Hip, Shoulder, true
	case HeadNeck:
		if toEyes {
			return Shoulder, Eyes, true
		}
		return Shoulder, Crown, true
	case Head:
		if toEyes {
			return Chin, Eyes, true
		}
		return Chin, Crown, true
	}
	return "", "", false
}

// limb is the share of a segment that is not upright: upper arm 0.186, forearm 0.146, hand
// 0.108, foot 0.152. Hand and foot differ by 0.0045 and 0.005 (ANSUR II); of the arm's joints
// no more is known than of shoulder and wrist.
func (s Segment) limb() (Share, bool) {
	row, ok := map[Segment][2]float64{
		UpperArm: {0.186, 0.009}, Forearm: {0.146, 0.009}, Hand: {0.108, 0.0045}, Foot: {0.152, 0.005},
	}[s]
	return Share{row[0], row[1], segments, ratio.SeenSecondHand}, ok
}

// Sum is the share of several segments together. Where two meet, it does not matter how far
// up the joint between them lies, so that the whole body, piece by piece, is exactly the
// stature.
func Sum(toEyes bool, pieces ...Segment) (Share, error) {
	if len(pieces) == 0 {
		return Share{}, ErrNoSegments
	}
	total := Share{Source: segments, Status: ratio.SeenSecondHand}
	seen := map[Segment]bool{}
	count := map[Landmark]float64{}
	variance := 0.0
	for _, s := range pieces {
		if seen[s] {
			return Share{}, ErrTwice
		}
		seen[s] = true
		if from, to, ok := s.ends(toEyes); ok {
			count[from]--
			count[to]++
			continue
		}
		limb, ok := s.limb()
		if !ok {
			return Share{}, ErrSegment
		}
		total.Of += limb.Of
		variance += limb.SD * limb.SD
	}
	for _, l := range Landmarks() { // in order, so that the sum has always the same bits
		h, _ := l.Height()
		total.Of += count[l] * h.Of
		variance += count[l] * count[l] * h.SD * h.SD
	}
	total.SD = math.Sqrt(variance)
	return total, nil
}
