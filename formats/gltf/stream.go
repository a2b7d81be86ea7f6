package gltf

import (
	"context"
	"fmt"
	"io"

	"scantling/formats/internal/fault"
	"scantling/formats/internal/source"
)

// A stream copies a file piece by piece: one goroutine reads and multiplies while the
// other writes. It holds a few pieces, whatever the size of the file.
type stream struct {
	*rescaling
	w    io.Writer
	path string
	skip int64 // bytes at the start that are read but not written
}

// copy copies the whole file, its lengths in a section multiplied by p unless that is nil.
// It fails if the content is not what was opened.
func (s *stream) copy(want source.Stamp, lengths section, p *patcher) error {
	file, size, err := source.Open(s.path)
	if err != nil {
		return err
	}
	defer file.Close()
	if size != want.Bytes {
		return changed(s.path)
	}
	ctx, cancel := context.WithCancel(s.ctx)
	defer cancel()
	free, full := make(chan []byte, pieces), make(chan []byte, pieces)
	for range pieces {
		free <- make([]byte, min(piece, size+1))
	}
	failed := make(chan error, 1)
	r := source.NewReader(s.path, file)
	go func() {
		defer close(full)
		failed <- s.produce(ctx, r, lengths, p, free, full)
	}()
	for b := range full {
		if err == nil {
			if _, err = s.w.Write(b); err != nil {
				cancel()
			}
			s.progress(len(b))
		}
		free <- b[:0]
	}
	if e := <-failed; err == nil {
		err = e
	}
	if err == nil && r.Stamp() != want {
		err = changed(s.path)
	}
	return err
}

// pieces is how many are in use at once.
const pieces = 4

// produce reads the file to its end and gives what is to be written. Pieces begin anew
// where the lengths begin and end, so that none cuts a number in two.
func (s *stream) produce(ctx context.Context, r io.Reader, lengths section, p *patcher, free <-chan []byte, full chan<- []byte) error {
	marks := []int64{s.skip, lengths.start, lengths.end()}
	for at := int64(0); ; {
		var b []byte
		select {
		case b = <-free:
		case <-ctx.Done():
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		b = b[:cap(b)]
		n := int64(len(b))
		for _, m := range marks {
			if at < m {
				n = min(n, m-at)
			}
		}
		got, err := io.ReadFull(r, b[:n])
		if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
			return err
		}
		b = b[:got]
		if p != nil && at >= lengths.start && at < lengths.end() {
			if code := p.patch(b, at-lengths.start); code != "" {
				return &fault.Error{File: s.path, Code: code, Byte: -1, Detail: fmt.Sprintf("at factor %v", s.factor)}
			}
		}
		if at < s.skip {
			b = b[:0]
		}
		full <- b
		if at += int64(got); int64(got) < n {
			return nil
		}
	}
}
