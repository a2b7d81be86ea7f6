package gltf

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// piece is how much is read at once.
const piece = 1 << 20

// A store reads accessors. It keeps files open and data URIs decoded until it is closed.
type store struct {
	f     *File
	files map[string]*os.File
	data  map[int][]byte
	buf   []byte
	// progress is told how many elements were read.
	progress func(n int64)
}

func (f *File) store() *store {
	return &store{f: f, files: map[string]*os.File{}, data: map[int][]byte{}, progress: func(int64) {}}
}

func (s *store) close() {
	for _, f := range s.files {
		f.Close() // only read from
	}
}

// read gives n bytes of a blob, until the next read.
func (s *store) read(b int, at, n int64) ([]byte, error) {
	k := &s.f.blobs[b]
	if k.data.kind() != kindNone {
		data, ok := s.data[b]
		if !ok {
			var err error
			if data, err = decodeData(k.data); err != nil {
				return nil, s.f.fault(fault.Syntax, k.data, err.Error())
			}
			s.data[b] = data
		}
		return data[at : at+n], nil
	}
	path := s.f.path
	if k.side.name != "" {
		path = k.side.path
	}
	r := s.files[path]
	if r == nil {
		file, size, err := source.Open(path)
		if err != nil {
			return nil, err
		}
		s.files[path] = file
		info, err := file.Stat()
		if err != nil {
			return nil, source.Fault(path, err)
		}
		want, when := s.f.stamp.Bytes, s.f.when
		if k.side.name != "" {
			want, when = k.stamp.Bytes, k.when
		}
		if size != want || !info.ModTime().Equal(when) {
			return nil, changed(path)
		}
		r = file
	}
	if int64(len(s.buf)) < n {
		s.buf = make([]byte, n)
	}
	if _, err := r.ReadAt(s.buf[:n], k.at.start+at); errors.Is(err, io.EOF) {
		return nil, changed(path)
	} else if err != nil {
		return nil, source.Fault(path, err)
	}
	return s.buf[:n], nil
}

func decodeData(uri value) ([]byte, error) {
	_, body, ok := splitData(uri.str())
	if !ok {
		return nil, errors.New("a data URI that is not base64")
	}
	data, err := encodingOf(body).DecodeString(body)
	if err != nil {
		return nil, errors.New("a data URI with broken base64")
	}
	return data, nil
}

// each calls f with runs of elements of a view, in order: element first and those after
// it, stride bytes from one to the next. It asks ctx every piece.
func (s *store) each(ctx context.Context, v int, offset, count, size, stride int64, f func(first int64, b []byte)) error {
	w := &s.f.doc.views[v]
	b := s.f.doc.buffers[w.buffer].blob
	if b < 0 {
		return s.f.fault(fault.MissingFile, s.f.doc.buffers[w.buffer].v, "its bytes are nowhere")
	}
	for first, per := int64(0), max(1, piece/stride); first < count; first += per {
		if err := ctx.Err(); err != nil {
			return err
		}
		n := min(per, count-first)
		run, err := s.read(b, w.offset+offset+first*stride, (n-1)*stride+size)
		if err != nil {
			return err
		}
		f(first, run)
		s.progress(n)
	}
	return nil
}

// numbers are all components of accessor i in a row, normalized ones brought to their
// range, sparse ones in place. The type must be as given.
func (s *store) numbers(ctx context.Context, i, dims int) ([]float32, error) {
	a := &s.f.doc.accessors[i]
	if a.dims != dims {
		return nil, s.f.fault(fault.Syntax, a.v, fmt.Sprintf("elements of %d numbers where %d are needed", a.dims, dims))
	}
	if a.count > s.f.limit {
		return nil, s.f.fault(fault.BadRange, a.v, "claims more than the file has bytes")
	}
	list := make([]float32, a.count*int64(dims))
	if a.view >= 0 {
		err := s.each(ctx, a.view, a.offset, a.count, a.size, a.stride, func(first int64, b []byte) {
			a.decode(list[first*int64(dims):], b, a.stride)
		})
		if err != nil {
			return nil, err
		}
	}
	if a.sparse != nil {
		if err := s.overlay(ctx, a, list); err != nil {
			return nil, err
		}
	}
	for k, x := range list {
		if x-x != 0 {
			return nil, s.f.fault(fault.BadNumber, a.v, fmt.Sprintf("element %d is not a finite number", k/dims))
		}
	}
	return list, nil
}

