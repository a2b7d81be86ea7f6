// Package number reads and prints the decimal numbers of text formats, exactly and fast.
//
// A text format prints its coordinates with as many digits as it likes, and programs hold
// them as float32 or float64. A copy should have the fewest digits that give the same
// number to whoever reads it: ScanWide tells the two kinds of files apart, Append32 and
// Append64 print for either.
package number

import (
	"math"
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
//
// Method: a mantissa below 2^53 times or by a power of ten up to 10^22 are two exact
// float64, so that one operation rounds once (Clinger, How to Read Floating Point Numbers
// Accurately, PLDI 1990). Everything else is left to strconv.
func scan(b []byte) (v float64, n, last int, ok bool) {
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
	if digits <= 19 && mantissa < 1<<53 && -22 <= last && last <= 22 {
		if v = float64(mantissa); last < 0 {
			v /= powersOfTen[-last]
		} else {
			v *= powersOfTen[last]
		}
		if negative {
			v = -v
		}
		return v, i, last, true
	}
	v, err := strconv.ParseFloat(string(b[:i]), 64)
	return v, i, last, err == nil
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

// Append64 appends the fewest digits that read back to the float64 v: plain from 0.0001
// to 1e15, with an exponent beyond. v must be finite.
func Append64(dst []byte, v float64) []byte {
	format := byte('e')
	if a := math.Abs(v); a == 0 || 1e-4 <= a && a < 1e15 {
		format = 'f'
	}
	return strconv.AppendFloat(dst, v, format, -1, 64)
}
