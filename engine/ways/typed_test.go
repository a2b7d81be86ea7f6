package ways

import (
	"errors"
	"math"
	"strings"
	"testing"

	"scantling/engine/figure"
	"scantling/engine/ratio"
)

func TestParseQuantity(t *testing.T) {
	for _, c := range []struct {
		typed  string
		mm, sd float64
		given  bool
	}{
		{"52.3", 52.3, 0, false}, {"52,3 mm", 52.3, 0, false}, {"52.3±0.1", 52.3, 0.1, true}, {"52.3 +/- 0.1", 52.3, 0.1, true}, {"52.3+-0.1", 52.3, 0.1, true},
		{"1981±5mm", 1981, 5, true}, {"1981 mm ± 5", 1981, 5, true}, {"198.1cm±5mm", 1981, 5, true}, {"1.8 m ± 2 cm", 1800, 20, true}, {"1.8 m ± 0.02", 1800, 20, true},
		{"1.8±0.02m", 1800, 20, true}, {"6 ft ± 1 in", 1828.8, 25.4, true}, {"6' ± 1\"", 1828.8, 25.4, true}, {"5 ft 9 in ± 2 %", 1752.6, 35.052, true}, {"5' 9\" ± 1", 1752.6, 25.4, true},
		{"10 ± 0", 10, 0, true}, {"10 mm ±5%", 10, 0.5, true}, {"½ in ± 1/64 in", 12.7, 25.4 / 64, true},
	} {
		q, err := ParseQuantity(c.typed, ratio.Millimetre)
		if err != nil || math.Abs(q.Length.MM()-c.mm) > 1e-9 || math.Abs(q.SD.MM()-c.sd) > 1e-9 || q.SD.Known() != c.given {
			t.Errorf("%q: %g ± %g, %v, %v", c.typed, q.Length.MM(), q.SD.MM(), q.SD.Known(), err)
		}
	}
	for typed, want := range map[string]error{
		"": ratio.ErrEmpty, "abc": ratio.ErrNotANumber, "0 mm": ratio.ErrNotPositive, "-5": ratio.ErrNegative, "5±": ratio.ErrEmpty, "±5": ratio.ErrEmpty, "5±-1": ratio.ErrNegative,
		"5±x": ratio.ErrNotANumber, "5 parsec": ratio.ErrUnit, "5±1±1": ratio.ErrNotANumber, "1e400 ± 1": ratio.ErrAbsurd, "5 ± 1 parsec": ratio.ErrUnit, "5±%": ratio.ErrEmpty,
	} {
		var p *ratio.ParseError
		if q, err := ParseQuantity(typed, ratio.Millimetre); err == nil || !errors.As(err, &p) {
			t.Errorf("%q is %g, %v, want %v", typed, q.Length.MM(), err, want)
		}
	}
}

