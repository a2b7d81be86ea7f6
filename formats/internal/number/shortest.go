package number

import (
	"math"
	"math/bits"
)

// Append32 appends the fewest digits that read back to the float32 v, and among those the
// nearest to v: "0.1", "-25.4", "1e-7", "1.5e20". It is plain from 0.0001 up to nine digits
// and has an exponent beyond. v must be finite.
//
// Method: Giulietti, The Schubfach way to render doubles, 2021, narrowed to float32.
func Append32(dst []byte, v float32) []byte {
	n := len(dst)
	if cap(dst)-n < mostBytes {
		dst = append(dst, make([]byte, mostBytes)...)
	}
	dst = dst[:n+mostBytes]
	return dst[:n+put32((*[mostBytes]byte)(dst[n:]), v)]
}

// mostBytes are more than any float32 takes: "-1.17549435e-38", "-0.000123456789".
const mostBytes = 16

// put32 puts v into b and counts the bytes.
func put32(b *[mostBytes]byte, v float32) int {
	at := 0
	u := math.Float32bits(v)
	if u>>31 != 0 {
		b[0] = '-'
		at = 1
		u &= 1<<31 - 1
	}
	if u == 0 {
		b[at] = '0'
		return at + 1
	}
	// v is c times 2 to the q.
	fraction, exponent := u&(1<<23-1), int(u>>23)
	c, q := fraction, -149
	if exponent != 0 {
		c, q = fraction|1<<23, exponent-150
	}
	if shift := uint(-q); shift < 24 && c&(1<<shift-1) == 0 {
		return putDecimal(b, at, c>>shift, 0) // an integer
	}
	s, k := shortest(c, q, fraction == 0 && exponent > 1)
	return putDecimal(b, at, s, k)
}

// shortest gives the decimal s times 10 to the k for the float32 c times 2 to the q.
// uneven is where the next smaller float32 is only half as far away as the next larger.
func shortest(c uint32, q int, uneven bool) (s uint32, k int) {
	// All bounds are in quarters of the last place. Those of an even c are within.
	out := c & 1
	lower, middle, upper := uint64(4*c-2), uint64(4*c), uint64(4*c+2)
	if uneven {
		lower = uint64(4*c - 1)
		k = (q*1262611 - 524031) >> 22 // floor(log10(3/4 times 2^q))
	} else {
		k = q * 1262611 >> 22 // floor(log10(2^q))
	}
	g := tens[-k-tensFrom]
	h := q + (-k*1741647)>>19 + 1 // floor(log2(10^-k))
	low := quarters(g, lower<<h) + out
	mid := quarters(g, middle<<h)
	high := quarters(g, upper<<h) - out

	s = mid / 4
	if s >= 10 { // one digit less, if either neighbour lies between the bounds
		t := s / 10
		below, above := low <= 40*t, 40*t+40 <= high
		if below != above {
			if above {
				t++
			}
			return t, k + 1
		}
	}
	below, above := low <= 4*s, 4*s+4 <= high
	if below != above {
		if above {
			s++
		}
		return s, k
	}
	if half := 4*s + 2; mid > half || mid == half && s&1 != 0 {
		s++
	}
	return s, k
}

// quarters is g times c over 2 to the 64, its lowest bit set when anything is cut off, so
// that comparisons come out right.
func quarters(g, c uint64) uint32 {
	hi, lo := bits.Mul64(g, c)
	if lo>>32 > 1 {
		hi |= 1
	}
	return uint32(hi)
}

// putDecimal puts s times 10 to the k from b[at] on, and is where it ends; s has at most
// nine digits and is not 0.
func putDecimal(b *[mostBytes]byte, at int, s uint32, k int) (end int) {
	for s%10 == 0 {
		s /= 10
		k++
	}
	n := digits(s)
	point := n + k // digits before the point
	switch {
	case k >= 0 && point <= 9: // 1200
		putDigits(b, at+n, s, n)
		for i := at + n; i < at+point; i++ {
			b[i&15] = '0'
		}
		return at + point
	case k < 0 && point > 0: // 1.2
		putDigits(b, at+n+1, s, n)
		for i := at; i < at+point; i++ {
			b[i&15] = b[(i+1)&15]
		}
		b[(at+point)&15] = '.'
		return at + n + 1
	case k < 0 && point > -4: // 0.0012
		at = putZero(b, at, -point)
		putDigits(b, at+n, s, n)
		return at + n
	}
	putDigits(b, at+n+1, s, n) // 1.2e-7
	b[at] = b[at+1]
	at++
	if n > 1 {
		b[at] = '.'
		at += n
	}
	b[at] = 'e'
	at++
	e := point - 1
	if e < 0 {
		b[at] = '-'
		at++
		e = -e
	}
	if e >= 10 {
		b[at] = '0' + byte(e/10)
		at++
	}
	b[at] = '0' + byte(e%10)
	return at + 1
}

