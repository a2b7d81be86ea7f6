// Package lines streams a file through all cores and keeps its order: it reads chunks that
// end where a line ends, lets workers turn each into a result, and hands the results over
// in the order of the file.
//
// What comes out does not depend on how many cores there are: chunks are cut by content
// and size alone, and only one goroutine, the caller's, sees the results. The memory is
// bounded whatever the file's size: about 20 MB where results are as large as their chunks.
package lines

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
)

const (
	// Size is how large chunks are unless Options say otherwise: large enough that the
	// hand-over costs nothing, small enough that a few of them fit a processor's cache.
	Size = 1 << 20
	// MaxSize is how far a chunk grows when it holds no place to cut: the longest line
	// that is read.
	MaxSize = 4 << 20
	// maxWorkers bounds the memory on machines with many cores; beyond it the disk is
	// the limit anyway.
	maxWorkers = 4
)

// A Chunk is a run of whole lines.
type Chunk struct {
	Index  int    // from 0
	Offset int64  // of Data[0] in what the reader gave
	Data   []byte // valid until the chunk's result has been handed over
	Last   bool   // nothing follows
}

// A Cut says how many bytes from the start of data make a chunk that can be worked on by
// itself: 0 when data holds no such place. It is not asked at the end of the file.
type Cut func(data []byte) int

// Options may all be left zero.
type Options struct {
	Cut     Cut   // AfterLine when nil
	Size    int   // of a chunk, in bytes
	Workers int   // as many as there are cores, up to four, when 0
	Bytes   int64 // what the reader will give, as far as known: for Report and small files
	// Report is told the part of Bytes that is done, from 0 to 1, by the caller's goroutine.
	Report func(float64)
}

// ErrTooLong is a line that fits no chunk of MaxSize.
var ErrTooLong = errors.New("line too long")

// AfterLine cuts after the last line end in data: LF, CR LF or CR.
func AfterLine(data []byte) int {
	for i := len(data) - 1; i >= 0; i-- {
		// A CR at the very end may be half of a CR LF.
		if data[i] == '\n' || data[i] == '\r' && i < len(data)-1 {
			return i + 1
		}
	}
	return 0
}

// AfterJoinedLine cuts after the last line end that no backslash stands before, so that a
// statement continued over several lines stays whole.
func AfterJoinedLine(data []byte) int {
	for n := AfterLine(data); n > 0; n = AfterLine(data[:n]) {
		end := n - 1
		if data[end] == '\n' && end > 0 && data[end-1] == '\r' {
			end--
		}
		if end == 0 || data[end-1] != '\\' {
			return n
		}
		n = end // on to the line ends before this one
	}
	return 0
}

// Fits reports whether data, whose start and end are places to cut, can be read with cut: it
// is for what has been made longer than it was.
func Fits(cut Cut, data []byte) bool {
	for len(data) >= MaxSize {
		n := cut(data[:MaxSize])
		if n == 0 {
			return false
		}
		data = data[n:]
	}
	return true
}

// CountLines counts the line ends (LF, CR LF or CR) in the first n bytes of r. It is for
// errors: nobody counts lines while all goes well.
func CountLines(r io.Reader, n int64) (int, error) {
	r = io.LimitReader(r, n)
	buf := make([]byte, 64<<10)
	count := 0
	cr := false // the last byte was a CR
	for {
		n, err := r.Read(buf)
		for _, c := range buf[:n] {
			if c == '\r' || c == '\n' && !cr {
				count++
			}
			cr = c == '\r'
		}
		if err == io.EOF {
			return count, nil
		}
		if err != nil {
			return count, err
		}
	}
}

// Rewrite streams r to w, each chunk changed by work: it appends to dst and returns it, or
// changes c.Data in place and returns that. work is called from several goroutines.
//
// The error is the first in the order of the file: of the reader, of work, of w, or
// ErrTooLong, or ctx's, which is asked at every chunk. What was written until then is a
// prefix of what would have been written.
func Rewrite(ctx context.Context, r io.Reader, w io.Writer, o Options, work func(dst []byte, c Chunk) ([]byte, error)) error {
	return Fold(ctx, r, o,
		func(c Chunk, used []byte) ([]byte, error) {
			return work(used[:0], c)
		},
		func(c Chunk, out []byte) ([]byte, error) {
			if _, err := w.Write(out); err != nil {
				return nil, err
			}
			if len(out) > 0 && len(c.Data) > 0 && &out[0] == &c.Data[0] || cap(out) > MaxSize {
				return nil, nil
			}
			return out, nil
		})
}

