package ratio

import (
	"errors"
	"math/big"
	"strings"
	"testing"
)

// rat is a rational as the tests write it: "304.8/3.5" is not one, "3048/35" is.
func rat(t testing.TB, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no rational", s)
	}
	return r
}

func TestParse(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"1:48", "1/48"}, {"1/48", "1/48"}, {"48", "1/48"}, {" 48 ", "1/48"}, {"1 : 48", "1/48"}, {"1:48 scale", "1/48"}, {"SCALE 1:5", "1/5"},
		{"1 : 87,1", "10/871"}, {"1:87.1", "10/871"}, {"87,1", "10/871"}, {"1:87,", "1/87"}, {"1:87.", "1/87"}, {"1∶87", "1/87"},
		{"2:1", "2"}, {"2/1", "2"}, {"3:8", "3/8"}, {"3/8", "3/8"}, {"1:1", "1"}, {"1", "1"}, {"1:22 1/2", "2/45"}, {"22½", "2/45"}, {"1:0.5", "2"},
		{"0.5", "1/2"}, {"½", "1/2"}, {"0,02", "1/50"}, {"1.5/72", "1/48"},
		{"1:10,000", "1/10000"}, {"1:10 000", "1/10000"}, {"1:10\u202f000", "1/10000"}, {"1:10000", "1/10000"}, {"1:63,360", "1/63360"},
		{"1:1,000,000", "1/1000000"}, {"1:1.000.000", "1/1000000"}, {"1:1 000 000", "1/1000000"}, {"1:1.000,5", "2/2001"}, {"1:1,000.5", "2/2001"}, {"1:10 000,5", "2/20001"},
		{"1:87,086", "500/43543"}, {"1:0,250", "4"}, {"1:11.280", "25/282"}, {"1:1200,500", "2/2401"}, {"1:12,34,567", ""}, {"1:1e3", "1/1000"}, {"1:4.8E+1", "1/48"},
		{"3.5 mm = 1 ft", "35/3048"}, {"3,5mm/ft", "35/3048"}, {"3.5 mm / ft", "35/3048"}, {"3.5mm/1ft", "35/3048"}, {"3.5 mm per foot", "35/3048"}, {"3.5 mm to the foot", "35/3048"},
		{`1/4" = 1'`, "1/48"}, {"¼” = 1’", "1/48"}, {`¼"=1'-0"`, "1/48"}, {"1/4 in to the foot", "1/48"}, {"1/4 inch = 1 foot", "1/48"}, {"¼″/ft", "1/48"}, {"1/4 in. to the foot", "1/48"}, {"3/16 in = 1 ft", "1/64"},
		{"1 1/2 in to the foot", "1/8"}, {"1-1/2 in to the foot", "1/8"}, {"6 ft to the inch", "1/72"}, {"1 inch to 100 feet", "1/1200"}, {"1 cm : 240 m", "1/24000"},
		{"1 in = 2000 ft", "1/24000"}, {"1 inch to the mile", "1/63360"}, {"10 mm = 1 mm", "10"}, {"1 = 48", "1/48"}, {"1 to 48", "1/48"},
		{"H0 NEM", "1/87"}, {"HO NMRA", "35/3048"}, {"ho (nmra)", "35/3048"}, {"0 NEM", "1/45"}, {"O nmra", "1/48"}, {"O British", "7/304.8"}, {"O UK", "7/304.8"},
		{"Z", "1/220"}, {"s", "1/64"}, {"S scale", "1/64"}, {"gauge 1 NEM", "1/32"}, {"1 gauge NMRA", "1/32"}, {"I NEM", "1/32"}, {"II", "2/45"}, {"gauge 3", "1/16"},
		{"TT:120", "1/120"}, {"TT NEM", "1/120"}, {"N NEM", "1/160"}, {"OO", "5/381"}, {"00", "5/381"}, {"P4", "5/381"}, {"4 mm scale", "5/381"}, {"7 mm scale", "7/304.8"}, {"Fn3", "15/304.8"},
		{"1:1000000000", "1/1000000000"}, {"1000000000:1", "1000000000"},
		{"7:2134", "7/2134"}, {"007:02134", "7/2134"},
	} {
		got, err := Parse(c.typed)
		if c.want == "" {
			if err == nil {
				t.Errorf("Parse(%q) = %s, want an error", c.typed, got.Exact())
			}
			continue
		}
		if err != nil {
			t.Errorf("Parse(%q): %v", c.typed, err)
			continue
		}
		want := rat(t, strings.Split(c.want, "/")[0])
		if _, under, ok := strings.Cut(c.want, "/"); ok {
			want.Quo(want, rat(t, under))
		}
		if got.Rat().Cmp(want) != 0 {
			t.Errorf("Parse(%q) = %s, want %s", c.typed, got.Exact(), c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	long := strings.Repeat("9", 200)
	for _, c := range []struct {
		typed string
		want  error
	}{
		{"", ErrEmpty}, {" \u00a0\ufeff", ErrEmpty},
		{"0:1", ErrNotPositive}, {"1:0", ErrNotPositive}, {"0.0", ErrNotPositive}, {"-48", ErrNotPositive}, {"1:-48", ErrNotPositive}, {"−1:48", ErrNotPositive}, {"0 mm = 1 ft", ErrNotPositive},
		{"NaN", ErrNotANumber}, {"inf", ErrNotANumber}, {"1:inf", ErrUnit}, {"1:48:2", ErrNotANumber}, {":", ErrNotANumber}, {"1:", ErrNotANumber}, {":48", ErrNotANumber}, {"abc", ErrNotANumber}, {"1/0", ErrNotANumber},
		{"48 x", ErrNotANumber}, {"1/2/3", ErrNotANumber}, {"48%", ErrNotANumber}, {"1 5/4", ErrNotANumber}, {"5\x80", ErrNotANumber}, {"1.2.3", ErrNotANumber}, {"1,2,3", ErrNotANumber},
		{"3 mm = 1 furlong", ErrUnit}, {"3 = 1 ft", ErrUnit},
		{"1:1000000001", ErrAbsurd}, {"1e9:0.1", ErrAbsurd}, {"1:1e400000", ErrAbsurd}, {"1e400000", ErrAbsurd}, {"1e-400000", ErrAbsurd}, {"1:1e99999999999999999999", ErrAbsurd},
		{"1:" + long, ErrAbsurd}, {"1:" + strings.Repeat(long, 20), ErrAbsurd}, {strings.Repeat(long, 10000), ErrAbsurd}, {"1:1." + long + long, ErrAbsurd},
	} {
		_, err := Parse(c.typed)
		var typed *ParseError
		if !errors.As(err, &typed) || !errors.Is(err, c.want) {
			t.Errorf("Parse(%.40q): %v, want %v", c.typed, err, c.want)
		} else if len(typed.Typed) > 80 {
			t.Errorf("Parse(%.40q) keeps %d bytes of it", c.typed, len(typed.Typed))
		}
	}
}

// A bare name is read as the standard that spells it so (NEM 010:2011 for H0 and I, NMRA S-1.2
// for HO; both say the same of N and TT). One that two spell alike is never guessed; the field
// or a word settles it.
func TestAmbiguousNames(t *testing.T) {
	for typed, want := range map[string]string{"H0": "1:87", "h0": "1:87", "HO": "1:87.1", "ho": "1:87.1", "N": "1:160", "TT": "1:120", "I": "1:32", "Z": "1:220", "S": "1:64"} {
		if a, err := Parse(typed); err != nil || a.String() != want {
			t.Errorf("Parse(%q) = %v, %v, want %s", typed, a, err, want)
		}
	}
	for _, c := range []struct {
		typed string
		shown string // readings, largest scale first
	}{
		{"O", "1:43.5 1:45 1:48"},
		{"0", "1:43.5 1:45 1:48"},
		{"gauge 1", "1:30.48 1:32"},
		{"G", "1:22.5 1:24 1:29 1:32"},
		{"28 mm", "1:56 1:57.8 1:60 1:61.1 1:61.8 1:64 1:65.3"},
		{"28mm scale", "1:56 1:57.8 1:60 1:61.1 1:61.8 1:64 1:65.3"},
		{"10 mm figures", "1:144 1:160 1:161.928 1:171.2 1:173 1:182.88"},
	} {
		_, err := Parse(c.typed)
		var several *AmbiguousError
		if !errors.As(err, &several) {
			t.Errorf("Parse(%q): %v, want an AmbiguousError", c.typed, err)
			continue
		}
		var shown []string
		for _, s := range several.Readings {
			shown = append(shown, s.Ratio.String())
		}
		if got := strings.Join(shown, " "); got != c.shown || several.Typed != c.typed {
			t.Errorf("%q read as %q: %s, want %s", c.typed, several.Typed, got, c.shown)
		}
	}
	for _, c := range []struct {
		typed string
		field Field
		shown string
	}{
		{"H0", RailwayNEM, "1:87"}, {"H0", RailwayNMRA, "1:87.1"}, {"H0", RailwayOther, "1:80"},
		{"O", RailwayNEM, "1:45"}, {"0", RailwayNMRA, "1:48"}, {"0", RailwayBritish, "1:43.5"},
		{"1", RailwayNEM, "1:32"}, {"1", RailwayNMRA, "1:32"}, {"1", RailwayBritish, "1:30.48"}, {"1", RailwayOther, "1:1"}, {"1", Drawing, "1:1"}, {"1", "", "1:1"},
		{"10", RailwayNEM, "1:10"}, {"48", RailwayNEM, "1:48"}, {"N", RailwayBritish, "1:147.8"}, {"Z", Ships, "1:220"},
	} {
		a, err := ParseIn(c.typed, c.field)
		if err != nil || a.String() != c.shown {
			t.Errorf("ParseIn(%q, %s) = %v, %v, want %s", c.typed, c.field, a, err, c.shown)
		}
	}
	var several *AmbiguousError
	if _, err := ParseIn("O", Ships); !errors.As(err, &several) {
		t.Errorf("a field without the name settles it: %v", err)
	}
	if _, err := ParseIn("G", RailwayGarden); !errors.As(err, &several) {
		t.Errorf("a field with four readings settles it: %v", err)
	}
}

func TestParseLength(t *testing.T) {
	for _, c := range []struct {
		typed string
		unit  Unit
		want  string // mm
	}{
		{"52.3", Millimetre, "52.3"}, {"52,3", Millimetre, "52.3"}, {"52.3", Inch, "1328.42"}, {"52.3", Metre, "52300"}, {"6", FeetInches, "1828.8"}, {"6", Foot, "1828.8"},
		{"1 mm", Inch, "1"}, {"2cm", Millimetre, "20"}, {"3 m", Millimetre, "3000"}, {"500 µm", Millimetre, "0.5"}, {"500 μm", Millimetre, "0.5"}, {"500um", Millimetre, "0.5"}, {"2 km", Millimetre, "2000000"},
		{"1 in", Millimetre, "25.4"}, {`1"`, Millimetre, "25.4"}, {"1 inch", Millimetre, "25.4"}, {"1 ft", Millimetre, "304.8"}, {"1 yd", Millimetre, "914.4"}, {"1 mile", Millimetre, "1609344"},
		{"6'", Millimetre, "1828.8"}, {"6′", Millimetre, "1828.8"}, {"6 feet", Millimetre, "1828.8"}, {`6'0"`, Millimetre, "1828.8"},
		{`5' 11 1/2"`, Millimetre, "1816.1"}, {"5’ 11½”", Millimetre, "1816.1"}, {"5' 11 1/2", Millimetre, "1816.1"}, {"5'-11 1/2\"", Millimetre, "1816.1"}, {"5' 11-1/2''", Millimetre, "1816.1"}, {"5'11.5\"", Millimetre, "1816.1"},
		{"5ft 9in", Millimetre, "1752.6"}, {"5ft9in", Millimetre, "1752.6"}, {"5 ft 9¼ in", Millimetre, "1758.95"}, {"5 feet, 9 inches", Millimetre, "1752.6"}, {"5', 9\"", Millimetre, "1752.6"}, {"5 feet and 9 inches", Millimetre, "1752.6"},
		{"1 7/8 in", Millimetre, "47.625"}, {"7/8 in", Millimetre, "22.225"}, {"1⅞in.", Millimetre, "47.625"}, {"1 m 20 cm", Millimetre, "1200"}, {"1 yd 2 ft 3 in", Millimetre, "1600.2"},
		{"12 500 mm", Millimetre, "12500"}, {"12,500 mm", Millimetre, "12500"}, {"12,525 mm", Millimetre, "12.525"}, {"0,250", Millimetre, "0.25"}, {"1e3", Millimetre, "1000"}, {"1/3 mm", Millimetre, "1/3"},
		{"0", Millimetre, "0"}, {"0 mm", Inch, "0"}, {".5", Millimetre, "0.5"}, {",5", Millimetre, "0.5"},
	} {
		got, err := ParseLength(c.typed, c.unit)
		if err != nil || got.Rat().Cmp(rat(t, c.want)) != 0 {
			t.Errorf("ParseLength(%q, %s) = %s, %v, want %s mm", c.typed, c.unit, got.Exact(), err, c.want)
		}
	}
	for _, c := range []struct {
		typed string
		unit  Unit
		want  error
	}{
		{"", Millimetre, ErrEmpty}, {"-1", Millimetre, ErrNegative}, {"- 5 mm", Millimetre, ErrNegative}, {"mm", Millimetre, ErrNotANumber}, {"5 11", Millimetre, ErrNotANumber},
		{"5 furlong", Millimetre, ErrUnit}, {"nan", Millimetre, ErrNotANumber}, {"inf", Millimetre, ErrNotANumber}, {"5", "ell", ErrUnit}, {"9 in 5 ft", Millimetre, ErrNotANumber}, {"5 m 5", Millimetre, ErrUnit},
		{"1/0 mm", Millimetre, ErrNotANumber}, {"5' 11/0\"", Millimetre, ErrNotANumber}, {"5 mm mm", Millimetre, ErrNotANumber}, {"5' -3\" x", Millimetre, ErrNotANumber}, {"5'-", Millimetre, ErrNotANumber},
		{"1e400000 mm", Millimetre, ErrAbsurd}, {"1e16", Millimetre, ErrAbsurd}, {"1e-16", Millimetre, ErrAbsurd}, {strings.Repeat("1", 300), Millimetre, ErrAbsurd}, {strings.Repeat("1 ", 1<<20), Millimetre, ErrAbsurd},
	} {
		if got, err := ParseLength(c.typed, c.unit); !errors.Is(err, c.want) {
			t.Errorf("ParseLength(%.40q, %s) = %s, %v, want %v", c.typed, c.unit, got.Exact(), err, c.want)
		}
	}
}

func TestParseFactor(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"0.235", "0.235"}, {"0,235", "0.235"}, {"23.5 %", "0.235"}, {"23,5%", "0.235"}, {"x0.235", "0.235"}, {"X 0.235", "0.235"}, {"×0.235", "0.235"}, {"* 0.235", "0.235"},
		{"1/4", "1/4"}, {"¼", "1/4"}, {"1 1/2", "3/2"}, {"15/29", "15/29"}, {"2", "2"}, {"1", "1"}, {"0,250", "1/4"}, {"1,250", "5/4"}, {"100%", "1"}, {"2e-3", "1/500"},
	} {
		got, err := ParseFactor(c.typed)
		if err != nil || got.Rat().Cmp(rat(t, c.want)) != 0 {
			t.Errorf("ParseFactor(%q) = %s, %v, want %s", c.typed, got.Exact(), err, c.want)
		}
	}
	for _, c := range []struct {
		typed string
		want  error
	}{
		{"", ErrEmpty}, {"0", ErrNotPositive}, {"-1", ErrNotPositive}, {"0 %", ErrNotPositive}, {"NaN", ErrNotANumber}, {"Inf", ErrNotANumber}, {"+Inf", ErrNotANumber}, {"x", ErrNotANumber}, {"%", ErrNotANumber}, {"×", ErrNotANumber},
		{"1e10", ErrAbsurd}, {"1e-10", ErrAbsurd}, {"1e999999999", ErrAbsurd}, {"1:4", ErrNotANumber}, {"2 mm", ErrNotANumber}, {"1/0", ErrNotANumber}, {"50%%", ErrNotANumber},
	} {
		if got, err := ParseFactor(c.typed); !errors.Is(err, c.want) {
			t.Errorf("ParseFactor(%q) = %s, %v, want %v", c.typed, got.Exact(), err, c.want)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"1:48", "1/48", "48", "1 : 87,1", "3:8", `1/4" = 1'`, "3,5mm/ft", "1/4 in to the foot", "H0", "O NMRA", "28 mm", "1:10,000", "1 1/2 in = 1 ft", "½", "1e400000", "7/8 in scale",
		`1e-30:5' 11 1/2"`, "6 ft to the inch", "0.0000000011",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		a, err := Parse(typed)
		if err != nil {
			var wrong *ParseError
			var several *AmbiguousError
			if a.Known() || !errors.As(err, &wrong) && !errors.As(err, &several) {
				t.Fatalf("%q: %v, %v", typed, a, err)
			}
			return
		}
		back, err := Parse(a.Exact())
		if err != nil || !back.Equal(a) {
			t.Fatalf("%q is %s, which reads back as %s, %v", typed, a.Exact(), back.Exact(), err)
		}
		if x := a.Float(); !(x >= 0.999e-9 && x <= 1.001e9) || a.String() == "" {
			t.Fatalf("%q is %g, %s", typed, x, a)
		}
		if got, err := ParseFactor(typed); err == nil {
			if back, err := ParseFactor(got.Exact()); err != nil || !back.Equal(got) {
				t.Fatalf("factor %q is %s, which reads back as %s, %v", typed, got.Exact(), back.Exact(), err)
			}
		}
	})
}

func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"52.3", "52,3 mm", `5' 11 1/2"`, "5ft 9¼ in", "1 7/8 in", "1 m 20 cm", "12 500 mm", "1/3 mm", "1e30", "0", "1e-14 µm", "-1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		for _, unit := range []Unit{Millimetre, FeetInches} {
			l, err := ParseLength(typed, unit)
			if err != nil {
				var wrong *ParseError
				if l.Known() || !errors.As(err, &wrong) {
					t.Fatalf("%q: %v, %v", typed, l, err)
				}
				continue
			}
			back, err := ParseLength(l.Exact(), Inch)
			if err != nil || !back.Equal(l) {
				t.Fatalf("%q is %s, which reads back as %s, %v", typed, l.Exact(), back.Exact(), err)
			}
			if x := l.MM(); x < 0 || x > 1.001e15 {
				t.Fatalf("%q is %g mm", typed, x)
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for _, typed := range []string{"1:48", "1:87,1", `1/4" = 1'`, "H0 NEM"} {
		b.Run(typed, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(typed); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
