package state

import (
	"cmp"
	"context"
	"maps"
	"path/filepath"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/survey"
	"scantling/engine/ways"
)

// A Bedding is how the ticked parts fit the bed, turned as the way says.
type Bedding struct {
	judge.Reach          // over View.Ladder; its parts are indices into Parts
	Parts       []string // names of the ticked parts
	// Unknown counts the ticked parts of which it is not known yet how they fit.
	Unknown int
	// Stopped is set when finding that out was cancelled: choosing the turning again goes on.
	Stopped bool
}

// An onBed is a bed and how parts may be turned to fit it.
type onBed struct {
	bed  judge.Bed
	turn judge.Turning
}

// quick reports whether fits for it take no time to find.
func (f onBed) quick() bool { return f.turn <= judge.Yaw }

// A fitKey is one part on one bed.
type fitKey struct {
	hull *survey.Hull
	unit float64 // mm
	onBed
}

// mostFits is how many fits are remembered before those on other beds are forgotten.
const mostFits = 5000

// fitParts fills Part.Fit of all rows, as far as that is known or takes no time, and gives
// those of the ticked parts by id.
func (b *Bench) fitParts(k kit.Kit, rows []Part) map[string]*judge.Fit {
	v := &b.view
	v.Bedding = Bedding{}
	now := onBed{k.Way.Bed, k.Way.Turn}
	if now.bed.Check() != nil {
		b.fitting.stop()
		return nil
	}
	if len(b.fits) > mostFits {
		maps.DeleteFunc(b.fits, func(k fitKey, _ *judge.Fit) bool { return k.bed != now.bed })
	}
	fits := map[string]*judge.Fit{}
	for i := range rows {
		p := &rows[i]
		if p.State != Measured || p.Measured.Box.Empty() {
			continue
		}
		if hull := b.hullFor(p, now); hull != nil {
			p.Fit, p.Hull = b.fitOf(fitKey{hull, p.Measured.Unit.MM, now}), hull
		}
		if p.Ticked {
			v.Bedding.Parts = append(v.Bedding.Parts, p.Name)
			if fits[p.ID] = p.Fit; p.Fit == nil {
				v.Bedding.Unknown++
			}
		}
	}
	v.Bedding.Stopped = v.Bedding.Unknown > 0 && (b.unfitted == now || b.stopped)
	return fits
}

// hullFor is what of a part decides how it fits; nil while that is not known. A box is enough
// where nothing is turned on a rectangle, and stands in where there are no triangles to be had.
func (b *Bench) hullFor(p *Part, now onBed) *survey.Hull {
	switch {
	case p.Hull != nil:
		return p.Hull
	case p.LookErr == nil && p.Measured.Surface && p.Measured.Triangles > 0 && (now.turn != judge.AsItLies || now.bed.Round):
		return nil
	}
	key := boxKey{p.Measured.Box, kit.Upright(p.Measured)}
	hull := b.boxes[key]
	if hull == nil {
		box := survey.HullOfBox(key.box, key.lies)
		hull = &box
		b.boxes[key] = hull
	}
	return hull
}

// A boxKey is the box of a part, and how it lies.
type boxKey struct {
	box  geom.Box
	lies geom.Turn
}

// fitOf is how a part fits, if that is known or takes no time.
func (b *Bench) fitOf(key fitKey) *judge.Fit {
	if f := b.fits[key]; f != nil || !key.quick() {
		return f
	}
	f, err := key.find(context.Background())
	if err != nil { // cannot be: nobody cancels
		return nil
	}
	b.fits[key] = &f
	return &f
}

func (k fitKey) find(ctx context.Context) (judge.Fit, error) {
	return k.bed.Fit(ctx, k.hull.Scaled(k.unit), k.turn)
}

// A fitTask is a fit that takes time to find.
type fitTask struct {
	fitKey
	name  string  // of the part's file
	least float64 // the factor at which its box fits as it lies
}

