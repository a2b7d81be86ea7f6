package number

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestScan(t *testing.T) {
	for _, c := range []struct {
		text string
		v    float64
		n    int
		ok   bool
	}{
		{"0", 0, 1, true},
		{"-0", math.Copysign(0, -1), 2, true},
		{"1.5 rest", 1.5, 3, true},
		{"+.5", 0.5, 3, true},
		{"5.", 5, 2, true},
		{"-1.5e+03", -1500, 8, true},
		{"1E3", 1000, 3, true},
		{"1e-7\n", 1e-7, 4, true},
		{"1e", 1, 1, true},
		{"1e+", 1, 1, true},
		{"1e+x", 1, 1, true},
		{"1.2.3", 1.2, 3, true},
		{"1,5", 1, 1, true},
		{"1_000", 1, 1, true},
		{"0x10", 0, 1, true},
		{"123456789012345678901234567890", 123456789012345678901234567890, 30, true},
		{"0.000000000000000000000000000001", 1e-30, 32, true},
		{"9007199254740993", 9007199254740992, 16, true},
		{"1e23", 1e23, 4, true},
		{"1e308", 1e308, 5, true},
		{"1e-400", 0, 6, true},
		{"-1234567.12345678901234e-3", -1234.56712345678901234, 26, true},
		{"-1234567.123456789012345e-30", -1.234567123456789012345e-24, 28, true},
		{"1234567.123456789012345e7", 12345671234567.89012345, 25, true},
		{"1e309", 0, 5, false},
		{"1e99999999999999999999", 0, 22, false},
		{"0e99999999999999999999", 0, 22, true},
		{"", 0, 0, false},
		{"-", 0, 0, false},
		{".", 0, 0, false},
		{"-.", 0, 0, false},
		{"e5", 0, 0, false},
		{".e5", 0, 0, false},
		{"nan", 0, 0, false},
		{"-inf", 0, 0, false},
		{" 1", 0, 0, false},
		{"--1", 0, 0, false},
	} {
		for _, behind := range []string{"", "\n", " 1 2 3 and so on, to the end", "\x00\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff"} {
			v, n, ok := Scan([]byte(c.text + behind))
			require.Equal(t, c.ok, ok, c.text)
			require.Equal(t, c.n, n, c.text)
			if ok {
				require.Equal(t, math.Float64bits(c.v), math.Float64bits(v), c.text)
			}
		}
	}
}

// tries is how often something random is tried, and a tenth of that where little time is.
func tries(n int) int {
	if testing.Short() {
		return n / 10
	}
	return n
}

// Numbers as texts have them, and near misses, read as strconv reads the longest number that
// they begin with.
func TestScanOfAnything(t *testing.T) {
	const seed = 10
	r := rand.New(rand.NewPCG(seed, 0))
	const letters = "0123456789012345678901234567890000..--+eE /:x\x80"
	text := make([]byte, 40)
	for range tries(1_000_000) {
		for i := range text {
			text[i] = letters[r.IntN(len(letters))]
		}
		v, n, ok := Scan(text)
		w, m, _, fine := scanAny(text)
		if v != w || n != m || ok != fine {
			t.Fatalf("seed %d: %q: %v, %d, %v; digit by digit %v, %d, %v", seed, text, v, n, ok, w, m, fine)
		}
		if n == 0 {
			continue
		}
		want, err := strconv.ParseFloat(string(text[:n]), 64)
		if ok != (err == nil) || ok && math.Float64bits(v) != math.Float64bits(want) {
			t.Fatalf("seed %d: %q: %v, %v; want %v, %v", seed, text[:n], v, ok, want, err)
		}
	}
}

// Quotients that lie on, just below and just above the middle between two float64.
func TestQuotient(t *testing.T) {
	const seed = 11
	r := rand.New(rand.NewPCG(seed, 0))
	for range tries(300_000) {
		b := wholePowers[r.IntN(len(wholePowers))]
		a := r.Uint64()>>r.IntN(11) | 1<<53
		if r.IntN(2) == 0 { // whole multiples, and next to them
			a = (1<<53|r.Uint64()>>11)<<r.IntN(11) + uint64(r.IntN(3)) - 1
			a = max(a/b*b+uint64(r.IntN(3))-1, 1<<53)
		}
		want, _ := new(big.Rat).SetFrac(new(big.Int).SetUint64(a), new(big.Int).SetUint64(b)).Float64()
		if got := quotient(a, b); got != want {
			t.Fatalf("seed %d: %d/%d: %v, want %v", seed, a, b, got, want)
		}
	}
}

