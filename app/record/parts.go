package record

import (
	"math"
	"path/filepath"
	"slices"
	"strconv"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/geom"
	"scantling/engine/judge"
)

// parts is the table of all parts of the kit, and their notes.
func (d *draft) parts() []Block {
	v := d.v
	t := &Table{Head: text.RecordHeadParts(d.inches), Shares: []float64{5, 20, 5.5, 6, 13.5, 13.5, 10.5, 8.5, 17.5},
		Right: []bool{true, false, true, false, false, false, false, true, false}, Mono: -1}
	var notes [][2]string
	factor := v.Result.Factor.Float()
	for i, p := range v.Parts {
		if p.Words != "" {
			notes = append(notes, [2]string{p.Name, p.Words})
		}
		name := p.Name + "\n" + filepath.Base(p.File)
		if !p.Ticked {
			name += "\n(" + text.RecordUncounted + ")"
		}
		row := []string{strconv.Itoa(i + 1), name, text.Number(p.Quantity), text.None, text.None, text.None, text.None, text.None, text.None}
		if p.State != state.Measured {
			row[8] = text.PartState(p.State)
			t.Rows = append(t.Rows, row)
			continue
		}
		row[3] = p.Measured.Unit.Name
		row[4], row[5] = text.SizeBare(p.Drawn, d.inches), text.SizeBare(p.Print, d.inches)
		if p.Ticked {
			row[6] = text.RecordFits(p, v.Bed.Check() == nil, d.inches)
			if w, ok := v.Judged.WeightOf(p.ID, factor); ok && w.Unknown == 0 {
				row[7] = text.Mass(w.Grams)
			}
			if worst, code, n := d.worst(p.ID); n > 0 {
				row[8] = text.RecordWorst(worst, code, n-1)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	out := []Block{{Table: t}}
	if v.Judged.Waiting > 0 {
		out = append(out, Block{Para: text.RecordInComing})
	}
	if len(notes) > 0 {
		out = append(out, Block{Para: text.RecordPartNotes + ":"}, Block{Pairs: notes})
	}
	return out
}

// worst is the gravest finding of a part that counts, and how many count.
func (d *draft) worst(id string) (worst judge.Gravity, code judge.Code, n int) {
	j := d.v.Judged
	for _, f := range j.Findings { // the gravest come first
		if f.Part >= 0 && j.IDs[f.Part] == id && f.Aside == "" {
			if n++; n == 1 {
				worst, code = f.Gravity, f.Code
			}
		}
	}
	return worst, code, n
}

// rows is the table of parts for machines.
func (d *draft) rows() [][]string {
	v := d.v
	rows := [][]string{text.RecordColumns()}
	sums := map[string]string{}
	for _, f := range d.r.Files {
		if f.Err == nil {
			sums[f.Path] = f.Sum.SHA256
		}
	}
	res := v.Result
	factor := res.Factor.Float()
	target := ""
	if res.Target.Known() {
		target = res.Target.Exact()
	}
	for i, p := range v.Parts {
		row := []string{strconv.Itoa(i + 1), p.Name, p.File, strconv.Itoa(p.Index + 1), yes(p.Ticked), strconv.Itoa(p.Quantity)}
		if p.State != state.Measured {
			row = append(row, make([]string, len(rows[0])-len(row))...)
			row[len(row)-1] = p.Words
			rows = append(rows, row)
			continue
		}
		row = append(row, p.Measured.Unit.Name)
		row = append(row, triple(p.Drawn)...)
		row = append(row, triple(p.Print)...)
		row = append(row, res.Factor.Digits(), res.Factor.Exact(), figures(100*factor), target)
		fits, mass, solid, cost := "", "", "", ""
		if p.Ticked && v.Bed.Check() == nil {
			fits = yes(p.Fits)
		}
		if w, ok := v.Judged.WeightOf(p.ID, factor); ok && w.Unknown == 0 {
			mass, solid = figures(w.Grams), figures(w.Solid)
			if w.Cost > 0 {
				cost = figures(w.Cost)
			}
		}
		gravity, found := "", ""
		worst, code, n := d.worst(p.ID)
		if n > 0 {
			gravity, found = worst.String(), string(code)
		}
		row = append(row, fits, mass, solid, cost, gravity, found, strconv.Itoa(n), strconv.Itoa(d.aside(p.ID)), sums[p.File], p.Words)
		rows = append(rows, row)
	}
	return rows
}

// aside counts what of a part was set aside.
func (d *draft) aside(id string) (n int) {
	j := d.v.Judged
	for _, f := range j.Findings {
		if f.Part >= 0 && j.IDs[f.Part] == id && f.Aside != "" {
			n++
		}
	}
	return n
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func triple(v geom.Vec) []string { return []string{figures(v[0]), figures(v[1]), figures(v[2])} }

// figures writes a number to nine significant digits, more than any part is measured to.
func figures(x float64) string {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	back, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 8, 64), 64)
	return strconv.FormatFloat(back, 'f', -1, 64)
}

// findings are told by gravity; those of one kind in one part together, the gravest of them.
func (d *draft) findings() []Block {
	j := d.v.Judged
	out := []Block{{Para: text.RecordCount(j.Findings)}}
	for _, g := range []judge.Gravity{judge.Stops, judge.Look, judge.Note} {
		t := &Table{Head: text.RecordHeadFindings(), Shares: []float64{16, 18, 27, 19, 20}, Mono: -1}
		type kind struct {
			part int
			code judge.Code
		}
		of := func(f judge.Finding) kind {
			if g == judge.Note { // what is only good to know is told once for all parts
				return kind{-1, f.Code}
			}
			return kind{f.Part, f.Code}
		}
		count, parts := map[kind]int{}, map[kind][]string{}
		var first []judge.Finding
		for _, f := range j.Findings {
			if f.Gravity != g || f.Aside != "" {
				continue
			}
			k := of(f)
			if count[k]++; count[k] == 1 {
				first = append(first, f)
			}
			if name := text.RecordPartOf(j.Name(f.Part)); !slices.Contains(parts[k], name) {
				parts[k] = append(parts[k], name)
			}
		}
		for _, f := range first {
			k := of(f)
			says := text.JudgedOf(f, j.Name(f.Other), j.Native, d.inches)
			t.Rows = append(t.Rows, []string{text.RecordNames(parts[k]), says.Title,
				says.Says + text.RecordAlike(count[k], parts[k]), says.Gone, says.Remedy})
		}
		if len(first) > 0 {
			t.Caption = text.RecordGravity(g, len(first))
			out = append(out, Block{Table: t})
		}
	}
	return out
}

// asides are the findings that the maker has set aside, each with the reason.
func (d *draft) asides() []Block {
	j := d.v.Judged
	t := &Table{Head: text.RecordHeadAsides(), Shares: []float64{18, 20, 32, 30}, Mono: -1}
	told := map[int]bool{}
	for i, f := range j.Findings {
		if f.Aside == "" || told[i] {
			continue
		}
		alike := j.Alike(i)
		for _, k := range alike {
			told[k] = true
		}
		says, name := text.JudgedOf(f, j.Name(f.Other), j.Native, d.inches), text.RecordPartOf(j.Name(f.Part))
		t.Rows = append(t.Rows, []string{name, says.Title, says.Says + text.RecordAlike(len(alike), []string{name}), f.Aside})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []Block{{Table: t}}
}

// printing is how the kit is printed, what it weighs and costs, and how many beds it takes.
func (d *draft) printing() []Block {
	v, j := d.v, d.v.Judged
	p := j.Process
	var rows [][2]string
	add := func(name, value string) {
		if value != "" {
			rows = append(rows, [2]string{name, value})
		}
	}
	if v.Bed.Check() == nil {
		add(text.RecordBed, text.RecordBedSays(v.Bed, d.inches))
		turning, _ := text.Turning(v.Way.Turn)
		add(text.RecordTurning, turning)
	}
	if beds := v.Judged.Beds; beds != nil {
		add(text.RecordBeds, text.BedCount(*beds))
	} else {
		add(text.RecordBeds, text.RecordNoBeds)
	}
	add(text.RecordProcess, text.RecordProcessSays(p))
	add(text.RecordAgainst, text.RecordLimits(p))
	add(text.RecordMaterial, text.RecordMaterialSays(p))
	add(text.RecordCorrects, text.RecordCorrectionSays(p.Correction))
	add(text.RecordWeight, text.RecordWeightSays(j.Weight.Grams, j.Weight.Unknown))
	add(text.RecordSolid, text.RecordWeightSays(j.Weight.Solid, j.Weight.Unknown))
	add(text.RecordCost, text.RecordCostSays(j.Weight, p.Material))
	add(text.RecordPrints, text.WindowWords(j.Prints, j.Native))
	add(text.RecordDetails, text.WindowWords(j.Details, j.Native))
	return []Block{{Pairs: rows}, {Para: text.RecordWeightIs}}
}

// copies are those that were saved, the latest first.
func (d *draft) copies() []Block {
	if len(d.r.Copies) == 0 {
		return []Block{{Para: text.RecordNoCopies}}
	}
	names := map[string]string{}
	for _, p := range d.v.Parts {
		names[p.ID] = p.Name
	}
	t := &Table{Head: text.RecordHeadCopies(), Shares: []float64{17, 20, 28, 35}, Mono: -1}
	for _, c := range slices.Backward(d.r.Copies) {
		of := ""
		for _, id := range c.Parts {
			if name := names[id]; name != "" {
				of = lines(of, name)
			}
		}
		if of == "" {
			of = text.None
		}
		t.Rows = append(t.Rows, []string{text.RecordMadeOn(c.When.In(d.r.When.Location())), of, lines(text.RecordCopyAt(c), text.RecordCopyNow(c, d.v.Result.Factor)),
			lines(c.Path(), text.RecordCopyFiles(c.Files))})
	}
	return []Block{{Table: t}}
}

// lines are two lines of a cell, where there are two.
func lines(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "\n" + b
}

// digests are what the files hold.
func (d *draft) digests() []Block {
	if len(d.r.Files) == 0 {
		return nil
	}
	t := &Table{Head: text.RecordHeadDigests(), Shares: []float64{38, 12, 50}, Right: []bool{false, true, false}, Mono: 2}
	for _, f := range d.r.Files {
		size, sum := text.None, text.None
		if f.Err == nil {
			size, sum = text.Bytes(f.Sum.Bytes), f.Sum.SHA256
		}
		t.Rows = append(t.Rows, []string{lines(filepath.Base(f.Path), text.RecordSumNote(f)), size, sum})
	}
	return []Block{{Para: text.RecordDigestsIs}, {Table: t}}
}
