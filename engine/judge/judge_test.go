package judge

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

func oneTo(t testing.TB, n string) ratio.Ratio {
	t.Helper()
	a, err := ratio.Parse("1:" + n)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Common practice, no source: a bed of nominal 220 mm leaves about 210 mm for a flat disc.
func TestNominalBedLeavesLess(t *testing.T) {
	b := Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}
	if got := b.Usable(); got != (geom.Vec{210, 210, 250}) {
		t.Errorf("usable %v", got)
	}
	disc := geom.Vec{420, 420, 3}
	if f, axis := b.Largest(disc); f != 0.5 || axis != geom.X {
		t.Errorf("disc of 420 mm fits at %g, limited by %s", f, axis)
	}
}

func TestLargest(t *testing.T) {
	inf := math.Inf(1)
	b := Bed{Size: geom.Vec{220, 200, 250}, Margin: 10}
	for _, c := range []struct {
		size  geom.Vec
		want  float64
		limit geom.Axis
	}{
		{geom.Vec{400, 90, 90}, 0.5, geom.X}, {geom.Vec{90, 360, 90}, 0.5, geom.Y}, {geom.Vec{90, 90, 500}, 0.5, geom.Z},
		{geom.Vec{100, 90, 125}, 2, geom.X}, // all three alike: the first
		{geom.Vec{0, 0, 500}, 0.5, geom.Z}, {geom.Vec{}, inf, geom.X},
	} {
		if f, axis := b.Largest(c.size); f != c.want || axis != c.limit {
			t.Errorf("%v fits at %g, limited by %s, want %g, %s", c.size, f, axis, c.want, c.limit)
		}
	}
	taken := Bed{Size: geom.Vec{220, 20, 250}, Margin: 10}
	if f, axis := taken.Largest(geom.Vec{1, 1, 1}); f != 0 || axis != geom.Y {
		t.Errorf("a bed without room takes a part at %g, %s", f, axis)
	}
	if f, _ := (Bed{Size: geom.Vec{1e300, 1e300, 1e300}}).Largest(geom.Vec{1e-300, 0, 0}); f > math.MaxFloat64 {
		t.Errorf("a speck fits at %g", f)
	}
}

// At the largest factor a part fits, and at the next number above it does not.
func TestEdgeOfTheBed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 210))
	for range 100000 {
		b := Bed{Size: geom.Vec{1 + 500*rnd.Float64(), 1 + 500*rnd.Float64(), 1 + 500*rnd.Float64()}, Margin: 0.5 * rnd.Float64()}
		size := geom.Vec{math.Exp(12*rnd.Float64() - 6), math.Exp(12*rnd.Float64() - 6), math.Exp(12*rnd.Float64() - 6)}
		f, axis := b.Largest(size)
		if ok, excess := b.Fits(size, f); !ok || excess != (geom.Vec{}) {
			t.Fatalf("%v on %+v does not fit at its largest factor %v: %v", size, b, f, excess)
		}
		if ok, excess := b.Fits(size, math.Nextafter(f, 2*f)); ok || !(excess[axis] > 0) {
			t.Fatalf("%v on %+v fits above its largest factor %v, limited by %s: %v", size, b, f, axis, excess)
		}
	}
}

func TestFits(t *testing.T) {
	b := Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}
	for _, c := range []struct {
		size   geom.Vec
		factor float64
		fits   bool
		excess geom.Vec
	}{
		{geom.Vec{210, 210, 250}, 1, true, geom.Vec{}},
		{geom.Vec{212, 210, 253}, 1, false, geom.Vec{2, 0, 3}},
		{geom.Vec{106, 0, 0}, 2, false, geom.Vec{2, 0, 0}},
		{geom.Vec{0, 0, 0}, 1e9, true, geom.Vec{}},
		{geom.Vec{1, 0, 0}, math.Inf(1), false, geom.Vec{math.Inf(1), 0, 0}},
	} {
		if fits, excess := b.Fits(c.size, c.factor); fits != c.fits || excess != c.excess {
			t.Errorf("%v at %g: %t, %v, want %t, %v", c.size, c.factor, fits, excess, c.fits, c.excess)
		}
	}
	if fits, _ := b.Fits(geom.Vec{1, 1, 1}, math.NaN()); fits {
		t.Error("a part fits at no number")
	}
}

// largestOf are the largest factors of parts as they lie.
func largestOf(b Bed, parts []geom.Vec) (all []float64) {
	for _, p := range parts {
		f, _ := b.Largest(p)
		all = append(all, f)
	}
	return all
}

