// Package number reads and prints the decimal numbers of text formats, exactly and fast.
//
// A text format prints its coordinates with as many digits as it likes, and programs hold
// them as float32 or float64. A copy should have the fewest digits that give the same
// number to whoever reads it: ScanWide tells the two kinds of files apart, Append32 and
// Append64 print for either.
package number

import (
	"math"
	"math/bits"
	"strconv"
)

// powersOfTen are those that float64 holds exactly.
var powersOfTen = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// Scan reads the longest decimal number that b begins with ("-1.5e+03", "+.5", "5."),
// correctly rounded to float64. n counts its bytes: a caller must see for itself that a
// number may end there. ok is false when there is none, or none that float64 can hold
// ("nan", "inf", "1e999").
func Scan(b []byte) (v float64, n int, ok bool) {
	v, n, _, ok = scan(b)
	return v, n, ok
}

// ScanWide is Scan, and tells whether the text says more than float32 can hold: whether
// the nearest float32 is further from v than half a unit of the last digit.
//
// No float32 that any program printed, with few digits or many, is wide; so a file whose
// numbers are all narrow can be copied as float32 without loss.
func ScanWide(b []byte) (v float64, n int, wide, ok bool) {
	v, n, last, ok := scan(b)
	off := math.Abs(v - float64(float32(v)))
	if off == 0 || !ok {
		return v, n, false, ok
	}
	var unit float64
	switch {
	case last < -300: // digits beyond all use
	case last < -22 || last > 22:
		unit = math.Pow10(last)
	case last < 0:
		unit = 1 / powersOfTen[-last]
	default:
		unit = powersOfTen[last]
	}
	// v itself is rounded: that much may be missing.
	return v, n, off > unit/2+math.Abs(v)*0x1p-53, true
}

// scan is Scan; last is the power of ten of the last digit.
func scan(b []byte) (v float64, n, last int, ok bool) {
	if len(b) >= QuickBytes {
		if v, n, last, ok = ScanQuick((*[QuickBytes]byte)(b)); ok {
			return v, n, last, true
		}
	}
	return scanAny(b)
}

// scanAny is scan, a digit at a time.
func scanAny(b []byte) (v float64, n, last int, ok bool) {
	i := 0
	negative := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative = b[0] == '-'
		i++
	}
	var mantissa uint64
	first := i
	for ; i < len(b); i++ {
		d := b[i] - '0'
		if d > 9 {
			break
		}
		mantissa = mantissa*10 + uint64(d)
	}
	digits := i - first
	if i < len(b) && b[i] == '.' {
		i++
		first = i
		for ; i < len(b); i++ {
			d := b[i] - '0'
			if d > 9 {
				break
			}
			mantissa = mantissa*10 + uint64(d)
		}
		last = first - i
		digits -= last
	}
	if digits == 0 {
		return 0, 0, 0, false
	}
	if i+1 < len(b) && b[i]|0x20 == 'e' {
		e, n := scanExponent(b[i+1:])
		if n > 0 {
			i += 1 + n
			last += e
		}
	}
	if digits <= 19 {
		if v, ok = decimal(mantissa, last); ok {
			if negative {
				v = -v
			}
			return v, i, last, true
		}
	}
	v, err := strconv.ParseFloat(string(b[:i]), 64)
	return v, i, last, err == nil
}

// decimal is mantissa times 10 to the last, correctly rounded; ok is false where that takes
// more than it can do.
//
// Method: a mantissa below 2^53 times or by a power of ten up to 10^22 are two exact
// float64, so that one operation rounds once (Clinger, How to Read Floating Point Numbers
// Accurately, PLDI 1990). By a power up to 10^19, which 64 bits hold, any mantissa is
// divided with more bits than float64 has and what is left over is not forgotten.
func decimal(mantissa uint64, last int) (v float64, ok bool) {
	switch {
	case mantissa < 1<<53 && -22 <= last && last <= 0:
		return float64(mantissa) / powersOfTen[-last], true
	case mantissa < 1<<53 && 0 < last && last <= 22:
		return float64(mantissa) * powersOfTen[last], true
	case mantissa >= 1<<53 && -19 <= last && last <= 0:
		return quotient(mantissa, wholePowers[-last]), true
	}
	return 0, false
}

// quotient is a/b, correctly rounded, for a of at least 2^53 and b of at least 1.
func quotient(a, b uint64) float64 {
	up, down := bits.LeadingZeros64(a), bits.LeadingZeros64(b)
	a <<= up
	q, rest := bits.Div64(a>>1, a<<63, b<<down) // a times 2^63: q has 63 or 64 bits
	// Of these float64 keeps 53, and the last says whether there was more behind it.
	if rest != 0 {
		q |= 1
	}
	q = q>>1 | q&1 // so that it fits int64, which processors convert
	return float64(int64(q)) * math.Float64frombits(uint64(1023+down-up-62)<<52)
}

// wholePowers are the powers of ten below 2^64.
var wholePowers = [...]uint64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19,
}

// scanExponent reads what follows the e; n is 0 when that is no exponent.
func scanExponent(b []byte) (e, n int) {
	negative := false
	if b[0] == '-' || b[0] == '+' {
		negative = b[0] == '-'
		n++
	}
	first := n
	for ; n < len(b) && b[n]-'0' <= 9; n++ {
		if e < 100_000 { // beyond all use, and far from overflow
			e = e*10 + int(b[n]-'0')
		}
	}
	if n == first {
		return 0, 0
	}
	if negative {
		e = -e
	}
	return e, n
}

// Append32 appends Of32(v): "0.1", "-25.4", "1e-7", "1.5e20". It is plain from 0.0001 up to
// nine digits and has an exponent beyond.
func Append32(dst []byte, v float32) []byte {
	return Of32(v).Append(dst)
}

// Append64 appends the fewest digits that read back to the float64 v, and among those the
// nearest to v: plain from 0.0001 to 1e15, with an exponent beyond. v must be finite.
func Append64(dst []byte, v float64) []byte {
	if d, ok := Of64(v); ok {
		return d.Append(dst)
	}
	format := byte('e')
	if a := math.Abs(v); 1e-4 <= a && a < 1e15 {
		format = 'f'
	}
	return strconv.AppendFloat(dst, v, format, -1, 64)
}
