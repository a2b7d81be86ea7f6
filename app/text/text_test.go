package text

import (
	"math/big"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

func mustRatio(t *testing.T, typed string) ratio.Ratio {
	t.Helper()
	r, err := ratio.Parse(typed)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func mustLength(t *testing.T, typed string) ratio.Length {
	t.Helper()
	l, err := ratio.ParseLength(typed, ratio.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func mustFactor(t *testing.T, typed string) ratio.Factor {
	t.Helper()
	f, err := ratio.ParseFactor(typed)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// check compares what was written, with no-break spaces shown as plain ones.
func check(t *testing.T, got, want string) {
	t.Helper()
	plain := []rune(got)
	for i, r := range plain {
		if r == '\u00a0' {
			plain[i] = ' '
		}
	}
	if string(plain) != want {
		t.Errorf("got %q, want %q", string(plain), want)
	}
}

func TestFactorAndPercent(t *testing.T) {
	for typed, want := range map[string][2]string{
		"0.235":  {"×0.2350", "23.50 %"},
		"1/3":    {"×0.3333", "33.33 %"},
		"1":      {"×1.000", "100.0 %"},
		"2":      {"×2.000", "200.0 %"},
		"12.345": {"×12.35", "1235 %"},
		"0.0001": {"×0.0001000", "0.01000 %"},
	} {
		f := mustFactor(t, typed)
		check(t, Factor(f), want[0])
		check(t, Percent(f), want[1])
	}
	check(t, Factor(ratio.Factor{}), "–")
	check(t, Percent(ratio.Factor{}), "–")
}

func TestHeadline(t *testing.T) {
	f := mustFactor(t, "0.235")
	factor, rest := Headline(f, mustRatio(t, "1:48"))
	check(t, factor, "×0.2350")
	check(t, rest, "23.50 %  ·  1:48")
	_, rest = Headline(f, ratio.Ratio{})
	check(t, rest, "23.50 %")
}

func TestRatio(t *testing.T) {
	for typed, want := range map[string]string{
		"1:48": "1:48", "2:1": "2:1", "1:11.28": "1:11.28", "1:76.2": "1:76.2",
	} {
		check(t, Ratio(mustRatio(t, typed)), want)
	}
	check(t, Ratio(ratio.Ratio{}), "–")
}

func TestLength(t *testing.T) {
	for _, c := range []struct {
		mm         float64
		mms, inchs string
	}{
		{0, "0 mm", "0 in"},
		{96.8, "96.8 mm", "3.811 in"},
		{1.4, "1.40 mm", "0.055 in"},
		{0.35, "0.35 mm", "0.014 in"},
		{0.0354, "0.035 mm", "0.0014 in"},
		{9.999, "10.0 mm", "0.394 in"},
		{99.96, "100 mm", "3.935 in"},
		{412, "412 mm", "16.22 in"},
		{12345, "12 345 mm", "486.0 in"},
		{-96.8, "-96.8 mm", "-3.811 in"},
	} {
		check(t, Length(c.mm, false), c.mms)
		check(t, Length(c.mm, true), c.inchs)
	}
}

func TestSize(t *testing.T) {
	check(t, Size(geom.Vec{412, 96, 88}, false), "412 × 96 × 88 mm")
	check(t, SizeChangeBare(geom.Vec{6, 6, 180}, geom.Vec{1.41, 1.41, 42.3}, false), "6 × 6 × 180 → 1.41 × 1.41 × 42.3")
	check(t, SizeChangeBare(geom.Vec{6, 6, 180}, geom.Vec{}, false), "6 × 6 × 180")
	check(t, Size(geom.Vec{25.4, 50.8, 0}, true), "1 × 2 × 0 in")
}

func TestReal(t *testing.T) {
	for _, c := range []struct {
		mm           float64
		metric, feet string
	}{
		{9630, "9.63 m", "31 ft 7 in"},
		{1828.8, "1.83 m", "6 ft"},
		{860, "86 cm", "2 ft 10 in"},
		{123456, "123 m", "405 ft"}, // 405 ft 0.5 in
		{4, "4.00 mm", "0.16 in"},
		{304.7, "30 cm", "1 ft"},
		{0, "0 m", "0 in"},
	} {
		check(t, Real(c.mm, false), c.metric)
		check(t, Real(c.mm, true), c.feet)
	}
}

func TestCountsAndBytes(t *testing.T) {
	check(t, Parts(1), "1 part")
	check(t, Parts(0), "0 parts")
	check(t, Triangles(1234567), "1 234 567 triangles")
	check(t, Number(1234), "1234")
	for n, want := range map[int64]string{
		0: "0 B", 999: "999 B", 1000: "1 kB", 1234: "1.2 kB", 999_950: "1 MB", 50_000_084: "50 MB", 3_200_000_000: "3.2 GB",
	} {
		check(t, Bytes(n), want)
	}
	check(t, Share(0.999), "99 %")
	check(t, Share(1), "100 %")
	check(t, Share(-1), "0 %")
}

func TestWhy(t *testing.T) {
	native, target := mustRatio(t, "1:11.28"), mustRatio(t, "1:48")
	for _, c := range []struct {
		way    ways.Way
		result ways.Result
		want   string
	}{
		{ways.Way{Kind: ways.ByRatio, Native: native, Target: target}, ways.Result{Native: native}, "native 1:11.28 ÷ target 1:48"},
		{ways.Way{Kind: ways.ByReal, Target: target, Real: mustLength(t, "9.63 m")},
			ways.Result{Drawn: 853.7, Native: native, Target: target},
			"the kit is 854 mm along x as drawn and 9.63 m in reality, so it was drawn at 1:11.28; 1:48 is wanted"},
		{ways.Way{Kind: ways.ByLength, Length: mustLength(t, "250 mm")}, ways.Result{Drawn: 412, Part: "hull"},
			"the hull, 412 mm along x as drawn, becomes 250 mm"},
		{ways.Way{Kind: ways.ByLength, Length: mustLength(t, "250 mm"), Along: geom.Z}, ways.Result{Drawn: 412, Target: target},
			"the kit, 412 mm along z as drawn, becomes 250 mm; that is 1:48"},
		{ways.Way{Kind: ways.ByBed, Bed: judge.Bed{}}, ways.Result{Drawn: 412, Part: "hull", Limit: 210, Along: geom.X},
			"the bed's 210 mm of width limit the hull, 412 mm as drawn"},
		{ways.Way{Kind: ways.ByFactor}, ways.Result{}, "the factor as you set it, typed or by eye"},
		{ways.Way{Kind: ways.ByFactor}, ways.Result{Native: native, Target: target},
			"the factor as you set it, typed or by eye; from native 1:11.28 this gives 1:48"},
	} {
		check(t, Why(c.way, c.result, false), c.want)
	}
}

func TestTopology(t *testing.T) {
	check(t, Topology(nil), "not looked at yet")
	check(t, Topology(&mesh.Topology{Closed: true, Shells: 1}), "closed")
	check(t, Topology(&mesh.Topology{Closed: true, Shells: 3}), "closed, 3 shells")
	check(t, Topology(&mesh.Topology{OpenEdges: 12}), "open: 12 edges")
	check(t, Topology(&mesh.Topology{CrowdedEdges: 1}), "not closed: 1 edge with more than two triangles")
}

// What is shown never claims more than there is: reading the digits back gives the number
// within half a unit of the last one.
func TestLengthsReadBack(t *testing.T) {
	for mm := 1e-6; mm < 1e8; mm *= 1.0173 {
		s := mmDigits(mm)
		if len(s) > 8 {
			continue // a power of ten or groups of digits
		}
		back, ok := new(big.Rat).SetString(s)
		if !ok {
			continue
		}
		f, _ := back.Float64()
		if d := f/mm - 1; d > 0.06 || d < -0.06 {
			t.Errorf("%v mm is written %q", mm, s)
		}
	}
}
