package number

import (
	"encoding/binary"
	"math"
)

// QuickBytes are what ScanQuick may look at.
const QuickBytes = 26

// ScanQuick is Scan for the numbers that most texts have: up to seven digits, a point, up to
// sixteen more, with or without an exponent. ok is false for others, and for what is none.
// last is the power of ten of the last digit.
//
// Method: eight bytes are looked at in one word: how many of them are digits before the
// first other byte, and what these amount to, without a loop (Lemire, Number Parsing at a
// Gigabyte per Second, Software: Practice and Experience 51, 2021, section 4).
func ScanQuick(b *[QuickBytes]byte) (v float64, n, last int, ok bool) {
	i := 0
	if b[0] == '-' {
		i = 1
	}
	sign := uint64(i) << 63
	word := binary.LittleEndian.Uint64(b[i&1:])
	digits := leadingDigits(word)
	if digits == 8 {
		return 0, 0, 0, false
	}
	mantissa := amount(word, digits)
	i += digits
	if b[i&15] == '.' { // &15: the compiler need not check
		word = binary.LittleEndian.Uint64(b[(i+1)&15:])
		decimals := leadingDigits(word)
		mantissa = mantissa*wholePowers[decimals&15] + amount(word, decimals)
		digits += decimals
		i += 1 + decimals
		if decimals == 8 {
			word = binary.LittleEndian.Uint64(b[min(i, QuickBytes-8):])
			more := leadingDigits(word)
			if digits += more; digits > 19 || more == 8 && b[min(i+8, QuickBytes-1)]-'0' <= 9 {
				return 0, 0, 0, false
			}
			mantissa = mantissa*wholePowers[more&15] + amount(word, more)
			decimals += more
			i += more
		}
		last = -decimals
	}
	if digits == 0 {
		return 0, 0, 0, false
	}
	if b[min(i, QuickBytes-1)]|0x20 == 'e' {
		if i > QuickBytes-6 { // e-30 and more
			return 0, 0, 0, false
		}
		if e, n := scanExponent(b[i+1:]); n > 0 {
			if i += 1 + n; i == QuickBytes { // the exponent may go on
				return 0, 0, 0, false
			}
			last += e
		}
	}
	if mantissa < 1<<53 && uint(-last) < uint(len(powersOfTen)) { // as in decimal, most often
		v, ok = float64(int64(mantissa))/powersOfTen[-last], true
	} else {
		v, ok = decimal(mantissa, last)
	}
	return math.Float64frombits(math.Float64bits(v) | sign), i, last, ok
}

const (
	ones  = 0x0101010101010101
	zeros = '0' * ones // eight digits 0
)

// leadingDigits counts the digits before the first byte of word, from the lowest, that is
// none: up to 8.
func leadingDigits(word uint64) int {
	x := word ^ zeros // a digit's byte is now its value
	// 0x76 is what takes 10 to 0x80; what is carried spoils only bytes further on.
	x = (x + 0x76*ones | x) & (0x80 * ones)
	if x == 0 {
		return 8
	}
	return lowestByte(x >> 7)
}

// lowestByte is the number of the lowest byte of x that is not 0; all are 0 or 1. It counts
// zeros faster than processors without an instruction of their own for it.
func lowestByte(x uint64) int { return int((x & -x) * 0x0001020304050607 >> 56) }

// amount is the number that the first n bytes of word, from the lowest, are the digits of.
func amount(word uint64, n int) uint64 {
	word = word << (32 - 4*uint(n)&63) << (32 - 4*uint(n)&63) & (0x0f * ones) // zeros in front
	word = word * (10<<8 + 1) >> 8 & 0x00ff00ff00ff00ff
	word = word * (100<<16 + 1) >> 16 & 0x0000ffff0000ffff
	return word * (10000<<32 + 1) >> 32
}

// eightDigits are the digits of s, below 10^8, one a byte, the last lowest.
func eightDigits(s uint32) uint64 {
	q := uint64(s / 1e4)
	x := uint64(s) + q*(1<<32-1e4)
	q = x * 5243 >> 19 & 0x0000007f0000007f // by 100: right for all below 10000
	x += q * (1<<16 - 100)
	q = x * 103 >> 10 & 0x000f000f000f000f // by 10: right for all below 100
	return x + q*(1<<8-10)
}

// noDigits counts the digits 0 at the end of x, which has one in each byte, the last lowest,
// and is not 0.
func noDigits(x uint64) int { return lowestByte((x + 0x7f*ones) >> 7 & ones) }
