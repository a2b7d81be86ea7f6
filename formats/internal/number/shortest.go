package number

import (
	"math"
	"math/bits"
)

// A Decimal is a number in the fewest digits that read back to it: s times 10 to the k, with a
// minus if sign is 1. To print several numbers is quicker if all their digits are found
// first: each takes many steps that wait for one another, and processors do those of several
// at a time.
type Decimal struct {
	s       uint64
	k, sign int
}

// Of32 is v, which must be finite, in the fewest digits that read back to this float32, and
// among those the nearest to v.
func Of32(v float32) Decimal {
	u := math.Float32bits(v)
	sign := int(u >> 31)
	c, shift := u&(1<<23-1)|1<<23, 150-uint(u>>23&(1<<8-1))
	if shift-1 >= mostShift32 {
		return rare32(u)
	}
	shift &= 63 // the compiler need not care for more
	cut := uint64(1)<<shift - 1
	if uint64(c)&cut == 0 || c == 1<<23 { // an integer, or a power of two
		return rare32(u)
	}

	// As in shortest, which see.
	places := shift*78913>>18 + 1
	power := wholePowers[places&15]
	x := uint64(c) * power
	s := uint32(x >> shift)
	rest := x & cut
	half := power>>1 - uint64(c&1)
	t := s / 10
	down := uint64(s-10*t)<<shift + rest
	up := 10<<shift - down
	_, notDown := bits.Sub64(half, down, 0)
	_, notUp := bits.Sub64(half, up, 0)
	_, above := bits.Sub64(cut>>1+1, rest+uint64(s&1), 0)
	less := 1 - notDown&notUp
	s += uint32(above)
	s ^= (s ^ (t + 1 - uint32(notUp))) & -uint32(less)
	return Decimal{uint64(s), int(less) - int(places), sign}
}

// mostShift32 is the largest shift that Of32 does by itself: ten to the twelfth times 24 bits
// are just below 2^64. It is enough for all from 0.000016 up.
const mostShift32 = 39

// rare32 is Of32 for what that does not do by itself.
func rare32(u uint32) Decimal {
	d := Decimal{sign: int(u >> 31)}
	u &= 1<<31 - 1
	// v is c times 2^-shift, if it is no smaller than a normal number.
	c, shift := u&(1<<23-1)|1<<23, 150-uint(u>>23)
	switch {
	case shift < 24 && c&(1<<shift-1) == 0: // an integer
		d.s = uint64(c >> shift)
	case u>>23 == 0 && u != 0:
		d.s, d.k = shortestAny(u, -149, false)
	case u != 0:
		d.s, d.k = shortestAny(c, int(u>>23)-150, c == 1<<23 && u>>23 > 1)
	}
	return d
}

// Of64 is v in the fewest digits that read back to this float64, and among those the nearest
// to v. ok is false for very small and large numbers and for powers of two: these are left
// to Append64.
func Of64(v float64) (d Decimal, ok bool) {
	u := math.Float64bits(v)
	d.sign = int(u >> 63)
	// v is c times 2^-shift, if it is no smaller than a normal number.
	c, shift := u&(1<<52-1)|1<<52, 1075-uint(u>>52&(1<<11-1))
	switch {
	case shift-1 < mostShift && c != 1<<52 && c&(1<<shift-1) != 0 && math.Abs(v) < 1e15:
		d.s, d.k = shortest(c, shift)
		return d, true
	case shift < 53 && c&(1<<shift-1) == 0 && c>>shift < 1e8: // an integer
		d.s = c >> shift
		return d, true
	}
	return d, u<<1 == 0
}

// mostShift is the largest shift that shortest takes.
const mostShift = 60

// shortest gives the decimal s times 10 to the k for the float c times 2^-shift, which must
// be no power of two: shift from 1 to mostShift, and c of all the bits that the kind of float
// has.
//
// Method: Giulietti, The Schubfach Way to Render Doubles, 2021. The power of ten by which it
// multiplies, no larger than 10^19, is exact here, and so is all the rest: s is a whole
// number of 10^k, of which there are one to ten between v and the next float, and what is cut
// off is compared exactly. No branch depends on the digits.
func shortest(c uint64, shift uint) (s uint64, k int) {
	places := shift*78913>>18 + 1 // the least power of ten above 2^shift, 78913/2^18 being log10(2)
	power := wholePowers[places&31]
	hi, lo := bits.Mul64(c, power)
	s = hi<<(64-shift) | lo>>shift
	rest := lo & (1<<shift - 1)

	// One digit less does if either neighbour, down or up, is nearer than half way to the
	// next float; there the even c wins.
	half := power/2 - c&1
	t := s / 10
	down := (s-10*t)<<shift + rest
	up := 10<<shift - down
	_, notDown := bits.Sub64(half, down, 0)
	_, notUp := bits.Sub64(half, up, 0)
	less := 1 - notDown&notUp
	// Otherwise the nearest, or the even one.
	_, above := bits.Sub64(1<<(shift-1), rest+s&1, 0)
	s += above
	s ^= (s ^ (t + 1 - notUp)) & -less
	return s, int(less) - int(places)
}

// shortestAny is shortest for every float32, c times 2 to the q, by powers cut off to 64 bits.
// uneven is where the next smaller float32 is only half as far away as the next larger.
func shortestAny(c uint32, q int, uneven bool) (s uint64, k int) {
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
	low := quarters(g, lower<<h) + uint64(out)
	mid := quarters(g, middle<<h)
	high := quarters(g, upper<<h) - uint64(out)

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
func quarters(g, c uint64) uint64 {
	hi, lo := bits.Mul64(g, c)
	if lo>>32 > 1 {
		hi |= 1
	}
	return hi
}

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
