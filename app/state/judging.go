package state

import (
	"context"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/process"
	"scantling/engine/ratio"
	"scantling/engine/survey"
	"scantling/engine/ways"
	"scantling/formats"
)

// A Judged is what the factor does to the ticked parts, as far as they were surveyed.
type Judged struct {
	Findings []judge.Finding // at the factor in force, the gravest first; none without a factor
	IDs      []string        // the ticked parts, as findings number them
	Names    []string
	Worst    map[string]judge.Gravity // of what counts, by part id; bed included
	Waiting  int                      // of them are still to be surveyed
	Stopped  bool                     // surveying was cancelled: opening files goes on
	// Prints is where nothing stops the print, Details where nothing is to be looked at either.
	Prints, Details judge.Window
	Ladder          []judge.Standing // as View.Ladder
	Weight          judge.Weight     // at the factor in force
	Beds            *judge.Layout    // of the ticked parts at the factor; nil without a bed or a factor
	Process         process.Process
	Native          ratio.Ratio // as View.Ladder has it; may be unknown

	sheet *judge.Case
}

// WindowOf is the range of factors at which a part has nothing of that gravity or more; false
// for a part that is not ticked.
func (j Judged) WindowOf(id string, g judge.Gravity) (judge.Window, bool) {
	i := slices.Index(j.IDs, id)
	if i < 0 || j.sheet == nil {
		return judge.Window{}, false
	}
	return j.sheet.WindowOf(i, g), true
}

// WeightOf is what one piece of a part weighs at a factor; false for a part that is not ticked.
func (j Judged) WeightOf(id string, factor float64) (judge.Weight, bool) {
	i := slices.Index(j.IDs, id)
	if i < 0 || j.sheet == nil || !(factor > 0) {
		return judge.Weight{}, false
	}
	return j.sheet.WeightOf(i, factor), true
}

// Name is what a part is called that a finding numbers; empty for none.
func (j Judged) Name(part int) string {
	if part < 0 || part >= len(j.Names) {
		return ""
	}
	return j.Names[part]
}

// A surveyKey is a part's content: what was measured once holds wherever it stands.
type surveyKey struct {
	digest string
	index  int
}

// surveyed is what is known of a content.
type surveyed struct {
	found *survey.Measurements // nil where it could not be surveyed
	err   error
	final bool    // not a first look
	goes  float64 // into the small-parts cylinder, for lengths in file units
	bulk  judge.Bulk
	mm    float64 // of bulk
}

// Pointed is the place of a finding that is shown on the sheet, as long as the finding is there.
type Pointed struct {
	Part    string   // id of the part that it is in; empty: nothing is shown
	At      geom.Vec // kit axes, mm as drawn
	Finding judge.Finding
}

// among is the same place at another factor; nothing where the finding is gone.
func (p Pointed) among(j Judged) Pointed {
	for _, f := range j.Findings {
		if p.Part != "" && f.Part >= 0 && f.Code == p.Finding.Code && f.Where == p.Finding.Where && j.IDs[f.Part] == p.Part {
			p.Finding = f
			return p
		}
	}
	return Pointed{}
}

// PointAt selects the part of finding i of View.Judged and shows its place on the sheet; what
// is about no place, and -1, shows none.
func (b *Bench) PointAt(i int) {
	b.together(func() {
		v := &b.view
		v.Pointed = Pointed{}
		b.change()
		if i < 0 || i >= len(v.Judged.Findings) || v.Judged.Findings[i].Part < 0 {
			return
		}
		f := v.Judged.Findings[i]
		id := v.Judged.IDs[f.Part]
		b.Select(id)
		for _, p := range v.Parts {
			if p.ID != id || f.Whole {
				continue
			}
			at := f.Where.Centre
			if !f.Where.InKit {
				at = p.frame.Point(p.Measured, at)
			}
			v.Pointed = Pointed{id, at, f}
		}
	})
}

// A judging is what is kept from one keystroke to the next.
type judging struct {
	known  map[surveyKey]*surveyed
	shades map[shadeKey]*survey.Shading // nil for what cannot be had
	// together is how the parts of togetherIDs lie to each other.
	together    *survey.Assembly
	togetherIDs []string
	togetherOf  string // what they were when it was found
	keys        []partKey
	terms       judge.Terms
	of          *survey.Assembly
	sheet       *judge.Case
	stopped     bool
	usual       process.Process // where the kit has none of its own
}

