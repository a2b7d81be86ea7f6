package state

import (
	"slices"

	"scantling/engine/geom"
	"scantling/engine/kit"
	"scantling/engine/ratio"
)

// SetUnit says how long one unit of the numbers of some parts is; a length that is not known
// takes back what was said. A unit is that of a whole file, so it holds for the other parts
// of their files, too.
func (b *Bench) SetUnit(ids []string, unit ratio.Length) {
	if unit.Known() && !kit.UsableUnit(unit) {
		b.notice(ErrUnit)
		return
	}
	files := b.measuredFiles(ids)
	b.correct(StepUnit, b.history.Kit().WithEach(func(p *kit.Part) {
		if slices.Contains(files, p.File) {
			p.Unit, p.UnitKept = unit, false
		}
	}))
}

// KeepUnit says that the unit of some parts is right as it is: nothing else is suggested for
// the parts of their files any more.
func (b *Bench) KeepUnit(ids []string) {
	files := b.measuredFiles(ids)
	b.correct(StepKeepUnit, b.history.Kit().WithEach(func(p *kit.Part) {
		if slices.Contains(files, p.File) {
			p.UnitKept = true
		}
	}))
}

// KeepPart says that a part is one, and no old copy of another.
func (b *Bench) KeepPart(id string) {
	k := b.history.Kit()
	if p, ok := k.Part(id); ok && !p.Apart {
		b.do(StepKeepUnit, k.WithPart(id, func(p *kit.Part) { p.Apart = true }))
	}
}

// SetUp says which direction of their files points up in some parts.
func (b *Bench) SetUp(ids []string, up geom.Axis, reversed bool) {
	b.turn(ids, func(geom.Turn) geom.Turn { return kit.Raise(up, reversed) })
}

// Turn turns some parts by a quarter about the origin of their files: about x, y or z of
// axes in which x points right, y away and z up.
func (b *Bench) Turn(ids []string, about geom.Axis) {
	whole := b.history.Kit().Turn
	b.turn(ids, func(upright geom.Turn) geom.Turn {
		return upright.Then(whole).Then(geom.Quarter(about)).Then(whole.Inverse())
	})
}

// TurnBack lets parts stand again as their files say.
func (b *Bench) TurnBack(ids []string) {
	b.turn(ids, func(geom.Turn) geom.Turn { return geom.Turn{} })
}

// turn changes how parts stand; to gets how one has stood before the whole kit was turned.
func (b *Bench) turn(ids []string, to func(upright geom.Turn) geom.Turn) {
	k := b.history.Kit()
	alone := k.WithTurn(geom.Turn{})
	b.correct(StepTurn, k.WithEach(func(p *kit.Part) {
		if f := b.measuredFile(*p); f != nil && slices.Contains(ids, p.ID) {
			p.Turn = to(kit.Upright(alone.Seen(*p, f.parts[p.Index])))
		}
	}))
}

// SetKitUp says which direction of the kit, as its parts have it, points up in all of it.
func (b *Bench) SetKitUp(up geom.Axis, reversed bool) {
	b.correct(StepTurn, b.history.Kit().WithTurn(kit.Raise(up, reversed)))
}

// TurnKit turns the whole kit, parts that are added later too, by a quarter as Turn does.
func (b *Bench) TurnKit(about geom.Axis) {
	k := b.history.Kit()
	b.correct(StepTurn, k.WithTurn(k.Turn.Then(geom.Quarter(about))))
}

// TurnKitBack lets the whole kit stand as its parts do.
func (b *Bench) TurnKitBack() { b.correct(StepTurn, b.history.Kit().WithTurn(geom.Turn{})) }

// measuredFile is the file of a part that was measured, or nil.
func (b *Bench) measuredFile(p kit.Part) *modelFile {
	f := b.files[p.File]
	if f == nil || f.state != Measured || p.Index >= len(f.parts) {
		return nil
	}
	return f
}

// measuredFiles are the paths of the files of parts that were measured.
func (b *Bench) measuredFiles(ids []string) []string {
	var files []string
	for _, p := range b.history.Kit().Parts {
		if slices.Contains(ids, p.ID) && b.measuredFile(p) != nil {
			files = append(files, p.File)
		}
	}
	return files
}

// correct makes one step of a kit whose units and turns differ, with what was measured on
// the parts taken along. It does nothing when none differ.
func (b *Bench) correct(s Step, after kit.Kit) {
	k := b.history.Kit()
	same := k.Turn == after.Turn && slices.EqualFunc(k.Parts, after.Parts, func(p, q kit.Part) bool {
		return p.Turn == q.Turn && p.Unit.Equal(q.Unit) && p.UnitKept == q.UnitKept
	})
	if same {
		return
	}
	b.view.Sheet.Fit = true
	b.do(s, b.carry(k, after))
}
