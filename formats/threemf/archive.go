package threemf

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"strings"

	"scantling/formats/internal/fault"
	"scantling/formats/internal/lines"
	"scantling/formats/internal/source"
)

const (
	// A package may unfold to this many times its size and so many bytes beyond: a model of
	// vertices and triangles shrinks to a tenth or a twentieth, never to so little.
	mostRatio, moreUnfolded = 256, 64 << 20
	// longestRelations is how long a part of relationships may be, unfolded.
	longestRelations = 1 << 20
	// mostModels is how many model parts a package may have.
	mostModels = 4096
)

// An archive is the package while it is open (core 1.4.0, section 1.1: a ZIP archive as the
// Open Packaging Conventions have it).
type archive struct {
	path  string
	file  *os.File
	size  int64
	zip   *zip.Reader
	parts map[string]*zip.File // by part name, in lower case: names differ in more than case
	left  int64                // bytes that may still be unfolded
}

// openArchive opens the package at path. The caller closes its file.
func openArchive(path string) (*archive, error) {
	file, size, err := source.Open(path)
	if err != nil {
		return nil, err
	}
	a := &archive{path: path, file: file, size: size, left: moreUnfolded + mostRatio*size}
	if err := a.readDirectory(); err != nil {
		file.Close()
		return nil, err
	}
	return a, nil
}

func (a *archive) fault(code fault.Code, detail string) error {
	return &fault.Error{File: a.path, Code: code, Byte: -1, Detail: detail}
}

// readDirectory reads the table of contents, which stands at the end.
func (a *archive) readDirectory() error {
	head := make([]byte, 4)
	switch n, err := a.file.ReadAt(head, 0); {
	case n == 0:
		return a.fault(fault.Empty, "")
	case err != nil && err != io.EOF:
		return err
	case !LooksPacked(head[:n]):
		return a.fault(fault.NotAModel, "not a ZIP archive")
	}
	var err error
	a.zip, err = zip.NewReader(a.file, a.size)
	switch {
	case errors.Is(err, zip.ErrFormat):
		return a.fault(fault.Truncated, "the table of contents at its end")
	case errors.Is(err, zip.ErrInsecurePath) && a.zip != nil: // nothing is ever unpacked to a path
	case err != nil:
		return a.unfoldError("the table of contents", err)
	}
	a.parts = make(map[string]*zip.File, len(a.zip.File))
	packed := uint64(0)
	for _, f := range a.zip.File {
		name := partName(f.Name)
		if _, ok := a.parts[name]; ok && !strings.HasSuffix(name, "/") {
			return a.fault(fault.Syntax, clip(f.Name)+" is there twice")
		}
		a.parts[name] = f
		if packed += f.CompressedSize64; packed > uint64(a.size) || f.CompressedSize64 > uint64(a.size) {
			return a.fault(fault.Overfull, "parts that overlap")
		}
		// Copies carry all parts, so all must be there.
		at, err := f.DataOffset()
		if err != nil {
			return a.unfoldError(f.Name, err)
		}
		if at < 0 || at > a.size || f.CompressedSize64 > uint64(a.size-at) {
			return a.fault(fault.Truncated, clip(f.Name))
		}
	}
	return nil
}

// LooksPacked reports whether a file begins as a ZIP archive does.
func LooksPacked(head []byte) bool {
	return bytes.HasPrefix(head, []byte("PK\x03\x04")) || bytes.HasPrefix(head, []byte("PK\x05\x06"))
}

// partName is the name by which a part is looked up: equivalent names have no case (ECMA-376
// part 2, section 9.1.1).
func partName(name string) string {
	return strings.ToLower(strings.TrimPrefix(name, "/"))
}

// find is the part of that name.
func (a *archive) find(name string) (*zip.File, error) {
	f, ok := a.parts[partName(name)]
	if !ok {
		return nil, a.fault(fault.MissingFile, clip(name))
	}
	return f, nil
}

// open unfolds a part. Errors of the reader are *fault.Error.
func (a *archive) open(f *zip.File) (io.ReadCloser, error) {
	if f.Flags&1 != 0 {
		return nil, a.fault(fault.Unsupported, clip(f.Name)+" is encrypted")
	}
	r, err := f.Open()
	if err != nil {
		return nil, a.unfoldError(f.Name, err)
	}
	return &unfolding{ReadCloser: r, archive: a, name: f.Name}, nil
}

