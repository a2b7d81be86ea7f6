package state

import (
	"cmp"
	"context"
	"math"
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

// mostFits bounds how many fits are remembered.
const mostFits = 5000

// fitParts fills Part.Fit of all rows, as far as that is known or takes no time, and gives
// those of the ticked parts by id. What takes time is begun.
func (b *Bench) fitParts(k kit.Kit, rows []Part) map[string]*judge.Fit {
	v := &b.view
	v.Bedding = Bedding{}
	now := onBed{k.Way.Bed, k.Way.Turn}
	if now.bed.Check() != nil {
		b.fitting.stop()
		return nil
	}
	if len(b.fits) > mostFits {
		clear(b.fits)
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
	b.rowsToFit = rows
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
	key := boxKey{p.File, p.Index, kit.Upright(p.Measured).String()}
	hull := b.boxes[key]
	if fresh := survey.HullOfBox(p.Measured.Box, kit.Upright(p.Measured)); hull == nil || hull.Size != fresh.Size {
		hull = &fresh
		b.boxes[key] = hull
	}
	return hull
}

// A boxKey is a part as it lies.
type boxKey struct {
	file    string
	index   int
	upright string
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

// nextFit begins to find out how ticked parts fit, where that takes time, the largest first.
// It waits until all parts were looked at, and does nothing while it is at it already.
func (b *Bench) nextFit() {
	k := b.history.Kit()
	now := onBed{k.Way.Bed, k.Way.Turn}
	if b.fitting.busy && b.fittingOf != now {
		b.fitting.stop()
	}
	if b.fitting.busy || b.looking.busy || b.opening.busy || b.saving.busy || b.quit != nil ||
		b.unfitted == now || now.bed.Check() != nil {
		return
	}
	type task struct {
		fitKey
		name  string
		least float64 // the factor of its box
	}
	var todo []task
	for i := range b.rowsToFit {
		p := &b.rowsToFit[i]
		if p.State != Measured || !p.Ticked || p.Measured.Box.Empty() {
			continue
		}
		if hull := b.hullFor(p, now); hull != nil {
			key := fitKey{hull, p.Measured.Unit.MM, now}
			if b.fits[key] == nil {
				least, _ := now.bed.Largest(kit.Lies(p.Measured))
				todo = append(todo, task{key, filepath.Base(p.File), least})
			}
		}
	}
	// How parts that do not fit would fit, for advice, comes after all that counts.
	for i := range b.rowsToFit {
		p := &b.rowsToFit[i]
		if p.Fit == nil || p.Fits || !p.Ticked || p.Would != judge.AsItLies {
			continue
		}
		for turn := max(now.turn+1, judge.Faces); turn <= judge.Free; turn++ {
			if hull := b.hullFor(p, onBed{now.bed, turn}); hull != nil {
				if key := (fitKey{hull, p.Measured.Unit.MM, onBed{now.bed, turn}}); b.fits[key] == nil {
					todo = append(todo, task{key, filepath.Base(p.File), math.Inf(1)})
				}
			}
		}
	}
	if len(todo) == 0 {
		return
	}
	slices.SortStableFunc(todo, func(a, b task) int { return cmp.Compare(a.least, b.least) })
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
		if p.Fits || p.Fit == nil || !p.Ticked {
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
