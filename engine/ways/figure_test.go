package ways

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"scantling/engine/figure"
	"scantling/engine/ratio"
)

func readings(t testing.TB, typed ...string) []ratio.Length {
	t.Helper()
	out := make([]ratio.Length, len(typed))
	for i, s := range typed {
		out[i] = long(t, s)
	}
	return out
}

func person(t testing.TB, typed string) Person {
	t.Helper()
	p, err := ParsePerson(typed)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.10g, want %.10g ± %g", what, got, want, tolerance)
	}
}

// 37.42 mm by a caliper of limits ± 0.02 mm for 1800 mm known to ± 5 mm, all limits rectangular:
// 1:48.103 with 0.031 % and 0.160 %, so u = 0.079 (worked by hand after GUM 5.1.6).
func TestFigureByHand(t *testing.T) {
	f := Figure{
		Readings: readings(t, "37.42"), Step: long(t, "0"),
		Person: Person{Stature: long(t, "1800"), SD: ratio.Millimetres(rational(5 / math.Sqrt(3)))},
	}
	r, err := f.Ratio()
	if err != nil {
		t.Fatal(err)
	}
	n := 1 / r.Ratio.Float()
	near(t, "the ratio", n, 48.103, 0.0005)
	near(t, "its uncertainty", n*r.SD, 0.079, 0.0005)
	near(t, "the calipers' part", r.Budget[0].SD, 0.00031, 0.000005)
	near(t, "the person's part", r.Budget[1].SD, 0.00160, 0.00001)
	low, high := r.Interval()
	near(t, "the lower end", 1/low.Float(), 48.103-1.96*0.0786, 0.003)
	near(t, "the upper end", 1/high.Float(), 48.103+1.96*0.0786, 0.003)
	if r.K != normal95 || !math.IsInf(r.Freedom, 1) {
		t.Errorf("coverage %g of %g degrees of freedom", r.K, r.Freedom)
	}
}

// Published pairs of figure and person; their sources beside them.
func TestPublishedFigures(t *testing.T) {
	for _, c := range []struct {
		source, size string
		toEyes       bool
		person       string
		n            float64 // 1:n
		tolerance    float64
	}{
		{"toy museum's page on the Twelves scales: a 6 ft figure is exactly 1 inch at 1:72", "1 in", false, "6 ft", 72, 1e-12},
		{"hospital-ship exhibition panel: a 6 ft sailor at 1:48 is 1.5 in", "1.5 in", false, "6 ft", 48, 1e-12},
		{"article on figure sizes: 2 mm for 6 ft is about 1:914", "2 mm", false, "6 ft", 914, 0.5},
		{"panorama of a city at 1:1200: a person of 6 ft 3 in is about 1/16 in", "1/16 in", false, "6 ft 3 in", 1200, 1e-9},
		{"computed table, 28 mm to the eyes of 1730 mm", "28 mm", true, "1730 mm", 57.8, 0.05},
		{"computed table, 54 mm to the crown of 1829 mm", "54 mm", false, "1829 mm", 33.9, 0.05},
	} {
		f := Figure{Readings: readings(t, c.size), ToEyes: c.toEyes, Person: person(t, c.person)}
		r, err := f.Ratio()
		if err != nil {
			t.Errorf("%s: %v", c.source, err)
			continue
		}
		near(t, c.source, 1/r.Ratio.Float(), c.n, c.tolerance)
		// And back: the size by which such figures are sold.
		back := SizeOf(r.Ratio, c.toEyes, f.Person.Stature)
		near(t, c.source+", back", back.MM(), f.Readings[0].MM(), 1e-9)
	}
	// The same article: a 6 ft man who is 28 mm to the eyes is 30 mm tall (29.91).
	a, err := ratio.FigureSize(long(t, "28 mm"), true, long(t, "6 ft"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "28 mm to the eyes", SizeOf(a, false, long(t, "6 ft")).MM(), 29.91, 0.005)
	if SizeOf(ratio.Ratio{}, false, long(t, "6 ft")).Known() || SizeOf(a, false, ratio.Length{}).Known() {
		t.Error("a size of nothing")
	}
}

// One of a population carries its spread: ANSUR II's men, 68.6 mm on 1756.2, are 3.9 %.
func TestPopulation(t *testing.T) {
	r, err := Figure{Readings: readings(t, "50"), Person: Person{Population: figure.Men}}.Ratio()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the ratio", 1/r.Ratio.Float(), 1756.2/50, 1e-9)
	near(t, "its uncertainty", r.SD, 68.6/1756.2, 0.0001)
}

// Student's t for few readings; the numbers by hand from GUM G.4.1 and its table G.2.
func TestRepeatedReadings(t *testing.T) {
	f := Figure{Readings: readings(t, "52.2", "52.3", "52.4"), Limit: long(t, "0"), Step: long(t, "0"), Person: person(t, "1750 mm")}
	r, err := f.Ratio()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the mean", r.Height, 52.3, 1e-12)
	near(t, "its uncertainty", r.SD, 0.1/math.Sqrt(3)/52.3, 1e-12)
	near(t, "freedom", r.Freedom, 2, 1e-9)
	if r.K != 4.30 {
		t.Errorf("coverage %g of two degrees of freedom", r.K)
	}
	// The calipers' limits as well: u = √(0.0577² + 0.0115²), freedom 2·(u/0.0577)⁴ = 2.16.
	f.Limit = ratio.Length{}
	r, err = f.Ratio()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "freedom", r.Freedom, 2*math.Pow(math.Hypot(0.1/3*math.Sqrt(3), 0.02/math.Sqrt(3))*3/(0.1*math.Sqrt(3)), 4), 0.01)
	// Readings that repeat do not narrow the calipers' own limits.
	same, err := Figure{Readings: readings(t, "52.3", "52.3", "52.3"), Person: person(t, "1750 mm")}.Ratio()
	one, err1 := Figure{Readings: readings(t, "52.3"), Person: person(t, "1750 mm")}.Ratio()
	if err != nil || err1 != nil || same.SD != one.SD || same.K != one.K {
		t.Errorf("thrice %v, once %v, %v, %v", same, one, err, err1)
	}
}

