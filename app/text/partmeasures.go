package text

import (
	"math"

	"scantling/app/state"
	"scantling/engine/geom"
	"scantling/engine/hardware"
	"scantling/engine/judge"
	"scantling/engine/process"
	"scantling/engine/survey"
)

// placesTold is how many thin places, and how many gaps, a part's page tells.
const placesTold = 12

// surveyRows are what the survey found out about a part, before and after the factor.
func surveyRows(p state.Part, v state.View) []MeasureRow {
	found := p.Found
	if found == nil {
		if p.Measured.Surface && p.Measured.Triangles > 0 {
			return []MeasureRow{{Name: "Walls, gaps and holes", Drawn: "not measured yet", Print: None}}
		}
		return nil
	}
	s := surveyed{mm: p.Measured.Unit.MM, f: v.Result.Factor.Float(), inches: v.Sheet.Inches, limits: v.Judged.Process.Limits}
	s.weight(p, v)
	s.thickness(found)
	if found.Coarse {
		s.rows = append(s.rows, MeasureRow{Name: "Gaps and holes", Drawn: "not measured yet", Print: None})
		return s.rows
	}
	for k, r := range found.Bores {
		use, _ := v.Judged.UseOf(p.ID, k)
		s.bore(k, len(found.Bores), r, use)
	}
	for k, r := range found.Pegs {
		s.length("Peg "+Number(k+1)+", ⌀", r.Diameter, 0)
		s.length("Peg "+Number(k+1)+", length", r.Depth, 0)
	}
	s.gaps(found)
	if found.Facets.Worst > 0 {
		s.most("Facets off their curve, at most", found.Facets.Worst, s.limits.Facet)
	}
	s.health(found)
	return s.rows
}

// A surveyed writes the rows of one part.
type surveyed struct {
	mm, f  float64
	inches bool
	limits process.Limits
	rows   []MeasureRow
}

// length adds a length in the file's unit, and the limit below which it does not print; 0 for
// none.
func (s *surveyed) length(name string, value, limit float64) *MeasureRow {
	return s.judged(name, value, "prints from ", limit, value*s.mm*s.f < limit)
}

// most adds a length that shows beyond a limit.
func (s *surveyed) most(name string, value, limit float64) {
	s.judged(name, value, "shows beyond ", limit, value*s.mm*s.f > limit)
}

func (s *surveyed) judged(name string, value float64, says string, limit float64, beyond bool) *MeasureRow {
	r := growing(name, 1, value*s.mm, s.f, func(mm float64) string { return Length(mm, s.inches) })
	if limit > 0 {
		r.Remark = says + Length(limit, s.inches)
		if r.Below = s.f > 0 && beyond; r.Below {
			r.Remark = Warns.Sign() + nbsp + r.Remark // colour does not say it alone
		}
	}
	s.rows = append(s.rows, r)
	return &s.rows[len(s.rows)-1]
}

// weight is that of one piece, and where its mass is centred.
func (s *surveyed) weight(p state.Part, v state.View) {
	if w, ok := v.Judged.WeightOf(p.ID, s.f); ok && w.Unknown == 0 {
		r := MeasureRow{Name: "Weight of one piece", Drawn: None, Print: Mass(w.Grams), Power: "factor³, about", Remark: Filling(v.Judged.Process)}
		if one, ok := v.Judged.WeightOf(p.ID, 1); ok {
			r.Drawn = Mass(one.Grams)
		}
		s.rows = append(s.rows, r)
		if w.Cost > 0 {
			s.rows = append(s.rows, MeasureRow{Name: "Material of one piece", Drawn: None, Print: Cost(w.Cost, v.Judged.Process.Material.Money)})
		}
	}
	if !p.Found.Closed {
		return
	}
	at := settled(p.Point(p.Found.Centroid), p.Box.Size().Len())
	r := MeasureRow{Name: "Middle of its mass x, y, z", Drawn: corner(at, s.inches), Print: None, Power: "factor"}
	if s.f > 0 {
		r.Print = corner(at.Scale(s.f), s.inches)
	}
	s.rows = append(s.rows, r)
}

// settled is v with 0 for what is only rounding beside a part of that size: coordinates in
// float32 are good to some 1e-7 of it.
func settled(v geom.Vec, size float64) geom.Vec {
	for i := range v {
		if math.Abs(v[i]) < 1e-6*size {
			v[i] = 0
		}
	}
	return v
}

// Filling says how what is weighed is filled, and of what it is.
func Filling(p process.Process) string {
	of := MaterialName(p.Material.Name)
	switch fill := p.Fill; {
	case fill.Infill >= 1:
		return "solid, " + of
	case fill.Infill <= 0:
		return "hollow, walls of " + Length(fill.Skin, false) + ", " + of
	default:
		return Length(fill.Skin, false) + " of skin, " + trimZeros(significant(100*fill.Infill, 3)) + nbsp + "% inside, " + of
	}
}

