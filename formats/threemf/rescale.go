package threemf

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"io"
	"time"

	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/formats/internal/fault"
	"scantling/formats/internal/number"
	"scantling/formats/internal/source"
)

// Rescale writes a copy in which every length is multiplied by the factor of c. The product
// is made in float64 and written with the fewest digits that read back to it, as float32
// when all of the package's lengths are float32. Every other byte of the models is the
// source's, and so are all other parts, packed as they were; where c changes nothing all
// bytes of the file are. A pose goes into the transforms of the build's items: the models of
// the objects stay as they stand. The tag becomes metadata, and what an older copy said of
// itself there is left out.
//
// It asks ctx at least every megabyte of text. Errors are those of to, or an *fault.Error:
// the source has Changed, a product is TooLarge, or what is to be tilted has slices, which
// is Unsupported.
func (f *File) Rescale(ctx context.Context, to deliver.Sink, name string, c deliver.Change, report func(float64)) error {
	if report == nil {
		report = func(float64) {}
	}
	if err := source.CheckChange(f.path, f.parts, c); err != nil {
		return err
	}
	if f.sliced && c.Pose.Known() && c.Pose.Rows[2] != (geom.Vec{0, 0, 1}) { // slice 1.0.2, chapter 1
		return &fault.Error{File: f.path, Code: fault.Unsupported, Byte: -1, Detail: "slices cannot be tilted"}
	}
	w, err := to.Create(name)
	if err != nil {
		return err
	}
	if c.Factor == 1 && !c.Pose.Moves() {
		err = f.stamp.Again(f.path, func(r *source.Reader) error { return f.copy(ctx, r, w, report) })
	} else {
		err = f.rewrite(ctx, w, c, report)
	}
	if closed := w.Close(); err == nil {
		err = closed
	}
	if err == nil {
		report(1)
	}
	return err
}

// copy copies the whole file.
func (f *File) copy(ctx context.Context, r io.Reader, w io.Writer, report func(float64)) error {
	buf := make([]byte, min(1<<20, f.stamp.Bytes+1))
	for done := int64(0); ; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := r.Read(buf)
		if _, err := w.Write(buf[:n]); err != nil {
			return err
		}
		done += int64(n)
		report(min(0.99, float64(done)/float64(f.stamp.Bytes)))
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// rewrite writes the archive with its models rescaled.
func (f *File) rewrite(ctx context.Context, w io.Writer, c deliver.Change, report func(float64)) error {
	a, err := f.reopen()
	if err != nil {
		return err
	}
	defer a.file.Close()

	// The source is compared with what was opened beside everything else.
	inner, cancel := context.WithCancel(ctx)
	defer cancel()
	stamped := make(chan error, 1)
	go func() {
		now, err := stampOf(inner, a)
		if err == nil && now != f.stamp {
			err = f.changed()
		}
		stamped <- err
	}()
	buffered := bufio.NewWriterSize(w, 1<<20)
	err = f.writeArchive(ctx, a, buffered, c, report)
	if err == nil {
		err = buffered.Flush()
	}
	if err != nil {
		cancel()
	}
	if e := <-stamped; err == nil {
		err = e
	}
	if ctx.Err() != nil && err != nil {
		return ctx.Err()
	}
	return err
}

func (f *File) writeArchive(ctx context.Context, a *archive, to io.Writer, c deliver.Change, report func(float64)) error {
	z := newZip(to)
	if err := z.SetComment(a.zip.Comment); err != nil {
		return err
	}
	models := make(map[string]*model, len(f.models))
	all, done := uint64(0), uint64(0) // unfolded bytes of models, as claimed
	for _, m := range f.models {
		models[partName(m.name)] = m
		if entry := a.parts[partName(m.name)]; entry != nil {
			all += min(entry.UncompressedSize64, mostRatio*uint64(a.size)+moreUnfolded)
		}
	}
	for _, entry := range a.zip.File {
		if err := ctx.Err(); err != nil {
			return err
		}
		entry.Extra = withoutSizes(entry.Extra)
		m := models[partName(entry.Name)]
		if m == nil {
			if err := carry(ctx, a, z, entry); err != nil {
				return err
			}
			continue
		}
		err := f.writeModel(ctx, a, z, entry, m, c, func(part float64) {
			report(min(0.99, (float64(done)+part*float64(entry.UncompressedSize64))/float64(max(all, 1))))
		})
		if err != nil {
			return err
		}
		done += entry.UncompressedSize64
	}
	return z.Close()
}

// carry copies a part as it is packed.
func carry(ctx context.Context, a *archive, z *zip.Writer, entry *zip.File) error {
	r, err := entry.OpenRaw()
	if err != nil {
		return a.unfoldError(entry.Name, err)
	}
	head := entry.FileHeader
	w, err := z.CreateRaw(&head)
	if err != nil {
		return err
	}
	buf := make([]byte, min(1<<20, entry.CompressedSize64+1))
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := r.Read(buf)
		if n > 0 {
			if _, err := w.Write(buf[:n]); err != nil {
				return err
			}
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return a.unfoldError(entry.Name, err)
		}
	}
}

