package stl

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"sync"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/number"
	"scantling/formats/internal/source"
)

// textOptions stream the whole file, cut between facets.
func textOptions(size int64, report func(float64)) lines.Options {
	return lines.Options{Cut: afterFacet, Bytes: size, Report: report}
}

// scan is a scanner of a chunk. A byte order mark is no part of the text.
func scan(c lines.Chunk) scanner {
	s := scanner{data: c.Data, last: c.Last}
	if c.Offset == 0 && strings.HasPrefix(string(c.Data[:min(len(bom), len(c.Data))]), bom) {
		s.i = len(bom)
	}
	return s
}

// each calls f for every event in a chunk.
func each(c lines.Chunk, s *scanner, f func(event) *trouble) error {
	for {
		e, t := s.next()
		if t == nil {
			if e == atEnd {
				return nil
			}
			t = f(e)
		}
		if t != nil {
			t.at += c.Offset
			return t
		}
	}
}

// A stretch is what a chunk has of one solid.
type stretch struct {
	opens, closes bool              // with the words solid and endsolid
	name          string            // where it opens, without a tag
	tag           string            // of the file, in its first stretch
	at            int64             // of its first word
	facets        *mesh.Accumulator // nil: none
}

// maxName is how much of a name is kept, in bytes.
const maxName = 256

// A span is where a solid stands in the file.
type span struct{ from, to int64 }

// openText measures a text file: first as float32, which nearly all hold and which gives
// the same numbers as the same part in a binary file; once more if some coordinate turns
// out to be wide.
func (f *File) openText(ctx context.Context, file *os.File, size int64, report func(float64)) error {
	about, err := firstVertex(file, size)
	if err != nil {
		return source.Fault(f.path, err)
	}
	err = f.measureText(ctx, file, size, about, report)
	if errors.Is(err, errWide) {
		f.wide = true
		err = f.measureText(ctx, file, size, about, report)
	}
	return f.explain(err, file)
}

// errWide is met when a file is measured as float32 and should not be.
var errWide = errors.New("wide")

// firstVertex is a point of the model, to measure about: the first that its first 64 kB
// have, or the origin. It may even be some numbers in a name: any point near is good.
func firstVertex(file io.ReaderAt, size int64) (geom.Vec, error) {
	head := make([]byte, min(size, 64<<10))
	n, err := file.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return geom.Vec{}, err
	}
	head = head[:n]
	const word = "vertex"
	for at := 0; ; {
		i := indexFold(head[at:], word)
		if i < 0 {
			return geom.Vec{}, nil
		}
		at += i + len(word)
		s := scanner{data: head, i: at}
		if s.number(0) == nil && s.number(1) == nil && s.number(2) == nil {
			return single(s.corner[0], s.corner[1], s.corner[2]), nil
		}
	}
}

// single rounds a point to float32.
func single(x, y, z float64) geom.Vec {
	return geom.Vec{float64(float32(x)), float64(float32(y)), float64(float32(z))}
}

func (f *File) measureText(ctx context.Context, file *os.File, size int64, about geom.Vec, report func(float64)) error {
	r := source.NewReader(f.path, io.NewSectionReader(file, 0, math.MaxInt64))
	var all solids
	var end int64
	err := lines.Fold(ctx, r, textOptions(size, report),
		func(c lines.Chunk, some []stretch) ([]stretch, error) {
			return f.stretches(c, about, some[:0])
		},
		func(c lines.Chunk, some []stretch) ([]stretch, error) {
			end = c.Offset + int64(len(c.Data))
			for _, s := range some {
				if t := all.add(s); t != nil {
					return nil, t
				}
			}
			return some, nil
		})
	if err != nil {
		return err
	}
	if all.open && all.named {
		return &trouble{end, fault.Truncated, "no endsolid"}
	}
	f.stamp = r.Stamp()
	return f.addSolids(all)
}

// stretches measures a chunk.
func (f *File) stretches(c lines.Chunk, about geom.Vec, some []stretch) ([]stretch, error) {
	s := scan(c)
	s.probe = !f.wide
	open := false
	begin := func(named bool) {
		some = append(some, stretch{opens: named, at: c.Offset + int64(s.start)})
		open = true
	}
	err := each(c, &s, func(e event) *trouble {
		if e == atSolid || !open {
			begin(e == atSolid)
		}
		now := &some[len(some)-1]
		switch e {
		case atSolid:
			name := s.name
			if c.Offset == 0 && len(some) == 1 {
				name, now.tag = cutTag(name)
			}
			now.name = strings.ToValidUTF8(string(name[:min(len(name), maxName)]), "\uFFFD")
		case atEndSolid:
			now.closes = true
			open = false
		case atFacet:
			if now.facets == nil {
				now.facets = mesh.NewAccumulator(about)
			}
			v := &s.corner
			if f.wide {
				now.facets.Add(geom.Vec(v[0:3]), geom.Vec(v[3:6]), geom.Vec(v[6:9]))
			} else {
				now.facets.Add(single(v[0], v[1], v[2]), single(v[3], v[4], v[5]), single(v[6], v[7], v[8]))
			}
		}
		return nil
	})
	if err == nil && s.wide {
		err = errWide
	}
	return some, err
}

