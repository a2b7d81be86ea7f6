package state

import (
	"slices"
	"strings"

	"scantling/engine/figure"
	"scantling/engine/geom"
	"scantling/engine/ratio"
)

// A StandIn is a person drawn beside the parts at the ratio of the copies, to hold them
// against.
type StandIn struct {
	Of    figure.Population // whose mean stature and breadths it has
	Typed string            // its stature as typed; empty for the mean
	Err   error             // why what is typed cannot be read; the stature before it stays
	typed ratio.Length

	Pose  figure.Pose
	Left  bool     // seen from the side it faces left
	Place geom.Vec // moved by hand from where it is put by itself: kit axes, mm of the real subject
	Order Order
	Over  string // id of the part that it is drawn over: Order OverPart
}

// An Order says what a stand-in is drawn over.
type Order uint8

// The orders.
const (
	BehindAll Order = iota
	OverAll
	OverPart
)

// Orders lists every order.
func Orders() []Order { return []Order{BehindAll, OverAll, OverPart} }

// MostStandIns can be drawn at once.
const MostStandIns = 2

// Stature is the stand-in's stature in millimetres.
func (s StandIn) Stature() float64 {
	if s.typed.Known() {
		return s.typed.MM()
	}
	v, _ := s.Of.Measure(figure.Stature)
	return v.Mean
}

// UsualStandIns are those of a fresh sheet: a man of median stature, DIN 33402-2.
func UsualStandIns() []StandIn { return []StandIn{{Of: figure.GermanMen}} }

// People are the stand-ins of the sheet.
func (s Sheet) People() []StandIn {
	if s.StandIns == nil {
		return UsualStandIns()
	}
	return s.StandIns
}

// AddStandIn puts one more stand-in on the sheet: a woman beside a man, else a man.
func (b *Bench) AddStandIn() {
	people := b.view.Sheet.People()
	if len(people) >= MostStandIns {
		return
	}
	add := UsualStandIns()[0]
	if slices.ContainsFunc(people, func(s StandIn) bool { return s.Of == add.Of }) {
		add.Of = figure.GermanWomen
	}
	b.standIns(append(slices.Clone(people), add))
}

// RemoveStandIn takes stand-in i off the sheet.
func (b *Bench) RemoveStandIn(i int) {
	people := b.view.Sheet.People()
	if i >= 0 && i < len(people) {
		b.standIns(slices.Delete(slices.Clone(people), i, i+1))
	}
}

// PoseStandIn says how stand-in i holds itself.
func (b *Bench) PoseStandIn(i int, p figure.Pose) {
	b.standIn(i, func(s *StandIn) { s.Pose = p })
}

// StandInOf says whom stand-in i stands for; a stature that was typed stays.
func (b *Bench) StandInOf(i int, p figure.Population) {
	if _, ok := p.Measure(figure.Stature); ok {
		b.standIn(i, func(s *StandIn) { s.Of = p })
	}
}

// TypeStature takes what the field of stand-in i's stature holds; empty is the mean of whom
// it stands for.
func (b *Bench) TypeStature(i int, typed string) {
	b.standIn(i, func(s *StandIn) {
		if s.Typed == typed {
			return
		}
		s.Typed, s.Err = typed, nil
		if strings.TrimSpace(typed) == "" {
			s.typed = ratio.Length{}
			return
		}
		l, err := ratio.ParseLength(typed, b.Unit(InReal))
		switch {
		case err == nil && l.MM() == 0:
			err = &ratio.ParseError{Typed: typed, Err: ratio.ErrNotPositive}
		case err == nil && (l.MM() < leastStature || l.MM() > mostStature):
			err = &ratio.ParseError{Typed: typed, Err: ErrNobody}
		}
		if s.Err = err; err == nil {
			s.typed = l
		}
	})
}

// Nobody is shorter or taller. Judged, no source: from newborn to giant, with room.
const (
	leastStature = 300.0
	mostStature  = 3000.0
)

// TurnStandIn lets stand-in i face the other way.
func (b *Bench) TurnStandIn(i int) { b.standIn(i, func(s *StandIn) { s.Left = !s.Left }) }

// MoveStandIn moves stand-in i by millimetres of the real subject, along the kit's axes.
func (b *Bench) MoveStandIn(i int, by geom.Vec) {
	if by.Finite() {
		b.standIn(i, func(s *StandIn) { s.Place = s.Place.Add(by) })
	}
}

// OrderStandIn says what stand-in i is drawn over; part counts for OverPart alone.
func (b *Bench) OrderStandIn(i int, o Order, part string) {
	b.standIn(i, func(s *StandIn) { s.Order, s.Over = o, part })
}

func (b *Bench) standIn(i int, change func(*StandIn)) {
	people := slices.Clone(b.view.Sheet.People())
	if i >= 0 && i < len(people) {
		change(&people[i])
		b.standIns(people)
	}
}

func (b *Bench) standIns(people []StandIn) {
	if people == nil {
		people = []StandIn{} // nobody, and not the usual ones
	}
	b.view.Sheet.StandIns = people
	b.change()
}

// putBack puts stand-ins and parts where they are by themselves; what is drawn over what
// stays.
func (b *Bench) putBack() {
	people := slices.Clone(b.view.Sheet.People())
	for i := range people {
		people[i].Place = geom.Vec{}
	}
	b.view.Sheet.StandIns, b.view.Sheet.Moved = people, nil
}

// Displaced reports whether a stand-in or a part was moved.
func (s Sheet) Displaced() bool {
	return len(s.Moved) > 0 || slices.ContainsFunc(s.People(), func(p StandIn) bool { return p.Place != geom.Vec{} })
}

// PutBack puts stand-ins and parts that were moved for viewing back where they belong.
func (b *Bench) PutBack() {
	b.putBack()
	b.change()
}