// newZip writes an archive; what it packs itself is packed on all cores.
func newZip(w io.Writer) *zip.Writer {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return newDeflater(w), nil })
	return z
}

// withoutSizes is an extra field without the sizes of large archives (APPNOTE.TXT 6.3.10,
// section 4.5.3), which the writer adds as they are in the copy.
func withoutSizes(extra []byte) []byte {
	for rest := extra; len(rest) >= 4; {
		n := 4 + int(binary.LittleEndian.Uint16(rest[2:]))
		if n > len(rest) {
			break
		}
		if binary.LittleEndian.Uint16(rest) == 1 {
			at := len(extra) - len(rest)
			return append(bytes.Clone(extra[:at]), withoutSizes(extra[at+n:])...)
		}
		rest = rest[n:]
	}
	return extra
}

// writeModel writes a model with its lengths multiplied.
func (f *File) writeModel(ctx context.Context, a *archive, z *zip.Writer, entry *zip.File, m *model, c deliver.Change, report func(float64)) error {
	head := entry.FileHeader
	head.Modified = time.Time{} // the extra field has it, and the writer would add another
	w, err := z.CreateHeader(&head)
	if err != nil {
		return err
	}
	r := &rewriter{factor: c.Factor, wide: f.wide}
	if m == f.models[0] {
		r.pose, r.say = c.Pose, c.Tag
	}
	r.walker = &walker{archive: a, model: &model{name: m.name, byID: map[uint32]*object{}}, met: r.met, left: r.left}
	gathered := bufio.NewWriterSize(w, window) // edits come in a few bytes each
	emit := func(b []byte) error {
		_, err := gathered.Write(b)
		return err
	}
	if err := r.walk(ctx, m.name, emit, report, nil); err != nil {
		return err
	}
	return gathered.Flush()
}

// A rewriter multiplies the lengths of a model, and poses what it builds.
type rewriter struct {
	*walker
	factor float64
	pose   geom.Pose // of the items
	say    string    // the tag of the copy
	wide   bool
	text   []byte
}

// met rewrites the lengths in the tag just met.
func (r *rewriter) met() error {
	switch {
	case r.tag.kind == modelElement && r.say != "" && !r.empty:
		return r.putTag()
	case r.tag.kind == metadataElement:
		return r.dropTag()
	case r.tag.kind.hasLengths():
		for _, a := range r.tag.attributes {
			if !r.isLength(a) {
				continue
			}
			if err := r.multiply(a.value); err != nil {
				return err
			}
		}
	case r.tag.kind == itemElement && r.pose.Moves():
		return r.putPose()
	case r.tag.kind == componentElement || r.tag.kind == itemElement:
		a, ok := r.find("transform")
		if !ok {
			return nil
		}
		spans, err := r.entries(a)
		if err != nil {
			return err
		}
		for _, p := range spans[9:] {
			if err := r.multiply(p); err != nil {
				return err
			}
		}
	}
	return nil
}