// A partKey is all that a part is judged by.
type partKey struct {
	id       string
	quantity int
	mm       float64
	size     geom.Vec
	found    *survey.Measurements
	goes     float64
	fits     [judge.Free + 1]float64
	posed    [judge.Free + 1]geom.Vec
	narrow   narrowing
}

// A narrowing is up to which factor a part fits as judge.Bed.Narrow lays it, and its size there.
type narrowing struct {
	factor float64
	size   geom.Vec
}

// judge fills View.Judged. What depends on the parts alone is worked out again only when they
// changed; a new factor is a search in ordered lists.
func (b *Bench) judge(k kit.Kit, rows []Part, native, target ratio.Ratio) {
	v, j := &b.view, &b.judging
	out := Judged{Process: b.processOf(k), Native: native, Stopped: j.stopped}
	var keys []partKey
	for i := range rows {
		p := &rows[i]
		if s := j.known[b.contentOf(p)]; s != nil {
			p.Found = s.found
			for side := range p.Shades {
				p.Shades[side] = j.shades[b.shadeKeyOf(p, Side(side))]
			}
		}
		if p.State != Measured || !p.Ticked || p.Measured.Box.Empty() {
			continue
		}
		out.IDs, out.Names = append(out.IDs, p.ID), append(out.Names, p.Name)
		key := partKey{id: p.ID, quantity: p.Quantity, mm: p.Measured.Unit.MM, size: kit.Lies(p.Measured)}
		if s := j.known[b.contentOf(p)]; s != nil {
			key.found, key.goes = s.found, s.goes/key.mm
		}
		if p.surveyable() && (key.found == nil || !j.known[b.contentOf(p)].final) && b.surveyErr(p) == nil {
			out.Waiting++
		}
		key.fits, key.posed = b.fitsKnown(p)
		key.narrow = b.narrowKnown(p)
		keys = append(keys, key)
	}
	terms := judge.Terms{Process: out.Process, Turning: k.Way.Turn, Asides: k.Asides, Named: k.Named}
	if j.sheet == nil || !slices.Equal(keys, j.keys) || !sameTerms(terms, j.terms) || j.of != j.together {
		j.keys, j.terms, j.of = keys, terms, j.together
		j.sheet = judge.New(j.parts(b, rows, keys), j.between(out.IDs), terms)
	}
	out.sheet = j.sheet
	f := v.Result.Factor.Float()
	out.Findings = j.sheet.At(f)
	out.Worst = make(map[string]judge.Gravity, len(out.IDs))
	for _, x := range out.Findings {
		if x.Part >= 0 && x.Aside == "" {
			id := out.IDs[x.Part]
			out.Worst[id] = max(out.Worst[id], x.Gravity)
		}
	}
	v.Pointed = v.Pointed.among(out)
	b.nesting.wanted = nest{}
	if f > 0 {
		out.Weight = j.sheet.Weight(f)
		if v.Bed.Check() == nil && v.Bed.Known() {
			beds := b.closest(j.sheet.Pack(v.Bed, f, BedGap), f, out.IDs, rows)
			out.Beds = &beds
		}
	}
	out.Prints, out.Details = j.sheet.Window(judge.Stops), j.sheet.Window(judge.Look)
	out.Ladder = j.sheet.Ladder(b.rungs, native, target)
	v.Judged = out
	b.pair(native)
	b.layBeds(rows)
	b.nextSurvey()
}

func sameTerms(a, b judge.Terms) bool {
	return a.Process == b.Process && a.Turning == b.Turning && slices.Equal(a.Asides, b.Asides) && slices.Equal(a.Named, b.Named)
}

func (p *Part) surveyable() bool {
	return p.State == Measured && p.Measured.Surface && p.Measured.Triangles > 0
}

func (b *Bench) contentOf(p *Part) surveyKey {
	if f := b.files[p.File]; f != nil && f.file != nil {
		return surveyKey{f.file.Digest(), p.Index}
	}
	return surveyKey{}
}

