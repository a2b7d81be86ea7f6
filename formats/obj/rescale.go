package obj

import (
	"bytes"
	"context"
	"errors"
	"io"
	"path/filepath"
	"slices"

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
// float32. A pose puts the vertices in their places and turns the normals. The tag is a comment
// in the first line, in the place of an older one. Every other byte is the source's, and with a factor of 1 and no pose all are.
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
		if t == nil && c.Index == 0 {
			r.out = retag(r.out, change.Tag)
		}
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
	ahead := lookout{text: text}
	for {
		k, at := x.next()
		switch k {
		case atEnd:
			return append(dst, text[copied:]...), nil
		case face:
			if i := ahead.idle(x.i); i > x.i { // nothing for us until there
				x.i, x.rest = i, false
			}
		case vertex:
			if s.pose == nil {
				dst = append(dst, text[copied:x.i]...)
				var done bool
				dst, x.i, done = s.quick(dst, text, x.i)
				if copied = x.i; done {
					continue
				}
				at = x.i - len("v")
			}
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
			var t *trouble
			if dst, t = s.replace(dst, text, copied, v[:]...); t != nil {
				return dst, t
			}
			copied, x.i = v[2].to, v[2].to
		case normal:
			if s.pose == nil {
				continue
			}
			v, _, code := readTriple(text, x.i)
			if code != "" { // no normal: nothing to turn
				continue
			}
			change(&v, s.pose.Normal)
			var t *trouble
			if dst, t = s.replace(dst, text, copied, v[:]...); t != nil {
				return dst, t
			}
			copied, x.i = v[2].to, v[2].to
		case technique, merging:
			l, ok := attributeLength(text, x.i, k, nil)
			if !ok {
				continue
			}
			l.value *= s.factor
			var t *trouble
			if dst, t = s.replace(dst, text, copied, l); t != nil {
				return dst, t
			}
			copied, x.i = l.to, l.to
		}
	}
}

// replace appends text from copied on, with other numbers in the places of list.
func (s *scaler) replace(dst, text []byte, copied int, list ...length) ([]byte, *trouble) {
	for _, l := range list {
		dst = append(dst, text[copied:l.from]...)
		var t *trouble
		if dst, t = s.append(dst, l.value, l.from); t != nil {
			return dst, t
		}
		copied = l.to
	}
	return dst, nil
}

// quick appends vertices whose keyword text has before i, as long as they are plain: numbers
// that ScanQuick reads, a blank before each, or two before the first, no pose. It is done when
// it comes behind the numbers of one that no plain one follows; otherwise the numbers from i
// on are left to the caller.
func (s *scaler) quick(dst, text []byte, i int) (_ []byte, end int, done bool) {
	const most = 3*(3+number.QuickBytes) + len("\r\nv ") // of text that a vertex takes
	for len(text)-i >= most && text[i] == ' ' {
		gap := 1
		if text[i+1] == ' ' {
			gap = 2
		}
		p := i + gap
		var values [3]float64
		for axis := range values {
			v, n, _, ok := number.ScanQuick((*[number.QuickBytes]byte)(text[p:]))
			p += n
			if next := text[p]; !ok || next > ' ' || axis < 2 && next != ' ' {
				return dst, i, false
			}
			values[axis] = v * s.factor
			p++
		}
		p--

		var decimals [3]number.Decimal
		for axis, v := range values {
			if s.wide {
				d, ok := number.Of64(v)
				if !ok {
					return dst, i, false
				}
				decimals[axis] = d
			} else {
				v := float32(v)
				if v-v != 0 { // infinite
					return dst, i, false
				}
				decimals[axis] = number.Of32(v)
			}
		}

		if cap(dst)-len(dst) < 4*number.Room {
			dst = slices.Grow(dst, 4*number.Room)
		}
		b := dst[len(dst) : len(dst)+4*number.Room]
		b[0] = ' '
		size := gap - 1
		for axis := range decimals {
			b[size] = ' '
			size += 1 + decimals[axis].Put((*[number.Room]byte)(b[size+1:]))
		}
		dst, i = dst[:len(dst)+size], p

		if text[p] == '\r' {
			dst = append(dst, '\r')
			p++
		}
		if text[p] != '\n' || text[p+1] != 'v' || text[p+2] != ' ' {
			return dst[:len(dst)-(p-i)], i, true
		}
		dst = append(dst, '\n', 'v')
		i = p + len("\nv")
	}
	return dst, i, false
}

// A lookout sees how far a text has no statement that can hold a length: these have a v
// (v, vn), an h (ctech, stech) or an m (mg) in their keywords. Long runs of faces are then
// passed in one go.
type lookout struct {
	text []byte
	next [3]int // place of each letter from the last place asked about on
}

// idle is where the line begins that has the first such letter from i on. It is not past i
// where that may be no statement of its own.
func (l *lookout) idle(i int) int {
	first := len(l.text)
	for k, c := range [...]byte{'v', 'h', 'm'} {
		if l.next[k] <= i {
			if n := bytes.IndexByte(l.text[i:], c); n >= 0 {
				l.next[k] = i + n
			} else {
				l.next[k] = len(l.text)
			}
		}
		first = min(first, l.next[k])
	}
	if first == len(l.text) {
		return first
	}
	start := i + bytes.LastIndexByte(l.text[i:first], '\n') + 1
	if end := bytes.TrimSuffix(l.text[i:start], []byte("\r\n")); bytes.HasSuffix(bytes.TrimSuffix(end, []byte("\n")), []byte("\\")) {
		return i
	}
	return start
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