func TestParseClue(t *testing.T) {
	for _, c := range []struct {
		typed            string
		drawn, drawnSD   float64
		real, realSD     float64
		object           string
		absolute, within float64
	}{
		{"35.1mm=1981mm±5", 35.1, 0, 1981, 5, "", 0, 1e-9},
		{"35.1 = 1981", 35.1, 0, 1981, 19.81, "", 0, 1e-9},
		{"8 1/2 in ± 0.1 = 6 ft", 215.9, 2.54, 1828.8, 18.288, "", 0, 1e-9},
		{"41.2=door-leaf-uk", 41.2, 0, 1981, 5, "door-leaf-uk", 0, 1e-9},
		{"41.2 = Door leaf UK", 41.2, 0, 1981, 5, "", 0, 1e-9},
		{"1,5 cm=2,1 m ± 1 %", 15, 0, 2100, 21, "", 0, 1e-9},
		{"30 = lifebuoy", 30, 0, 740, 20 / math.Sqrt(3), "lifebuoy", 0, 1e-9},
	} {
		got, err := ParseClue(c.typed)
		if err != nil || math.Abs(got.Drawn-c.drawn) > c.within || math.Abs(got.DrawnSD-c.drawnSD) > c.within ||
			math.Abs(got.RealMM-c.real) > c.within || math.Abs(got.RealSD-c.realSD) > c.within || c.object != "" && got.Object != c.object {
			t.Errorf("%q: %+v, %v", c.typed, got, err)
		}
	}
	for typed, want := range map[string]error{
		"": ErrTwoLengths, "35.1mm": ErrTwoLengths, "=": ratio.ErrEmpty, "35=": nil, "=35": ratio.ErrEmpty, "0=5": ratio.ErrNotPositive, "-1=5": ratio.ErrNegative, "5=0": ratio.ErrNotPositive,
		"5=-3": nil, "5=unicorn": ErrClueUnknown, "5=1981mm±2000mm": ErrClueUnsure, "5±6=10": ErrClueUnsure, "x=5": ratio.ErrNotANumber, "1e300=5": ratio.ErrAbsurd,
		"0.000001mm=100000km": ErrAbsurd, "5=10=20": nil, "5 = 10 parsec": ratio.ErrUnit,
	} {
		c, err := ParseClue(typed)
		if err == nil || want != nil && !errors.Is(err, want) {
			t.Errorf("%q is %+v, %v, want %v", typed, c, err, want)
		}
	}
	var several *SeveralObjectsError
	if _, err := ParseClue("5=door leaf"); err != nil {
		t.Errorf("door leaf: %v", err)
	}
	if _, err := ParseClue("5=brick"); !errors.As(err, &several) || len(several.Keys) < 5 {
		t.Errorf("brick: %v", err)
	}
}

func TestParsePerson(t *testing.T) {
	for _, c := range []struct {
		typed  string
		mm, sd float64
		of     figure.Population
	}{
		{"5ft 9in", 1752.6, 0, ""}, {"6 ft", 1828.8, 0, ""}, {`5' 9"`, 1752.6, 0, ""}, {"1.75", 1750, 0, ""}, {"1,75 m", 1750, 0, ""}, {"6", 1828.8, 0, ""}, {"5.75", 1752.6, 0, ""},
		{"175", 1750, 0, ""}, {"175 cm ± 7", 1750, 70, ""}, {"1755", 1755, 0, ""}, {"1.8 m ± 2 cm", 1800, 20, ""}, {"175 ± 2", 1750, 20, ""}, {"6 ft ± 1 in", 1828.8, 25.4, ""},
		{"man", 0, 0, figure.Men}, {"Woman", 0, 0, figure.Women}, {"adult", 0, 0, figure.Adults}, {"us men", 0, 0, figure.USMen}, {"german-women", 0, 0, figure.GermanWomen}, {" men ", 0, 0, figure.Men},
	} {
		p, err := ParsePerson(c.typed)
		if err != nil || math.Abs(p.Stature.MM()-c.mm) > 1e-9 || math.Abs(p.SD.MM()-c.sd) > 1e-9 || p.Population != c.of || !p.Known() {
			t.Errorf("%q: %g ± %g, %q, %v", c.typed, p.Stature.MM(), p.SD.MM(), p.Population, err)
		}
	}
	for typed, want := range map[string]error{
		"": ratio.ErrEmpty, "0": ratio.ErrNotPositive, "0 m": ratio.ErrNotPositive, "-6 ft": ratio.ErrNegative, "12 m": ErrNoPerson, "30 cm": ErrNoPerson, "20": ErrNoPerson,
		"child": ErrChildAge, "boy of 40": ErrChildAge, "girl of 1": ErrChildAge, "martian": ErrPopulation, "6 parsec": ratio.ErrUnit, "1.75 m ± 1 m": ErrTooUncertain,
	} {
		if p, err := ParsePerson(typed); !errors.Is(err, want) {
			t.Errorf("%q is %+v, %v, want %v", typed, p, err, want)
		}
	}
}