func TestLadder(t *testing.T) {
	kit := geom.Vec{960, 192, 480}
	parts := []geom.Vec{{960, 192, 96}, {24, 24, 480}}
	bed := Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}
	standards := ratio.Ladder(ratio.Ships)
	rungs := Ladder(standards, oneTo(t, "12"), oneTo(t, "96"), kit, largestOf(bed, parts))
	if len(rungs) != len(standards) {
		t.Fatalf("%d rungs of %d", len(rungs), len(standards))
	}
	// At 1:48 lengths are a quarter of 1:12: 240 mm, which is 30 too long for the bed.
	if r := rungs[0]; r.Standard.Ratio.String() != "1:48" || r.Factor.Exact() != "0.25" || r.Size != (geom.Vec{240, 48, 120}) || r.Fits || r.TooLong != 1 || r.InForce {
		t.Errorf("%+v", r)
	}
	if r := rungs[1]; r.Standard.Ratio.String() != "1:96" || r.Size != (geom.Vec{120, 24, 60}) || !r.Fits || r.TooLong != 0 || !r.InForce {
		t.Errorf("%+v", r)
	}
	for i, r := range Ladder(standards, ratio.Ratio{}, ratio.Ratio{}, kit, largestOf(bed, parts)) {
		if r.Factor.Known() || r.Size != (geom.Vec{}) || r.Fits || r.TooLong != 0 || r.InForce || !r.Standard.Ratio.Equal(standards[i].Ratio) {
			t.Errorf("native unknown: %+v", r)
		}
	}
	for _, r := range Ladder(standards, oneTo(t, "12"), ratio.Ratio{}, kit, nil) {
		if r.Fits || r.TooLong != 0 || r.Size == (geom.Vec{}) {
			t.Errorf("no bed: %+v", r)
		}
	}
	for _, r := range Ladder(standards, oneTo(t, "12"), ratio.Ratio{}, geom.Vec{}, nil) {
		if r.Fits {
			t.Errorf("no parts: %+v", r)
		}
	}
}

// Judging at a factor is judging the scaled kit as it is.
func TestLadderScales(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 48))
	bed := Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}
	standards := ratio.Ladder(ratio.DrawingImperial)
	for range 50 {
		var parts, double []geom.Vec
		for range 20 {
			p := geom.Vec{rnd.Float64() * 2000, rnd.Float64() * 2000, rnd.Float64() * 2000}
			parts = append(parts, p)
			double = append(double, p.Scale(2))
		}
		a := Ladder(standards, oneTo(t, "12"), ratio.Ratio{}, parts[0], largestOf(bed, parts))
		b := Ladder(standards, oneTo(t, "6"), ratio.Ratio{}, double[0], largestOf(bed, double))
		for i := range a {
			if a[i].Fits != b[i].Fits || a[i].TooLong != b[i].TooLong || a[i].Size != b[i].Size {
				t.Fatalf("%+v, doubled %+v", a[i], b[i])
			}
		}
	}
}

func TestBedJSON(t *testing.T) {
	in := Bed{Size: geom.Vec{220, 220.5, 250}, Margin: 5}
	text, err := json.Marshal(in)
	if err != nil || string(text) != `{"size":[220,220.5,250],"margin":5}` {
		t.Fatalf("%s, %v", text, err)
	}
	var out Bed
	if err := json.Unmarshal(text, &out); err != nil || out != in {
		t.Errorf("%+v, %v", out, err)
	}
}

// A kit of 300 parts over 40 rungs, as on every keystroke.
func BenchmarkLadder(b *testing.B) {
	rnd := rand.New(rand.NewPCG(5, 300))
	parts := make([]geom.Vec, 300)
	for i := range parts {
		parts[i] = geom.Vec{rnd.Float64() * 2000, rnd.Float64() * 2000, rnd.Float64() * 2000}
	}
	standards := make([]ratio.Standard, 40)
	for i := range standards {
		standards[i].Ratio = oneTo(b, fmt.Sprint(10+3*i))
	}
	native, target := oneTo(b, "11.28"), oneTo(b, "48")
	bed := Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}
	b.ReportAllocs()
	for b.Loop() {
		if len(Ladder(standards, native, target, geom.Vec{4000, 900, 900}, largestOf(bed, parts))) != 40 {
			b.Fatal("rungs missing")
		}
	}
}
