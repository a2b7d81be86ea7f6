package stl

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"sync"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/source"
)

// The layout, all little-endian: 80 bytes of header, the count of facets as uint32, and for
// each facet the normal and three corners as float32, and two attribute bytes.
const (
	headerBytes = 84
	facetBytes  = 50
	cornerAt    = 12 // in a facet
	attributeAt = 48
)

// chunkFacets are about a megabyte.
const chunkFacets = 20_000

// claimed is the count of facets that a header claims; 0 when it is cut short.
func claimed(head []byte) int64 {
	if len(head) < headerBytes {
		return 0
	}
	return int64(binary.LittleEndian.Uint32(head[80:]))
}

// corner is corner k of a facet.
func corner(facet []byte, k int) geom.Vec { return vector(facet[cornerAt+vectorBytes*k:]) }

const vectorBytes = 12

// vector is the point or direction at the start of b.
func vector(b []byte) geom.Vec {
	_ = b[vectorBytes-1]
	return geom.Vec{
		float64(math.Float32frombits(binary.LittleEndian.Uint32(b[0:]))),
		float64(math.Float32frombits(binary.LittleEndian.Uint32(b[4:]))),
		float64(math.Float32frombits(binary.LittleEndian.Uint32(b[8:]))),
	}
}

// putVector puts v at the start of b.
func putVector(b []byte, v geom.Vec) {
	for axis, x := range v {
		binary.LittleEndian.PutUint32(b[4*axis:], math.Float32bits(float32(x)))
	}
}

// binaryOptions stream what follows the header.
func binaryOptions(size int64, report func(float64)) lines.Options {
	return lines.Options{
		Size:   chunkFacets * facetBytes,
		Cut:    func(data []byte) int { return len(data) - len(data)%facetBytes },
		Bytes:  size - headerBytes,
		Report: report,
	}
}

// facetsIn are the whole facets in c of the first n.
func facetsIn(c lines.Chunk, n int64) []byte {
	return c.Data[:max(0, min(int64(len(c.Data))/facetBytes, n-c.Offset/facetBytes))*facetBytes]
}

func (f *File) openBinary(ctx context.Context, file *os.File, size int64, report func(float64)) error {
	r := source.NewReader(f.path, file)
	var header [headerBytes]byte
	if n, err := io.ReadFull(r, header[:]); err == io.EOF || err == io.ErrUnexpectedEOF {
		return &fault.Error{File: f.path, Code: fault.Truncated, Byte: int64(n),
			Detail: fmt.Sprintf("%d of %d bytes of header", n, headerBytes)}
	} else if err != nil {
		return err
	}
	f.notes = append(f.notes, source.TagNote(string(bytes.TrimRight(header[:80], "\x00 ")))...)
	n := claimed(header[:])
	actual := (size - headerBytes) / facetBytes
	if n > actual {
		return &fault.Error{File: f.path, Code: fault.Truncated, Byte: size,
			Detail: fmt.Sprintf("%d of %d facets", actual, n)}
	}
	if n == 0 {
		return &fault.Error{File: f.path, Code: fault.NoTriangles, Byte: -1}
	}
	var first [facetBytes]byte
	if _, err := file.ReadAt(first[:], headerBytes); err != nil {
		return source.Fault(f.path, err)
	}
	about := corner(first[:], 0)
	if !about.Finite() {
		about = geom.Vec{} // the pass will find and name it
	}
	all := mesh.NewAccumulator(about)
	err := lines.Fold(ctx, r, binaryOptions(size, report),
		func(c lines.Chunk, _ *mesh.Accumulator) (*mesh.Accumulator, error) {
			some := mesh.NewAccumulator(about)
			facets := facetsIn(c, n)
			for at := 0; at < len(facets); at += facetBytes {
				facet := facets[at : at+facetBytes]
				p, q, r := corner(facet, 0), corner(facet, 1), corner(facet, 2)
				if !p.Finite() || !q.Finite() || !r.Finite() {
					at := c.Offset + int64(at)
					return nil, &fault.Error{File: f.path, Code: fault.BadNumber, Byte: headerBytes + at,
						Detail: fmt.Sprintf("facet %d of %d", at/facetBytes+1, n)}
				}
				some.Add(p, q, r)
			}
			return some, nil
		},
		func(_ lines.Chunk, some *mesh.Accumulator) (*mesh.Accumulator, error) {
			all.Merge(some)
			return nil, nil
		})
	if err != nil {
		return err
	}
	f.stamp = r.Stamp()
	m := all.Measures()
	if int64(m.Triangles) != n {
		return errShrank(f.path)
	}
	f.addPart(source.Stem(f.path), m)
	if more := f.stamp.Bytes - headerBytes - n*facetBytes; more > 0 {
		f.notes = append(f.notes, fault.Note{Code: fault.TrailingBytes, Detail: fmt.Sprint(more)})
	}
	return nil
}