// putZero puts "0." and more zeros.
func putZero(b *[mostBytes]byte, at, more int) (end int) {
	b[at], b[at+1] = '0', '.'
	for at += 2; more > 0; more-- {
		b[at] = '0'
		at++
	}
	return at
}

// putDigits puts the n digits of s so that they end before b[end].
func putDigits(b *[mostBytes]byte, end int, s uint32, n int) {
	const pairs = "00010203040506070809" + "10111213141516171819" + "20212223242526272829" +
		"30313233343536373839" + "40414243444546474849" + "50515253545556575859" +
		"60616263646566676869" + "70717273747576777879" + "80818283848586878889" + "90919293949596979899"
	for ; n >= 2; n -= 2 {
		r := s % 100 * 2
		s /= 100
		end -= 2
		b[end&15], b[(end+1)&15] = pairs[r], pairs[r+1] // &15: the compiler need not check
	}
	if n > 0 {
		b[(end-1)&15] = '0' + byte(s)
	}
}

// digits counts those of s.
func digits(s uint32) int {
	n := bits.Len32(s) * 1233 >> 12 // floor(log10(2^Len)), 1233/4096 being log10(2)
	if s >= integerPowers[n] {
		n++
	}
	return n
}

var integerPowers = [...]uint32{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9}

// tensFrom is the power of the first of tens.
const tensFrom = -31

// tens are the powers of ten from 10^-31 to 10^45, each scaled by a power of two to 64
// bits, cut off, plus one. TestTens computes them.
var tens = [...]uint64{
	0x81ceb32c4b43fcf5, 0xa2425ff75e14fc32, 0xcad2f7f5359a3b3f, 0xfd87b5f28300ca0e,
	0x9e74d1b791e07e49, 0xc612062576589ddb, 0xf79687aed3eec552, 0x9abe14cd44753b53,
	0xc16d9a0095928a28, 0xf1c90080baf72cb2, 0x971da05074da7bef, 0xbce5086492111aeb,
	0xec1e4a7db69561a6, 0x9392ee8e921d5d08, 0xb877aa3236a4b44a, 0xe69594bec44de15c,
	0x901d7cf73ab0acda, 0xb424dc35095cd810, 0xe12e13424bb40e14, 0x8cbccc096f5088cc,
	0xafebff0bcb24aaff, 0xdbe6fecebdedd5bf, 0x89705f4136b4a598, 0xabcc77118461cefd,
	0xd6bf94d5e57a42bd, 0x8637bd05af6c69b6, 0xa7c5ac471b478424, 0xd1b71758e219652c,
	0x83126e978d4fdf3c, 0xa3d70a3d70a3d70b, 0xcccccccccccccccd, 0x8000000000000001,
	0xa000000000000001, 0xc800000000000001, 0xfa00000000000001, 0x9c40000000000001,
	0xc350000000000001, 0xf424000000000001, 0x9896800000000001, 0xbebc200000000001,
	0xee6b280000000001, 0x9502f90000000001, 0xba43b74000000001, 0xe8d4a51000000001,
	0x9184e72a00000001, 0xb5e620f480000001, 0xe35fa931a0000001, 0x8e1bc9bf04000001,
	0xb1a2bc2ec5000001, 0xde0b6b3a76400001, 0x8ac7230489e80001, 0xad78ebc5ac620001,
	0xd8d726b7177a8001, 0x878678326eac9001, 0xa968163f0a57b401, 0xd3c21bcecceda101,
	0x84595161401484a1, 0xa56fa5b99019a5c9, 0xcecb8f27f4200f3b, 0x813f3978f8940985,
	0xa18f07d736b90be6, 0xc9f2c9cd04674edf, 0xfc6f7c4045812297, 0x9dc5ada82b70b59e,
	0xc5371912364ce306, 0xf684df56c3e01bc7, 0x9a130b963a6c115d, 0xc097ce7bc90715b4,
	0xf0bdc21abb48db21, 0x96769950b50d88f5, 0xbc143fa4e250eb32, 0xeb194f8e1ae525fe,
	0x92efd1b8d0cf37bf, 0xb7abc627050305ae, 0xe596b7b0c643c71a, 0x8f7e32ce7bea5c70,
	0xb35dbf821ae4f38c,
}