// What is typed reads back exactly as it is written.
func TestWrittenExactly(t *testing.T) {
	for _, typed := range []string{"5ft 9 1/3 in", "1.75 m ± 1/3 in", "6 ft ± 0", "woman", "us-men"} {
		p, err := ParsePerson(typed)
		if err != nil {
			t.Fatal(err)
		}
		q, err := ParsePerson(p.Exact())
		if err != nil || !q.Stature.Equal(p.Stature) || !q.SD.Equal(p.SD) || q.Population != p.Population {
			t.Errorf("%q is %q, then %+v, %v", typed, p.Exact(), q, err)
		}
	}
	all, err := ParseReadings("52.3; 52,34 ;2 1/16 in; ", ratio.Millimetre)
	if err != nil || len(all) != 3 {
		t.Fatalf("%v, %v", all, err)
	}
	again, err := ParseReadings(ExactReadings(all), ratio.Inch)
	if err != nil || len(again) != 3 || !again[2].Equal(all[2]) || !again[1].Equal(all[1]) || all[1].MM() != 52.34 {
		t.Errorf("%q, %v", ExactReadings(all), err)
	}
	for _, typed := range []string{"", ";", "52;;53", "52; x", "0", "52; -1"} {
		if got, err := ParseReadings(typed, ratio.Millimetre); err == nil {
			t.Errorf("%q is %v", typed, got)
		}
	}
	if (Person{}).Exact() != "" || ExactReadings(nil) != "" {
		t.Error("nothing is written")
	}
}

func TestFindObject(t *testing.T) {
	for typed, want := range map[string]string{
		"door-leaf": "door-leaf", "Door Leaf": "door-leaf", "lifebuoy": "lifebuoy", "uk door width": "door-width-uk", "stair going": "stair-going", "withers": "horse-withers",
	} {
		if o, err := FindObject(typed); err != nil || o.Key != want {
			t.Errorf("%q is %q, %v", typed, o.Key, err)
		}
	}
	for _, typed := range []string{"", " ", "unicorn", "door unicorn", strings.Repeat("x", 1000)} {
		if o, err := FindObject(typed); !errors.Is(err, ErrClueUnknown) || len(err.Error()) > 200 {
			t.Errorf("%q is %q, %v", typed, o.Key, err)
		}
	}
}

// Whatever is typed is a clue that can be combined, or an error; never a panic.
func FuzzParseClue(f *testing.F) {
	for _, s := range []string{
		"35.1mm=1981mm±5", "8 1/2 in ± 0.1 = 6 ft", "41.2=door-leaf", "=", "±=±", "5±%=1", "1/0=2", "½=¼", "5'=6\"", "1e9=1e-9", "0.000001=100000km", "١=٢", "\x00=\xff", "1±1=1±1", "man=woman",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		if p, err := ParsePerson(typed); err == nil && !p.Known() {
			t.Errorf("%q is nobody", typed)
		}
		c, err := ParseClue(typed)
		if err != nil {
			return
		}
		if !strings.Contains(typed, "=") || !(c.Drawn > 0) || !(c.RealMM > 0) || !(c.RealSD < c.RealMM) || !(c.DrawnSD < c.Drawn) {
			t.Fatalf("%q is %+v", typed, c)
		}
		all, err := Combine([]Clue{c, {Drawn: 1, RealMM: 48}})
		if err != nil || !all.Known() || all.SD-all.SD != 0 {
			t.Fatalf("%q: %+v, %v", typed, all, err)
		}
		low, high := all.Interval()
		if !low.Known() || !high.Known() || low.Cmp(all.Ratio) < 0 || high.Cmp(all.Ratio) > 0 {
			t.Fatalf("%q: %s is not between %s and %s", typed, all.Ratio.Exact(), low.Exact(), high.Exact())
		}
	})
}