// surveyErr is why a part cannot be surveyed.
func (b *Bench) surveyErr(p *Part) error {
	if s := b.judging.known[b.contentOf(p)]; s != nil {
		return s.err
	}
	return nil
}

// fitsKnown are the factors at which a part fits, by turning, as far as they are known.
func (b *Bench) fitsKnown(p *Part) (fits [judge.Free + 1]float64, posed [judge.Free + 1]geom.Vec) {
	bed := b.view.Bed
	if bed.Check() != nil {
		return fits, posed
	}
	for t := judge.AsItLies; t <= judge.Free; t++ {
		now := onBed{bed, t}
		hull := b.hullFor(p, now)
		if hull == nil {
			continue
		}
		if f := b.fitOf(fitKey{hull, p.Measured.Unit.MM, now}); f != nil {
			fits[t], posed[t] = f.Factor, f.Size
		} else if t > judge.AsItLies {
			fits[t], posed[t] = fits[t-1], posed[t-1] // no less, in any case
		}
	}
	return fits, posed
}

// narrowKnown is how a part lies narrowest, where its hull is known.
func (b *Bench) narrowKnown(p *Part) narrowing {
	if p.Hull == nil || b.view.Bed.Check() != nil {
		return narrowing{}
	}
	key := fitKey{p.Hull, p.Measured.Unit.MM, onBed{bed: b.view.Bed}}
	known, ok := b.narrow[key]
	if !ok {
		known.factor, known.size = key.bed.Narrower(key.hull.Scaled(key.unit))
		if len(b.narrow) > mostFits {
			clear(b.narrow)
		}
		b.narrow[key] = known
	}
	return known
}

// parts are the parts to be judged.
func (j *judging) parts(b *Bench, rows []Part, keys []partKey) []judge.Part {
	byID := make(map[string]*Part, len(rows))
	for i := range rows {
		byID[rows[i].ID] = &rows[i]
	}
	parts := make([]judge.Part, len(keys))
	for i, k := range keys {
		parts[i] = judge.Part{ID: k.id, Quantity: k.quantity, MM: k.mm, Size: k.size, Found: k.found, Fits: k.fits, Posed: k.posed, Narrow: k.narrow.factor, NarrowSize: k.narrow.size, Goes: k.goes}
		if k.found == nil {
			continue
		}
		s := j.known[b.contentOf(byID[k.id])]
		if s.mm != k.mm {
			s.bulk, s.mm = judge.BulkOf(k.found, k.mm), k.mm
		}
		parts[i].Bulk = s.bulk
	}
	return parts
}

// between is how the parts of those ids lie to each other, by their numbers here.
func (j *judging) between(ids []string) *survey.Assembly {
	if j.together == nil {
		return nil
	}
	number := make(map[string]int, len(ids))
	for i, id := range ids {
		number[id] = i
	}
	at := func(i int) (int, bool) {
		if i < 0 || i >= len(j.togetherIDs) {
			return 0, false
		}
		n, ok := number[j.togetherIDs[i]]
		return n, ok
	}
	out := survey.Assembly{Limit: j.together.Limit}
	for _, f := range j.together.Fits {
		inner, ok := at(f.Inner)
		outer, both := at(f.Outer)
		if f.Inner, f.Outer = inner, outer; ok && both {
			out.Fits = append(out.Fits, f)
		}
	}
	for _, n := range j.together.Neighbours {
		one, ok := at(n.One)
		other, both := at(n.Other)
		if n.One, n.Other = one, other; ok && both {
			out.Neighbours = append(out.Neighbours, n)
		}
	}
	return &out
}

// A surveyTask is one part to be surveyed.
type surveyTask struct {
	key  surveyKey
	name string
	file formats.File
	part mesh.Part
	hull *survey.Hull // nil where it was not found
}

