package ways

import (
	"errors"
	"math"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// Where the native ratio comes from, the way by ratio takes it.
func TestNativeFrom(t *testing.T) {
	s := tug()
	s.UnitMM = 1
	for _, c := range []struct {
		way  Way
		want string
		err  error
	}{
		{Way{Native: parsed(t, "1:12")}, "1:12", nil},
		{Way{NativeFrom: FromReal, Real: long(t, "412 ft"), Along: geom.X, Native: parsed(t, "1:12")}, "1:304.8", nil},
		{Way{NativeFrom: FromReal, Native: parsed(t, "1:12")}, "", ErrNeedReal},
		{Way{NativeFrom: FromReal, Real: long(t, "0")}, "", ErrZero},
		{Way{NativeFrom: FromReal, Real: long(t, "1 m"), Along: 7}, "", ErrNoExtent},
		{Way{NativeFrom: FromFullSize, FullSize: ratio.Metre}, "1:1000", nil},
		{Way{NativeFrom: FromFullSize, FullSize: ratio.Foot}, "1:304.8", nil},
		{Way{NativeFrom: FromFullSize, FullSize: ratio.Millimetre}, "1:1", nil},
		{Way{NativeFrom: FromFullSize}, "", ErrNoFullSize},
		{Way{NativeFrom: FromFullSize, FullSize: "cubit"}, "", ErrNoFullSize},
		{Way{NativeFrom: FromClues, Clues: []Clue{{Drawn: 1, RealMM: 64}}}, "1:64", nil},
		{Way{NativeFrom: FromClues}, "", ErrNeedClue},
	} {
		got, err := c.way.NativeOf(s)
		if !errors.Is(err, c.err) {
			t.Errorf("%+v: %v, want %v", c.way, err, c.err)
			continue
		}
		if err == nil && math.Abs(got.Ratio.Float()/parsed(t, c.want).Float()-1) > 1e-15 {
			t.Errorf("%+v: %s, want %s", c.way, got.Ratio.Exact(), c.want)
		}
		c.way.Kind, c.way.Target = ByRatio, parsed(t, "1:48")
		r, err := c.way.Find(s)
		if !errors.Is(err, c.err) || err == nil && !r.Native.Equal(got.Ratio) {
			t.Errorf("%+v gives %+v, %v", c.way, r, err)
		}
	}
	full := Way{NativeFrom: FromFullSize, FullSize: ratio.Metre}
	s.UnitMM = 1000 // and the files say metres
	if got, err := full.NativeOf(s); err != nil || got.Ratio.Exact() != "1:1" {
		t.Errorf("metres drawn in metres are %s, %v", got.Ratio, err)
	}
	s.UnitMM = 25.4
	if got, err := full.NativeOf(s); err != nil || !got.Ratio.Equal(parsed(t, "1 in = 1 m")) {
		t.Errorf("metres read as inches are %s, %v", got.Ratio.Exact(), err)
	}
	s.UnitMM = 0
	if _, err := full.NativeOf(s); !errors.Is(err, ErrMixedUnits) {
		t.Errorf("mixed units: %v", err)
	}
	if _, err := full.NativeOf(Subject{}); !errors.Is(err, ErrNoParts) {
		t.Errorf("no parts: %v", err)
	}
}

// By length of an assembly of parts, and between two points.
func TestByLengthOfMore(t *testing.T) {
	s := tug()
	s.Parts[0].Box = geom.Box{Min: geom.Vec{0, 0, 0}, Max: geom.Vec{412, 96, 88}}
	s.Parts[1].Box = geom.Box{Min: geom.Vec{200, 45, 88}, Max: geom.Vec{206, 51, 268}}
	w := Way{Kind: ByLength, Length: long(t, "67 mm"), Along: geom.Z, Parts: []string{"a", "b"}, Part: "a"}
	r, err := w.Find(s)
	if err != nil || r.Factor.Exact() != "0.25" || r.Drawn != 268 || r.Count != 2 || r.Part != "" || r.Along != geom.Z || r.Points {
		t.Errorf("%+v, %v", r, err)
	}
	w.Parts, w.Length = []string{"b"}, long(t, "45 mm")
	r, err = w.Find(s)
	if err != nil || r.Factor.Exact() != "0.25" || r.Drawn != 180 || r.Count != 0 || r.Part != "mast" {
		t.Errorf("%+v, %v", r, err)
	}
	w.Parts = []string{"b", "z"}
	if _, err = w.Find(s); !errors.Is(err, ErrNoPart) {
		t.Errorf("a part that is not there: %v", err)
	}
	w.Points, w.Length = Points{From: geom.Vec{1, 2, 3}, To: geom.Vec{4, 6, 15}}, long(t, "26 mm")
	r, err = w.Find(s)
	if err != nil || r.Factor.Exact() != "2" || r.Drawn != 13 || !r.Points || r.Part != "" {
		t.Errorf("%+v, %v", r, err)
	}
	w.Points.Along = AlongY
	r, err = w.Find(s)
	if err != nil || r.Factor.Exact() != "6.5" || r.Drawn != 4 {
		t.Errorf("%+v, %v", r, err)
	}
	w.Points.To = geom.Vec{math.Inf(1), math.Inf(1), 0}
	if _, err = w.Find(s); !errors.Is(err, ErrNoExtent) {
		t.Errorf("a point at infinity: %v", err)
	}
}

// Published scale conversions, each through the way that a maker would take. Sources beside them.
func TestPublishedConversions(t *testing.T) {
	full := parsed(t, "1:1")
	for _, c := range []struct{ source, native, real, target, model string }{
		{"NEM 010:2011 §3.5: from 1:45 to 1:87 the factor is 0.517", "1:45", "1 m", "1:87", "0.5172 m"},
		{"P4 standard of its society: 4 ft 8 1/2 in at 4 mm to the foot is 18.83 mm", "1:1", "4 ft 8 1/2 in", "4 mm = 1 ft", "18.83 mm"},
		{"P4: 7 ft 0 1/4 in is 28.08 mm", "1:1", "7 ft 0 1/4 in", "4 mm = 1 ft", "28.08 mm"},
		{"P4: 5 ft 3 in is 21 mm", "1:1", "5 ft 3 in", "4 mm = 1 ft", "21 mm"},
		{"7 mm narrow gauge society: 2 ft is 14 mm", "1:1", "2 ft", "7 mm = 1 ft", "14 mm"},
		{"the same: 3 ft is 21 mm", "1:1", "3 ft", "7 mm = 1 ft", "21 mm"},
		{"16 mm society: 2 ft is 32 mm", "1:1", "2 ft", "16 mm = 1 ft", "32 mm"},
		{"hospital-ship exhibition panel: 377 ft at 1:48 is 94.25 in", "1:1", "377 ft", "1:48", "94.25 in"},
		{"toy museum: 6 ft at 1:72 is 1 in", "1:1", "6 ft", "1:72", "1 in"},
		{"kit builder's page: 12 ft at 1:24 is 6 in", "1:1", "12 ft", "1:24", "6 in"},
		{"collectors' page: a truck of 300 in at 1:50 is 6 in", "1:1", "300 in", "1:50", "6 in"},
		{"map page: 1 mile at 1:24 000 is 2.64 in", "1:1", "1 mi", "1:24000", "2.64 in"},
		{"wargamer's calculation: 220 ft 6 in at 1:3000 is 22.4 mm", "1:1", "220 ft 6 in", "1:3000", "22.4 mm"},
		{"the same: 58 ft is 5.9 mm", "1:1", "58 ft", "1:3000", "5.9 mm"},
		{"launcher at 1:10, museum label: 363 ft is 36 ft", "1:1", "363 ft", "1:10", "36.3 ft"},
	} {
		real, want := long(t, c.real), long(t, c.model)
		s := Subject{Kit: geom.Vec{1, 1, 1}, Parts: make([]SubjectPart, 1)}
		r, err := Way{Kind: ByRatio, Native: parsed(t, c.native), Target: parsed(t, c.target)}.Find(s)
		if err != nil {
			t.Errorf("%s: %v", c.source, err)
			continue
		}
		got := real.MM() * r.Factor.Float()
		if math.Abs(got/want.MM()-1) > 0.0051 { // as rounded in print
			t.Errorf("%s: %g mm", c.source, got)
		}
		// The way back: clues of the model, exact, tell the ratio.
		if parsed(t, c.native).Equal(full) {
			n, err := Combine([]Clue{{Drawn: got, RealMM: real.MM()}})
			if err != nil || math.Abs(n.Ratio.Float()/parsed(t, c.target).Float()-1) > 1e-12 {
				t.Errorf("%s: back %s, %v", c.source, n.Ratio.Exact(), err)
			}
		}
	}
	// Published figures that do not follow their scale are told apart: a museum's label has
	// 61.5 in for 33 ft at 1:10, and a figure on a panorama at 1:1200 1 7/8 in for 151 ft 1 in.
	for _, c := range []struct{ model, real, claimed string }{
		{"61.5 in", "33 ft", "1:10"}, {"1 7/8 in", "151 ft 1 in", "1:1200"}, {"81 in", "589 ft", "1:48"},
	} {
		e, err := Clue{Drawn: long(t, c.model).MM(), RealMM: long(t, c.real).MM(), RealSD: 0.02 * long(t, c.real).MM()}.Estimate()
		if err != nil {
			t.Fatal(err)
		}
		if low, high := e.Interval(); low.Cmp(parsed(t, c.claimed)) >= 0 && high.Cmp(parsed(t, c.claimed)) <= 0 {
			t.Errorf("%s for %s agrees with %s", c.model, c.real, c.claimed)
		}
	}
}