// overlay replaces the elements that differ.
func (s *store) overlay(ctx context.Context, a *accessor, list []float32) error {
	p := a.sparse
	places := make([]uint32, p.count)
	n := p.indexComp.size()
	err := s.each(ctx, p.indexView, p.indexOffset, p.count, n, n, func(first int64, b []byte) {
		wholes(places[first:], b, p.indexComp, n)
	})
	if err != nil {
		return err
	}
	for _, at := range places {
		if int64(at) >= a.count {
			return s.f.fault(fault.BadIndex, a.v, fmt.Sprintf("sparse element %d of %d", at, a.count))
		}
	}
	scratch := make([]float32, max(1, piece/a.size)*int64(a.dims))
	return s.each(ctx, p.valueView, p.valOffset, p.count, a.size, a.size, func(first int64, b []byte) {
		run := int64(len(b)) / a.size
		a.decode(scratch, b, a.size)
		for k := range run {
			copy(list[int64(places[first+k])*int64(a.dims):], scratch[k*int64(a.dims):(k+1)*int64(a.dims)])
		}
	})
}

// decode reads the elements in b. Only the padding of small matrices is not understood;
// no length is stored in those.
func (a *accessor) decode(to []float32, b []byte, stride int64) {
	size := int(a.comp.size())
	k := 0
	for at := 0; at+int(a.size) <= len(b); at += int(stride) {
		e := b[at : at+int(a.size)]
		switch a.comp {
		case float32Comp:
			for c := 0; c < a.dims; c++ {
				to[k+c] = math.Float32frombits(binary.LittleEndian.Uint32(e[4*c:]))
			}
		default:
			for c := 0; c < a.dims; c++ {
				to[k+c] = a.whole(e[c*size:])
			}
		}
		k += a.dims
	}
}

// whole reads one whole number.
func (a *accessor) whole(b []byte) float32 {
	x := 0.0
	switch a.comp {
	case int8Comp:
		x = float64(int8(b[0]))
	case uint8Comp:
		x = float64(b[0])
	case int16Comp:
		x = float64(int16(binary.LittleEndian.Uint16(b)))
	case uint16Comp:
		x = float64(binary.LittleEndian.Uint16(b))
	case uint32Comp:
		x = float64(binary.LittleEndian.Uint32(b))
	}
	return float32(a.dequantized(x))
}

// dequantized brings a whole number to its range where it is normalized (glTF 2.0, 3.11).
func (a *accessor) dequantized(x float64) float64 {
	if !a.normalized {
		return x
	}
	switch a.comp {
	case int8Comp:
		return max(x/math.MaxInt8, -1)
	case uint8Comp:
		return x / math.MaxUint8
	case int16Comp:
		return max(x/math.MaxInt16, -1)
	case uint16Comp:
		return x / math.MaxUint16
	}
	return x
}

// indices are the whole numbers of accessor i.
func (s *store) indices(ctx context.Context, i int) ([]uint32, error) {
	a := &s.f.doc.accessors[i]
	switch {
	case a.dims != 1 || a.comp != uint8Comp && a.comp != uint16Comp && a.comp != uint32Comp:
		return nil, s.f.fault(fault.Syntax, a.v, "indices of a type that is not whole numbers")
	case a.count > s.f.limit:
		return nil, s.f.fault(fault.BadRange, a.v, "claims more than the file has bytes")
	case a.sparse != nil:
		return nil, s.f.fault(fault.Unsupported, a.v, "sparse indices")
	}
	list := make([]uint32, a.count)
	if a.view < 0 {
		return list, nil
	}
	err := s.each(ctx, a.view, a.offset, a.count, a.size, a.stride, func(first int64, b []byte) {
		wholes(list[first:], b, a.comp, a.stride)
	})
	return list, err
}

// wholes reads one whole number every stride bytes.
func wholes(to []uint32, b []byte, c component, stride int64) {
	k, step, size := 0, int(stride), int(c.size())
	for at := 0; at+size <= len(b); at += step {
		switch c {
		case uint8Comp:
			to[k] = uint32(b[at])
		case uint16Comp:
			to[k] = uint32(binary.LittleEndian.Uint16(b[at:]))
		default:
			to[k] = binary.LittleEndian.Uint32(b[at:])
		}
		k++
	}
}