func TestBaseAndWear(t *testing.T) {
	bare := Figure{Readings: readings(t, "50 mm"), Person: person(t, "1750 mm")}
	with := bare
	with.Readings, with.Base = readings(t, "53 mm"), long(t, "3 mm")
	a, errA := bare.Ratio()
	b, errB := with.Ratio()
	if errA != nil || errB != nil || !a.Ratio.Equal(b.Ratio) || b.Height != 50 || !(b.SD > a.SD) {
		t.Errorf("without a base %v, %v, with one %v, %v", a, errA, b, errB)
	}
	worn := bare
	worn.Footwear, worn.Headgear = long(t, "25"), long(t, "35")
	r, err := worn.Ratio()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a person in shoes and helmet", r.Stands, 1750+25+35, 1e-9)
	worn.ToEyes = true
	if r, err = worn.Ratio(); err != nil {
		t.Fatal(err)
	}
	near(t, "to the eyes a helmet does not count", r.Stands, 0.936*1750+25, 1e-9)
	worn.Posture = figure.Seated
	if r, err = worn.Ratio(); err != nil {
		t.Fatal(err)
	}
	near(t, "from the seat shoes do not count either", r.Stands, 1750*(804.5+747.7)/(1756.2+1628.5), 0.01)
	worn.ToEyes, worn.Posture, worn.Segments = false, figure.Bent, []figure.Segment{figure.Thigh, figure.Trunk}
	if r, err = worn.Ratio(); err != nil {
		t.Fatal(err)
	}
	near(t, "between knee and shoulder nothing is worn", r.Stands, 1750*(0.818-0.285), 1e-9)
}

func TestFigureRefuses(t *testing.T) {
	six := person(t, "6 ft")
	for _, c := range []struct {
		f    Figure
		want error
	}{
		{Figure{}, ErrNeedReading}, {Figure{Person: six}, ErrNeedReading},
		{Figure{Readings: readings(t, "50")}, ErrNeedPerson},
		{Figure{Readings: readings(t, "0"), Person: six}, ErrZero},
		{Figure{Readings: readings(t, "50", "0"), Person: six}, ErrZero},
		{Figure{Readings: readings(t, "50", "5.2"), Person: six}, ErrReadingsDiffer},
		{Figure{Readings: readings(t, "3"), Base: long(t, "3"), Person: six}, ErrBaseTakesAll},
		{Figure{Readings: readings(t, "50"), Person: Person{Population: "children"}}, ErrPopulation},
		{Figure{Readings: readings(t, "50"), Person: Person{Stature: long(t, "0")}}, ErrNoPerson},
		{Figure{Readings: readings(t, "50"), Person: Person{Stature: long(t, "2 m"), SD: long(t, "1.5 m")}}, ErrTooUncertain},
		{Figure{Readings: readings(t, "1"), Limit: long(t, "10"), Person: six}, ErrTooUncertain},
		{Figure{Readings: readings(t, "50"), Person: six, Posture: "lying"}, figure.ErrPosture},
		{Figure{Readings: readings(t, "50"), Person: six, Posture: figure.Bent, Segments: []figure.Segment{"tail"}}, figure.ErrSegment},
	} {
		if r, err := c.f.Ratio(); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v, %v, want %v", c.f, r.Ratio, err, c.want)
		}
		if _, err := (Way{Kind: ByFigure, Figure: c.f, Native: parsed(t, "1:12")}).Find(Subject{}); !errors.Is(err, c.want) {
			t.Errorf("%+v gives %v, want %v", c.f, err, c.want)
		}
	}
}

