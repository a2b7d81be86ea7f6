package state

import (
	"path/filepath"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// compute makes all of the view that follows from the kit, its files and the factor: instant
// arithmetic on what was measured, on every keystroke.
func (b *Bench) compute() {
	k, v := b.history.Kit(), &b.view
	rows, measured := b.rows(k)
	frame := kit.FrameOf(measured)
	v.PartsUp = frame.Up

	all := geom.EmptyBox()
	var largest []float64 // factors at which the ticked parts fit the bed
	var ticked []kit.Body
	for i := range rows {
		p := &rows[i]
		if p.State != Measured {
			continue
		}
		p.Box, p.frame = frame.Box(p.Measured), frame
		p.Drawn = p.Box.Size()
		if !p.Ticked || p.Box.Empty() {
			continue
		}
		all = all.Union(p.Box)
		ticked = append(ticked, kit.Body{ID: p.ID, Name: p.Name, Part: p.Measured})
	}
	subject := frame.Subject(ticked)
	b.subject = subject
	fits := b.fitParts(k, rows)
	for i := range subject.Parts {
		p := &subject.Parts[i]
		if !k.Way.Bed.Known() {
			break
		}
		f, _ := k.Way.Bed.Largest(p.Lies)
		if p.Fit = fits[p.ID]; p.Fit != nil {
			f = p.Fit.Factor
		}
		largest = append(largest, f)
	}

	v.KitBox = all
	v.Way, v.Bed, v.Field = k.Way, k.Way.Bed, k.Field
	v.Offers = nil
	var worked ratio.Ratio // native, as other ways than the one in force give it
	for _, kind := range ways.Kinds() {
		w := k.Way
		w.Kind = kind
		o := Offer{Kind: kind}
		o.Result, o.Err = w.Find(subject)
		if o.Err != nil {
			o.SoFar, _ = w.SoFar(subject, o.Err)
		}
		if !worked.Known() {
			worked = o.Result.Native
		}
		if kind == k.Way.Kind {
			v.Result, v.WayErr = o.Result, o.Err
		}
		v.Offers = append(v.Offers, o)
	}
	v.Evidence = b.weigh(k, subject, v.Offers)

	f := v.Result.Factor.Float()
	for i := range rows {
		if p := &rows[i]; f > 0 && p.State == Measured {
			p.Print, p.Fits = p.Drawn.Scale(f), true
			if v.Bed.Known() {
				p.Fits, p.Excess = p.fits(v.Bed, f)
			}
		}
	}
	b.advise(rows)
	v.Parts = rows
	b.checkMeasure()
	v.KitTurn = k.Turn
	v.Sources = b.sources(k)
	v.UnitHints = b.suggest(k, rows)
	v.Strays = b.strays(k, rows)
	v.Shift = b.shift(k)
	v.CopyHints = b.copyHints(k, rows, v.UnitHints)

	native := v.Result.Native
	for _, other := range []ratio.Ratio{v.Evidence.Native.Ratio, k.Way.Native, worked} {
		if !native.Known() {
			native = other
		}
	}
	target := v.Result.Target
	if !target.Known() && hasTarget(k.Way.Kind) {
		target = k.Way.Target
	}
	if b.rungs == nil || b.rungsOf != k.Field {
		b.rungs, b.rungsOf = ratio.Ladder(k.Field), k.Field
	}
	v.Ladder = judge.Ladder(b.rungs, native, target, subject.Kit, largest)
	b.reach(subject)
	b.judge(k, rows, native, target)
	b.nextFit()
	b.nextNest()

	b.plan.rename(b)
}

// rows are the rows of the parts list, with all that does not depend on the factor, and
// the measures of those that have any.
func (b *Bench) rows(k kit.Kit) ([]Part, []mesh.Part) {
	rows := make([]Part, 0, len(k.Parts)+len(b.fresh))
	measured := make([]mesh.Part, 0, len(k.Parts))
	for _, kp := range k.Parts {
		p := Part{ID: kp.ID, File: kp.File, Index: kp.Index, Name: kp.Name, Ticked: kp.Ticked, Quantity: kp.Quantity, Words: kp.Notes}
		f := b.files[kp.File]
		p.describe(f)
		p.Differs = f.changed(kp)
		if p.State == Measured && kp.Index >= len(f.parts) {
			p.State, p.Err = Failed, &PathError{Path: kp.File, Err: ErrNoSuchPart}
		}
		if p.State == Measured {
			p.Measured = k.Seen(kp, f.parts[kp.Index])
			p.FileUnit, p.Unit, p.UnitKept, p.Turn = f.parts[kp.Index].Unit, kp.Unit, kp.UnitKept, kp.Turn
			l := f.looks[kp.Index]
			p.Topology, p.Snaps, p.LookErr = l.topology, l.snaps, l.err
			if l.upright == kit.Upright(p.Measured) {
				p.Silhouettes, p.Hull = l.silhouettes, l.hull
			}
			measured = append(measured, p.Measured)
		}
		rows = append(rows, p)
	}
	for _, path := range b.fresh {
		p := Part{ID: waitingID + path, File: path, Name: filepath.Base(path), Quantity: 1}
		p.describe(b.files[path])
		rows = append(rows, p)
	}
	return rows, measured
}

// describe takes from a file what all its parts share.
func (p *Part) describe(f *modelFile) {
	p.State, p.Err = f.state, f.err
	if f.file != nil {
		p.Format, p.Encoding, p.Bytes, p.Notes = f.file.Format(), f.file.Encoding(), f.file.Bytes(), f.file.Notes()
	}
}
