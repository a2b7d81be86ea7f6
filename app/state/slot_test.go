package state

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// nothing keeps no setting.
type nothing struct{}

func (nothing) String(string) string     { return "" }
func (nothing) SetString(string, string) {}

// window runs what is posted when the test says so.
type window struct {
	mu    sync.Mutex
	posts []func()
	count int
	more  chan struct{}
}

func (w *window) post(f func()) {
	w.mu.Lock()
	w.posts = append(w.posts, f)
	w.count++
	w.mu.Unlock()
	select {
	case w.more <- struct{}{}:
	default:
	}
}

// until runs posts until done.
func (w *window) until(t *testing.T, done func() bool) {
	t.Helper()
	for !done() {
		w.mu.Lock()
		posts := w.posts
		w.posts = nil
		w.mu.Unlock()
		for _, f := range posts {
			f()
		}
		if len(posts) > 0 {
			continue
		}
		select {
		case <-w.more:
		case <-time.After(20 * time.Second):
			t.Fatal("nothing more was posted")
		}
	}
}

func withWindow() (*Bench, *window) {
	w := &window{more: make(chan struct{}, 1)}
	return New(Config{Post: w.post, Preferences: nothing{}}), w
}

func TestProgressIsThinnedAndTheEndComesLast(t *testing.T) {
	b, w := withWindow()
	var s slot
	said, told, ended := 0, 0, false
	b.start(&s, func(at *worker) error {
		for i := range 100_000 {
			at.report(func() { told++ })
			if i%1000 == 0 {
				at.send(func() { said++ })
			}
		}
		return nil
	}, func(err error) {
		require.NoError(t, err)
		require.Equal(t, 100, said, "all that was sent comes before the end")
		ended = true
	})
	w.until(t, func() bool { return ended })
	require.False(t, s.busy)
	require.Less(t, w.count, 1000, "the window's queue has no end")
	require.Less(t, told, 1000)
}

func TestAStoppedJobSaysNothingMore(t *testing.T) {
	b, w := withWindow()
	var s slot
	stopped, replaced := make(chan struct{}), false
	old := func() { t.Error("a stopped job spoke") }
	b.start(&s, func(at *worker) error {
		at.send(old)
		<-at.ctx.Done()
		at.send(old)
		at.report(old)
		close(stopped)
		return at.ctx.Err()
	}, func(error) { old() })
	b.start(&s, func(*worker) error { // replaces it
		<-stopped
		return nil
	}, func(error) { replaced = true })
	w.until(t, func() bool { return replaced })
}

func TestAPanicInAJobIsItsError(t *testing.T) {
	b, w := withWindow()
	s := slot{id: "sawing"}
	var got error
	b.start(&s, func(*worker) error { panic("off the table") }, func(err error) { got = err })
	w.until(t, func() bool { return got != nil })
	var broken *PanicError
	require.ErrorAs(t, got, &broken)
	require.Equal(t, "sawing", broken.Job)
	require.Equal(t, "off the table", broken.Value)
	require.Contains(t, string(broken.Stack), "slot_test.go")
}

func TestFiftyRestarts(t *testing.T) {
	b, w := withWindow()
	var s slot
	var ended []int
	for i := range 50 {
		b.start(&s, func(at *worker) error {
			at.report(func() {})
			return at.ctx.Err()
		}, func(err error) {
			if err != nil && !errors.Is(err, context.Canceled) {
				t.Error(err)
			}
			ended = append(ended, i)
		})
	}
	w.until(t, func() bool { return len(ended) > 0 })
	require.Equal(t, []int{49}, ended, "only the last one answers")
}

// What is said late is sent without anything more being said.
func TestAStragglerIsSent(t *testing.T) {
	b, w := withWindow()
	var s slot
	first, second, release := false, false, make(chan struct{})
	b.start(&s, func(at *worker) error {
		at.send(func() { first = true })
		at.send(func() { second = true }) // at once after the first
		<-release
		return nil
	}, func(error) {})
	w.until(t, func() bool { return first && second })
	close(release)
	w.until(t, func() bool { return !s.busy })
}

// What breaks while two targets are compared is told; the comparison is over and not begun again.
func TestABrokenComparisonIsOver(t *testing.T) {
	b, w := withWindow()
	b.pairing.open = true
	b.workOut(pairTask{}, Comparison{Parts: []string{"hull"}}) // there is no case
	w.until(t, func() bool { return b.view.Notice != nil })
	var broken *PanicError
	require.ErrorAs(t, b.view.Notice, &broken)
	require.Equal(t, b.pairing.id, broken.Job)
	require.False(t, b.pairing.open)
	require.False(t, b.pairing.busy)
	require.Nil(t, b.view.Pair)
}