// nextSurvey begins to survey the parts that nobody has surveyed yet, one after another so that
// only one mesh is in memory, and then how all parts lie to each other. It waits until all were
// looked at and lets a job that is at it go on.
func (b *Bench) nextSurvey() {
	j := &b.judging
	if b.surveying.busy || b.looking.busy || b.opening.busy || b.saving.busy || b.comparing.busy || b.quit != nil || j.stopped || b.stopped {
		return
	}
	var todo []surveyTask
	seen := map[surveyKey]bool{}
	for i := range b.view.Parts {
		p := &b.view.Parts[i]
		key := b.contentOf(p)
		if s := j.known[key]; !p.surveyable() || seen[key] || s != nil && (s.final || s.err != nil) {
			continue
		}
		seen[key] = true
		todo = append(todo, surveyTask{key, p.Name, b.files[p.File].file, p.Measured, p.Hull})
	}
	if len(todo) == 0 {
		b.nextTogether()
		return
	}
	b.start(&b.surveying, func(w *worker) error {
		for i, t := range todo {
			at := func(share float64) {
				b.progress(w, &b.surveying, Job{Part: t.name, Done: i, All: len(todo), Share: (float64(i) + share) / float64(len(todo))})
			}
			at(0)
			found := surveyed{final: true}
			found.err = guard(Surveying, func() error { return t.survey(w, b, &found, at) })
			if w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			w.send(func() { b.surveyed(t.key, found) })
		}
		return nil
	}, func(err error) {
		if err != nil {
			j.stopped = true
			b.notice(err)
		}
		b.recompute()
	})
}

// survey finds out about one part; a first look is sent before it is sure.
func (t surveyTask) survey(w *worker, b *Bench, found *surveyed, report func(float64)) error {
	var m *mesh.Mesh // read only where it is needed
	read := func(ctx context.Context) (_ *mesh.Mesh, err error) {
		if m == nil {
			m, err = t.file.Mesh(ctx, t.key.index, func(f float64) { report(f / 10) })
		}
		return m, err
	}
	hull := t.hull
	if hull == nil {
		m, err := read(w.ctx)
		if err != nil {
			return err
		}
		h, err := survey.HullOf(w.ctx, m, kit.Upright(t.part))
		if err != nil {
			return err
		}
		hull = &h
	}
	goes, err := judge.Cylinder(w.ctx, *hull)
	if err != nil {
		return err
	}
	found.goes = goes
	early := func(first survey.Measurements) {
		first.Field = survey.Field{}
		w.send(func() { b.surveyed(t.key, surveyed{found: &first, goes: found.goes}) })
	}
	full, err := survey.Brief(w.ctx, b.config.Surveys, formats.Content(t.file, t.key.index), read, early, func(f float64) { report(0.1 + 0.9*f) })
	found.found = &full
	if err != nil {
		found.found = nil
	}
	return err
}

// surveyed takes what was found.
func (b *Bench) surveyed(key surveyKey, s surveyed) {
	b.judging.known[key] = &s
	b.recompute()
}

// nextTogether finds out how all parts lie to each other, where they stand otherwise than when
// that was found.
func (b *Bench) nextTogether() {
	j := &b.judging
	var placed []survey.Placed
	var ids []string
	var of strings.Builder
	for i := range b.view.Parts {
		p := &b.view.Parts[i]
		s := j.known[b.contentOf(p)]
		if s == nil || s.found == nil || p.Measured.Box.Empty() {
			continue
		}
		part, frame, file, index := p.Measured, p.frame, b.files[p.File].file, p.Index
		placed = append(placed, survey.Placed{
			Box: part.Box, Bores: s.found.Bores, Pegs: s.found.Pegs,
			Place: func(v geom.Vec) geom.Vec { return frame.Point(part, v) },
			Mesh:  func(ctx context.Context) (*mesh.Mesh, error) { return file.Mesh(ctx, index, nil) }, Content: formats.Content(file, index),
		})
		ids = append(ids, p.ID)
		fmt.Fprintf(&of, "%s %s %v %v\n", p.ID, file.Digest(), frame.Point(part, part.Box.Min), frame.Point(part, part.Box.Max))
	}
	if of.String() == j.togetherOf || len(placed) < 2 {
		b.nextShade()
		return
	}
	b.start(&b.surveying, func(w *worker) error {
		found, err := survey.KeptBetween(w.ctx, b.config.Surveys, placed, func(f float64) {
			b.progress(w, &b.surveying, Job{Done: len(placed), All: len(placed), Share: f})
		})
		if err == nil {
			w.send(func() { j.together, j.togetherIDs, j.togetherOf = &found, ids, of.String() })
		}
		return err
	}, func(err error) {
		if err != nil {
			j.togetherOf = of.String() // not again by itself
			b.notice(err)
		}
		b.recompute()
	})
}

