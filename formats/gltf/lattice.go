package gltf

import (
	"cmp"
	"encoding/binary"
	"math"
	"math/bits"
	"slices"

	"scantling/formats/internal/fault"
)

// A lattice is where the elements of an accessor lie in a blob: count runs of size bytes,
// one every stride bytes.
type lattice struct{ start, stride, count, size int64 }

// newLattice makes one run of elements without gaps.
func newLattice(start, stride, count, size int64) lattice {
	if stride == size {
		return lattice{start, size * count, 1, size * count}
	}
	return lattice{start, stride, count, size}
}

func (l lattice) end() int64 { return l.start + (l.count-1)*l.stride + l.size }

// touches reports whether two lattices have bytes in common. For two with several runs it
// may also say so of some that just miss each other at an end.
func (l lattice) touches(m lattice) bool {
	if l.start >= m.end() || m.start >= l.end() {
		return false
	}
	if l.count > 1 && m.count > 1 {
		// Starts differ by any multiple of the greatest common divisor of the strides.
		g := gcd(l.stride, m.stride)
		d := ((l.start-m.start)%g + g) % g
		return d < m.size || g-d < l.size
	}
	if m.count > 1 {
		l, m = m, l
	}
	// m is one run: the first run of l that ends behind its start must begin before its end.
	k := max(0, (m.start-l.start-l.size)/l.stride)
	for l.start+k*l.stride+l.size <= m.start {
		k++
	}
	return k < l.count && l.start+k*l.stride < m.end()
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// mostComparisons bounds the work on documents whose accessors all lie over each other.
const mostComparisons = 1 << 24

// untangle sorts the lengths of a blob and sets those apart that have numbers in common.
// It fails where a length has bytes in common with something that is none, or might.
func untangle(lengths, others []lattice) (alone, shared []lattice, ok bool) {
	type item struct {
		lattice
		length, tangled bool
	}
	items := make([]item, 0, len(lengths)+len(others))
	for _, l := range distinct(lengths) {
		items = append(items, item{lattice: l, length: true})
	}
	for _, o := range distinct(others) {
		items = append(items, item{lattice: o})
	}
	slices.SortFunc(items, func(a, b item) int { return cmp.Compare(a.start, b.start) })

	// From start to start, compared with those that reach there.
	var reaching [2][]int // others, lengths
	comparisons := 0
	for i := range items {
		at := &items[i]
		for kind := range reaching {
			reaching[kind] = slices.DeleteFunc(reaching[kind], func(k int) bool { return items[k].end() <= at.start })
			comparisons += len(reaching[kind])
		}
		if comparisons > mostComparisons {
			return nil, nil, false
		}
		for _, k := range reaching[1] {
			if !at.touches(items[k].lattice) {
				continue
			}
			if !at.length {
				return nil, nil, false
			}
			at.tangled, items[k].tangled = true, true
		}
		if !at.length {
			reaching[0] = append(reaching[0], i)
			continue
		}
		for _, k := range reaching[0] {
			if at.touches(items[k].lattice) {
				return nil, nil, false
			}
		}
		reaching[1] = append(reaching[1], i)
	}
	for _, at := range items {
		switch {
		case at.tangled:
			shared = append(shared, at.lattice)
		case at.length:
			alone = append(alone, at.lattice)
		}
	}
	return alone, shared, true
}

// distinct leaves one of lattices that only differ in how far they go: the longest.
func distinct(list []lattice) []lattice {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b lattice) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.stride, b.stride),
			cmp.Compare(a.size, b.size), cmp.Compare(b.count, a.count))
	})
	return slices.CompactFunc(list, func(a, b lattice) bool {
		return a.start == b.start && a.stride == b.stride && a.size == b.size
	})
}

// A patcher multiplies the lengths of a blob piece by piece, from its start on. Every
// number is multiplied once.
type patcher struct {
	factor        float64
	alone, shared window
	marks         []uint64 // numbers of a piece that are lengths, one bit each
}

// A window goes along lattices sorted by start.
type window struct {
	ahead, active []lattice
}

// at are the lattices with bytes from start to end.
func (w *window) at(start, end int64) []lattice {
	w.active = slices.DeleteFunc(w.active, func(l lattice) bool { return l.end() <= start })
	for len(w.ahead) > 0 && w.ahead[0].start < end {
		w.active = append(w.active, w.ahead[0])
		w.ahead = w.ahead[1:]
	}
	return w.active
}

func newPatcher(alone, shared []lattice, factor float64) *patcher {
	return &patcher{factor: factor, alone: window{ahead: alone}, shared: window{ahead: shared}}
}

// patch multiplies the lengths in the bytes b of the blob from start on, a multiple of
// four. A result that float32 cannot hold is a fault.
func (p *patcher) patch(b []byte, start int64) fault.Code {
	end := start + int64(len(b))
	bad := false
	for _, l := range p.alone.at(start, end) {
		l.runs(start, end, func(from, to int64) {
			bad = multiply(b[from-start:to-start], p.factor) || bad
		})
	}
	if shared := p.shared.at(start, end); len(shared) > 0 {
		if p.marks == nil {
			p.marks = make([]uint64, piece/4/64)
		}
		clear(p.marks)
		for _, l := range shared {
			l.runs(start, end, func(from, to int64) {
				for at := (from - start) / 4; at < (to-start)/4; at++ {
					p.marks[at/64] |= 1 << (at % 64)
				}
			})
		}
		for i, m := range p.marks {
			for ; m != 0; m &= m - 1 {
				at := 4 * (64*i + bits.TrailingZeros64(m))
				bad = multiply(b[at:at+4], p.factor) || bad
			}
		}
	}
	if bad {
		return fault.TooLarge
	}
	return ""
}

// runs calls f for the bytes of l that are within start and end.
func (l lattice) runs(start, end int64, f func(from, to int64)) {
	k := max(0, (start-l.start-l.size)/l.stride)
	for at := l.start + k*l.stride; k < l.count && at < end; k, at = k+1, at+l.stride {
		if from, to := max(at, start), min(at+l.size, end); from < to {
			f(from, to)
		}
	}
}

// multiply multiplies the numbers in b and reports whether one is no longer finite.
func multiply(b []byte, factor float64) (bad bool) {
	const infinite = 0x7f800000
	greatest := uint32(0)
	for ; len(b) >= 4; b = b[4:] {
		v := math.Float32frombits(binary.LittleEndian.Uint32(b))
		r := math.Float32bits(float32(factor * float64(v)))
		binary.LittleEndian.PutUint32(b, r)
		greatest = max(greatest, r&^(1<<31))
	}
	return greatest >= infinite
}
