package state

import (
	"fmt"
	"strconv"
	"strings"

	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/ways"
)

// SetTurning chooses how parts may be turned to fit the bed. What was cancelled of finding
// that out begins again.
func (b *Bench) SetTurning(t judge.Turning) {
	if t > judge.Free {
		return
	}
	b.together(func() {
		b.unfitted = onBed{}
		b.edit(StepTurning, func(w *ways.Way) { w.Turn = t })
		b.keepBed(b.history.Kit().Way)
		b.stopped = false
		b.nextLook()
		b.recompute()
	})
}

// SetRound says whether the bed is a disc.
func (b *Bench) SetRound(on bool) {
	b.useBed(func(bed *judge.Bed) { bed.Round = on })
}

// UseBed takes a bed as it is, that of a printer.
func (b *Bench) UseBed(bed judge.Bed) {
	if bed.Check() == nil {
		b.useBed(func(into *judge.Bed) { *into = bed })
	}
}

func (b *Bench) useBed(change func(*judge.Bed)) {
	b.edit(StepBed, func(w *ways.Way) { change(&w.Bed) })
	b.keepBed(b.history.Kit().Way)
}

// keepBed remembers the bed for the next kit.
func (b *Bench) keepBed(w ways.Way) {
	b.config.Preferences.SetString(keyBed, bedText(w.Bed, w.Turn))
}

// WantPrinters fills View.Printers, once.
func (b *Bench) WantPrinters() {
	if !b.wanted {
		b.wanted = true
		b.printers(nil, func() {})
	}
}

// SavePrinter saves the bed under the name that is typed in InPrinter. What stands against it
// becomes the field's fault.
func (b *Bench) SavePrinter() {
	p := judge.Printer{Name: b.typed[InPrinter], Bed: b.history.Kit().Way.Bed}
	b.printers(func(all kit.Printers) (kit.Printers, error) { return all.With(p) }, func() { b.Type(InPrinter, "") })
}

// ForgetPrinter removes one of the maker's own printers; the bed stays as it is.
func (b *Bench) ForgetPrinter(name string) {
	b.printers(func(all kit.Printers) (kit.Printers, error) { return all.Without(name) }, func() {})
}

// printers changes the maker's own printers, and calls done once they are kept.
func (b *Bench) printers(change func(kit.Printers) (kit.Printers, error), done func()) {
	var own kit.Printers
	b.start(&b.printing, func(*worker) (err error) {
		own, err = b.config.Disk.Printers(change)
		return err
	}, func(err error) {
		delete(b.faults, InPrinter)
		switch {
		case err == nil:
			b.view.Printers = own.All
			done()
		case change == nil:
			b.notice(err)
		default:
			b.faults[InPrinter] = err
		}
		b.change()
	})
}

// bedText and bedFrom keep a bed and the turning in the preferences: width, depth, height,
// margin, brim in mm, the shape and the turning.
func bedText(bed judge.Bed, t judge.Turning) string {
	shape := "box"
	if bed.Round {
		shape = "disc"
	}
	return fmt.Sprint(bed.Size[0], " ", bed.Size[1], " ", bed.Size[2], " ", bed.Margin, " ", bed.Brim, " ", shape, " ", t)
}

// bedFrom is the usual bed where nothing else is kept.
func bedFrom(kept string) (judge.Bed, judge.Turning) {
	// Common practice, no source: a bed of nominal 220 mm and 250 mm of height; 5 mm of
	// margin leave 210 mm for a flat disc.
	usual := judge.Bed{Size: geom.Vec{220, 220, 250}, Margin: 5}
	words := strings.Fields(kept)
	var mm [5]float64
	for i := range mm {
		if i >= len(words) {
			break
		}
		x, err := strconv.ParseFloat(words[i], 64)
		if err != nil || !(x <= 1e6) {
			return usual, judge.AsItLies
		}
		mm[i] = x
	}
	bed := judge.Bed{Size: geom.Vec{mm[0], mm[1], mm[2]}, Margin: mm[3], Brim: mm[4]}
	turn := judge.AsItLies
	if len(words) >= 7 { // older versions kept four numbers only
		bed.Round = words[5] == "disc"
		turn, _ = judge.ParseTurning(words[6])
	}
	if bed.Check() != nil {
		return usual, judge.AsItLies
	}
	return bed, turn
}