func TestByFigure(t *testing.T) {
	w := Way{Kind: ByFigure, Figure: Figure{Readings: readings(t, "36.5625 mm"), Person: person(t, "1755 mm ± 70 mm")}}
	if _, err := w.Find(Subject{}); !errors.Is(err, ErrNeedNative) {
		t.Errorf("no native ratio: %v", err)
	}
	w.Native = parsed(t, "1:12")
	r, err := w.Find(Subject{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the factor", r.Factor.Float(), 0.25, 1e-15)
	near(t, "its uncertainty", r.SD, 70.0/1755, 1e-5)
	if r.NativeSD != 0 || r.TargetSD != r.SD || !r.Native.Equal(w.Native) || r.Target.String() != "1:48.0" && r.Target.String() != "1:48" {
		t.Errorf("%+v", r)
	}
	low, high := r.FactorInterval()
	near(t, "the lower end", low, 0.25*math.Exp(-1.96*r.SD), 1e-5)
	near(t, "the upper end", high, 0.25*math.Exp(1.96*r.SD), 1e-5)
	// With a native ratio from clues both uncertainties count.
	w.NativeFrom, w.Clues = FromClues, []Clue{{Drawn: 100, RealMM: 1200, RealSD: 36}}
	if r, err = w.Find(Subject{}); err != nil {
		t.Fatal(err)
	}
	near(t, "the factor", r.Factor.Float(), 0.25, 1e-12)
	near(t, "its uncertainty", r.SD, math.Hypot(70.0/1755, 0.03), 1e-5)
	near(t, "the figure's own", r.TargetSD, 70.0/1755, 1e-5)
}

// The interval holds the true ratio about 95 times of a hundred, few readings or many.
func TestFigureCoverage(t *testing.T) {
	rnd := rand.New(rand.NewPCG(95, 1))
	for _, n := range []int{1, 3, 10} {
		held := 0
		const trials = 4000
		for range trials {
			truth := 30 + 40*rnd.Float64()
			f := Figure{Step: long(t, "0"), Person: Person{Stature: ratio.Millimetres(rational(1750)), SD: long(t, "2 mm")}}
			height := (1750 + 2*rnd.NormFloat64()) / truth // the person may be other than stated
			bias := 0.02 * (2*rnd.Float64() - 1)
			for range n {
				x := height + bias
				if n > 1 {
					x += 0.05 * rnd.NormFloat64()
				}
				f.Readings = append(f.Readings, ratio.Millimetres(rational(x)))
			}
			r, err := f.Ratio()
			if err != nil {
				t.Fatal(err)
			}
			if low, high := r.Interval(); 1/low.Float() <= truth && truth <= 1/high.Float() {
				held++
			}
		}
		if share := float64(held) / trials; share < 0.94 || share > 0.985 {
			t.Errorf("%d readings: %.3f of the intervals hold the truth", n, share)
		}
	}
}

// A figure of 26.7 mm that stands for a girl of 8 is about 1:48; her body is not divided as
// grown people's are.
func TestFigureOfAChild(t *testing.T) {
	for typed, want := range map[string]string{"girl of 8": "girl-8", "Boy, 12 years": "boy-12", "child 6": "child-6", "boy-2": "boy-2", "child aged 18": "child-18"} {
		p, err := ParsePerson(typed)
		if err != nil || string(p.Population) != want {
			t.Errorf("%q: %v, %v", typed, p, err)
		}
		if again, err := ParsePerson(p.Exact()); err != nil || again.Population != p.Population {
			t.Errorf("%q is not read again: %v", p.Exact(), err)
		}
	}
	f := Figure{Readings: readings(t, "26.58"), Person: Person{Population: "girl-8"}}
	r, err := f.Ratio()
	if err != nil || math.Abs(1/r.Ratio.Float()-48) > 0.05 {
		t.Errorf("%v, %v", r.Ratio, err)
	}
	// The SD of the stature is nearly all: 5.87 of 127.6 cm.
	if math.Abs(r.SD-0.046) > 0.002 {
		t.Errorf("SD %g", r.SD)
	}
	f.ToEyes = true
	if _, err := f.Ratio(); !errors.Is(err, ErrChildBody) {
		t.Errorf("to the eyes: %v", err)
	}
	f.ToEyes, f.Posture = false, figure.Seated
	if _, err := f.Ratio(); !errors.Is(err, ErrChildBody) {
		t.Errorf("seated: %v", err)
	}
}
