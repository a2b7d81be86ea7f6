package geom_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"scantling/engine/geom"
)

func TestVec(t *testing.T) {
	a, b := geom.Vec{1, 2, 3}, geom.Vec{4, -5, 6}
	for _, c := range []struct {
		name      string
		got, want geom.Vec
	}{
		{"sum", a.Add(b), geom.Vec{5, -3, 9}},
		{"difference", a.Sub(b), geom.Vec{-3, 7, -3}},
		{"multiple", a.Scale(-2), geom.Vec{-2, -4, -6}},
		{"cross", a.Cross(b), geom.Vec{27, 6, -13}},
		{"x cross y", geom.Vec{1, 0, 0}.Cross(geom.Vec{0, 1, 0}), geom.Vec{0, 0, 1}},
		{"y cross z", geom.Vec{0, 1, 0}.Cross(geom.Vec{0, 0, 1}), geom.Vec{1, 0, 0}},
		{"with itself", a.Cross(a), geom.Vec{}},
	} {
		if c.got != c.want {
			t.Errorf("%s is %v, want %v", c.name, c.got, c.want)
		}
	}
	if got := a.Dot(b); got != 12 {
		t.Errorf("dot is %v, want 12", got)
	}
	if got := (geom.Vec{2, 3, 6}).Len(); got != 7 {
		t.Errorf("length is %v, want 7", got)
	}
}

func TestFinite(t *testing.T) {
	big := math.MaxFloat64
	if v := (geom.Vec{big, big, -big}); !v.Finite() {
		t.Errorf("%v is finite", v)
	}
	for i := range 3 {
		for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			v := geom.Vec{1, 2, 3}
			v[i] = x
			if v.Finite() {
				t.Errorf("%v is not finite", v)
			}
		}
	}
	if (geom.Vec{math.Inf(1), math.Inf(-1), 0}).Finite() {
		t.Error("two infinities do not cancel")
	}
}

func TestAxis(t *testing.T) {
	for axis, want := range map[geom.Axis]string{geom.X: "x", geom.Y: "y", geom.Z: "z", 3: "?"} {
		if got := axis.String(); got != want {
			t.Errorf("axis %d is %q, want %q", axis, got, want)
		}
	}
}

func TestBox(t *testing.T) {
	empty := geom.EmptyBox()
	if !empty.Empty() || empty.Size() != (geom.Vec{}) {
		t.Errorf("an empty box has size %v", empty.Size())
	}
	point := empty.Add(geom.Vec{1, 2, 3})
	if point.Empty() || point.Min != (geom.Vec{1, 2, 3}) || point.Max != point.Min {
		t.Errorf("a box of one point is %v", point)
	}
	box := point.Add(geom.Vec{-1, 5, 3})
	if want := (geom.Box{Min: geom.Vec{-1, 2, 3}, Max: geom.Vec{1, 5, 3}}); box != want {
		t.Errorf("a box of two points is %v, want %v", box, want)
	}
	if box.Size() != (geom.Vec{2, 3, 0}) || box.Centre() != (geom.Vec{0, 3.5, 3}) {
		t.Errorf("size %v, centre %v", box.Size(), box.Centre())
	}
	if got := box.Union(empty); got != box {
		t.Errorf("with nothing it is %v, want %v", got, box)
	}
	if got := empty.Union(box); got != box {
		t.Errorf("nothing with it is %v, want %v", got, box)
	}
	other := geom.Box{Min: geom.Vec{0, 0, 0}, Max: geom.Vec{4, 4, 4}}
	if got, want := box.Union(other), (geom.Box{Min: geom.Vec{-1, 0, 0}, Max: geom.Vec{4, 5, 4}}); got != want || got != other.Union(box) {
		t.Errorf("union is %v, want %v", got, want)
	}
	if got, want := box.Scale(2), (geom.Box{Min: geom.Vec{-2, 4, 6}, Max: geom.Vec{2, 10, 6}}); got != want {
		t.Errorf("doubled it is %v, want %v", got, want)
	}
	if nothing := geom.EmptyBox().Scale(0.5); !nothing.Empty() {
		t.Errorf("half of nothing is %v", nothing)
	}
}

// A compensated sum is the exact one to the last rounding or two, where a plain sum is not.
func TestSumAgainstBig(t *testing.T) {
	plainWorst, worst := 0.0, 0.0
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 0))
		var sum, left, right geom.Sum
		plain, size := 0.0, 0.0
		exact := new(big.Float).SetPrec(2000)
		for i := range 20000 {
			x := math.Ldexp(2*random.Float64()-1, random.IntN(60)-30)
			sum.Add(x)
			if i < 7000 {
				left.Add(x)
			} else {
				right.Add(x)
			}
			plain += x
			size += math.Abs(x)
			exact.Add(exact, new(big.Float).SetFloat64(x))
		}
		left.Merge(right)
		want, _ := exact.Float64()
		plainWorst = max(plainWorst, math.Abs(plain-want)/size)
		worst = max(worst, math.Abs(sum.Value()-want)/size, math.Abs(left.Value()-want)/size)
	}
	if worst > 1e-16 || plainWorst < 3*worst {
		t.Errorf("compensated sums are off by %g of the terms' size, plain ones by %g", worst, plainWorst)
	}
}

func TestSumCancels(t *testing.T) {
	var s geom.Sum
	for _, x := range []float64{1, 1e100, 1, -1e100} { // a plain sum gives 0
		s.Add(x)
	}
	if got := s.Value(); got != 2 {
		t.Errorf("the sum is %v, want 2", got)
	}
	if got := (geom.Sum{}).Value(); got != 0 {
		t.Errorf("no terms sum to %v", got)
	}
}
