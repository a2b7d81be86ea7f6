package state

import (
	"slices"
	"strconv"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/ratio"
	"scantling/engine/ways"
)

// A Draft is the clue that is being made, as far as its two fields can be read.
type Draft struct {
	Clue     ways.Clue     // without an id
	Estimate ways.Estimate // the native ratio by this clue alone; not known while it is not complete
	Object   *ways.Object  // what it was said to be, where that is in the table
}

// An origin is where the drawn length of the clue that is being made comes from, as long as
// the field's text is what stands for it.
type origin struct {
	text string
	clue ways.Clue
}

// mostClues bounds the list; nobody measures as many.
const mostClues = 200

// ClueFromPart takes the height of a part, along up, for the drawn length of the clue that is
// being made.
func (b *Bench) ClueFromPart(id string) {
	i := slices.IndexFunc(b.view.Parts, func(p Part) bool { return p.ID == id && p.State == Measured })
	if i < 0 {
		return
	}
	p, up := b.view.Parts[i], b.view.PartsUp
	foot := p.Box.Centre()
	head := foot
	foot[up], head[up] = p.Box.Min[up], p.Box.Max[up]
	b.clueFrom(ways.Clue{Part: p.ID, From: foot, To: head, Along: direction(up), Drawn: p.Drawn[up], Name: p.Name})
}

// ClueFromMeasure takes what is measured on the sheet for the drawn length of the clue that is
// being made.
func (b *Bench) ClueFromMeasure() {
	if m := b.view.Measure; m.Known() {
		b.clueFrom(ways.Clue{Part: m.Part, From: m.Points.From, To: m.Points.To, Along: m.Points.Along,
			Drawn: m.Points.Len(), DrawnSD: m.SD})
	}
}

// clueFrom takes a measured length for that of the clue that is being made.
func (b *Bench) clueFrom(c ways.Clue) {
	if !(c.Drawn > 0) {
		b.faults[InDrawn] = ways.ErrClueDrawn
		b.change()
		return
	}
	text := figures6(c.Drawn) + " mm"
	if c.DrawnSD > 0 {
		text += " ± " + figures6(c.DrawnSD) + " mm"
	}
	b.origin = origin{text, c}
	b.draft(InDrawn, text)
}