// solids puts stretches together again. Those without facets are counted only: a file may
// have no end of them.
type solids struct {
	list  []stretch
	empty int
	tag   string
	open  bool // the last of list is not closed yet
	named bool // and it began with the word solid
}

func (a *solids) add(s stretch) *trouble {
	a.tag = cmp.Or(a.tag, s.tag)
	switch {
	case s.opens && a.open && a.named:
		return &trouble{s.at, fault.Syntax, "a solid within a solid"}
	case s.opens, !a.open && s.facets != nil: // there may be facets with no solid around them
		a.open, a.named = true, s.opens
		a.list = append(a.list, s)
	case !a.open:
		return &trouble{s.at, fault.Syntax, "endsolid without a solid"}
	default:
		now := &a.list[len(a.list)-1]
		if now.facets == nil {
			now.facets = s.facets
		} else if s.facets != nil {
			now.facets.Merge(s.facets)
		}
	}
	if s.closes {
		a.open = false
		if last := len(a.list) - 1; a.list[last].facets == nil {
			a.list = a.list[:last]
			a.empty++
		}
	}
	return nil
}

// addSolids makes the parts.
func (f *File) addSolids(all solids) error {
	if len(all.list) == 0 {
		return &fault.Error{File: f.path, Code: fault.NoTriangles, Byte: -1}
	}
	f.notes = append(f.notes, source.TagNote(all.tag)...)
	if all.empty > 0 {
		f.notes = append(f.notes, fault.Note{Code: fault.SkippedParts, Detail: fmt.Sprintf("%d solids without facets", all.empty)})
	}
	for i, s := range all.list {
		name := s.name
		if name == "" {
			name = source.Stem(f.path)
			if len(all.list) > 1 {
				name = fmt.Sprintf("%s %d", name, i+1)
			}
		}
		where := span{s.at, f.stamp.Bytes}
		if i+1 < len(all.list) {
			where.to = all.list[i+1].at
		}
		f.spans = append(f.spans, where)
		f.addPart(name, s.facets.Measures())
	}
	return nil
}

// readText appends the corners of part i, relative to origin.
func (f *File) readText(ctx context.Context, r io.Reader, i int, origin geom.Vec, vertices [][3]float32, report func(float64)) ([][3]float32, error) {
	where := f.spans[i]
	err := lines.Fold(ctx, r, textOptions(f.stamp.Bytes, report),
		func(c lines.Chunk, some [][3]float32) ([][3]float32, error) {
			some = some[:0]
			size := int64(len(c.Data))
			from, to := min(max(0, where.from-c.Offset), size), min(max(0, where.to-c.Offset), size)
			s := scanner{data: c.Data[from:to], last: c.Last}
			err := each(c, &s, func(e event) *trouble {
				if e == atFacet {
					for v := s.corner[:]; len(v) > 0; v = v[3:] {
						some = append(some, [3]float32{float32(v[0] - origin[0]), float32(v[1] - origin[1]), float32(v[2] - origin[2])})
					}
				}
				return nil
			})
			return some, err
		},
		func(_ lines.Chunk, some [][3]float32) ([][3]float32, error) {
			if len(some) > cap(vertices)-len(vertices) {
				return nil, errShrank(f.path)
			}
			vertices = append(vertices, some...)
			return some, nil
		})
	return vertices, f.changed(err)
}

// changed is what an error of the text means in a file that was read without one before.
func (f *File) changed(err error) error {
	if t := (*trouble)(nil); errors.As(err, &t) || errors.Is(err, lines.ErrTooLong) {
		return errShrank(f.path)
	}
	return err
}