// The words of eight digits, both ways.
func TestEightDigits(t *testing.T) {
	const seed = 12
	r := rand.New(rand.NewPCG(seed, 0))
	check := func(s uint32) {
		want := fmt.Sprintf("%08d", s)
		word := eightDigits(s)
		for i := range 8 {
			if byte(word>>(8*i))+'0' != want[7-i] {
				t.Fatalf("%s is %x", want, word)
			}
		}
		text := binary.LittleEndian.Uint64([]byte(want))
		if got := amount(text, 8); got != uint64(s) {
			t.Fatalf("%s is read as %d", want, got)
		}
		if s != 0 && noDigits(word) != 8-len(strings.TrimRight(want, "0")) {
			t.Fatalf("%s has %d zeros at its end", want, noDigits(word))
		}
	}
	for s := range uint32(10_000) { // every four digits, in every place
		check(s)
		check(s * 1e4)
		check(s*1e4 + 9999 - s)
	}
	for range tries(1_000_000) {
		check(r.Uint32N(1e8))
	}
	for range tries(100_000) {
		word := r.Uint64()
		if r.IntN(2) == 0 {
			word = word&(0x0707070707070707) | zeros ^ 1<<r.IntN(64)
		}
		n := 0
		for n < 8 && byte(word>>(8*n))-'0' <= 9 {
			n++
		}
		require.Equal(t, n, leadingDigits(word), "%x", word)
	}
}

// Whatever strconv prints, in any form, reads back as strconv reads it.
func TestScanAgreesWithStrconv(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 0))
	for range tries(2_000_000) {
		v := math.Float64frombits(r.Uint64())
		switch r.IntN(3) {
		case 0:
			v = float64(math.Float32frombits(r.Uint32()))
		case 1:
			v = (r.Float64() - 0.5) * math.Pow10(r.IntN(12)-5)
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		text := strconv.FormatFloat(v, "efgE"[r.IntN(4)], r.IntN(20)-1, 64)
		want, err := strconv.ParseFloat(text, 64)
		behind := strings.Repeat([]string{"\n", " 1", ",", "\xff.5"}[r.IntN(4)], r.IntN(20))
		got, n, ok := Scan([]byte(text + behind))
		if ok != (err == nil) || n != len(text) || ok && math.Float64bits(got) != math.Float64bits(want) {
			t.Fatalf("seed %d: %s: %v, %d, %v; want %v", seed, text, got, n, ok, want)
		}
	}
}

func TestScanWide(t *testing.T) {
	for text, want := range map[string]bool{
		"0":                             false,
		"0.1":                           false,
		"-0.1":                          false,
		"123456.789":                    false, // float32 has it to 0.004
		"1e-45":                         false,
		"1e-60":                         true, // float32 has zero there
		"0.333333333333":                true,
		"0.33333334":                    false, // a float32, shortest
		"0.10000000149011612":           false, // a float32 in 17 digits
		"0.100000001490116119384765625": false, // and exactly
		"1.000000000000000":             false,
		"1.000000000000001":             true,
		"16777217":                      true,
		"16777216":                      false,
		"1.6777217e7":                   true,
		"1.677722e7":                    false,
		"1e39":                          true, // beyond float32
	} {
		_, n, wide, ok := ScanWide([]byte(text))
		require.True(t, ok, text)
		require.Equal(t, len(text), n)
		require.Equal(t, want, wide, text)
	}
}

// A float32 is never wide, in however many digits a program prints it.
func TestFloat32IsNeverWide(t *testing.T) {
	const seed = 8
	r := rand.New(rand.NewPCG(seed, 0))
	for range 200_000 {
		v := math.Float32frombits(r.Uint32())
		if r.IntN(2) == 0 {
			v = float32((r.Float64() - 0.5) * math.Pow10(r.IntN(8)-2))
		}
		if v != v || math.IsInf(float64(v), 0) {
			continue
		}
		text := strconv.FormatFloat(float64(v), "ef"[r.IntN(2)], r.IntN(20), 64)
		if strings.HasPrefix(strings.TrimLeft(text, "-"), "0.") && strings.Trim(text, "-0.") == "" {
			continue // nothing left of it
		}
		if _, _, wide, ok := ScanWide([]byte(text)); wide || !ok {
			t.Fatalf("seed %d: %s from %g is wide", seed, text, v)
		}
	}
}