// errShrank is a file that another program changes while it is read.
func errShrank(path string) error {
	return &fault.Error{File: path, Code: fault.Changed, Byte: -1, Detail: "while it was read"}
}

// readBinary appends all corners.
func (f *File) readBinary(ctx context.Context, r io.Reader, vertices [][3]float32, report func(float64)) ([][3]float32, error) {
	if _, err := io.CopyN(io.Discard, r, headerBytes); err != nil {
		return nil, cut(f.path, err)
	}
	n := f.parts[0].Triangles
	vertices = vertices[:3*n]
	err := lines.Fold(ctx, r, binaryOptions(f.stamp.Bytes, report),
		func(c lines.Chunk, _ struct{}) (struct{}, error) {
			facets := facetsIn(c, int64(n))
			into := vertices[min(3*int(c.Offset/facetBytes), 3*n):] // each chunk has a place of its own
			for i := 0; i < len(facets)/facetBytes; i++ {
				facet := facets[i*facetBytes:][:facetBytes]
				for k := range 3 {
					for axis := range 3 {
						into[3*i+k][axis] = math.Float32frombits(binary.LittleEndian.Uint32(facet[cornerAt+12*k+4*axis:]))
					}
				}
			}
			return struct{}{}, nil
		},
		func(lines.Chunk, struct{}) (struct{}, error) { return struct{}{}, nil })
	return vertices, err
}

// cut is an error of reading a file that ended although it was long enough when it was
// asked.
func cut(path string, err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errShrank(path)
	}
	return err
}

// rescaleBinary writes the copy, and gathers how the source's own triangles close while they pass,
// unless seam is nil.
func (f *File) rescaleBinary(ctx context.Context, r io.Reader, w io.Writer, change deliver.Change, seam *mesh.Seam, report func(float64)) error {
	var gathering sync.Mutex
	var header [headerBytes]byte
	if _, err := io.ReadFull(r, header[:]); err != nil {
		return cut(f.path, err)
	}
	if change.Factor != 1 || change.Pose.Moves() {
		putTag((*[80]byte)(header[:]), change.Tag)
	}
	if _, err := w.Write(header[:]); err != nil {
		return err
	}
	n := int64(f.parts[0].Triangles)
	return lines.Rewrite(ctx, r, w, binaryOptions(f.stamp.Bytes, report), func(_ []byte, c lines.Chunk) ([]byte, error) {
		facets := facetsIn(c, n)
		if seam != nil {
			var some mesh.Seam
			some.AddPacked(facets[min(cornerAt, len(facets)):], facetBytes)
			gathering.Lock()
			seam.Merge(some)
			gathering.Unlock()
		}
		switch {
		case change.Pose.Moves():
			for at := 0; at < len(facets); at += facetBytes {
				poseFacet(facets[at:at+facetBytes], change)
			}
		case change.Factor != 1:
			for at := 0; at < len(facets); at += facetBytes {
				scaleCorners(facets[at:at+facetBytes], change.Factor)
			}
		}
		return c.Data, nil
	})
}

// putTag writes a tag into a header that says nothing, or has a tag; none takes an old one away,
// which no longer holds. What else a header has stays: somebody's words, or the colours that some programs keep there.
func putTag(header *[80]byte, tag string) {
	if !bytes.HasPrefix(header[:], []byte(deliver.TagStart)) && len(bytes.Trim(header[:], " \x00")) > 0 {
		return
	}
	clear(header[:])
	n := 0
	for _, r := range tag {
		if r < ' ' || r > '~' { // readers expect ASCII
			r = '?'
		}
		if n == len(header) {
			break
		}
		header[n] = byte(r)
		n++
	}
}

// poseFacet turns the normal and multiplies and poses the corners of a facet in place. A
// normal that is none is left as it is.
func poseFacet(facet []byte, c deliver.Change) {
	if n := vector(facet); n.Finite() {
		putVector(facet, c.Pose.Normal(n))
	}
	for at := cornerAt; at < attributeAt; at += vectorBytes {
		putVector(facet[at:], c.Pose.Apply(vector(facet[at:]).Scale(c.Factor)))
	}
}

// scaleCorners multiplies the nine coordinates of a facet in place.
func scaleCorners(facet []byte, factor float64) {
	for b := facet[cornerAt:attributeAt]; len(b) >= 4; b = b[4:] {
		v := math.Float32frombits(binary.LittleEndian.Uint32(b))
		binary.LittleEndian.PutUint32(b, math.Float32bits(float32(factor*float64(v))))
	}
}