// stopSurveying is what cancelling does: nothing more is surveyed until files are opened again.
func (b *Bench) stopSurveying() {
	if b.surveying.busy {
		b.judging.stopped = true
		b.surveying.stop()
		b.recompute()
	}
}

// processOf is what a kit is printed by: what was chosen for it, else what was chosen last before
// it was begun or opened.
func (b *Bench) processOf(k kit.Kit) process.Process {
	if k.Process.Kind != "" {
		return k.Process
	}
	return b.judging.usual
}

// Alike are the findings that are told together with finding i: of the same kind and gravity, of
// the same part, and set aside for the same reason or not at all.
func (j Judged) Alike(i int) []int {
	if i < 0 || i >= len(j.Findings) {
		return nil
	}
	var all []int
	one := j.Findings[i]
	for k, f := range j.Findings {
		if f.Code == one.Code && f.Gravity == one.Gravity && f.Part == one.Part && f.Aside == one.Aside {
			all = append(all, k)
		}
	}
	return all
}

// SetFindingAside takes finding i of View.Judged out of the count, and those alike with it, for a
// reason; without one nothing happens.
func (b *Bench) SetFindingAside(i int, reason string) {
	if reason = strings.TrimSpace(reason); reason == "" {
		return
	}
	k := b.history.Kit()
	alike := b.view.Judged.Alike(i)
	for _, one := range alike {
		if a, ok := b.asideOf(one, reason); ok {
			k = k.WithAside(a)
		}
	}
	if len(alike) > 0 {
		b.do(StepFindingAside, k)
	}
}

// TakeFindingBack counts a finding again that was set aside, and those alike with it.
func (b *Bench) TakeFindingBack(i int) {
	a, ok := b.asideOf(i, "")
	if !ok {
		return
	}
	k := b.history.Kit()
	reason := b.view.Judged.Findings[i].Aside
	back := k
	for _, known := range k.Asides {
		if known.Code == a.Code && known.Part == a.Part && known.Reason == reason {
			back = back.WithoutAside(known)
		}
	}
	if len(back.Asides) < len(k.Asides) {
		b.do(StepFindingAside, back)
	}
}

func (b *Bench) asideOf(i int, reason string) (judge.Aside, bool) {
	j := b.view.Judged
	if i < 0 || i >= len(j.Findings) {
		return judge.Aside{}, false
	}
	id := ""
	if p := j.Findings[i].Part; p >= 0 {
		id = j.IDs[p]
	}
	return judge.AsideOf(j.Findings[i], id, reason), true
}

// CureRung is the rung of View.Ladder nearest to the factor in force at which finding i is gone;
// -1 for none.
func (b *Bench) CureRung(i int) int {
	v := &b.view
	if i < 0 || i >= len(v.Judged.Findings) || !v.Result.Factor.Known() {
		return -1
	}
	f, now := v.Judged.Findings[i], v.Result.Factor.Float()
	best := -1
	away := math.Inf(1)
	for r := range v.Ladder {
		if !v.Ladder[r].Factor.Known() {
			continue
		}
		at := v.Ladder[r].Factor.Float()
		if gone := f.Gone == judge.Larger && at >= f.GoneAt || f.Gone == judge.Smaller && at <= f.GoneAt; !gone {
			continue
		}
		if d := math.Abs(math.Log(at / now)); d < away {
			best, away = r, d
		}
	}
	return best
}

// Cure makes the ratio at which finding i is gone the target: the nearest rung of the ladder,
// or where there is none the factor itself.
func (b *Bench) Cure(i int) {
	if rung := b.CureRung(i); rung >= 0 {
		b.ChooseRung(rung)
		return
	}
	if i < 0 || i >= len(b.view.Judged.Findings) {
		return
	}
	f := b.view.Judged.Findings[i]
	if f.Gone == judge.Never || f.GoneAt < ways.Least || f.GoneAt > ways.Most {
		return
	}
	if factor, err := ratio.NewFactor(new(big.Rat).SetFloat64(f.GoneAt)); err == nil {
		b.history.Pause()
		b.drag(factor)
		b.history.Pause()
	}
}