// figures6 writes a length in millimetres to six figures, six decimals at most.
func figures6(mm float64) string {
	decimals := 6
	for x := mm; decimals > 0 && x >= 1; x /= 10 {
		decimals--
	}
	s := strconv.FormatFloat(mm, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

func direction(a geom.Axis) ways.Direction { return ways.Direction(a.String()) }

// ClueObject says what the clue that is being made is: an object of the table, by its key.
func (b *Bench) ClueObject(key string) { b.draft(InIsReal, strings.ReplaceAll(key, "-", " ")) }

// draft fills a field of the clue that is being made.
func (b *Bench) draft(in Input, text string) {
	b.typed[in] = text
	delete(b.faults, in)
	b.change()
}

// AddClue puts the clue that is being made among those of the kit. What cannot be read is said
// at its field, and nothing changes.
func (b *Bench) AddClue() {
	c, in, err := b.drafted()
	if err == nil && len(b.history.Kit().Way.Clues) >= mostClues {
		in, err = InDrawn, ErrManyClues
	}
	if err != nil {
		b.faults[in] = err
		b.change()
		return
	}
	b.origin = origin{}
	for _, in := range []Input{InDrawn, InIsReal} {
		b.typed[in] = ""
		delete(b.faults, in)
	}
	b.edit(StepClue, func(w *ways.Way) {
		c.ID = newClueID(w.Clues)
		w.Clues = append(slices.Clone(w.Clues), c)
	})
}

// drafted is the clue of the two fields, or what is wrong with which of them. A whole clue,
// LENGTH = REAL ± SD, may stand in the first.
func (b *Bench) drafted() (c ways.Clue, in Input, err error) {
	drawn, real := b.typed[InDrawn], b.typed[InIsReal]
	unit := b.Unit(InDrawn)
	if strings.TrimSpace(drawn) == "" {
		return c, InDrawn, ways.ErrClueDrawn
	}
	if strings.TrimSpace(real) == "" {
		if !strings.Contains(drawn, "=") {
			if _, err = ways.ParseQuantity(drawn, unit); err != nil {
				return c, InDrawn, err
			}
			return c, InIsReal, ways.ErrClueReal
		}
		c, err = ways.ParseClueIn(drawn, unit)
		return c, InDrawn, err
	}
	if _, err = ways.ParseQuantity(drawn, unit); err != nil {
		return c, InDrawn, err
	}
	if c, err = ways.ParseClueIn(drawn+"="+real, unit); err != nil {
		return c, InIsReal, err
	}
	if from := b.origin; from.text == drawn {
		from.clue.Object, from.clue.RealMM, from.clue.RealSD = c.Object, c.RealMM, c.RealSD
		c = from.clue
		if c.Object != "" {
			c.Name = "" // what it is says more than the part's name
		}
	}
	return c, InIsReal, nil
}

// lookAtDraft shows what the clue that is being made would give.
func (b *Bench) lookAtDraft() {
	d := Draft{}
	if b.typed[InDrawn] != "" || b.typed[InIsReal] != "" {
		var err error
		if d.Clue, _, err = b.drafted(); err == nil {
			d.Estimate, _ = d.Clue.Estimate()
		} else {
			d.Clue = ways.Clue{}
		}
		if o, err := ways.FindObject(b.typed[InIsReal]); err == nil {
			d.Object = &o
		}
	}
	b.view.Evidence.Draft = d
}

// nameDraft is nameUnits for the clue that is being made, whose lengths are read only when it is
// added. It is called once bare numbers mean something else.
func (b *Bench) nameDraft() {
	was, is := ratio.Inch, b.Unit(InDrawn)
	if is == ratio.Inch {
		was = ratio.Millimetre
	}
	for _, in := range []Input{InDrawn, InIsReal} {
		meant, err := ways.ParseQuantity(b.typed[in], was)
		now, _ := ways.ParseQuantity(b.typed[in], is)
		if err != nil || meant.Length.Equal(now.Length) && meant.SD.Equal(now.SD) {
			continue
		}
		b.typed[in] = meant.Length.Exact()
		if meant.SD.Known() {
			b.typed[in] += " ± " + meant.SD.Exact()
		}
	}
}

// newClueID is an id that no clue of the list has.
func newClueID(clues []ways.Clue) string {
	for n := len(clues) + 1; ; n++ {
		id := "c" + strconv.Itoa(n)
		if clueIndex(clues, id) < 0 {
			return id
		}
	}
}

func clueIndex(clues []ways.Clue, id string) int {
	return slices.IndexFunc(clues, func(c ways.Clue) bool { return c.ID == id })
}

// SetAside leaves a clue out of account, or takes it back.
func (b *Bench) SetAside(id string, on bool) {
	b.editClue(StepAside, id, func(c *ways.Clue) { c.SetAside = on })
}

// RenameClue gives a clue a name of the maker's own; without one it is called what it is.
func (b *Bench) RenameClue(id, name string) {
	b.editClue(StepClueName, id, func(c *ways.Clue) { c.Name = strings.TrimSpace(name) })
}

// RemoveClue takes a clue out of the kit.
func (b *Bench) RemoveClue(id string) {
	b.edit(StepNoClue, func(w *ways.Way) {
		w.Clues = slices.DeleteFunc(slices.Clone(w.Clues), func(c ways.Clue) bool { return c.ID == id })
	})
}

func (b *Bench) editClue(s Step, id string, change func(*ways.Clue)) {
	b.edit(s, func(w *ways.Way) {
		if i := clueIndex(w.Clues, id); i >= 0 {
			w.Clues = slices.Clone(w.Clues)
			change(&w.Clues[i])
		}
	})
}
