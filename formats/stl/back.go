package stl

import (
	"context"
	"encoding/binary"
	"io"
	"math"
	"os"
	"sync/atomic"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/source"
)

// A Back is a binary file that is read once to see whether it holds what it should, and not to
// work on: of its measures only the triangles and the box are taken, which is several times
// faster. Area, volume and centroid are not numbers, so that nobody takes them for some.
type Back struct {
	path   string
	stamp  source.Stamp
	part   mesh.Part
	closed bool
}

// ReadBack reads the binary file at path back. What Open refuses, it refuses: then the error is
// that of Open.
func ReadBack(ctx context.Context, path string) (*Back, error) {
	file, size, err := source.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	b, ok, err := readBack(ctx, path, file, size)
	if err != nil || ok {
		return b, err
	}
	if _, err := Open(ctx, path, nil); err != nil { // it finds the words for what is wrong
		return nil, err
	}
	return nil, errShrank(path)
}

// backFacets are a quarter of a megabyte, which a core has close by.
const backFacets = 5_000

// readBack is not ok where the file is none that can be read.
func readBack(ctx context.Context, path string, file *os.File, size int64) (b *Back, ok bool, err error) {
	r := source.NewReader(path, file)
	var header [headerBytes]byte
	if _, err := io.ReadFull(r, header[:]); err != nil {
		return nil, false, nil
	}
	n := claimed(header[:])
	if n == 0 || n > (size-headerBytes)/facetBytes {
		return nil, false, nil
	}
	options := binaryOptions(size, nil)
	options.Size = backFacets * facetBytes
	var all sight
	all.box = noBounds()
	var broken atomic.Bool
	err = lines.Fold(ctx, r, options,
		func(c lines.Chunk, _ sight) (sight, error) {
			s := sight{box: noBounds()}
			if !s.look(facetsIn(c, n)) {
				broken.Store(true)
			}
			return s, nil
		},
		func(_ lines.Chunk, s sight) (sight, error) {
			all.merge(s)
			return sight{}, nil
		})
	if err != nil {
		return nil, false, err
	}
	if broken.Load() || int64(all.triangles) != n {
		return nil, false, nil
	}
	nan := math.NaN()
	b = &Back{path: path, stamp: r.Stamp(), closed: all.seam.Closed(), part: mesh.Part{
		Name: source.Stem(path), Unit: mesh.Unit{Name: "mm", MM: 1}, Up: geom.Z, Surface: true,
		Measures: mesh.Measures{Triangles: all.triangles, Box: all.bounds(), Area: nan, Volume: nan, Centroid: geom.Vec{nan, nan, nan}},
	}}
	return b, true, nil
}

// Digest is that of the bytes that were read.
func (b *Back) Digest() string { return b.stamp.String() }

// Parts are the one that a binary file has. Of its measures only Triangles and Box are known.
func (b *Back) Parts() []mesh.Part { return []mesh.Part{b.part} }

// Closed reports whether the surface closes.
func (b *Back) Closed(context.Context, int) (bool, error) { return b.closed, nil }

// Mesh reads the triangles.
func (b *Back) Mesh(ctx context.Context, i int, report func(float64)) (*mesh.Mesh, error) {
	f, err := Open(ctx, b.path, nil)
	if err != nil {
		return nil, err
	}
	if f.stamp != b.stamp {
		return nil, &fault.Error{File: b.path, Code: fault.Changed, Byte: -1}
	}
	return f.Mesh(ctx, i, report)
}

// A sight is what some facets are seen to be.
type sight struct {
	triangles int
	box       [6]float32 // least and most along each axis
	seam      mesh.Seam
}

func noBounds() [6]float32 {
	inf := float32(math.Inf(1))
	return [6]float32{inf, inf, inf, -inf, -inf, -inf}
}

// look adds facets; false where a coordinate is none.
func (s *sight) look(facets []byte) bool {
	s.seam.AddPacked(facets[min(cornerAt, len(facets)):], facetBytes)
	box, odd := s.box, uint32(0)
	for ; len(facets) >= facetBytes; facets = facets[facetBytes:] {
		s.triangles++
		for b := facets[cornerAt:attributeAt]; len(b) >= vectorBytes; b = b[vectorBytes:] {
			for axis := range 3 {
				bits := binary.LittleEndian.Uint32(b[4*axis:])
				odd |= bits&infinite + 1<<23
				x := math.Float32frombits(bits)
				if x < box[axis] {
					box[axis] = x
				}
				if x > box[axis+3] {
					box[axis+3] = x
				}
			}
		}
	}
	s.box = box
	return odd>>31 == 0
}

// infinite are the bits that are all set in what is infinite or no number: there the lowest of
// them, added, reaches the bit above.
const infinite = 0x7f800000

func (s *sight) merge(o sight) {
	s.triangles += o.triangles
	for axis := range 3 {
		s.box[axis] = min(s.box[axis], o.box[axis])
		s.box[axis+3] = max(s.box[axis+3], o.box[axis+3])
	}
	s.seam.Merge(o.seam)
}

func (s *sight) bounds() (box geom.Box) {
	for axis := range 3 {
		box.Min[axis], box.Max[axis] = float64(s.box[axis]), float64(s.box[axis+3])
	}
	return box
}
