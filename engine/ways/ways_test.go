package ways

import (
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/ratio"
)

func parsed(t testing.TB, typed string) ratio.Ratio {
	t.Helper()
	a, err := ratio.Parse(typed)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func long(t testing.TB, typed string) ratio.Length {
	t.Helper()
	l, err := ratio.ParseLength(typed, ratio.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func times(t testing.TB, typed string) ratio.Factor {
	t.Helper()
	f, err := ratio.ParseFactor(typed)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// tug is a kit of two parts: the hull lies as it is drawn, the mast on its side.
func tug() Subject {
	return Subject{
		Kit: geom.Vec{412, 96, 268},
		Parts: []SubjectPart{
			{ID: "a", Name: "hull", Size: geom.Vec{412, 96, 88}, Lies: geom.Vec{412, 96, 88}},
			{ID: "b", Name: "mast", Size: geom.Vec{6, 6, 180}, Lies: geom.Vec{180, 6, 6}},
		},
	}
}

func TestByRatio(t *testing.T) {
	for _, c := range []struct{ source, native, target, exact, shown string }{
		{"NEM 010:2011 §3.5", "1:45", "1:87", "15/29", "0.5172"},
		{"own example", "1:11.28", "1:48", "0.235", "0.2350"},
		{"own example", "1:48", "1:48", "1", "1.000"},
		{"own example", "1:48", "2:1", "96", "96.00"},
		{"¼ in to the foot from 3.5 mm to the foot", "3.5 mm = 1 ft", "1/4 in = 1 ft", "127/70", "1.814"},
	} {
		r, err := Way{Kind: ByRatio, Native: parsed(t, c.native), Target: parsed(t, c.target)}.Find(Subject{})
		if err != nil || r.Factor.Exact() != c.exact || r.Factor.String() != c.shown {
			t.Errorf("%s: %s to %s is %s, %s, %v, want %s", c.source, c.native, c.target, r.Factor.Exact(), r.Factor, err, c.exact)
		}
		if !r.Native.Equal(parsed(t, c.native)) || !r.Target.Equal(parsed(t, c.target)) {
			t.Errorf("%s: from %s to %s", c.source, r.Native, r.Target)
		}
	}
}

func TestByReal(t *testing.T) {
	// 412 mm drawn for a boat of 412 ft: 1 mm to the foot, 1:304.8.
	r, err := Way{Kind: ByReal, Real: long(t, "412 ft"), Along: geom.X, Target: parsed(t, "1:48")}.Find(tug())
	if err != nil || r.Native.Exact() != "1:304.8" || r.Factor.Exact() != "6.35" || r.Target.Exact() != "1:48" || r.Drawn != 412 || r.Along != geom.X || r.Part != "" {
		t.Errorf("%+v, %v", r, err)
	}
	// A hospital ship of 377 ft in an exhibition at 1:48 is 94.25 in long (its panel), so
	// files drawn 94.25 in long are at their target already.
	s := Subject{Kit: geom.Vec{0, 94.25 * 25.4, 0}, Parts: make([]SubjectPart, 1)}
	r, err = Way{Kind: ByReal, Real: long(t, "377 ft"), Along: geom.Y, Target: parsed(t, "1:48")}.Find(s)
	if err != nil || math.Abs(r.Factor.Float()-1) > 1e-15 || r.Native.String() != "1:48" && r.Native.String() != "1:48.0" {
		t.Errorf("%s, %s, %v", r.Factor.Digits(), r.Native, err)
	}
	// A museum's model at 1:48 (National Maritime Museum, SLR1228) is 2478 mm long; the ship
	// was 390 ft 9 in over all and 360 ft between perpendiculars (second hand). The wrong
	// length of the two gives a wrong ratio.
	s.Kit = geom.Vec{2478, 0, 0}
	for real, want := range map[string]string{"390 ft 9 in": "1:48.1", "360 ft": "1:44.3"} {
		r, err := Way{Kind: ByReal, Real: long(t, real), Along: geom.X, Target: parsed(t, "1:96")}.Find(s)
		if err != nil || r.Native.String() != want {
			t.Errorf("2478 mm for %s is %s, %v, want %s", real, r.Native, err, want)
		}
	}
	// The given native ratio gives way to the one that was worked out.
	r, err = Way{Kind: ByReal, Native: parsed(t, "1:5"), Real: long(t, "412 ft"), Along: geom.X, Target: parsed(t, "1:48")}.Find(tug())
	if err != nil || r.Native.Exact() != "1:304.8" {
		t.Errorf("%s, %v", r.Native, err)
	}
}

func TestByLength(t *testing.T) {
	r, err := Way{Kind: ByLength, Length: long(t, "103 mm"), Along: geom.X}.Find(tug())
	if err != nil || r.Factor.Exact() != "0.25" || r.Drawn != 412 || r.Part != "" || r.Native.Known() || r.Target.Known() {
		t.Errorf("%+v, %v", r, err)
	}
	r, err = Way{Kind: ByLength, Length: long(t, "45 mm"), Along: geom.Z, Part: "b", Native: parsed(t, "1:12")}.Find(tug())
	if err != nil || r.Factor.Exact() != "0.25" || r.Drawn != 180 || r.Part != "mast" || r.Along != geom.Z || r.Target.Exact() != "1:48" {
		t.Errorf("%+v, %v", r, err)
	}
	// Common practice, no source: brought to 1:48 by 0.2194, drawn at about 1:10.53.
	r, err = Way{Kind: ByFactor, Factor: times(t, "0.2194"), Native: parsed(t, "1:10.5312")}.Find(tug())
	if err != nil || r.Target.Exact() != "1:48" {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestByBed(t *testing.T) {
	bed := judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 7}
	r, err := Way{Kind: ByBed, Bed: bed, Native: parsed(t, "1:24")}.Find(tug())
	if err != nil || r.Factor.Float() != 0.5 || r.Part != "hull" || r.Along != geom.X || r.Drawn != 412 || r.Limit != 206 || r.Target.Exact() != "1:48" {
		t.Errorf("%+v, %v", r, err)
	}
	s := tug()
	s.Parts[1].Lies = geom.Vec{6, 6, 1000} // stood up
	r, err = Way{Kind: ByBed, Bed: bed}.Find(s)
	if err != nil || r.Factor.Float() != 0.25 || r.Part != "mast" || r.Along != geom.Z || r.Limit != 250 || r.Target.Known() {
		t.Errorf("%+v, %v", r, err)
	}
	// Whatever the kit, every part fits at the factor and one of them not at any larger.
	rnd := rand.New(rand.NewPCG(2, 300))
	for range 2000 {
		var s Subject
		for range 5 {
			v := geom.Vec{rnd.Float64() * 1000, rnd.Float64() * 1000, rnd.Float64() * 1000}
			s.Parts = append(s.Parts, SubjectPart{Size: v, Lies: v})
		}
		r, err := Way{Kind: ByBed, Bed: bed}.Find(s)
		if err != nil {
			t.Fatal(err)
		}
		all := func(f float64) bool {
			for _, p := range s.Parts {
				if ok, _ := bed.Fits(p.Lies, f); !ok {
					return false
				}
			}
			return true
		}
		f := r.Factor.Float()
		if !all(f) || all(math.Nextafter(f, 2*f)) {
			t.Fatalf("%g is not the largest factor for %+v", f, s.Parts)
		}
	}
}

// What is given exactly comes out exactly: target·real over the float64 that was drawn.
func TestExact(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 1))
	for range 500 {
		s := tug()
		s.Kit[1] = math.Exp(16*rnd.Float64() - 4)
		drawn := new(big.Rat).SetFloat64(s.Kit[1])
		w := Way{Kind: ByReal, Along: geom.Y, Target: parsed(t, "1:87.1"), Real: long(t, `35' 7 1/4"`)}
		r, err := w.Find(s)
		want := w.Real.Rat()
		want.Mul(want, w.Target.Rat()).Quo(want, drawn)
		if err != nil || r.Factor.Rat().Cmp(want) != 0 || !r.Target.Equal(w.Target) {
			t.Fatalf("%s, %v, want %s", r.Factor.Exact(), err, want)
		}
	}
}

func TestFindRefuses(t *testing.T) {
	bed := judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}
	flat := Subject{Kit: geom.Vec{10, 10, 0}, Parts: []SubjectPart{{ID: "a", Size: geom.Vec{10, 10, 0}}}}
	odd := Subject{Kit: geom.Vec{math.NaN(), math.Inf(1), -1}, Parts: flat.Parts}
	speck := Subject{Kit: geom.Vec{1e-12, 1, 1}, Parts: []SubjectPart{{Lies: geom.Vec{1e-12, 0, 0}}}}
	n, m, l := parsed(t, "1:12"), parsed(t, "1:48"), long(t, "10 m")
	for i, c := range []struct {
		way  Way
		s    Subject
		want error
	}{
		{Way{Kind: ByRatio, Target: m}, tug(), ErrNeedNative}, {Way{Kind: ByRatio, Native: n}, tug(), ErrNeedTarget}, {Way{Kind: ByRatio}, tug(), ErrNeedNative},
		{Way{Kind: ByReal, Real: l}, tug(), ErrNeedTarget}, {Way{Kind: ByReal, Target: m}, tug(), ErrNeedReal}, {Way{Kind: ByReal, Target: m, Real: long(t, "0")}, tug(), ErrZero},
		{Way{Kind: ByReal, Target: m, Real: l}, Subject{}, ErrNoParts}, {Way{Kind: ByReal, Target: m, Real: l, Along: geom.Z}, flat, ErrNoExtent}, {Way{Kind: ByReal, Target: m, Real: l, Along: 3}, tug(), ErrNoExtent},
		{Way{Kind: ByReal, Target: m, Real: l, Along: geom.X}, odd, ErrNoExtent}, {Way{Kind: ByReal, Target: m, Real: l, Along: geom.Y}, odd, ErrNoExtent}, {Way{Kind: ByReal, Target: m, Real: l, Along: geom.Z}, odd, ErrNoExtent},
		{Way{Kind: ByReal, Target: m, Real: l, Along: geom.X}, speck, ErrAbsurd},
		{Way{Kind: ByLength}, tug(), ErrNeedLength}, {Way{Kind: ByLength, Length: long(t, "0 mm")}, tug(), ErrZero}, {Way{Kind: ByLength, Length: l}, Subject{}, ErrNoParts},
		{Way{Kind: ByLength, Length: l, Part: "c"}, tug(), ErrNoPart}, {Way{Kind: ByLength, Length: l, Along: geom.Z, Part: "a"}, flat, ErrNoExtent}, {Way{Kind: ByLength, Length: l}, speck, ErrAbsurd},
		{Way{Kind: ByBed}, tug(), ErrNeedBed}, {Way{Kind: ByBed, Bed: judge.Bed{Size: geom.Vec{220, 220, 0}}}, tug(), ErrNeedBed}, {Way{Kind: ByBed, Bed: judge.Bed{Size: geom.Vec{220, math.NaN(), 9}}}, tug(), ErrNeedBed},
		{Way{Kind: ByBed, Bed: judge.Bed{Size: bed.Size, Margin: 110}}, tug(), judge.ErrBedTaken}, {Way{Kind: ByBed, Bed: bed}, Subject{}, ErrNoParts}, {Way{Kind: ByBed, Bed: bed}, Subject{Parts: make([]SubjectPart, 2)}, ErrNoExtent},
		{Way{Kind: ByBed, Bed: bed}, speck, ErrAbsurd},
		{Way{Kind: ByFactor}, tug(), ErrNeedFactor},
		{Way{Kind: ByRatio, Native: parsed(t, "1000000:1"), Target: parsed(t, "1:1000000")}, tug(), ErrAbsurd},
		{Way{Kind: ByFactor, Factor: times(t, "1000"), Native: parsed(t, "100000000:1")}, tug(), ErrAbsurd},
		{Way{Kind: ByReal, Target: parsed(t, "1:1000000000"), Real: long(t, "100000 km"), Along: geom.X}, flat, ErrAbsurd},
		{Way{}, tug(), ErrNoKind}, {Way{Kind: "guess"}, tug(), ErrNoKind},
	} {
		if r, err := c.way.Find(c.s); !errors.Is(err, c.want) || r.Factor.Known() {
			t.Errorf("%d, %s: %v, %v, want %v", i, c.way.Kind, r, err, c.want)
		}
	}
}

func TestKinds(t *testing.T) {
	for _, k := range Kinds() {
		if _, err := (Way{Kind: k}).Find(tug()); err == nil || errors.Is(err, ErrNoKind) {
			t.Errorf("%s of nothing: %v", k, err)
		}
	}
	if len(Kinds()) != 7 {
		t.Errorf("%d ways", len(Kinds()))
	}
}

// A stored way gives the same factor, whichever of its kinds is taken up.
func TestJSON(t *testing.T) {
	in := Way{
		Kind: ByReal, Native: parsed(t, "3.5 mm = 1 ft"), Target: parsed(t, "1:87.1"), Real: long(t, `35' 7 1/3"`), Length: long(t, "52,3"),
		Along: geom.Z, Part: "b", Bed: judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}, Factor: times(t, "1/3"),
		Figure: Figure{Readings: []ratio.Length{long(t, "52.3"), long(t, "52.4")}, Base: long(t, "1/8 in"), ToEyes: true, Person: Person{Stature: long(t, "6 ft")}},
		Clues:  []Clue{{ID: "1", From: geom.Vec{0, 0, 1}, To: geom.Vec{0, 0, 176.3}, Along: AlongZ, Drawn: 175.3, Object: "door-leaf", RealMM: 2030, RealSD: 52}, {ID: "2", Drawn: 40, RealMM: 450, SetAside: true}},
	}
	text, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out Way
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	for _, k := range Kinds() {
		a, b := in, out
		a.Kind, b.Kind = k, k
		x, errX := a.Find(tug())
		y, errY := b.Find(tug())
		if errX != nil || errY != nil || !x.Factor.Equal(y.Factor) || !x.Target.Equal(y.Target) || x.Part != y.Part || x.Along != y.Along {
			t.Errorf("%s gives %+v, %v, stored %+v, %v", k, x, errX, y, errY)
		}
	}
	if again, err := json.Marshal(out); err != nil || string(again) != string(text) {
		t.Errorf("%s, then %s, %v", text, again, err)
	}
	if text, err := json.Marshal(Way{Kind: ByRatio}); err != nil || string(text) != `{"kind":"ratio","along":"x"}` {
		t.Errorf("%s, %v", text, err)
	}
	if err := json.Unmarshal([]byte(`{"kind":"real","along":"w"}`), &out); !errors.Is(err, geom.ErrAxis) {
		t.Errorf("axis w: %v", err)
	}
}

func BenchmarkFindAll(b *testing.B) {
	s := Subject{Kit: geom.Vec{4000, 900, 900}, Parts: make([]SubjectPart, 300)}
	rnd := rand.New(rand.NewPCG(5, 300))
	for i := range s.Parts {
		v := geom.Vec{rnd.Float64() * 2000, rnd.Float64() * 2000, rnd.Float64() * 2000}
		s.Parts[i] = SubjectPart{Size: v, Lies: v}
	}
	w := Way{
		Native: parsed(b, "1:11.28"), Target: parsed(b, "1:48"), Real: long(b, "40 m"), Length: long(b, "1 m"),
		Bed: judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}, Factor: times(b, "0.235"),
	}
	b.ReportAllocs()
	for b.Loop() {
		for _, k := range Kinds() {
			w.Kind = k
			if _, err := w.Find(s); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// Where it is known how parts fit when they are turned, that counts; until then what they do
// as they lie stands in, and the result says so.
func TestByBedTurned(t *testing.T) {
	bed := judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 7}
	s := tug()
	w := Way{Kind: ByBed, Bed: bed, Turn: judge.Yaw}
	r, err := w.Find(s)
	if err != nil || !r.Pending || r.Factor.Float() != 0.5 || r.Limits != s.Parts[0].ID {
		t.Errorf("%+v, %v", r, err)
	}
	s.Parts[0].Fit = &judge.Fit{Factor: 0.625, Size: geom.Vec{300, 329.6, 88}, Limit: geom.Y}
	if r, err = w.Find(s); err != nil || r.Pending || r.Part != "hull" || r.Factor.Float() != 0.625 {
		t.Errorf("the others cannot limit, however they fit: %+v, %v", r, err)
	}
	s.Parts[0].Fit.Factor = 99
	if r, err = w.Find(s); err != nil || !r.Pending || r.Part == "hull" {
		t.Errorf("now another may: %+v, %v", r, err)
	}
	s.Parts[0].Fit.Factor = 0.625
	for i := range s.Parts[1:] {
		s.Parts[i+1].Fit = &judge.Fit{Factor: 9, Size: geom.Vec{1, 1, 1}}
	}
	r, err = w.Find(s)
	if err != nil || r.Pending || r.Factor.Float() != 0.625 || r.Part != "hull" || r.Along != geom.Y || r.Drawn != 329.6 || r.Limit != 206 {
		t.Errorf("%+v, %v", r, err)
	}
	// On a disc the circle around the part counts.
	w.Bed.Round = true
	s.Parts[0].Fit = &judge.Fit{Factor: 0.5, Size: geom.Vec{400, 90, 88}, Across: 412, Limit: geom.X}
	if r, err = w.Find(s); err != nil || r.Drawn != 412 || r.Limit != 206 || r.Pending {
		t.Errorf("%+v, %v", r, err)
	}
	s.Parts[0].Fit = nil
	w.Turn = judge.AsItLies
	if r, err = w.Find(s); err != nil || !r.Pending || math.Abs(r.Drawn*r.Factor.Float()-206) > 1e-9 {
		t.Errorf("a box on a disc: %+v, %v", r, err)
	}
}
