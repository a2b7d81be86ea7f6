package ways

import (
	"errors"
	"math"
	"math/big"

	"scantling/engine/figure"
	"scantling/engine/ratio"
)

// A Figure is a figure in hand: how tall it is by calipers and whom it stands for.
type Figure struct {
	Readings []ratio.Length   `json:"readings,omitempty"` // of the height, base and all; several tell how well they repeat
	Limit    ratio.Length     `json:"limit,omitzero"`     // ± limits of the instrument; not given: those of a digital caliper
	Step     ratio.Length     `json:"step,omitzero"`      // its last digit; not given: 0.01 mm
	ToEyes   bool             `json:"toEyes,omitempty"`   // measured to the eyes, otherwise to the crown
	Base     ratio.Length     `json:"base,omitzero"`      // thickness of the base, measured alike, to be taken off
	Headgear ratio.Length     `json:"headgear,omitzero"`  // of the person, full size; counts where it is measured to the crown
	Footwear ratio.Length     `json:"footwear,omitzero"`  // of the person, full size; counts where it is measured from the sole
	Posture  figure.Posture   `json:"posture,omitempty"`  // empty: standing
	Segments []figure.Segment `json:"segments,omitempty"` // Bent: what the readings add up; none: all four from sole to crown
	Person   Person           `json:"person,omitzero"`
}

// A Person is whom a figure stands for: someone of a stated stature, or anyone of a
// population.
type Person struct {
	Stature    ratio.Length      `json:"stature,omitzero"` // decides where it is known
	SD         ratio.Length      `json:"sd,omitzero"`      // standard uncertainty of the stature; not given: stated exactly
	Population figure.Population `json:"population,omitempty"`
}

// Known is false for the zero value.
func (p Person) Known() bool { return p.Stature.Known() || p.Population != "" }

// A Cause is something that makes a measured ratio uncertain.
type Cause string

// The causes.
const (
	FromInstrument Cause = "instrument" // the limits of the calipers
	FromStep       Cause = "step"       // their last digit
	FromRepeating  Cause = "repeating"  // several readings differ
	FromBase       Cause = "base"       // measuring the base
	FromPerson     Cause = "person"     // how tall the person is
	FromBody       Cause = "body"       // how the body is divided
	FromWear       Cause = "wear"       // what the person wears
)

// Causes are all causes.
func Causes() []Cause {
	return []Cause{FromInstrument, FromStep, FromRepeating, FromBase, FromPerson, FromBody, FromWear}
}

// A Contribution is what one cause adds to the uncertainty.
type Contribution struct {
	Cause Cause
	SD    float64 // standard uncertainty of ln of the ratio by it alone
}

// A FigureRatio is the ratio of a figure in hand, and how it came about.
type FigureRatio struct {
	Estimate
	Height  float64 // mm: mean of the readings less the base
	Stands  float64 // mm: the real height that it is taken for
	Stature float64 // mm: of the person
	Freedom float64 // effective degrees of freedom; +Inf without repeated readings
	Budget  []Contribution
}

// What stands in the way of a figure's ratio. app/text has the words.
var (
	ErrNeedReading    = errors.New("height of the figure not given")
	ErrNeedPerson     = errors.New("nobody said whom the figure stands for")
	ErrPopulation     = errors.New("no table of that population")
	ErrChildAge       = errors.New("no child of that age in the table")
	ErrChildBody      = errors.New("no table of how children's bodies are divided")
	ErrNoPerson       = errors.New("a person without height")
	ErrBaseTakesAll   = errors.New("the base is as high as the figure")
	ErrReadingsDiffer = errors.New("the readings are not of one thing")
	ErrTooUncertain   = errors.New("the uncertainty is as large as the value")
)

// CaliperLimit is the limits ± of a digital caliper of 0.01 mm over such a length, in
// millimetres: 0.02 up to 200 mm, 0.03 to 300 and 0.04 beyond. ISO 13385-1:2019 leaves them to the
// maker of the instrument; these are DIN 862's steps and the usual claims, both second hand.
func CaliperLimit(mm float64) float64 {
	switch {
	case mm <= 200:
		return 0.02
	case mm <= 300:
		return 0.03
	}
	return 0.04
}

// Wear of which only about so much is known counts with limits of ± 10 mm: judged, no source.
const wearLimit = 10.0

