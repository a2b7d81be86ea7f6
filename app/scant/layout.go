package main

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"scantling/app/state"
	"scantling/app/text"
	"scantling/engine/deliver"
	"scantling/engine/geom"
	"scantling/engine/judge"
	"scantling/engine/kit"
	"scantling/engine/process"
	"scantling/engine/survey"
	"scantling/engine/ways"
	"scantling/formats"
	"scantling/formats/threemf"
)

// A laidPart is a part that is to be laid on beds.
type laidPart struct {
	model *model
	index int
	hull  survey.Hull // mm as drawn
}

// A laidOut is what is laid out, and how.
type laidOut struct {
	bed    judge.Bed
	parts  []laidPart
	kit    *judge.Case
	layout judge.Layout
	factor float64
	pieces [][]laidPiece // by bed
	copies []deliver.Copy
	saved  []deliver.Outcome // of the beds, where they were saved
}

// A laidPiece is one piece with its places.
type laidPiece struct {
	judge.Placed
	judge.Spot
}

// beds lays all parts on as few beds as it finds, and saves a file of each where that is asked.
func (s *session) layBeds() error {
	way, bed, turn, _, err := s.call.apart()
	if err != nil {
		return err
	}
	if bed.Check() != nil {
		return misuse(s.call.verb, "--bed or --printer is missing: what the parts are laid on")
	}
	gap, err := s.call.gap()
	if err != nil {
		return err
	}
	var correct geom.Vec
	if err := value(s.call, "correction", &correct, correctionOf); err != nil {
		return err
	}
	as, err := s.call.bedFormat()
	if err != nil {
		return err
	}
	w, models, found, err := s.scaled(way, "lay out")
	if err != nil {
		return err
	}
	l := &laidOut{bed: bed, factor: found.Factor.Float()}
	if err := s.layOut(l, models, turn, gap, correct); err != nil {
		return err
	}
	if s.call.has("out") {
		if err := s.saveBeds(l, found, as, correct); err != nil {
			return err
		}
	}
	if s.call.has("json") {
		return s.printBedsJSON(l, s.answerOf(w, found))
	}
	return s.printBeds(l, w, found)
}

// bedFormat is the format of the files of beds.
func (c call) bedFormat() (formats.Kind, error) {
	if !c.has("out") {
		for _, flag := range []string{"format", "overwrite"} {
			if c.has(flag) {
				return "", misuse(c.verb, "--"+flag+" needs --out: the folder for the files of the beds")
			}
		}
	}
	switch k := formats.Kind(strings.ToLower(c.flags["format"])); {
	case !c.has("format"):
		return formats.ThreeMF, nil
	case k == formats.ThreeMF || k == formats.STL:
		return k, nil
	}
	return "", misuse(c.verb, "--format: “"+c.flags["format"]+"” is none of stl, 3mf")
}

// quantities are how often parts of the models are printed, by name, where that was said.
func (s *session) quantities(models []*model) (map[string]int, error) {
	c := s.call
	out := map[string]int{}
	for _, typed := range c.lists["quantity"] {
		name, count, ok := cutLast(typed, "=")
		n, err := strconv.Atoi(count)
		if !ok || err != nil || n < 1 || n > state.MostOf {
			return nil, misuse(c.verb, "--quantity: “"+typed+"” is no NAME=COUNT with a whole number from 1 to "+text.Number(state.MostOf))
		}
		out[name] = n
	}
	known := map[string]bool{}
	for _, m := range models {
		if m.err == nil {
			for _, p := range m.file.Parts() {
				known[p.Name] = true
			}
		}
	}
	for name := range out {
		if !known[name] {
			return nil, misuse(c.verb, "--quantity: no part is called “"+name+"”")
		}
	}
	return out, nil
}

func cutLast(s, by string) (before, after string, found bool) {
	if i := strings.LastIndex(s, by); i >= 0 {
		return s[:i], s[i+len(by):], true
	}
	return s, "", false
}

