package ways

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"scantling/engine/geom"
	"scantling/engine/ratio"
)

func rational(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }

func combined(t testing.TB, clues []Clue) Combined {
	t.Helper()
	c, err := Combine(clues)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// GUM (JCGM 100:2008) example H.2: five simultaneous readings of volts and milliamperes. The
// published resistance is 254.260 Ω with u = 0.236 Ω, the correlation of both taken in; so it is in
// the scatter of the five quotients (GUM's second approach, table H.4). Data and results were seen
// second hand. Alone, each series gives the published mean and uncertainty of the mean.
func TestGUMExampleH2(t *testing.T) {
	volts := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	milliamperes := []float64{19.663, 19.639, 19.640, 19.685, 19.678}
	var clues []Clue
	var v, i []ratio.Length
	for k := range volts {
		clues = append(clues, Clue{ID: fmt.Sprint(k), Drawn: volts[k], RealMM: milliamperes[k]})
		v, i = append(v, ratio.Millimetres(rational(volts[k]))), append(i, ratio.Millimetres(rational(milliamperes[k])))
	}
	c := combined(t, clues)
	ohm := 1000 * c.Ratio.Float()
	near(t, "the resistance", ohm, 254.260, 0.0005)
	near(t, "its uncertainty", ohm*c.SD, 0.236, 0.0005)
	near(t, "u(V)", spread(v, rational(4.9990))/math.Sqrt(5), 0.0032, 0.00005)
	near(t, "u(I)", spread(i, rational(19.6610))/math.Sqrt(5), 0.0095, 0.00005)
	// The same without the correlation is 0.2041 (computed): the quotient rule by itself.
	one := combined(t, []Clue{{Drawn: 4.9990, DrawnSD: spread(v, rational(4.9990)) / math.Sqrt(5), RealMM: 19.6610, RealSD: spread(i, rational(19.6610)) / math.Sqrt(5)}})
	near(t, "without correlation", 1000*one.Ratio.Float()*one.SD, 0.2041, 0.0005)
}

// Course notes in uncertainty, seen second hand: 0.1820/0.1823 · 0.6978 with u = 0.00093, 0.00058
// and 0.0026 is 0.6967 with u = 0.00494.
func TestPublishedQuotient(t *testing.T) {
	native, err := Clue{Drawn: 0.1823, DrawnSD: 0.00058, RealMM: 0.1820, RealSD: 0.00093}.Estimate()
	if err != nil {
		t.Fatal(err)
	}
	r := between(native, Estimate{Ratio: ratioOf(0.6978, 1), SD: 0.0026 / 0.6978})
	near(t, "the result", r.Factor.Float(), 0.6967, 0.0001)
	near(t, "its uncertainty", r.Factor.Float()*r.SD, 0.00494, 0.00002)
}

// A published weighted mean, from memory: J. R. Taylor, An Introduction to Error Analysis, chapter
// 7: 11 ± 1, 12 ± 1 and 10 ± 3 ohms give 11.42 ± 0.69. On the logarithm the same numbers stand as
// exponents.
func TestPublishedWeightedMean(t *testing.T) {
	const per = 1e-3
	var clues []Clue
	for _, x := range []struct{ r, sd float64 }{{11, 1}, {12, 1}, {10, 3}} {
		drawn := math.Exp(per * x.r)
		clues = append(clues, Clue{Drawn: drawn, DrawnSD: per * x.sd * drawn, RealMM: 1})
	}
	c := combined(t, clues)
	near(t, "the mean", math.Log(c.Ratio.Float())/per, 11.42, 0.005)
	near(t, "its uncertainty", c.SD/per, 0.69, 0.005)
	// By hand: χ² = (0.42)² + (0.58)² + (1.42/3)² = 0.737, two degrees of freedom.
	near(t, "χ²", c.ChiSquared, 0.737, 0.002)
	near(t, "Birge ratio", c.Birge, math.Sqrt(0.737/2), 0.001)
	near(t, "probability", c.Probability, math.Exp(-0.737/2), 0.001)
	if c.Inconsistent || c.Worst != -1 || c.Freedom != 2 || c.Count != 3 {
		t.Errorf("%+v", c)
	}
}

// Percentage points of χ², from any table of it (from memory).
func TestChiSquaredTail(t *testing.T) {
	for _, c := range []struct {
		freedom int
		x, p    float64
	}{
		{1, 3.841, 0.05}, {2, 5.991, 0.05}, {3, 7.815, 0.05}, {4, 9.488, 0.05}, {5, 11.070, 0.05}, {10, 18.307, 0.05}, {19, 30.144, 0.05},
		{20, 31.410, 0.05}, {100, 124.342, 0.05}, {1, 6.635, 0.01}, {2, 9.210, 0.01}, {10, 23.209, 0.01}, {10, 3.940, 0.95}, {5, 1.145, 0.95},
	} {
		near(t, fmt.Sprintf("P(χ² ≥ %g) of %d", c.x, c.freedom), chiSquaredTail(c.x, c.freedom), c.p, 0.0001)
	}
	if chiSquaredTail(0, 3) != 1 || chiSquaredTail(-1, 3) != 1 || chiSquaredTail(1e6, 3) > 1e-300 || chiSquaredTail(1e9, 1000) != 0 {
		t.Error("the ends")
	}
}

// tugClues are three of an invented tug drawn at 1:11.28, measured a little wrong.
func tugClues() []Clue {
	return []Clue{
		{ID: "door", Drawn: 176.9, DrawnSD: 0.2, RealMM: 1985, RealSD: 10},
		{ID: "chair", Drawn: 40.1, DrawnSD: 0.2, RealMM: 445, RealSD: 11.5},
		{ID: "helmsman", Drawn: 157, DrawnSD: 0.2, RealMM: 1756, RealSD: 69},
	}
}

func TestByClues(t *testing.T) {
	w := Way{Kind: ByClues, Clues: tugClues()}
	if _, err := w.Find(Subject{}); !errors.Is(err, ErrNeedTarget) {
		t.Errorf("no target: %v", err)
	}
	w.Target = parsed(t, "1:48")
	r, err := w.Find(Subject{})
	if err != nil {
		t.Fatal(err)
	}
	low, high := r.NativeEstimate().Interval()
	if !(1/low.Float() < 11.28 && 11.28 < 1/high.Float()) || !r.Target.Equal(w.Target) || r.SD != r.NativeSD || r.TargetSD != r.SD {
		t.Errorf("%+v, 1:%g to 1:%g", r, 1/low.Float(), 1/high.Float())
	}
	near(t, "the factor", r.Factor.Float(), 48*11.28/48/48, 0.003)
	// The way by ratio takes the same native ratio, if asked.
	by := w
	by.Kind, by.NativeFrom, by.Native = ByRatio, FromClues, parsed(t, "1:5")
	again, err := by.Find(Subject{})
	if err != nil || !again.Factor.Equal(r.Factor) || again.SD != r.SD {
		t.Errorf("%+v, %v", again, err)
	}
	// And a factor that is set names a ratio that is no surer than the clues.
	by.Kind, by.Factor = ByFactor, times(t, "0.235")
	again, err = by.Find(Subject{})
	if err != nil || again.SD != 0 || again.TargetSD != r.SD || !again.Native.Equal(r.Native) {
		t.Errorf("%+v, %v", again, err)
	}
	by.Clues = nil
	if again, err = by.Find(Subject{}); err != nil || again.Native.Known() {
		t.Errorf("without clues %+v, %v", again, err)
	}
}

// A clue that is wrong is pointed out, and set aside it no longer counts.
func TestOutlier(t *testing.T) {
	clues := append(tugClues(), Clue{ID: "ladder", Drawn: 40, RealMM: 305, RealSD: 10})
	c := combined(t, clues)
	if !c.Inconsistent || c.Worst != 3 || !(c.Birge > 1) || math.Abs(c.Each[3].Sigmas) < 3 {
		t.Errorf("%+v", c)
	}
	for i := range 3 {
		if math.Abs(c.Each[i].Sigmas) > 2 {
			t.Errorf("%s is %g off the others, the wrong one not among them", clues[i].ID, c.Each[i].Sigmas)
		}
	}
	clues[3].SetAside = true
	c = combined(t, clues)
	want := combined(t, tugClues())
	if c.Inconsistent || c.Worst != -1 || !c.Ratio.Equal(want.Ratio) || c.SD != want.SD || c.Each[3].Counts || c.Each[3].Weight != 0 || !c.Each[3].Known() {
		t.Errorf("%+v, want %+v", c, want)
	}
	// Of two clues that contradict each other it cannot be told which is wrong.
	two := combined(t, []Clue{tugClues()[0], clues[3].taken()})
	if !two.Inconsistent || two.Worst != -1 || math.Abs(math.Abs(two.Each[0].Sigmas)-math.Abs(two.Each[1].Sigmas)) > 1e-9 {
		t.Errorf("%+v", two)
	}
}

func (c Clue) taken() Clue { c.SetAside = false; return c }

func TestCombineRefuses(t *testing.T) {
	good := tugClues()[0]
	nan, inf := math.NaN(), math.Inf(1)
	for i, c := range []struct {
		clue Clue
		want error
	}{
		{Clue{RealMM: 1}, ErrClueDrawn}, {Clue{Drawn: -1, RealMM: 1}, ErrClueDrawn}, {Clue{Drawn: nan, RealMM: 1}, ErrClueDrawn}, {Clue{Drawn: inf, RealMM: 1}, ErrClueDrawn},
		{Clue{Drawn: 1}, ErrClueReal}, {Clue{Drawn: 1, RealMM: -1}, ErrClueReal}, {Clue{Drawn: 1, RealMM: inf}, ErrClueReal},
		{Clue{Drawn: 1, RealMM: 1, RealSD: 1}, ErrClueUnsure}, {Clue{Drawn: 1, DrawnSD: 2, RealMM: 1}, ErrClueUnsure}, {Clue{Drawn: 1, DrawnSD: nan, RealMM: 1}, ErrClueUnsure},
		{Clue{Drawn: 1, RealMM: 1, RealSD: -1}, ErrClueUnsure}, {Clue{Drawn: 1e-6, RealMM: 1e9}, ErrAbsurd},
	} {
		c.clue.ID = "x"
		out, err := Combine([]Clue{good, c.clue})
		var at *ClueError
		if !errors.Is(err, c.want) || !errors.As(err, &at) || at.Index != 1 || at.ID != "x" || out.Each[1].Err == nil || out.Each[0].Err != nil {
			t.Errorf("%d: %v, want %v", i, err, c.want)
		}
		c.clue.SetAside = true
		if out, err := Combine([]Clue{good, c.clue}); err != nil || out.Count != 1 {
			t.Errorf("%d set aside: %v", i, err)
		}
	}
	if _, err := Combine(nil); !errors.Is(err, ErrNeedClue) {
		t.Errorf("no clue: %v", err)
	}
	good.SetAside = true
	if _, err := Combine([]Clue{good}); !errors.Is(err, ErrNeedClue) {
		t.Errorf("all set aside: %v", err)
	}
}

// someClues are n random clues of a model at 1:truth, each as far off as it says it may be.
func someClues(rnd *rand.Rand, n int, truth float64) []Clue {
	out := make([]Clue, n)
	for i := range out {
		real := math.Exp(8 * rnd.Float64())
		relative := 0.002 + 0.05*rnd.Float64()
		out[i] = Clue{ID: fmt.Sprint(i), RealMM: real, RealSD: relative * real, Drawn: real * math.Exp(relative*rnd.NormFloat64()) / truth}
		out[i].DrawnSD = 0.01 * relative * out[i].Drawn
	}
	return out
}

// The order does not matter, a larger drawing has a larger ratio and nothing else changes, and
// the sums are those of the plain formulas.
func TestCombineProperties(t *testing.T) {
	rnd := rand.New(rand.NewPCG(20, 3))
	for range 500 {
		clues := someClues(rnd, 2+rnd.IntN(20), 48)
		c := combined(t, clues)
		var num, den float64
		for _, x := range clues {
			e, _ := x.Estimate()
			num, den = num+math.Log(e.Ratio.Float())/e.SD/e.SD, den+1/e.SD/e.SD
		}
		near(t, "the mean", math.Log(c.Ratio.Float()), num/den, 1e-12)
		near(t, "its uncertainty", c.SD, max(1, c.Birge)/math.Sqrt(den), 1e-12)
		for i := range clues {
			rest := slices.Delete(slices.Clone(clues), i, i+1)
			if c.Worst >= 0 && c.Worst != i {
				continue
			}
			r := combined(t, rest)
			sd := r.SD / max(1, r.Birge)
			e := c.Each[i]
			near(t, "against the others", e.Sigmas, math.Log(e.Ratio.Float()/r.Ratio.Float())/math.Hypot(e.SD, sd), 1e-8)
		}
		mixed := slices.Clone(clues)
		rnd.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		m := combined(t, mixed)
		near(t, "in another order", m.Ratio.Float()/c.Ratio.Float(), 1, 1e-13)
		near(t, "χ² in another order", m.ChiSquared, c.ChiSquared, 1e-9*(1+c.ChiSquared))
		for i := range mixed {
			mixed[i].Drawn *= 7
			mixed[i].DrawnSD *= 7
		}
		l := combined(t, mixed)
		near(t, "drawn larger", l.Ratio.Float()/m.Ratio.Float(), 7, 1e-12)
		near(t, "drawn larger, uncertainty", l.SD, m.SD, 1e-12)
		twice := combined(t, append(slices.Clone(clues), clues...))
		near(t, "all clues twice", twice.Ratio.Float()/c.Ratio.Float(), 1, 1e-13)
	}
}

// The interval holds the true ratio about 95 times of a hundred, and clues that are right are
// called inconsistent about five times.
func TestCombineCoverage(t *testing.T) {
	rnd := rand.New(rand.NewPCG(95, 3))
	for _, n := range []int{1, 3, 8} {
		held, refused := 0, 0
		const trials = 3000
		for range trials {
			c := combined(t, someClues(rnd, n, 11.28))
			if low, high := c.Interval(); 1/low.Float() <= 11.28 && 11.28 <= 1/high.Float() {
				held++
			}
			if c.Inconsistent {
				refused++
			}
		}
		if share := float64(held) / trials; share < 0.94 || share > 0.985 {
			t.Errorf("%d clues: %.3f of the intervals hold the truth", n, share)
		}
		if share := float64(refused) / trials; n > 1 && (share < 0.03 || share > 0.07) || n == 1 && share > 0 {
			t.Errorf("%d clues: %.3f called inconsistent", n, share)
		}
	}
}

// A clue that claims to be exact outweighs the others, and two of them that differ are told of.
func TestExactClues(t *testing.T) {
	exact := Clue{ID: "exact", Drawn: 100, RealMM: 4800}
	c := combined(t, append(tugClues(), exact))
	near(t, "the ratio", 1/c.Ratio.Float(), 48, 1e-5)
	if c.Worst == 3 {
		t.Error("the exact clue is said to disagree with what it outweighs")
	}
	other := exact
	other.Drawn = 101
	if c := combined(t, []Clue{exact, other}); !c.Inconsistent || !(c.SD > 0.001) {
		t.Errorf("%+v", c)
	}
	if c := combined(t, []Clue{exact, exact}); c.Inconsistent || c.SD > 1e-6 {
		t.Errorf("%+v", c)
	}
}

func TestBetween(t *testing.T) {
	a, b := geom.Vec{1, 2, 3}, geom.Vec{4, 6, 15}
	for along, want := range map[Direction]float64{Free: 13, AlongX: 3, AlongY: 4, AlongZ: 12} {
		if Between(a, b, along) != want || Between(b, a, along) != want {
			t.Errorf("%q: %g, want %g", along, Between(a, b, along), want)
		}
	}
}

// Identifying a finished model: at 1:72.6 known to 2 % it is 1:72 much rather than 1:76.
func TestCandidates(t *testing.T) {
	e := Estimate{Ratio: parsed(t, "1:72.6"), SD: 0.02}
	list, none := e.Candidates(ratio.Armour)
	if len(list) != len(ratio.Ladder(ratio.Armour)) || list[0].Standard.Ratio.String() != "1:72" || list[1].Standard.Ratio.String() != "1:76" {
		t.Fatalf("%v", list)
	}
	sum := none
	for i, c := range list {
		sum += c.Probability
		if i > 0 && c.Probability > list[i-1].Probability {
			t.Error("not in order")
		}
	}
	near(t, "the sum", sum, 1, 1e-12)
	// By hand: ln(72.6/72) = 0.0083 is 0.415 σ, ln(72.6/76) = 0.0457 is 2.288 σ: 0.9175 to 0.0730.
	near(t, "σ of 1:72", list[0].Sigmas, 0.415, 0.002)
	near(t, "σ of 1:76", list[1].Sigmas, -2.288, 0.002)
	near(t, "the odds", list[1].Probability/list[0].Probability, 0.0730/0.9175, 0.001)
	// None: a tenth over ln(76/16) + ln 4 = 2.944, against nine tenths shared by five: each 0.18.
	at72 := 0.18 * 0.9175 / (0.02 * math.Sqrt(2*math.Pi))
	near(t, "none", none/list[0].Probability, 0.1/2.944/at72, 0.001)

	far := Estimate{Ratio: parsed(t, "1:33.5"), SD: 0.0002}
	list, none = far.Candidates(ratio.Ships, ratio.Armour)
	if none < 0.999 || list[0].Standard.Ratio.String() != "1:35" {
		t.Errorf("%v, %g", list[0], none)
	}
	if list, none := (Estimate{Ratio: parsed(t, "1:900000000"), SD: 1e-4}).Candidates(ratio.Cars); none != 1 || len(list) == 0 || list[0].Probability != 0 {
		t.Errorf("%v, %g", list, none)
	}
	// Beyond all standard ratios, the nearest is not the likeliest for want of others.
	if list, none := (Estimate{Ratio: parsed(t, "1:17"), SD: 0.036}).Candidates(ratio.Ships); none < 0.99 || list[0].Probability > 0.01 {
		t.Errorf("1:17 is a ratio of ships: %v, none of them %g", list[0], none)
	}
	if list, none := (Estimate{}).Candidates(); list != nil || none != 0 {
		t.Errorf("%v, %g", list, none)
	}
	if list, none := e.Candidates("knitting"); list != nil || none != 1 {
		t.Errorf("%v, %g", list, none)
	}
	all, _ := Estimate{Ratio: parsed(t, "1:87.1"), SD: 0.001}.Candidates()
	for i, c := range all {
		for _, d := range all[:i] {
			if c.Standard.Ratio.Equal(d.Standard.Ratio) {
				t.Errorf("%s is there twice", c.Standard.Ratio)
			}
		}
	}
}

func TestDisagreement(t *testing.T) {
	f := func(x string, sd float64) Result { return Result{Factor: times(t, x), SD: sd} }
	near(t, "two measured", Disagreement(f("1", 0.03), f("1.1", 0.04)), math.Log(1.1)/0.05, 1e-12)
	if Disagreement(f("1/3", 0), f("1/3", 0)) != 0 || !math.IsInf(Disagreement(f("1", 0), f("2", 0)), 1) {
		t.Error("exact factors")
	}
}

func BenchmarkCombine20(b *testing.B) {
	clues := someClues(rand.New(rand.NewPCG(1, 1)), 20, 48)
	b.ReportAllocs()
	for b.Loop() {
		c, err := Combine(clues)
		if err != nil {
			b.Fatal(err)
		}
		if list, _ := c.Candidates(ratio.Ships); len(list) == 0 {
			b.Fatal("no candidates")
		}
	}
}