// putTag says behind the tag of the model what the copy is. A model that has given our prefix
// to something else goes without, and so does one that has no room for the namespace.
func (r *rewriter) putTag() error {
	prefix := "scantling"
	declared := false
	for _, b := range r.bindings {
		if b.uri == aboutURI && b.prefix != "" {
			prefix, declared = b.prefix, true
		}
	}
	if b, ok := r.binding([]byte(prefix)); ok && b.uri != aboutURI || len(r.tag.attributes) == mostAttributes {
		return nil
	}
	if !declared {
		if err := r.edit(span{r.tag.name.to, r.tag.name.to}, []byte(` xmlns:`+prefix+`="`+aboutURI+`"`)); err != nil {
			return err
		}
	}
	core, _, ok := bytes.Cut(r.bytes(r.tag.name), []byte(":"))
	name := "metadata"
	if ok {
		name = string(core) + ":" + name
	}
	return r.insert([]byte("<" + name + ` name="` + prefix + `:copy">` + escape(r.say) + "</" + name + ">"))
}

// dropTag leaves metadata out that say what the source was a copy of.
func (r *rewriter) dropTag() error {
	a, ok := r.find("name")
	if !ok {
		return nil
	}
	prefix, _, ok := bytes.Cut(r.bytes(a.value), []byte(":"))
	if b, _ := r.binding(trim(prefix)); !ok || b.uri != aboutURI {
		return nil
	}
	return r.drop()
}

// left ends that.
func (r *rewriter) left(k kind) {
	if k == metadataElement && r.dropped {
		r.keep()
	}
}

// putPose gives an item a transform that ends in the pose.
func (r *rewriter) putPose() error {
	item, err := r.reference()
	if err != nil {
		return err
	}
	t := item.place
	t[3] = t[3].Scale(r.factor)
	var fits bool
	if r.text, fits = appendTransform(r.text[:0], t.then(posing(r.pose)), r.wide); !fits {
		return r.bad(fault.TooLarge, "a place at factor %v", r.factor)
	}
	if a, ok := r.find("transform"); ok {
		return r.edit(a.value, r.text)
	}
	return r.edit(span{r.tag.name.to, r.tag.name.to}, append(append([]byte(` transform="`), r.text...), '"'))
}

// appendTransform prints a transform, of which only the translation is a length; false
// where that does not fit.
func appendTransform(dst []byte, t transform, wide bool) ([]byte, bool) {
	fits := true
	for i, row := range t {
		for _, x := range row {
			x += 0 // no negative zero
			if len(dst) > 0 {
				dst = append(dst, ' ')
			}
			if i < 3 {
				dst = number.Append64(dst, x)
				continue
			}
			var ok bool
			dst, ok = appendLength(dst, x, wide)
			fits = fits && ok
		}
	}
	return dst, fits
}

// multiply puts the product of a number in its place.
func (r *rewriter) multiply(p span) error {
	text := r.bytes(p)
	from := p.from
	for len(text) > 0 && blank(text[0]) {
		text = text[1:]
		from++
	}
	v, n, ok := number.Scan(text)
	if !ok || len(trim(text)) != n {
		return r.bad(fault.Changed, "a number that was none")
	}
	var fits bool
	if r.text, fits = appendLength(r.text[:0], v*r.factor, r.wide); !fits {
		return r.bad(fault.TooLarge, "%s at factor %v", text[:n], r.factor)
	}
	return r.edit(span{from, from + n}, r.text)
}

// appendLength prints a length as float32, or as float64 where it is wide; false where that
// cannot hold it.
func appendLength(dst []byte, v float64, wide bool) ([]byte, bool) {
	if wide {
		if v-v != 0 {
			return dst, false
		}
		return number.Append64(dst, v), true
	}
	v32 := float32(v)
	if v32-v32 != 0 {
		return dst, false
	}
	return number.Append32(dst, v32), true
}
