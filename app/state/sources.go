package state

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"

	"scantling/engine/kit"
	"scantling/engine/ways"
)

// Sources are the parts' files that are not as the kit has them.
type Sources struct {
	Missing  []Missing
	Changed  []Changed
	Searched bool // missing files were looked for nearby
	Busy     bool // they still are
}

// A Missing is a file of the kit that is not where it was.
type Missing struct {
	Path  string   // where it was
	Parts []string // names of the parts that are in it
	Found string   // where a file like it lies; empty: none was found
	Same  bool     // that one has just the content that was missed; otherwise only its name is alike
	Err   error
}

// A Changed is a part whose file is another one than the kit goes by.
type Changed struct {
	ID     string
	Was    kit.Facts // nothing where the kit was saved by a program that did not keep them
	Now    kit.Facts
	Change kit.Change
	Gone   bool // its file no longer has such a part
	Beside bool // its own file is the same: what lies beside it has changed
	Looks  bool // whether it is closed now is not known yet
}

// A Wanted is a file that is looked for.
type Wanted struct {
	Path   string
	Digest string
	Bytes  int64 // 0: not known
}

// A Place is a folder to look in.
type Place struct {
	Folder string
	Depth  int // of subfolders; 0: the folder alone
}

// A Found is where a wanted file may lie now.
type Found struct {
	Path string
	Same bool // the content is that of the wanted file
}

// A sourcing is what the bench knows of files that are gone.
type sourcing struct {
	slot
	found  map[string]Found // by the path of the missing file
	tried  map[string]bool  // files that were looked for
	places []Place          // where the maker has found others
	kept   map[string]bool  // by modelFile.content: changed files that the maker has looked at and goes on without
}

// lost reports whether a file is not where it was: it is not there, or its drive does not answer.
func (f *modelFile) lost() bool {
	return f != nil && f.state == Failed && (errors.Is(f.err, fs.ErrNotExist) || errors.Is(f.err, ErrNoAnswer))
}

// changed reports whether a part's file is another one than the kit goes by.
func (f *modelFile) changed(p kit.Part) bool {
	return f != nil && f.state == Measured && (p.Digest != "" && p.Digest != f.file.Digest() || f.besideChanged(p))
}

// besideChanged reports whether what lies beside a part's file is something else than the kit goes
// by. A file that needs nothing beside it any more is another one itself.
func (f *modelFile) besideChanged(p kit.Part) bool {
	return p.Beside != "" && f.beside != "" && p.Beside != f.beside
}

// content tells what a measured file and those beside it hold.
func (f *modelFile) content() string { return f.file.Digest() + " " + f.beside }

// sources sorts out which files are not as the kit has them.
func (b *Bench) sources(k kit.Kit) Sources {
	s := Sources{Busy: b.sourcing.busy}
	at := map[string]int{}
	for _, p := range k.Parts {
		f := b.files[p.File]
		switch {
		case f.lost():
			i, ok := at[p.File]
			if !ok {
				i = len(s.Missing)
				at[p.File] = i
				found := b.sourcing.found[p.File]
				s.Missing = append(s.Missing, Missing{Path: p.File, Found: found.Path, Same: found.Same, Err: f.err})
			}
			s.Missing[i].Parts = append(s.Missing[i].Parts, p.Name)
			s.Searched = s.Searched || b.sourcing.tried[p.File]
		case f.changed(p) && !b.sourcing.kept[f.content()]:
			c := Changed{ID: p.ID, Was: p.Was, Gone: p.Index >= len(f.parts), Beside: p.Digest == f.file.Digest()}
			if !c.Gone {
				c.Now = kit.FactsOf(f.parts[p.Index], f.looks[p.Index].topology)
				c.Now.Bytes = f.file.Bytes()
				c.Looks = f.looks[p.Index].topology == nil && f.looks[p.Index].err == nil && f.parts[p.Index].Surface
				if p.Was.Known() {
					c.Change = p.Was.Changed(c.Now)
				}
			}
			s.Changed = append(s.Changed, c)
		}
	}
	return s
}

// search looks for the files that are gone, aside, once for each, when all files were read.
func (b *Bench) search() {
	if b.sourcing.busy || b.opening.busy || b.history == nil {
		return
	}
	k := b.history.Kit()
	var wanted []Wanted
	places := slices.Clone(b.sourcing.places)
	if b.path != "" {
		places = append(places, Place{filepath.Dir(b.path), searchDepth})
	}
	for _, p := range k.Parts {
		f := b.files[p.File]
		if !f.lost() {
			if folder := filepath.Dir(p.File); f != nil && f.state == Measured {
				places = append(places, Place{folder, 1})
			}
			continue
		}
		if errors.Is(f.err, fs.ErrNotExist) {
			places = append(places, Place{filepath.Dir(p.File), 1}, Place{filepath.Dir(filepath.Dir(p.File)), 1})
		}
		if b.sourcing.tried[p.File] || slices.ContainsFunc(wanted, func(w Wanted) bool { return w.Path == p.File }) {
			continue
		}
		wanted = append(wanted, Wanted{p.File, p.Digest, p.Was.Bytes})
	}
	if len(wanted) == 0 {
		return
	}
	places = onceEach(places)
	var found []Found
	disk := b.config.Disk
	b.start(&b.sourcing.slot, func(w *worker) (err error) {
		found, err = disk.Find(w.ctx, wanted, places)
		return err
	}, func(err error) {
		for i, w := range wanted {
			b.sourcing.tried[w.Path] = true
			if err == nil && i < len(found) && found[i].Path != "" {
				b.sourcing.found[w.Path] = found[i]
			}
		}
		b.recompute()
		b.search()
	})
}

