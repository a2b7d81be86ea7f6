package obj

import (
	"fmt"

	"scantling/formats/internal/fault"
)

// A corner is one reference of a face: 7, 7/2, 7//5 or 7/2/5.
type corner struct {
	vertex int64 // from 1, or negative: back from the last vertex so far
	to     int   // where it ends
}

// readCorner reads the reference at i. Those to texture coordinates and normals must be
// numbers and are nothing else to us. ok is false when it is no reference.
func readCorner(b []byte, i int) (c corner, ok bool) {
	start := i
	c.vertex, i = readIndex(b, i)
	if i == start {
		return c, false
	}
	for range 2 {
		if i < len(b) && b[i] == '/' {
			_, i = readIndex(b, i+1)
		}
	}
	c.to = i
	// A slash with nothing after it ("7/", "7//") is written by some programs.
	return c, apart(b, i)
}

// readIndex reads a whole number; the place stays i when there is none. One too long for
// any file comes out as the largest.
func readIndex(b []byte, i int) (v int64, end int) {
	const tooMany = 1 << 50
	j := i
	negative := false
	if j < len(b) && (b[j] == '-' || b[j] == '+') {
		negative = b[j] == '-'
		j++
	}
	first := j
	for ; j < len(b); j++ {
		d := b[j] - '0'
		if d > 9 {
			break
		}
		if v = v*10 + int64(d); v > tooMany {
			v = tooMany
		}
	}
	if j == first {
		return 0, i
	}
	if negative {
		v = -v
	}
	return v, j
}

// A faceReader reads the faces of a file whose vertices are counted.
type faceReader struct {
	seen    int // vertices before the face
	all     int // vertices of the whole file
	corners []uint32
}

// read reads the face whose keyword x has just passed; corners then has its vertices.
func (r *faceReader) read(x *lexer, at int) *trouble {
	r.corners = r.corners[:0]
	b := x.text
	i := x.i
	for {
		i = blanks(b, i)
		if over(b, i) {
			break
		}
		c, ok := readCorner(b, i)
		if !ok {
			return &trouble{i, fault.Syntax, quote(b, i)}
		}
		v := c.vertex - 1
		if c.vertex < 0 {
			v = int64(r.seen) + c.vertex
		}
		if v < 0 || v >= int64(r.all) || c.vertex == 0 {
			return &trouble{i, fault.BadIndex, r.outOfRange(c)}
		}
		r.corners = append(r.corners, uint32(v))
		i = c.to
	}
	x.i = i
	if len(r.corners) < 3 {
		return &trouble{at, fault.Syntax, "a face of fewer than three corners"}
	}
	return nil
}

func (r *faceReader) outOfRange(c corner) string {
	switch {
	case c.vertex == 0:
		return "vertex 0"
	case c.vertex < 0:
		return fmt.Sprintf("vertex %d, %d so far", c.vertex, r.seen)
	}
	return fmt.Sprintf("vertex %d of %d", c.vertex, r.all)
}
