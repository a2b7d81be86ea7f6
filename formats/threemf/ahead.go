package threemf

import (
	"context"
	"io"
)

// An aheadReader reads from another goroutine, a few pieces ahead, so that a part is
// unfolded while what came before is scanned.
type aheadReader struct {
	ctx    context.Context
	cancel context.CancelFunc
	full   chan piece
	free   chan []byte
	now    piece
	rest   []byte // of now, not yet read
}

type piece struct {
	data []byte
	err  error
}

// readAhead reads from r until its end. close must be called; after it, nobody reads from r
// any more.
func readAhead(ctx context.Context, r io.Reader) *aheadReader {
	const pieces = 4
	a := &aheadReader{full: make(chan piece, pieces), free: make(chan []byte, pieces)}
	a.ctx, a.cancel = context.WithCancel(ctx)
	for range pieces {
		a.free <- make([]byte, window)
	}
	go a.run(r)
	return a
}

func (a *aheadReader) run(r io.Reader) {
	defer close(a.full)
	for {
		var b []byte
		select {
		case b = <-a.free:
		case <-a.ctx.Done():
			return
		}
		n, err := io.ReadFull(r, b)
		if err == io.ErrUnexpectedEOF {
			err = io.EOF
		}
		a.full <- piece{b[:n], err} // there is room: pieces are as many as fit
		if err != nil {
			return
		}
	}
}

// Read is io.Reader's. It asks ctx at each piece.
func (a *aheadReader) Read(p []byte) (int, error) {
	for len(a.rest) == 0 {
		if err := a.ctx.Err(); err != nil {
			return 0, err
		}
		if a.now.err != nil {
			return 0, a.now.err
		}
		if a.now.data != nil {
			a.free <- a.now.data[:cap(a.now.data)]
		}
		var ok bool
		if a.now, ok = <-a.full; !ok {
			a.now = piece{err: a.ctx.Err()} // nothing else ends it without an error
			if a.now.err == nil {
				a.now.err = io.ErrUnexpectedEOF
			}
			return 0, a.now.err
		}
		a.rest = a.now.data
	}
	n := copy(p, a.rest)
	a.rest = a.rest[n:]
	return n, nil
}

// close waits until nobody reads any more.
func (a *aheadReader) close() {
	a.cancel()
	for range a.full {
	}
}