// layOut fits all parts and packs them.
func (s *session) layOut(l *laidOut, models []*model, turn judge.Turning, gap float64, correct geom.Vec) error {
	count, err := s.quantities(models)
	if err != nil {
		return err
	}
	for _, m := range models {
		if m.err != nil {
			continue
		}
		for i := range m.file.Parts() {
			l.parts = append(l.parts, laidPart{model: m, index: i})
		}
	}
	parts := make([]judge.Part, len(l.parts))
	failed := make([]error, len(l.parts))
	each(len(l.parts), func(i int) {
		b := &l.parts[i]
		p := b.model.file.Parts()[b.index]
		parts[i] = judge.Part{ID: idOf(i), Quantity: 1, MM: p.Unit.MM, Size: kit.Lies(p)}
		failed[i] = guarded(func() error {
			hull, err := hullOf(s.ctx, b.model, b.index, p)
			if err != nil {
				return err
			}
			b.hull = hull.Scaled(p.Unit.MM)
			return parts[i].Fit(s.ctx, l.bed, b.hull, turn)
		})
	})
	if s.ctx.Err() != nil {
		return s.ctx.Err()
	}
	for i, b := range l.parts {
		if failed[i] != nil { // without its triangles it cannot be put anywhere
			s.fail(b.model.path, failed[i])
			parts[i].Fits = [judge.Free + 1]float64{}
		}
		name := b.model.file.Parts()[b.index].Name
		if n, ok := count[name]; ok {
			parts[i].Quantity = n
		}
	}
	terms := judge.Terms{Turning: turn}
	terms.Process.Correction = process.Correction{On: true, Scale: correct}
	l.kit = judge.New(parts, nil, terms)
	packed := l.kit.Pack(l.bed, l.factor, gap)
	rests := make([]judge.Rest, len(l.parts))
	for i, p := range packed.Placed {
		if i > 0 && packed.Placed[i-1].Part == p.Part {
			continue
		}
		hull := l.parts[p.Part].hull
		posed := l.bed.Narrow(hull).Pose
		if !p.Narrow {
			fit, err := l.bed.Fit(s.ctx, hull, p.Turning)
			if err != nil {
				return err
			}
			posed = fit.Pose
		}
		rests[p.Part] = judge.RestOf(posed, hull)
	}
	if l.layout, err = l.kit.Nest(s.ctx, packed, l.bed, l.factor, gap, rests); err != nil {
		return err
	}
	for _, p := range l.layout.Placed {
		for len(l.pieces) <= p.Bed {
			l.pieces = append(l.pieces, nil)
		}
		l.pieces[p.Bed] = append(l.pieces[p.Bed], laidPiece{p, l.bed.Lay(p, rests[p.Part], l.factor, correct)})
	}
	for _, list := range l.pieces { // in the order of the parts
		slices.SortStableFunc(list, func(a, b laidPiece) int { return 2*(a.Part-b.Part) + sign(a.Piece-b.Piece) })
	}
	return nil
}

func sign(n int) int {
	switch {
	case n < 0:
		return -1
	case n > 0:
		return 1
	}
	return 0
}

// saveBeds saves a file of each bed.
func (s *session) saveBeds(l *laidOut, found ways.Result, as formats.Kind, correct geom.Vec) error {
	labels := deliver.Labels{Kit: s.call.title(), Target: found.Target, Factor: found.Factor, Correction: correct}
	about := threemf.About{Title: s.call.title(), Factor: l.factor}
	if found.Target.Known() {
		about.Ratio = found.Target.String()
	}
	closed := map[int]bool{}
	laid := map[string]*formats.Laid{}
	for bed, pieces := range l.pieces {
		var layings []formats.Laying
		last := -1
		for _, p := range pieces {
			part := l.parts[p.Part]
			if p.Part != last {
				if _, known := closed[p.Part]; !known {
					t, err := topology(s.ctx, part.model.file, part.index)
					closed[p.Part] = err == nil && t.Closed
				}
				k := l.factor * part.model.file.Parts()[part.index].Unit.MM
				layings = append(layings, formats.Laying{File: part.model.file, Index: part.index, Factor: k, Closed: closed[p.Part]})
				last = p.Part
			}
			layings[len(layings)-1].Poses = append(layings[len(layings)-1].Poses, p.Pose)
		}
		source := formats.Lay(about, as, layings)
		name := deliver.SafeName(state.BedFile(s.call.title(), bed+1), source.Extension())
		laid[name] = source
		l.copies = append(l.copies, deliver.Copy{Source: source, Name: name, Factor: 1, PerUnit: 1, Tag: labels.Tag()})
	}
	if len(l.copies) == 0 {
		return nil
	}
	o := deliver.Options{Folder: s.call.flags["out"], Overwrite: s.call.has("overwrite"),
		Verify: formats.OpenLaid(func(path string) *formats.Laid { return laid[filepath.Base(path)] })}
	var err error
	if l.saved, err = deliver.Run(s.ctx, l.copies, o, nil); err != nil {
		return err
	}
	for _, o := range l.saved {
		if o.Err != nil {
			s.fail(o.Copy.Name, o.Err)
		}
	}
	return nil
}

// A bedRow is one bed in JSON.
type bedRow struct {
	Bed      int        `json:"bed"` // from 1
	File     string     `json:"file,omitempty"`
	Verified *bool      `json:"verified,omitempty"`
	Error    string     `json:"error,omitempty"`
	Pieces   []pieceRow `json:"pieces"`
}

