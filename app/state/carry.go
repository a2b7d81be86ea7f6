package state

import (
	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/mesh"
	"scantling/engine/ways"
)

// A shift is where a point of a part comes to lie in kit axes when units or turns change.
type shift struct {
	turn geom.Turn
	by   float64
}

func (s shift) point(v geom.Vec) geom.Vec { return s.turn.Apply(v).Scale(s.by) }

func (s shift) axis(a geom.Axis) geom.Axis { return s.turn.Axis(a) }

func (s shift) direction(d ways.Direction) ways.Direction {
	for i, named := range []ways.Direction{ways.AlongX, ways.AlongY, ways.AlongZ} {
		if d == named {
			return []ways.Direction{ways.AlongX, ways.AlongY, ways.AlongZ}[s.axis(geom.Axis(i))]
		}
	}
	return d
}

// shifts are those of the measured parts, by id, and how the kit's axes turn. boxes are the
// parts' before.
type shifts struct {
	parts map[string]shift
	boxes map[string]geom.Box
	kit   geom.Turn
}

// shifts compares two states of one kit.
func (b *Bench) shifts(before, after kit.Kit) shifts {
	var ids []string
	var was, is []mesh.Part
	for i, p := range before.Parts {
		if f := b.measuredFile(p); f != nil && i < len(after.Parts) {
			ids = append(ids, p.ID)
			was, is = append(was, before.Seen(p, f.parts[p.Index])), append(is, after.Seen(after.Parts[i], f.parts[p.Index]))
		}
	}
	old, now := kit.FrameOf(was), kit.FrameOf(is)
	s := shifts{parts: map[string]shift{}, boxes: map[string]geom.Box{}}
	for i, id := range ids {
		s.parts[id] = shift{old.Turn(was[i]).Inverse().Then(now.Turn(is[i])), is[i].Unit.MM / was[i].Unit.MM}
		s.boxes[id] = old.Box(was[i])
	}
	s.kit = old.Upright().Then(before.Turn.Inverse()).Then(after.Turn).Then(now.Upright().Inverse())
	return s
}

// carry is the kit after a change of units or turns, in which what was measured before still
// means the same: a clue lies where it lay on its part, and lengths along an axis go with
// what they measure.
func (b *Bench) carry(before, after kit.Kit) kit.Kit {
	s := b.shifts(before, after)
	w := after.Way
	if len(w.Clues) > 0 {
		clues := make([]ways.Clue, len(w.Clues))
		for i, c := range w.Clues {
			clues[i] = s.clue(c)
		}
		w.Clues = clues
	}
	along := shift{turn: s.kit}
	if of, ok := s.parts[w.Part]; ok && w.Kind == ways.ByLength {
		along = of
	}
	w.Along = along.axis(w.Along)
	if p := w.Points; p.Known() {
		from, one := s.at(p.From)
		to, other := s.at(p.To)
		if one && other && from == to {
			w.Points = ways.Points{From: from.point(p.From), To: to.point(p.To), Along: from.direction(p.Along)}
		} else {
			b.view.Notice = ErrMeasureStale
		}
	}
	return after.WithWay(w)
}

// clue takes a clue along with its part. One that names no part goes by the whole kit, if
// all of it changes alike.
func (s shifts) clue(c ways.Clue) ways.Clue {
	of, ok := s.parts[c.Part]
	if !ok {
		if of, ok = s.all(); !ok {
			return c
		}
	}
	c.From, c.To, c.Along = of.point(c.From), of.point(c.To), of.direction(c.Along)
	c.Drawn, c.DrawnSD = c.Drawn*of.by, c.DrawnSD*of.by
	return c
}

// all is the shift that all parts share; false where they differ.
func (s shifts) all() (one shift, ok bool) {
	for _, of := range s.parts {
		if ok && of != one {
			return shift{}, false
		}
		one, ok = of, true
	}
	return one, ok
}

// at is how a point of the kit shifts: as the parts do in whose boxes it lies, if they agree,
// and as all parts where it lies in none.
func (s shifts) at(v geom.Vec) (one shift, ok bool) {
	for id, box := range s.boxes {
		slack := 1e-6 * box.Size().Len() // a corner of the part lies on the box, give or take a rounding
		inside := true
		for i := range v {
			inside = inside && v[i] >= box.Min[i]-slack && v[i] <= box.Max[i]+slack
		}
		of := s.parts[id]
		switch {
		case !inside:
		case ok && of != one:
			return shift{}, false
		default:
			one, ok = of, true
		}
	}
	if ok {
		return one, true
	}
	return s.all()
}