// Fold streams r through work, on several goroutines, and merge, on the caller's, in the
// order of the file. merge returns what is left of a result for reuse: a later call of
// work gets it as used, and otherwise the zero T.
//
// Errors are as for Rewrite. A panic in work is passed on to the caller.
func Fold[T any](ctx context.Context, r io.Reader, o Options, work func(c Chunk, used T) (T, error), merge func(c Chunk, result T) (T, error)) error {
	if o.Cut == nil {
		o.Cut = AfterLine
	}
	if o.Size == 0 {
		o.Size = Size
	}
	if o.Workers == 0 {
		o.Workers = min(runtime.GOMAXPROCS(0), maxWorkers)
	}
	ctx, cancel := context.WithCancel(ctx)
	n := o.Workers + 2 // one being read, one being merged
	p := pipe[T]{
		free:  make(chan *job[T], n),
		todo:  make(chan *job[T], n),
		order: make(chan *job[T], n),
	}
	for range n {
		p.free <- &job[T]{done: make(chan struct{}, 1)}
	}
	var running sync.WaitGroup
	running.Go(func() { p.read(ctx, r, o) })
	for range o.Workers {
		running.Go(func() {
			for j := range p.todo {
				j.run(ctx, work)
			}
		})
	}
	defer running.Wait() // nobody touches r or the chunks any more
	defer cancel()

	var done int64
	for j := range p.order {
		<-j.done
		if j.panicked != nil {
			panic(j.panicked)
		}
		if j.err != nil {
			return j.err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		rest, err := merge(j.chunk, j.result)
		if err != nil {
			return err
		}
		done += int64(len(j.chunk.Data))
		if o.Report != nil && o.Bytes > 0 {
			o.Report(min(1, float64(done)/float64(o.Bytes)))
		}
		j.result = rest
		if cap(j.buf) > 2*o.Size {
			j.buf = nil
		}
		p.free <- j
	}
	return ctx.Err()
}

// A job is one chunk on its way. There is a fixed number of them, which bounds the memory.
type job[T any] struct {
	buf      []byte
	chunk    Chunk
	result   T
	err      error
	panicked any
	done     chan struct{}
}

// run works on the chunk and says so, whatever happens.
func (j *job[T]) run(ctx context.Context, work func(Chunk, T) (T, error)) {
	defer func() {
		if p := recover(); p != nil {
			j.panicked = fmt.Sprintf("lines: chunk at byte %d: %v", j.chunk.Offset, p)
		}
		j.done <- struct{}{}
	}()
	if j.err == nil && ctx.Err() == nil {
		j.result, j.err = work(j.chunk, j.result)
	}
}

// A pipe is where jobs wait: to be filled, to be worked on, and, in the order of the file,
// to be merged.
type pipe[T any] struct{ free, todo, order chan *job[T] }

// read fills jobs until r ends or ctx does. An error travels in a job of its own, so that
// it is met after what was read before it.
func (p *pipe[T]) read(ctx context.Context, r io.Reader, o Options) {
	defer close(p.order)
	defer close(p.todo)
	size := min(o.Size, MaxSize)
	if o.Bytes > 0 {
		size = int(min(int64(size), o.Bytes+1)) // one more, so that the end shows
	}
	var rest []byte // read, but past the last cut
	var offset int64
	for index := 0; ; index++ {
		j := p.take(ctx)
		if j == nil {
			return
		}
		room := size
		for room <= len(rest) {
			room = min(2*room, MaxSize)
		}
		if !p.grow(ctx, j, room, size) {
			return
		}
		have := copy(j.buf, rest)
		cut, last := 0, false
		for cut == 0 && !last && j.err == nil {
			n, err := io.ReadFull(r, j.buf[have:room])
			have += n
			switch {
			case err == io.EOF || err == io.ErrUnexpectedEOF:
				cut, last = have, true
			case err != nil:
				j.err = err
			default:
				if cut = o.Cut(j.buf[:have]); cut > 0 {
					break
				}
				if room == MaxSize {
					j.err = fmt.Errorf("at byte %d: %w", offset, ErrTooLong)
					break
				}
				room = min(2*room, MaxSize)
				if !p.grow(ctx, j, room, size) {
					return
				}
			}
		}
		j.chunk = Chunk{Index: index, Offset: offset, Data: j.buf[:cut:cut], Last: last}
		rest = append(rest[:0], j.buf[cut:have]...)
		offset += int64(cut)
		last = last || j.err != nil
		if cut > 0 || j.err != nil {
			p.order <- j
			p.todo <- j
		}
		if last {
			return
		}
	}
}

// take waits for a free job; nil when ctx ends first.
func (p *pipe[T]) take(ctx context.Context) *job[T] {
	select {
	case j := <-p.free:
		return j
	case <-ctx.Done():
		return nil
	}
}

// grow makes j's buffer at least room bytes, keeping what is in it. A chunk above the
// usual size waits until the others are done and lets go of their memory, so that only one
// such is under way. It is false when ctx ends first.
func (p *pipe[T]) grow(ctx context.Context, j *job[T], room, size int) bool {
	if cap(j.buf) >= room {
		j.buf = j.buf[:cap(j.buf)]
		return true
	}
	if room > size {
		others := make([]*job[T], 0, cap(p.free))
		for range cap(p.free) - 1 {
			other := p.take(ctx)
			if other == nil {
				return false
			}
			var none T
			other.buf, other.result = nil, none
			others = append(others, other)
		}
		for _, other := range others {
			p.free <- other
		}
	}
	buf := make([]byte, room)
	copy(buf, j.buf)
	j.buf = buf
	return true
}
