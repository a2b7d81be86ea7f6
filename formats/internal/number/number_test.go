package number

import (
	"math"
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
		v, n, ok := Scan([]byte(c.text))
		require.Equal(t, c.ok, ok, c.text)
		require.Equal(t, c.n, n, c.text)
		if ok {
			require.Equal(t, math.Float64bits(c.v), math.Float64bits(v), c.text)
		}
	}
}

// Whatever strconv prints, in any form, reads back as strconv reads it.
func TestScanAgreesWithStrconv(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 0))
	for range 300_000 {
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
		got, n, ok := Scan([]byte(text + "\n"))
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
	for v, want := range map[float64]string{
		0: "0", 1: "1", 0.1: "0.1", -25.4: "-25.4", 1234567.125: "1234567.125", 0.000123: "0.000123",
		0.0000123: "1.23e-05", 1e20: "1e+20", 123456789012345: "123456789012345", 1. / 3: "0.3333333333333333",
	} {
		require.Equal(t, want, string(Append64(nil, v)))
		back, n, ok := Scan([]byte(want))
		require.True(t, ok && n == len(want) && back == v, want)
	}
}