// unfoldError is a fault for what unfolding a part met.
func (a *archive) unfoldError(name string, err error) error {
	var corrupt flate.CorruptInputError
	switch {
	case errors.Is(err, zip.ErrAlgorithm):
		return a.fault(fault.Unsupported, clip(name)+" is packed in a way that is not known")
	case errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, zip.ErrFormat) || errors.Is(err, io.EOF):
		return a.fault(fault.Truncated, clip(name))
	case errors.Is(err, zip.ErrChecksum) || errors.As(err, &corrupt):
		return a.fault(fault.Syntax, clip(name)+" is damaged")
	}
	return source.Fault(a.path, err)
}

// An unfolding is a part that is being read.
type unfolding struct {
	io.ReadCloser
	archive *archive
	name    string
}

// Read is that of the part, until too much was read of the whole package.
func (u *unfolding) Read(p []byte) (int, error) {
	n, err := u.ReadCloser.Read(p)
	if u.archive.left -= int64(n); u.archive.left < 0 {
		return 0, u.archive.fault(fault.Overfull, clip(u.name))
	}
	if err != nil && err != io.EOF {
		err = u.archive.unfoldError(u.name, err)
	}
	return n, err
}

// relations are the targets of the relationships of one type that stand in a part, as part
// names. A part that is not there has none.
func (a *archive) relations(ctx context.Context, name, kind string) ([]string, error) {
	f, ok := a.parts[partName(name)]
	if !ok {
		return nil, nil
	}
	r, err := a.open(f)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	s := newScanner(io.LimitReader(r, longestRelations), nil)
	var targets []string
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		t, err := s.next()
		if err != nil {
			return nil, a.place(f.Name, err)
		}
		switch {
		case t == endOfText:
			return targets, nil
		case t == endTag:
			s.close()
			continue
		}
		if b, _ := s.binding(nil); b.uri != relationsURI || string(s.bytes(s.tag.name)) != "Relationship" {
			continue
		}
		var is, target string
		for _, of := range []struct {
			name string
			to   *string
		}{{"Type", &is}, {"Target", &target}} {
			if at, ok := s.find(of.name); ok {
				if *of.to, err = s.value(at); err != nil {
					return nil, a.place(f.Name, err)
				}
			}
		}
		if at, ok := s.find("TargetMode"); is == kind && !(ok && string(s.bytes(at.value)) == "External") {
			// Relative to the folder above _rels.
			if !strings.HasPrefix(target, "/") {
				target = path.Join("/", path.Dir(path.Dir(name)), target)
			}
			targets = append(targets, target)
		}
	}
}

// place makes a fault of an error in the XML of a part. Other errors stay.
func (a *archive) place(name string, err error) error {
	var s *syntaxError
	if !errors.As(err, &s) {
		return err
	}
	e := &fault.Error{File: a.path, Code: fault.Syntax, Byte: -1, Line: a.line(name, s.at), Detail: clip(name) + ": " + s.what}
	switch {
	case s.cut:
		e.Code = fault.Truncated
	case s.unknown:
		e.Code = fault.Unsupported
	}
	return e
}

// line is the line of a part's text in which a byte is, or 0 when it cannot be told.
func (a *archive) line(name string, at int64) int {
	f, ok := a.parts[partName(name)]
	if !ok {
		return 0
	}
	r, err := f.Open()
	if err != nil {
		return 0
	}
	defer r.Close()
	n, err := lines.CountLines(r, at)
	if err != nil {
		return 0
	}
	return n + 1
}

// root is the name of the model part that the package begins with (core 1.4.0, section 2.1).
func (a *archive) root(ctx context.Context) (string, error) {
	targets, err := a.relations(ctx, "_rels/.rels", modelRelation)
	if err != nil {
		return "", err
	}
	if len(targets) == 0 {
		return "", a.fault(fault.NotAModel, "a ZIP archive without a 3D model")
	}
	if len(targets) > 1 {
		return "", a.fault(fault.Syntax, fmt.Sprintf("%d models to begin with", len(targets)))
	}
	return targets[0], nil
}

// relationsOf is the part in which the relationships of a part stand.
func relationsOf(name string) string {
	folder, base := path.Split(name)
	return folder + "_rels/" + base + ".rels"
}
