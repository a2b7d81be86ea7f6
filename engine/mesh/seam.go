package mesh

import (
	"context"
	"encoding/binary"
	"math"
	"math/bits"
)

// A Seam tells of triangles that stream past whether they close: whether every edge is run
// along as often one way as the other. It keeps nothing of them but one number, and those of
// pieces of one mesh can be merged in any order. What has no triangles closes.
//
// Method: each corner is hashed to a number below the prime 2^61-1, and each edge from a to b
// adds ab(a-b), which the other way has the negative of; around a triangle that makes the
// product of its three differences. A surface that is open leaves a polynomial of the third
// degree in its corners' numbers, which is nought by chance once in 2^59 (Schwartz, J. ACM 27,
// 1980; Zippel, EUROSAM 1979).
type Seam struct{ sum uint64 }

// seamPrime is 2^61-1, a Mersenne prime.
const seamPrime = 1<<61 - 1

// A Corner stands for a place in a Seam: the same place, the same number.
type Corner uint64

// CornerOf is that of the place whose float32 coordinates have these bits. Minus nought is nought.
// The constants are those of splitmix64 (Steele, Lea, Flood, OOPSLA 2014): odd, and about half of
// their bits are set.
func CornerOf(x, y, z uint32) Corner {
	const minus = 1 << 31
	if x == minus {
		x = 0
	}
	if y == minus {
		y = 0
	}
	if z == minus {
		z = 0
	}
	high, low := bits.Mul64((uint64(x)<<32|uint64(y))^0x9e3779b97f4a7c15, uint64(z)^0xbf58476d1ce4e5b9)
	high, low = bits.Mul64(high^low^0xbf58476d1ce4e5b9, 0x94d049bb133111eb)
	return Corner((high ^ low) & seamPrime)
}

// Add adds a triangle.
func (s *Seam) Add(a, b, c Corner) {
	s.fold(seamProduct(seamProduct(uint64(a-b+seamPrime), uint64(b-c+seamPrime)), uint64(c-a+seamPrime)))
}

// packedBytes are those of a packed triangle.
const packedBytes = 36

// AddPacked adds the triangles that stand in b, one every so many bytes, at least 36, from its
// start on: nine float32, little-endian, corner after corner. It is Add of each, but faster.
func (s *Seam) AddPacked(b []byte, every int) {
	sum := s.sum
	for len(b) >= packedBytes {
		x, y, z := packedCorner(b), packedCorner(b[12:]), packedCorner(b[24:])
		sum += seamProduct(seamProduct(x-y+seamPrime, y-z+seamPrime), z-x+seamPrime)
		sum = sum&seamPrime + sum>>61
		b = b[min(every, len(b)):]
	}
	s.sum = sum
}

func packedCorner(b []byte) uint64 {
	_ = b[11]
	return uint64(CornerOf(binary.LittleEndian.Uint32(b), binary.LittleEndian.Uint32(b[4:]), binary.LittleEndian.Uint32(b[8:])))
}

// Merge adds what o has gathered.
func (s *Seam) Merge(o Seam) { s.fold(o.sum) }

func (s *Seam) fold(n uint64) {
	n += s.sum
	s.sum = n&seamPrime + n>>61
}

// Closed reports whether what was added closes.
func (s Seam) Closed() bool { return s.sum%seamPrime == 0 }

// seamProduct is a·b but for multiples of the prime, below 2^62; a and b are at most 2^62.
func seamProduct(a, b uint64) uint64 {
	high, low := bits.Mul64(a, b)
	n := low&seamPrime + (low>>61 | high<<3)
	return n&seamPrime + n>>61
}

// Closes reports whether the surface of m closes, as Seam has it: what is welded and closed does,
// and so does what has edges at which four or more triangles meet in pairs. That takes a
// twentieth of the time of welding. It asks ctx every few thousand triangles.
func Closes(ctx context.Context, m *Mesh) (bool, error) {
	at := func(i uint32) Corner {
		v := &m.Vertices[i]
		return CornerOf(math.Float32bits(v[0]), math.Float32bits(v[1]), math.Float32bits(v[2]))
	}
	var s Seam
	for t := range m.Len() {
		if t&0xffff == 0 && ctx.Err() != nil {
			return false, ctx.Err()
		}
		v := m.Corners(t)
		s.Add(at(v[0]), at(v[1]), at(v[2]))
	}
	return s.Closed(), nil
}