func (s *surveyed) thickness(found *survey.Measurements) {
	d := &found.Thickness
	if !d.Known() {
		s.rows = append(s.rows, MeasureRow{Name: "Thickness", Drawn: "none: nothing lies behind its surface", Print: None})
		return
	}
	for _, q := range []struct {
		name  string
		share float64
	}{{"Thickness, least", 0}, {"Thickness, 1 % is below", 0.01}, {"Thickness, 5 % are below", 0.05}, {"Thickness, half is below", 0.5}} {
		value := d.Least()
		if q.share > 0 {
			value = d.Quantile(q.share)
		}
		s.length(q.name, value, 0)
	}
	for k, t := range d.Places {
		if k == placesTold {
			s.more("Thin places", len(d.Places)-k)
			break
		}
		switch {
		case judge.Raised(t):
			s.length("Raised, width", t.Typical, s.limits.RaisedWidth)
			s.length("    its height", t.Height, s.limits.RaisedHeight)
		case t.Pin:
			s.length("Pin, ⌀", t.Typical, s.limits.Pin)
		case t.Free:
			s.length("Wall, free", t.Typical, s.limits.WallFree)
		default:
			s.length("Wall, held", t.Typical, s.limits.WallSupported)
		}
	}
}

func (s *surveyed) gaps(found *survey.Measurements) {
	told := 0
	for k, g := range found.Gaps.Places {
		if g.Hole && g.In(found.Bores) {
			continue
		}
		if told++; told > placesTold {
			s.more("Gaps", len(found.Gaps.Places)-k)
			break
		}
		name, limit := "Slot, width", s.limits.Gap
		if g.Hole {
			name, limit = "Hole, width", s.limits.Hole
		}
		s.length(name, g.Typical, limit)
		if g.Depth > 0 {
			s.length("    its depth", g.Depth, 0)
		}
	}
}

// more tells how many are not told.
func (s *surveyed) more(name string, n int) {
	s.rows = append(s.rows, MeasureRow{Name: name, Drawn: More(n), Print: None})
}

func (s *surveyed) bore(k, of int, r survey.Round, use judge.Use) {
	kind := "blind"
	if r.Through {
		kind = "through"
	}
	name := "Hole " + Number(k+1) + " of " + Number(of)
	row := s.length(name+", ⌀, "+kind, r.Flats, 0)
	row.Remark, row.Bore = UseWords(use, r, s.mm*s.f), k+1
	row.Below = use.Item.Key != "" && s.f > 0 && r.Flats*s.mm*s.f < use.Item.Least
	s.length("    its depth", r.Depth, 0).Bore = k + 1
}

// UseWords says what a hole is for and what that needs at its size in print, mm of print for
// each unit of the file: "for an M3 screw, as it seems: drill it to 3.40 mm".
func UseWords(use judge.Use, r survey.Round, print float64) string {
	switch i := use.Item; {
	case i.Key != "":
		words := "for " + ItemName(i)
		if !use.Said {
			words += ", as it seems"
		}
		switch flats := r.Flats * print; {
		case !(print > 0):
		case flats < i.Least:
			words += ": drill it to " + Length(i.Drill, false)
		case flats > i.Most:
			words += ": too wide for it"
		default:
			words += ": takes it"
		}
		return words
	case use.Said:
		return "for nothing that is bought"
	case use.Taken:
		return "for a peg of the kit"
	}
	return "press to say what it is for"
}

func (s *surveyed) health(found *survey.Measurements) {
	h := found.Health
	for _, e := range []struct {
		name string
		n    int
	}{
		{"Triangles that are there twice", h.Doubled}, {"Pairs of triangles through each other", h.Crossings},
		{"Shells that face inwards", h.InvertedShells}, {"Shells inside of others", h.BuriedShells}, {"Loose crumbs", h.Strays},
	} {
		if e.n > 0 {
			s.rows = append(s.rows, same(e.name, Number(e.n)))
		}
	}
	if h.InsideOut {
		s.rows = append(s.rows, same("Inside out", "its triangles face inwards"))
	}
	s.length("Finest step of its numbers", h.Step, 0)
}

// What stands below the table of a part's page.
const (
	BoreTip      = "What goes into this hole: its size is judged by that, and the drill to open it to follows"
	NothingGoes  = "nothing that is bought"
	BoresLikeTip = "All holes of this part that are as wide, in one step"
)

// BoreFor stands before the choice of what a hole is for.
func BoreFor(bore, of int) string { return "Hole " + Number(bore+1) + " of " + Number(of) + " is for" }

// BoresLike is the choice to name the holes that are as wide, too.
func BoresLike(others int) string {
	return "and " + Count(others, "other", "others") + " as wide"
}

// BoreChoices are what a hole can be for, after the choice to leave it to its size.
func BoreChoices(guess hardware.Item) (names, keys []string) {
	first := "what its size suggests: nothing"
	if guess.Key != "" {
		first = "what its size suggests: " + ItemName(guess)
	}
	names, keys = []string{first, NothingGoes}, []string{"?", ""}
	for _, i := range hardware.Items() {
		names, keys = append(names, ItemName(i)), append(keys, i.Key)
	}
	return names, keys
}
