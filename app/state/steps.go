package state

import (
	"slices"

	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A Stepped is what a step of undo did, as far as a few words can tell.
type Stepped struct {
	Input  Input        // that was typed in
	Value  string       // that it has after the step, as it was typed; empty: nothing
	Part   string       // name of the one part that it is about
	Parts  int          // how many parts came, went or changed
	Number int          // quantity after the step
	Kind   ways.Kind    // way after the step
	Factor ratio.Factor // after dragging
}

// stepped says what leads from one kit to the next.
func (b *Bench) stepped(name Step, key string, before, after kit.Kit) (s Stepped) {
	changed := func(k, other kit.Kit, same func(p, q kit.Part) bool) {
		others := make(map[string]kit.Part, len(other.Parts))
		for _, q := range other.Parts {
			others[q.ID] = q
		}
		for _, p := range k.Parts {
			if q, ok := others[p.ID]; !ok || same != nil && !same(p, q) {
				s.Part = p.Name
				s.Parts++
			}
		}
		if s.Parts != 1 {
			s.Part = ""
		}
	}
	switch name {
	case StepType:
		s.Input = Input(key)
		if slices.Contains(Inputs(), s.Input) {
			s.Value = b.wasTyped(s.Input, after.Way)
		}
	case StepRung:
		s.Input, s.Value = InTarget, b.wasTyped(InTarget, after.Way)
	case StepWay:
		s.Kind = after.Way.Kind
	case StepDrag:
		s.Factor = after.Way.Factor
	case StepRename:
		s.Value = after.Title
	case StepProcess:
		s.Value = after.Process.Name
	case StepOpen:
		changed(after, before, nil)
	case StepRemove:
		changed(before, after, nil)
	case StepTick:
		changed(after, before, func(p, q kit.Part) bool { return p.Ticked == q.Ticked })
	case StepQuantity:
		p, _ := after.Part(key)
		s.Part, s.Parts, s.Number = p.Name, 1, p.Quantity
	case StepNotes:
		p, _ := after.Part(key)
		s.Part = p.Name
	case StepUnit, StepKeepUnit:
		changed(after, before, func(p, q kit.Part) bool {
			return p.Unit.Equal(q.Unit) && p.UnitKept == q.UnitKept && p.Apart == q.Apart
		})
	case StepTurn:
		changed(after, before, func(p, q kit.Part) bool { return p.Turn == q.Turn })
	case StepFound:
		changed(after, before, func(p, q kit.Part) bool { return p.File == q.File })
	case StepAccept:
		changed(after, before, func(p, q kit.Part) bool { return p.Digest == q.Digest })
	}
	return s
}

// wasTyped is a field's value as it was typed, or else exactly.
func (b *Bench) wasTyped(in Input, w ways.Way) string {
	value := exactly(in, w)
	if typed, ok := b.spelt[in][value]; ok {
		return typed
	}
	return value
}