// rescaleText writes the copy: other numbers behind the word vertex and, where a pose turns
// them, the words facet normal, and another tag; all else as it is.
func (f *File) rescaleText(ctx context.Context, r io.Reader, w io.Writer, change deliver.Change, report func(float64)) error {
	memos := sync.Pool{New: func() any { return new(memo) }}
	var pose *geom.Pose
	if change.Pose.Moves() {
		pose = &change.Pose
	}
	err := lines.Rewrite(ctx, r, w, textOptions(f.stamp.Bytes, report), func(dst []byte, c lines.Chunk) ([]byte, error) {
		if change.Factor == 1 && pose == nil {
			return c.Data, nil
		}
		s := scan(c)
		s.memo = memos.Get().(*memo)
		defer memos.Put(s.memo)
		dst = slices.Grow(dst, len(c.Data)+len(c.Data)/8)
		copied, first := 0, c.Offset == 0
		err := each(c, &s, func(e event) *trouble {
			switch {
			case e == atFacet:
				dst = f.appendFacet(dst, &s, copied, change.Factor, pose)
				copied = s.to[8]
			case e == atSolid && first:
				named := s.start + len("solid")
				dst = append(dst, s.data[:named]...)
				copied = named + len(bytes.TrimRight(s.data[named:s.i], blanks))
				dst = appendTagged(dst, s.data[named:copied], change.Tag)
			}
			first = false
			return nil
		})
		dst = append(dst, c.Data[copied:]...)
		if err == nil && !lines.Fits(afterFacet, dst) {
			err = &fault.Error{File: f.path, Code: fault.TooLarge, Byte: -1, Detail: "a facet of more than 4 MB in the copy"}
		}
		return dst, err
	})
	return f.changed(err)
}

// appendFacet appends the facet that s has read, from the last byte copied on to its last
// number, with every coordinate multiplied and, if pose is not nil, posed.
func (f *File) appendFacet(dst []byte, s *scanner, copied int, factor float64, pose *geom.Pose) []byte {
	if pose != nil {
		dst, copied = appendNormal(dst, s, copied, pose)
	}
	var begin, end [3]int // of the corners in dst
	for k := 0; k < 9; k += 3 {
		dst = append(dst, s.data[copied:s.from[k]]...)
		begin[k/3] = len(dst)
		if known := s.known[k/3]; known != nil {
			dst = append(dst, known...)
		} else {
			v := geom.Vec{s.corner[k] * factor, s.corner[k+1] * factor, s.corner[k+2] * factor}
			if pose != nil {
				v = pose.Apply(v)
			}
			between := [...][]byte{s.data[s.to[k]:s.from[k+1]], s.data[s.to[k+1]:s.from[k+2]], nil}
			if f.wide {
				for axis, x := range v {
					dst = append(number.Append64(dst, x), between[axis]...)
				}
			} else {
				var decimals [3]number.Decimal
				for axis, x := range v {
					decimals[axis] = number.Of32(float32(x))
				}
				for axis, d := range decimals {
					dst = append(d.Append(dst), between[axis]...)
				}
			}
		}
		end[k/3] = len(dst)
		copied = s.to[k+2]
	}
	for k, known := range s.known {
		if known == nil { // not sooner: known lies in the memo
			s.memo.put(s.data[s.from[3*k]:s.to[3*k+2]], dst[begin[k]:end[k]])
		}
	}
	return dst
}

// appendNormal appends the normal of the facet, turned, and is where in the data that ends.
// One that is none is left as it is.
func appendNormal(dst []byte, s *scanner, copied int, pose *geom.Pose) ([]byte, int) {
	var n geom.Vec
	for i, at := range s.normal {
		v, size, ok := number.Scan(s.data[at[0]:at[1]])
		if !ok || size != at[1]-at[0] || math.Abs(v) > math.MaxFloat32 {
			return dst, copied
		}
		n[i] = v
	}
	n = pose.Normal(n)
	for i, at := range s.normal {
		dst = append(dst, s.data[copied:at[0]]...)
		dst = number.Append32(dst, float32(n[i]))
		copied = at[1]
	}
	return dst, copied
}

// explain gives an error of reading the text its file and line.
func (f *File) explain(err error, file io.ReaderAt) error {
	t := (*trouble)(nil)
	switch {
	case errors.Is(err, lines.ErrTooLong):
		return &fault.Error{File: f.path, Code: fault.Syntax, Byte: -1, Detail: "no facet ends within 4 MB", Err: err}
	case !errors.As(err, &t):
		return err
	}
	line, err := lines.CountLines(io.NewSectionReader(file, 0, math.MaxInt64), t.at)
	if err != nil {
		return source.Fault(f.path, err)
	}
	return &fault.Error{File: f.path, Code: t.code, Line: line + 1, Byte: t.at, Detail: t.detail}
}