// onceEach keeps of places in one folder the deepest.
func onceEach(places []Place) []Place {
	var out []Place
	for _, p := range places {
		if i := slices.IndexFunc(out, func(o Place) bool { return o.Folder == p.Folder }); i >= 0 {
			out[i].Depth = max(out[i].Depth, p.Depth)
		} else {
			out = append(out, p)
		}
	}
	return out
}

// UseFound takes files where they were found, in place of those paths; without any, all that
// were found.
func (b *Bench) UseFound(paths ...string) {
	to := map[string]string{}
	for _, m := range b.view.Sources.Missing {
		if m.Found != "" && (len(paths) == 0 || slices.Contains(paths, m.Path)) {
			to[m.Path] = m.Found
		}
	}
	b.relocate(to)
}

// PointTo says where a missing file lies now. What else is missing is looked for there, too.
func (b *Bench) PointTo(path, now string) {
	now = absolute(now)
	b.sourcing.places = append(b.sourcing.places, Place{filepath.Dir(now), searchDepth})
	clear(b.sourcing.tried)
	b.relocate(map[string]string{path: now})
}

// relocate gives parts other files, in one step.
func (b *Bench) relocate(to map[string]string) {
	k := b.history.Kit()
	moved := false
	after := k.WithEach(func(p *kit.Part) {
		now, ok := to[p.File]
		if !ok || slices.ContainsFunc(k.Parts, func(o kit.Part) bool { return o.File == now && o.Index == p.Index }) {
			return
		}
		p.File, moved = now, true
	})
	if moved {
		b.stopped, b.judging.stopped = false, false
		b.do(StepFound, after)
	}
}

// AcceptChanged lets the kit go by the files of some parts as they are now; without ids, by all.
func (b *Bench) AcceptChanged(ids ...string) {
	b.answerChanged(ids, func(k kit.Kit, changed []Changed) {
		b.do(StepAccept, b.goBy(k, changed))
	})
}

// goBy is k going by the files of parts as they are now.
func (b *Bench) goBy(k kit.Kit, changed []Changed) kit.Kit {
	for _, c := range changed {
		f := b.files[fileOf(k, c.ID)]
		if f == nil || f.state != Measured {
			continue
		}
		k = k.WithPart(c.ID, func(p *kit.Part) { p.Digest, p.Beside, p.Was = f.file.Digest(), f.beside, c.Now })
	}
	return k
}

// KeepOld goes on with the numbers that the kit was saved with: the files are not pointed out
// again until the kit is opened the next time, and where they would have changed the factor, the
// one that was saved is in force.
func (b *Bench) KeepOld(ids ...string) {
	b.answerChanged(ids, func(k kit.Kit, changed []Changed) {
		for _, c := range changed {
			if f := b.files[fileOf(k, c.ID)]; f != nil && f.file != nil {
				b.sourcing.kept[f.content()] = true
			}
		}
		if saved := k.Factor; saved.Known() && !saved.Equal(b.view.Result.Factor) {
			b.edit(StepKeepFactor, func(w *ways.Way) { w.Kind, w.Factor = ways.ByFactor, saved })
		}
		b.recompute()
	})
}

func (b *Bench) answerChanged(ids []string, answer func(kit.Kit, []Changed)) {
	var some []Changed
	for _, c := range b.view.Sources.Changed {
		if len(ids) == 0 || slices.Contains(ids, c.ID) {
			some = append(some, c)
		}
	}
	if len(some) > 0 {
		b.together(func() { answer(b.history.Kit(), some) })
	}
}

func fileOf(k kit.Kit, id string) string {
	p, _ := k.Part(id)
	return p.File
}

// withFacts is k with what is known of its parts now, those left alone whose files the maker has
// not accepted as they are.
func (b *Bench) withFacts(k kit.Kit) kit.Kit {
	return k.WithEach(func(p *kit.Part) {
		f := b.measuredFile(*p)
		if f == nil || f.changed(*p) {
			return
		}
		now := kit.FactsOf(f.parts[p.Index], f.looks[p.Index].topology)
		now.Bytes = f.file.Bytes()
		if now.Surface == kit.NotKnown && p.Digest == f.file.Digest() {
			now.Surface = p.Was.Surface // it was not looked at since
		}
		p.Was = now
	})
}

// keepFacts is a kit of the history with what a save has kept of its parts, and the factor.
func keepFacts(k, saved kit.Kit) kit.Kit {
	k.Factor = saved.Factor
	return k.WithEach(func(p *kit.Part) {
		if q, ok := saved.Part(p.ID); ok && q.Digest == p.Digest && q.File == p.File {
			p.Was = q.Was
		}
	})
}
