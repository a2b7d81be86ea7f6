package number

import (
	"math"
	"math/big"
	"math/bits"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestAppend32(t *testing.T) {
	for v, want := range map[float32]string{
		0: "0", 1: "1", -1: "-1", 10: "10", 0.1: "0.1", 25.4: "25.4", -0.5: "-0.5",
		0.0001: "0.0001", 0.00001: "1e-5", 0.000012345: "1.2345e-5", 0.00012345: "0.00012345",
		123456789: "123456790", 1e9: "1e9", 16777216: "16777216", 1.5e20: "1.5e20",
		math.MaxFloat32: "3.4028235e38", math.SmallestNonzeroFloat32: "1e-45", 0x1p-126: "1.1754944e-38",
		1. / 3: "0.33333334", 1234.5678: "1234.5677", 33554432: "33554432", 9007199e9: "9.007199e15",
	} {
		require.Equal(t, want, string(Append32(nil, v)))
	}
	require.Equal(t, "-0", string(Append32(nil, float32(math.Copysign(0, -1)))))
	require.Equal(t, "x 1", string(Append32([]byte("x "), 1)))
}

func TestTens(t *testing.T) {
	require.Len(t, tens, 77)
	for i, got := range tens {
		k := i + tensFrom
		power := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(k, -k))), nil)
		want := new(big.Int)
		if k >= 0 {
			want.Lsh(power, 200)
		} else {
			want.Quo(new(big.Int).Lsh(big.NewInt(1), 400), power)
		}
		want.Rsh(want, uint(want.BitLen()-64))
		require.Equal(t, want.Uint64()+1, got, "10^%d", k)
	}
}

// What shortest and Of32 take for granted of the power of ten that they multiply by.
func TestPlaces(t *testing.T) {
	for shift := uint(1); shift <= mostShift; shift++ {
		places := shift*78913>>18 + 1
		require.Greater(t, wholePowers[places], uint64(1)<<shift)
		require.Less(t, wholePowers[places-1], uint64(1)<<shift)
		if shift <= mostShift32 {
			hi, _ := bits.Mul64(wholePowers[places], 1<<24)
			require.Zero(t, hi, "the product is within 64 bits")
		}
	}
	for i, p := range wholePowers {
		require.Equal(t, strconv.FormatUint(p, 10), "1"+strings.Repeat("0", i))
	}
}

// checkAppend32 compares with strconv: the same digits and the same exponent, hence the
// same number, and it reads back through Scan. Where v lies in the very middle between two
// decimals of that length, versions of strconv differ, and either will do.
func checkAppend32(t *testing.T, u uint32, got, want []byte) ([]byte, []byte) {
	v := math.Float32frombits(u)
	if v-v != 0 {
		return got, want
	}
	got = Append32(got[:0], v)
	want = strconv.AppendFloat(want[:0], float64(v), 'e', -1, 32)
	gotDigits, gotPower := normal(string(got))
	wantDigits, wantPower := normal(string(want))
	if (gotDigits != wantDigits || gotPower != wantPower) &&
		(len(gotDigits) != len(wantDigits) || away(got, v).Cmp(away(want, v)) != 0) {
		t.Fatalf("%#x: %s, strconv %s", u, got, want)
	}
	if back, n, ok := Scan(got); n != len(got) || !ok || math.Float32bits(float32(back)) != u {
		t.Fatalf("%#x: %s reads as %v", u, got, back)
	}
	return got, want
}

// away is how far a decimal is from v.
func away(text []byte, v float32) *big.Rat {
	r, _ := new(big.Rat).SetString(string(text))
	r.Sub(r, new(big.Rat).SetFloat64(float64(v)))
	return r.Abs(r)
}

// normal is a decimal's sign and digits without zeros around them, and the power of ten of
// the last.
func normal(text string) (digits string, power int) {
	if i := strings.IndexByte(text, 'e'); i >= 0 {
		power, _ = strconv.Atoi(text[i+1:])
		text = text[:i]
	}
	if i := strings.IndexByte(text, '.'); i >= 0 {
		power -= len(text) - i - 1
		text = text[:i] + text[i+1:]
	}
	sign := strings.TrimRight(text, "0123456789")
	text = strings.TrimLeft(text[len(sign):], "0")
	digits = strings.TrimRight(text, "0")
	if digits == "" {
		return sign + "0", 0
	}
	return sign + digits, power + len(text) - len(digits)
}

// All exponents with fractions at the edges and in between, and random bits.
func TestAppend32AgreesWithStrconv(t *testing.T) {
	const seed = 9
	r := rand.New(rand.NewPCG(seed, 0))
	var got, want []byte
	for high := range uint32(512) { // sign and exponent
		for i := range uint32(50) {
			for _, fraction := range []uint32{i, 1<<23 - 1 - i, 1<<22 - 25 + i, r.Uint32N(1 << 23)} {
				got, want = checkAppend32(t, high<<23|fraction, got, want)
			}
		}
	}
	for range tries(2_000_000) {
		got, want = checkAppend32(t, r.Uint32(), got, want)
	}
	for range tries(1_000_000) { // as coordinates are
		v := float32(math.Round((r.Float64()-0.5)*1e7) / math.Pow10(r.IntN(7)))
		got, want = checkAppend32(t, math.Float32bits(v), got, want)
	}
	for i := range uint32(20_000) {
		got, want = checkAppend32(t, math.Float32bits(float32(i)), got, want)
	}
}

func BenchmarkScan(b *testing.B) {
	texts := [][]byte{[]byte("1.234567e+01\n"), []byte("-0.3333\n"), []byte("1234.5678\n"), []byte("7\n")}
	for i := 0; b.Loop(); i++ {
		Scan(texts[i&3])
	}
}

func BenchmarkScanSeventeenDigits(b *testing.B) {
	text := []byte("0.10000000149011612\n")
	for b.Loop() {
		Scan(text)
	}
}

func values() []float32 {
	r := rand.New(rand.NewPCG(1, 0))
	list := make([]float32, 1024)
	for i := range list {
		list[i] = float32((r.Float64() - 0.5) * 100)
	}
	return list
}

func BenchmarkAppend32(b *testing.B) {
	list := values()
	var dst []byte
	for i := 0; b.Loop(); i++ {
		dst = Append32(dst[:0], list[i&1023])
	}
}

func BenchmarkAppend32Strconv(b *testing.B) {
	list := values()
	var dst []byte
	for i := 0; b.Loop(); i++ {
		dst = strconv.AppendFloat(dst[:0], float64(list[i&1023]), 'g', -1, 32)
	}
}
