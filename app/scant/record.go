package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"scantling/app/record"
	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/kit"
	"scantling/engine/process"
)

// A recordRow is what was written, in JSON.
type recordRow struct {
	File    string `json:"file"`
	Form    string `json:"form"`
	Paper   string `json:"paper,omitempty"`
	Bytes   int64  `json:"bytes"`
	Factor  number `json:"factor"`
	Ratio   string `json:"ratio,omitempty"`
	Parts   int    `json:"parts"`
	Found   int    `json:"findings"`
	Unknown int    `json:"unread"` // parts that could not be read
}

// record writes a record of a kit's file, or of models and a way. It opens them on a bench as the
// window does, so that both write the same.
func (s *session) record() error {
	out := s.call.flags["out"]
	form, ok := record.FormOf(out)
	switch {
	case out == "":
		return misuse(s.call.verb, "--out is missing: the file for the record")
	case !ok:
		return misuse(s.call.verb, "--out: give a name that ends in .html, .pdf or .csv")
	case len(s.call.paths) == 0:
		return misuse(s.call.verb, "no kit, file or folder to record")
	}
	paper := record.UsualPaper(nil)
	if typed, has := s.call.flags["paper"]; has {
		if paper, ok = record.ParsePaper(typed); !ok {
			return misuse(s.call.verb, "--paper: “"+typed+"” is none of a4, letter")
		}
	}
	k, err := s.recordKit()
	if err != nil {
		return err
	}
	var posts posts
	b := state.New(state.Config{Post: posts.Post, Disk: state.Real(), Preferences: nothingKept{}, Surveys: s.store()})
	b.Begin(k)
	if err := posts.settle(s.ctx, b); err != nil {
		return err
	}
	v := b.View()
	unread := 0
	for _, p := range v.Parts {
		if p.State == state.Failed {
			unread++
			s.fail(p.File, p.Err)
		}
	}
	if err := v.WayErr; err != nil {
		return err
	}
	b.DismissNotice()
	b.SaveRecord(out, s.call.has("overwrite"), record.Recorder(form, paper))
	if err := posts.settle(s.ctx, b); err != nil {
		return err
	}
	v = b.View()
	if v.Notice != nil {
		return v.Notice
	}
	row := recordRow{File: v.Recorded, Form: string(form), Factor: number(v.Result.Factor.Float()), Parts: len(v.Judged.IDs), Found: len(v.Judged.Findings), Unknown: unread}
	if form != record.CSV {
		row.Paper = strings.ToLower(paper.String())
	}
	if v.Result.Target.Known() {
		row.Ratio = inFull(v.Result.Target)
	}
	if info, err := os.Stat(v.Recorded); err == nil {
		row.Bytes = info.Size()
	}
	if s.call.has("json") {
		return s.printJSON(row)
	}
	_, err = fmt.Fprintf(s.out, "%s, %s  %s\n", v.Recorded, text.Bytes(row.Bytes), text.Factor(v.Result.Factor)+"  "+text.Ratio(v.Result.Target))
	return err
}

// recordKit is what is to be recorded: the kit of a kit's file, or one of models and a way.
func (s *session) recordKit() (k kit.Kit, err error) {
	path, isKit := state.KitAmong(s.call.paths)
	if isKit {
		if len(s.call.paths) > 1 {
			return k, misuse(s.call.verb, "a kit's file stands alone: it has its parts")
		}
		for flag := range s.call.flags {
			switch flag {
			case "out", "paper", "json", "overwrite":
			default:
				return k, misuse(s.call.verb, "--"+flag+" has no meaning with a kit's file, which has its own way, bed and process")
			}
		}
		if len(s.call.lists) > 0 {
			return k, misuse(s.call.verb, "a kit's file has its own way to the factor; give none")
		}
		k, _, err = kit.LoadStamped(path)
		if err == nil && k.Title == "" {
			k.Title = strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
		}
		return k, err
	}
	c := s.call
	if !c.has("process") {
		c.flags["process"] = process.Presets()[0].Process.Name
	}
	way, bed, turn, p, err := c.apart()
	if err != nil {
		return k, err
	}
	w, err := way.way()
	if err != nil {
		return k, err
	}
	if bed.Known() {
		w.Bed, w.Turn = bed, turn
	}
	models, err := s.models()
	if err != nil {
		return k, err
	}
	if err := s.pick(&w, bodies(models)); err != nil {
		return k, err
	}
	k = kit.Kit{Title: c.flags["title"], Way: w, Process: p}
	if k.Title == "" {
		k.Title = c.title()
	}
	if k.Field, err = c.oneField(); err != nil {
		return k, err
	}
	n := 0
	for _, m := range models {
		if m.err != nil {
			continue
		}
		full, err := filepath.Abs(m.path)
		if err != nil {
			return k, err
		}
		for i, part := range m.file.Parts() {
			name := part.Name
			if name == "" {
				name = strings.TrimSuffix(filepath.Base(full), filepath.Ext(full))
			}
			k = k.With(kit.Part{ID: idOf(n), File: full, Index: i, Name: name, Digest: m.file.Digest(), Ticked: true})
			n++
		}
	}
	return k, nil
}

// nothingKept are the preferences of a bench that nobody has used before.
type nothingKept struct{}

func (nothingKept) String(string) string     { return "" }
func (nothingKept) SetString(string, string) {}

// posts stand for the window's goroutine.
type posts struct {
	mu    sync.Mutex
	queue []func()
	came  chan struct{}
}

// Post queues f.
func (p *posts) Post(f func()) {
	p.mu.Lock()
	p.queue = append(p.queue, f)
	came := p.signal()
	p.mu.Unlock()
	select {
	case came <- struct{}{}:
	default:
	}
}

// signal is the channel that tells of posts; the lock is held.
func (p *posts) signal() chan struct{} {
	if p.came == nil {
		p.came = make(chan struct{}, 1)
	}
	return p.came
}

// settle runs what is posted until no job runs.
func (p *posts) settle(ctx context.Context, b *state.Bench) error {
	for {
		p.mu.Lock()
		queue, came := p.queue, p.signal()
		p.queue = nil
		p.mu.Unlock()
		for _, f := range queue {
			f()
		}
		v := b.View()
		if len(queue) == 0 && len(v.Jobs) == 0 {
			return nil
		}
		if len(queue) > 0 {
			continue
		}
		select {
		case <-came:
		case <-ctx.Done():
			for _, j := range v.Jobs {
				b.Cancel(j.ID)
			}
			return ctx.Err()
		}
	}
}
