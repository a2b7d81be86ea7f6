package stl

import (
	"bytes"
	"encoding/binary"
	"math/bits"
)

// A memo remembers how vertices were rewritten. In a closed mesh each vertex stands in
// about six facets, mostly near each other, with the same text: finding it again is several
// times faster than reading and printing three numbers. It changes nothing else, since the
// same text always gives the same copy.
type memo [1 << memoBits]struct {
	size, copySize uint8 // 0: nothing
	text, copy     [63]byte
}

const memoBits = 12 // 512 kB, which most processors have close to each core

// place is where text is remembered; it must have at least eight bytes.
func place(text []byte) uint {
	const spread = 0x9e3779b97f4a7c15 // 2^64 over the golden ratio: Knuth, TAOCP 3, 6.4
	h := binary.LittleEndian.Uint64(text)
	h = bits.RotateLeft64(h*spread, 32) ^ binary.LittleEndian.Uint64(text[len(text)-8:])
	h = bits.RotateLeft64(h*spread, 32) ^ binary.LittleEndian.Uint64(text[len(text)/2-4:])
	return uint(h * spread >> (64 - memoBits))
}

// find is how the three numbers that take all of the line that data begins with were
// rewritten, and how many bytes they have: 0 when they are not remembered.
func (m *memo) find(data []byte) (copied []byte, n int) {
	n = bytes.IndexByte(data[:min(len(data), len(m[0].text)+2)], '\n')
	if n > 0 && data[n-1] == '\r' {
		n--
	}
	if n < 8 {
		return nil, 0
	}
	e := &m[place(data[:n])]
	if int(e.size) != n || !bytes.Equal(e.text[:n], data[:n]) {
		return nil, 0
	}
	return e.copy[:e.copySize], n
}

// put remembers that text, three numbers, becomes copied, if there is room for it.
func (m *memo) put(text, copied []byte) {
	if len(text) < 8 || len(text) > len(m[0].text) || len(copied) > len(m[0].copy) {
		return
	}
	e := &m[place(text)]
	e.size, e.copySize = uint8(copy(e.text[:], text)), uint8(copy(e.copy[:], copied))
}
