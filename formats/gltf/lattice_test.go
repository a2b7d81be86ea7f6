package gltf

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"scantling/formats/internal/fault"
)

// someLattice is one within the first 400 bytes or so, of numbers of four bytes.
func someLattice(r *rand.Rand) lattice {
	size := 4 * (1 + r.Int64N(4))
	return newLattice(4*r.Int64N(40), size+4*r.Int64N(5), 1+r.Int64N(6), size)
}

// bytesOf are the bytes of a lattice.
func bytesOf(l lattice) map[int64]bool {
	set := map[int64]bool{}
	for k := range l.count {
		for b := range l.size {
			set[l.start+k*l.stride+b] = true
		}
	}
	return set
}

func meet(l, m lattice) bool {
	set := bytesOf(l)
	for b := range bytesOf(m) {
		if set[b] {
			return true
		}
	}
	return false
}

func TestTouches(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	sure := 0
	for range 20000 {
		l, m := someLattice(r), someLattice(r)
		truth := meet(l, m)
		require.Equal(t, l.touches(m), m.touches(l), "%v %v", l, m)
		if truth || l.count == 1 || m.count == 1 {
			require.Equal(t, truth, l.touches(m), "%v %v", l, m)
			sure++
		}
	}
	require.Greater(t, sure, 10000)
	// Those that take turns do not touch.
	require.False(t, lattice{0, 24, 100, 12}.touches(lattice{12, 24, 100, 12}))
	require.True(t, lattice{0, 24, 100, 16}.touches(lattice{12, 24, 100, 12}))
}

// Patching piece by piece, by lattices, is multiplying each number once that any of them
// has.
func TestPatch(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	tangled, refused := 0, 0
	for range 3000 {
		var lengths, others []lattice
		for range 1 + r.IntN(5) {
			lengths = append(lengths, someLattice(r))
		}
		for range r.IntN(3) {
			others = append(others, someLattice(r))
		}
		alone, shared, ok := untangle(lengths, others)
		for _, l := range lengths {
			for _, o := range others {
				require.False(t, ok && meet(l, o), "%v lies over %v", l, o)
			}
		}
		if !ok {
			refused++
			continue
		}
		if len(shared) > 0 {
			tangled++
		}
		b := make([]byte, 1024)
		for i := 0; i < len(b); i += 4 {
			binary.LittleEndian.PutUint32(b[i:], math.Float32bits(r.Float32()))
		}
		want := bytes.Clone(b)
		set := map[int64]bool{}
		for _, l := range lengths {
			for k := range bytesOf(l) {
				set[k&^3] = true
			}
		}
		for at := range set {
			v := math.Float32frombits(binary.LittleEndian.Uint32(want[at:]))
			binary.LittleEndian.PutUint32(want[at:], math.Float32bits(float32(float64(v)*0.235)))
		}
		p := newPatcher(alone, shared, 0.235)
		for at := 0; at < len(b); {
			n := min(4*(1+r.IntN(30)), len(b)-at)
			require.Empty(t, p.patch(b[at:at+n], int64(at)))
			at += n
		}
		require.Equal(t, want, b)
	}
	require.Greater(t, tangled, 100)
	require.Greater(t, refused, 100)
}

func TestPatchTooLarge(t *testing.T) {
	for _, lattices := range [][2][]lattice{{{{0, 4, 1, 4}}, nil}, {nil, {{0, 4, 1, 4}}}} {
		b := pack(float32Comp, 3e38)
		require.Equal(t, fault.TooLarge, newPatcher(lattices[0], lattices[1], 2).patch(b, 0))
	}
}

// Documents whose accessors all lie over each other do not take for ever.
func TestUntangleGivesUp(t *testing.T) {
	var lengths []lattice
	for i := range int64(20000) {
		lengths = append(lengths, lattice{4 * i, 1 << 20, 1000, 4})
	}
	_, _, ok := untangle(lengths, nil)
	require.False(t, ok)
}
