package number

import (
	"encoding/binary"
	"math/bits"
)

// Room is more than any number takes, for words that are written whole.
const Room = 48

// Append prints d behind dst, as Put does.
func (d Decimal) Append(dst []byte) []byte {
	n := len(dst)
	if cap(dst)-n < Room {
		dst = append(dst, make([]byte, Room)...)
	}
	return dst[:n+d.Put((*[Room]byte)(dst[n:n+Room]))]
}

// Put prints d into b and counts the bytes. It is plain from 0.0001 up to nine digits before
// the point, and for all that Of64 gives, and has an exponent beyond.
func (d Decimal) Put(b *[Room]byte) int {
	b[0] = '-'
	at, k := d.sign&1, d.k
	if d.s-1 >= 1e8-1 {
		return d.putMore(b)
	}
	s := uint32(d.s)
	word := eightDigits(s)
	behind := noDigits(word) // zeros
	word = bits.ReverseBytes64(word)
	before := noDigits(word)
	count := 8 - before - behind
	point := count + k + behind // digits before the point
	word = word>>(8*uint(before)&63) | zeros
	switch {
	case point >= count && point <= 8: // 1200
		put8(b, at, word)
		return at + point
	case point > 0 && point < count: // 1.2
		put8(b, at, word)
		b[(at+point)&15] = '.'
		put8(b, at+point+1, word>>(8*uint(point)&63))
		return at + count + 1
	case point <= 0 && point > -4: // 0.0012
		put8(b, at, zeroPoint)
		put8(b, at+2-point, word)
		return at + 2 - point + count
	}
	return putDecimal(b, at, s, k)
}

// zeroPoint is "0.000000".
const zeroPoint = zeros - ('0'-'.')<<8

// put8 puts eight bytes, the lowest first.
func put8(b *[Room]byte, at int, word uint64) {
	binary.LittleEndian.PutUint64(b[at&15:], word) // &15: the compiler need not check
}

// putDecimal puts s times 10 to the k from b[at] on, and is where it ends; s has at most
// nine digits and is not 0.
func putDecimal(b *[Room]byte, at int, s uint32, k int) (end int) {
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
		put8(b, at, zeroPoint)
		at += 2 - point
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

// putDigits puts the n digits of s so that they end before b[end].
func putDigits(b *[Room]byte, end int, s uint32, n int) {
	for ; n > 0; n-- {
		end--
		b[end&15] = '0' + byte(s%10) // &15: the compiler need not check
		s /= 10
	}
}

// digits counts those of s.
func digits(s uint32) int {
	n := bits.Len32(s) * 1233 >> 12 // floor(log10(2^Len)), 1233/4096 being log10(2)
	if uint64(s) >= wholePowers[n] {
		n++
	}
	return n
}

// putMore is Put for more than eight digits, and for 0.
func (d Decimal) putMore(b *[Room]byte) int {
	at, s, k := d.sign&1, d.s, d.k
	if s == 0 {
		b[at] = '0'
		return at + 1
	}
	if s < 1e9 {
		return putDecimal(b, at, uint32(s), k)
	}
	// All 17 digits, and zeros behind them, so that any 24 bytes can be taken.
	var all [Room]byte
	high, low := s/1e8, bits.ReverseBytes64(eightDigits(uint32(s%1e8)))
	middle := bits.ReverseBytes64(eightDigits(uint32(high % 1e8)))
	all[0] = '0' + byte(high/1e8)
	binary.LittleEndian.PutUint64(all[1:], middle|zeros)
	binary.LittleEndian.PutUint64(all[9:], low|zeros)
	before := 0
	if all[0] == '0' {
		if before = 1 + bits.TrailingZeros64(middle)/8; before == 9 {
			before += bits.TrailingZeros64(low) / 8
		}
	}
	behind := bits.LeadingZeros64(low) / 8
	if behind == 8 {
		behind += bits.LeadingZeros64(middle) / 8
	}
	count := len("12345678901234567") - before - behind
	point := count + k + behind // digits before the point

	if point <= 0 { // 0.0012
		binary.LittleEndian.PutUint64(b[at:], zeroPoint)
		at += 2 - point
		copy24(b[at:], all[before:])
		return at + count
	}
	copy24(b[at:], all[before:])
	b[at+point] = '.'
	copy24(b[at+point+1:], all[before+point:])
	return at + count + 1
}

// copy24 copies 24 bytes.
func copy24(to, from []byte) { *(*[24]byte)(to) = *(*[24]byte)(from) }
