package kit

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"scantling/engine/deliver"
)

// A Note is what an open window says of itself: which kit it has, and what of it is not saved.
type Note struct {
	Path  string    // of the kit's file; empty where it has none yet
	Title string    // of the kit
	At    time.Time // when this was written
	Over  Stamp     // what the kit's file was when it was read or saved last
	Parts int
	Kit   *Kit // the kit with its unsaved changes; nil where there are none
}

// A Left is what the session of another window says: of one that is open, or of one that ended
// without closing, by a crash or a power cut.
type Left struct {
	Note        // without the kit
	ID   string // for Recover and Discard
	Open bool   // its window is there
	Lost bool   // it has unsaved changes
}

// A Session is a file of the user's that stands for one open window, so that windows know of
// each other and unsaved changes outlive a crash. Its methods may be called from several
// goroutines.
//
// Whether the window of a session is still there is told by its process, where that runs on this
// machine, and by the time of the file, which is set anew every few seconds.
type Session struct {
	folder string
	id     string
	mu     sync.Mutex
	ended  bool
	stop   chan struct{}
}

const (
	sessionVersion = 1
	sessionKey     = "scantling-session"
	sessionEnd     = ".session"
	beatEvery      = 10 * time.Second
	beatStale      = 2 * time.Minute // a file that was not touched for so long has no window
)

// SessionFolder is where sessions are kept: a folder for the state of programs, of the user's
// own.
func SessionFolder() (string, error) {
	if state := os.Getenv("XDG_STATE_HOME"); runtime.GOOS == "linux" && filepath.IsAbs(state) {
		return filepath.Join(state, "scantling", "open"), nil
	}
	if home, err := os.UserHomeDir(); err == nil && runtime.GOOS == "linux" {
		return filepath.Join(home, ".local", "state", "scantling", "open"), nil
	}
	folder, err := os.UserConfigDir()
	return filepath.Join(folder, "scantling", "open"), err
}

// NewSession begins a session in a folder, which need not be there. beat, unless it is nil, is
// called every few seconds, from a goroutine of its own, until the session ends.
func NewSession(folder string, beat func()) *Session {
	// The clock of some systems stands still for milliseconds: chance tells sessions apart, too.
	id := fmt.Sprintf("%x-%x-%08x", os.Getpid(), time.Now().UnixNano(), rand.Uint32())
	s := &Session{folder: folder, id: id, stop: make(chan struct{})}
	go func() {
		tick := time.NewTicker(beatEvery)
		defer tick.Stop()
		for {
			select {
			case <-s.stop:
				return
			case now := <-tick.C:
				// Where there is no file yet, or no more, nobody asks for its time.
				_ = os.Chtimes(s.path(s.id), now, now)
				if beat != nil {
					beat()
				}
			}
		}
	}()
	return s
}

func (s *Session) path(id string) string { return filepath.Join(s.folder, id+sessionEnd) }

// Keep writes what the window has, in place of what it wrote before, whole or not at all. The
// error is a *deliver.Error. A session that has ended keeps nothing.
func (s *Session) Keep(n Note) error {
	host, _ := os.Hostname()
	var w writer
	w.member(sessionKey, sessionVersion)
	w.member("process", os.Getpid())
	w.member("host", host)
	w.nonEmpty("path", n.Path)
	w.nonEmpty("title", n.Title)
	w.member("at", n.At)
	w.nonEmpty("over", string(n.Over))
	w.member("parts", n.Parts)
	if n.Kit != nil {
		raw, err := encode(*n.Kit, "") // with full paths
		if err != nil {
			return &deliver.Error{Code: deliver.Failed, Path: s.path(s.id), Err: err}
		}
		w.member("kit", json.RawMessage(raw))
	}
	whole, err := w.object(nil)
	if err == nil {
		err = os.MkdirAll(s.folder, 0o700)
	}
	if err != nil {
		return &deliver.Error{Code: deliver.Failed, Path: s.path(s.id), Err: err}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ended {
		return nil
	}
	return deliver.WriteFile(s.path(s.id), whole)
}

// End takes the session away: its window is closed and nothing of it is lost.
func (s *Session) End() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.ended {
		s.ended = true
		close(s.stop)
		_ = os.Remove(s.path(s.id)) // there may be none
	}
}

// a sessionFile is what a session's file has.
type sessionFile struct {
	Version int             `json:"scantling-session"`
	Process int             `json:"process"`
	Host    string          `json:"host"`
	Path    string          `json:"path"`
	Title   string          `json:"title"`
	At      time.Time       `json:"at"`
	Over    Stamp           `json:"over"`
	Parts   int             `json:"parts"`
	Kit     json.RawMessage `json:"kit"`
}

func (s *Session) read(id string) (f sessionFile, touched time.Time, ok bool) {
	data, err := read(s.path(id))
	if err != nil || json.Unmarshal(data, &f) != nil || f.Version != sessionVersion {
		return f, touched, false
	}
	info, err := os.Stat(s.path(id))
	if err != nil {
		return f, touched, false
	}
	return f, info.ModTime(), true
}

// Others are the other sessions, the latest first. Sessions that ended and have left nothing are
// cleared away; files that cannot be read are none.
func (s *Session) Others() []Left {
	all, _ := os.ReadDir(s.folder)
	host, _ := os.Hostname()
	var out []Left
	for _, entry := range all {
		id, session := strings.CutSuffix(entry.Name(), sessionEnd)
		if !session || id == s.id {
			continue
		}
		f, touched, ok := s.read(id)
		if !ok {
			continue
		}
		l := Left{ID: id, Lost: len(f.Kit) > 0, Note: Note{Path: f.Path, Title: f.Title, At: f.At, Over: f.Over, Parts: f.Parts}}
		l.Open = time.Since(touched) < beatStale && (f.Host != host || deliver.Running(f.Process))
		if !l.Open && !l.Lost {
			_ = os.Remove(s.path(id))
			continue
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b Left) int { return b.At.Compare(a.At) })
	return out
}

// Recover gives what another session has left. The error is an *Error.
func (s *Session) Recover(id string) (Note, error) {
	f, _, ok := s.read(id)
	if !ok || len(f.Kit) == 0 {
		return Note{}, &Error{File: s.path(id), Code: Unreadable, Err: os.ErrNotExist}
	}
	k, err := decode(s.path(id), "", bytes.TrimSpace(f.Kit))
	if err != nil {
		return Note{}, err
	}
	return Note{Path: f.Path, Title: f.Title, At: f.At, Over: f.Over, Parts: f.Parts, Kit: &k}, nil
}

// Discard takes away what another session has left.
func (s *Session) Discard(id string) {
	if id != s.id {
		_ = os.Remove(s.path(id)) // another window may have done so
	}
}