// Ratio is figure to person with its uncertainty. The error is one of the package's or of
// package figure.
//
// Method: GUM (JCGM 100:2008) 5.1.6, relative variances of a quotient added. Limits ± a count as
// a/√3 (4.3.7), the last digit as 0.29 of it (F.2.2.1), n readings as s/√n (4.2.3); the
// coverage factor is of the effective degrees of freedom (G.4.1).
func (f Figure) Ratio() (FigureRatio, error) {
	var r FigureRatio
	if len(f.Readings) == 0 {
		return r, ErrNeedReading
	}
	if !f.Person.Known() {
		return r, ErrNeedPerson
	}
	standing := f.Posture == "" || f.Posture == figure.Standing
	if _, _, child := f.Person.Population.Child(); child && (f.ToEyes || !standing) {
		return r, ErrChildBody
	}
	sum := new(big.Rat)
	least, most := math.Inf(1), 0.0
	for _, l := range f.Readings {
		if !(l.MM() > 0) {
			return r, ErrZero
		}
		sum.Add(sum, l.Rat())
		least, most = min(least, l.MM()), max(most, l.MM())
	}
	if most > 2*least {
		return r, ErrReadingsDiffer
	}
	n := float64(len(f.Readings))
	mean := sum.Quo(sum, big.NewRat(int64(len(f.Readings)), 1))
	r.Height, _ = new(big.Rat).Sub(mean, f.Base.Rat()).Float64()
	if !(r.Height > 0) {
		return r, ErrBaseTakesAll
	}
	stature, statureSD, err := f.Person.stature()
	if err != nil {
		return r, err
	}
	share, err := f.Posture.Height(f.ToEyes, f.Segments, f.Person.Population)
	if err != nil {
		return r, err
	}
	r.Stature, r.Stands = stature, stature*share.Of
	wear := 0.0
	for _, w := range f.worn() {
		r.Stands += w
		wear = math.Hypot(wear, min(w, wearLimit)/math.Sqrt(3))
	}
	if r.Ratio = ratioOf(r.Height, r.Stands); !r.Ratio.Known() {
		return r, ErrAbsurd
	}

	limit := CaliperLimit(most)
	if f.Limit.Known() {
		limit = f.Limit.MM()
	}
	step := 0.01
	if f.Step.Known() {
		step = f.Step.MM()
	}
	// The base is measured once more, with the same instrument.
	base := 0.0
	if f.Base.MM() > 0 {
		base = math.Hypot(limit/math.Sqrt(3), 0.29*step)
	}
	repeat := spread(f.Readings, mean) / math.Sqrt(n)
	for _, c := range []Contribution{
		{FromInstrument, limit / math.Sqrt(3) / r.Height},
		{FromStep, 0.29 * step / r.Height},
		{FromRepeating, repeat / r.Height},
		{FromBase, base / r.Height},
		{FromPerson, statureSD * share.Of / r.Stands},
		{FromBody, share.SD * stature / r.Stands},
		{FromWear, wear / r.Stands},
	} {
		if c.SD > 0 {
			r.Budget = append(r.Budget, c)
			r.SD = math.Hypot(r.SD, c.SD)
		}
	}
	if r.SD > 1 {
		return r, ErrTooUncertain
	}
	r.Freedom = math.Inf(1)
	if repeat > 0 {
		r.Freedom = math.Pow(r.SD/(repeat/r.Height), 4) * (n - 1)
	}
	r.K = coverage95(r.Freedom)
	return r, nil
}

// SizeOf is the size by which figures of a ratio are sold, the other way round from
// ratio.FigureSize: the height from the sole to the crown, or to the eyes, of a person of that
// stature. It is not given where one of them is not.
func SizeOf(a ratio.Ratio, toEyes bool, stature ratio.Length) ratio.Length {
	one, err := ratio.FigureSize(stature, toEyes, stature) // 1 over the share of the height
	if err != nil || !a.Known() {
		return ratio.Length{}
	}
	size := stature.Rat()
	return ratio.Millimetres(size.Mul(size, a.Rat()).Quo(size, one.Rat()))
}

// worn is what counts of what the person wears, full size.
func (f Figure) worn() []float64 {
	var out []float64
	fromSole := f.Posture != figure.Seated && (f.Posture != figure.Bent || f.bent(figure.LowerLeg))
	toCrown := !f.ToEyes && (f.Posture != figure.Bent || f.bent(figure.HeadNeck) || f.bent(figure.Head))
	if fromSole && f.Footwear.MM() > 0 {
		out = append(out, f.Footwear.MM())
	}
	if toCrown && f.Headgear.MM() > 0 {
		out = append(out, f.Headgear.MM())
	}
	return out
}

// bent reports whether a bent figure is measured over the segment.
func (f Figure) bent(s figure.Segment) bool {
	if len(f.Segments) == 0 {
		return s != figure.Head
	}
	for _, t := range f.Segments {
		if t == s {
			return true
		}
	}
	return false
}

// stature is how tall the person is and how well that is known, in millimetres.
func (p Person) stature() (mm, sd float64, err error) {
	if p.Stature.Known() {
		mm, sd = p.Stature.MM(), p.SD.MM()
	} else {
		v, ok := p.Population.Measure(figure.Stature)
		if !ok {
			return 0, 0, ErrPopulation
		}
		mm, sd = v.Mean, v.SD
	}
	switch {
	case !(mm > 0):
		return 0, 0, ErrNoPerson
	case sd > mm/2:
		return 0, 0, ErrTooUncertain
	}
	return mm, sd, nil
}

// spread is the standard deviation of the readings, in millimetres; 0 for one alone.
func spread(readings []ratio.Length, mean *big.Rat) float64 {
	if len(readings) < 2 {
		return 0
	}
	squares := 0.0
	for _, l := range readings {
		off, _ := new(big.Rat).Sub(l.Rat(), mean).Float64()
		squares += off * off
	}
	return math.Sqrt(squares / float64(len(readings)-1))
}
