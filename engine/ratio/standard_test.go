package ratio

import (
	"math"
	"math/big"
	"slices"
	"strings"
	"testing"
)

// length reads a length that the tests rely on.
func length(t testing.TB, typed string) *big.Rat {
	t.Helper()
	l, err := ParseLength(typed, Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	return l.Rat()
}

// oneOf reads a ratio that the tests rely on.
func oneOf(t testing.TB, typed string) Ratio {
	t.Helper()
	a, err := Parse(typed)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The gauges of NEM 010:2011: 1435 mm over N, rounded by the sheet to a common series.
func TestNEMGauges(t *testing.T) {
	gauges := map[string]struct{ gauge, exact, errorPercent float64 }{
		"Z": {6.5, 6.523, -0.35}, "N": {9, 8.969, 0.35}, "TT": {12, 11.958, 0.35}, "H0": {16.5, 16.494, 0.03},
		"S": {22.5, 22.422, 0.35}, "0": {32, 31.889, 0.35}, "I": {45, 44.844, 0.35}, "II": {64, 63.778, 0.35},
		"III": {89, 89.688, -0.77}, "V": {127, 130.455, -2.65}, "VII": {184, 179.375, 2.58}, "X": {260, 260.909, -0.35},
	}
	ladder := Ladder(RailwayNEM)
	if len(ladder) != len(gauges) {
		t.Fatalf("%d sizes, want %d", len(ladder), len(gauges))
	}
	for _, s := range ladder {
		want, ok := gauges[s.Name]
		exact := 1435 * s.Ratio.Float()
		if !ok || math.Abs(exact-want.exact) > 0.00051 || math.Abs((want.gauge/exact-1)*100-want.errorPercent) > 0.0051 {
			t.Errorf("%s is %s: track %.4f mm, %.3f %% off, want %v", s.Name, s.Ratio, exact, (want.gauge/exact-1)*100, want)
		}
		if s.Source != "NEM 010:2011" || s.Status != Seen {
			t.Errorf("%s: %s, %s", s.Name, s.Source, s.Status)
		}
	}
}

// Scales by the foot, exact and as the trade rounds them (ratios recomputed from the exact
// foot of 304.8 mm; NMRA and the societies' roundings seen second hand).
func TestScalesByTheFoot(t *testing.T) {
	for _, c := range []struct{ typed, exact, shown string }{
		{"2 mm = 1 ft", "1:152.4", "1:152.4"},
		{"3 mm = 1 ft", "1:101.6", "1:101.6"},
		{"3.5 mm = 1 ft", "35:3048", "1:87.1"},
		{"4 mm = 1 ft", "1:76.2", "1:76.2"},
		{"5.5 mm = 1 ft", "55:3048", "1:55.4"},
		{"7 mm = 1 ft", "35:1524", "1:43.5"},
		{"10 mm = 1 ft", "1:30.48", "1:30.48"},
		{"16 mm = 1 ft", "1:19.05", "1:19.05"},
		{"2.54 mm = 1 ft", "1:120", "1:120"},
		{"15 mm = 1 ft", "1:20.32", "1:20.32"},
		{"2.0625 mm = 1 ft", "55:8128", "1:147.8"},
		{"3 in = 1 ft", "1:4", "1:4"}, {"1½ in = 1 ft", "1:8", "1:8"}, {"1 in = 1 ft", "1:12", "1:12"}, {"3/4 in = 1 ft", "1:16", "1:16"},
		{"1/2 in = 1 ft", "1:24", "1:24"}, {"3/8 in = 1 ft", "1:32", "1:32"}, {"1/4 in = 1 ft", "1:48", "1:48"}, {"3/16 in = 1 ft", "1:64", "1:64"},
		{"1/8 in = 1 ft", "1:96", "1:96"}, {"3/32 in = 1 ft", "1:128", "1:128"}, {"1/16 in = 1 ft", "1:192", "1:192"}, {"1/32 in = 1 ft", "1:384", "1:384"},
		{"7/8 in = 1 ft", "7:96", "1:13.71"},
	} {
		a := oneOf(t, c.typed)
		if a.Exact() != c.exact || a.String() != c.shown {
			t.Errorf("%s is %s, shown %s, want %s, %s", c.typed, a.Exact(), a, c.exact, c.shown)
		}
	}
}

// ISO 5455:1979, clause 5.1, as quoted in copies of it.
func TestDrawingScales(t *testing.T) {
	var got []string
	for _, s := range Ladder(Drawing) {
		got = append(got, s.Ratio.String())
	}
	want := "50:1 20:1 10:1 5:1 2:1 1:1 1:2 1:5 1:10 1:20 1:50 1:100 1:200 1:500 1:1000 1:2000 1:5000 1:10000"
	if strings.Join(got, " ") != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// Published worked examples: a length times a ratio.
func TestPublishedExamples(t *testing.T) {
	for _, c := range []struct {
		source      string
		real, ratio string
		model       string
		within      string // the rounding of what is published
	}{
		{"NEM 010:2011 §2", "1435 mm", "1:87", "16.5 mm", "0.01 mm"},
		{"Scalefour Society, P4", `4' 8 1/2"`, "4 mm = 1 ft", "18.83 mm", "0.005 mm"},
		{"encyclopaedia, P4", `7' 0 1/4"`, "4 mm = 1 ft", "28.08 mm", "0.005 mm"},
		{"encyclopaedia, P4", "5 ft 3 in", "4 mm = 1 ft", "21 mm", "0"},
		{"article on 2 mm scale", "1394 mm", "1:148", "9.42 mm", "0.005 mm"},
		{"article on 2 mm scale", `4' 6 7/8"`, "1:148", "9.42 mm", "0.005 mm"},
		{"7 mm narrow gauge society", "2 ft 4 1/4 in", "7 mm/ft", "16.5 mm", "0.05 mm"},
		{"7 mm narrow gauge society", "2 ft", "7 mm/ft", "14 mm", "0"},
		{"7 mm narrow gauge society", "3 ft", "7 mm/ft", "21 mm", "0"},
		{"16 mm society", "2 ft", "16 mm to the foot", "32 mm", "0"},
		{"toy and model museum", "6 ft", "1:72", "1 in", "0"},
		{"hospital ship, exhibition panel", "377 ft", "1:48", "94.25 in", "0"},
		{"hospital ship, exhibition panel", "6 ft", "1:48", "1.5 in", "0"},
		{"kit builder's page", "12 ft", "1:24", "6 in", "0"},
		{"collectors' page", "300 in", "1:50", "6 in", "0"},
		{"map pages", "2000 ft", "1:24 000", "1 in", "0"},
		{"map pages", "1 mile", "1:24 000", "2.64 in", "0"},
		{"map pages", "240 m", "1:24 000", "1 cm", "0"},
		{"map page", "5 miles", "1:250 000", "1.27 in", "0.005 in"},
		{"map page", "1 mile", "1:63 360", "1 inch", "0"},
		{"wargamer's calculation", "220 ft 6 in", "1:3000", "22.4 mm", "0.05 mm"},
		{"wargamer's calculation", "58 ft", "1:3000", "5.9 mm", "0.05 mm"},
		{"panorama of a city", "100 ft", "1:1200", "1 in", "0"},
	} {
		model := new(big.Rat).Mul(length(t, c.real), oneOf(t, c.ratio).Rat())
		off := model.Sub(model, length(t, c.model))
		if off.Abs(off).Cmp(length(t, c.within)) > 0 {
			t.Errorf("%s: %s at %s is %s mm away from %s", c.source, c.real, c.ratio, off.FloatString(6), c.model)
		}
	}
	// A club's list calls 18.3 mm right for 4 ft 8½ in at 4 mm to the foot: it is not.
	model := new(big.Rat).Mul(length(t, `4' 8 1/2"`), oneOf(t, "4 mm/ft").Rat())
	if x, _ := model.Float64(); math.Abs(x-18.3) < 0.5 {
		t.Errorf("%g mm", x)
	}
}

// NEM 010:2011 §3.5: from a drawing at 1:45 to a model at 1:87, 45/87 = 0.517.
func TestFactorBetween(t *testing.T) {
	f := FactorBetween(oneOf(t, "1:45"), oneOf(t, "1:87"))
	if f.Exact() != "15/29" || f.String() != "0.5172" || f.Digits() != "0.5172413793103449" {
		t.Errorf("%s, %s, %s", f.Exact(), f, f.Digits())
	}
	if back := f.Target(oneOf(t, "1:45")); back.String() != "1:87" || back.Exact() != "1:87" {
		t.Errorf("1:45 by 15/29 is %s", back.Exact())
	}
	// H0 and HO differ by 0.0985 %.
	f = FactorBetween(oneOf(t, "H0 NEM"), oneOf(t, "HO NMRA"))
	if d := (f.Float() - 1) * -100; math.Abs(d-0.0985) > 0.0001 {
		t.Errorf("HO is %.5f %% under H0", d)
	}
	if FactorBetween(Ratio{}, oneOf(t, "1:87")).Known() || (Factor{}).Target(oneOf(t, "1:87")).Known() {
		t.Error("something known from something unknown")
	}
	// Doll's houses at 1:12 and 1:24 (classroom page): floors 1/144 and 1/576 of the real.
	for _, c := range []struct{ ratio, area string }{{"1:12", "1/144"}, {"1:24", "1/576"}} {
		r := oneOf(t, c.ratio).Rat()
		if got := r.Mul(r, r).String(); got != c.area {
			t.Errorf("area at %s is %s, want %s", c.ratio, got, c.area)
		}
	}
	// Common practice, no source: a factor of 0.2194 to 1:48 means drawn at about 1:10.53.
	factor, err := ParseFactor("0.2194")
	if err != nil {
		t.Fatal(err)
	}
	target := oneOf(t, "1:48").Rat()
	native, err := Of(target, factor.Rat())
	if err != nil || native.Exact() != "1:10.5312" {
		t.Errorf("%s, %v", native.Exact(), err)
	}
}

func TestFigureSize(t *testing.T) {
	mm := func(typed string) Length { return Millimetres(length(t, typed)) }
	// The rows of a table worked out by hand from size, stature and 0.936.
	for _, c := range []struct {
		size           string
		n1730, n1730ey float64
		n1829, n1829ey float64
	}{
		{"6 mm", 288, 270, 305, 285}, {"10 mm", 173, 162, 183, 171}, {"15 mm", 115, 108, 122, 114}, {"20 mm", 86.5, 81.0, 91.4, 85.6}, {"25 mm", 69.2, 64.8, 73.2, 68.5},
		{"28 mm", 61.8, 57.8, 65.3, 61.1}, {"32 mm", 54.1, 50.6, 57.2, 53.5}, {"54 mm", 32.0, 30.0, 33.9, 31.7}, {"75 mm", 23.1, 21.6, 24.4, 22.8},
	} {
		for i, want := range []float64{c.n1730, c.n1730ey, c.n1829, c.n1829ey} {
			stature := []string{"1730 mm", "1829 mm"}[i/2]
			a, err := FigureSize(mm(c.size), i%2 == 1, mm(stature))
			within := 0.051 // half of the last figure that the table has
			if want > 100 {
				within = 0.51
			}
			if n := 1 / a.Float(); err != nil || math.Abs(n-want) > within {
				t.Errorf("%s of %s, eyes %t: 1:%.2f, %v, want 1:%g", c.size, stature, i%2 == 1, n, err, want)
			}
		}
	}
	// Figure-size article: a 2 mm figure is about 1:914.
	if a, err := FigureSize(mm("2 mm"), false, mm("6 ft")); err != nil || a.Exact() != "1:914.4" {
		t.Errorf("%s, %v", a.Exact(), err)
	}
	// The same: a man of 6 ft who is 28 mm to the eyes stands 30 mm tall.
	a, err := FigureSize(mm("28 mm"), true, mm("6 ft"))
	if tall := a.Float() * 1828.8; err != nil || math.Abs(tall-29.91) > 0.005 {
		t.Errorf("%g mm tall, %v", tall, err)
	}
	// Common practice, no source: a six-foot person of 47.7 mm stands at about 1:38.3.
	if a, err := FigureSize(mm("47.7 mm"), false, mm("6 ft")); err != nil || a.String() != "1:38.3" {
		t.Errorf("%s, %v", a, err)
	}
	if _, err := FigureSize(Length{}, false, mm("6 ft")); err == nil {
		t.Error("a figure of no size has a ratio")
	}
}

func TestTable(t *testing.T) {
	all := Standards()
	fields := Fields()
	for _, s := range all {
		if !s.Ratio.Known() || s.Source == "" || s.Status == "" || !slices.Contains(fields, s.Field) {
			t.Errorf("incomplete: %+v", s)
		}
		if strings.Contains(s.Source, "://") {
			t.Errorf("%s: source is an address: %s", s.Name, s.Source)
		}
		back, err := Parse(s.Ratio.Exact())
		if err != nil || !back.Equal(s.Ratio) {
			t.Errorf("%s reads back as %s, %v", s.Ratio.Exact(), back.Exact(), err)
		}
		railway := strings.HasPrefix(string(s.Field), "railway-")
		if (railway || s.Field == Wargame) && !slices.ContainsFunc(Named(s.Name), func(n Standard) bool { return n.Field == s.Field && n.Ratio.Equal(s.Ratio) }) {
			t.Errorf("%q in %s is not found by its name", s.Name, s.Field)
		}
	}
	rungs := 0
	for _, f := range fields {
		ladder := Ladder(f)
		if len(ladder) == 0 {
			t.Errorf("%s has no rungs", f)
		}
		rungs += len(ladder)
		for i := 1; i < len(ladder); i++ {
			if ladder[i-1].Ratio.Cmp(ladder[i].Ratio) <= 0 {
				t.Errorf("%s: %s before %s", f, ladder[i-1].Ratio, ladder[i].Ratio)
			}
		}
	}
	if len(all) < 130 || rungs < 120 {
		t.Errorf("only %d standards on %d rungs", len(all), rungs)
	}
	if Ladder("no such field") != nil {
		t.Error("a ladder out of nothing")
	}
}

// Standards of one ratio share a rung, which says so.
func TestLadderJoins(t *testing.T) {
	for _, s := range Ladder(RailwayBritish) {
		if s.Ratio.String() == "1:76.2" {
			if s.Name != "OO, EM, P4" || s.Source != "societies' sheets" || s.Status != SeenSecondHand {
				t.Errorf("%+v", s)
			}
			return
		}
	}
	t.Error("no rung at 1:76.2")
}

func TestNearest(t *testing.T) {
	for _, c := range []struct {
		typed string
		field Field
		want  string
	}{
		{"1:47", Ships, "1:48"}, {"1:1", Ships, "1:48"}, {"1:5000", Ships, "1:1200"}, {"1:87.1", RailwayNEM, "1:87"}, {"1:87", RailwayNMRA, "1:87.1"},
		{"1:300", Drawing, "1:200"}, {"1:320", Drawing, "1:500"},
	} {
		s, ok := Nearest(oneOf(t, c.typed), c.field)
		if !ok || s.Ratio.String() != c.want {
			t.Errorf("nearest to %s in %s: %s, %t, want %s", c.typed, c.field, s.Ratio, ok, c.want)
		}
	}
	if _, ok := Nearest(Ratio{}, Ships); ok {
		t.Error("something is near to nothing")
	}
	if _, ok := Nearest(oneOf(t, "1:48"), "no such field"); ok {
		t.Error("a field of no rungs has a nearest")
	}
}

func BenchmarkLadder(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if len(Ladder(Drawing)) == 0 {
			b.Fatal("empty")
		}
	}
}