// nextFit begins to find out how ticked parts fit, where that takes time, the largest first;
// after that, for advice, how those would that do not. It is called once the view is computed,
// waits until all parts were looked at, and lets a job that is at the same go on.
func (b *Bench) nextFit() {
	now := onBed{b.view.Bed, b.view.Way.Turn}
	if b.fitting.busy && (b.fittingOf != now || b.advising) {
		b.fitting.stop()
	}
	if b.fitting.busy || b.looking.busy || b.opening.busy || b.saving.busy || b.quit != nil ||
		b.unfitted == now || now.bed.Check() != nil {
		return
	}
	todo := b.fitsToFind(now)
	if b.advising = len(todo) == 0; b.advising {
		todo = b.adviceToFind(now)
	}
	if len(todo) == 0 {
		return
	}
	b.fittingOf = now
	b.start(&b.fitting, func(w *worker) error {
		for i, t := range todo {
			b.progress(w, &b.fitting, Job{Part: t.name, Done: i, All: len(todo), Share: float64(i) / float64(len(todo))})
			var found judge.Fit
			err := guard(Fitting, func() (err error) {
				found, err = t.find(w.ctx)
				return err
			})
			if err != nil {
				return err
			}
			w.send(func() {
				b.fits[t.fitKey] = &found
				b.recompute()
			})
		}
		return nil
	}, func(err error) {
		if err != nil {
			b.unfitted = now
			b.notice(err)
		}
		b.recompute()
	})
}

// fitsToFind are those of the ticked parts that are not known.
func (b *Bench) fitsToFind(now onBed) []fitTask {
	var todo []fitTask
	for i := range b.view.Parts {
		if p := &b.view.Parts[i]; p.Ticked && p.Fit == nil {
			todo = b.toFind(todo, p, now)
		}
	}
	slices.SortStableFunc(todo, func(a, b fitTask) int { return cmp.Compare(a.least, b.least) })
	return todo
}

// adviceToFind are fits of parts that do not fit as they may be turned.
func (b *Bench) adviceToFind(now onBed) []fitTask {
	var todo []fitTask
	for i := range b.view.Parts {
		p := &b.view.Parts[i]
		if !b.needsAdvice(p) || p.Would != judge.AsItLies {
			continue
		}
		for turn := max(now.turn+1, judge.Faces); turn <= judge.Free; turn++ {
			todo = b.toFind(todo, p, onBed{now.bed, turn})
		}
	}
	return todo
}

// toFind adds a fit to those that are to be found, unless it is known or cannot be.
func (b *Bench) toFind(todo []fitTask, p *Part, now onBed) []fitTask {
	if p.State != Measured || p.Measured.Box.Empty() {
		return todo
	}
	hull := b.hullFor(p, now)
	if hull == nil {
		return todo
	}
	key := fitKey{hull, p.Measured.Unit.MM, now}
	if b.fits[key] != nil {
		return todo
	}
	least, _ := now.bed.Largest(kit.Lies(p.Measured))
	return append(todo, fitTask{key, filepath.Base(p.File), least})
}

// needsAdvice is true for a ticked part that is known not to fit.
func (b *Bench) needsAdvice(p *Part) bool {
	return p.Ticked && p.Fit != nil && !p.Fits && b.view.Result.Factor.Known()
}

// stopFitting is what cancelling does: nothing is tried again until the bed or the turning is
// chosen anew.
func (b *Bench) stopFitting() {
	if b.fitting.busy {
		b.unfitted = b.fittingOf
		b.fitting.stop()
		b.recompute()
	}
}

// fits reports whether a part fits the bed at a factor, and by how much it is too long.
func (p *Part) fits(bed judge.Bed, factor float64) (bool, geom.Vec) {
	if p.Fit == nil {
		return bed.Fits(kit.Lies(p.Measured), factor)
	}
	return factor <= p.Fit.Factor, bed.TooLong(*p.Fit, factor)
}

// advise says of the parts that do not fit as they may be turned how they would.
func (b *Bench) advise(rows []Part) {
	for i := range rows {
		p := &rows[i]
		if !b.needsAdvice(p) {
			continue
		}
		for turn := b.view.Way.Turn + 1; turn <= judge.Free; turn++ {
			now := onBed{b.view.Bed, turn}
			if hull := b.hullFor(p, now); hull != nil {
				if f := b.fitOf(fitKey{hull, p.Measured.Unit.MM, now}); f != nil && f.Factor >= b.view.Result.Factor.Float() {
					p.Would = turn
					break
				}
			}
		}
	}
}

// reach says how far up the ladder the kit gets, once it is known how all parts fit.
func (b *Bench) reach(s ways.Subject) {
	d := &b.view.Bedding
	d.Reach = judge.Reach{Largest: -1, Next: -1, Part: -1}
	fits := make([]judge.Fit, len(s.Parts))
	for i, p := range s.Parts {
		if p.Fit == nil {
			return
		}
		fits[i] = *p.Fit
	}
	if b.view.Bed.Check() == nil {
		d.Reach = b.view.Bed.Reach(b.view.Ladder, fits, b.view.Way.Turn)
	}
}
