package obj

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"scantling/engine/deliver"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/number"
	"scantling/formats/internal/source"
)

// Rescale writes a copy in which every length is multiplied by factor, which must be
// positive and finite, and carries the companions along: those that are still there. The
// product is made in float64 and written with the fewest digits that read back to it, as
// float32 when the file's lengths are float32. Every other byte is the source's, and with
// a factor of 1 all are.
//
// It asks ctx at every megabyte. Errors are those of to, or an *fault.Error: the source has
// Changed, or a product is TooLarge.
func (f *File) Rescale(ctx context.Context, to deliver.Sink, name string, factor float64, report func(float64)) error {
	if err := source.CheckFactor(f.path, f.parts, factor); err != nil {
		return err
	}
	for _, c := range f.companions {
		at := filepath.Join(filepath.Dir(f.path), filepath.FromSlash(c))
		if !isFile(at) { // gone since it was opened, and missing in the copy as in the source
			continue
		}
		if err := to.Carry(c, at); err != nil {
			return err
		}
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	err = f.stamp.Again(f.path, func(r *source.Reader) error { return f.rewrite(ctx, r, w, factor, report) })
	if closed := w.Close(); err == nil {
		err = closed
	}
	return err
}

// A rescaling is what a worker makes of a piece.
type rescaling struct {
	room []byte // for the text of a piece in UTF-16
	out  []byte // the new text
	code []byte // that in UTF-16
}

// stored is what is written.
func (r *rescaling) stored(e encoding) []byte {
	if e == utf8 {
		return r.out
	}
	return r.code
}

// rewrite streams the file through the factor.
func (f *File) rewrite(ctx context.Context, in io.Reader, w io.Writer, factor float64, report func(float64)) error {
	s := scaler{factor: factor, wide: f.wide}
	tooLong := &fault.Error{File: f.path, Code: fault.TooLarge, Byte: -1, Detail: "a line of more than 4 MB in the copy"}
	work := func(c lines.Chunk, r *rescaling) (*rescaling, error) {
		if r == nil {
			r = &rescaling{}
		}
		if factor == 1 {
			return r, nil
		}
		text := f.enc.text(&r.room, c.Data)
		var t *trouble
		r.out, t = s.rescale(r.out[:0], text, c.Index == 0)
		if t != nil && t.code != fault.TooLarge { // there was no such trouble before
			return r, f.changed(t.detail)
		}
		if t != nil {
			return r, f.locate(c.Offset, text, t)
		}
		if f.enc != utf8 {
			r.code = f.enc.encode(r.code[:0], r.out)
			r.code = append(r.code, c.Data[len(c.Data)&^1:]...)
		}
		if !lines.Fits(f.enc.cut, r.stored(f.enc)) {
			return r, tooLong
		}
		return r, nil
	}
	merge := func(c lines.Chunk, r *rescaling) (*rescaling, error) {
		out := c.Data
		if factor != 1 {
			out = r.stored(f.enc)
		}
		_, err := w.Write(out)
		return r, err
	}
	err := lines.Fold(ctx, in, f.options(f.stamp.Bytes, f.enc.cut, report), work, merge)
	if errors.Is(err, lines.ErrTooLong) {
		return f.changed("a longer line")
	}
	return err
}

// A scaler multiplies the lengths in a text.
type scaler struct {
	factor float64
	wide   bool
}

// rescale appends text to dst with its lengths multiplied; first says that it is the
// file's first.
func (s *scaler) rescale(dst, text []byte, first bool) ([]byte, *trouble) {
	if n := len(text) + len(text)/4; cap(dst) < n {
		dst = make([]byte, 0, n)
	}
	x := lex(text, first)
	copied := 0 // what of text is in dst
	for {
		k, at := x.next()
		switch k {
		case atEnd:
			return append(dst, text[copied:]...), nil
		case vertex:
			for range 3 {
				l, code := readLength(text, x.i, nil)
				if code != "" {
					return dst, vertexTrouble(text, at, l, code)
				}
				if copied+1 == l.from { // a blank between two numbers
					dst = append(dst, text[copied])
				} else {
					dst = append(dst, text[copied:l.from]...)
				}
				var t *trouble
				if dst, t = s.append(dst, l); t != nil {
					return dst, t
				}
				copied, x.i = l.to, l.to
			}
		case technique, merging:
			l, ok := attributeLength(text, x.i, k, nil)
			if !ok {
				continue
			}
			dst = append(dst, text[copied:l.from]...)
			var t *trouble
			if dst, t = s.append(dst, l); t != nil {
				return dst, t
			}
			copied, x.i = l.to, l.to
		}
	}
}

// append appends a length multiplied by the factor.
func (s *scaler) append(dst []byte, l length) ([]byte, *trouble) {
	v := l.value * s.factor
	if s.wide {
		if v-v != 0 { // infinite
			return dst, &trouble{l.from, fault.TooLarge, ""}
		}
		return number.Append64(dst, v), nil
	}
	v32 := float32(v)
	if v32-v32 != 0 { // infinite
		return dst, &trouble{l.from, fault.TooLarge, ""}
	}
	return number.Append32(dst, v32), nil
}
