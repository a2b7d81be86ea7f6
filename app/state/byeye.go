package state

import (
	"maps"
	"math"
	"math/big"
	"strconv"

	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// SetByEye lets the kit be scaled by hand beside the stand-ins, or ends it. While it lasts
// the stand-ins are as large as the target ratio has them, whatever the factor: what the
// native ratio would be follows from how the kit looks beside them.
func (b *Bench) SetByEye(on bool) {
	if b.view.Sheet.ByEye == on {
		return
	}
	s := &b.view.Sheet
	s.ByEye, s.Fit = on, true
	if on {
		b.showKit()
		s.InRow = false
	}
	b.history.Pause()
	b.change()
}

// Ratio is the ratio at which the sheet draws people and writes real lengths; it may be
// unknown.
func (v View) Ratio() ratio.Ratio {
	if v.Sheet.ByEye && v.Way.Target.Known() {
		return v.Way.Target
	}
	return v.Result.Target
}

// WouldBe is the native ratio that the files would have been drawn at if the kit is right
// beside the stand-ins; it is unknown while by eye nothing is scaled.
func (v View) WouldBe() ratio.Ratio {
	if !v.Sheet.ByEye {
		return ratio.Ratio{}
	}
	return nativeAt(v.Way.Target, v.Result.Factor)
}

// nativeAt is target ÷ factor.
func nativeAt(target ratio.Ratio, f ratio.Factor) ratio.Ratio {
	if !target.Known() || !f.Known() {
		return ratio.Ratio{}
	}
	r, err := ratio.Of(new(big.Rat).Quo(target.Rat(), f.Rat()), big.NewRat(1, 1))
	if err != nil {
		return ratio.Ratio{}
	}
	return r
}

// stickWithin is how near a standard ratio holds the factor that is set by eye.
const stickWithin = 0.006

// ScaleByEye sets the factor by hand, rounded to six figures, while the kit's foot stays where
// the sheet shows it. If it may stick, a factor near to one at which a ratio is a standard
// one of the field is that one: the native ratio where a target is set, else the ratio of
// the copies. All steps up to EndDrag are one step of undo.
func (b *Bench) ScaleByEye(f float64, stick bool) {
	if !(f >= ways.Least && f <= ways.Most) {
		return
	}
	factor, ok := ratio.Factor{}, false
	if stick {
		factor, ok = b.sticks(f)
	}
	if !ok {
		r, _ := new(big.Rat).SetString(strconv.FormatFloat(f, 'g', 6, 64))
		var err error
		if factor, err = ratio.NewFactor(r); err != nil {
			return
		}
	}
	b.together(func() {
		foot := b.foot(b.view.KitBox)
		before := b.view.Result.Factor.Float()
		if before == 0 {
			before = 1
		}
		b.drag(factor)
		right, above := b.view.Sheet.Side.Look(b.view.PartsUp)
		by := foot.Scale(factor.Float() - before)
		s := b.unfit()
		s.PanX, s.PanY = s.PanX+by.Dot(right), s.PanY+by.Dot(above)
	})
}

// sticks is the nearest factor to f that makes a standard ratio, if one is near enough.
func (b *Bench) sticks(f float64) (ratio.Factor, bool) {
	target, native := b.history.Kit().Way.Target, b.history.Kit().Way.Native
	var best ratio.Factor
	off := stickWithin
	for _, r := range b.view.Ladder {
		var at ratio.Factor
		if target.Known() {
			at = ratio.FactorBetween(r.Standard.Ratio, target)
		} else {
			at = ratio.FactorBetween(native, r.Standard.Ratio)
		}
		if !at.Known() {
			continue
		}
		if d := math.Abs(math.Log(f / at.Float())); d < off {
			best, off = at, d
		}
	}
	return best, best.Known()
}

// Sticks reports whether the factor in force makes a standard ratio of the field, in the
// sense of ScaleByEye.
func (b *Bench) Sticks() bool {
	f := b.view.Result.Factor
	at, ok := b.sticks(f.Float())
	return f.Known() && ok && at.Equal(f)
}

// foot is the corner of a box that the sheet shows lower left, from every side.
func (b *Bench) foot(box geom.Box) geom.Vec {
	if box.Empty() {
		return geom.Vec{}
	}
	return Foot(box, b.view.PartsUp)
}

// Foot is the corner of a box in kit axes that the sheet shows lower left from every side.
func Foot(box geom.Box, up geom.Axis) geom.Vec {
	foot := box.Min
	for side := Front; side <= Top; side++ {
		right, above := side.Look(up)
		for a := range foot {
			if right[a] < 0 || above[a] < 0 {
				foot[a] = box.Max[a]
			}
		}
	}
	return foot
}

// MovePart moves a part for the eye only, by print millimetres along the kit's axes: the kit,
// its measures and its copies stay as they are. It is shown so while the kit is scaled by
// eye. From then on the part's foot keeps its distance from the kit's foot in print, so that
// it stays beside a stand-in while it is scaled.
func (b *Bench) MovePart(id string, by geom.Vec) {
	box := b.boxOf(id)
	if box.Empty() || !by.Finite() || b.view.KitBox.Empty() {
		return
	}
	moved := maps.Clone(b.view.Sheet.Moved)
	if moved == nil {
		moved = map[string]geom.Vec{}
	}
	at, ok := moved[id]
	if !ok {
		f := b.view.Result.Factor.Float()
		if f == 0 {
			f = 1
		}
		at = b.foot(box).Sub(b.foot(b.view.KitBox)).Scale(f)
	}
	moved[id] = at.Add(by)
	b.view.Sheet.Moved = moved
	b.change()
}
