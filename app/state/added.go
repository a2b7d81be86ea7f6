package state

import (
	"slices"

	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/ratio"
	"scantling/engine/units"
	"scantling/engine/ways"
)

// straying remembers what was found of how parts lie, for a new factor changes nothing of it.
type straying struct {
	parts []placed
	found []units.Stray
}

// placed is all that a part's place is judged by.
type placed struct {
	id   string
	box  geom.Box // file axes, mm as drawn
	up   geom.Axis
	turn geom.Turn // the maker's
	kit  geom.Turn
}

// strays are the parts that lie or stand unlike the rest, but for those of which the maker has
// said that they do so rightly.
func (b *Bench) strays(k kit.Kit, rows []Part) []units.Stray {
	if b.opening.busy {
		return b.view.Strays // once all are read
	}
	var parts []placed
	for i := range rows {
		p := &rows[i]
		if p.State == Measured && !p.Measured.Box.Empty() {
			parts = append(parts, placed{p.ID, p.Measured.Box.Scale(p.Measured.Unit.MM), p.Measured.Up, p.Turn, k.Turn})
		}
	}
	known := &b.straying
	if !slices.Equal(parts, known.parts) {
		var lie []units.Placed
		for _, p := range parts {
			lie = append(lie, p.lies())
		}
		*known = straying{parts, units.Strays(lie)}
	}
	kept := map[string]bool{}
	for _, p := range k.Parts {
		kept[p.ID] = p.PlaceKept
	}
	var out []units.Stray
	for _, s := range known.found {
		// A part that is in doubt about its unit lies where it does because of that.
		doubted := slices.ContainsFunc(b.view.UnitHints, func(u units.Suggestion) bool { return u.Part == s.Part })
		if !kept[s.Part] && !doubted {
			out = append(out, s)
		}
	}
	if slices.Equal(out, b.view.Strays) {
		return b.view.Strays
	}
	return out
}

// lies is where the part lies with z up, and where it would if another axis pointed up.
func (p placed) lies() units.Placed {
	stand := func(t geom.Turn) geom.Box {
		if p.kit.Known() {
			t = t.Then(p.kit)
		}
		return t.Box(p.box)
	}
	turn := kit.Raise(p.up, false)
	if p.turn.Known() {
		turn = p.turn
	}
	out := units.Placed{ID: p.id, Box: stand(turn), Up: p.up}
	if p.turn.Known() {
		return out
	}
	for _, up := range []geom.Axis{geom.X, geom.Y, geom.Z} {
		for _, reversed := range []bool{false, true} {
			if t := kit.Raise(up, reversed); t != turn {
				out.Otherwise = append(out.Otherwise, units.Standing{Up: up, Reversed: reversed, Box: stand(t)})
			}
		}
	}
	return out
}

// KeepPlace says that a part lies and stands rightly.
func (b *Bench) KeepPlace(id string) {
	k := b.history.Kit()
	if p, ok := k.Part(id); ok && !p.PlaceKept {
		b.do(StepKeepUnit, k.WithPart(id, func(p *kit.Part) { p.PlaceKept = true }))
	}
}

// TurnStray lets a part stand as its place suggests.
func (b *Bench) TurnStray(id string) {
	for _, s := range b.view.Strays {
		if s.Part == id && s.Oddity == units.OtherUp {
			b.SetUp([]string{id}, s.Better.Up, s.Better.Reversed)
			return
		}
	}
}

// A Shift is a factor that changed although nobody changed the way to it: parts came, went or
// were changed.
type Shift struct{ Saved, Now ratio.Factor }

// shift compares the factor in force with the one that the kit was saved with.
func (b *Bench) shift(k kit.Kit) Shift {
	saved, now := k.Factor, b.view.Result.Factor
	if b.opening.busy || b.shifted || b.path == "" || !saved.Known() || !now.Known() || saved.Equal(now) || !sameInputs(k.Way, b.savedWay) {
		return Shift{}
	}
	return Shift{saved, now}
}

// sameInputs reports whether two ways were given the same.
func sameInputs(a, c ways.Way) bool {
	for _, in := range Inputs() {
		if exactly(in, a) != exactly(in, c) {
			return false
		}
	}
	return same(a, c)
}

// KeepFactor puts the factor in force that the kit was saved with.
func (b *Bench) KeepFactor() {
	if saved := b.history.Kit().Factor; saved.Known() {
		b.edit(StepKeepFactor, func(w *ways.Way) { w.Kind, w.Factor = ways.ByFactor, saved })
	}
}

// TakeShift lets the factor be as it is now, and says no more of it until the kit is saved.
func (b *Bench) TakeShift() {
	b.shifted = true
	b.recompute()
}
