// Package statetest has what tests of the bench and of the window stand on in place of the
// program: a queue for the window's goroutine, a disk in memory, and scripted preferences.
package statetest

import (
	"testing"
	"time"
)

// A Queue stands for the window's goroutine: workers post to it, the test runs what was
// posted.
type Queue struct {
	t     testing.TB
	posts chan func()
}

// patience is how long a test waits while nothing at all is posted.
const patience = time.Minute

// NewQueue is an empty queue.
func NewQueue(t testing.TB) *Queue { return &Queue{t: t, posts: make(chan func(), 1<<16)} }

// Post queues f; it may be called from any goroutine.
func (q *Queue) Post(f func()) { q.posts <- f }

// Drain runs what was posted so far and waits for nothing.
func (q *Queue) Drain() {
	for {
		select {
		case f := <-q.posts:
			f()
		default:
			return
		}
	}
}

// Until runs what is posted until done says yes. The test fails if nothing is posted for too
// long: work that goes on may take its time on a busy machine.
func (q *Queue) Until(what string, done func() bool) {
	q.t.Helper()
	limit := time.NewTimer(patience)
	defer limit.Stop()
	for !done() {
		select {
		case f := <-q.posts:
			f()
			limit.Reset(patience)
		case <-limit.C:
			q.t.Fatalf("waited too long until %s", what)
		}
	}
}
