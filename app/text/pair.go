package text

import (
	"scantling/app/state"
	"scantling/engine/judge"
)

// Words of the page that lays two targets side by side.
const (
	PairPage     = "Compare two targets"
	PairIntro    = "The one in force stays as it is while you try another beside it."
	PairChoose   = "Which ratio stands in this column"
	PairTake     = "Make it the target"
	PairTakeTip  = "Scale the kit by this one; undo takes it back"
	PairIsTarget = "This is the target"
	HeadDiffer   = "What is found otherwise"
	NothingElse  = "The same is found at both."
	PairWorks    = "What these two come to is being worked out."
	PairWaits    = "Parts are still being surveyed; more may be found."
)

// Compare is the action that opens the page.
const Compare Action = "compare"

// pairAction is its name and tooltip.
func pairAction(a Action) (name, tip string) {
	if a == Compare {
		return PairPage + "…", "Lay the target beside another ratio: sizes, findings, weight, cost and beds of both"
	}
	return "", ""
}

// PairChoice is a target to choose: "1:48  ×0.2350", or only its factor where no ratio is known.
func PairChoice(c state.Candidate) string {
	if !c.Ratio.Known() {
		return Factor(c.Factor)
	}
	return Ratio(c.Ratio) + "  " + Factor(c.Factor)
}

// PairRung is the same for a rung of the ladder.
func PairRung(r judge.Rung) string {
	return join(Ratio(r.Standard.Ratio)+"  "+Factor(r.Factor), "  ", r.Standard.Name)
}

// A PairRow is one line about two targets.
type PairRow struct {
	Name string
	At   [2]string
	Mark [2]Mark
}

// A Compared is what two targets make of a kit, as words are made of it.
type Compared struct {
	state.Comparison
	Inches bool
}

// ComparedIn is what is known of the targets that the window compares; there must be some.
func ComparedIn(v state.View) Compared { return Compared{v.Pair.Known, v.Sheet.Inches} }

// name is what a part is called by its number; "" for the whole kit.
func (c Compared) name(part int) string {
	if part < 0 || part >= len(c.Parts) {
		return ""
	}
	return c.Parts[part]
}

// Rows are the figures of both; none before they are known.
func (c Compared) Rows() []PairRow {
	if len(c.Parts) == 0 {
		return nil
	}
	var rows []PairRow
	add := func(name string, says func(a state.Prospect) (string, Mark)) {
		r := PairRow{Name: name}
		for i, a := range c.At {
			r.At[i], r.Mark[i] = says(a)
		}
		if r.At != [2]string{} {
			rows = append(rows, r)
		}
	}
	plain := func(name string, says func(a state.Prospect) string) {
		add(name, func(a state.Prospect) (string, Mark) { return says(a), Fine })
	}
	end := func(part int, mm float64) string {
		if part < 0 {
			return None
		}
		return c.name(part) + ", " + Length(mm, c.Inches)
	}
	plain("Factor", func(a state.Prospect) string { return Factor(a.Factor) })
	plain("In per cent", func(a state.Prospect) string { return Percent(a.Factor) })
	plain("Whole kit", func(a state.Prospect) string { return Size(a.Size, c.Inches) })
	plain("Largest part", func(a state.Prospect) string { return end(a.Most, a.MostMM) })
	plain("Smallest part", func(a state.Prospect) string { return end(a.Least, a.LeastMM) })
	add("Fits the bed", func(a state.Prospect) (string, Mark) {
		switch {
		case a.Fitting < 0:
			return None, Fine
		case a.Fitting == len(c.Parts):
			return "all " + Parts(a.Fitting), Fine
		}
		return Number(a.Fitting) + " of " + Parts(len(c.Parts)), Stops
	})
	plain("Beds", func(a state.Prospect) string {
		if a.Beds == nil {
			return None
		}
		return BedCount(*a.Beds)
	})
	for g := judge.Stops; ; g-- {
		add(capital(GravityName(g), false), func(a state.Prospect) (string, Mark) {
			if a.Counts[g] == 0 {
				return "nothing", Fine
			}
			return Count(a.Counts[g], "finding", "findings"), MarkOfGravity(g)
		})
		if g == judge.Note {
			break
		}
	}
	plain("Weight", func(a state.Prospect) string {
		if a.Weight.Unknown > 0 {
			return Mass(a.Weight.Grams) + " without " + Parts(a.Weight.Unknown)
		}
		return Mass(a.Weight.Grams)
	})
	plain("Cost of material", func(a state.Prospect) string { return Cost(a.Weight.Cost, c.Money) })
	return rows
}

// Differing is what is found otherwise at the one than at the other.
func (c Compared) Differing() []PairRow {
	rows := make([]PairRow, len(c.Differ))
	for i, d := range c.Differ {
		rows[i].Name = join(c.name(d.Part), ": ", CodeTitle(d.Code))
		for k, s := range d.At {
			rows[i].At[k] = c.side(s)
			if s.Places > 0 {
				rows[i].Mark[k] = MarkOfGravity(s.Worst.Gravity)
			}
		}
	}
	return rows
}

// side is what is found at one of the two: "1.41 mm, in 3 places".
func (c Compared) side(s judge.Side) string {
	if s.Places == 0 {
		return "not there"
	}
	says := GravityName(s.Worst.Gravity)
	if measured(s.Worst.Code) {
		says = Length(s.Worst.Value, c.Inches)
	}
	if s.Places > 1 {
		says += ", in " + Number(s.Places) + " places"
	}
	return says
}
