package ratio

import (
	"encoding/json"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

func TestRatioWritten(t *testing.T) {
	for _, c := range []struct{ typed, shown, exact string }{
		{"1:48", "1:48", "1:48"}, {"2:1", "2:1", "2:1"}, {"1:1", "1:1", "1:1"}, {"10:871", "1:87.1", "1:87.1"}, {"1:76.2", "1:76.2", "1:76.2"},
		{"3:8", "1:2.667", "3:8"}, {"8:3", "2.667:1", "8:3"}, {"3:2", "1.5:1", "1.5:1"}, {"1:11.28", "1:11.28", "1:11.28"}, {"7:2134", "1:304.9", "7:2134"},
		{"1:10000", "1:10000", "1:10000"}, {"1:123456.7", "1:123457", "1:123456.7"}, {"1:10.53124", "1:10.53", "1:10.53124"}, {"1:47.99996", "1:48.0", "1:47.99996"},
		{"1:999999999", "1:999999999", "1:999999999"}, {"3:3000000000", "1:1000000000", "1:1000000000"},
	} {
		a := oneOf(t, c.typed)
		if a.String() != c.shown || a.Exact() != c.exact {
			t.Errorf("%s is shown %s, exactly %s, want %s, %s", c.typed, a, a.Exact(), c.shown, c.exact)
		}
	}
	if (Ratio{}).String() != "" || (Ratio{}).Exact() != "" {
		t.Error("an unknown ratio is written")
	}
}

func TestFactorWritten(t *testing.T) {
	for _, c := range []struct{ typed, shown, digits, exact string }{
		{"0.235", "0.2350", "0.235", "0.235"}, {"23.5 %", "0.2350", "0.235", "0.235"}, {"1", "1.000", "1", "1"}, {"0.99996", "1.000", "0.99996", "0.99996"},
		{"1/3", "0.3333", "0.3333333333333333", "1/3"}, {"12.3456", "12.35", "12.3456", "12.3456"}, {"12345.6", "12346", "12345.6", "12345.6"},
		{"0.00012345", "0.0001235", "0.00012345", "0.00012345"}, {"1e-8", "1.000e-08", "1e-08", "0.00000001"},
	} {
		f, err := ParseFactor(c.typed)
		if err != nil || f.String() != c.shown || f.Digits() != c.digits || f.Exact() != c.exact {
			t.Errorf("%s is shown %s, digits %s, exactly %s, %v, want %s, %s, %s", c.typed, f, f.Digits(), f.Exact(), err, c.shown, c.digits, c.exact)
		}
	}
	if f := (Factor{}); f.String() != "" || f.Digits() != "" || f.Exact() != "" {
		t.Error("no factor is written")
	}
}

func TestIn(t *testing.T) {
	l := Millimetres(big.NewRat(3048, 10))
	for u, want := range map[Unit]float64{
		Micrometre: 304800, Millimetre: 304.8, Centimetre: 30.48, Metre: 0.3048, Kilometre: 0.0003048,
		Inch: 12, Foot: 1, FeetInches: 1, Yard: 1.0 / 3, Mile: 1.0 / 5280, "ell": 0,
	} {
		if got := l.In(u); got != want {
			t.Errorf("a foot is %v %s, want %v", got, u, want)
		}
	}
	if (Length{}).In(Inch) != 0 {
		t.Error("no length has inches")
	}
}

// JSON carries all three exactly, whatever they were worked out from, and nothing as nothing.
func TestJSON(t *testing.T) {
	type all struct {
		Ratio  Ratio  `json:"ratio,omitzero"`
		Factor Factor `json:"factor,omitzero"`
		Length Length `json:"length,omitzero"`
	}
	trip := func(in all) (all, string) {
		text, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		var out all
		if err := json.Unmarshal(text, &out); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		return out, string(text)
	}
	if out, text := trip(all{}); text != "{}" || out != (all{}) {
		t.Errorf("nothing is %s", text)
	}
	zero := all{Length: Millimetres(new(big.Rat))}
	if out, text := trip(zero); text != `{"length":"0 mm"}` || !out.Length.Known() {
		t.Errorf("0 mm is %s", text)
	}
	rnd := rand.New(rand.NewPCG(1, 48))
	for range 2000 {
		x := math.Exp(40*rnd.Float64() - 20)
		drawn := new(big.Rat).SetFloat64(x)
		other := big.NewRat(rnd.Int64N(1e6)+1, rnd.Int64N(1e6)+1)
		a, err := Of(drawn, new(big.Rat).Mul(other, big.NewRat(rnd.Int64N(999)+1, 7)))
		if err != nil {
			t.Fatal(err)
		}
		if bounded(a.r, most) != nil {
			continue
		}
		f := FactorBetween(a, Ratio{other})
		if bounded(f.r, most) != nil {
			continue
		}
		in := all{a, f, Millimetres(drawn)}
		out, text := trip(in)
		if !out.Ratio.Equal(in.Ratio) || !out.Factor.Equal(in.Factor) || !out.Length.Equal(in.Length) {
			t.Fatalf("changed on the way: %s", text)
		}
	}
	var a all
	for _, text := range []string{`{"ratio":"O"}`, `{"ratio":"1:0"}`, `{"factor":"-1"}`, `{"length":"5 ells"}`, `{"ratio":1e400000}`} {
		if err := json.Unmarshal([]byte(text), &a); err == nil {
			t.Errorf("%s was taken", text)
		}
	}
	if err := json.Unmarshal([]byte(`{"ratio":"1:48","factor":"","length":""}`), &a); err != nil || a.Ratio.String() != "1:48" || a.Factor.Known() || a.Length.Known() {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestOfRefuses(t *testing.T) {
	one, none := big.NewRat(1, 1), new(big.Rat)
	for _, c := range [][2]*big.Rat{{none, one}, {one, none}, {big.NewRat(-1, 1), one}} {
		if a, err := Of(c[0], c[1]); err != ErrNotPositive || a.Known() {
			t.Errorf("%v:%v is %v, %v", c[0], c[1], a, err)
		}
	}
	if f, err := NewFactor(none); err != ErrNotPositive || f.Known() {
		t.Errorf("factor 0 is %v, %v", f, err)
	}
}