func TestAppend64(t *testing.T) {
	require.Equal(t, "-0", string(Append64(nil, math.Copysign(0, -1))))
	require.Equal(t, "x 1", string(Append64([]byte("x "), 1)))
	for v, want := range map[float64]string{
		0: "0", 1: "1", 0.1: "0.1", -25.4: "-25.4", 1234567.125: "1234567.125", 0.000123: "0.000123",
		0.0000123: "1.23e-05", 0.5: "0.5", -0.75: "-0.75", 99999999: "99999999", -100000000: "-100000000",
		0.005: "0.005", 0.3: "0.3", 0x1.3333333333334p-2: "0.30000000000000004", 999999999999999.9: "999999999999999.9",
		1e15 + 0.5: "1.0000000000000005e+15", 12345678.9: "12345678.9", 5e-324: "5e-324", math.MaxFloat64: "1.7976931348623157e+308",
		1e20: "1e+20", 123456789012345: "123456789012345", 1. / 3: "0.3333333333333333",
	} {
		require.Equal(t, want, string(Append64(nil, v)))
		back, n, ok := Scan([]byte(want))
		require.True(t, ok && n == len(want) && back == v, want)
	}
}

// The numbers that a scan is made of, as texts have them.
func BenchmarkScanText(b *testing.B) {
	var text []byte
	var at []int
	for _, v := range values() {
		at = append(at, len(text))
		text = append(Append32(text, v), ' ')
	}
	text = append(text, strings.Repeat(" ", 40)...)
	for i := 0; b.Loop(); i++ {
		Scan(text[at[i&1023]:])
	}
}

// All that is printed as strconv prints it, and reads back. Where v lies in the very middle
// between two decimals of that length, either will do.
func TestAppend64AgreesWithStrconv(t *testing.T) {
	const seed = 13
	r := rand.New(rand.NewPCG(seed, 0))
	var got, want []byte
	check := func(v float64) {
		if v-v != 0 {
			return
		}
		got = Append64(got[:0], v)
		format := byte('e')
		if a := math.Abs(v); a == 0 || 1e-4 <= a && a < 1e15 {
			format = 'f'
		}
		want = strconv.AppendFloat(want[:0], v, format, -1, 64)
		if string(got) == string(want) {
			return
		}
		off := func(text []byte) *big.Rat {
			x, ok := new(big.Rat).SetString(string(text))
			if !ok {
				t.Fatalf("%s for %s", text, want)
			}
			x.Sub(x, new(big.Rat).SetFloat64(v))
			return x.Abs(x)
		}
		back, n, ok := Scan(got)
		if len(got) != len(want) || off(got).Cmp(off(want)) != 0 || back != v || n != len(got) || !ok {
			t.Fatalf("seed %d: %x: %s, strconv %s", seed, math.Float64bits(v), got, want)
		}
	}
	for range tries(1_000_000) {
		check(math.Float64frombits(r.Uint64()))                                   // anything
		check((r.Float64() - 0.5) * math.Pow10(r.IntN(20)-4))                     // of the usual sizes
		check(math.Round((r.Float64()-0.5)*1e12) / math.Pow10(r.IntN(12)))        // of few digits
		check(float64(float32(r.Float64()-0.5) * float32(math.Pow10(r.IntN(6))))) // float32
	}
	for exponent := uint64(1000); exponent < 1100; exponent++ { // about 1, at the edges of fractions
		for i := range uint64(200) {
			for _, fraction := range []uint64{i, 1<<52 - 1 - i, 1<<51 - 100 + i, i << 45} {
				check(math.Float64frombits(exponent<<52 | fraction))
			}
		}
	}
}

func BenchmarkAppend64(b *testing.B) {
	list := values()
	var dst []byte
	for i := 0; b.Loop(); i++ {
		dst = Append64(dst[:0], float64(list[i&1023])/3)
	}
}
