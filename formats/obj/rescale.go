package obj

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/number"
	"scantling/formats/internal/source"
)

// Rescale writes a copy in which every length is multiplied by the factor, and carries the
// companions along: those that are still there. The product is made in float64 and written
// with the fewest digits that read back to it, as float32 when the file's lengths are
// float32. A pose puts the vertices in their places and turns the normals. Every other byte
// is the source's, and with a factor of 1 and no pose all are.
//
// It asks ctx at every megabyte. Errors are those of to, or an *fault.Error: the source has
// Changed, or a product is TooLarge.
func (f *File) Rescale(ctx context.Context, to deliver.Sink, name string, c deliver.Change, report func(float64)) error {
	if err := source.CheckChange(f.path, f.parts, c); err != nil {
		return err
	}
	for _, companion := range f.companions {
		at := filepath.Join(filepath.Dir(f.path), filepath.FromSlash(companion))
		if !isFile(at) { // gone since it was opened, and missing in the copy as in the source
			continue
		}
		if err := to.Carry(companion, at); err != nil {
			return err
		}
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	err = f.stamp.Again(f.path, func(r *source.Reader) error { return f.rewrite(ctx, r, w, c, report) })
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

// rewrite streams the file through the change.
func (f *File) rewrite(ctx context.Context, in io.Reader, w io.Writer, change deliver.Change, report func(float64)) error {
	s := scaler{factor: change.Factor, wide: f.wide}
	if change.Pose.Moves() {
		s.pose = &change.Pose
	}
	same := s.factor == 1 && s.pose == nil
	tooLong := &fault.Error{File: f.path, Code: fault.TooLarge, Byte: -1, Detail: "a line of more than 4 MB in the copy"}
	work := func(c lines.Chunk, r *rescaling) (*rescaling, error) {
		if r == nil {
			r = &rescaling{}
		}
		if same {
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
		if !same {
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

// A scaler changes the lengths in a text.
type scaler struct {
	factor float64
	pose   *geom.Pose // nil: none
	wide   bool
}

// rescale appends text to dst with its lengths multiplied and, if there is a pose, its
// vertices and normals posed; first says that it is the file's first.
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
			v, l, code := readTriple(text, x.i)
			if code != "" {
				return dst, vertexTrouble(text, at, l, code)
			}
			for axis := range v {
				v[axis].value *= s.factor
			}
			if s.pose != nil {
				change(&v, s.pose.Apply)
			}
			for _, l := range v {
				if copied+1 == l.from { // a blank between two numbers
					dst = append(dst, text[copied])
				} else {
					dst = append(dst, text[copied:l.from]...)
				}
				var t *trouble
				if dst, t = s.append(dst, l.value, l.from); t != nil {
					return dst, t
				}
				copied = l.to
			}
			x.i = copied
		case normal:
			if s.pose == nil {
				continue
			}
			v, _, code := readTriple(text, x.i)
			if code != "" { // no normal: nothing to turn
				continue
			}
			change(&v, s.pose.Turn)
			for _, l := range v {
				dst = append(dst, text[copied:l.from]...)
				var t *trouble
				if dst, t = s.append(dst, l.value, l.from); t != nil {
					return dst, t
				}
				copied = l.to
			}
			x.i = copied
		case technique, merging:
			l, ok := attributeLength(text, x.i, k, nil)
			if !ok {
				continue
			}
			dst = append(dst, text[copied:l.from]...)
			var t *trouble
			if dst, t = s.append(dst, l.value*s.factor, l.from); t != nil {
				return dst, t
			}
			copied, x.i = l.to, l.to
		}
	}
}

// change changes a point or direction.
func change(v *[3]length, how func(geom.Vec) geom.Vec) {
	for axis, x := range how(geom.Vec{v[0].value, v[1].value, v[2].value}) {
		v[axis].value = x
	}
}

// append appends the number that stood at at.
func (s *scaler) append(dst []byte, v float64, at int) ([]byte, *trouble) {
	if s.wide {
		if v-v != 0 { // infinite
			return dst, &trouble{at, fault.TooLarge, ""}
		}
		return number.Append64(dst, v), nil
	}
	v32 := float32(v)
	if v32-v32 != 0 { // infinite
		return dst, &trouble{at, fault.TooLarge, ""}
	}
	return number.Append32(dst, v32), nil
}
