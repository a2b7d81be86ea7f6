package state

import (
	"context"
	"runtime/debug"
	"sync"
	"time"
)

// A slot holds the one running job of its kind. Starting another stops the one before; what
// a stopped job still has to say is dropped by its run number.
type slot struct {
	id     string
	run    int
	busy   bool
	job    Job
	cancel context.CancelFunc
}

// stop ends the job, and nothing more is heard of it.
func (s *slot) stop() {
	if s.busy {
		s.cancel()
		s.busy = false
	}
	s.run++
}

// A worker is what running work sees of the bench: its context and a way to speak.
type worker struct {
	ctx    context.Context
	post   Post
	handle func([]func()) // on the window's goroutine

	mu     sync.Mutex
	said   []func()
	job    func() // the newest progress, nil when it was told
	queued bool   // one message is on its way
	later  bool   // a message will be sent when the pace allows
	last   time.Time
}

// pace is the least time between two messages of one worker: the window's queue has no end,
// and whoever watches redraws.
const pace = 50 * time.Millisecond

// send has f run on the window's goroutine, in order, unless the job was stopped by then.
func (w *worker) send(f func()) {
	w.mu.Lock()
	w.said = append(w.said, f)
	w.mu.Unlock()
	w.flush(false)
}

// report has f, which tells of progress, run instead of any older one that still waits.
func (w *worker) report(f func()) {
	w.mu.Lock()
	w.job = f
	w.mu.Unlock()
	w.flush(false)
}

// flush sends what was said, unless a message is on its way; then that one takes it along.
// Just after another message it waits a little, unless it is to be now.
func (w *worker) flush(now bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.queued || len(w.said) == 0 && w.job == nil {
		return
	}
	if rest := pace - time.Since(w.last); rest > 0 && !now {
		if !w.later {
			w.later = true
			time.AfterFunc(rest, func() {
				w.mu.Lock()
				w.later = false
				w.mu.Unlock()
				w.flush(true)
			})
		}
		return
	}
	w.queued, w.last = true, time.Now()
	w.post(func() {
		w.mu.Lock()
		said := w.said
		if w.job != nil {
			said = append(said, w.job)
		}
		w.said, w.job, w.queued = nil, nil, false
		w.mu.Unlock()
		w.handle(said)
	})
}

// start runs work in a slot. work runs aside and speaks through its worker; end gets its
// error on the window's goroutine, after all that was sent, and not at all when the job was
// stopped. A panic in work is a *PanicError.
func (b *Bench) start(s *slot, work func(w *worker) error, end func(error)) {
	s.stop()
	ctx, cancel := context.WithCancel(context.Background())
	run, id := s.run, s.id
	s.busy, s.cancel, s.job = true, cancel, Job{ID: s.id}
	w := &worker{ctx: ctx, post: b.config.Post, handle: func(said []func()) {
		b.together(func() {
			for _, f := range said {
				if s.run == run {
					f()
				}
			}
		})
	}}
	go func() {
		err := guard(id, func() error { return work(w) })
		w.mu.Lock()
		w.job = nil
		w.said = append(w.said, func() {
			cancel()
			s.busy = false
			b.change()
			end(err)
		})
		w.mu.Unlock()
		w.flush(true)
	}()
	b.change()
}

// progress tells how far a slot's job has come.
func (b *Bench) progress(w *worker, s *slot, j Job) {
	j.ID = s.id
	w.report(func() {
		s.job = j
		b.change()
	})
}

// guard makes an error of a panic.
func guard(job string, f func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = &PanicError{Job: job, Value: v, Stack: debug.Stack()}
		}
	}()
	return f()
}
