package text

import (
	"math/big"
	"strings"

	"scantling/engine/figure"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// PostureName names a posture by what is measured.
func PostureName(p figure.Posture) string {
	switch p {
	case figure.Standing, "":
		return "standing"
	case figure.Seated:
		return "seated, from the seat"
	case figure.SeatedFloor:
		return "seated, from the floor"
	case figure.Bent:
		return "bent, piece by piece"
	}
	return string(p)
}

// SegmentName names a piece of the body.
func SegmentName(s figure.Segment) string {
	switch s {
	case figure.LowerLeg:
		return "lower leg, sole to knee"
	case figure.Thigh:
		return "thigh, knee to hip"
	case figure.Trunk:
		return "trunk, hip to shoulder"
	case figure.HeadNeck:
		return "neck and head, from the shoulder"
	case figure.Head:
		return "head, from the chin"
	case figure.UpperArm:
		return "upper arm"
	case figure.Forearm:
		return "forearm"
	case figure.Hand:
		return "hand"
	case figure.Foot:
		return "foot, its length"
	}
	return string(s)
}

// PopulationName names a group of people.
func PopulationName(p figure.Population) string {
	switch p {
	case figure.Men:
		return "men"
	case figure.Women:
		return "women"
	case figure.Adults:
		return "men and women"
	case figure.USMen:
		return "men of the United States"
	case figure.USWomen:
		return "women of the United States"
	case figure.GermanMen:
		return "men of Germany"
	case figure.GermanWomen:
		return "women of Germany"
	}
	if who, years, ok := p.Child(); ok {
		age := " of " + Count(years, "year", "years")
		switch who {
		case figure.Boys:
			return "boys" + age
		case figure.Girls:
			return "girls" + age
		}
		return "children" + age
	}
	return string(p)
}

// PersonWords says whom a figure stands for: "a person of 5 ft 9 in", "any of men, 176 ± 7 cm".
func PersonWords(p ways.Person, inches bool) string {
	if p.Stature.Known() {
		s := "a person of " + Real(p.Stature.MM(), inches)
		if p.SD.MM() > 0 {
			s += nbsp + "±" + nbsp + Real(p.SD.MM(), inches)
		}
		return s
	}
	v, ok := p.Population.Measure(figure.Stature)
	if !ok {
		return "nobody known"
	}
	return "one of " + PopulationName(p.Population) + ", " + Real(v.Mean, inches) + nbsp + "±" + nbsp + Real(v.SD, inches)
}

// CauseWords says what makes a measured ratio uncertain.
func CauseWords(c ways.Cause) string {
	switch c {
	case ways.FromInstrument:
		return "the limits of the calipers"
	case ways.FromStep:
		return "their last digit"
	case ways.FromRepeating:
		return "how well the readings repeat"
	case ways.FromBase:
		return "the measure of the base"
	case ways.FromPerson:
		return "how tall the person is"
	case ways.FromBody:
		return "how bodies are divided"
	case ways.FromWear:
		return "what the person wears"
	}
	return string(c)
}

// Budget says what makes a figure's ratio uncertain, the most first: "how tall the person is 3.9 %,
// the limits of the calipers 0.02 %".
func Budget(f ways.FigureRatio) string {
	all := append([]ways.Contribution(nil), f.Budget...)
	var words []string
	for len(all) > 0 {
		most := 0
		for i, c := range all {
			if c.SD > all[most].SD {
				most = i
			}
		}
		words = append(words, CauseWords(all[most].Cause)+" "+relative(all[most].SD))
		all = append(all[:most], all[most+1:]...)
	}
	return strings.Join(words, ", ")
}

// relative is a relative uncertainty in per cent to two figures: "0.022 %".
func relative(sd float64) string { return significant(sd*100, 2) + " %" }

// FigureSizes is how tall figures of a ratio are, as they are sold: "36.5 mm tall, 34.1 mm to the
// eyes, for 1.75 m". Without a person the stature is the median of men in DIN 33402-2.
func FigureSizes(a ratio.Ratio, p ways.Person, inches bool) string {
	stature := p.Stature
	if !stature.Known() {
		of := p.Population
		if of == "" {
			of = figure.GermanMen
		}
		v, ok := of.Measure(figure.Stature)
		if !ok {
			return ""
		}
		stature = ratio.Millimetres(new(big.Rat).SetFloat64(v.Mean))
	}
	tall, eyes := ways.SizeOf(a, false, stature), ways.SizeOf(a, true, stature)
	if !tall.Known() || !eyes.Known() {
		return ""
	}
	return Length(tall.MM(), inches) + " tall, " + Length(eyes.MM(), inches) + " to the eyes, for " + Real(stature.MM(), inches)
}

// figureWhy is the sentence of the way by figure.
func figureWhy(f ways.Figure, inches bool) string {
	r, err := f.Ratio()
	if err != nil {
		return ""
	}
	s := "the figure, " + Length(r.Height, inches) + " "
	switch {
	case f.ToEyes:
		s += "to the eyes"
	case f.Posture == figure.Bent:
		s += "piece by piece"
	default:
		s += "to the crown"
	}
	if f.Posture == figure.Seated || f.Posture == figure.SeatedFloor {
		s += ", " + PostureName(f.Posture) + ","
	}
	return s + " for " + PersonWords(f.Person, inches) + " is " + Uncertain(r.Estimate)
}
