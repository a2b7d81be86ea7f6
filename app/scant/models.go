package main

import (
	"context"
	"errors"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/formats"
)

// A model is one model file of the call.
type model struct {
	path string // as the call spells it
	file formats.File
	err  error // why it could not be opened
}

// sentence is an error in a maker's words, with the path as the call spells it.
func sentence(path string, err error) string {
	m, absent := text.NotThere(err)
	switch {
	case errors.Is(err, errNothing):
		m = text.NothingRead()
	case !absent:
		m = text.Error(err)
	}
	base := filepath.Base(path)
	switch {
	case path == "" || strings.HasPrefix(m.Where, path):
	case strings.HasPrefix(m.Where, base): // "hull.stl, line 12"
		m.Where = path + m.Where[len(base):]
	case m.Where == "":
		m.Where = path
	default: // about another file, such as the copy
		m.Where = path + ": " + m.Where
	}
	return m.String()
}

// models finds and opens all model files of the call, in order, each once. A failure is
// told at once and stays in its model. What lies in the folder for the copies is left out
// when a folder above it is searched.
func (s *session) models() ([]*model, error) {
	if len(s.call.paths) == 0 {
		return nil, nil
	}
	var out []*model
	seen := map[string]bool{}
	for _, path := range s.call.paths {
		found, err := state.Real().Models(s.ctx, path)
		if s.ctx.Err() != nil {
			return nil, s.ctx.Err()
		}
		if err != nil {
			s.fail(path, err)
			out = append(out, &model{path: path, err: err})
		}
		for _, p := range found {
			if !seen[filepath.Clean(p)] && !s.isCopy(path, p) {
				seen[filepath.Clean(p)] = true
				out = append(out, &model{path: p})
			}
		}
	}
	each(len(out), func(i int) {
		if m := out[i]; m.err == nil {
			m.err = guarded(func() (err error) {
				m.file, err = formats.Open(s.ctx, m.path, nil)
				return err
			})
		}
	})
	if s.ctx.Err() != nil {
		return nil, s.ctx.Err()
	}
	for _, m := range out {
		var told *state.PathError
		if m.err != nil && !errors.As(m.err, &told) {
			s.fail(m.path, m.err)
		}
	}
	return out, nil
}

// isCopy reports whether a file that was found in a folder lies in the folder for the
// copies, and that one below the searched one.
func (s *session) isCopy(searched, path string) bool {
	folder, ok := s.call.flags["out"]
	return ok && folder != "" && below(searched, folder) && below(folder, path)
}

// below reports whether path lies in folder, or below it, and is not folder itself.
func below(folder, path string) bool {
	a, errA := filepath.Abs(folder)
	b, errB := filepath.Abs(path)
	if errA != nil || errB != nil {
		return false
	}
	relative, err := filepath.Rel(a, b)
	return err == nil && relative != "." && filepath.IsLocal(relative)
}

// each does n jobs, as many at a time as there are processors, four at most: a job holds a
// whole mesh.
func each(n int, job func(i int)) {
	var wg sync.WaitGroup
	slots := make(chan struct{}, min(4, runtime.GOMAXPROCS(0)))
	for i := range n {
		slots <- struct{}{}
		wg.Go(func() {
			defer func() { <-slots }()
			job(i)
		})
	}
	wg.Wait()
}

// guarded turns a panic into an error.
func guarded(f func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = &state.PanicError{Value: v, Stack: debug.Stack()}
		}
	}()
	return f()
}

// bodies are all parts that could be read.
func bodies(models []*model) []kit.Body {
	var out []kit.Body
	for _, m := range models {
		if m.err == nil {
			for _, p := range m.file.Parts() {
				out = append(out, kit.Body{ID: idOf(len(out)), Name: p.Name, Part: p})
			}
		}
	}
	return out
}

// idOf is the id of a part in the subject, by its place among all parts.
func idOf(i int) string { return strconv.Itoa(i) }

// A look is how the triangles of one part hang together, as far as that can be known.
type look struct {
	topology *mesh.Topology // nil for a part without a readable surface
	err      error
}

// looks looks at every part of every model that could be read. One mesh a worker is in
// memory at a time.
func (s *session) looks(models []*model) map[*model][]look {
	out := map[*model][]look{}
	type job struct {
		model *model
		part  int
	}
	var jobs []job
	for _, m := range models {
		if m.err != nil {
			continue
		}
		parts := m.file.Parts()
		out[m] = make([]look, len(parts))
		for i, p := range parts {
			if p.Surface {
				jobs = append(jobs, job{m, i})
			}
		}
	}
	each(len(jobs), func(i int) {
		j := jobs[i]
		l := &out[j.model][j.part]
		l.err = guarded(func() (err error) {
			l.topology, err = topology(s.ctx, j.model.file, j.part)
			return err
		})
	})
	return out
}

func topology(ctx context.Context, f formats.File, i int) (*mesh.Topology, error) {
	m, err := f.Mesh(ctx, i, nil)
	if err != nil {
		return nil, err
	}
	t, err := mesh.TopologyOf(ctx, m, nil)
	if err != nil {
		return nil, err
	}
	return &t, nil
}
