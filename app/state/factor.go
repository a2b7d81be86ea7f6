package state

import (
	"errors"
	"maps"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// Inputs lists every field that can be typed in.
func Inputs() []Input {
	return []Input{InNative, InTarget, InReal, InLength, InFactor, InBedX, InBedY, InBedZ, InBedMargin, InBedBrim, InPrinter,
		InReadings, InPerson, InBase, InHeadgear, InFootwear, InLimit, InStep, InDrawn, InIsReal}
}

// Type takes what a field holds now. It is kept as typed; while it cannot be read, View.Faults
// says why and the last value that could stays in force. An empty field has no value.
func (b *Bench) Type(in Input, typed string) {
	if b.typed[in] == typed {
		return
	}
	if in == InDrawn || in == InIsReal {
		b.draft(in, typed)
		return
	}
	b.typed[in] = typed
	k := b.history.Kit()
	way, err := b.asTyped(in, typed, k)
	if err == nil {
		err = amiss(in, way)
	}
	if err != nil {
		b.faults[in] = err
		b.change()
		return
	}
	delete(b.faults, in)
	value := exactly(in, way)
	b.remember(in, value, typed)
	if value == exactly(in, k.Way) {
		b.change()
		return
	}
	if bedInput(in) {
		b.keepBed(way)
	}
	b.merge(StepType, string(in), k.WithWay(way))
}

// asTyped is the kit's way with one input as it was typed.
func (b *Bench) asTyped(in Input, typed string, k kit.Kit) (ways.Way, error) {
	w := k.Way
	empty := strings.TrimSpace(typed) == ""
	var err error
	switch in {
	case InNative, InTarget:
		var r ratio.Ratio
		if !empty {
			r, err = ratio.ParseIn(typed, k.Field)
		}
		if in == InNative {
			w.Native = r
		} else {
			w.Target = r
		}
	case InFactor:
		w.Factor = ratio.Factor{}
		if !empty {
			w.Factor, err = ratio.ParseFactor(typed)
		}
	case InDrawn, InIsReal, InPrinter: // of a clue or a printer that is not kept yet
	case InReadings:
		w.Figure.Readings = nil
		if !empty {
			w.Figure.Readings, err = ways.ParseReadings(typed, b.Unit(in))
		}
	case InPerson:
		w.Figure.Person = ways.Person{}
		if !empty {
			w.Figure.Person, err = ways.ParsePerson(typed)
		}
	default:
		var l ratio.Length
		if !empty {
			l, err = ratio.ParseLength(typed, b.Unit(in))
			if err == nil && l.MM() == 0 && !mayBeZero(in) {
				err = &ratio.ParseError{Typed: typed, Err: ratio.ErrNotPositive}
			}
		}
		switch in {
		case InReal:
			w.Real = l
		case InLength:
			w.Length = l
		case InBase:
			w.Figure.Base = l
		case InHeadgear:
			w.Figure.Headgear = l
		case InFootwear:
			w.Figure.Footwear = l
		case InLimit:
			w.Figure.Limit = l
		case InStep:
			w.Figure.Step = l
		case InBedMargin:
			w.Bed.Margin = l.MM()
		case InBedBrim:
			w.Bed.Brim = l.MM()
		default:
			w.Bed.Size[bedAxis(in)] = l.MM()
		}
	}
	return w, err
}

// mayBeZero is true for lengths that are taken off or added.
func mayBeZero(in Input) bool {
	return in == InBedMargin || in == InBedBrim || in == InBase || in == InHeadgear || in == InFootwear
}

// amiss is what an input has wrong beside the others of its way, so that it is not taken: a
// base as high as the figure, say. What is only missing is nothing wrong.
func amiss(in Input, w ways.Way) error {
	if bedInput(in) && w.Bed.Known() {
		return w.Bed.Check()
	}
	if !figureInput(in) {
		return nil
	}
	_, err := w.Figure.Ratio()
	if errors.Is(err, ways.ErrNeedReading) || errors.Is(err, ways.ErrNeedPerson) {
		return nil
	}
	return err
}

// Unit is what a number without a unit means in a field of lengths.
func (b *Bench) Unit(in Input) ratio.Unit {
	switch inches := b.view.Sheet.Inches; {
	case in == InReal && inches:
		return ratio.Foot
	case in == InReal:
		return ratio.Metre
	case inches:
		return ratio.Inch
	}
	return ratio.Millimetre
}

func figureInput(in Input) bool { return strings.HasPrefix(string(in), "figure-") }

func bedInput(in Input) bool { return strings.HasPrefix(string(in), "bed-") }

func bedAxis(in Input) geom.Axis {
	switch in {
	case InBedX:
		return geom.X
	case InBedY:
		return geom.Y
	}
	return geom.Z
}

// exactly writes the value of an input so that it reads back to the same; it is empty for
// an input that is not given.
func exactly(in Input, w ways.Way) string {
	switch in {
	case InNative:
		return w.Native.Exact()
	case InTarget:
		return w.Target.Exact()
	case InReal:
		return w.Real.Exact()
	case InLength:
		return w.Length.Exact()
	case InFactor:
		return w.Factor.Exact()
	case InReadings:
		return ways.ExactReadings(w.Figure.Readings)
	case InPerson:
		return w.Figure.Person.Exact()
	case InBase:
		return w.Figure.Base.Exact()
	case InHeadgear:
		return w.Figure.Headgear.Exact()
	case InFootwear:
		return w.Figure.Footwear.Exact()
	case InLimit:
		return w.Figure.Limit.Exact()
	case InStep:
		return w.Figure.Step.Exact()
	case InDrawn, InIsReal, InPrinter:
		return ""
	case InBedMargin:
		return millimetres(w.Bed.Margin)
	case InBedBrim:
		return millimetres(w.Bed.Brim)
	}
	return millimetres(w.Bed.Size[bedAxis(in)])
}

// millimetres writes a length that a bed has; nothing for zero.
func millimetres(mm float64) string {
	if mm == 0 {
		return ""
	}
	return strconv.FormatFloat(mm, 'f', -1, 64) + " mm"
}

// remember keeps how a value was typed.
func (b *Bench) remember(in Input, value, typed string) {
	b.stands[in] = value
	if b.spelt[in] == nil {
		b.spelt[in] = map[string]string{}
	}
	b.spelt[in][value] = typed
}

// spellAgain writes the fields whose value is no longer what their text says: as the value
// was typed before, or exactly.
func (b *Bench) spellAgain() {
	w := b.history.Kit().Way
	for _, in := range Inputs() {
		value := exactly(in, w)
		if was, ok := b.stands[in]; ok && was == value {
			continue
		}
		delete(b.faults, in)
		text, ok := b.spelt[in][value]
		if !ok {
			text = value
		}
		b.typed[in] = text
		b.remember(in, value, text)
	}
}

// dropFaults writes fields that cannot be read as they were before.
func (b *Bench) dropFaults() {
	for in := range maps.Clone(b.faults) {
		delete(b.faults, in)
		delete(b.stands, in)
	}
	b.spellAgain()
	b.change()
}

// nameUnits writes lengths with their unit where they were typed without one, before the
// meaning of a bare number changes.
func (b *Bench) nameUnits() {
	w := b.history.Kit().Way
	b.nameDraft()
	for _, in := range Inputs() {
		value := exactly(in, w)
		if again, err := b.asTyped(in, b.typed[in], b.history.Kit()); err == nil && exactly(in, again) != value {
			b.typed[in] = value
			b.remember(in, value, value)
		}
	}
	b.spelt = map[Input]map[string]string{} // what was typed before the change no longer says the same
}

// ChooseWay puts a way in force.
func (b *Bench) ChooseWay(kind ways.Kind) {
	b.edit(StepWay, func(w *ways.Way) { w.Kind = kind })
}

// SetAlong chooses the axis along which ByReal and ByLength compare.
func (b *Bench) SetAlong(axis geom.Axis) {
	if axis <= geom.Z {
		b.edit(StepAlong, func(w *ways.Way) { w.Along = axis })
	}
}

// SetLengthPart chooses the part that ByLength measures; "" is the assembled kit.
func (b *Bench) SetLengthPart(id string) {
	b.edit(StepPart, func(w *ways.Way) { w.Part, w.Parts, w.Points = id, nil, ways.Points{} })
}

// SetLengthParts lets ByLength measure an assembly of several parts; without any it measures
// the assembled kit.
func (b *Bench) SetLengthParts(ids []string) {
	b.edit(StepPart, func(w *ways.Way) { w.Part, w.Parts, w.Points = "", slices.Clone(ids), ways.Points{} })
}

// SetLengthPoints lets ByLength measure the distance between two points.
func (b *Bench) SetLengthPoints(p ways.Points) {
	if p.Known() {
		b.edit(StepPart, func(w *ways.Way) { w.Points = p })
	}
}

// SetNativeFrom says where the native ratio comes from.
func (b *Bench) SetNativeFrom(from ways.NativeFrom) {
	b.edit(StepNative, func(w *ways.Way) {
		w.NativeFrom = from
		if from == ways.FromFullSize && w.FullSize == "" {
			w.FullSize = ratio.Metre
		}
	})
}

// SetFullSize says in what unit the files were drawn full size.
func (b *Bench) SetFullSize(unit ratio.Unit) {
	b.edit(StepNative, func(w *ways.Way) { w.FullSize = unit })
}

// edit changes the way in one step, unless it stays the same.
func (b *Bench) edit(s Step, change func(*ways.Way)) {
	k := b.history.Kit()
	w := k.Way
	change(&w)
	if !same(w, k.Way) {
		b.do(s, k.WithWay(w))
	}
}

// same reports whether two ways are equal in all that edit changes.
func same(a, b ways.Way) bool {
	f, g := a.Figure, b.Figure
	return a.Kind == b.Kind && a.Along == b.Along && a.Part == b.Part && slices.Equal(a.Parts, b.Parts) && a.Points == b.Points &&
		a.Target.Equal(b.Target) && a.Factor.Equal(b.Factor) && a.NativeFrom == b.NativeFrom && a.FullSize == b.FullSize &&
		f.ToEyes == g.ToEyes && f.Posture == g.Posture && slices.Equal(f.Segments, g.Segments) && f.Person.Exact() == g.Person.Exact() &&
		slices.Equal(a.Clues, b.Clues) && a.Bed == b.Bed && a.Turn == b.Turn
}

// ChooseRung makes rung i of View.Ladder the target. A way that has no target of its own
// makes room for one that has, if one finds the native ratio.
func (b *Bench) ChooseRung(i int) {
	if i >= 0 && i < len(b.view.Ladder) {
		b.aimAt(b.view.Ladder[i].Standard.Ratio)
	}
}

func (b *Bench) aimAt(target ratio.Ratio) {
	b.edit(StepRung, func(w *ways.Way) {
		w.Target = target
		if hasTarget(w.Kind) {
			return
		}
		for _, kind := range []ways.Kind{ways.ByRatio, ways.ByReal, ways.ByClues} {
			by := *w
			by.Kind = kind
			if _, err := by.Find(b.subject); err == nil {
				w.Kind = kind
				return
			}
		}
	})
}

// hasTarget reports whether a way takes a target ratio.
func hasTarget(k ways.Kind) bool { return k == ways.ByRatio || k == ways.ByReal || k == ways.ByClues }

// SetField chooses whose standard ratios make the ladder.
func (b *Bench) SetField(f ratio.Field) {
	k := b.history.Kit()
	if k.Field == f {
		return
	}
	k.Field = f
	b.config.Preferences.SetString(keyField, string(f))
	b.do(StepField, k)
}

// DragFactor sets the factor by hand, rounded to the four figures that are shown. All drags
// up to EndDrag are one step of undo.
func (b *Bench) DragFactor(f float64) {
	if math.IsNaN(f) || f < ways.Least || f > ways.Most {
		return
	}
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(f, 'g', 4, 64))
	if !ok {
		return
	}
	factor, err := ratio.NewFactor(r)
	if err == nil {
		b.drag(factor)
	}
}

// drag puts a factor that was set by hand in force.
func (b *Bench) drag(factor ratio.Factor) {
	k := b.history.Kit()
	w := k.Way
	if w.Kind == ways.ByFactor && w.Factor.Equal(factor) {
		return
	}
	w.Kind, w.Factor = ways.ByFactor, factor
	b.merge(StepDrag, "factor", k.WithWay(w))
}

// EndDrag ends a drag: the next one is a step of its own.
func (b *Bench) EndDrag() { b.history.Pause() }