// A pieceRow is one piece in JSON, in millimetres from the corner of the plate.
type pieceRow struct {
	Part  string `json:"part"`
	File  string `json:"file"`
	Piece int    `json:"piece"` // of the part, from 1
	X     number `json:"x"`     // corner of its footprint
	Y     number `json:"y"`
	Width number `json:"width"` // of the footprint, along x
	Depth number `json:"depth"`
	Yaw   number `json:"yaw"` // degrees about z; null where it is laid on another side
	Pose  pose   `json:"pose"`
}

// A bedsAnswer is all of it in JSON.
type bedsAnswer struct {
	Factor   number   `json:"factor"`
	Ratio    string   `json:"ratio"`
	Why      string   `json:"why"`
	Count    int      `json:"count"`
	Least    int      `json:"least"` // no arrangement does with fewer: by the area of the hulls, or, for one bed, 1
	Beds     []bedRow `json:"beds"`
	Unplaced []string `json:"unplaced"` // parts that fit no bed
	TooMany  int      `json:"too_many"` // pieces that are counted, and not laid out
}

func (s *session) printBedsJSON(l *laidOut, a answer) error {
	out := bedsAnswer{Factor: a.Factor, Ratio: a.Ratio, Why: a.Why, Count: l.layout.Beds, Least: l.layout.Least,
		Beds: []bedRow{}, Unplaced: []string{}, TooMany: l.layout.Unplaced}
	for i, pieces := range l.pieces {
		b := bedRow{Bed: i + 1, Pieces: []pieceRow{}}
		if i < len(l.saved) {
			o := l.saved[i]
			b.File, b.Verified = o.Path, &o.Verified
			if o.Err != nil {
				b.Error = sentence(o.Copy.Name, o.Err)
			}
		}
		for _, p := range pieces {
			part := l.parts[p.Part]
			r := pieceRow{Part: l.name(p.Part), File: part.model.path, Piece: p.Piece + 1, X: number(p.Spot.Low[0]), Y: number(p.Spot.Low[1]),
				Width: number(p.Size[0]), Depth: number(p.Size[1]), Yaw: number(p.Yaw * 180 / math.Pi), Pose: pose{Shift: *tripleOf(p.Pose.Shift)}}
			for i, row := range p.Pose.Rows {
				r.Pose.Turn[i] = *tripleOf(row)
			}
			b.Pieces = append(b.Pieces, r)
		}
		out.Beds = append(out.Beds, b)
	}
	for _, i := range l.layout.Left {
		out.Unplaced = append(out.Unplaced, l.name(i))
	}
	return s.printJSON(out)
}

// name is that of a part.
func (l *laidOut) name(part int) string {
	b := l.parts[part]
	return b.model.file.Parts()[b.index].Name
}

func (s *session) printBeds(l *laidOut, w ways.Way, found ways.Result) error {
	if err := s.printFactor(w, found); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "\n%s\n", text.BedCount(l.layout))
	for i, pieces := range l.pieces {
		head := text.BedOf(i+1, l.layout.Beds)
		if i < len(l.saved) && l.saved[i].Path != "" {
			head += ": " + filepath.Base(l.saved[i].Path)
			if l.saved[i].Verified {
				head += ", verified"
			}
		}
		rows := [][]string{{"  part", "x, y from the corner, mm", "takes, mm", "turned"}}
		for _, p := range pieces {
			name := l.name(p.Part)
			if n := l.kit.Parts[p.Part].Quantity; n > 1 {
				name += fmt.Sprintf(" %d of %d", p.Piece+1, n)
			}
			turned := "laid on another side"
			if !math.IsNaN(p.Yaw) {
				turned = text.Degrees(p.Yaw * 180 / math.Pi)
			}
			rows = append(rows, []string{"  " + name, text.Bare(p.Spot.Low[0], false) + ", " + text.Bare(p.Spot.Low[1], false),
				text.Bare(p.Size[0], false) + " × " + text.Bare(p.Size[1], false), turned})
		}
		fmt.Fprintf(s.out, "\n%s\n", head)
		if err := printTable(s.out, rows); err != nil {
			return err
		}
	}
	for _, i := range l.layout.Left {
		once := ""
		if slices.Contains(l.layout.Grown, i) {
			once = " once it is corrected"
		}
		fmt.Fprintf(s.out, "\n%s fits no bed%s.\n", l.name(i), once)
	}
	if l.layout.Unplaced > 0 {
		fmt.Fprintf(s.out, "\n%s more are counted, and not laid out.\n", text.Count(l.layout.Unplaced, "piece", "pieces"))
	}
	return nil
}
